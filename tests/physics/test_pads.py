"""Pads exchanged, dead or out of level, on numbers that can be followed by hand."""

import itertools
import math

import numpy as np
import pytest
from scipy.stats import chi2

from ballast.corners import CORNERS, Corner
from ballast.physics import pads
from ballast.physics.platforms import load_change_on_pads
from ballast.physics.stance import by_roll_share
from ballast.physics.statics import contact_patches, lever_matrix, warp
from ballast.physics.suspension import Springs, independent_axle, motion

PATCHES = contact_patches(2.5, 1.5, 1.5)
UNLIKE = contact_patches(2.5, 1.5, 1.4)
LOADS = np.array([310.0, 280.0, 240.0, 220.0])
SURE = 0.09 * np.eye(4)
"""Each pad to 0.3 kg. [kg2]"""
ROUNDING = 1e-12


def test_limits_of_chi_squared() -> None:
    """DERIVED with scipy.stats.chi2: 95 % of three and of four, and one in a thousand of four."""
    found = (pads.LEFT_OVER_3, pads.LEFT_OVER_4, pads.FAR_OFF)
    assert found == pytest.approx((chi2.ppf(0.95, 3), chi2.ppf(0.95, 4), chi2.ppf(0.999, 4)), abs=0.006)


# --- against an earlier weigh-in -----------------------------------------------------------------------------------


@pytest.mark.parametrize("pair", list(itertools.combinations(CORNERS, 2)))
def test_any_exchanged_pair_is_named(pair: tuple[Corner, Corner]) -> None:
    """Two pads on each other's corners, 0.3 kg of noise: that pair comes first, and explains the difference."""
    now = LOADS + np.array([0.3, -0.2, 0.1, -0.3])
    one, other = (CORNERS.index(corner) for corner in pair)
    now[[one, other]] = now[[other, one]]
    found = pads.exchanged(now, LOADS, SURE)
    assert found[0].pairs == (pair,)
    assert found[0].left_over < 5
    assert found[0].as_read > 100


def test_both_sides_exchanged_at_once() -> None:
    """The cables of left and right exchanged on both axles: two pairs."""
    found = pads.exchanged(LOADS[[1, 0, 3, 2]], LOADS, SURE)
    assert [exchange.pairs for exchange in found] == [(("LF", "RF"), ("LR", "RR"))]


def test_a_car_that_changed_is_no_exchange() -> None:
    """12 kg more over the right rear wheel, or warp of 8 kg: no exchange explains it, so none is named."""
    assert pads.exchanged(LOADS + np.array([0, 0, 0, 12]), LOADS, SURE) == ()
    assert pads.exchanged(LOADS + 8 * warp(PATCHES), LOADS, SURE) == ()


def test_pads_that_carry_alike_are_exchanged_unseen() -> None:
    """LF and RF of the same load: exchanging them changes nothing that could be seen."""
    alike = np.array([300.0, 300.2, 240.0, 220.0])
    assert pads.exchanged(alike[[1, 0, 2, 3]], alike, SURE) == ()


def test_how_seldom_noise_alone_names_pads() -> None:
    """5,000 weighings of an unchanged car on the same pads: at most a few in a thousand name anything."""
    random = np.random.default_rng(3)
    drawn = LOADS + random.normal(0, 0.3, (5_000, 4))
    named = sum(bool(pads.exchanged(now, LOADS, SURE) or pads.one_pad_off(now, LOADS, SURE)) for now in drawn)
    assert named <= 10


def test_three_settlings_make_a_covariance_that_says_too_much() -> None:
    """Of rank one it is taken no surer than 0.05 % of a pad in any direction: noise of 0.1 kg is no exchange."""
    null = warp(PATCHES)
    assert pads.exchanged(LOADS + np.array([0.1, -0.1, 0.1, 0.1]), LOADS, np.outer(null, null)) == ()
    assert pads.exchanged(LOADS[[1, 0, 2, 3]], LOADS, np.outer(null, null))[0].pairs == (("LF", "RF"),)


