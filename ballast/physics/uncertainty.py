"""How far each figure may be off: what pads, settlings, plates, tape and roll share do to loads and percentages.

Uncertainties are standard uncertainties, carried as covariances of the four corner loads, order CORNERS [kg2].
Contributions that have nothing to do with each other are added: `settling_covariance` + `instruments.pad_covariance`.
First order throughout. Source of all propagation: JCGM 100:2008, 5.2.2, eq. 13 and 16.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics import quality
from ballast.physics.stance import RECTANGULAR, Stance, shares, slopes, warp_within
from ballast.physics.statics import ON_DIAGONAL, ON_FRONT, ON_LEFT, ON_REAR, REAR_PAIR, Array, warp

FIGURES = ("total", "front", "left", "RF+LR", "rear pair")
"""Order of the rows of `figures` and of the entries of `uncertainties`; kg, share, share, share, kg."""

ASSUMED = (quality.ASSUMED_FRONT, quality.ASSUMED_LEFT, quality.ASSUMED_DIAGONAL)

COVERAGE = 2.0
"""Factor from a standard uncertainty to a 95 % interval, everywhere after `settling_covariance`."""


@dataclass(frozen=True)
class Changes:
    """Masses put on and taken off between the weighing and the state foreseen, one entry for each mass at a place.

    What was weighed once is wrong everywhere by as much: entries of one `piece` share one error of mass, in proportion
    to their own uncertainty, upwards where the mass is put on and downwards where it is taken off, so that a plate only
    moved leaves the total certain. What was taped once is wrong by as much for all that stands there: entries of one
    `mount` share their errors of place. Entries whose names differ are independent.
    """

    masses: ArrayLike
    """(n,), negative for what is taken off; of several plates, all of them together. [kg]"""
    places: ArrayLike
    """(n, 2), aft and left. [m]"""
    mass_uncertainties: ArrayLike
    """(n,), of the entry: for 4 plates of one kind, 4 times that of a plate. [kg]"""
    place_uncertainties: ArrayLike
    """(n, 2), aft and left, independent of each other. [m]"""
    pieces: ArrayLike
    """(n,), names or numbers: what was weighed together, such as the kind of plate"""
    mounts: ArrayLike
    """(n,), names or numbers: what was taped together"""


def propagate(jacobian: ArrayLike, covariance: ArrayLike) -> Array:
    """Covariance of outputs, from that of the inputs.

    jacobian : (m, n), output i by input j; covariance : (n, n), inputs.
    Returns (m, m), symmetric.
    Source: JCGM 100:2008, 5.2.2, eq. 13 (16 with correlation coefficients), for several outputs as in H.2.
    """
    slopes = np.asarray(jacobian, dtype=float)
    outputs = slopes @ np.asarray(covariance, dtype=float) @ slopes.T
    return np.asarray((outputs + outputs.T) / 2)


def figures(loads: ArrayLike) -> Array:
    """How each figure moves with each corner load: the jacobian of FIGURES.

    loads : (4,) [kg].
    Returns (5, 4): total [-], front, left, RF+LR [1/kg], rear pair LR - RR [-]. LF+RR is as uncertain as RF+LR.
    Source: derivative of p = X / T, (1 - p) / T at a corner that counts and -p / T at the others.
    """
    mean = np.asarray(loads, dtype=float)
    total = mean.sum()
    counted = np.array([ON_FRONT, ON_LEFT, ON_DIAGONAL["RF+LR"]])
    shares = (counted - (counted @ mean / total)[:, np.newaxis]) / total
    return np.vstack([np.ones(4), shares, REAR_PAIR])


def uncertainties(loads: ArrayLike, covariance: ArrayLike) -> Array:
    """Standard uncertainty of each of FIGURES. loads : (4,) [kg]; covariance : (4, 4) [kg2]. Returns (5,)."""
    variances = np.diag(propagate(figures(loads), covariance))
    return np.asarray(np.sqrt(np.maximum(variances, 0.0)))  # a common gain cancels, and may round to below nothing


def settling_covariance(readings: ArrayLike, patches: ArrayLike) -> Array:
    """Covariance of the mean corner loads from the scatter of the settlings, for use with k = 2.

    readings : (n, 4) or (4,), one row for each settling [kg]; patches : (4, 2) [m].
    Returns (4, 4). [kg2]
    With n >= 2 the standard uncertainties are widened by Student's factor over 2 (n = 3: 4.30 / 2 = 2.15), so that
    twice them is the 95 % interval of so few settlings and they can be added to others. With one: `assumed_covariance`.
    Source: JCGM 100:2008, 5.2.3, eq. 17 and G.3; widening in place of G.4's effective degrees of freedom is common
    practice, no source.
    """
    rows = np.atleast_2d(np.asarray(readings, dtype=float))
    if len(rows) == 1:
        return assumed_covariance(rows[0], patches)
    widened = quality.student(len(rows)) / COVERAGE
    return np.asarray(widened**2 * quality.covariance_of_the_mean(rows))


def assumed_covariance(loads: ArrayLike, patches: ArrayLike) -> Array:
    """Covariance of a single settling: gives total, front, left and RF+LR the uncertainties that `quality` assumes.

    loads : (4,) [kg]; patches : (4, 2) [m]. Returns (4, 4). [kg2]
    Four independent causes: all loads in proportion, front against rear, left against right, and warp. Warp takes what
    the diagonal asks; with unequal tracks it moves left % a little, and left against right takes only the rest of that.
    Beyond tracks of 5 to 3 there is no rest, and left is as uncertain as warp makes it, which is more than assumed.
    Common practice, no source.
    """
    mean = np.asarray(loads, dtype=float)
    total = mean.sum()
    causes = np.column_stack([mean / total, ON_FRONT - ON_REAR, 2 * ON_LEFT - 1, warp(patches)])
    wanted = np.square([quality.ASSUMED_TOTAL * total, *ASSUMED])
    variances = np.linalg.solve(np.square(figures(mean)[:4] @ causes), wanted)
    return np.asarray(causes * np.maximum(variances, 0.0) @ causes.T)


def predicted_covariance(
    weighed: ArrayLike,
    changes: Changes,
    stance: Stance,
) -> Array:
    """Covariance of the corner loads foreseen after changes: of the loads as weighed, plus all that is new.

    weighed : (4, 4), of the loads as weighed [kg2], zeros for the changes alone; stance : how the car divides a mass,
    and how far that may be off.
    Returns (4, 4). [kg2]
    To ask what the same pads will show, give the scatter of the settlings, before and again at the re-weigh, and leave
    `instruments.pad_covariance` out: what is wrong with the pads is then on both sides.
    Neglects products of two errors, and what the stance neglects. Source: JCGM 100:2008, eq. 13.
    """
    masses = np.asarray(changes.masses, dtype=float).reshape(-1)
    aft, left = np.asarray(changes.places, dtype=float).reshape(-1, 2).T
    u_aft, u_left = np.asarray(changes.place_uncertainties, dtype=float).reshape(-1, 2).T
    u_mass = np.where(masses < 0, -1.0, 1.0) * np.asarray(changes.mass_uncertainties, dtype=float).reshape(-1)
    by_aft, by_left = slopes(stance, aft, left)
    springs = RECTANGULAR * warp_within(stance, masses, aft, left)
    causes = np.vstack(
        [
            _shared(u_mass[:, np.newaxis] * shares(stance, aft, left), changes.pieces),
            _shared((masses * u_aft)[:, np.newaxis] * by_aft, changes.mounts),
            _shared((masses * u_left)[:, np.newaxis] * by_left, changes.mounts),
            np.outer(springs, warp(stance.patches)),
        ]
    )
    return np.asarray(np.asarray(weighed, dtype=float) + causes.T @ causes)


def _shared(effects: Array, names: ArrayLike) -> Array:
    """Effects of one standard uncertainty each, (n, 4), added up over entries that share one error. (groups, 4)"""
    groups, index = np.unique(np.asarray(names).reshape(-1), return_inverse=True)
    summed = np.zeros((len(groups), 4))
    np.add.at(summed, index, effects)
    return summed


def chance_below(value: float, limit: float, uncertainty: float) -> float:
    """Chance that what was found to be `value` is in truth below `limit`, all three in one unit.

    A certain value (uncertainty 0) is below or it is not; on the limit is not below. Raises ValueError below 0.
    Source: normal distribution, justified for a sum of several causes (JCGM 100:2008, G.2).
    """
    if uncertainty < 0:
        raise ValueError(f"an uncertainty of {uncertainty} is below nothing")
    if uncertainty == 0:
        return float(value < limit)
    return math.erfc((value - limit) / (uncertainty * math.sqrt(2))) / 2


def chance_inside(value: float, low: float, high: float, uncertainty: float) -> float:
    """Chance that what was found to be `value` is in truth from `low` to `high`, all four in one unit.

    A certain value on either edge is inside. Raises ValueError for high below low, or an uncertainty below 0.
    Source: as `chance_below`.
    """
    if high < low:
        raise ValueError(f"nothing lies between {low} and {high}")
    if uncertainty == 0:
        return float(low <= value <= high)
    return max(0.0, chance_below(value, high, uncertainty) - chance_below(value, low, uncertainty))
