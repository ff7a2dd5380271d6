"""How well a weighing repeats. Repeatability is a property of the total and of each percentage, not of single pads:
settling noise is mostly warp, so the pads are strongly correlated.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array, diagonal_share, front_share, left_share, rear_pair

STUDENT_95 = (
    12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23,
    2.20, 2.18, 2.16, 2.14, 2.13, 2.12, 2.11, 2.10, 2.09, 2.09,
)  # fmt: skip
"""t for 95 % (two-sided), by degrees of freedom from 1 to 20. Source: JCGM 100:2008, table G.2."""

ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_DIAGONAL = 0.0005, 0.0005, 0.002
"""Standard uncertainties of the shares after one settling, when nothing shows their scatter.
Common practice, no source: front and left repeat well, the diagonal is the noisy one."""

ASSUMED_TOTAL = 0.0005
"""The same for the total, as a share of it. Common practice, no source."""

ASSUMED_FACTOR = 2.0

GRUBBS = (
    1.153, 1.463, 1.672, 1.822, 1.938, 2.032, 2.110, 2.176, 2.234,
    2.285, 2.331, 2.371, 2.409, 2.443, 2.475, 2.504, 2.532, 2.557,
)  # fmt: skip
"""Greatest deviation from the mean, over the standard deviation, that chance exceeds in 5 of 100 samples on one side:
for 3 to 20 values. Source: F. E. Grubbs, Technometrics 11 (1969), table 1, as in ASTM E178; from memory."""

USUAL = 3.0
"""Assumed standard deviations within which a settling may stand apart without a word. Common practice, no source."""


@dataclass(frozen=True)
class Repeatability:
    """Standard uncertainties of the means over the settlings, and the factor to a 95 % interval."""

    settlings: int
    assumed: bool
    factor: float
    total: float
    front: float
    left: float
    diagonal: float
    rear_pair: float


def repeatability(readings: ArrayLike) -> Repeatability:
    """Type A standard uncertainty of the mean total, percentages and rear pair.

    readings : shape (n, 4), one row for each settling. [kg]
    Returns total and rear_pair in kg, the others as shares. With one settling, stated assumptions.
    Neglects resolution and accuracy of the pads, which settlings cannot show.
    Source: JCGM 100:2008, 4.2 and G.3; sample standard deviation of each figure over sqrt(n).
    """
    loads = np.atleast_2d(np.asarray(readings, dtype=float))
    count = len(loads)
    if count == 1:
        total = float(loads.sum())
        return Repeatability(
            settlings=1,
            assumed=True,
            factor=ASSUMED_FACTOR,
            total=ASSUMED_TOTAL * total,
            front=ASSUMED_FRONT,
            left=ASSUMED_LEFT,
            diagonal=ASSUMED_DIAGONAL,
            rear_pair=ASSUMED_DIAGONAL * total,
        )
    return Repeatability(
        settlings=count,
        assumed=False,
        factor=student(count),
        total=of_the_mean(loads.sum(axis=1)),
        front=of_the_mean(front_share(loads)),
        left=of_the_mean(left_share(loads)),
        diagonal=of_the_mean(diagonal_share(loads, "RF+LR")),
        rear_pair=of_the_mean(rear_pair(loads)),
    )


def student(count: int) -> float:
    """Student's factor for a 95 % interval from `count` values; beyond the table, its last entry.

    Raises ValueError for fewer than two values, which have no scatter.
    """
    if count < 2:
        raise ValueError(f"{count} value has no scatter")
    return STUDENT_95[min(count - 1, len(STUDENT_95)) - 1]


def settlings_needed(readings: ArrayLike, wanted: tuple[float, float, float, float], most: int = 12) -> int | None:
    """How many settlings of this scatter bring the 95 % intervals of total, front, left and diagonal within `wanted`.

    readings : (n, 4), two settlings or more [kg]; wanted : kg, share, share, share.
    Returns none where `most` would not do. Source: t s / sqrt(k) of each, s as found.
    """
    found, count = repeatability(readings), len(np.atleast_2d(np.asarray(readings, dtype=float)))
    each = np.sqrt(count) * np.array([found.total, found.front, found.left, found.diagonal])
    enough = (k for k in range(2, most + 1) if (student(k) * each / np.sqrt(k) <= np.array(wanted)).all())
    return next(enough, None)


def of_the_mean(values: ArrayLike) -> float:
    """Standard uncertainty of the mean of n >= 2 values, in their unit. Source: JCGM 100:2008, eq. 5."""
    array = np.asarray(values, dtype=float)
    return float(array.std(ddof=1) / np.sqrt(len(array)))


def covariance_of_the_mean(readings: ArrayLike) -> Array:
    """Covariance of the mean corner loads. readings : (n, 4), n >= 2 [kg]. Returns (4, 4). [kg2]

    Source: JCGM 100:2008, 5.2.3, eq. 17.
    """
    loads = np.asarray(readings, dtype=float)
    return np.asarray(np.cov(loads, rowvar=False, ddof=1) / len(loads))


Figure = Literal["total", "front", "left", "diagonal"]
FIGURES: tuple[Figure, ...] = ("total", "front", "left", "diagonal")
"""The figures of a settling that are tested; kg, share, share, share of RF+LR."""


@dataclass(frozen=True)
class Outlying:
    """One settling that stands apart from the others in one figure."""

    settling: int
    """which, from 0"""
    figure: Figure
    """of FIGURES"""
    value: float
    """what it showed [kg or -]"""
    others: float
    """mean of what the others showed [kg or -]"""
    statistic: float
    """how many standard deviations it is from the mean of all [-]"""
    critical: float
    """what chance exceeds in 5 of 100 samples on that side [-]"""


def outlying(readings: ArrayLike) -> tuple[Outlying, ...]:
    """Settlings that stand apart from the others, in the total or a percentage: to be read again, never dropped.

    readings : (n, 4) [kg]; for fewer than three settlings nothing stands apart from anything.
    Two things have to come together: Grubbs' test, and a distance that is more than pads usually scatter (USUAL times
    what one settling is assumed to), for of three settlings two often agree to the digit. Of three the test misses most
    slips. At most one settling for each figure.
    Source: Grubbs (1969), one side at 5 %; the second condition is common practice, no source.
    """
    rows = np.atleast_2d(np.asarray(readings, dtype=float))
    count = len(rows)
    if count < 3:
        return ()
    total = rows.sum(axis=1)
    values = (total, front_share(rows), left_share(rows), diagonal_share(rows, "RF+LR"))
    usual = (ASSUMED_TOTAL * float(np.median(total)), ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_DIAGONAL)
    critical, found = grubbs(count), []
    for figure, column, one in zip(FIGURES, values, usual, strict=True):
        deviation = np.abs(column - column.mean())
        worst = int(np.argmax(deviation))
        others = float(np.delete(column, worst).mean())
        spread = float(column.std(ddof=1))
        if abs(float(column[worst]) - others) > USUAL * one and deviation[worst] > critical * spread:
            statistic = float(deviation[worst] / spread)
            found.append(Outlying(worst, figure, float(column[worst]), others, statistic, critical))
    return tuple(found)


def grubbs(count: int) -> float:
    """Critical value of Grubbs' test for `count` values, three or more; beyond the table, its last entry."""
    if count < 3:
        raise ValueError(f"of {count} values none stands apart")
    return GRUBBS[min(count - 3, len(GRUBBS) - 1)]


