"""[pads] and [checked] of a weigh-in file: how good the pads are, what proves them, and what was checked."""

import math
from collections.abc import Iterator
from statistics import median
from typing import Annotated, Literal

from pydantic import Field, Strict

from ballast.corners import CORNERS, Corner
from ballast.errors import Complaint
from ballast.records.quantities import (
    Distance,
    Factor,
    Mass,
    MassDifference,
    NotNegativeMass,
    Number,
    PositiveLength,
    PositiveMass,
    PositivePoints,
    Record,
    UnitsTable,
)
from ballast.units import Units

STEEPEST = 50.0
"""Slope across pads beyond which the level was read in another unit. Common practice, no source. [mm/m]"""
TALLEST = 0.15
"""Difference of height of two pads beyond which nobody weighs on them. Common practice, no source. [m]"""
EMPTY_PAD = 0.2
"""Share of its own reading beyond which a zero reading is not that of an empty pad. Common practice, no source."""
DEAD = 0.1
"""Share of a mass that no pad in order fails to show. Common practice, no source."""
ON_TWO = 0.5
"""Share of what one pad shows from which a second one carries some of the mass too. Common practice, no source."""
FAR_OFF = 0.2
"""Share by which no pad in order is off. Common practice, no source."""

OF_THE_MAKER = ("resolution", "accuracy", "gain_within", "instrument", "interval")
"""Keys of [pads] that say which set it is."""

Correction = Literal["zero", "gain", "heights", "slope", "turned"]
Bare = Annotated[bool, Strict()]


class Shown(Record):
    """What all four pads showed."""

    LF: MassDifference
    """left front pad"""
    RF: MassDifference
    """right front pad"""
    LR: MassDifference
    """left rear pad"""
    RR: MassDifference
    """right rear pad"""

    def in_order(self) -> tuple[float, ...]:
        """The four in the order of CORNERS. [kg]"""
        return tuple(getattr(self, corner) for corner in CORNERS)


class Zero(Shown):
    """[pads.zero]: what the pads showed with nothing on them; taken off every reading."""


class KnownMass(Shown):
    """[[pads.known_mass]]: one mass, or one person, stood on one pad after another."""

    on: Corner
    """"LF", "RF", "LR" or "RR": the corner of the pad it stood on, whatever pad showed it"""
    mass: PositiveMass | None = None
    """its mass; left out for a person or anything else that is the same on every pad and not weighed"""
    within: NotNegativeMass | None = None
    """how far that mass may be off (0 if you leave it out), or how far a person wavers (0.2 kg)"""


class Heights(Record):
    """[pads.heights]: how high the top of each pad is above any common plane, such as a line of laser light."""

    LF: Distance
    """left front pad"""
    RF: Distance
    """right front pad"""
    LR: Distance
    """left rear pad"""
    RR: Distance
    """right rear pad"""
    within: Annotated[Distance, Field(ge=0)] = 0.0005
    """how far each of them may be off (0.5 mm if you leave it out)"""

    def in_order(self) -> tuple[float, ...]:
        """The four in the order of CORNERS. [m]"""
        return tuple(getattr(self, corner) for corner in CORNERS)


class Levels(Record):
    """[pads.levels]: what a level shows on a straight bar across the pads, in mm per metre (1 degree is 17.5).

    Thousandths of a slope: the number is the same for inches per 1000 inches.
    """

    front: Number
    """across the two front pads; positive where the left one is higher"""
    rear: Number
    """across the two rear pads; positive where the left one is higher"""
    fore_aft: Number | None = None
    """along the car, from rear to front pads; positive where the front is higher"""
    within: Factor = 0.5
    """how far each of them may be off"""


class StillOff(Record):
    """[[pads.corrected.still_off]]: one standard uncertainty of one cause, corner by corner."""

    what: str
    """the cause"""
    LF: Mass
    RF: Mass
    LR: Mass
    RR: Mass

    def in_order(self) -> tuple[float, ...]:
        """The four in the order of CORNERS. [kg]"""
        return tuple(getattr(self, corner) for corner in CORNERS)


