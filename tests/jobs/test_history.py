"""Several visits: known differences go by the levers, unknown ones are said, noise is not called a change."""

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.errors import InputError
from ballast.jobs.history import history
from ballast.records.car import Car
from ballast.records.files import as_json, read_visits
from ballast.records.history import FigureChange, History
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from ballast.records.weighing import WeighIn

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
UNITS = {"mass": "kg", "length": "m", "volume": "L"}
CORNERS = ("LF", "RF", "LR", "RR")
LOADS = np.array([276.0, 288.0, 242.0, 268.0])
WOBBLE = np.array([[0.2, -0.1, 0.1, -0.1], [-0.2, 0.3, -0.3, 0.2], [0.0, -0.2, 0.2, -0.1]])
"""Three settlings about a mean. [kg]"""


def car(**more: Any) -> Car:
    """A car of equal tracks 2.0 m apart by 1.5 m, half of its roll stiffness in front: levers by mental arithmetic."""
    return Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "Otter", "wheelbase": 2.0, "track_front": 1.5, "track_rear": 1.5},
            "suspension": {"front_roll_share": 0.5, "front_roll_share_within": 1e-6},
            "mounts": [
                {
                    "name": "nose",
                    "behind_front_axle": 0.0,
                    "left_of_centre": 0.0,
                    "capacity": 40.0,
                    "place_within": 0.0,
                },
                {
                    "name": "left",
                    "behind_front_axle": 1.0,
                    "left_of_centre": 0.375,
                    "capacity": 40.0,
                    "fixing_mass": 1.0,
                    "place_within": 0.0,
                },
            ],
            "plates": [{"name": "5 kg", "mass": 5.0, "count": 8}],
        }
        | more
    )


def visit(day: int, loads: Any = LOADS, of: Car | None = None, more: Any = None, **state: Any) -> Question:
    """A visit so many days after the first, three settlings about these loads."""
    rows = [dict(zip(CORNERS, map(float, np.asarray(loads) + row), strict=True)) for row in WOBBLE]
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 1) + timedelta(days=day), "driver": "in", "fuel": "full"} | state,
        "readings": rows,
    }
    return Question(car=of or car(), weigh_in=WeighIn.model_validate(weigh_in | (more or {})))


def changes(found: History, step: int = -1) -> dict[str, FigureChange]:
    """The figures of one step by name."""
    return {change.figure: change for change in found.steps[step].figures}


def fitted(mount: str, count: int) -> dict[str, Any]:
    """Plates of 5 kg on a mount."""
    return {"fitted": [{"mount": mount, "plate": "5 kg", "count": count}]}


def test_visits_are_put_in_order_of_their_days() -> None:
    """Whatever the order of the files; two of one day keep theirs and are numbered."""
    found = history([visit(20), visit(0), visit(20, LOADS + 1), visit(5)])
    assert [one.name for one in found.visits] == ["2026-03-01", "2026-03-06", "2026-03-21 (1)", "2026-03-21 (2)"]
    assert found.visits[-1].measured.total == pytest.approx(1078)


def test_plates_put_on_are_taken_out_by_the_levers() -> None:
    """10 kg and 1 kg of hardware midway between the axles, 375 mm left of 750 mm: 3/8 of it on each left wheel.

    Read is exactly that and 3 kg more on the left front wheel.
    """
    by_levers = 11 * np.array([3, 1, 3, 1]) / 8
    found = history([visit(0), visit(9, LOADS + by_levers + np.array([3, 0, 0, 0]), more=fitted("left", 2))])
    told = changes(found)
    assert told["total"].by_sums == pytest.approx(11)
    assert told["total"].left_over == pytest.approx(3)
    front = (276 + 288 + 44 / 8) / 1085
    assert told["front"].before + (told["front"].by_sums or 0) == pytest.approx(front)
    assert told["front"].left_over == pytest.approx((276 + 288 + 44 / 8 + 3) / 1088 - front)
    assert {change.told for change in told.values()} == {"changed"}
    assert [(one.what, one.mass) for one in found.steps[0].differences] == [
        ("2 x 5 kg, left", 10),
        ("hardware of left", 1),
    ]


