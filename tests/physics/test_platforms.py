"""Platform turns and pad heights, against the check values of the design and arithmetic to follow by hand.

The car of the check values: springs 80 N/mm at a motion ratio of 0.8, tyres 220 N/mm, wheelbase 2.5 m, tracks 1.5 m.
They are the design's own, computed twice: by the closed form, and by a model of seven unknowns.
"""

from dataclasses import replace

import numpy as np
import pytest

from ballast.physics.platforms import (
    as_pads,
    as_platforms,
    lifts_that_give_back,
    lifts_that_hold_height,
    load_change,
    load_change_on_pads,
    pad_sensitivity,
    platform_sensitivity,
    rise,
)
from ballast.physics.statics import contact_patches
from ballast.physics.suspension import Springs, independent_axle, lowering, motion

CAR = Springs(
    patches=contact_patches(2.5, 1.5, 1.5),
    rates=[80e3] * 4,
    motion=motion(independent_axle(0.8, 0.8), independent_axle(0.8, 0.8)),
    tyres=[220e3] * 4,
)
WARP = np.array([1.0, -1.0, -1.0, 1.0])
"""Tracks are equal."""
TURN = 0.002
"""[m]"""
PRINTED = 5e-6
"""Five decimals are printed. [kg]"""
ROUNDING = 1e-9


@pytest.mark.parametrize(
    ("front", "rear", "by_turn", "by_pad"),
    [(0.0, 0.0, 2.64705, 1.05882), (40e3, 20e3, 1.79719, 1.84212), (40e3, 40e3, 2.04408, 2.09518)],
)
def test_one_turn_and_one_pad(front: float, rear: float, by_turn: float, by_pad: float) -> None:
    """Design's own, computed twice: connected bars make more of a high pad, and less of a turn; the others by n."""
    springs = replace(CAR, bar_front=front, bar_rear=rear)
    assert load_change(springs, [TURN, 0, 0, 0]) == pytest.approx(by_turn * WARP, abs=PRINTED)
    assert load_change_on_pads(springs, [0.001, 0, 0, 0]) == pytest.approx(by_pad * WARP, abs=PRINTED)
    assert TURN * platform_sensitivity(springs)[0] == pytest.approx(by_turn, abs=PRINTED)
    assert 0.001 * pad_sensitivity(springs) == pytest.approx(by_pad * WARP, abs=PRINTED)


def test_one_turn_by_hand() -> None:
    """No bars: 2 mm are 2 / 0.8 mm at the wheel, and a pad so much higher presses with 41.534 / 4 N/mm.

    2.5 x 41.534 / 4 / 9.80665 = 2.647 kg.
    """
    expected = 2 / 0.8 * (51.2 * 220 / 271.2) / 4 / 9.80665
    assert load_change(CAR, [TURN, 0, 0, 0]) == pytest.approx(expected * WARP, abs=ROUNDING)
    assert as_pads(CAR, [TURN, 0, 0, 0]) == pytest.approx([0.0025, 0, 0, 0], abs=1e-12)
    assert as_platforms(CAR, [0.0025, 0, 0, 0]) == pytest.approx([TURN, 0, 0, 0], abs=1e-12)


def test_unequal_tracks_move_left_a_little() -> None:
    """Tracks of 1.50 and 1.40 m: one kg at the left front takes 1.0714 from the left rear; the moment stays."""
    springs = replace(CAR, patches=contact_patches(2.5, 1.5, 1.4))
    changed = load_change(springs, [TURN, 0, 0, 0])
    assert changed / changed[0] == pytest.approx([1, -1, -1.5 / 1.4, 1.5 / 1.4], abs=ROUNDING)
    assert changed[0] + changed[2] == pytest.approx(changed[0] * (1 - 1.5 / 1.4), abs=ROUNDING)


def test_all_four_up_alike() -> None:
    """The same lift everywhere raises the car by lift / 0.8 and changes no load."""
    assert load_change(CAR, [TURN] * 4) == pytest.approx(np.zeros(4), abs=ROUNDING)
    assert rise(CAR, [TURN] * 4) == pytest.approx([0.0025] * 4, abs=1e-12)


