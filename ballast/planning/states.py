"""What is aboard beside the plates in each state of the car: driver, fuel, spares, ballast by rule, changed parts."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from ballast.corners import CORNERS
from ballast.physics.compensation import compensation, exact
from ballast.physics.stance import RECTANGULAR, Stance, on_wheel, shares, slopes
from ballast.physics.statics import Array
from ballast.records.changed import Carrier, MovedPart, Part
from ballast.records.crew import Driver, FuelPoint, Seated, Tank
from ballast.records.quantities import Place
from ballast.records.question import Question
from ballast.records.rulebook import InState
from ballast.records.state import DriverState, FuelState
from ballast.units import MASS, MassUnit


@dataclass(frozen=True)
class Piece:
    """A mass that is aboard; in a difference of two states it is negative where it has gone. kg and m."""

    name: str
    mass: float
    place: tuple[float, float] | None
    """aft and left; none when it is not known"""
    up: float | None = None
    mass_off: float = 0.0
    """standard uncertainty"""
    place_off: float = 0.0
    """standard uncertainty, either way"""
    carried_by: Carrier = "chassis"

    def gone(self) -> "Piece":
        """The same, taken off."""
        return Piece(self.name, -self.mass, self.place, self.up, self.mass_off, self.place_off, self.carried_by)


@dataclass(frozen=True)
class State:
    """Who sits in the car and what is in its tanks. What is not known is none."""

    seat: DriverState | None
    sitting: tuple[Piece, ...] | None
    """the driver, or the mass that stands in for one; empty when the seat is"""
    fuel: FuelState | None
    """in a word, where the car file describes no tank"""
    volumes: Mapping[str, tuple[float, float, str]] = field(default_factory=dict)
    """of each tank: litres, how far that may be off, and when: the same litres at two moments are two guesses"""
    spares: int | None = None


def weighed_state(question: Question) -> State:
    """The state of the car on the pads."""
    visit, weigh_in = question.weigh_in.visit, question.weigh_in
    sitting: tuple[Piece, ...] | None = ()
    if visit.driver == "in":
        seated: Seated | None = weigh_in.substitute or question.seated
        sitting = _seated(seated) if seated else _somebody(question)
    elif visit.driver is None:
        sitting = None
    volumes = {}
    for tank in question.car.tanks:
        rows = [row for row in weigh_in.fuel if row.tank in (None, tank.name)]
        in_a_word = _in_a_word(tank, visit.fuel)
        volumes[tank.name] = (rows[0].volume, rows[0].volume_within, "weigh-in") if rows else in_a_word
    return State(visit.driver, sitting, visit.fuel, volumes, visit.spares)


def crew_state(question: Question, driver: Driver | None, point: FuelPoint | None) -> State:
    """The state with one driver aboard at a point of the stint; none of either: as weighed."""
    weighed = weighed_state(question)
    volumes = weighed.volumes
    if point:
        tanks = question.car.tanks
        volumes = {t.name: (t.at(point), t.at_flag_within if point == "flag" else 0.0, point) for t in tanks}
    seat, sitting = ("in", _seated(driver)) if driver else (weighed.seat, weighed.sitting)
    return State(seat, sitting, weighed.fuel, volumes, weighed.spares)


def ruled_state(question: Question, rule: InState, case: State) -> State:
    """The state that a rule speaks of, for the driver of a case; what the rule leaves open is as in the case."""
    sitting: tuple[Piece, ...] | None = ()
    if rule.driver == "in":
        sitting = case.sitting if case.seat == "in" else _somebody(question)
    fuel = case.fuel if rule.fuel is None else rule.fuel
    volumes = case.volumes
    if rule.fuel is not None:
        volumes = {tank.name: _in_a_word(tank, rule.fuel) for tank in question.car.tanks}
    return State(rule.driver, sitting, fuel, volumes, case.spares if rule.spares is None else rule.spares)


def apart(question: Question, here: State, there: State) -> tuple[Piece, ...] | None:
    """What a car in one state (`there`) has more than in another (`here`), gone masses negative; none when unknown."""
    pieces: list[Piece] = []
    if here.sitting != there.sitting or here.seat != there.seat:
        if here.sitting is None or there.sitting is None:
            return None
        pieces += [piece.gone() for piece in here.sitting] + list(there.sitting)
    if question.car.tanks:
        pieces += _burnt(question.car.tanks, here, there)
    elif here.fuel != there.fuel:
        return None
    if here.spares != there.spares:
        mass = question.weigh_in.visit.spare_mass
        if here.spares is None or there.spares is None or mass is None:
            return None
        pieces.append(Piece("spare wheels", (there.spares - here.spares) * mass, None))
    return tuple(pieces)


def apart_from_weighed(question: Question, state: State) -> tuple[Piece, ...] | None:
    """What a state has more than the car on the pads, parts changed since then included; none when unknown."""
    differs = apart(question, weighed_state(question), state)
    return None if differs is None else (*differs, *changed_parts(question))


def loads_of(stance: Stance, pieces: tuple[Piece, ...]) -> Array | None:
    """Corner loads of some pieces, (4,) [kg]; none when the place of one is not known."""
    loads = np.zeros(len(CORNERS))
    for piece in pieces:
        share = share_of(stance, piece)
        if share is None:
            return None
        loads += piece.mass * share
    return loads


def share_of(stance: Stance, piece: Piece) -> Array | None:
    """Share of a piece on each corner, (4,); none when its place is not known."""
    if piece.carried_by != "chassis":
        return on_wheel(stance, piece.carried_by)
    return None if piece.place is None else shares(stance, *piece.place)


def spread_of(stance: Stance, pieces: tuple[Piece, ...]) -> Array:
    """Covariance of the corner loads from what is not sure of some pieces, (4, 4). [kg2]

    Source: JCGM 100:2008, eq. 10; masses and places of different pieces are independent.
    """
    total = np.zeros((len(CORNERS), len(CORNERS)))
    for piece in pieces:
        share = share_of(stance, piece)
        if share is not None:
            parts = [piece.mass_off * share]
            if piece.carried_by == "chassis" and piece.place is not None:
                parts += [piece.mass * piece.place_off * slope for slope in slopes(stance, *piece.place)]
            total += sum(np.outer(part, part) for part in parts)
    return total


def mass_of(pieces: tuple[Piece, ...]) -> float:
    """All of them. [kg]"""
    return sum(piece.mass for piece in pieces)


def mass_off(pieces: tuple[Piece, ...]) -> float:
    """Standard uncertainty of their mass. [kg]"""
    return float(np.sqrt(sum(piece.mass_off**2 for piece in pieces)))


# --- what the rules and the file of changes put aboard ---------------------------------------------------------------


def driver_ballast(question: Question) -> tuple[float, ...]:
    """What the rulebook has each driver carry, in the order of the car file; empty without such a rule. [kg]

    The sums are those of the decimal numbers that were written, not of the binary numbers that hold them.
    """
    rule, drivers = question.rulebook.driver_ballast if question.rulebook else None, question.car.drivers
    if rule is None or not drivers or question.rulebook is None:
        return ()
    car, book = question.car.units.mass, question.rulebook.units.mass
    found = compensation(
        [_written(driver.mass, car) for driver in drivers],
        _written(rule.reference, book),
        rule.way,
        _written(rule.step, book) if rule.step is not None else Fraction(1),
        rule.rounding,
        rule.counted,
    )
    return tuple(float(mass) for mass in found)


def prescribed(question: Question, driver: Driver | None) -> tuple[Piece, ...]:
    """Ballast that the rules want at a place of their own, less what of it was aboard at the weigh-in."""
    book, visit, pieces = question.rulebook, question.weigh_in.visit, []
    if book and book.success_ballast and book.success_ballast.place:
        rule = book.success_ballast
        mass = rule.mass - visit.success_ballast
        pieces.append(Piece("success ballast", mass, rule.place, rule.above_ground))
    if book and book.driver_ballast and book.driver_ballast.place and question.car.drivers:
        carried = ballast_for(question, driver) - visit.driver_ballast
        pieces.append(Piece("driver ballast", carried, book.driver_ballast.place, book.driver_ballast.above_ground))
    return tuple(piece for piece in pieces if piece.mass)


def on_top(question: Question, driver: Driver | None) -> tuple[Piece, ...]:
    """Ballast that the rules add to the minimum weight."""
    book, pieces = question.rulebook, []
    if book and (success := book.success_ballast) and success.on_top and success.mass:
        pieces.append(Piece("success ballast", success.mass, success.place))
    if book and (rule := book.driver_ballast) and rule.on_top and (mass := ballast_for(question, driver)):
        pieces.append(Piece("driver ballast", mass, rule.place))
    return tuple(pieces)


def ballast_for(question: Question, driver: Driver | None) -> float:
    """What the rulebook has one driver carry. [kg]"""
    by_name = dict(zip((one.name for one in question.car.drivers), driver_ballast(question), strict=False))
    return by_name.get(driver.name, 0.0) if driver else 0.0


def changed_parts(question: Question) -> tuple[Piece, ...]:
    """Parts put on, taken off or moved since the weigh-in."""
    changed = question.changed
    if changed is None:
        return ()
    pieces = [_part(part).gone() for part in changed.removed] + [_part(part) for part in changed.added]
    for part in changed.moved:
        was, now = _at(part, part.start), _at(part, part.end)
        pieces += [was.gone(), now]
    return tuple(pieces)


def _at(part: MovedPart, place: Place) -> Piece:
    """A moved part at one of its places. The total is sure; of the move, half its error is given to either end."""
    at = (place.behind_front_axle, place.left_of_centre)
    return Piece(part.name, part.mass, at, place.above_ground, 0.0, part.place_within * RECTANGULAR / np.sqrt(2))


def _part(part: Part) -> Piece:
    place = None
    if part.behind_front_axle is not None and part.left_of_centre is not None:
        place = (part.behind_front_axle, part.left_of_centre)
    off, place_off = part.mass_within * RECTANGULAR, part.place_within * RECTANGULAR
    return Piece(part.name, part.mass, place, part.above_ground, off, place_off, part.carried_by)


def _written(mass: float, unit: MassUnit) -> Fraction:
    """A mass as it was typed, exactly, in kg."""
    factor = exact(MASS[unit])
    return exact(mass / MASS[unit], factor)


def _seated(seated: Seated) -> tuple[Piece, ...]:
    """A driver: body and insert in the seat, the legs' share at the pedals. A substitute: one mass."""
    place = (seated.behind_front_axle, seated.left_of_centre)
    off, place_off = seated.mass_within * RECTANGULAR, seated.place_within * RECTANGULAR
    if not isinstance(seated, Driver):
        return (Piece("substitute", seated.mass, place, seated.above_ground, off, place_off),)
    legs = seated.at_pedals if seated.pedals_behind_front_axle is not None else 0.0
    body = seated.mass - legs + seated.insert_mass
    pieces = [Piece(seated.name, body, place, seated.above_ground, off, place_off)]
    if seated.pedals_behind_front_axle is not None and legs:
        feet = (seated.pedals_behind_front_axle, seated.left_of_centre)
        pieces.append(Piece(seated.name, legs, feet, seated.above_ground, 0.0, place_off))
    return tuple(pieces)


