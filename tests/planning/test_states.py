"""What is aboard in each state of the car, against sums worked out by hand (tests.planning.crews has the hand sums)."""

from typing import Any

import numpy as np
import pytest

from ballast.physics.stance import by_roll_share
from ballast.physics.statics import contact_patches
from ballast.planning.states import (
    Piece,
    State,
    apart,
    ballast_for,
    changed_parts,
    crew_state,
    driver_ballast,
    loads_of,
    mass_of,
    mass_off,
    on_top,
    prescribed,
    ruled_state,
    share_of,
    spread_of,
    weighed_state,
)
from ballast.records.question import Question
from ballast.records.rulebook import InState
from tests.planning import tiny
from tests.planning.crews import (
    A_KILOGRAM_OF_FUEL,
    ADA_SITS,
    BO,
    BO_SITS,
    TANK,
    book,
    changed,
    crew_question,
)
from tests.random_cars import RULED

PATCHES = contact_patches(2.0, 1.0, 1.0)
STANCE = by_roll_share(PATCHES, 0.75)
ROOT_3 = 3**0.5
POUND = 0.45359237


def rule(**state: Any) -> InState:
    """Any limit that holds in one state of the car."""
    return InState.model_validate(RULED | state)


def ada_at_the_flag(question: Question) -> State:
    """Ada, with 4 L left."""
    return crew_state(question, question.car.drivers[0], "flag")


def put_on(pieces: tuple[Piece, ...] | None) -> Any:
    """Corner loads of some pieces on the tiny car. [kg]"""
    assert pieces is not None
    return loads_of(STANCE, pieces)


# --- the weigh-in and the stint --------------------------------------------------------------------------------------


def test_the_weighed_state() -> None:
    """Bo and 20 L known to a quarter of one."""
    state = weighed_state(crew_question())
    assert state.seat == "in"
    assert state.sitting is not None
    assert [(piece.name, piece.mass, piece.place) for piece in state.sitting] == [("Bo", 80.0, (1.0, 0.25))]
    assert state.volumes == {"tank": (20.0, 0.25, "weigh-in")}


def test_a_driver_with_legs_and_an_insert() -> None:
    """Ada's 64 kg and 4 kg of insert are 60 kg in the seat and 8 kg at the pedals; together they press as by hand."""
    question = crew_question()
    state = crew_state(question, question.car.drivers[0], "start")
    assert state.sitting is not None
    assert [(piece.mass, piece.place) for piece in state.sitting] == [(60.0, (1.0, 0.25)), (8.0, (0.0, 0.25))]
    assert put_on(state.sitting) == pytest.approx(ADA_SITS)


@pytest.mark.parametrize(("point", "litres", "within"), [("start", 64, 0), ("balance", 36, 0), ("flag", 4, 0.5)])
def test_the_tank_over_the_stint(point: Any, litres: float, within: float) -> None:
    """Full, half way from 64 L to the 8 L of the flag, and at the flag those 8 L less 4 L of sample."""
    question = crew_question()
    assert crew_state(question, question.car.drivers[1], point).volumes == {"tank": (litres, within, point)}


def test_what_is_said_of_the_tank_counts() -> None:
    """A start and a balance point that are written down are not worked out; a sample never leaves less than nothing."""
    tank = TANK | {"at_start": 50.0, "at_balance": 30.0, "sample": 9.0}
    question = crew_question(car={"tanks": [tank]})
    found = [crew_state(question, None, point).volumes["tank"][0] for point in ("start", "balance", "flag")]
    assert found == [50.0, 30.0, 0.0]


@pytest.mark.parametrize(("word", "litres"), [("full", (64, 0)), ("drained", (0, 0)), ("as it finishes", (4, 0.5))])
def test_a_tank_in_a_word(word: str, litres: tuple[float, float]) -> None:
    """The weigh-in may say it in a word."""
    visit = tiny.WEIGH_IN["weigh_in"] | {"driver": "in", "seated": "Bo", "fuel": word}
    question = crew_question(weigh_in={"weigh_in": visit, "fuel": []})
    assert weighed_state(question).volumes["tank"][:2] == litres


