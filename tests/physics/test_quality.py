"""How well a weighing repeats, on numbers small enough to follow by hand."""

import math

import numpy as np
import pytest

from ballast.physics.quality import (
    ASSUMED_DIAGONAL,
    ASSUMED_FACTOR,
    ASSUMED_FRONT,
    ASSUMED_LEFT,
    ASSUMED_TOTAL,
    covariance_of_the_mean,
    of_the_mean,
    outlying,
    repeatability,
    settlings_needed,
    student,
    together,
)
from ballast.physics.uncertainty import uncertainties

ROUNDING = 1e-12


def test_the_mean_of_three() -> None:
    """1, 2 and 3: s = 1, so 1 / sqrt(3). Source: definition (JCGM 100:2008, 4.2.3, clause from memory)."""
    assert of_the_mean([1.0, 2.0, 3.0]) == pytest.approx(1 / math.sqrt(3), abs=ROUNDING)


def test_pure_warp_moves_the_diagonal_and_the_rear_pair_only() -> None:
    """Settlings that differ by 2 kg of warp: diagonal 0.4 points apart, total, front and left exactly the same.

    With equal tracks warp is +1, -1, -1, +1: RF+LR is 500 and 496 of 1,000 kg, s / sqrt(2) = 0.4 / 2 = 0.2 points;
    LR - RR is 0 and -4 kg, s / sqrt(2) = 2 kg.
    """
    level = np.full(4, 250.0)
    found = repeatability([level, level + 2 * np.array([1.0, -1.0, -1.0, 1.0])])
    assert (found.total, found.front, found.left) == (0.0, 0.0, 0.0)
    assert found.diagonal == pytest.approx(0.002, abs=ROUNDING)
    assert found.rear_pair == pytest.approx(2.0, abs=ROUNDING)
    assert (found.settlings, found.assumed, found.factor) == (2, False, 12.71)


def test_warp_in_the_covariance() -> None:
    """The same two settlings: 1 kg2 on the diagonal of the covariance of the mean, +1 or -1 beside it.

    Two values 2 kg apart have s^2 = 2, over n = 2. So front and left are certain and RF+LR is 0.2 points uncertain.
    """
    signs = np.array([1.0, -1.0, -1.0, 1.0])
    level = np.full(4, 250.0)
    covariance = covariance_of_the_mean([level, level + 2 * signs])
    assert covariance == pytest.approx(np.outer(signs, signs), abs=ROUNDING)
    assert uncertainties(level, covariance)[1:4] == pytest.approx([0.0, 0.0, 0.002], abs=ROUNDING)


@pytest.mark.parametrize("readings", [[300.0, 280.0, 230.0, 190.0], [[300.0, 280.0, 230.0, 190.0]]])
def test_one_settling_is_accepted_with_assumptions(readings: list[float]) -> None:
    """One settling, as a row or bare, shows no scatter: the stated assumptions stand, and say that they are assumed."""
    found = repeatability(readings)
    assert (found.settlings, found.assumed, found.factor) == (1, True, ASSUMED_FACTOR)
    assert (found.front, found.left, found.diagonal) == (ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_DIAGONAL)
    assert found.total == pytest.approx(1_000.0 * ASSUMED_TOTAL, abs=ROUNDING)
    assert found.rear_pair > 0


def test_the_assumed_diagonal_is_the_noisy_one() -> None:
    """Common practice, no source: total, front and left repeat well, the diagonal does not."""
    assert max(ASSUMED_FRONT, ASSUMED_LEFT) < ASSUMED_DIAGONAL


def test_more_settlings_never_need_a_greater_factor() -> None:
    """Student's factor falls as settlings are added, and stays at the last entry of the table beyond it."""
    factors = [student(count) for count in range(2, 40)]
    assert factors == sorted(factors, reverse=True)
    assert student(21) == student(1_000)


LEVEL = np.array([276.0, 288.0, 241.0, 268.0])
WARP = np.array([1.0, -1.0, -1.0, 1.0])


@pytest.mark.parametrize("count", [1, 2])
def test_nothing_stands_apart_from_fewer_than_two_others(count: int) -> None:
    """One settling has nothing to stand apart from, and of two either could be the wrong one."""
    assert outlying(LEVEL + 20 * np.arange(count)[:, np.newaxis]) == ()


def test_a_slip_of_the_pen_stands_apart() -> None:
    """276 written as 267 on LF in the fourth of five: total, front and left are off, and so is the diagonal.

    9 kg of 1,073 off one corner: 9 x 0.525 / 1,073 = 0.44 points of front, as much of the others; 0.84 % of the total.
    """
    rows = LEVEL + np.outer([0.3, -0.2, 0.1, 0.2, -0.4], WARP)
    rows[3, 0] = 267.0
    found = outlying(rows)
    assert {one.settling for one in found} == {3}
    assert {one.figure for one in found} >= {"total", "front", "left"}
    total = next(one for one in found if one.figure == "total")
    assert total.others - total.value == pytest.approx(9.0, abs=0.5)


