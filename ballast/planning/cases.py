"""The question as arrays: mounts and plates once, and every state of the car that a plan has to answer for."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ballast.errors import DisagreementError
from ballast.physics.stance import Stance, shares
from ballast.physics.statics import Array, centre_of_gravity
from ballast.planning.requirement import requirement
from ballast.planning.stances import bars_at_weigh_in, stance
from ballast.planning.states import (
    Piece,
    State,
    apart,
    changed_parts,
    crew_state,
    loads_of,
    prescribed,
    weighed_state,
)
from ballast.records.crew import Driver, FuelPoint
from ballast.records.plan import Requirement
from ballast.records.question import Question


@dataclass(frozen=True)
class Layout:
    """M rows of mounts and P kinds of plate. Masses in kg, lengths in m; a limit that is not set is infinite.

    A mount that changes with the driver has a row for each driver, every other mount has one. K sets of plates can be
    aboard: one for each driver where any mount changes, else one.
    """

    mounts: tuple[str, ...]
    drivers: tuple[str | None, ...]
    """whose the plates of a row are; none where they are everybody's, (M,)"""
    aboard: Array
    """one where a row is aboard with a set, (K, M)"""
    plates: tuple[str, ...]
    stance: Stance
    """how the car divides a mass"""
    places: Array
    """of the mounts, (M, 2), aft and left"""
    influence: Array
    """share of a mass at each mount that each corner carries, (M, 4)"""
    plate_mass: Array
    """(P,)"""
    thickness: Array
    """(P,); zero where no stack is limited"""
    owned: Array
    """(P,)"""
    accepts: Array
    """one where a mount takes a plate, (M, P)"""
    weighed: Array
    """counts when the car was weighed, (M, P)"""
    fitted: Array
    """counts that stand now, (M, P): those weighed, unless plates were moved by hand since"""
    staying: Array
    """counts that must stay, (M, P)"""
    capacity: Array
    """(M,)"""
    fixing: Array
    """hardware of a mount in use, (M,)"""
    stack: Array
    """(M,)"""
    pieces: Array
    """(M,)"""
    undersides: Array | None
    """height of the underside of each stack, (M,); none when a mount has no height"""

    def ballast(self, counts: Array) -> Array:
        """Mass at each mount, hardware included. counts : (M, P). Returns (M,). [kg]"""
        return np.asarray(counts @ self.plate_mass + self.fixing * self.in_use(counts))

    def in_use(self, counts: Array) -> Array:
        """One for each mount with a plate on it, else zero. counts : (M, P). Returns (M,)."""
        return np.asarray(counts.sum(axis=1) > 0, dtype=float)

    def most(self) -> Array:
        """Greatest mass each mount can carry, hardware included, of plates cut to any size. Returns (M,). [kg]"""
        takes = self.accepts > 0
        heaviest = np.where(takes, self.plate_mass, 0.0).max(axis=1)
        flat = self.thickness <= 0
        densest = np.where(flat, np.inf, self.plate_mass / np.where(flat, 1.0, self.thickness))
        stacked, counted = np.full(len(takes), np.inf), np.full(len(takes), np.inf)
        for m in np.flatnonzero(np.isfinite(self.stack)):
            stacked[m] = self.stack[m] * np.where(takes[m], densest, 0.0).max()
        for m in np.flatnonzero(np.isfinite(self.pieces)):
            counted[m] = self.pieces[m] * heaviest[m]
        owned = np.where(takes, self.plate_mass * self.owned, 0.0).sum(axis=1)
        plates = np.minimum.reduce([self.capacity - self.fixing, stacked, counted, owned])
        return np.asarray(np.where(plates > 0, plates + self.fixing, 0.0))

    def loads_of(self, counts: Array, crew: int = 0) -> Array:
        """Corner loads of a set of plates and their hardware. counts : (M, P). Returns (4,). [kg]"""
        return np.asarray((self.ballast(counts) * self.aboard[crew]) @ self.influence)


