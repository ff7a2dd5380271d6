"""The rulebook's limits, looked at one by one, from the rule's own words and not from the planner's rows."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from ballast.corners import CORNERS, FRONT, LEFT, REAR, Corner
from ballast.physics.fixings import (
    LOAD_FACTORS,
    Factors,
    Loading,
    NotCoveredError,
    bolt_resistance,
    mount_loadings,
    thread_named,
)
from ballast.physics.statics import Array
from ballast.records.crew import FuelPoint
from ballast.records.finding import Finding
from ballast.records.plates import Bolts, Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import BallastFixing, BallastZone, InState, Rulebook
from ballast.records.state import strength_step
from ballast.scrutineering.findings import Standing, at_least, at_most, not_checked
from ballast.scrutineering.states import apart, on_top_of_minimum

RIGHT: tuple[Corner, ...] = ("RF", "RR")

HAIR = 1e-6
"""Half an inch and 12.7 mm are one diameter. [m]"""


@dataclass(frozen=True)
class Stood:
    """The car in one state: what every corner carries, who drives, and how full the tanks are."""

    loads: dict[Corner, float]
    """[kg]"""
    driver: str | None = None
    point: FuelPoint | None = None
    label: str = ""
    """told behind the names of the rules, where there are several states"""

    @property
    def total(self) -> float:
        """All four. [kg]"""
        return sum(self.loads.values())

    def of(self, *corners: Corner) -> float:
        """Some of them. [kg]"""
        return sum(self.loads[corner] for corner in corners)


def on_the_car(question: Question, car: Stood) -> Iterator[Finding]:
    """Minima, axle and side limits, each put into the state of its rule."""
    book = question.rulebook
    if book is None:
        return
    rises = on_top_of_minimum(question, car.driver)
    for minimum in book.minima:
        name = f"{minimum.name}{car.label}"
        found = _apart(question, car, minimum)
        if isinstance(found, str):
            yield not_checked("car", name, found, minimum.clause)
        else:
            yield at_least("car", name, car.total - found[0], minimum.mass + rises, "mass", minimum.clause)
    for what, least, side in (
        ("front axle", book.front_axle, FRONT),
        ("right side", book.right_side, RIGHT),
    ):
        if least:
            there = _stood_by(question, car, least)
            yield (
                not_checked("car", f"{what}{car.label}", there, least.clause)
                if isinstance(there, str)
                else at_least("car", f"{what}{car.label}", there.of(*side), least.least, "mass", least.clause)
            )
    for what, most, side in (("left share", book.left_share, LEFT), ("rear share", book.rear_share, REAR)):
        if most:
            there = _stood_by(question, car, most)
            yield (
                not_checked("car", f"{what}{car.label}", there, most.clause)
                if isinstance(there, str)
                else at_most(
                    "car", f"{what}{car.label}", there.of(*side) / there.total, most.greatest, "percent", most.clause
                )
            )


def to_look_at(question: Question) -> Iterator[Finding]:
    """What only the eye can check."""
    book = question.rulebook
    if book is None:
        return
    if (success := book.success_ballast) and success.place:
        yield not_checked("car", "success ballast", "see that it is on board, at its place", success.clause)
    if rule := book.driver_ballast:
        because = "see that it is on board, at its place" if rule.place else "see that it is on board"
        if not question.car.drivers:
            because = "the car file names no driver, and their masses decide"
        yield not_checked("car", "driver ballast", because, rule.clause)
    for look in book.to_see:
        yield not_checked("car", look.what, "only the eye can: look at the car", look.clause)


def _apart(question: Question, car: Stood, rule: InState) -> tuple[float, float, Array | None] | str:
    return apart(question, car.driver, car.point, rule)


def _stood_by(question: Question, car: Stood, rule: InState) -> Stood | str:
    """The car put into the state of a rule; or why an axle or a side cannot be answered for."""
    found = _apart(question, car, rule)
    if isinstance(found, str):
        return found
    more = found[2]
    if more is None:
        return "weighed in another state, and the place of what differs is not known"
    return Stood({corner: car.loads[corner] - float(kg) for corner, kg in zip(CORNERS, more, strict=True)})


def on_ballast(question: Question, standing: Standing, label: str = "") -> Iterator[Finding]:
    """Greatest ballast, pieces, materials, zones and stacks of the rulebook."""
    book = question.rulebook
    if book is None:
        return
    plates = {plate.name: plate for plate in question.car.plates}
    mounts = {mount.name: mount for mount in question.car.mounts}
    used = {plates[plate] for (_, plate), count in standing.items() if count}
    here = {mounts[mount] for (mount, _), count in standing.items() if count}
    if rule := book.ballast_total:
        mass = sum(plates[plate].mass * count for (_, plate), count in standing.items())
        mass += sum(mount.fixing_mass for mount in here) if rule.hardware_counts else 0.0
        words = "ballast, hardware counted" if rule.hardware_counts else "ballast, hardware not counted"
        yield at_most("car", f"{words}{label}", mass, rule.greatest, "mass", rule.clause)
    for plate in sorted(used, key=lambda plate: plate.name):
        yield from _piece(book, plate)
    for mount in sorted(here, key=lambda mount: mount.name):
        if book.zones:
            yield _zone(book.zones, mount)
        if rule_stack := book.ballast_stack:
            rows = [(plates[plate], count) for (where, plate), count in standing.items() if where == mount.name]
            height = sum((plate.thickness or 0.0) * count for plate, count in rows)
            name = f"{mount.name}: stack by the rules"
            yield at_most("mount", name, height, rule_stack.greatest, "length", rule_stack.clause)


def _piece(book: Rulebook, plate: Plate) -> Iterator[Finding]:
    piece, material = book.ballast_piece, book.ballast_material
    if piece and piece.greatest is not None:
        yield at_most("mount", f"{plate.name}: greatest piece", plate.mass, piece.greatest, "mass", piece.clause)
    if piece and piece.least is not None:
        yield at_least("mount", f"{plate.name}: least piece", plate.mass, piece.least, "mass", piece.clause)
    if material and plate.material is None:
        yield not_checked("mount", f"{plate.name}: material", "the car file does not say what it is", material.clause)
    elif material:
        allowed = float(plate.material not in material.barred)
        yield at_least("mount", f"{plate.name}: material allowed", allowed, 1, clause=material.clause)


def _zone(zones: tuple[BallastZone, ...], mount: Mount) -> Finding:
    name, clause = f"{mount.name}: in an allowed zone", ", ".join(sorted({zone.clause for zone in zones}))
    boxed = [zone for zone in zones if not zone.by_name]
    if any(zone.by_name and zone.name == mount.zone for zone in zones) or any(_holds(zone, mount) for zone in boxed):
        return at_least("mount", name, 1, 1, clause=clause)
    if mount.above_ground is None and any(_holds_but_for_height(zone, mount) for zone in boxed):
        return not_checked("mount", f"{mount.name}: zone", "the car file gives no height for it", clause)
    return at_least("mount", name, 0, 1, clause=clause)


def _holds(zone: BallastZone, mount: Mount) -> bool:
    sides = (
        (zone.behind_front_axle, mount.behind_front_axle),
        (zone.left_of_centre, mount.left_of_centre),
        (zone.above_ground, mount.above_ground),
    )
    return all(side is None or (at is not None and side[0] <= at <= side[1]) for side, at in sides)


def _holds_but_for_height(zone: BallastZone, mount: Mount) -> bool:
    return zone.above_ground is not None and _holds(zone.replace(above_ground=None), mount)


def on_bolts(question: Question, standing: Standing, label: str = "") -> Iterator[Finding]:
    """For every mount in use: what the rules ask of its bolts, and how far their strength is used. Two verdicts.

    label : told behind mounts that change with the driver.
    """
    book = question.rulebook
    plates = {plate.name: plate for plate in question.car.plates}
    for mount in question.car.mounts:
        here = {plates[name]: count for (where, name), count in standing.items() if where == mount.name and count}
        if not here or mount.bolts is None:
            continue
        of = f"{mount.name}{label if mount.changes_with_driver else ''}"
        for rule in book.fixings if book else ():
            yield from _by_rule(rule, mount, mount.bolts, here, of)
        yield from _by_strength(mount, mount.bolts, here, book, of)


def without_bolts(question: Question, sets: Iterable[Standing]) -> Iterator[Finding]:
    """Mounts in use, with whatever set of plates, of which nobody has entered the bolts."""
    used = {mount for standing in sets for (mount, _), count in standing.items() if count}
    names = [mount.name for mount in question.car.mounts if mount.name in used and mount.bolts is None]
    if names:
        clauses = dict.fromkeys(rule.clause for rule in question.rulebook.fixings) if question.rulebook else ()
        yield not_checked("car", "bolts", f"no bolts are entered for {', '.join(names)}", ", ".join(clauses))


def _by_rule(rule: BallastFixing, mount: Mount, bolts: Bolts, here: dict[Plate, int], of: str) -> Iterator[Finding]:
    """What one clause asks of the bolts of one mount.

    Assumed where the clauses that were read do not say it. Bolts through a stack hold every piece of it: "two bolts
    each" asks two of the mount, not two for each of its plates. So many "for each ten pounds" asks them for the whole
    stack with its hardware, the last part of ten pounds as for a whole one (REF-E7's 25 lb: three). A rule for pieces
    above a mass looks at the pieces one by one.
    """
    heavy = {plate: count for plate, count in here.items() if rule.above is None or plate.mass > rule.above}
    if not heavy:
        return
    mass = sum(plate.mass * count for plate, count in here.items()) + mount.fixing_mass
    parts = ceil(mass / rule.for_each - 1e-9) if rule.for_each else 1
    name = f"{of}: bolts by the rules" + (", heavier pieces" if rule.above is not None else "")
    yield at_least("mount", name, bolts.count, rule.bolts * parts, clause=rule.clause)
    if rule.thread:
        size, least = (thread_named(name).diameter for name in (bolts.thread, rule.thread))
        thinner = float(size < least - HAIR)
        name = f"{of}: bolts thinner than {rule.thread}"
        yield at_most("mount", name, thinner * bolts.count, 0, clause=rule.clause)
    if rule.strength:
        steps = strength_step(bolts.strength) - strength_step(rule.strength)
        weaker = float(steps < 0)
        name = f"{of}: bolts weaker than {rule.strength}"
        yield at_most("mount", name, weaker * bolts.count, 0, clause=rule.clause)
    if rule.washer and bolts.washer is None:
        yield not_checked("mount", f"{of}: washers", "the car file gives no diameter", rule.clause)
    elif rule.washer and bolts.washer is not None:
        yield at_least("mount", f"{of}: washer diameter", bolts.washer, rule.washer, "length", rule.clause)


def _by_strength(
    mount: Mount, bolts: Bolts, here: dict[Plate, int], book: Rulebook | None, of: str
) -> Iterator[Finding]:
    """How far each direction uses the bolts; directions that ask the same of them stand in one finding."""
    mass = sum(plate.mass * count for plate, count in here.items()) + mount.fixing_mass
    try:
        bolt = bolt_resistance(bolts.thread, bolts.strength, bolts.plain_shank)
    except NotCoveredError as error:
        yield not_checked("mount", f"{of}: bolt strength", str(error))
        return
    alike: dict[tuple[str, float], list[Loading]] = {}
    for loading in mount_loadings(mass, bolt, bolts.count, _factors(book)):
        alike.setdefault((loading.way, loading.factor), []).append(loading)
    clause = book.load_factors.clause if book and book.load_factors else ""
    for (way, factor), loadings in alike.items():
        where = ", ".join(loading.direction for loading in loadings)
        name = f"{of}: bolts in {way}, {factor:g} g {where}"
        yield at_most("mount", name, loadings[0].utilisation, 1.0, "percent", clause)


def _factors(book: Rulebook | None) -> Factors:
    given = book.load_factors if book else None
    if given is None:
        return LOAD_FACTORS
    return {"forward": given.forward, "rearward": given.rearward, "sideways": given.sideways, "up": given.up}
