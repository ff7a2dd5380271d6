"""A question as the planner needs it: arrays, bands, rules and limits in one place."""

from dataclasses import dataclass

import numpy as np

from ballast.physics.instruments import class_iii_error, pad_covariance
from ballast.physics.quality import Repeatability, repeatability
from ballast.physics.statics import ON_FRONT, ON_LEFT, Array
from ballast.physics.uncertainty import propagate, settling_covariance, uncertainties
from ballast.planning import requirement
from ballast.planning.cases import Band, Case, Layout, bands, cases, layout
from ballast.planning.programme import build
from ballast.planning.rows import Programme
from ballast.planning.rules import NO_RULES, Rules, rules
from ballast.records.plan import Limit, Requirement
from ballast.records.question import Question
from ballast.records.wishes import Wishes


@dataclass(frozen=True)
class Task:
    """Everything a plan is chosen from."""

    room: Layout
    cases: tuple[Case, ...]
    bands: tuple[Band, ...]
    wishes: Wishes
    required: float
    repeat: Repeatability
    rules: Rules = NO_RULES

    def programme(self, relaxed: frozenset[Limit] = frozenset()) -> Programme:
        """A fresh integer programme, in which some families of limits may give way."""
        return build(self.room, self.cases, self.bands, self.wishes, self.required, self.rules, relaxed)


def task(question: Question) -> Task:
    """The task of a question."""
    room, weighed = layout(question), readings(question)
    spread = repeatability(weighed)
    loads, covariance = weighed.mean(axis=0), weighing_covariance(question)
    _, _, left, _, _ = uncertainties(loads, covariance)
    front = uncertainties(loads, covariance)[1]
    variances = np.diag(propagate(np.array([ON_FRONT, 1 - ON_LEFT]), covariance))
    masses = np.sqrt(np.maximum(variances, 0.0))  # settlings that agree may round to just below nothing
    in_hand = np.array([*masses, left, front])
    return Task(
        room=room,
        cases=cases(question, room),
        bands=bands(question, spread),
        wishes=question.wishes,
        required=required(question).required,
        repeat=spread,
        rules=rules(question, in_hand),
    )


def readings(question: Question) -> Array:
    """Corner loads of the settlings, (n, 4). [kg]"""
    return np.array([reading.in_order() for reading in question.weigh_in.readings])


def required(question: Question) -> Requirement:
    """The required total of a question, term by term."""
    weighed = readings(question)
    total = float(uncertainties(weighed.mean(axis=0), weighing_covariance(question))[0])
    return requirement.requirement(question, float(weighed.mean(axis=0).sum()), total)


def weighing_covariance(question: Question) -> Array:
    """Covariance of the mean corner loads: scatter of the settlings, and what the pads may be off. (4, 4) [kg2]"""
    weighed, room = readings(question), layout(question)
    return np.asarray(settling_covariance(weighed, room.patches) + pads_covariance(question, weighed.mean(axis=0)))


def pads_covariance(question: Question, loads: Array) -> Array:
    """Covariance of corner loads from resolution, accuracy and a common gain of the pads. loads : (4,). (4, 4) [kg2]"""
    pads = question.weigh_in.pads
    accuracy = np.full(4, pads.accuracy)
    if pads.instrument and pads.interval:
        accuracy = np.asarray(class_iii_error(loads, pads.interval, pads.instrument == "class III in service"))
    gain = (pads.gain_within or 0.0) / np.sqrt(3)
    return np.asarray(pad_covariance(loads, pads.resolution, accuracy, gain))