@dataclass(frozen=True)
class Case:
    """One state of the car, with every plate and its hardware taken off."""

    name: str
    bare_loads: Array
    """(4,) [kg]"""
    legal: bool
    """the required total is asked for in this state"""
    balance: bool
    """the targets are asked for in this state"""
    crew: int
    """which set of plates is aboard, a row of Layout.aboard"""
    required: float
    """least total, where it is asked for [kg]"""
    nominal: float
    """the total that stands for its own in distances: what it weighs when its total just reaches the required [kg]"""
    weight: float
    """its part in means over the states in which the targets are asked for; together they make 1"""
    driver: Driver | None
    fuel: FuelPoint | None
    state: State
    needs: Requirement | None
    """the required total, term by term"""


def layout(question: Question) -> Layout:
    """Mounts and plates of a question as arrays, with the bars as they were at the weigh-in."""
    car = question.car
    stands = stance(car, bars_at_weigh_in(question))
    crew = [driver.name for driver in car.drivers]
    rows = [(m, who) for m in car.mounts for who in (crew if m.changes_with_driver and crew else [None])]
    mounts, drivers = [mount for mount, _ in rows], tuple(who for _, who in rows)
    sets: list[str | None] = [*crew] if any(drivers) else [None]
    places = np.array([[mount.behind_front_axle, mount.left_of_centre] for mount in mounts])
    heights = [mount.above_ground for mount in mounts]

    def table(count: Callable[[str, str, str | None], int]) -> Array:
        return np.array([[count(m.name, plate.name, who) for plate in car.plates] for m, who in rows], dtype=float)

    def limit(values: list[float | None]) -> Array:
        return np.array([np.inf if value is None else float(value) for value in values])

    return Layout(
        mounts=tuple(mount.name for mount in mounts),
        drivers=drivers,
        aboard=np.array([[float(who in (None, one)) for who in drivers] for one in sets]),
        plates=tuple(plate.name for plate in car.plates),
        stance=stands,
        places=places,
        influence=shares(stands, places[:, 0], places[:, 1]),
        plate_mass=np.array([plate.mass for plate in car.plates]),
        thickness=np.array([plate.thickness or 0.0 for plate in car.plates]),
        owned=np.array([plate.count for plate in car.plates], dtype=float),
        accepts=np.array([[float(mount.accepts(plate)) for plate in car.plates] for mount in mounts]),
        weighed=table(lambda mount, plate, _: question.fitted(mount, plate)),
        fitted=table(question.standing),
        staying=table(lambda mount, plate, _: question.staying(mount, plate)),
        capacity=np.array([mount.capacity for mount in mounts]),
        fixing=np.array([mount.fixing_mass for mount in mounts]),
        stack=limit([mount.stack for mount in mounts]),
        pieces=limit([mount.pieces for mount in mounts]),
        undersides=np.array(heights, dtype=float) if None not in heights else None,
    )


AS_WEIGHED = "as weighed"
POINTS: tuple[FuelPoint, ...] = ("start", "balance", "flag")
IN_WORDS: dict[FuelPoint, str] = {"start": "start", "balance": "balance point", "flag": "flag"}


def cases(question: Question, room: Layout, weighing_off: float) -> tuple[Case, ...]:
    """The states a plan answers for: every driver at every point of the stint, the first balance first.

    weighing_off : standard uncertainty of the weighed total. [kg]
    The required total is asked for at the flag, the targets where the wishes say; without tanks, both in the one state
    of each driver; without drivers, with what sat in the car when it was weighed.
    """
    drivers: tuple[Driver | None, ...] = question.car.drivers or (None,)
    asked = question.wishes.balance_at
    points: tuple[FuelPoint | None, ...] = (None,)
    if question.car.tanks:
        points = (*dict.fromkeys(asked), *(point for point in POINTS if point not in asked))
    found = []
    for number, driver in enumerate(drivers):
        for point in points:
            legal, balance = point in (None, "flag"), point is None or point in asked
            crew = number if len(room.aboard) > 1 else 0
            found.append(_case(question, room, driver, point, (legal, balance), crew, weighing_off))
    short = {case.driver: max(case.required - float(case.bare_loads.sum()), 0.0) for case in found if case.legal}
    lacking = {case.driver: short[case.driver] if len(room.aboard) > 1 else max(short.values()) for case in found}
    times = [_weight(question, case) for case in found]
    return tuple(
        replace(case, nominal=float(case.bare_loads.sum()) + lacking[case.driver], weight=time / sum(times))
        for case, time in zip(found, times, strict=True)
    )


