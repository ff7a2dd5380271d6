"""Two small 0/1 knapsacks with one row.

Source: R package adagio, documentation examples, the first after Martello and Toth (REF-H1, REF-H2). Both optima
are unique by exhaustive search.

    H1  items 1 2 3 4 6   15 + 100 + 90 + 60 + 15 = 280    2 + 20 + 20 + 30 + 30 = 102
    H2  items 1 4         70 + 37 = 107                    31 + 19 = 50
"""

import pytest

from tests.published.knapsack import pack

PROFIT = 1e-6
"""Whole profits, met to the tolerance of the solver."""


def test_eight_items() -> None:
    """VERIFIED: profit 280 with items 1, 2, 3, 4 and 6, proved."""
    found, taken = pack([15, 100, 90, 60, 40, 15, 10, 1], [([2, 20, 20, 30, 40, 30, 60, 10], 102)])
    assert found.status == "proved"
    assert (-found.value, -found.bound) == pytest.approx((280, 280), abs=PROFIT)
    assert taken == [1, 2, 3, 4, 6]


def test_seven_items() -> None:
    """VERIFIED: profit 107 with items 1 and 4, proved."""
    found, taken = pack([70, 20, 39, 37, 7, 5, 10], [([31, 10, 20, 19, 4, 3, 6], 50)])
    assert found.status == "proved"
    assert (-found.value, -found.bound) == pytest.approx((107, 107), abs=PROFIT)
    assert taken == [1, 4]
