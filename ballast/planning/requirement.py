"""The required total, as named terms: nothing is hidden in one number."""

import numpy as np

from ballast.planning.states import (
    State,
    apart,
    apart_from_weighed,
    mass_of,
    mass_off,
    on_top,
    ruled_state,
)
from ballast.records.crew import Driver
from ballast.records.plan import Requirement, Term
from ballast.records.question import Question
from ballast.records.rulebook import MinimumWeight

HAIR = 1e-6
"""A mass that is only the noise of a double. [kg]"""


def requirement(
    question: Question, name: str, state: State, driver: Driver | None, as_it_is: float, uncertainty: float
) -> Requirement:
    """The total that a plan must reach in one state of the car, term by term.

    as_it_is : total in this state with the plates of the weigh-in; uncertainty : standard uncertainty of the weighed
    total, pads included. [kg]
    With rulebook minima that can be put into this state: the one that asks for most, what the state has on top of the
    rule's or lacks, ballast the rules add, the losses, the event's scales, the margin and the uncertainty. Else the
    total aimed at. Else as it is.
    """
    answerable = [
        terms for minimum in minima(question) if (terms := _for_minimum(question, minimum, state, driver, uncertainty))
    ]
    if answerable:
        terms = max(answerable, key=lambda found: sum(term.mass for term in found))
    elif question.car.targets.total is not None:
        terms = (Term(name="total aimed at", mass=question.car.targets.total),)
    else:
        terms = (Term(name="total as weighed" if driver is None else "total as it is", mass=as_it_is),)
    required = sum(term.mass for term in terms)
    return Requirement(case=name, terms=terms, required=required, greatest=required)


def minima(question: Question) -> tuple[MinimumWeight, ...]:
    """The minima of the rulebook, if there is one."""
    return question.rulebook.minima if question.rulebook else ()


def total_off(question: Question, minimum: MinimumWeight, state: State, uncertainty: float) -> float | None:
    """Standard uncertainty of the total in a minimum's state: weighing, what differs from it, and changed parts. [kg]

    None where the states cannot be put into each other.
    """
    differs = apart_from_weighed(question, ruled_state(question, minimum, state))
    return None if differs is None else float(np.hypot(uncertainty, mass_off(differs)))


def _for_minimum(
    question: Question, minimum: MinimumWeight, state: State, driver: Driver | None, uncertainty: float
) -> tuple[Term, ...] | None:
    on_board = apart(question, ruled_state(question, minimum, state), state)
    spread = total_off(question, minimum, state, uncertainty)
    if on_board is None or spread is None:
        return None
    margin, bias = question.car.margin, scales_bias(question)
    spread = float(np.hypot(spread, bias[1])) if bias else spread
    terms = [
        Term(name=f"class {minimum.name}" if minimum.name == "minimum weight" else minimum.name, mass=minimum.mass)
    ]
    for name in dict.fromkeys(piece.name for piece in on_board):
        mass = mass_of(tuple(piece for piece in on_board if piece.name == name))
        if abs(mass) > HAIR:
            words = "aboard now and not at the rule" if mass > 0 else "not aboard now"
            terms.append(Term(name=f"{name}, {words}", mass=mass))
    terms += [Term(name=piece.name, mass=piece.mass) for piece in on_top(question, driver)]
    terms += [Term(name=loss.name, mass=loss.mass) for loss in question.car.losses]
    if bias and bias[0] > 0:
        terms.append(Term(name="event scales read lower than yours", mass=bias[0]))
    if margin.total:
        terms.append(Term(name="margin kept in hand", mass=margin.total))
    if margin.uncertainties * spread > HAIR:
        name = f"{margin.uncertainties:g} standard uncertainties of the total"
        terms.append(Term(name=name, mass=margin.uncertainties * spread))
    return tuple(terms)


def scales_bias(question: Question) -> tuple[float, float] | None:
    """How much more your own scales show than the official ones: mean and standard uncertainty. [kg]

    None without a ledger. A mean below zero (the official scales show more) is not counted on by the requirement. With
    one comparison its uncertainty is unknown and taken as zero; the sheet says from how many it comes.
    Source: JCGM 100:2008, 4.2.
    """
    if question.ledger is None:
        return None
    off = np.array([entry.own - entry.official for entry in question.ledger.comparisons])
    spread = float(off.std(ddof=1) / np.sqrt(len(off))) if len(off) > 1 else 0.0
    return float(off.mean()), spread
