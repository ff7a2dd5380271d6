"""One question settled by one engine: what it took, what came out, and whether that is an answer to the question."""

import resource
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ballast.planning import measures, planner
from ballast.planning.planner import FIRST_PART, SLACK, Goal, decide
from ballast.planning.solver import Solution
from ballast.planning.task import Task
from ballast.records.plan import WishResult
from tests.benchmarks.engines import ENGINES
from tests.benchmarks.rows import Floats, rows_of

OURS = "ours"
TOLERANCE = 6e-3
"""What a row may be broken by: whole grains and a solver's tolerance, in the row's unit (kg, points, plates)."""


STRAYS = 1e-5
"""What an answer may be over an earlier hold to be compared. Whole grains let CP-SAT go further, and gain by it."""


@dataclass(frozen=True)
class Settled:
    """One wish, in the unit of the programme's objective."""

    wish: str
    value: float
    """of the counts at hand when the wish was settled, worked out from them in numpy"""
    bound: float
    resolution: float
    hold: float
    proved: bool
    answered: bool
    """the engine had an answer; else the value is that of an earlier one, which need not keep the holds since"""
    strays: float
    """how far its counts are over an earlier hold or the mass window, in that one's unit"""
    seconds: float
    """of the engine; nought where it is not told"""


@dataclass(frozen=True)
class Run:
    """What one engine made of one question."""

    engine: str
    seconds: float
    """from the task to the answer, the rows of PuLP and what the engine makes of them included"""
    cores: float
    """the same, in seconds of a core: all threads, and processes that the engine starts"""
    outcome: str
    """proved, found, impossible or nothing"""
    greatest: float
    """upper end of the mass window [kg]"""
    wishes: tuple[Settled, ...]
    broken: float
    """how far the worst row is broken by the counts it ends with"""

    @property
    def proved(self) -> bool:
        """Every wish was settled to its resolution, or there is proof that there is no plan."""
        return self.outcome in ("proved", "impossible")


def ours(task: Task) -> Run:
    """The project's own planner: `decide`, as `ballast plan` calls it."""
    began, at_work = time.perf_counter(), _cores()
    decision = decide(task)
    seconds, cores = time.perf_counter() - began, _cores() - at_work
    words = {"proved best": "proved", "impossible": "impossible", "no answer in the time": "nothing"}
    wishes = tuple(_told(wish) for wish in decision.wishes)
    broken = 0.0 if decision.counts is None else _broken(task, decision.counts, decision.greatest)
    outcome = words.get(decision.outcome, "found")
    return Run(OURS, seconds, cores, outcome, decision.greatest, wishes, broken)


def _told(wish: WishResult) -> Settled:
    """A wish of the planner's in the programme's unit again."""
    scale = 0.01 if wish.dimension == "percent" else 1.0
    value, bound, resolution, hold = (each / scale for each in (wish.value, wish.bound, wish.resolution, wish.hold))
    return Settled(wish.name, value, bound, resolution, hold, wish.outcome == "proved best", True, 0.0, 0.0)


def settle(task: Task, engine: str, window: float | None, holds: Mapping[str, float] | None = None) -> Run:
    """The wishes one by one in another engine's hands, by the planner's rules: gaps, holds, shares of the time.

    window : upper end of the mass window, where it is given, so that all engines answer one and the same question; the
    engine finds the least total nevertheless. holds : of every wish; without them each engine has those of its own.
    """
    began, at_work = time.perf_counter(), _cores()
    programme = task.programme()
    solver = ENGINES[engine](programme)
    deadline = began + task.wishes.seconds
    gap = task.wishes.mass_resolution * sum(case.legal for case in task.cases)
    answer = solver.least("total", gap, FIRST_PART * (deadline - time.perf_counter()))
    if answer.status == "none":
        answer = solver.least("total", gap, deadline - time.perf_counter())
    if not answer.values:
        outcome = "impossible" if answer.status == "impossible" else "nothing"
        return Run(engine, time.perf_counter() - began, _cores() - at_work, outcome, np.inf, (), 0.0)
    greatest = answer.value + task.wishes.over_required if window is None else window
    solver.hold("total", greatest)
    counts, told = programme.counts(answer.values), []
    for goal in planner.goals_of(task, programme)[0]:
        left = deadline - time.perf_counter()
        answer = solver.least(goal.name, goal.gap, left) if left > 0 else Solution("none", np.inf, 0.0, {}, 0.0)
        answer = replace(answer, bound=max(answer.bound, 0.0))  # no wish can be below nothing, and the planner knows it
        counts = programme.counts(answer.values) if answer.values else counts
        value = _measured(task, goal, counts)
        hold = planner.held_at(goal, answer) if answer.values else value
        hold = holds[goal.name] if holds else hold
        solver.hold(goal.name, hold + goal.figures * SLACK)
        told.append((goal, answer, counts, hold))
    seconds, cores = time.perf_counter() - began, _cores() - at_work
    found = tuple(_settled(task, told, number, greatest) for number in range(len(told)))
    outcome = "proved" if all(wish.proved for wish in found) else "found"
    return Run(engine, seconds, cores, outcome, greatest, found, _broken(task, counts, greatest))


