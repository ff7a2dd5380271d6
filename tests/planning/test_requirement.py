"""The required total, term by term (planning.md section 4), by the planner and again by the scrutineer."""

from datetime import date
from typing import Any

import pytest

from ballast.planning.requirement import requirement
from ballast.planning.states import weighed_state
from ballast.planning.task import task
from ballast.records.plan import Requirement
from ballast.records.question import Question
from ballast.scrutineering.requirement import required_total
from tests.random_cars import RULED, UNITS
from tests.scrutineering.standing import CAR, RULEBOOK, WEIGH_IN

CERTAIN = {"uncertainties": 0.0}
TANK = {
    "name": "tank",
    "behind_front_axle": 2.0,
    "left_of_centre": 0.0,
    "volume": 60.0,
    "at_flag": 20.0,
    "at_flag_within": 0.5,
    "density": 0.75,
    "density_within": 0.03,
}
"""Weighed with as much in it as at the flag. [L, m, kg/L]"""
GRAM = 0.0005
"""Half a gram. [kg]"""


def asked(rulebook: dict[str, Any] | None, **car: Any) -> list[tuple[str, float]]:
    """Names and masses of the terms for the hand-written car, 1020 kg as weighed, total known to 0.7 kg."""
    question = Question.model_validate({"car": CAR | car, "weigh_in": WEIGH_IN, "rulebook": rulebook})
    found = requirement(question, "as weighed", weighed_state(question), None, 1020.0, 0.7)
    assert (found.case, found.greatest) == ("as weighed", found.required)
    return [(term.name, term.mass) for term in found.terms]


def required(question: Question) -> Requirement:
    """The required total of a car with one legal state, by the planner."""
    (found,) = task(question).requirements
    return found


def by_the_scrutineer(question: Question) -> float:
    """The same by the scrutineer. [kg]"""
    return required_total(question, None, "flag" if question.car.tanks else None, 1020.0)


def test_a_rulebook_asks_for_its_minimum_and_the_margin() -> None:
    """1030 kg in the class and 3 kg in hand are two terms, so that neither hides in the other."""
    found = asked(RULEBOOK, margin=CERTAIN | {"total": 3.0})
    assert found == [("class minimum weight", 1030.0), ("margin kept in hand", 3.0)]


def test_no_margin_is_no_term() -> None:
    """A term of nothing is not listed."""
    assert asked(RULEBOOK) == [("class minimum weight", 1030.0)]


def test_uncertainty_is_a_term_of_its_own() -> None:
    """Without a word on it, two standard uncertainties are kept: 1.4 kg where the total is known to 0.7 kg."""
    minimum, (name, kept) = asked(RULEBOOK, margin={})
    assert minimum == ("class minimum weight", 1030.0)
    assert (name, kept) == ("2 standard uncertainties of the total", 2 * 0.7)


def test_a_rulebook_goes_before_the_total_aimed_at() -> None:
    """With both, the rulebook's minimum counts."""
    assert asked(RULEBOOK, targets={"total": 1050.0}) == [("class minimum weight", 1030.0)]


def test_without_a_rulebook_the_total_aimed_at_counts() -> None:
    """The margin is over a class minimum, and there is none."""
    assert asked(None, targets={"total": 1050.0}, margin={"total": 3.0}) == [("total aimed at", 1050.0)]


def test_a_rulebook_without_a_minimum_leaves_the_total_aimed_at() -> None:
    """Some books limit the ballast only."""
    book = {key: table for key, table in RULEBOOK.items() if key != "minimum_weight"}
    assert asked(book, targets={"total": 1050.0}) == [("total aimed at", 1050.0)]


def test_a_minimum_for_another_state_leaves_the_total_aimed_at() -> None:
    """Weighed with a driver of unknown mass, the car cannot answer for a minimum without one."""
    book = RULEBOOK | {"minimum_weight": RULED | {"mass": 950.0, "driver": "out"}}
    assert asked(book, targets={"total": 1050.0}) == [("total aimed at", 1050.0)]


def test_with_neither_the_car_keeps_its_total() -> None:
    """Nothing asked for: as weighed."""
    assert asked(None, targets={}) == [("total as weighed", 1020.0)]


def everything() -> Question:
    """A car weighed as at the flag, for a class that weighs it without driver and fuel; losses, a ledger, pads."""
    car = CAR | {
        "tanks": [TANK],
        "losses": [{"name": "tyre wear", "mass": 1.2}, {"name": "fluids", "mass": 0.3}],
        "margin": {"total": 2.0, "uncertainties": 2.0},
    }
    weigh_in = WEIGH_IN | {
        "weigh_in": {"date": date(2026, 3, 14), "driver": "in", "driver_mass": 75.0},
        "readings": [{"LF": 255.0, "RF": 255.0, "LR": 255.0, "RR": last} for last in (254.0, 255.0, 256.0)],
        "fuel": {"volume": 20.0, "volume_within": 0.5},
        "pads": {"resolution": 0.1, "accuracy": 0.3, "gain_within": 0.0005},
    }
    alone = RULED | {"name": "car alone", "mass": 950.0, "driver": "out", "fuel": "drained"}
    rulebook = RULEBOOK | {"minimum_weight": [alone, RULED | {"name": "as raced", "mass": 1020.0, "driver": "in"}]}
    ledger = {
        "units": UNITS,
        "comparisons": [
            {"date": date(2026, 4, 4), "event": "first round", "own": 1040.4, "official": 1040.0},
            {"date": date(2026, 5, 9), "event": "second round", "own": 1041.8, "official": 1041.0},
        ],
    }
    return Question.model_validate({"car": car, "weigh_in": weigh_in, "rulebook": rulebook, "ledger": ledger})


