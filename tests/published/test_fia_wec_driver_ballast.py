"""Ballast for a crew of three in world endurance racing.

Source: FIA World Endurance Championship, driver ballast 2025 (REF-E6), as news reports quote the bulletin: the mean of
the drivers in full safety kit is held against 82 kg, and the shortfall rounded up to the next whole kg; in qualifying
each driver counts alone. The rule only adds.

    77.8, 80.2, 82.9 kg: mean 240.9 / 3 = 80.3, short of 82 by 1.7, ballast 2 kg

The other way to the same answer is in whole tenths of a kilogram, where nothing is ever rounded: the masses add up to
S tenths, the mean is S / 30 kg, and where 30 divides S the ballast is 82 - S / 30, or nothing.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import permutations
from math import ceil

import pytest

from ballast.physics.compensation import compensation, exact

REFERENCE = 82
"""[kg]"""
STEP = Fraction(1)
"""[kg]"""
LIGHTEST, HEAVIEST = 650, 1_000
"""The crews tried below: every one of three with one-decimal masses from 65.0 to 100.0 kg. [0.1 kg]"""


def in_the_race(*masses: float, reference: float = REFERENCE) -> list[Fraction]:
    """The package's answer for a crew. [kg]"""
    return list(compensation([exact(mass) for mass in masses], exact(reference), "crew mean", STEP, "up"))


def whole_means(first: int) -> Iterator[tuple[int, int, int]]:
    """Every crew whose lightest is `first` and whose mean is a whole number of kg, lightest to heaviest. [0.1 kg]"""
    for second in range(first, HEAVIEST + 1):
        # The third makes the sum divisible by 30: the least such at or above the second, and every thirtieth from it.
        least = second + -(first + second + second) % 30
        for third in range(least, HEAVIEST + 1, 30):
            yield first, second, third


def in_tenths(crew: tuple[int, ...]) -> int:
    """Ballast of a crew whose mean is a whole number of kg, without a fraction. [kg]"""
    mean, rest = divmod(sum(crew), 30)
    assert rest == 0
    return max(0, REFERENCE - mean)


def in_binary(crew: tuple[int, ...]) -> int:
    """Ballast as a spreadsheet would have it: add up, divide, subtract, round up, all in doubles. [kg]"""
    return max(0, ceil(REFERENCE - sum(tenths / 10 for tenths in crew) / 3))


@pytest.mark.parametrize("crew", list(permutations([77.8, 80.2, 82.9])))
def test_the_crew_in_the_reports(crew: tuple[float, ...]) -> None:
    """VERIFIED: 77.8, 80.2 and 82.9 kg carry 2 kg, whoever drives, and in whatever order they are named."""
    assert in_the_race(*crew) == [2, 2, 2]


@pytest.mark.parametrize(
    ("crew", "ballast"),
    [
        ((82.0, 82.0, 82.0), 0),
        ((77.8, 82.0, 86.2), 0),
        ((81.999, 81.999, 81.999), 1),
        ((81.0, 82.0, 82.997), 1),
        ((82.0, 82.0, 82.1), 0),
        ((95.0, 95.0, 95.0), 0),
        ((81.0, 81.0, 81.0), 1),
        ((80.9, 81.0, 81.0), 2),
    ],
)
def test_on_and_beside_the_edges(crew: tuple[float, ...], ballast: int) -> None:
    """DERIVED: a mean of 82 gives 0, 81.999 gives 1, above 82 nothing; 81 gives 1 and a thirtieth less gives 2."""
    assert in_the_race(*crew) == [ballast] * 3


def test_the_reference_of_2015() -> None:
    """VERIFIED reference, DERIVED result: against the 80 kg of 2015 the same crew, mean 80.3 kg, carries nothing."""
    assert in_the_race(77.8, 80.2, 82.9, reference=80) == [0, 0, 0]


def test_in_qualifying_each_driver_counts_alone() -> None:
    """VERIFIED way, DERIVED result: short by 4.2, 1.8 and 0 kg, rounded as in the race: 5, 2 and 0 kg."""
    masses = [exact(mass) for mass in (77.8, 80.2, 82.9)]
    assert list(compensation(masses, exact(REFERENCE), "each driver", STEP, "up")) == [5, 2, 0]


def test_every_crew_of_three_with_a_whole_mean() -> None:
    """DERIVED: all crews from 65.0 to 100.0 kg with a whole mean get the ballast that whole tenths give."""
    kg = {tenths: exact(tenths / 10) for tenths in range(LIGHTEST, HEAVIEST + 1)}
    reference, wrong, tried = exact(REFERENCE), [], 0
    for first in range(LIGHTEST, HEAVIEST + 1):
        for crew in whole_means(first):
            tried += 1
            masses = [kg[tenths] for tenths in crew]
            if list(compensation(masses, reference, "crew mean", STEP, "up")) != [in_tenths(crew)] * 3:
                wrong.append(crew)
    assert not wrong
    # Of the 351 x 352 x 353 / 6 crews there are, one in thirty has a whole mean, give or take the ends of the range.
    assert tried == pytest.approx(351 * 352 * 353 / 6 / 30, rel=1e-4)


def test_binary_numbers_get_some_of_them_wrong() -> None:
    """DERIVED: 78.1, 78.3 and 80.6 kg have a mean of 79 and need 3 kg; doubles say 4, and so the check can fail."""
    crew = (781, 783, 806)
    assert in_tenths(crew) == 3
    assert in_binary(crew) == 4
    assert in_the_race(78.1, 78.3, 80.6) == [3, 3, 3]
    asked_too_much = [each for each in whole_means(781) if in_binary(each) > in_tenths(each)]
    assert len(asked_too_much) > 10
