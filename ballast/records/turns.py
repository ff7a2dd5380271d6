"""Turns of the spring platforms: what `wind` answers, and what a plan says of them."""

from datetime import date
from typing import Literal

from ballast.corners import CORNERS
from ballast.records.pads import Correction
from ballast.records.quantities import (
    Dimensioned,
    Length,
    Mass,
    Name,
    Number,
    Points,
    Record,
    UnitsTable,
    Value,
)
from ballast.records.suspension import Bars
from ballast.records.weighed import CaseLoads

Diagonally = Literal["RF+LR", "LF+RR", "rear pair"]
Axially = Literal["front", "rear", "left"]
"""What platforms bring about, and what they do not."""
Kind = Literal["one corner", "pair", "ride height held"]
Comes = Literal["inside", "near the edge", "short"]
"""Inside the band with its guard, inside the band alone, or outside it still."""
Way = Literal["left", "right", "forward", "rearward"]
Because = Literal["ride height stays", "fewest turns", "comes nearest"]
KnownFrom = Literal["springs", "known turns"]


class CornerTurns(Record):
    """Turns of the four platforms, up (more load on its own wheel) positive."""

    LF: Number
    RF: Number
    LR: Number
    RR: Number

    def in_order(self) -> tuple[float, ...]:
        """In the order of CORNERS."""
        return tuple(getattr(self, corner) for corner in CORNERS)


class CornerHeights(Record):
    """How far the chassis moves above each wheel, up positive."""

    LF: Length
    RF: Length
    LR: Length
    RR: Length

    def in_order(self) -> tuple[float, ...]:
        """In the order of CORNERS. [m]"""
        return tuple(getattr(self, corner) for corner in CORNERS)


class ThreadLeft(Record):
    """Turns of thread left at each platform; null where the car file does not say."""

    LF: Number | None
    RF: Number | None
    LR: Number | None
    RR: Number | None

    def in_order(self) -> tuple[float | None, ...]:
        """In the order of CORNERS."""
        return tuple(getattr(self, corner) for corner in CORNERS)


class OneTurn(Record):
    """What one turn up of one platform does, by itself."""

    corner: Literal["LF", "RF", "LR", "RR"]
    load: Mass
    """on its own wheel"""
    known_from: KnownFrom
    diagonal_points: Points
    """change of RF+LR"""
    rise: Length | None
    """of the chassis above its own wheel; null where springs or thread are not known"""


class WantedDiagonal(Dimensioned):
    """The target of the diagonal, and where the car is."""

    figure: Diagonally
    aim: Value
    within: Value
    guard: Value
    """taken off `within` on both sides, for what the weighing cannot tell"""
    before: Value
    uncertain: Value
    """standard uncertainty of `before`, from the scatter of the settlings"""


class TurnPlan(Record):
    """One way to turn the platforms, and what comes of it. All but the turns is an estimate."""

    kind: Kind
    turns: CornerTurns
    total_turns: Number
    comes: Comes
    off_aim_points: Points
    """distance from the aim afterwards, in points of the total"""
    ride_height: CornerHeights | None
    """null where springs or thread are not known"""
    after: CaseLoads
    left_points: Points
    """change of left %: unequal tracks alone bring any"""
    thread_up: ThreadLeft
    thread_down: ThreadLeft


class NoPlan(Record):
    """A way to turn the platforms that does not do it, and why."""

    kind: Kind
    corner: Literal["LF", "RF", "LR", "RR"] | None = None
    because: Literal["thread", "step", "wheel lifts", "heights not known", "height"]
    """too little thread; steps too coarse for the band; a wheel would leave its pad; nothing tells the heights; no
    whole steps hold the ride height"""
    turns: Number | None = None
    """how many it would take, where thread is short"""
    height_within: Length | None = None
    """how far ride height would have to be allowed to move for there to be a plan, where that was found"""


class Added(Record):
    """A mass put on at one mount."""

    mount: Name
    mass: Mass
    room: Mass
    """what the mount can still take"""


class Shifted(Record):
    """A mass moved from one mount to another."""

    from_mount: Name
    to_mount: Name
    mass: Mass


