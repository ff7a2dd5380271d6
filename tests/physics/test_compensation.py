"""What each driver's car carries under the three ways of a rule, and how a shortfall is rounded.

The published crew mean stands in tests/published/test_fia_wec_driver_ballast.py. Here the answers are worked by hand in
kilograms, or in whole tenths of a kilogram, where nothing is ever rounded.
"""

from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ballast.physics.compensation import Rounding, Way, compensation, exact

POUND = Fraction(45_359_237, 100_000_000)
"""Kilograms in a pound, exact. Source: the international pound of 1959."""
WAYS: tuple[Way, ...] = ("each driver", "crew mean", "team total")
ROUNDINGS: tuple[Rounding, ...] = ("up", "nearest", "down", "none")

tenths = st.integers(400, 1_400)
"""Mass of a driver in kit. [0.1 kg]"""
crews = st.lists(tenths, min_size=1, max_size=6)
steps = st.sampled_from([1, 2, 5, 10, 25, 50])
"""[0.1 kg]"""
ways = st.sampled_from(WAYS)
roundings = st.sampled_from(ROUNDINGS)


def kilograms(*typed: float) -> list[Fraction]:
    """Masses as a person types them. [kg]"""
    return [exact(value) for value in typed]


def carried(
    crew: Sequence[float],
    reference: float,
    way: Way,
    rounding: Rounding = "up",
    *,
    step: float = 1,
    counted: int | None = None,
) -> list[Fraction]:
    """The package's answer. Crew, reference, step and ballast in kg."""
    return list(compensation(kilograms(*crew), exact(reference), way, exact(step), rounding, counted))


def test_what_was_typed_is_what_is_meant() -> None:
    """77.8 is 778 tenths, though no double is: the double nearest to it is not that number."""
    assert exact(77.8) == Fraction(778, 10) != Fraction(77.8)
    assert exact(0.1) + exact(0.2) == exact(0.3)


@given(value=st.integers(1 - 10**10, 10**10 - 1), decimals=st.integers(0, 6))
def test_any_ten_digits_come_back(value: int, decimals: int) -> None:
    """A number of up to ten digits, divided into a double, is made whole again."""
    assert exact(value / 10**decimals) == Fraction(value, 10**decimals)


def test_the_last_bit_is_not_what_was_typed() -> None:
    """31 lb that went to kilograms and back in binary may be 30.999999999999996; a person typed 31."""
    assert exact(30.999999999999996) == 31


def test_pounds() -> None:
    """170 lb are 77.1107029 kg by the definition of the pound, not to the nearest double but exactly."""
    assert exact(170, POUND) == Fraction(771_107_029, 10_000_000)
    assert exact(171.5, POUND) * 2 == 343 * POUND


def test_a_rule_in_kilograms_for_a_crew_in_pounds() -> None:
    """170, 176 and 184 lb: mean 530/3 lb = 80.1346520 kg, 1.8653480 kg short of 82: 2 kg, and exactly as much."""
    crew = [exact(value, POUND) for value in (170, 176, 184)]
    assert list(compensation(crew, Fraction(82), "crew mean", Fraction(1), "up")) == [2, 2, 2]
    unrounded = compensation(crew, Fraction(82), "crew mean", Fraction(1), "none")
    assert unrounded == (82 - Fraction(530, 3) * POUND,) * 3


def test_a_rule_in_pounds_keeps_whole_pounds() -> None:
    """A driver of 175 lb against 180 lb is short by 5 lb, an exact multiple of the pound once all three are in kg."""
    (ballast,) = compensation([exact(175, POUND)], exact(180, POUND), "each driver", exact(1, POUND), "up")
    assert ballast == 5 * POUND


def test_each_driver_by_itself() -> None:
    """Against 80 kg: 62.4 is 17.6 short, 79.9 is 0.1 short, 80 and 91.3 are not; the order is kept."""
    assert carried([79.9, 91.3, 62.4, 80.0], 80, "each driver") == [1, 0, 18, 0]


def test_the_crew_mean_is_for_everyone() -> None:
    """70 and 85 kg: mean 77.5, 2.5 short of 80, and the heavy driver's car carries the 3 kg too."""
    assert carried([70.0, 85.0], 80, "crew mean") == [3, 3]


def test_a_team_total_of_a_full_team() -> None:
    """Common practice, no source: 70.5 + 75.0 + 88.0 = 233.5 kg, 6.5 short of 240: 7 kg whoever drives."""
    assert carried([75.0, 88.0, 70.5], 240, "team total", counted=3) == [7, 7, 7]


def test_a_team_total_counts_the_lightest_again() -> None:
    """Common practice, no source: two of 88.0 and 70.5 kg count as 88 + 70.5 + 70.5 = 229 kg, and 11 kg are missing."""
    assert carried([88.0, 70.5], 240, "team total", counted=3) == [11, 11]


def test_a_team_of_one_counts_its_driver_throughout() -> None:
    """Common practice, no source: 70.5 kg four times are 282 kg, 38 short of 320."""
    assert carried([70.5], 320, "team total", counted=4) == [38]


def test_a_team_total_without_a_count() -> None:
    """Without a count the crew is as many as it is: 88.0 + 70.5 = 158.5 kg, 1.5 short of 160."""
    assert carried([88.0, 70.5], 160, "team total") == [2, 2]


