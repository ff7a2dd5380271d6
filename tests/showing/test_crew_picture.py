"""The picture of a plan for several drivers and a burning tank: one state is drawn, and the centres of the others."""

from collections.abc import Callable
from typing import Any

import pytest
from matplotlib.lines import Line2D

from ballast.jobs.plan import plan
from ballast.records.plan import Answer, Plan
from ballast.showing.pictures import plan_view, rendered
from tests.showing.crew_answers import question
from tests.showing.seen import box, collisions, drawn, place, words

QUICK = {"seconds": 5.0, "order": ["balance"], "balance_resolution": 0.001}
"""For pictures any plan will do."""
UNSURE = {
    "total": 0.5,
    "front_percent": 0.0005,
    "left_percent": 0.0005,
    "diagonal_percent": 0.002,
    "rear_pair": 2.0,
    "chance_under_minimum": None,
}
WHEELBASE, FRONT_TRACK, REAR_TRACK = 2.6, 1.6, 1.58
"""Of the invented endurance car. [m]"""


def case(name: str, loads: tuple[float, float, float, float], **numbers: Any) -> dict[str, Any]:
    """One state from its corner loads in kg, by levers. Source: moments about the front axle and the centre line."""
    left_front, right_front, left_rear, right_rear = loads
    total = sum(loads)
    diagonal = (right_front + left_rear) / total
    across = ((left_front - right_front) * FRONT_TRACK + (left_rear - right_rear) * REAR_TRACK) / 2 / total
    return {
        "name": name,
        "corner_loads": dict(zip(("LF", "RF", "LR", "RR"), loads, strict=True)),
        "total": total,
        "front_percent": (left_front + right_front) / total,
        "rear_percent": (left_rear + right_rear) / total,
        "left_percent": (left_front + left_rear) / total,
        "diagonal_percent": {"RF+LR": diagonal, "LF+RR": 1 - diagonal},
        "rear_pair": left_rear - right_rear,
        "centre_of_gravity": {
            "behind_front_axle": WHEELBASE * (left_rear + right_rear) / total,
            "left_of_centre": across,
            "above_ground": None,
        },
    } | numbers


def state(name: str, loads: tuple[float, float, float, float], **numbers: Any) -> dict[str, Any]:
    """One state of a plan: driver and fuel are read from its name."""
    driver, _, fuel = name.partition(", ")
    return case(name, loads) | {"driver": driver, "fuel": fuel.split()[0] or None, "uncertain": UNSURE} | numbers


def assembled(found: bool = True, cases: list[dict[str, Any]] | None = None, **numbers: Any) -> Answer:
    """A plan for two drivers, made up number by number.

    10 kg for Ada and 5 kg for Bo in the left seat box, where 10 kg stand now; 15 kg on the floor, where 5 kg stand.
    """
    asked = question()
    cases = cases or [
        state("Ada, balance point", (290.0, 300.0, 280.0, 292.4), legal=False),
        state("Ada, flag", (285.0, 295.0, 270.0, 283.9), balance=False, required=1133.11),
        state("Bo, balance point", (294.0, 300.0, 280.0, 288.4), legal=False),
        state("Bo, flag", (289.0, 295.0, 270.0, 279.64), balance=False, required=1133.62),
    ]
    record: dict[str, Any] = {
        "units": asked.car.units,
        "outcome": "proved best" if found else "impossible",
        "requirement": {"case": "Bo, flag", "terms": [], "required": 1133.62, "greatest": 1140.0},
        "requirements": [
            {"case": "Bo, flag", "terms": [], "required": 1133.62, "greatest": 1140.0},
            {"case": "Ada, flag", "terms": [], "required": 1133.11, "greatest": 1140.0},
        ],
        "required_total": 1133.62,
        "before": case("Ada, balance point", (284.0, 296.0, 274.0, 287.0)),
        "roll_share": {"value": 0.56, "low": 0.5, "high": 0.6, "known_by": "roll share"},
        "repeat": dict.fromkeys(("total", "front_percent", "left_percent", "diagonal_percent", "rear_pair"), 0.001)
        | {"settlings": 3, "assumed": False, "factor": 2.0},
        "seconds": 0.1,
    }
    if found:
        record |= {
            "fit": [
                {"mount": "floor left", "plate": "5 kg", "count": 3},
                {"mount": "seat box left", "plate": "10 kg", "count": 1, "driver": "Ada"},
                {"mount": "seat box left", "plate": "5 kg", "count": 1, "driver": "Bo"},
                {"mount": "seat box right", "plate": "2 kg", "count": 4, "driver": "Bo"},
            ],
            "cases": cases,
        }
    else:
        record["impossible"] = {"greatest_total": 1120.0, "no_total": False, "conflicts": ["required total"]}
    return Answer(question=asked, plan=Plan.model_validate(record | numbers))


