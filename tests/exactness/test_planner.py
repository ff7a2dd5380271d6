"""Each wish of a plan against every way of fitting the plates, given what the plan held for the wishes before it.

Which of several equally good plans was held depends on the solver, so bare values of later wishes may differ; given the
holds stored in the plan they may not (planning.md section 4).
"""

from datetime import date
from itertools import combinations
from typing import Any, get_args

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.records.car import Car as CarFile
from ballast.records.plan import Limit, Plan, Relaxation
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from ballast.records.weighing import WeighIn
from ballast.units import Units
from tests.exactness.enumeration import Car, Counts, Floats
from tests.exactness.giving import can_be_given, given
from tests.random_cars import RULED as RULE
from tests.random_cars import UNITS, ruled_question, small_question, tight_question

SMALL = (*range(80), 178, 757, 774, 792)
TIGHT = (*range(1000, 1060), 1078, 1160, 1195)
"""The last ones of each are cars on which an earlier planner was wrong."""
RULED = (*range(5000, 5120), 5170, 5235)
"""Cars under rulebooks with limits of many kinds; in the last two a stack and a bolt stand in the way."""
FINE = {"mass": 0.01, "length": 0.0001, "percent": 0.01, None: 0.0}
"""How closely a smallest change is settled: 0.01 kg, 0.1 mm, and whole plates (planning/impossible.py says so)."""
SOLVER = 2e-6
"""What the solver's own tolerance may add to a value, in the unit of the wish."""
POINT = 0.01
"""A percentage point as a share."""
WHOLE = ("changes", "pieces")


def question_of(seed: int) -> Question:
    """The car of a seed: roomy ones below a thousand, tight ones from there on, under rulebooks from 5000 on."""
    if seed >= RULED[0]:
        return ruled_question(seed)
    return small_question(seed) if seed < TIGHT[0] else tight_question(seed)


@pytest.mark.parametrize("seed", [*SMALL, *TIGHT, *RULED])
def test_the_plan_is_the_best_of_all_ways(seed: int) -> None:
    """A plan exists when some way keeps every limit, and each wish is within its resolution of the best way."""
    question = question_of(seed)
    car, answer = Car(question), plan(question).plan
    ways = car.ways()
    check_required(car, answer)
    if len(ways) == 0:
        assert answer.outcome == "impossible"
        check_reasons(car, answer)
        check_relaxations(question, answer)
        return
    assert answer.outcome == "proved best"
    assert answer.impossible is None
    chosen = counts_of(car, answer)
    assert (ways == chosen).all(axis=(1, 2)).any(), "the plan is not among the ways that keep every limit"
    within = in_window(car, answer, ways)
    check_wishes(car, answer, chosen, within)


@pytest.mark.parametrize("seconds", [0.003, 0.006, 0.012, 0.024])
@pytest.mark.parametrize("seed", range(0, 40, 2))
def test_what_is_found_in_a_hurry_claims_no_more_than_it_knows(seed: int, seconds: float) -> None:
    """With the time cut off anywhere, a plan keeps every limit, a bound is a bound, and "proved best" is that."""
    question = question_of(seed)
    car, answer = Car(question), plan(question.with_wishes(seconds=seconds)).plan
    ways = car.ways()
    if not answer.cases:
        assert answer.outcome == "no answer in the time" or len(ways) == 0
        return
    chosen = counts_of(car, answer)
    assert (ways == chosen).all(axis=(1, 2)).any(), "the plan is not among the ways that keep every limit"
    check_wishes(car, answer, chosen, kept(ways, car.total(ways), greatest_of(car, answer) + SOLVER))


