"""The height of the centre of gravity in words: what to take care of first, how high, how sure, how to be surer."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ballast.records.lifts import BothAxles, Check, MeasuredHeight
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Sheet, Table
from ballast.units import Units

TWICE = 2.0
"""Standard uncertainties in a 95 % interval."""
FINEST = -4
"""Power of ten of the finest step a height is shown in: a tenth of a millimetre. [m]"""
BEFORE = (
    "Have it done by somebody qualified to lift cars, with lifting gear rated for the load.",
    "Chock the axle that stays on the ground, before and behind both wheels, before anyone goes near.",
    "Nobody beneath the car or reaching under it, and nobody in it, from the first lift to the last.",
    "Let down onto stands that cannot tip under both raised wheels; never measure a car that hangs on a jack.",
    "Then slack the straps and hooks: one that pulls carries some of the car, and the pads show it.",
)
PROCEDURE = (
    "Suspension locked at ride height, with rods or blocks in place of the springs' travel; tyres at one pressure.",
    "Gearbox in neutral, handbrake off: the raised wheels free to roll. Tank quite full or quite empty.",
    "Steering straight, doors and lids shut, oil and water full, seats locked; the mass in the driver's seat strapped "
    "in, everything loose taken out.",
    "Level first: read the axle that stays on the ground, and the total. Measure both loaded radii.",
    "Raise in three steps or more, to 10 degrees and beyond where it can be done safely; measure to the middle of the "
    "wheels; read at each step, on the way up and on the way down.",
)
"""Conditions of ISO 10392:2011, as remembered; the number of steps and the angle are common practice, no source."""
LIMIT = "ISO 10392:2011 calls the method good to a few percent, however well it is read."
TOO_UNSURE = 0.2
"""Half of the 95 % interval, as a share of the height, beyond which it is not to be written down: twice what the car
file's own height is taken to be good to. Common practice, no source."""
NOT_CHECKED: dict[Check, str] = {
    "suspension_locked": "The file does not say that the suspension was locked (suspension_locked): on its springs the "
    "car turns further than its wheels do, and the height comes out wrong.",
    "wheels_free": "The file does not say that the raised wheels could roll (wheels_free): a wheel that is held pushes "
    "along the floor, and the pads show that too.",
    "tank": "The file does not say that the tank was full or empty (tank): fuel that runs to the low end reads as "
    "height.",
}


@dataclass(frozen=True)
class Sure:
    """A length shown no finer than its 95 % interval deserves, in steps of a power of ten of the user's unit."""

    units: Units
    wide: float
    """half of the 95 % interval [m]"""

    def decimals(self) -> int:
        """Decimals of the user's unit: the interval is 3 to 30 of the last digit; below 0 for tens and hundreds."""
        factor = self.units.factor("length")
        finest = math.floor(FINEST - math.log10(factor) + 1e-9)
        return -max(math.floor(math.log10(self.wide / factor / 3)), finest) if self.wide > 0 else -finest

    def text(self, value: float) -> str:
        """A length, to nearest."""
        decimals = self.decimals()
        return f"{round(self.units.outside(value, 'length'), decimals):.{max(decimals, 0)}f}"

    def interval(self) -> str:
        """The interval, rounded up."""
        decimals = self.decimals()
        step = 10.0**-decimals
        return f"{math.ceil(self.units.outside(self.wide, 'length') / step - 1e-6) * step:.{max(decimals, 0)}f}"


def height_sheet(measured: MeasuredHeight) -> Sheet:
    """The sheet of `height`."""
    units = measured.units.units()
    sure, show = Sure(units, TWICE * measured.uncertain), Rounding(units, 1)
    return Sheet(
        title=f"{measured.car}: height of the centre of gravity, {measured.raised_axle} axle raised, {measured.date}",
        lines=(
            f"{sure.text(measured.centre_of_gravity_height)} {units.length} above the ground, +/- {sure.interval()} "
            f"{units.length} (95 %), if the car stood as it should.",
            *_no_use(measured),
            *_too_low(measured),
            *(NOT_CHECKED[check] for check in measured.not_checked),
        ),
        sections=(
            Section("BEFORE ANYTHING IS RAISED", lines=BEFORE),
            Section("PROCEDURE", lines=PROCEDURE),
            Section("THE LIFTS", table=_lifts(measured, show), lines=tuple(_about_lifts(measured, show))),
            *_into_car_file(measured, sure),
            Section("COUNTED ON", lines=(_counted_on(measured, show),)),
            Section("HOW TO BE SURER", lines=(*_better(measured, sure, show), _other_axle(measured), LIMIT)),
        ),
    )


