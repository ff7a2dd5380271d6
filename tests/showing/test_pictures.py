"""The picture of a plan: every mark where the records say, and no text over text."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from matplotlib.lines import Line2D

from ballast.jobs.plan import plan
from ballast.records.files import read_question
from ballast.records.plan import Answer
from ballast.showing.pictures import VIEWS, plan_view, rendered
from tests.showing.invented_answers import assembled
from tests.showing.invented_stints import stint
from tests.showing.seen import box, collisions, drawn, place, texts, words

SALOON = Path(__file__).parent.parent.parent / "examples" / "circuit-saloon"
INVENTED = range(50)


@pytest.fixture(scope="module")
def saloon() -> Answer:
    """The plan of the shipped circuit car: wheelbase 2480 mm, tracks 1465 and 1440 mm."""
    return plan(read_question(SALOON / "car.toml", SALOON / "weigh-in.toml", SALOON / "rulebook.toml"))


# --- no text over text -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("example", sorted(path.name for path in SALOON.parent.iterdir() if path.is_dir()))
def test_no_text_meets_another_on_any_example(example: str) -> None:
    """Every shipped car is drawn from every side without a collision; for that, any plan will do."""
    folder = SALOON.parent / example
    question = read_question(folder / "car.toml", folder / "weigh-in.toml", folder / "rulebook.toml")
    quick = plan(question.with_wishes(seconds=5.0, order=("balance",)))
    for view, draw in VIEWS.items():
        picture = draw(quick)
        assert picture is None or list(collisions(picture)) == [], view


@pytest.mark.parametrize("seed", INVENTED)
def test_no_text_meets_another_on_invented_cars(seed: int) -> None:
    """Nor in any picture of 50 cars with random mounts, plates, names, crews, tanks, heights, targets and units."""
    invented = stint(seed)
    for view, draw in VIEWS.items():
        picture = draw(invented)
        assert picture is None or list(collisions(picture)) == [], view


def test_thirty_mounts_are_still_drawn_without_collision() -> None:
    """With very many mounts each has its mark, and the names of the empty ones give way."""
    mounts = [
        {"name": f"place {n}", "behind_front_axle": 0.08 * n, "left_of_centre": 0.1 * (n % 9 - 4), "capacity": 9.0}
        for n in range(30)
    ]
    picture = plan_view(assembled(mounts=mounts, after={("place 3", "10 kg"): 2}))
    assert list(collisions(picture)) == []
    assert all(len(drawn(picture, f"mount-{n}")) == 1 for n in range(1, 31))
    assert "4. place 3" in words(picture)
    assert "5. place 4" not in words(picture)


# --- everything where it is ------------------------------------------------------------------------------------------


def test_wheels_stand_at_their_contact_patches(saloon: Answer) -> None:
    """Half a track to either side, on axles a wheelbase apart: 1465 / 2 = 732.5 mm, 1440 / 2 = 720 mm, 2480 mm."""
    picture = plan_view(saloon)
    expected = {"LF": (0.0, 0.7325), "RF": (0.0, -0.7325), "LR": (2.48, 0.72), "RR": (2.48, -0.72)}
    for corner, (aft, left) in expected.items():
        front, rear, right_edge, left_edge = box(picture, f"wheel-{corner}")
        assert ((front + rear) / 2, (right_edge + left_edge) / 2) == pytest.approx((aft, left), abs=1e-9)


def test_the_car_is_to_scale_nose_up_and_seen_from_above(saloon: Answer) -> None:
    """A metre back is as long as a metre left; back is down the picture and left is left."""
    axes = plan_view(saloon).axes[0]
    (x, y), (x_left, y_left), (x_back, y_back) = axes.transData.transform([(0, 0), (1, 0), (0, 1)]).tolist()
    assert x_left < x
    assert y_back < y
    assert (y_left, x_back) == pytest.approx((y, x))
    assert x - x_left == pytest.approx(y - y_back, rel=1e-9)


def test_mounts_stand_where_the_car_file_says(saloon: Answer) -> None:
    """The nose tray is 420 mm ahead of the front axle, in the middle; boot floor right 2650 mm behind, 480 mm right."""
    picture = plan_view(saloon)
    assert place(picture, "mount-1") == pytest.approx((-0.42, 0.0), abs=1e-9)
    assert place(picture, "mount-6") == pytest.approx((2.65, -0.48), abs=1e-9)
    assert len(saloon.question.car.mounts) == 6
    assert not drawn(picture, "mount-7")


def test_load_bars_are_as_long_as_the_loads_are_heavy() -> None:
    """Bars of 250, 125 and 375 kg are as 2 to 1 to 3, and carry their numbers."""
    picture = plan_view(assembled(loads=(250.0, 125.0, 200.0, 200.0), later=(375.0, 125.0, 200.0, 200.0)))
    lengths = {}
    for name in ("LF-before", "RF-before", "LF-after"):
        _, _, start, end = box(picture, f"load-{name}")
        lengths[name] = end - start
    assert lengths["LF-before"] == pytest.approx(2 * lengths["RF-before"])
    assert lengths["LF-after"] == pytest.approx(3 * lengths["RF-before"])
    assert {"before 250 kg", "after 375 kg", "before 125 kg"} <= set(words(picture))


def test_loads_are_printed_in_the_users_unit() -> None:
    """113.3980925 kg is 250 lb exactly, by the 1959 definition of the pound."""
    loads = (113.3980925,) * 4
    picture = plan_view(assembled(loads=loads, later=loads, units={"mass": "lb", "length": "in"}))
    assert words(picture).count("before 250 lb") == 4
    assert words(picture).count("after 250 lb") == 4


def test_centre_of_gravity_before_follows_from_the_scales(saloon: Answer) -> None:
    """Levers on the three readings of the example, the moments of the mean loads over their sum."""
    picture = plan_view(saloon)
    front_left, front_right = (279.6 + 280.4 + 279.8) / 3, (297.2 + 296.2 + 297.0) / 3
    rear_left, rear_right = (235.4 + 234.6 + 235.0) / 3, (248.0 + 248.8 + 248.4) / 3
    total = front_left + front_right + rear_left + rear_right
    aft = 2.480 * (rear_left + rear_right) / total
    left = ((front_left - front_right) * 1.465 + (rear_left - rear_right) * 1.440) / 2 / total
    assert place(picture, "before") == pytest.approx((aft, left), abs=1e-9)
    assert place(picture, "enlarged-before") == pytest.approx((aft, left), abs=1e-9)


def test_the_window_along_the_car_is_that_of_the_front_target(saloon: Answer) -> None:
    """Front 54 +/- 0.5 % is a centre of gravity 45.5 to 46.5 % of the wheelbase of 2480 mm behind the front axle."""
    picture = plan_view(saloon)
    for name in ("window-asked", "enlarged-window-asked"):
        front, rear, _, _ = box(picture, name)
        assert (front, rear) == pytest.approx((0.455 * 2.48, 0.465 * 2.48), abs=1e-6)
    aft, _ = place(picture, "aim")
    assert aft == pytest.approx(0.46 * 2.48, abs=1e-6)


def test_the_planned_window_is_the_asked_one_less_its_guard() -> None:
    """With a fifth kept as guard, a window of +/- 10 and +/- 4 mm is planned for as +/- 8 and +/- 3.2 mm."""
    picture = plan_view(assembled(window=(0.010, 0.004)))
    for name, half in (("asked", (0.010, 0.004)), ("planned", (0.008, 0.0032))):
        front, rear, right, left = box(picture, f"enlarged-window-{name}")
        assert ((rear - front) / 2, (left - right) / 2) == pytest.approx(half, abs=1e-9)


def test_the_enlarged_view_is_as_many_times_larger_as_it_says(saloon: Answer) -> None:
    """The stated factor is that of a metre in the frame to a metre on the car."""
    picture = plan_view(saloon)
    metres = [axes.transData.transform([(0, 0), (1, 0)]).tolist() for axes in picture.axes]
    on_car, in_frame = (start[0] - end[0] for start, end in metres)
    (stated,) = (text for text in words(picture) if text.startswith("centre of gravity, "))
    assert in_frame / on_car == pytest.approx(int(stated.split()[3]), rel=1e-6)


@pytest.mark.parametrize(("off", "word"), [(0.002, "after, inside"), (0.02, "after, outside")])
def test_the_enlarged_view_says_whether_the_plan_is_inside(off: float, word: str) -> None:
    """2 mm off the aim is inside +/- 10 mm, 20 mm is outside, and the mark lies accordingly."""
    picture = plan_view(assembled(window=(0.010, 0.004), off_aim=(off, 0.0)))
    front, rear, right, left = box(picture, "enlarged-window-asked")
    aft, across = place(picture, "enlarged-after")
    assert (front < aft < rear and right < across < left) == word.endswith("inside")
    assert word in words(picture)


def test_a_far_place_before_is_shown_as_an_arrow() -> None:
    """Half a metre from a window of 1 mm, the place before is an arrow at the edge; the window keeps its size."""
    picture = plan_view(
        assembled(loads=(150.0, 150.0, 350.0, 350.0), later=(250.0, 250.0, 250.0, 250.0), window=(0.001, 0.001))
    )
    (arrow,) = drawn(picture, "enlarged-before")
    assert isinstance(arrow, Line2D)
    assert arrow.get_marker() == "v"
    assert "centre of gravity, 100 x larger" in words(picture)
    assert list(collisions(picture)) == []


def test_a_free_coordinate_makes_the_window_a_strip() -> None:
    """With a left target alone the window runs through the whole frame, and without targets there is none."""
    picture = plan_view(assembled(window=(None, 0.004)))
    front, rear, _, _ = box(picture, "enlarged-window-asked")
    low, high = sorted(picture.axes[1].get_ylim())
    assert (front, rear) == pytest.approx((low, high))
    free = plan_view(assembled(window=(None, None), needed=None))
    for gid in ("window-asked", "enlarged-window-asked", "aim", "ballast-needed"):
        assert not drawn(free, gid)
    assert drawn(free, "enlarged-after")


def test_ballast_needed_beyond_the_picture_is_an_arrow_towards_it() -> None:
    """Needed 9 m behind the front axle, the ballast has an arrow down at the rear of the car, and the key says so."""
    picture = plan_view(assembled(needed=(9.0, 0.0)))
    (arrow,) = drawn(picture, "ballast-needed")
    assert isinstance(arrow, Line2D)
    assert arrow.get_marker() == "v"
    assert "further than drawn" in " ".join(words(picture))


# --- what stands where -----------------------------------------------------------------------------------------------


def test_labels_say_what_stands_and_what_changes() -> None:
    """A mount that gains, one that loses, one that is cleared, one that stays, one that is filled, one left empty."""
    names = ("gains", "loses", "cleared", "stays", "filled", "bare")
    mounts = [
        {"name": name, "behind_front_axle": 0.4 * n, "left_of_centre": 0.4, "capacity": 90.0}
        for n, name in enumerate(names)
    ]
    plates = [{"name": "10 kg", "mass": 10.0, "count": 99}, {"name": "2 kg", "mass": 2.0, "count": 99}]
    picture = plan_view(
        assembled(
            mounts=mounts,
            plates=plates,
            before={
                ("gains", "2 kg"): 1,
                ("loses", "10 kg"): 3,
                ("cleared", "10 kg"): 4,
                ("stays", "2 kg"): 5,
            },
            after={("gains", "2 kg"): 7, ("loses", "10 kg"): 1, ("stays", "2 kg"): 5, ("filled", "10 kg"): 8},
        )
    )
    said = words(picture)
    for text in ("7 x 2 kg", "on: 6 x 2 kg", "1 x 10 kg", "off: 2 x 10 kg", "off: 4 x 10 kg", "5 x 2 kg", "8 x 10 kg"):
        assert said.count(text) == 1, text
    assert said.count("stays as it is") == 1
    assert {"mount with plates", "mount cleared", "mount left empty"} <= set(said)
    shown = {}
    for number, name in enumerate(names, start=1):
        (mark,) = drawn(picture, f"mount-{number}")
        assert isinstance(mark, Line2D)
        shown[name] = mark.get_markerfacecolor(), mark.get_markeredgecolor(), bool(drawn(picture, f"emptied-{number}"))
    assert shown["gains"] == shown["loses"] == shown["stays"] == shown["filled"]
    assert len({shown["gains"], shown["cleared"], shown["bare"]}) == 3
    assert shown["cleared"][2]


def test_head_names_car_outcome_and_totals(saloon: Answer) -> None:
    """1105 kg minimum, 3 kg in hand and 2 x 0.143 kg (0.115/sqrt 3 x 4.30/2) are 1108.3 kg; weighed were 1060.1 kg."""
    said = words(plan_view(saloon))
    assert said.count("Heron saloon, number 27") == 1
    assert "Proved best. Weighed 2026-03-14." in said
    (total,) = (text for text in said if text.startswith("Total required 1108.3 kg, reached 11"))
    assert total.endswith(" kg, before 1060.1 kg.")


def test_a_broken_limit_stands_in_the_head() -> None:
    """A plan that the scrutineer fails is never shown as if it were legal."""
    picture = plan_view(assembled(verdict="fail"))
    assert "limit is broken" in " ".join(words(picture))
    assert list(collisions(picture)) == []


@pytest.mark.parametrize("outcome", ["impossible", "no answer in the time"])
def test_without_a_plan_the_car_is_drawn_as_weighed(outcome: str) -> None:
    """No plan: wheels with what they carried, mounts with what stands there, and nothing after."""
    picture = plan_view(assembled(before={("box", "10 kg"): 3}, later=None, outcome=outcome))
    said = words(picture)
    assert f"No plan: {outcome}. Weighed 2026-05-02." in said
    assert said.count("weighed 250 kg") == 4
    assert "3 x 10 kg" in said
    assert drawn(picture, "before")
    assert drawn(picture, "mount-1")
    for gid in ("after", "enlarged-after", "aim", "reach", "ballast-needed", "load-LF-after"):
        assert not drawn(picture, gid)
    assert list(collisions(picture)) == []


# --- names -----------------------------------------------------------------------------------------------------------


def test_names_are_text_and_never_formulas() -> None:
    r"""$, _, ^, \frac, markup and braces come out as they were written, and the svg stays well formed."""
    names = ("$_^{x}", r"\frac{a}{b}$", "<b>&amp;</b>", "%d {0} --> ]]>")
    mounts = [
        {"name": name, "behind_front_axle": 0.6 * n, "left_of_centre": 0.3, "capacity": 90.0}
        for n, name in enumerate(names)
    ]
    picture = plan_view(
        assembled(
            name="$x^2$ & <car> -->",
            mounts=mounts,
            plates=[{"name": "$10_kg$", "mass": 10.0, "count": 9}],
            after={(names[0], "$10_kg$"): 2},
        )
    )
    numbered = {f"{number}. {name}" for number, name in enumerate(names, start=1)}
    assert {*numbered, "$x^2$ & <car> -->", "2 x $10_kg$"} <= set(words(picture))
    assert not any(text.get_parse_math() for text in texts(picture))
    ET.fromstring(rendered(picture, "svg"))
    assert list(collisions(picture)) == []


def test_long_names_are_shortened_and_unknown_characters_are_squares() -> None:
    """A name of any length keeps both its ends around an ellipsis; what no letter exists for is a square."""
    long = "the long name of a mount under the floor, second from the left, 1"
    mounts = [
        {"name": name, "behind_front_axle": 0.6 * n, "left_of_centre": 0.3, "capacity": 90.0}
        for n, name in enumerate((long, "y" * 3000, "\N{CJK UNIFIED IDEOGRAPH-8ECA}\N{AUTOMOBILE}"))
    ]
    plates = [{"name": "painted " * 30 + "10 kg", "mass": 10.0, "count": 9}]
    picture = plan_view(
        assembled(
            name="car " * 900 + "27",
            mounts=mounts,
            plates=plates,
            after={(long, str(plates[0]["name"]).strip()): 2},
        )
    )
    said = words(picture)
    (title,) = (text for text in said if text.startswith("car car"))
    assert "\N{HORIZONTAL ELLIPSIS}" in title
    assert title.endswith("27")
    assert any(text.startswith("2 x painted") and text.endswith("10 kg") for text in said)
    assert "3. " + "\N{WHITE SQUARE}" * 2 in said
    assert list(collisions(picture)) == []
    rendered(picture, "png")
