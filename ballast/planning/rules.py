"""The rulebook as limits on counts and loads: what the programme needs of it, as arrays."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ballast.physics.fixings import (
    LOAD_FACTORS,
    Factors,
    NotCoveredError,
    bolt_resistance,
    mount_loadings,
    thread_named,
)
from ballast.physics.statics import ON_FRONT, ON_LEFT, ON_REAR, Array
from ballast.physics.uncertainty import FIGURES, uncertainties
from ballast.planning.cases import Case, Layout
from ballast.planning.states import apart, apart_from_weighed, loads_of, ruled_state, spread_of
from ballast.records.plan import Limit
from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import BallastFixing, BallastZone, GreatestShare, LeastMass, Rulebook
from ballast.records.state import strength_step

HAIR = 1e-6
"""Half an inch and 12.7 mm are one diameter. [m]"""


@dataclass(frozen=True)
class LoadLimit:
    """corners @ loads - share * total >= least, in kg, in one case: a least mass or a greatest share.

    Where the rule speaks of another state, what differs is in `least`.
    """

    name: Limit
    case: int
    corners: Array
    share: float
    least: float
    stands: float
    """the limit to tell, with what is kept in hand: a mass, or a share [kg or -]"""
    more: float = 0.0
    """what the car weighs more in the rule's state than in the case [kg]"""


@dataclass(frozen=True)
class Rules:
    """M rows of mounts, P kinds of plate."""

    barred: dict[Limit, Array]
    """one where a rule keeps a kind of plate off a mount, (M, P), for each such rule"""
    stack: float
    """greatest height of a stack [m]"""
    total: float
    """greatest mass of ballast [kg]"""
    hardware_counts: bool
    loads: tuple[LoadLimit, ...]
    caps: dict[Limit, Array]
    """greatest mass on each mount by its bolts, hardware included, (M,) [kg]: by the rule's count, and by strength"""


NO_RULES = Rules({}, np.inf, np.inf, False, (), {})


def rules(question: Question, room: Layout, cases: tuple[Case, ...], covariance: Array) -> Rules:
    """The limits of a question's rulebook, and of the bolts.

    covariance : of the weighed corner loads, pads included, (4, 4) [kg2]: from it comes what every limit on loads keeps
    in hand.
    """
    book, car = question.rulebook, question.car
    by_name = {mount.name: mount for mount in car.mounts}
    plates, mounts = car.plates, tuple(by_name[name] for name in room.mounts)
    none = np.zeros((len(mounts), len(plates)))
    if book is None:
        caps: dict[Limit, Array] = {"bolt strength": _by_strength(mounts, LOAD_FACTORS)}
        return Rules({}, np.inf, np.inf, False, (), caps)
    barred: dict[Limit, Array] = {
        "ballast piece": none + np.array([not _piece_allowed(book, plate) for plate in plates]),
        "ballast material": none + np.array([_material_barred(book, plate) for plate in plates]),
        "ballast zone": none + np.array([not _in_zone(book.zones, mount) for mount in mounts])[:, None],
        "piece fixing": _barred_by_bolts(book, mounts, plates),
    }
    factors = load_factors(book)
    return Rules(
        barred={name: mask for name, mask in barred.items() if mask.any()},
        stack=book.ballast_stack.greatest if book.ballast_stack else np.inf,
        total=book.ballast_total.greatest if book.ballast_total else np.inf,
        hardware_counts=bool(book.ballast_total and book.ballast_total.hardware_counts),
        loads=tuple(_load_limits(question, book, room, cases, covariance)),
        caps={"ballast fixing": _by_count(book, mounts), "bolt strength": _by_strength(mounts, factors)},
    )


def load_factors(book: Rulebook | None) -> Factors:
    """The rulebook's load factors, else the usual ones."""
    if book is None or book.load_factors is None:
        return LOAD_FACTORS
    given = book.load_factors
    return {"forward": given.forward, "rearward": given.rearward, "sideways": given.sideways, "up": given.up}


def _piece_allowed(book: Rulebook, plate: Plate) -> bool:
    piece = book.ballast_piece
    least, greatest = (piece.least, piece.greatest) if piece else (None, None)
    return (least is None or plate.mass >= least) and (greatest is None or plate.mass <= greatest)


def _material_barred(book: Rulebook, plate: Plate) -> bool:
    return book.ballast_material is not None and plate.material in book.ballast_material.barred


def _in_zone(zones: tuple[BallastZone, ...], mount: Mount) -> bool:
    return not zones or any(_in_this_zone(zone, mount) for zone in zones)


