"""What stands on the four wheels in each state of the car, mass by mass: lists of its own, not the planner's."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from math import sqrt
from typing import Literal

import numpy as np

from ballast.corners import CORNERS
from ballast.physics.statics import Array
from ballast.records.changed import Part
from ballast.records.crew import Driver, FuelPoint, Substitute
from ballast.records.quantities import Place
from ballast.records.question import Question
from ballast.records.rulebook import InState
from ballast.records.state import FuelState
from ballast.scrutineering.findings import Standing
from ballast.scrutineering.footing import Footing, footing, settle
from ballast.units import MASS, MassUnit


@dataclass(frozen=True)
class Mass:
    """One mass on the car: kg, and where it is (aft and left, m), or the wheel that carries it, or neither."""

    kg: float
    at: tuple[float, float] | None = None
    wheel: str = ""


@dataclass(frozen=True)
class Tankful:
    """Litres in a tank, and how far that may be off."""

    litres: float
    within: float
    when: str


Word = Literal["as weighed"] | FuelState | FuelPoint


def every_case(question: Question) -> set[tuple[str | None, FuelPoint | None]]:
    """Drivers and points of the stint that a plan has to answer for, by name."""
    drivers: list[str | None] = [driver.name for driver in question.car.drivers] or [None]
    points: tuple[FuelPoint | None, ...] = ("start", "balance", "flag") if question.car.tanks else (None,)
    return {(driver, point) for driver in drivers for point in points}


def name_of(driver: str | None, point: FuelPoint | None) -> str:
    """What a state is called."""
    words = {None: None, "balance": "balance point"}.get(point, point)
    return ", ".join(part for part in (driver, words) if part) or "as weighed"


def standing_now(question: Question, driver: str | None) -> Standing:
    """Plates standing before the plan, a driver's own among them."""
    return {
        (mount.name, plate.name): question.standing(
            mount.name, plate.name, driver if mount.changes_with_driver else None
        )
        for mount in question.car.mounts
        for plate in question.car.plates
    }


def loads_in(
    question: Question, standing: Standing, driver: str | None, point: FuelPoint | None, on: Footing | None = None
) -> Array:
    """Corner loads in one state with these plates standing. Returns (4,). [kg]

    standing : plates by mount and plate, this driver's own among them; on : other springs than the car's own.
    Everything that is aboard in that state and everything that was aboard at the weigh-in stands in one list, the
    latter with its mass negative, and the whole list is settled on the four wheels at once.
    """
    before = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    now = [*_plates(question, standing), *_prescribed(question, driver), *_parts(question), *_fuel(question, point)]
    then = [*_plates(question, before), *_fuel(question, "as weighed")]
    if driver is not None:
        now += _driver(named(question, driver))
        then += _in_the_seat(question)
    return _weighed(question) + settled(question, now, then, on)


def settled(question: Question, now: list[Mass], then: list[Mass], on: Footing | None = None) -> Array:
    """What one list of masses puts on the corners more than another, (4,). [kg]"""
    masses, places, on_wheels = [], [], np.zeros(len(CORNERS))
    for sign, every in ((1.0, now), (-1.0, then)):
        for mass in every:
            if mass.wheel:
                on_wheels[[corner == mass.wheel for corner in CORNERS]] += sign * mass.kg
            elif mass.at is not None:
                masses.append(sign * mass.kg)
                places.append(mass.at)
    return settle(on or footing(question), masses, places, on_wheels)


def named(question: Question, driver: str) -> Driver:
    """A driver of the car file."""
    return next(one for one in question.car.drivers if one.name == driver)


def carried_by_rule(question: Question, driver: str | None) -> float:
    """Driver ballast that the rulebook asks of one driver, worked out in decimals. [kg]"""
    book, crew = question.rulebook, question.car.drivers
    if driver is None or book is None or book.driver_ballast is None:
        return 0.0
    rule, unit = book.driver_ballast, question.car.units.mass
    masses = {one.name: _typed(one.mass, unit) for one in crew}
    reference = _typed(rule.reference, book.units.mass)
    match rule.way:
        case "each driver":
            short, parts = reference - masses[driver], 1
        case "crew mean":
            short, parts = reference * len(crew) - sum(masses.values()), len(crew)
        case "team total":
            missing = (rule.counted or len(crew)) - len(crew)
            short, parts = reference - sum(masses.values()) - missing * min(masses.values()), 1
    if short <= 0:
        return 0.0
    if rule.step is None:
        return float(short / parts)
    step = _typed(rule.step, book.units.mass) * parts
    modes = {"up": ROUND_CEILING, "down": ROUND_FLOOR, "nearest": ROUND_HALF_UP}
    # Divided once, and whole steps told apart from almost whole ones by what is left over: no rounding on the way.
    whole, rest = divmod(short, step)
    more = rest > 0 and (Decimal(whole) + rest / step).to_integral_value(modes[rule.rounding]) > whole
    return float((whole + int(more)) * step / parts)


