"""The question as arrays: mounts and plates once, and every state of the car that a plan has to answer for."""

from dataclasses import dataclass

import numpy as np

from ballast.physics.quality import Repeatability
from ballast.physics.statics import (
    ON_DIAGONAL,
    ON_FRONT,
    ON_LEFT,
    ON_REAR,
    REAR_PAIR,
    Array,
    centre_of_gravity,
    contact_patches,
    influence,
)
from ballast.records.plan import Figure
from ballast.records.question import Question
from ballast.records.wishes import Aim, Wishes


@dataclass(frozen=True)
class Layout:
    """M mounts and P kinds of plate. Masses in kg, lengths in m; a limit that is not set is infinite."""

    mounts: tuple[str, ...]
    plates: tuple[str, ...]
    patches: Array
    """contact patches, (4, 2)"""
    places: Array
    """of the mounts, (M, 2), aft and left"""
    roll_share: float
    """front share of the roll stiffness"""
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
    fitted: Array
    """counts when the car was weighed, (M, P)"""
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

    def loads_of(self, counts: Array) -> Array:
        """Corner loads of the plates and their hardware. counts : (M, P). Returns (4,). [kg]"""
        return np.asarray(self.ballast(counts) @ self.influence)


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


@dataclass(frozen=True)
class Band:
    """One target as a linear form: corners @ loads - aim * total is the distance from the aim, in kg."""

    figure: Figure
    corners: Array
    """weights of the corner loads, (4,)"""
    aim_share: float
    aim_mass: float
    half_width: float
    """as a share of the total for percentages, in kg for the rear pair"""
    guard: float
    weight: float
    is_mass: bool
    by_ballast: bool

    def distance(self, loads: Array) -> Array:
        """Distance from the aim, signed. loads : (..., 4). [kg]"""
        return np.asarray(loads @ self.corners - self.aim_share * loads.sum(axis=-1) - self.aim_mass)

    def narrowed(self, total: float) -> float:
        """Half width less the guard, for a car of this total. [kg]"""
        return (self.half_width - self.guard) * (1.0 if self.is_mass else total)

    def miss(self, loads: Array) -> float:
        """Distance outside the narrowed band, as a share of the car's own total. loads : (4,)"""
        total = float(loads.sum())
        return max(0.0, abs(float(self.distance(loads))) - self.narrowed(total)) / total


def layout(question: Question, roll_share: float | None = None) -> Layout:
    """Mounts and plates of a question as arrays, under the car's own front share of roll stiffness or another one."""
    car = question.car
    patches = contact_patches(car.chassis.wheelbase, car.chassis.track_front, car.chassis.track_rear)
    share = car.suspension.roll_share()[0] if roll_share is None else roll_share
    places = np.array([[mount.behind_front_axle, mount.left_of_centre] for mount in car.mounts])
    heights = [mount.above_ground for mount in car.mounts]

    def table(entry: str) -> Array:
        count = question.fitted if entry == "fitted" else question.staying
        return np.array([[count(mount.name, plate.name) for plate in car.plates] for mount in car.mounts], dtype=float)

    def limit(values: list[float | None]) -> Array:
        return np.array([np.inf if value is None else float(value) for value in values])

    return Layout(
        mounts=tuple(mount.name for mount in car.mounts),
        plates=tuple(plate.name for plate in car.plates),
        patches=patches,
        places=places,
        roll_share=share,
        influence=influence(patches, share, places[:, 0], places[:, 1]),
        plate_mass=np.array([plate.mass for plate in car.plates]),
        thickness=np.array([plate.thickness or 0.0 for plate in car.plates]),
        owned=np.array([plate.count for plate in car.plates], dtype=float),
        accepts=np.array([[float(mount.accepts(plate)) for plate in car.plates] for mount in car.mounts]),
        fitted=table("fitted"),
        staying=table("staying"),
        capacity=np.array([mount.capacity for mount in car.mounts]),
        fixing=np.array([mount.fixing_mass for mount in car.mounts]),
        stack=limit([mount.stack for mount in car.mounts]),
        pieces=limit([mount.pieces for mount in car.mounts]),
        undersides=np.array(heights, dtype=float) if None not in heights else None,
    )


def cases(question: Question, room: Layout) -> tuple[Case, ...]:
    """The states a plan answers for. As yet one: the car as it was weighed."""
    weighed = np.array([reading.in_order() for reading in question.weigh_in.readings]).mean(axis=0)
    bare = weighed - room.loads_of(room.fitted)
    success = question.rulebook.success_ballast if question.rulebook else None
    if success:
        share = influence(room.patches, room.roll_share, success.behind_front_axle, success.left_of_centre)
        bare = bare + success.mass * share
    return (Case("as weighed", bare, legal=True, balance=True),)


def bands(question: Question, repeat: Repeatability) -> tuple[Band, ...]:
    """The targets as linear forms, each narrowed by its guard.

    The guard is a factor times the standard uncertainty of that figure: a plan parked on the edge of its band is a coin
    toss at the re-weigh. The balance resolution comes on top, since a plan that is best to the resolution may lie that
    far outside the narrowed band. Together they are at most half of `within`.
    """
    targets, factor = question.car.targets, question.wishes.guard_factor
    spread = repeat.factor if factor is None else factor
    total = float(np.mean([sum(reading.in_order()) for reading in question.weigh_in.readings]))
    least = balance_resolution(question.wishes, repeat)

    def guard_for(uncertainty: float, within: float, floor: float) -> float:
        return min(spread * uncertainty + floor, within / 2)

    found = []
    shares: tuple[tuple[Figure, Aim | None, Array, float], ...] = (
        ("front", targets.front, ON_FRONT, repeat.front),
        ("rear", targets.rear, ON_REAR, repeat.front),
        ("left", targets.left, ON_LEFT, repeat.left),
        *([(d.corners, d, ON_DIAGONAL[d.corners], repeat.diagonal)] if (d := targets.diagonal) else []),
    )
    for figure, aim, corners, uncertainty in shares:
        if aim:
            by_ballast = not (targets.diagonal is aim and targets.diagonal.by == "platforms")
            guard = guard_for(uncertainty, aim.within, least)
            found.append(Band(figure, corners, aim.aim, 0.0, aim.within, guard, aim.weight, False, by_ballast))
    if pair := targets.rear_pair:
        guard = guard_for(repeat.rear_pair, pair.within, least * total)
        found.append(
            Band("rear pair", REAR_PAIR, 0.0, pair.aim, pair.within, guard, pair.weight, True, pair.by == "ballast")
        )
    return tuple(found)


def balance_resolution(wishes: Wishes, repeat: Repeatability) -> float:
    """The balance resolution in force, a share: as asked for, but no finer than the weighing can tell.

    Where the weighing tells less than the default resolution, the default stands: the guard already keeps the distance.
    """
    tells = min(repeat.front, repeat.left, repeat.diagonal, Wishes().balance_resolution)
    return max(wishes.balance_resolution, tells)


def yaw_inertia(room: Layout, case: Case) -> Array:
    """Yaw inertia that one kg at each mount adds about the centre of gravity of the bare car. Returns (M,). [m2]

    The inertia about the new centre of gravity is less by |sum m r|^2 / (T + sum m), which is not linear and left out.
    """
    centre = centre_of_gravity(room.patches, case.bare_loads)
    return np.asarray(((room.places - centre) ** 2).sum(axis=1))
