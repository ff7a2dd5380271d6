"""The file of trials: the car weighed again with known masses on it, or with platforms turned."""

import datetime
from collections.abc import Iterator, Sequence
from typing import Annotated

from pydantic import Field

from ballast.corners import Corner
from ballast.errors import Complaint
from ballast.records.quantities import (
    Distance,
    MassDifference,
    Name,
    NotNegativeMass,
    Number,
    Record,
    Steps,
    UnitsTable,
)
from ballast.records.suspension import Bars
from ballast.records.weighing import TOTALS_APART, Reading
from ballast.units import Units

ON_THE_LINE = 0.02
"""Distance from the centre line within which a weight tells nothing of roll. Common practice, no source. [m]"""
MOST_TURNS = 50
"""Turns of a platform beyond which the number is not one of turns. Common practice, no source."""


class Conditions(Record):
    """[trials]: how the trials were done, and how sure the weights are."""

    date: datetime.date | None = None
    """the day; that of the weigh-in where it is left out"""
    bars: Bars | None = None
    """"connected" or "disconnected": the anti-roll bars during the trials; left out, as at the weigh-in"""
    mass_within: NotNegativeMass = 0.1
    """how far the mass of a trial weight may be off"""
    place_within: Annotated[Distance, Field(ge=0)] = 0.01
    """how far the place of a trial weight may be off, either way"""
    turns_within: Steps = 0.05
    """how far a number of turns may be off"""
    note: str = ""
    """anything worth keeping: what the weights were, who read the pads"""


class TrialMass(Record):
    """One of several masses put on, taken off or moved for one trial."""

    mass: MassDifference
    """what it weighs; negative where it was taken off"""
    behind_front_axle: Distance
    """the middle of it, behind the front axle line"""
    left_of_centre: Distance
    """the same, left of the centre line; negative to the right"""


class TrialWeight(Record):
    """[[weights]]: a known mass at a known place, and what the pads showed with it."""

    name: Name | None = None
    """what to call it on the sheet, such as "left sill" """
    mass: MassDifference | None = None
    """what it weighs"""
    behind_front_axle: Distance | None = None
    """the middle of it, behind the front axle line"""
    left_of_centre: Distance | None = None
    """the same, left of the centre line; negative to the right"""
    masses: tuple[TrialMass, ...] = ()
    """instead of these three, several at once: a list of { mass, behind_front_axle, left_of_centre }, with a mass that
    is negative for what was taken off there"""
    readings: tuple[Reading, ...] = ()
    """one table [[weights.readings]] for each settling with it; none yet, to ask whether it is worth doing"""

    def all_masses(self) -> tuple[TrialMass, ...]:
        """Every mass of the trial, however it was written."""
        if self.mass is None or self.behind_front_axle is None or self.left_of_centre is None:
            return self.masses
        here = TrialMass(mass=self.mass, behind_front_axle=self.behind_front_axle, left_of_centre=self.left_of_centre)
        return (here, *self.masses)


class TrialTurns(Record):
    """[[turns]]: a spring platform turned by a known number of turns, and what the pads showed after it."""

    corner: Corner
    """whose platform: LF, RF, LR or RR"""
    turns: Annotated[Number, Field(ge=-MOST_TURNS, le=MOST_TURNS)]
    """turns from where it stood before; positive where it was raised, negative where it was lowered"""
    readings: tuple[Reading, ...] = ()
    """one table [[turns.readings]] for each settling after it; none yet, to ask whether it is worth doing"""


class Trials(Record):
    """A file of trials."""

    units: UnitsTable
    """the units of this file"""
    conditions: Annotated[Conditions, Field(alias="trials")] = Conditions()
    """how the trials were done"""
    readings: tuple[Reading, ...] = ()
    """one table for each settling before anything was put on or turned; left out, those of the weigh-in"""
    weights: tuple[TrialWeight, ...] = ()
    """known masses: one table for each place tried, every time with the others taken off again"""
    turns: tuple[TrialTurns, ...] = ()
    """known turns: one table for each corner tried, every time from where the platforms stood before"""

    @property
    def weighed(self) -> bool:
        """Whether the pads were read with the weights and turns; if not, the question is whether it is worth doing."""
        return any(weight.readings for weight in self.weights) or any(turned.readings for turned in self.turns)


