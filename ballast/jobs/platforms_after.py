"""What a plan leaves to the spring platforms: the diagonal, and the ride height that ballast costs."""

from dataclasses import replace

import numpy as np

from ballast.jobs.ride_height import height_back
from ballast.jobs.turning import turning
from ballast.jobs.winding import DIAGONALLY, winding
from ballast.physics.statics import Array
from ballast.planning.bands import Band
from ballast.planning.planner import Decision, decide
from ballast.planning.task import Task
from ballast.records.question import Question
from ballast.records.turns import DiagonalLeft, PlatformsAfter

ENOUGH_TIME = 0.2
"""Time without which nothing is tried. [s]"""


def platforms_after(question: Question, task: Task, decision: Decision) -> PlatformsAfter | None:
    """Turns that are left once the plates stand, and the ride height they cost, in the first case.

    None without plates, or where neither springs nor turns of the platforms are known: there is nothing to estimate
    from.
    """
    counts = decision.counts
    if counts is None:
        return None
    car, room, case, bars = question.car, task.room, task.cases[0], question.weigh_in.visit.bars
    loads = case.bare_loads + room.loads_of(counts, case.crew)
    known, band = turning(car, bars), _diagonal(task)
    within = car.suspension.platforms.height_within
    wound = None
    if known is not None and band is not None:
        uncertain = task.repeat.rear_pair if band.is_mass else task.repeat.diagonal
        wound = winding(car, known, loads, band, within, uncertain)
    masses = (room.ballast(counts) - room.ballast(room.fitted)) * room.aboard[case.crew]
    back = height_back(car, bars, masses, room.places, float(loads.sum()))
    if wound is None and back is None:
        return None
    return PlatformsAfter(
        case=case.name,
        bars=bars,
        height_within=within,
        winding=wound,
        ride_height=back,
        diagonal_left=diagonal_left(task, decision) if wound else None,
    )


def diagonal_left(task: Task, decision: Decision) -> DiagonalLeft | None:
    """What the plates could do better if the diagonal were left to the platforms, by planning once more without it.

    Tried where there is one state of the car, and time left; none where it is no better in ballast, plates or balance.
    """
    band, seconds = _diagonal(task), task.wishes.seconds - decision.seconds
    stopped = decision.outcome == "best found when stopped"
    if decision.counts is None or band is None or not band.by_ballast or len(task.cases) > 1:
        return None
    if stopped or seconds < ENOUGH_TIME:
        return None
    others = tuple(replace(each, by_ballast=each.by_ballast and each is not band) for each in task.bands)
    without = decide(replace(task, bands=others, wishes=task.wishes.replace(seconds=seconds)))
    if without.counts is None:
        return None
    mass, mass_then = (float((counts @ task.room.plate_mass).sum()) for counts in (decision.counts, without.counts))
    plates, plates_then = (int(counts.sum()) for counts in (decision.counts, without.counts))
    miss, miss_then = (_miss(task, others, counts) for counts in (decision.counts, without.counts))
    resolution = task.wishes.balance_resolution
    worse = miss_then > miss + resolution
    better = mass - mass_then > task.mass_resolution or plates > plates_then or miss - miss_then > resolution
    if worse or not better:
        return None
    return DiagonalLeft(
        ballast_saved=max(mass - mass_then, 0.0),
        plates_saved=max(plates - plates_then, 0),
        miss_points=miss,
        miss_points_then=miss_then,
    )


def _miss(task: Task, bands: tuple[Band, ...], counts: Array) -> float:
    """Worst distance outside the bands that plates are planned for, in the first case. [-]"""
    case = task.cases[0]
    loads = case.bare_loads + task.room.loads_of(np.asarray(counts), case.crew)
    return max((band.miss(loads) for band in bands if band.by_ballast), default=0.0)


def _diagonal(task: Task) -> Band | None:
    return next((band for band in task.bands if band.figure in DIAGONALLY), None)
