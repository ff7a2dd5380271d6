"""Plans to choose from: each legal, none beaten in what matters; and what mass buys in balance, by a second route.

Everything is judged from the records: the counts of each plan are worked out by the enumeration of tests/exactness,
which knows nothing of the planner.
"""

import time
from itertools import pairwise, permutations

import numpy as np
import pytest

from ballast.jobs.choices import choices
from ballast.jobs.plan import plan
from ballast.records.plan import Alternative, Answer, Choices, Plan
from ballast.records.progress import Progress
from ballast.records.question import Question
from tests.exactness.enumeration import Car, Counts
from tests.planning import tiny
from tests.random_cars import large_question, small_question

SEEDS = (4, 9, 10, 16, 18, 19)
"""Cars with something to choose from, and a curve."""
STEPS = {"miss": 0.1, "aim": 0.2, "mass": 0.5, "plates": 1.0, "moves": 1.0, "height": 0.002, "yaw": 2.0}
"""Differences that somebody would choose by: points, kg, plates, m, kg m2. Common practice, no source."""
HAIR = 1e-6
OVERHEAD = 3.0
"""What checking a dozen plans may add on a slow machine. [s]"""


@pytest.fixture(scope="module", params=SEEDS)
def offered(request: pytest.FixtureRequest) -> Answer:
    """A small car with up to eight plans to choose from."""
    return choices(small_question(request.param), 8)


def of(answer: Answer) -> Choices:
    """What is offered; there has to be something."""
    assert answer.choices is not None
    return answer.choices


def counts(question: Question, plan: Plan) -> Counts:
    """Plates of a plan as the enumeration has them, (M, P)."""
    rows = {(row.mount, row.plate): row.count for row in plan.fit}
    car = question.car
    return np.array([[rows.get((mount.name, plate.name), 0) for plate in car.plates] for mount in car.mounts])


def figures(one: Alternative) -> dict[str, float]:
    """What a plan is chosen by, as it is shown. Points, kg, plates, m, kg m2."""
    found = {
        "miss": None if one.miss_points is None else 100 * one.miss_points,
        "aim": None if one.aim_points is None else 100 * one.aim_points,
        "mass": one.over_required,
        "plates": float(one.plates),
        "moves": float(one.moves),
        "height": one.raised,
        "yaw": one.yaw,
    }
    return {name: value for name, value in found.items() if value is not None}


# --- the plans -------------------------------------------------------------------------------------------------------


def test_each_is_legal_by_every_way(offered: Answer) -> None:
    """The scrutineer passes each of them, and each is one of the ways that keep every limit, inside the window."""
    question = offered.question
    car = Car(question)
    ways = {tuple(way.ravel().tolist()) for way in car.ways()}
    for one in of(offered).alternatives:
        assert one.plan.legal
        assert all(finding.verdict != "fail" for finding in one.plan.findings)
        assert tuple(counts(question, one.plan).ravel().tolist()) in ways


def test_none_is_beaten_in_all_that_matters(offered: Answer) -> None:
    """No plan but the first has another beside it that is as good in everything and better, by a step, in something."""
    shown = of(offered).alternatives
    for one, other in permutations(shown, 2):
        if one is shown[0]:
            continue
        better = [(figures(one)[name] - value) / STEPS[name] for name, value in figures(other).items()]
        assert not (min(better) > HAIR - 1 and max(better) >= 1 - HAIR), f"{one.name} is beaten by {other.name}"


def test_no_two_are_alike(offered: Answer) -> None:
    """Any two differ in something by as much as matters, and no name is there twice."""
    shown = of(offered).alternatives
    assert len({one.name for one in shown}) == len(shown)
    for one, other in permutations(shown, 2):
        apart = [abs(figures(one)[name] - value) / STEPS[name] for name, value in figures(other).items()]
        assert max(apart) >= 1 - HAIR