def both_sheet(heights: BothAxles) -> Sheet:
    """The sheet of `height` with a file of lifts for either axle."""
    units = heights.units.units()
    sure, show = Sure(units, TWICE * heights.uncertain), Rounding(units, 1)
    one, other = heights.axles
    return Sheet(
        title=f"{heights.car}: height of the centre of gravity, both axles raised in turn, {_dates(heights)}",
        lines=(
            _together(heights, sure),
            *_not_agreed(heights),
            *_no_use(heights),
            *(f"{_titled(measured)}: {line}" for measured in heights.axles for line in _too_low(measured)),
            *dict.fromkeys(NOT_CHECKED[check] for measured in heights.axles for check in measured.not_checked),
        ),
        sections=(
            Section("BEFORE ANYTHING IS RAISED", lines=BEFORE),
            Section("PROCEDURE", lines=PROCEDURE),
            Section("BOTH AXLES", table=_axles(heights), lines=(_agreement(heights),)),
            *(
                Section(
                    f"THE LIFTS, {measured.raised_axle} axle raised",
                    table=_lifts(measured, show),
                    lines=tuple(_about_lifts(measured, show)),
                )
                for measured in heights.axles
            ),
            *(_into_car_file(heights, sure) if heights.agree else ()),
            Section("COUNTED ON", lines=tuple(dict.fromkeys(_counted_on(measured, show) for measured in (one, other)))),
            Section(
                "HOW TO BE SURER",
                lines=(
                    *dict.fromkeys(
                        line
                        for measured in heights.axles
                        for line in _better(measured, Sure(units, TWICE * measured.uncertain), show)
                    ),
                    LIMIT,
                ),
            ),
        ),
    )


def _together(heights: BothAxles, sure: Sure) -> str:
    unit = heights.units.length
    return (
        f"{sure.text(heights.centre_of_gravity_height)} {unit} above the ground, +/- {sure.interval()} {unit} (95 %), "
        "from both axles, the surer one counting for more"
        + (", if the car stood as it should." if heights.agree else ".")
    )


def _not_agreed(heights: BothAxles) -> Iterator[str]:
    if not heights.agree:
        yield (
            "THE TWO AXLES DO NOT AGREE: do not use this height yet. Something moved or was held between them: the "
            "suspension on its springs, fuel, a wheel that could not roll, a strap, a mark read wrongly. Find it, and "
            "raise both again."
        )


def _agreement(heights: BothAxles) -> str:
    units, unit = heights.units.units(), heights.units.length
    differ = Sure(units, TWICE * heights.apart_uncertain)
    may = "may differ by" if heights.agree else "may differ by no more than"
    return (
        f"They are {differ.text(abs(heights.apart))} {unit} apart, and by what their readings allow they {may} "
        f"{differ.interval()} {unit} (95 %). An error of the tape or of the radii is in both and does not show here."
    )


def _axles(heights: BothAxles) -> Table:
    units, rows = heights.units.units(), []
    for measured in heights.axles:
        sure = Sure(units, TWICE * measured.uncertain)
        unit = heights.units.length
        height = f"{sure.text(measured.centre_of_gravity_height)} {unit}"
        greatest = max(lift.angle for lift in measured.lifts)
        rows.append((_titled(measured), height, f"{sure.interval()} {unit}", f"{greatest:.1f} deg"))
    return Table(head=("", "height", "+/- 95 %", "highest lift"), rows=tuple(rows))


def _titled(measured: MeasuredHeight) -> str:
    return f"{measured.raised_axle} axle raised"


def _dates(heights: BothAxles) -> str:
    return " and ".join(dict.fromkeys(str(measured.date) for measured in heights.axles))


def _too_unsure(measured: MeasuredHeight | BothAxles) -> bool:
    return TWICE * measured.uncertain > TOO_UNSURE * measured.centre_of_gravity_height


def _no_use(measured: MeasuredHeight | BothAxles) -> Iterator[str]:
    if _too_unsure(measured):
        yield "TOO UNSURE TO BE OF USE: look for a wrong reading below, or raise the axle further, and measure again."


def _into_car_file(measured: MeasuredHeight | BothAxles, sure: Sure) -> Iterator[Section]:
    """What to write down; nothing where the readings leave it open."""
    if not _too_unsure(measured):
        yield Section("WRITE THIS INTO THE CAR FILE, below [car]", lines=tuple(_car_file(measured, sure)))