def test_a_pad_that_reads_low_is_named_with_its_gain() -> None:
    """LR shows 228 of 240 kg, 5 % low; u of 0.3 kg on it is 0.125 %."""
    found = pads.one_pad_off(LOADS - np.array([0, 0, 12, 0]), LOADS, SURE)
    assert found[0].corner == "LR"
    assert found[0].gain == pytest.approx(0.95, abs=1e-3)
    assert found[0].uncertain == pytest.approx(0.3 / 240, rel=0.15)  # and the floor besides
    assert len(found) == 1


def test_a_dead_pad_has_no_gain() -> None:
    """RF shows nothing where it showed 280 kg."""
    (found,) = pads.one_pad_off(LOADS * [1, 0, 1, 1], LOADS, SURE)
    assert found.corner == "RF"
    assert found.gain == pytest.approx(0.0, abs=1e-9)


def test_warp_is_no_single_pad() -> None:
    """Warp of 8 kg moves all four, and no one pad explains it."""
    assert pads.one_pad_off(LOADS + 8 * warp(PATCHES), LOADS, SURE) == ()


# --- by themselves -------------------------------------------------------------------------------------------------

MOVING = np.array([[276.4, 288.6, 241.2, 268.0], [276.4, 287.8, 240.6, 268.8], [276.4, 289.2, 241.4, 267.6]])


def test_a_pad_that_never_moves_is_frozen() -> None:
    """LF shows 276.4 three times while the others cover 0.8 kg and more in steps of 0.2."""
    assert pads.frozen(MOVING, 0.2) == ("LF",)
    assert pads.frozen(MOVING, 0.0) == ("LF",)


def test_what_is_not_frozen() -> None:
    """Two settlings tell nothing; coarse steps hide the noise of all pads; and two still pads are a quiet car."""
    assert pads.frozen(MOVING[:2], 0.2) == ()
    assert pads.frozen(MOVING, 0.5) == ()
    assert pads.frozen(MOVING * [1, 0, 1, 1], 0.2) == ()


def test_gain_from_a_known_mass() -> None:
    """80 kg shown as 79.4 on RF: gain 0.9925, u 0.1 / 80 = 0.125 %, 6 times that off 1; the others within theirs."""
    found = pads.gains([0, 1, 2, 3], [80.0, 79.4, 80.1, 80.0], [80.0] * 4, [0.1] * 4)
    assert found.gains == pytest.approx([1.0, 0.9925, 1.00125, 1.0], abs=ROUNDING)
    assert found.uncertain == pytest.approx([0.00125] * 4, abs=ROUNDING)
    assert found.applied.tolist() == [False, True, False, False]


def test_the_mass_itself_may_be_off() -> None:
    """80 kg within 1 %: u 0.577 %, so 0.75 % off is no more than the mass may be, and is left alone."""
    found = pads.gains([1], [79.4], [80.0], [0.1], within=0.01)
    assert found.common == pytest.approx(0.01 / math.sqrt(3), abs=ROUNDING)
    assert not found.applied.any()


def test_the_same_pad_tried_twice() -> None:
    """79.4 and 79.8 of 80 kg: their mean, with u over sqrt 2."""
    found = pads.gains([1, 1], [79.4, 79.8], [80.0, 80.0], [0.1, 0.1])
    assert found.gains[1] == pytest.approx(79.6 / 80, abs=ROUNDING)
    assert found.uncertain[1] == pytest.approx(0.1 / 80 / math.sqrt(2), abs=ROUNDING)
    assert np.isnan(found.gains[[0, 2, 3]]).all()