class Corrected(Record):
    """[pads.corrected]: written with a saved plan, whose readings were corrected already; not for a file of yours."""

    what: tuple[Correction, ...]
    """corrections made"""
    as_read: tuple[Shown, ...]
    """what the pads showed before, one table for each settling, turned ones last"""
    still_off: tuple[StillOff, ...] = ()
    """how far the corrections may still be off, by independent causes"""


class Pads(Record):
    """[pads]: what is known of the pads, from their maker and from what was tried on them."""

    resolution: NotNegativeMass = 0.0
    """step of the display"""
    accuracy: NotNegativeMass = 0.0
    """greatest error of one pad, as stated for it"""
    gain_within: PositivePoints | None = None
    """percent by which all pads together may be off, from a common indicator or calibration"""
    instrument: Literal["class III", "class III in service"] | None = None
    """take the error limits of a weighing instrument of class III (OIML R 76) instead of accuracy"""
    interval: PositiveMass | None = None
    """verification scale interval e of that instrument"""
    packer: PositiveLength = 0.001
    """thickness of what the pads are packed up with (1 mm if you leave it out)"""
    zero: Zero | None = None
    """what the pads showed with nothing on them"""
    known_mass: tuple[KnownMass, ...] = ()
    """one mass, or one person, stood on one pad after another"""
    heights: Heights | None = None
    """how high each pad is"""
    levels: Levels | None = None
    """instead of heights, what a level shows across the pads"""
    corrected: Corrected | None = None
    """what the readings were corrected for already, in a saved plan"""

    def alike(self, other: "Pads") -> bool:
        """Whether their makers say the same of both sets: 0.2 kg and 0.4409 lb are one step."""
        said = [[getattr(pads, key) for key in OF_THE_MAKER] for pads in (self, other)]
        return all(
            math.isclose(one, two, rel_tol=1e-3) if isinstance(one, float) and isinstance(two, float) else one == two
            for one, two in zip(*said, strict=True)
        )

    def still_off(self) -> tuple[tuple[float, ...], ...]:
        """What corrections made to the readings may still be off, (k, 4): `instruments.pad_covariance` adds it. [kg]"""
        return tuple(cause.in_order() for cause in self.corrected.still_off) if self.corrected else ()


class Checked(Record):
    """[checked]: the list to go through before the pads are read; true for what was done."""

    pads_clean: Bare = False
    """nothing stuck beneath the pads"""
    pads_level: Bare = False
    """pads level both ways, packed with something that does not give"""
    pads_at_corners: Bare = False
    """each pad on its own corner: you stood on each and saw the right number move"""
    zeroed: Bare = False
    """every pad at zero before the car went on"""
    known_mass: Bare = False
    """the same mass stood on each pad, and each showed it"""
    tyre_pressures: Bare = False
    """tyres at the pressures raced on"""
    dampers_soft: Bare = False
    """dampers at their softest"""
    steering_centred: Bare = False
    """steering straight ahead, and held there"""
    tools_out: Bare = False
    """tools, jacks and bottles out of the car"""
    settled: Bare = False
    """rolled on and settled, off and on again between readings; nothing lifted by a jack since"""
    wheels_on_middle: Bare = False
    """each tyre whole on its pad, near the middle"""
    brakes_free: Bare = False
    """brakes off when read; chocked once settled"""

    def unticked(self) -> tuple[str, ...]:
        """Keys of what was not done, in their order."""
        return tuple(name for name in type(self).model_fields if not getattr(self, name))


def complaints(pads: Pads, mean: tuple[float, ...], table: UnitsTable) -> Iterator[Complaint]:
    """What is said of the pads that cannot be, though each key by itself is fine. mean : of the readings, (4,). [kg]"""
    units = table.units()
    if pads.instrument and pads.interval is None:
        yield Complaint(
            "is needed, because the error limits of an instrument count in it",
            "write the interval e from the instrument's plate.",
            "[pads] interval",
        )
    if pads.corrected and (pads.zero or pads.known_mass or pads.heights or pads.levels):
        yield Complaint(
            "says that the readings were corrected already, beside a table to correct them by",
            "take [pads.corrected] out: it belongs into saved plans.",
            "[pads.corrected]",
        )
    for corner, empty, reading in zip(CORNERS, pads.zero.in_order() if pads.zero else (), mean, strict=False):
        if abs(empty) > EMPTY_PAD * reading:
            yield Complaint(
                "is not what an empty pad shows",
                "write what each pad showed with nothing on it; where all were set to zero, leave [pads.zero] out.",
                f"[pads.zero] {corner}",
                f"{units.outside(empty, 'mass'):g}",
            )
    yield from _uneven(pads, units)
    yield from _known_masses(pads, units)


