"""What the scales say, and whether it is good enough to plan on."""

from collections.abc import Iterator

import numpy as np

from ballast.corners import CORNERS, Corner
from ballast.jobs.pads import USUAL_HEIGHT, Examined, examine, sound
from ballast.jobs.standing import both_diagonals, case_loads
from ballast.jobs.unevenness import unevenness
from ballast.physics import quality
from ballast.physics.instruments import class_iii_error, pad_covariance
from ballast.physics.pads import Gains, frozen, light
from ballast.physics.stance import RECTANGULAR
from ballast.physics.statics import (
    Array,
    diagonal_share,
    equal_front_diagonal,
    front_share,
    left_share,
    same_front_share_diagonal,
)
from ballast.physics.uncertainty import COVERAGE, settling_covariance, uncertainties
from ballast.records.question import Question
from ballast.records.weighed import (
    CaseLoads,
    CornerLoads,
    DiagonalAims,
    OutlyingSettling,
    PadProved,
    Proof,
    Repeat,
    Spread,
    ToDo,
    Turned,
    Unevenness,
    Weighed,
    Within,
)
from ballast.records.weighing import WeighIn
from ballast.scrutineering.inspection import inspect_weighed

USUAL_TOTAL, USUAL_FRONT, USUAL_LEFT, USUAL_DIAGONAL = 0.001, 0.002, 0.002, 0.005
"""What a weighing has to be good to where the car file has no target: the total as a share of itself, percentages as
shares. Common practice, no source; the diagonal is usually wanted within half a point."""
ENOUGH = 3
"""Settlings that are asked for."""


def weigh(question: Question) -> Weighed:
    """Mean of the settlings, corrected, their spread, and whether to plan on it; in the car file's units."""
    car, weigh_in, found, corrected = question.car, question.weigh_in, examine(question), sound(question)
    pads, patches = corrected.weigh_in.pads, found.stance.patches
    mean, each = found.rows.mean(axis=0), _about_one_mean(found)
    measured = _case(question, "as weighed", mean)
    front, left = measured.front_percent, measured.left_percent
    uneven, repeats = unevenness(question, found), repeat(corrected.weigh_in)
    uncertain = _uncertain(mean, settling_covariance(found.rows, patches) + _of_the_pads(corrected, mean))
    wanted = _wanted(question, measured.total)
    still = frozen(weigh_in.as_read(), pads.resolution)
    apart = tuple(_outlying(each))
    return Weighed(
        units=car.units,
        car=car.chassis.name,
        measured=measured,
        settlings=tuple(_case(question, f"settling {number}", loads) for number, loads in enumerate(each, start=1)),
        spread=Spread(
            total=float(np.ptp(each.sum(axis=1))),
            front_percent=float(np.ptp(front_share(each))),
            left_percent=float(np.ptp(left_share(each))),
            diagonal_percent=float(np.ptp(diagonal_share(each, "RF+LR"))),
        ),
        repeat=repeats,
        diagonal_aims=DiagonalAims(
            half=both_diagonals(0.5),
            same_front_share=both_diagonals(1 - same_front_share_diagonal(front, left)),
            equal_front_wheels=both_diagonals(1 - equal_front_diagonal(left)),
        ),
        findings=inspect_weighed(corrected) if question.rulebook else (),
        corrected=pads.corrected.what if pads.corrected else (),
        correction=_by_corner(mean - np.mean(weigh_in.as_read(), axis=0)) if pads.corrected else None,
        uncertain=uncertain,
        pads_known=bool(pads.resolution or pads.accuracy or pads.instrument or pads.gain_within or found.gains),
        wanted=wanted,
        to_do=tuple(_to_do(len(each), light(mean), still, apart, found.gains, uneven, repeats, uncertain, wanted)),
        light=light(mean),
        settlings_needed=_needed(found, wanted),
        frozen=still,
        outlying=apart,
        proof=_proof(question, found),
        unevenness=uneven,
        turned=_turned(question, found),
        bars=weigh_in.visit.bars,
        checklist=weigh_in.checked is not None,
        unticked=tuple(_unticked(weigh_in)),
    )


def repeat(weigh_in: WeighIn) -> Repeat:
    """How well the total and the percentages of a weigh-in repeat."""
    found = quality.repeatability([reading.in_order() for reading in weigh_in.readings])
    return Repeat(
        settlings=found.settlings,
        assumed=found.assumed,
        factor=found.factor,
        total=found.total,
        front_percent=found.front,
        left_percent=found.left,
        diagonal_percent=found.diagonal,
        rear_pair=found.rear_pair,
    )


def _case(question: Question, name: str, loads: Array) -> CaseLoads:
    return case_loads(name, question.car, loads, question.car.chassis.centre_of_gravity_height)


def _by_corner(loads: Array) -> CornerLoads:
    return CornerLoads(**dict(zip(CORNERS, map(float, loads), strict=True)))


def _about_one_mean(found: Examined) -> Array:
    """Settlings of both sets, what the site does taken out of each: (n + m, 4), turned ones last. [kg]"""
    if not len(found.turned):
        return found.first
    mean = (found.first.mean(axis=0) + found.turned.mean(axis=0)) / 2
    return np.vstack([rows - rows.mean(axis=0) + mean for rows in (found.first, found.turned)])


# --- how good it is ------------------------------------------------------------------------------------------------


def _of_the_pads(corrected: Question, loads: Array) -> Array:
    """Covariance from the pads themselves and from what corrections leave uncertain. (4, 4) [kg2]"""
    pads = corrected.weigh_in.pads
    accuracy = np.full(4, pads.accuracy)
    if pads.instrument and pads.interval:
        accuracy = class_iii_error(loads, pads.interval, pads.instrument == "class III in service")
    gain = RECTANGULAR * (pads.gain_within or 0.0)
    return pad_covariance(loads, pads.resolution, accuracy, gain, np.array(pads.still_off()))


