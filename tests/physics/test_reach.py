"""Where the ballast has to be and how far the mounts reach, on cars and mounts at the edge of what can be asked."""

import numpy as np
import pytest

from ballast.physics.reach import needed_centroid, outline, reaches
from ballast.physics.statics import ON_FRONT, ON_LEFT, Array, contact_patches, influence

LENGTH = 1e-9
"""[m]"""
SQUARE = np.array([[0.0, 0.5], [0.0, -0.5], [1.0, -0.5], [1.0, 0.5]])
"""Four mounts. [m]"""


def around(region: Array) -> set[tuple[float, float]]:
    """Corners of a region, to the nanometre, in no order."""
    return {(round(float(aft), 9) + 0.0, round(float(left), 9) + 0.0) for aft, left in region}


def test_a_single_mount_reaches_its_own_place() -> None:
    """All ballast stands there and nowhere else."""
    region = outline([[1.2, -0.3]], [20.0], 12.0)
    assert around(region) == {(1.2, -0.3)}
    assert reaches(region, 1.2, -0.3)
    assert not reaches(region, 1.21, -0.3)
    assert not reaches(region, 1.2, -0.31)


def test_two_mounts_in_line_reach_what_lies_between() -> None:
    """12 kg on mounts of 20 kg each, 1 m apart, reach the whole stretch, ends included, and nothing beside it."""
    region = outline([[0.5, 0.2], [1.5, 0.2]], [20.0, 20.0], 12.0)
    assert around(region) == {(0.5, 0.2), (1.5, 0.2)}
    assert all(reaches(region, aft, 0.2) for aft in (0.5, 1.0, 1.5))
    assert not reaches(region, 0.49, 0.2)
    assert not reaches(region, 1.51, 0.2)
    assert not reaches(region, 1.0, 0.21)


def test_two_mounts_that_overflow_reach_less() -> None:
    """15 kg on 10 kg each: at the most 10 and 5 kg, a third or two thirds of the way along the slanting line."""
    region = outline([[0.0, 0.0], [3.0, 0.6]], [10.0, 10.0], 15.0)
    assert around(region) == {(1.0, 0.2), (2.0, 0.4)}
    assert reaches(region, 1.5, 0.3)
    assert not reaches(region, 1.5, 0.31)
    assert not reaches(region, 0.9, 0.18)


def test_three_mounts_in_line() -> None:
    """The middle mount adds no corner where the outer ones have room."""
    region = outline([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]], [10.0, 10.0, 10.0], 10.0)
    assert around(region) == {(0.0, 0.0), (2.0, 0.0)}


def test_all_mounts_at_one_place() -> None:
    """However it is divided, the ballast is there."""
    region = outline([[0.8, 0.1]] * 3, [5.0, 10.0, 2.0], 11.0)
    assert around(region) == {(0.8, 0.1)}
    assert reaches(region, 0.8, 0.1)
    assert not reaches(region, 0.8, 0.2)


def test_mass_equal_to_all_capacity_leaves_one_place() -> None:
    """Every mount full: the centroid of the capacities, (10 x 0 + 30 x 1) / 40 = 0.75 m aft, 0.25 m left."""
    region = outline([[0.0, 1.0], [1.0, 0.0]], [10.0, 30.0], 40.0)
    assert around(region) == {(0.75, 0.25)}
    assert reaches(region, 0.75, 0.25)
    assert not reaches(region, 0.74, 0.25)


def test_mass_equal_to_all_capacity_of_four_mounts() -> None:
    """Four full mounts of 5, 10, 15, 20 kg: aft 35 / 50, left (0.5 x 25 - 0.5 x 25) / 50."""
    region = outline(SQUARE, [5.0, 10.0, 15.0, 20.0], 50.0)
    assert around(region) == {(0.7, 0.0)}


def test_a_square_of_roomy_mounts_reaches_its_corners() -> None:
    """A small mass can stand wholly at any of the four, so the region is the square of the mounts."""
    region = outline(SQUARE, [20.0] * 4, 5.0)
    assert around(region) == {(float(aft), float(left)) for aft, left in SQUARE}
    assert reaches(region, 0.5, 0.0)
    assert not reaches(region, 0.5, 0.51)