def apart(
    question: Question, driver: str | None, point: FuelPoint | None, rule: InState
) -> tuple[float, float, Array | None] | str:
    """How much more the car weighs in a case than in a rule's state; or why that is not known.

    Returns the mass [kg], the standard uncertainty of what the rule's state differs from the weighed one by [kg], and
    the corner loads, (4,) [kg], none where the place of something is not known.
    """
    visit = question.weigh_in.visit
    more, off, loads, placed = 0.0, _parts_off(question), np.zeros(len(CORNERS)), True
    seat = "in" if driver is not None else visit.driver
    if driver is not None:
        body = _driver(named(question, driver))
        if rule.driver == "out":
            more += sum(mass.kg for mass in body)
            loads = loads + settled(question, body, [])
        aboard = driver if rule.driver == "in" else None
        off += _seat_off(question, aboard)
    elif seat == "in" and rule.driver == "out" and (question.car.drivers or question.weigh_in.substitute):
        body = _in_the_seat(question)
        more += sum(mass.kg for mass in body)
        loads = loads + settled(question, body, [])
        off += _seat_off(question, None)
    elif seat != rule.driver:
        if visit.driver_mass is None or visit.driver is None:
            return f"weighed with the driver {visit.driver or 'unknown'}, the rule has the driver {rule.driver}"
        more += visit.driver_mass if visit.driver == "in" else -visit.driver_mass
        placed = False
    if question.car.tanks:
        case: Word = point or "as weighed"
        ruled: Word = rule.fuel or case
        now, then = _fuel(question, case), _fuel(question, ruled)
        more += sum(mass.kg for mass in now) - sum(mass.kg for mass in then)
        loads = loads + settled(question, now, then)
        off += _fuel_off(question, ruled)
    elif rule.fuel and visit.fuel != rule.fuel:
        return f"weighed with fuel {visit.fuel or 'not stated'}, the rule has it {rule.fuel}"
    if rule.spares is not None and visit.spares != rule.spares:
        aboard_words = "an unknown number of" if visit.spares is None else str(visit.spares)
        if visit.spares is None or visit.spare_mass is None:
            return f"weighed with {aboard_words} spare wheels, the rule has {rule.spares}"
        more += (visit.spares - rule.spares) * visit.spare_mass
        placed = False
    return more, sqrt(off), loads if placed else None


def in_use(standing: Standing, mount: str) -> int:
    """One when any plate stands on a mount, else zero."""
    return int(any(count > 0 for (name, _), count in standing.items() if name == mount))


def on_top_of_minimum(question: Question, driver: str | None) -> float:
    """Ballast by which the minimum weight rises. [kg]"""
    book = question.rulebook
    success = book.success_ballast.mass if book and book.success_ballast and book.success_ballast.on_top else 0.0
    rises = bool(book and book.driver_ballast and book.driver_ballast.on_top)
    return success + (carried_by_rule(question, driver) if rises else 0.0)


# --- the lists -------------------------------------------------------------------------------------------------------


def _weighed(question: Question) -> Array:
    return np.asarray(np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0))


def _plates(question: Question, standing: Standing) -> list[Mass]:
    plates = {plate.name: plate.mass for plate in question.car.plates}
    found = []
    for mount in question.car.mounts:
        at = (mount.behind_front_axle, mount.left_of_centre)
        found += [Mass(plates[name] * count, at) for (where, name), count in standing.items() if where == mount.name]
        found.append(Mass(in_use(standing, mount.name) * mount.fixing_mass, at))
    return found


def _driver(driver: Driver) -> list[Mass]:
    seat = _place(driver)
    if driver.pedals_behind_front_axle is None:
        return [Mass(driver.mass, seat), Mass(driver.insert_mass, seat)]
    pedals = (driver.pedals_behind_front_axle, driver.left_of_centre)
    body = driver.mass - driver.at_pedals
    return [Mass(body, seat), Mass(driver.insert_mass, seat), Mass(driver.at_pedals, pedals)]


