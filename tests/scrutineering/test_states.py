"""The scrutineer's own lists of what is aboard, against sums worked out by hand (tests.planning.crews has them)."""

from typing import Any

import numpy as np
import pytest

from ballast.physics.compensation import Rounding, Way, compensation, exact
from ballast.records.question import Question
from ballast.records.rulebook import InState
from ballast.scrutineering.requirement import required_total
from ballast.scrutineering.states import apart, carried_by_rule, every_case, loads_in, on_top_of_minimum
from tests.planning import tiny
from tests.planning.crews import (
    A_KILOGRAM_OF_FUEL,
    ADA_SITS,
    BO,
    BO_SITS,
    FOURS,
    TANK,
    WEIGHED,
    book,
    changed,
    crew_question,
)
from tests.random_cars import RULED

AS_WEIGHED = {("seat", "four"): 2}
AT = {"behind_front_axle": 1.5, "left_of_centre": -0.25}
"""Where the tank is."""
POUND = 0.45359237


def rule(**state: Any) -> InState:
    """Any limit that holds in one state of the car."""
    return InState.model_validate(RULED | state)


def visit(**said: Any) -> dict[str, Any]:
    """A weigh-in that says this of itself."""
    return {"weigh_in": tiny.WEIGH_IN["weigh_in"] | {"driver": "in"} | said}


# --- every state -----------------------------------------------------------------------------------------------------


def test_every_state_there_is() -> None:
    """Two drivers at three points; without tanks each driver once; without either, the car as weighed."""
    names, points = ("Ada", "Bo"), ("start", "balance", "flag")
    assert every_case(crew_question()) == {(name, point) for name in names for point in points}
    dry = crew_question(car={"tanks": []}, weigh_in={"fuel": []})
    assert every_case(dry) == {("Ada", None), ("Bo", None)}
    assert every_case(tiny.question()) == {(None, None)}


def test_nothing_changed_is_as_weighed() -> None:
    """The plates of the weigh-in, nobody exchanged and the fuel of the weigh-in: the pads' own numbers."""
    assert loads_in(crew_question(), AS_WEIGHED, None, None) == pytest.approx(WEIGHED)
    assert loads_in(crew_question(), AS_WEIGHED, "Bo", None) == pytest.approx(WEIGHED)


@pytest.mark.parametrize(("driver", "sits"), [("Ada", ADA_SITS), ("Bo", BO_SITS)])
@pytest.mark.parametrize(("point", "litres"), [("start", 64.0), ("balance", 36.0), ("flag", 4.0)])
def test_loads_of_a_driver_at_a_point(driver: str, sits: Any, point: Any, litres: float) -> None:
    """Bo out and the driver in, and so many litres more or less than the 20 L of the weigh-in."""
    fuel = 0.75 * (litres - 20.0) * A_KILOGRAM_OF_FUEL
    found = loads_in(crew_question(), {}, driver, point)
    assert found == pytest.approx(WEIGHED - FOURS - BO_SITS + sits + fuel)


def test_a_driver_gets_into_an_empty_car() -> None:
    """Weighed with the seat empty: Ada and nothing else comes aboard."""
    question = crew_question(weigh_in=visit(driver="out"))
    assert loads_in(question, AS_WEIGHED, "Ada", None) == pytest.approx(WEIGHED + ADA_SITS)


def test_a_substitute_gets_out() -> None:
    """40 kg midway and in the middle: ten on every corner."""
    stood_in = {"substitute": {"mass": 40.0, "behind_front_axle": 1.0, "left_of_centre": 0.0}}
    question = crew_question(weigh_in=visit() | stood_in)
    assert loads_in(question, AS_WEIGHED, "Ada", None) == pytest.approx(WEIGHED - 10.0 + ADA_SITS)


@pytest.mark.parametrize(
    ("said", "litres"),
    [({}, 8.0), ({"at_start": 50.0}, 8.0), ({"at_balance": 8.0, "at_flag": 4.0, "sample": 5.0}, 0.0)],
)
def test_the_tank_at_the_flag(said: dict[str, float], litres: float) -> None:
    """8 L less no sample, whatever was in it at the start; a sample takes no more than there is."""
    question = crew_question(car={"tanks": [TANK | {"sample": 0.0} | said]})
    found = loads_in(question, AS_WEIGHED, "Bo", "flag")
    assert found == pytest.approx(WEIGHED + 0.75 * (litres - 20.0) * A_KILOGRAM_OF_FUEL)