@pytest.mark.parametrize(
    ("mass", "up", "nearest", "down", "none"),
    [
        (80.0, 0.0, 0.0, 0.0, 0.0),
        (79.9, 0.5, 0.0, 0.0, 0.1),
        (79.76, 0.5, 0.0, 0.0, 0.24),
        (79.75, 0.5, 0.5, 0.0, 0.25),
        (79.5, 0.5, 0.5, 0.5, 0.5),
        (79.3, 1.0, 0.5, 0.5, 0.7),
        (79.25, 1.0, 1.0, 0.5, 0.75),
        (79.2, 1.0, 1.0, 0.5, 0.8),
        (77.5, 2.5, 2.5, 2.5, 2.5),
        (80.1, 0.0, 0.0, 0.0, 0.0),
        (99.9, 0.0, 0.0, 0.0, 0.0),
    ],
)
def test_rounding_to_half_a_kilogram(mass: float, up: float, nearest: float, down: float, none: float) -> None:
    """Against 80 kg in steps of 0.5 kg: a whole step stays, a quarter kilogram is half a step and goes up."""
    wanted = {"up": up, "nearest": nearest, "down": down, "none": none}
    for rounding in ROUNDINGS:
        assert carried([mass], 80, "each driver", rounding, step=0.5) == kilograms(wanted[rounding])


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("rounding", ROUNDINGS)
def test_rules_only_add(way: Way, rounding: Rounding) -> None:
    """A crew above the reference by less or more than a step carries nothing, never a negative mass."""
    for mass in (80.0, 80.2, 80.5, 80.9, 131.0):
        assert carried([mass], 80, way, rounding) == [0]


@pytest.mark.parametrize("way", WAYS)
def test_a_crew_has_someone(way: Way) -> None:
    """No driver at all is refused, not taken for one that weighs nothing."""
    with pytest.raises(ValueError, match=r"^a crew has at least one driver$"):
        carried([], 80, way)


@pytest.mark.parametrize("step", [0, -0.5])
@pytest.mark.parametrize("rounding", ["up", "nearest", "down"])
def test_a_step_is_above_nothing(step: float, rounding: Rounding) -> None:
    """Without a step there is nothing to round to."""
    with pytest.raises(ValueError, match=r"^ballast in whole steps needs a step above 0, not "):
        carried([75.0], 80, "each driver", rounding, step=step)


@pytest.mark.parametrize("step", [0, -0.5])
def test_no_rounding_needs_no_step(step: float) -> None:
    """Unrounded, the step is not looked at: 2.25 kg short are 2.25 kg."""
    assert carried([77.75], 80, "each driver", "none", step=step) == kilograms(2.25)


def test_more_drivers_than_are_counted() -> None:
    """Which of four to leave out of a total of three is for the rule to say, not for us to guess."""
    with pytest.raises(ValueError, match=r"^the rule counts 3 drivers in a team, and this crew has 4$"):
        carried([75.0, 88.0, 70.5, 81.0], 240, "team total", counted=3)


def in_whole_numbers(shortfall: int, step: int, rounding: Rounding) -> int:
    """A shortfall in whole steps by counting them off, all in the same small unit; not a fraction anywhere."""
    full = 0
    while full + step <= shortfall:
        full += step
    rest = shortfall - full
    if rounding == "none":
        return shortfall
    another = (rounding == "up" and rest > 0) or (rounding == "nearest" and rest + rest >= step)
    return full + step if another else full


@settings(deadline=None)
@given(crew=crews, reference=tenths, step=steps, way=ways, rounding=roundings, more=st.integers(0, 3))
def test_any_crew_in_whole_numbers(
    crew: list[int], reference: int, step: int, way: Way, rounding: Rounding, more: int
) -> None:
    """Counted off in tenths of a kilogram, each times the number of drivers, any crew carries the same to the gram."""
    size, light = len(crew), min(crew)
    held = {
        "each driver": [mass * size for mass in crew],
        "crew mean": [sum(crew)] * size,
        "team total": [(sum(crew) + more * light) * size] * size,
    }[way]
    wanted = reference * (size + more) if way == "team total" else reference
    expected = [in_whole_numbers(max(0, wanted * size - mass), step * size, rounding) for mass in held]
    found = carried([mass / 10 for mass in crew], wanted / 10, way, rounding, step=step / 10, counted=size + more)
    assert [ballast * 10 * size for ballast in found] == expected


@settings(deadline=None)
@given(
    crew=crews.flatmap(lambda crew: st.tuples(st.just(crew), st.permutations(range(len(crew))))),
    way=ways,
    rounding=roundings,
    reference=st.integers(400, 9_000),
    counted=st.none() | st.integers(6, 8),
)
def test_the_order_of_the_drivers(
    crew: tuple[list[int], list[int]], way: Way, rounding: Rounding, reference: int, counted: int | None
) -> None:
    """Each driver carries the same wherever in the list the driver stands."""
    masses, order = crew
    before = carried([mass / 10 for mass in masses], reference / 10, way, rounding, counted=counted)
    after = carried([masses[place] / 10 for place in order], reference / 10, way, rounding, counted=counted)
    assert after == [before[place] for place in order]