def test_opposite_turns_hold_an_even_car() -> None:
    """Left front and right rear up, the other two down by as much: four turns, four times the change, nothing rises.

    One turn each of 2.647 kg: one kg asks for a lift of 2 mm / (4 x 2.647) at every corner.
    """
    assert load_change(CAR, TURN * WARP) == pytest.approx(4 * 2.64705 * WARP, abs=4 * PRINTED)
    assert rise(CAR, TURN * WARP) == pytest.approx(np.zeros(4), abs=1e-12)
    assert lifts_that_hold_height(CAR) == pytest.approx(TURN * WARP / (4 * 2.64705), abs=1e-9)


def test_height_held_with_unequal_ends() -> None:
    """Softer springs behind ask for longer lifts there: each platform follows what its own wheel and tyre give.

    Every corner takes one kg, 9.80665 N: a wheel of 51.2 N/mm and its tyre of 220 give 9.80665 (1/51.2 + 1/220) mm,
    one of 25.6 N/mm 9.80665 (1/25.6 + 1/220); the spring, without a bar, makes up for 0.8 of it.
    """
    springs = replace(CAR, rates=[80e3, 80e3, 40e3, 40e3])
    front, rear = (0.8 * 9.80665 * (1 / wheel + 1 / 220e3) for wheel in (51.2e3, 25.6e3))
    found = lifts_that_hold_height(springs)
    assert found == pytest.approx([front, -front, -rear, rear], abs=1e-12)
    assert load_change(springs, found) == pytest.approx(WARP, abs=ROUNDING)
    assert rise(springs, found) == pytest.approx(np.zeros(4), abs=1e-12)


def test_height_lost_to_ballast_by_hand() -> None:
    """20 kg in the middle lower the car by 1.1805 mm; at springs of ratio 0.8, 51.2 N/mm at the wheel: 0.8 x 1.1805."""
    lost = 5 * 9.80665 * (1 / 51.2e3 + 1 / 220e3)
    assert lifts_that_give_back(CAR, 20.0, 1.25, 0.0) == pytest.approx([0.8 * lost] * 4, abs=1e-12)


def test_height_lost_to_ballast_comes_back() -> None:
    """Wherever the ballast is, the corners rise by what they came down, bars connected or not, and no load changes."""
    springs = replace(CAR, bar_front=40e3, bar_rear=20e3)
    lifts = lifts_that_give_back(springs, [20.0, -5.0], [1.0, 3.0], [0.5, -0.2])
    assert rise(springs, lifts) == pytest.approx(lowering(springs, [20.0, -5.0], [1.0, 3.0], [0.5, -0.2]), abs=1e-12)
    assert load_change(springs, lifts) == pytest.approx(np.zeros((2, 4)), abs=ROUNDING)


def test_a_twisting_chassis_dulls_the_platforms() -> None:
    """Springs, tyres and chassis give in series: 1/w + (n . t)^2 / C, with t = -/+ 0.375 in front and the rest behind.

    n . t = -0.375 - 0.375 - 0.375 - 0.375 = -1.5, so at 5 kN m/deg (286.5 kN m/rad) 1/w grows by 2.25 / 286.5e3.
    """
    flexible = replace(CAR, twist=5_000 * 180 / np.pi)
    rigid_warp = 51.2e3 * 220 / 271.2 / 4
    warp = 1 / (1 / rigid_warp + 2.25 / (5_000 * 180 / np.pi))
    expected = 0.0025 * warp / 9.80665
    assert load_change(flexible, [TURN, 0, 0, 0]) == pytest.approx(expected * WARP, abs=ROUNDING)


def test_a_twisting_chassis_held() -> None:
    """Heave, pitch and roll stay; the corners move as the diagonal twists them, as far up as down."""
    flexible = replace(CAR, twist=5_000 * 180 / np.pi)
    moved = rise(flexible, lifts_that_hold_height(flexible))
    assert load_change(flexible, lifts_that_hold_height(flexible)) == pytest.approx(WARP, abs=ROUNDING)
    assert moved == pytest.approx(abs(moved[0]) * WARP, abs=1e-12)
    assert moved[0] == pytest.approx(9.80665 * 1.5 * 0.375 / (5_000 * 180 / np.pi), abs=1e-12)


def test_lifts_in_arrays() -> None:
    """Rows of lifts give rows of changes."""
    lifts = TURN * np.eye(4)
    assert load_change(CAR, lifts).shape == rise(CAR, lifts).shape == (4, 4)
    assert load_change(CAR, lifts)[:, 0] == pytest.approx(TURN * platform_sensitivity(CAR), abs=ROUNDING)