def test_two_that_agree_to_the_digit_condemn_no_third() -> None:
    """1,073.0, 1,073.0 and 1,073.2 kg: Grubbs' ratio is the greatest there is, and 0.2 kg is nothing."""
    assert outlying([LEVEL, LEVEL, LEVEL + np.array([0.2, 0, 0, 0])]) == ()


@pytest.mark.parametrize("count", [3, 5, 8])
def test_how_seldom_noise_alone_stands_apart(count: int) -> None:
    """Settlings that scatter as one is assumed to: fewer than one weighing in ten has one that stands apart.

    4 figures, 5 % on either side, and three times what is usual besides. 400 weighings drawn; source: simulation.
    """
    random = np.random.default_rng(7)
    total = LEVEL.sum()
    noise = np.column_stack(
        [
            random.normal(0, ASSUMED_TOTAL, 400 * count),
            random.normal(0, 2 * ASSUMED_FRONT, 400 * count),
            random.normal(0, 2 * ASSUMED_LEFT, 400 * count),
            random.normal(0, 2 * ASSUMED_DIAGONAL, 400 * count),
        ]
    )
    causes = np.array([LEVEL / total, [0.25, 0.25, -0.25, -0.25], [0.25, -0.25, 0.25, -0.25], -0.25 * WARP])
    weighings = (LEVEL + total * noise @ causes).reshape(400, count, 4)
    assert sum(bool(outlying(rows)) for rows in weighings) < 40


def test_both_sets_count_alike_however_many_settlings_each_has() -> None:
    """One set of four, one of two: the mean is that of the two means, (250 + 254) / 2."""
    rows = together(250 + np.outer([1, -1, 1, -1], WARP), 254 + np.outer([2, -2], WARP))
    assert rows.shape == (6, 4)
    assert rows.mean(axis=0) == pytest.approx(np.full(4, 252.0), abs=ROUNDING)


def test_the_uncertainty_of_the_mean_of_two_means() -> None:
    """Three settlings in each set, 95 %: Student's t for 4 degrees of freedom times s sqrt(1/3 + 1/3) / 2.

    Warp of -1, 0, +1 kg in one set and -2, 0, +2 in the other: pooled s2 = (2 + 8) / 4 = 2.5 kg2. Half of
    sqrt(2.5 x 2 / 3) = 0.6455 kg, times 2.78. On RF - LF of equal corners that is 2 x n, of the diagonal 2 / 1,000.
    Source: JCGM 100:2008, H.3.6 (pooled estimate) and G.3, clauses from memory.
    """
    first = 250 + np.outer([-1, 0, 1], WARP)
    turned = 250 + np.outer([-2, 0, 2], WARP)
    found = repeatability(together(first, turned))
    assert found.factor * found.diagonal * 1000 == pytest.approx(2.78 * 2 * math.sqrt(2.5 * 2 / 3) / 2, rel=1e-9)


def test_what_the_site_does_is_not_scatter() -> None:
    """Sets that differ by 5 kg from side to side and repeat to the digit have a mean between them and no scatter."""
    side = np.array([2.5, -2.5, 2.5, -2.5])
    rows = together(np.tile(LEVEL + side, (2, 1)), np.tile(LEVEL - side, (2, 1)))
    assert rows == pytest.approx(np.tile(LEVEL, (4, 1)), abs=1e-9)


def test_two_single_settlings_are_one() -> None:
    """One settling either way shows no scatter at all: one row, and the assumptions of one settling."""
    rows = together(LEVEL, LEVEL + 2)
    assert rows == pytest.approx(LEVEL[np.newaxis] + 1, abs=ROUNDING)
    assert repeatability(rows).assumed


def test_how_many_settlings_a_wish_takes() -> None:
    """Diagonal with s = 0.4 points: t s / sqrt(n) is 0.994, 0.637, 0.497 for 3, 4 and 5, so within 0.5 takes 5.

    Warp of -1, 0 and +1 kg on 1,000 kg has s = 1 kg on a corner, which is 2 kg of the diagonal, 0.2 points; twice that.
    """
    rows = 250 + np.outer([-2, 0, 2], WARP)
    wide = (5.0, 0.01, 0.01)
    assert settlings_needed(rows, (*wide, 0.01)) == 3
    assert settlings_needed(rows, (*wide, 0.005)) == 5
    assert settlings_needed(rows, (*wide, 0.0001)) is None