def test_from_the_weigh_in_to_the_flag() -> None:
    """Bo out, Ada in, 16 L burnt: -80 + 68 - 12 kg, and the corners by hand."""
    question = crew_question()
    pieces = apart(question, weighed_state(question), ada_at_the_flag(question))
    assert pieces is not None
    assert [(piece.name, piece.mass) for piece in pieces] == [
        ("Bo", -80.0),
        ("Ada", 60.0),
        ("Ada", 8.0),
        ("fuel in tank", -12.0),
    ]
    assert mass_of(pieces) == -24.0
    assert put_on(pieces) == pytest.approx(ADA_SITS - BO_SITS - 12 * A_KILOGRAM_OF_FUEL)
    assert put_on(pieces) == pytest.approx([-3.25 + 0.75, 1.25 - 3.75, -5.75 - 3.75, -4.25 - 5.25])


def test_the_other_way_round_has_the_opposite_signs() -> None:
    """What one state has more, the other has less."""
    question = crew_question()
    here, there = weighed_state(question), ada_at_the_flag(question)
    assert put_on(apart(question, there, here)) == pytest.approx(-put_on(apart(question, here, there)))


def test_a_state_is_not_apart_from_itself() -> None:
    """Nothing is put on, so nothing adds to the uncertainty, however badly the driver's mass is known."""
    question = crew_question()
    for state in (weighed_state(question), ada_at_the_flag(question)):
        assert apart(question, state, state) == ()


def test_how_sure_a_change_of_state_is() -> None:
    """Rectangular: 1.5 and 0.75 kg of the drivers; 0.25 and 0.5 L at 0.75 kg each, and 16 L at 0.03 kg.

    JCGM 100:2008, 4.3.7 and eq. 10.
    """
    question = crew_question()
    pieces = apart(question, weighed_state(question), ada_at_the_flag(question))
    assert pieces is not None
    parts = (1.5, 0.75, 0.25 * 0.75, 0.5 * 0.75, 16 * 0.03)
    assert mass_off(pieces) == pytest.approx((sum(part**2 for part in parts) / 3) ** 0.5)


def test_a_substitute_stood_in() -> None:
    """80 kg where Bo sits, standing in for a driver, weigh what Bo weighs; his own mass is known otherwise."""
    visit = tiny.WEIGH_IN["weigh_in"] | {"driver": "in"}
    stood_in = {"mass": 80.0, "behind_front_axle": 1.0, "left_of_centre": 0.25, "mass_within": 0.1}
    question = crew_question(weigh_in={"weigh_in": visit, "substitute": stood_in})
    state = weighed_state(question)
    assert put_on(state.sitting) == pytest.approx(BO_SITS)
    bo = crew_state(question, question.car.drivers[1], None)
    pieces = apart(question, state, bo)
    assert pieces is not None
    assert put_on(pieces) == pytest.approx([0.0] * 4)
    assert mass_off(pieces) == pytest.approx(np.hypot(0.1, 0.75) / ROOT_3)


def test_the_only_driver_need_not_be_named() -> None:
    """One driver and the seat taken: that driver sat there. With the seat empty, nobody."""
    for seat, expected in (("in", BO_SITS), ("out", np.zeros(4))):
        visit = tiny.WEIGH_IN["weigh_in"] | {"driver": seat}
        question = crew_question(car={"drivers": [BO]}, weigh_in={"weigh_in": visit})
        assert put_on(weighed_state(question).sitting) == pytest.approx(expected)


