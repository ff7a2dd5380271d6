"""A centre of gravity from two axles, with the datum ahead of both.

Source: European central question bank style item, ATPL mass and balance, 2020 set, read at atplquestions.com (REF-A4).
Nose support at 161 in with 6,488 kg, each of two main supports at 775 in with 17,783 kg.

    total     6,488 + 2 x 17,783              =     42,054 kg
    moment    6,488 x 161 + 35,566 x 775      = 28,608,218 kg-in
    centre    28,608,218 / 42,054             =    680.273 in, printed 680.3
"""

import numpy as np
import pytest

from ballast.physics.statics import centre_of_gravity, front_share
from ballast.units import Units

UNITS = Units(mass="kg", length="in")
PRINTED = 0.05
"""One decimal is printed. [in]"""


@pytest.mark.parametrize("nose_width", [0.5, 3.0])
def test_centre_from_axle_loads(nose_width: float) -> None:
    """VERIFIED: metric masses at arms in inches give 680.3 in, whatever the width in metres of the nose support."""
    nose, mains = UNITS.inside(161, "length"), UNITS.inside(775, "length")
    patches = np.array([[nose, nose_width / 2], [nose, -nose_width / 2], [mains, 3.0], [mains, -3.0]])
    loads = np.array([6_488 / 2, 6_488 / 2, 17_783, 17_783])
    aft, left = centre_of_gravity(patches, loads)
    assert UNITS.outside(float(aft), "length") == pytest.approx(680.3, abs=PRINTED)
    assert UNITS.outside(float(aft), "length") == pytest.approx(28_608_218 / 42_054, abs=1e-9)
    assert float(left) == pytest.approx(0.0, abs=1e-12)
    assert float(front_share(loads)) == pytest.approx(6_488 / 42_054, abs=1e-12)
