"""How seldom numbers fit each other so badly by chance, and uncertainties that may be taken as independent."""

import math
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array

BEYOND_COUNTING = 2000
"""Degrees of freedom that stand for a scatter known for certain."""
NODES = 120
"""Points of Gauss and Legendre's rule for an integral that is a polynomial in sines and cosines."""


def chance_of(chi_square: float, degrees: int, known: float) -> float:
    """Chance of a chi-square as great or greater, its scale known from a scatter of so many degrees of freedom.

    chi_square : with the scatter as it was found, not widened; degrees : of freedom of the sum, without any 1 is
    returned; known : of the scatter, 0 where that is assumed and taken as certain.
    Source: chi-square over its degrees follows F (NIST/SEMATECH e-Handbook, 1.3.6.6.5), whose upper tail is the
    incomplete beta function of known/2 and degrees/2 (M. Abramowitz and I. A. Stegun, 26.6.2 and 26.5.1), here with the
    square of a sine for its variable; that of chi-square itself, ibid. 26.4.
    """
    if degrees < 1:
        return 1.0
    many = known or BEYOND_COUNTING
    reach = math.asin(math.sqrt(many / (many + chi_square)))
    nodes, weights = _gauss_legendre()
    angles = (nodes + 1) / 2 * reach
    scale = math.lgamma((many + degrees) / 2) - math.lgamma(many / 2) - math.lgamma(degrees / 2)
    with np.errstate(divide="ignore"):
        heights = np.exp(scale + (many - 1) * np.log(np.sin(angles)) + (degrees - 1) * np.log(np.cos(angles)))
    return min(1.0, float(reach * weights @ heights))


@cache
def _gauss_legendre() -> tuple[Array, Array]:
    """Points and weights from -1 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return nodes, weights


def never_less(covariance: ArrayLike) -> Array:
    """Standard uncertainties that, taken as independent of each other, never make less of a sum than the covariance.

    covariance : (p, p). Returns (p,).
    Each is widened by the square root of the greatest eigenvalue of the correlations, at most sqrt p: the least common
    factor for which diagonal less covariance has no negative direction.
    """
    whole = np.asarray(covariance, dtype=float)
    alone = np.sqrt(np.maximum(np.diag(whole), 0.0))
    scale = np.where(alone > 0, alone, 1.0)
    return np.asarray(alone * np.sqrt(max(1.0, float(np.linalg.eigvalsh(whole / np.outer(scale, scale)).max()))))
