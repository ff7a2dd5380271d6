"""Units by name, and numbers shown without the dust of binary fractions. Factors: tests/published, tests/properties."""

import pytest

from ballast.units import LengthUnit, MassUnit, Units, VolumeUnit


@pytest.mark.parametrize(
    ("mass", "length", "volume"), [("kg", "mm", "L"), ("kg", "m", "imp gal"), ("lb", "in", "US gal")]
)
def test_each_dimension_has_its_name(mass: MassUnit, length: LengthUnit, volume: VolumeUnit) -> None:
    """A number can be printed with its unit behind it."""
    units = Units(mass=mass, length=length, volume=volume)
    names = [units.name("mass"), units.name("length"), units.name("volume"), units.name("percent")]
    assert names == [mass, length, volume, "%"]


def test_a_file_without_a_unit_of_volume_shows_litres() -> None:
    """What the program works out itself has to be printed in something."""
    units = Units(volume=None)
    assert (units.name("volume"), units.outside(7.5, "volume")) == ("L", 7.5)


def test_without_a_file_numbers_are_in_kg_and_m() -> None:
    """Inside the program: kg, m, litres and shares."""
    assert (Units().inside(7.5, "mass"), Units().inside(2.48, "length")) == (7.5, 2.48)
    assert (Units().inside(20, "volume"), Units().inside(54, "percent")) == (20, 0.54)


def test_no_dust_is_shown() -> None:
    """31 lb to kg and back is 30.999999999999996 in binary; the user wrote 31."""
    pounds = Units(mass="lb")
    assert 31 * 0.45359237 / 0.45359237 != 31
    assert pounds.outside(pounds.inside(31, "mass"), "mass") == 31