def test_the_same_plates_taken_off_have_gone() -> None:
    """The same two visits the other way round: -11 kg, and nothing left over."""
    by_levers = 11 * np.array([3, 1, 3, 1]) / 8
    told = changes(history([visit(0, LOADS + by_levers, more=fitted("left", 2)), visit(9)]))
    assert told["total"].by_sums == pytest.approx(-11)
    assert {change.told for change in told.values()} == {"not told apart"}
    assert [change.left_over for change in told.values()] == pytest.approx([0] * 5, abs=1e-12)


def test_what_plates_may_be_off_widens_the_interval() -> None:
    """Four plates within 0.3 kg each: 4 x 0.3 / sqrt 3 is one standard uncertainty, twice that is added in squares."""
    plates = [{"name": "5 kg", "mass": 5.0, "count": 8, "mass_within": 0.3}]
    sure, unsure = (
        changes(
            history([visit(0, of=one), visit(9, LOADS + np.array([10, 10, 0, 0]), of=one, more=fitted("nose", 4))])
        )["total"]
        for one in (car(), car(plates=plates))
    )
    assert sure.within is not None and unsure.within is not None
    assert unsure.within**2 - sure.within**2 == pytest.approx((2 * 4 * 0.3 / np.sqrt(3)) ** 2)


def test_plates_moved_keep_the_total_certain() -> None:
    """A plate that only changed its mount is as heavy as it was: its error goes from the total."""
    plates = [{"name": "5 kg", "mass": 5.0, "count": 8, "mass_within": 0.3}]
    one = car(plates=plates)
    moved = changes(history([visit(0, of=one, more=fitted("nose", 2)), visit(9, of=one, more=fitted("left", 2))]))
    still = changes(history([visit(0, of=one), visit(9, of=one)]))
    assert moved["total"].within == pytest.approx(still["total"].within)


def test_another_driver_is_taken_out() -> None:
    """80 kg at the middle of the car for 70 kg: 10 kg, a quarter on each wheel."""
    seat = {"behind_front_axle": 1.0, "left_of_centre": 0.0}
    of = car(drivers=[{"name": name, "mass": mass} | seat for name, mass in (("Ann", 70.0), ("Bo", 80.0))])
    told = changes(history([visit(0, of=of, seated="Ann"), visit(9, LOADS + 2.5, of=of, seated="Bo")]))
    assert told["total"].by_sums == pytest.approx(10)
    assert {change.told for change in told.values()} == {"not told apart"}


def test_fuel_in_a_tank_is_taken_out_and_is_a_guess() -> None:
    """40 L of 0.75 kg at the rear axle: 30 kg there; litres and density widen the interval."""
    of = car(tanks=[{"name": "tank", "behind_front_axle": 2.0, "left_of_centre": 0.0, "volume": 60.0}])
    pair = [
        visit(day, loads, of=of, more={"fuel": [{"volume": litres}]}, fuel=None)
        for day, loads, litres in ((0, LOADS, 10.0), (9, LOADS + np.array([0, 0, 15, 15]), 50.0))
    ]
    told = changes(history(pair))
    assert told["total"].by_sums == pytest.approx(30)
    assert {change.told for change in told.values()} == {"not told apart"}
    same = changes(history([visit(0), visit(9)]))
    fuel = np.sqrt(2 * (0.5 * 0.75) ** 2 + (40 * 0.03) ** 2) / np.sqrt(3)
    assert (told["total"].within or 0) ** 2 - (same["total"].within or 0) ** 2 == pytest.approx((2 * fuel) ** 2)


