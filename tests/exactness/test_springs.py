"""Plans of cars on springs, with bars, twist and wheels in places of their own, against every way of fitting plates.

The enumeration stands such cars on the full model of the property tests; the planner has its stance, the scrutineer its
method of forces. See test_planner for what is compared.
"""

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.records import car as car_records
from ballast.records import together
from tests.exactness.enumeration import Car
from tests.exactness.test_planner import check_reasons, check_required, check_wishes, counts_of, in_window
from tests.random_cars import sprung_question

SEEDS = range(9000, 9036)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_the_best_of_all_ways(seed: int) -> None:
    """A plan exists when some way keeps every limit, and each wish is within its resolution of the best way."""
    question = sprung_question(seed)
    car, answer = Car(question), plan(question).plan
    ways = car.ways()
    check_required(car, answer)
    if len(ways) == 0:
        assert answer.outcome == "impossible"
        check_reasons(car, answer)
        return
    assert answer.outcome == "proved best"
    chosen = counts_of(car, answer)
    assert (ways == chosen).all(axis=(1, 2)).any(), "the plan is not among the ways that keep every limit"
    check_wishes(car, answer, chosen, in_window(car, answer, ways))
    stated = [getattr(answer.cases[0].corner_loads, corner) for corner in ("LF", "RF", "LR", "RR")]
    assert np.allclose(stated, car.loads(chosen)[0], rtol=0.0, atol=1e-5)


def test_the_cars_are_of_every_sort() -> None:
    """Among the seeds are beam axles, bars in both states, tyres, twist, own wheels, and every way of knowing."""
    every = [sprung_question(seed) for seed in SEEDS]
    known = [question.car.suspension for question in every]
    axles = [(axle, question) for question in every for axle in (question.car.suspension.front,) if axle]
    assert {question.weigh_in.visit.bars for axle, question in axles if axle.bar} == {"connected", "disconnected"}
    assert {axle.axle for axle, _ in axles} == {"independent", "beam"}
    assert {axle.tyres is None for axle, _ in axles} == {True, False}
    assert any(springs.chassis_twist for springs in known)
    assert any(springs.learned for springs in known)
    assert any(springs.front_roll_share for springs in known)
    assert any(not (s.learned or s.front_roll_share or s.front) for s in known)
    assert {question.car.wheels.LF is None for question in every} == {True, False}
    for question in every:
        assert not list(car_records.complaints(question.car))
        assert not list(together.complaints(question))
