"""What is aboard beside the plates in each state of a car, written from the design and the words of the files.

Sources: planning.md section 2 for cases, physics.md section 3 for shares, JCGM 100:2008 for uncertainties (4.3.7 for
what is known to lie within bounds, eq. 10 for adding up). Records are read; nothing of the planner's or the
scrutineer's is used: a car of which more is known than a roll share stands on the springs of the full model of the
property tests. kg, m, L.

A state is told by names, so that two states differ in what has another name, and in nothing else.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ballast.records.changed import Part
from ballast.records.crew import Driver, Seated, Tank
from ballast.records.question import Question
from ballast.records.rulebook import InState
from ballast.records.suspension import Axle as AxleOfFile
from tests.properties.test_full_model import Axle, Vehicle, at_rest

Floats = NDArray[np.float64]

BOUNDS = 3**-0.5
"""From bounds to a standard uncertainty: a rectangular distribution."""
WHEELS = ("LF", "RF", "LR", "RR")
IN_WORDS = {"start": "start", "balance": "balance point", "flag": "flag"}


@dataclass(frozen=True)
class Lump:
    """A mass at a place, or on a wheel, or nobody knows where; negative when it has gone."""

    kg: float
    at: tuple[float, float] | None = None
    wheel: str = ""
    kg_off: float = 0.0
    """standard uncertainty"""
    place_off: float = 0.0
    """standard uncertainty, either way"""

    def gone(self) -> "Lump":
        """The same, taken off."""
        return Lump(-self.kg, self.at, self.wheel, self.kg_off, self.place_off)


@dataclass(frozen=True)
class Shape:
    """What shares of a mass depend on."""

    wheelbase: float
    track: tuple[float, float]
    front_part: float
    on_springs: Vehicle | None = None
    """the car on its springs, where they are known or its wheels have places of their own"""
    told: tuple[float, float, float] | None = None
    """what trial weights told, as in [suspension.learned]; the car on springs then has four alike"""

    def shares_at(self, aft: Any, left: Any) -> Floats:
        """Share of one kg at each place on each corner, (..., 4): physics.md section 3, rates unknown; or springs."""
        (tf, tr), s = self.track, self.front_part
        if self.on_springs is not None:
            along, across = np.broadcast_arrays(np.asarray(aft, dtype=float), np.asarray(left, dtype=float))
            rows = [self._by_springs(float(a), float(b)) for a, b in zip(along.flat, across.flat, strict=True)]
            return np.asarray(np.reshape(rows, (*along.shape, 4)))
        lengthwise, left = np.asarray(aft) / self.wheelbase, np.asarray(left)
        corners = [
            (1 - lengthwise) / 2 + s * left / tf,
            (1 - lengthwise) / 2 - s * left / tf,
            lengthwise / 2 + (1 - s) * left / tr,
            lengthwise / 2 - (1 - s) * left / tr,
        ]
        return np.stack(corners, axis=-1)

    def _by_springs(self, aft: float, left: float) -> Floats:
        assert self.on_springs is not None
        found = np.array(_shares_on_springs(self.on_springs, aft, left))
        if self.told is not None:
            front, rear, by_left = self.told
            behind = aft / self.wheelbase
            found = found + (front * (1 - behind) + rear * behind + by_left * 2 * left / self.track[0]) * self._warp()
        return found

    def _warp(self) -> Floats:
        """The loads that neither weigh nor turn anything, 1 on LF: by Cramer's rule, the areas between the others."""
        rows = [(1.0, *place) for place in self.places]
        areas = [(-1) ** i * float(np.linalg.det([row for j, row in enumerate(rows) if j != i])) for i in range(4)]
        return np.asarray(np.array(areas) / areas[0])

    @property
    def places(self) -> list[tuple[float, float]]:
        """Where the wheels stand, aft and left, in the order of WHEELS. [m]"""
        if self.on_springs is not None:
            return [*self.on_springs.front.places, *self.on_springs.rear.places]
        (tf, tr), back = self.track, self.wheelbase
        return [(0.0, tf / 2), (0.0, -tf / 2), (back, tr / 2), (back, -tr / 2)]

    def loads(self, lumps: list[Lump]) -> Floats | None:
        """Corner loads of some lumps, (4,); none where the place of one is not known. [kg]"""
        found = np.zeros(4)
        for lump in lumps:
            if not lump.wheel and lump.at is None:
                return None
            found += lump.kg * self._share(lump)
        return found

    def variance(self, weights: Floats, lumps: Sequence[Lump]) -> float:
        """Of weights @ loads, from what is not sure of some lumps. [kg2]"""
        found = 0.0
        for lump in lumps:
            found += (lump.kg_off * float(weights @ self._share(lump))) ** 2
            if lump.at is not None:
                (aft, left), here = lump.at, self._share(lump)
                slopes = [self.shares_at(aft + 1.0, left) - here, self.shares_at(aft, left + 1.0) - here]
                found += sum((lump.kg * lump.place_off * float(weights @ slope)) ** 2 for slope in slopes)
        return found

    def _share(self, lump: Lump) -> Floats:
        if lump.wheel:
            alone = np.array([float(wheel == lump.wheel) for wheel in WHEELS])
            if self.on_springs is None:
                return alone
            return np.asarray(at_rest(self.on_springs, on_wheels=alone).loads)
        assert lump.at is not None
        return self.shares_at(*lump.at)


