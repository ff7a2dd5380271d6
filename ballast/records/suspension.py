"""[suspension] and [wheels]: how the car stands on its four wheels, as far as it is known."""

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from ballast.errors import Complaint
from ballast.records.quantities import (
    Distance,
    HeldHeight,
    NotNegativeMass,
    Number,
    Percent,
    Points,
    PositiveLength,
    PositivePoints,
    Ratio,
    Record,
    Steps,
    Stiffness,
    TwistStiffness,
)

Bars = Literal["connected", "disconnected"]
BARS: tuple[Bars, ...] = ("connected", "disconnected")

Turn = Annotated[Number, Field(ge=0.08, le=2)]
"""A part of a turn of a thread: from a twelfth to two turns."""

UNKNOWN_ROLL_SHARE = (0.5, 0.35, 0.65)
"""Front share of the roll stiffness assumed when nothing is known, and the range shown. Common practice, no source."""


def _both(value: Any) -> Any:
    """One number for both sides, or a list of left and right."""
    return value if isinstance(value, list | tuple) else [value, value]


BOTH = BeforeValidator(_both)


class WheelPlace(Record):
    """Where the contact patch of a wheel is, where it is not in its place by wheelbase and tracks."""

    behind_front_axle: Distance
    """distance behind the front axle line"""
    left_of_centre: Distance
    """distance left of the centre line; negative to the right"""


class Wheels(Record):
    """[wheels]: wheels that stand in a place of their own, on a car that is out of square or offset."""

    LF: WheelPlace | None = None
    """left front"""
    RF: WheelPlace | None = None
    """right front"""
    LR: WheelPlace | None = None
    """left rear"""
    RR: WheelPlace | None = None
    """right rear"""


class Axle(Record):
    """[suspension.front] and [suspension.rear]. A pair is one number for both sides, or [left, right]."""

    springs: Annotated[tuple[Stiffness, Stiffness], BOTH] | None = None
    """rate of the springs along their own line; one number, or [left, right]"""
    motion_ratio: Annotated[tuple[Ratio, Ratio], BOTH] = (1.0, 1.0)
    """travel of the spring by travel of the wheel; on a beam axle, by that of the beam where the spring stands"""
    axle: Literal["independent", "beam"] = "independent"
    """"beam" where both wheels are on one rigid axle"""
    spring_base: PositiveLength | None = None
    """distance between the springs of a beam axle"""
    bar: Stiffness | None = None
    """anti-roll bar: force at one wheel for each unit by which left and right wheel travel differ"""
    tyres: Annotated[tuple[Stiffness, Stiffness], BOTH] | None = None
    """rate of the tyres upright at the pressure used; left out, they are taken as rigid"""
    lift_per_turn: PositiveLength | None = None
    """how far one turn raises a spring platform along its spring: the pitch of the thread"""
    load_per_turn: Annotated[tuple[NotNegativeMass, NotNegativeMass], BOTH] | None = None
    """what one turn up puts on its own wheel, where known turns have shown it (`ballast trial`)"""
    turns_up: Annotated[tuple[Steps, Steps], BOTH] | None = None
    """how many turns of thread are left upwards"""
    turns_down: Annotated[tuple[Steps, Steps], BOTH] | None = None
    """how many turns of thread are left downwards"""


class Learned(Record):
    """[suspension.learned]: how masses at several places moved the diagonal of this car (`ballast trial`).

    What a mass puts on LF beyond its levers, in points of that mass; LR and RF lose, and RR gains, by the warp.
    """

    at_front_axle: Points
    """of a mass on the centre line at the front axle"""
    at_rear_axle: Points
    """of a mass on the centre line at the rear axle"""
    to_the_left: Points
    """more, for a mass half a front track to the left"""
    within: tuple[PositivePoints, PositivePoints, PositivePoints]
    """how many points each of the three may be off, in the same order"""


class Platforms(Record):
    """[suspension.platforms]: how finely the spring platforms are turned."""

    step: Turn = 0.25
    """the smallest part of a turn that is turned: 0.25 for a quarter"""
    height_within: HeldHeight = 0.001
    """how far ride height may move at any corner where it is to be held"""


