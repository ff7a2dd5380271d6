"""An honest "impossible": which limits conflict, and the smallest change of each that would make a plan possible."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

from ballast.planning.rows import Given, Programme, total_of
from ballast.planning.solver import Solution, Watch, solve
from ballast.planning.task import Task
from ballast.records.plan import Give, Limit, Relaxation
from ballast.units import Dimension

FINE: dict[Dimension | None, float] = {"mass": 0.01, "length": 0.0001, None: 0.5}
"""How closely the smallest change is settled: kg, m, plates."""
WEIGHT: dict[Dimension | None, float] = {"mass": 1.0, "length": 100.0, None: 1.0}
"""What counts alike when two families give way together: a kilogram, a centimetre, a plate."""
NOTHING = 1e-6


@dataclass(frozen=True)
class Reasons:
    """Why there is no plan."""

    greatest_total: float | None
    """[kg]"""
    no_total: bool
    """the limits contradict each other whatever the total"""
    relaxations: tuple[Relaxation, ...]
    not_settled: tuple[Limit, ...]


def reasons(task: Task, deadline: float, watch: Watch | None = None) -> Reasons:
    """The greatest total that can be had, and what would have to give way: each family alone, else pairs of them."""
    free = task.programme(frozenset({"required total"}))
    most = solve(free.problem, -1 * free.objectives["total"], FINE["mass"], deadline - time.perf_counter(), watch=watch)
    found: list[Relaxation] = []
    open_ones: list[Limit] = []
    for family in _families(task):
        smallest, answer = _smallest(task, (family,), deadline, watch)
        if smallest:
            found.append(smallest)
        elif answer.status == "none":
            open_ones.append(family)
    if not found:
        for pair in combinations(_families(task), 2):
            if time.perf_counter() < deadline and (smallest := _smallest(task, pair, deadline, watch)[0]):
                found.append(smallest)
    greatest = -most.value if most.values else None
    return Reasons(greatest, most.status == "impossible", tuple(found), tuple(open_ones))


def _families(task: Task) -> tuple[Limit, ...]:
    """Families that have a row in this question's programme."""
    every: tuple[Limit, ...] = get_args(Limit)
    present = {given.row.limit for given in task.programme(frozenset(every)).given}
    return tuple(limit for limit in every if limit in present)


def _smallest(
    task: Task, limits: tuple[Limit, ...], deadline: float, watch: Watch | None
) -> tuple[Relaxation | None, Solution]:
    """The smallest change of some families together; none when that is not enough, or not in the time."""
    programme = task.programme(frozenset(limits))
    gives = total_of([WEIGHT[given.row.dimension] * given.variable for given in programme.given])
    gap = min(FINE[given.row.dimension] * WEIGHT[given.row.dimension] for given in programme.given)
    answer = solve(programme.problem, gives, gap, deadline - time.perf_counter(), watch=watch)
    if not answer.values:
        return None, answer
    return Relaxation(gives=tuple(_gives(programme, answer))), answer


def _gives(programme: Programme, answer: Solution) -> Iterator[Give]:
    for given in programme.given:
        amount = answer.values[given.variable.name]
        if amount > NOTHING:
            yield _told(given, amount, answer)


def _told(given: Given, amount: float, answer: Solution) -> Give:
    """The change of one limit; of a share in points of the total that the change makes possible. [kg]"""
    dimension, sign, total = given.row.dimension, given.sign, given.row.total
    if given.row.limit in ("left share", "rear share") and total is not None:
        weighs = sum(float(f) * answer.values[v.name] for v, f in total.items()) + float(total.constant or 0.0)
        dimension, sign, amount = "percent", 1.0, amount / weighs
    return Give(
        dimension=dimension,
        limit=given.row.limit,
        subject=given.row.subject,
        was=given.was,
        to=given.was + sign * amount,
    )
