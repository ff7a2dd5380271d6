"""Other ways to settle a programme: PuLP's own CBC, scipy's milp, OR-Tools CP-SAT. One class each, asked alike.

Every engine is handed the rows of the same `Programme`, a wish at a time with the same absolute gap, and told the holds
of the wishes before. What it answers is put in the planner's own words (`Solution`).
"""

import os
import re
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from math import lcm
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import pulp
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack, vstack

from ballast.planning.programme import hold
from ballast.planning.rows import Programme
from ballast.planning.solver import Solution
from tests.benchmarks.rows import Floats, Rows, rows_of


class Engine(Protocol):
    """A solver with the rows of one programme in its hands."""

    def least(self, wish: str, gap: float, seconds: float) -> Solution:
        """The least an objective of the programme can be, to an absolute gap, in a time."""

    def hold(self, wish: str, most: float) -> None:
        """Keep an objective from exceeding a limit in all that follows."""


class PlainPulp:
    """PuLP and the CBC that comes with it: solved as it stands, through files and a process for each wish."""

    LOWER = re.compile(r"^Objective value:\s+(\S+)\s+Lower bound:\s+(\S+)", re.M)
    PRINTED = 5e-4
    """The log gives a bound to three decimals."""

    def __init__(self, programme: Programme):
        self.programme = programme

    def least(self, wish: str, gap: float, seconds: float) -> Solution:
        """One run of CBC. Its bound is in its log alone, and only where it stopped before it met its best."""
        began, problem = time.perf_counter(), self.programme.problem
        problem.setObjective(self.programme.objectives[wish] + 0.0)
        with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
            warnings.simplefilter("ignore")  # PuLP 3.3 says that PuLP 4 will not bring CBC
            log = Path(folder) / "cbc.log"
            asked = {"msg": False, "gapAbs": gap, "gapRel": 0.0, "timeLimit": seconds, "logPath": str(log)}
            problem.solve(pulp.getSolver("PULP_CBC_CMD", **asked))
            said = self.LOWER.search(log.read_text(encoding="utf-8", errors="replace"))
        spent = time.perf_counter() - began
        if problem.sol_status == pulp.LpSolutionInfeasible:
            return Solution("impossible", np.inf, np.inf, {}, spent)
        if problem.sol_status not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
            return Solution("none", np.inf, -np.inf, {}, spent)
        values = {
            column.name: float(round(column.value()) if column.cat == pulp.LpInteger else column.value())
            for column in problem.variables()
        }
        expression = self.programme.objectives[wish]
        value = sum(factor * values[variable.name] for variable, factor in expression.items()) + expression.constant
        proved = problem.sol_status == pulp.LpSolutionOptimal
        bound = value - gap if proved else -np.inf
        if said:
            bound = max(bound, value - (float(said[1]) - float(said[2])) - self.PRINTED)
        return Solution("proved" if proved else "found", value, min(bound, value), values, spent)

    def hold(self, wish: str, most: float) -> None:
        """A row of PuLP."""
        if wish == "total":
            self.programme.problem += self.programme.objectives[wish] <= most, "greatest_total"
        else:
            hold(self.programme, wish, most)


