"""The rulebook as limits on counts and loads: what the programme needs of it, as arrays."""

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
from ballast.planning.requirement import difference
from ballast.records.plan import Limit
from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import BallastFixing, BallastZone, Rulebook
from ballast.records.state import strength_step

HAIR = 1e-6
"""Half an inch and 12.7 mm are one diameter. [m]"""


@dataclass(frozen=True)
class LoadLimit:
    """corners @ loads - share * total >= least, in kg: a least mass or a greatest share, for the weighed state."""

    name: Limit
    corners: Array
    share: float
    least: float

    @property
    def stands(self) -> float:
        """The limit to tell: a mass, or a share. [kg or -]"""
        return -self.share if self.share else self.least


@dataclass(frozen=True)
class Rules:
    """M mounts, P kinds of plate."""

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
    success: tuple[float, float, float] | None
    """mass, aft, left of success ballast"""


NO_RULES = Rules({}, np.inf, np.inf, False, (), {}, None)


def rules(question: Question, spread: Array) -> Rules:
    """The limits of a question's rulebook, and of the bolts.

    spread : (4,), standard uncertainties of front mass [kg], right mass [kg], left share, rear share: what every limit
    on loads keeps in hand, times the margin's factor.
    """
    book, car = question.rulebook, question.car
    plates, mounts = car.plates, car.mounts
    none = np.zeros((len(mounts), len(plates)))
    if book is None:
        caps: dict[Limit, Array] = {"bolt strength": _by_strength(mounts, LOAD_FACTORS)}
        return Rules({}, np.inf, np.inf, False, (), caps, None)
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
        loads=tuple(_load_limits(question, book, spread)),
        caps={"ballast fixing": _by_count(book, mounts), "bolt strength": _by_strength(mounts, factors)},
        success=(s.mass, s.behind_front_axle, s.left_of_centre) if (s := book.success_ballast) else None,
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


def _load_limits(question: Question, book: Rulebook, spread: Array) -> list[LoadLimit]:
    """Axle and side limits that hold for the state of the weigh-in; those for another state are for the findings."""
    k = question.car.margin.uncertainties
    limits: list[LoadLimit] = []
    if book.front_axle and difference(question, book.front_axle) == ():
        limits.append(LoadLimit("front axle", ON_FRONT, 0.0, book.front_axle.least + k * spread[0]))
    if book.right_side and difference(question, book.right_side) == ():
        limits.append(LoadLimit("right side", 1 - ON_LEFT, 0.0, book.right_side.least + k * spread[1]))
    if book.left_share and difference(question, book.left_share) == ():
        limits.append(LoadLimit("left share", -ON_LEFT, -(book.left_share.greatest - k * spread[2]), 0.0))
    if book.rear_share and difference(question, book.rear_share) == ():
        limits.append(LoadLimit("rear share", -ON_REAR, -(book.rear_share.greatest - k * spread[3]), 0.0))
    return limits