def test_a_person_compares_the_pads() -> None:
    """74, 75, 76, 75 kg: against the mean of 75 the gains are 0.98667, 1, 1.01333, 1; nothing common is known."""
    found = pads.gains([0, 1, 2, 3], [74.0, 75.0, 76.0, 75.0], [np.nan] * 4, [0.2] * 4)
    assert found.gains == pytest.approx([74 / 75, 1.0, 76 / 75, 1.0], abs=ROUNDING)
    assert found.uncertain == pytest.approx([0.2 / 75 * math.sqrt(3 / 4)] * 4, abs=ROUNDING)
    assert found.applied.tolist() == [True, False, True, False]


def test_a_person_on_three_pads_puts_nothing_right() -> None:
    """Until all four were tried, gains against their mean would move the total against the pad left out."""
    found = pads.gains([0, 1, 2], [70.0, 75.0, 76.0], [np.nan] * 3, [0.2] * 3)
    assert found.differs.any()
    assert not found.applied.any()


# --- heights and slope ---------------------------------------------------------------------------------------------


def test_levels_as_heights() -> None:
    """2 mm per m across the front, left up, 1 across the rear, front 3 up along 2.5 m: 1.5, -1.5, -6.75, -8.25 mm."""
    found = pads.heights_of_levels(PATCHES, 0.002, 0.001, 0.003)
    assert 1000 * found == pytest.approx([1.5, -1.5, 0.75 - 7.5, -0.75 - 7.5], abs=1e-9)


def test_a_pad_above_the_plane_of_the_others() -> None:
    """LF 1 mm up is 1 mm out of plane, RR too, RF and LR 1 mm under it; any plane is none, with unequal tracks too."""
    assert [pads.out_of_plane(PATCHES, row) for row in np.eye(4)] == pytest.approx([1, -1, -1, 1], abs=1e-12)
    plane = lever_matrix(UNLIKE) @ [0.01, 0.002, -0.003]
    assert pads.out_of_plane(UNLIKE, plane) == pytest.approx(0.0, abs=1e-15)
    assert pads.slopes_of(UNLIKE, plane) == pytest.approx((0.002, -0.003), abs=1e-15)


def test_a_side_slope_moves_the_load_downhill() -> None:
    """Left pads up by 10 mm per m, centre 0.45 m up: it moves 4.5 mm right, and left loses 4.5 / 1500 of the total.

    Roll stiffness in half: each left wheel loses 1,050 x 0.003 / 2 = 1.575 kg. By levers.
    """
    found = pads.slope_effect(by_roll_share(PATCHES, 0.5), LOADS, 0.45, 0.0, 0.010)
    assert found == pytest.approx([-1.575, 1.575, -1.575, 1.575], abs=1e-9)


def test_a_fore_and_aft_slope_moves_the_load_downhill() -> None:
    """Rear up by 10 mm per m: 4.5 mm forward of 2,500, so the front gains 1,050 x 0.0018 = 1.89 kg in all."""
    found = pads.slope_effect(by_roll_share(PATCHES, 0.5), LOADS, 0.45, 0.010, 0.0)
    assert found == pytest.approx([0.945, 0.945, -0.945, -0.945], abs=1e-9)


def test_the_slope_effect_is_a_rotation_to_first_order() -> None:
    """The centre turned with the car about its pads: moments about the axles by trigonometry, 0.6 degrees."""
    angle, height = math.radians(0.6), 0.45
    stance = by_roll_share(UNLIKE, 0.6)
    found = LOADS + pads.slope_effect(stance, LOADS, height, math.tan(angle), 0.0)
    aft = LOADS[2:].sum() / LOADS.sum() * 2.5
    turned = (aft * math.cos(angle) - height * math.sin(angle)) / (2.5 * math.cos(angle))
    assert found[2:].sum() / LOADS.sum() == pytest.approx(turned, abs=1e-12)


