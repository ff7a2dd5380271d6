"""A question as the planner needs it: arrays, bands, rules and limits in one place."""

from dataclasses import dataclass

import numpy as np

from ballast.physics.instruments import class_iii_error, pad_covariance
from ballast.physics.quality import Repeatability, repeatability
from ballast.physics.statics import Array
from ballast.physics.uncertainty import settling_covariance, uncertainties
from ballast.planning.bands import Band, bands
from ballast.planning.cases import Case, Layout, cases, layout, pieces_since_weighed
from ballast.planning.programme import build
from ballast.planning.rows import Programme
from ballast.planning.rules import NO_RULES, Rules, rules
from ballast.planning.states import mass_off
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
    repeat: Repeatability
    mass_resolution: float
    """how finely the total is settled: as asked for, but no finer than fuel and drivers are known in any case [kg]"""
    rules: Rules = NO_RULES

    @property
    def required(self) -> float:
        """Mean of the totals required in the legal cases. [kg]"""
        return float(np.mean([case.required for case in self.cases if case.legal]))

    @property
    def requirements(self) -> tuple[Requirement, ...]:
        """The required totals, first that of the case which lacks most of it when it is bare."""
        found = [(float(case.bare_loads.sum()) - case.required, case.needs) for case in self.cases if case.needs]
        return tuple(needs for _, needs in sorted(found, key=lambda entry: entry[0]))

    def programme(self, relaxed: frozenset[Limit] = frozenset()) -> Programme:
        """A fresh integer programme, in which some families of limits may give way."""
        return build(self.room, self.cases, self.bands, self.wishes, self.rules, relaxed)


def task(question: Question) -> Task:
    """The task of a question."""
    room, weighed, covariance = layout(question), readings(question), weighing_covariance(question)
    spread = repeatability(weighed)
    states = cases(question, room, float(uncertainties(weighed.mean(axis=0), covariance)[0]))
    return Task(
        room=room,
        cases=states,
        bands=bands(question, spread),
        wishes=question.wishes,
        repeat=spread,
        mass_resolution=max(question.wishes.mass_resolution, _told(question, states)),
        rules=rules(question, room, states, covariance),
    )


def _told(question: Question, states: tuple[Case, ...]) -> float:
    """Standard uncertainty of what a legal state has and the weighed one had not, at its least over the states. [kg]"""
    since = (pieces_since_weighed(question, case.driver, case.state) for case in states if case.legal)
    return min(mass_off(pieces) for pieces in since)


def readings(question: Question) -> Array:
    """Corner loads of the settlings, (n, 4). [kg]"""
    return np.array([reading.in_order() for reading in question.weigh_in.readings])


def weighing_covariance(question: Question) -> Array:
    """Covariance of the mean corner loads: scatter of the settlings, and what the pads may be off. (4, 4) [kg2]"""
    weighed, room = readings(question), layout(question)
    return np.asarray(
        settling_covariance(weighed, room.stance.patches) + pads_covariance(question, weighed.mean(axis=0))
    )


def pads_covariance(question: Question, loads: Array) -> Array:
    """Covariance of corner loads from resolution, accuracy and a common gain of the pads. loads : (4,). (4, 4) [kg2]"""
    pads = question.weigh_in.pads
    accuracy = np.full(4, pads.accuracy)
    if pads.instrument and pads.interval:
        accuracy = np.asarray(class_iii_error(loads, pads.interval, pads.instrument == "class III in service"))
    gain = (pads.gain_within or 0.0) / np.sqrt(3)
    return np.asarray(pad_covariance(loads, pads.resolution, accuracy, gain, np.array(pads.still_off()).reshape(-1, 4)))