@pytest.fixture(scope="module")
def planned() -> Callable[[str], Answer]:
    """Plans for the endurance car, each worked out once."""
    kinds: dict[str, dict[str, Any]] = {
        "two drivers": {},
        "four drivers": {"drivers": 4, "tank": False},
        "tank alone": {"drivers": 0},
        "no kit": {"kit": False},
    }
    known: dict[str, Answer] = {}

    def answer(kind: str) -> Answer:
        if kind not in known:
            known[kind] = plan(question(wishes=QUICK, **kinds[kind]))
        return known[kind]

    return answer


# --- no text over text -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["two drivers", "four drivers", "tank alone", "no kit"])
def test_no_text_meets_another(kind: str, planned: Callable[[str], Answer]) -> None:
    """With drivers, tanks, or both, no text lies over text, over a load bar, or beyond the rim."""
    assert list(collisions(plan_view(planned(kind)))) == []


@pytest.mark.parametrize("apart", [0.0, 0.3, 1.0, 4.0, 30.0])
def test_names_of_states_never_meet(apart: float) -> None:
    """Twelve states a few tenths of a kilogram or many kilograms apart: names that do not fit give way."""
    cases = [
        state(
            f"{name}, {fuel}", (290.0 + n * apart, 300.0 - m * apart, 280.0 + m * apart, 292.4 - n * apart), legal=False
        )
        for n, name in enumerate(("Ada", "Bo", "Maximiliana-Theodora of the Otter Valley", "Dov"))
        for m, fuel in enumerate(("balance point", "start", "flag"))
    ]
    picture = plan_view(assembled(cases=cases))
    assert list(collisions(picture)) == []
    assert len(cases) == 12
    assert all(len(drawn(picture, f"enlarged-after-{number}")) == 1 for number in range(2, 13))


# --- which state is drawn --------------------------------------------------------------------------------------------


def test_the_head_says_which_state_is_drawn() -> None:
    """Four states, the first drawn: Ada at the balance point; whose kit is not drawn is on the sheet."""
    said = " ".join(words(plan_view(assembled())))
    assert "Drawn: Ada, balance point, one of 4 states." in said
    assert "The sheet says what the others carry." in said


def test_loads_are_those_of_the_first_state() -> None:
    """284 kg on LF before, 290 kg after with Ada at the balance point; Bo's 294 kg are nowhere."""
    said = words(plan_view(assembled()))
    assert "before 284.0 kg" in said
    assert "after 290.0 kg" in said
    assert not any("294" in text for text in said)


def test_the_total_is_that_of_the_state_that_asks_for_most() -> None:
    """Bo at the flag: 289 + 295 + 270 + 279.64 = 1133.64 kg against 1133.62 kg, told with the digits it takes."""
    said = " ".join(words(plan_view(assembled())))
    assert "Total required with Bo, flag: 1133.62 kg, reached 1133.64 kg." in said
    assert "before 1141.0 kg" not in said


def test_without_a_plan_the_car_is_drawn_as_it_stands_now() -> None:
    """By sums it carries 284 kg on LF with Ada; that is not what the pads said, so it is not called weighed."""
    picture = plan_view(assembled(found=False))
    said = words(picture)
    assert "now 284.0 kg" in said
    assert not any(text.startswith("weighed ") for text in said)
    assert "centre of gravity now" in said
    assert "Total required with Bo, flag: 1133.7 kg, possible 1120.0 kg, the mean of all states." in " ".join(said)
    assert "2 x 5 kg" in " ".join(said)
    assert not drawn(picture, "after")
    assert list(collisions(picture)) == []


# --- whose plates ----------------------------------------------------------------------------------------------------


def test_a_mount_that_changes_shows_the_first_drivers_plates_and_says_whose() -> None:
    """In the left seat box 2 x 5 kg stand now and Ada has 1 x 10 kg; Bo's 1 x 5 kg and 4 x 2 kg are not drawn."""
    picture = plan_view(assembled())
    said = words(picture)
    assert said.count("Ada's: 1 x 10 kg") == 1
    assert said.count("off: 2 x 5 kg") == 1
    assert said.count("on: 1 x 10 kg") == 1
    assert not any("4 x 2 kg" in text or "Bo's" in text for text in said)
    assert " ".join(said).count("changes with driver") == 2
    filled, bare = (drawn(picture, f"mount-{number}")[0] for number in (4, 5))
    assert isinstance(filled, Line2D)
    assert isinstance(bare, Line2D)
    assert filled.get_markerfacecolor() != bare.get_markerfacecolor()


def test_common_plates_are_drawn_as_ever() -> None:
    """On the floor 3 x 5 kg where one stood, in the boot 1 x 10 kg off, and no word of drivers at either."""
    said = words(plan_view(assembled()))
    assert said.count("3 x 5 kg") == 1
    assert said.count("on: 2 x 5 kg") == 1
    assert said.count("off: 1 x 10 kg") == 1