# --- the state of a rule ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "mass"),
    [
        ({"driver": "in"}, 0.0),
        ({"driver": "in", "fuel": "as it finishes"}, 0.0),
        ({"driver": "in", "fuel": "drained"}, 4 * 0.75),
        ({"driver": "in", "fuel": "full"}, -60 * 0.75),
        ({"driver": "out"}, 68.0),
        ({"driver": "out", "fuel": "drained"}, 68.0 + 4 * 0.75),
    ],
)
def test_what_ada_at_the_flag_has_more_than_a_rule(state: dict[str, Any], mass: float) -> None:
    """64 kg and 4 kg of insert where the rule has the driver out; 4 L, or 60 L less than full."""
    question = crew_question()
    case = ada_at_the_flag(question)
    found = apart(question, ruled_state(question, rule(**state), case), case)
    assert found is not None
    assert mass_of(found) == pytest.approx(mass)


def test_spare_wheels_have_a_mass_and_no_place() -> None:
    """Two wheels of 9 kg aboard, and the rule has none: 18 kg, and nobody knows on which corners."""
    visit = tiny.WEIGH_IN["weigh_in"] | {"driver": "in", "seated": "Bo", "spares": 2, "spare_mass": 9.0}
    question = crew_question(weigh_in={"weigh_in": visit})
    case = ada_at_the_flag(question)
    found = apart(question, ruled_state(question, rule(driver="in", spares=0), case), case)
    assert found is not None
    assert mass_of(found) == 18.0
    assert loads_of(STANCE, found) is None
    assert apart(question, ruled_state(question, rule(driver="in", spares=2), case), case) == ()


def test_a_driver_of_known_mass_and_unknown_place() -> None:
    """Without drivers in the car file, the weigh-in's 75 kg can be taken off the total and off no corner."""
    visit = tiny.WEIGH_IN["weigh_in"] | {"driver": "in", "driver_mass": 75.0}
    question = Question.model_validate({"car": tiny.CAR, "weigh_in": tiny.WEIGH_IN | {"weigh_in": visit}})
    case = crew_state(question, None, None)
    found = apart(question, ruled_state(question, rule(driver="out"), case), case)
    assert found is not None
    assert mass_of(found) == 75.0
    assert loads_of(STANCE, found) is None


UNKNOWN: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "the seat": ({}, {"driver": "in"}),
    "the driver's mass": ({"driver": "in"}, {"driver": "out"}),
    "a driver not aboard": ({"driver": "out"}, {"driver": "in"}),
    "the fuel": ({"driver": "in"}, {"driver": "in", "fuel": "drained"}),
    "fuel in another word": ({"driver": "in", "fuel": "full"}, {"driver": "in", "fuel": "drained"}),
    "how many spares": ({"driver": "in"}, {"driver": "in", "spares": 0}),
    "what a spare weighs": ({"driver": "in", "spares": 1}, {"driver": "in", "spares": 0}),
}


@pytest.mark.parametrize("what", UNKNOWN)
def test_what_is_not_known_is_none(what: str) -> None:
    """Without drivers and tanks in the car file: no number is made up for what nobody wrote down."""
    seen, ruled = UNKNOWN[what]
    weigh_in = tiny.WEIGH_IN | {"weigh_in": tiny.WEIGH_IN["weigh_in"] | seen}
    question = Question.model_validate({"car": tiny.CAR, "weigh_in": weigh_in})
    case = crew_state(question, None, None)
    assert apart(question, ruled_state(question, rule(**ruled), case), case) is None


# --- corners and their uncertainty -----------------------------------------------------------------------------------


def test_a_wheel_carries_its_own_part() -> None:
    """3 kg of brake at the right rear stand there; a part without a place stands nowhere."""
    assert put_on((Piece("brake", 3.0, None, carried_by="RR"),)) == pytest.approx([0.0, 0.0, 0.0, 3.0])
    assert share_of(STANCE, Piece("a part", 3.0, None)) is None
    assert loads_of(STANCE, (Piece("brake", 3.0, None, carried_by="RR"), Piece("a part", 1.0, None))) is None


