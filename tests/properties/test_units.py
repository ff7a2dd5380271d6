"""Round trips between the user's units and those inside. Source: a conversion and its inverse are the identity."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ballast.units import LENGTH, MASS, Dimension, LengthUnit, MassUnit, Units
from tests.properties.cars import numbers

DIMENSIONS: tuple[Dimension, ...] = ("mass", "length", "percent")
units = st.builds(Units, mass=st.sampled_from(list[MassUnit](MASS)), length=st.sampled_from(list[LengthUnit](LENGTH)))
written = st.tuples(st.integers(-(10**9), 10**9), st.integers(0, 5)).map(lambda parts: parts[0] / 10 ** parts[1])
"""Numbers as a person writes them: up to ten digits, up to five of them decimals."""


@pytest.mark.parametrize("dimension", DIMENSIONS)
@given(kind=units, value=written)
def test_what_was_written_comes_back_as_it_was_written(dimension: Dimension, kind: Units, value: float) -> None:
    """There and back, a number from a file is the very same number."""
    assert kind.outside(kind.inside(value, dimension), dimension) == value


@pytest.mark.parametrize("dimension", DIMENSIONS)
@given(kind=units, value=numbers(-1e6, 1e6))
def test_what_is_inside_survives_being_shown(dimension: Dimension, kind: Units, value: float) -> None:
    """Shown and read again, any number from inside agrees to fourteen digits."""
    assert math.isclose(kind.inside(kind.outside(value, dimension), dimension), value, rel_tol=1e-14, abs_tol=0.0)


@given(kind=units, one=numbers(-1e4, 1e4), other=numbers(-1e4, 1e4))
def test_converting_keeps_sums_and_order(kind: Units, one: float, other: float) -> None:
    """A sum converted is the sum of what was converted, and the greater stays the greater."""
    for dimension in DIMENSIONS:
        inside = kind.inside(one, dimension) + kind.inside(other, dimension)
        assert math.isclose(kind.inside(one + other, dimension), inside, rel_tol=1e-12, abs_tol=1e-9)
        assert (one <= other) == (kind.inside(one, dimension) <= kind.inside(other, dimension)) or math.isclose(
            one, other, rel_tol=1e-15
        )
