"""The rulebook file: the limits of one class, each with its clause, its source and the day it was checked."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from typing import Annotated, Literal

from pydantic import Field, Strict

from ballast.errors import Complaint
from ballast.records.quantities import (
    ONE_OR_MANY,
    Count,
    Distance,
    Height,
    Name,
    NotNegativeMass,
    Percent,
    PositiveFactor,
    PositiveLength,
    PositiveMass,
    Record,
    UnitsTable,
)
from ballast.records.state import DriverState, FuelState, Material, Strength, Thread


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
Way = Literal["each driver", "crew mean", "team total"]
Rounding = Literal["up", "nearest", "down", "none"]


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


class Prescribed(Ruled):
    """Mass that the rules want carried, beside the plates of the box where they say at which place."""

    behind_front_axle: Distance | None = None
    """where it has to stand"""
    left_of_centre: Distance | None = None
    """where it has to stand; negative to the right"""
    above_ground: Height | None = None
    """where it has to stand; without it, the height of the centre of gravity is not foreseen"""

    @property
    def place(self) -> tuple[float, float] | None:
        """Where it has to stand, aft and left; none where the place is free. [m]"""
        if self.behind_front_axle is None or self.left_of_centre is None:
            return None
        return self.behind_front_axle, self.left_of_centre


class SuccessBallast(Prescribed):
    """[success_ballast]: mass that results bring, at a prescribed place; without one, plates of the box carry it."""

    mass: NotNegativeMass
    """the mass; 0 while there is none"""
    on_top: Annotated[bool, Strict()] = True
    """true where the minimum weight rises by it; false where it counts towards the minimum"""


class DriverBallast(Prescribed):
    """[driver_ballast]: what light drivers carry, so that all are alike. It is no free ballast."""

    way: Way
    """"each driver", "crew mean" or "team total": what is compared with the reference"""
    reference: PositiveMass
    """mass in kit of the driver, or mean or total of the crew, from which on nothing is carried"""
    rounding: Rounding
    """"up", "nearest", "down" to whole steps, or "none" """
    step: PositiveMass | None = None
    """the step it is rounded to, such as 1 kg"""
    counted: Annotated[Count, Field(gt=0)] | None = None
    """how many drivers a team total is taken over; a smaller crew counts its lightest again"""
    on_top: Annotated[bool, Strict()]
    """true where it comes on top of the minimum weight; false where it counts towards the minimum"""


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
    minima: Annotated[tuple[MinimumWeight, ...], ONE_OR_MANY, Field(alias="minimum_weight")] = ()
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
    zones: Annotated[tuple[BallastZone, ...], ONE_OR_MANY, Field(alias="ballast_zone")] = ()
    """where ballast is allowed"""
    fixings: Annotated[tuple[BallastFixing, ...], ONE_OR_MANY, Field(alias="ballast_fixing")] = ()
    """how ballast is bolted down"""
    load_factors: LoadFactors | None = None
    """what fixings have to withstand"""
    success_ballast: SuccessBallast | None = None
    """mass that results bring"""
    driver_ballast: DriverBallast | None = None
    """what light drivers carry"""
    to_see: Annotated[tuple[ToSee, ...], ONE_OR_MANY] = ()
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
    for table, wanted in (("success_ballast", book.success_ballast), ("driver_ballast", book.driver_ballast)):
        if wanted and (wanted.behind_front_axle is None) != (wanted.left_of_centre is None):
            key = "left_of_centre" if wanted.left_of_centre is None else "behind_front_axle"
            yield Complaint(
                "is missing, and half a place is none",
                f"write {key} too; or leave both out, where plates of the box may carry it anywhere.",
                f"[{table}] {key}",
            )
        if wanted and wanted.place is None and not wanted.on_top:
            yield Complaint(
                "asks for nothing: it has no place, and counts towards the minimum",
                "write behind_front_axle and left_of_centre, where it has to stand; or on_top = true, where the "
                "minimum rises by it.",
                f"[{table}]",
            )
    if book.driver_ballast:
        yield from _driver_ballast(book.driver_ballast)
    for zone in book.zones:
        yield from _zone(zone)


def _driver_ballast(rule: DriverBallast) -> Iterator[Complaint]:
    if (rule.step is None) != (rule.rounding == "none"):
        fix = 'write step = ..., what it is rounded to; or rounding = "none".'
        fix = fix if rule.step is None else 'write rounding = "up", "nearest" or "down", or leave step out.'
        what = "is needed to round" if rule.step is None else "rounds nothing"
        yield Complaint(what, fix, "[driver_ballast] step")
    if rule.counted is not None and rule.way != "team total":
        fix = 'leave it out, or write way = "team total".'
        yield Complaint("is for a team total only", fix, "[driver_ballast] counted")


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
