"""Invented cars with a crew, by seed: small enough to try every set of plates for every driver.

A car of tests/random_cars.py gets drivers, a mount that changes with them, a tank, ballast by rule, changed parts. What
is asked of its total is then moved by what the lightest driver and the fuel at the flag weigh more than what was aboard
at the weigh-in, so that it stays about as hard to reach. kg, m, L.
"""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.random import Generator

from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.crew import Driver, Substitute, Tank
from ballast.records.question import Question
from ballast.records.rulebook import DriverBallast, SuccessBallast
from ballast.records.weighing import WeighIn
from ballast.records.wishes import WishName
from tests.random_cars import UNITS, drawn, question

NAMES = ("Ada", "Bo", "Cleo")
ORDERS: tuple[tuple[WishName, ...], ...] = (
    ("balance", "mass", "stop", "changes", "height", "aim"),
    ("balance", "stop", "mass", "pieces", "yaw", "aim"),
    ("stop", "balance", "pieces", "aim", "mass"),
    ("mass", "stop", "aim", "height"),
    ("changes", "stop", "balance", "yaw"),
    ("pieces", "yaw", "stop", "balance"),
    ("aim", "changes", "stop"),
    ("yaw", "aim"),
)
RULED: dict[str, Any] = {"clause": "7.3", "source": "invented", "checked": date(2026, 3, 1)}


@dataclass(frozen=True)
class Chance:
    """A generator that is asked in words."""

    rng: Generator

    def of(self, part: float) -> bool:
        """True in this part of all cases."""
        return bool(self.rng.random() < part)

    def between(self, low: float, high: float, digits: int = 2) -> float:
        """A decimal number, as a person writes it."""
        return round(float(self.rng.uniform(low, high)), digits)

    def place(self, wheelbase: float) -> dict[str, Any]:
        """Somewhere between the axles."""
        return {
            "behind_front_axle": self.between(0.2, wheelbase - 0.2),
            "left_of_centre": self.between(-0.5, 0.5),
            "above_ground": self.between(0.1, 0.6),
        }


def crew_question(seed: int, large: bool = False) -> Question:
    """A car with two or three drivers, up to one tank, one mount that changes with the driver and one or two others.

    large : four to six mounts and three or four kinds of plate, too many to try every way.
    """
    rng = np.random.default_rng(seed)
    chance, drivers = Chance(rng), int(rng.integers(2, 4))
    mounts, kinds = int(rng.integers(2, 4)), int(rng.integers(1, 3))
    owned = 6 if kinds == 1 else (4 if drivers + mounts < 6 else 3)
    if large:
        mounts, kinds, owned = int(rng.integers(4, 7)), int(rng.integers(3, 5)), 5
    recipe = drawn(rng, mounts, kinds, owned)
    recipe = replace(recipe, wanted=chance.between(-0.1, 0.45), stack=recipe.stack or chance.of(0.5))
    if chance.of(0.4):
        recipe = replace(recipe, required="minimum", rules=True, stack=True, heights=True)
    if recipe.most_changes is not None:
        recipe = replace(recipe, most_changes=recipe.most_changes + 3)
    if chance.of(0.5):
        recipe = replace(recipe, pieces=False, takes=False, most_changes=None, stack=False, rules=False)
    return crewed(question(recipe, rng), chance, drivers)


def crewed(plain: Question, chance: Chance, drivers: int) -> Question:
    """A crew for a car. What was aboard when it was weighed, was: readings and fitted plates stay as they are."""
    wheelbase = plain.car.chassis.wheelbase
    crew = tuple(_driver(chance, name, wheelbase) for name in NAMES[:drivers])
    tanks = (_tank(chance, wheelbase),) if chance.of(0.6) else ()
    kit = int(chance.rng.integers(len(plain.car.mounts)))
    points = [("balance",), ("start", "flag"), ("balance", "flag"), ("flag",)]
    wishes = plain.wishes.replace(
        order=ORDERS[chance.rng.integers(len(ORDERS))],
        crew="by driving time" if chance.of(0.4) else "worst",
        balance_at=points[chance.rng.integers(len(points))] if tanks else ("balance",),
    )
    roomier = chance.between(1.0, 2.5)
    mounts = tuple(
        mount.replace(changes_with_driver=number == kit, capacity=round(roomier * mount.capacity, 1))
        for number, mount in enumerate(plain.car.mounts)
    )
    car = plain.car.replace(drivers=crew, tanks=tanks, mounts=mounts, wishes=wishes)
    found = plain.replace(car=car, weigh_in=_weigh_in(chance, plain.weigh_in, crew, tanks, wheelbase))
    if found.rulebook:
        found = _ballast_by_rule(chance, found)
    if chance.of(0.35):
        found = found.replace(changed=_changed(chance, found))
    return _asked_of_the_lightest(found)


