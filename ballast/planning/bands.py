"""The targets as linear forms of the corner loads, each with its guard."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from ballast.physics.quality import Repeatability
from ballast.physics.statics import ON_DIAGONAL, ON_FRONT, ON_LEFT, ON_REAR, REAR_PAIR, Array
from ballast.records.plan import Figure
from ballast.records.question import Question
from ballast.records.wishes import Aim, Wishes

Total = TypeVar("Total", float, Array)


@dataclass(frozen=True)
class Band:
    """One target as a linear form: corners @ loads - aim * total is the distance from the aim, in kg."""

    figure: Figure
    corners: Array
    """weights of the corner loads, (4,)"""
    aim_share: float
    aim_mass: float
    half_width: float
    """as a share of the total for percentages, in kg for the rear pair"""
    guard: float
    weight: float
    is_mass: bool
    by_ballast: bool

    def distance(self, loads: Array) -> Array:
        """Distance from the aim, signed. loads : (..., 4). [kg]"""
        return np.asarray(loads @ self.corners - self.aim_share * loads.sum(axis=-1) - self.aim_mass)

    def narrowed(self, total: Total) -> Total:
        """Half width less the guard, for a car of this total, or for each of many. [kg]"""
        width = self.half_width - self.guard
        return width + 0.0 * total if self.is_mass else width * total

    def miss(self, loads: Array) -> float:
        """Distance outside the narrowed band, as a share of the car's own total. loads : (4,)"""
        total = float(loads.sum())
        return max(0.0, abs(float(self.distance(loads))) - self.narrowed(total)) / total


def bands(question: Question, repeat: Repeatability) -> tuple[Band, ...]:
    """The targets as linear forms, each narrowed by its guard.

    The guard is a factor times the standard uncertainty of that figure: a plan parked on the edge of its band is a coin
    toss at the re-weigh. The balance resolution comes on top, since a plan that is best to the resolution may lie that
    far outside the narrowed band. Together they are at most half of `within`.
    """
    targets, factor = question.car.targets, question.wishes.guard_factor
    spread = repeat.factor if factor is None else factor
    total = float(np.mean([sum(reading.in_order()) for reading in question.weigh_in.readings]))
    least = balance_resolution(question.wishes, repeat)

    def guard_for(uncertainty: float, within: float, floor: float) -> float:
        return min(spread * uncertainty + floor, within / 2)

    found = []
    shares: tuple[tuple[Figure, Aim | None, Array, float], ...] = (
        ("front", targets.front, ON_FRONT, repeat.front),
        ("rear", targets.rear, ON_REAR, repeat.front),
        ("left", targets.left, ON_LEFT, repeat.left),
        *([(d.corners, d, ON_DIAGONAL[d.corners], repeat.diagonal)] if (d := targets.diagonal) else []),
    )
    for figure, aim, corners, uncertainty in shares:
        if aim:
            by_ballast = not (targets.diagonal is aim and targets.diagonal.by == "platforms")
            guard = guard_for(uncertainty, aim.within, least)
            found.append(Band(figure, corners, aim.aim, 0.0, aim.within, guard, aim.weight, False, by_ballast))
    if pair := targets.rear_pair:
        guard = guard_for(repeat.rear_pair, pair.within, least * total)
        found.append(
            Band("rear pair", REAR_PAIR, 0.0, pair.aim, pair.within, guard, pair.weight, True, pair.by == "ballast")
        )
    return tuple(found)


def balance_resolution(wishes: Wishes, repeat: Repeatability) -> float:
    """The balance resolution in force, a share: as asked for, but no finer than the weighing can tell.

    Where the weighing tells less than the default resolution, the default stands: the guard already keeps the distance.
    """
    tells = min(repeat.front, repeat.left, repeat.diagonal, Wishes().balance_resolution)
    return max(wishes.balance_resolution, tells)
