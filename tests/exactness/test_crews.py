"""Plans for crews and burning fuel against every set of plates for every driver, and what must not change a plan.

As for single cars (test_planner.py): given the holds stored in the plan, each wish lies within its resolution of the
best of all ways. kg, m, L.
"""

from datetime import date
from itertools import permutations
from typing import Any, get_args

import numpy as np
import pytest

from ballast.corners import CORNERS
from ballast.jobs.plan import plan
from ballast.records import car as car_file
from ballast.records import changed as changed_file
from ballast.records import rulebook as rulebook_file
from ballast.records import weighing as weigh_in_file
from ballast.records.plan import Limit, Plan
from ballast.records.question import Question
from ballast.records.together import complaints
from tests.exactness.enumeration import Car, Counts
from tests.exactness.giving import can_be_given_to_a_crew, given
from tests.exactness.random_crews import RULED, crew_question, in_order, mirrored, one_driver
from tests.exactness.states import driver_ballast
from tests.exactness.test_planner import FINE, POINT, SOLVER, check_required, check_wishes, counts_of, in_window, kept
from tests.random_cars import UNITS, small_question

CREWS = (*range(160), 3087)
"""The last one is a car on which the window began three resolutions above the least total, not one."""
LARGE = tuple(range(2000, 2060))
MOST_TO_BUY = 500_000
"""Ways of filling the mounts beyond which buying more plates is not tried."""
LEAST_TOTAL = 0.1
"""How closely the least total is settled, from which the window counts: the default mass resolution. [kg]"""
CLOSE = 1e-6
"""Two sums of some dozen masses, added up in another order. [kg]"""


@pytest.mark.parametrize("seed", CREWS)
def test_the_plan_of_a_crew_is_the_best_of_all_ways(seed: int) -> None:
    """A plan exists when some way keeps every limit in every state, and each wish is near the best way."""
    question = crew_question(seed)
    car, answer = Car(question), plan(question).plan
    ways = car.ways()
    check_required(car, answer)
    if len(ways) == 0:
        assert answer.outcome == "impossible"
        check_reasons(car, answer)
        check_relaxations(question, answer)
        return
    assert answer.outcome == "proved best"
    chosen = counts_of(car, answer)
    assert (ways == chosen).all(axis=(1, 2)).any(), "the plan is not among the ways that keep every limit"
    within = in_window(car, answer, ways)
    check_wishes(car, answer, chosen, within)
    check_states(car, answer, chosen)
    check_bound(car, answer, within)


def check_reasons(car: Car, answer: Plan) -> None:
    """The greatest mean total that can be had, every family that is enough to relax and no other, and how far.

    Buying plates is left out where it opens too many ways; shares are told in points of another total.
    """
    assert answer.impossible is not None
    assert answer.impossible.not_settled == ()
    lighter, stated = car.total(car.ways("required total")), answer.impossible.greatest_total
    if len(lighter) == 0:
        assert stated is None
    else:
        assert stated is not None
        assert lighter.max() - FINE["mass"] - SOLVER <= stated <= lighter.max() + SOLVER
    tried = [family for family in get_args(Limit) if family != "stock" or car.breadth("stock") < MOST_TO_BUY]
    enough = {family: ways for family in tried if len(ways := car.ways(family))}
    assert {family for family in answer.impossible.conflicts if family in tried} == set(enough)
    for relaxation in answer.impossible.relaxations:
        limits = {give.limit for give in relaxation.gives}
        if len(limits) == 1 and limits <= enough.keys() and relaxation.gives[0].dimension != "percent":
            (family,) = limits
            far: dict[str, float] = {}
            for give in relaxation.gives:
                far[give.subject] = max(far.get(give.subject, 0.0), abs(give.to - give.was))
            least = float(car.over(family, enough[family]).min())
            slack = SOLVER * len(relaxation.gives)
            assert least - slack <= sum(far.values()) <= least + FINE[relaxation.gives[0].dimension] + slack, family


def check_relaxations(question: Question, answer: Plan) -> None:
    """Whatever is offered, done, gives a plan."""
    assert answer.impossible is not None
    for relaxation in answer.impossible.relaxations:
        if can_be_given_to_a_crew(question, relaxation):
            after = plan(given(question, relaxation)).plan
            assert after.legal, f"{after.outcome} after {relaxation}"


