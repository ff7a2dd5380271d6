"""The picture of balance against mass: every point where the records say, no text over text, nothing hidden."""

import random
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from matplotlib.collections import FillBetweenPolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from ballast.records.plan import Alternative, Answer, Choices, CurvePoint
from ballast.showing.curve import curve_view
from ballast.showing.pictures import rendered
from tests.showing.invented_answers import assembled
from tests.showing.seen import collisions, drawn, texts, words

POUND = 0.45359237
"""kg, exact. Source: the 1959 agreement on the international pound (NIST Special Publication 811, B.8)."""
Plans = Sequence[tuple[str, float, float | None]]
"""Name, kg over the required total, miss in points."""
DESCENT = ((0.0, 1.2, 1.1), (0.5, 0.9, 0.8), (1.0, 0.6, 0.6), (3.0, 0.35, 0.2), (8.0, 0.0, 0.0))
"""kg over the required total, best miss and proved bound in points."""


def offered(
    plans: Plans = (("as asked for", 1.0, 0.6),),
    curve: Sequence[tuple[float, float, float]] = DESCENT,
    **numbers: Any,
) -> Answer:
    """An answer with plans to choose from and a curve, made up number by number."""
    answer = assembled(**numbers)
    alternatives = tuple(
        Alternative(
            name=name,
            order=("balance", "mass"),
            miss_points=None if miss is None else miss / 100,
            aim_points=None if miss is None else miss / 50,
            over_required=over,
            plates=4,
            moves=3,
            raised=None,
            yaw=12.0,
            plan=answer.plan,
        )
        for name, over, miss in plans
    )
    points = tuple(
        CurvePoint(over_required=over, miss_points=miss / 100, bound_points=bound / 100) for over, miss, bound in curve
    )
    return answer.replace(choices=Choices(units=answer.question.car.units, alternatives=alternatives, curve=points))


def line(picture: Figure, gid: str) -> list[tuple[float, float]]:
    """The data of one line or mark: mass in the user's unit, miss in points."""
    (found,) = drawn(picture, gid)
    assert isinstance(found, Line2D)
    return [(float(x), float(y)) for x, y in np.asarray(found.get_xydata())]


def said(picture: Figure) -> str:
    """All words in one line."""
    return " ".join(words(picture))


def letters(picture: Figure) -> str:
    """The letters beside the marks, in the order of the alphabet: in the graph, not in the list below it."""
    found = [text for text in texts(picture) if all(len(part) == 1 and part.isupper() for part in part_of(text))]
    margin = min(text.get_position()[0] for text in texts(picture))
    return "".join(sorted(part for text in found if text.get_position()[0] > margin for part in part_of(text)))


def part_of(text: Text) -> list[str]:
    """The words of a text."""
    return text.get_text().split()


# --- no text over text -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_no_text_meets_another_and_no_letter_is_missing(seed: int) -> None:
    """With up to twenty plans, spread, in one heap, on the curve or all in one place, each letter is there to read."""
    rng = random.Random(seed)
    count = rng.randint(1, 20)
    wide, high = rng.choice([(0.0, 0.0), (0.3, 0.05), (1.0, 0.3), (30.0, 4.0), (30.0, 0.0)])
    start = rng.uniform(-1.0, 3.0)
    plans = [
        (" ".join(["plan", *rng.choices(["nearest", "whatever", "the balance"], k=rng.randint(1, 6)), str(n)]), x, y)
        for n in range(count)
        for x, y in [(start + wide * rng.random(), high * rng.random())]
    ]
    curve = [(start + over, miss, bound) for over, miss, bound in DESCENT[: rng.randint(1, len(DESCENT))]]
    picture = curve_view(
        offered(plans, curve, units={"mass": rng.choice(["kg", "lb"]), "length": "mm"}, name="Curlew " * seed + "12")
    )
    assert list(collisions(picture)) == []
    assert letters(picture) == "ABCDEFGHIJKLMNOPQRST"[:count]


def test_long_and_odd_names_of_plans_stay_inside() -> None:
    """Names without end, formulas and unknown characters are shortened, plain, and leave the numbers alone."""
    plans = [("w" * 300, 1.0, 0.6), ("$x^2$ " * 40, 2.0, 0.5), ("\N{CJK UNIFIED IDEOGRAPH-8ECA}", 3.0, 0.4)]
    picture = curve_view(offered(plans))
    assert list(collisions(picture)) == []
    assert not any(text.get_parse_math() for text in texts(picture))
    assert "\N{WHITE SQUARE}" in words(picture)


# --- everything where it is ------------------------------------------------------------------------------------------


