"""Springs of one car, against the check values of the design and against arithmetic to follow by hand.

The car of the check values: springs 80 N/mm at a motion ratio of 0.8, tyres 220 N/mm, wheelbase 2.5 m, tracks 1.5 m;
with bars of 40 and 20 N/mm 20 kg at 1.0 m aft and 0.5 m left. They are the design's own, computed twice: by the closed
form, and by a model of seven unknowns. Any other source stands beside its check.
"""

from dataclasses import replace

import numpy as np
import pytest

from ballast.physics.stance import by_springs, front_roll_share
from ballast.physics.statics import contact_patches, levers
from ballast.physics.suspension import (
    Springs,
    at_the_ground,
    at_the_wheels,
    beam_axle,
    independent_axle,
    influence,
    influence_of_wheel,
    lowering,
    motion,
    rise_on_pads,
    sink,
    warp_coefficients,
    warp_stiffness,
)

CAR = Springs(
    patches=contact_patches(2.5, 1.5, 1.5),
    rates=[80e3] * 4,
    motion=motion(independent_axle(0.8, 0.8), independent_axle(0.8, 0.8)),
    tyres=[220e3] * 4,
)
BARRED = replace(CAR, bar_front=40e3, bar_rear=20e3)
FLEXIBLE = replace(BARRED, twist=5_000 * 180 / np.pi)
"""5 kN m for each degree."""
PRINTED = 5e-5
"""Four decimals are printed. [kg]"""
ROUNDING = 1e-9


def share_of_front(springs: Springs) -> float:
    """Front share of the roll stiffness of a car on these springs. [-]"""
    return front_roll_share(by_springs(springs, springs, springs))


@pytest.mark.parametrize(
    ("springs", "expected"),
    [(BARRED, [9.7359, 2.2641, 6.9307, 1.0693]), (FLEXIBLE, [9.7687, 2.2313, 6.8979, 1.1021])],
    ids=["rigid", "5 kN m/deg"],
)
def test_twenty_kilograms(springs: Springs, expected: list[float]) -> None:
    """Design's own, computed twice: a chassis that twists leaves more of the moment to the axle the mass is nearer to.

    The design prints 2.2314 for the last digit of one corner; by moments the front axle carries 12 kg, hence 2.2313.
    """
    assert 20 * influence(springs, 1.0, 0.5) == pytest.approx(expected, abs=PRINTED)


@pytest.mark.parametrize(
    ("front", "rear", "expected"),
    [
        (2.0, 1.0, [260.4444, 251.5556, 256.2222, 251.7778]),
        (1.0, 1.0, [259.3333, 252.6667, 257.3333, 250.6667]),
        (1.0, 2.0, [258.2222, 253.7778, 258.4444, 249.5556]),
    ],
)
def test_corner_loads_by_roll_stiffness(front: float, rear: float, expected: list[float]) -> None:
    """REF-C5, design's own, computed twice: springs in the proportion of the roll stiffnesses under 250 kg corners."""
    springs = Springs(CAR.patches, np.array([front, front, rear, rear]) * 50e3, np.eye(4))
    assert 250 + 20 * influence(springs, 1.0, 0.5) == pytest.approx(expected, abs=PRINTED)
    assert share_of_front(springs) == pytest.approx(front / (front + rear), abs=ROUNDING)


def test_roll_share_by_hand() -> None:
    """In roll a wheel stands on 51.2 + 2 x 40 in series with 220 in front, 51.2 + 2 x 20 behind: 82.18 to 64.47."""
    front, rear = 1 / (1 / 131.2 + 1 / 220), 1 / (1 / 91.2 + 1 / 220)
    assert share_of_front(BARRED) == pytest.approx(front / (front + rear), abs=ROUNDING)


def test_four_equal_corners() -> None:
    """Without bars a car of four equal corners has half of its roll stiffness in front, and only levers count."""
    assert share_of_front(CAR) == pytest.approx(0.5, abs=ROUNDING)
    assert influence(CAR, 1.0, 0.5) == pytest.approx(levers(CAR.patches, 1.0, 0.5), abs=ROUNDING)


