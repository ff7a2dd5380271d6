"""The file of lifts: what one axle carried while the other was raised; and the height of the centre of gravity."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Literal

from pydantic import Field, Strict

from ballast.errors import Complaint
from ballast.records.quantities import (
    Distance,
    Height,
    Length,
    Mass,
    NotNegativeMass,
    Number,
    PositiveMass,
    Record,
    UnitsTable,
)
from ballast.units import Units

LEAST_RADIUS, GREATEST_RADIUS = 0.08, 0.8
"""Loaded radii of wheels, from a kart to a lorry. Common practice, no source. [m]"""
TOTALS_APART = 0.01
"""Share by which the total may change while an axle is raised; more, and something else carries the car. Common
practice, no source."""

Axle = Literal["front", "rear"]
Check = Literal["suspension_locked", "wheels_free", "tank"]


class Procedure(Record):
    """[lifts]: which axle was raised, how, and how sure the readings are."""

    date: date
    """the day"""
    raised_axle: Axle
    """"rear" or "front": the axle that was raised; the other one stays on its pads"""
    radius_front: Height
    """middle of the front wheels above the ground, car level on its tyres"""
    radius_rear: Height
    """middle of the rear wheels above the ground, car level on its tyres"""
    suspension_locked: Annotated[bool, Strict()] = False
    """true where rods or blocks held the suspension at ride height"""
    wheels_free: Annotated[bool, Strict()] = False
    """true where the raised wheels could roll: gearbox in neutral, handbrake off, nothing pulling along the floor"""
    tank: Literal["full", "empty"] | None = None
    """"full" or "empty"; left out where it was neither, and the fuel could run to the low end"""
    load_within: NotNegativeMass = 0.5
    """how far the load read on an axle may be off"""
    height_within: Annotated[Distance, Field(ge=0)] = 0.002
    """how far the lifts may be off, all of them measured with the same tape"""
    radius_within: Annotated[Distance, Field(ge=0)] = 0.003
    """how far both radii may be off"""
    note: str = ""
    """anything worth keeping: driver or a substitute mass aboard, who read the pads"""


class AxleReading(Record):
    """The axle that stays on the ground: its load, or its two pads."""

    axle_load: PositiveMass | None = None
    """load on the axle that stays on the ground, both pads together"""
    left: PositiveMass | None = None
    """or left pad of that axle"""
    right: PositiveMass | None = None
    """and right pad of that axle"""

    def load(self) -> float:
        """Load on the axle that stays on the ground; 0 where the file gives none, which is complained about. [kg]"""
        return self.axle_load if self.axle_load is not None else (self.left or 0.0) + (self.right or 0.0)


class Level(AxleReading):
    """[level]: the car on its wheels, before anything is raised."""

    total: PositiveMass
    """total of the car"""


class Raised(AxleReading):
    """[[raised]]: one reading with the other axle raised."""

    height: Annotated[Height, Field(gt=0)]
    """how far the middles of the raised wheels are above where they were level"""
    going: Literal["up", "down"] = "up"
    """"up" for a reading on the way up, "down" on the way back"""
    total: PositiveMass | None = None
    """total of the car then, where the raised wheels stood on pads too: a check that nothing else carried it"""


class Lifts(Record):
    """A file of lifts."""

    units: UnitsTable
    """the units of this file"""
    procedure: Annotated[Procedure, Field(alias="lifts")]
    """which axle, how, and how sure"""
    level: Level
    """the car level"""
    raised: Annotated[tuple[Raised, ...], Field(min_length=1)]
    """one table for each reading; three or more on the way up, and the same on the way down, are worth the time"""

    def not_checked(self) -> tuple[Check, ...]:
        """What the procedure asks for and the file does not say was done."""
        done = self.procedure
        checks: tuple[tuple[Check, bool], ...] = (
            ("suspension_locked", done.suspension_locked),
            ("wheels_free", done.wheels_free),
            ("tank", done.tank is not None),
        )
        return tuple(name for name, there in checks if not there)


def complaints(lifts: Lifts) -> Iterator[Complaint]:
    """What a file of lifts says that no scales and no tape can mean, though each key by itself is fine."""
    units = lifts.units.units()
    for key in ("radius_front", "radius_rear"):
        radius: float = getattr(lifts.procedure, key)
        if not LEAST_RADIUS <= radius <= GREATEST_RADIUS:
            low, high = (units.outside(end, "length") for end in (LEAST_RADIUS, GREATEST_RADIUS))
            yield Complaint(
                f"is not the radius of a wheel ({low:.3g} to {high:.3g} {units.length})",
                "measure from the ground to the middle of the wheel, not across it, and check [units] length.",
                f"[lifts] {key}",
                f"{units.outside(radius, 'length'):g}",
            )
    yield from _load(lifts.level, "[level]", lifts, units)
    for number, raised in enumerate(lifts.raised, start=1):
        where = f"[[raised]] {number}"
        yield from _load(raised, where, lifts, units)
        if raised.total and abs(raised.total - lifts.level.total) > TOTALS_APART * lifts.level.total:
            yield Complaint(
                f"is more than {100 * TOTALS_APART:g} % from the total of the level car, "
                f"{units.outside(lifts.level.total, 'mass'):g} {units.mass}",
                "no lift changes what the car weighs: look for a strap, a stand or a person that carries some of it.",
                f"{where} total",
                f"{units.outside(raised.total, 'mass'):g}",
            )


def _load(reading: AxleReading, where: str, lifts: Lifts, units: Units) -> Iterator[Complaint]:
    pads = (reading.left is not None) + (reading.right is not None)
    if (reading.axle_load is None and pads < 2) or (reading.axle_load is not None and pads):
        grounded = "front" if lifts.procedure.raised_axle == "rear" else "rear"
        yield Complaint(
            "needs the load of the axle on the ground once: axle_load, or left and right",
            f"write axle_load = ..., or what the two {grounded} pads showed: left = ... and right = ...",
            where,
        )
    elif reading.load() >= lifts.level.total:
        yield Complaint(
            "is not less than the total of the car, "
            f"{units.outside(lifts.level.total, 'mass'):g} {units.mass}, and one axle cannot carry it all",
            "check which number is which, that both are loads in the same unit, and that the total is that of the car.",
            f"{where} axle_load",
            f"{units.outside(reading.load(), 'mass'):g}",
        )


class LiftFound(Record):
    """One lift, worked out."""

    height: Length
    """how far it was raised"""
    going: Literal["up", "down"]
    axle_load: Mass
    """on the axle that stayed on the ground"""
    angle: Number
    """how far the car was turned, in degrees"""
    off_the_line: Mass
    """reading less the straight line through all readings"""
    centre_of_gravity_height: Length
    """from this lift alone and the level reading"""


class Further(Record):
    """What higher lifts would give."""

    angle: Number
    """of the highest lift, in degrees"""
    height: Length
    """how far the axle has to be raised for it"""
    uncertain: Length
    """standard uncertainty of the height of the centre of gravity then"""


class MeasuredHeight(Record):
    """The answer of `height`, in the car file's units."""

    units: UnitsTable
    car: str
    date: date
    raised_axle: Axle
    centre_of_gravity_height: Length
    """above the ground, car level"""
    uncertain: Length
    """standard uncertainty of it"""
    in_car_file: Length | None
    """what the car file says now"""
    level_off_the_line: Mass
    """level reading less the straight line"""
    scatter: Mass | None
    """standard deviation of the readings about the line; none when two readings make the line"""
    up_less_down: Mass | None
    """how much more the axle carried on the way up than on the way down, off the line, where both were read"""
    load_within: Mass
    """how far an axle load may be off, as the file says or by default"""
    height_within: Length
    """the same of the lifts"""
    radius_within: Length
    """the same of the radii"""
    lifts: tuple[LiftFound, ...]
    further: Further | None
    """what it would take to reach the angle from which lifts are worth it, and what that gives; none where reached"""
    not_checked: tuple[Check, ...]
    """what the procedure asks for and the file does not say was done"""


class BothAxles(Record):
    """The answer of `height` from two files of lifts, one for each axle raised; in the car file's units."""

    units: UnitsTable
    car: str
    centre_of_gravity_height: Length
    """mean of the two, each counted by how sure it is"""
    uncertain: Length
    """standard uncertainty of it; says little where the two do not agree"""
    in_car_file: Length | None
    """what the car file says now"""
    apart: Length
    """the first height less the second"""
    apart_uncertain: Length
    """standard uncertainty of that"""
    agree: bool
    """whether the two differ by no more than their readings allow (95 %)"""
    axles: tuple[MeasuredHeight, MeasuredHeight]
    """each by itself, in the order of the files"""