@cache
def _shares_on_springs(car: Vehicle, aft: float, left: float) -> tuple[float, ...]:
    return tuple(at_rest(car, 1.0, (aft, left)).loads)


def shape_of(question: Question) -> Shape:
    """What the shares of a question's car depend on, with its bars as they were at the weigh-in."""
    car, known = question.car, question.car.suspension
    chassis = car.chassis
    back, track = chassis.wheelbase, (chassis.track_front, chassis.track_rear)
    front_part = 0.5 if known.front_roll_share is None else known.front_roll_share
    plain = Shape(back, track, front_part)
    places = [
        (wheel.behind_front_axle, wheel.left_of_centre) if wheel else usual
        for wheel, usual in zip((getattr(car.wheels, name) for name in WHEELS), plain.places, strict=True)
    ]
    apart = [places[0][1] - places[1][1], places[2][1] - places[3][1]]
    springs = known.learned is None and known.front_roll_share is None and known.front is not None
    if springs and known.front and known.front.springs and known.rear and known.rear.springs:
        on = question.weigh_in.visit.bars == "connected"
        soft = known.front.tyres is not None or known.rear.tyres is not None
        axles = (_axle(known.front, places[:2], on), _axle(known.rear, places[2:], on))
        return Shape(back, track, front_part, Vehicle(*axles, soft, known.chassis_twist))
    if places == plain.places and known.learned is None:
        return plain
    # Springs alike on an axle, whose roll stiffnesses are as the share says: any such car is a stand-in.
    parts = (front_part, 1 - front_part) if known.learned is None else (apart[0] ** 2, apart[1] ** 2)
    rates = [1e5 * part / width**2 for part, width in zip(parts, apart, strict=True)]
    stand_in = [
        Axle((places[n], places[n + 1]), (rate, rate), (1.0, 1.0), 0.0, (1.0, 1.0), None)
        for n, rate in zip((0, 2), rates, strict=True)
    ]
    shape = Shape(back, track, front_part, Vehicle(stand_in[0], stand_in[1], False, None))
    if known.learned is None:
        return shape
    learned = known.learned
    return replace(shape, told=(learned.at_front_axle, learned.at_rear_axle, learned.to_the_left))


RIGID = 1e12
"""A tyre taken as rigid beside others that are not, stiff enough for kilograms to six decimals. [N/m]"""


def _axle(axle: AxleOfFile, places: list[tuple[float, float]], bars: bool) -> Axle:
    assert axle.springs is not None
    bar = axle.bar if bars and axle.bar else 0.0
    tyres = axle.tyres or (RIGID, RIGID)
    return Axle((places[0], places[1]), axle.springs, axle.motion_ratio, bar, tyres, axle.spring_base)


@dataclass(frozen=True)
class Stand:
    """A state: what sits in the seat, how much is in the tanks, how many spare wheels are aboard."""

    seat: str
    """"empty", "unknown", "somebody", "substitute", or "driver" and a name"""
    fuel: str
    """with tanks: "weigh-in", "full", "drained" or a point of the stint; without: the word of the weigh-in or a rule"""
    spares: int | None