class Scipy:
    """scipy.optimize.milp, which is a HiGHS of scipy's own with its usual options."""

    FAR = 1e4
    """milp knows a gap relative to the best value alone. A fixed column adds this much to every value, so that a
    relative gap is nearly an absolute one."""

    def __init__(self, programme: Programme):
        self.programme, self.rows = programme, rows_of(programme.problem)
        self.low, self.high = self.rows.low, self.rows.high
        self.table = csr_array(hstack([self.rows.table, csr_array((len(self.low), 1))]))

    def least(self, wish: str, gap: float, seconds: float) -> Solution:
        """One call of milp."""
        began, rows, wanted = time.perf_counter(), self.rows, self.rows.linear(self.programme.objectives[wish])
        with _quiet():
            found = milp(
                np.append(wanted.factors, self.FAR),
                integrality=np.append(rows.whole, False).astype(int),
                bounds=Bounds(np.append(rows.lower, 1.0), np.append(rows.upper, 1.0)),
                constraints=LinearConstraint(self.table, self.low, self.high),
                options={"mip_rel_gap": gap / self.FAR, "time_limit": seconds},
            )
        spent = time.perf_counter() - began
        if found.status == 2:
            return Solution("impossible", np.inf, np.inf, {}, spent)
        more = wanted.constant - self.FAR
        bound = float(found.mip_dual_bound) + more if found.mip_dual_bound is not None else -np.inf
        if found.x is None:
            return Solution("none", np.inf, bound, {}, spent)
        x = np.where(rows.whole, np.round(found.x[:-1]), found.x[:-1])
        value = wanted.at(x)
        values = dict(zip(rows.names, x.tolist(), strict=True))
        return Solution("proved" if found.status == 0 else "found", value, min(bound, value), values, spent)

    def hold(self, wish: str, most: float) -> None:
        """One more row."""
        held = self.rows.linear(self.programme.objectives[wish])
        self.table = csr_array(vstack([self.table, csr_array(np.append(held.factors, 0.0)[None])]))
        self.low, self.high = np.append(self.low, -np.inf), np.append(self.high, most - held.constant)