class NotWound(Dimensioned):
    """A target that no platform can bring about, and what would: mass, put on or moved."""

    figure: Axially
    aim: Value
    within: Value
    before: Value
    way: Way
    """which way mass has to go"""
    moved: Mass
    """how much of it, when it goes"""
    by: Length
    """so far: the front track, or the wheelbase; twice the mass over half of it does the same"""
    added: Added | None = None
    """the least mass at one mount that brings it to its aim"""
    shifted: Shifted | None = None
    """plates that stand on the car, moved to the mount where the least of them is enough"""


class Winding(Record):
    """The turns that bring one state of the car to its diagonal."""

    target: WantedDiagonal
    plans: tuple[TurnPlan, ...] = ()
    """the recommended one first; empty when the car is where it should be, or no turns bring it nearer"""
    because: Because | None = None
    """why the first is recommended"""
    not_possible: tuple[NoPlan, ...] = ()

    @property
    def there_already(self) -> bool:
        """Whether the diagonal is inside its band, guard and all, as it is."""
        return abs(self.target.before - self.target.aim) <= self.target.within - self.target.guard + 1e-9

    @property
    def inside_band(self) -> bool:
        """Whether it is inside the band as the user gave it."""
        return abs(self.target.before - self.target.aim) <= self.target.within + 1e-9


class Wound(Record):
    """The answer of `wind`, in the car file's units."""

    units: UnitsTable
    car: Name
    date: date
    bars: Bars | None
    """how the bars were at the weigh-in, for which alone the turns hold; null for a car without bars"""
    raced_with_bars: Bars
    before: CaseLoads
    one_turn: tuple[OneTurn, ...]
    """of each platform of which it is known"""
    known_turns_not_used: Bars | None = None
    """the bars with which load_per_turn was measured, where those are not the weigh-in's"""
    known_turns_bars_unsaid: bool = False
    """load_per_turn does not say how the bars were, and the car has one"""
    step: Number
    """the smallest part of a turn, and every plan is whole steps of it"""
    height_within: Length
    left_points_by_diagonal: Number
    """points by which left % moves for one point of RF+LR: 0 with equal tracks"""
    winding: Winding
    not_wound: tuple[NotWound, ...] = ()
    settlings: int
    """how many settlings the weigh-in had"""
    corrected: tuple[Correction, ...] = ()
    """what the readings were corrected for, as `weigh` does"""

    @property
    def done(self) -> bool:
        """The diagonal is inside its band, or a plan brings it there."""
        return self.winding.inside_band or any(plan.comes != "short" for plan in self.winding.plans)


class HeightBack(Record):
    """What plates put on or moved do to the ride height, and the turns that give it back without touching the loads."""

    lost: CornerHeights
    """change of the ride height above each wheel: negative where the car comes down"""
    turns: CornerTurns | None
    """null where lift_per_turn is not known"""
    left_over: CornerHeights | None
    """ride height still changed after the turns, for steps are whole"""
    diagonal_points: Points
    """change of RF+LR that whole steps bring with them"""


class DiagonalLeft(Record):
    """What plates could do better if the diagonal were left to the platforms; nothing is said that is not better."""

    ballast_saved: Mass
    """plates that need not be carried"""
    plates_saved: int
    """how many fewer would stand on the car"""
    miss_points: Points
    """worst distance of the other targets outside the bands planned for, as the plan is"""
    miss_points_then: Points
    """the same with the diagonal left to the platforms"""


class PlatformsAfter(Record):
    """What is left to the spring platforms once the ballast is in, estimated for the first case of the plan."""

    case: Name
    """the state of the car"""
    bars: Bars | None
    """how the bars were at the weigh-in, for which alone the turns hold"""
    height_within: Length
    """how far ride height may move where it is held"""
    winding: Winding | None
    """null without a target for the diagonal, or where nothing is known of what a turn does"""
    ride_height: HeightBack | None
    """of the plates put on, taken off or moved; null where the springs are not known"""
    diagonal_left: DiagonalLeft | None = None
    """null where the diagonal is left to them already, or nothing would be better for it"""
