"""Trying plates in numpy: the same sums as wish by wish, no broken row, nothing lost. The cars are drawn by chance."""

import time
from dataclasses import replace

import numpy as np
import pulp
import pytest

from ballast.physics.statics import Array
from ballast.planning.exchange import Exchange, Tried
from ballast.planning.limits import FAMILIES
from ballast.planning.measures import measure
from ballast.planning.planner import Audience, goals_of, least_total
from ballast.planning.programme import greatest_total
from ballast.planning.rows import Programme
from ballast.planning.solver import solve
from ballast.planning.tally import Tally
from ballast.planning.task import Task, task
from ballast.records.question import Question
from tests.random_cars import ruled_question, small_question
from tests.solvers.crew_cars import crew_question

CLOSE = 1e-7


QUESTIONS = [make(seed) for make in (small_question, ruled_question) for seed in range(0, 40, 2)]
QUESTIONS += [crew_question(seed, 6, 4, 3) for seed in range(4)]
"""Single cars with every family of limits, and crews with mounts that change with the driver."""


def worth(asked: Task, wish: str, counts: Array) -> float:
    """What a wish comes to, as the planner measures it."""
    return measure(wish, asked.room, asked.cases, asked.bands, asked.wishes, counts)


def assert_kept(programme: Programme, counts: Array) -> None:
    """Every row of the programme can be kept with these counts: a solver is asked, with the counts as further rows."""
    for place, variable in programme.count.items():
        programme.problem += 1 * variable == float(counts[place]), f"fixed_{place[0]}_{place[1]}"
    assert solve(programme.problem, programme.objectives["total"], 0.0, 10.0).values


@pytest.mark.parametrize("question", QUESTIONS)
def test_moves_together_add_up_to_what_the_counts_are_worth(question: Question) -> None:
    """Two or three moves at different mounts, by chance: every wish as worked out from the counts they lead to."""
    asked, rng = task(question), np.random.default_rng(1)
    programme = asked.programme()
    tally, counts = Tally(asked, programme), asked.room.fitted
    here, moves = tally.sums(counts), tally.moves(counts)
    there = np.unique(moves.mount)
    if len(there) < 2:
        pytest.skip("one mount alone has room")
    wishes = [wish for wish in programme.objectives if wish != "total"]
    for number in range(40):
        mounts = rng.choice(there, min(2 + number % 2, len(there)), replace=False)
        chosen = tuple(int(rng.choice(np.flatnonzero(moves.mount == mount))) for mount in mounts)
        tried, after = (
            Tried(tally, here, moves.add, tuple(np.array([one]) for one in chosen)),
            moves.made(counts, chosen),
        )
        for wish in wishes:
            assert tried.worth(wish)[0] == pytest.approx(worth(asked, wish, after), abs=CLOSE), wish
        assert tried.rows()[0] == pytest.approx(tally.sums(after).rows, abs=CLOSE)


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_was_tried_keeps_all_rows_and_is_no_worse(question: Question) -> None:
    """From the least total, every wish in turn with the mass window; and a plan from what stands now."""
    asked = task(question)
    programme = asked.programme()
    least = least_total(asked, programme, time.perf_counter() + 20.0, Audience())
    if not least.values:
        pytest.skip("no plan is legal")
    greatest_total(programme, least.value + asked.wishes.over_required)
    exchange, counts = Exchange(asked, programme), programme.counts(least.values)
    limits = {"mass": least.value + asked.wishes.over_required - asked.required}
    if asked.wishes.most_changes is not None:
        limits["changes"] = float(asked.wishes.most_changes)
    for goal in goals_of(asked, programme)[0]:
        found = exchange.improved(goal.name, counts, limits, 1e-6)
        assert worth(asked, goal.name, found) <= worth(asked, goal.name, counts)
        assert all(worth(asked, wish, found) <= most + CLOSE for wish, most in limits.items())
        fresh = asked.programme()
        greatest_total(fresh, least.value + asked.wishes.over_required + CLOSE)
        assert_kept(fresh, found)
    near = exchange.from_fitted(limits)
    if near is not None:
        assert all(worth(asked, wish, near) <= most + CLOSE for wish, most in limits.items())
        fresh = asked.programme()
        greatest_total(fresh, least.value + asked.wishes.over_required + CLOSE)
        assert_kept(fresh, near)


def test_what_stands_now_and_may_not_is_no_beginning() -> None:
    """A mount that carries more than it may since the weigh-in: what leaves it alone would break its limit."""
    refused = 0
    for seed in range(40):
        asked = task(small_question(seed))
        room = asked.room
        heavy = room.ballast(room.fitted)
        if heavy.max(initial=0.0) > 0:
            most = np.where(np.arange(len(heavy)) == np.argmax(heavy), heavy.max() - 0.1, room.capacity)
            now = replace(asked, room=replace(room, capacity=most))
            found = Exchange(now, now.programme()).from_fitted({"mass": 50.0})
            if found is None:
                refused += 1
            else:  # what stood there was of a kind that the mount does not take, and is off anyway
                assert_kept(now.programme(), found)
    assert refused > 10


@pytest.mark.parametrize("family", sorted(set(FAMILIES) - {"changes"}))
def test_limits_speak_of_counts_and_hardware(family: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else trying would not see them: one with columns of its own has to be told to it, as the most changes are."""
    rows: list[pulp.LpConstraint] = []
    make = FAMILIES[family]

    def recorded(programme: Programme) -> None:
        before = len(list(programme.problem.constraints()))
        make(programme)
        rows.extend(list(programme.problem.constraints())[before:])

    monkeypatch.setitem(FAMILIES, family, recorded)
    for seed in range(60):
        programme = task(ruled_question(seed)).programme()
        known = {str(one.name) for one in (*programme.count.values(), *programme.use.values())}
        assert all(str(variable.name) in known for row in rows for variable, _ in row.items())
        rows.clear()