def test_every_term_by_hand() -> None:
    """Car alone, drained, asks for 1046.898 kg with driver and fuel aboard; as raced asks for less.

    By hand. Totals 1019, 1020, 1021: deviation 1, squared 1 / 3 of the mean, times (4.30 / 2)^2 = 1.540833. Pads: 4 x
    (0.3^2 / 3 + 0.1^2 / 12) = 0.123333; gain (0.0005 x 1020)^2 / 3 = 0.0867. Fuel 20 x 0.75 = 15 kg, squared
    ((0.5 x 0.75)^2 + (20 x 0.03)^2) / 3 = 0.166875. Scales: 0.4 and 0.8, mean 0.6, squared 0.08 / 2 = 0.04. Sum
    1.957742, root 1.399193, twice 2.798. 950 + 75 + 15 + 1.2 + 0.3 + 0.6 + 2 + 2.798. As raced, with the 20 L of
    the flag, which are another guess than the 20 L of the weigh-in: (0.5^2 + 0.5^2) x 0.75^2 / 3 = 0.09375, root of
    1.884617 is 1.372814, twice 2.746: 1020 + 1.5 + 0.6 + 2 + 2.746 = 1026.846 kg.
    """
    question = everything()
    found = required(question)
    masses = [term.mass for term in found.terms]
    assert masses == pytest.approx([950.0, 75.0, 15.0, 1.2, 0.3, 0.6, 2.0, 2.798], abs=GRAM)
    assert found.required == pytest.approx(1046.898, abs=GRAM)
    assert by_the_scrutineer(question) == pytest.approx(1046.898, abs=GRAM)


def test_the_greatest_of_several_minima_counts() -> None:
    """With the driver's mass unknown only the minimum as raced can be answered for: 1026.846 kg, by hand above."""
    question = everything()
    visit = question.weigh_in.visit.replace(driver_mass=None)
    question = question.replace(weigh_in=question.weigh_in.replace(visit=visit))
    assert required(question).required == pytest.approx(1026.846, abs=GRAM)
    assert by_the_scrutineer(question) == pytest.approx(1026.846, abs=GRAM)


def test_official_scales_that_show_more_are_not_counted_on() -> None:
    """A mean of -0.6 kg takes nothing off; its scatter still counts: 0.6 kg less than above, by hand."""
    question = everything()
    assert question.ledger is not None
    turned = tuple(entry.replace(own=entry.official, official=entry.own) for entry in question.ledger.comparisons)
    question = question.replace(ledger=question.ledger.replace(comparisons=turned))
    assert required(question).required == pytest.approx(1046.298, abs=GRAM)
    assert by_the_scrutineer(question) == pytest.approx(1046.298, abs=GRAM)


def test_a_driver_not_aboard_yet_is_taken_off() -> None:
    """1000 kg with the driver in, weighed with the seat empty and a driver of 75 kg: 925 kg as weighed."""
    weigh_in = WEIGH_IN | {"weigh_in": {"date": date(2026, 3, 14), "driver": "out", "driver_mass": 75.0}}
    book = RULEBOOK | {"minimum_weight": RULED | {"mass": 1000.0, "driver": "in"}}
    question = Question.model_validate({"car": CAR, "weigh_in": weigh_in, "rulebook": book})
    assert required(question).required == pytest.approx(925.0)
    assert by_the_scrutineer(question) == pytest.approx(925.0)


@pytest.mark.parametrize(("instrument", "total"), [("class III", 1001.347), ("class III in service", 1002.077)])
def test_the_error_limits_of_class_iii_by_hand(instrument: str, total: float) -> None:
    """255 kg are 510 e and may be off by 1 e, 240 kg are 480 e and may be off by 0.5 e; in service by twice that.

    By hand, e = 0.5 kg (OIML R 76-1, 3.5.1 and 3.5.2): in service 1, 1, 0.5, 0.5 kg, squares over three 0.833333; one
    settling, 0.05 % of 990 kg, squared 0.245025; root of 1.078358 is 1.038440, twice 2.077. At verification 0.208333
    instead: root of 0.453358 is 0.673319, twice 1.347. The accuracy stated beside it does not count.
    """
    weigh_in = WEIGH_IN | {
        "readings": [{"LF": 255.0, "RF": 255.0, "LR": 240.0, "RR": 240.0}],
        "pads": {"accuracy": 5.0, "instrument": instrument, "interval": 0.5},
    }
    book = RULEBOOK | {"minimum_weight": RULED | {"mass": 1000.0, "driver": "in"}}
    question = Question.model_validate({"car": CAR | {"margin": {}}, "weigh_in": weigh_in, "rulebook": book})
    assert required(question).required == pytest.approx(total, abs=GRAM)
    assert by_the_scrutineer(question) == pytest.approx(total, abs=GRAM)
