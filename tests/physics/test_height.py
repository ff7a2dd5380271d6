"""The height of the centre of gravity from lifts: a car turned point by point, and errors thrown like dice."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics.height import (
    Lifted,
    Unsure,
    angles,
    combined,
    each_alone,
    lift_for,
    line,
    loads_at,
    standard_uncertainty,
    turned_further,
    unsure,
)

ONE = Lifted(2.5, 0.3, 0.3, 1000.0, 560.0, [0.5], [572.24745])
"""REF-B3: see tests/published/test_raised_axle.py."""


def turned(
    angle: float, wheelbase: float, radii: tuple[float, float], centre: tuple[float, float]
) -> tuple[float, ...]:
    """Turn the points of a car about its grounded wheel centres; lift and share of the load that stays.

    Drawn with complex numbers, grounded wheel centres at the origin; moments about them.
    """
    spin = complex(math.cos(angle), math.sin(angle))
    wheel = complex(wheelbase, radii[1] - radii[0]) * spin
    gravity = complex(centre[0], centre[1] - radii[0]) * spin
    return wheel.imag - (radii[1] - radii[0]), 1 - gravity.real / wheel.real


@given(
    wheelbase=st.floats(1.0, 4.0),
    radii=st.tuples(st.floats(0.12, 0.45), st.floats(0.12, 0.45)),
    where=st.floats(0.3, 0.7),
    height=st.floats(0.15, 1.0),
    degrees=st.lists(st.floats(2.0, 25.0), min_size=1, max_size=5, unique=True),
)
def test_a_car_that_is_drawn_and_turned_has_the_height_it_was_drawn_with(
    wheelbase: float, radii: tuple[float, float], where: float, height: float, degrees: list[float]
) -> None:
    """Any car, either end: lifts and loads from turned points give angles and height back, from each and all."""
    drawn = [turned(math.radians(d), wheelbase, radii, (where * wheelbase, height)) for d in degrees]
    lifted = Lifted(wheelbase, *radii, 900.0, 900 * (1 - where), [d[0] for d in drawn], [900 * d[1] for d in drawn])
    assert np.degrees(angles(lifted)) == pytest.approx(degrees, abs=1e-9)
    assert each_alone(lifted) == pytest.approx([height] * len(degrees), abs=1e-9)
    found = line(lifted)
    assert found.height == pytest.approx(height, abs=1e-8)
    assert found.residuals == pytest.approx([0.0] * (len(degrees) + 1), abs=1e-6)
    assert loads_at(lifted, height) == pytest.approx(lifted.loads, abs=1e-9)


def test_a_lift_over_the_wheelbase_has_no_angle() -> None:
    """No car of 2.5 m wheelbase stands with one axle 2.6 m up: nan, for the caller to refuse."""
    assert np.isnan(angles(replace(ONE, heights=[2.6]))).all()


@pytest.mark.parametrize("raised", [0.28, 0.3, 0.33])
def test_the_lift_for_an_angle(raised: float) -> None:
    """For equal radii 2.5 sin 10 degrees; for any radii, the lift turns the car by the angle it was asked for."""
    lifted = replace(ONE, radius_raised=raised)
    lift = lift_for(lifted, math.radians(10))
    assert np.degrees(angles(replace(lifted, heights=[lift]))) == pytest.approx([10.0])
    if raised == 0.3:
        assert lift == pytest.approx(2.5 * math.sin(math.radians(10)))


def test_the_line_is_the_one_of_least_squares() -> None:
    """Equal radii: G = c + W (h - r) tan / L, so numpy's own polynomial fit has h - r as its slope times L / W."""
    loads = np.array([564.3, 567.6, 572.5])
    lifted = replace(ONE, level=560.4, heights=[0.15, 0.3, 0.5], loads=loads)
    tangents = np.array([0.0, *(math.tan(math.asin(h / 2.5)) for h in (0.15, 0.3, 0.5))])
    slope, level = np.polyfit(tangents, [560.4, *loads], 1)
    found = line(lifted)
    assert found.height == pytest.approx(0.3 + slope * 2.5 / 1000)
    assert found.level == pytest.approx(level)
    assert found.residuals == pytest.approx(np.array([560.4, *loads]) - level - slope * tangents, abs=1e-9)
    assert found.scatter == pytest.approx(math.sqrt((found.residuals**2).sum() / 2))


def test_one_lift_shows_no_scatter() -> None:
    """A line through two points fits both: there is nothing to say how well the readings repeat."""
    assert line(ONE).scatter is None


def test_uncertainty_of_one_lift_by_hand() -> None:
    """h - r = L (G - G0) / (W t), t = tan asin(H / L): each derivative by hand, added in squares (JCGM 100, eq. 10)."""
    t, lever = math.tan(math.asin(0.2)), 0.15
    by_load = 2.5 / (1000 * t)
    by_total = lever / 1000
    by_lift = lever * (1 / 0.5) / (1 - 0.2**2)  # d ln t / d H = 1 / (H (1 - (H / L)^2))
    wanted = math.sqrt(2 * (by_load * 0.3) ** 2 + 2 * (by_total * 0.3) ** 2 + (by_lift * 0.001) ** 2 + 0.002**2)
    assert standard_uncertainty(ONE, None, 0.3, 0.001, 0.002) == pytest.approx(wanted, rel=1e-6)


