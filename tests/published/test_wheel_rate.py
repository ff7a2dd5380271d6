"""The rate at the wheel of a spring that stands nearer to the pivot.

Source: D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer, 2018), p. 179, eq. 3.29-3.33
(REF-C4), the formula, for small displacements; the source's own numbers were not read, those below are ours.

    spring at c, wheel at b from the pivot     wheel rate = spring rate (c / b)^2
    80 N/mm, c 240 mm, b 400 mm                80 x 0.36                = 28.8 N/mm
    tyre of 200 N/mm in series                 1 / (1/28.8 + 1/200)     = 25.1748 N/mm   (from memory, elementary)
"""

import numpy as np
import pytest

from ballast.physics.statics import contact_patches
from ballast.physics.suspension import Springs, at_the_ground, at_the_wheels, independent_axle, lowering, motion

PATCHES = contact_patches(2.5, 1.5, 1.4)
TO_SPRING, TO_WHEEL = 0.24, 0.40
"""From the pivot of the arm. [m]"""
AXLE = independent_axle(TO_SPRING / TO_WHEEL, TO_SPRING / TO_WHEEL)
SPRINGS = Springs(PATCHES, [80e3] * 4, motion(AXLE, AXLE))
ROUNDING = 1e-6
"""[N/m]"""


def test_wheel_rate() -> None:
    """VERIFIED formula: 80 N/mm at 0.6 of the arm are 28.8 N/mm at the wheel, each wheel for itself."""
    assert at_the_wheels(SPRINGS) == pytest.approx(28.8e3 * np.eye(4), abs=ROUNDING)


@pytest.mark.parametrize("rate", [20e3, 175e3])
@pytest.mark.parametrize(("spring", "wheel"), [(0.1, 0.4), (0.35, 0.38), (0.5, 0.4)])
def test_wheel_rate_from_moments(rate: float, spring: float, wheel: float) -> None:
    """The formula's derivation: an arm turned by 1 mrad, moments about the pivot, force over travel at the wheel."""
    turned = 1e-3
    force_at_wheel = rate * (turned * spring) * spring / wheel
    expected = force_at_wheel / (turned * wheel)
    axle = independent_axle(spring / wheel, spring / wheel)
    found = at_the_wheels(Springs(PATCHES, [rate] * 4, motion(axle, axle)))
    assert np.diag(found) == pytest.approx([expected] * 4, rel=1e-12)
    assert expected == pytest.approx(rate * (spring / wheel) ** 2, rel=1e-12)


def test_wheel_rate_and_tyre_in_series() -> None:
    """From memory, elementary: 28.8 and 200 N/mm in series are 25.1748, and what a mass lowers is over that."""
    with_tyres = Springs(PATCHES, [80e3] * 4, SPRINGS.motion, tyres=[200e3] * 4)
    assert np.diag(at_the_ground(with_tyres)) == pytest.approx([25_174.825] * 4, abs=1e-3)
    sunk = 40 / 4 * 9.80665 / 25_174.825
    assert lowering(with_tyres, 40.0, 1.25, 0.0) == pytest.approx([sunk] * 4, abs=1e-9)
