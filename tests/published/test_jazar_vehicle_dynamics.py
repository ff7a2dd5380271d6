"""Centre of gravity along the car from its wheel loads.

Source: R. N. Jazar, Vehicle Dynamics: Theory and Application, 2008, chapter 2, example 40, equations 2.15 to 2.20, page
41 (REF-B1). Wheelbase 2.34 m, 2,000 N under each front wheel and 1,800 N under each rear wheel.

    behind the front axle   2.34 x 2 x 1,800 / 7,600 = 1.1084 m
    ahead of the rear axle  2.34 x 2 x 2,000 / 7,600 = 1.2316 m
    front share             2 x 2,000 / 7,600        = 52.632 %
"""

import numpy as np
import pytest

from ballast.physics.statics import centre_of_gravity, contact_patches, front_share
from ballast.units import STANDARD_GRAVITY

WHEELBASE = 2.34
LOADS = np.array([2_000.0, 2_000.0, 1_800.0, 1_800.0]) / STANDARD_GRAVITY
"""[kg]"""
PRINTED_LENGTH = 1e-4
"""Four decimals are printed. [m]"""


@pytest.mark.parametrize(("track_front", "track_rear"), [(1.5, 1.5), (1.4, 1.6)])
def test_centre_along_the_car(track_front: float, track_rear: float) -> None:
    """VERIFIED: 1.1084 m behind the front axle, 1.2316 m ahead of the rear one, for any tracks."""
    aft, left = centre_of_gravity(contact_patches(WHEELBASE, track_front, track_rear), LOADS)
    assert float(aft) == pytest.approx(1.1084, abs=PRINTED_LENGTH)
    assert WHEELBASE - float(aft) == pytest.approx(1.2316, abs=PRINTED_LENGTH)
    assert float(left) == pytest.approx(0.0, abs=1e-12)


def test_front_share() -> None:
    """VERIFIED: the front axle carries 4,000 N of 7,600 N, 52.632 %."""
    assert 100 * float(front_share(LOADS)) == pytest.approx(52.632, abs=5e-4)
