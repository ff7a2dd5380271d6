"""How a car's figures move from visit to visit: the scatter of all visits pooled, changes, and a line through them.

A figure is one of `uncertainty.FIGURES`: total, front, left, RF+LR, rear pair; kg, share, share, share, kg.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics import quality
from ballast.physics.statics import Array, diagonal_share, front_share, left_share, rear_pair
from ballast.physics.uncertainty import ASSUMED, COVERAGE, propagate
from ballast.physics.uncertainty import figures as slopes

LEAST_VISITS = 3
"""Visits from which on a line says more than the two that make it."""
SOME_ALARM = 0.05
"""Chance that `unlike` finds a visit in a history of which every visit was read alike."""
FINEST = 0.1
"""Part of what one settling is assumed to scatter below which three that agree to the digit prove nothing. Common
practice, no source."""
JUDGED = 3
"""Settlings of a visit that `unlike` looks at."""


@dataclass(frozen=True)
class Pooled:
    """How one settling scatters, by the settlings of all visits."""

    deviations: Array
    """(5,), standard deviation of one settling, order FIGURES"""
    covariance: Array
    """(4, 4), of the corner loads of one settling [kg2]"""
    degrees: int
    """degrees of freedom; 0 where no visit has two settlings, and the figures are assumed"""
    factor: float
    """factor from a standard uncertainty to a 95 % interval: Student's for these degrees of freedom"""


def figures_of(loads: ArrayLike) -> Array:
    """FIGURES of corner loads. loads : (..., 4) [kg]. Returns (..., 5)."""
    rows = np.asarray(loads, dtype=float)
    parts = rows.sum(axis=-1), front_share(rows), left_share(rows), diagonal_share(rows, "RF+LR"), rear_pair(rows)
    return np.stack(parts, axis=-1)


def pooled(visits: Sequence[ArrayLike], assumed: ArrayLike) -> Pooled:
    """Standard deviation of one settling from visits of which each has its own mean: sp^2 = sum ni si^2 / sum ni.

    visits : one array (n, 4) of settlings for each visit [kg]; ni = n - 1; assumed : (4, 4), covariance of the corner
    loads of one settling, taken where no visit has two of them [kg2].
    Source: JCGM 100:2008, 4.2.4, and the same as the repeatability variance of ISO 5725-2. It holds where all visits
    were read in one way, which `unlike` looks at.
    """
    rows = [np.asarray(visit, dtype=float) for visit in visits]
    degrees = sum(len(visit) - 1 for visit in rows)
    if degrees == 0:
        covariance = np.asarray(assumed, dtype=float)
        mean = np.mean([visit.mean(axis=0) for visit in rows], axis=0)
        spread = np.sqrt(np.maximum(np.diag(propagate(slopes(mean), covariance)), 0.0))
        return Pooled(spread, covariance, 0, quality.ASSUMED_FACTOR)
    off = np.concatenate([visit - visit.mean(axis=0) for visit in rows])
    of_figures = np.concatenate([figures_of(visit) - figures_of(visit).mean(axis=0) for visit in rows])
    return Pooled(
        deviations=np.asarray(np.sqrt((of_figures**2).sum(axis=0) / degrees)),
        covariance=np.asarray(off.T @ off / degrees),
        degrees=degrees,
        factor=quality.student(degrees + 1),
    )


