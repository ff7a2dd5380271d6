"""The file of changes: what has been done to the car since it was weighed."""

from collections import Counter
from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from ballast.errors import Complaint
from ballast.records.quantities import (
    Count,
    Distance,
    Name,
    NotNegativeMass,
    Place,
    PositiveMass,
    Record,
    UnitsTable,
)

Carrier = Literal["chassis", "LF", "RF", "LR", "RR"]


class Part(Record):
    """[[removed]] or [[added]]: a part taken off or put on."""

    name: Name
    """what it is"""
    mass: PositiveMass
    """what it weighs"""
    mass_within: NotNegativeMass = 0.0
    """how far that may be off"""
    carried_by: Carrier = "chassis"
    """"chassis", or the wheel that carries it, such as "RR", for hubs, brakes, wheels and tyres"""
    behind_front_axle: Distance | None = None
    """the middle of its mass, behind the front axle line; needed where the chassis carries it"""
    left_of_centre: Distance | None = None
    """the same, left of the centre line; negative to the right"""
    above_ground: Distance | None = None
    """the same, above the ground"""
    place_within: Annotated[Distance, Field(ge=0)] = 0.02
    """how far the place may be off, either way"""


class MovedPart(Record):
    """[[moved]]: a part that has another place now."""

    name: Name
    """what it is"""
    mass: PositiveMass
    """what it weighs"""
    start: Annotated[Place, Field(alias="from")]
    """where it was"""
    end: Annotated[Place, Field(alias="to")]
    """where it is now"""
    place_within: Annotated[Distance, Field(ge=0)] = 0.005
    """how far the distance it was moved may be off"""


class Placed(Record):
    """[[placed]]: how many plates of one kind stand on a mount now; 0 when they were taken off."""

    mount: Name
    """name of the mount"""
    plate: Name
    """name of the plate"""
    count: Count
    """how many stand there now"""
    driver: Name | None = None
    """on a mount that changes with the driver: whose plates these are; without it, everybody's"""


class Changed(Record):
    """A file of changes."""

    units: UnitsTable
    """the units of this file"""
    removed: tuple[Part, ...] = ()
    """parts taken off"""
    added: tuple[Part, ...] = ()
    """parts put on"""
    moved: tuple[MovedPart, ...] = ()
    """parts that have another place now"""
    placed: tuple[Placed, ...] = ()
    """plates that were moved by hand since the weigh-in; what is not named stands as it was"""


def complaints(changed: Changed) -> Iterator[Complaint]:
    """What a file of changes says that nobody can have done, though each key by itself is fine."""
    for table, parts in (("removed", changed.removed), ("added", changed.added)):
        for number, part in enumerate(parts, start=1):
            where = f"[[{table}]] {number} '{part.name}'"
            placeless = part.behind_front_axle is None or part.left_of_centre is None
            if part.carried_by == "chassis" and placeless:
                yield Complaint(
                    "needs behind_front_axle and left_of_centre, because the chassis carries it",
                    'measure to the middle of the part; or name the wheel that carries it: carried_by = "RR".',
                    where,
                )
    for (mount, plate, driver), times in Counter((row.mount, row.plate, row.driver) for row in changed.placed).items():
        if times > 1:
            yield Complaint(
                f"plate '{plate}' on mount '{mount}' stands there {times} times"
                + (f", for {driver}" if driver else ""),
                "make one table of them: count is how many stand there now.",
                "[[placed]]",
            )
    if not (changed.removed or changed.added or changed.moved or changed.placed):
        yield Complaint("changes nothing", "add a table [[removed]], [[added]], [[moved]] or [[placed]].")