def test_the_spread_of_a_piece_by_hand() -> None:
    """8 kg midway, known to 1 kg and to 0.1 m either way.

    By hand: a quarter of the mass on each corner; a metre aft moves a quarter of a kilogram for each; a metre left
    moves 3/4 in front and 1/4 behind. What the place is off moves loads and adds none: the total is known to 1 kg.
    """
    piece = Piece("a part", 8.0, (1.0, 0.0), mass_off=1.0, place_off=0.1)
    aft, left = 0.8 * np.array([-0.25, -0.25, 0.25, 0.25]), 0.8 * np.array([0.75, -0.75, 0.25, -0.25])
    expected = np.full((4, 4), 1 / 16) + np.outer(aft, aft) + np.outer(left, left)
    assert spread_of(STANCE, (piece,)) == pytest.approx(expected)
    assert spread_of(STANCE, (piece, piece)) == pytest.approx(2 * expected)
    assert spread_of(STANCE, (piece.gone(),)) == pytest.approx(expected)


def test_the_spread_of_what_a_wheel_carries() -> None:
    """Its mass may be off, and where it is on the wheel is no matter."""
    piece = Piece("brake", 3.0, None, mass_off=0.2, place_off=0.1, carried_by="LF")
    assert spread_of(STANCE, (piece,)) == pytest.approx(np.diag([0.04, 0.0, 0.0, 0.0]))


# --- ballast by rule -------------------------------------------------------------------------------------------------


def crew_under(masses: tuple[float, ...], *, unit: float = 1.0, units: str = "kg", **ballast: Any) -> Question:
    """Drivers of these masses, and a rule on driver ballast: 82 of the unit, up to the next whole one. In one unit."""
    drivers = [BO | {"name": f"driver {number}", "mass": mass * unit} for number, mass in enumerate(masses)]
    given = RULED | {"way": "crew mean", "reference": 82 * unit, "rounding": "up", "step": unit, "on_top": True}
    rulebook = book(driver_ballast=given | ballast)
    rulebook["units"] = rulebook["units"] | {"mass": units}
    weigh_in = {"weigh_in": tiny.WEIGH_IN["weigh_in"] | {"driver": "out"}}
    car = {"drivers": drivers, "units": tiny.CAR["units"] | {"mass": units}}
    return crew_question(car=car, weigh_in=weigh_in, rulebook=rulebook)


def test_driver_ballast_of_the_crew_in_the_reports() -> None:
    """FIA WEC 2025 (REF-E6): 77.8, 80.2 and 82.9 kg against 82 carry 2 kg each; alone they carry 5, 2 and 0."""
    crew = (77.8, 80.2, 82.9)
    assert driver_ballast(crew_under(crew)) == (2.0, 2.0, 2.0)
    assert driver_ballast(crew_under(crew, way="each driver")) == (5.0, 2.0, 0.0)


@pytest.mark.parametrize(("units", "unit"), [("kg", 1.0), ("lb", POUND)])
def test_a_whole_mean_is_not_rounded_up(units: str, unit: float) -> None:
    """78.1, 78.3 and 80.6 have a mean of 79, in whatever unit they were typed, and binary numbers say a hair less."""
    found = driver_ballast(crew_under((78.1, 78.3, 80.6), units=units, unit=unit))
    assert found == pytest.approx([3 * unit] * 3, rel=1e-12)


def test_driver_ballast_is_for_drivers_under_a_rule() -> None:
    """No rule or no driver named: none. And each driver has the own one."""
    assert driver_ballast(crew_question()) == ()
    question = crew_under((77.8, 80.2, 82.9), way="each driver")
    assert [ballast_for(question, driver) for driver in question.car.drivers] == [5.0, 2.0, 0.0]
    assert ballast_for(question, None) == 0.0
    assert driver_ballast(question.replace(car=question.car.replace(drivers=()))) == ()


