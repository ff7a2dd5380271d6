"""The rulebook file: the limits of one class, each with its clause, its source and the day it was checked."""

from datetime import date
from typing import Annotated

from pydantic import Field, Strict

from ballast.records.quantities import Name, PositiveMass, Record, UnitsTable
from ballast.records.weighing import DriverState


class Title(Record):
    """[rulebook]: what these rules are."""

    name: Name
    """what the class or its rules are called"""
    template: Annotated[bool, Strict()] = False
    """true for a template: the current book and its scrutineers decide"""
    note: str = ""
    """what is left out, and anything else the reader must know"""


class MinimumWeight(Record):
    """[minimum_weight]: the least total, and the state in which the car is weighed for it."""

    mass: PositiveMass
    """the least total"""
    driver: DriverState
    """"in" or "out": whether the driver, in kit, is part of that total"""
    state: str = ""
    """the rest of the state in words: fuel, fluids, tyres, as the rule puts it"""
    clause: Name
    """number of the clause"""
    source: Name
    """the document, with its edition"""
    checked: date
    """the day somebody read that clause in that document"""


class Rulebook(Record):
    """A rulebook file."""

    units: UnitsTable
    """the units of this file"""
    title: Annotated[Title, Field(alias="rulebook")]
    """what these rules are"""
    minimum_weight: MinimumWeight | None = None
    """the least total"""