def _weight(question: Question, case: Case) -> float:
    by_time = question.wishes.crew == "by driving time"
    return float(case.balance) * (case.driver.driving_time if by_time and case.driver else 1.0)


def _case(
    question: Question,
    room: Layout,
    driver: Driver | None,
    point: FuelPoint | None,
    asked: tuple[bool, bool],
    crew: int,
    weighing_off: float,
) -> Case:
    legal, balance = asked
    name = ", ".join(part for part in (driver.name if driver else "", IN_WORDS[point] if point else "") if part)
    state = crew_state(question, driver, point)
    bare = bare_weighed(question, room) + since_weighed(question, room, driver, state)
    as_it_is = float((bare + room.loads_of(room.weighed, crew)).sum())
    needs = requirement(question, name or AS_WEIGHED, state, driver, as_it_is, weighing_off) if legal else None
    least = needs.required if needs else 0.0
    return Case(
        name=name or AS_WEIGHED,
        bare_loads=bare,
        legal=legal,
        balance=balance,
        crew=crew,
        required=least,
        nominal=least,
        weight=0.0,
        driver=driver,
        fuel=point,
        state=state,
        needs=needs,
    )


def bare_weighed(question: Question, room: Layout) -> Array:
    """The mean of the settlings with every plate and its hardware taken off. Returns (4,). [kg]"""
    weighed = np.array([reading.in_order() for reading in question.weigh_in.readings]).mean(axis=0)
    return np.asarray(weighed - room.loads_of(room.weighed))


def since_weighed(question: Question, room: Layout, driver: Driver | None, state: State) -> Array:
    """What a state puts on the corners beside the plates and did not have at the weigh-in. Returns (4,). [kg]"""
    return loads_from(room, pieces_since_weighed(question, driver, state))


def loads_from(room: Layout, pieces: tuple[Piece, ...]) -> Array:
    """Corner loads of some pieces, (4,). [kg]

    Raises DisagreementError where one has no place: the question was not checked before it was planned.
    """
    loads = loads_of(room.stance, pieces)
    if loads is None:
        raise DisagreementError("a state of the car has a mass without a place; please report it, with the files.")
    return loads


def pieces_since_weighed(question: Question, driver: Driver | None, state: State) -> tuple[Piece, ...]:
    """What a state has beside the plates that was not aboard at the weigh-in, and what has gone."""
    differs = apart(question, weighed_state(question), state) or ()
    return (*differs, *prescribed(question, driver), *changed_parts(question))


def yaw_inertia(room: Layout, cases: tuple[Case, ...]) -> Array:
    """Yaw inertia that one kg at each mount adds about the centre of gravity of the bare car. Returns (M,). [m2]

    The mean over the sets of plates, with the bare car of the first case that has each; a row that is not aboard adds
    nothing. The inertia about the new centre of gravity is less by |sum m r|^2 / (T + sum m), which is not linear and
    left out.
    """
    by_set = [next(case for case in cases if case.crew == crew) for crew in range(len(room.aboard))]
    centres = [centre_of_gravity(room.stance.patches, case.bare_loads) for case in by_set]
    added = [((room.places - centre) ** 2).sum(axis=1) for centre in centres]
    return np.asarray((np.array(added) * room.aboard).mean(axis=0))
