"""What may be behind a re-weigh that differs from the plan: every cause with the effect it would have on the loads."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from ballast.corners import CORNERS
from ballast.jobs.weighed_again import Standing
from ballast.physics.stance import shares, slopes
from ballast.physics.statics import Array, warp
from ballast.planning.cases import loads_from
from ballast.planning.states import crew_state, prescribed
from ballast.records.compared import CauseKind, Where

# What is not known of a cause, as standard deviations. Common practice, no source.
DRIVER_MASS, DRIVER_OFF = 80.0, 15.0
"""A driver in kit of whom nothing is known. [kg]"""
PAD_OFF = 0.1
"""A pad that is off: share of what stands on it."""
PAD_DEAD = 0.7
"""A pad that is dead, or beside which the wheel stands: what it fails to show, give or take half of that."""
WARP_OFF = 0.005
"""Warp on the first corner, as a share of the total: a point of the diagonal."""
UNKNOWN_OFF = 0.01
"""Something that the files do not know, or fuel in a tank nobody described: share of the total."""
TANKS_OFF = 1 / 3
"""Litres in a tank: share of what it holds."""
BESIDES = 0.1
"""How much rarer it is that the diagonal is off besides."""
MIXED_UP = 0.3
"""How much rarer it is that a plate of another kind was taken than that one was left out: it looks different."""

FAMILIES: dict[CauseKind, str] = {
    "plate less": "plates",
    "plate more": "plates",
    "another plate": "plates",
    "mount empty": "plan",
    "change not made": "plan",
    "plan not carried out": "plan",
    "plates of the plan": "plan",
    "plate elsewhere": "mounts",
    "stack elsewhere": "mounts",
    "stacks exchanged": "mounts",
    "side mistyped": "places",
    "end mistyped": "places",
    "inches": "places",
    "numbers exchanged": "places",
    "pads exchanged": "pads",
    "pad off": "pad",
    "nobody aboard": "driver",
    "driver aboard": "driver",
    "driver and plates": "driver",
    "plates of another driver": "driver",
}
"""Causes that share one chance; every other kind is a family of its own. All families are as likely as each other."""
ALONE: tuple[CauseKind, ...] = ("pads exchanged", "pad off", "warp")
"""What leaves no room for a warp besides: it would explain anything."""


@dataclass(frozen=True)
class Suspect:
    """A cause, and what it would do."""

    kind: CauseKind
    where: Where
    effect: Array
    """(4,) [kg]"""
    spread: Array
    """(4, 4) [kg2]"""
    least: float = -np.inf
    most: float = np.inf
    """what it can change in the total [kg]"""
    warped: bool = False


def suspects(standing: Standing) -> tuple[Suspect, ...]:
    """Every cause that is looked into, none twice; each also with the diagonal off besides."""
    found: list[Suspect] = []
    for family in (_warp, _plan, _plates, _mounts, _places, _pads, _seat, _fuel, _by_rule, _unknown):
        found += family(standing)
    off = stretched(standing)
    besides = [replace(one, spread=one.spread + off, warped=True) for one in found if one.kind not in ALONE]
    return (*found, *besides)


def priors(found: tuple[Suspect, ...]) -> Array:
    """How likely each is beforehand: families alike, and within a family all members alike. (K,)"""
    names = [FAMILIES.get(one.kind, one.kind) for one in found]
    members = Counter(name for name, one in zip(names, found, strict=True) if not one.warped)
    rare = [(BESIDES if one.warped else 1.0) * (MIXED_UP if one.kind == "another plate" else 1.0) for one in found]
    return np.array([weight / members[name] for weight, name in zip(rare, names, strict=True)])


def anything(standing: Standing) -> tuple[Array, Array]:
    """None of the causes: the four loads off by anything, each by itself. Effect (4,) and spread (4, 4)."""
    return np.zeros(4), (WARP_OFF * float(standing.predicted.sum())) ** 2 * np.eye(4)


def stretched(standing: Standing) -> Array:
    """Covariance of the loads when the diagonal is off, nobody knows how far. (4, 4) [kg2]"""
    null = warp(standing.room.stance.patches)
    return np.asarray((WARP_OFF * float(standing.predicted.sum())) ** 2 * np.outer(null, null))


def _sure(kind: CauseKind, effect: Array, **where: object) -> Suspect:
    """A cause of which everything is known."""
    said = Where.model_validate({"mass": float(effect.sum())} | where)
    return Suspect(kind, said, effect, np.zeros((4, 4)))


def _warp(standing: Standing) -> Iterator[Suspect]:
    yield Suspect("warp", Where(mass=0.0), np.zeros(4), stretched(standing))


# --- plates and mounts -----------------------------------------------------------------------------------------------


def _rows(standing: Standing) -> list[int]:
    """Rows of mounts that are aboard."""
    return [int(m) for m in np.flatnonzero(standing.room.aboard[standing.crew])]


def _with(counts: Array, *changes: tuple[int, int, float]) -> Array:
    """A table with some counts changed by so much."""
    table = counts.copy()
    for m, p, by in changes:
        table[m, p] += by
    return table


def _plates(standing: Standing) -> Iterator[Suspect]:
    """One plate less, one more, or one of another kind."""
    room, counts = standing.room, standing.counts
    spare = room.owned - counts[_rows(standing)].sum(axis=0) > 0
    for m in _rows(standing):
        for p, plate in enumerate(room.plates):
            here = {"mount": room.mounts[m], "plate": plate}
            if counts[m, p] > 0:
                yield _sure("plate less", standing.change(_with(counts, (m, p, -1))), **here)
                for q, other in enumerate(room.plates):
                    if q != p and spare[q] and room.accepts[m, q]:
                        table = _with(counts, (m, p, -1), (m, q, 1))
                        yield _sure("another plate", standing.change(table), **here, other_plate=other)
            if spare[p] and room.accepts[m, p]:
                yield _sure("plate more", standing.change(_with(counts, (m, p, 1))), **here)


def _plan(standing: Standing) -> Iterator[Suspect]:
    """Work of the plan that was not done; a table that one plate more or less gives already is left to `_plates`."""
    room, counts, before = standing.room, standing.counts, standing.room.fitted
    rows, several = _rows(standing), []
    for m in rows:
        here = {"mount": room.mounts[m]}
        if counts[m].sum() > 1:
            table = counts.copy()
            table[m] = 0
            yield _sure("mount empty", standing.change(table), **here)
        if (counts[m] != before[m]).any():
            several.append(m)
            if np.abs(counts[m] - before[m]).sum() > 1 and before[m].sum():
                table = counts.copy()
                table[m] = before[m]
                yield _sure("change not made", standing.change(table), **here)
    if len(several) > 1:
        yield _sure("plan not carried out", standing.change(before))
    if (standing.planned[rows] != counts[rows]).any():
        yield _sure("plates of the plan", standing.change(standing.planned))


def _mounts(standing: Standing) -> Iterator[Suspect]:
    """Plates at another mount than they should be."""
    room, counts = standing.room, standing.counts
    for m in _rows(standing):
        for other in _rows(standing):
            if other == m or not counts[m].sum():
                continue
            pair = {"mount": room.mounts[m], "other_mount": room.mounts[other]}
            takes = room.accepts[other] > 0
            for p in np.flatnonzero((counts[m] > 0) & takes).tolist():
                table = _with(counts, (m, p, -1), (other, p, 1))
                yield _sure("plate elsewhere", standing.change(table), **pair, plate=room.plates[p])
            fits = bool(takes[counts[m] > 0].all())
            if fits and counts[m].sum() > 1 and not counts[other].sum():
                table = counts.copy()
                table[other], table[m] = counts[m], 0
                yield _sure("stack elsewhere", standing.change(table), **pair)
            if m < other and counts[other].sum() and (counts[m] != counts[other]).any():
                table = counts.copy()
                table[m], table[other] = counts[other], counts[m]
                yield _sure("stacks exchanged", standing.change(table), **pair)


def _places(standing: Standing) -> Iterator[Suspect]:
    """A mount that is not where the car file has it: only what was put on or taken off since tells."""
    room, chassis = standing.room, standing.question.car.chassis
    new = room.ballast(standing.counts) - room.ballast(room.weighed)
    widest = max(chassis.track_front, chassis.track_rear)
    inch = 25.4
    for m in _rows(standing):
        aft, left = (float(x) for x in room.places[m])
        slips: tuple[tuple[CauseKind, float, float], ...] = (
            ("side mistyped", aft, -left),
            ("end mistyped", -aft, left),
            ("inches", inch * aft, inch * left),
            ("numbers exchanged", left, aft),
        )
        for kind, there, across in slips:
            moved = max(abs(there - aft), abs(across - left))
            inside = abs(across) <= widest / 2 and -0.5 <= there / chassis.wheelbase <= 1.5
            if new[m] and moved > 0.05 and inside:
                effect = new[m] * (shares(room.stance, there, across) - room.influence[m])
                yield _sure(kind, np.asarray(effect), mount=room.mounts[m])


# --- pads ------------------------------------------------------------------------------------------------------------


def _pads(standing: Standing) -> Iterator[Suspect]:
    for one, other in combinations(range(4), 2):
        order = list(range(4))
        order[one], order[other] = other, one
        effect = standing.predicted[order] - standing.predicted
        yield _sure("pads exchanged", effect, corners=(CORNERS[one], CORNERS[other]))
    for corner, load in enumerate(standing.predicted.tolist()):
        where, alone = Where(corners=(CORNERS[corner],), mass=0.0), np.eye(4)[corner]
        for mean, off in ((0.0, PAD_OFF), (-PAD_DEAD, PAD_DEAD / 2)):
            yield Suspect("pad off", where, mean * load * alone, (off * load) ** 2 * np.outer(alone, alone))


# --- who and what else is aboard -------------------------------------------------------------------------------------


def _seat(standing: Standing) -> Iterator[Suspect]:
    """The driver not aboard, or another one, with or without the plates that change with the driver."""
    question, room, sitting = standing.question, standing.room, standing.state.sitting
    crew = question.car.drivers
    known = sitting is not None and all(piece.place is not None for piece in sitting)
    gone = -loads_from(room, sitting) if sitting and known else np.zeros(4)
    if standing.state.seat != "out":
        if known and sitting:
            yield _sure("nobody aboard", gone, driver=sitting[0].name)
        elif not known:
            yield _somebody(standing, "nobody aboard", -1)
    if not crew and standing.state.seat != "in":
        yield _somebody(standing, "driver aboard", 1)
    for number, driver in enumerate(crew):
        body = crew_state(question, driver, None).sitting or ()
        other = gone + loads_from(room, body)
        kit = standing.change(standing.counts, number if len(room.aboard) > 1 else standing.crew)
        if body != sitting:
            yield _sure("driver aboard", other, driver=driver.name)
        if np.abs(kit).any():
            yield _sure("plates of another driver", kit, driver=driver.name)
        if body != sitting and np.abs(kit).any():
            yield _sure("driver and plates", other + kit, driver=driver.name)


def _somebody(standing: Standing, kind: CauseKind, sign: int) -> Suspect:
    """A driver of whom the files give no place: somewhere about the middle of the car."""
    said = standing.again.weigh_in.visit.driver_mass or standing.question.weigh_in.visit.driver_mass
    mass, off = said or DRIVER_MASS, 1.0 if said else DRIVER_OFF
    stance, middle = standing.room.stance, standing.question.car.chassis.wheelbase / 2
    along, across = 0.25 * middle, 0.35
    share, (by_aft, by_left) = shares(stance, middle, 0.0), slopes(stance, middle, 0.0)
    parts = np.array([off * share, mass * along * by_aft, mass * across * by_left])
    return Suspect(kind, Where(mass=sign * mass), sign * mass * share, np.asarray(parts.T @ parts))


def _fuel(standing: Standing) -> Iterator[Suspect]:
    """Another amount in a tank; without tanks in the car file, somewhere in the rear half."""
    stance, car = standing.room.stance, standing.question.car
    for tank in car.tanks:
        litres = standing.state.volumes[tank.name][0]
        share = tank.density * shares(stance, tank.behind_front_axle, tank.left_of_centre)
        spread = (TANKS_OFF * tank.volume) ** 2 * np.outer(share, share)
        least, most = (tank.density * (end - litres) for end in (0.0, tank.volume))
        slack = 0.05 * tank.density * tank.volume
        where = Where(tank=tank.name, mass=0.0, volume=litres)
        yield Suspect("fuel", where, np.zeros(4), spread, least - slack, most + slack)
    if not car.tanks:
        length = car.chassis.wheelbase
        spread = _anywhere(standing, 0.8 * length, 0.2 * length, 0.15)
        yield Suspect("fuel", Where(mass=0.0), np.zeros(4), spread)


def _by_rule(standing: Standing) -> Iterator[Suspect]:
    """Success ballast and driver ballast at a place of their own: aboard though nothing says so; or not aboard."""
    again, visit = standing.again, standing.again.weigh_in.visit
    who = again.seated or (again.car.drivers[0] if again.car.drivers else None)
    for piece in prescribed(again, who):
        yield _sure("ballast by rule", loads_from(standing.room, (piece,)))
    aboard = {"success ballast": visit.success_ballast, "driver ballast": visit.driver_ballast}
    clean = again.replace(weigh_in=again.weigh_in.replace(visit=visit.replace(success_ballast=0, driver_ballast=0)))
    for piece in prescribed(clean, who):
        if aboard[piece.name]:
            yield _sure("ballast by rule", loads_from(standing.room, (replace(piece, mass=-aboard[piece.name]),)))


def _unknown(standing: Standing) -> Iterator[Suspect]:
    """Something that the files do not know, anywhere in the car."""
    length = standing.question.car.chassis.wheelbase
    yield Suspect("something else", Where(mass=0.0), np.zeros(4), _anywhere(standing, length / 2, 0.35 * length, 0.4))


def _anywhere(standing: Standing, aft: float, along: float, across: float) -> Array:
    """Covariance of the effect of a mass of which neither mass nor place is known. (4, 4) [kg2]"""
    stance, off = standing.room.stance, UNKNOWN_OFF * float(standing.predicted.sum())
    parts = np.array([shares(stance, aft, 0.0), *_scaled(slopes(stance, aft, 0.0), along, across)])
    return np.asarray(off**2 * parts.T @ parts)


def _scaled(by: tuple[Array, Array], along: float, across: float) -> tuple[Array, Array]:
    return along * by[0], across * by[1]
