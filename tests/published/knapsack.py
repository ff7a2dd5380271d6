"""Knapsacks of several rows, put to the package's own solver."""

from collections.abc import Sequence

import pulp

from ballast.planning.solver import Solution, solve


def pack(profits: Sequence[float], rows: Sequence[tuple[Sequence[float], float]]) -> tuple[Solution, list[int]]:
    """Most profit under rows (weights, capacity). The solver minimises, so the value is minus the profit.

    Returns the solution and the numbers, from 1, of the items taken.
    """
    problem = pulp.LpProblem("knapsack", pulp.LpMinimize)
    items = [problem.add_variable(f"x{n:02d}", 0, 1, cat=pulp.LpInteger) for n in range(1, len(profits) + 1)]
    for number, (weights, capacity) in enumerate(rows, start=1):
        problem += pulp.lpSum(w * x for w, x in zip(weights, items, strict=True)) <= capacity, f"row{number:02d}"
    objective = pulp.lpSum(-float(profit) * x for profit, x in zip(profits, items, strict=True))
    found = solve(problem, objective, gap=0.0, seconds=30.0)
    return found, [number for number, item in enumerate(items, start=1) if found.values[item.name] == 1.0]