def check_states(car: Car, answer: Plan, chosen: Counts) -> None:
    """Loads, required total and misses of every state, the plates to handle, and what each driver carries by rule."""
    assert [case.name for case in answer.cases] == [state.name for state in car.states]
    misses = []
    for case, state in zip(answer.cases, car.states, strict=True):
        loads = car.loads(chosen, state)
        stated = [getattr(case.corner_loads, corner) for corner in CORNERS]
        assert stated == pytest.approx(loads[0].tolist(), abs=CLOSE), case.name
        assert (case.legal, case.balance) == (state.legal, state.balance)
        assert case.required == (pytest.approx(state.required, abs=CLOSE) if state.legal else None)
        if state.balance:
            misses += [float(aim.outside(loads)[0]) / float(loads.sum()) for aim in car.aimed]
    assert answer.balance_miss_points == (pytest.approx(max(misses), abs=CLOSE * POINT) if misses else None)
    assert answer.moves == int(car.moves(chosen)[0])
    by_rule = driver_ballast(car.question)
    if answer.driver_ballast:
        assert [carried.mass for carried in answer.driver_ballast] == pytest.approx(by_rule, abs=1e-12)
    else:
        assert not any(by_rule)


def check_bound(car: Car, answer: Plan, ways: Counts) -> None:
    """No way in the window that keeps the wishes before balance has a miss below the bound printed beside it."""
    if answer.bound_points is None:
        return
    for wish in answer.wishes:
        if wish.name == "balance":
            break
        unit = POINT if wish.dimension == "percent" else 1.0
        ways = kept(ways, unit * car.value(wish.name, ways), wish.hold + SOLVER * unit)
    misses = []
    for state in (state for state in car.states if state.balance):
        loads = car.loads(ways, state)
        misses += [aim.outside(loads) / loads.sum(axis=1) for aim in car.aimed]
    assert answer.bound_points <= float(np.max(misses, axis=0).min()) + SOLVER * POINT


@pytest.mark.parametrize("seed", [*CREWS[::4], *LARGE])
def test_the_crews_are_such_as_files_can_ask_for(seed: int) -> None:
    """No file of an invented crew has anything to complain about, alone or beside the others."""
    question = crew_question(seed, large=seed in LARGE)
    assert list(complaints(question)) == []
    assert list(car_file.complaints(question.car)) == []
    assert list(weigh_in_file.complaints(question.weigh_in)) == []
    if question.rulebook:
        assert list(rulebook_file.complaints(question.rulebook)) == []
    if question.changed:
        assert list(changed_file.complaints(question.changed)) == []


def test_the_crews_are_of_every_sort() -> None:
    """Each feature of a crew is met by at least eight of the cars tried every way, or the proof proves less."""
    cars = [Car(crew_question(seed)) for seed in CREWS]
    questions = [car.question for car in cars]
    books = [question.rulebook for question in questions if question.rulebook]
    carried = [book.driver_ballast for book in books if book.driver_ballast]
    success = [book.success_ballast for book in books if book.success_ballast]
    changed = [question.changed for question in questions if question.changed]
    ways = [len(car.ways()) for car in cars]
    assert max(ways) < 300_000
    sorts = {
        "possible": [number > 0 for number in ways],
        "a hundred ways": [number > 100 for number in ways],
        "impossible": [number == 0 for number in ways],
        "three drivers": [len(question.car.drivers) == 3 for question in questions],
        "two drivers": [len(question.car.drivers) == 2 for question in questions],
        "a tank": [len(question.car.tanks) > 0 for question in questions],
        "several points": [len(question.wishes.balance_at) > 1 for question in questions],
        "worst": [question.wishes.crew == "worst" for question in questions],
        "by driving time": [question.wishes.crew == "by driving time" for question in questions],
        "substitute": [question.weigh_in.substitute is not None for question in questions],
        "seated": [question.weigh_in.visit.seated is not None for question in questions],
        "nobody aboard": [question.weigh_in.visit.driver == "out" for question in questions],
        "litres": [len(question.weigh_in.fuel) > 0 for question in questions],
        "fuel in a word": [question.weigh_in.visit.fuel is not None for question in questions],
        "minimum": [question.rulebook is not None for question in questions],
        "load limits": [bool(b.front_axle or b.right_side or b.left_share or b.rear_share) for b in books],
        "success ballast at a place": [rule.place is not None for rule in success],
        "success ballast, free": [rule.place is None for rule in success],
        "success ballast on top": [rule.on_top for rule in success],
        "driver ballast at a place": [rule.place is not None for rule in carried],
        "driver ballast, free": [rule.place is None for rule in carried],
        "driver ballast on top": [rule.on_top for rule in carried],
        "aboard at the weigh-in": [question.weigh_in.visit.success_ballast > 0 for question in questions],
        "changed parts": [bool(each.added) for each in changed],
        "moved parts": [bool(each.moved) for each in changed],
        "placed by hand": [bool(each.placed) for each in changed],
        "placed for one driver": [any(row.driver for row in each.placed) for each in changed],
        "plates fitted": [bool(car.on_pads.any()) for car in cars],
        "hardware": [bool(car.hardware.any()) for car in cars],
        "changes limited": [question.wishes.most_changes is not None for question in questions],
    }
    for wish in ("balance", "mass", "stop", "changes", "pieces", "height", "yaw", "aim"):
        sorts[wish] = [wish in question.wishes.order for question in questions]
    assert {name: sum(found) for name, found in sorts.items() if sum(found) < 8} == {}
    assert {rule.way for rule in carried} == {"each driver", "crew mean", "team total"}
    assert {rule.rounding for rule in carried} == {"up", "nearest", "down", "none"}


