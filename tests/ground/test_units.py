"""Units by name, and numbers shown without the dust of binary fractions. Factors: tests/published, tests/properties."""

import pytest

from ballast.units import LengthUnit, MassUnit, Units


@pytest.mark.parametrize(("mass", "length"), [("kg", "mm"), ("kg", "m"), ("lb", "in")])
def test_each_dimension_has_its_name(mass: MassUnit, length: LengthUnit) -> None:
    """A number can be printed with its unit behind it."""
    units = Units(mass=mass, length=length)
    assert [units.name("mass"), units.name("length"), units.name("percent")] == [mass, length, "%"]


def test_without_a_file_numbers_are_in_kg_and_m() -> None:
    """Inside the program: kg, m and shares."""
    assert (Units().inside(7.5, "mass"), Units().inside(2.48, "length"), Units().inside(54, "percent")) == (
        7.5,
        2.48,
        0.54,
    )


def test_no_dust_is_shown() -> None:
    """31 lb to kg and back is 30.999999999999996 in binary; the user wrote 31."""
    pounds = Units(mass="lb")
    assert 31 * 0.45359237 / 0.45359237 != 31
    assert pounds.outside(pounds.inside(31, "mass"), "mass") == 31
