"""Rounding: never a total that reads as more than it is, never a minimum that reads as less."""

import pytest

from ballast.showing.rounding import Rounding
from ballast.units import Units

KG = Rounding(Units("kg", "mm"), 1)
LB = Rounding(Units("lb", "in"), 0)


@pytest.mark.parametrize(
    ("value", "down", "up"),
    [
        (1108.08, "1108.0 kg", "1108.1 kg"),
        (1108.0, "1108.0 kg", "1108.0 kg"),
        (1107.999999999, "1108.0 kg", "1108.0 kg"),  # the noise of a double, not a shortfall
        (1107.99, "1107.9 kg", "1108.0 kg"),
        (1108.0001, "1108.0 kg", "1108.1 kg"),
    ],
)
def test_totals_round_down_and_minima_round_up(value: float, down: str, up: str) -> None:
    """A total against a minimum prints rounded down, the minimum rounded up."""
    assert KG.mass_down(value) == down
    assert KG.mass_up(value) == up


def test_pounds_round_in_pounds() -> None:
    """2,500.7 lb is 2500 lb rounded down and 2501 lb rounded up (1 lb = 0.45359237 kg, exact)."""
    assert LB.mass_down(2500.7 * 0.45359237) == "2500 lb"
    assert LB.mass_up(2500.7 * 0.45359237) == "2501 lb"


def test_percentages_keep_the_decimals_the_weighing_can_tell() -> None:
    """Two decimals where the percentage repeats to better than 0.05 points, else one."""
    assert KG.percent(0.54157, 0.0002) == "54.16 %"
    assert KG.percent(0.54157, 0.002) == "54.2 %"


def test_no_number_reads_minus_zero() -> None:
    """A difference that rounds to nothing has no sign."""
    assert KG.mass(-0.04) == "0.0 kg"
    assert KG.length(-0.0001) == "0 mm"


def test_lengths_are_shown_to_what_a_tape_can_tell() -> None:
    """Whole millimetres, tenths of an inch."""
    assert KG.length(1.13076) == "1131 mm"
    assert LB.length(1.2954) == "51.0 in"


@pytest.mark.parametrize(
    ("value", "written", "found"),
    [
        (0.0, "0 mm", "0 mm"),
        (0.00204, "2 mm", "2.0 mm"),
        (0.0000103, "0.01 mm", "0.010 mm"),
        (0.0123, "12 mm", "12 mm"),
    ],
)
def test_small_numbers_have_two_digits(value: float, written: str, found: str) -> None:
    """A step somebody chose is written short; what was worked out has both digits."""
    assert KG.small(value, "length") == written
    assert KG.small_found(value, "length") == found


def test_no_number_is_written_with_an_exponent() -> None:
    """110 mm is not 1.1e+02 mm, a hundredth of a millimetre not 1e-05 m; 99.9 rounds to 100."""
    assert KG.small(0.1104, "length") == "110 mm"
    assert KG.small(0.0999, "length") == "100 mm"
    assert Rounding(Units("kg", "m"), 1).small(0.00001, "length") == "0.00001 m"


def test_numbers_the_user_wrote_come_back_as_written() -> None:
    """A margin of 3 kg is printed as 3 kg, a plate of 24.8 lb as 24.8 lb."""
    assert KG.as_written(3.0, "mass") == "3 kg"
    assert LB.as_written(LB.units.inside(24.8, "mass"), "mass") == "24.8 lb"
