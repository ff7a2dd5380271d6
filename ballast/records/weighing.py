"""The weigh-in file: one visit to the pads."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from ballast.corners import CORNERS
from ballast.errors import Complaint
from ballast.records.quantities import Count, Name, PositiveMass, Record, UnitsTable

DriverState = Literal["in", "out"]


class Visit(Record):
    """[weigh_in]: when the car was weighed, and in which state."""

    date: date
    """the day of the weigh-in"""
    driver: DriverState | None = None
    """"in" with the driver in kit, or a substitute mass, in the seat; "out" with the seat empty"""
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
    fitted: tuple[Fitted, ...] = ()
    """plates that were on board"""


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
            yield Complaint(f"more than the {fitted.count} fitted", "lower it.", f"{where} stay", str(fitted.stay))