def together(first: ArrayLike, turned: ArrayLike) -> Array:
    """Two sets of settlings, the second with car and pads turned about, as one set: its mean is that of the two means.

    first : (n, 4), turned : (m, 4) [kg].
    Returns (n + m, 4), or one row for two single settlings, of which nothing shows the scatter. [kg]
    Each settling keeps its distance from the mean of its own set, widened so that `repeatability` and the settlings'
    covariance give the uncertainty of the mean of the two means: variance s2 (1/n + 1/m) / 4 with s2 pooled over
    n + m - 2 degrees of freedom, and Student's factor for those.
    Source: JCGM 100:2008, H.3.6 (pooled) and G.3; the widening is arithmetic.
    """
    one, other = (np.atleast_2d(np.asarray(rows, dtype=float)) for rows in (first, turned))
    mean = (one.mean(axis=0) + other.mean(axis=0)) / 2
    n, m = len(one), len(other)
    if n + m < 3:
        return np.asarray(mean[np.newaxis])
    apart = np.vstack([one - one.mean(axis=0), other - other.mean(axis=0)])
    variance = (n + m) * (n + m - 1) / (n + m - 2) * (1 / n + 1 / m) / 4
    return np.asarray(mean + np.sqrt(variance) * student(n + m - 1) / student(n + m) * apart)