def complaints(trials: Trials) -> Iterator[Complaint]:
    """What a file of trials says that cannot be tried, though each key by itself is fine."""
    if not trials.weights and not trials.turns:
        yield Complaint(
            "has nothing to try",
            "add a table [[weights]] with mass, behind_front_axle and left_of_centre, or a table [[turns]] with corner "
            "and turns.",
        )
    units = trials.units.units()
    for number, weight in enumerate(trials.weights, start=1):
        yield from _written_once(weight, weight_place(weight, number))
    yield from _to_one_side(trials)
    for number, turned in enumerate(trials.turns, start=1):
        if turned.turns == 0:
            yield Complaint("is no turn", "say how many, + up and - down.", f"[[turns]] {number} turns", "0")
    if trials.weighed:
        named = [(weight_place(weight, number), weight.readings) for number, weight in enumerate(trials.weights, 1)]
        named += [(f"[[turns]] {number}", turned.readings) for number, turned in enumerate(trials.turns, 1)]
        for where, readings in named:
            if not readings:
                yield Complaint(
                    "has no readings, and others have",
                    "weigh the car with it too and write what the pads showed, or take the table out.",
                    where,
                )
    yield from _settlings_apart(trials, units)


def _to_one_side(trials: Trials) -> Iterator[Complaint]:
    """A weight tells of roll only by what it has more on one side of the centre line than on the other."""
    tried = [weight.all_masses() for weight in trials.weights]
    if not tried or not all(tried) or any(abs(_to_the_left(masses)) >= ON_THE_LINE for masses in tried):
        return
    on_the_line = all(abs(mass.left_of_centre) < ON_THE_LINE for masses in tried for mass in masses)
    one = len(tried) == 1
    what = "is on the centre line" if on_the_line else "is as much on one side of the centre line as on the other"
    if not one:
        what = "no weight stands more to one side of the centre line than to the other"
    yield Complaint(
        f"{what}: that tells nothing of how the axles share roll, whatever the pads show",
        "stand it as far out to one side as the car lets it: on a sill, or in a door opening.",
        weight_place(trials.weights[0], 1) if one else "[[weights]]",
    )


def weight_place(weight: TrialWeight, number: int) -> str:
    """How a complaint names a table of weights."""
    return f"[[weights]] {number}" + (f" '{weight.name}'" if weight.name else "")


def _written_once(weight: TrialWeight, where: str) -> Iterator[Complaint]:
    keys = {key: getattr(weight, key) for key in ("mass", "behind_front_axle", "left_of_centre")}
    missing = [key for key, value in keys.items() if value is None]
    if weight.masses and len(missing) < len(keys):
        yield Complaint(
            "says twice where the mass is, with and without masses",
            "write mass, behind_front_axle and left_of_centre for one mass, or masses = [{ ... }, { ... }] for more.",
            where,
        )
    elif not weight.masses and missing:
        yield Complaint(
            f"needs {' and '.join(missing)}",
            f"write {', '.join(f'{key} = ...' for key in missing)}: the mass, and where the middle of it was.",
            where,
        )
    for entry, mass in enumerate(weight.masses, start=1):
        if mass.mass == 0:
            yield Complaint("is nothing", "write what was put on there.", f"{where} masses entry {entry} mass", "0")
    if weight.mass == 0:
        yield Complaint("is nothing", "write what was put on.", f"{where} mass", "0")


def _to_the_left(masses: Sequence[TrialMass]) -> float:
    """How far left of the centre line one mass as heavy as all of these would have to stand to do as much. [m]"""
    return sum(mass.mass * mass.left_of_centre for mass in masses) / (sum(abs(mass.mass) for mass in masses) or 1.0)


def _settlings_apart(trials: Trials, units: Units) -> Iterator[Complaint]:
    """Settlings of one trial weigh the same to a kilogram or two: a wider gap is a slip of the pen."""
    groups = [("[[readings]]", trials.readings)]
    groups += [
        (f"{weight_place(weight, number)} readings", weight.readings) for number, weight in enumerate(trials.weights, 1)
    ]
    groups += [(f"[[turns]] {number} readings", turned.readings) for number, turned in enumerate(trials.turns, 1)]
    for where, readings in groups:
        totals = [sum(reading.in_order()) for reading in readings]
        if totals and max(totals) > (1 + TOTALS_APART) * min(totals):
            shown = ", ".join(f"{units.outside(total, 'mass'):.1f}" for total in totals)
            yield Complaint(
                f"the totals of these settlings are more than {100 * TOTALS_APART:g} % apart: {shown} {units.mass}",
                "correct the pad that was written down wrongly, or delete the settling in which a wheel hung free.",
                where,
            )