@pytest.mark.parametrize("seed", range(40))
def test_a_crew_of_one_is_the_plain_car(seed: int) -> None:
    """The driver who was weighed in it, named, with a mount that changes with drivers or not, changes nothing."""
    plain = small_question(seed)
    crew = one_driver(plain, seed)
    before, after = plan(plain).plan, plan(crew).plan
    assert after.outcome == before.outcome
    assert after.required_total == pytest.approx(before.required_total, abs=CLOSE)
    assert after.requirement.greatest == pytest.approx(before.requirement.greatest, abs=CLOSE)
    if before.outcome == "impossible":
        assert before.impossible is not None
        assert after.impossible is not None
        assert after.impossible.conflicts == before.impossible.conflicts
        assert after.impossible.greatest_total == pytest.approx(before.impossible.greatest_total, abs=FINE["mass"])
        return
    if before.wishes:
        assert first_value(after) == pytest.approx(first_value(before), abs=before.wishes[0].resolution)
    assert [wish.name for wish in after.wishes if wish.name != "stop"] == [wish.name for wish in before.wishes]
    (one,), (other,) = before.cases, after.cases
    assert other.total == pytest.approx(one.total, abs=plain.wishes.over_required)
    car, single = Car(crew), Car(plain)
    ways = single.ways()
    assert (car.ways() == ways).all()
    counts = counts_of(car, after)
    assert single.loads(counts) == pytest.approx(car.loads(counts), abs=CLOSE)
    assert (ways == counts).all(axis=(1, 2)).any()


def first_value(answer: Plan) -> float:
    """What the first wish came to."""
    return answer.wishes[0].value


def same_first_wish(one: Plan, other: Plan) -> None:
    """Two plans for what is the same car in other words: both proved, and as good in the wish that counts most."""
    assert other.outcome == one.outcome
    legal = max(len(one.requirements), 1)
    windows = [answer.requirement.greatest - answer.requirement.required for answer in (one, other)]
    assert windows[1] == pytest.approx(windows[0], abs=LEAST_TOTAL * legal + CLOSE)
    if one.wishes:
        whole = one.wishes[0].dimension is None and one.wishes[0].name != "yaw"
        close = CLOSE if whole else one.wishes[0].resolution + CLOSE
        assert other.wishes[0].name == one.wishes[0].name
        assert first_value(other) == pytest.approx(first_value(one), abs=close)


@pytest.mark.parametrize("seed", range(1000, 1030))
def test_the_order_of_the_drivers_does_not_matter(seed: int) -> None:
    """Whoever is named first: the first wish comes out the same, and the totals asked for are."""
    question = crew_question(seed)
    answer = plan(question).plan
    needs = {one.case: one.required for one in answer.requirements}
    for order in list(permutations(range(len(question.car.drivers))))[1:3]:
        other = plan(in_order(question, order)).plan
        assert {one.case: one.required for one in other.requirements} == pytest.approx(needs, abs=CLOSE)
        same_first_wish(answer, other)


@pytest.mark.parametrize("seed", range(1100, 1130))
def test_a_crew_in_a_mirror(seed: int) -> None:
    """Left and right exchanged, in car, crew, tanks, readings, aims and parts: the first wish comes out the same."""
    question = crew_question(seed)
    if question.rulebook:
        book = question.rulebook.replace(right_side=None, left_share=None)
        question = question.replace(rulebook=book)
    same_first_wish(plan(question).plan, plan(mirrored(question)).plan)


@pytest.mark.parametrize("seed", LARGE)
def test_a_plan_for_a_crew_passes_the_scrutineer(seed: int) -> None:
    """The scrutineer adds up what the planner does, in every state, and finds no limit broken."""
    question = crew_question(seed, large=True).with_wishes(seconds=1.5)
    answer = plan(question).plan  # raises DisagreementError where the two do not agree
    assert answer.legal == bool(answer.cases)
    assert answer.cases or answer.outcome in ("impossible", "no answer in the time")


WHOSE: dict[str, Any] = {"behind_front_axle": 1.25, "left_of_centre": 0.0}