def test_a_square_that_overflows_loses_its_corners() -> None:
    """15 kg on mounts of 10 kg: two thirds at one and a third at a neighbour, eight corners in all.

    From each mount towards each neighbour a third of the side of 1 m, e.g. (0, 0.5 - 1/3) and (1/3, 0.5).
    """
    region = outline(SQUARE, [10.0] * 4, 15.0)
    third, sixth = 1 / 3, 0.5 - 1 / 3
    expected = {(aft, left) for aft in (0.0, 1.0) for left in (sixth, -sixth)}
    expected |= {(aft, left) for aft in (third, 1 - third) for left in (0.5, -0.5)}
    assert around(region) == around(np.array(sorted(expected)))
    assert not reaches(region, 0.0, 0.5)


def test_a_mount_without_room_reaches_nothing() -> None:
    """A mount that can carry nothing is as if it were not there."""
    region = outline([[0.0, 0.0], [1.0, 0.0], [0.5, 5.0]], [10.0, 10.0, 0.0], 4.0)
    assert around(region) == {(0.0, 0.0), (1.0, 0.0)}


def test_a_mount_inside_the_others_adds_no_corner() -> None:
    """A fifth mount in the middle of the square changes nothing while one of the others has room for all."""
    region = outline([*SQUARE.tolist(), [0.5, 0.0]], [20.0] * 5, 5.0)
    assert around(region) == {(float(aft), float(left)) for aft, left in SQUARE}


@pytest.mark.parametrize(
    ("aft", "left", "inside"),
    [(0.5, None, True), (1.1, None, False), (None, -0.5, True), (None, 0.6, False), (None, None, True)],
)
def test_a_free_coordinate_is_not_asked_about(aft: float | None, left: float | None, inside: bool) -> None:
    """With no wish for front or for left only the other coordinate has to be in the range of the region."""
    assert reaches(outline(SQUARE, [20.0] * 4, 5.0), aft, left) is inside


def test_the_edge_is_inside_in_either_order_of_turning() -> None:
    """Corners count as reached, whether they are listed clockwise or anticlockwise."""
    for region in (SQUARE, SQUARE[::-1]):
        assert reaches(region, 0.0, 0.5)
        assert reaches(region, 1.0, 0.0)
        assert not reaches(region, 1.001, 0.0)


def rows() -> Array:
    """Influence of a car of 2.5 m wheelbase and equal tracks of 1.5 m, roll stiffness halved. (3, 4)"""
    at = influence(contact_patches(2.5, 1.5, 1.5), 0.5, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return np.array([at[0], at[1] - at[0], at[2] - at[0]])


def needed(
    bare: list[float], mass: float, front: float | None, left: float | None
) -> tuple[float | None, float | None]:
    """The package's answer for that car."""
    return needed_centroid(bare, mass, rows(), front, left, on_front=ON_FRONT, on_left=ON_LEFT)


def test_a_level_car_needs_its_ballast_in_the_middle() -> None:
    """50 % front and left on a car that has them already: half a wheelbase back, on the centre line."""
    assert needed([250.0] * 4, 20.0, 0.5, 0.5) == pytest.approx((1.25, 0.0), abs=LENGTH)


def test_ballast_that_makes_up_for_a_heavy_right_side() -> None:
    """Left 490 of 1,000 kg, 40 kg more, half of 1,040 wanted: 30 of 40 kg on the left.

    Of 40 kg the left takes 20 + 40 x left / 1.5, so left = 10 x 1.5 / 40 = 0.375 m. Front 500, 520 wanted: 1.25 m aft.
    """
    assert needed([245.0, 255.0, 245.0, 255.0], 40.0, 0.5, 0.5) == pytest.approx((1.25, 0.375), abs=LENGTH)


def test_little_ballast_for_much_is_needed_far_outside_the_car() -> None:
    """Front 500 of 1,000 kg and 60 % wanted with 10 kg: 2.5 x (0.4 x 1,010 - 500) / 10 = -24 m, ahead of the car."""
    assert needed([250.0] * 4, 10.0, 0.6, None) == pytest.approx((-24.0, None), abs=LENGTH)


def test_only_what_is_asked_for_is_answered() -> None:
    """Without a wish for front there is no aft, without one for left no left, without any nothing."""
    aft, left = needed([250.0] * 4, 20.0, None, 0.5)
    assert aft is None
    assert left == pytest.approx(0.0, abs=LENGTH)
    assert needed([250.0] * 4, 20.0, None, None) == (None, None)
