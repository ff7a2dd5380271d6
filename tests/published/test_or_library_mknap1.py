"""Knapsacks with ten rows.

Source: OR-Library, file mknap1, problems 1 and 3 (REF-H3, REF-H4), with the optima the file states.

    problem 1, items 2 3 6   600 + 1,200 + 2,000 = 3,800; first row 12 + 13 + 41 = 66 <= 80
"""

import pytest

from tests.published.knapsack import pack

PROFIT = 1e-6
"""Whole profits, met to the tolerance of the solver."""

FIRST_PROFITS = [100, 600, 1200, 2400, 500, 2000]
FIRST_ROWS = [
    ([8, 12, 13, 64, 22, 41], 80),
    ([8, 12, 13, 75, 22, 41], 96),
    ([3, 6, 4, 18, 6, 4], 20),
    ([5, 10, 8, 32, 6, 12], 36),
    ([5, 13, 8, 42, 6, 20], 44),
    ([5, 13, 8, 48, 6, 20], 48),
    ([0, 0, 0, 0, 8, 0], 10),
    ([3, 0, 4, 0, 8, 0], 18),
    ([3, 2, 4, 0, 8, 4], 22),
    ([3, 2, 4, 8, 8, 4], 24),
]
THIRD_PROFITS = [100, 220, 90, 400, 300, 400, 205, 120, 160, 580, 400, 140, 100, 1300, 650]
THIRD_ROWS = [
    ([8, 24, 13, 80, 70, 80, 45, 15, 28, 90, 130, 32, 20, 120, 40], 550),
    ([8, 44, 13, 100, 100, 90, 75, 25, 28, 120, 130, 32, 40, 160, 40], 700),
    ([3, 6, 4, 20, 20, 30, 8, 3, 12, 14, 40, 6, 3, 20, 5], 130),
    ([5, 9, 6, 40, 30, 40, 16, 5, 18, 24, 60, 16, 11, 30, 25], 240),
    ([5, 11, 7, 50, 40, 40, 19, 7, 18, 29, 70, 21, 17, 30, 25], 280),
    ([5, 11, 7, 55, 40, 40, 21, 9, 18, 29, 70, 21, 17, 35, 25], 310),
    ([0, 0, 1, 10, 4, 10, 0, 6, 0, 6, 32, 3, 0, 70, 10], 110),
    ([3, 4, 5, 20, 14, 20, 6, 12, 10, 18, 42, 9, 12, 100, 20], 205),
    ([3, 6, 9, 30, 29, 20, 12, 12, 10, 30, 42, 18, 18, 110, 20], 260),
    ([3, 8, 9, 35, 29, 20, 16, 15, 10, 30, 42, 20, 18, 120, 20], 275),
]


def test_problem_1() -> None:
    """VERIFIED: 3,800 with variables 2, 3 and 6, proved."""
    found, taken = pack(FIRST_PROFITS, FIRST_ROWS)
    assert found.status == "proved"
    assert (-found.value, -found.bound) == pytest.approx((3_800, 3_800), abs=PROFIT)
    assert taken == [2, 3, 6]


def test_problem_3() -> None:
    """VERIFIED: 4,015, proved, and the items taken are worth that and keep every row."""
    found, taken = pack(THIRD_PROFITS, THIRD_ROWS)
    assert found.status == "proved"
    assert (-found.value, -found.bound) == pytest.approx((4_015, 4_015), abs=PROFIT)
    assert sum(THIRD_PROFITS[item - 1] for item in taken) == 4_015
    assert all(sum(weights[item - 1] for item in taken) <= capacity for weights, capacity in THIRD_ROWS)