def test_points_and_plans_stand_at_their_mass_and_miss() -> None:
    """1 kg over and 0.6 points is drawn at 1 and 0.6; every point of the curve likewise."""
    picture = curve_view(offered([("as asked for", 1.0, 0.6), ("fewest plates on the car", 5.5, 0.75)]))
    assert line(picture, "plan-A") == [pytest.approx((1.0, 0.6))]
    assert line(picture, "plan-B") == [pytest.approx((5.5, 0.75))]
    for number, (over, miss, _) in enumerate(DESCENT, start=1):
        assert line(picture, f"point-{number}") == [pytest.approx((over, miss), abs=1e-9)]
    assert not drawn(picture, f"point-{len(DESCENT) + 1}")
    assert {y for _, y in line(picture, "inside")} == {0.0}


def test_masses_are_in_the_users_unit() -> None:
    """2.26796185 kg is 5 lb exactly, by the 1959 definition of the pound; pads of 0.01 lb: 5.00 lb over."""
    picture = curve_view(offered([("as asked for", 5 * POUND, 0.2)], units={"mass": "lb", "length": "in"}))
    assert line(picture, "plan-A") == [pytest.approx((5.0, 0.2))]
    assert "mass over the required total, lb" in words(picture)
    assert any(text.startswith("5.00 lb over") for text in words(picture))
    assert not any(text.endswith(" kg") or " kg " in text for text in words(picture))


def test_the_best_line_never_promises_more_than_was_found() -> None:
    """It goes level from a point to the next mass, and drops there: between two points only the first was found."""
    picture = curve_view(offered())
    (best,) = drawn(picture, "best")
    assert isinstance(best, Line2D)
    assert best.get_drawstyle() == "steps-post"
    corners = line(picture, "best")
    assert corners[:-1] == [pytest.approx((over, miss), abs=1e-9) for over, miss, _ in DESCENT]
    assert corners[-1][1] == pytest.approx(0.0, abs=1e-9)
    assert corners[-1][0] > DESCENT[-1][0]


def test_a_plan_better_than_the_curve_is_part_of_the_best() -> None:
    """0.3 points at 0.7 kg is less than the 0.6 points of the curve at 1 kg: that point is beaten and not drawn."""
    picture = curve_view(offered([("as asked for", 0.7, 0.3)]))
    corners = line(picture, "best")
    assert pytest.approx((0.7, 0.3)) in corners
    assert pytest.approx((1.0, 0.6)) not in corners
    assert not drawn(picture, "point-3")
    assert drawn(picture, "point-2")


def test_the_proved_area_holds_what_is_proved_and_no_more() -> None:
    """Up to 1 kg nothing is under 0.6 points, up to 3 kg nothing under 0.2: so just after 1 kg only 0.2 is proved."""
    picture = curve_view(offered())
    (area,) = drawn(picture, "bound")
    assert isinstance(area, FillBetweenPolyCollection)
    (path,) = area.get_paths()
    for inside in ((0.9, 0.59), (1.1, 0.19), (2.9, 0.19), (-0.05, 1.09)):
        assert path.contains_point(inside), inside
    for outside in ((0.9, 0.61), (1.1, 0.21), (1.1, 0.5), (4.0, 0.01), (9.0, 0.01)):
        assert not path.contains_point(outside), outside


def test_no_plan_lies_in_the_proved_area_and_without_a_bound_there_is_none() -> None:
    """A bound of nothing proves nothing: no area, and no line for it in the key."""
    picture = curve_view(offered(curve=((0.5, 0.4, 0.0), (1.0, 0.0, 0.0))))
    assert not drawn(picture, "bound")
    assert "proved" not in said(picture)
    assert "proved: no plan is here" in words(curve_view(offered()))


def test_a_plan_far_above_the_curve_is_an_arrow_up() -> None:
    """At 40 points where the curve begins at 1.2, a plan is an arrow at the top, and the list has its number."""
    picture = curve_view(offered([("as asked for", 1.0, 0.6), ("least yaw inertia", 2.0, 40.0)]))
    (arrow,) = drawn(picture, "plan-B")
    assert isinstance(arrow, Line2D)
    assert arrow.get_marker() == "^"
    assert any("40.00 points" in text for text in words(picture))
    assert letters(picture) == "AB"
    (top,) = (axes.get_ylim()[1] for axes in picture.axes if drawn(picture, "inside")[0] in axes.lines)
    assert 1.2 < top < 10.0