def _somebody(question: Question) -> tuple[Piece, ...] | None:
    """A driver of whom the weigh-in gives the mass and nobody the place."""
    mass = question.weigh_in.visit.driver_mass
    return None if mass is None else (Piece("driver", mass, None),)


def _in_a_word(tank: Tank, word: FuelState | None) -> tuple[float, float, str]:
    """Litres in a tank that is full, drained or as it finishes, and how far that may be off."""
    match word:
        case "full":
            return tank.volume, 0.0, "full"
        case "as it finishes":
            return tank.at("flag"), tank.at_flag_within, "flag"
    return 0.0, 0.0, "drained"


def _burnt(tanks: tuple[Tank, ...], here: State, there: State) -> Iterator[Piece]:
    """Fuel of each tank that differs. Litres and density are both rectangular (JCGM 100:2008, 4.3.7)."""
    for tank in tanks:
        (volume, within, _), (other, other_within, _) = here.volumes[tank.name], there.volumes[tank.name]
        if here.volumes[tank.name] != there.volumes[tank.name]:
            litres = other - volume
            parts = (within * tank.density, other_within * tank.density, litres * tank.density_within)
            off = float(np.sqrt(sum(part**2 for part in parts))) * RECTANGULAR
            place = (tank.behind_front_axle, tank.left_of_centre)
            yield Piece(f"fuel in {tank.name}", litres * tank.density, place, tank.above_ground, off)
