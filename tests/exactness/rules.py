"""What a rulebook and the bolts allow on a mount, written from the design, the standard and the rule's own words.

Sources: physics.md section 9; EN 1993-1-8, table 3.4, for the resistance of bolts; ISO 898-1 for stress areas (coarse
pitches). Records are read; nothing of the planner's or the scrutineer's is used. kg, m, N.
"""

from math import inf, pi

from ballast.records.plates import Bolts, Mount, Plate
from ballast.records.rulebook import BallastFixing, BallastZone, Rulebook

GRAVITY = 9.80665
PITCH = {"M5": 0.8, "M6": 1.0, "M8": 1.25, "M10": 1.5, "M12": 1.75}
"""Coarse pitches [mm]."""
FUB = {"4.6": 400e6, "5.8": 500e6, "8.8": 800e6, "10.9": 1000e6}
"""Ultimate strengths [Pa]: EN 1993-1-8, table 3.1."""
IN_THREAD = {"4.6": 0.6, "5.8": 0.5, "8.8": 0.6, "10.9": 0.5}
"""alpha_v with the shear plane in the thread: EN 1993-1-8, table 3.4 (5.8 from memory)."""
FROM_WEAK_TO_STRONG = ("4.6", "5.8", "8.8", "10.9", "12.9")


def barred_by(family: str, book: Rulebook, mount: Mount, plates: list[Plate]) -> list[bool]:
    """For each kind of plate, whether a family of rules keeps it off a mount."""
    piece, material = book.ballast_piece, book.ballast_material
    if family == "ballast piece" and piece:
        least, greatest = piece.least or 0.0, piece.greatest or inf
        return [not least <= plate.mass <= greatest for plate in plates]
    if family == "ballast material" and material:
        return [plate.material in material.barred for plate in plates]
    if family == "ballast zone" and book.zones:
        return [not any(_inside(zone, mount) for zone in book.zones)] * len(plates)
    if family == "piece fixing" and mount.bolts:
        bolts = mount.bolts
        return [any(_too_poor(rule, bolts) for rule in book.fixings if _applies(rule, plate)) for plate in plates]
    return [False] * len(plates)


def _inside(zone: BallastZone, mount: Mount) -> bool:
    if zone.by_name:
        return mount.zone == zone.name
    inside = True
    if zone.behind_front_axle:
        inside &= zone.behind_front_axle[0] <= mount.behind_front_axle <= zone.behind_front_axle[1]
    if zone.left_of_centre:
        inside &= zone.left_of_centre[0] <= mount.left_of_centre <= zone.left_of_centre[1]
    if zone.above_ground:
        up = mount.above_ground
        inside &= up is not None and zone.above_ground[0] <= up <= zone.above_ground[1]
    return inside


def _applies(rule: BallastFixing, plate: Plate) -> bool:
    return rule.above is None or plate.mass > rule.above


def _too_poor(rule: BallastFixing, bolts: Bolts) -> bool:
    few = rule.for_each is None and bolts.count < rule.bolts
    thin = rule.thread is not None and int(bolts.thread[1:]) < int(rule.thread[1:])
    order = FROM_WEAK_TO_STRONG.index
    weak = rule.strength is not None and order(bolts.strength) < order(rule.strength)
    small = rule.washer is not None and bolts.washer is not None and bolts.washer < rule.washer
    return few or thin or weak or small


def bolt_count_cap(book: Rulebook, mount: Mount) -> float:
    """Mass a mount may carry by rules of so many bolts for each so much mass. [kg]"""
    if mount.bolts is None:
        return inf
    caps = [mount.bolts.count // rule.bolts * rule.for_each for rule in book.fixings if rule.for_each is not None]
    return min(caps, default=inf)


def bolt_strength_cap(book: Rulebook | None, mount: Mount) -> float:
    """Mass at which the bolts of a mount are full in the worst direction; none is known for class 12.9. [kg]"""
    bolts = mount.bolts
    if bolts is None or bolts.strength not in FUB:
        return inf
    given = book.load_factors if book else None
    sideways = max(given.forward, given.rearward, given.sideways) if given else 25.0
    up = given.up if given else 25.0
    diameter = int(bolts.thread[1:])
    stress_area = pi / 4 * (diameter - 0.9382 * PITCH[bolts.thread]) ** 2 / 1e6
    fub, alpha, area = FUB[bolts.strength], IN_THREAD[bolts.strength], stress_area
    if bolts.plain_shank:
        alpha, area = 0.6, pi / 4 * diameter**2 / 1e6
    in_shear = bolts.count * alpha * fub * area / 1.25 / (sideways * GRAVITY)
    in_tension = bolts.count * 0.9 * fub * stress_area / 1.25 / (up * GRAVITY)
    return min(in_shear, in_tension)
