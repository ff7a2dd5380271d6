"""A re-weigh that differs from what was foreseen: is the difference more than noise, and which cause explains it?

Residuals are measured less predicted corner loads, (4,), order CORNERS [kg]; V is their covariance, (4, 4) [kg2]; a
cause is the mean effect it would have on the four loads and the covariance of what is not known of that effect (how
many litres, how many millimetres). All causes are judged alike: by how probable they make the residual.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics import misfit, quality
from ballast.physics.statics import Array, in_warp, lever_matrix
from ballast.physics.uncertainty import assumed_covariance

USUAL = 0.4
"""Scatter of one settling of a race car on good pads, as a part of what `quality` assumes where nothing is known: that
errs to the safe side, and this is meant to be right. Common practice, no source."""
KNOWN_AS_FROM = 8
"""Degrees of freedom with which USUAL counts beside the scatter seen: three settlings alone would not do to tell noise
from a cause. Common practice, no source."""


@dataclass(frozen=True)
class Causes:
    """K causes and how likely each is before the car is weighed."""

    effects: ArrayLike
    """(K, 4), mean change of the corner loads [kg]"""
    spreads: ArrayLike
    """(K, 4, 4), covariance of what is not known of the effect, zeros for none [kg2]"""
    priors: ArrayLike
    """(K,), in any unit that is the same for all"""


@dataclass(frozen=True)
class Judged:
    """What a residual says of each cause."""

    weights: Array
    """(K,), how likely each is now among all of them; together 1"""
    left_over: Array
    """(K,), chance of a rest as large as the one that each leaves, if it is the cause"""
    effects: Array
    """(K, 4), what each does to the corner loads, with what was not known of it fitted [kg]"""
    pulls: Array
    """(K, 4), (V + spread)^-1 (r - effect): a part S of the spread, by itself, is fitted as S times this [1/kg]"""


def settling_spread(readings: ArrayLike, patches: ArrayLike, usual: float = USUAL) -> tuple[Array, int]:
    """Covariance of one settling, from the scatter seen and from what is usual, and the degrees of freedom behind it.

    readings : (n, 4) or (4,) [kg]; patches : (4, 2) [m]; usual : as USUAL. Returns (4, 4) [kg2] and a count.
    Three settlings scatter in two directions of four, and by chance hardly at all: alone they would make certain what
    is not. Source: mean of both, each by its degrees of freedom, as for a normal sample with a conjugate prior.
    """
    rows = np.atleast_2d(np.asarray(readings, dtype=float))
    before = usual**2 * assumed_covariance(rows.mean(axis=0), patches)
    seen, freedom = np.zeros((4, 4)), len(rows) - 1
    if freedom:
        seen = freedom * np.cov(rows, rowvar=False, ddof=1)
    return np.asarray((KNOWN_AS_FROM * before + seen) / (KNOWN_AS_FROM + freedom)), KNOWN_AS_FROM + freedom


def difference_covariance(before: ArrayLike, after: ArrayLike, patches: ArrayLike) -> tuple[Array, int]:
    """Covariance of the difference of two weighings' means by their settlings, and its degrees of freedom.

    before, after : (n, 4) each [kg]; patches : (4, 2) [m]. Returns (4, 4) [kg2] and a count.
    What is usual stands behind both and is counted once. Source: variances of independent means add up.
    """
    both = [np.atleast_2d(np.asarray(rows, dtype=float)) for rows in (before, after)]
    spreads = [settling_spread(rows, patches) for rows in both]
    total = sum((spread / len(rows) for (spread, _), rows in zip(spreads, both, strict=True)), np.zeros((4, 4)))
    return total, sum(freedom for _, freedom in spreads) - KNOWN_AS_FROM


def distance(residual: ArrayLike, covariance: ArrayLike) -> float:
    """r' V^-1 r. [-]"""
    off = np.asarray(residual, dtype=float)
    return float(off @ np.linalg.solve(np.asarray(covariance, dtype=float), off))


