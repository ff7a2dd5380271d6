"""Three scales, tare, and a tank that is drained on paper: the example weighing of a mechanic's handbook.

Source: Aviation Maintenance Technician Handbook - General, FAA-H-8083-30, Federal Aviation Administration, 2008,
chapter 4, "Example weighing of an airplane", figure 4-20 (REF-A3). Datum 70 in ahead of the main wheels.

                        scale    tare     net     arm    moment
    left main             650      5     645      +70    45,150
    right main            640      5     635      +70    44,450
    nose                  225    2.5   222.5      -30    -6,675
    as weighed                         1,502.5           82,925     82,925 / 1,502.5 = 55.19 in
    fuel out, 30 gal at 5.9 lb          -177      +95   -16,815
    unusable fuel back                    +6      +98      +588
    corrected                          1,331.5           66,698     66,698 / 1,331.5 = 50.09 in, printed 50.1

The nose stands on two pads that read half each: its own width and the roll stiffness must not matter. The package has
no tare yet, so it is subtracted here.
"""

import numpy as np
import pytest

from ballast.physics.statics import Array, left_share
from tests.published.beam import POUND_INCH, Stand, pounds

STANDS = (
    Stand(front_arm=-30.0, rear_arm=70.0, front_width=8.0, rear_width=90.0, roll_share=0.1),
    Stand(front_arm=-30.0, rear_arm=70.0, front_width=60.0, rear_width=60.0, roll_share=0.5),
)
LEFT_MAIN, RIGHT_MAIN, NOSE = 650.0 - 5.0, 640.0 - 5.0, 225.0 - 2.5
FUEL = 30 * 5.9
ROUNDING = 1e-9
"""Weights are exact. [lb]"""
COMPUTED = 0.01
"""Against the computed centre. [in]"""
PRINTED = 0.05
"""Against the centre as printed, one decimal. [in]"""


def net() -> Array:
    """Net pad readings LF, RF, LR, RR. [kg]"""
    return np.array([POUND_INCH.inside(load, "mass") for load in (NOSE / 2, NOSE / 2, LEFT_MAIN, RIGHT_MAIN)])


@pytest.mark.parametrize("where", STANDS)
def test_as_weighed(where: Stand) -> None:
    """INPUTS VERIFIED: net of tare the three scales give 1,502.5 lb at 55.19 in, with a negative arm."""
    assert pounds(net()) == pytest.approx(1_502.5, abs=ROUNDING)
    assert where.centre(net()) == pytest.approx(82_925 / 1_502.5, abs=ROUNDING)
    assert where.centre(net()) == pytest.approx(55.19, abs=COMPUTED)


@pytest.mark.parametrize("where", STANDS)
def test_fuel_out_and_residual_back(where: Stand) -> None:
    """INPUTS VERIFIED: without 177 lb of fuel and with 6 lb of unusable fuel it is 1,331.5 lb at 50.09 in."""
    pads = net() + where.standing((-FUEL, 95.0), (6.0, 98.0))
    assert pounds(pads) == pytest.approx(1_331.5, abs=ROUNDING)
    assert pounds(pads) * where.centre(pads) == pytest.approx(66_698, rel=ROUNDING)
    assert where.centre(pads) == pytest.approx(50.09, abs=COMPUTED)
    assert where.centre(pads) == pytest.approx(50.1, abs=PRINTED)


@pytest.mark.parametrize("where", STANDS)
def test_fuel_on_the_centre_line_leaves_the_side_moment(where: Stand) -> None:
    """DERIVED: the left wheels carry half of everything and half of the 10 lb by which the main wheels differ."""
    pads = net() + where.standing((-FUEL, 95.0), (6.0, 98.0))
    assert float(left_share(pads)) * 1_331.5 == pytest.approx((1_331.5 + 645 - 635) / 2, abs=ROUNDING)
