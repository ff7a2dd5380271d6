"""The one door to the solver: what it may claim, and what it must never do."""

import subprocess
import sys

import numpy as np
import pulp
import pytest

from ballast.planning.programme import greatest_total
from ballast.planning.rows import Programme
from ballast.planning.solver import Solution, solve
from ballast.planning.task import task as _task
from tests.random_cars import small_question

SOLVER = 3e-6
"""The solver may miss a row by 1e-6; in these problems that is worth at most three times as much."""


def small() -> tuple[pulp.LpProblem, pulp.LpAffineExpression]:
    """Minimise 3 x + 2 y + 5 with x whole, x + y >= 3.5, y <= 2.2.

    By hand: y costs less, so y = 2.2 would leave x >= 1.3; whole x is 2, then y = 1.5, and 6 + 3 + 5 = 14.
    """
    problem = pulp.LpProblem("small", pulp.LpMinimize)
    x = problem.add_variable("x", 0, None, cat=pulp.LpInteger)
    y = problem.add_variable("y", 0, 2.2)
    problem += x + y >= 3.5, "enough"
    return problem, 3 * x + 2 * y + 5


def split(seed: int, rows: int = 4, columns: int = 30) -> tuple[pulp.LpProblem, pulp.LpAffineExpression]:
    """A market-split problem: many easy answers and no proof in a short time.

    Source: G. Cornuejols, M. Dawande, A class of hard small 0-1 programs (1998), from memory.
    """
    rng = np.random.default_rng(seed)
    problem = pulp.LpProblem("split", pulp.LpMinimize)
    x = [problem.add_variable(f"x_{j:02d}", 0, 1, cat=pulp.LpInteger) for j in range(columns)]
    off = []
    for i in range(rows):
        weights = [int(weight) for weight in rng.integers(0, 100, columns)]
        over, under = problem.add_variable(f"over_{i}", 0, None), problem.add_variable(f"under_{i}", 0, None)
        half = sum(weights) // 2
        problem += pulp.lpSum(w * v for w, v in zip(weights, x, strict=True)) - over + under == half, f"row_{i}"
        off += [over, under]
    return problem, pulp.lpSum(off)


def worth(objective: pulp.LpAffineExpression, answer: Solution) -> float:
    """An objective worked out from an answer's values, by hand."""
    terms = sum(factor * answer.values[variable.name] for variable, factor in objective.items())
    return float(terms + (objective.constant or 0.0))


def test_a_small_problem_is_proved_with_its_constant() -> None:
    """Value and bound hold the constant of the objective, and the answer is the one found by hand."""
    problem, objective = small()
    answer = solve(problem, objective, gap=0.0, seconds=10.0)
    assert answer.status == "proved"
    assert answer.value == pytest.approx(14.0, abs=SOLVER)
    assert answer.bound == pytest.approx(14.0, abs=SOLVER)
    assert answer.values == pytest.approx({"x": 2.0, "y": 1.5}, abs=SOLVER)


@pytest.mark.parametrize(("ceiling", "status"), [(13.99, "impossible"), (14.01, "proved"), (np.inf, "proved")])
def test_a_ceiling_leaves_out_what_lies_above_it(ceiling: float, status: str) -> None:
    """The best is 14, constant included: nothing is found below it, and a ceiling above it changes nothing."""
    problem, objective = small()
    answer = solve(problem, objective, gap=0.0, seconds=10.0, ceiling=ceiling)
    assert answer.status == status
    if answer.values:
        assert answer.value == pytest.approx(14.0, abs=SOLVER)
        assert answer.bound == pytest.approx(14.0, abs=SOLVER)


def test_a_ceiling_does_not_stay() -> None:
    """A ceiling is for one call: the problem is the same afterwards."""
    problem, objective = small()
    assert solve(problem, objective, gap=0.0, seconds=10.0, ceiling=10.0).status == "impossible"
    assert solve(problem, objective, gap=0.0, seconds=10.0).status == "proved"


