"""One tiny car with every kind of limit, whose numbers are sums of powers of two.

Such numbers are exact in binary and short in decimal, so that the text of its programme is the same on every machine,
with every PuLP and every numpy.
"""

from datetime import date
from typing import Any

from ballast.planning.task import Task
from ballast.planning.task import task as _task
from ballast.records.question import Question
from tests.random_cars import RULED, UNITS

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


BOLTS = {"count": 2, "thread": "M6", "strength": "8.8"}
RULEBOOK: dict[str, Any] = {
    "units": UNITS,
    "rulebook": {"name": "rules of an invented class"},
    "minimum_weight": RULED | {"mass": 800.0, "driver": "in"},
    "front_axle": RULED | {"driver": "in", "least": 392.0},
    "right_side": RULED | {"driver": "in", "least": 388.0},
    "left_share": RULED | {"driver": "in", "greatest": 0.515625},
    "rear_share": RULED | {"driver": "in", "greatest": 0.53125},
    "ballast_total": RULED | {"greatest": 16.0, "hardware_counts": True},
    "ballast_piece": RULED | {"greatest": 6.0},
    "ballast_stack": RULED | {"greatest": 0.09375},
    "ballast_material": RULED | {"barred": ["lead"]},
    "ballast_zone": RULED | {"name": "ahead of the seat", "behind_front_axle": [-1.0, 1.0]},
    "ballast_fixing": [RULED | {"bolts": 1, "for_each": 6.0}, RULED | {"bolts": 3, "thread": "M8", "above": 6.0}],
}


def ruled_question() -> Question:
    """The same under a rulebook with every kind of limit: the seat is no zone, the eight is too heavy and of lead.

    Nothing is kept in hand for uncertainty, so that the numbers stay short.
    """
    nose, seat = CAR["mounts"]
    eight, four = CAR["plates"]
    changed = {
        "mounts": [nose | {"bolts": BOLTS}, seat],
        "plates": [eight | {"material": "lead"}, four | {"material": "steel"}],
        "margin": {"uncertainties": 0.0},
    }
    weigh_in = WEIGH_IN | {"weigh_in": WEIGH_IN["weigh_in"] | {"driver": "in"}}
    return Question.model_validate({"car": CAR | changed, "weigh_in": weigh_in, "rulebook": RULEBOOK})


def ruled_task() -> Task:
    """The same as the planner needs it."""
    return _task(ruled_question())