def test_the_same_litres_twice_are_two_guesses() -> None:
    """30 L within 0.5 L at both visits: no mass between them, and yet 0.53 kg of doubt."""
    of = car(tanks=[{"name": "tank", "behind_front_axle": 2.0, "left_of_centre": 0.0, "volume": 60.0}])
    twice = [visit(day, of=of, more={"fuel": [{"volume": 30.0}]}, fuel=None) for day in (0, 9)]
    found = history(twice)
    assert found.steps[0].differences == ()
    same = changes(history([visit(0), visit(9)]))["total"].within or 0
    doubt = 2 * np.sqrt(2) * 0.5 * 0.75 / np.sqrt(3)
    assert changes(found)["total"].within == pytest.approx(np.hypot(same, doubt))


def test_fuel_that_nobody_can_weigh_is_not_compared() -> None:
    """Full, then drained, and no tank in the car file: nothing is compared, and it is said why."""
    found = history([visit(0), visit(9, LOADS - 5, fuel="drained")])
    assert {change.told for change in changes(found).values()} == {"not compared"}
    assert any("fuel: full, then drained" in remark and "[[tanks]]" in remark for remark in found.steps[0].not_known)
    assert found.trend_over == ()


def test_a_driver_without_a_place_leaves_the_total() -> None:
    """Seat empty, then 75 kg in it, and nobody knows where: the total is compared, and nothing else."""
    found = history([visit(0, driver="out", driver_mass=75.0), visit(9, LOADS + 18.75, driver_mass=75.0)])
    told = changes(found)
    assert told["total"].by_sums == pytest.approx(75)
    assert told["total"].told == "not told apart"
    assert {told[name].told for name in ("front", "left", "RF+LR", "LF+RR")} == {"not compared"}
    assert any("the place of driver is not known" in remark for remark in found.steps[0].not_known)


def test_spare_wheels_without_a_place_leave_the_total() -> None:
    """One spare of 18 kg more."""
    found = history([visit(0, spares=0), visit(9, LOADS + 4.5, spares=1, spare_mass=18.0)])
    assert changes(found)["total"].left_over == pytest.approx(0)
    assert changes(found)["left"].told == "not compared"


@pytest.mark.parametrize(("seat", "words"), [("out", "driver in, then out"), (None, "driver in, then not said")])
def test_a_driver_that_nobody_weighed_is_not_compared(seat: str | None, words: str) -> None:
    """Without a mass, or without a word on the seat, the two visits are of two cars."""
    found = history([visit(0), visit(9, LOADS - 19, driver=seat)])
    assert {change.told for change in changes(found).values()} == {"not compared"}
    assert any(words in remark for remark in found.steps[0].not_known)


def test_bars_in_another_state_leave_the_diagonal_out() -> None:
    """Total, front and left do not know of bars; the diagonal does, and pads that differ are not looked for."""
    found = history([visit(0, bars="disconnected"), visit(9, bars="connected")])
    told = {name: change.told for name, change in changes(found).items()}
    assert told == {"total": "not told apart", "front": "not told apart", "left": "not told apart"} | dict.fromkeys(
        ("RF+LR", "LF+RR"), "not compared"
    )


def test_success_ballast_without_a_rulebook_leaves_the_total() -> None:
    """15 kg of it at one visit: where it stood only the rulebook says."""
    pair = [visit(0), visit(9, LOADS + 3.75, success_ballast=15.0)]
    told = changes(history(pair))
    assert (told["total"].told, told["front"].told) == ("not told apart", "not compared")
    rule = {"mass": 15.0, "clause": "1", "source": "invented", "checked": "2026-03-01"}
    place = {"behind_front_axle": 1.0, "left_of_centre": 0.0}
    book = Rulebook.model_validate(
        {"units": UNITS, "rulebook": {"name": "Otter Cup"}, "success_ballast": rule | place},
    )
    told = changes(history([question.replace(rulebook=book) for question in pair]))
    assert {change.told for change in told.values()} == {"not told apart"}


def test_exchanged_pads_are_named() -> None:
    """Right front and left rear pads exchanged between two visits: the total is as it was, and the corners are not."""
    found = history([visit(0), visit(9, LOADS[[0, 2, 1, 3]])])
    assert found.steps[0].other_pads[0].exchanged == (("RF", "LR"),)
    assert history([visit(0), visit(9)]).steps[0].other_pads == ()


