"""The rulebook file: the limits of one class, each with its clause, its source and the day it was checked."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, Strict

from ballast.errors import Complaint
from ballast.records.quantities import (
    Count,
    Distance,
    Name,
    Percent,
    PositiveFactor,
    PositiveLength,
    PositiveMass,
    Record,
    UnitsTable,
)
from ballast.records.state import DriverState, FuelState, Material, Strength, Thread


def _one_or_many(value: Any) -> Any:
    """[minimum_weight] for one, [[minimum_weight]] for several: both are read."""
    return [value] if isinstance(value, dict | Record) else value


class Title(Record):
    """[rulebook]: what these rules are."""

    name: Name
    """what the class or its rules are called"""
    body: str = ""
    """who issues the rules"""
    edition: str = ""
    """year or edition of the book"""
    template: Annotated[bool, Strict()] = False
    """true for a template: the current book and its scrutineers decide"""
    note: str = ""
    """what is left out, and anything else the reader must know"""


class Ruled(Record):
    """What every limit carries, so that anybody can look it up."""

    clause: Name
    """number of the clause"""
    source: Name
    """the document, with its edition"""
    checked: date
    """the day somebody read that clause in that document"""


class InState(Ruled):
    """A limit that holds for the car in one state."""

    driver: DriverState
    """"in" or "out": whether the driver, in kit, is aboard"""
    fuel: FuelState | None = None
    """"as it finishes", "drained" or "full"; without it, any"""
    spares: Count | None = None
    """how many spare wheels are aboard; without it, any number"""
    state: str = ""
    """the rest of the state in words: fluids, tyres, as the rule puts it"""


class MinimumWeight(InState):
    """[minimum_weight]: the least total, and the state in which the car is weighed for it. [[...]] for several."""

    name: Name = "minimum weight"
    """what to call it where there are several, such as "car alone" and "car with crew" """
    mass: PositiveMass
    """the least total"""


class LeastMass(InState):
    """[front_axle] or [right_side]: the least mass there."""

    least: PositiveMass
    """the least mass"""


class GreatestShare(InState):
    """[left_share] or [rear_share]: the greatest percentage there."""

    greatest: Percent
    """the greatest percentage of the total"""


class BallastTotal(Ruled):
    """[ballast_total]: the greatest mass of ballast."""

    greatest: PositiveMass
    """the greatest mass of all ballast"""
    hardware_counts: Annotated[bool, Strict()]
    """whether bolts, clamp plates and brackets count as ballast"""


class BallastPiece(Ruled):
    """[ballast_piece]: how heavy one plate may be."""

    greatest: PositiveMass | None = None
    """the greatest mass of one piece"""
    least: PositiveMass | None = None
    """the least mass of one piece"""


class BallastStack(Ruled):
    """[ballast_stack]: how high plates may be stacked."""

    greatest: PositiveLength
    """the greatest height of a stack"""


class BallastMaterial(Ruled):
    """[ballast_material]: what plates may not be made of."""

    barred: Annotated[tuple[Material, ...], Field(min_length=1)]
    """materials that are not allowed"""


Range = tuple[Distance, Distance]


class BallastZone(Ruled):
    """[[ballast_zone]]: one place where ballast is allowed. Where there is one, ballast is allowed nowhere else."""

    name: Name
    """what the rule calls the place; a mount names it in zone"""
    behind_front_axle: Range | None = None
    """from and to, behind the front axle line"""
    left_of_centre: Range | None = None
    """from and to, left of the centre line; the lesser (more to the right) first"""
    above_ground: Range | None = None
    """from and to, above the ground"""
    by_name: Annotated[bool, Strict()] = False
    """true where no box can say it (such as "cockpit floor"): a mount that names the zone counts as being in it"""


class BallastFixing(Ruled):
    """[[ballast_fixing]]: how ballast is bolted down."""

    bolts: Annotated[Count, Field(gt=0)]
    """how many bolts"""
    for_each: PositiveMass | None = None
    """for each so much mass of a stack with its hardware, or part of it; without it, for a stack, whatever it weighs"""
    above: PositiveMass | None = None
    """only for pieces heavier than this"""
    thread: Thread | None = None
    """least size of bolt, such as "M8" or "3/8 in" """
    strength: Strength | None = None
    """least class or grade, such as "8.8" or "grade 5" """
    washer: PositiveLength | None = None
    """least diameter of the washers"""


class ToSee(Ruled):
    """[[to_see]]: what a scrutineer looks at and no program can check: seals, marking, lock nuts, visibility."""

    what: Name
    """the requirement in words"""


class SuccessBallast(Ruled):
    """[success_ballast]: mass that has to be carried at a prescribed place."""

    mass: PositiveMass
    """the mass, carried beside the plates of the box"""
    behind_front_axle: Distance
    """where it has to stand"""
    left_of_centre: Distance
    """where it has to stand; negative to the right"""


class LoadFactors(Ruled):
    """[load_factors]: what fixings have to withstand, in multiples of gravity."""

    forward: PositiveFactor
    """how many times its own weight a stack pushes forward"""
    rearward: PositiveFactor
    """the same, rearward"""
    sideways: PositiveFactor
    """the same, to either side"""
    up: PositiveFactor
    """the same, upward"""


class Rulebook(Record):
    """A rulebook file."""

    units: UnitsTable
    """the units of this file"""
    title: Annotated[Title, Field(alias="rulebook")]
    """what these rules are"""
    minima: Annotated[tuple[MinimumWeight, ...], BeforeValidator(_one_or_many), Field(alias="minimum_weight")] = ()
    """the least totals"""
    front_axle: LeastMass | None = None
    """the least mass on the front axle"""
    right_side: LeastMass | None = None
    """the least mass on the right side"""
    left_share: GreatestShare | None = None
    """the greatest percentage on the left side"""
    rear_share: GreatestShare | None = None
    """the greatest percentage on the rear axle"""
    ballast_total: BallastTotal | None = None
    """the greatest mass of ballast"""
    ballast_piece: BallastPiece | None = None
    """how heavy one plate may be"""
    ballast_stack: BallastStack | None = None
    """how high plates may be stacked"""
    ballast_material: BallastMaterial | None = None
    """what plates may not be made of"""
    zones: Annotated[tuple[BallastZone, ...], BeforeValidator(_one_or_many), Field(alias="ballast_zone")] = ()
    """where ballast is allowed"""
    fixings: Annotated[tuple[BallastFixing, ...], BeforeValidator(_one_or_many), Field(alias="ballast_fixing")] = ()
    """how ballast is bolted down"""
    load_factors: LoadFactors | None = None
    """what fixings have to withstand"""
    success_ballast: SuccessBallast | None = None
    """mass that has to be carried at a prescribed place"""
    to_see: Annotated[tuple[ToSee, ...], BeforeValidator(_one_or_many)] = ()
    """what only the eye can check"""


def complaints(book: Rulebook) -> Iterator[Complaint]:
    """What a rulebook says that no rules can mean, though each key by itself is fine."""
    units = book.units.units()
    piece = book.ballast_piece
    if piece and piece.least is None and piece.greatest is None:
        yield Complaint("says nothing", "write least, greatest or both, or leave the table out.", "[ballast_piece]")
    if piece and piece.least is not None and piece.greatest is not None and piece.least > piece.greatest:
        yield Complaint(
            f"is above the greatest ({units.outside(piece.greatest, 'mass'):g} {units.mass}), so no piece is allowed",
            "look at the clause again: the two are probably exchanged.",
            "[ballast_piece] least",
            f"{units.outside(piece.least, 'mass'):g}",
        )
    for name, times in Counter(minimum.name for minimum in book.minima).items():
        if times > 1:
            yield Complaint(
                f"{times} minima are called that",
                'name each by its state, such as "car alone" and "car with crew".',
                "[[minimum_weight]] name",
                f'"{name}"',
            )
    for number, rule in enumerate(book.fixings, start=1):
        if rule.for_each is not None and rule.above is not None:
            yield Complaint(
                "gives both for_each and above, and how they go together no clause that was read says",
                "keep one of the two, or write two [[ballast_fixing]] tables.",
                f"[[ballast_fixing]] {number}",
            )
    for zone in book.zones:
        yield from _zone(zone)


def _zone(zone: BallastZone) -> Iterator[Complaint]:
    where = f"[[ballast_zone]] '{zone.name}'"
    ranges = {
        "behind_front_axle": zone.behind_front_axle,
        "left_of_centre": zone.left_of_centre,
        "above_ground": zone.above_ground,
    }
    if not zone.by_name and not any(ranges.values()):
        yield Complaint(
            "has no box",
            "write behind_front_axle = [from, to], left_of_centre or above_ground; or by_name = true, and name the "
            "zone in the mounts that are in it.",
            where,
        )
    for key, ends in ranges.items():
        if ends and ends[0] > ends[1]:
            fix = "write the lesser end first; right of the centre line is negative, so further right is less."
            fix = fix if key == "left_of_centre" else "write the lesser end first."
            yield Complaint("runs backwards", fix, f"{where} {key}")