def _who(question: Question) -> Driver | Substitute | None:
    """Who or what was in the seat at the weigh-in."""
    visit, crew = question.weigh_in.visit, question.car.drivers
    if visit.driver == "out":
        return None
    if question.weigh_in.substitute:
        return question.weigh_in.substitute
    return next(one for one in crew if visit.seated in (None, one.name))


def _in_the_seat(question: Question) -> list[Mass]:
    who = _who(question)
    if who is None:
        return []
    return _driver(who) if isinstance(who, Driver) else [Mass(who.mass, _place(who))]


def _seat_off(question: Question, driver: str | None) -> float:
    """Squared standard uncertainty of the mass that the seat differs by from the weigh-in; none for the same driver."""
    then, now = _who(question), named(question, driver) if driver is not None else None
    if then == now:
        return 0.0
    return sum(one.mass_within**2 / 3 for one in (then, now) if one is not None)


def _tankful(question: Question, number: int, word: Word) -> Tankful:
    tank = question.car.tanks[number]
    if word == "as weighed":
        rows = [row for row in question.weigh_in.fuel if row.tank in (None, tank.name)]
        if rows:
            return Tankful(rows[0].volume, rows[0].volume_within, "weigh-in")
        word = question.weigh_in.visit.fuel or "drained"
    start = tank.volume if tank.at_start is None else tank.at_start
    middle = 0.5 * (start + tank.at_flag) if tank.at_balance is None else tank.at_balance
    left = max(0.0, tank.at_flag - tank.sample)
    every: dict[Word, Tankful] = {
        "full": Tankful(tank.volume, 0.0, "full"),
        "drained": Tankful(0.0, 0.0, "drained"),
        "start": Tankful(start, 0.0, "start"),
        "balance": Tankful(middle, 0.0, "balance"),
        "as it finishes": Tankful(left, tank.at_flag_within, "flag"),
        "flag": Tankful(left, tank.at_flag_within, "flag"),
    }
    return every[word]


def _fuel(question: Question, word: Word | None) -> list[Mass]:
    return [
        Mass(_tankful(question, number, word or "as weighed").litres * tank.density, _place(tank))
        for number, tank in enumerate(question.car.tanks)
    ]


def _place(of: Place) -> tuple[float, float]:
    return of.behind_front_axle, of.left_of_centre


def _fuel_off(question: Question, word: Word) -> float:
    """Squared standard uncertainty of the fuel that a state differs by from the weigh-in. [kg2]"""
    total = 0.0
    for number, tank in enumerate(question.car.tanks):
        then, now = _tankful(question, number, "as weighed"), _tankful(question, number, word)
        if then != now:
            litres = (then.within**2 + now.within**2) * tank.density**2
            total += (litres + ((now.litres - then.litres) * tank.density_within) ** 2) / 3
    return total


def _prescribed(question: Question, driver: str | None) -> list[Mass]:
    book, visit, found = question.rulebook, question.weigh_in.visit, []
    if book and (success := book.success_ballast) and success.place:
        found.append(Mass(success.mass - visit.success_ballast, success.place))
    if book and (rule := book.driver_ballast) and rule.place and question.car.drivers:
        found.append(Mass(carried_by_rule(question, driver) - visit.driver_ballast, rule.place))
    return found


def _parts(question: Question) -> list[Mass]:
    changed = question.changed
    if changed is None:
        return []
    found = [_part(part, 1.0) for part in changed.added] + [_part(part, -1.0) for part in changed.removed]
    for moved in changed.moved:
        found += [Mass(-moved.mass, _place(moved.start)), Mass(moved.mass, _place(moved.end))]
    return found


def _parts_off(question: Question) -> float:
    """Squared standard uncertainty of the mass that parts changed since the weigh-in bring or take. [kg2]"""
    changed = question.changed
    return sum(part.mass_within**2 / 3 for part in (*changed.added, *changed.removed)) if changed else 0.0


def _part(part: Part, sign: float) -> Mass:
    if part.carried_by != "chassis":
        return Mass(sign * part.mass, wheel=part.carried_by)
    return Mass(sign * part.mass, (part.behind_front_axle or 0.0, part.left_of_centre or 0.0))


def _typed(mass: float, unit: MassUnit) -> Decimal:
    """A mass as it was typed in its file, times the exact factor of its unit. [kg]"""
    return Decimal(f"{mass / MASS[unit]:.10g}") * Decimal(f"{MASS[unit]:.10g}")