def _driver(chance: Chance, name: str, wheelbase: float) -> Driver:
    return Driver(
        name=name,
        mass=chance.between(60, 92, 1),
        mass_within=chance.between(0.1, 0.5, 1) if chance.of(0.4) else 0.0,
        behind_front_axle=chance.between(0.5, 0.6) * wheelbase,
        left_of_centre=chance.between(-0.4, 0.0),
        above_ground=0.4,
        insert_mass=chance.between(1, 4, 1) if chance.of(0.4) else 0.0,
        pedals_behind_front_axle=0.35 if chance.of(0.6) else None,
        at_pedals=chance.between(6, 9, 1),
        driving_time=float(chance.rng.integers(1, 5)),
    )


def _tank(chance: Chance, wheelbase: float) -> Tank:
    at_flag = float(chance.rng.integers(2, 10))
    return Tank(
        name="tank",
        **chance.place(wheelbase),
        volume=at_flag + float(chance.rng.integers(20, 80)),
        at_start=at_flag + 15.0 if chance.of(0.3) else None,
        at_balance=at_flag + 5.0 if chance.of(0.3) else None,
        at_flag=at_flag,
        at_flag_within=chance.between(0.4, 1.0, 1),
        sample=float(chance.rng.integers(1, 3)) if chance.of(0.3) else 0.0,
        density=chance.between(0.70, 0.80),
    )


def _weigh_in(
    chance: Chance, weighed: WeighIn, crew: tuple[Driver, ...], tanks: tuple[Tank, ...], wheelbase: float
) -> WeighIn:
    """One of the crew in the seat, a substitute, or nobody; the tank in litres or in a word."""
    visit: dict[str, Any] = {"date": weighed.visit.date, "driver": "in"}
    changes: dict[str, Any] = {"fuel": ()}
    match int(chance.rng.integers(4)):
        case 0:
            visit["driver"] = "out"
        case 1:
            place = chance.place(wheelbase) | {"left_of_centre": crew[0].left_of_centre}
            changes["substitute"] = Substitute(mass=75.0, mass_within=0.1, **place)
        case _:
            visit["seated"] = crew[chance.rng.integers(len(crew))].name
    if tanks and chance.of(0.5):
        visit["fuel"] = str(chance.rng.choice(["full", "drained", "as it finishes"]))
    elif tanks:
        litres = chance.between(0, tanks[0].volume, 0)
        changes["fuel"] = ({"volume": litres, "volume_within": 0.3},)
    return weighed.replace(visit=visit, **changes)


def _ballast_by_rule(chance: Chance, asked: Question) -> Question:
    """Success ballast and driver ballast, each there about every other time; each at a place, or free."""
    book, visit, wheelbase = asked.rulebook, asked.weigh_in.visit, asked.car.chassis.wheelbase
    assert book is not None
    success, drivers = None, None
    if chance.of(0.5):
        place = chance.place(wheelbase) if chance.of(0.6) else {}
        on_top = not place or chance.of(0.5)
        success = SuccessBallast(mass=chance.between(3, 15, 1), on_top=on_top, **place, **RULED)
        if place and chance.of(0.5):
            visit = visit.replace(success_ballast=chance.between(1, 12, 1))
    if chance.of(0.5):
        place = chance.place(wheelbase) if chance.of(0.6) else {}
        way = str(chance.rng.choice(["each driver", "crew mean", "team total"]))
        rounding = str(chance.rng.choice(["up", "nearest", "down", "none"]))
        reference = chance.between(72, 88, 1)
        counted = 4 if way == "team total" and chance.of(0.5) else None
        if way == "team total":
            reference = round(reference * (counted or len(asked.car.drivers)), 1)
        drivers = DriverBallast.model_validate(
            {
                "way": way,
                "reference": reference,
                "rounding": rounding,
                "step": None if rounding == "none" else float(chance.rng.choice([0.5, 1.0, 2.5])),
                "counted": counted,
                "on_top": not place or chance.of(0.5),
                **place,
                **RULED,
            }
        )
        if place and chance.of(0.5):
            visit = visit.replace(driver_ballast=chance.between(1, 5, 1))
    return asked.replace(
        rulebook=book.replace(success_ballast=success, driver_ballast=drivers),
        weigh_in=asked.weigh_in.replace(visit=visit),
    )