def check_required(car: Car, answer: Plan) -> None:
    """The required total of every state in which there is one, one that lacks most before the others."""
    close = 1e-6  # a root of what cancels to about nothing
    lacks = {state.name: state.required - float(state.bare.sum()) for state in car.legal}
    assert lacks[answer.requirement.case] == pytest.approx(max(lacks.values()), abs=close)
    assert answer.required_total == answer.requirement.required
    stated = {needs.case: needs.required for needs in answer.requirements}
    assert stated == pytest.approx({state.name: state.required for state in car.legal}, abs=close)
    assert stated[answer.requirement.case] == answer.required_total
    for needs in answer.requirements:
        assert sum(term.mass for term in needs.terms) == pytest.approx(needs.required, abs=close)
        assert needs.greatest - needs.required == pytest.approx(answer.requirement.greatest - answer.required_total)


def greatest_of(car: Car, answer: Plan) -> float:
    """Upper end of the plan's window, for the mean of the totals. [kg]"""
    return car.required + answer.requirement.greatest - answer.required_total


def counts_of(car: Car, answer: Plan) -> Counts:
    """Plates standing in a plan, (1, M, P)."""
    rows, plates = [(mount.name, driver) for mount, driver in car.rows], [plate.name for plate in car.plates]
    counts = np.zeros((1, len(rows), len(plates)), dtype=np.int64)
    for row in answer.fit:
        counts[0, rows.index((row.mount, row.driver)), plates.index(row.plate)] += row.count
    return counts


def in_window(car: Car, answer: Plan, ways: Counts) -> Counts:
    """The ways whose total lies in the plan's window, which starts no lower than the least total that can be had.

    And no higher than a mass resolution above it for each legal case, as the planner says of itself.
    """
    totals, allowance = car.total(ways), car.question.wishes.over_required
    least_within = car.question.wishes.mass_resolution * sum(case.legal for case in answer.cases)
    greatest = greatest_of(car, answer)
    assert totals.min() + allowance - SOLVER <= greatest
    assert greatest <= totals.min() + allowance + least_within + SOLVER
    return kept(ways, totals, greatest + SOLVER)


def kept(ways: Counts, values: Floats, limit: float) -> Counts:
    """The ways whose value does not exceed a limit."""
    inside: Counts = ways[values <= limit]
    return inside


def check_wishes(car: Car, answer: Plan, chosen: Counts, ways: Counts) -> None:
    """Value, bound, resolution and hold of each wish, against the ways that keep the window and the holds so far.

    What is only found must still be what it says, and its bound must be one.
    """
    for wish in answer.wishes:
        unit = POINT if wish.dimension == "percent" else 1.0
        values = unit * car.value(wish.name, ways)
        best, value = float(values.min()), float(unit * car.value(wish.name, chosen)[0])
        close = SOLVER * unit
        assert wish.value == pytest.approx(value, abs=close), wish.name
        assert value >= best - close, wish.name
        assert wish.bound <= best + close, wish.name
        assert value <= wish.hold + close, wish.name
        if wish.outcome == "proved best":
            resolution = 0.0 if wish.name in WHOLE else wish.resolution
            assert value - best <= resolution + close, wish.name
            assert value - wish.bound <= resolution + close, wish.name
            assert wish.hold <= max(value, best + wish.resolution) + close, wish.name
        if wish.dimension == "percent":
            figures = len(car.aimed) if wish.name in ("balance sum", "aim") else 1  # a sum: each figure to its own
            assert wish.resolution == pytest.approx(car.resolution * figures)
        ways = kept(ways, values, wish.hold + close)
        assert (ways == chosen).all(axis=(1, 2)).any(), f"the plan breaks its own hold on {wish.name}"


