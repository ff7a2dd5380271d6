"""Burning fuel: a line for each driver through what the records say at each point of the stint."""

from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ballast.records.plan import Answer
from ballast.showing.pictures import fuel_view
from tests.showing.seen import collisions, drawn, words
from tests.showing.test_crew_picture import assembled, state

FRONTS = {"start": (0.50, 0.51), "balance point": (0.51, 0.52), "flag": (0.52, 0.53)}
"""Front shares of Ada and Bo at the points of the stint."""


def stint(points: tuple[str, ...] = ("start", "balance point", "flag"), **numbers: Any) -> Answer:
    """Two drivers and a tank of 80 L of which 4 L are left, with a target for the front."""
    cases = []
    for driver, name in enumerate(("Ada", "Bo")):
        for point in points:
            share = FRONTS[point][driver]
            cases.append(state(f"{name}, {point}", (500 * share, 500 * share, 500 * (1 - share), 500 * (1 - share))))
    wanted = {
        "dimension": "percent", "case": "Ada, balance point", "figure": "front", "by": "ballast", "aim": 0.51,
        "within": 0.02, "guard": 0.005, "before": 0.5, "after": 0.51, "miss_points": 0.0, "outside_points": 0.0,
        "inside": True, "uncertainty": 0.0005, "chance": 0.9,
    }  # fmt: skip
    return assembled(cases=cases, targets=[wanted], **numbers)


def picture(answer: Answer) -> Figure:
    """The fuel view, which there is."""
    found = fuel_view(answer)
    assert found is not None
    return found


def line(figure: Figure, gid: str) -> list[tuple[float, float]]:
    """The points of a line on paper. [pt]"""
    (one,) = drawn(figure, gid)
    assert isinstance(one, Line2D)
    return [(x, y) for x, y in one.get_xydata().tolist()]  # type: ignore[union-attr]


def test_lines_go_through_the_shares_of_the_records() -> None:
    """Ada from 50 to 52 %, Bo a point higher, in the scale that the band of 51 +/- 2 % gives."""
    figure = picture(stint())
    (band,) = drawn(figure, "within-1")
    assert isinstance(band, Rectangle)
    point = band.get_height() / 4
    ((_, aim), _) = line(figure, "aim-1")
    for row, expected in ((1, (-1.0, 0.0, 1.0)), (2, (0.0, 1.0, 2.0))):
        levels = [(aim - y) / point for _, y in line(figure, f"drift-1-{row}")]
        assert levels == pytest.approx(expected, abs=1e-6)


def test_points_stand_by_what_has_burnt() -> None:
    """80, 42 and 4 L: the balance point is half way, and each point says its volume."""
    figure = picture(stint())
    xs = [x for x, _ in line(figure, "drift-1-1")]
    assert xs[1] == pytest.approx((xs[0] + xs[2]) / 2)
    assert {"80.0 L", "42.0 L", "4.0 L", "start", "balance point", "flag"} <= set(words(figure))
    assert "From start to flag 76.0 L burn." in words(figure)


def test_drivers_differ_without_colour() -> None:
    """Ada's and Bo's lines have other dashes and other marks, and their names stand at their ends."""
    figure = picture(stint())
    (ada,), (bo,) = drawn(figure, "drift-1-1"), drawn(figure, "drift-1-2")
    assert isinstance(ada, Line2D)
    assert isinstance(bo, Line2D)
    assert ada.get_linestyle() != bo.get_linestyle()
    marks = [drawn(figure, f"point-1-{row}")[0] for row in (1, 2)]
    assert len({one.get_marker() for one in marks if isinstance(one, Line2D)}) == 2
    assert words(figure).count("Ada") == words(figure).count("Bo") == 4  # three panels and the table


def test_the_table_says_first_and_last() -> None:
    """Front of Ada 50 to 52 %, of Bo 51 to 53 %, left 50 % throughout."""
    said = words(picture(stint()))
    assert {"50.00 to 52.00", "51.00 to 53.00"} <= set(said)
    assert said.count("50.00 to 50.00") >= 2


def test_there_is_none_without_tanks_or_with_one_point() -> None:
    """Nothing burns without a tank, and one point is no line."""
    assert fuel_view(stint(points=("flag",))) is None
    answer = stint()
    without = answer.question.replace(car=answer.question.car.replace(tanks=()))
    assert fuel_view(answer.replace(question=without)) is None
    assert fuel_view(assembled(found=False)) is None


def test_two_points_are_a_line() -> None:
    """A plan that looks at balance point and flag alone draws these two."""
    figure = picture(stint(points=("balance point", "flag")))
    assert len(line(figure, "drift-1-1")) == 2
    assert "From balance point to flag 38.0 L burn." in words(figure)
    assert "start" not in words(figure)


def test_names_of_six_drivers_do_not_meet() -> None:
    """Six drivers with nearly the same lines have their names apart, inside the panel's height."""
    names = ("Ada", "Bo", "Cleo", "Dov", "Maximiliana von Featherstone", "Finn")
    cases = [
        state(f"{name}, {point}", (500 * share, 500 * share, 500 * (1 - share), 500 * (1 - share)))
        for number, name in enumerate(names)
        for point, share in (("start", 0.5), ("flag", 0.51 + 0.0001 * number))
    ]
    assert list(collisions(picture(assembled(cases=cases)))) == []
