"""Grubbs' test for one value that stands apart.

Source: F. E. Grubbs, Procedures for detecting outlying observations in samples, Technometrics 11 (1969), table 1, upper
5 % significance level, also in ASTM E178. The table was not to hand: its values are from memory, and each is computed
anew here from Student's t,

    G = (n - 1) / sqrt n  sqrt( t^2 / (n - 2 + t^2) ),   t exceeded in 5 % / n, n - 2 degrees of freedom.

The example is from the same tables' common illustration (ASTM E178, breaking strengths of ten wires): 568, 570, 570,
570, 572, 572, 572, 578, 584, 596 kg, of which 596 has G = 2.39 over 2.176. MEMORY.
"""

import numpy as np
import pytest
from scipy.stats import t

from ballast.physics.quality import GRUBBS, grubbs, outlying


def test_critical_values_from_students_t() -> None:
    """DERIVED with scipy.stats.t: 3 to 20 values, to the three decimals of the table."""
    for count, critical in enumerate(GRUBBS, start=3):
        quantile = t.ppf(1 - 0.05 / count, count - 2)
        exact = (count - 1) / np.sqrt(count) * np.sqrt(quantile**2 / (count - 2 + quantile**2))
        assert critical == pytest.approx(exact, abs=1.1e-3)


@pytest.mark.parametrize(("count", "critical"), [(3, 1.153), (4, 1.463), (5, 1.672), (6, 1.822), (10, 2.176)])
def test_critical_values(count: int, critical: float) -> None:
    """MEMORY of table 1, upper 5 %."""
    assert grubbs(count) == critical


def test_the_breaking_strengths() -> None:
    """MEMORY: of ten wires 596 stands apart, G = 20.8 / 8.70 = 2.39. Here as totals of settlings."""
    strengths = np.array([568, 570, 570, 570, 572, 572, 572, 578, 584, 596], dtype=float)
    found = outlying(strengths[:, np.newaxis] * np.full(4, 0.25))
    assert [(one.settling, one.figure) for one in found] == [(9, "total")]
    assert found[0].statistic == pytest.approx(2.39, abs=0.005)


def test_two_values_have_no_critical_value() -> None:
    """Of two values either is as far from the mean as the other."""
    with pytest.raises(ValueError, match="none stands apart"):
        grubbs(2)
