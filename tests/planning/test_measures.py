"""What a wish is worth, three ways: in numpy, by the programme with the counts fixed, and from the design alone."""

import numpy as np
import pytest

from ballast.planning.measures import changes, measure
from ballast.planning.solver import solve
from ballast.planning.task import task as _task
from tests.exactness.enumeration import Car
from tests.planning import tiny
from tests.planning.crews import crew_question, random_crew
from tests.random_cars import small_question


@pytest.mark.parametrize("seed", range(20))
def test_a_measure_is_the_objective_with_the_counts_fixed(seed: int) -> None:
    """For plates set out by chance, every objective of the programme has the value of its measure, the right one."""
    question = small_question(seed)
    car, task = Car(question), _task(question)
    ways = car.ways()
    if len(ways) == 0:
        return
    rng = np.random.default_rng(seed)
    for counts in ways[rng.integers(0, len(ways), 2)]:
        programme = task.programme()
        for (m, p), variable in programme.count.items():
            programme.problem += variable == int(counts[m, p]), f"fixed_{m}_{p}"
        for name, objective in programme.objectives.items():
            here = measure(name, task.room, task.cases, task.bands, task.wishes, counts.astype(float))
            solved = solve(programme.problem, objective, gap=0.0, seconds=10.0)
            assert solved.status == "proved"
            assert solved.value == pytest.approx(here, abs=5e-6), name
            if name != "total":
                assert here == pytest.approx(float(car.value(name, counts[None])[0]), abs=1e-9), name


def test_a_plate_moved_counts_once() -> None:
    """Two fours on the seat: one goes to the nose, and an eight comes aboard: two plates in hand."""
    room = tiny.task().room
    assert changes(room, np.array([[1.0, 1], [0, 1]])) == 2.0
    assert changes(room, np.array([[0.0, 2], [0, 0]])) == 2.0
    assert changes(room, np.array([[0.0, 0], [0, 0]])) == 2.0
    assert changes(room, np.array([[0.0, 1], [0, 3]])) == 2.0
    assert changes(room, room.fitted) == 0.0


def test_the_nominal_total_is_the_required_one_or_the_bare_cars() -> None:
    """784 kg bare: 800 kg where these are asked for, 784 kg where 700 are."""
    question = tiny.question()
    for total, nominal in ((800.0, 800.0), (700.0, 784.0)):
        targets = question.car.targets.replace(total=total)
        (case,) = _task(question.replace(car=question.car.replace(targets=targets))).cases
        assert (case.required, case.nominal) == pytest.approx((total, nominal))


def test_measures_of_the_tiny_car_by_hand() -> None:
    """An eight and its 2 kg of hardware at the nose, two fours on the seat.

    Total 784 + 10 + 8 = 802, 2 kg over. Height: (8 x 0.28125 + 2 x 0.25 + 8 x 0.515625) / 800. Front: 396 kg as
    weighed, and 5/4 of 10 at the nose: 408.5, 7.5 off half of 802; the band is 1/64 less a guard of 1/128, 6.265625 kg.
    Rear pair: 4 kg as weighed, 3 off the aim of 1 and well inside 25. Front counts twice, and 1 kg is 1/8 of a point.
    """
    task = tiny.task()
    counts = np.array([[1.0, 0], [0, 2]])

    def worth(name: str) -> float:
        return measure(name, task.room, task.cases, task.bands, task.wishes, counts)

    assert worth("total") == pytest.approx(802.0)
    assert worth("mass") == pytest.approx(2.0)
    assert worth("changes") == 1.0
    assert worth("pieces") == 3.0
    assert worth("height") == pytest.approx((2.25 + 0.5 + 4.125) / 800)
    assert worth("balance") == pytest.approx(2 * (7.5 - 6.265625) / 8)
    assert worth("balance sum") == pytest.approx(2 * (7.5 - 6.265625) / 8)
    assert worth("aim") == pytest.approx((2 * 7.5 + 3.0) / 8)


# --- crews -----------------------------------------------------------------------------------------------------------

