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
    repeatability,
    share_uncertainty,
    student,
)

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
    assert share_uncertainty(level, covariance, [0, 1, 1, 0]) == pytest.approx(0.002, abs=ROUNDING)
    assert share_uncertainty(level, covariance, [1, 1, 0, 0]) == 0.0
    assert share_uncertainty(level, covariance, [1, 0, 1, 0]) == 0.0


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


def test_a_certain_reading_gives_a_certain_percentage() -> None:
    """Without uncertainty of the pads there is none of a share."""
    assert share_uncertainty([300.0, 280.0, 230.0, 190.0], np.zeros((4, 4)), [1, 1, 0, 0]) == 0.0


def test_the_share_of_all_four_corners_is_certain() -> None:
    """All corners are 100 % whatever the pads say; none are 0 %."""
    covariance = 0.04 * np.eye(4)
    assert share_uncertainty([300.0, 280.0, 230.0, 190.0], covariance, [1, 1, 1, 1]) == pytest.approx(0, abs=ROUNDING)
    assert share_uncertainty([300.0, 280.0, 230.0, 190.0], covariance, [0, 0, 0, 0]) == 0.0


def test_more_settlings_never_need_a_greater_factor() -> None:
    """Student's factor falls as settlings are added, and stays at the last entry of the table beyond it."""
    factors = [student(count) for count in range(2, 40)]
    assert factors == sorted(factors, reverse=True)
    assert student(21) == student(1_000)