def test_stiffness_at_the_wheels_and_at_the_ground() -> None:
    """80 x 0.8^2 = 51.2 N/mm, the bar's 40 on it and between the wheels; with the tyre 51.2 x 220 / 271.2 = 41.53."""
    assert at_the_wheels(CAR) == pytest.approx(51.2e3 * np.eye(4), abs=1e-6)
    front = [[91.2e3, -40e3], [-40e3, 91.2e3]]
    assert at_the_wheels(BARRED)[:2, :2] == pytest.approx(np.array(front), abs=1e-6)
    assert at_the_wheels(BARRED)[:2, 2:] == pytest.approx(np.zeros((2, 2)), abs=1e-6)
    assert at_the_ground(CAR) == pytest.approx(51.2e3 * 220 / 271.2 * np.eye(4), abs=1e-6)
    assert at_the_ground(replace(CAR, tyres=None)) == pytest.approx(at_the_wheels(CAR), abs=1e-6)


def test_a_beam_axle_in_heave_and_in_roll() -> None:
    """Springs 1.0 m apart under a track of 1.45 m: full travel in heave, 1.0/1.45 of it in roll.

    Treated as independent, the axle would be 1.45^2 = 2.1 times too stiff in roll.
    """
    beam = beam_axle(1.0, 1.0, spring_base=1.0, track=1.45)
    assert beam @ [1.0, 1.0] == pytest.approx([1.0, 1.0], abs=ROUNDING)
    assert beam @ [1.0, -1.0] == pytest.approx([1 / 1.45, -1 / 1.45], abs=ROUNDING)
    rolled = np.array([1.0, -1.0])
    apart = rolled @ independent_axle(1.0, 1.0).T @ independent_axle(1.0, 1.0) @ rolled
    assert apart / (rolled @ beam.T @ beam @ rolled) == pytest.approx(1.45**2, abs=ROUNDING)


def test_a_beam_with_springs_at_the_wheels() -> None:
    """Springs as far apart as the wheels move each with its own wheel: an independent axle."""
    assert beam_axle(0.9, 0.8, 1.4, 1.4) == pytest.approx(independent_axle(0.9, 0.8), abs=ROUNDING)


def test_motion_keeps_the_axles_apart() -> None:
    """Front springs follow front wheels only, left ones in the first row of their axle."""
    found = motion(independent_axle(0.9, 0.8), beam_axle(1.0, 0.7, 0.7, 1.4))
    expected = [[0.9, 0, 0, 0], [0, 0.8, 0, 0], [0, 0, 0.75, 0.25], [0, 0, 0.175, 0.525]]
    assert found == pytest.approx(np.array(expected), abs=ROUNDING)


def test_what_a_mass_in_the_middle_lowers() -> None:
    """20 kg in the middle: 5 kg on each corner of 51.2 and 220 N/mm in series, 9.80665 x 5 / 41.534 = 1.1806 mm."""
    expected = 5 * 9.80665 * (1 / 51.2e3 + 1 / 220e3)
    assert lowering(CAR, 20.0, 1.25, 0.0) == pytest.approx([expected] * 4, abs=1e-12)
    assert sink(CAR, 20.0, 1.25, 0.0) == pytest.approx([expected, 0.0, 0.0], abs=1e-12)
    assert expected == pytest.approx(1.1805e-3, abs=1e-7)


def test_lowering_tells_what_each_corner_gives() -> None:
    """Without bars each corner comes down by its own load over its own rate, further on the side of the mass."""
    loads = np.array([9.33333, 2.66667, 7.33333, 0.66667])
    assert lowering(CAR, 20.0, 1.0, 0.5) == pytest.approx(loads * 9.80665 * (1 / 51.2e3 + 1 / 220e3), abs=1e-8)
    heave, pitch, roll = sink(CAR, 20.0, 1.0, 0.5)
    patches = contact_patches(2.5, 1.5, 1.5)
    by_hand = heave + patches @ np.array([pitch, roll])
    assert lowering(CAR, 20.0, 1.0, 0.5) == pytest.approx(by_hand, abs=1e-12)
    assert roll > 0 > pitch


