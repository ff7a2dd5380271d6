"""A solve can be watched and stopped: what the watch is told, and what comes back after a stop, is true.

The problems are market-split problems with a planted answer, so that the best value is known from how they are made.
Source: G. Cornuejols, M. Dawande, A class of hard small 0-1 programs (1998), from memory; the planting is our own.
"""

import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pulp
import pytest

from ballast.planning.solver import Solution, solve

BEST = 7.0
"""of every problem with slack: its constant, for the planted answer needs no slack"""
SOLVER = 1e-6
"""The solver may miss a row or a bound by this (its feasibility tolerance)"""
PROMPT = 1.0
"""seconds from asking for a stop to the answer; 0.06 measured, the rest is for a busy machine"""
LONG = 60.0
"""seconds no test may come near: the time limit that a stop cuts short"""


def split(columns: int, rows: int, slack: bool = True) -> tuple[pulp.LpProblem, pulp.LpAffineExpression]:
    """Choose from whole numbers so that each row meets the sum of a hidden choice; what is over or under costs 1.

    Without slack each row must be met exactly, and the hidden choice is about the only answer.
    """
    rng = np.random.default_rng(columns)
    weights, planted = rng.integers(1, 100, (rows, columns)), rng.integers(0, 2, columns)
    problem = pulp.LpProblem("split", pulp.LpMinimize)
    x = [problem.add_variable(f"x_{j:02d}", 0, 1, cat=pulp.LpInteger) for j in range(columns)]
    off = []
    for i in range(rows):
        total = pulp.lpSum(int(w) * v for w, v in zip(weights[i], x, strict=True))
        if slack:
            over, under = problem.add_variable(f"over_{i}", 0, None), problem.add_variable(f"under_{i}", 0, None)
            off += [over, under]
            total = total - over + under
        problem += total == int(weights[i] @ planted), f"row_{i}"
    return problem, pulp.lpSum(off or x) + BEST


def hard() -> tuple[pulp.LpProblem, pulp.LpAffineExpression]:
    """Answers come at once, the best one not within a minute."""
    return split(columns=40, rows=5)


def assert_vouched(answer: Solution, problem: pulp.LpProblem, objective: pulp.LpAffineExpression) -> None:
    """Rows, limits and whole numbers are kept, and the value is that of the values: all by our own arithmetic."""
    columns = problem.variables()
    place = {column.name: number for number, column in enumerate(columns)}
    x = np.array([answer.values[column.name] for column in columns])
    for row in problem.constraints():
        factors = np.zeros(len(columns))
        for variable, factor in row.items():
            factors[place[variable.name]] += factor
        assert (row.getLb() if row.getLb() is not None else -np.inf) - SOLVER <= factors @ x
        assert factors @ x <= (row.getUb() if row.getUb() is not None else np.inf) + SOLVER
    for column, value in zip(columns, x, strict=True):
        assert column.lowBound is None or value >= column.lowBound - SOLVER
        assert column.upBound is None or value <= column.upBound + SOLVER
        assert column.cat != pulp.LpInteger or value == round(value)
    cost = sum(factor * answer.values[variable.name] for variable, factor in objective.items())
    assert answer.value == pytest.approx(cost + BEST, abs=1e-5)


@pytest.mark.parametrize("calls", [1, 5])
def test_a_stop_brings_the_best_so_far_at_once(calls: int) -> None:
    """Stopped, the solver gives an answer that keeps every row, no worse than the watch was told, and a true bound."""
    problem, objective = hard()
    told: list[tuple[float, float]] = []
    asked = 0.0

    def watch(best: float, bound: float) -> bool:
        nonlocal asked
        told.append((best, bound))
        asked = time.perf_counter()
        return sum(best < np.inf for best, _ in told) == calls

    answer = solve(problem, objective, gap=0.0, seconds=LONG, watch=watch)
    assert time.perf_counter() - asked < PROMPT
    assert sum(best < np.inf for best, _ in told) == calls, "nobody asks again after a stop"
    assert answer.status == "found"
    assert_vouched(answer, problem, objective)
    assert answer.bound <= BEST + SOLVER
    assert BEST - SOLVER <= answer.value <= told[-1][0] + SOLVER
    assert answer.bound >= told[-1][1] - SOLVER


def test_a_stop_before_any_answer_brings_none() -> None:
    """Stopped with no answer at hand, the solver says so, and does not call the problem impossible."""
    problem, objective = split(columns=40, rows=5, slack=False)
    began = time.perf_counter()
    told = []

    def watch(best: float, bound: float) -> bool:
        told.append((best, bound))
        return time.perf_counter() > began + 0.3

    answer = solve(problem, objective, gap=0.0, seconds=LONG, watch=watch)
    assert time.perf_counter() - began < 0.3 + PROMPT
    assert (answer.status, answer.value, dict(answer.values)) == ("none", np.inf, {})
    assert answer.bound < np.inf
    assert all(best == np.inf and bound < np.inf for best, bound in told)


