"""The required total, worked out from the files again, by other code than the planner's."""

from math import sqrt
from statistics import fmean, stdev

import numpy as np

from ballast.physics.instruments import class_iii_error
from ballast.physics.quality import ASSUMED_TOTAL, of_the_mean, student
from ballast.records.question import Question
from ballast.records.rulebook import InState


def required_total(question: Question) -> float:
    """The least total of a legal car in the state of the weigh-in. [kg]

    For each minimum that this weigh-in can answer for: the minimum, the masses the states differ by, the losses, the
    bias of the scales if it is against us, the margin, and so many standard uncertainties. The greatest counts.
    Without one: the total aimed at, else the total as weighed.
    """
    book, car = question.rulebook, question.car
    found = []
    for minimum in book.minima if book else ():
        apart = state_apart(question, minimum)
        if isinstance(apart, str):
            continue
        more, off = apart
        bias, scatter = _bias(question)
        unsure = sqrt(total_uncertainty(question) ** 2 + off**2 + scatter**2)
        kept = car.margin.total + car.margin.uncertainties * unsure
        found.append(minimum.mass + more + sum(loss.mass for loss in car.losses) + max(bias, 0.0) + kept)
    if found:
        return max(found)
    if car.targets.total is not None:
        return car.targets.total
    return fmean(sum(reading.in_order()) for reading in question.weigh_in.readings)


def state_apart(question: Question, state: InState) -> tuple[float, float] | str:
    """How much more the car weighs now than in a state, and the standard uncertainty of that [kg]; or why not."""
    visit, fuel = question.weigh_in.visit, question.weigh_in.fuel
    more, off = 0.0, 0.0
    if visit.driver != state.driver:
        if visit.driver_mass is None or visit.driver is None:
            return f"weighed with the driver {visit.driver or 'unknown'}, the rule has the driver {state.driver}"
        more += visit.driver_mass if visit.driver == "in" else -visit.driver_mass
    if state.fuel and visit.fuel != state.fuel:
        if state.fuel != "drained" or fuel is None:
            return f"weighed with fuel {visit.fuel or 'not stated'}, the rule has it {state.fuel}"
        more += fuel.litres * fuel.density
        off = sqrt(((fuel.litres_within * fuel.density) ** 2 + (fuel.litres * fuel.density_within) ** 2) / 3)
    if state.spares is not None and visit.spares != state.spares:
        aboard = "an unknown number of" if visit.spares is None else str(visit.spares)
        if visit.spares is None or visit.spare_mass is None:
            return f"weighed with {aboard} spare wheels, the rule has {state.spares}"
        more += (visit.spares - state.spares) * visit.spare_mass
    return more, off


def total_uncertainty(question: Question) -> float:
    """Standard uncertainty of the mean total: scatter of the settlings, resolution, accuracy and gain of the pads. [kg]

    The pads are independent but for the gain, so their squares add up; with k = 2 the scatter gives Student's interval.
    """
    rows = [reading.in_order() for reading in question.weigh_in.readings]
    totals, pads = [sum(row) for row in rows], question.weigh_in.pads
    total = fmean(totals)
    scatter = of_the_mean(totals) * student(len(totals)) / 2 if len(totals) > 1 else ASSUMED_TOTAL * total
    loads = np.mean(rows, axis=0)
    limits = [pads.accuracy] * 4
    if pads.instrument and pads.interval:
        in_service = pads.instrument == "class III in service"
        limits = [float(class_iii_error(load, pads.interval, in_service)) for load in loads]
    own = sum(limit**2 / 3 + pads.resolution**2 / 12 for limit in limits)
    gain = (pads.gain_within or 0.0) / sqrt(3) * total
    return sqrt(scatter**2 + own + gain**2)


def _bias(question: Question) -> tuple[float, float]:
    """Mean of own less official, and the standard uncertainty of that mean. [kg]"""
    off = [entry.own - entry.official for entry in question.ledger.comparisons] if question.ledger else [0.0]
    return fmean(off), stdev(off) / sqrt(len(off)) if len(off) > 1 else 0.0