def test_places_in_arrays() -> None:
    """Two masses at two places give two rows, and a single mass spreads over both."""
    assert influence(CAR, [1.0, 2.0], [0.5, 0.0]).shape == (2, 4)
    assert lowering(CAR, [10.0, 20.0], [1.0, 2.0], [0.5, 0.0]).shape == (2, 4)
    assert lowering(CAR, 10.0, [1.0, 2.0], 0.0).shape == (2, 4)
    assert sink(FLEXIBLE, [10.0, 20.0], 1.0, 0.0).shape == (2, 3)


def test_a_mass_on_a_wheel_by_hand() -> None:
    """Four equal corners press in warp with K / 4, so 41.534 / 4 / 220 of a wheel's own mass goes round the car.

    41.534 / 4 / 220 = 0.0472, off this corner and its opposite and on to the other two.
    """
    assert warp_stiffness(CAR) == pytest.approx(51.2e3 * 220 / 271.2 / 4, abs=1e-6)
    round_the_car = 51.2 * 220 / 271.2 / 4 / 220
    expected = [1 - round_the_car, round_the_car, round_the_car, -round_the_car]
    assert influence_of_wheel(CAR, "LF") == pytest.approx(expected, abs=ROUNDING)
    assert influence_of_wheel(replace(CAR, tyres=None), "LF") == pytest.approx([1, 0, 0, 0], abs=ROUNDING)


def test_coefficients_of_an_even_car() -> None:
    """Alike left and right: the warp follows left alone, (s - 1/2) / 1.5 m, and aft only where the chassis twists."""
    share = share_of_front(BARRED)
    assert warp_coefficients(BARRED) == pytest.approx([0, 0, (share - 0.5) / 1.5, 0], abs=ROUNDING)
    even, along, sideways, product = warp_coefficients(FLEXIBLE)
    assert [even, along] == pytest.approx([0, 0], abs=ROUNDING)
    assert sideways > 0 > product


def test_a_chassis_as_soft_as_nothing() -> None:
    """Midway between the axles an all but limp chassis hands half the moment to each end, however stiff they are."""
    limp = replace(BARRED, twist=1e-3)
    assert share_of_front(limp) == pytest.approx(0.5, abs=1e-6)
    assert influence(limp, 0.0, 0.75) == pytest.approx([1.0, 0.0, 0.0, 0.0], abs=1e-6)


def test_a_stiff_chassis_is_rigid() -> None:
    """A chassis a million times stiffer than its springs does what a rigid one does."""
    assert influence(replace(BARRED, twist=1e12), 1.0, 0.5) == pytest.approx(influence(BARRED, 1.0, 0.5), abs=1e-6)


def test_pads_all_raised() -> None:
    """The whole car rises with its pads."""
    assert rise_on_pads(FLEXIBLE, [0.01] * 4) == pytest.approx([0.01] * 4, abs=1e-12)


def test_stiffer_on_one_side() -> None:
    """A left front spring twice as stiff takes more of a mass in the middle, and so does the right rear.

    By hand: rigid tyres, rates 2, 1, 1, 1 and the warp 1, -1, -1, 1: forces 1/4 + c n are in line when the corners come
    down in one plane, n . (force / rate) = 0: (1/4 + c) / 2 - (1/4 - c) - (1/4 - c) + (1/4 + c) = 0, c = 1/28.
    """
    springs = Springs(CAR.patches, np.array([2.0, 1.0, 1.0, 1.0]) * 50e3, np.eye(4))
    more, less = 1 / 4 + 1 / 28, 1 / 4 - 1 / 28
    assert influence(springs, 1.25, 0.0) == pytest.approx([more, less, less, more], abs=ROUNDING)
    assert warp_coefficients(springs)[:2] @ [1.0, 1.25] == pytest.approx(1 / 28, abs=ROUNDING)