WORDS = {"as it finishes": "flag", "drained": "drained", "full": "full"}
"""What a word for the fuel means where the car file describes the tanks."""


def weighed(question: Question) -> Stand:
    """The state on the pads."""
    visit, drivers = question.weigh_in.visit, question.car.drivers
    seat = {"out": "empty", None: "unknown", "in": "somebody"}[visit.driver]
    if visit.driver == "in" and question.weigh_in.substitute:
        seat = "substitute"
    elif visit.driver == "in" and drivers:
        seat = f"driver {visit.seated or drivers[0].name}"
    fuel: str = visit.fuel or "unknown"
    if question.car.tanks:
        fuel = "weigh-in" if question.weigh_in.fuel else WORDS[fuel]
    return Stand(seat, fuel, visit.spares)


def of_case(question: Question, driver: Driver | None, point: str | None) -> Stand:
    """The state with one driver in at a point of the stint; what is not said is as weighed."""
    on_pads = weighed(question)
    return Stand(f"driver {driver.name}" if driver else on_pads.seat, point or on_pads.fuel, on_pads.spares)


def ruled(question: Question, rule: InState, case: Stand) -> Stand:
    """The state of a rule, for a car that is otherwise in the state of a case."""
    seat = "empty"
    if rule.driver == "in":
        seat = "somebody" if case.seat in ("empty", "unknown") else case.seat
    fuel = case.fuel
    if rule.fuel:
        fuel = WORDS[rule.fuel] if question.car.tanks else rule.fuel
    return Stand(seat, fuel, case.spares if rule.spares is None else rule.spares)


def between(question: Question, here: Stand, there: Stand) -> list[Lump] | None:
    """What a car has `there` and not `here`, and what has gone; none where nobody can tell."""
    found: list[Lump] = []
    if here.seat != there.seat:
        before, after = in_seat(question, here.seat), in_seat(question, there.seat)
        if before is None or after is None:
            return None
        found += [lump.gone() for lump in before] + after
    if here.fuel != there.fuel:
        if not question.car.tanks:
            return None
        found += [_burnt(question, tank, here.fuel, there.fuel) for tank in question.car.tanks]
    if here.spares != there.spares:
        each = question.weigh_in.visit.spare_mass
        if here.spares is None or there.spares is None or each is None:
            return None
        found.append(Lump((there.spares - here.spares) * each))
    return found


def in_seat(question: Question, seat: str) -> list[Lump] | None:
    """What sits in the seat; none where nobody knows."""
    if seat == "empty":
        return []
    if seat == "substitute":
        stand_in = question.weigh_in.substitute
        assert stand_in is not None
        return [_sitting(stand_in, stand_in.mass)]
    if seat == "somebody":
        mass = question.weigh_in.visit.driver_mass
        return None if mass is None else [Lump(mass)]
    for driver in question.car.drivers:
        if seat == f"driver {driver.name}":
            return list(_driver(driver))
    return None


def _sitting(seated: Seated, kg: float) -> Lump:
    at = (seated.behind_front_axle, seated.left_of_centre)
    return Lump(kg, at, "", seated.mass_within * BOUNDS, seated.place_within * BOUNDS)


def _driver(driver: Driver) -> Iterator[Lump]:
    """Body and insert in the seat; what the legs carry to the pedals there, where that place is given."""
    pedals = driver.pedals_behind_front_axle
    legs = 0.0 if pedals is None else driver.at_pedals
    yield _sitting(driver, driver.mass - legs + driver.insert_mass)
    if pedals is not None:
        yield Lump(legs, (pedals, driver.left_of_centre), "", 0.0, driver.place_within * BOUNDS)


def in_tank(question: Question, tank: Tank, fuel: str) -> tuple[float, float]:
    """Litres in a tank, and how far they may be off. Half way from start to flag is the balance point by default."""
    start = tank.volume if tank.at_start is None else tank.at_start
    match fuel:
        case "weigh-in":
            (row,) = [row for row in question.weigh_in.fuel if row.tank in (None, tank.name)]
            return row.volume, row.volume_within
        case "full":
            return tank.volume, 0.0
        case "start":
            return start, 0.0
        case "balance":
            return (start + tank.at_flag) / 2 if tank.at_balance is None else tank.at_balance, 0.0
        case "flag":
            return max(0.0, tank.at_flag - tank.sample), tank.at_flag_within
    return 0.0, 0.0