def test_parts_put_on_taken_off_and_moved() -> None:
    """3 kg at the right rear wheel; 4 kg off at the tank; 8 kg half a metre left: 3 across in front, 1 behind."""
    on, off = [{"name": "hub", "mass": 3.0, "carried_by": "RR"}], [{"name": "battery", "mass": 4.0} | AT]
    start, end = {"behind_front_axle": 1.0, "left_of_centre": -0.25}, {"behind_front_axle": 1.0, "left_of_centre": 0.25}
    moved = [{"name": "box", "mass": 8.0, "from": start, "to": end}]
    question = crew_question(changed=changed(added=on, removed=off, moved=moved))
    found = loads_in(question, AS_WEIGHED, None, None)
    assert found - WEIGHED == pytest.approx(-4 * A_KILOGRAM_OF_FUEL + [3.0, -3.0, 1.0, 3.0 - 1.0])


def test_a_wheels_own_part_may_be_taken_off_too() -> None:
    """2 kg off the left front wheel are 2 kg less on its pad, and no other pad hears of it."""
    off = [{"name": "brake", "mass": 2.0, "carried_by": "LF"}]
    found = loads_in(crew_question(changed=changed(removed=off)), AS_WEIGHED, None, None)
    assert found - WEIGHED == pytest.approx([-2.0, 0.0, 0.0, 0.0])


def test_ballast_by_rule_stands_at_its_place() -> None:
    """At the tank: 10 kg of success ballast less the 4 aboard; 82 less the driver's mass, less the 3 kg aboard."""
    light = RULED | {"way": "each driver", "reference": 82.0, "rounding": "none", "on_top": True} | AT
    rulebook = book(success_ballast=RULED | {"mass": 10.0} | AT, driver_ballast=light)
    question = crew_question(weigh_in=visit(seated="Bo", success_ballast=4.0, driver_ballast=3.0), rulebook=rulebook)
    ada, bo = (loads_in(question, AS_WEIGHED, name, None) for name in ("Ada", "Bo"))
    assert bo == pytest.approx(WEIGHED + (6.0 - 1.0) * A_KILOGRAM_OF_FUEL)
    assert ada == pytest.approx(WEIGHED - BO_SITS + ADA_SITS + (6.0 + 15.0) * A_KILOGRAM_OF_FUEL)
    assert on_top_of_minimum(question, "Ada") == pytest.approx(10.0 + 18.0)
    assert on_top_of_minimum(question, None) == pytest.approx(10.0)


# --- driver ballast --------------------------------------------------------------------------------------------------


def crew_under(masses: tuple[float, ...], *, unit: float = 1.0, units: str = "kg", **ballast: Any) -> Question:
    """Drivers A, B, ... of these masses and a rule about them, in one unit."""
    drivers = [BO | {"name": name, "mass": mass * unit} for name, mass in zip("ABCD", masses, strict=False)]
    rulebook = book(driver_ballast=RULED | {"on_top": False} | ballast)
    rulebook["units"] = rulebook["units"] | {"mass": units}
    car = {"drivers": drivers, "units": tiny.CAR["units"] | {"mass": units}}
    return crew_question(car=car, weigh_in=visit(driver="out"), rulebook=rulebook)


def test_driver_ballast_of_the_crew_in_the_reports() -> None:
    """FIA WEC 2025 (REF-E6): 77.8, 80.2 and 82.9 kg against 82 carry 2 kg each; alone they carry 5, 2 and 0."""
    for way, expected in (("crew mean", [2.0, 2.0, 2.0]), ("each driver", [5.0, 2.0, 0.0])):
        question = crew_under((77.8, 80.2, 82.9), way=way, reference=82.0, rounding="up", step=1.0)
        assert [carried_by_rule(question, name) for name in "ABC"] == expected
        assert carried_by_rule(question, None) == 0.0


