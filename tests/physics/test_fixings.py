"""Names of threads and classes, what is refused, and how a mount's directions load its bolts.

Values against sources stand in tests/published: test_iso_898_1, test_sae_j429, test_en_1993_1_8.
"""

from typing import cast

import pytest

from ballast.physics.fixings import (
    LOAD_FACTORS,
    NEGLECTED,
    Direction,
    NotCoveredError,
    Resistance,
    bolt_resistance,
    mount_loadings,
    strength_named,
    thread_named,
)

BOLT = Resistance(shear=10_000.0, tension=20_000.0)
"""[N]"""
G = 9.80665
"""Standard gravity. [m/s2] Source: ISO 80000-3."""
ROUNDING = 1e-12
"""Relative. [-]"""


@pytest.mark.parametrize("spelling", ["M8", "m8", " M 8 ", "M8x1.25"])
def test_spellings_of_a_metric_thread(spelling: str) -> None:
    """Capitals, blanks and the coarse pitch change nothing."""
    assert thread_named(spelling).name == "M8"


@pytest.mark.parametrize("spelling", ["3/8 in", "3/8", "3/8in", '3/8"', "3/8-16", "3/8 IN "])
def test_spellings_of_a_unified_thread(spelling: str) -> None:
    """With or without the inch, and with its coarse threads per inch."""
    assert thread_named(spelling).name == "3/8 in"


def test_nominal_diameters_can_be_compared_with_a_rule() -> None:
    """A rule's "8 mm or more" is met by 3/8 in (9.525 mm) and missed by 5/16 in (7.9375 mm)."""
    assert thread_named("3/8").diameter == pytest.approx(9.525e-3, rel=ROUNDING)
    assert thread_named("M8").diameter == pytest.approx(8e-3, rel=ROUNDING)
    assert thread_named("5/16").diameter == pytest.approx(7.9375e-3, rel=ROUNDING)


@pytest.mark.parametrize("name", ["M8x1", "M7", "3/8-24", "8", "", "0.375"])
def test_unknown_thread_is_refused_with_the_known_ones(name: str) -> None:
    """A fine or unknown thread is never taken for a coarse one."""
    with pytest.raises(ValueError, match=r"known are M5, M6, .*, 1/2 in; fine threads are not included"):
        thread_named(name)


@pytest.mark.parametrize(
    ("spelling", "name"), [("8.8", "8.8"), ("class 8.8", "8.8"), ("5", "grade 5"), ("Grade 5", "grade 5")]
)
def test_spellings_of_a_strength(spelling: str, name: str) -> None:
    """The words class and grade may be there or not."""
    assert strength_named(spelling).name == name


@pytest.mark.parametrize("spelling", ["12.9", "class 12.9", "grade 8", "8"])
def test_known_without_a_resistance(spelling: str) -> None:
    """Bolts that people use but no source covers are told apart from mistakes."""
    with pytest.raises(NotCoveredError, match=r"12\.9|grade 8"):
        strength_named(spelling)


@pytest.mark.parametrize("name", ["A2-70", "9.8", "", "88"])
def test_unknown_strength_is_refused_with_the_known_ones(name: str) -> None:
    """An unknown class is a mistake to put right, and the message lists what would do."""
    with pytest.raises(ValueError, match=r"known are 4\.6, .*grade 5, 12\.9, grade 8") as caught:
        strength_named(name)
    assert not isinstance(caught.value, NotCoveredError)


@pytest.mark.parametrize(
    ("thread", "strength", "fix"), [("M8", "grade 5", r"4\.6, .*10\.9$"), ("1/2", "8.8", "grade 2, grade 5")]
)
def test_grades_and_classes_are_not_mixed(thread: str, strength: str, fix: str) -> None:
    """A metric class on an inch thread, or the reverse, is refused with those that fit."""
    with pytest.raises(ValueError, match=fix):
        bolt_resistance(thread, strength)