def _uncertain(loads: Array, covariance: Array) -> Within:
    """Half of the 95 % interval of each figure."""
    return _within(COVERAGE * uncertainties(loads, covariance)[:4])


def _within(of: Array) -> Within:
    """Total, front, left and diagonal as a record. of : (4,)."""
    total, front, left, diagonal = map(float, of)
    return Within(total=total, front_percent=front, left_percent=left, diagonal_percent=diagonal)


def _wanted(question: Question, total: float) -> Within:
    """What the targets ask for, else what is usual."""
    targets = question.car.targets
    front = targets.front or targets.rear
    return Within(
        total=USUAL_TOTAL * total,
        front_percent=front.within if front else USUAL_FRONT,
        left_percent=targets.left.within if targets.left else USUAL_LEFT,
        diagonal_percent=targets.diagonal.within if targets.diagonal else USUAL_DIAGONAL,
    )


def _to_do(
    settlings: int,
    too_light: Corner | None,
    still: tuple[Corner, ...],
    apart: tuple[OutlyingSettling, ...],
    gains: Gains | None,
    uneven: Unevenness | None,
    repeats: Repeat,
    uncertain: Within,
    wanted: Within,
) -> Iterator[ToDo]:
    """What to do before anybody plans on this, the most worth first."""
    if too_light:
        yield "light pad"
    if still:
        yield "frozen pad"
    if apart:
        yield "read again"
    if gains is not None and (gains.differs & ~gains.applied).any():
        yield "try all pads"
    if uneven:
        packs = uneven.packing is None or any(getattr(uneven.packing, corner) for corner in CORNERS)
        if packs and (uneven.warp_points is None or abs(uneven.warp_points) > wanted.diagonal_percent):
            yield "pack the pads"
        by_slope = (uneven.slope_left_points, wanted.left_percent), (uneven.slope_front_points, wanted.front_percent)
        scale = 1.0 if uneven.slope_corrected else USUAL_HEIGHT / uneven.height
        if not uneven.slope_corrected and any(abs(scale * points) > most for points, most in by_slope):
            yield "level the pads"
    if settlings < ENOUGH:
        yield "three settlings"
    pairs = [(getattr(uncertain, name), getattr(wanted, name), getattr(repeats, name)) for name in Within.model_fields]
    if settlings >= ENOUGH and any(repeats.factor * one > most for _, most, one in pairs):
        yield "settle again"
    elif settlings >= ENOUGH and any(wide > most for wide, most, _ in pairs):
        yield "prove the pads"


def _needed(found: Examined, wanted: Within) -> int | None:
    if len(found.rows) < 2:
        return None
    asked = (wanted.total, wanted.front_percent, wanted.left_percent, wanted.diagonal_percent)
    return quality.settlings_needed(found.rows, asked)


def _outlying(rows: Array) -> Iterator[OutlyingSettling]:
    for one in quality.outlying(rows):
        yield OutlyingSettling(
            dimension="mass" if one.figure == "total" else "percent",
            settling=one.settling + 1,
            figure=one.figure,
            value=one.value,
            others=one.others,
        )


# --- what was tried on the pads ------------------------------------------------------------------------------------


def _proof(question: Question, found: Examined) -> Proof | None:
    gains, rows = found.gains, question.weigh_in.pads.known_mass
    if gains is None:
        return None
    masses = [row.mass for row in rows if row.mass is not None]
    return Proof(
        known=bool(masses),
        mass=max(masses) if masses else None,
        pads=tuple(
            PadProved(
                corner=corner,
                gain=float(gains.gains[pad]),
                uncertain=float(np.hypot(gains.uncertain[pad], gains.common)),
                applied=bool(gains.applied[pad]),
            )
            for pad, corner in enumerate(CORNERS)
            if corner in {row.on for row in rows}
        ),
    )


def _turned(question: Question, found: Examined) -> Turned | None:
    """Both sets side by side, and half of their difference."""
    if not len(found.turned):
        return None
    sets = (found.first, found.turned)
    figures, scatter = [], []
    for rows in sets:
        mean, one = rows.mean(axis=0), quality.repeatability(rows)
        figures.append(
            np.array([mean.sum(), front_share(mean), left_share(mean), diagonal_share(mean, "RF+LR")], dtype=float)
        )
        scatter.append(np.array([one.total, one.front, one.left, one.diagonal]))
    count = len(found.first) + len(found.turned)
    factor = quality.student(count - 1) if count > 2 else quality.ASSUMED_FACTOR  # scatter pooled about two means
    return Turned(
        settlings=(len(found.first), len(found.turned)),
        first=_case(question, "as stood first", found.first.mean(axis=0)),
        turned=_case(question, "turned about", found.turned.mean(axis=0)),
        scatter=(_within(scatter[0]), _within(scatter[1])),
        bias=_within((figures[0] - figures[1]) / 2),
        bias_uncertain=_within(factor * np.hypot(scatter[0], scatter[1]) / 2),
    )


def _unticked(weigh_in: WeighIn) -> Iterator[str]:
    """What the checklist does not tick and no other table shows."""
    pads = weigh_in.pads
    tried = {row.on for row in pads.known_mass} == set(CORNERS)
    shown = {
        "pads_at_corners": tried,
        "known_mass": tried,
        "zeroed": pads.zero is not None,
        "pads_level": pads.heights is not None or pads.levels is not None,
    }
    yield from (key for key in (weigh_in.checked.unticked() if weigh_in.checked else ()) if not shown.get(key))
