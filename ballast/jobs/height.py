"""The height of the centre of gravity from a raised axle."""

import math
from collections.abc import Iterator

import numpy as np

from ballast.errors import Complaint, InputError
from ballast.physics.height import (
    Lifted,
    Line,
    Unsure,
    angles,
    combined,
    each_alone,
    lift_for,
    line,
    turned_further,
    unsure,
)
from ballast.records.car import Car
from ballast.records.lifts import TOTALS_APART, BothAxles, Further, LiftFound, Lifts, MeasuredHeight
from ballast.units import Units

WORTH_IT = math.radians(10)
"""Angle of the highest lift below which the pads' errors count for too much. Common practice, no source."""
LEAST_ANGLE = math.radians(1)
"""Below this a lift is a slip of the unit, or says nothing. Common practice, no source."""
GREATEST_ANGLE = math.radians(45)
"""Beyond this nobody raises a car to read pads; the unit or the number is wrong. Common practice, no source."""
LOWEST, HIGHEST = 0.05, 3.0
"""Heights that the car file takes. [m]"""
TALLEST = 0.6
"""Height over wheelbase that no competition car reaches: it would stand on its nose under the brakes. Common practice,
no source."""


def height(car: Car, lifts: Lifts, file: str = "the file of lifts") -> MeasuredHeight:
    """Height of the centre of gravity, how sure it is, and what each lift says of it.

    file : name of the file of lifts, for complaints.
    Raises InputError for lifts or loads that no car of this wheelbase can have given.
    """
    lifted = _lifted(car, lifts)
    _refuse(_impossible_lifts(lifts, lifted), file)
    found = line(lifted)
    _refuse(_impossible_heights(car, lifts, lifted, found), file)
    turned = angles(lifted)
    readings = lifts.raised
    return MeasuredHeight(
        units=car.units,
        car=car.chassis.name,
        date=lifts.procedure.date,
        raised_axle=lifts.procedure.raised_axle,
        centre_of_gravity_height=found.height,
        uncertain=_unsure(lifts, lifted, found).together,
        in_car_file=car.chassis.centre_of_gravity_height,
        level_off_the_line=float(found.residuals[0]),
        scatter=found.scatter,
        up_less_down=_up_less_down(lifts, found),
        load_within=lifts.procedure.load_within,
        height_within=lifts.procedure.height_within,
        radius_within=lifts.procedure.radius_within,
        lifts=tuple(
            LiftFound(
                height=reading.height,
                going=reading.going,
                axle_load=reading.load(),
                angle=math.degrees(angle),
                off_the_line=float(off),
                centre_of_gravity_height=float(alone),
            )
            for reading, angle, off, alone in zip(
                readings, turned, found.residuals[1:], each_alone(lifted), strict=True
            )
        ),
        further=_further(lifts, lifted, found) if float(turned.max()) < WORTH_IT else None,
        not_checked=lifts.not_checked(),
    )


def both(car: Car, one: Lifts, other: Lifts, files: tuple[str, str] = ("one file", "the other file")) -> BothAxles:
    """One height from two files of lifts, the front axle raised in one of them and the rear axle in the other.

    files : their names, for complaints.
    Raises InputError as `height` does, and where the two cannot be of one car in one state.
    """
    measured = height(car, one, files[0]), height(car, other, files[1])
    _refuse(_not_together(one, other, files[0]), files[1])
    pairs = [(lifts, _lifted(car, lifts)) for lifts in (one, other)]
    first, second = (_unsure(lifts, lifted, line(lifted)) for lifts, lifted in pairs)
    found = combined((measured[0].centre_of_gravity_height, measured[1].centre_of_gravity_height), (first, second))
    return BothAxles(
        units=car.units,
        car=car.chassis.name,
        centre_of_gravity_height=found.height,
        uncertain=found.uncertain,
        in_car_file=car.chassis.centre_of_gravity_height,
        apart=found.apart,
        apart_uncertain=found.apart_uncertain,
        agree=found.agree,
        axles=measured,
    )


def _not_together(one: Lifts, other: Lifts, file: str) -> Iterator[Complaint]:
    """Complain of a second file of lifts that is not of the other axle, or of another state of the car than `file`."""
    axle, units = one.procedure.raised_axle, other.units.units()
    if axle == other.procedure.raised_axle:
        yield Complaint(
            f"is the axle raised in {file} too, and two files are for one axle each",
            "put all [[raised]] tables of one axle into one file, or correct raised_axle.",
            "[lifts] raised_axle",
            f'"{axle}"',
        )
        return
    total = units.outside(other.level.total, "mass")
    most = TOTALS_APART * one.level.total
    if abs(one.level.total - other.level.total) > most:
        yield Complaint(
            f"is more than {100 * TOTALS_APART:g} % from the total in {file}, "
            f"{units.outside(one.level.total, 'mass'):g} {units.mass}",
            "measure both axles in one state of the car: driver, fuel and plates alike; or give one file alone.",
            "[level] total",
            f"{total:g}",
        )
    elif abs(one.level.load() + other.level.load() - one.level.total) > most:
        added = units.outside(one.level.load() + other.level.load(), "mass")
        yield Complaint(
            f"makes {added:g} {units.mass} with that of the other axle in {file}, and the car weighs {total:g} "
            f"{units.mass}",
            "both are loads of the level car, front and rear: read them again in one state of the car.",
            "[level] axle_load",
            f"{units.outside(other.level.load(), 'mass'):g}",
        )