def _in_this_zone(zone: BallastZone, mount: Mount) -> bool:
    if zone.by_name:
        return mount.zone == zone.name
    at = (mount.behind_front_axle, mount.left_of_centre, mount.above_ground)
    ranges = (zone.behind_front_axle, zone.left_of_centre, zone.above_ground)
    return all(r is None or (x is not None and r[0] <= x <= r[1]) for x, r in zip(at, ranges, strict=True))


def _good_enough(rule: BallastFixing, mount: Mount) -> bool:
    """Whether the bolts of a mount are thick and strong enough for a rule, and their washers wide enough if known."""
    bolts = mount.bolts
    if bolts is None:
        return True
    thick = rule.thread is None or thread_named(bolts.thread).diameter >= thread_named(rule.thread).diameter - HAIR
    strong = rule.strength is None or strength_step(bolts.strength) >= strength_step(rule.strength)
    wide = rule.washer is None or bolts.washer is None or bolts.washer >= rule.washer - HAIR
    return thick and strong and wide


def _barred_by_bolts(book: Rulebook, mounts: tuple[Mount, ...], plates: tuple[Plate, ...]) -> Array:
    """One where a plate asks for more or thicker bolts than a mount has; a mount without bolts entered stays."""
    barred = np.zeros((len(mounts), len(plates)))
    for m, mount in enumerate(mounts):
        for rule in book.fixings if mount.bolts else ():
            too_few = rule.for_each is None and mount.bolts is not None and mount.bolts.count < rule.bolts
            if too_few or not _good_enough(rule, mount):
                barred[m] += [rule.above is None or plate.mass > rule.above for plate in plates]
    return (barred > 0).astype(float)


def _by_count(book: Rulebook, mounts: tuple[Mount, ...]) -> Array:
    """Mass that the bolts of a mount may hold by rules of so many bolts for each so much mass. (M,) [kg]"""
    caps = np.full(len(mounts), np.inf)
    for m, mount in enumerate(mounts):
        for rule in book.fixings:
            if mount.bolts and rule.for_each is not None:
                caps[m] = min(caps[m], mount.bolts.count // rule.bolts * rule.for_each)
    return caps


def _by_strength(mounts: tuple[Mount, ...], factors: Factors) -> Array:
    """Mass at which the bolts of a mount are used to the full in the worst direction. (M,) [kg]"""
    caps = np.full(len(mounts), np.inf)
    for m, mount in enumerate(mounts):
        if mount.bolts:
            try:
                bolt = bolt_resistance(mount.bolts.thread, mount.bolts.strength, mount.bolts.plain_shank)
            except NotCoveredError:
                continue
            caps[m] = 1 / max(loading.utilisation for loading in mount_loadings(1.0, bolt, mount.bolts.count, factors))
    return caps


def _load_limits(
    question: Question, book: Rulebook, room: Layout, cases: tuple[Case, ...], covariance: Array
) -> Iterator[LoadLimit]:
    """Axle and side limits, each put into every legal case; where the place of what differs is not known, none."""
    weighed = np.array([reading.in_order() for reading in question.weigh_in.readings]).mean(axis=0)
    k = question.car.margin.uncertainties
    rules: tuple[tuple[Limit, LeastMass | GreatestShare | None, Array], ...] = (
        ("front axle", book.front_axle, ON_FRONT),
        ("right side", book.right_side, 1 - ON_LEFT),
        ("left share", book.left_share, ON_LEFT),
        ("rear share", book.rear_share, ON_REAR),
    )
    for name, rule, corners in rules:
        for c, case in enumerate(cases) if rule else ():
            if rule is None or not case.legal:
                continue
            ruled = ruled_state(question, rule, case.state)
            differs = apart(question, case.state, ruled)
            since = apart_from_weighed(question, ruled)
            shift = loads_of(room.stance, differs) if differs is not None else None
            if since is None or shift is None:
                continue
            spread = covariance + spread_of(room.stance, since)
            if isinstance(rule, LeastMass):
                in_hand = k * float(np.sqrt(max(float(corners @ spread @ corners), 0.0)))
                least = rule.least + in_hand
                yield LoadLimit(name, c, corners, 0.0, least - float(corners @ shift), least)
            else:
                share_off = uncertainties(weighed, spread)[FIGURES.index("left" if name == "left share" else "front")]
                most = rule.greatest - k * float(share_off)
                more = float(shift.sum())
                yield LoadLimit(name, c, -corners, -most, float(corners @ shift) - most * more, most, more)
