"""Who drives, and what burns: the two things that change a car between two set-ups."""

from typing import Annotated, Literal

from pydantic import Field

from ballast.records.quantities import (
    Distance,
    Factor,
    Name,
    NotNegativeMass,
    Place,
    PositiveFactor,
    PositiveMass,
    Record,
    Volume,
)

FuelPoint = Literal["start", "balance", "flag"]
"""Points of a stint: the start, where the balance is wanted, and the flag."""


class Seated(Place):
    """What sits in the seat; the place is the middle of its mass."""

    mass: PositiveMass
    """mass in kit: overalls, helmet, head restraint"""
    mass_within: NotNegativeMass = 0.0
    """how far that mass may be off"""
    place_within: Annotated[Distance, Field(ge=0)] = 0.02
    """how far the place may be off, either way"""


class Driver(Seated):
    """[[drivers]]: one driver, in kit. The place is the middle of the driver's mass in the seat."""

    name: Name
    """what the driver is called on the sheet"""
    insert_mass: NotNegativeMass = 0.0
    """mass of the seat insert that comes and goes with this driver, at the same place"""
    pedals_behind_front_axle: Distance | None = None
    """where the feet are, behind the front axle line; with it, part of the mass counts there"""
    at_pedals: NotNegativeMass = 8.0
    """the part of the driver's mass that the legs carry to the pedals, where that place is given"""
    driving_time: PositiveFactor = 1.0
    """how much this driver drives, in any unit that is the same for all: hours, stints"""


class Substitute(Seated):
    """[substitute]: a mass that stood in for the driver at the weigh-in."""

    mass: PositiveMass
    """what it weighs: ballast bags, or somebody who is none of the drivers"""


class Tank(Place):
    """[[tanks]]: one tank; the place is the middle of its fuel."""

    name: Name
    """what the tank is called"""
    volume: Volume
    """what it holds when full"""
    at_start: Volume | None = None
    """what is in it at the start; without it, it is full"""
    at_balance: Volume | None = None
    """what is in it where the balance is wanted; without it, half way from the start to the flag"""
    at_flag: Volume = 0.0
    """what is left in it at the flag"""
    at_flag_within: Volume = 0.5
    """how far that may be off"""
    sample: Volume = 0.0
    """what the scrutineers take out of it before the car is weighed"""
    density: Annotated[PositiveFactor, Field(ge=0.4, le=1.2)] = 0.75
    """kilograms in a litre; petrol to EN 228 has 0.720 to 0.775 at 15 C"""
    density_within: Factor = 0.03
    """how far that may be off"""

    def at(self, point: FuelPoint) -> float:
        """What is in the tank at a point of the stint; at the flag, less the sample. [L]"""
        start = self.volume if self.at_start is None else self.at_start
        match point:
            case "start":
                return start
            case "balance":
                return (start + self.at_flag) / 2 if self.at_balance is None else self.at_balance
            case "flag":
                return max(self.at_flag - self.sample, 0.0)


class Fuel(Record):
    """[[fuel]]: what was in a tank at the weigh-in. [fuel] for a car with one tank."""

    tank: Name | None = None
    """name of the tank; may be left out where there is one"""
    volume: Volume
    """what was in it"""
    volume_within: Volume = 0.5
    """how far that may be off"""