def _lifted(car: Car, lifts: Lifts) -> Lifted:
    done = lifts.procedure
    front, rear = done.radius_front, done.radius_rear
    grounded, raised = (front, rear) if done.raised_axle == "rear" else (rear, front)
    return Lifted(
        wheelbase=car.chassis.wheelbase,
        radius_grounded=grounded,
        radius_raised=raised,
        total=lifts.level.total,
        level=lifts.level.load(),
        heights=np.array([reading.height for reading in lifts.raised]),
        loads=np.array([reading.load() for reading in lifts.raised]),
    )


def _unsure(lifts: Lifts, lifted: Lifted, found: Line) -> Unsure:
    """Causes; what is stated as "within" is the half width of a rectangle (JCGM 100:2008, 4.3.7)."""
    done, rectangular = lifts.procedure, 1 / math.sqrt(3)
    return unsure(
        lifted,
        found.scatter,
        done.load_within * rectangular,
        done.height_within * rectangular,
        done.radius_within * rectangular,
    )


def _further(lifts: Lifts, lifted: Lifted, found: Line) -> Further:
    higher = turned_further(lifted, found.height, WORTH_IT)
    return Further(
        angle=math.degrees(WORTH_IT),
        height=lift_for(lifted, WORTH_IT),
        uncertain=_unsure(lifts, higher, found).together,
    )


def _up_less_down(lifts: Lifts, found: Line) -> float | None:
    ways = np.array([reading.going for reading in lifts.raised])
    if len(set(ways)) < 2:
        return None
    off = found.residuals[1:]
    return float(off[ways == "up"].mean() - off[ways == "down"].mean())


def _refuse(complaints: Iterator[Complaint], file: str) -> None:
    found = [Complaint(c.what, c.fix, c.where, c.value, file) for c in complaints]
    if found:
        raise InputError(found)


def _impossible_lifts(lifts: Lifts, lifted: Lifted) -> Iterator[Complaint]:
    units = lifts.units.units()
    wheelbase = f"{units.outside(lifted.wheelbase, 'length'):g} {units.length}"
    for number, (reading, angle) in enumerate(zip(lifts.raised, angles(lifted), strict=True), start=1):
        where, value = f"[[raised]] {number} height", f"{units.outside(reading.height, 'length'):g}"
        if not math.isfinite(angle):
            yield Complaint(
                f"would stand the car on end: its wheelbase is {wheelbase}",
                "measure how far the middles of the wheels rose, and check [units] length here and in the car file.",
                where,
                value,
            )
        elif angle > GREATEST_ANGLE:
            yield Complaint(
                f"turns a car of {wheelbase} wheelbase by {math.degrees(angle):.0f} degrees; nobody raises a car so",
                "measure how far the middles of the wheels rose, and check [units] length here and in the car file.",
                where,
                value,
            )
        elif angle < LEAST_ANGLE:
            yield Complaint(
                f"turns a car of {wheelbase} wheelbase by {math.degrees(angle):.2g} degrees, which no pads can see",
                f"check [units] length; raise the axle by {_length(lift_for(lifted, WORTH_IT), units)} or more.",
                where,
                value,
            )


def _impossible_heights(car: Car, lifts: Lifts, lifted: Lifted, found: Line) -> Iterator[Complaint]:
    """Complain of the height that the readings come to, for then one of them at least is wrong."""
    units = lifts.units.units()
    high = min(HIGHEST, TALLEST * lifted.wheelbase)
    if LOWEST <= found.height <= high:
        return
    if found.height > high:
        beside = f"which no car on a wheelbase of {_length(lifted.wheelbase, units)} has"
        fix = (
            "look for an axle load that is too large, a level load of the other axle or of another state, or a lift "
            f"that was higher; and check the wheelbase of {car.chassis.name}, and the units."
        )
    else:
        beside = "lower than that of any car"
        fix = (
            "the axle on the ground carries more as the other one is raised: perhaps the pads of the other axle were "
            "read, or raised_axle names the wrong one."
        )
    shown = _length(found.height, units)
    yield Complaint(f"put the centre of gravity {shown} above the ground, {beside}", fix, "[level] and [[raised]]")


def _length(value: float, units: Units) -> str:
    decimals = {"mm": 0, "m": 3, "in": 1}[units.length]
    return f"{units.outside(value, 'length'):.{decimals}f} {units.length}"
