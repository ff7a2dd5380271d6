"""Ride height lost to ballast, and the turns of the platforms that give it back."""

import numpy as np

from ballast.jobs.turning import turning
from ballast.jobs.winding import by_corner
from ballast.physics import platforms as physics
from ballast.physics import turns
from ballast.physics.statics import ON_DIAGONAL, Array
from ballast.physics.suspension import lowering
from ballast.planning.stances import springs_of
from ballast.records.car import Car
from ballast.records.suspension import Bars
from ballast.records.turns import CornerHeights, CornerTurns, HeightBack


def height_back(car: Car, bars: Bars | None, masses: Array, places: Array, total: float) -> HeightBack | None:
    """What masses put on (or taken off) do to the ride height, and the turns that give it back in whole steps.

    masses : (n,) [kg]; places : (n, 2), aft and left [m]; total : mass of the car with them [kg].
    None where the springs are not known.
    """
    springs, known = springs_of(car, bars or "disconnected"), turning(car, bars)
    if springs is None:
        return None
    aft, left = np.asarray(places, dtype=float).reshape(-1, 2).T
    lost = -lowering(springs, masses, aft, left).sum(axis=0)
    if known is None or np.isnan(known.lift).any() or known.platforms.rise_by_step is None:
        return HeightBack(lost=CornerHeights(**by_corner(lost)), turns=None, left_over=None, diagonal_points=0.0)
    exact = physics.lifts_that_give_back(springs, masses, aft, left).sum(axis=0) / known.lift / known.step
    steps = turns.whole_steps(known.platforms, exact)
    rise = known.platforms.rise(steps)
    moved = known.platforms.load(steps) * float(known.null @ ON_DIAGONAL["RF+LR"]) / total
    return HeightBack(
        lost=CornerHeights(**by_corner(lost)),
        turns=CornerTurns(**by_corner(np.array(steps) * known.step)),
        left_over=CornerHeights(**by_corner(lost + (0.0 if rise is None else rise))),
        diagonal_points=moved,
    )
