"""The required total, term by term (planning.md section 4)."""

from typing import Any

from ballast.planning.requirement import terms
from ballast.records.question import Question
from tests.scrutineering.standing import CAR, RULEBOOK, WEIGH_IN


def asked(rulebook: dict[str, Any] | None, **car: Any) -> list[tuple[str, float]]:
    """Names and masses of the terms for the hand-written car, 1020 kg as weighed."""
    question = Question.model_validate({"car": CAR | car, "weigh_in": WEIGH_IN, "rulebook": rulebook})
    return [(term.name, term.mass) for term in terms(question, 1020.0)]


def test_a_rulebook_asks_for_its_minimum_and_the_margin() -> None:
    """1030 kg in the class and 3 kg in hand are two terms, so that neither hides in the other."""
    assert asked(RULEBOOK, margin={"total": 3.0}) == [("class minimum", 1030.0), ("margin kept in hand", 3.0)]


def test_no_margin_is_no_term() -> None:
    """A term of nothing is not listed."""
    assert asked(RULEBOOK) == [("class minimum", 1030.0)]


def test_a_rulebook_goes_before_the_total_aimed_at() -> None:
    """With both, the rulebook's minimum counts."""
    assert asked(RULEBOOK, targets={"total": 1050.0}) == [("class minimum", 1030.0)]


def test_without_a_rulebook_the_total_aimed_at_counts() -> None:
    """The margin is over a class minimum, and there is none."""
    assert asked(None, targets={"total": 1050.0}, margin={"total": 3.0}) == [("total aimed at", 1050.0)]


def test_a_rulebook_without_a_minimum_leaves_the_total_aimed_at() -> None:
    """Some books limit the ballast only."""
    book = {key: table for key, table in RULEBOOK.items() if key != "minimum_weight"}
    assert asked(book, targets={"total": 1050.0}) == [("total aimed at", 1050.0)]


def test_with_neither_the_car_keeps_its_total() -> None:
    """Nothing asked for: as weighed."""
    assert asked(None, targets={}) == [("total as weighed", 1020.0)]
