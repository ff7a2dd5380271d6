"""What legal plans are said to reach of a figure, against every way of fitting the plates."""

import numpy as np
import pytest

from ballast.corners import CORNERS
from ballast.jobs.plan import plan
from tests.exactness.enumeration import Car
from tests.exactness.test_planner import in_window
from tests.random_cars import small_question

CLOSE = 0.0015
"""0.1 points to which a range is settled, and what a window of totals adds to a distance counted in kg."""
OF: dict[str, tuple[str, ...]] = {"front": ("LF", "RF"), "rear": ("LR", "RR"), "left": ("LF", "LR")}


@pytest.mark.parametrize("seed", range(80))
def test_a_range_is_what_the_ways_reach(seed: int) -> None:
    """Both ends are reached by some way in the window, and no way goes further than the stated closeness."""
    question = small_question(seed)
    car, answer = Car(question), plan(question).plan
    for found in answer.ranges:
        loads = car.loads(in_window(car, answer, car.ways()))
        if found.figure == "rear pair":
            values, close = loads @ np.array([0.0, 0.0, 1.0, -1.0]), CLOSE * float(loads.sum(axis=1).max())
        else:
            corners = OF.get(found.figure) or tuple(found.figure.split("+"))
            counted = np.array([float(corner in corners) for corner in CORNERS])
            values, close = loads @ counted / loads.sum(axis=1), CLOSE
        assert values.min() - 1e-9 <= found.low <= values.min() + close
        assert values.max() - close <= found.high <= values.max() + 1e-9


def test_some_of_these_cars_miss_a_target() -> None:
    """Ten cars at the least have a range to be tested, or the proof proves less than it says."""
    assert sum(bool(plan(small_question(seed)).plan.ranges) for seed in range(80)) >= 10