AT = {"behind_front_axle": 1.5, "left_of_centre": -0.25}
"""Where the tank of the tiny crew car is."""


def test_prescribed_ballast_less_what_was_aboard() -> None:
    """10 kg of success ballast of which 4 were aboard, and for Ada, 18 kg short of 82, 18 kg less 3: 21 kg there."""
    rules = {
        "success_ballast": RULED | {"mass": 10.0} | AT,
        "driver_ballast": RULED | {"way": "each driver", "reference": 82.0, "rounding": "none", "on_top": True} | AT,
    }
    visit = tiny.WEIGH_IN["weigh_in"] | {"driver": "in", "seated": "Bo", "success_ballast": 4.0, "driver_ballast": 3.0}
    question = crew_question(weigh_in={"weigh_in": visit}, rulebook=book(**rules))
    ada, bo = question.car.drivers
    assert [(piece.name, piece.mass) for piece in prescribed(question, ada)] == [
        ("success ballast", 6.0),
        ("driver ballast", 15.0),
    ]
    assert [piece.mass for piece in prescribed(question, bo)] == [6.0, -1.0]
    assert put_on(prescribed(question, ada)) == pytest.approx(21 * A_KILOGRAM_OF_FUEL)


def test_free_ballast_is_not_prescribed() -> None:
    """Without a place, plates of the box carry it; the minimum rises all the same, unless the rule says no."""
    light = {"way": "each driver", "reference": 82.0, "rounding": "none"}
    for top in (True, False):
        rules = {
            "success_ballast": RULED | {"mass": 10.0, "on_top": top},
            "driver_ballast": RULED | light | {"on_top": top},
        }
        question = crew_question(rulebook=book(**rules))
        ada, _ = question.car.drivers
        assert prescribed(question, ada) == ()
        rises = [(piece.name, piece.mass) for piece in on_top(question, ada)]
        assert rises == ([("success ballast", 10.0), ("driver ballast", 18.0)] if top else [])


# --- changed parts ---------------------------------------------------------------------------------------------------


def test_changed_parts_by_hand() -> None:
    """A battery off where the tank is, a hub on at the left front, and 8 kg moved half a metre to the left.

    By hand: -4 of a kilogram at the tank; 2 on LF; 8 x 0.5 x 3/4 = 3 across in front, 8 x 0.5 x 1/4 = 1 behind.
    """
    off = [{"name": "battery", "mass": 4.0, "mass_within": 0.3, "place_within": 0.06} | AT]
    on = [{"name": "hub", "mass": 2.0, "carried_by": "LF"}]
    start, end = {"behind_front_axle": 1.0, "left_of_centre": -0.25}, {"behind_front_axle": 1.0, "left_of_centre": 0.25}
    moved = [{"name": "box", "mass": 8.0, "from": start, "to": end, "place_within": 0.03}]
    question = crew_question(changed=changed(removed=off, added=on, moved=moved))
    pieces = changed_parts(question)
    assert put_on(pieces) == pytest.approx(-4 * A_KILOGRAM_OF_FUEL + [2 + 3, -3, 1, -1])
    assert mass_of(pieces) == pytest.approx(-2.0)
    assert mass_off(pieces) == pytest.approx(0.3 / ROOT_3)  # what is moved changes no total, however badly it is known
    battery, hub, *_ = pieces
    assert battery.place_off == pytest.approx(0.06 / ROOT_3)
    assert hub.carried_by == "LF"
    # The move is known to 0.03 m either way, rectangular: 8 kg times that is the spread of the moment about the axle.
    spread = spread_of(STANCE, pieces[2:])
    levers = np.array([0.0, 0.0, 2.0, 2.0])
    assert levers @ spread @ levers == pytest.approx((8 * 0.03) ** 2 / 3)


def test_no_file_of_changes_changes_nothing() -> None:
    """Nor is anything made up."""
    assert changed_parts(crew_question()) == ()