def test_figures_are_those_of_the_plates(offered: Answer) -> None:
    """Worked out anew from the plates alone: each figure that is shown is what the wish of that name is worth."""
    question = offered.question
    car = Car(question)
    for one in of(offered).alternatives:
        way = counts(question, one.plan)[None]
        assert 100 * (one.miss_points or 0.0) == pytest.approx(car.value("balance", way)[0], abs=1e-6)
        assert 100 * (one.aim_points or 0.0) == pytest.approx(car.value("aim", way)[0], abs=1e-6)
        assert one.over_required == pytest.approx(car.value("mass", way)[0], abs=1e-6)
        assert one.plates == car.value("pieces", way)[0]
        assert one.moves == car.value("changes", way)[0] == one.plan.moves
        assert one.yaw == pytest.approx(car.value("yaw", way)[0], abs=1e-6)
        if one.raised is not None:
            assert one.raised == pytest.approx(car.value("height", way)[0], abs=1e-9)


BEST: dict[str, tuple[str, float]] = {
    "nearest the aims": ("aim", 0.2),
    "fewest plates on the car": ("pieces", 1.0),
    "lightest": ("mass", 0.5),
    "lowest": ("height", 0.002),
    "least yaw inertia": ("yaw", 2.0),
    "fewest plates to handle": ("changes", 1.0),
}
"""What a name promises, and the step within which it is held: points, plates, kg, m, kg m2."""


def test_each_is_best_at_what_it_is_named_for(offered: Answer) -> None:
    """Of all ways in the window, none is better by a step at what a plan "whatever the balance" is named for."""
    question = offered.question
    car = Car(question)
    ways = car.ways()
    ways = ways[car.total(ways) <= car.total(ways).min() + question.wishes.over_required + HAIR]
    for one in of(offered).alternatives:
        name, _, free = one.name.partition(", ")
        if free or "balance" not in one.order:
            wish, step = BEST[name]
            assert car.value(wish, counts(question, one.plan)[None])[0] < car.value(wish, ways).min() + step


def test_the_first_is_the_plan_as_asked_for(offered: Answer) -> None:
    """It is the plan of the answer, and that of the same question without choices."""
    first = of(offered).alternatives[0]
    assert first.name == "as asked for"
    assert first.plan == offered.plan
    assert first.order == offered.question.wishes.order
    alone = plan(offered.question).plan
    assert [wish.value for wish in first.plan.wishes] == pytest.approx([w.value for w in alone.wishes], abs=1e-6)


def test_the_order_that_is_named_gives_the_plan(offered: Answer) -> None:
    """Asked for in the order that stands beside it, a plan is as good in its first wishes as the one that was shown."""
    for one in of(offered).alternatives[1:3]:
        again = plan(offered.question.with_wishes(order=one.order)).plan
        for was, now in zip(one.plan.wishes[:3], again.wishes[:3], strict=True):
            assert now.value == pytest.approx(was.value, abs=was.resolution + 1e-6)


def test_no_more_than_asked_for() -> None:
    """Car 9 has six to choose from: with two asked for, there are two, and the first is the first."""
    shown = of(choices(small_question(9), 2)).alternatives
    assert len(shown) == 2
    assert shown[0].name == "as asked for"


# --- what mass buys --------------------------------------------------------------------------------------------------


def test_more_mass_is_never_worse(offered: Answer) -> None:
    """Along the curve the miss does not rise, and what it is surely not under is not over it."""
    points = of(offered).curve
    assert points
    misses = [point.miss_points for point in points]
    assert all(later <= earlier + 1e-12 for earlier, later in pairwise(misses))
    masses = [point.over_required for point in points]
    assert masses == sorted(set(masses))
    for point in points:
        assert 0 <= point.bound_points <= point.miss_points


def test_the_curve_against_every_way(offered: Answer) -> None:
    """At each point, the best of all ways up to that mass is within the resolution of the miss, and over the bound."""
    question = offered.question
    car = Car(question)
    ways = car.ways()
    total, miss = car.total(ways), car.value("balance", ways)
    for point in of(offered).curve:
        best = miss[total <= car.required + point.over_required + HAIR].min()
        assert 100 * point.bound_points - 1e-5 <= best
        assert best - 1e-5 <= 100 * point.miss_points <= best + 100 * car.resolution + 1e-5