def test_turning_about_takes_a_slope_away_and_leaves_a_twist() -> None:
    """A twisted floor, left up in front and right up behind, is the same floor from the other end; a slope is not.

    So the mean of both ways is free of the slope and not of the warp: z = x y does not change with (-x, -y).
    """
    twist = np.array([1.0, -1.0, -1.0, 1.0]) / 1000
    slope = np.array([1.0, -1.0, 1.0, -1.0]) / 1000
    assert pads.turned_about(twist) == pytest.approx(twist, abs=0)
    assert pads.turned_about(slope) == pytest.approx(-slope, abs=0)
    springs = Springs(PATCHES, np.full(4, 80e3), motion(independent_axle(0.8, 0.8), independent_axle(0.8, 0.8)))
    once, turned = (load_change_on_pads(springs, way) for way in (twist, pads.turned_about(twist)))
    assert turned == pytest.approx(once, abs=1e-12)


def test_packing_by_hand() -> None:
    """LF 2 mm up, packers of 1 mm: two in all under the pads of the other diagonal; 0 mm left."""
    found = pads.packing(PATCHES, [0.002, 0, 0, 0], 0.001)
    assert found is not None
    lf, rf, lr, rr = found.packers
    assert (lf, rr, rf + lr) == (0, 0, 2)
    assert found.out_of_plane == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize("seed", range(30))
def test_packing_is_the_fewest_there_is(seed: int) -> None:
    """Against every way to put up to 9 packers under each pad: none within half a packer takes fewer."""
    random = np.random.default_rng(seed)
    heights, packer = random.uniform(-2e-3, 2e-3, 4), random.choice([0.5e-3, 1e-3, 2e-3])
    found = pads.packing(UNLIKE, heights, packer)
    assert found is not None
    null = warp(UNLIKE)
    enough = packer / 2 * np.abs(null).max()
    ways = np.array(list(itertools.product(range(10), repeat=4)))
    left = np.abs((heights + packer * ways) @ null)
    fewest = ways[left <= enough + 1e-12].sum(axis=1).min()
    assert sum(found.packers) == fewest
    assert abs(found.out_of_plane) <= enough + 1e-12
    assert found.out_of_plane == pytest.approx(float((heights + packer * np.array(found.packers)) @ null), abs=1e-12)


def test_of_equally_few_packers_those_that_leave_the_pads_level() -> None:
    """RF and LR 3 mm low each: three under each and all are level, not six under one of them."""
    found = pads.packing(PATCHES, [0.003, 0, 0, 0.003], 0.001)
    assert found is not None and found.packers == (0, 3, 3, 0)


def test_pads_in_a_plane_need_no_packer() -> None:
    """However steep the plane, and however little is left of warp."""
    found = pads.packing(UNLIKE, lever_matrix(UNLIKE) @ [0.0, 0.002, -0.003], 0.001)
    assert found is not None and found.packers == (0, 0, 0, 0)


def test_a_floor_beyond_packing() -> None:
    """100 mm out of plane in packers of 1 mm: no packing is the answer."""
    assert pads.packing(PATCHES, [0.1, 0, 0, 0], 0.001) is None
    assert pads.levelling(PATCHES, [0.1, 0, 0, 0], 0.001) is None


@pytest.mark.parametrize("seed", range(10))
def test_levelling_leaves_half_a_packer_of_warp_and_little_slope(seed: int) -> None:
    """Every pad within a packer and a half of the highest, the warp within a packer whatever the heights."""
    heights = np.random.default_rng(seed).uniform(0, 8e-3, 4)
    found = pads.levelling(PATCHES, heights, 0.001)
    assert found is not None
    now = heights + 0.001 * np.array(found.packers)
    assert np.ptp(now) <= 0.0015
    assert abs(found.out_of_plane) <= 0.001
    assert min(found.packers) >= 0


@pytest.mark.parametrize(
    ("loads", "named"),
    [((27.2, 288.0, 241.0, 268.0), "LF"), ((276.0, 288.0, 241.0, 79.0), "RR"), ((90.0, 288.0, 241.0, 268.0), None)],
)
def test_a_pad_that_no_car_leaves_so_light_is_named(loads: tuple[float, ...], named: str | None) -> None:
    """By hand: a third of 241 kg is 80.3 kg. Common practice, no source."""
    assert pads.light(loads) == named
