"""A programme as matrices, read once from its PuLP rows: what solvers without a modelling layer are handed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pulp
from numpy.typing import NDArray
from scipy.sparse import csr_array

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Linear:
    """factors @ x + constant."""

    factors: Floats
    constant: float

    def at(self, x: Floats) -> float:
        """Its value. x : (N,)."""
        return float(self.factors @ x) + self.constant


@dataclass(frozen=True)
class Rows:
    """low <= table @ x <= high, for N columns of which some are whole."""

    names: tuple[str, ...]
    place: dict[str, int]
    whole: NDArray[np.bool_]
    lower: Floats
    """of the columns, (N,)"""
    upper: Floats
    table: Any
    """csr_array, (R, N)"""
    low: Floats
    high: Floats

    def linear(self, expression: pulp.LpAffineExpression) -> Linear:
        """An expression of PuLP in the order of the columns."""
        factors = np.zeros(len(self.names))
        for variable, factor in expression.items():
            factors[self.place[variable.name]] += factor
        return Linear(factors, float(expression.constant or 0.0))


def rows_of(problem: pulp.LpProblem) -> Rows:
    """The rows and columns of a problem."""
    columns, rows = problem.variables(), list(problem.constraints())
    place = {str(column.name): number for number, column in enumerate(columns)}
    starts, index, factors = [0], [], []
    for row in rows:
        for variable, factor in row.items():
            index.append(place[variable.name])
            factors.append(float(factor))
        starts.append(len(index))
    return Rows(
        names=tuple(place),
        place=place,
        whole=np.array([column.cat == pulp.LpInteger for column in columns]),
        lower=_limits([column.lowBound for column in columns], -np.inf),
        upper=_limits([column.upBound for column in columns], np.inf),
        table=csr_array((np.array(factors), np.array(index), np.array(starts)), shape=(len(rows), len(columns))),
        low=_limits([row.getLb() for row in rows], -np.inf),
        high=_limits([row.getUb() for row in rows], np.inf),
    )


def _limits(values: Sequence[float | None], none: float) -> Floats:
    return np.array([none if value is None else float(value) for value in values])
