"""Plans with other plates in them: the record a planner would write if it had chosen these."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import numpy as np

from ballast.jobs.plan import plan
from ballast.jobs.standing import case_loads
from ballast.records.plan import Plan, PlannedCase, TargetResult, Uncertain
from ballast.records.question import Question
from tests.exactness.enumeration import ON, Car, Counts, Floats
from tests.random_cars import UNITS

RULEBOOK = {
    "units": UNITS,
    "rulebook": {"name": "rules of an invented class"},
    "minimum_weight": {
        "mass": 1030.0,
        "driver": "in",
        "clause": "4.2",
        "source": "invented",
        "checked": date(2026, 3, 1),
    },
}
CAR: dict[str, Any] = {
    "units": UNITS,
    "car": {"name": "an invented car", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5},
    "suspension": {"front_roll_share": 0.5},
    "mounts": [
        {
            "name": "nose",
            "behind_front_axle": -0.5,
            "left_of_centre": 0.0,
            "capacity": 20.0,
            "stack": 0.06,
            "fixing_mass": 1.0,
        },
        {"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 40.0, "pieces": 3},
        {"name": "boot", "behind_front_axle": 2.75, "left_of_centre": -0.5, "capacity": 30.0, "takes": ["ten"]},
    ],
    "plates": [
        {"name": "ten", "mass": 10.0, "count": 4, "thickness": 0.03},
        {"name": "five", "mass": 5.0, "count": 4, "thickness": 0.02},
    ],
    "targets": {"left": {"aim": 0.5, "within": 0.01}},
    "margin": {"uncertainties": 0.0},
}
WEIGH_IN: dict[str, Any] = {
    "units": UNITS,
    "weigh_in": {"date": date(2026, 3, 14), "driver": "in"},
    "readings": [{"LF": 255.0, "RF": 255.0, "LR": 255.0, "RR": 255.0}],
    "fitted": [{"mount": "boot", "plate": "ten", "count": 2, "stay": 1}],
}
UNSURE = Uncertain(
    total=0.5,
    front_percent=0.0005,
    left_percent=0.0005,
    diagonal_percent=0.002,
    rear_pair=2.0,
    chance_under_minimum=None,
)
"""Nothing that the scrutineer looks at."""
ANY_TOTAL = 100_000.0
"""A mass window that plates chosen by hand never leave. [kg]"""


def hand_written(**wishes: Any) -> Question:
    """A car of round numbers with every kind of limit: 1020 kg as weighed, 1030 kg asked for, 20 kg in the boot."""
    return Question.model_validate({"car": CAR | {"wishes": wishes}, "weigh_in": WEIGH_IN, "rulebook": RULEBOOK})


def with_standing(question: Question, counts: Counts, written: Plan | None = None) -> Plan:
    """What a plan would say of these plates, worked out without the planner, for a car without drivers.

    counts : (M, P).
    """
    car, record = Car(question), written or plan(question).plan
    loads = {state.name: np.asarray(car.loads(counts[None], state)[0], dtype=float) for state in car.states}
    names = [(mount.name, plate.name) for mount in car.mounts for plate in car.plates]
    after = dict(zip(names, counts.ravel().tolist(), strict=True))
    before = dict(zip(names, car.fitted.ravel().tolist(), strict=True))
    without_rules = Car(question.replace(rulebook=None))  # ballast that the rules ask for is not aboard yet
    now = {
        state.name: np.asarray(without_rules.loads(without_rules.fitted[None], state)[0], dtype=float)
        for state in without_rules.states
    }
    asked = (_asked(question, state.name, now[state.name]) for state in car.states if state.balance)
    stated = record.targets or tuple(target for targets in asked for target in targets)
    return record.replace(
        fit=tuple({"mount": m, "plate": p, "count": count} for (m, p), count in after.items() if count),
        changes=tuple(
            {"mount": m, "plate": p, "before": before[m, p], "after": count}
            for (m, p), count in after.items()
            if count != before[m, p]
        ),
        moves=int(car.moves(counts[None])[0]),
        ballast_total=float((counts @ car.mass).sum()),
        fixing_total=float(car.hardware[counts.sum(axis=1) > 0].sum()),
        cases=tuple(
            PlannedCase(
                **dict(case_loads(state.name, question.car, loads[state.name])),
                fuel=state.stand.fuel if question.car.tanks else None,
                legal=state.legal,
                balance=state.balance,
                required=state.required if state.legal else None,
                uncertain=UNSURE,
            )
            for state in car.states
        ),
        targets=(targets := tuple(_on_target(target, loads[target.case]) for target in stated)),
        balance_miss_points=max((target.miss_points for target in targets if target.by == "ballast"), default=None),
        requirements=tuple(needs.replace(greatest=ANY_TOTAL) for needs in record.requirements),
        range=(),
    )


def _asked(question: Question, state: str, now: Floats) -> Iterator[TargetResult]:
    """The targets of the car file in one state, for a plan that states none because none was found."""
    targets = question.car.targets
    aims: dict[str, Any] = {"front": targets.front, "rear": targets.rear, "left": targets.left}
    aims |= {targets.diagonal.corners: targets.diagonal} if targets.diagonal else {}
    aims |= {"rear pair": targets.rear_pair}
    for figure, aim in aims.items():
        if aim:
            pair = figure == "rear pair"
            before = float(now[2] - now[3]) if pair else float(now @ np.array(ON[figure]) / now.sum())
            yield TargetResult.model_validate(
                {"dimension": "mass" if pair else "percent", "case": state, "figure": figure}
                | {"by": getattr(aim, "by", "ballast"), "aim": aim.aim, "within": aim.within, "guard": 0.0}
                | {"before": before, "after": 0.0, "miss_points": 0.0, "outside_points": 0.0, "inside": True}
                | {"uncertainty": 0.0, "chance": 1.0}
            )


def _on_target(target: TargetResult, loads: Floats) -> TargetResult:
    """What a plan would say of one target with these loads, (4,)."""
    if target.figure == "rear pair":
        after, in_points = float(loads[2] - loads[3]), float(loads.sum())
    else:
        after, in_points = float(loads @ np.array(ON[target.figure]) / loads.sum()), 1.0
    away = abs(after - target.aim)
    off, missed = max(0.0, away - target.within), max(0.0, away - (target.within - target.guard))
    return target.replace(after=after, outside_points=off / in_points, inside=off == 0, miss_points=missed / in_points)