KIT_COUNTS = np.array([[1.0, 0], [0, 2], [1, 1], [0, 2]])
"""An eight at the nose, two fours on the seat; on the sill an eight and a four for Ada, two fours for Bo."""


def test_measures_of_the_crew_by_hand() -> None:
    """Two fours stood on the seat. Counts as above, hardware of 2 kg at the nose and 1 kg on the sill.

    At the flag: Ada 760 + 8 + 2 + 8 + 12 + 1 = 791, Bo 772 + 18 + 8 + 1 = 799; the mean is 795, 11 over 784. Changes:
    two eights with Ada aboard, two fours with Bo. Stop: of the eight 1 less 0, of the four 2 less 1. Height: the nose
    and the seat as in the tiny car, 2.75 + 4.125; the sill 8 x 0.28125 + 4 x 0.265625 + 0.25 for Ada, 8 x 0.265625 +
    0.25 for Bo.
    """
    task = _task(crew_question())

    def worth(name: str) -> float:
        return measure(name, task.room, task.cases, task.bands, task.wishes, KIT_COUNTS)

    assert worth("total") == pytest.approx(795.0)
    assert worth("mass") == pytest.approx(11.0)
    assert worth("changes") == 4.0
    assert worth("stop") == 2.0
    assert worth("pieces") == 7.0
    ada, bo = 8 * 0.28125 + 4 * 0.265625 + 0.25, 8 * 0.265625 + 0.25
    assert worth("height") == pytest.approx((2.75 + 4.125 + (ada + bo) / 2) / 784)


@pytest.mark.parametrize("crew", ["worst", "by driving time"])
def test_balance_of_a_crew_by_hand(crew: str) -> None:
    """Front of half within 1/64, guard 1/128, weight 2; at the balance point, where Ada has 784 kg bare and Bo 796.

    Front, bare. Ada: 389 kg at the flag and 24 kg of fuel more, a quarter of it in front: 395. Bo: 389 - 38 + 40, and
    6: 397. Plates: 10 kg at the nose carry 12.5 in front, 8 on the seat 2, the sill half of 13 and half of 9. So 416 of
    815 and 416 of 823: 8.5 and 4.5 kg off half; the bands are 6.3672 and 6.4297 wide. Nominal totals 808 both.
    """
    question = crew_question()
    targets = question.car.targets.replace(rear_pair=None)
    car = question.car.replace(targets=targets, wishes=question.wishes.replace(crew=crew))
    task = _task(question.replace(car=car))
    ada = 2 * (8.5 - 815 / 128) * 100 / 808
    for name, expected in (
        ("balance", ada if crew == "worst" else 3 / 4 * ada),
        ("balance sum", ada / 2 if crew == "worst" else 3 / 4 * ada),
        ("aim", 200 * (np.array([8.5, 4.5]) @ ([0.5, 0.5] if crew == "worst" else [0.75, 0.25])) / 808),
    ):
        found = measure(name, task.room, task.cases, task.bands, task.wishes, KIT_COUNTS)
        assert found == pytest.approx(expected), name


@pytest.mark.parametrize("seed", range(12))
def test_measures_of_a_crew_are_the_objectives_with_the_counts_fixed(seed: int) -> None:
    """For plates set out by chance on cars with crews and tanks, the programme's objectives are the measures."""
    task = _task(random_crew(seed))
    rng = np.random.default_rng(seed)
    counts = rng.integers(0, 2, task.room.accepts.shape).astype(float) * (task.room.accepts > 0)
    programme = task.programme(frozenset({"required total", "plates that stay", "front axle", "left share"}))
    for (m, p), variable in programme.count.items():
        programme.problem += variable == int(counts[m, p]), f"fixed_{m}_{p}"
    for name, objective in programme.objectives.items():
        here = measure(name, task.room, task.cases, task.bands, task.wishes, counts)
        solved = solve(programme.problem, objective, gap=0.0, seconds=10.0)
        assert solved.status == "proved", name
        assert solved.value == pytest.approx(here, abs=5e-6), name
