"""The weigh-in file: one visit to the pads."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from ballast.corners import CORNERS
from ballast.errors import Complaint
from ballast.records.quantities import (
    Count,
    Factor,
    Name,
    NotNegativeMass,
    PositiveFactor,
    PositiveMass,
    PositivePoints,
    Record,
    UnitsTable,
)
from ballast.records.state import DriverState, FuelState

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
    driver_mass: PositiveMass | None = None
    """mass of the driver in kit, so that a minimum for the other state of the seat can be answered too"""
    spares: Count | None = None
    """how many spare wheels were aboard"""
    spare_mass: PositiveMass | None = None
    """mass of one spare wheel, so that a minimum with another number of them can be answered too"""
    note: str = ""
    """anything worth keeping: fuel, tyres, who read the pads"""


class Fuel(Record):
    """[fuel]: what was in the tank at the weigh-in, so that a minimum for a drained tank can be answered too."""

    litres: Factor
    """litres in the tank"""
    litres_within: Factor = 0.5
    """how many litres that may be off"""
    density: PositiveFactor = 0.75
    """kilograms in a litre; petrol to EN 228 has 0.720 to 0.775 at 15 C"""
    density_within: Factor = 0.03
    """how far that may be off"""


class Pads(Record):
    """[pads]: what the maker or the last calibration says of the pads."""

    resolution: NotNegativeMass = 0.0
    """step of the display"""
    accuracy: NotNegativeMass = 0.0
    """greatest error of one pad, as stated for it"""
    gain_within: PositivePoints | None = None
    """percent by which all pads together may be off, from a common indicator or calibration"""
    instrument: Literal["class III", "class III in service"] | None = None
    """take the error limits of a weighing instrument of class III (OIML R 76) instead of accuracy"""
    interval: PositiveMass | None = None
    """verification scale interval e of that instrument"""


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
    fitted: tuple[Fitted, ...] = ()
    """plates that were on board"""
    fuel: Fuel | None = None
    """what was in the tank"""
    pads: Pads = Pads()
    """how good the pads are"""


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
    yield from _settlings_apart(weigh_in)
    if weigh_in.pads.instrument and weigh_in.pads.interval is None:
        yield Complaint(
            "is needed, because the error limits of an instrument count in it",
            "write the interval e from the instrument's plate.",
            "[pads] interval",
        )


def _settlings_apart(weigh_in: WeighIn) -> Iterator[Complaint]:
    """Totals repeat to a kilogram or two: a wider gap is a slip of the pen, or another state of the car."""
    totals = [sum(reading.in_order()) for reading in weigh_in.readings]
    if max(totals) > (1 + TOTALS_APART) * min(totals):
        units = weigh_in.units.units()
        shown = ", ".join(f"{units.outside(total, 'mass'):.1f}" for total in totals)
        yield Complaint(
            f"the totals of the settlings are more than {100 * TOTALS_APART:g} % apart: {shown} {units.mass}",
            "correct the pad that was written down wrongly, or delete the settling in which the car was in another "
            "state or a wheel hung free.",
            "[[readings]]",
        )
