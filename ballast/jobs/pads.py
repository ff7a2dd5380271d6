"""Readings put right by what is known of the pads: the one place where a weigh-in is corrected.

`sound` gives the question that planner and scrutineer work on. In order: zero readings off, gains out, the warp and the
slope of the pads off, both sets (as stood first, and turned about) into one.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from ballast.corners import CORNERS
from ballast.errors import Complaint, InputError
from ballast.physics import pads as physics
from ballast.physics.pads import Gains
from ballast.physics.platforms import load_change_on_pads
from ballast.physics.quality import together
from ballast.physics.stance import RECTANGULAR, Stance
from ballast.physics.statics import Array
from ballast.physics.suspension import Springs
from ballast.physics.uncertainty import assumed_covariance
from ballast.planning import stances
from ballast.records.pads import Corrected, Correction, Levels, Shown, StillOff
from ballast.records.question import Question
from ballast.records.weighing import Reading
from ballast.units import Units

PERSON_WAVERS = 0.2
"""How far a reading wavers with a person on the pad. Common practice, no source. [kg]"""
HEIGHT_OFF = 0.05
"""Share by which the height of the centre of gravity in a car file may be off: ISO 10392:2011 calls raising an axle
good to a few percent."""
FLOOR_SLOPES = 0.01
"""Standard deviation of the slope of a floor on which somebody weighs, either way. Common practice, no source. [-]"""
USUAL_HEIGHT = 0.5
"""Height of a centre of gravity to reckon with where nobody gives it. Common practice, no source. [m]"""
WRITTEN = 10
"""Decimals of a corrected reading: with the digits before the point no more than fifteen."""
FINEST = 6
"""Decimals beyond which a reading is taken as exact."""
PER_METRE = 1000.0
"""Millimetres in a metre: levels are written in thousandths."""


@dataclass(frozen=True)
class Examined:
    """A weigh-in and its corrections, in kg and m."""

    first: Array
    """(n, 4), settlings as stood first, corrected by all but the turned set"""
    turned: Array
    """(m, 4), the same turned about; m may be 0"""
    rows: Array
    """(k, 4), what stands for the settlings once corrected: mean and scatter of both sets"""
    gains: Gains | None
    heights: Array | None
    """(4,), of the pads, or what levels say of them"""
    springs: Springs | None
    stance: Stance
    warp_effect: Array
    """(4,), what the warp of the pads puts on the corners; zero where it is not known"""
    what: tuple[Correction, ...]
    still_off: tuple[tuple[str, Array], ...]
    """one standard uncertainty of each cause, by its name"""

    @property
    def corrections(self) -> Array:
        """What the corrections may still be off, one row for each cause. (k, 4) [kg]"""
        return np.array([effect for _, effect in self.still_off]).reshape(-1, 4)


def examine(question: Question) -> Examined:
    """Every correction that a weigh-in allows, made. Raises InputError where no car stands like what that makes."""
    weigh_in, car = question.weigh_in, question.car
    pads, bars = weigh_in.pads, stances.bars_at_weigh_in(question)
    what: list[Correction] = []
    still_off: list[tuple[str, Array]] = []
    empty = np.array(pads.zero.in_order()) if pads.zero else np.zeros(4)
    first, turned = (
        np.array([row.in_order() for row in rows]).reshape(-1, 4) - empty
        for rows in (weigh_in.readings, weigh_in.turned)
    )
    if pads.zero:
        what.append("zero")
        step = pads.resolution / np.sqrt(12)
        still_off += [(f"zero of {corner}", step * row) for corner, row in zip(CORNERS, np.eye(4), strict=True) if step]
    gains = _gains(question, empty)
    if gains is not None and gains.applied.any():
        what.append("gain")
        factor = np.where(gains.applied, gains.gains, 1.0)
        first, turned = first / factor, turned / factor
        still_off += _gains_still_off(gains, first.mean(axis=0))
    stance, springs = stances.stance(car, bars), stances.springs_of(car, bars)
    heights, errors = _heights(question, stance.patches)
    height = car.chassis.centre_of_gravity_height
    warp_effect = np.zeros(4)
    if heights is not None:
        loads = first.mean(axis=0)

        def effects(of: Array) -> Array:
            """What pads at these heights put on the corners: by their warp, by their slope. (2, 4) [kg]"""
            by = np.zeros((2, 4))
            if springs:
                by[0] = load_change_on_pads(springs, of)
            if height:
                by[1] = physics.slope_effect(stance, loads, height, *physics.slopes_of(stance.patches, of))
            return by

        def on_the_mean(of: Array) -> Array:
            """The same on the mean of both sets, where the car was turned about. (2, 4) [kg]"""
            return (effects(of) + effects(physics.turned_about(of))) / 2 if len(turned) else effects(of)

        warp_effect = effects(heights)[0]
        first = first - effects(heights).sum(axis=0)
        turned = turned - effects(physics.turned_about(heights)).sum(axis=0)
        what += ["heights"] if springs else []
        what += ["slope"] if height else []
        still_off += [(name, on_the_mean(error).sum(axis=0)) for name, error in errors]
        by_warp, by_slope = on_the_mean(heights)
        still_off.append(("rates of the springs", RECTANGULAR * car.suspension.rates_within * by_warp))
        still_off.append(("height of the centre of gravity", HEIGHT_OFF * by_slope))
    if len(turned):
        what.append("turned")
    rows = together(first, turned) if len(turned) else first
    if complaints := [*_unsound(rows, first, turned, stance, height or USUAL_HEIGHT)]:
        raise InputError(complaints)
    causes = tuple((name, effect) for name, effect in still_off if effect.any())
    return Examined(first, turned, rows, gains, heights, springs, stance, warp_effect, tuple(what), causes)


def _unsound(rows: Array, first: Array, turned: Array, stance: Stance, height: float) -> Iterator[Complaint]:
    """What corrected readings cannot be: nothing on a corner, or a turned set with corners exchanged.

    rows : (k, 4), of both sets together; first, turned : (n, 4), (m, 4) [kg]; height : of the centre of gravity [m].
    A slope of the floor does the opposite to the two sets, and explains so much of their difference and no more.
    """
    if (rows <= 0).any():
        corner = CORNERS[int(np.argmin(rows.min(axis=0)))]
        fix = "check [pads.zero], [[pads.known_mass]], [pads.heights] or [pads.levels], and their units."
        yield Complaint(f"corrected for its pads, the car would weigh nothing on {corner}", fix, "[pads]")
    elif len(turned):
        was, now = first.mean(axis=0), turned.mean(axis=0)
        by_slope = [2 * physics.slope_effect(stance, was, height, *FLOOR_SLOPES * way) for way in np.eye(2)]
        covariance = assumed_covariance(was, stance.patches) * (1 / len(first) + 1 / len(turned))
        covariance = covariance + sum(np.outer(effect, effect) for effect in by_slope)
        for exchange in physics.exchanged(now, was, covariance)[:1]:
            pairs = " and ".join(f"{one} with {other}" for one, other in exchange.pairs)
            yield Complaint(
                f"no floor makes this set so unlike the first one; with {pairs} exchanged in it, it would be like it",
                "write each number under the corner of the car that stood on the pad: LF is the left front wheel in "
                "both sets, wherever its pad lay.",
                "[[turned]]",
            )


def sound(question: Question) -> Question:
    """The question with corrected readings, one for each settling, and a record of what was corrected.

    What the corrections are made from is gone from it, so that nothing is corrected twice; what the pads showed is kept
    in [pads.corrected], and so is what the corrections may still be off.
    """
    weigh_in = question.weigh_in
    pads = weigh_in.pads
    if pads.corrected or not (pads.zero or pads.known_mass or pads.heights or pads.levels or weigh_in.turned):
        return question
    found, units = examine(question), weigh_in.units.units()
    corrected = Corrected(
        what=found.what,
        as_read=tuple(Shown(**dict(zip(CORNERS, row, strict=True))) for row in weigh_in.as_read()),
        still_off=tuple(StillOff(what=name, **_by_corner(effect, units)) for name, effect in found.still_off),
    )
    return question.replace(
        weigh_in=weigh_in.replace(
            readings=tuple(Reading(**_by_corner(row, units)) for row in found.rows),
            turned=(),
            pads=pads.replace(zero=None, known_mass=(), heights=None, levels=None, corrected=corrected),
        )
    )


def _by_corner(row: Array, units: Units) -> dict[str, float]:
    """Loads by corner, with as many decimals of the user's unit as a file takes there and back."""
    shown = (round(units.outside(float(load), "mass"), WRITTEN) for load in row)
    return {corner: units.inside(load, "mass") for corner, load in zip(CORNERS, shown, strict=True)}


