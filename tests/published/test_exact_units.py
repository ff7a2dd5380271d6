"""Conversion factors that are exact by definition.

Source: the definitions, as scipy.constants holds them (REF-G): the international pound of 0.45359237 kg, the inch of
0.0254 m, standard gravity of 9.80665 m/s2. Only the conversions that the package has so far.
"""

import math

import pytest
from scipy import constants

from ballast.units import LENGTH, MASS, STANDARD_GRAVITY, Units


def test_pound() -> None:
    """VERIFIED, exact: 1 lb = 0.45359237 kg; scipy multiplies 7,000 grains out and may miss the last bit."""
    assert MASS["lb"] == 0.45359237
    assert MASS["lb"] == pytest.approx(constants.pound, rel=0, abs=math.ulp(constants.pound))


def test_inch_and_millimetre() -> None:
    """VERIFIED, exact: 1 in = 0.0254 m, 1 mm = 0.001 m."""
    assert LENGTH["in"] == constants.inch == 0.0254
    assert LENGTH["mm"] == constants.milli == 0.001


def test_base_units_stand_for_themselves() -> None:
    """VERIFIED, exact: kg and m are what the program works in."""
    assert (MASS["kg"], LENGTH["m"]) == (1.0, 1.0)


def test_standard_gravity() -> None:
    """VERIFIED, exact: 9.80665 m/s2."""
    assert STANDARD_GRAVITY == constants.g == 9.80665


def test_percent() -> None:
    """DERIVED: a share of one is 100 %."""
    assert Units().inside(100.0, "percent") == 1.0
    assert Units().outside(1.0, "percent") == 100.0


def test_every_mass_and_length_unit_is_checked_here() -> None:
    """DERIVED: a unit added to the package needs its own source beside it."""
    assert set(MASS) == {"kg", "lb"}
    assert set(LENGTH) == {"m", "mm", "in"}