def test_a_problem_without_whole_numbers_is_proved_too() -> None:
    """With x allowed to be split, x = 1.3 and y = 2.2: 3.9 + 4.4 + 5 = 13.3, value and bound alike."""
    problem = pulp.LpProblem("split_x", pulp.LpMinimize)
    x, y = problem.add_variable("x", 0, None), problem.add_variable("y", 0, 2.2)
    problem += x + y >= 3.5, "enough"
    answer = solve(problem, 3 * x + 2 * y + 5, gap=0.0, seconds=10.0)
    assert answer.status == "proved"
    assert answer.value == pytest.approx(13.3, abs=SOLVER)
    assert answer.bound == pytest.approx(13.3, abs=SOLVER)


def test_a_knapsack_from_the_books() -> None:
    """Knapsack after Martello and Toth, as in R package adagio (REF-H1): 280 with items 1 2 3 4 6. VERIFIED."""
    profits, weights = (15, 100, 90, 60, 40, 15, 10, 1), (2, 20, 20, 30, 40, 30, 60, 10)
    problem = pulp.LpProblem("knapsack", pulp.LpMinimize)
    take = [problem.add_variable(f"take_{i}", 0, 1, cat=pulp.LpInteger) for i in range(1, 9)]
    problem += pulp.lpSum(w * t for w, t in zip(weights, take, strict=True)) <= 102, "capacity"
    answer = solve(problem, pulp.lpSum(-p * t for p, t in zip(profits, take, strict=True)), gap=0.0, seconds=10.0)
    assert answer.status == "proved"
    assert answer.value == pytest.approx(-280, abs=SOLVER)
    assert {name for name, value in answer.values.items() if value == 1.0} == {f"take_{i}" for i in (1, 2, 3, 4, 6)}


def test_an_impossible_problem_is_called_impossible() -> None:
    """x <= 1 and x >= 2 have no answer, and there are no values to misread."""
    problem = pulp.LpProblem("impossible", pulp.LpMinimize)
    x = problem.add_variable("x", 0, None, cat=pulp.LpInteger)
    problem += x <= 1, "low"
    problem += x >= 2, "high"
    answer = solve(problem, 1 * x, gap=0.0, seconds=10.0)
    assert (answer.status, dict(answer.values), answer.value) == ("impossible", {}, np.inf)


def test_whole_numbers_without_an_answer_are_impossible() -> None:
    """2 x = 3 has an answer in fractions only."""
    problem = pulp.LpProblem("odd", pulp.LpMinimize)
    x = problem.add_variable("x", 0, 10, cat=pulp.LpInteger)
    problem += 2 * x == 3, "odd"
    assert solve(problem, 1 * x, gap=0.0, seconds=10.0).status == "impossible"


@pytest.mark.parametrize("seconds", [0.0, -1.0])
def test_no_time_is_no_answer(seconds: float) -> None:
    """Without time nothing is claimed: no value, no bound, and not "impossible"."""
    problem, objective = small()
    answer = solve(problem, objective, gap=0.0, seconds=seconds)
    assert (answer.status, answer.value, answer.bound, dict(answer.values)) == ("none", np.inf, -np.inf, {})


def test_time_that_runs_out_is_found_not_proved() -> None:
    """A problem that cannot be proved in the time has an answer, a bound below it, and the word "found"."""
    problem, objective = split(seed=1)
    answer = solve(problem, objective, gap=0.0, seconds=0.3)
    assert answer.status == "found"
    assert answer.value == pytest.approx(worth(objective, answer), abs=1e-6)
    assert 0.0 <= answer.bound <= answer.value
    assert answer.seconds < 1.5


def test_the_gap_is_absolute_and_kept() -> None:
    """A wide gap stops early, still with value less bound inside it; the relative gap plays no part."""
    problem, objective = split(seed=2, rows=2, columns=16)
    wide = solve(problem, objective, gap=50.0, seconds=20.0)
    best = solve(problem, objective, gap=0.0, seconds=20.0)
    assert wide.status == best.status == "proved"
    assert wide.value - wide.bound <= 50.0
    assert wide.bound <= best.value + SOLVER
    assert best.value <= wide.value + SOLVER
    assert best.value - best.bound <= 1e-6


def test_whole_numbers_come_back_exact() -> None:
    """Whole variables are whole to the last bit, also where the solver works with 4.9999999."""
    for seed in range(20):
        task = _task(small_question(seed))
        programme = task.programme()
        answer = solve(programme.problem, programme.objectives["total"], gap=0.0, seconds=10.0)
        whole = [value for name, value in answer.values.items() if name.startswith(("n_", "use_"))]
        assert all(value == int(value) for value in whole)


