"""A table in the hands of SCIP: quick settings, for a first look at every problem."""

from typing import Any

import numpy as np
from pyscipopt import SCIP_EVENTTYPE, SCIP_PARAMSETTING, Eventhdlr, ExprCons, Model, quicksum

from ballast.planning.table import Answer, Table

SETTINGS = {
    "limits/gap": 0.0,
    "misc/catchctrlc": False,
    "numerics/feastol": 1e-7,
    "separating/maxrounds": 1,
    "separating/maxroundsroot": 1,
    "separating/aggregation/freq": 5,
    "separating/gomory/freq": 5,
    "separating/zerohalf/freq": 5,
}
"""Beside what SCIP itself calls fast. The tolerance is a share of a row's size (a finer one brings warnings of its LP
solver to the screen); who asks has to see whether an answer is good enough.

One round of cuts, at every fifth level of the tree: measured on the wishes of cars and crews of all sizes, half of the
time of SCIP's own fast settings. Without any cuts small cars are not proved at all.
"""


class Scip:
    """SCIP, with a table and its limits. Raises nothing; silent."""

    def __init__(self, table: Table, gap: float, seconds: float, nodes: int) -> None:
        """gap : absolute, in the objective's unit. nodes : of the tree, after which it stops."""
        self._scip = scip = Model()
        scip.hideOutput()
        scip.setHeuristics(SCIP_PARAMSETTING.FAST)
        scip.setPresolve(SCIP_PARAMSETTING.FAST)
        scip.setSeparating(SCIP_PARAMSETTING.FAST)
        scip.setParams(SETTINGS)
        scip.setParams({"limits/absgap": gap, "limits/time": seconds, "limits/nodes": nodes})
        self._columns = _fill(scip, table)
        self._known = _Known()
        scip.includeEventhdlr(self._known, "known", "keeps the best value and the bound")

    @property
    def known(self) -> tuple[float, float]:
        """Best value and bound so far."""
        return self._known.numbers

    def run(self) -> None:
        """Work, with Python free to run in other threads."""
        self._scip.optimizeNogil()

    def stop(self) -> None:
        """Ask it to come back; forgotten if it has not begun yet."""
        self._scip.interruptSolve()

    def answer(self) -> Answer:
        """What came out. Every column is bounded through its rows: "infeasible or unbounded" can only be infeasible."""
        scip, status = self._scip, self._scip.getStatus()
        if status in ("infeasible", "unbounded", "inforunbd"):
            return Answer(True, np.inf, np.inf, None)
        bound = _number(scip, scip.getDualbound())
        if not scip.getNSols():
            return Answer(False, np.inf, bound, None)
        best = scip.getBestSol()
        value = float(scip.getSolObjVal(best))
        values = np.array([best[column] for column in self._columns])
        return Answer(status in ("optimal", "gaplimit"), value, min(bound, value), values)


class _Known(Eventhdlr):  # type: ignore[misc]
    """Keeps the best value and the bound as SCIP comes to know them, for another thread to read."""

    EVENTS = SCIP_EVENTTYPE.BESTSOLFOUND | SCIP_EVENTTYPE.DUALBOUNDIMPROVED

    def __init__(self) -> None:
        self.numbers = (np.inf, -np.inf)

    def eventinit(self) -> None:
        self.model.catchEvent(self.EVENTS, self)

    def eventexit(self) -> None:
        self.model.dropEvent(self.EVENTS, self)

    def eventexec(self, _event: Any) -> None:
        best = _number(self.model, self.model.getPrimalbound())
        self.numbers = (best, min(best, _number(self.model, self.model.getDualbound())))


def _fill(scip: Model, table: Table) -> list[Any]:
    """Put a table into SCIP. Returns its columns."""
    columns = [
        scip.addVar(name, "I" if whole else "C", lb=_end(lower), ub=_end(upper), obj=cost)
        for name, whole, lower, upper, cost in zip(
            table.names,
            table.whole.tolist(),
            table.lower.tolist(),
            table.upper.tolist(),
            table.cost.tolist(),
            strict=True,
        )
    ]
    scip.addObjoffset(table.offset)
    index, factors, starts = table.index.tolist(), table.factors.tolist(), table.starts.tolist()
    for row, (low, high) in enumerate(zip(table.low.tolist(), table.high.tolist(), strict=True)):
        part = slice(starts[row], starts[row + 1])
        amount = quicksum(factor * columns[j] for j, factor in zip(index[part], factors[part], strict=True))
        scip.addCons(ExprCons(amount, _end(low), _end(high)))
    if np.isfinite(table.ceiling):
        aim = quicksum(float(table.cost[j]) * columns[j] for j in np.flatnonzero(table.cost))
        scip.addCons(ExprCons(aim, None, table.ceiling - table.offset))
    return columns


def _end(end: float) -> float | None:
    """A limit as SCIP is told of it: nothing where there is none."""
    return end if np.isfinite(end) else None


def _number(scip: Model, number: float) -> float:
    """A number of SCIP's, with infinity for what it calls infinite."""
    return float(np.copysign(np.inf, number)) if scip.isInfinity(abs(number)) else float(number)
