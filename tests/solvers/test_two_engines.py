"""Two engines behind one door: each alone, and one going on where the other stopped, must not contradict each other.

Each checks the other: two codes with nothing in common (SCIP 10, HiGHS 1.16). The cars are drawn by chance.
"""

from collections.abc import Iterator

import numpy as np
import pulp
import pytest

from ballast.planning import solver
from ballast.planning.by_highs import Highs
from ballast.planning.by_scip import Scip
from ballast.planning.programme import greatest_total
from ballast.planning.solver import Solution, solve
from ballast.planning.table import Answer, Table, table_of
from ballast.planning.task import task
from tests.random_cars import small_question
from tests.solvers.test_watching import BEST, SOLVER, assert_vouched, split

MISSED = 3e-6
"""An engine may miss a row by 1e-6; in these problems that is worth at most three times as much."""
PLENTY = 10**6
"""nodes"""


def wishes(seed: int) -> Iterator[tuple[pulp.LpProblem, pulp.LpAffineExpression]]:
    """Every objective of a small car, with its window of totals where it can be legal."""
    question = task(small_question(seed))
    programme = question.programme()
    least = solve(programme.problem, programme.objectives["total"], gap=0.0, seconds=20.0)
    if least.values:
        greatest_total(programme, least.value + question.wishes.over_required)
    for objective in programme.objectives.values():
        yield programme.problem, objective


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_each_engine_alone_finds_the_same_best(seed: int) -> None:
    """To a gap of nothing: the same value, or both call it impossible."""
    for problem, objective in wishes(seed):
        table = table_of(problem, objective, np.inf)
        engines = Scip(table, 0.0, 20.0, PLENTY), Highs(table, 0.0, 20.0)
        for engine in engines:
            engine.run()
        one, other = (engine.answer() for engine in engines)
        assert one.settled
        assert other.settled
        assert (one.values is None) == (other.values is None)
        if one.values is not None:
            assert one.value == pytest.approx(other.value, abs=MISSED)


@pytest.mark.parametrize("seed", range(2, 60, 3))
def test_idle_columns_change_no_best(seed: int) -> None:
    """HiGHS with and without the columns that only define wishes not asked for."""
    fallen, distances = set[str](), set[str]()
    for problem, objective in wishes(seed):
        table = table_of(problem, objective, np.inf)
        less = table.without_idle()
        fallen |= set(table.names) - set(less.names)
        distances |= {name for name in table.names if name.startswith("off_")}
        whole, part = Highs(table, 0.0, 20.0), Highs(less, 0.0, 20.0)
        whole.run()
        part.run()
        assert part.answer().settled
        assert part.answer().value == pytest.approx(whole.answer().value, abs=MISSED)
    assert distances <= fallen


def test_a_factor_of_nothing_eases_no_row() -> None:
    """A column that a row names and does not move: the row is not its to keep, and stays."""
    table = Table(
        names=("idle", "n"),
        whole=np.array([False, True]),
        lower=np.zeros(2),
        upper=np.array([np.inf, 9.0]),
        cost=np.array([0.0, -1.0]),
        offset=0.0,
        starts=np.array([0, 2]),
        index=np.array([0, 1]),
        factors=np.array([0.0, 1.0]),
        low=np.array([-np.inf]),
        high=np.array([3.0]),
        ceiling=np.inf,
    )
    assert len(table.without_idle().low) == 1


@pytest.mark.parametrize("gap", [0.0, 0.05])
@pytest.mark.parametrize("seed", range(1, 60, 3))
def test_handing_over_at_the_root_changes_no_answer(seed: int, gap: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """SCIP stopped at its first node and HiGHS going on: within the gap of the best, with a bound below the best."""
    best = [solve(*asked, gap=0.0, seconds=20.0) for asked in wishes(seed)]
    monkeypatch.setattr(solver, "NODES", 1)
    handed = [solve(*asked, gap=gap, seconds=20.0) for asked in wishes(seed)]
    for one, other in zip(best, handed, strict=True):
        assert one.status == other.status
        if one.values:
            assert other.value <= one.value + gap + MISSED
            assert other.bound <= one.value + MISSED
            assert other.value - other.bound <= gap + MISSED


def test_what_is_handed_over_is_watched_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Across both engines the best told never rises, the bound never passes the best there is, all rows are kept."""
    monkeypatch.setattr(solver, "NODES", 200)
    problem, objective = split(columns=24, rows=3)
    told: list[tuple[float, float]] = []

    def watch(best: float, bound: float) -> bool:
        told.append((best, bound))
        return False

    answer = solve(problem, objective, gap=0.0, seconds=60.0, watch=watch)
    assert answer.status == "proved"
    assert_vouched(answer, problem, objective)
    assert answer.value == pytest.approx(BEST, abs=1e-5)
    best, bound = np.array(told).T
    assert (best[1:] <= best[:-1]).all()
    assert (bound <= BEST + SOLVER).all()


class Told:
    """Stands in for HiGHS: says what it was told to say."""

    known = (np.inf, -np.inf)

    def __init__(self, answer: Answer) -> None:
        self._answer = answer

    def run(self) -> None:
        """Nothing is left to do."""

    def stop(self) -> None:
        """Nothing is running."""

    def answer(self) -> Answer:
        """As told."""
        return self._answer


SPLIT_VALUES = np.zeros(24 + 6)


@pytest.mark.parametrize(
    ("second", "status"),
    [
        (Answer(settled=True, value=np.inf, bound=np.inf, values=None), "proved"),
        (Answer(settled=False, value=np.inf, bound=-np.inf, values=None), "found"),
        (Answer(settled=True, value=BEST, bound=BEST, values=SPLIT_VALUES), "proved"),
        (Answer(settled=False, value=BEST, bound=0.0, values=SPLIT_VALUES), "found"),
    ],
)
def test_what_is_said_when_the_second_engine_stops(
    second: Answer, status: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing better proves the first answer; no answer leaves it found; a better one takes its place.

    The bound is never above what was looked for, nor above the value.
    """
    monkeypatch.setattr(solver, "NODES", 60)
    monkeypatch.setattr(solver, "Highs", lambda *_: Told(second))
    problem, objective = split(columns=24, rows=3)
    answer: Solution = solve(problem, objective, gap=0.5, seconds=60.0)
    assert answer.status == status
    assert answer.bound <= answer.value
    if second.values is None:
        assert answer.value > BEST
        assert (answer.bound >= answer.value - 0.5) == (status == "proved")
    else:
        assert answer.value == BEST


def test_an_answer_that_breaks_a_row_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """SCIP's tolerance is a share of the row: what misses a minimum by 5e-6 kg of 100 kg is left to HiGHS.

    x plates of 20.000001 kg: five of them weigh 100.000005 kg, which is short of 100.00001; so six are needed.
    """
    problem = pulp.LpProblem("short", pulp.LpMinimize)
    x = problem.add_variable("x", 0, 10, cat=pulp.LpInteger)
    problem += 20.000001 * x >= 100.00001, "least"
    table = table_of(problem, 1 * x, np.inf)
    assert table.missed(np.array([5.0])) == pytest.approx(5e-6, rel=1e-3)
    assert table.missed(np.array([6.0])) == 0.0
    short = Answer(settled=True, value=5.0, bound=5.0, values=np.array([5.0000000001]))
    monkeypatch.setattr(solver, "Scip", lambda *_: Told(short))
    answer = solve(problem, 1 * x, gap=0.0, seconds=20.0)
    assert (answer.status, answer.value, answer.values) == ("proved", 6.0, {"x": 6.0})
