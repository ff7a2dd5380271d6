"""The weigh-in file: one visit to the pads."""

from collections.abc import Iterator
from datetime import date
from statistics import fmean
from typing import Annotated

from pydantic import Field

from ballast.corners import CORNERS
from ballast.errors import Complaint
from ballast.records import pads as pads_records
from ballast.records.crew import Fuel, Substitute
from ballast.records.pads import Checked, Pads
from ballast.records.quantities import (
    ONE_OR_MANY,
    Count,
    Name,
    NotNegativeMass,
    PositiveMass,
    Record,
    UnitsTable,
)
from ballast.records.state import DriverState, FuelState
from ballast.records.suspension import Bars

TOTALS_APART = 0.05
"""Share by which totals of settlings may differ before they cannot be one car. Common practice, no source."""


class Visit(Record):
    """[weigh_in]: when the car was weighed, and in which state."""

    date: date
    """the day of the weigh-in"""
    driver: DriverState | None = None
    """"in" with the driver in kit, or a substitute mass, in the seat; "out" with the seat empty"""
    fuel: FuelState | None = None
    """"as it finishes", "drained" or "full": the tank at the weigh-in"""
    seated: Name | None = None
    """which of the car file's drivers was aboard; may be left out where there is one"""
    driver_mass: PositiveMass | None = None
    """mass of the driver in kit, so that a minimum for the other state of the seat can be answered too; not needed
    where the car file has [[drivers]]"""
    bars: Bars | None = None
    """"connected" or "disconnected": the anti-roll bars at the weigh-in; asked for where the car file has one"""
    spares: Count | None = None
    """how many spare wheels were aboard"""
    spare_mass: PositiveMass | None = None
    """mass of one spare wheel, so that a minimum with another number of them can be answered too"""
    success_ballast: NotNegativeMass = 0.0
    """how much of the rulebook's success ballast was on board, at its prescribed place"""
    driver_ballast: NotNegativeMass = 0.0
    """how much of the rulebook's driver ballast was on board, at its prescribed place"""
    note: str = ""
    """anything worth keeping: fuel, tyres, who read the pads"""


class Reading(Record):
    """[[readings]]: the four pads after one settling of the car."""

    LF: PositiveMass
    """left front pad"""
    RF: PositiveMass
    """right front pad"""
    LR: PositiveMass
    """left rear pad"""
    RR: PositiveMass
    """right rear pad"""

    def in_order(self) -> tuple[float, ...]:
        """The four loads in the order of CORNERS. [kg]"""
        return tuple(getattr(self, corner) for corner in CORNERS)


class Fitted(Record):
    """[[fitted]]: plates of one kind that stood on one mount when the car was weighed."""

    mount: Name
    """name of the mount"""
    plate: Name
    """name of the plate"""
    count: Annotated[Count, Field(gt=0)]
    """how many of them"""
    stay: Count = 0
    """how many of them must stay where they are"""


class WeighIn(Record):
    """A weigh-in file."""

    units: UnitsTable
    """the units of this file"""
    visit: Annotated[Visit, Field(alias="weigh_in")]
    """when, and in which state"""
    readings: Annotated[tuple[Reading, ...], Field(min_length=1)]
    """one table for each settling; three are worth the time"""
    turned: tuple[Reading, ...] = ()
    """the same again with car and pads turned by 180 degrees, each pad still under its own corner of the car"""
    fitted: tuple[Fitted, ...] = ()
    """plates that were on board"""
    fuel: Annotated[tuple[Fuel, ...], ONE_OR_MANY] = ()
    """what was in the tanks"""
    substitute: Substitute | None = None
    """a mass that stood in for the driver"""
    pads: Pads = Pads()
    """how good the pads are, and what was tried on them"""
    checked: Checked | None = None
    """what was checked before the pads were read"""

    def as_read(self) -> tuple[tuple[float, ...], ...]:
        """What the pads showed in every settling, turned ones last, before any correction. (n, 4) [kg]"""
        rows = self.pads.corrected.as_read if self.pads.corrected else (*self.readings, *self.turned)
        return tuple(row.in_order() for row in rows)


def complaints(weigh_in: WeighIn) -> Iterator[Complaint]:
    """What a weigh-in says that no visit to the pads can mean, though each key by itself is fine."""
    seen: set[tuple[str, str]] = set()
    for number, fitted in enumerate(weigh_in.fitted, start=1):
        where = f"[[fitted]] {number}"
        if (fitted.mount, fitted.plate) in seen:
            yield Complaint(
                f"plate '{fitted.plate}' on mount '{fitted.mount}' stands there twice",
                "make one table of the two, with the counts added up.",
                where,
            )
        seen.add((fitted.mount, fitted.plate))
        if fitted.stay > fitted.count:
            yield Complaint(
                f"is more than the {fitted.count} fitted",
                "stay says how many of the fitted ones must not be moved: lower it, or count again.",
                f"{where} stay",
                str(fitted.stay),
            )
    yield from _state(weigh_in)
    yield from _settlings_apart(weigh_in)
    mean = tuple(map(fmean, zip(*(reading.in_order() for reading in weigh_in.readings), strict=True)))
    yield from pads_records.complaints(weigh_in.pads, mean, weigh_in.units)


def _state(weigh_in: WeighIn) -> Iterator[Complaint]:
    """Who sat in the car, and what was in its tanks: said once."""
    visit, substitute = weigh_in.visit, weigh_in.substitute
    if substitute and visit.driver != "in":
        yield Complaint(
            "stood in for the driver, but [weigh_in] does not say that the seat was taken",
            'write driver = "in" below [weigh_in], or take [substitute] out.',
            "[substitute]",
        )
    if substitute and visit.seated:
        yield Complaint(
            "is named beside [substitute], and one seat takes one of them",
            "keep the one that was aboard.",
            "[weigh_in] seated",
            f'"{visit.seated}"',
        )
    if visit.seated and visit.driver == "out":
        fix = 'write driver = "in", or take seated out.'
        what = 'sat in the car, and driver is "out"'
        yield Complaint(what, fix, "[weigh_in] seated", f'"{visit.seated}"')
    if weigh_in.fuel and visit.fuel:
        yield Complaint(
            "says in a word what [fuel] says in numbers",
            "keep the numbers, they say more.",
            "[weigh_in] fuel",
            f'"{visit.fuel}"',
        )


def _settlings_apart(weigh_in: WeighIn) -> Iterator[Complaint]:
    """Totals repeat to a kilogram or two: a wider gap is a slip of the pen, or another state of the car."""
    totals = [sum(reading.in_order()) for reading in (*weigh_in.readings, *weigh_in.turned)]
    if max(totals) > (1 + TOTALS_APART) * min(totals):
        units = weigh_in.units.units()
        shown = ", ".join(f"{units.outside(total, 'mass'):.1f}" for total in totals)
        yield Complaint(
            f"the totals of the settlings are more than {100 * TOTALS_APART:g} % apart: {shown} {units.mass}",
            "correct the pad that was written down wrongly, or delete the settling in which the car was in another "
            "state or a wheel hung free.",
            "[[readings]]",
        )
