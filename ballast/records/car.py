"""The car file: what changes rarely. Geometry, mounts, the box of plates, targets."""

from collections import Counter
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from ballast.corners import CORNERS
from ballast.errors import Complaint, did_you_mean
from ballast.records.crew import Driver, Tank
from ballast.records.plates import Mount, Plate
from ballast.records.quantities import CentreHeight, Name, Record, Track, UnitsTable, Wheelbase
from ballast.records.suspension import Suspension, Wheels
from ballast.records.suspension import complaints as of_suspension
from ballast.records.wishes import Loss, Margin, Targets, Wishes

HAIR = 1e-9
"""Slack of a comparison, for what binary numbers cannot hold. [kg, m or share]"""


class Chassis(Record):
    """[car]: name and geometry."""

    name: Name
    """what the car is called on the sheet"""
    wheelbase: Wheelbase
    """distance between the axle lines"""
    track_front: Track
    """distance between the middles of the front contact patches"""
    track_rear: Track
    """distance between the middles of the rear contact patches"""
    centre_of_gravity_height: CentreHeight | None = None
    """height of the centre of gravity above the ground as weighed, when it has been measured"""


class Car(Record):
    """A car file."""

    units: UnitsTable
    """the units of this file"""
    chassis: Annotated[Chassis, Field(alias="car")]
    """name and geometry"""
    suspension: Suspension = Suspension()
    """springs or roll stiffness, where known"""
    wheels: Wheels = Wheels()
    """wheels in a place of their own"""
    mounts: Annotated[tuple[Mount, ...], Field(min_length=1)]
    """places where plates can be bolted"""
    plates: Annotated[tuple[Plate, ...], Field(min_length=1)]
    """the box of plates"""
    drivers: tuple[Driver, ...] = ()
    """who drives; without any, the car is planned as it was weighed"""
    tanks: tuple[Tank, ...] = ()
    """what burns; without any, the fuel is planned as it was weighed"""
    targets: Targets = Targets()
    """the balance wanted"""
    losses: tuple[Loss, ...] = ()
    """what the car loses before it is weighed officially"""
    margin: Margin = Margin()
    """what is carried over the class minimum"""
    wishes: Wishes = Wishes()
    """the order in which wishes count"""

    def wheel_places(self) -> tuple[tuple[float, float], ...]:
        """Contact patches in the order of CORNERS: behind the front axle line and left of the centre line. [m]"""
        across = {"F": self.chassis.track_front / 2, "R": self.chassis.track_rear / 2}
        found = []
        for corner in CORNERS:
            own = getattr(self.wheels, corner)
            aft = 0.0 if corner[1] == "F" else self.chassis.wheelbase
            left = across[corner[1]] if corner[0] == "L" else -across[corner[1]]
            found.append((own.behind_front_axle, own.left_of_centre) if own else (aft, left))
        return tuple(found)


def complaints(car: Car) -> Iterator[Complaint]:
    """What a car file says that no car can mean, though each key by itself is fine."""
    yield from _repeated_names("mounts", [mount.name for mount in car.mounts])
    yield from _repeated_names("plates", [plate.name for plate in car.plates])
    yield from _misplaced_mounts(car)
    yield from _unusable_mounts(car)
    yield from _unusable_plates(car)
    yield from _conflicting_targets(car)
    yield from _misplaced_wheels(car)
    yield from of_suspension(car.suspension)
    yield from _crew(car)
    yield from _tanks(car)
    for wish, times in Counter(car.wishes.order).items():
        if times > 1:
            yield Complaint(f"'{wish}' stands there {times} times", "name each wish once.", "[wishes] order")


def _repeated_names(table: str, names: list[str]) -> Iterator[Complaint]:
    for name, times in Counter(names).items():
        if times > 1:
            yield Complaint(
                f"{times} {table} have this name", "give each its own name.", f"[[{table}]] name", f'"{name}"'
            )


