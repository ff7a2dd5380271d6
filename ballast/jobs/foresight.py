"""How sure a plan's figures are, and what that means at the scales."""

import numpy as np

from ballast.physics.statics import Array
from ballast.physics.uncertainty import Changes, chance_below, predicted_covariance, settling_covariance, uncertainties
from ballast.planning.cases import Case, Layout, pieces_since_weighed
from ballast.planning.requirement import minima, scales_bias
from ballast.planning.states import RECTANGULAR, Piece, apart, mass_of, mass_off, on_top, ruled_state, spread_of
from ballast.planning.task import readings, weighing_covariance
from ballast.records.plan import Uncertain
from ballast.records.question import Question


def uncertain(question: Question, room: Layout, case: Case, counts: Array) -> Uncertain:
    """Standard uncertainties after a plan: scatter, pads, plates, parts, tape and roll share. counts : (M, P)."""
    since = pieces_since_weighed(question, case.driver, case.state)
    loads = case.bare_loads + room.loads_of(counts, case.crew)
    covariance = _predicted(question, room, case.crew, counts, weighing_covariance(question), since)
    return _uncertain(loads, covariance, _chance_under(question, room, case, counts) if case.legal else None)


def uncertain_with(question: Question, room: Layout, crew: int, since: tuple[Piece, ...], loads: Array) -> Uncertain:
    """The same for the plates that stand now and some changed parts. loads : (4,) with them. [kg]"""
    covariance = _predicted(question, room, crew, room.fitted, weighing_covariance(question), since)
    return _uncertain(loads, covariance, None)


def _uncertain(loads: Array, covariance: Array, chance: float | None) -> Uncertain:
    total, front, left, diagonal, pair = map(float, uncertainties(loads, covariance))
    return Uncertain(
        total=total,
        front_percent=front,
        left_percent=left,
        diagonal_percent=diagonal,
        rear_pair=pair,
        chance_under_minimum=chance,
    )


def spread_at_reweigh(question: Question, room: Layout, case: Case, counts: Array) -> Array:
    """Covariance of what a re-weigh on the same pads, with as many settlings, will show less what the plan says.

    Both weighings scatter; what is wrong with the pads is on both sides and left out. counts : (M, P). (4, 4) [kg2]
    """
    scatter = settling_covariance(readings(question), room.patches)
    since = pieces_since_weighed(question, case.driver, case.state)
    return np.asarray(_predicted(question, room, case.crew, counts, scatter, since) + scatter)


def _predicted(
    question: Question, room: Layout, crew: int, counts: Array, weighed: Array, since: tuple[Piece, ...]
) -> Array:
    car, aboard = question.car, room.aboard[crew]
    mounts = {mount.name: mount for mount in car.mounts}
    _, low, high = car.suspension.roll_share()
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
    on_wheels = tuple(piece for piece in since if piece.carried_by != "chassis")
    for number, piece in enumerate(piece for piece in since if piece.carried_by == "chassis"):
        masses.append(piece.mass)
        places.append(np.array(piece.place))
        off.append(piece.mass_off)
        place_off.append([piece.place_off] * 2)
        pieces.append(f"part {number}")
        at.append(f"part {number}")
    new = Changes(
        masses=masses,
        places=places,
        mass_uncertainties=off,
        place_uncertainties=place_off,
        pieces=pieces,
        mounts=at,
    )
    known = weighed + spread_of(room.patches, room.roll_share, on_wheels)
    return predicted_covariance(known, new, room.patches, room.roll_share, (high - low) / 2 * RECTANGULAR)


def _chance_under(question: Question, room: Layout, case: Case, counts: Array) -> float | None:
    """The greatest chance, over the minima that can be put into this case, that the official total falls short.

    What the plates and parts themselves may be off counts as in the figures of the case.
    """
    bias, spread = scales_bias(question) or (0.0, 0.0)
    lost = sum(loss.mass for loss in question.car.losses) + mass_of(on_top(question, case.driver))
    total = float((case.bare_loads + room.loads_of(counts, case.crew)).sum())
    plates = _predicted(question, room, case.crew, counts, weighing_covariance(question), ())
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
