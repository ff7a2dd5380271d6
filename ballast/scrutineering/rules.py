"""The rulebook's limits, looked at one by one, from the rule's own words and not from the planner's rows."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from ballast.physics.fixings import (
    LOAD_FACTORS,
    Factors,
    Loading,
    NotCoveredError,
    bolt_resistance,
    mount_loadings,
    thread_named,
)
from ballast.records.finding import Finding
from ballast.records.plates import Bolts, Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import BallastFixing, BallastZone, GreatestShare, InState, LeastMass, Rulebook
from ballast.records.state import strength_step
from ballast.scrutineering.findings import Standing, at_least, at_most, not_checked
from ballast.scrutineering.requirement import state_apart

HAIR = 1e-6
"""Half an inch and 12.7 mm are one diameter. [m]"""


@dataclass(frozen=True)
class CornerMasses:
    """Loads of the four corners. [kg]"""

    LF: float
    RF: float
    LR: float
    RR: float

    @property
    def total(self) -> float:
        """All four. [kg]"""
        return self.LF + self.RF + self.LR + self.RR


def on_the_car(question: Question, car: CornerMasses) -> Iterator[Finding]:
    """Minima, axle and side limits, and what only the eye can check."""
    book = question.rulebook
    if book is None:
        return
    for minimum in book.minima:
        apart = state_apart(question, minimum)
        if isinstance(apart, str):
            yield not_checked("car", minimum.name, apart, minimum.clause)
        else:
            yield at_least("car", minimum.name, car.total - apart[0], minimum.mass, "mass", minimum.clause)
    if book.front_axle:
        yield _least(question, "front axle", car.LF + car.RF, book.front_axle)
    if book.right_side:
        yield _least(question, "right side", car.RF + car.RR, book.right_side)
    if book.left_share:
        yield _greatest(question, "left share", (car.LF + car.LR) / car.total, book.left_share)
    if book.rear_share:
        yield _greatest(question, "rear share", (car.LR + car.RR) / car.total, book.rear_share)
    success = book.success_ballast
    if success:
        yield not_checked("car", "success ballast", "see that it is on board, at its place", success.clause)
    for rule in book.to_see:
        yield not_checked("car", rule.what, "only the eye can: look at the car", rule.clause)


def _least(question: Question, name: str, measured: float, rule: LeastMass) -> Finding:
    because = _other_state(question, rule)
    if because:
        return not_checked("car", name, because, rule.clause)
    return at_least("car", name, measured, rule.least, "mass", rule.clause)


def _greatest(question: Question, name: str, measured: float, rule: GreatestShare) -> Finding:
    because = _other_state(question, rule)
    if because:
        return not_checked("car", name, because, rule.clause)
    return at_most("car", name, measured, rule.greatest, "percent", rule.clause)


def _other_state(question: Question, rule: InState) -> str:
    """Why an axle or a side cannot be answered for: the place of what is aboard or not is unknown."""
    apart = state_apart(question, rule)
    if isinstance(apart, str):
        return apart
    return "" if apart == (0.0, 0.0) else "weighed in another state, and the place of what differs is not known"


def on_ballast(question: Question, standing: Standing) -> Iterator[Finding]:
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
        yield at_most("car", words, mass, rule.greatest, "mass", rule.clause)
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


def on_bolts(question: Question, standing: Standing) -> Iterator[Finding]:
    """For every mount in use: what the rules ask of its bolts, and how far their strength is used. Two verdicts."""
    book = question.rulebook
    plates = {plate.name: plate for plate in question.car.plates}
    without = []
    for mount in question.car.mounts:
        here = {plates[name]: count for (where, name), count in standing.items() if where == mount.name and count}
        if not here:
            continue
        if mount.bolts is None:
            without.append(mount.name)
            continue
        for rule in book.fixings if book else ():
            yield from _by_rule(rule, mount, mount.bolts, here)
        yield from _by_strength(mount, mount.bolts, here, book)
    if without:
        because = f"no bolts are entered for {', '.join(without)}"
        clauses = dict.fromkeys(rule.clause for rule in book.fixings) if book else ()
        yield not_checked("car", "bolts", because, ", ".join(clauses))


def _by_rule(rule: BallastFixing, mount: Mount, bolts: Bolts, here: dict[Plate, int]) -> Iterator[Finding]:
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
    name = f"{mount.name}: bolts by the rules" + (", heavier pieces" if rule.above is not None else "")
    yield at_least("mount", name, bolts.count, rule.bolts * parts, clause=rule.clause)
    if rule.thread:
        size, least = (thread_named(name).diameter for name in (bolts.thread, rule.thread))
        thinner = float(size < least - HAIR)
        name = f"{mount.name}: bolts thinner than {rule.thread}"
        yield at_most("mount", name, thinner * bolts.count, 0, clause=rule.clause)
    if rule.strength:
        steps = strength_step(bolts.strength) - strength_step(rule.strength)
        weaker = float(steps < 0)
        name = f"{mount.name}: bolts weaker than {rule.strength}"
        yield at_most("mount", name, weaker * bolts.count, 0, clause=rule.clause)
    if rule.washer and bolts.washer is None:
        yield not_checked("mount", f"{mount.name}: washers", "the car file gives no diameter", rule.clause)
    elif rule.washer and bolts.washer is not None:
        yield at_least("mount", f"{mount.name}: washer diameter", bolts.washer, rule.washer, "length", rule.clause)


def _by_strength(mount: Mount, bolts: Bolts, here: dict[Plate, int], book: Rulebook | None) -> Iterator[Finding]:
    """How far each direction uses the bolts; directions that ask the same of them stand in one finding."""
    mass = sum(plate.mass * count for plate, count in here.items()) + mount.fixing_mass
    try:
        bolt = bolt_resistance(bolts.thread, bolts.strength, bolts.plain_shank)
    except NotCoveredError as error:
        yield not_checked("mount", f"{mount.name}: bolt strength", str(error))
        return
    alike: dict[tuple[str, float], list[Loading]] = {}
    for loading in mount_loadings(mass, bolt, bolts.count, _factors(book)):
        alike.setdefault((loading.way, loading.factor), []).append(loading)
    clause = book.load_factors.clause if book and book.load_factors else ""
    for (way, factor), loadings in alike.items():
        where = ", ".join(loading.direction for loading in loadings)
        name = f"{mount.name}: bolts in {way}, {factor:g} g {where}"
        yield at_most("mount", name, loadings[0].utilisation, 1.0, "percent", clause)


def _factors(book: Rulebook | None) -> Factors:
    given = book.load_factors if book else None
    if given is None:
        return LOAD_FACTORS
    return {"forward": given.forward, "rearward": given.rearward, "sideways": given.sideways, "up": given.up}