def test_the_first_plan_looks_different_from_the_others() -> None:
    """A is filled, the others are open, and the key says so."""
    picture = curve_view(offered([("as asked for", 1.0, 0.6), ("lightest", 0.5, 0.9)]))
    first, other = (drawn(picture, f"plan-{letter}")[0] for letter in "AB")
    assert isinstance(first, Line2D)
    assert isinstance(other, Line2D)
    assert first.get_marker() == other.get_marker()
    assert first.get_markerfacecolor() != other.get_markerfacecolor()
    assert {"A, the plan as asked for", "the other plans"} <= set(words(picture))


# --- what it says ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("curve", "plan", "expected"),
    [
        (DESCENT, 1.0, "From 8 kg over the required total on, every target is inside the band"),
        (((7.2, 0.4, 0.3), (8.4, 0.0, 0.0)), 7.3, "From 9 kg over the required total on, every target is inside"),
        (((3.0, 0.0, 0.0),), 3.0, "The least mass found, 3 kg over the required total, already brings every target"),
        (DESCENT[:4], 1.0, "More mass, up to 3 kg over the required total, does not bring every target inside"),
        (((3.0, 0.04, 0.0),), 3.0, "No plan found brings every target inside the band"),
    ],
)
def test_one_sentence_says_what_the_curve_says(
    curve: Sequence[tuple[float, float, float]], plan: float, expected: str
) -> None:
    """From which mass on the targets are inside, rounded up to the pads' 1 kg, or that more mass does not help."""
    picture = curve_view(offered([("as asked for", plan, next(m for over, m, _ in curve if over <= plan))], curve))
    assert expected in said(picture)
    assert words(picture).count("Curlew 12") == 1
    assert list(collisions(picture)) == []


def test_a_plan_that_is_not_legal_is_marked_and_proves_nothing() -> None:
    """Where the scrutineer fails a plan the list says so, and the best line leaves it out."""
    picture = curve_view(offered([("as asked for", 0.2, 0.0)], verdict="fail"))
    assert "(NOT LEGAL)" in said(picture)
    assert pytest.approx((0.2, 0.0)) not in line(picture, "best")
    assert "From 8 kg" in said(picture)


def test_without_a_curve_it_says_why() -> None:
    """Not asked for, no target, no time, stopped, no plan: a sentence each, and no graph."""
    for answer, sentence in (
        (assembled(), "No curve was asked for."),
        (assembled(outcome="best found when stopped"), "No curve: it was stopped before that."),
        (assembled(later=None, outcome="impossible"), "No curve: there is no plan (impossible)."),
        (offered([("as asked for", 1.0, None)], (), window=(None, None)), "No curve: no target asks"),
        (offered([("as asked for", 1.0, None)], ()), "No curve: there was no time for it."),
    ):
        picture = curve_view(answer)
        assert sentence in said(picture)
        assert not drawn(picture, "best")
        assert not drawn(picture, "inside")
        assert list(collisions(picture)) == []


def test_plans_without_targets_are_still_listed() -> None:
    """Without targets a plan has a mass over the requirement and no miss, and its letter stands in the list alone."""
    picture = curve_view(offered([("as asked for", 1.0, None), ("lightest", 0.5, None)], (), window=(None, None)))
    assert {"A", "B", "as asked for", "lightest"} <= set(words(picture))
    assert "points" not in said(picture)


# --- files -----------------------------------------------------------------------------------------------------------


def test_files_are_the_same_bytes_twice_and_as_wide_as_the_other_pictures() -> None:
    """svg: well formed, 390 units wide, no size of its own; png: 3 x 390 pixels (ISO/IEC 15948, 5.2 and 11.2.2)."""
    answer = offered([("as asked for", 1.0, 0.6), ("lightest", 0.5, 0.9)])
    svg, png = (rendered(curve_view(answer), kind) for kind in ("svg", "png"))
    assert svg == rendered(curve_view(answer), "svg")
    assert png == rendered(curve_view(answer), "png")
    root = ET.fromstring(svg)
    assert root.get("viewBox", "").startswith("0 0 390 ")
    assert root.get("width") is None
    assert {"plan-A", "plan-B", "best", "bound"} <= {element.get("id") for element in root.iter()}
    assert png[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    assert int.from_bytes(png[16:20], "big") == 1170


def test_a_users_own_style_changes_nothing() -> None:
    """Settings somebody has for other pictures do not reach this one."""
    import matplotlib

    answer = offered()
    plain = rendered(curve_view(answer), "svg")
    with matplotlib.rc_context({"text.usetex": True, "axes.grid": True, "lines.linewidth": 9}):
        assert rendered(curve_view(answer), "svg") == plain
