"""Corner loads, percentages and centre of gravity on numbers small enough to follow by hand."""

import numpy as np
import pytest

from ballast.physics.statics import (
    ON_DIAGONAL,
    ON_FRONT,
    ON_LEFT,
    ON_REAR,
    REAR_PAIR,
    centre_of_gravity,
    contact_patches,
    diagonal_share,
    equal_front_diagonal,
    front_share,
    height_after,
    influence,
    left_share,
    lever_matrix,
    rear_pair,
    same_front_share_diagonal,
    stand,
    warp,
)

PATCHES = contact_patches(2.5, 1.5, 1.4)
LOADS = np.array([300.0, 280.0, 230.0, 190.0])
"""LF, RF, LR, RR, 1,000 kg in all. [kg]"""
ROUNDING = 1e-9


def test_contact_patches_of_a_car() -> None:
    """Half a track to each side, the rear pair one wheelbase back: definition."""
    assert PATCHES.tolist() == [[0.0, 0.75], [0.0, -0.75], [2.5, 0.7], [2.5, -0.7]]


def test_lever_matrix_of_a_car() -> None:
    """Each row is 1 and the place of a wheel: definition."""
    assert lever_matrix(PATCHES).tolist() == [[1.0, 0.0, 0.75], [1.0, 0.0, -0.75], [1.0, 2.5, 0.7], [1.0, 2.5, -0.7]]


def test_warp_of_a_car() -> None:
    """[1, -1, -tf/tr, tf/tr] with 1.5/1.4 = 1.0714: no sum, no moment."""
    assert warp(PATCHES) == pytest.approx([1.0, -1.0, -1.5 / 1.4, 1.5 / 1.4], abs=ROUNDING)


def test_patterns_count_the_corners_they_name() -> None:
    """Front, rear, left, the two diagonals and the rear pair, in the order LF, RF, LR, RR."""
    assert ON_FRONT.tolist() == [1, 1, 0, 0]
    assert ON_REAR.tolist() == [0, 0, 1, 1]
    assert ON_LEFT.tolist() == [1, 0, 1, 0]
    assert ON_DIAGONAL["RF+LR"].tolist() == [0, 1, 1, 0]
    assert ON_DIAGONAL["LF+RR"].tolist() == [1, 0, 0, 1]
    assert REAR_PAIR.tolist() == [0, 0, 1, -1]


def test_percentages_of_a_car() -> None:
    """Front 580, left 530, RF+LR 510, LF+RR 490 of 1,000 kg; LR - RR 40 kg."""
    assert float(front_share(LOADS)) == pytest.approx(0.58, abs=ROUNDING)
    assert float(left_share(LOADS)) == pytest.approx(0.53, abs=ROUNDING)
    assert float(diagonal_share(LOADS, "RF+LR")) == pytest.approx(0.51, abs=ROUNDING)
    assert float(diagonal_share(LOADS, "LF+RR")) == pytest.approx(0.49, abs=ROUNDING)
    assert float(rear_pair(LOADS)) == pytest.approx(40.0, abs=ROUNDING)


def test_centre_of_gravity_of_a_car() -> None:
    """aft 2.5 x 420 / 1,000 = 1.05 m; left (20 x 0.75 + 40 x 0.7) / 1,000 = 0.043 m."""
    assert centre_of_gravity(PATCHES, LOADS) == pytest.approx([1.05, 0.043], abs=ROUNDING)


def test_centre_of_gravity_of_many_cars_at_once() -> None:
    """Shapes (n, 4) in and (n, 2) out; doubling every load moves nothing."""
    found = centre_of_gravity(PATCHES, np.array([LOADS, 2 * LOADS, [250.0] * 4]))
    assert found == pytest.approx(np.array([[1.05, 0.043], [1.05, 0.043], [1.25, 0.0]]), abs=ROUNDING)


@pytest.mark.parametrize("roll_share", [0.0, 0.35, 1.0])
@pytest.mark.parametrize(
    ("aft", "expected"),
    [
        pytest.param(0.0, [0.5, 0.5, 0.0, 0.0], id="on the front axle"),
        pytest.param(2.5, [0.0, 0.0, 0.5, 0.5], id="on the rear axle"),
        pytest.param(1.25, [0.25, 0.25, 0.25, 0.25], id="in the middle"),
        pytest.param(-0.5, [0.6, 0.6, -0.1, -0.1], id="ahead of the front axle lifts the rear"),
        pytest.param(3.0, [-0.1, -0.1, 0.6, 0.6], id="behind the rear axle lifts the front"),
    ],
)
def test_on_the_centre_line_only_levers_count(aft: float, expected: list[float], roll_share: float) -> None:
    """The lever rule, halved left and right, for any roll stiffness and also outside the wheelbase."""
    assert influence(PATCHES, roll_share, aft, 0.0) == pytest.approx(expected, abs=ROUNDING)
    assert stand(PATCHES, roll_share, [1.0], [[aft, 0.0]]) == pytest.approx(expected, abs=ROUNDING)


