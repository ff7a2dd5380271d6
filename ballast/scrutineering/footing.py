"""How a list of masses settles on the four wheels, from equilibrium and one equation more: not the planner's way."""

from dataclasses import dataclass, replace

import numpy as np

from ballast.corners import CORNERS
from ballast.physics.platforms import load_change_on_pads
from ballast.physics.statics import Array, lever_matrix, stand, warp
from ballast.physics.suspension import Springs, beam_axle, independent_axle, motion
from ballast.physics.suspension import stand as stand_on_springs
from ballast.records.question import Question
from ballast.records.suspension import Axle
from ballast.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class Footing:
    """What is known of the springs: one of three, whichever the car file knows best."""

    patches: Array
    share: float | None = None
    """front share of the roll stiffness"""
    springs: Springs | None = None
    under_wheels: Springs | None = None
    """the springs by which masses on wheels settle and the chassis twists, where those above are none or at an edge"""
    told: tuple[float, float, float] | None = None
    """what trial weights told, as in [suspension.learned]"""
    wheelbase: float = 1.0
    """that the three speak of [m]"""
    half_track: float = 1.0
    """the same, in front [m]"""


def footing(question: Question) -> Footing:
    """How the car of a question stands, with the bars as they were on the pads."""
    known, places = question.car.suspension, np.array(question.car.wheel_places())
    besides = _springs(question, 0.0) if known.has_springs else None
    if known.learned:
        told = (known.learned.at_front_axle, known.learned.at_rear_axle, known.learned.to_the_left)
        chassis = question.car.chassis
        half = chassis.track_front / 2
        return Footing(places, told=told, wheelbase=chassis.wheelbase, half_track=half, under_wheels=besides)
    if known.front_roll_share is None and known.has_springs:
        return Footing(places, springs=besides)
    return Footing(places, share=known.roll_share()[0], under_wheels=besides)


def edges(question: Question) -> list[tuple[Footing, Footing]]:
    """For each thing not known of the springs, the car with it at its least and at its greatest.

    What wheels carry themselves settles by the springs as they are said to be: it hardly feels them, grams at most.
    """
    known, middle = question.car.suspension, footing(question)
    if middle.told and known.learned:
        return [
            (_told(middle, number, -within), _told(middle, number, within))
            for number, within in enumerate(known.learned.within)
        ]
    if middle.springs:
        low, high = (
            replace(middle, springs=_springs(question, sign * known.rates_within / 2), under_wheels=middle.springs)
            for sign in (-1, 1)
        )
        return [(low, high)]
    _, least, greatest = known.roll_share()
    return [(replace(middle, share=least), replace(middle, share=greatest))]


def settle(on: Footing, masses: list[float], places: list[tuple[float, float]], on_wheels: Array) -> Array:
    """Corner loads under masses at places, and under masses that the wheels carry themselves, (4,) each. [kg]"""
    wheels, under = on_wheels, on.under_wheels or on.springs
    if under is not None:
        # A mass on a wheel presses its tyre down, and what stands above it follows as it follows a lower pad.
        tyres = np.full(len(CORNERS), np.inf) if under.tyres is None else np.asarray(under.tyres)
        wheels = wheels + load_change_on_pads(under, -STANDARD_GRAVITY * on_wheels / tyres)
    if on.springs is not None:
        return np.asarray(wheels + stand_on_springs(on.springs, masses, places))
    wheels = wheels + _by_twist(under, masses, places)
    if on.told is None:
        return np.asarray(wheels + stand(on.patches, on.share or 0.0, masses, places))
    kg, where = np.array(masses, dtype=float), np.array(places, dtype=float).reshape(-1, 2)
    null = warp(on.patches)
    front, rear, left = on.told
    behind = where[:, 0] / on.wheelbase
    warped = kg @ (front * (1 - behind) + rear * behind + left * where[:, 1] / on.half_track)
    equations = np.vstack([lever_matrix(on.patches).T, null / (null @ null)])
    loads: Array = np.linalg.solve(equations, np.array([kg.sum(), kg @ where[:, 0], kg @ where[:, 1], warped]))
    return wheels + loads


def _by_twist(under: Springs | None, masses: list[float], places: list[tuple[float, float]]) -> Array:
    """What the twist of the chassis adds to a share that was measured midway between the axles, (4,). [kg]

    On springs, a mass off the centre line puts more of its warp on by every metre it is behind the middle; how much
    more is read off four masses of one kg around it.
    """
    if under is None or under.twist is None:
        return np.zeros(len(CORNERS))
    middle = float(np.mean(np.asarray(under.patches)[:, 0]))
    corners = [(middle + 0.5, 0.5), (middle + 0.5, -0.5), (middle - 0.5, 0.5), (middle - 0.5, -0.5)]
    each = stand_on_springs(under, [1.0, -1.0, -1.0, 1.0], corners)
    return np.asarray(each * sum(kg * left * (aft - middle) for kg, (aft, left) in zip(masses, places, strict=True)))


def _told(on: Footing, number: int, off: float) -> Footing:
    """The same with one of the three numbers moved."""
    moved = [value + off * (n == number) for n, value in enumerate(on.told or ())]
    return replace(on, told=(moved[0], moved[1], moved[2]))


def _springs(question: Question, off: float) -> Springs:
    """The springs, with the front axle stiffer by a share `off` and the rear axle softer by as much."""
    car, bars_on = question.car, question.weigh_in.visit.bars == "connected"
    (_, lf), (_, rf), (_, lr), (_, rr) = car.wheel_places()
    rates, axles, bars, tyres = [], [], [], []
    known = ((car.suspension.front, lf - rf, 1 + off), (car.suspension.rear, lr - rr, 1 - off))
    for axle, track, scale in known:
        assert axle is not None and axle.springs is not None
        rates += [scale * rate for rate in axle.springs]
        axles.append(_travels(axle, track))
        bars.append(scale * (axle.bar or 0.0) * bars_on)
        tyres += list(axle.tyres or (np.inf, np.inf))
    return Springs(
        patches=np.array(car.wheel_places()),
        rates=rates,
        motion=motion(*axles),
        bar_front=bars[0],
        bar_rear=bars[1],
        tyres=tyres,
        twist=car.suspension.chassis_twist,
    )


def _travels(axle: Axle, track: float) -> Array:
    left, right = axle.motion_ratio
    return beam_axle(left, right, axle.spring_base, track) if axle.spring_base else independent_axle(left, right)