class CpSat:
    """OR-Tools CP-SAT with two workers, each wish begun with the answer to the one before as a hint.

    It knows whole numbers only. A row is written in grains of its unit (kg, points), each factor rounded to whole
    grains and the row given way by what that may add up to; a column that is not whole counts grains. Factors of such
    columns are simple fractions (weights, parts of a mean), and the row is multiplied until they are whole.
    """

    GRAIN = 1e-4
    """Finer grains cost CP-SAT time: 1e-6 up to twice as much. A row then gives way by 0.005 kg or points at most."""
    FAR = 1000.0
    """More than any distance, mass or moment that is no count of plates."""
    MANY = 10_000
    """More plates than anybody has."""

    def __init__(self, programme: Programme, workers: int = 2):
        self.programme, self.rows, self.workers = programme, rows_of(programme.problem), workers
        self.cp, rows = cp_model.CpModel(), self.rows
        # What is put on and taken off at a mount is whole when it is at its least: no grains are needed there.
        moved = [name.startswith(("more_", "fewer_")) for name in rows.names]
        self.whole = rows.whole | np.array(moved)
        room = programme.room
        owned = float(room.owned.sum())  # no more of them are aboard at once, nor more hardware than there are plates
        self.rounding = (owned + min(owned, len(room.mounts)) + 4) / 2
        self.columns = [self._column(j, upper) for j, upper in enumerate(_stock(rows))]
        self.table = rows.table
        for r in range(self.table.shape[0]):
            part = slice(self.table.indptr[r], self.table.indptr[r + 1])
            ends = float(rows.low[r]), float(rows.high[r])
            self._row(self.table.indices[part], self.table.data[part], *ends, self.GRAIN)

    def _column(self, j: int, upper: float) -> Any:
        if self.whole[j]:
            return self.cp.new_int_var(int(self.rows.lower[j]), int(min(upper, self.MANY)), self.rows.names[j])
        return self.cp.new_int_var(0, round(min(upper, self.FAR) / self.GRAIN), self.rows.names[j])

    def _grains(self, index: Any, factors: Any, finest: float) -> tuple[list[int], float]:
        """Whole factors of some columns, and what one unit of the row is then worth in them."""
        kept = self.whole[index]
        times = lcm(*(Fraction(float(f)).limit_denominator(1000).denominator for f in factors[~kept]))
        unit = times / finest
        if kept.all() and np.all(factors == np.round(factors)):
            unit = 1.0
        scaled = np.where(kept, factors * unit, factors * unit * self.GRAIN)
        return [int(factor) for factor in np.round(scaled)], unit

    def _row(self, index: Any, factors: Any, low: float, high: float, grain: float) -> None:
        whole, unit = self._grains(index, factors, grain)
        slack = self.rounding * unit * grain if unit != 1.0 else 1e-9
        ends = (
            int(np.ceil(low * unit - slack)) if np.isfinite(low) else cp_model.INT_MIN,
            int(np.floor(high * unit + slack)) if np.isfinite(high) else cp_model.INT_MAX,
        )
        terms = cp_model.LinearExpr.weighted_sum([self.columns[j] for j in index], whole)
        self.cp.add_linear_constraint(terms, *ends)

    def least(self, wish: str, gap: float, seconds: float) -> Solution:
        """One search with a gap that is counted in grains, as the objective is."""
        began, wanted = time.perf_counter(), self.rows.linear(self.programme.objectives[wish])
        index = np.flatnonzero(wanted.factors)
        whole, unit = self._grains(index, wanted.factors[index], self._finer(wish))
        self.cp.minimize(cp_model.LinearExpr.weighted_sum([self.columns[j] for j in index], whole))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = self.workers
        solver.parameters.random_seed = 0
        solver.parameters.absolute_gap_limit = gap * unit
        solver.parameters.relative_gap_limit = 0.0
        solver.parameters.max_time_in_seconds = seconds
        with _quiet():
            status = solver.solve(self.cp)
        spent = time.perf_counter() - began
        if status == cp_model.INFEASIBLE:
            return Solution("impossible", np.inf, np.inf, {}, spent)
        bound = float(solver.best_objective_bound) / unit + wanted.constant
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Solution("none", np.inf, bound, {}, spent)
        counted = [solver.value(column) for column in self.columns]
        self.cp.clear_hints()
        for column, number in zip(self.columns, counted, strict=True):
            self.cp.add_hint(column, number)
        x = np.array(counted) * np.where(self.whole, 1.0, self.GRAIN)
        values = dict(zip(self.rows.names, x.tolist(), strict=True))
        value = wanted.at(x)
        return Solution("proved" if status == cp_model.OPTIMAL else "found", value, min(bound, value), values, spent)

    def hold(self, wish: str, most: float) -> None:
        """One more row."""
        held = self.rows.linear(self.programme.objectives[wish])
        index = np.flatnonzero(held.factors)
        self._row(index, held.factors[index], -np.inf, most - held.constant, self._finer(wish))

    def _finer(self, wish: str) -> float:
        """The grain of an objective: a height is told apart by thousandths of a metre."""
        return self.GRAIN / 100 if wish == "height" else self.GRAIN


@contextmanager
def _quiet() -> Iterator[None]:
    """Send what C++ prints to nowhere: CP-SAT tells of neighbourhoods it gave up, scipy's HiGHS of its own traces."""
    sys.stdout.flush()
    kept, nowhere = (os.dup(1), os.dup(2)), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        yield
    finally:
        for number, one in enumerate(kept, start=1):
            os.dup2(one, number)
            os.close(one)
        os.close(nowhere)


def _stock(rows: Rows) -> Floats:
    """Upper limits of the columns; of whole ones also from the rows of what there is at most. Returns (N,)."""
    upper = rows.upper.copy()
    for r in np.flatnonzero(np.isfinite(rows.high)):
        part = slice(rows.table.indptr[r], rows.table.indptr[r + 1])
        index, factors = rows.table.indices[part], rows.table.data[part]
        if (factors > 0).all() and (rows.lower[index] >= 0).all() and rows.whole[index].all():
            upper[index] = np.minimum(upper[index], np.floor(rows.high[r] / factors + 1e-9))
    return np.asarray(upper)


ENGINES: dict[str, Callable[[Programme], Engine]] = {"pulp-cbc": PlainPulp, "scipy-milp": Scipy, "cp-sat": CpSat}