def test_grades_by_our_own_choice() -> None:
    """Our own choice, no source: EN rules on SAE tensile strength, 0.6 for grade 5 and 0.5 for grade 2, in lbf by hand.

    3/8 in: 0.6 x 120,000 x 0.07749 / 1.25 = 4,463 lbf; 0.5 x 74,000 x 0.07749 / 1.25 = 2,294 lbf.
    """
    five, two = bolt_resistance("3/8", "grade 5"), bolt_resistance("3/8", "grade 2")
    newton = 4.4482216152605
    assert (five.shear / newton, two.shear / newton) == pytest.approx((4_463, 2_294), rel=1e-3)
    assert five.tension / newton == pytest.approx(0.9 * 120_000 * 0.07749 / 1.25, rel=1e-3)


def test_default_directions() -> None:
    """Common practice, no source: 25 g forward, rearward and sideways in shear and 25 g up in tension."""
    loadings = mount_loadings(8.0, BOLT, 4)
    assert [(each.direction, each.way, each.factor) for each in loadings] == [
        ("forward", "shear", 25.0),
        ("rearward", "shear", 25.0),
        ("sideways", "shear", 25.0),
        ("up", "tension", 25.0),
    ]
    assert [each.force for each in loadings] == pytest.approx([8 * 25 * G] * 4, rel=ROUNDING)
    shear, tension = 8 * 25 * G / 4 / 10_000, 8 * 25 * G / 4 / 20_000
    assert [each.utilisation for each in loadings] == pytest.approx([shear, shear, shear, tension], rel=ROUNDING)


def test_rules_override_the_factors() -> None:
    """Only the directions handed in are checked, each with its own factor; beyond the bolt is told, not clipped."""
    forward, up = mount_loadings(50.0, BOLT, 1, {"forward": 40.0, "up": 10.0})
    assert forward.utilisation == pytest.approx(50 * 40 * G / 10_000, rel=ROUNDING)
    assert forward.utilisation > 1
    assert up.utilisation == pytest.approx(50 * 10 * G / 20_000, rel=ROUNDING)


def test_an_empty_mount_asks_nothing() -> None:
    """No plates, no load."""
    assert {each.utilisation for each in mount_loadings(0.0, BOLT, 2)} == {0.0}


@pytest.mark.parametrize(("mass", "count"), [(5.0, 0), (-1.0, 2), (float("nan"), 2), (float("inf"), 2)])
def test_what_is_no_mount_is_refused(mass: float, count: int) -> None:
    """No bolts, or a mass that is none, never comes out as strong enough."""
    with pytest.raises(ValueError, match="at least one bolt"):
        mount_loadings(mass, BOLT, count)


@pytest.mark.parametrize("factor", [-1.0, float("nan")])
def test_what_is_no_factor_is_refused(factor: float) -> None:
    """A negative or missing load factor never comes out as strong enough."""
    with pytest.raises(ValueError, match="load factors are finite"):
        mount_loadings(5.0, BOLT, 2, {"up": factor})


@pytest.mark.parametrize("factors", [{}, {"down": 10.0}, {"forward": 10.0, "upward": 10.0}])
def test_directions_are_known_and_not_none(factors: dict[str, float]) -> None:
    """An unknown direction would be loaded the wrong way, and none at all would pass unchecked."""
    with pytest.raises(ValueError, match="forward, rearward, sideways, up"):
        mount_loadings(5.0, BOLT, 2, cast(dict[Direction, float], factors))


def test_what_is_left_out_is_named() -> None:
    """The list that goes with every utilisation names prying, pull-through, bearing, overturning, sharing, preload."""
    words = " ".join(NEGLECTED)
    assert all(word in words for word in ("prying", "pull-through", "bearing", "overturning", "sharing", "preload"))
    assert set(LOAD_FACTORS) == {"forward", "rearward", "sideways", "up"}
