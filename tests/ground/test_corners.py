"""Corner order and the pairs the trade names. Source: trade usage, left and right as the driver sits."""

from itertools import combinations

from ballast.corners import CORNERS, DIAGONALS, FRONT, LEFT, REAR, difference, pattern


def test_every_pair_is_two_of_the_four_corners() -> None:
    """Axles, the left side and both diagonals are five of the six pairs that four corners make."""
    pairs = [FRONT, REAR, LEFT, *DIAGONALS.values()]
    possible = {frozenset(pair) for pair in combinations(("LF", "RF", "LR", "RR"), 2)}
    assert {frozenset(pair) for pair in pairs} == possible - {frozenset(("RF", "RR"))}


def test_a_diagonal_is_named_by_its_corners() -> None:
    """The name of a diagonal spells the corners it adds, and they are on different axles and different sides."""
    for name, corners in DIAGONALS.items():
        assert set(name.split("+")) == set(corners)
        assert len(set(corners) & set(FRONT)) == len(set(corners) & set(LEFT)) == 1


def test_axles_and_diagonals_each_make_the_whole_car() -> None:
    """Front and rear are all four corners, and so are the two diagonals."""
    assert {*FRONT, *REAR} == {*DIAGONALS["RF+LR"], *DIAGONALS["LF+RR"]} == set(CORNERS)


def test_a_pattern_picks_the_named_loads() -> None:
    """Loads told apart by powers of ten show which corners a pattern adds."""
    loads = {"LF": 1.0, "RF": 10.0, "LR": 100.0, "RR": 1000.0}

    def summed(weights: tuple[float, ...]) -> float:
        return sum(weight * loads[corner] for weight, corner in zip(weights, CORNERS, strict=True))

    assert summed(pattern(LEFT)) == 101.0
    assert summed(pattern(REAR)) == 1100.0
    assert summed(pattern(DIAGONALS["RF+LR"])) == 110.0
    assert summed(pattern(())) == 0.0
    assert summed(difference("LR", "RR")) == -900.0