def test_uncertainty_of_several_lifts_against_thrown_errors() -> None:
    """Four lifts, unequal wheels, 4,000 throws of every error: their standard deviation is the one foreseen."""
    dice = np.random.default_rng(20260307)
    bare = Lifted(2.5, 0.3, 0.32, 1000.0, 560.0, np.array([0.15, 0.3, 0.45, 0.6]), np.zeros(4))
    loads = loads_at(bare, 0.45)
    true = replace(bare, loads=loads)
    heights = []
    for _ in range(4_000):
        tape, wheel = dice.normal(0, 0.002), dice.normal(0, 0.003)
        heights.append(
            line(
                replace(
                    true,
                    level=true.level + dice.normal(0, 0.3),
                    loads=loads + dice.normal(0, 0.3, 4),
                    total=true.total + dice.normal(0, 0.3 * math.sqrt(2)),
                    heights=np.asarray(true.heights) + tape,
                    radius_grounded=true.radius_grounded + wheel,
                    radius_raised=true.radius_raised + wheel,
                )
            ).height
        )
    assert standard_uncertainty(true, None, 0.3, 0.002, 0.003) == pytest.approx(np.std(heights), rel=0.05)


def test_scatter_widens_by_student_over_two() -> None:
    """JCGM 100, G.3: three lifts and the level reading leave 2 degrees of freedom: 4.30 / 2 s L / (W sqrt(Sxx))."""
    lifted = replace(ONE, heights=[0.15, 0.3, 0.5], loads=[563.0, 567.0, 572.2])
    tangents = np.tan(np.arcsin(np.array([0, 0.15, 0.3, 0.5]) / 2.5))
    spread = math.sqrt(((tangents - tangents.mean()) ** 2).sum())
    wanted = 4.30 / 2 * 0.25 * 2.5 / (1000 * spread)
    assert standard_uncertainty(lifted, 0.25, 0.0, 0.0, 0.0) == pytest.approx(wanted)


def test_turned_further_is_surer() -> None:
    """One lift of 5 degrees turned to 10: the pads' part shrinks by tan 5 / tan 10, and the height stays as it was."""
    low = replace(ONE, heights=[2.5 * math.sin(math.radians(5))])
    low = replace(low, loads=loads_at(low, 0.45))
    high = turned_further(low, 0.45, math.radians(10))
    assert line(high).height == pytest.approx(0.45)
    assert np.degrees(angles(high)) == pytest.approx([10.0])
    was, now = (standard_uncertainty(lifted, None, 0.3, 0.0, 0.0) for lifted in (low, high))
    assert now / was == pytest.approx(math.tan(math.radians(5)) / math.tan(math.radians(10)), rel=1e-3)


def test_two_axles_by_hand() -> None:
    """0.450 m within 4 mm and 0.460 m within 8 mm: weights 1/16 and 1/64 make 4/5 and 1/5, so 0.452 m.

    With nothing in common the mean is good to 1 / sqrt(1/16 + 1/64) = 3.578 mm and the difference to sqrt(16 + 64).
    """
    found = combined((0.450, 0.460), (Unsure(0.004, 0.0, 0.0), Unsure(0.008, 0.0, 0.0)))
    assert found.height == pytest.approx(0.452)
    assert found.uncertain == pytest.approx(0.003577709)
    assert found.apart == pytest.approx(-0.010)
    assert found.apart_uncertain == pytest.approx(math.sqrt(80) / 1000)
    assert found.agree


def test_a_common_error_stays_in_the_mean_and_goes_from_the_difference() -> None:
    """Radii 3 mm off for both: the mean is 3 mm off with them, and the two still agree to nothing."""
    found = combined((0.450, 0.451), (Unsure(0.0, 0.0, 0.003), Unsure(0.0, 0.0, 0.003)))
    assert found.uncertain == pytest.approx(0.003)
    assert found.apart_uncertain == pytest.approx(0.0, abs=1e-15)
    assert not found.agree


def test_two_certain_heights_have_a_mean() -> None:
    """Nothing stated to be off on either side: the plain mean."""
    assert combined((0.45, 0.46), (Unsure(0.0, 0.0, 0.0), Unsure(0.0, 0.0, 0.0))).height == pytest.approx(0.455)


def test_both_axles_against_thrown_errors() -> None:
    """4,000 throws for a rear and a front lift: spread of mean and difference as foreseen, 5 % said not to agree."""
    dice = np.random.default_rng(20261125)
    lifts = np.array([0.25, 0.4, 0.5])
    pair = [
        Lifted(2.5, *radii, 1000.0, level, lifts, np.zeros(3))
        for radii, level in (((0.3, 0.32), 560.0), ((0.32, 0.3), 440.0))
    ]
    true = [replace(one, loads=loads_at(one, 0.45)) for one in pair]
    first, second = (unsure(one, None, 0.3, 0.002, 0.003) for one in true)
    foreseen = combined((0.45, 0.45), (first, second))
    means, differences, doubted = [], [], 0
    for _ in range(4_000):
        tape, wheel = dice.normal(0, 0.002), dice.normal(0, 0.003)
        heights = []
        for one in true:
            thrown = replace(
                one,
                level=one.level + dice.normal(0, 0.3),
                loads=np.asarray(one.loads) + dice.normal(0, 0.3, 3),
                total=one.total + dice.normal(0, 0.3 * math.sqrt(2)),
                heights=lifts + tape,
                radius_grounded=one.radius_grounded + wheel,
                radius_raised=one.radius_raised + wheel,
            )
            heights.append(line(thrown).height)
        found = combined((heights[0], heights[1]), (first, second))
        means.append(found.height)
        differences.append(found.apart)
        doubted += not found.agree
    assert np.std(means) == pytest.approx(foreseen.uncertain, rel=0.05)
    assert np.std(differences) == pytest.approx(foreseen.apart_uncertain, rel=0.05)
    assert doubted / 4_000 == pytest.approx(0.0455, abs=0.012)  # outside two standard deviations of a normal one