def test_a_long_drivers_name_is_shortened_in_the_label() -> None:
    """The owner's name gives way to the column, and the plates are still told."""
    long = "Maximiliana-Theodora of the Otter Valley"
    crew = ({"name": long, "mass": 61.0, "behind_front_axle": 1.5, "left_of_centre": -0.34},)
    picture = plan_view(plan(question(drivers=1, crew=crew, wishes=QUICK)))
    assert any("\N{HORIZONTAL ELLIPSIS}" in text and text.endswith("'s:") for text in words(picture))
    assert list(collisions(picture)) == []


# --- where the centre goes -------------------------------------------------------------------------------------------


def test_every_state_with_targets_has_its_mark() -> None:
    """Bo at the balance point: (280 + 288.4) / 1162.4 of 2.6 m behind the front axle; flags ask for no target."""
    picture = plan_view(assembled())
    total = 294.0 + 300.0 + 280.0 + 288.4
    aft = 2.6 * (280.0 + 288.4) / total
    left = ((294.0 - 300.0) * 1.6 + (280.0 - 288.4) * 1.58) / 2 / total
    assert place(picture, "enlarged-after-2") == pytest.approx((aft, left), abs=1e-9)
    assert not drawn(picture, "enlarged-after-3")
    said = " ".join(words(picture))
    assert "centre of gravity after, every driver and fuel state with targets" in said
    assert "Bo" in words(picture)


def test_all_states_fit_into_the_enlarged_view() -> None:
    """A state 100 mm away from the first makes the enlargement smaller instead of leaving the frame."""
    cases = [
        state("Ada, balance point", (290.0, 300.0, 280.0, 292.4), legal=False),
        state("Bo, balance point", (270.0, 280.0, 300.0, 312.4), legal=False),
    ]
    picture = plan_view(assembled(cases=cases))
    axes = picture.axes[1]
    for gid in ("enlarged-after", "enlarged-after-2"):
        aft, left = place(picture, gid)
        assert min(axes.get_ylim()) < aft < max(axes.get_ylim())
        assert min(axes.get_xlim()) < left < max(axes.get_xlim())


def test_a_state_outside_its_window_says_so() -> None:
    """Ada inside and Bo outside: each word stands with the state whose targets it is about."""

    def target(name: str, inside: bool) -> dict[str, Any]:
        return {
            "case": name, "figure": "left", "dimension": "percent", "by": "ballast", "aim": 0.5, "within": 0.004,
            "guard": 0.001, "before": 0.5, "after": 0.5, "miss_points": 0.0, "outside_points": 0.0, "inside": inside,
            "uncertainty": 0.0005, "chance": 0.9,
        }  # fmt: skip

    targets = [target("Ada, balance point", True), target("Bo, balance point", False)]
    said = words(plan_view(assembled(targets=targets)))
    assert "Bo, outside" in said
    assert "Ada" in said
    assert not any(text.startswith("after, ") for text in said)


def test_the_window_is_that_of_the_targets(planned: Callable[[str], Answer]) -> None:
    """Front 51.5 +/- 0.6 % is a centre of gravity 47.9 to 49.1 % of 2600 mm behind the front axle, whoever drives."""
    front, rear, _, _ = box(plan_view(planned("two drivers")), "enlarged-window-asked")
    assert (front, rear) == pytest.approx((0.479 * 2.6, 0.491 * 2.6), abs=1e-6)


def test_the_picture_is_the_same_bytes_twice(planned: Callable[[str], Answer]) -> None:
    """Drawn twice, a crew's plan is the same file."""
    first, second = (rendered(plan_view(planned("two drivers")), "svg") for _ in range(2))
    assert first == second


def test_a_tank_alone_needs_no_driver(planned: Callable[[str], Answer]) -> None:
    """Without drivers the states are points of the stint, and mounts that could change with a driver are plain."""
    said = " ".join(words(plan_view(planned("tank alone"))))
    assert "Drawn: balance point, one of 3 states." in said
    assert "Total required at the flag: " in said
    assert "changes with driver" not in said
    assert "The sheet says" not in said


# --- who and what is aboard ------------------------------------------------------------------------------------------


def test_driver_and_tank_are_where_the_car_file_says() -> None:
    """Ada sits 1.5 m behind the front axle and 0.34 m right; the tank is 2.35 m behind and 0.1 m left."""
    picture = plan_view(assembled())
    assert place(picture, "driver") == pytest.approx((1.5, -0.34), abs=1e-9)
    assert place(picture, "tank-1") == pytest.approx((2.35, 0.1), abs=1e-9)
    assert {"Ada", "61 kg", "driver", "tank"} <= set(words(picture))


def test_the_tank_says_what_is_in_it_in_the_state_that_is_drawn() -> None:
    """80 L at the start and 4 L at the flag are 42 L half way, at the balance point, which is drawn."""
    assert "42.0 L" in words(plan_view(assembled()))
