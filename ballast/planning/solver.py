"""The one door to the solver: HiGHS, fed from a PuLP problem and answering in our own words.

Reading columns and rows from the PuLP problem and handing them to HiGHS directly gives the same answer on every PuLP
release; the interfaces in between differ in column order, bounds and starts.
"""

import os
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
import pulp

Status = Literal["proved", "found", "impossible", "none"]
Watch = Callable[[float, float], bool]
"""told the best value so far (inf while there is none) and the proved bound, now and then; true asks to stop."""

FOURIER_MOTZKIN = 1 << 22
"""The rule of HiGHS 1.16's presolve that is left out: on some problems it never ends, and no time limit is heard."""

WATCH_EVERY = 0.05
"""seconds between two looks at the watch"""


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

    There is no start to hand over: HiGHS 1.16 now and then takes one into its reduced problem with a lower objective
    than it has, cuts off every better answer, and calls the start proved.
    """
    began = time.perf_counter()
    if seconds <= 0:
        return Solution("none", np.inf, -np.inf, {}, 0.0)
    columns = sorted(problem.variables(), key=lambda variable: str(variable.name))
    highs, api = _engine(), _highspy()
    highs.passModel(_model(api, problem, objective, columns, ceiling))
    highs.setOptionValue("mip_abs_gap", gap)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("time_limit", seconds)
    if watch is None:
        highs.run()
    else:
        _run_watched(highs, watch)
    return _answer(api, highs, columns, time.perf_counter() - began)


def _run_watched(highs: Any, watch: Watch) -> None:
    """Let HiGHS work in a thread of its own while the caller's thread looks at the watch.

    Ctrl-C is heard where the main thread runs Python. Within a callback that is in highspy's own lines, and HiGHS 1.16
    swallows what is raised there and calls the problem unsolvable; here it comes out like any other exception.
    """
    known, stop = (np.inf, -np.inf), False

    def look(event: Any) -> None:
        nonlocal known
        known = (event.data_out.mip_primal_bound, event.data_out.mip_dual_bound)
        event.data_in.user_interrupt = stop

    highs.cbMipInterrupt.subscribe(look)
    with ThreadPoolExecutor(max_workers=1) as thread:  # leaving it waits until HiGHS has stopped
        try:
            running = thread.submit(highs.run)
            while not running.done() and not watch(*known):
                wait([running], timeout=WATCH_EVERY)
        finally:
            stop = True
    running.result()


def _answer(api: Any, highs: Any, columns: list[Any], seconds: float) -> Solution:
    status, info = highs.getModelStatus(), highs.getInfo()
    whole = any(column.cat == pulp.LpInteger for column in columns)
    bound = float(info.mip_dual_bound) if whole and np.isfinite(info.mip_dual_bound) else -np.inf
    if status in (api.HighsModelStatus.kInfeasible, api.HighsModelStatus.kUnboundedOrInfeasible):
        # Every column is bounded through its rows, so "unbounded or infeasible" can only mean infeasible.
        return Solution("impossible", np.inf, np.inf, {}, seconds)
    if info.primal_solution_status != api.SolutionStatus.kSolutionStatusFeasible:
        return Solution("none", np.inf, bound, {}, seconds)
    values = {
        column.name: float(round(value)) if column.cat == pulp.LpInteger else float(value)
        for column, value in zip(columns, highs.getSolution().col_value, strict=True)
    }
    value = float(info.objective_function_value)
    if status == api.HighsModelStatus.kOptimal:
        return Solution("proved", value, bound if whole else value, values, seconds)
    return Solution("found", value, bound, values, seconds)


def _model(
    api: Any, problem: pulp.LpProblem, objective: pulp.LpAffineExpression, columns: list[Any], ceiling: float
) -> Any:
    place = {column.name: number for number, column in enumerate(columns)}
    lp = api.HighsLp()
    lp.num_col_ = len(columns)
    cost = np.zeros(len(columns))
    for variable, factor in objective.items():
        cost[place[variable.name]] += factor
    lp.col_cost_ = cost
    lp.offset_ = float(objective.constant or 0.0)
    lp.col_lower_ = _limits((column.lowBound for column in columns), -api.kHighsInf)
    lp.col_upper_ = _limits((column.upBound for column in columns), api.kHighsInf)
    kinds = api.HighsVarType
    lp.integrality_ = [kinds.kInteger if column.cat == pulp.LpInteger else kinds.kContinuous for column in columns]
    rows = list(problem.constraints())
    lower = _limits((row.getLb() for row in rows), -api.kHighsInf)
    upper = _limits((row.getUb() for row in rows), api.kHighsInf)
    starts, index, value = [0], [], []
    for row in rows:
        for variable, factor in row.items():
            index.append(place[variable.name])
            value.append(float(factor))
        starts.append(len(index))
    if np.isfinite(ceiling):
        index.extend(np.flatnonzero(cost).tolist())
        value.extend(cost[cost != 0].tolist())
        starts.append(len(index))
        lower, upper = np.append(lower, -api.kHighsInf), np.append(upper, ceiling - lp.offset_)
    lp.num_row_, lp.row_lower_, lp.row_upper_ = len(lower), lower, upper
    lp.a_matrix_.format_ = api.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(index, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(value, dtype=float)
    return lp


def _limits(bounds: Iterator[float | None], none: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.array([none if bound is None else float(bound) for bound in bounds], dtype=float)


@cache
def _highspy() -> Any:
    import highspy

    with _quiet_stdout():  # the first engine of a process prints a banner, whatever its options say
        highspy.Highs()
    return highspy


def _engine() -> Any:
    highs = _highspy().Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("random_seed", 0)
    # Measured on cars of 12 mounts and 6 kinds with hardware: one thread, no restarts and no neighbourhood searches
    # halve the time to a proof.
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("mip_allow_restart", False)
    highs.setOptionValue("mip_heuristic_run_rins", False)
    highs.setOptionValue("mip_heuristic_run_rens", False)
    highs.setOptionValue("presolve_rule_off", FOURIER_MOTZKIN)
    return highs


@contextmanager
def _quiet_stdout() -> Iterator[None]:
    """Send what C code prints on the standard output to nowhere, for a moment."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # no standard output to protect
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)
