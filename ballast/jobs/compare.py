"""A re-weigh against the plan: does the car stand as planned, and if not, what explains it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from ballast.corners import CORNERS
from ballast.jobs.foresight import spread_since
from ballast.jobs.standing import case_loads
from ballast.jobs.suspects import Suspect, anything, priors, stretched, suspects
from ballast.jobs.weighed_again import Standing, bars_again, not_as_planned, weighed_again
from ballast.physics import diagnosis
from ballast.physics.instruments import pad_covariance
from ballast.physics.platforms import pad_sensitivity, platform_sensitivity
from ballast.physics.statics import Array, centre_of_gravity, diagonal_share, front_share, in_warp, left_share
from ballast.physics.suspension import at_the_wheels
from ballast.physics.uncertainty import figures
from ballast.planning.stances import bars_at_weigh_in, springs_of
from ballast.planning.task import pads_covariance, readings
from ballast.records.compared import Cause, Compared, ComparedFigure, ComparedName, WarpTaken, Where
from ballast.records.pads import OF_THE_MAKER
from ballast.records.plan import Answer
from ballast.records.weighing import WeighIn
from ballast.units import Dimension

PLACE: tuple[ComparedName, ...] = ("behind front axle", "left of centre")
SIGNIFICANT = 0.02
"""How seldom noise alone may look like a cause: two weighings in a hundred."""
LEAST_WEIGHT = 0.05
"""A cause less likely than this among all is not named, nor is a place this much less likely than the best."""
MOST_CAUSES = 5


def compare(done: Answer, weigh_in: WeighIn, files: tuple[str, str] = ("the plan", "the weigh-in")) -> Compared:
    """What the pads show against what the plan foresaw in the same state, and the causes that explain the rest.

    files : names of the plan's file and the weigh-in's, for complaints.
    Raises InputError where the plan is none, or the weigh-in cannot be one of this car after the plan.
    """
    standing, unsaid = weighed_again(done, weigh_in, files)
    question, again, room = standing.question, standing.again, standing.room
    rows = readings(again)
    measured = rows.mean(axis=0)
    covariance, freedom = _covariance(standing)
    residual = measured - standing.predicted
    patches = room.stance.patches
    chance = diagnosis.chance_of(residual, covariance, freedom, patches)
    unsettled = diagnosis.chance_unsettled(readings(question), rows, patches)
    found = _causes(standing, residual, covariance, freedom) if chance < SIGNIFICANT else Found()
    fitted = bool(weigh_in.fitted)
    return Compared(
        units=question.car.units,
        car=question.car.chassis.name,
        weighed=question.weigh_in.visit.date,
        weighed_again=weigh_in.visit.date,
        settlings=len(rows),
        predicted=case_loads("by the plan", question.car, standing.predicted),
        measured=case_loads("as weighed again", question.car, measured),
        figures=tuple(_figures(standing.predicted, measured, patches, covariance, freedom)),
        corners=tuple(_corners(standing.predicted, measured, covariance, freedom)),
        plates_said=fitted,
        not_as_planned=tuple(not_as_planned(standing)),
        kit_of=question.car.drivers[standing.crew].name if len(room.aboard) > 1 and not fitted else None,
        unsaid=unsaid,
        other_pads=_other_pads(standing),
        bars_before=bars_at_weigh_in(question),
        bars=bars_again(standing),
        chance=chance,
        as_planned=chance >= SIGNIFICANT,
        chance_of_scatter=unsettled,
        settled=unsettled >= SIGNIFICANT,
        tried=found.tried,
        causes=found.causes,
        warp=None if found.warp is None else _warp_taken(standing, found.warp),
    )


# --- how sure --------------------------------------------------------------------------------------------------------


def _other_pads(standing: Standing) -> bool:
    """Whether both weigh-ins describe their pads, and not the same."""
    one, other = standing.question.weigh_in.pads, standing.again.weigh_in.pads
    if not (one.model_fields_set.intersection(OF_THE_MAKER) and other.model_fields_set.intersection(OF_THE_MAKER)):
        return False
    return not one.alike(other)


def _covariance(standing: Standing) -> tuple[Array, int]:
    """Covariance of measured less predicted, (4, 4) [kg2], and its degrees of freedom.

    Both weighings scatter and both read in steps; the plates, parts and places that came between are as sure as they
    are; what is wrong with the pads themselves is on both sides, unless they were other pads.
    """
    question, again, room = standing.question, standing.again, standing.room
    before, now = readings(question), readings(again)
    covariance, freedom = diagnosis.difference_covariance(before, now, room.stance.patches)
    for asked, rows in ((question, before), (again, now)):
        mean = rows.mean(axis=0)
        pads = pads_covariance(asked, mean) if _other_pads(standing) else None
        covariance = covariance + (pad_covariance(mean, asked.weigh_in.pads.resolution) if pads is None else pads)
    return covariance + spread_since(
        question, room, standing.crew, standing.counts, np.zeros((4, 4)), standing.since
    ), freedom


def _figures(
    predicted: Array, measured: Array, patches: Array, covariance: Array, freedom: int
) -> Iterator[ComparedFigure]:
    """Total, percentages and centre of gravity; to first order, JCGM 100:2008, eq. 13."""
    slopes = figures(measured)
    named: tuple[tuple[ComparedName, Callable[[Array], Array], Array], ...] = (
        ("front", front_share, slopes[1]),
        ("left", left_share, slopes[2]),
        ("RF+LR", lambda loads: diagonal_share(loads, "RF+LR"), slopes[3]),
    )

    def off(slope: Array) -> float:
        return diagnosis.coverage(freedom) * float(np.sqrt(slope @ covariance @ slope))

    yield _figure("total", "mass", float(predicted.sum()), float(measured.sum()), off(slopes[0]))
    for name, of, slope in named:
        yield _figure(name, "percent", float(of(predicted)), float(of(measured)), off(slope))
    was, now = centre_of_gravity(patches, predicted), centre_of_gravity(patches, measured)
    by_place = ((patches - now) / measured.sum()).T
    for way, name in enumerate(PLACE):
        yield _figure(name, "length", float(was[way]), float(now[way]), off(by_place[way]))


def _corners(predicted: Array, measured: Array, covariance: Array, freedom: int) -> Iterator[ComparedFigure]:
    within = diagnosis.coverage(freedom) * np.sqrt(np.diag(covariance))
    for corner, was, now, off in zip(CORNERS, predicted.tolist(), measured.tolist(), within.tolist(), strict=True):
        yield _figure(corner, "mass", was, now, off)


def _figure(
    name: ComparedName, dimension: Dimension, predicted: float, measured: float, within: float
) -> ComparedFigure:
    return ComparedFigure(
        figure=name,
        dimension=dimension,
        predicted=predicted,
        measured=measured,
        difference=measured - predicted,
        within=within,
        inside=abs(measured - predicted) <= within,
    )


# --- why -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Found:
    """Causes that explain a residual, the likeliest first."""

    tried: int = 0
    causes: tuple[Cause, ...] = ()
    warp: float | None = None
    """by the likeliest of them that is in the diagonal: on LF [kg]"""


def _causes(standing: Standing, residual: Array, covariance: Array, freedom: int) -> Found:
    """Judge every cause and keep those that explain the residual."""
    found = suspects(standing)
    judged = _judged(standing, found, residual, covariance, freedom)
    possible = [
        one.least <= float(effect.sum()) <= one.most for one, effect in zip(found, judged.effects, strict=False)
    ]
    if not all(possible):
        found = tuple(one for one, able in zip(found, possible, strict=True) if able)
        judged = _judged(standing, found, residual, covariance, freedom)
    groups: dict[tuple[object, ...], list[int]] = {}
    for k in np.argsort(-judged.weights[: len(found)]).tolist():
        where = found[k].where
        key = (found[k].kind, found[k].warped, where.plate, where.other_plate, where.driver, where.tank)
        groups.setdefault(key, []).append(k)
    causes, warps = [], []
    for (kind, warped, *_), members in groups.items():
        best = members[0]
        weight = float(judged.weights[members].sum())
        if weight < LEAST_WEIGHT or judged.left_over[best] < SIGNIFICANT:
            continue
        if warped or kind == "warp":
            warps.append((weight, in_warp(standing.room.stance.patches, stretched(standing) @ judged.pulls[best])))
        alike: dict[Where, int] = {}
        for k in members:
            if judged.weights[k] >= LEAST_WEIGHT * judged.weights[best]:
                alike.setdefault(found[k].where, k)  # a pad may be off a little or a lot: one place all the same
        causes.append(
            Cause(
                kind=kind,
                warped=warped,
                weight=weight,
                left_over=float(judged.left_over[best]),
                places=tuple(_where(standing, found[k], judged.effects[k]) for k in alike.values()),
            )
        )
    named = sorted(causes, key=lambda cause: -cause.weight)[:MOST_CAUSES]
    return Found(len(found), tuple(named), float(max(warps)[1]) if warps else None)


def _judged(
    standing: Standing, found: tuple[Suspect, ...], residual: Array, covariance: Array, freedom: int
) -> diagnosis.Judged:
    """What the residual says of every cause, and last of none of them."""
    effect, spread = anything(standing)
    causes = diagnosis.Causes(
        effects=np.array([*(one.effect for one in found), effect]),
        spreads=np.array([*(one.spread for one in found), spread]),
        priors=np.append(priors(found), 1.0),
    )
    return diagnosis.judge(residual, covariance, freedom, causes)


def _where(standing: Standing, suspect: Suspect, effect: Array) -> Where:
    """Where a cause sits, with what the readings say of its size. effect : (4,) [kg]"""
    where, mass = suspect.where, float(effect.sum())
    if suspect.kind == "pad off":
        load = standing.predicted[CORNERS.index(where.corners[0])]
        return where.replace(mass=mass, share=mass / float(load))
    if suspect.kind == "fuel" and where.tank is not None and where.volume is not None:
        tank = next(tank for tank in standing.question.car.tanks if tank.name == where.tank)
        litres = min(max(where.volume + mass / tank.density, 0.0), tank.volume)
        return where.replace(mass=mass, volume=litres)
    if suspect.kind == "something else" and mass:
        aft, left = effect @ standing.room.stance.patches / mass
        return where.replace(mass=mass, behind_front_axle=float(aft), left_of_centre=float(left))
    return where.replace(mass=mass)


def _warp_taken(standing: Standing, warp: float) -> WarpTaken:
    """What makes the diagonal wrong by so much: heights of pads and tyres, platforms, bars. warp : on LF. [kg]"""
    springs = springs_of(standing.question.car, bars_again(standing))
    if springs is None:
        return WarpTaken(first_corner=warp)
    pads, platforms = warp / pad_sensitivity(springs), warp / platform_sensitivity(springs)
    return WarpTaken(
        first_corner=warp,
        pads=tuple(pads.tolist()),
        platforms=tuple(platforms.tolist()),
        front_bar=_bar(standing, warp, 0),
        rear_bar=_bar(standing, warp, 1),
    )


def _bar(standing: Standing, warp: float, axle: int) -> float | None:
    """By how much an axle's left wheel would be up against its right one for its bar to hang free. [m]

    Connected there, the bar presses on the wheels as pads raised by S^-1 times its forces would.
    """
    springs = springs_of(standing.question.car, "connected")
    rate = 0.0 if springs is None else (springs.bar_front, springs.bar_rear)[axle]
    if springs is None or not rate:
        return None
    forces = np.zeros(4)
    forces[2 * axle : 2 * axle + 2] = -rate, rate
    heights = np.linalg.solve(at_the_wheels(springs), forces)
    return warp / float(heights @ pad_sensitivity(springs))
