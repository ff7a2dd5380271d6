"""The car from its side: every height where the records say, to scale, and no stack hidden by another."""

from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ballast.records.plan import Answer
from ballast.showing.pictures import side_view
from tests.showing.invented_answers import assembled
from tests.showing.invented_stints import stint
from tests.showing.seen import collisions, drawn, words

STRONG = {"capacity": 90.0}
MOUNTS: tuple[dict[str, Any], ...] = (
    {"name": "rail", "behind_front_axle": 1.5, "left_of_centre": 0.4, "above_ground": 0.2, "stack": 0.15} | STRONG,
    {"name": "tray", "behind_front_axle": -0.4, "left_of_centre": 0.0, "above_ground": 0.1} | STRONG,
    {"name": "bare", "behind_front_axle": 2.2, "left_of_centre": -0.4, "above_ground": 0.3} | STRONG,
)
PLATES = (
    {"name": "10 kg", "mass": 10.0, "count": 9, "thickness": 0.03},
    {"name": "5 kg", "mass": 5.0, "count": 9, "thickness": 0.016},
)


def raised(height: float | None = 0.45, then: float | None = 0.44, **numbers: Any) -> Answer:
    """2 x 10 kg and 1 x 5 kg on the rail, 1 x 10 kg on the tray; the centre of gravity at those heights. [m]"""
    given: dict[str, Any] = {
        "mounts": MOUNTS,
        "plates": PLATES,
        "before": {("rail", "10 kg"): 1},
        "after": {("rail", "10 kg"): 2, ("rail", "5 kg"): 1, ("tray", "10 kg"): 1},
    }
    made = assembled(**(given | numbers))
    chassis = made.question.car.chassis.replace(centre_of_gravity_height=height)
    question = made.question.replace(car=made.question.car.replace(chassis=chassis))

    def at(case: Any, up: float | None) -> Any:
        return case.replace(centre_of_gravity=case.centre_of_gravity.replace(above_ground=up))

    cases = tuple(at(case, then) for case in made.plan.cases)
    return made.replace(question=question, plan=made.plan.replace(before=at(made.plan.before, height), cases=cases))


def picture(answer: Answer) -> Figure:
    """The side view, which there is."""
    found = side_view(answer)
    assert found is not None
    return found


def mark(figure: Figure, gid: str) -> tuple[float, float]:
    """Where a mark is on paper, from the left and from the top. [pt]"""
    (found,) = drawn(figure, gid)
    assert isinstance(found, Line2D)
    ((x, y),) = found.get_xydata().tolist()  # type: ignore[union-attr]
    return x, y


def boxes(figure: Figure, gid: str) -> list[tuple[float, float]]:
    """Bottom and top of each rectangle of that name, as heights on paper below the rim. [pt]"""
    found = drawn(figure, gid)
    assert all(isinstance(one, Rectangle) for one in found)
    return [(one.get_y() + one.get_height(), one.get_y()) for one in found if isinstance(one, Rectangle)]


def ground(figure: Figure) -> float:
    """Where the ground is. [pt]"""
    (line,) = drawn(figure, "ground")
    assert isinstance(line, Line2D)
    ((_, y), _) = line.get_xydata().tolist()  # type: ignore[union-attr]
    return float(y)


def scale(figure: Figure) -> float:
    """Points for a metre, from two marks whose places are known: the rail 1.5 m and the empty mount 2.2 m behind."""
    (rail, *_) = drawn(figure, "stack-1")
    assert isinstance(rail, Rectangle)
    middle = rail.get_x() + rail.get_width() / 2
    return (mark(figure, "empty-3")[0] - middle) / 0.7


def test_there_is_none_without_the_height() -> None:
    """A car whose centre of gravity has no height has no side view."""
    assert side_view(raised(height=None)) is None


def test_plates_stand_in_their_stack_at_their_height() -> None:
    """On the rail, 200 mm up: two plates of 30 mm and one of 16 mm, so edges at 200, 230, 260 and 276 mm."""
    figure = picture(raised())
    metre, floor = scale(figure), ground(figure)
    edges = [((floor - low) / metre, (floor - top) / metre) for low, top in boxes(figure, "stack-1")]
    expected = [(0.200, 0.230), (0.230, 0.260), (0.260, 0.276)]
    assert [value for edge in edges for value in edge] == pytest.approx(
        [value for edge in expected for value in edge], abs=1e-6
    )
    ((low, top),) = boxes(figure, "room-1")
    assert ((floor - low) / metre, (floor - top) / metre) == pytest.approx((0.200, 0.350), abs=1e-6)
    assert not drawn(figure, "room-2")
    assert {"200 to 276 mm", "76 of 150 mm stack", "100 to 130 mm"} <= set(words(figure))