@pytest.mark.parametrize(("units", "unit"), [("kg", 1.0), ("lb", POUND)])
def test_a_whole_mean_is_not_rounded_up(units: str, unit: float) -> None:
    """78.1, 78.3 and 80.6 against 82, by hand: the mean is 79 and 3 are carried, in kilograms or in pounds."""
    asked = {"way": "crew mean", "reference": 82.0 * unit, "rounding": "up", "step": unit}
    question = crew_under((78.1, 78.3, 80.6), units=units, unit=unit, **asked)
    assert carried_by_rule(question, "A") == pytest.approx(3 * unit, rel=1e-12)


@pytest.mark.parametrize(
    ("asked", "carried"),
    [
        ({"way": "team total", "reference": 240.0, "rounding": "none"}, 240 - 150.5),
        ({"way": "team total", "reference": 240.0, "rounding": "none", "counted": 3}, 240 - 150.5 - 70.2),
        ({"way": "crew mean", "reference": 80.0, "rounding": "down", "step": 2.5}, 2.5),
        ({"way": "crew mean", "reference": 80.0, "rounding": "up", "step": 2.5}, 5.0),
        ({"way": "crew mean", "reference": 80.0, "rounding": "nearest", "step": 0.5}, 5.0),
        ({"way": "crew mean", "reference": 76.5, "rounding": "nearest", "step": 2.5}, 2.5),
        ({"way": "crew mean", "reference": 70.0, "rounding": "up", "step": 1.0}, 0.0),
    ],
)
def test_each_way_and_rounding_by_hand(asked: dict[str, Any], carried: float) -> None:
    """70.2 and 80.3 kg: 150.5 together, 75.25 in the mean: 4.75 short of 80, half a step short of 76.5, over 70."""
    assert carried_by_rule(crew_under((70.2, 80.3), **asked), "A") == pytest.approx(carried, abs=1e-12)


@pytest.mark.parametrize("seed", range(60))
def test_two_routes_to_driver_ballast_agree(seed: int) -> None:
    """The scrutineer's decimals and the fractions of the physics give the same, for crews with one decimal."""
    rng = np.random.default_rng(seed)
    masses = tuple(round(float(mass), 1) for mass in rng.uniform(65, 95, int(rng.integers(1, 4))))
    ways: tuple[Way, ...] = ("each driver", "crew mean", "team total")
    roundings: tuple[Rounding, ...] = ("up", "nearest", "down", "none")
    way, rounding = ways[rng.integers(3)], roundings[rng.integers(4)]
    reference = 240.0 if way == "team total" else 82.0
    counted = 3 if way == "team total" else None
    step = float(rng.choice([0.1, 0.5, 1.0, 2.5]))
    expected = compensation([exact(mass) for mass in masses], exact(reference), way, exact(step), rounding, counted)
    asked: dict[str, Any] = {"way": way, "reference": reference, "rounding": rounding, "counted": counted}
    question = crew_under(masses, step=None if rounding == "none" else step, **asked)
    found = [carried_by_rule(question, name) for name, _ in zip("ABC", masses, strict=False)]
    assert found == pytest.approx([float(mass) for mass in expected], abs=1e-12)


# --- the state of a rule ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "more", "loads"),
    [
        ({"driver": "in"}, 0.0, np.zeros(4)),
        ({"driver": "in", "fuel": "as it finishes"}, 0.0, np.zeros(4)),
        ({"driver": "in", "fuel": "drained"}, 3.0, 3 * A_KILOGRAM_OF_FUEL),
        ({"driver": "in", "fuel": "full"}, -45.0, -45 * A_KILOGRAM_OF_FUEL),
        ({"driver": "out"}, 68.0, ADA_SITS),
        ({"driver": "out", "fuel": "drained"}, 71.0, ADA_SITS + 3 * A_KILOGRAM_OF_FUEL),
    ],
)
def test_what_ada_at_the_flag_has_more_than_a_rule(state: dict[str, Any], more: float, loads: Any) -> None:
    """64 kg and 4 kg of insert, 4 L left or 60 L less than full: the mass, and what it puts on the corners."""
    found = apart(crew_question(), "Ada", "flag", rule(**state))
    assert not isinstance(found, str)
    assert found[0] == pytest.approx(more)
    assert found[2] == pytest.approx(loads)


