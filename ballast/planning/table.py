"""A PuLP problem as arrays, and what an engine that solves it has to be able to do.

Reading columns and rows from the PuLP problem and handing them to an engine directly gives the same answer on every
PuLP release; the interfaces in between differ in column order, bounds and starts.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np
import pulp

from ballast.physics.statics import Array

Whole = np.ndarray[Any, np.dtype[np.bool_]]
Places = np.ndarray[Any, np.dtype[np.signedinteger[Any]]]


@dataclass(frozen=True)
class Table:
    """Minimise cost . x + offset <= ceiling with low <= A x <= high. N columns, in the order of their names; R rows."""

    names: tuple[str, ...]
    whole: Whole
    """(N,)"""
    lower: Array
    """(N,)"""
    upper: Array
    """(N,)"""
    cost: Array
    """(N,)"""
    offset: float
    starts: Places
    """where each row begins in index and factors, and where the last one ends, (R + 1,)"""
    index: Places
    """column of each factor"""
    factors: Array
    low: Array
    """(R,)"""
    high: Array
    """(R,)"""
    ceiling: float

    def without_idle(self) -> "Table":
        """The same without columns that cost nothing and can grow until all their rows are kept, nor those rows.

        Distances that only define a wish neither asked for now nor held yet fall away like that: half of the factors of
        a crew's rows. They have no value in an answer then. Whole-numbered columns stay: what they sum up helps an
        engine to cut and to branch (without them it takes up to half as long again).
        """
        row, kept = self.row_of_factor, np.ones(len(self.low), dtype=bool)
        eases = np.where(self.factors > 0, np.isinf(self.high)[row], np.isinf(self.low)[row]) & (self.factors != 0)
        idle = (self.cost == 0) & np.isinf(self.upper) & ~self.whole
        gone = np.zeros(len(self.names), dtype=bool)
        while True:
            here = kept[row]
            bound = np.bincount(self.index[here & ~eases], minlength=len(self.names)) > 0
            found = idle & ~bound & ~gone
            dropped = np.bincount(row[here & found[self.index]], minlength=len(kept)) > 0
            gone |= found
            if not dropped.any():
                break
            kept &= ~dropped
        place, here = np.cumsum(~gone) - 1, kept[row]
        lengths = np.diff(self.starts)[kept]
        return replace(
            self,
            names=tuple(name for name, out in zip(self.names, gone, strict=True) if not out),
            whole=self.whole[~gone],
            lower=self.lower[~gone],
            upper=self.upper[~gone],
            cost=self.cost[~gone],
            starts=np.concatenate([[0], np.cumsum(lengths)]).astype(np.int32),
            index=place[self.index[here]].astype(np.int32),
            factors=self.factors[here],
            low=self.low[kept],
            high=self.high[kept],
        )

    @property
    def row_of_factor(self) -> Places:
        """Number of the row of each factor."""
        return np.repeat(np.arange(len(self.low), dtype=np.int32), np.diff(self.starts))

    def missed(self, values: Array) -> float:
        """By how much values (N,), whole ones made whole, break the row they break most; zero when all are kept."""
        held = np.where(self.whole, np.round(values), values)
        here = np.bincount(self.row_of_factor, self.factors * held[self.index], minlength=len(self.low))
        over = np.maximum(self.low - here, here - self.high)
        above = float(self.cost @ held) + self.offset - self.ceiling
        return float(max(over.max(initial=0.0), above))


@dataclass(frozen=True)
class Answer:
    """What an engine has to say when it stops."""

    settled: bool
    """proved to be within the gap of the best or, without values, to be impossible"""
    value: float
    """of the objective; inf without values"""
    bound: float
    """nothing that keeps the rows is below this"""
    values: Array | None
    """of the columns, (N,)"""


class Engine(Protocol):
    """A solver with a table in its hands."""

    @property
    def known(self) -> tuple[float, float]:
        """Best value and bound so far; may be asked by another thread."""

    def run(self) -> None:
        """Work until the table is settled or the limits are reached."""

    def stop(self) -> None:
        """Ask it, from another thread, to come back soon."""

    def answer(self) -> Answer:
        """What came out, once it is back."""


def table_of(problem: pulp.LpProblem, objective: pulp.LpAffineExpression, ceiling: float) -> Table:
    """Columns and rows of a PuLP problem, with an objective to be at most a ceiling."""
    columns = sorted(problem.variables(), key=lambda variable: str(variable.name))
    place = {variable.name: number for number, variable in enumerate(columns)}
    cost = np.zeros(len(columns))
    for variable, factor in objective.items():
        cost[place[variable.name]] += factor
    rows = list(problem.constraints())
    starts, index, factors = [0], [], []
    for row in rows:
        for variable, factor in row.items():
            index.append(place[variable.name])
            factors.append(float(factor))
        starts.append(len(index))
    return Table(
        names=tuple(place),
        whole=np.array([column.cat == pulp.LpInteger for column in columns]),
        lower=_ends((column.lowBound for column in columns), -np.inf),
        upper=_ends((column.upBound for column in columns), np.inf),
        cost=cost,
        offset=float(objective.constant or 0.0),
        starts=np.array(starts, dtype=np.int32),
        index=np.array(index, dtype=np.int32),
        factors=np.array(factors, dtype=float),
        low=_ends((row.getLb() for row in rows), -np.inf),
        high=_ends((row.getUb() for row in rows), np.inf),
        ceiling=ceiling,
    )


def _ends(ends: Iterable[float | None], none: float) -> Array:
    return np.array([none if end is None else float(end) for end in ends], dtype=float)