def test_new_plates_look_other_than_those_that_stay() -> None:
    """One of the two 10 kg plates on the rail was there; the other and the 5 kg one are put on."""
    faces = [one.get_facecolor() for one in drawn(picture(raised()), "stack-1") if isinstance(one, Rectangle)]
    assert faces[0] != faces[1]
    assert faces[1] == faces[2]


def test_centres_of_gravity_stand_at_their_heights() -> None:
    """450 mm before and 440 mm after, drawn and written."""
    figure = picture(raised())
    metre, floor = scale(figure), ground(figure)
    assert (floor - mark(figure, "before")[1]) / metre == pytest.approx(0.45, abs=1e-6)
    assert (floor - mark(figure, "after")[1]) / metre == pytest.approx(0.44, abs=1e-6)
    assert {"450 mm above the ground", "440 mm above the ground"} <= set(words(figure))


def test_wheels_stand_on_the_ground_a_wheelbase_apart() -> None:
    """Front and rear wheel are 2500 mm apart, nose to the left, and touch the ground."""
    figure = picture(raised())
    (front,), (rear,) = drawn(figure, "wheel-LF"), drawn(figure, "wheel-LR")
    (x, y), (x_rear, _) = front.get_center(), rear.get_center()  # type: ignore[attr-defined]
    assert (x_rear - x) / scale(figure) == pytest.approx(2.5, abs=1e-6)
    assert y + front.get_height() / 2 == pytest.approx(ground(figure))  # type: ignore[attr-defined]


def test_two_stacks_at_one_place_stand_side_by_side() -> None:
    """A left and a right mount at the same place and height do not hide each other, and are numbered 1 and 2."""
    pair = [dict(MOUNTS[0], name=side, left_of_centre=left) for side, left in (("left", 0.4), ("right", -0.4))]
    figure = picture(raised(mounts=pair, before={}, after={("left", "10 kg"): 2, ("right", "10 kg"): 1}))
    spans = []
    for gid in ("room-1", "room-2"):
        (one,) = drawn(figure, gid)
        assert isinstance(one, Rectangle)
        spans.append((one.get_x(), one.get_x() + one.get_width()))
    assert spans[0][1] <= spans[1][0]
    assert {"1", "2", "left", "right"} <= set(words(figure))


def test_what_has_no_height_or_thickness_is_said() -> None:
    """A mount without a height is named as not drawn; plates without a thickness are a mark without a top."""
    mounts = [dict(MOUNTS[0]), {key: value for key, value in MOUNTS[1].items() if key != "above_ground"}]
    plates = [{"name": "10 kg", "mass": 10.0, "count": 9}, PLATES[1]]
    figure = picture(raised(then=None, mounts=mounts, plates=plates))
    said = " ".join(words(figure))
    assert "Not drawn, for want of a height: tray." in said
    assert "The height of the centre of gravity after is not known" in said
    assert "from 200 mm" in said
    assert "plates, of unknown thickness" in said
    assert not drawn(figure, "after")
    assert list(collisions(figure)) == []


def test_thirty_stacks_keep_their_numbers_apart() -> None:
    """With 30 stacks no number meets another; with 40 the numbers are left out and the list stays."""
    for count, numbered in ((30, True), (40, False)):
        mounts = [
            {"name": f"place {n}", "behind_front_axle": 0.05 * n, "left_of_centre": 0.0, "capacity": 90.0}
            | {"above_ground": 0.1 + 0.01 * (n % 7)}
            for n in range(count)
        ]
        after = {(str(mount["name"]), "10 kg"): 1 for mount in mounts}
        figure = picture(raised(mounts=mounts, before={}, after=after))
        assert list(collisions(figure)) == []
        assert f"place {count - 1}" in words(figure)
        assert words(figure).count("17") == 1 + numbered


def test_driver_and_tanks_are_drawn_where_they_have_a_height() -> None:
    """On invented stints each of them has its mark once or is named as not drawn."""
    seen = 0
    for seed in range(12):
        answer = stint(seed)
        figure = side_view(answer)
        if figure is None:
            continue
        for number, tank in enumerate(answer.question.car.tanks, start=1):
            assert len(drawn(figure, f"tank-{number}")) == (tank.above_ground is not None)
            seen += 1
    assert seen