def _changed(chance: Chance, asked: Question) -> Changed:
    """Parts off, on and moved, one of them on a wheel; plates moved by hand, some for one driver alone."""
    wheelbase, rows = asked.car.chassis.wheelbase, list[dict[str, Any]]()
    free = {plate.name: plate.count for plate in asked.car.plates}
    for mount in asked.car.mounts:
        for plate in asked.car.plates:
            if mount.accepts(plate) and chance.of(0.5):
                count = int(chance.rng.integers(0, free[plate.name] + 1))
                row = {"mount": mount.name, "plate": plate.name, "count": count}
                rows.append(row)
                if mount.changes_with_driver and chance.of(0.4):
                    rows.append(row | {"count": 0, "driver": NAMES[1]})
            else:
                count = asked.fitted(mount.name, plate.name)
                rows += [{"mount": mount.name, "plate": plate.name, "count": 0}] if count > free[plate.name] else []
                count = 0 if count > free[plate.name] else count
            free[plate.name] -= count
    part = chance.place(wheelbase) | {"name": "seat rail", "mass": chance.between(1, 6, 1)}
    hub = {"name": "hub", "mass": chance.between(0.5, 2.0, 1), "carried_by": str(chance.rng.choice(["RF", "LR"]))}
    removed = [chance.place(wheelbase) | {"name": "bottle", "mass": chance.between(1, 6, 1)}] if chance.of(0.6) else []
    moved = [{"name": "battery", "mass": 9.5, "from": chance.place(wheelbase), "to": chance.place(wheelbase)}]
    return Changed.model_validate(
        {
            "units": UNITS,
            "removed": removed,
            "added": [part, hub] if chance.of(0.6) else [hub],
            "moved": moved if chance.of(0.5) else [],
            "placed": rows if chance.of(0.7) else [],
        }
    )


def _asked_of_the_lightest(asked: Question) -> Question:
    """The same question with minimum or total moved to where the lightest driver at the flag has about as far to go."""
    car, weigh_in, book = asked.car, asked.weigh_in, asked.rulebook
    more = min(driver.mass + driver.insert_mass for driver in car.drivers) - _sat(asked)
    for tank in car.tanks:
        was = weigh_in.fuel[0].volume if weigh_in.fuel else 0.0
        was = {"full": tank.volume, "as it finishes": tank.at_flag}.get(weigh_in.visit.fuel or "", was)
        more += (tank.at_flag - was) * tank.density
    if asked.changed:
        more += sum(part.mass for part in asked.changed.added) - sum(part.mass for part in asked.changed.removed)
    if book:
        if (success := book.success_ballast) and success.place:
            more += (not success.on_top) * success.mass - weigh_in.visit.success_ballast
        more -= weigh_in.visit.driver_ballast
        minima = tuple(minimum.replace(mass=round(minimum.mass + more, 1)) for minimum in book.minima)
        return asked.replace(rulebook=book.replace(minima=minima))
    total = car.targets.total
    targets = car.targets.replace(total=None if total is None else round(total + more, 1))
    return asked.replace(car=car.replace(targets=targets))


def _sat(asked: Question) -> float:
    """What sat in the seat at the weigh-in. [kg]"""
    if asked.weigh_in.visit.driver == "out":
        return 0.0
    if asked.weigh_in.substitute:
        return asked.weigh_in.substitute.mass
    (aboard,) = [one for one in asked.car.drivers if one.name == asked.weigh_in.visit.seated]
    return aboard.mass + aboard.insert_mass


def one_driver(plain: Question, seed: int) -> Question:
    """The same car with the driver who was weighed in it by name, and now and then a mount that changes with drivers.

    Nothing then differs from the car without a name for its driver.
    """
    chance = Chance(np.random.default_rng(seed))
    driver = _driver(chance, NAMES[0], plain.car.chassis.wheelbase)
    mounts = plain.car.mounts
    if chance.of(0.6):
        mounts = (mounts[0].replace(changes_with_driver=True), *mounts[1:])
    visit = plain.weigh_in.visit.replace(driver="in", seated=NAMES[0], driver_mass=None)
    return plain.replace(
        car=plain.car.replace(drivers=(driver,), mounts=mounts), weigh_in=plain.weigh_in.replace(visit=visit)
    )


def mirrored(asked: Question) -> Question:
    """The same car in a mirror: everything on the left stands on the right. For a car without rules on one side."""
    return Question.model_validate(_in_a_mirror(asked.model_dump(by_alias=True)))


SWAPPED = {"LF": "RF", "RF": "LF", "LR": "RR", "RR": "LR", "RF+LR": "LF+RR", "LF+RR": "RF+LR"}


def _in_a_mirror(value: Any) -> Any:
    """Names of corners and diagonals change sides, distances to the left change sign; so do aims at the left side."""
    if isinstance(value, str):
        return SWAPPED.get(value, value)
    if isinstance(value, list | tuple):
        return tuple(_in_a_mirror(each) for each in value)
    if not isinstance(value, dict):
        return value
    found = {SWAPPED.get(key, key): _in_a_mirror(each) for key, each in value.items()}
    aside = found.get("left_of_centre")
    if isinstance(aside, tuple):
        found["left_of_centre"] = (-aside[1], -aside[0])
    elif aside is not None:
        found["left_of_centre"] = -aside
    if (left := found.get("left")) is not None:
        found["left"] = left | {"aim": 1 - left["aim"]}
    if (pair := found.get("rear_pair")) is not None:
        found["rear_pair"] = pair | {"aim": -pair["aim"]}
    return found


def in_order(asked: Question, order: tuple[int, ...]) -> Question:
    """The same question with the drivers named in another order."""
    car: Car = asked.car
    return asked.replace(car=car.replace(drivers=tuple(car.drivers[number] for number in order)))
