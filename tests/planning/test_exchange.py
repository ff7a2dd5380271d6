"""Trying plates in numpy: the same sums as wish by wish, no broken row, nothing lost. The cars are drawn by chance."""

import time
from dataclasses import replace

import numpy as np
import pulp
import pytest

from ballast.physics.statics import Array
from ballast.planning import exchange as exchange_room
from ballast.planning.exchange import Exchange, Tried
from ballast.planning.limits import FAMILIES
from ballast.planning.measures import measure
from ballast.planning.planner import Audience, decide, goals_of, least_total
from ballast.planning.programme import greatest_total, hold
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


def test_hardware_comes_and_goes_with_the_first_and_last_plate() -> None:
    """Moves that begin or end the use of a mount with hardware are among those tried, and bring or take its mass."""
    begun = ended = 0
    for question in QUESTIONS:
        asked = task(question)
        counts, room = asked.room.fitted, asked.room
        moves = Tally(asked, asked.programme()).moves(counts)
        for move, mount in enumerate(moves.entries[:, 0] // counts.shape[1]):
            after = moves.made(counts, (move,))
            change = room.in_use(after)[mount] - room.in_use(counts)[mount]
            if change and room.fixing[mount] and room.drivers[mount] is None:
                begun, ended = begun + (change > 0), ended + (change < 0)
                more = room.ballast(after).sum() - room.ballast(counts).sum()
                assert moves.add.worth["mass"][move] == pytest.approx(more, abs=CLOSE)
    assert begun > 20
    assert ended > 3


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_was_tried_keeps_all_rows_and_is_no_worse(question: Question) -> None:
    """As the planner goes: from the least total, every wish in turn, with the window and the holds of earlier ones."""
    asked = task(question)
    programme = asked.programme()
    least = least_total(asked, programme, time.perf_counter() + 20.0, Audience())
    if not least.values:
        pytest.skip("no plan is legal")
    greatest = least.value + asked.wishes.over_required
    exchange, counts = Exchange(asked, programme), programme.counts(least.values)
    limits, held = {"mass": greatest - asked.required}, dict[str, float]()
    if asked.wishes.most_changes is not None:
        limits["changes"] = float(asked.wishes.most_changes)
    for goal in goals_of(asked, programme)[0]:
        found = exchange.improved(goal.name, counts, limits, 1e-6)
        assert worth(asked, goal.name, found) <= worth(asked, goal.name, counts)
        fresh = asked.programme()
        greatest_total(fresh, greatest + CLOSE)
        for wish, most in held.items():
            hold(fresh, wish, most + CLOSE)
        assert_kept(fresh, found)
        counts, held[goal.name] = found, worth(asked, goal.name, found) + goal.resolution
        limits[goal.name] = min(limits.get(goal.name, np.inf), held[goal.name])


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_beginning_from_what_stands_now_is_all_right(question: Question) -> None:
    """With room for it or without: rows, window, and the misses of balance that were asked for."""
    asked = task(question)
    programme = asked.programme()
    most_changes = asked.wishes.most_changes
    changes = dict[str, float]() if most_changes is None else {"changes": float(most_changes)}
    for miss in (0.0, 1.0, 100.0):
        missed = {wish: miss for wish in ("balance", "balance sum") if wish in programme.objectives}
        limits: dict[str, float] = {"mass": 5.0} | missed | changes
        found = Exchange(asked, programme).from_fitted(limits)
        if found is not None:
            assert all(worth(asked, wish, found) <= most + CLOSE for wish, most in limits.items())
            assert_kept(asked.programme(), found)


def test_what_stands_now_and_may_not_is_put_right_first() -> None:
    """A mount that carries more than it may since the weigh-in: what leaves it alone would break its limit."""
    begun = 0
    for seed in range(60):
        asked = task(small_question(seed))
        room = asked.room
        heavy = room.ballast(room.fitted)
        if heavy.max(initial=0.0) > 0:
            most = np.where(np.arange(len(heavy)) == np.argmax(heavy), heavy.max() - 0.1, room.capacity)
            now = replace(asked, room=replace(room, capacity=most))
            found = Exchange(now, now.programme()).from_fitted({"mass": 50.0})
            if found is not None:
                begun += 1
                assert_kept(now.programme(), found)
    assert begun > 5


def test_a_limit_that_no_plate_can_change_is_not_overlooked() -> None:
    """Mounts on the rear axle bring nothing to the front one: a limit there is kept or broken whatever is fitted."""
    begun = 0
    for seed in range(40):
        asked = task(small_question(seed))
        if Exchange(asked, asked.programme()).from_fitted({"mass": 50.0}) is not None:
            begun += 1
            programme = asked.programme()
            programme.problem += 0 * next(iter(programme.count.values())) >= 5.0, "front"
            assert Exchange(asked, programme).from_fitted({"mass": 50.0}) is None
    assert begun > 5


def test_no_time_is_no_trying() -> None:
    """Past the time limit nothing is tried: the counts at hand stay, and nothing is begun."""
    asked = task(crew_question(0, 6, 4, 3))
    exchange, counts = Exchange(asked, asked.programme()), asked.room.fitted
    assert (exchange.improved("changes", counts, {"mass": 50.0}, 1e-6, deadline=0.0) == counts).all()
    assert exchange.from_fitted({"mass": 50.0}, deadline=0.0) is None


@pytest.mark.parametrize("seed", range(0, 40, 4))
def test_cars_too_large_to_try_are_planned_as_well(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With nobody who tries: the same outcome, and the first wish alike to its resolution."""
    asked = task(small_question(seed))
    with_trying = decide(asked)
    monkeypatch.setattr(exchange_room, "LARGEST", 0)
    without = decide(asked)
    assert with_trying.outcome == without.outcome
    for one, other in zip(with_trying.wishes[:1], without.wishes[:1], strict=True):
        assert one.value == pytest.approx(other.value, abs=one.resolution + CLOSE)


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
