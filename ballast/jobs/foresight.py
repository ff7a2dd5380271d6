"""How sure a plan's figures are, and what that means at the scales."""

import numpy as np

from ballast.physics.statics import Array
from ballast.physics.uncertainty import Changes, chance_below, predicted_covariance, settling_covariance, uncertainties
from ballast.planning.requirement import difference, fuel_uncertainty, minima, scales_bias
from ballast.planning.task import Task, readings, weighing_covariance
from ballast.records.plan import Uncertain
from ballast.records.question import Question

RECTANGULAR = 1 / np.sqrt(3)
"""Standard uncertainty of something known to lie within one, either way. Source: JCGM 100:2008, 4.3.7."""


def uncertain(question: Question, task: Task, counts: Array) -> Uncertain:
    """Standard uncertainties after a plan: scatter, pads, plates, tape and roll share. counts : (M, P)."""
    loads = task.cases[0].bare_loads + task.room.loads_of(counts)
    covariance = _predicted(question, task, counts, weighing_covariance(question))
    total, front, left, diagonal, pair = map(float, uncertainties(loads, covariance))
    return Uncertain(
        total=total,
        front_percent=front,
        left_percent=left,
        diagonal_percent=diagonal,
        rear_pair=pair,
        chance_under_minimum=_chance_under(question, float(loads.sum()), total),
    )


def spread_at_reweigh(question: Question, task: Task, counts: Array) -> Array:
    """Covariance of what a re-weigh on the same pads, with as many settlings, will show less what the plan says.

    Both weighings scatter; what is wrong with the pads is on both sides and left out. counts : (M, P). (4, 4) [kg2]
    """
    scatter = settling_covariance(readings(question), task.room.patches)
    return np.asarray(_predicted(question, task, counts, scatter) + scatter)


def _predicted(question: Question, task: Task, counts: Array, weighed: Array) -> Array:
    room, car = task.room, question.car
    _, low, high = car.suspension.roll_share()
    moved, hardware = counts - room.fitted, room.in_use(counts) - room.in_use(room.fitted)
    masses, places, mass_off, place_off, pieces, at = [], [], [], [], [], []
    for m, mount in enumerate(car.mounts):
        for p, plate in enumerate(car.plates):
            masses.append(moved[m, p] * plate.mass)
            mass_off.append(abs(moved[m, p]) * plate.mass_within * RECTANGULAR)
            pieces.append(plate.name)
        masses.append(hardware[m] * mount.fixing_mass)
        mass_off.append(0.0)
        pieces.append(f"hardware of {mount.name}")
        kinds = len(car.plates) + 1
        places += [room.places[m]] * kinds
        place_off += [[mount.place_within * RECTANGULAR] * 2] * kinds
        at += [mount.name] * kinds
    new = Changes(
        masses=masses,
        places=places,
        mass_uncertainties=mass_off,
        place_uncertainties=place_off,
        pieces=pieces,
        mounts=at,
    )
    return predicted_covariance(weighed, new, room.patches, room.roll_share, (high - low) / 2 * RECTANGULAR)


def _chance_under(question: Question, total: float, uncertainty: float) -> float | None:
    """The greatest chance, over the minima this weigh-in can answer for, that the official total falls short."""
    bias, spread = scales_bias(question) or (0.0, 0.0)
    lost = sum(loss.mass for loss in question.car.losses)
    chances = []
    for minimum in minima(question):
        terms = difference(question, minimum)
        if terms is not None:
            official = total - sum(term.mass for term in terms) - lost - bias
            off = float(np.sqrt(uncertainty**2 + spread**2 + fuel_uncertainty(question, minimum) ** 2))
            chances.append(chance_below(official, minimum.mass, off))
    return max(chances, default=None)