def test_a_pad_that_died_is_named() -> None:
    """The right rear pad reads a twentieth of what it did."""
    found = history([visit(0), visit(9, LOADS * [1, 1, 1, 0.05])])
    assert found.steps[0].other_pads[0].one_pad == "RR"
    assert found.steps[0].other_pads[0].gain == pytest.approx(0.05, abs=0.01)


def test_two_sets_of_pads_bring_their_errors() -> None:
    """Pads within 1 kg each at one visit and within 2 kg at the other: 4 of each by themselves, rectangular."""
    own = changes(history([visit(0), visit(9)]))["total"].within or 0
    found = history([visit(0, more={"pads": {"accuracy": 1.0}}), visit(9, more={"pads": {"accuracy": 2.0}})])
    other = np.sqrt(4 * (1 + 4) / 3)
    assert changes(found)["total"].within == pytest.approx(np.hypot(own, 2 * other))
    assert any("two sets" in remark for remark in found.steps[0].not_known)
    one_set = history([visit(0, more={"pads": {"accuracy": 1.0}}), visit(9, more={"pads": {"accuracy": 1.0}})])
    assert changes(one_set)["total"].within == pytest.approx(own)


def test_a_zero_reading_is_taken_off_at_its_visit() -> None:
    """Pads that showed 2 kg with nothing on them at the second visit, and 2 kg too much with the car."""
    zero = {"pads": {"zero": dict.fromkeys(CORNERS, 2.0)}}
    told = changes(history([visit(0), visit(9, LOADS + 2, more=zero)]))
    assert [change.left_over for change in told.values()] == pytest.approx([0] * 5, abs=1e-9)


def test_a_visit_turned_about_counts_as_two_sets() -> None:
    """Pads that read 1 kg more on the left: turned about they read it on the right, and the mean of both is the car.

    Each set scatters about its own mean: 2 degrees of freedom from the first visit, 2 and 2 from the second.
    """
    bias = np.array([0.5, -0.5, 0.5, -0.5])
    turned = [dict(zip(CORNERS, map(float, LOADS - bias + row), strict=True)) for row in WOBBLE]
    found = history([visit(0), visit(9, LOADS + bias, more={"turned": turned})])
    assert [change.left_over for change in changes(found).values()] == pytest.approx([0] * 5, abs=1e-9)
    assert (found.repeat.settlings, found.repeat.degrees_of_freedom) == (9, 6)
    assert found.visits[1].settlings == 6


def test_the_pooled_scatter_of_three_visits() -> None:
    """Every visit scatters alike here, so the pooled value is that of one, with six degrees of freedom."""
    found = history([visit(0), visit(9, LOADS + 1), visit(20)])
    assert found.repeat.degrees_of_freedom == 6
    assert found.repeat.factor == 2.45  # JCGM 100:2008, table G.2
    assert found.repeat.total == pytest.approx(np.std(WOBBLE.sum(axis=1), ddof=1))


def test_a_car_that_gains_weight_steadily_follows_a_line() -> None:
    """0.1 kg a day, over visits with and without plates: the line is that of the car in the newest state."""
    plates = 10 * np.array([1, 1, 0, 0]) / 2
    found = history(
        [
            visit(0, LOADS + plates, more=fitted("nose", 2)),
            visit(20, LOADS + 0.5),
            visit(40, LOADS + 1.0),
            visit(60, LOADS + plates + 1.5, more=fitted("nose", 2)),
        ]
    )
    (total,) = (trend for trend in found.trends if trend.figure == "total")
    assert total.per_day == pytest.approx(0.1)
    assert total.days == 60
    assert len(found.trend_over) == 4
    assert {trend.figure for trend in found.trends} == {"total"}


def test_a_diagonal_that_creeps_has_both_its_names() -> None:
    """0.5 kg of warp a week: RF+LR and LF+RR move by as much, opposite ways."""
    warp = np.array([1, -1, -1, 1])
    found = history([visit(day, LOADS + day / 14 * warp) for day in (0, 14, 28, 42)])
    rates = {trend.figure: trend.per_day for trend in found.trends}
    assert rates == pytest.approx({"RF+LR": -2 / 14 / 1074, "LF+RR": 2 / 14 / 1074})


