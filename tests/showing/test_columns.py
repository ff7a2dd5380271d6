"""Labels in two columns: by hand where it is easy, without overlap everywhere."""

import random
from itertools import pairwise

import pytest

from ballast.showing.columns import BETWEEN, Label, arranged


def test_a_lone_label_stands_level_with_its_mark() -> None:
    """Its leader starts 6 pt below its top, so the top is 6 pt above the mark, on the mark's side."""
    (spot,) = arranged([Label(anchor=(-30.0, 100.0), height=24.0, lead=6.0)], bend=70.0)
    assert (spot.on_left, spot.top) == (True, 94.0)


def test_two_labels_that_want_one_place_share_the_way() -> None:
    """Two of 10 pt, held where they are: each gives way by half of what both need, (10 + 5) / 2."""
    both = [Label(anchor=(60.0, 0.0), height=10.0, lead=5.0, held=True) for _ in range(2)]
    tops = sorted(spot.top for spot in arranged(both, bend=70.0))
    assert BETWEEN == 5.0
    assert tops == pytest.approx([-5.0 - 7.5, -5.0 + 7.5])


def test_leaders_do_not_cross_where_an_exchange_helps() -> None:
    """Beside a held block, the leader of the inner mark comes from above and that of the outer one from below.

    The other way round, from above to (-60, 2) and from below to (-10, -2), the two would cross.
    """
    labels = [
        Label((-70.0, 0.0), 40.0, 20.0, held=True),
        Label((70.0, 0.0), 400.0, 200.0, held=True),
        Label((-60.0, 2.0), 12.0, 6.0),
        Label((-10.0, -2.0), 12.0, 6.0),
    ]
    block, _, outer, inner = arranged(labels, bend=65.0)
    assert outer.on_left
    assert inner.on_left
    assert inner.top < block.top < outer.top


@pytest.mark.parametrize("seed", range(8))
def test_no_two_labels_of_a_column_overlap(seed: int) -> None:
    """However many there are, a column is a column: each label ends before the next begins."""
    rng = random.Random(seed)
    labels = [Label((side, y), 40.0, 20.0, held=True) for side in (-70.0, 70.0) for y in (0.0, 250.0)]
    labels += [
        Label((rng.uniform(-60, 60), rng.uniform(-40, 300)), 12.0 * rng.randint(1, 5), 6.0)
        for _ in range(rng.randint(1, 16))
    ]
    spots = arranged(labels, bend=60.0)
    for on_left in (True, False):
        rows = sorted(
            (spot.top, spot.top + label.height)
            for label, spot in zip(labels, spots, strict=True)
            if spot.on_left == on_left
        )
        for (_, end), (begin, _) in pairwise(rows):
            assert begin - end >= BETWEEN - 1e-6
    assert [spot.on_left for spot in spots[:4]] == [True, True, False, False]
