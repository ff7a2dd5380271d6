"""The car in every state of a plan, and what a change of drivers changes."""

from itertools import combinations

import numpy as np

from ballast.jobs.foresight import uncertain
from ballast.jobs.standing import case_loads
from ballast.physics.statics import Array, height_after
from ballast.planning.cases import Case, Layout, loads_from, pieces_since_weighed
from ballast.planning.states import Piece, prescribed
from ballast.planning.task import Task
from ballast.records.plan import PlannedCase, Stop
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads


def cases_standing(question: Question, task: Task, counts: Array) -> tuple[PlannedCase, ...]:
    """Every state of the car with these plates standing. counts : (M, P)."""
    return tuple(
        PlannedCase(
            **dict(loads_standing(question, task, case, counts)),
            driver=case.driver.name if case.driver else None,
            fuel=case.fuel,
            legal=case.legal,
            balance=case.balance,
            required=case.required if case.legal else None,
            uncertain=uncertain(question, task.room, case, counts),
        )
        for case in task.cases
    )


def loads_standing(question: Question, task: Task, case: Case, counts: Array) -> CaseLoads:
    """Loads, percentages and centre of gravity of one state with these plates standing. counts : (M, P)."""
    since = pieces_since_weighed(question, case.driver, case.state)
    return _standing(question, task, case, case.bare_loads, since, counts)


def loads_now(question: Question, task: Task, case: Case) -> CaseLoads:
    """The same with the plates that stand now, and without ballast that the rules are still to put aboard."""
    by_rule = prescribed(question, case.driver)
    since = tuple(one for one in pieces_since_weighed(question, case.driver, case.state) if one not in by_rule)
    bare = case.bare_loads - loads_from(task.room, by_rule)
    return _standing(question, task, case, bare, since, task.room.fitted)


def _standing(
    question: Question, task: Task, case: Case, bare: Array, since: tuple[Piece, ...], counts: Array
) -> CaseLoads:
    loads = bare + task.room.loads_of(counts, case.crew)
    height = height_standing(question, task.room, case.crew, since, counts)
    return case_loads(case.name, question.car, loads, height)


def height_standing(
    question: Question, room: Layout, crew: int, since: tuple[Piece, ...], counts: Array
) -> float | None:
    """Height of the centre of gravity with the plates standing; none when it, or that of what is put on, is unknown.

    since : what else was put on or taken off since the weigh-in. Plates lie in their stack in the order of the car
    file, first at the bottom.
    """
    before = question.car.chassis.centre_of_gravity_height
    if before is None or room.undersides is None or any(piece.up is None for piece in since):
        return None
    total = float(np.mean([sum(reading.in_order()) for reading in question.weigh_in.readings]))
    masses, heights = [piece.mass for piece in since], [piece.up or 0.0 for piece in since]
    for sign, standing in ((1.0, counts), (-1.0, room.weighed)):
        for m in np.flatnonzero(room.aboard[crew]).tolist():
            under = room.undersides[m]
            lying = room.thickness * standing[m]
            middles = under + np.cumsum(lying) - lying / 2
            masses += [*(sign * room.plate_mass * standing[m]), sign * room.fixing[m] * room.in_use(standing)[m]]
            heights += [*middles, under]
    return height_after(total, before, masses, heights)


def stops(task: Task, counts: Array, planned: tuple[PlannedCase, ...]) -> tuple[Stop, ...]:
    """What each change of drivers changes, at the first point of the stint at which the balance is asked for."""
    room = task.room
    first = {case.driver: (case, task.cases[c].crew) for c, case in reversed(list(enumerate(planned))) if case.driver}
    crew = [entry for entry in reversed(first.items()) if entry[0] is not None]
    found = []
    for (leaving, (was, old)), (entering, (now, new)) in combinations(crew, 2):
        found.append(
            Stop(
                leaving=leaving or "",
                entering=entering or "",
                plates=_handled(room, counts, old, new),
                mass=float(room.ballast(counts) @ (room.aboard[new] - room.aboard[old])),
                total=now.total - was.total,
                front_percent=now.front_percent - was.front_percent,
                left_percent=now.left_percent - was.left_percent,
                diagonal_percent=now.diagonal_percent.rf_lr - was.diagonal_percent.rf_lr,
            )
        )
    return tuple(found)


def _handled(room: Layout, counts: Array, old: int, new: int) -> int:
    """Plates to handle when one set takes the place of another; one moved from mount to mount counts once."""
    kit = sorted({name for name, who in zip(room.mounts, room.drivers, strict=True) if who})

    def standing(crew: int) -> Array:
        rows = [m for name in kit for m in range(len(room.mounts)) if room.mounts[m] == name and room.aboard[crew][m]]
        return counts[rows]

    change = standing(new) - standing(old)
    put_on, taken_off = np.maximum(change, 0).sum(axis=0), np.maximum(-change, 0).sum(axis=0)
    return round(float(np.maximum(put_on, taken_off).sum()))
