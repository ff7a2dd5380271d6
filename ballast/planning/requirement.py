"""The required total, as named terms: nothing is hidden in one number."""

import numpy as np

from ballast.records.plan import Requirement, Term
from ballast.records.question import Question
from ballast.records.rulebook import InState, MinimumWeight

HAIR = 1e-6
"""A mass that is only the noise of a double. [kg]"""


def requirement(question: Question, weighed_total: float, uncertainty: float) -> Requirement:
    """The total that a plan must reach in the state of the weigh-in, term by term.

    weighed_total : mean of the settlings; uncertainty : standard uncertainty of a plan's total, pads included. [kg]
    With rulebook minima that this weigh-in can answer for: the one that asks for most, what the weighed state lacks or
    has on top, the losses, the event's scales, the margin and the uncertainty. Else the total aimed at. Else as
    weighed.
    """
    answerable = [terms for minimum in minima(question) if (terms := _for_minimum(question, minimum, uncertainty))]
    if answerable:
        terms = max(answerable, key=lambda found: sum(term.mass for term in found))
    elif question.car.targets.total is not None:
        terms = (Term(name="total aimed at", mass=question.car.targets.total),)
    else:
        terms = (Term(name="total as weighed", mass=weighed_total),)
    required = sum(term.mass for term in terms)
    return Requirement(terms=terms, required=required, greatest=required)


def minima(question: Question) -> tuple[MinimumWeight, ...]:
    """The minima of the rulebook, if there is one."""
    return question.rulebook.minima if question.rulebook else ()


def difference(question: Question, state: InState) -> tuple[Term, ...] | None:
    """What has to be added to a minimum for `state` to make it one for the state of the weigh-in; None if unknown.

    A driver aboard now and not then adds its mass; fuel in the tank now and drained then adds that fuel. [kg]
    """
    visit, fuel, terms = question.weigh_in.visit, question.weigh_in.fuel, []
    if visit.driver != state.driver:
        if visit.driver is None or visit.driver_mass is None:
            return None
        sign = 1.0 if visit.driver == "in" else -1.0
        word = "driver, aboard now and not at the rule" if sign > 0 else "driver, not aboard now"
        terms.append(Term(name=word, mass=sign * visit.driver_mass))
    if state.fuel is not None and visit.fuel != state.fuel:
        if state.fuel != "drained" or fuel is None:
            return None
        terms.append(Term(name="fuel, drained at the rule", mass=fuel.litres * fuel.density))
    if state.spares is not None and visit.spares != state.spares:
        if visit.spares is None or visit.spare_mass is None:
            return None
        more = visit.spares - state.spares
        word = "spare wheels, not aboard at the rule" if more > 0 else "spare wheels, not aboard now"
        terms.append(Term(name=word, mass=more * visit.spare_mass))
    return tuple(terms)


def fuel_uncertainty(question: Question, state: InState) -> float:
    """Standard uncertainty of the fuel that has to be taken off for a state, litres and density together. [kg]

    Source: JCGM 100:2008, eq. 10, and 4.3.7 (rectangular) for both.
    """
    fuel = question.weigh_in.fuel
    if fuel is None or state.fuel is None or question.weigh_in.visit.fuel == state.fuel:
        return 0.0
    parts = (fuel.litres_within * fuel.density, fuel.litres * fuel.density_within)
    return float(np.hypot(*parts) / np.sqrt(3))


def _for_minimum(question: Question, minimum: MinimumWeight, uncertainty: float) -> tuple[Term, ...] | None:
    state = difference(question, minimum)
    if state is None:
        return None
    margin, bias = question.car.margin, scales_bias(question)
    spread = float(np.hypot(uncertainty, fuel_uncertainty(question, minimum)))
    spread = float(np.hypot(spread, bias[1])) if bias else spread
    terms = [
        Term(name=f"class {minimum.name}" if minimum.name == "minimum weight" else minimum.name, mass=minimum.mass)
    ]
    terms += state
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