def test_how_sure_the_rules_state_is() -> None:
    """Of what the rule's state differs from the weigh-in by: Bo gone, Ada come, 20 L burnt and none left.

    Rectangular (JCGM 100:2008, 4.3.7): 0.75 and 1.5 kg, 0.25 L at 0.75 kg, and 20 L at 0.03 kg. Bo for Bo is no change.
    """
    fuel = (0.25 * 0.75) ** 2 + (20 * 0.03) ** 2
    for driver, seat, squares in (
        ("Ada", "in", 0.75**2 + 1.5**2 + fuel),
        ("Ada", "out", 0.75**2 + fuel),
        ("Bo", "in", fuel),
        ("Bo", "out", 0.75**2 + fuel),
    ):
        found = apart(crew_question(), driver, "flag", rule(driver=seat, fuel="drained"))
        assert not isinstance(found, str)
        assert found[1] == pytest.approx((squares / 3) ** 0.5), (driver, seat)


def test_spare_wheels_have_a_mass_and_no_place() -> None:
    """Two wheels of 9 kg aboard and none in the rule: 18 kg more, on no corner that is known."""
    question = crew_question(weigh_in=visit(seated="Bo", spares=2, spare_mass=9.0))
    found = apart(question, "Ada", "flag", rule(driver="in", spares=0))
    assert not isinstance(found, str)
    assert (found[0], found[2]) == (18.0, None)


@pytest.mark.parametrize(
    ("seen", "ruled", "word"),
    [
        ({"driver": "in"}, {"driver": "out"}, "driver"),
        ({"driver": "out"}, {"driver": "in"}, "driver"),
        ({"driver": "in"}, {"driver": "in", "fuel": "drained"}, "fuel"),
        ({"driver": "in", "fuel": "full"}, {"driver": "in", "fuel": "drained"}, "fuel"),
        ({"driver": "in"}, {"driver": "in", "spares": 0}, "spare"),
        ({"driver": "in", "spares": 1}, {"driver": "in", "spares": 0}, "spare"),
    ],
)
def test_what_is_not_known_is_told(seen: dict[str, Any], ruled: dict[str, Any], word: str) -> None:
    """Without drivers and tanks in the car file: the reason, and no number."""
    weigh_in = tiny.WEIGH_IN | {"weigh_in": tiny.WEIGH_IN["weigh_in"] | seen}
    question = Question.model_validate({"car": tiny.CAR, "weigh_in": weigh_in})
    found = apart(question, None, None, rule(**ruled))
    assert isinstance(found, str)
    assert word in found


def test_a_substitute_without_drivers_can_be_taken_off() -> None:
    """75 kg stood in, at a known place, and the rule weighs the car alone: 75 kg less, and off known corners.

    By hand, midway and in the middle: 18.75 kg on every corner.
    """
    stood_in = {"substitute": {"mass": 75.0, "behind_front_axle": 1.0, "left_of_centre": 0.0}}
    question = Question.model_validate({"car": tiny.CAR, "weigh_in": tiny.WEIGH_IN | visit() | stood_in})
    found = apart(question, None, None, rule(driver="out"))
    assert not isinstance(found, str)
    assert found[0] == pytest.approx(75.0)
    assert found[2] == pytest.approx([18.75] * 4)


# --- the required total ----------------------------------------------------------------------------------------------


def test_the_required_total_of_each_driver_by_hand() -> None:
    """700 kg drained and with the driver out, 10 kg of success ballast on top, 2 kg kept: Ada at the flag and Bo.

    By hand: Ada 68 and 3 kg of fuel aboard: 700 + 71 + 10 + 2 = 783; Bo 80 and 3: 795.
    """
    rulebook = book(
        minimum_weight=RULED | {"mass": 700.0, "driver": "out", "fuel": "drained"},
        success_ballast=RULED | {"mass": 10.0},
    )
    question = crew_question(car={"margin": {"total": 2.0, "uncertainties": 0.0}}, rulebook=rulebook)
    assert required_total(question, "Ada", "flag", 0.0) == pytest.approx(783.0)
    assert required_total(question, "Bo", "flag", 0.0) == pytest.approx(795.0)


def test_without_a_minimum_the_car_keeps_its_total() -> None:
    """Neither minimum nor a total aimed at: what it weighs in that state with the plates of the weigh-in."""
    question = crew_question(car={"targets": {}})
    assert required_total(question, "Ada", "flag", 768.0) == 768.0