def test_the_same_problem_has_the_same_answer() -> None:
    """Two runs in one process agree to the last bit: no plan depends on what was solved before it."""
    problem, objective = split(seed=3, rows=2, columns=16)
    first = solve(problem, objective, gap=0.0, seconds=20.0)
    second = solve(problem, objective, gap=0.0, seconds=20.0)
    assert (first.value, first.bound, first.values) == (second.value, second.bound, second.values)


def asked(seed: int) -> tuple[Programme, Solution]:
    """The programme of a small car with its window of totals, and a plan that keeps it."""
    task = _task(small_question(seed))
    programme = task.programme()
    least = solve(programme.problem, programme.objectives["total"], gap=0.1, seconds=20.0)
    if least.values:
        greatest_total(programme, least.value + task.wishes.over_required)
    return programme, least


@pytest.mark.parametrize("seed", [*range(20), 178, 247, 307, 338, 372, 431, 469, 478, 757, 774, 792])
def test_a_value_is_that_of_its_own_values(seed: int) -> None:
    """Value and bound are those of the values returned, for every wish: a solver's word alone is not enough.

    The last cars are some on which HiGHS 1.16, given the plan of the least total as a start, took it into its reduced
    problem with a lower objective than it has, cut off every better answer and called the start proved.
    """
    programme, least = asked(seed)
    for name, objective in programme.objectives.items() if least.values else ():
        answer = solve(programme.problem, objective, gap=0.0, seconds=20.0)
        assert answer.status == "proved"
        assert answer.value == pytest.approx(worth(objective, answer), abs=1e-5), name
        assert answer.bound <= answer.value + 1e-5, name


def test_a_watch_is_told_what_is_known_and_changes_nothing() -> None:
    """The best so far never rises, the bound never passes it, and the answer is that of an unwatched run."""
    problem, objective = split(seed=3, rows=2, columns=16)
    heard: list[tuple[float, float]] = []

    def watch(best: float, bound: float) -> bool:
        heard.append((best, bound))
        return False

    watched = solve(problem, objective, gap=0.0, seconds=20.0, watch=watch)
    plain = solve(problem, objective, gap=0.0, seconds=20.0)
    assert (watched.status, watched.value) == (plain.status, plain.value)
    bests = [best for best, _ in heard]
    assert bests == sorted(bests, reverse=True)
    assert all(bound <= plain.value + SOLVER for _, bound in heard)


def test_a_watch_may_stop() -> None:
    """Asked to stop, the solver stands with the best it has, long before the time is over, and claims no proof."""
    problem, objective = split(seed=1)
    answer = solve(problem, objective, gap=0.0, seconds=60.0, watch=lambda best, _: best < np.inf)
    assert answer.status == "found"
    assert answer.value == pytest.approx(worth(objective, answer), abs=1e-6)
    assert answer.seconds < 5.0


def test_what_a_watch_raises_comes_out() -> None:
    """Ctrl-C while the solver works is not swallowed, and the next problem is solved as ever."""
    problem, objective = split(seed=1)

    def interrupt(_: float, __: float) -> bool:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        solve(problem, objective, gap=0.0, seconds=60.0, watch=interrupt)
    small_problem, small_objective = small()
    assert solve(small_problem, small_objective, gap=0.0, seconds=10.0).status == "proved"


def test_nothing_reaches_standard_output() -> None:
    """A process that solves prints its own words only: the solver's banner would break JSON on standard output."""
    code = (
        "import pulp\n"
        "from ballast.planning.solver import solve\n"
        "p = pulp.LpProblem('p', pulp.LpMinimize)\n"
        "x = p.add_variable('x', 0, 5, cat=pulp.LpInteger)\n"
        "p += 2 * x >= 3, 'r'\n"
        "print('before')\n"
        "print(solve(p, 1 * x, 0.0, 5.0).value, solve(p, 1 * x, 0.0, 5.0).status)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=60)
    assert done.stdout == b"before\n2.0 proved\n"
    assert done.stderr == b""
