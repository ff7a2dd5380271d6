"""Targets as bands: every number where the records say, in every state."""

from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ballast.records.plan import Answer, TargetResult
from ballast.showing.pictures import bands_view
from tests.showing.invented_answers import assembled
from tests.showing.seen import collisions, drawn, words


def target(**numbers: Any) -> TargetResult:
    """Front 50 %, half a point to either side, 0.1 kept as guard; 51 % before, 50.2 % after, give or take 0.04."""
    usual: dict[str, Any] = {
        "dimension": "percent", "figure": "front", "by": "ballast", "aim": 0.5, "within": 0.005, "guard": 0.001,
        "before": 0.51, "after": 0.502, "miss_points": 0.0, "outside_points": 0.0, "inside": True,
        "uncertainty": 0.0002, "chance": 0.99,
    }  # fmt: skip
    return TargetResult.model_validate(usual | numbers)


def asked(*targets: TargetResult) -> Answer:
    """An answer with those targets."""
    made = assembled()
    return made.replace(plan=made.plan.replace(targets=targets))


def span(figure: Figure, gid: str) -> tuple[float, float]:
    """Left and right edge of a rectangle. [pt]"""
    (one,) = drawn(figure, gid)
    assert isinstance(one, Rectangle)
    return one.get_x(), one.get_x() + one.get_width()


def ends(figure: Figure, gid: str) -> tuple[float, float]:
    """From where to where a line goes, or a mark is, from the left. [pt]"""
    (one,) = drawn(figure, gid)
    assert isinstance(one, Line2D)
    xs = [float(x) for x, _ in one.get_xydata().tolist()]  # type: ignore[union-attr]
    return min(xs), max(xs)


def test_everything_stands_in_one_scale() -> None:
    """0.5 points are the half band; 0.4 what is planned for, 1 before, 0.2 after, 2 x 0.02 its bar to either side."""
    figure = bands_view(asked(target()))
    (aim, _), (left, right) = ends(figure, "aim-1"), span(figure, "within-1")
    point = (right - left) / 2 / 0.5
    assert (left + right) / 2 == pytest.approx(aim)
    guarded = span(figure, "guard-1")
    assert ((guarded[0] - aim) / point, (guarded[1] - aim) / point) == pytest.approx((-0.4, 0.4))
    assert (ends(figure, "before-1-1")[0] - aim) / point == pytest.approx(1.0)
    assert (ends(figure, "after-1-1")[0] - aim) / point == pytest.approx(0.2)
    low, high = ends(figure, "give-1-1")
    assert ((low - aim) / point, (high - aim) / point) == pytest.approx((0.16, 0.24))


def test_percentages_stand_beside_the_band() -> None:
    """Before, after with its 95 % interval (two standard uncertainties, 0.04 points), and the edges of the band."""
    said = words(bands_view(asked(target())))
    assert {"front: 50.0 %, 0.50 points to either side", "51.0", "50.2 +/- 0.04", "49.5", "50.5"} <= set(said)
    assert "Weighed 2026-05-02. Every target is inside its band." in said


def test_what_is_outside_says_so_in_a_word() -> None:
    """Not by its colour alone: the word stands behind the number, and the head counts."""
    figure = bands_view(asked(target(), target(figure="left", after=0.509, inside=False)))
    assert "50.9 +/- 0.04, outside" in words(figure)
    assert "Weighed 2026-05-02. 1 of 2 is outside its band." in words(figure)


def test_far_away_is_an_arrow_at_the_edge() -> None:
    """Ten points off, the place before is an arrow to where it lies, and the band keeps a width to be read."""
    figure = bands_view(asked(target(before=0.6)))
    (arrow,) = drawn(figure, "before-1-1")
    assert isinstance(arrow, Line2D)
    assert arrow.get_marker() == ">"
    left, right = span(figure, "within-1")
    assert right - left > 60
    assert "60.0" in words(figure)


def test_a_rear_pair_is_a_mass() -> None:
    """LR less RR of 20 kg, 5 kg to either side, is written in kg."""
    pair = target(
        dimension="mass", figure="rear pair", aim=20.0, within=5.0, guard=1.0, before=3.0, after=22.0, uncertainty=1.0
    )
    said = words(bands_view(asked(pair)))
    assert {"rear pair: 20 kg, 5 kg to either side", "3", "22 +/- 2", "15", "25"} <= set(said)


def test_what_the_platforms_are_to_do_is_said() -> None:
    """A diagonal that ballast was not chosen for says who brings it."""
    figure = bands_view(asked(target(figure="RF+LR", by="platforms")))
    assert "left to the spring platforms" in " ".join(words(figure))


def test_every_state_has_its_row() -> None:
    """Three states of two figures are six rows under two headings, each state named in both."""
    states = ("Ada, start", "Ada, flag", "Bo, start")
    targets = [target(case=case, figure=figure) for case in states for figure in ("front", "left")]
    figure = bands_view(asked(*targets))
    assert all(words(figure).count(state) == 2 for state in states)
    assert all(drawn(figure, f"after-{band}-{row}") for band in (1, 2) for row in (1, 2, 3))
    assert list(collisions(figure)) == []


def test_without_targets_or_a_plan_it_says_why() -> None:
    """A sentence instead of an empty frame."""
    assert "No targets are drawn: the car file asks for no percentage." in words(bands_view(asked()))
    impossible = assembled(later=None, outcome="impossible")
    assert "No targets are drawn: there is no plan (impossible)." in words(bands_view(impossible))