def check_reasons(car: Car, answer: Plan) -> None:
    """What stands in the way: the greatest total, every family that is enough to relax, no other, and how far."""
    assert answer.impossible is not None
    assert answer.fit == ()
    assert answer.impossible.not_settled == ()
    lighter = car.total(car.ways("required total"))
    if len(lighter) == 0:
        assert answer.impossible.greatest_total is None
    else:
        stated = answer.impossible.greatest_total
        assert stated is not None
        assert stated <= lighter.max() + SOLVER
        assert stated >= lighter.max() - FINE["mass"] - SOLVER
    enough = {family: ways for family in get_args(Limit) if len(ways := car.ways(family))}
    assert sorted(answer.impossible.conflicts) == sorted(enough)
    if not enough:
        check_pairs(car, answer.impossible.relaxations)
        return
    for relaxation in answer.impossible.relaxations:
        (family,) = {give.limit for give in relaxation.gives}
        ways, dimension = enough[family], relaxation.gives[0].dimension
        far = sum(abs(give.to - give.was) for give in relaxation.gives)
        excess, slack = car.over(family, ways), SOLVER * len(relaxation.gives)
        if dimension == "percent":  # settled as a mass, told as a share of the total it makes possible
            assert far >= float((excess / car.total(ways)).min()) - SOLVER * POINT
            far *= car.required
        else:
            assert far >= float(excess.min()) - slack, family
        assert far <= float(excess.min()) + FINE[dimension] + slack, family


def check_pairs(car: Car, relaxations: tuple[Relaxation, ...]) -> None:
    """Where no single family is enough, the pairs offered are those that are. Stock is left out: it has no end."""
    offered = {frozenset(give.limit for give in relaxation.gives) for relaxation in relaxations}
    families = [family for family in get_args(Limit) if family != "stock"]
    enough = {frozenset(pair) for pair in combinations(families, 2) if len(car.ways(*pair))}
    assert {pair for pair in offered if "stock" not in pair} == enough


def check_relaxations(question: Question, answer: Plan) -> None:
    """Whatever is offered, done, gives a plan."""
    assert answer.impossible is not None
    for relaxation in answer.impossible.relaxations:
        assert relaxation.gives
        if can_be_given(relaxation):
            after = plan(given(question, relaxation)).plan
            assert after.cases, f"{after.outcome} after {relaxation}"
            assert after.legal


@pytest.mark.parametrize("seed", SMALL)
def test_balance_miss_points_are_those_of_the_plan(seed: int) -> None:
    """The stated miss is the worst distance outside a narrowed band, in points of the car's own total."""
    question = question_of(seed)
    car, answer = Car(question), plan(question).plan
    if answer.outcome == "impossible":
        return
    loads: Floats = car.loads(counts_of(car, answer))
    misses = [float(aim.outside(loads)[0]) / float(loads.sum()) for aim in car.aimed]
    if misses:
        assert answer.balance_miss_points == pytest.approx(max(misses), abs=1e-12)
    else:
        assert answer.balance_miss_points is None
    by_figure = {target.figure: target for target in answer.targets}
    for aim, miss in zip(car.aimed, misses, strict=True):
        assert by_figure[aim.name].miss_points == pytest.approx(miss, abs=1e-12)  # type: ignore[index]
        assert by_figure[aim.name].guard == pytest.approx(aim.guard)  # type: ignore[index]


@pytest.mark.parametrize("seed", SMALL)
def test_the_bound_beside_the_miss_is_one(seed: int) -> None:
    """No way that keeps the window, and the wishes before balance, has a miss below the bound printed beside it."""
    question = question_of(seed)
    car, answer = Car(question), plan(question).plan
    bound = answer.bound_points
    if bound is None:
        return
    ways = in_window(car, answer, car.ways())
    for wish in answer.wishes:
        if wish.name == "balance":
            break
        ways = kept(ways, car.value(wish.name, ways), wish.hold + SOLVER)
    loads = car.loads(ways)
    best = float(np.max([aim.outside(loads) / loads.sum(axis=1) for aim in car.aimed], axis=0).min())
    assert bound <= best + SOLVER * POINT


