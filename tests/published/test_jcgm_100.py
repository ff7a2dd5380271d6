"""Student's factor, and the uncertainty of a percentage.

Source: JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in measurement: table G.2
(values of t for a level of confidence of 95 %), 5.1.2 equation 10 and 5.2.2 equation 13 (first-order propagation, the
second with covariance), REF-F3 for the worked case. The guide itself was not to hand: clause numbers and the print of
table G.2 are from memory, and every value of the table is computed anew with scipy.stats.t.

REF-F3: LF 320, RF 300, LR 250, RR 230 kg, each with u = 0.2 kg, independent; total T = 1,100 kg. For a share p = X / T
the slope is (1 - p)/T at a corner that counts and -p/T at the others; two corners of each sort, so

    u(p) = u sqrt(2 (1-p)^2 + 2 p^2) / T
    front 620 / 1,100 = 56.3636 %    u = 0.2 sqrt(2 x 0.43636^2 + 2 x 0.56364^2) / 1,100 = 0.01833 points
    left  570 / 1,100 = 51.8182 %    u = 0.01819 points
    RF+LR 550 / 1,100 = 50.0000 %    u = 0.01818 points
"""

import numpy as np
import pytest
from scipy.stats import t

from ballast.physics.quality import STUDENT_95, student
from ballast.physics.statics import diagonal_share, front_share, left_share
from ballast.physics.uncertainty import uncertainties

LOADS = np.array([320.0, 300.0, 250.0, 230.0])
"""[kg]"""
EACH = 0.2
"""Standard uncertainty of each pad. [kg]"""
TOLERANCE = 1e-5
"""[points]"""


def test_students_factor_is_the_distributions_own() -> None:
    """DERIVED with scipy.stats.t: two-sided 95 % for 1 to 20 degrees of freedom, to the two decimals of table G.2."""
    degrees = np.arange(1, 21)
    assert len(STUDENT_95) == len(degrees)
    assert pytest.approx(np.round(t.ppf(0.975, degrees), 2), abs=1e-9) == STUDENT_95


@pytest.mark.parametrize(("settlings", "factor"), [(2, 12.71), (3, 4.30), (4, 3.18), (6, 2.57), (11, 2.23), (21, 2.09)])
def test_students_factor_by_number_of_settlings(settlings: int, factor: float) -> None:
    """MEMORY of table G.2, 4.30 for three apart: n settlings have n - 1 degrees of freedom."""
    assert student(settlings) == factor


def test_beyond_the_table_the_factor_is_never_too_small() -> None:
    """DERIVED: t falls with the degrees of freedom, so the last entry is on the safe side for more settlings."""
    assert all(student(settlings) >= t.ppf(0.975, settlings - 1) for settlings in (22, 30, 100))


def test_percentages_of_the_worked_case() -> None:
    """DERIVED: front 56.3636, left 51.8182 and RF+LR 50.0000 %."""
    found = [100 * float(share) for share in (front_share(LOADS), left_share(LOADS), diagonal_share(LOADS, "RF+LR"))]
    assert found == pytest.approx([100 * 620 / 1100, 100 * 570 / 1100, 50.0], abs=TOLERANCE)


def test_percentages_from_independent_pads() -> None:
    """DERIVED: 0.01833, 0.01819 and 0.01818 points for front, left and RF+LR."""
    assert 100 * uncertainties(LOADS, EACH**2 * np.eye(4))[1:4] == pytest.approx(
        [0.01833, 0.01819, 0.01818], abs=TOLERANCE
    )


@pytest.mark.parametrize("gain", [1e-4, 1e-3, 1e-2])
def test_a_common_gain_error_cancels(gain: float) -> None:
    """DERIVED: when every pad is wrong by the same part of its reading, no percentage is uncertain."""
    covariance = np.outer(gain * LOADS, gain * LOADS)
    assert 100 * uncertainties(LOADS, covariance)[1:4] == pytest.approx([0.0, 0.0, 0.0], abs=TOLERANCE)
