"""Total, percentages and rear pair of four pads, by way of resolution, accuracy and a common gain.

Source: REF-F3 (DERIVED), JCGM 100:2008, 5.2.2, 4.3.7 and F.2.2.1 (clauses from memory): LF 320, RF 300, LR 250, RR 230
kg, each with u = 0.2 kg, independent. test_jcgm_100.py holds the percentages one by one, from a covariance given;
here that covariance comes from what is known of the pads, and all figures come at once, with what they have in common.

    u(total)  = 2 u                = 0.4 kg
    u(LR-RR)  = sqrt(2) u          = 0.282843 kg
    cov(p, q) = u^2 (1 - 2p)(1 - 2q) / T^2            two percentages that share one corner, same u
              front, left: 0.2^2 x (-0.127273)(-0.036364) / 1,100^2 = 1.52996e-10
              front, RF+LR and left, RF+LR: 0, since RF+LR is half
"""

import numpy as np
import pytest

from ballast.physics.instruments import pad_covariance
from ballast.physics.uncertainty import figures, propagate, uncertainties

LOADS = np.array([320.0, 300.0, 250.0, 230.0])
"""[kg]"""
EACH = 0.2
"""Standard uncertainty of each pad. [kg]"""
IN_PRINT = np.array([1.0, 100.0, 100.0, 100.0, 1.0])
"""kg, points, points, points, kg"""
EXPECTED = [0.4, 0.01833, 0.01819, 0.01818, 0.282843]
TOLERANCE = 1e-5
"""[kg] and [points]"""


@pytest.mark.parametrize(
    ("resolution", "accuracy"),
    [
        (EACH * 12**0.5, 0.0),
        (0.0, EACH * 3**0.5),
        (0.12 * 12**0.5, 0.16 * 3**0.5),  # 0.12^2 + 0.16^2 = 0.2^2
    ],
)
def test_independent_pads(resolution: float, accuracy: float) -> None:
    """DERIVED: a step of 0.693 kg, or an accuracy of 0.346 kg, or some of both, each give u = 0.2 kg a pad."""
    found = IN_PRINT * uncertainties(LOADS, pad_covariance(LOADS, resolution, accuracy))
    assert found == pytest.approx(EXPECTED, abs=TOLERANCE)


def test_what_the_percentages_have_in_common() -> None:
    """DERIVED: cov(front, left) is 1.52996e-10, that of either with RF+LR nothing."""
    covariance = propagate(figures(LOADS), EACH**2 * np.eye(4))
    assert covariance[1, 2] == pytest.approx(1.52996e-10, rel=1e-4)
    assert covariance[[1, 2], [3, 3]] == pytest.approx([0.0, 0.0], abs=1e-20)


@pytest.mark.parametrize("gain", [1e-4, 1e-3, 1e-2])
def test_a_common_gain(gain: float) -> None:
    """DERIVED: a gain the pads share is 1,100 kg x gain in the total, 20 kg x gain in LR - RR, nothing in any share."""
    found = IN_PRINT * uncertainties(LOADS, pad_covariance(LOADS, 0.0, 0.0, gain))
    assert found == pytest.approx([1_100 * gain, 0.0, 0.0, 0.0, 20 * gain], abs=TOLERANCE)


def test_independent_pads_under_a_common_gain() -> None:
    """DERIVED: with gain 0.001 the total is sqrt(0.4^2 + 1.1^2) = 1.170470 kg, the percentages are as without."""
    found = IN_PRINT * uncertainties(LOADS, pad_covariance(LOADS, EACH * 12**0.5, gain=1e-3))
    assert found[0] == pytest.approx(1.170470, abs=TOLERANCE)
    assert found[1:4] == pytest.approx(EXPECTED[1:4], abs=TOLERANCE)


def test_pads_of_two_makes() -> None:
    """DERIVED: u = 0.3 kg in front and 0.1 kg behind: total sqrt(2 x 0.09 + 2 x 0.01) = 0.447214 kg.

    Front: (1 - p)/T = 0.43636/1,100 at the front pads, p/T = 0.56364/1,100 at the rear ones, so
    u = sqrt(2 (0.3 x 0.43636)^2 + 2 (0.1 x 0.56364)^2) / 1,100 = 0.018324 points. LR - RR: 0.141421 kg.
    """
    steps = np.array([0.3, 0.3, 0.1, 0.1]) * 12**0.5
    found = IN_PRINT * uncertainties(LOADS, pad_covariance(LOADS, steps))
    assert found[[0, 1, 4]] == pytest.approx([0.447214, 0.018324, 0.141421], abs=TOLERANCE)
