"""A file of trials as the physics takes it, how far all in it may be off, and what cannot be as the file says."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from ballast.errors import Complaint, InputError
from ballast.jobs.pads import examine, step_as_written
from ballast.physics.instruments import class_iii_error
from ballast.physics.learning import Doubt, Trial, against_levers, pooled
from ballast.physics.stance import RECTANGULAR
from ballast.physics.statics import Array, warp
from ballast.physics.suspension import warp_coefficients
from ballast.planning import stances
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.suspension import Bars
from ballast.records.trials import TrialMass, Trials, weight_place
from ballast.records.tried import LeversSeen
from ballast.records.weighing import Reading, Visit
from ballast.units import Units

TWICE = 2.0
MASS_FAR_OFF = 0.1
"""Share of a trial's masses by which the pads may see another total before the file must be wrong. Common practice,
no source."""
PLACE_FAR_OFF = 0.15
"""How far the pads may put a mass from where the file does. Common practice, no source. [m]"""
TOTAL_FAR_OFF = 0.005
"""Share of the car by which its total may change while platforms are turned. Common practice, no source."""
NEAR = 0.03
"""How near, as a share, what the pads saw has to be to a likely slip for it to be named."""


@dataclass(frozen=True)
class Attempts:
    """A file of trials, with what every step of the answer needs."""

    car: Car
    trials: Trials
    visit: Visit
    """the weigh-in before them"""
    patches: Array
    before: Array
    """(n, 4), readings from before [kg]"""
    weights: tuple[Trial, ...]
    turns: tuple[Trial, ...]
    twist: float
    """warp of one kg for each metre left and each metre behind the middle of the car, by the twist of the chassis, in
    so far as springs and chassis_twist are known; taken out of the changes [1/m2]"""
    doubt: Doubt
    step_as_written: bool
    """whether the step of the pads is taken from the digits written, since [pads] does not say"""

    @property
    def settlings(self) -> int:
        """How often the car was weighed before."""
        return len(self.before)

    @property
    def bars(self) -> Bars | None:
        """The anti-roll bars during the trials; none where the car file knows of no bar and nobody says."""
        return self.trials.conditions.bars or self.visit.bars

    @property
    def read(self) -> bool:
        """Whether there are weights and the pads were read with them."""
        return bool(self.weights) and self.trials.weighed


def attempted(question: Question, trials: Trials, file: str) -> Attempts:
    """The same, checked. Raises InputError with every complaint about the file of trials."""
    _refuse(_out_of_reach(question, trials), file)
    patches = stances.patches(question.car)
    put_right = _put_right(question)
    before = put_right.loads(trials.readings or question.weigh_in.readings)
    twist = _twist(question.car, trials.conditions.bars or question.weigh_in.visit.bars)

    def tried(masses: tuple[TrialMass, ...], readings: tuple[Reading, ...]) -> Trial:
        change, middle = None, float(patches[:, 0].mean())
        by_twist = twist * sum(mass.mass * mass.left_of_centre * (mass.behind_front_axle - middle) for mass in masses)
        if readings:
            change = put_right.loads(readings).mean(axis=0) - before.mean(axis=0) - by_twist * warp(patches)
        return Trial(
            settlings=len(readings) or len(before),
            masses=np.array([mass.mass for mass in masses]),
            places=np.array([[mass.behind_front_axle, mass.left_of_centre] for mass in masses]),
            change=change,
        )

    doubt, as_written = _doubts(question, trials, patches, put_right)
    attempts = Attempts(
        car=question.car,
        trials=trials,
        visit=question.weigh_in.visit,
        patches=patches,
        before=before,
        weights=tuple(tried(weight.all_masses(), weight.readings) for weight in trials.weights),
        turns=tuple(tried((), turned.readings) for turned in trials.turns),
        twist=twist,
        doubt=doubt,
        step_as_written=as_written,
    )
    _refuse(_far_off(attempts), file)
    return attempts


def levers_of_weights(attempts: Attempts) -> Iterator[LeversSeen | None]:
    """What the pads saw of each trial with weights, beside what the file says."""
    for tried in attempts.weights:
        yield _levers(attempts, tried, float(np.sum(tried.masses)), float(np.abs(tried.masses).sum()))


def levers_of_turns(attempts: Attempts) -> Iterator[LeversSeen | None]:
    """The same of each trial with turns, which change no total and no moment."""
    for tried in attempts.turns:
        yield _levers(attempts, tried, 0.0, float(attempts.before.mean(axis=0).sum()))


def _levers(attempts: Attempts, tried: Trial, told: float, scale: float) -> LeversSeen | None:
    """scale : mass by which moments are turned into distances. [kg]"""
    if tried.change is None:
        return None
    off, uncertain = against_levers(attempts.patches, attempts.settlings, tried, attempts.doubt)
    return LeversSeen(
        total=float(tried.change.sum()),
        total_told=told,
        total_uncertain=float(uncertain[0]),
        aft_off=float(off[1] / scale),
        left_off=float(off[2] / scale),
        aft_uncertain=float(uncertain[1] / scale),
        left_uncertain=float(uncertain[2] / scale),
    )


def _twist(car: Car, bars: Bars | None) -> float:
    """c3 of the springs, where the car file knows them and the twist of the chassis. [1/m2]"""
    springs = stances.springs_of(car, bars or "disconnected")
    if springs is None or springs.twist is None:
        return 0.0
    return float(warp_coefficients(springs)[3])


@dataclass(frozen=True)
class _PutRight:
    """Readings by what is known of the pads: zeros and gains. Heights and slopes are the same before and after."""

    empty: Array
    """(4,) [kg]"""
    gains: Array
    """(4,), 1 where none is known [-]"""
    uncertain: Array
    """(4,), standard uncertainty of a known gain as a share of it, 0 of another [-]"""
    common: float
    """standard uncertainty of the mass they come from, as a share of it [-]"""

    def loads(self, readings: Iterable[Reading]) -> Array:
        """(n, 4) [kg]"""
        return np.asarray((np.array([reading.in_order() for reading in readings]) - self.empty) / self.gains)


def _put_right(question: Question) -> _PutRight:
    pads, found = question.weigh_in.pads, examine(question).gains
    empty = np.array(pads.zero.in_order()) if pads.zero else np.zeros(4)
    if found is None:
        return _PutRight(empty, np.ones(4), np.zeros(4), 0.0)
    gains = np.where(found.applied, found.gains, 1.0)
    return _PutRight(empty, gains, np.where(found.applied, found.uncertain / found.gains, 0.0), found.common)


def _doubts(question: Question, trials: Trials, patches: Array, put_right: _PutRight) -> tuple[Doubt, bool]:
    """Standard uncertainties of a file of trials, and whether the pads' step is taken from the digits written.

    Stated half widths are those of rectangles (JCGM 100:2008, 4.3.7). Of a pad's own error only that of its gain is
    left in a difference of two readings: what its known mass leaves open, else accuracy over the load. The scatter is
    that of all settlings together.
    """
    pads, before = question.weigh_in.pads, trials.readings or question.weigh_in.readings
    groups = [before, *(each.readings for each in trials.weights), *(each.readings for each in trials.turns)]
    weighings = [put_right.loads(readings) for readings in groups if readings]
    loads = weighings[0].mean(axis=0)
    accuracy = np.full(4, pads.accuracy)
    if pads.instrument and pads.interval:
        accuracy = np.asarray(class_iii_error(loads, pads.interval, pads.instrument == "class III in service"))
    units = question.weigh_in.units.units() if not trials.readings else trials.units.units()
    steps = [(before, units), *((each, trials.units.units()) for each in groups[1:] if each)]
    written = min(step_as_written([reading.in_order() for reading in each], of) for each, of in steps)
    conditions, scatter = trials.conditions, pooled(weighings, patches)
    if scatter.degrees and not trials.weighed:  # the weighings to come will tell of it too
        to_come = (len(trials.weights) + len(trials.turns)) * (len(before) - 1)
        scatter = replace(scatter, degrees=scatter.degrees + to_come)
    doubt = Doubt(
        scatter=scatter,
        resolution=(pads.resolution or written) / np.sqrt(12),
        gains=np.where(put_right.uncertain > 0, put_right.uncertain, accuracy * RECTANGULAR / loads),
        gain=float(np.hypot(put_right.common, (pads.gain_within or 0.0) * RECTANGULAR)),
        mass=conditions.mass_within * RECTANGULAR,
        place=conditions.place_within * RECTANGULAR,
        turns=conditions.turns_within * RECTANGULAR,
    )
    return doubt, not pads.resolution


def _out_of_reach(question: Question, trials: Trials) -> Iterator[Complaint]:
    """Weights that are not on this car, and bars in two states at once."""
    car, units = question.car, trials.units.units()
    half, widest = car.chassis.wheelbase / 2, max(car.chassis.track_front, car.chassis.track_rear)
    for number, weight in enumerate(trials.weights, start=1):
        for mass in weight.all_masses():
            for key, value, inside in (
                ("behind_front_axle", mass.behind_front_axle, abs(mass.behind_front_axle - half) <= 2 * half),
                ("left_of_centre", mass.left_of_centre, abs(mass.left_of_centre) <= widest),
            ):
                if not inside:
                    yield Complaint(
                        "is further outside the wheels than anything on a car is",
                        "measure from the front axle line and the centre line, rearward and left positive, and check "
                        "[units] length.",
                        f"{weight_place(weight, number)} {key}",
                        f"{units.outside(value, 'length'):g}",
                    )
    weighed, tried = question.weigh_in.visit.bars, trials.conditions.bars
    if tried and weighed and tried != weighed and not trials.readings:
        yield Complaint(
            f"but the car was weighed with the bars {weighed}, and no reading from before has them as in the trials",
            "weigh once more with the bars so and nothing on the car, and write that as [[readings]] into this file.",
            "[trials] bars",
            f'"{tried}"',
        )


def _far_off(attempts: Attempts) -> Iterator[Complaint]:
    """Trials of which the pads saw something else than the file says, further off than settling or pads can be."""
    trials, units = attempts.trials, attempts.trials.units.units()
    for number, (weight, seen) in enumerate(zip(trials.weights, levers_of_weights(attempts), strict=True), start=1):
        if seen is None:
            continue
        masses, where = weight.all_masses(), weight_place(weight, number)
        off = abs(seen.total - seen.total_told)
        if off > max(TWICE * seen.total_uncertain, MASS_FAR_OFF * sum(abs(mass.mass) for mass in masses)):
            yield Complaint(
                f"the car weighs {_mass(seen.total, units)} more with it, and it is {_mass(seen.total_told, units)}"
                f"{_slip_of_mass(seen)}",
                "check the mass and its unit, and that driver, fuel and all else were as before; and that the readings "
                "before and after are of one visit.",
                where,
            )
            continue
        for key, distance, uncertain in (
            ("behind_front_axle", seen.aft_off, seen.aft_uncertain),
            ("left_of_centre", seen.left_off, seen.left_uncertain),
        ):
            if abs(distance) > max(TWICE * uncertain, PLACE_FAR_OFF):
                words = {
                    "behind_front_axle": ("further aft", "further forward"),
                    "left_of_centre": ("further left", "further right"),
                }[key]
                yield Complaint(
                    f"by the pads it stood {_length(abs(distance), units)} {words[0 if distance > 0 else 1]}"
                    f"{_other_side(masses, seen) if key == 'left_of_centre' else ''}",
                    "measure its place again, rearward and left positive; check that no two pads are exchanged.",
                    f"{where} {key}",
                )
    for number, (turned, seen) in enumerate(zip(trials.turns, levers_of_turns(attempts), strict=True), start=1):
        whole = sum(sum(reading.in_order()) for reading in turned.readings) / max(len(turned.readings), 1)
        if seen and abs(seen.total) > max(TWICE * seen.total_uncertain, TOTAL_FAR_OFF * whole):
            yield Complaint(
                f"the car weighs {_mass(seen.total, units)} more than before, and turns change no total",
                "check that driver, fuel and all else were as before, and that the readings before and after are of "
                "one visit.",
                f"[[turns]] {number} {turned.corner}",
            )


def _slip_of_mass(seen: LeversSeen) -> str:
    """The unit that was mistaken for the other, where it was."""
    pound = Units(mass="lb").factor("mass")
    for factor in (pound, 1 / pound):
        if seen.total_told and abs(seen.total / seen.total_told / factor - 1) < NEAR:
            return ": the one is 2.205 times the other, as lb and kg are"
    return ""


def _other_side(masses: tuple[TrialMass, ...], seen: LeversSeen) -> str:
    """Whether it looks as if left and right were exchanged."""
    whole = sum(abs(mass.mass) for mass in masses)
    left = sum(mass.mass * mass.left_of_centre for mass in masses) / whole
    return ", that is on the other side" if abs(seen.left_off + 2 * left) < PLACE_FAR_OFF else ""


def _mass(value: float, units: Units) -> str:
    return f"{units.outside(value, 'mass'):.1f} {units.mass}"


def _length(value: float, units: Units) -> str:
    decimals = {"mm": 0, "m": 3, "in": 1}[units.length]
    return f"{units.outside(value, 'length'):.{decimals}f} {units.length}"


def _refuse(complaints: Iterable[Complaint], file: str) -> None:
    """Raise InputError with these complaints about a file, if there are any."""
    found = [replace(complaint, file=file) for complaint in complaints]
    if found:
        raise InputError(found)