def _uneven(pads: Pads, units: Units) -> Iterator[Complaint]:
    """Heights and levels that no floor has."""
    if pads.heights and pads.levels:
        yield Complaint(
            "and [pads.heights] say the same in two ways", "keep the heights, they say more.", "[pads.levels]"
        )
    if pads.heights:
        apart = max(pads.heights.in_order()) - min(pads.heights.in_order())
        if apart > TALLEST:
            most = f"{units.outside(TALLEST, 'length'):.3g} {units.length}"
            yield Complaint(
                f"are {units.outside(apart, 'length'):.4g} {units.length} apart, and nobody weighs on more than {most}",
                f'check them, and that [units] length = "{units.length}" is the unit they were measured in.',
                "[pads.heights]",
            )
    for key in ("front", "rear", "fore_aft") if pads.levels else ():
        value = getattr(pads.levels, key)
        if value is not None and abs(value) > STEEPEST:
            yield Complaint(
                f"is steeper than {STEEPEST:g} mm per metre, and no car is weighed on that",
                "write mm per metre: a degree is 17.5, a percent is 10.",
                f"[pads.levels] {key}",
                f"{value:g}",
            )


def _known_masses(pads: Pads, units: Units) -> Iterator[Complaint]:
    """A mass has to show, on the pad it stood on, and on no other."""
    rows = pads.known_mass
    if len({row.mass is None for row in rows}) > 1:
        yield Complaint(
            "have a mass in some tables and none in others, and gains come from the one or the other",
            "write mass in all of them, or in none.",
            "[[pads.known_mass]]",
        )
        return
    empty = pads.zero.in_order() if pads.zero else (0.0,) * len(CORNERS)
    shown = [tuple(a - b for a, b in zip(row.in_order(), empty, strict=True)) for row in rows]
    felt = median(max(each) for each in shown) if shown else 0.0
    told: set[tuple[Corner, Corner]] = set()
    for number, (row, each) in enumerate(zip(rows, shown, strict=True), start=1):
        where = "[[pads.known_mass]]" + (f" {number}" if len(rows) > 1 else "")
        greatest = max(each)
        top = CORNERS[each.index(greatest)]
        others = sorted(each)[-2]
        of = row.mass or felt
        if greatest < DEAD * of or greatest <= 0:
            yield Complaint(
                f"stood on {row.on}, and no pad showed it (the most was {units.outside(greatest, 'mass'):g} "
                f"{units.mass}): the pad under {row.on} is dead",
                "look at its cable and battery, then try it again; readings of a dead pad are worth nothing.",
                f"{where} on",
                f'"{row.on}"',
            )
        elif others > ON_TWO * greatest:
            yield Complaint(
                "showed on two pads, and one mass stands on one",
                "stand with both feet on one pad, or look for a plate that lies across two; then read all four again.",
                where,
            )
        elif top != row.on and (top, row.on) not in told:
            told.add((row.on, top))
            yield Complaint(
                f"stood on {row.on} and showed on {top}: the pad under {row.on} is wired as {top}",
                f"exchange the cables of {row.on} and {top} at the indicator, stand on all four again and weigh again. "
                f"Or, if the car was weighed like this, exchange the numbers of {row.on} and {top} in every table "
                "of this file.",
                f"{where} on",
                f'"{row.on}"',
            )
        elif top == row.on and row.mass and abs(greatest - row.mass) > FAR_OFF * row.mass:
            yield Complaint(
                f"showed {units.outside(greatest, 'mass'):g} {units.mass} of that on {row.on}",
                f"check the mass, and that it is in {units.mass}; a pad more than {100 * FAR_OFF:g} % off is to be "
                "mended, not corrected.",
                f"{where} mass",
                f"{units.outside(row.mass, 'mass'):g}",
            )