def _settled(task: Task, told: Sequence[tuple[Goal, Solution, Floats, float]], number: int, greatest: float) -> Settled:
    """What is said of one wish, when the clock has stopped."""
    goal, answer, counts, hold = told[number]
    total = measures.measure("total", task.room, task.cases, task.bands, task.wishes, counts)
    over = [_measured(task, before, counts) - kept for before, _, _, kept in told[:number]]
    return Settled(
        wish=goal.name,
        value=_measured(task, goal, counts),
        bound=answer.bound,
        resolution=goal.resolution,
        hold=hold,
        proved=answer.status == "proved",
        answered=bool(answer.values),
        strays=max(0.0, total - greatest, *over),
        seconds=answer.seconds,
    )


def _cores() -> float:
    """Seconds that cores have spent on this process and on those it has waited for."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def _measured(task: Task, goal: Goal, counts: Floats) -> float:
    return measures.measure(goal.name, task.room, task.cases, task.bands, task.wishes, counts)


def _broken(task: Task, counts: Floats, greatest: float) -> float:
    """How far the worst limit is broken by counts: those of the rows that speak of counts and hardware alone. [unit]

    The rest defines changes and distances; those are measured from the counts.
    """
    programme = task.programme()
    rows, room = rows_of(programme.problem), task.room
    x, known = np.zeros(len(rows.names)), np.zeros(len(rows.names), dtype=bool)
    for (m, p), variable in programme.count.items():
        x[rows.place[variable.name]] = counts[m, p]
    for m, use in programme.use.items():
        x[rows.place[use.name]] = room.in_use(counts)[m]
    for variable in (*programme.count.values(), *programme.use.values()):
        known[rows.place[variable.name]] = True
    alone = np.asarray(abs(rows.table) @ ~known) == 0
    here = rows.table @ x
    out = np.maximum(rows.low - here, here - rows.high)[alone]
    total = measures.measure("total", room, task.cases, task.bands, task.wishes, counts)
    return max(float(out.max(initial=0.0)), total - greatest)


def _close(wish: Settled) -> float:
    """What a wish may be off by whole grains and a solver's tolerance, in its unit."""
    return wish.resolution / 10


def disagreements(runs: list[Run]) -> list[str]:
    """What cannot all be true of runs of one question.

    An answer that breaks a row; one below the bound that our plan tells; one better by more than the resolution than
    what somebody calls proved. The bounds of the others are no claims: CP-SAT, stopped by its gap, now and then gives
    its best value for a bound. Only wishes that were the same question to all: the first one, and later ones while
    everybody has the same holds.
    """
    found = [f"{run.engine} breaks a row by {run.broken:.2g}" for run in runs if run.broken > TOLERANCE]
    if len({run.outcome == "impossible" for run in runs if run.outcome != "nothing"}) > 1:
        found.append("impossible to some: " + ", ".join(run.engine for run in runs if run.outcome == "impossible"))
    with_wishes = [run for run in runs if run.wishes]
    for number in range(min((len(run.wishes) for run in with_wishes), default=0)):
        here = [
            (run.engine, run.wishes[number])
            for run in with_wishes
            if run.wishes[number].answered and run.wishes[number].strays <= STRAYS
        ]
        found += [
            f"{wish.wish}: {one} has {wish.value:.5g}, {other} proved that nothing is below {bound.bound:.5g}"
            for one, wish in here
            for other, bound in here
            if other == OURS and wish.value < bound.bound - _close(wish)
        ]
        found += [
            f"{wish.wish}: {one} calls {wish.value:.5g} proved, {other} has {better.value:.5g}"
            for one, wish in here
            for other, better in here
            if wish.proved and better.value < wish.value - wish.resolution - _close(wish)
        ]
        if len({round(wish.hold, 6) for _, wish in here}) > 1:
            break
    return found