def test_the_cars_are_of_every_sort() -> None:
    """Each feature a plan can meet is met by at least five of these cars, or the proof proves less than it says."""
    cars = [Car(question_of(seed)) for seed in [*SMALL, *TIGHT]]
    sorts = {
        "possible": [len(car.ways()) > 0 for car in cars],
        "impossible": [len(car.ways()) == 0 for car in cars],
        "hardware": [bool(car.hardware.any()) for car in cars],
        "fitted": [bool(car.fitted.any()) for car in cars],
        "fitted and changes limited": [
            bool(car.fitted.any()) and car.question.wishes.most_changes is not None for car in cars
        ],
        "stays": [bool(car.staying.any()) for car in cars],
        "overweight": [car.states[0].bare.sum() > car.required for car in cars],
        "coarse": [car.mass.min() > 8 for car in cars],
        "stack": [any(mount.stack for mount in car.mounts) for car in cars],
        "pieces": [any(mount.pieces for mount in car.mounts) for car in cars],
        "takes": [any(mount.takes for mount in car.mounts) for car in cars],
        "rear pair": [car.question.car.targets.rear_pair is not None for car in cars],
        "LF+RR": [any(aim.name == "LF+RR" for aim in car.aimed) for car in cars],
        "RF+LR": [any(aim.name == "RF+LR" for aim in car.aimed) for car in cars],
        "rear": [car.question.car.targets.rear is not None for car in cars],
        "minimum": [car.question.rulebook is not None for car in cars],
        "one settling": [len(car.readings) == 1 for car in cars],
    }
    assert {name: sum(found) for name, found in sorts.items() if sum(found) < 5} == {}
    assert sum(sorts["possible"]) >= 60


def test_a_wheel_that_would_lift_is_a_reason() -> None:
    """A light car whose only mount is far ahead of the front axle cannot take the plates: its rear wheels would lift.

    Arithmetic: wheelbase 1.0 m, mount 0.5 m ahead: each kg takes 0.25 kg off each rear wheel. The 10 kg on each are
    gone with 40 kg of plates, and 50 kg are asked for.
    """
    car = {
        "units": UNITS,
        "car": {"name": "an invented kart", "wheelbase": 1.0, "track_front": 0.9, "track_rear": 0.9},
        "mounts": [{"name": "nose", "behind_front_axle": -0.5, "left_of_centre": 0.0, "capacity": 100.0}],
        "plates": [{"name": "10", "mass": 10.0, "count": 10}],
        "targets": {"total": 130.0},
    }
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14)},
        "readings": [{"LF": 30.0, "RF": 30.0, "LR": 10.0, "RR": 10.0}],
    }
    question = Question.model_validate({"car": car, "weigh_in": weigh_in})
    answer = plan(question).plan
    assert answer.impossible is not None
    assert answer.impossible.greatest_total == pytest.approx(120.0)
    assert set(answer.impossible.conflicts) == {"required total", "wheels on the ground"}
    check_reasons(Car(question), answer)


def test_the_rulebooks_are_of_every_sort() -> None:
    """Each kind of rule is met by at least five of these cars, and each family gives way in at least one answer."""
    questions = [ruled_question(seed) for seed in RULED]
    books = [question.rulebook for question in questions if question.rulebook]
    sorts = {
        "ballast total": [book.ballast_total is not None for book in books],
        "hardware counts": [bool(book.ballast_total and book.ballast_total.hardware_counts) for book in books],
        "greatest piece": [bool(book.ballast_piece and book.ballast_piece.greatest) for book in books],
        "least piece": [bool(book.ballast_piece and book.ballast_piece.least) for book in books],
        "material": [book.ballast_material is not None for book in books],
        "zone by box": [any(not zone.by_name for zone in book.zones) for book in books],
        "zone by name": [any(zone.by_name for zone in book.zones) for book in books],
        "stack": [book.ballast_stack is not None for book in books],
        "front axle": [book.front_axle is not None for book in books],
        "right side": [book.right_side is not None for book in books],
        "left share": [book.left_share is not None for book in books],
        "rear share": [book.rear_share is not None for book in books],
        "bolts per piece": [any(rule.for_each is None for rule in book.fixings) for book in books],
        "bolts per mass": [any(rule.for_each is not None for rule in book.fixings) for book in books],
        "bolt size": [any(rule.thread is not None for rule in book.fixings) for book in books],
        "bolt class": [any(rule.strength is not None for rule in book.fixings) for book in books],
        "load factors": [book.load_factors is not None for book in books],
        "success ballast": [book.success_ballast is not None for book in books],
        "two minima": [len(book.minima) > 1 for book in books],
        "pads": [question.weigh_in.pads.accuracy > 0 for question in questions],
    }
    assert {name: sum(found) for name, found in sorts.items() if sum(found) < 5} == {}
    assert sum(len(Car(question).ways()) > 0 for question in questions) >= 40
    gave = set[Limit]()
    for seed in [*SMALL, *TIGHT, *RULED]:
        impossible = plan(question_of(seed)).plan.impossible
        gave |= {give.limit for way in (impossible.relaxations if impossible else ()) for give in way.gives}
    assert set(get_args(Limit)) - gave == {"wheels on the ground"}  # its own car has it, below


