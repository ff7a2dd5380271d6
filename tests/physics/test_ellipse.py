"""The ellipse of the centre of gravity against hand arithmetic and drawn lots."""

import math

import numpy as np
import pytest

from ballast.physics.ellipse import CHANCE, FACTOR, centre_ellipse

PATCHES = np.array([[0.0, 0.75], [0.0, -0.75], [2.5, 0.75], [2.5, -0.75]])
"""A plain car: wheelbase 2.5 m, tracks 1.5 m, in the order LF, RF, LR, RR."""


def test_half_axes_of_four_independent_pads() -> None:
    """0.1 kg on each of four loads of 250 kg: 2 x 1.25 m x 0.1 / 1000 = 0.25 mm along, 2 x 0.75 m ... = 0.15 mm across.

    Source: JCGM 100:2008, eq. 10, with (corner - place) / T for each load; 2.4477 is the 95 % point of the Rayleigh
    distribution, sqrt(-2 ln 0.05).
    """
    ellipse = centre_ellipse([250.0] * 4, 0.01 * np.eye(4), PATCHES)
    assert ellipse.longer == pytest.approx(2.4477 * 0.25e-3, rel=1e-4)
    assert ellipse.shorter == pytest.approx(2.4477 * 0.15e-3, rel=1e-4)
    assert ellipse.turned == pytest.approx(0.0, abs=1e-9)


def test_one_wrong_pad_moves_the_place_along_its_own_line() -> None:
    """Only LF unsure: a line from it through the middle, 1.25 m back and 0.75 m right: -30.96 degrees, no width."""
    ellipse = centre_ellipse([250.0] * 4, np.diag([0.04, 0.0, 0.0, 0.0]), PATCHES)
    assert math.degrees(ellipse.turned) == pytest.approx(-30.9638, abs=1e-3)
    assert ellipse.longer == pytest.approx(2.4477 * 0.2 / 1000 * math.hypot(1.25, 0.75), rel=1e-4)
    assert ellipse.shorter == pytest.approx(0.0, abs=1e-9)


def test_what_only_warps_the_car_moves_nothing() -> None:
    """+1, -1, -1, +1 kg on the corners has no moment about either axis, so the place is certain."""
    warp = np.array([1.0, -1.0, -1.0, 1.0])
    ellipse = centre_ellipse([260.0, 250.0, 240.0, 255.0], np.outer(warp, warp), PATCHES)
    assert ellipse.longer == pytest.approx(0.0, abs=1e-9)


def test_as_many_lots_fall_inside_as_it_says() -> None:
    """Of 40 000 cars drawn with correlated loads 95 % lie inside, to 0.4 points (3.5 standard errors)."""
    rng = np.random.default_rng(6)
    spread = rng.normal(size=(4, 4))
    loads = np.array([280.0, 300.0, 235.0, 250.0])
    drawn = loads + rng.normal(size=(40_000, 4)) @ spread.T
    patches = PATCHES + rng.normal(scale=0.02, size=(4, 2))
    places = drawn @ patches / drawn.sum(axis=1, keepdims=True)
    ellipse = centre_ellipse(loads, spread @ spread.T, patches)
    off = places - loads @ patches / loads.sum()
    along = off @ [math.cos(ellipse.turned), math.sin(ellipse.turned)]
    across = off @ [-math.sin(ellipse.turned), math.cos(ellipse.turned)]
    inside = (along / ellipse.longer) ** 2 + (across / ellipse.shorter) ** 2 <= 1
    assert float(inside.mean()) == pytest.approx(CHANCE, abs=0.004)
    assert pytest.approx(2.4477, abs=1e-4) == FACTOR
    assert -math.pi / 2 < ellipse.turned <= math.pi / 2