def _burnt(question: Question, tank: Tank, here: str, there: str) -> Lump:
    """What one tank has more, or less; both volumes and the density are known within bounds."""
    (was, was_within), (now, now_within) = in_tank(question, tank, here), in_tank(question, tank, there)
    off = hypot(was_within * tank.density, now_within * tank.density, (now - was) * tank.density_within) * BOUNDS
    return Lump((now - was) * tank.density, (tank.behind_front_axle, tank.left_of_centre), "", off)


# --- what rules and changes put aboard -------------------------------------------------------------------------------


def driver_ballast(question: Question) -> list[float]:
    """What each driver carries by the rule, in the order of the car file. [kg]

    In whole grams, so that nothing is rounded. A mean is not divided: so many times as much is compared instead.
    """
    rule, drivers = question.rulebook.driver_ballast if question.rulebook else None, question.car.drivers
    if rule is None:
        return [0.0] * len(drivers)
    assert question.car.units.mass == "kg", "whole grams are for masses written in kilograms"
    masses, reference = [_grams(driver.mass) for driver in drivers], _grams(rule.reference)
    if rule.way == "each driver":
        short, parts = [reference - mass for mass in masses], 1
    elif rule.way == "crew mean":
        short, parts = [len(masses) * reference - sum(masses)] * len(masses), len(masses)
    else:
        again = (rule.counted or len(masses)) - len(masses)
        short, parts = [reference - sum(masses) - again * min(masses)] * len(masses), 1
    step = parts * _grams(rule.step) if rule.step else 0
    return [_stepped(max(0, grams), step, rule.rounding) / (1000 * parts) for grams in short]


def _grams(kg: float) -> int:
    grams = round(kg * 1000)
    assert abs(grams / 1000 - kg) < 1e-9, "whole grams are for masses written to a gram"
    return grams


def _stepped(grams: int, step: int, rounding: str) -> int:
    match rounding:
        case "up":
            return (grams + step - 1) // step * step
        case "down":
            return grams // step * step
        case "nearest":
            return (2 * grams + step) // (2 * step) * step
    return grams


def by_rule(question: Question, number: int | None) -> list[Lump]:
    """Ballast at the place a rule prescribes, less what of it stood there at the weigh-in. number : of the driver."""
    book, visit, found = question.rulebook, question.weigh_in.visit, []
    if book and (success := book.success_ballast) and success.behind_front_axle is not None:
        found.append(Lump(success.mass - visit.success_ballast, success.place))
    if book and (rule := book.driver_ballast) and rule.behind_front_axle is not None and number is not None:
        found.append(Lump(driver_ballast(question)[number] - visit.driver_ballast, rule.place))
    return found


def on_top(question: Question, number: int | None) -> float:
    """By how much the rules' own ballast raises the minimum. number : of the driver. [kg]"""
    book, more = question.rulebook, 0.0
    if book and book.success_ballast and book.success_ballast.on_top:
        more += book.success_ballast.mass
    if book and book.driver_ballast and book.driver_ballast.on_top and number is not None:
        more += driver_ballast(question)[number]
    return more


def changed_parts(question: Question) -> list[Lump]:
    """Parts taken off, put on and moved since the weigh-in."""
    changed, found = question.changed, list[Lump]()
    if changed is None:
        return found
    found += [_part(part).gone() for part in changed.removed] + [_part(part) for part in changed.added]
    for part in changed.moved:
        found.append(Lump(-part.mass, (part.start.behind_front_axle, part.start.left_of_centre)))
        found.append(Lump(part.mass, (part.end.behind_front_axle, part.end.left_of_centre)))
    return found


def _part(part: Part) -> Lump:
    if part.carried_by != "chassis":
        return Lump(part.mass, None, part.carried_by)
    assert part.behind_front_axle is not None
    assert part.left_of_centre is not None
    return Lump(part.mass, (part.behind_front_axle, part.left_of_centre))