def by_hand(weigh_in: dict[str, Any] | None = None, rulebook: dict[str, Any] | None = None, **car: Any) -> Question:
    """996 kg on the pads, 249 on each, with Ada aboard; a floor and a seat box in the middle of the car."""
    return Question.model_validate(
        {
            "car": {
                "units": UNITS,
                "car": {"name": "an invented car", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5},
                "drivers": [WHOSE | {"name": "Ada", "mass": 70.0}],
                "mounts": [WHOSE | {"name": "floor", "capacity": 50.0}],
                "plates": [{"name": "large", "mass": 4.0, "count": 9}],
            }
            | car,
            "weigh_in": {
                "units": UNITS,
                "weigh_in": {"date": date(2026, 3, 14), "driver": "in", "seated": "Ada"},
                "readings": [{"LF": 249.0, "RF": 249.0, "LR": 249.0, "RR": 249.0}] * 3,
            }
            | (weigh_in or {}),
            "rulebook": rulebook,
        }
    )


def test_the_fewest_plates_to_buy_are_counted_once_for_all_drivers() -> None:
    """One large plate serves three drivers: nobody needs to buy two small ones.

    By hand: 1000 kg asked for. With Ada's 70 kg the car weighs 996, with Bo's or Cleo's 74 it weighs 1000. What is
    wanting for Ada is one large plate on the floor, where it then stands for all three, or two small ones in her seat
    box. None of either is owned.
    """
    question = by_hand(
        drivers=[WHOSE | {"name": name, "mass": mass} for name, mass in (("Ada", 70.0), ("Bo", 74.0), ("Cleo", 74.0))],
        mounts=[
            WHOSE | {"name": "floor", "capacity": 50.0, "takes": ["large"]},
            WHOSE | {"name": "seat box", "capacity": 50.0, "takes": ["small"], "changes_with_driver": True},
        ],
        plates=[{"name": "large", "mass": 4.0, "count": 0}, {"name": "small", "mass": 2.0, "count": 0}],
        targets={"total": 1000.0},
    )
    answer = plan(question).plan
    assert answer.impossible is not None
    (bought,) = [way.gives for way in answer.impossible.relaxations if way.gives[0].limit == "stock"]
    assert [(give.subject, give.was, give.to) for give in bought] == [("large", 0.0, 1.0)]


def test_a_share_to_allow_is_one_of_the_state_it_is_about() -> None:
    """A greatest left share that is told to be enough is enough, though other drivers weigh more.

    By hand: Ada 60 kg and Bo 100 kg, both in the middle; 996 kg with Ada, 1036 with Bo. Four plates of 25 kg must go
    on at 0.5 m left, each with 25 (1/2 + 0.5/1.5) = 20.8333 kg on the left wheels. With Ada: 498 + 83.3333 = 581.3333
    of 1096, 53.0414 %; with Bo less, 518 + 83.3333 of 1136.
    """
    question = by_hand(
        drivers=[WHOSE | {"name": name, "mass": mass} for name, mass in (("Ada", 60.0), ("Bo", 100.0))],
        mounts=[{"name": "sill", "behind_front_axle": 1.25, "left_of_centre": 0.5, "capacity": 100.0}],
        plates=[{"name": "large", "mass": 25.0, "count": 4}],
        rulebook={
            "units": UNITS,
            "rulebook": {"name": "rules of an invented class"},
            "minimum_weight": RULED | {"mass": 1096.0, "driver": "in"},
            "left_share": RULED | {"driver": "in", "greatest": 0.52},
        },
        margin={"uncertainties": 0.0},
    )
    answer = plan(question).plan
    assert answer.impossible is not None
    (allowed,) = [way.gives[0] for way in answer.impossible.relaxations if way.gives[0].limit == "left share"]
    assert (allowed.subject, allowed.was) == ("Ada", 0.52)
    assert allowed.to == pytest.approx(581.333333 / 1096, abs=FINE["mass"] / 1096 + 1e-9)
    assert allowed.to >= 581.333333 / 1096 - 1e-8


@pytest.mark.parametrize("litres", [4.999, 5.001])
def test_a_thimble_of_fuel_does_not_move_the_required_total(litres: float) -> None:
    """What was in the tank is known to half a litre, whether or not the number is the one for the flag.

    The totals asked for with 5 L and with 5 L and a thimble are the same to a gram. By hand, both times: half a litre
    either way at the weigh-in and again at the flag, 2 x 0.75 kg/L x 0.5 L x sqrt(2/3) = 0.612 kg kept in hand.
    """

    def required(volume: float) -> float:
        tank = WHOSE | {"name": "tank", "volume": 60.0, "at_flag": 5.0}
        rulebook = {
            "units": UNITS,
            "rulebook": {"name": "rules of an invented class"},
            "minimum_weight": RULED | {"mass": 1000.0, "driver": "in"},
        }
        question = by_hand({"fuel": {"volume": volume}}, rulebook, tanks=[tank])
        return plan(question).plan.required_total

    assert required(5.0) == pytest.approx(1000 + 2 * 0.75 * 0.5 * (2 / 3) ** 0.5, abs=0.001)
    assert required(litres) == pytest.approx(required(5.0), abs=0.001)
