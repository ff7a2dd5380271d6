"""Conversion factors that are exact by definition.

Source: the definitions, as scipy.constants holds them (REF-G): the international pound of 0.45359237 kg, the inch of
0.0254 m, the gallons of 231 cubic inches and of 4.54609 L, standard gravity of 9.80665 m/s2.
Only the conversions that the package has so far.
"""

import math

import pytest
from scipy import constants

from ballast.units import LENGTH, MASS, STANDARD_GRAVITY, VOLUME, Units


def test_pound() -> None:
    """VERIFIED, exact: 1 lb = 0.45359237 kg; scipy multiplies 7,000 grains out and may miss the last bit."""
    assert MASS["lb"] == 0.45359237
    assert MASS["lb"] == pytest.approx(constants.pound, rel=0, abs=math.ulp(constants.pound))


def test_inch_and_millimetre() -> None:
    """VERIFIED, exact: 1 in = 0.0254 m, 1 mm = 0.001 m."""
    assert LENGTH["in"] == constants.inch == 0.0254
    assert LENGTH["mm"] == constants.milli == 0.001


def test_gallons() -> None:
    """VERIFIED, exact: the US gallon is 231 in3 = 3.785411784 L, the imperial one 4.54609 L; scipy has them in m3."""
    assert VOLUME["US gal"] == 3.785411784
    assert VOLUME["imp gal"] == 4.54609
    assert VOLUME["US gal"] == pytest.approx(constants.gallon / constants.liter, rel=1e-15)
    assert VOLUME["imp gal"] == pytest.approx(constants.gallon_imp / constants.liter, rel=1e-15)
    assert VOLUME["US gal"] == pytest.approx(231 * (10 * LENGTH["in"]) ** 3, rel=1e-15)


def test_base_units_stand_for_themselves() -> None:
    """VERIFIED, exact: kg, m and L are what the program works in."""
    assert (MASS["kg"], LENGTH["m"], VOLUME["L"]) == (1.0, 1.0, 1.0)


def test_standard_gravity() -> None:
    """VERIFIED, exact: 9.80665 m/s2."""
    assert STANDARD_GRAVITY == constants.g == 9.80665


def test_percent() -> None:
    """DERIVED: a share of one is 100 %."""
    assert Units().inside(100.0, "percent") == 1.0
    assert Units().outside(1.0, "percent") == 100.0


def test_every_mass_length_and_volume_unit_is_checked_here() -> None:
    """DERIVED: a unit added to the package needs its own source beside it."""
    assert set(MASS) == {"kg", "lb"}
    assert set(LENGTH) == {"m", "mm", "in"}
    assert set(VOLUME) == {"L", "US gal", "imp gal"}
