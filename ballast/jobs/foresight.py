"""How sure a plan's figures are, and what that means at the scales."""

import math

import numpy as np

from ballast.jobs.standing import case_loads
from ballast.physics.ellipse import centre_ellipse
from ballast.physics.stance import RECTANGULAR, front_roll_share, warp_within
from ballast.physics.statics import Array, warp
from ballast.physics.uncertainty import Changes, chance_below, predicted_covariance, settling_covariance, uncertainties
from ballast.planning.cases import Case, Layout, pieces_since_weighed
from ballast.planning.requirement import minima, scales_bias
from ballast.planning.states import Piece, apart, mass_of, mass_off, on_top, ruled_state, spread_of
from ballast.planning.task import readings, weighing_covariance
from ballast.records.plan import CentreEllipse, KnownBy, RollShare, Uncertain
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads


def uncertain(question: Question, room: Layout, case: Case, counts: Array) -> Uncertain:
    """Standard uncertainties after a plan: scatter, pads, plates, parts, tape and springs. counts : (M, P)."""
    since = pieces_since_weighed(question, case.driver, case.state)
    loads = case.bare_loads + room.loads_of(counts, case.crew)
    covariance = spread_since(question, room, case.crew, counts, weighing_covariance(question), since)
    chance = _chance_under(question, room, case, counts) if case.legal else None
    return _uncertain(room, loads, covariance, chance)


def uncertain_with(question: Question, room: Layout, crew: int, since: tuple[Piece, ...], loads: Array) -> Uncertain:
    """The same for the plates that stand now and some changed parts. loads : (4,) with them. [kg]"""
    covariance = spread_since(question, room, crew, room.fitted, weighing_covariance(question), since)
    return _uncertain(room, loads, covariance, None)


def _uncertain(room: Layout, loads: Array, covariance: Array, chance: float | None) -> Uncertain:
    total, front, left, diagonal, pair = map(float, uncertainties(loads, covariance))
    centre = centre_ellipse(loads, covariance, room.stance.patches)
    return Uncertain(
        total=total,
        front_percent=front,
        left_percent=left,
        diagonal_percent=diagonal,
        rear_pair=pair,
        chance_under_minimum=chance,
        centre=CentreEllipse(longer=centre.longer, shorter=centre.shorter, turned=math.degrees(centre.turned)),
    )


def spread_at_reweigh(question: Question, room: Layout, case: Case, counts: Array) -> Array:
    """Covariance of what a re-weigh on the same pads, with as many settlings, will show less what the plan says.

    Both weighings scatter; what is wrong with the pads is on both sides and left out. counts : (M, P). (4, 4) [kg2]
    """
    scatter = settling_covariance(readings(question), room.stance.patches)
    since = pieces_since_weighed(question, case.driver, case.state)
    return np.asarray(spread_since(question, room, case.crew, counts, scatter, since) + scatter)


def springs_behind(question: Question, room: Layout) -> RollShare:
    """Front share of the roll stiffness that the loads foreseen rest on, how far it may be off, and who says so."""
    stands, known = room.stance, question.car.suspension
    source: KnownBy = "assumption"
    if known.learned is not None:
        source = "trial weights"
    elif known.front_roll_share is not None:
        source = "roll share"
    elif known.has_springs:
        source = "springs"
    if source in ("assumption", "roll share"):
        value, low, high = known.roll_share()
        return RollShare(value=value, low=low, high=high, known_by=source)
    value = front_roll_share(stands)
    off = float(np.linalg.norm([front_roll_share(stands, one) - value for one in stands.within]))
    return RollShare(value=value, low=value - off, high=value + off, known_by=source)


