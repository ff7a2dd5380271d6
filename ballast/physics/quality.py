"""How well a weighing repeats. Repeatability is a property of the total and of each percentage, not of single pads:
settling noise is mostly warp, so the pads are strongly correlated.
"""

from dataclasses import dataclass

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


def share_uncertainty(loads: ArrayLike, covariance: ArrayLike, corners: ArrayLike) -> float:
    """Standard uncertainty of the share that some corners have of the total, with the pads' covariance.

    loads : (4,) [kg]; covariance : (4, 4) [kg2]; corners : (4,), one for each corner that counts, else zero.
    Returns a share. [-]
    Source: JCGM 100:2008, eq. 13 (first order, with covariance).
    """
    mean = np.asarray(loads, dtype=float)
    total = mean.sum()
    counted = np.asarray(corners, dtype=float)
    slope = (counted - (mean @ counted) / total) / total
    variance = float(slope @ np.asarray(covariance, dtype=float) @ slope)
    return float(np.sqrt(max(variance, 0.0)))  # a common gain cancels, and may round to just below nothing