def _gains(question: Question, empty: Array) -> Gains | None:
    """Gains from the known masses, where there are any."""
    pads = question.weigh_in.pads
    rows = pads.known_mass
    if not rows:
        return None
    shown = np.array([row.in_order() for row in rows]) - empty
    on = [CORNERS.index(row.on) for row in rows]
    known = rows[0].mass is not None
    wavers = [0.0 if known else PERSON_WAVERS if row.within is None else row.within for row in rows]
    step = pads.resolution or step_as_written([row.in_order() for row in rows], question.weigh_in.units.units())
    display = 2 * step**2 / 12  # of the reading, and of the zero before it
    return physics.gains(
        on,
        shown[np.arange(len(rows)), on],
        [np.nan if row.mass is None else row.mass for row in rows],
        np.sqrt(np.square(wavers) / 3 + display),
        max((row.within or 0.0) / row.mass if row.mass else 0.0 for row in rows),
    )


def step_as_written(readings: Iterable[Iterable[float]], units: Units) -> float:
    """The last digit that readings are written with, for pads whose step nobody states. readings, and returned: [kg]"""
    written = [units.outside(load, "mass") for reading in readings for load in reading]
    decimals = next((d for d in range(FINEST) if all(abs(x - round(x, d)) < 1e-9 for x in written)), FINEST)
    return units.inside(10.0**-decimals, "mass")


