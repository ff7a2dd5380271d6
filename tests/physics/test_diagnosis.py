"""Noise or cause: chances against scipy, evidence against its multivariate t, estimates against least squares.

scipy is a reference here and no part of the package.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from ballast.physics.diagnosis import (
    Causes,
    chance_of,
    chance_of_ratio,
    chance_unsettled,
    coverage,
    difference_covariance,
    judge,
    parts,
    settling_spread,
)
from ballast.physics.statics import contact_patches

Array = NDArray[np.float64]
PATCHES = contact_patches(2.5, 1.5, 1.4)
LOADS = np.array([290.0, 280.0, 250.0, 240.0])
READINGS = LOADS + np.array([[0.5, -0.4, -0.5, 0.4], [-0.3, 0.4, 0.3, -0.2], [-0.2, 0.0, 0.2, -0.2]])
SPREAD = np.array([[0.5, -0.2, -0.3, 0.1], [-0.2, 0.6, 0.1, -0.3], [-0.3, 0.1, 0.7, -0.2], [0.1, -0.3, -0.2, 0.4]])
FREEDOM = 12
WARP = np.array([1.0, -1.0, -1.5 / 1.4, 1.5 / 1.4])


@pytest.mark.parametrize("above", [1, 2, 3, 4, 9])
@pytest.mark.parametrize("below", [2, 8, 12.5, 60])
@pytest.mark.parametrize("ratio", [0.0, 0.2, 1.0, 5.0, 40.0])
def test_chances_of_ratios(above: int, below: float, ratio: float) -> None:
    """The survival function of F as scipy has it."""
    assert chance_of_ratio(ratio, above, below) == pytest.approx(stats.f.sf(ratio, above, below), rel=1e-9, abs=1e-13)


def test_a_printed_table() -> None:
    """Table of F, from memory: 5.41 is exceeded once in a hundred with 4 and 12, 3.84 once in twenty with 4 and 8."""
    assert chance_of_ratio(5.41, 4, 12) == pytest.approx(0.01, abs=2e-4)
    assert chance_of_ratio(3.84, 4, 8) == pytest.approx(0.05, abs=2e-4)


def test_the_factor_of_an_interval() -> None:
    """JCGM 100:2008, table G.2: 2.18 for 12 degrees of freedom, 4.30 for 2."""
    assert (coverage(12), coverage(2)) == (2.18, 4.30)


def test_the_four_parts_by_hand() -> None:
    """Total, moments about the axes, and how much of the warp [1, -1, -15/14, 15/14] is in the loads."""
    total, aft, left, warped = parts(PATCHES) @ (LOADS + 2.0 * WARP)
    even = parts(PATCHES) @ LOADS
    assert total == pytest.approx(1060.0)
    assert aft == pytest.approx(2.5 * 490.0)
    assert left == pytest.approx(0.75 * 10.0 + 0.7 * 10.0)
    assert warped - even[3] == pytest.approx(2.0)


def test_the_chance_of_one_part_and_of_all() -> None:
    """The likelier of two tests to see it, doubled: Student's t of the furthest of four parts, F of all, by scipy."""
    random = np.random.default_rng(5)
    rows = np.array([[1.0] * 4, [0, 0, 2.5, 2.5], [0.75, -0.75, 0.7, -0.7], WARP / (WARP @ WARP)])
    for _ in range(20):
        off = random.normal(0.0, 1.0, 4)
        ts = [abs(row @ off) / np.sqrt(row @ SPREAD @ row) for row in rows]
        one = 1 - (1 - 2 * stats.t.sf(max(ts), FREEDOM)) ** 4
        together = stats.f.sf(off @ np.linalg.inv(SPREAD) @ off / 4, 4, FREEDOM)
        assert chance_of(off, SPREAD, FREEDOM, PATCHES) == pytest.approx(min(1.0, 2 * min(one, together)))


