"""One tiny car with every kind of limit, whose numbers are sums of powers of two.

Such numbers are exact in binary and short in decimal, so that the text of its programme is the same on every machine,
with every PuLP and every numpy.
"""

from datetime import date
from typing import Any

from ballast.jobs.plan import _task
from ballast.planning.planner import Task
from ballast.records.question import Question
from tests.random_cars import UNITS

CAR: dict[str, Any] = {
    "units": UNITS,
    "car": {"name": "an invented car", "wheelbase": 2.0, "track_front": 1.0, "track_rear": 1.0},
    "suspension": {"front_roll_share": 0.75},
    "mounts": [
        {
            "name": "nose",
            "behind_front_axle": -0.5,
            "left_of_centre": 0.0,
            "above_ground": 0.25,
            "capacity": 24.0,
            "stack": 0.125,
            "fixing_mass": 2.0,
        },
        {
            "name": "seat",
            "behind_front_axle": 1.5,
            "left_of_centre": 0.25,
            "above_ground": 0.5,
            "capacity": 20.0,
            "pieces": 3,
            "takes": ["four"],
        },
    ],
    "plates": [
        {"name": "eight", "mass": 8.0, "count": 2, "thickness": 0.0625},
        {"name": "four", "mass": 4.0, "count": 4, "thickness": 0.03125},
    ],
    "targets": {
        "front": {"aim": 0.5, "within": 0.015625, "weight": 2.0},
        "rear_pair": {"aim": 1.0, "within": 25.0},
        "total": 800.0,
    },
    "wishes": {"most_changes": 3, "balance_resolution": 0.0078125},
}
WEIGH_IN: dict[str, Any] = {
    "units": UNITS,
    "weigh_in": {"date": date(2026, 3, 14)},
    "readings": [{"LF": 200.0, "RF": 196.0, "LR": 200.0, "RR": 196.0}],
    "fitted": [{"mount": "seat", "plate": "four", "count": 2, "stay": 1}],
}


def question() -> Question:
    """792 kg as weighed with 8 kg on the seat, 800 kg asked for."""
    return Question.model_validate({"car": CAR, "weigh_in": WEIGH_IN})


def task() -> Task:
    """The same as the planner needs it."""
    return _task(question())
