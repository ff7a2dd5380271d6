"""The box of plates and the mounts they may stand on."""

from typing import Annotated

from pydantic import Field, Strict

from ballast.records.quantities import (
    Count,
    Distance,
    Name,
    NotNegativeMass,
    Place,
    PositiveLength,
    PositiveMass,
    Record,
    Stack,
    Thickness,
)
from ballast.records.state import Material, Strength, Thread


class Plate(Record):
    """[[plates]]: one kind of plate in the box. Plates weighed one by one are kinds of one."""

    name: Name
    """what the plate is called, on the plate and on the sheet"""
    mass: PositiveMass
    """mass of one plate, as weighed"""
    count: Count
    """how many are owned, those already fitted included"""
    kind: Name | None = None
    """a word several plates may share, such as the pattern of their holes, for the mounts to name"""
    thickness: Thickness | None = None
    """thickness of one plate; needed where a mount limits its stack"""
    mass_within: NotNegativeMass = 0.0
    """how far that mass may be off: the step of the scale it was weighed on"""
    material: Material | None = None
    """what the plate is made of, such as "steel" or "lead" """


class Bolts(Record):
    """bolts of a mount: { count = 2, thread = "M8", strength = "8.8" }."""

    count: Annotated[Count, Field(gt=0)]
    """how many"""
    thread: Thread
    """size, such as "M8" or "3/8 in" """
    strength: Strength
    """class or grade, such as "8.8" or "grade 5" """
    washer: PositiveLength | None = None
    """diameter of the washers"""
    plain_shank: Annotated[bool, Strict()] = False
    """true when the plates bear on the plain shank, not on the thread"""


class Mount(Place):
    """[[mounts]]: one place where plates can be bolted. above_ground is the underside of its stack."""

    name: Name
    """what the mount is called"""
    capacity: PositiveMass
    """greatest mass the mount may carry, its plates and its fixing hardware together"""
    stack: Stack | None = None
    """greatest height of the stack of plates"""
    pieces: Count | None = None
    """greatest number of plates"""
    takes: Annotated[tuple[Name, ...], Field(min_length=1)] | None = None
    """names or kinds of the plates that fit here; without it, all of them do"""
    fixing_mass: NotNegativeMass = 0.0
    """mass of the bolts, clamp plate and bracket that are on the car only while plates stand here"""

    bolts: Bolts | None = None
    """what holds the plates down"""
    zone: Name | None = None
    """the rulebook's name for this place"""
    place_within: Annotated[Distance, Field(ge=0)] = 0.01
    """how far the tape may be off, either way"""
    changes_with_driver: Annotated[bool, Strict()] = False
    """true where the plates are changed when the driver changes"""

    def accepts(self, plate: Plate) -> bool:
        """Whether a plate of this kind fits here at all."""
        return self.takes is None or plate.name in self.takes or (plate.kind is not None and plate.kind in self.takes)
