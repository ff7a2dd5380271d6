"""What the integer programme is made of: its variables, and rows that may give way."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pulp

from ballast.physics.statics import Array
from ballast.planning.bands import Band
from ballast.planning.cases import Case, Layout
from ballast.planning.rules import Rules
from ballast.records.plan import Limit
from ballast.records.wishes import Wishes
from ballast.units import Dimension

_PAIRED = getattr(pulp.LpAffineExpression, "from_list", pulp.LpAffineExpression)
"""Makes an expression of pairs of variable and factor, in PuLP 4 and before; a sum of products takes twice the time."""


@dataclass(frozen=True)
class Row:
    """What one row of a family is about, so that it can give way and be told."""

    limit: Limit
    subject: str
    name: str
    dimension: Dimension | None = "mass"
    was: float | None = None
    """the limit to tell, where the row's right side is another number"""
    total: pulp.LpAffineExpression | None = None
    """of a share: the total it is a share of [kg]"""


@dataclass(frozen=True)
class Given:
    """How far one row of a relaxed family gives way."""

    row: Row
    was: float
    """the limit as it stands"""
    sign: float
    """1 where the limit rises, -1 where it falls"""
    variable: pulp.LpVariable


@dataclass
class Programme:
    """A PuLP problem and the names for what is in it. The only thing here that changes: rows are added wish by wish."""

    room: Layout
    cases: tuple[Case, ...]
    bands: tuple[Band, ...]
    wishes: Wishes
    rules: Rules
    relaxed: frozenset[Limit]
    problem: pulp.LpProblem
    given: list[Given] = field(default_factory=list)
    count: dict[tuple[int, int], pulp.LpVariable] = field(default_factory=dict)
    use: dict[int, pulp.LpVariable] = field(default_factory=dict)
    swapped: list[pulp.LpAffineExpression] = field(default_factory=list)
    moved: dict[int, pulp.LpVariable] = field(default_factory=dict)
    loads: list[list[pulp.LpAffineExpression]] = field(default_factory=list)
    totals: list[pulp.LpAffineExpression] = field(default_factory=list)
    objectives: dict[str, pulp.LpAffineExpression] = field(default_factory=dict)

    def on_mount(self, mount: int, factor: Array | None = None) -> pulp.LpAffineExpression:
        """Sum of n[m,p] over the plates of one mount, each times factor[p]."""
        return pulp.lpSum(
            variable if factor is None else float(factor[p]) * variable
            for (m, p), variable in self.count.items()
            if m == mount
        )

    def of_plate(self, plate: int, crew: int) -> pulp.LpAffineExpression:
        """Sum of n[m,p] over the rows aboard with a set, for one kind of plate."""
        aboard = self.room.aboard[crew]
        return pulp.lpSum(variable for (m, p), variable in self.count.items() if p == plate and aboard[m])

    @property
    def sets(self) -> list[tuple[int, str]]:
        """Number of each set of plates, and what the names of its rows end with: nothing where there is one set."""
        several = len(self.room.aboard) > 1
        return [(crew, f"_of_{crew:02d}" if several else "") for crew in range(len(self.room.aboard))]

    def counts(self, values: Mapping[str, float]) -> Array:
        """Counts (M, P) of a solution, by the names of the variables."""
        found = np.zeros((len(self.room.mounts), len(self.room.plates)))
        for place, variable in self.count.items():
            found[place] = values[variable.name]
        return found


def at_most(programme: Programme, row: Row, amount: pulp.LpAffineExpression, most: float) -> None:
    """amount <= most, or amount - give <= most where the family is relaxed."""
    if row.limit in programme.relaxed:
        amount = amount - _give(programme, row, most, 1.0)
    programme.problem += amount <= most, row.name


def at_least(programme: Programme, row: Row, amount: pulp.LpAffineExpression, least: float) -> None:
    """amount >= least, or amount + give >= least where the family is relaxed."""
    if row.limit in programme.relaxed:
        amount = amount + _give(programme, row, least, -1.0)
    programme.problem += amount >= least, row.name


def _give(programme: Programme, row: Row, side: float, sign: float) -> pulp.LpVariable:
    same = [one for one in programme.given if (one.row.limit, one.row.subject) == (row.limit, row.subject)]
    if same:  # one limit for every driver's plates: what it gives for one it gives for all
        return same[0].variable
    kind = pulp.LpInteger if row.dimension is None else pulp.LpContinuous
    variable = programme.problem.add_variable(f"give_{row.name}", 0, None, cat=kind)
    programme.given.append(Given(row, side if row.was is None else row.was, sign, variable))
    return variable


def total_of(parts: list[pulp.LpAffineExpression]) -> pulp.LpAffineExpression:
    """The sum of some expressions."""
    return pulp.lpSum(parts)


def weighted(programme: Programme, factor: Array) -> pulp.LpAffineExpression:
    """sum_m factor[m] (sum_p mass[p] n[m,p] + fix[m] use[m]); rows with factor zero are left out."""
    room, used = programme.room, np.array(list(programme.use), dtype=int)
    places = np.array(list(programme.count), dtype=int).reshape(-1, 2)
    variables = [*programme.count.values(), *programme.use.values()]
    row = np.concatenate([places[:, 0], used])
    factors = factor[row] * np.concatenate([room.plate_mass[places[:, 1]], room.fixing[used]])
    kept = np.flatnonzero(factor[row]).tolist()
    return _PAIRED([(variables[column], each) for column, each in zip(kept, factors[kept].tolist(), strict=True)])
