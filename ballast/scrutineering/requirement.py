"""The required total, worked out from the files again, by other code than the planner's."""

from math import sqrt
from statistics import fmean, stdev

import numpy as np

from ballast.physics.instruments import class_iii_error
from ballast.physics.quality import ASSUMED_TOTAL, of_the_mean, student
from ballast.records.crew import FuelPoint
from ballast.records.question import Question
from ballast.scrutineering.states import apart, on_top_of_minimum


def required_total(question: Question, driver: str | None, point: FuelPoint | None, as_it_is: float) -> float:
    """The least total of a legal car in one case. as_it_is : total with the plates of the weigh-in. [kg]

    For each minimum that can be put into this case: the minimum, the masses the states differ by, ballast the rules
    add, the losses, the bias of the scales if it is against us, the margin, and so many standard uncertainties. The
    greatest counts. Without one: the total aimed at, else the total as it is.
    """
    book, car = question.rulebook, question.car
    found = []
    for minimum in book.minima if book else ():
        found_apart = apart(question, driver, point, minimum)
        if isinstance(found_apart, str):
            continue
        more, off, _ = found_apart
        bias, scatter = _bias(question)
        unsure = sqrt(total_uncertainty(question) ** 2 + off**2 + scatter**2)
        kept = car.margin.total + car.margin.uncertainties * unsure + on_top_of_minimum(question, driver)
        found.append(minimum.mass + more + sum(loss.mass for loss in car.losses) + max(bias, 0.0) + kept)
    if found:
        return max(found)
    return as_it_is if car.targets.total is None else car.targets.total


def total_uncertainty(question: Question) -> float:
    """Standard uncertainty of the mean total: scatter of the settlings, and what the pads may be off. [kg]

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
    corrected = sum(sum(row) ** 2 for row in pads.still_off())  # each cause moves all four pads at once
    return sqrt(scatter**2 + own + gain**2 + corrected)


def _bias(question: Question) -> tuple[float, float]:
    """Mean of own less official, and the standard uncertainty of that mean. [kg]"""
    off = [entry.own - entry.official for entry in question.ledger.comparisons] if question.ledger else [0.0]
    return fmean(off), stdev(off) / sqrt(len(off)) if len(off) > 1 else 0.0
