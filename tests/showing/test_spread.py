"""Things in a row: near to where they want to be, in order, and apart."""

import random
from itertools import pairwise

import pytest

from ballast.showing.spread import spread


def test_what_has_room_stays_where_it_is() -> None:
    """Nothing moves that is apart already, whatever the order it is given in."""
    assert spread([50.0, 10.0, 30.0], 12.0, 0.0, 100.0) == pytest.approx([50.0, 10.0, 30.0])


def test_two_at_one_place_share_the_way() -> None:
    """Two at 40 with 12 between them go to 34 and 46; a third at 43 makes it 29, 41 and 53 (means of three)."""
    assert spread([40.0, 40.0], 12.0, 0.0, 100.0) == pytest.approx([34.0, 46.0])
    assert spread([40.0, 40.0, 43.0], 12.0, 0.0, 100.0) == pytest.approx([29.0, 41.0, 53.0])


def test_nothing_leaves_the_row() -> None:
    """At the ends they are pushed inwards, and where there is not room enough they go on beyond the end."""
    assert spread([2.0, 3.0], 12.0, 0.0, 100.0) == pytest.approx([0.0, 12.0])
    assert spread([99.0, 99.0], 12.0, 0.0, 100.0) == pytest.approx([88.0, 100.0])
    assert spread([1.0, 2.0, 3.0], 12.0, 0.0, 20.0) == pytest.approx([0.0, 12.0, 24.0])


def test_order_and_distance_hold_for_any_row() -> None:
    """Of 200 random rows each keeps its order and its distances, and stays inside."""
    rng = random.Random(3)
    for _ in range(200):
        wanted = [rng.uniform(-20, 120) for _ in range(rng.randint(1, 8))]
        places = spread(wanted, 12.0, 0.0, 100.0)
        order = sorted(range(len(wanted)), key=lambda index: wanted[index])
        along = [places[index] for index in order]
        assert all(b - a >= 12.0 - 1e-9 for a, b in pairwise(along))
        assert along[0] >= -1e-9
        assert along[-1] <= 100.0 + 1e-9