def parts(patches: ArrayLike) -> Array:
    """Rows that split loads into total, moment about the front axle, moment about the centre line, and warp. (4, 4)

    patches : (4, 2) [m]. Rows in kg, kg m, kg m and kg at the first corner for loads in kg.
    """
    return np.vstack([lever_matrix(patches).T, in_warp(patches, np.eye(4))])


def chance_of(residual: ArrayLike, covariance: ArrayLike, freedom: float, patches: ArrayLike) -> float:
    """Chance that nothing but noise gives a residual as large as this, or larger. [-]

    freedom : degrees of freedom of the covariance; patches : (4, 2) [m].
    Two tests, so that neither one part that is far off nor four that are off together goes unseen: the part that is
    furthest off, of four; and all four loads at once. The smaller chance, doubled because there were two.
    Source: Student's t of each part, and r' V^-1 r / 4, distributed as F with 4 and so many.
    """
    rows, spread = parts(patches), np.asarray(covariance, dtype=float)
    off = (rows @ np.asarray(residual, dtype=float)) ** 2 / np.einsum("ki,ij,kj->k", rows, spread, rows)
    one = chance_of_ratio(float(off.max()), 1, freedom)
    together = chance_of_ratio(distance(residual, covariance) / 4, 4, freedom)
    return min(1.0, 2 * min(1 - (1 - one) ** 4, together))


def judge(residual: ArrayLike, covariance: ArrayLike, freedom: float, causes: Causes) -> Judged:
    """Weigh causes against each other by how probable each makes the residual.

    A cause of which much is not known spreads its bets: that alone is what it pays for its free magnitudes, and a prior
    shared by many candidates is what it pays for having been one of many.
    Source: Bayes, with r - effect distributed as Student's t in four dimensions with covariance V + spread, the
    generalised least squares estimate of each magnitude, effect + spread (V + spread)^-1 (r - effect).
    """
    off = np.asarray(residual, dtype=float) - np.asarray(causes.effects, dtype=float)
    spreads = np.asarray(causes.spreads, dtype=float)
    whole = np.asarray(covariance, dtype=float) + spreads
    solved = np.linalg.solve(whole, off[..., np.newaxis])[..., 0]
    away = np.einsum("ki,ki->k", off, solved)
    logs = np.log(np.asarray(causes.priors, dtype=float)) - np.linalg.slogdet(whole)[1] / 2
    logs = logs - (freedom + 4) / 2 * np.log1p(away / freedom)
    weights = np.exp(logs - logs.max())
    return Judged(
        weights=np.asarray(weights / weights.sum()),
        left_over=np.array([chance_of_ratio(float(one) / 4, 4, freedom) for one in away]),
        effects=np.asarray(causes.effects + np.einsum("kij,kj->ki", spreads, solved)),
        pulls=np.asarray(solved),
    )


def chance_unsettled(before: ArrayLike, after: ArrayLike, patches: ArrayLike) -> float:
    """Chance that settlings as good as before scatter in warp as much as those after do, or more. [-]

    before, after : (n, 4) each [kg]; patches : (4, 2) [m]. One settling after says nothing: 1.
    Source: F test of two variances. Before stand the settlings seen and all that `quality` assumes: a car that scatters
    no more than that is not called unsettled for having stood quieter at first.
    """
    rows = np.atleast_2d(np.asarray(after, dtype=float))
    if len(rows) < 2:
        return 1.0
    spread, freedom = settling_spread(before, patches, usual=1.0)
    direction = in_warp(patches, np.eye(4))
    ratio = float(np.var(rows @ direction, ddof=1) / (direction @ spread @ direction))
    return chance_of_ratio(ratio, len(rows) - 1, freedom)


def chance_of_ratio(ratio: float, above: int, below: float) -> float:
    """Chance that F with so many degrees of freedom above and below the line exceeds a ratio. [-]

    Source: chi-square over its degrees follows F, `misfit.chance_of`.
    """
    return misfit.chance_of(above * max(ratio, 0.0), above, below)


def coverage(freedom: int) -> float:
    """Student's factor for a 95 % interval with so many degrees of freedom. Source: `quality.student`."""
    return quality.student(freedom + 1)