@pytest.mark.parametrize("seed", [9, 16])
def test_the_curve_against_plans_that_may_use_as_much(seed: int) -> None:
    """The second route: with over_required set to the step, a plan reaches the same balance, to the resolution."""
    question = small_question(seed)
    points = of(choices(question, 2)).curve
    for point in points[1:5]:
        step = round(point.over_required - points[0].over_required, 6)
        wishes = question.wishes.replace(over_required=step, order=("balance",))
        wish = plan(question.replace(car=question.car.replace(wishes=wishes))).plan.wishes[0]
        assert wish.name == "balance"
        assert point.miss_points == pytest.approx(wish.value, abs=wish.resolution + 1e-7)


# --- when there is little to say -------------------------------------------------------------------------------------


def test_without_targets_there_is_no_curve() -> None:
    """A car that aims at nothing still has plans to choose from: light, low, few plates."""
    question = tiny.question()
    car = question.car
    aimless = question.replace(car=car.replace(targets=car.targets.replace(front=None, rear_pair=None)))
    answer = choices(aimless, 5)
    assert of(answer).curve == ()
    assert answer.plan.legal
    for one in of(answer).alternatives:
        assert (one.miss_points, one.aim_points) == (None, None)
    assert all("balance" not in one.order for one in of(answer).alternatives[1:])


def test_an_impossible_question_has_no_choices() -> None:
    """Where there is no plan there is none to choose from, and the reasons are given as ever."""
    answer = choices(small_question(0), 5)
    assert answer.plan.outcome == "impossible"
    assert answer.plan.impossible is not None
    assert answer.choices is None


def test_the_time_is_kept_by_all_together() -> None:
    """On a large car, the plan has its time, the others together twice that, the curve once; the rest is checking."""
    question = large_question(5, 12, 6).with_wishes(seconds=0.3)
    began = time.perf_counter()
    answer = choices(question, 6)
    assert time.perf_counter() - began < 4 * 0.3 + OVERHEAD
    for one in of(answer).alternatives if answer.choices else ():
        assert one.plan.legal
    names = {one.name for one in of(answer).alternatives} if answer.choices else set()
    assert not names & set(of(answer).not_tried if answer.choices else ())


class Impatient:
    """Asks for a stop once it has been told so often."""

    def __init__(self, patience: int):
        """patience : how often it listens before it has heard enough."""
        self.patience, self.heard = patience, list[Progress]()

    def told(self, progress: Progress) -> bool:
        """Whether it has heard enough."""
        self.heard.append(progress)
        return len(self.heard) > self.patience


@pytest.mark.parametrize("patience", [0, 1, 3, 30])
@pytest.mark.parametrize("seed", [9, 16])
def test_a_stop_gives_what_there_is(seed: int, patience: int) -> None:
    """Whenever it is asked for, what is answered is checked and legal, or honestly nothing."""
    impatient = Impatient(patience)
    answer = choices(small_question(seed), 6, impatient.told)
    record = answer.plan
    if not record.cases:
        assert record.outcome == "no answer in the time"
        assert record.fit == ()
        assert answer.choices is None
        return
    assert record.legal
    assert record.findings
    if record.outcome == "best found when stopped":
        assert answer.choices is None
    for one in of(answer).alternatives if answer.choices else ():
        assert one.plan.legal
    assert all(np.isfinite(point.miss_points) for point in of(answer).curve) if answer.choices else True


@pytest.mark.parametrize("seed", [5, 29])
def test_a_stop_at_once_is_quick_on_a_large_car(seed: int) -> None:
    """Nothing is worked on any more once a stop was asked for, though time is left; the second car misses targets."""
    question = large_question(seed, 12, 6).with_wishes(seconds=20.0)
    began = time.perf_counter()
    answer = choices(question, 6, lambda _: time.perf_counter() - began > 0.3)
    assert time.perf_counter() - began < 0.3 + OVERHEAD
    assert answer.plan.legal or not answer.plan.cases


def test_progress_is_told_under_the_name_of_the_plan() -> None:
    """Who watches can tell the plan asked for from the others."""
    patient = Impatient(10**9)
    choices(small_question(9), 3, patient.told)
    names = {progress.wish for progress in patient.heard}
    assert any(":" not in name for name in names)
    assert any(name.startswith("nearest the aims: ") for name in names)
