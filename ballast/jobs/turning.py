"""What a turn of each spring platform does: known turns of the car itself, or its springs."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ballast.corners import CORNERS, REAR, Corner
from ballast.errors import Complaint
from ballast.physics import platforms as physics
from ballast.physics import turns
from ballast.physics.statics import Array, warp
from ballast.physics.suspension import Springs
from ballast.physics.turns import Platforms
from ballast.planning.stances import bars_at_weigh_in, patches, springs_of
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.suspension import Bars

KEYS = ("lift_per_turn", "load_per_turn", "turns_up", "turns_down")


@dataclass(frozen=True)
class Turning:
    """What is known of turning the platforms of a car, in one state of its bars. Arrays are in the order of CORNERS."""

    null: Array
    """the warp, (4,) [-]"""
    platforms: Platforms
    by_turn: Array
    """load that one turn up puts on its own wheel, (4,); 0 where not known [kg]"""
    taught: tuple[bool, ...]
    """whether that is from known turns"""
    springs: Springs | None
    lift: Array
    """of one turn, (4,), not a number where not known [m]"""
    step: float
    """[turns]"""
    other_bars: Bars | None
    """the bars with which known turns were made, where they are of no use for that"""
    bars_unsaid: bool
    """known turns do not say how the bars were, and the car has one: springs, where known, go before them"""

    @property
    def rise_by_turn(self) -> Array | None:
        """Row i how far one turn up of platform i raises the chassis above each pad. (4, 4) [m]"""
        rise = self.platforms.rise_by_step
        return None if rise is None else np.asarray(rise / self.step)


def turning(car: Car, bars: Bars | None) -> Turning | None:
    """What a turn of each platform does, from known turns with the same bars or from the springs; none where neither.

    bars : as the weigh-in says, if it does. Known turns that do not say how the bars were stand back behind springs,
    where the car has a bar.
    """
    suspension, null, springs = car.suspension, warp(patches(car)), springs_of(car, bars or "disconnected")
    measured = suspension.measured_with_bars
    lift, taught, up, down = (np.array([of_wheel(car, corner, key) for corner in CORNERS], dtype=float) for key in KEYS)
    reckoned = np.full(4, np.nan) if springs is None else physics.platform_sensitivity(springs) * lift
    sure = measured == bars or (not suspension.has_bars and (measured is None or bars is None))
    use = ~np.isnan(taught) & (sure | (np.isnan(reckoned) & (measured is None)))
    by_turn = np.where(use, taught / null, reckoned)
    usable = ~np.isnan(by_turn)
    if not usable.any():
        return None
    step = suspension.platforms.step
    rise = None
    if springs is not None and not np.isnan(lift[usable]).any():
        rise = physics.rise(springs, np.diag(np.where(usable, lift, 0.0) * step))
    whole = [np.where(usable, np.floor(np.where(np.isnan(t), np.inf, t) / step + turns.HAIR), 0.0) for t in (up, down)]
    by_turn = np.where(usable, by_turn, 0.0)
    return Turning(
        null=null,
        platforms=Platforms(by_step=by_turn * step, rise_by_step=rise, up=whole[0], down=whole[1]),
        by_turn=by_turn * null,
        taught=tuple(map(bool, use)),
        springs=springs,
        lift=lift,
        step=step,
        other_bars=measured if not np.isnan(taught).all() and measured not in (None, bars) and bars else None,
        bars_unsaid=not np.isnan(taught).all() and measured is None and suspension.has_bars,
    )


def of_wheel(car: Car, corner: Corner, key: str) -> float:
    """A key of the axle, for one of its wheels; not a number where it is left out."""
    axle = car.suspension.rear if corner in REAR else car.suspension.front
    value = None if axle is None else getattr(axle, key)
    if isinstance(value, tuple):
        value = value[corner[0] == "R"]
    return float("nan") if value is None else float(value)


def nothing_known(question: Question, known: Turning | None, files: tuple[str, str]) -> Iterator[Complaint]:
    """Without springs and without known turns there is nothing to reckon with; what to do about it."""
    if known is not None:
        return
    suspension, bars = question.car.suspension, bars_at_weigh_in(question)
    taught = any(axle is not None and axle.load_per_turn for axle in (suspension.front, suspension.rear))
    if taught and not suspension.has_springs:
        yield Complaint(
            f"load_per_turn was measured with the bars {suspension.measured_with_bars}, and the car was weighed with "
            f"them {bars}: a turn does not do the same then",
            f"weigh with the bars {suspension.measured_with_bars}, or turn a known number of turns with them {bars} "
            "(`ballast trial`).",
            "[weigh_in] bars",
            f'"{bars}"',
            files[1],
        )
    elif suspension.has_springs:
        yield Complaint(
            "is missing: how far one turn lifts a platform is the pitch of its thread",
            "measure ten turns and write a tenth below [suspension.front] and [suspension.rear].",
            "[suspension] lift_per_turn",
            file=files[0],
        )
    else:
        yield Complaint(
            "says neither springs nor what a turn does, so nothing tells how far to turn",
            "turn one platform of each axle a known number of turns, weigh before and after (`ballast trial`), and "
            "write load_per_turn below [suspension.front] and [suspension.rear]; or write springs, motion_ratio and "
            "lift_per_turn there.",
            "[suspension]",
            file=files[0],
        )