def test_single_readings_are_assumed_and_the_same_visit_is_not_a_change() -> None:
    """One settling each: nothing shows the scatter, so it is assumed, and 0.4 kg is inside it."""
    once = [
        question.replace(weigh_in=question.weigh_in.replace(readings=question.weigh_in.readings[:1]))
        for question in (visit(0), visit(9, LOADS + 0.1))
    ]
    found = history(once)
    assert found.repeat.degrees_of_freedom == 0
    assert {change.told for change in changes(found).values()} == {"not told apart"}


def test_one_visit_is_no_history() -> None:
    """A script that hands over one is told so."""
    with pytest.raises(ValueError, match="two visits or more"):
        history([visit(0)])


def test_noise_alone_is_called_a_change_in_one_of_twenty() -> None:
    """100 histories of three visits to one car, plates put on and taken off: each figure is called in some 5 %."""
    dice, called, steps = np.random.default_rng(20261125), dict.fromkeys(("total", "front", "left", "RF+LR"), 0), 0
    by_levers = 11 * np.array([3, 1, 3, 1]) / 8
    for _ in range(100):
        visits = []
        for number in range(3):
            loads = LOADS + by_levers * (number % 2)
            noise = dice.normal(0, 0.2, (3, 4)) + np.outer(dice.normal(0, 0.6, 3), [1, -1, -1, 1])
            rows = [dict(zip(CORNERS, map(float, loads + row), strict=True)) for row in noise]
            visits.append(visit(9 * number, more=(fitted("left", 2) if number % 2 else {}) | {"readings": rows}))
        for step in history(visits).steps:
            steps += 1
            for change in step.figures:
                if change.figure in called:
                    called[change.figure] += change.told == "changed"
    assert steps == 200
    for name, times in called.items():
        assert 0.01 <= times / steps <= 0.09, name  # 5 %, and two and a half standard deviations of 200 throws


def test_the_example_finds_the_platform_and_nothing_else() -> None:
    """Invented with 10 kg of plates out of the boot and a platform a step up between February and March."""
    names = ("weigh-in.toml", "weigh-in-february.toml", "weigh-in-march.toml")
    found = history(read_visits(EXAMPLE / "car.toml", [EXAMPLE / name for name in names]))
    first, second = ({change.figure: change.told for change in step.figures} for step in found.steps)
    assert [name for name, told in first.items() if told == "changed"] == ["RF+LR", "LF+RR"]
    assert set(second.values()) == {"not told apart"}
    told = json.loads(as_json(found))
    assert told["steps"][0]["differences"][0]["what"] == "2 x 5 kg steel, boot floor right"
    assert told["steps"][0]["figures"][1]["before"] == pytest.approx(52.05, abs=0.005)


def test_complaints_of_all_files_come_together(tmp_path: Path) -> None:
    """A car file and two weigh-ins that are empty, and one named twice: every one of them is complained about."""
    for name in ("car.toml", "one.toml", "two.toml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_visits(tmp_path / "car.toml", [tmp_path / "one.toml", tmp_path / "two.toml", tmp_path / "two.toml"])
    assert {Path(one.file).name for one in caught.value.complaints} == {"car.toml", "one.toml", "two.toml"}
    assert "is named twice" in str(caught.value)


def test_an_old_visit_that_does_not_go_with_the_car_file_is_named(tmp_path: Path) -> None:
    """A mount that the car file no longer has: the complaint names the visit that speaks of it, once."""
    old = tmp_path / "old.toml"
    text = (EXAMPLE / "weigh-in-february.toml").read_text(encoding="utf-8")
    old.write_text(text.replace("boot floor right", "boot floor"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_visits(EXAMPLE / "car.toml", [EXAMPLE / "weigh-in.toml", old])
    (complaint,) = caught.value.complaints
    assert complaint.file == str(old)
    assert complaint.what == "this car has no such mount"