def with_other_springs(
    question: Question, room: Layout, crew: int, counts: Array, since: tuple[Piece, ...], loads: Array
) -> tuple[CaseLoads, CaseLoads]:
    """Corner loads foreseen at either edge of what the springs may be. counts : (M, P); loads : (4,), foreseen. [kg]

    Where several causes are known to a degree each (trial weights), the edges are those of all of them together.
    """
    new, behind = _changes(question, room, crew, counts, since), springs_behind(question, room)
    causes = warp_within(room.stance, new.masses, *np.asarray(new.places, dtype=float).reshape(-1, 2).T)
    width = float(causes[0]) if len(causes) == 1 else float(np.linalg.norm(causes))
    spread = width * warp(room.stance.patches)
    off = f"{100 * question.car.suspension.rates_within / 2:g} %"
    names: dict[KnownBy, tuple[str, str]] = {
        "springs": (f"rates in front {off} low, behind {off} high", f"rates in front {off} high, behind {off} low"),
        "trial weights": ("trial weights, one edge", "trial weights, the other edge"),
    }
    usual = (f"front roll share {100 * behind.low:.4g} %", f"front roll share {100 * behind.high:.4g} %")
    low, high = names.get(behind.known_by, usual)
    return case_loads(low, question.car, loads - spread), case_loads(high, question.car, loads + spread)


def spread_since(
    question: Question, room: Layout, crew: int, counts: Array, weighed: Array, since: tuple[Piece, ...]
) -> Array:
    """Covariance of the loads foreseen: that of what was weighed, and of all that is put on or taken off since.

    counts : (M, P); weighed : (4, 4). Returns (4, 4). [kg2]
    """
    new = _changes(question, room, crew, counts, since)
    on_wheels = tuple(piece for piece in since if piece.carried_by != "chassis")
    return predicted_covariance(weighed + spread_of(room.stance, on_wheels), new, room.stance)


def _changes(question: Question, room: Layout, crew: int, counts: Array, since: tuple[Piece, ...]) -> Changes:
    """Plates, hardware and parts that the chassis carries and did not carry at the weigh-in, or no longer does."""
    car, aboard = question.car, room.aboard[crew]
    mounts = {mount.name: mount for mount in car.mounts}
    moved, hardware = counts - room.weighed, room.in_use(counts) - room.in_use(room.weighed)
    masses, places, off, place_off, pieces, at = [], [], [], [], [], []
    for m in np.flatnonzero(aboard).tolist():
        mount = mounts[room.mounts[m]]
        for p, plate in enumerate(car.plates):
            masses.append(moved[m, p] * plate.mass)
            off.append(abs(moved[m, p]) * plate.mass_within * RECTANGULAR)
            pieces.append(plate.name)
        masses.append(hardware[m] * mount.fixing_mass)
        off.append(0.0)
        pieces.append(f"hardware of {mount.name}")
        kinds = len(car.plates) + 1
        places += [room.places[m]] * kinds
        place_off += [[mount.place_within * RECTANGULAR] * 2] * kinds
        at += [mount.name] * kinds
    for number, piece in enumerate(piece for piece in since if piece.carried_by == "chassis"):
        masses.append(piece.mass)
        places.append(np.array(piece.place))
        off.append(piece.mass_off)
        place_off.append([piece.place_off] * 2)
        pieces.append(f"part {number}")
        at.append(f"part {number}")
    return Changes(
        masses=masses,
        places=places,
        mass_uncertainties=off,
        place_uncertainties=place_off,
        pieces=pieces,
        mounts=at,
    )


def _chance_under(question: Question, room: Layout, case: Case, counts: Array) -> float | None:
    """The greatest chance, over the minima that can be put into this case, that the official total falls short.

    What the plates and parts themselves may be off counts as in the figures of the case.
    """
    bias, spread = scales_bias(question) or (0.0, 0.0)
    lost = sum(loss.mass for loss in question.car.losses) + mass_of(on_top(question, case.driver))
    total = float((case.bare_loads + room.loads_of(counts, case.crew)).sum())
    plates = spread_since(question, room, case.crew, counts, weighing_covariance(question), ())
    chances = []
    for minimum in minima(question):
        ruled = ruled_state(question, minimum, case.state)
        on_board = apart(question, ruled, case.state)
        if on_board is None:
            continue
        official = total - mass_of(on_board) - lost - bias
        since = mass_off(pieces_since_weighed(question, case.driver, ruled))
        off = float(np.sqrt(max(float(plates.sum()), 0.0) + since**2 + spread**2))
        chances.append(chance_below(official, minimum.mass, off))
    return max(chances, default=None)