def _misplaced_mounts(car: Car) -> Iterator[Complaint]:
    units, chassis = car.units.units(), car.chassis
    half, widest = chassis.wheelbase / 2, max(chassis.track_front, chassis.track_rear)
    for mount in car.mounts:
        table = f"[[mounts]] '{mount.name}'"
        if not -half - HAIR <= mount.behind_front_axle <= chassis.wheelbase + half + HAIR:
            yield Complaint(
                "is more than half a wheelbase outside the axles",
                "measure from the front axle line, rearward positive, and check the unit "
                f"(the wheelbase is {units.outside(chassis.wheelbase, 'length'):g} {units.length}).",
                f"{table} behind_front_axle",
                f"{units.outside(mount.behind_front_axle, 'length'):g}",
            )
        if abs(mount.left_of_centre) > widest + HAIR:
            yield Complaint(
                "is more than half a track outside the wheels",
                "measure from the centre line, left positive, and check the unit "
                f"(the wider track is {units.outside(widest, 'length'):g} {units.length}).",
                f"{table} left_of_centre",
                f"{units.outside(mount.left_of_centre, 'length'):g}",
            )


def _unusable_mounts(car: Car) -> Iterator[Complaint]:
    known = {plate.name for plate in car.plates} | {plate.kind for plate in car.plates if plate.kind}
    for mount in car.mounts:
        table = f"[[mounts]] '{mount.name}'"
        if mount.bolts and mount.bolts.thread.startswith("M") == mount.bolts.strength.startswith("grade"):
            yield Complaint(
                f"{mount.bolts.thread} bolts do not come in {mount.bolts.strength}",
                'metric bolts have classes such as "8.8", inch bolts grades such as "grade 5"; look at the heads.',
                f"{table} bolts",
            )
        for word in mount.takes or ():
            if word not in known:
                fix = did_you_mean(word, known)
                yield Complaint("no plate has this name or kind", fix, f"{table} takes", f'"{word}"')
        if mount.fixing_mass >= mount.capacity:
            yield Complaint(
                "leaves nothing of the mount's capacity for plates",
                "capacity is for plates and hardware together; check both.",
                f"{table} fixing_mass",
                f"{car.units.units().outside(mount.fixing_mass, 'mass'):g}",
            )


def _unusable_plates(car: Car) -> Iterator[Complaint]:
    units = car.units.units()
    for plate in car.plates:
        stacks = [f"'{mount.name}'" for mount in car.mounts if mount.stack is not None and mount.accepts(plate)]
        if stacks and plate.thickness is None:
            yield Complaint(
                f"is missing, and {' and '.join(stacks)} limit the height of the stack",
                "measure it and write thickness = ..., or leave the plate out of what these mounts take.",
                f"[[plates]] '{plate.name}' thickness",
            )
        room = [mount.capacity - mount.fixing_mass for mount in car.mounts if mount.accepts(plate)]
        if not room:
            yield Complaint(
                "no mount takes this plate",
                "add it to a mount's takes, or leave it out.",
                f"[[plates]] '{plate.name}'",
            )
        elif plate.mass > max(room) + HAIR:
            yield Complaint(
                f"is heavier than any mount may carry ({units.outside(max(room), 'mass'):g} {units.mass})",
                "check the mass and the capacities, or leave the plate out.",
                f"[[plates]] '{plate.name}' mass",
                f"{units.outside(plate.mass, 'mass'):g}",
            )


def _misplaced_wheels(car: Car) -> Iterator[Complaint]:
    """A wheel's own place is near the one that wheelbase and tracks give it, or a number is wrong."""
    units, plain = car.units.units(), car.replace(wheels=Wheels()).wheel_places()
    longest = car.chassis.wheelbase / 4
    for corner, (aft, left), (usual, side) in zip(CORNERS, car.wheel_places(), plain, strict=True):
        for key, value, there in (("behind_front_axle", aft, usual), ("left_of_centre", left, side)):
            if abs(value - there) > longest or (key == "left_of_centre" and value * there <= 0):
                yield Complaint(
                    "is far from where wheelbase and tracks put this wheel "
                    f"({units.outside(there, 'length'):g} {units.length})",
                    "measure from the front axle line and the centre line, rearward and left positive.",
                    f"[wheels.{corner}] {key}",
                    f"{units.outside(value, 'length'):g}",
                )


