"""A programme as matrices, read once from its PuLP rows: what solvers without a modelling layer are handed."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pulp
from numpy.typing import NDArray
from scipy.sparse import csr_array

from ballast.planning.table import table_of

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
    """The rows and columns of a problem, as our own engines are handed them."""
    read = table_of(problem, pulp.LpAffineExpression(), np.inf)
    return Rows(
        names=read.names,
        place={name: number for number, name in enumerate(read.names)},
        whole=read.whole,
        lower=read.lower,
        upper=read.upper,
        table=csr_array((read.factors, read.index, read.starts), shape=(len(read.low), len(read.names))),
        low=read.low,
        high=read.high,
    )
