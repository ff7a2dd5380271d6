"""Correlated quantities: resistance, reactance and impedance of one circuit element.

Source: JCGM 100:2008, example H.2 (REF-F1). Inputs, outputs, uncertainties and correlations were read in the
documentation of an open library for this calculus; the five observations of table H.2 are from memory, and are shown
below to have the means, uncertainties and correlations that were read.

    R = V cos(phi) / I      dR/dV = cos(phi)/I    dR/dI = -V cos(phi)/I^2    dR/dphi = -V sin(phi)/I
    X = V sin(phi) / I      dX/dV = sin(phi)/I    dX/dI = -V sin(phi)/I^2    dX/dphi =  V cos(phi)/I
    Z = V / I               dZ/dV = 1/I           dZ/dI = -V/I^2             dZ/dphi = 0

R is nearly as certain as Z although cos(phi) is not, because V and phi err together: taken as independent, it is not.
"""

import math

import numpy as np
import pytest

from ballast.physics.quality import covariance_of_the_mean
from ballast.physics.statics import Array
from ballast.physics.uncertainty import propagate

MEANS = np.array([4.999, 19.661e-3, 1.04446])
"""V, I, phi. [V, A, rad]"""
UNCERTAINTIES = np.array([3.2e-3, 9.5e-6, 7.5e-4])
CORRELATIONS = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])
OBSERVATIONS = np.array(
    [
        [5.007, 19.663e-3, 1.0456],
        [4.994, 19.639e-3, 1.0438],
        [5.005, 19.640e-3, 1.0468],
        [4.990, 19.685e-3, 1.0428],
        [4.999, 19.678e-3, 1.0433],
    ]
)
"""Five simultaneous observations of V, I, phi. [V, A, rad]"""


def _jacobian() -> Array:
    """Derivatives of R, X, Z by V, I, phi, as written out above."""
    voltage, current, angle = MEANS
    cosine, sine = math.cos(angle), math.sin(angle)
    return np.array(
        [
            [cosine / current, -voltage * cosine / current**2, -voltage * sine / current],
            [sine / current, -voltage * sine / current**2, voltage * cosine / current],
            [1 / current, -voltage / current**2, 0.0],
        ]
    )


def _parts(covariance: Array) -> tuple[Array, Array]:
    """Standard uncertainties, and the correlations between 1 and 2, 1 and 3, 2 and 3."""
    each = np.sqrt(np.diag(covariance))
    return each, (covariance / np.outer(each, each))[[0, 0, 1], [1, 2, 2]]


def test_from_rounded_correlations() -> None:
    """VERIFIED: u(R) 0.070, u(X) 0.30, u(Z) 0.24 ohm to 2 %; r(R,X) -0.59, r(R,Z) -0.49, r(X,Z) +0.99 to 0.01."""
    covariance = np.outer(UNCERTAINTIES, UNCERTAINTIES) * CORRELATIONS
    each, correlations = _parts(propagate(_jacobian(), covariance))
    assert each == pytest.approx([0.06998, 0.29572, 0.23660], abs=5e-6)  # re-computed for REF-F1
    assert each == pytest.approx([0.070, 0.30, 0.24], rel=0.02)
    assert correlations == pytest.approx([-0.59, -0.49, 0.99], abs=0.01)


def test_without_covariance_the_resistance_is_wrong() -> None:
    """DERIVED, negative: independent terms 0.0818, 0.0617 and 0.1649 ohm add up to 0.194, nearly three times u(R)."""
    each, _ = _parts(propagate(_jacobian(), np.diag(UNCERTAINTIES**2)))
    assert each[0] == pytest.approx(math.hypot(0.08177, 0.06172, 0.16489), rel=1e-3)
    assert each[0] > 2.5 * 0.070


def test_the_observations_have_the_inputs_that_were_read() -> None:
    """MEMORY against VERIFIED: means, standard uncertainties and correlations of the five observations."""
    assert OBSERVATIONS.mean(axis=0) == pytest.approx(MEANS, rel=1e-12)
    each, correlations = _parts(covariance_of_the_mean(OBSERVATIONS))
    assert each == pytest.approx(UNCERTAINTIES, rel=0.005)
    assert correlations == pytest.approx([-0.36, 0.86, -0.65], abs=0.005)


def test_from_the_observations() -> None:
    """MEMORY of the print: u(R) 0.071, u(X) 0.295, u(Z) 0.236 ohm; r -0.588, -0.485, +0.993.

    The print rounds a value computed from unrounded data; 0.2956 is cut to 0.295 there, so X is allowed a digit.
    """
    each, correlations = _parts(propagate(_jacobian(), covariance_of_the_mean(OBSERVATIONS)))
    assert each == pytest.approx([0.071, 0.295, 0.236], abs=1e-3)
    assert correlations == pytest.approx([-0.588, -0.485, 0.993], abs=1e-3)
