"""A table in the hands of HiGHS: for what a first look did not settle."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

import numpy as np

from ballast.planning.table import Answer, Table

FOURIER_MOTZKIN = 1 << 22
"""The rule of HiGHS 1.16's presolve that is left out: on some problems it never ends, and no time limit is heard."""
OPTIONS = {
    "output_flag": False,
    "random_seed": 0,
    "threads": 1,
    "mip_rel_gap": 0.0,
    "mip_allow_restart": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "presolve_rule_off": FOURIER_MOTZKIN,
}
"""Measured on cars of 12 mounts and 6 kinds with hardware: one thread, no restarts and no neighbourhood searches halve
the time to a proof."""


class Highs:
    """HiGHS, with a table and its limits. Raises nothing; silent."""

    def __init__(self, table: Table, gap: float, seconds: float) -> None:
        """gap : absolute, in the objective's unit."""
        self._api, self._whole = _highspy(), bool(table.whole.any())
        self._highs = engine()
        self._highs.setOptionValue("mip_abs_gap", gap)
        self._highs.setOptionValue("time_limit", seconds)
        self._highs.passModel(_model(self._api, table))
        self._known, self._stop = (np.inf, -np.inf), False
        self._highs.cbMipInterrupt.subscribe(self._look)

    @property
    def known(self) -> tuple[float, float]:
        """Best value and bound so far."""
        return self._known

    def run(self) -> None:
        """Work, with Python free to run in other threads."""
        self._highs.run()

    def stop(self) -> None:
        """Ask it to come back."""
        self._stop = True

    def answer(self) -> Answer:
        """What came out. Every column is bounded through its rows: "infeasible or unbounded" can only be infeasible."""
        status, info, api = self._highs.getModelStatus(), self._highs.getInfo(), self._api
        if status in (api.HighsModelStatus.kInfeasible, api.HighsModelStatus.kUnboundedOrInfeasible):
            return Answer(True, np.inf, np.inf, None)
        known = self._whole and np.isfinite(info.mip_dual_bound)
        bound = float(info.mip_dual_bound) if known else -np.inf
        if info.primal_solution_status != api.SolutionStatus.kSolutionStatusFeasible:
            return Answer(False, np.inf, bound, None)
        value, optimal = float(info.objective_function_value), status == api.HighsModelStatus.kOptimal
        values = np.array(self._highs.getSolution().col_value, dtype=float)
        return Answer(optimal, value, value if optimal and not self._whole else bound, values)

    def _look(self, event: Any) -> None:
        self._known = (event.data_out.mip_primal_bound, event.data_out.mip_dual_bound)
        event.data_in.user_interrupt = self._stop


def engine() -> Any:
    """An empty HiGHS with our options."""
    highs = _highspy().Highs()
    for name, value in OPTIONS.items():
        highs.setOptionValue(name, value)
    return highs


def _model(api: Any, table: Table) -> Any:
    lp, kinds = api.HighsLp(), api.HighsVarType
    lp.num_col_, lp.col_cost_, lp.offset_ = len(table.names), table.cost, table.offset
    lp.col_lower_, lp.col_upper_ = table.lower, table.upper
    lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in table.whole]
    starts, index, factors, low, high = table.starts, table.index, table.factors, table.low, table.high
    if np.isfinite(table.ceiling):
        wanted = np.flatnonzero(table.cost)
        index, factors = np.append(index, wanted), np.append(factors, table.cost[wanted])
        starts = np.append(starts, len(index))
        low, high = np.append(low, -np.inf), np.append(high, table.ceiling - table.offset)
    lp.num_row_, lp.row_lower_, lp.row_upper_ = len(low), low, high
    lp.a_matrix_.format_ = api.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_ = starts.astype(np.int32), index.astype(np.int32)
    lp.a_matrix_.value_ = factors
    return lp


@cache
def _highspy() -> Any:
    import highspy  # most plans never come here

    with _quiet_stdout():  # the first engine of a process prints a banner, whatever its options say
        highspy.Highs()
    return highspy


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