def _crew(car: Car) -> Iterator[Complaint]:
    """Drivers, and what is asked for because of them."""
    yield from _repeated_names("drivers", [driver.name for driver in car.drivers])
    units = car.units.units()
    for driver in car.drivers:
        if driver.pedals_behind_front_axle is not None and driver.at_pedals >= driver.mass:
            yield Complaint(
                "is all that the driver weighs, or more",
                "write the part that the legs carry to the pedals: about 8 kg (18 lb) of a grown driver.",
                f"[[drivers]] '{driver.name}' at_pedals",
                f"{units.outside(driver.at_pedals, 'mass'):g}",
            )
    kit = [f"'{mount.name}'" for mount in car.mounts if mount.changes_with_driver]
    if kit and not car.drivers:
        yield Complaint(
            "is said, and the file names no driver",
            "add a table [[drivers]] for each driver, or leave changes_with_driver out.",
            f"[[mounts]] {', '.join(kit)} changes_with_driver",
        )
    if car.wishes.crew == "by driving time" and not car.drivers:
        yield Complaint(
            "is asked for, and the file names no driver",
            "add a table [[drivers]] for each driver with driving_time, or leave it out.",
            "[wishes] crew",
            '"by driving time"',
        )


def _tanks(car: Car) -> Iterator[Complaint]:
    """Tanks, and what is asked for because of them."""
    yield from _repeated_names("tanks", [tank.name for tank in car.tanks])
    units = car.units.units()
    for tank in car.tanks:
        for key, volume in (("at_start", tank.at_start), ("at_balance", tank.at_balance), ("at_flag", tank.at_flag)):
            if volume is not None and volume > tank.volume + HAIR:
                yield Complaint(
                    f"is more than the tank holds ({units.outside(tank.volume, 'volume'):g} {units.name('volume')})",
                    "check both numbers.",
                    f"[[tanks]] '{tank.name}' {key}",
                    f"{units.outside(volume, 'volume'):g}",
                )
        start = tank.at("start")
        for key, volume in (("at_balance", tank.at_balance), ("at_flag", tank.at_flag)):
            if volume is not None and start + HAIR < volume <= tank.volume:
                yield Complaint(
                    f"is more than at the start ({units.outside(start, 'volume'):g} {units.name('volume')})",
                    "check both numbers: fuel only burns.",
                    f"[[tanks]] '{tank.name}' {key}",
                    f"{units.outside(volume, 'volume'):g}",
                )
        if tank.sample > tank.at_flag + HAIR:
            yield Complaint(
                f"is more than is left at the flag ({units.outside(tank.at_flag, 'volume'):g} {units.name('volume')})",
                "write at_flag, what is left before the sample is taken; or a smaller sample.",
                f"[[tanks]] '{tank.name}' sample",
                f"{units.outside(tank.sample, 'volume'):g}",
            )
    for point, times in Counter(car.wishes.balance_at).items():
        if times > 1:
            yield Complaint(f"'{point}' stands there {times} times", "name each once.", "[wishes] balance_at")
    if car.wishes.balance_at != Wishes().balance_at and not car.tanks:
        yield Complaint(
            "is asked for, and the file describes no tank",
            "add a table [[tanks]] for each tank, or leave it out.",
            "[wishes] balance_at",
        )


def _conflicting_targets(car: Car) -> Iterator[Complaint]:
    targets = car.targets
    if targets.front and targets.rear:
        yield Complaint(
            "both are given, and together they are always 100 %",
            "keep one of the two.",
            "[targets] front and rear",
        )
    if targets.diagonal and targets.rear_pair:
        yield Complaint(
            "both are given, and once front and left are settled one of them settles the other",
            "keep one of the two.",
            "[targets] diagonal and rear_pair",
        )
    bands = {"front": targets.front, "rear": targets.rear, "left": targets.left, "diagonal": targets.diagonal}
    for name, aim in bands.items():
        if aim and aim.within < car.wishes.balance_resolution - HAIR:
            yield Complaint(
                f"is finer than the balance is settled to ({100 * car.wishes.balance_resolution:g} points)",
                "widen it: no set of pads repeats that closely. Or, if yours does, lower [wishes] balance_resolution.",
                f"[targets.{name}] within",
                f"{100 * aim.within:g}",
            )
