"""Three settlings of a model car on one scale: means, percentages, and a scatter that is mostly warp.

Source: parameter script in the public repository dajmannetje/Amazing-controller-RCcar, a scale-model car weighed wheel
by wheel (REF-B5). Readings in g; wheelbase 535 mm, track 380 mm.

             LF      RF      LR      RR      total   front %   left %    RF+LR %
    1      2855    2985    3880    3814     13,534   43.1506   49.7636   50.7241
    2      2873    2972    3850    3834     13,529   43.2035   49.6933   50.4250
    3      2875    2725    3920    3909     13,429   41.7008   50.5994   49.4825

The readings were read in the source; the figures on the right and all expected values below follow from them by the
definitions, e.g. front 1: (2855 + 2985) / 13,534.
"""

import numpy as np
import pytest

from ballast.physics.quality import covariance_of_the_mean, of_the_mean, outlying, repeatability
from ballast.physics.statics import (
    Array,
    centre_of_gravity,
    contact_patches,
    diagonal_share,
    front_share,
    left_share,
)
from ballast.physics.uncertainty import uncertainties

READINGS = np.array([[2855, 2985, 3880, 3814], [2873, 2972, 3850, 3834], [2875, 2725, 3920, 3909]], dtype=float) / 1000
"""[kg]"""
MEANS = np.array([2867.667, 2894.000, 3883.333, 3852.333])
"""[g]"""
GRAM = 1e-3
"""Tolerance of masses. [g]"""
POINT = 1e-3
"""Tolerance of percentages. [points]"""
MILLIMETRE = 1e-3
"""Tolerance of lengths. [mm]"""


def test_means() -> None:
    """INPUTS VERIFIED: mean loads, total, percentages and centre of gravity of the three settlings."""
    loads = READINGS.mean(axis=0)
    assert 1000 * loads == pytest.approx(MEANS, abs=GRAM)
    assert 1000 * loads.sum() == pytest.approx(13_497.333, abs=GRAM)
    assert 100 * float(front_share(loads)) == pytest.approx(42.6874, abs=POINT)
    assert 100 * float(left_share(loads)) == pytest.approx(50.0173, abs=POINT)
    assert 100 * float(diagonal_share(loads, "RF+LR")) == pytest.approx(50.2124, abs=POINT)
    assert 100 * float(diagonal_share(loads, "LF+RR")) == pytest.approx(100 - 50.2124, abs=POINT)
    aft, left = 1000 * centre_of_gravity(contact_patches(0.535, 0.380, 0.380), loads)
    assert aft == pytest.approx(306.622, abs=MILLIMETRE)
    assert left == pytest.approx(0.066, abs=MILLIMETRE)


def test_each_settling() -> None:
    """INPUTS VERIFIED: total and percentages of each settling by itself."""
    assert 1000 * READINGS.sum(axis=1) == pytest.approx([13_534, 13_529, 13_429], abs=GRAM)
    assert 100 * front_share(READINGS) == pytest.approx([43.1506, 43.2035, 41.7008], abs=POINT)
    assert 100 * left_share(READINGS) == pytest.approx([49.7636, 49.6933, 50.5994], abs=POINT)
    assert 100 * diagonal_share(READINGS, "RF+LR") == pytest.approx([50.7241, 50.4250, 49.4825], abs=POINT)


def test_scatter_of_each_pad() -> None:
    """INPUTS VERIFIED: sample standard deviation of each pad, by way of the covariance of the mean of three."""
    spread = np.sqrt(3 * np.diag(covariance_of_the_mean(READINGS)))
    assert 1000 * spread == pytest.approx([11.015, 146.503, 35.119, 50.083], abs=GRAM)
    assert [1000 * np.sqrt(3) * of_the_mean(pad) for pad in READINGS.T] == pytest.approx(1000 * spread, abs=GRAM)


def _propagated(covariance: Array) -> tuple[float, list[float]]:
    """Standard uncertainty of the mean total [g], and of front, left and RF+LR [points], from a covariance [kg2]."""
    total, *shares = uncertainties(READINGS.mean(axis=0), covariance)[:4]
    return 1000 * float(total), [100 * float(share) for share in shares]


def test_scatter_from_the_full_covariance() -> None:
    """INPUTS VERIFIED: total 34.197 g, front 0.4911, left 0.2903, RF+LR 0.3733 points with the pads' covariance."""
    total, shares = _propagated(covariance_of_the_mean(READINGS))
    assert total == pytest.approx(34.197, abs=GRAM)
    assert shares == pytest.approx([0.4911, 0.2903, 0.3733], abs=1e-4)


def test_scatter_straight_from_the_percentages() -> None:
    """INPUTS VERIFIED: total 34.197 g, front 0.4923, left 0.2911, RF+LR 0.3741 points from three percentages each."""
    found = repeatability(READINGS)
    assert (found.settlings, found.assumed) == (3, False)
    assert 1000 * found.total == pytest.approx(34.197, abs=GRAM)
    assert [100 * found.front, 100 * found.left, 100 * found.diagonal] == pytest.approx(
        [0.4923, 0.2911, 0.3741], abs=1e-4
    )


def test_the_scatter_of_the_rear_pair() -> None:
    """INPUTS VERIFIED: LR - RR is 66, 16 and 11 g, mean 31, so s = sqrt((35^2 + 15^2 + 20^2) / 2), over sqrt(3)."""
    assert 1000 * repeatability(READINGS).rear_pair == pytest.approx(np.sqrt((35**2 + 15**2 + 20**2) / 6), abs=GRAM)


def test_pads_taken_as_independent_mislead() -> None:
    """INPUTS VERIFIED, negative: without covariance total comes to 91.9 g and 0.377, 0.340, 0.339 points, all wrong."""
    full = covariance_of_the_mean(READINGS)
    total, shares = _propagated(np.diag(np.diag(full)))
    assert total == pytest.approx(91.9, abs=0.05)
    assert shares == pytest.approx([0.377, 0.340, 0.339], abs=5e-4)
    true_total, true_shares = _propagated(full)
    assert total > 2.5 * true_total
    # Not merely cautious: too small for front, too large for left.
    assert shares[0] < 0.8 * true_shares[0]
    assert shares[1] > 1.1 * true_shares[1]


def test_the_third_settling_stands_apart() -> None:
    """INPUTS VERIFIED: RF of the third is 250 g adrift, and the total (13,429 g of 13,531.5) and the front say so.

    By hand: mean 13,497.333, deviation 68.333, s = sqrt((36.667^2 + 31.667^2 + 68.333^2) / 2) = 59.231, ratio 1.1537
    over Grubbs' 1.153 for three. Front has 1.1541; left has 1.152 and RF+LR 1.124, which chance exceeds.
    """
    found = outlying(READINGS)
    assert [(one.settling, one.figure) for one in found] == [(2, "total"), (2, "front")]
    assert 1000 * found[0].value == pytest.approx(13_429, abs=GRAM)
    assert 1000 * found[0].others == pytest.approx(13_531.5, abs=GRAM)
    assert found[0].statistic == pytest.approx(1.1537, abs=5e-5)


def test_without_it_nothing_stands_apart() -> None:
    """INPUTS VERIFIED: the first settling read three times, the second among them, is the scatter of any car."""
    assert outlying(READINGS[[0, 1, 0]]) == ()
