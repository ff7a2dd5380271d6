"""What a wish is worth, three ways: in numpy, by the programme with the counts fixed, and from the design alone."""

import numpy as np
import pytest

from ballast.planning.measures import changes, measure, nominal_totals
from ballast.planning.solver import solve
from ballast.planning.task import task as _task
from tests.exactness.enumeration import Car
from tests.planning import tiny
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
            here = measure(name, task.room, task.cases, task.bands, task.required, counts.astype(float))
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
    task = tiny.task()
    assert nominal_totals(task.cases, 800.0) == pytest.approx([800.0])
    assert nominal_totals(task.cases, 700.0) == pytest.approx([784.0])


def test_measures_of_the_tiny_car_by_hand() -> None:
    """An eight and its 2 kg of hardware at the nose, two fours on the seat.

    Total 784 + 10 + 8 = 802, 2 kg over. Height: (8 x 0.28125 + 2 x 0.25 + 8 x 0.515625) / 800. Front: 396 kg as
    weighed, and 5/4 of 10 at the nose: 408.5, 7.5 off half of 802; the band is 1/64 less a guard of 1/128, 6.265625 kg.
    Rear pair: 4 kg as weighed, 3 off the aim of 1 and well inside 25. Front counts twice, and 1 kg is 1/8 of a point.
    """
    task = tiny.task()
    counts = np.array([[1.0, 0], [0, 2]])

    def worth(name: str) -> float:
        return measure(name, task.room, task.cases, task.bands, task.required, counts)

    assert worth("total") == pytest.approx(802.0)
    assert worth("mass") == pytest.approx(2.0)
    assert worth("changes") == 1.0
    assert worth("pieces") == 3.0
    assert worth("height") == pytest.approx((2.25 + 0.5 + 4.125) / 800)
    assert worth("balance") == pytest.approx(2 * (7.5 - 6.265625) / 8)
    assert worth("balance sum") == pytest.approx(2 * (7.5 - 6.265625) / 8)
    assert worth("aim") == pytest.approx((2 * 7.5 + 3.0) / 8)
