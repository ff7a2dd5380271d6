"""Identities of repeated weighings. Source: JCGM 100:2008, first-order propagation with covariance."""

import math
from collections.abc import Callable

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics.quality import covariance_of_the_mean, of_the_mean, repeatability
from ballast.physics.statics import Array, diagonal_share, front_share, left_share
from ballast.physics.uncertainty import uncertainties
from tests.properties.cars import loads, numbers

SHARE = 1e-9
"""[-]"""

offsets = st.lists(numbers(-1e-3, 1e-3), min_size=4, max_size=4).map(np.array)
"""What one settling reads off from the others, as a part of the load."""


@st.composite
def settlings(draw: st.DrawFn, least: int = 2) -> Array:
    """Readings of one car, settled several times. (n, 4) [kg]"""
    mean = draw(loads)
    return np.array([mean * (1 + draw(offsets)) for _ in range(draw(st.integers(least, 6)))])


@given(readings=settlings())
def test_the_total_is_the_same_from_the_covariance_and_directly(readings: Array) -> None:
    """The total is linear in the pads, so both routes agree to rounding."""
    ones = np.ones(4)
    from_covariance = ones @ covariance_of_the_mean(readings) @ ones
    assert math.isclose(repeatability(readings).total ** 2, from_covariance, rel_tol=1e-6, abs_tol=1e-9)


@given(readings=settlings())
def test_percentages_are_nearly_the_same_from_the_covariance_and_directly(readings: Array) -> None:
    """To first order both routes agree: with scatter of a part in a thousand, to a hundredth of it."""
    found, mean = repeatability(readings), readings.mean(axis=0)
    shares = uncertainties(mean, covariance_of_the_mean(readings))[1:4]
    for direct, propagated in zip((found.front, found.left, found.diagonal), shares, strict=True):
        assert math.isclose(propagated, direct, rel_tol=0.01, abs_tol=5e-6)


@given(readings=settlings(), data=st.data())
def test_the_order_of_the_settlings_does_not_matter(readings: Array, data: st.DataObject) -> None:
    """Settlings in another order have the same scatter."""
    order = data.draw(st.permutations(range(len(readings))))
    one, other = repeatability(readings), repeatability(readings[order])
    assert math.isclose(one.total, other.total, abs_tol=SHARE)
    assert math.isclose(one.front, other.front, abs_tol=SHARE)
    assert math.isclose(one.left, other.left, abs_tol=SHARE)
    assert math.isclose(one.diagonal, other.diagonal, abs_tol=SHARE)
    assert math.isclose(one.rear_pair, other.rear_pair, abs_tol=SHARE)


@given(readings=settlings(), factor=numbers(0.1, 10.0))
def test_a_common_gain_scales_the_total_and_not_the_percentages(readings: Array, factor: float) -> None:
    """Pads that all read too much by the same factor show the same scatter of every percentage."""
    one, other = repeatability(readings), repeatability(factor * readings)
    assert math.isclose(other.total, factor * one.total, rel_tol=1e-6, abs_tol=1e-9)
    assert math.isclose(other.rear_pair, factor * one.rear_pair, rel_tol=1e-6, abs_tol=1e-9)
    assert math.isclose(other.front, one.front, abs_tol=SHARE)
    assert math.isclose(other.left, one.left, abs_tol=SHARE)
    assert math.isclose(other.diagonal, one.diagonal, abs_tol=SHARE)


@given(mean=loads, gain=numbers(1e-5, 0.02))
def test_the_uncertainty_of_a_common_gain_cancels(mean: Array, gain: float) -> None:
    """An uncertain gain that all pads share leaves every percentage certain."""
    covariance = gain**2 * np.outer(mean, mean)
    assert (uncertainties(mean, covariance)[1:4] <= 1e-8).all()


def _rf_lr(at: Array) -> Array:
    return diagonal_share(at, "RF+LR")


@given(mean=loads, each=st.lists(numbers(0.05, 2.0), min_size=4, max_size=4))
def test_propagation_against_differences(mean: Array, each: list[float]) -> None:
    """For independent pads the variance is the sum of squares of what one pad's uncertainty does, by differences."""
    functions: tuple[Callable[[Array], Array], ...] = (front_share, left_share, _rf_lr)
    shares = uncertainties(mean, np.diag(np.square(each)))[1:4]
    for function, found in zip(functions, shares, strict=True):
        steps = [1e-3 * np.eye(4)[pad] for pad in range(4)]
        slopes = [float(function(mean + step) - function(mean - step)) / 2e-3 for step in steps]
        expected = math.hypot(*(slope * u for slope, u in zip(slopes, each, strict=True)))
        assert math.isclose(found, expected, rel_tol=1e-6)


@given(mean=loads, count=st.integers(2, 6))
def test_the_same_reading_every_time_has_no_scatter(mean: Array, count: int) -> None:
    """Settlings that agree to the last digit have an uncertainty of nothing."""
    found = repeatability(np.tile(mean, (count, 1)))
    assert max(found.total, found.front, found.left, found.diagonal, found.rear_pair) <= 1e-9
    assert not found.assumed


@given(values=st.lists(numbers(-100.0, 100.0), min_size=2, max_size=8))
def test_the_uncertainty_of_a_mean_by_its_definition(values: list[float]) -> None:
    """s / sqrt(n), with s from the sum of squares over n - 1."""
    mean = math.fsum(values) / len(values)
    squares = math.fsum((value - mean) ** 2 for value in values)
    expected = math.sqrt(squares / (len(values) - 1) / len(values))
    assert math.isclose(of_the_mean(values), expected, rel_tol=1e-9, abs_tol=1e-9)
