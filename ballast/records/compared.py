"""A re-weigh against the plan: what was foreseen, what the pads show, and what explains the difference."""

from datetime import date
from typing import Literal

from ballast.corners import Corner
from ballast.records.plan import Change
from ballast.records.quantities import (
    Dimensioned,
    Length,
    Mass,
    Name,
    Number,
    Record,
    Share,
    UnitsTable,
    Value,
    Volume,
)
from ballast.records.suspension import Bars
from ballast.records.weighed import CaseLoads

CauseKind = Literal[
    "plate less",
    "plate more",
    "another plate",
    "mount empty",
    "change not made",
    "plan not carried out",
    "plates of the plan",
    "plate elsewhere",
    "stack elsewhere",
    "stacks exchanged",
    "side mistyped",
    "end mistyped",
    "inches",
    "numbers exchanged",
    "pads exchanged",
    "pad off",
    "nobody aboard",
    "driver aboard",
    "driver and plates",
    "plates of another driver",
    "fuel",
    "ballast by rule",
    "warp",
    "something else",
]
"""What may be behind a difference."""
ComparedName = Literal["LF", "RF", "LR", "RR", "total", "front", "left", "RF+LR", "behind front axle", "left of centre"]
"""A corner, a percentage, a diagonal, or where the centre of gravity is."""
Unsaid = Literal["driver", "fuel", "spares"]


class ComparedFigure(Dimensioned):
    """One figure: foreseen, measured, and what lies between."""

    figure: ComparedName
    predicted: Value
    measured: Value
    difference: Value
    """measured less predicted"""
    within: Value
    """half of the 95 % interval of the difference: both weighings, plates, places and springs"""
    inside: bool
    """whether the difference lies in that interval"""


class Where(Record):
    """One way a cause may have come about; what does not matter to it is null."""

    mount: Name | None = None
    other_mount: Name | None = None
    """where plates stand instead, or with which mount they were exchanged"""
    plate: Name | None = None
    other_plate: Name | None = None
    """which plate stands there instead"""
    driver: Name | None = None
    tank: Name | None = None
    corners: tuple[Corner, ...] = ()
    mass: Mass
    """what it changes in the total, as fitted to the readings; less is negative"""
    volume: Volume | None = None
    """of fuel, what was in the tank then"""
    share: Share | None = None
    """of a pad that is off, by how much it reads too high"""
    behind_front_axle: Length | None = None
    left_of_centre: Length | None = None
    """of something that the files do not know, where it would be"""


class Cause(Record):
    """A cause that explains the difference, with every place where it would explain it about as well."""

    kind: CauseKind
    warped: bool
    """whether the diagonal has to be off besides"""
    weight: Number
    """how likely it is among all the causes tried, by the test; from 0 to 1"""
    left_over: Number
    """chance of a rest as large as the one it leaves, in the best of its places"""
    places: tuple[Where, ...]
    """the likeliest first"""


class WarpTaken(Record):
    """What it would take to put the diagonal off by as much, each by itself; null where rates are not known."""

    first_corner: Mass
    """warp on LF; the other corners follow by the tracks"""
    pads: tuple[Length, Length, Length, Length] | None = None
    """how much higher that corner would stand on its pad or tyre, in the order LF, RF, LR, RR; lower is negative"""
    platforms: tuple[Length, Length, Length, Length] | None = None
    """how far that spring platform would have been wound up along its spring"""
    front_bar: Length | None = None
    """by how much the left wheel would have to be up against the right one for the bar to hang free"""
    rear_bar: Length | None = None


class Compared(Record):
    """The answer of `compare`, in the car file's units."""

    units: UnitsTable
    car: str
    weighed: date
    """the weigh-in the plan was made from"""
    weighed_again: date
    settlings: int
    """at the re-weigh"""
    predicted: CaseLoads
    """by the plan, in the state of the re-weigh"""
    measured: CaseLoads
    """the mean of the settlings at the re-weigh"""
    figures: tuple[ComparedFigure, ...]
    corners: tuple[ComparedFigure, ...]
    plates_said: bool
    """whether the new weigh-in says which plates were fitted; without it, those of the plan are taken"""
    not_as_planned: tuple[Change, ...] = ()
    """plates that the new weigh-in has otherwise than the plan: planned, and fitted"""
    kit_of: Name | None = None
    """whose plates are taken to stand on the mounts that change with the driver"""
    unsaid: tuple[Unsaid, ...] = ()
    """what one of the two weigh-ins does not say, taken to be alike at both"""
    other_pads: bool = False
    """whether [pads] of the two weigh-ins tell different pads"""
    bars_before: Bars
    bars: Bars
    """the anti-roll bars at the two weigh-ins"""
    chance: Number
    """chance that noise alone puts the four loads as far off as they are"""
    as_planned: bool
    """whether that is nothing to look into"""
    chance_of_scatter: Number
    """chance that settlings as good as those before scatter as much in the diagonal as the new ones do"""
    settled: bool
    """whether that, too, is nothing to look into"""
    tried: int = 0
    """how many causes were tried"""
    causes: tuple[Cause, ...] = ()
    """the likeliest first; empty inside the noise, or when none explains the difference"""
    warp: WarpTaken | None = None
    """where a cause is in the diagonal"""