def in_pounds(total: float, box: dict[str, Any]) -> Question:
    """2,350 lb on the pads, a class minimum, 50 lb plates, and a rule that allows 125 lb of ballast."""
    units = {"mass": "lb", "length": "in"}
    car = {
        "units": units,
        "car": {"name": "an invented car", "wheelbase": 97.0, "track_front": 58.5, "track_rear": 58.5},
        "mounts": [{"name": "floor", "behind_front_axle": 48.5, "left_of_centre": 0.0, "capacity": 400.0}],
        "plates": [{"name": "50 lb", "mass": 50.0, "count": 6}, *([box] if box else [])],
    }
    weigh_in = {
        "units": units,
        "weigh_in": {"date": date(2026, 3, 14), "driver": "in"},
        "readings": [{"LF": 587.5, "RF": 587.5, "LR": 587.5, "RR": 587.5}] * 3,
    }
    rulebook = {
        "units": units,
        "rulebook": {"name": "rules of an invented class"},
        "minimum_weight": RULE | {"mass": total, "driver": "in"},
        "ballast_total": RULE | {"greatest": 125.0, "hardware_counts": False},
        "ballast_piece": RULE | {"greatest": 50.0},
    }
    pounds = Units(mass="lb", length="in")
    return Question(
        car=CarFile.model_validate(car, context=pounds),
        weigh_in=WeighIn.model_validate(weigh_in, context=pounds),
        rulebook=Rulebook.model_validate(rulebook, context=pounds),
    )


@pytest.mark.parametrize(
    ("minimum", "box", "allowed", "reached"),
    [
        (2500.0, {}, 150.0, 2450.0),
        (2480.0, {}, 150.0, 2450.0),
        (2500.0, {"name": "20 lb", "mass": 20.0, "count": 3}, 150.0, 2470.0),
        (2485.0, {"name": "20 lb", "mass": 20.0, "count": 3}, 140.0, 2470.0),
    ],
)
def test_a_hundred_and_fifty_pounds_where_the_rule_allows_125(
    minimum: float, box: dict[str, Any], allowed: float, reached: float
) -> None:
    """What is needed comes in the steps of the plates: that much allowed, or that much less required, and no other way.

    By hand, 2350 lb bare, three settlings that agree, so nothing for uncertainty. Fifties alone: two of them, 100 lb,
    are within 125, so 2450 lb; 130 to 150 lb need three. With three twenties: 50 + 50 + 20 = 120 lb within 125, so 2470
    lb; 135 lb need 50 + 50 + 20 + 20 = 140, and 150 lb need three fifties.
    """
    question, pound = in_pounds(minimum, box), 0.45359237
    answer = plan(question).plan
    assert answer.outcome == "impossible"
    assert answer.impossible is not None
    assert answer.impossible.greatest_total == pytest.approx(reached * pound, abs=FINE["mass"])
    gives = [give for way in answer.impossible.relaxations for give in way.gives]
    found = {give.limit: (give.was / pound, give.to / pound) for give in gives}
    assert found.keys() == {"ballast total", "required total"}
    assert found["ballast total"] == pytest.approx((125.0, allowed), abs=0.03)
    assert found["required total"] == pytest.approx((minimum, reached), abs=0.03)
    check_reasons(Car(question), answer)
    check_relaxations(question, answer)
