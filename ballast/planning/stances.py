"""The car file's springs, or what stands in for them, as the physics takes them."""

import numpy as np

from ballast.corners import difference
from ballast.physics.stance import Stance, beside_springs, by_learning, by_roll_share, by_springs
from ballast.physics.statics import Array
from ballast.physics.suspension import Springs, beam_axle, independent_axle, motion
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.suspension import Axle, Bars


def patches(car: Car) -> Array:
    """Contact patches of the car, (4, 2), aft and left. [m]"""
    return np.array(car.wheel_places())


def bars_at_weigh_in(question: Question) -> Bars:
    """How the bars were when the car was weighed; a car file without bars leaves nothing to connect."""
    return question.weigh_in.visit.bars or "disconnected"


def stance(car: Car, bars: Bars) -> Stance:
    """How the car divides a mass, by what is known best: trial weights, a roll share, spring rates; else a guess.

    What was measured on the car itself goes before what its springs are said to be, and keeps of them what no
    measurement tells: twist of the chassis, and masses that the wheels carry.
    """
    known, springs = car.suspension, springs_of(car, bars)
    if known.learned is not None:
        half, length = car.chassis.track_front / 2, car.chassis.wheelbase
        per = np.array([[1.0, 0.0, 0.0], [-1 / length, 1 / length, 0.0], [0.0, 0.0, 1 / half]])
        told = np.array([known.learned.at_front_axle, known.learned.at_rear_axle, known.learned.to_the_left])
        learned = by_learning(patches(car), per @ told, (per @ np.diag(known.learned.within)).T)
        return learned if springs is None else beside_springs(learned, springs)
    if known.front_roll_share is None and springs is not None:
        off = known.rates_within / 2
        low, high = (springs_of(car, bars, 1 - sign * off, 1 + sign * off) for sign in (1, -1))
        assert low is not None and high is not None
        return by_springs(springs, low, high)
    value, low_share, high_share = known.roll_share()
    shared = by_roll_share(patches(car), value, (high_share - low_share) / 2)
    return shared if springs is None else beside_springs(shared, springs)


def springs_of(car: Car, bars: Bars, front_scale: float = 1.0, rear_scale: float = 1.0) -> Springs | None:
    """Springs, bars and tyres of the car with the bars in one state; none where their rates are not in the car file.

    Scales multiply the springs and the bar of an axle.
    """
    front, rear = car.suspension.front, car.suspension.rear
    if front is None or rear is None or front.springs is None or rear.springs is None:
        return None
    bar_front, bar_rear = ((axle.bar or 0.0) if bars == "connected" else 0.0 for axle in (front, rear))
    tyres = None
    if front.tyres is not None or rear.tyres is not None:
        tyres = np.array([*(front.tyres or (np.inf, np.inf)), *(rear.tyres or (np.inf, np.inf))])
    places = patches(car)
    apart_front, apart_rear = (float(difference(*pair) @ places[:, 1]) for pair in (("LF", "RF"), ("LR", "RR")))
    return Springs(
        patches=places,
        rates=np.array([*(front_scale * np.array(front.springs)), *(rear_scale * np.array(rear.springs))]),
        motion=motion(_axle(front, apart_front), _axle(rear, apart_rear)),
        bar_front=front_scale * bar_front,
        bar_rear=rear_scale * bar_rear,
        tyres=tyres,
        twist=car.suspension.chassis_twist,
    )


def _axle(axle: Axle, track: float) -> Array:
    """Travel of the two springs of an axle by travel of its wheels, `track` apart [m]. (2, 2) [-]"""
    if axle.spring_base is not None:
        return beam_axle(*axle.motion_ratio, axle.spring_base, track)
    return independent_axle(*axle.motion_ratio)