class Suspension(Record):
    """[suspension]: what is known of how the springs share a load that is off the centre line."""

    front_roll_share: Percent | None = None
    """percentage of the car's roll stiffness that is at the front axle"""
    front_roll_share_within: PositivePoints = 0.05
    """how many points that percentage may be off"""
    learned: Learned | None = None
    """what trial weights have shown, for a car that is not the same left and right"""
    front: Axle | None = None
    """springs, bar and tyres of the front axle"""
    rear: Axle | None = None
    """the same at the rear"""
    platforms: Platforms = Platforms()
    """how finely the spring platforms are turned"""
    rates_within: PositivePoints = 0.1
    """percent by which rates of one axle may be off against those of the other"""
    chassis_twist: TwistStiffness | None = None
    """torque that twists the chassis between the axles by one degree; left out, it is taken as rigid"""
    raced_with_bars: Bars = "connected"
    """"connected" or "disconnected": the bars as the car is raced"""
    measured_with_bars: Bars | None = None
    """the bars as front_roll_share, learned and load_per_turn were measured"""

    @property
    def has_springs(self) -> bool:
        """Whether the rates of both axles are known."""
        return all(axle is not None and axle.springs is not None for axle in (self.front, self.rear))

    @property
    def has_bars(self) -> bool:
        """Whether an axle has a bar that can be disconnected."""
        return any(axle is not None and bool(axle.bar) for axle in (self.front, self.rear))

    def roll_share(self) -> tuple[float, float, float]:
        """Front share of the roll stiffness as measured or assumed: the value to use, and the range to show."""
        if self.front_roll_share is None:
            return UNKNOWN_ROLL_SHARE
        value, off = self.front_roll_share, self.front_roll_share_within
        return value, value - off, value + off


def complaints(suspension: Suspension) -> Iterator[Complaint]:
    """What [suspension] says that no car can mean, though each key by itself is fine."""
    if suspension.front_roll_share is not None and suspension.learned is not None:
        yield Complaint(
            "says in one number what [suspension.learned] says in three",
            "keep the one that was measured last.",
            "[suspension] front_roll_share",
        )
    _, low, high = suspension.roll_share()
    if low < 0 or high > 1:
        yield Complaint(
            f"leaves no roll stiffness at one of the axles ({100 * low:g} to {100 * high:g} %)",
            "check front_roll_share and front_roll_share_within: one axle alone never holds a car.",
            "[suspension] front_roll_share_within",
        )
    axles = {name: axle for name, axle in (("front", suspension.front), ("rear", suspension.rear)) if axle is not None}
    if {"front", "rear"} - axles.keys() and any(axle.springs is not None for axle in axles.values()):
        there, missing = ("front", "rear") if suspension.rear is None else ("rear", "front")
        yield Complaint(
            f"is there without [suspension.{missing}], and the springs work together",
            f"add a table [suspension.{missing}] with its springs, or leave both out.",
            f"[suspension.{there}]",
        )
    if suspension.chassis_twist is not None and not suspension.has_springs:
        yield Complaint(
            "is of use only with the springs of both axles",
            "add [suspension.front] and [suspension.rear], or leave it out.",
            "[suspension] chassis_twist",
        )
    yield from _platforms(axles)
    for name, axle in axles.items():
        if (axle.axle == "beam") != (axle.spring_base is not None):
            beam = axle.axle == "beam"
            measure = "measure the distance between the springs, centre to centre, and write it."
            yield Complaint(
                "is missing, and a beam axle leans about its springs" if beam else "is given for an independent axle",
                measure if beam else 'write axle = "beam", or leave it out.',
                f"[suspension.{name}] spring_base",
            )


def _platforms(axles: dict[str, Axle]) -> Iterator[Complaint]:
    """Springs of both axles or of none, and turns that do something."""
    for name, axle in axles.items():
        if axle.springs is None and axle.load_per_turn is None:
            yield Complaint(
                "says neither how stiff the springs are nor what a turn of a platform does",
                "write springs, or load_per_turn from known turns (`ballast trial`).",
                f"[suspension.{name}]",
            )
        elif axle.springs is None and any(other.springs is not None for other in axles.values()):
            yield Complaint(
                "is missing, and the springs of both axles work together",
                "write the springs of both axles, or leave both out.",
                f"[suspension.{name}] springs",
            )
        if axle.load_per_turn is not None and 0 in axle.load_per_turn:
            yield Complaint(
                "is nothing, and a turn up always loads its own wheel",
                "turn a known number of turns and weigh before and after (`ballast trial`), or leave it out.",
                f"[suspension.{name}] load_per_turn",
                "0",
            )