def unlike(visits: Sequence[ArrayLike]) -> Array:
    """Which visits scatter more than the others pooled, in total, front, left or RF+LR, by more than chance explains.

    visits : as for `pooled`. Returns (visits,), true there.
    Only visits of three settlings are judged: their s2 over the others' has an F distribution with 2 and m degrees of
    freedom, whose tail is (1 + 2 F / m)^(-m / 2). Source: F test of two variances, the tail in closed form, SOME_ALARM
    divided by the number of tests (Bonferroni); Cochran's test of ISO 5725-2 draws much the same line.
    """
    rows = [figures_of(visit)[:, :4] for visit in visits]
    squares = np.array([((one - one.mean(axis=0)) ** 2).sum(axis=0) for one in rows])
    degrees = np.array([len(one) - 1 for one in rows])
    others = degrees.sum() - degrees
    judged = (degrees == JUDGED - 1) & (others > 0)
    total = np.mean([np.asarray(visit, dtype=float).sum(axis=-1).mean() for visit in visits])
    least = FINEST * np.array([quality.ASSUMED_TOTAL * total, *ASSUMED])
    rest = squares.sum(axis=0) - squares + others[:, np.newaxis] * least**2
    tail = (rest / (rest + squares + least**2)) ** (others[:, np.newaxis] / 2)  # 2 F / m is the ratio of the squares
    return np.asarray(judged & (tail < SOME_ALARM / max(4 * judged.sum(), 1)).any(axis=1))


def change_within(together: Pooled, counts: tuple[float, float], now: ArrayLike, besides: ArrayLike) -> Array:
    """How far the change of each figure between two visits may be off, in 95 of 100 cases. Returns (5,).

    counts : settlings of the two; now : (4,), loads of the later one [kg]; besides : (4, 4), covariance of the
    difference of the loads from all but the settlings, such as masses that were put in by sums [kg2].
    Scatter is widened by Student's factor, the rest by 2, and both are added in squares. What is wrong with the pads in
    the same way at both visits goes from the difference. Source: JCGM 100:2008, 4.2.4, 5.1.2 and G.3.
    """
    scatter = together.deviations * np.sqrt(1 / counts[0] + 1 / counts[1])
    rest = np.maximum(np.diag(propagate(slopes(now), besides)), 0.0)
    return np.asarray(np.sqrt((together.factor * scatter) ** 2 + COVERAGE**2 * rest))


def difference_covariance(together: Pooled, counts: tuple[float, float], besides: ArrayLike) -> Array:
    """Covariance of the difference of two visits' mean loads, for use with k = 2. Arguments as above. (4, 4) [kg2]"""
    widened = (together.factor / COVERAGE) ** 2 * (1 / counts[0] + 1 / counts[1])
    return np.asarray(widened * together.covariance + np.asarray(besides, dtype=float))


@dataclass(frozen=True)
class Trend:
    """A straight line through the visits, for each figure."""

    rates: Array
    """(5,), change in a day"""
    within: Array
    """(5,), how far that may be off, in 95 of 100 cases"""
    shown: Array
    """(5,), true where there is a line: it rises or falls by more than that, and no visit lies off it by more than its
    settlings explain"""


def trend(days: ArrayLike, means: ArrayLike, counts: ArrayLike, together: Pooled, besides: ArrayLike) -> Trend | None:
    """The line through three or more visits on three or more days; none for fewer.

    days : (v,); means : (v, 5), FIGURES of each visit in one state of the car; counts : (v,), settlings of each;
    besides : (v, 5), standard uncertainties from all but the settlings.
    Least squares, a visit counting with its settlings. Visits that scatter about the line by more than their settlings
    explain show no line, however steep: something else moved. Source: JCGM 100:2008, H.3, with the pooled 4.2.4 in
    place of the scatter about the line.
    """
    at, values = np.asarray(days, dtype=float), np.asarray(means, dtype=float)
    weights, sums = np.asarray(counts, dtype=float), np.asarray(besides, dtype=float)
    if len(np.unique(at)) < LEAST_VISITS:
        return None
    middle = weights @ at / weights.sum()
    pull = weights * (at - middle) / (weights @ (at - middle) ** 2)
    rates = pull @ values
    own = together.factor * together.deviations
    within = np.sqrt(own**2 * (pull**2 / weights).sum() + COVERAGE**2 * (pull**2 @ sums**2))
    line = weights @ values / weights.sum() + np.outer(at - middle, rates)
    off = np.sqrt((own**2)[np.newaxis] / weights[:, np.newaxis] + COVERAGE**2 * sums**2)
    straight = (np.abs(values - line) <= off).all(axis=0)
    return Trend(np.asarray(rates), np.asarray(within), np.asarray((np.abs(rates) > within) & straight))