def _too_low(measured: MeasuredHeight) -> Iterator[str]:
    if measured.further:
        yield (
            f"No lift turned the car by {measured.further.angle:.0f} degrees: below that, what the pads and the tape "
            "may be off counts for too much. HOW TO BE SURER says what higher lifts give."
        )


def _lifts(measured: MeasuredHeight, show: Rounding) -> Table:
    fine = Rounding(show.units, show.mass_decimals + 1)
    return Table(
        head=("raised by", "going", "axle load", "angle", "off the line", "height from it alone"),
        rows=tuple(
            (
                show.length(lift.height),
                lift.going,
                show.mass(lift.axle_load),
                f"{lift.angle:.1f} deg",
                fine.mass(lift.off_the_line),
                show.length(lift.centre_of_gravity_height),
            )
            for lift in measured.lifts
        ),
        text_columns=2,
    )


def _about_lifts(measured: MeasuredHeight, show: Rounding) -> Iterator[str]:
    fine = Rounding(show.units, show.mass_decimals + 1)
    if measured.scatter is None:
        yield "One lift and the level reading: nothing shows whether a reading is wrong."
        return
    yield (
        f"The level reading is {fine.mass(measured.level_off_the_line)} off the line; the readings scatter about it by "
        f"{fine.mass(measured.scatter)} (standard deviation)."
    )
    off = {number: abs(lift.off_the_line) for number, lift in enumerate(measured.lifts, start=1)}
    furthest = max(off, key=lambda number: off[number])
    if off[furthest] > measured.load_within:
        others = sum(each > measured.load_within for each in off.values()) > 1
        yield (
            f"Reading {furthest} is further off the line than loads are said to be good to, "
            f"{show.as_written(measured.load_within, 'mass')}: read it again, or look for what caught."
            + (" Others are too, but by less: one wrong reading pulls the line away from the rest." if others else "")
        )
    if measured.up_less_down is not None:
        word = "more" if measured.up_less_down >= 0 else "less"
        yield (
            f"On the way up the axle carried {fine.mass(abs(measured.up_less_down))} {word} than on the way down, off "
            "the line: what rubs or sticks. The mean of both ways is the better one."
        )


def _car_file(measured: MeasuredHeight | BothAxles, sure: Sure) -> Iterator[str]:
    unit = measured.units.length
    yield f"centre_of_gravity_height = {sure.text(measured.centre_of_gravity_height)}"
    yield f"It is in the unit of that file ({unit}), and for the car as it was raised: driver, fuel and plates as then."
    if measured.in_car_file is None:
        return
    off = abs(measured.in_car_file - measured.centre_of_gravity_height)
    now = f"The car file says {measured.units.units().outside(measured.in_car_file, 'length'):g} {unit} now"
    inside = off <= TWICE * measured.uncertain
    yield f"{now}, which is {'within' if inside else 'outside'} the interval."


def _counted_on(measured: MeasuredHeight, show: Rounding) -> str:
    load, lift, radius = (
        show.small(measured.load_within, "mass"),
        show.small(measured.height_within, "length"),
        show.small(measured.radius_within, "length"),
    )
    return (
        f"Each axle load within {load}, all lifts within {lift} and both radii within {radius}, as the file of lifts "
        "says or, where it is silent, by default; besides, what the readings scatter about their line."
    )


def _better(measured: MeasuredHeight, sure: Sure, show: Rounding) -> Iterator[str]:
    further, unit = measured.further, measured.units.length
    if further:
        greatest = max(lift.angle for lift in measured.lifts)
        wide = Sure(sure.units, TWICE * further.uncertain)
        yield (
            f"The highest lift turned the car by only {greatest:.1f} degrees. Raised in proportion until the highest "
            f"is {show.length(further.height)}, which is {further.angle:.0f} degrees, the same readings would be good "
            f"to +/- {wide.interval()} {unit} instead of {sure.interval()} {unit}."
        )
    if len(measured.lifts) < 3:
        yield "Three lifts or more show what scatters; one or two do not."
    if len({lift.going for lift in measured.lifts}) < 2:
        yield 'Read the same lifts again on the way down (going = "down"): what rubs or sticks then shows.'


def _other_axle(measured: MeasuredHeight) -> str:
    other = "front" if measured.raised_axle == "rear" else "rear"
    return (
        f"Raise the {other} axle too, and name its file after this one: two heights that differ by more than their "
        "readings allow say that something moved, and their mean is surer than either."
    )