def _gains_still_off(gains: Gains, loads: Array) -> Iterator[tuple[str, Array]]:
    """What gains leave uncertain at the loads of the car: each by itself, and the mass they all come from."""
    applied = np.where(gains.applied, loads, 0.0)
    for pad, corner in enumerate(CORNERS):
        if gains.applied[pad]:
            yield f"gain of {corner}", applied * np.eye(4)[pad] * gains.uncertain[pad] / gains.gains[pad]
    yield "known mass", applied * gains.common


def _heights(question: Question, patches: Array) -> tuple[Array | None, list[tuple[str, Array]]]:
    """Heights of the pads, and by how much one standard uncertainty of each measurement would change them. [m]"""
    pads = question.weigh_in.pads
    if pads.heights:
        off = RECTANGULAR * pads.heights.within
        errors = [(f"height of {corner}", off * row) for corner, row in zip(CORNERS, np.eye(4), strict=True)]
        return np.array(pads.heights.in_order()), errors
    if pads.levels:
        off = RECTANGULAR * pads.levels.within / PER_METRE
        cases = {"front level": (off, 0.0, 0.0), "rear level": (0.0, off, 0.0)}
        if pads.levels.fore_aft is not None:
            cases["level along the car"] = (0.0, 0.0, off)
        errors = [(name, physics.heights_of_levels(patches, *slopes)) for name, slopes in cases.items()]
        return physics.heights_of_levels(patches, *_slopes(pads.levels)), errors
    return None, []


def _slopes(levels: Levels) -> tuple[float, float, float]:
    """What the level showed, as slopes. [-]"""
    return levels.front / PER_METRE, levels.rear / PER_METRE, (levels.fore_aft or 0.0) / PER_METRE