def test_the_spread_of_a_settling() -> None:
    """8 parts of what is usual to 2 parts of what was seen; of one settling what is usual alone.

    Usual: 0.4 of what `quality` assumes, 0.0005 of the total, 0.0005 of front share and 0.002 of the diagonal.
    """
    alone, few = settling_spread(LOADS, PATCHES)
    spread, more = settling_spread(READINGS, PATCHES)
    assert (few, more) == (8, 10)
    assert np.sqrt(np.ones(4) @ alone @ np.ones(4)) == pytest.approx(0.4 * 0.0005 * 1060)
    usual, _ = settling_spread(READINGS.mean(axis=0), PATCHES)
    assert spread == pytest.approx((8 * usual + 2 * np.cov(READINGS, rowvar=False)) / 10)


def test_the_difference_of_two_weighings() -> None:
    """Spread of one settling over three, plus that of the other over one; what is usual counts once: 8 + 2 + 0."""
    covariance, freedom = difference_covariance(READINGS, LOADS, PATCHES)
    expected = settling_spread(READINGS, PATCHES)[0] / 3 + settling_spread(LOADS, PATCHES)[0]
    assert covariance == pytest.approx(expected)
    assert freedom == 10


def test_evidence_is_that_of_the_multivariate_t() -> None:
    """Weights in proportion to prior times density, by scipy; two causes, one of them with a free magnitude."""
    residual = np.array([-2.0, -0.5, -1.5, -0.8])
    effects = np.array([[-2.2, -0.4, -1.4, -1.0], [0.0, 0.0, 0.0, 0.0]])
    spreads = np.array([np.zeros((4, 4)), 4.0 * np.outer(WARP, WARP)])
    judged = judge(residual, SPREAD, FREEDOM, Causes(effects, spreads, [0.2, 0.5]))
    density = [
        stats.multivariate_t(loc=effect, shape=SPREAD + spread, df=FREEDOM).pdf(residual)
        for effect, spread in zip(effects, spreads, strict=True)
    ]
    expected = np.array([0.2, 0.5]) * density
    assert judged.weights == pytest.approx(expected / expected.sum())
    away = residual - effects[0]
    rest = stats.f.sf(away @ np.linalg.inv(SPREAD) @ away / 4, 4, FREEDOM)
    assert judged.left_over[0] == pytest.approx(rest)


def test_a_magnitude_is_the_least_squares_estimate() -> None:
    """With a prior as wide as a house, d' V^-1 r / d' V^-1 d along the direction d: generalised least squares."""
    residual = np.array([2.0, -1.1, -1.5, 1.8])
    causes = Causes(np.zeros((1, 4)), 1e8 * np.outer(WARP, WARP)[np.newaxis], [1.0])
    inverse = np.linalg.inv(SPREAD)
    size = WARP @ inverse @ residual / (WARP @ inverse @ WARP)
    assert judge(residual, SPREAD, FREEDOM, causes).effects[0] == pytest.approx(size * WARP, rel=1e-6)


def test_a_free_magnitude_has_to_pay() -> None:
    """Of two causes that fit alike, the one that said beforehand how much it would be is the likelier."""
    effect = np.array([-2.2, -0.4, -1.4, -1.0])
    spreads = np.array([np.zeros((4, 4)), 9.0 * np.outer(effect, effect)])
    judged = judge(effect, SPREAD, FREEDOM, Causes(np.array([effect, np.zeros(4)]), spreads, [1.0, 1.0]))
    assert judged.weights[0] > 2 * judged.weights[1]


def test_settlings_that_scatter_more() -> None:
    """REF-B5: the scale-model car's diagonal scattered by 0.648 points, against 0.2 that one settling is assumed to do.

    F with 2 and 8 degrees of freedom: (1 + 2 (0.648 / 0.2)^2 / 8)^-4 = 0.0058, within a tenth since totals differ too.
    Against itself, (8 * 0.2^2 + 2 * 0.648^2) / 10 = 0.116 points squared before: (1 + 2 * 0.648^2 / 1.16)^-5 = 0.0657.
    """
    model = np.array([[2.855, 2.985, 3.880, 3.814], [2.873, 2.972, 3.850, 3.834], [2.875, 2.725, 3.920, 3.909]])
    quiet = model.mean(axis=0)
    patches = contact_patches(0.535, 0.380, 0.380)
    assert chance_unsettled(quiet, model, patches) == pytest.approx(0.0058, rel=0.1)
    assert chance_unsettled(model, quiet, patches) == 1.0
    assert chance_unsettled(model, model, patches) == pytest.approx(0.0657, rel=0.1)
