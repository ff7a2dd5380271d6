"""The one door to the solvers: a PuLP problem goes in, an answer in our own words comes out.

SCIP works on it first and settles most problems in a few hundred nodes of its tree. What it has not settled by then
goes to HiGHS, whose many cuts at the root see at once what SCIP would branch on for minutes. Where one hands over is
counted in nodes and not in seconds, so that a problem has the same answer on every machine.
"""

import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pulp

from ballast.planning.by_highs import Highs
from ballast.planning.by_scip import Scip
from ballast.planning.table import Answer, Engine, Table, table_of

Status = Literal["proved", "found", "impossible", "none"]
Watch = Callable[[float, float], bool]
"""told the best value so far (inf while there is none) and the proved bound, now and then; true asks to stop."""

WATCH_EVERY = 0.05
"""seconds between two looks at the watch"""
NODES = 1000
"""of SCIP's tree before HiGHS takes over; from 400 to 1600 the wishes of generated cars take about the same time"""
MISSED = 1e-6
"""By how much an answer of SCIP may break a row, in the unit of the row. Its own tolerance is a share of the size of a
row, and 1e-5 kg too little on 100 kg are too little for a rulebook."""


@dataclass(frozen=True)
class Solution:
    """What the solver can vouch for."""

    status: Status
    """proved: within the gap of the best; found: stopped by the time or the watch; impossible: proved to be; none: no
    answer"""
    value: float
    """of the objective"""
    bound: float
    """no solution is below this"""
    values: Mapping[str, float]
    """of the variables, by name; whole numbers are exact"""
    seconds: float


def solve(
    problem: pulp.LpProblem,
    objective: pulp.LpAffineExpression,
    gap: float,
    seconds: float,
    ceiling: float = np.inf,
    watch: Watch | None = None,
) -> Solution:
    """Minimise an expression over a problem's rows.

    gap : absolute distance from the proved bound at which to stop, in the objective's unit.
    seconds : time limit.
    ceiling : only solutions with an objective of at most this are of interest; "impossible" then means there is none.
    watch : called in the caller's thread every WATCH_EVERY until the answer is there, with numbers in the objective's
        unit (-inf while no bound is proved). What it raises comes out once the solver has stopped.
    """
    began = time.perf_counter()
    if seconds <= 0:
        return Solution("none", np.inf, -np.inf, {}, 0.0)
    table = table_of(problem, objective, ceiling).without_idle()
    first = Scip(table, gap, seconds, NODES)
    stopped = _run(first, watch or _unwatched)
    answer = first.answer()
    if answer.values is not None and table.missed(answer.values) > MISSED:
        answer = Answer(False, np.inf, answer.bound, None)
    left = seconds - (time.perf_counter() - began)
    if not answer.settled and not stopped and left > 0:
        answer = _go_on(table, gap, left, answer, watch or _unwatched)
    return _in_words(table, answer, time.perf_counter() - began)


def _go_on(table: Table, gap: float, seconds: float, so_far: Answer, watch: Watch) -> Answer:
    """Let HiGHS settle what SCIP has begun: is there anything better than its answer by more than the gap?

    There is no start to hand over: HiGHS 1.16 now and then takes one into its reduced problem with a lower objective
    than it has, cuts off every better answer, and calls the start proved.
    """
    better = so_far.value - gap
    second = Highs(replace(table, ceiling=min(table.ceiling, better)), gap, seconds)

    def watch_on(best: float, bound: float) -> bool:
        return watch(min(best, so_far.value), max(so_far.bound, min(bound, better)))

    _run(second, watch_on)
    answer = second.answer()
    bound = max(so_far.bound, min(answer.bound, better))
    if answer.values is not None:
        return replace(answer, bound=min(bound, answer.value))
    if so_far.values is None:
        return answer
    return replace(so_far, settled=answer.settled, bound=min(bound, so_far.value))


def _unwatched(_best: float, _bound: float) -> bool:
    return False


def _run(engine: Engine, watch: Watch) -> bool:
    """Let an engine work. Returns whether the watch asked to stop.

    Ctrl-C is heard where the main thread runs Python, and what is raised within an engine's own lines does not come
    out: so the engine works in a thread of its own, while the caller's thread looks at the watch.
    """
    stopped = False
    with ThreadPoolExecutor(max_workers=1) as thread:  # leaving it waits until the engine has stopped
        running = thread.submit(engine.run)
        try:
            while not running.done() and not stopped:
                stopped = watch(*engine.known)
                if not stopped:
                    wait([running], timeout=WATCH_EVERY)
        finally:
            while not running.done():  # what is asked before an engine has begun is forgotten
                engine.stop()
                wait([running], timeout=WATCH_EVERY)
    running.result()
    return stopped


def _in_words(table: Table, answer: Answer, seconds: float) -> Solution:
    if answer.values is None:
        return Solution("impossible" if answer.settled else "none", np.inf, answer.bound, {}, seconds)
    values = np.where(table.whole, np.round(answer.values), answer.values).tolist()
    named = dict(zip(table.names, values, strict=True))
    return Solution("proved" if answer.settled else "found", answer.value, answer.bound, named, seconds)