def test_a_watch_that_never_stops_changes_nothing() -> None:
    """The answer is the one without a watch; the best told never rises, the bound never passes the best there is."""
    problem, objective = split(columns=24, rows=3)
    told: list[tuple[float, float]] = []
    threads = set()

    def watch(best: float, bound: float) -> bool:
        told.append((best, bound))
        threads.add(threading.current_thread())
        return False

    watched = solve(problem, objective, gap=0.0, seconds=LONG, watch=watch)
    alone = solve(problem, objective, gap=0.0, seconds=LONG)
    assert (watched.status, watched.value, watched.bound) == (alone.status, alone.value, alone.bound)
    assert watched.values == alone.values
    assert watched.status == "proved"
    assert watched.value == pytest.approx(BEST, abs=1e-5)
    assert threads == {threading.current_thread()}
    best, bound = np.array(told).T
    assert np.isfinite(best).any(), "the problem was too easy for this test"
    assert (best[1:] <= best[:-1]).all()
    assert (best >= BEST - SOLVER).all(), "the constant belongs to the value"
    assert (bound <= BEST + SOLVER).all()


def test_what_the_watch_raises_comes_out_as_itself() -> None:
    """An exception in the watch stops the solver and reaches the caller unchanged; no thread is left behind."""
    problem, objective = hard()
    before = threading.active_count()
    error = LookupError("the watch broke")

    def watch(best: float, _bound: float) -> bool:
        if np.isfinite(best):
            raise error
        return False

    began = time.perf_counter()
    with pytest.raises(LookupError) as caught:
        solve(problem, objective, gap=0.0, seconds=LONG, watch=watch)
    assert caught.value is error
    assert time.perf_counter() - began < 2 * PROMPT
    assert threading.active_count() == before


def test_a_problem_without_whole_numbers_can_be_watched() -> None:
    """A linear problem is over before anything can be told of it, and is answered as ever.

    By hand: y costs less, so y = 2.2, x = 1.3, and 3 x + 2 y + 5 = 3.9 + 4.4 + 5 = 13.3.
    """
    problem = pulp.LpProblem("linear", pulp.LpMinimize)
    x, y = problem.add_variable("x", 0, None), problem.add_variable("y", 0, 2.2)
    problem += x + y >= 3.5, "enough"
    answer = solve(problem, 3 * x + 2 * y + 5, gap=0.0, seconds=LONG, watch=lambda *_: False)
    assert answer.status == "proved"
    assert answer.value == pytest.approx(13.3)


FLAG = """
import signal
from tests.solvers.test_watching import BEST, SOLVER, assert_vouched, hard
from ballast.planning.solver import solve
pressed, said = [], []
signal.signal(signal.SIGINT, lambda *_: pressed.append(True))
def watch(best, bound):
    if best < float("inf") and not said:
        said.append(print("solving", flush=True))
    return bool(pressed)
problem, objective = hard()
answer = solve(problem, objective, 0.0, 60.0, watch=watch)
assert_vouched(answer, problem, objective)
print(answer.status, answer.bound - SOLVER <= BEST <= answer.value + SOLVER)
"""

RAISED = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell that runs tests in the background has it ignored
from tests.solvers.test_watching import hard
from ballast.planning.solver import solve
said = []
def watch(best, bound):
    if best < float("inf") and not said:
        said.append(print("solving", flush=True))
    return False
try:
    solve(*hard(), 0.0, 60.0, watch=watch)
except KeyboardInterrupt:
    print("interrupted")
"""


UNWATCHED = """
import signal, threading
signal.signal(signal.SIGINT, signal.default_int_handler)
from tests.solvers.test_watching import hard
from ballast.planning.solver import solve
problem, objective = hard()
threading.Timer(0.5, print, ["solving"], {"flush": True}).start()
try:
    solve(problem, objective, 0.0, 60.0)
except KeyboardInterrupt:
    print("interrupted")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="SIGINT cannot be sent to one process there")
@pytest.mark.parametrize(("code", "last"), [(FLAG, "found True"), (RAISED, "interrupted"), (UNWATCHED, "interrupted")])
def test_control_c_stops_the_solver(code: str, last: str) -> None:
    """A real SIGINT stops a solve at once, through a handler that sets a flag or as KeyboardInterrupt, in silence."""
    with subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    ) as process:
        assert process.stdout
        assert process.stdout.readline() == "solving\n"
        process.send_signal(signal.SIGINT)
        sent = time.perf_counter()
        output, errors = process.communicate(timeout=LONG)
    assert time.perf_counter() - sent < 2 * PROMPT
    assert (output, errors) == (f"{last}\n", "")
    assert process.returncode == 0