@pytest.mark.parametrize(
    ("roll_share", "expected"),
    [
        pytest.param(1.0, [0.25 + 0.3 / 1.5, 0.25 - 0.3 / 1.5, 0.25, 0.25], id="the front takes all"),
        pytest.param(0.0, [0.25, 0.25, 0.25 + 0.3 / 1.4, 0.25 - 0.3 / 1.4], id="the rear takes all"),
    ],
)
def test_one_axle_without_roll_stiffness(roll_share: float, expected: list[float]) -> None:
    """With no roll stiffness its two wheels carry the same, and the other axle holds the whole couple."""
    assert influence(PATCHES, roll_share, 1.25, 0.3) == pytest.approx(expected, abs=ROUNDING)
    assert stand(PATCHES, roll_share, [1.0], [[1.25, 0.3]]) == pytest.approx(expected, abs=ROUNDING)


def test_a_datum_elsewhere_changes_nothing() -> None:
    """With patches and places measured from 3 m further ahead the shares are the same."""
    shift = np.array([3.0, 0.0])
    assert influence(PATCHES + shift, 0.6, 1.0 + 3.0, 0.4) == pytest.approx(
        influence(PATCHES, 0.6, 1.0, 0.4), abs=ROUNDING
    )
    assert stand(PATCHES + shift, 0.6, [1.0], [[4.0, 0.4]]) == pytest.approx(
        stand(PATCHES, 0.6, [1.0], [[1.0, 0.4]]), abs=ROUNDING
    )


def test_influence_keeps_the_shape_of_the_places() -> None:
    """A table of places of shape (2, 3) gives shares of shape (2, 3, 4); a single place, of shape (4,)."""
    assert influence(PATCHES, 0.5, np.zeros((2, 3)), np.zeros((2, 3))).shape == (2, 3, 4)
    assert influence(PATCHES, 0.5, 1.0, 0.0).shape == (4,)


def test_nothing_put_on_leaves_nothing() -> None:
    """An empty list of masses gives four zeros, not an error."""
    assert stand(PATCHES, 0.5, [], []) == pytest.approx(np.zeros(4), abs=ROUNDING)


def test_what_is_handed_in_is_not_changed() -> None:
    """Arrays given to the functions are the same afterwards."""
    patches, masses, places = PATCHES.copy(), np.array([5.0, -3.0]), np.array([[1.0, 0.2], [0.0, -0.4]])
    for array in (patches, masses, places):
        array.flags.writeable = False
    stand(patches, 0.5, masses, places)
    influence(patches, 0.5, places[:, 0], places[:, 1])
    warp(patches)
    assert (patches == PATCHES).all()


def test_height_after_a_plate_under_the_floor() -> None:
    """1,000 kg at 0.50 m and 50 kg at 0.08 m: (500 + 4) / 1,050 = 0.48 m."""
    assert height_after(1_000.0, 0.50, [50.0], [0.08]) == pytest.approx(0.48, abs=ROUNDING)


def test_height_after_a_plate_was_moved_up() -> None:
    """20 kg from 0.10 to 0.60 m on a car of 1,000 kg: 20 x 0.5 / 1,000 = 0.01 m higher."""
    assert height_after(1_000.0, 0.45, [-20.0, 20.0], [0.10, 0.60]) == pytest.approx(0.46, abs=ROUNDING)


def test_height_after_nothing() -> None:
    """Without a change the height stays."""
    assert height_after(1_000.0, 0.45, [], []) == 0.45


@pytest.mark.parametrize(("front", "left", "aim"), [(0.60, 0.55, 0.510), (0.40, 0.54, 0.492), (0.50, 0.57, 0.5)])
def test_the_diagonal_that_splits_both_sides_alike(front: float, left: float, aim: float) -> None:
    """Common practice, no source: LF+RR = 50 + 2 (F - 50)(Left - 50) / 100 in percent, 51.0 and 49.2."""
    assert same_front_share_diagonal(front, left) == pytest.approx(aim, abs=ROUNDING)


def test_the_diagonal_of_equal_front_wheels() -> None:
    """Common practice, no source: LF = RF = 290 with 530 kg left of 1,000 leaves LR 240, RR 180, so LF+RR 470."""
    loads = np.array([290.0, 290.0, 240.0, 180.0])
    assert float(left_share(loads)) == pytest.approx(0.53, abs=ROUNDING)
    assert equal_front_diagonal(0.53) == pytest.approx(float(diagonal_share(loads, "LF+RR")), abs=ROUNDING)
    assert equal_front_diagonal(0.53) == pytest.approx(0.47, abs=ROUNDING)
