"""Where the centre of gravity may be, seen from above: an ellipse from what the corner loads may be off."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import centre_of_gravity
from ballast.physics.uncertainty import propagate

CHANCE = 0.95
"""Chance that the place is inside."""
FACTOR = math.sqrt(-2 * math.log(1 - CHANCE))
"""Half axes by standard uncertainties along them: 2.45. Source: JCGM 102:2011, 6.5.2 and table 1, for two quantities
(from memory); for two normal ones the squared distance is exponential, P(d > k) = exp(-k2 / 2)."""


@dataclass(frozen=True)
class Ellipse:
    """An ellipse about a place seen from above."""

    longer: float
    """longer half axis [m]"""
    shorter: float
    """shorter half axis [m]"""
    turned: float
    """angle of the longer one from straight back, towards the left, above -pi / 2 to pi / 2 [rad]"""


def centre_ellipse(loads: ArrayLike, covariance: ArrayLike, patches: ArrayLike) -> Ellipse:
    """The ellipse that holds the centre of gravity with a chance of CHANCE.

    loads : (4,) [kg]; covariance : (4, 4), of the loads [kg2]; patches : (4, 2) [m].
    First order: the place is A^T F / T, so a kilogram more on a corner moves it by (corner - place) / T.
    Source: JCGM 100:2008, eq. 13 for several outputs, as in H.2.
    """
    mean, where = np.asarray(loads, dtype=float), np.asarray(patches, dtype=float)
    jacobian = (where - centre_of_gravity(where, mean)).T / mean.sum()
    variances, axes = np.linalg.eigh(propagate(jacobian, covariance))
    shorter, longer = FACTOR * np.sqrt(np.maximum(variances, 0.0))
    aft, left = axes[:, 1]
    turned = math.atan2(left, aft)
    half = math.pi / 2
    return Ellipse(float(longer), float(shorter), half - (half - turned) % math.pi)
