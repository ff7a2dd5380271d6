"""Answers made up number by number, for pictures of cars that no planner has seen."""

import random
from collections.abc import Sequence
from datetime import date
from typing import Any

from ballast.records.plan import Answer, Plan
from ballast.records.question import Question

UNSURE: dict[str, float | None] = {
    "total": 0.5,
    "front_percent": 0.0005,
    "left_percent": 0.0005,
    "diagonal_percent": 0.002,
    "rear_pair": 2.0,
    "chance_under_minimum": None,
}
LONG_WORDS = ("nose", "tray", "left", "right", "seat", "rail", "floor", "behind", "tunnel", "Donaudampfschiff", "2")


def answer(seed: int) -> Answer:
    """An answer with random geometry, mounts, plates, loads, targets and tolerance, in kg and mm or lb and in."""
    rng = random.Random(seed)
    wheelbase, track = rng.uniform(1.0, 3.2), rng.uniform(1.0, 1.7)
    mounts = [
        _mount(
            f"{' '.join(rng.choices(LONG_WORDS, k=rng.randint(1, 6)))} {number}",
            rng.uniform(-0.45, 1.45) * wheelbase,
            rng.uniform(-0.6, 0.6) * track,
        )
        for number in range(rng.randint(1, 14))
    ]
    plates = [
        {"name": " ".join([*rng.choices(LONG_WORDS, k=rng.randint(0, 3)), f"{mass} kg"]), "mass": mass, "count": 99}
        for mass in (1.0, 2.0, 2.5, 5.0, 10.0, 20.0)[: rng.randint(1, 6)]
    ]
    pairs = [(str(mount["name"]), str(plate["name"])) for mount in mounts for plate in plates]
    before = {pair: rng.randint(1, 4) for pair in pairs if rng.random() < 0.25}
    after = {pair: rng.randint(1, 4) for pair in pairs if rng.random() < 0.35}
    after |= {pair: count for pair, count in before.items() if rng.random() < 0.4}
    loads = [rng.uniform(30, 420) for _ in range(4)]
    later = [load + rng.uniform(-5, 25) for load in loads]
    return assembled(
        geometry=(wheelbase, track, track * rng.uniform(0.9, 1.1)),
        mounts=mounts,
        plates=plates,
        before=before,
        after=after,
        loads=loads,
        later=later,
        window=(rng.choice([None, rng.uniform(0.0005, 0.03)]), rng.choice([None, rng.uniform(0.0005, 0.03)])),
        off_aim=(rng.uniform(-0.05, 0.05), rng.uniform(-0.05, 0.05)),
        units={"mass": rng.choice(["kg", "lb"]), "length": rng.choice(["mm", "m", "in"])},
        needed=(rng.uniform(-1, 4), rng.uniform(-1.5, 1.5)),
    )


def _mount(name: str, aft: float, left: float) -> dict[str, Any]:
    return {"name": name, "behind_front_axle": aft, "left_of_centre": left, "capacity": 500.0}


def assembled(
    *,
    geometry: tuple[float, float, float] = (2.5, 1.5, 1.4),
    mounts: Sequence[dict[str, Any]] = (_mount("box", 1.0, 0.5),),
    plates: Sequence[dict[str, Any]] = ({"name": "10 kg", "mass": 10.0, "count": 9},),
    before: dict[tuple[str, str], int] | None = None,
    after: dict[tuple[str, str], int] | None = None,
    loads: Sequence[float] = (250.0, 250.0, 250.0, 250.0),
    later: Sequence[float] | None = (260.0, 250.0, 255.0, 245.0),
    window: tuple[float | None, float | None] = (0.01, 0.004),
    off_aim: tuple[float, float] = (0.002, 0.001),
    units: dict[str, str] | None = None,
    needed: tuple[float, float] | None = (1.2, 0.4),
    name: str = "Curlew 12",
    outcome: str = "proved best",
    verdict: str = "pass",
) -> Answer:
    """One answer from its numbers, all in kg and m; `later` None for one without a plan. window : half widths. [m]"""
    units = units or {"mass": "kg", "length": "mm"}
    before, after = before or {}, after or {}
    wheelbase, front, rear = geometry
    weigh_in = {
        "units": units,
        "weigh_in": {"date": date(2026, 5, 2)},
        "readings": [dict(zip(("LF", "RF", "LR", "RR"), loads, strict=True))],
        "fitted": [{"mount": m, "plate": p, "count": count} for (m, p), count in before.items()],
    }
    chassis = {"name": name, "wheelbase": wheelbase, "track_front": front, "track_rear": rear}
    question = Question.model_validate(
        {
            "car": {"units": units, "car": chassis, "mounts": list(mounts), "plates": list(plates)},
            "weigh_in": weigh_in,
        }
    )
    plan: dict[str, Any] = {
        "units": units,
        "outcome": outcome,
        "requirement": {"terms": [], "required": sum(loads), "greatest": sum(loads) + 2},
        "required_total": sum(loads),
        "before": _case(geometry, loads),
        "roll_share": {"value": 0.5, "low": 0.35, "high": 0.65, "known_by": "assumption"},
        "repeat": dict.fromkeys(("total", "front_percent", "left_percent", "diagonal_percent", "rear_pair"), 0.001)
        | {"settlings": 1, "assumed": True, "factor": 2.0},
        "seconds": 0.1,
    }
    if later is not None:
        plan |= _found(geometry, mounts, before, after, later, window, off_aim, needed, verdict)
    return Answer(question=question, plan=Plan.model_validate(plan))


def _found(
    geometry: tuple[float, float, float],
    mounts: Sequence[dict[str, Any]],
    before: dict[tuple[str, str], int],
    after: dict[tuple[str, str], int],
    later: Sequence[float],
    window: tuple[float | None, float | None],
    off_aim: tuple[float, float],
    needed: tuple[float, float] | None,
    verdict: str,
) -> dict[str, Any]:
    case = _case(geometry, later)
    at = case["centre_of_gravity"]["behind_front_axle"], case["centre_of_gravity"]["left_of_centre"]
    aim = [place - off if half is not None else None for place, off, half in zip(at, off_aim, window, strict=True)]
    # A fifth of the tolerance asked for is kept as a guard, so what is planned for is four fifths of it.
    ranges = [
        (middle - 0.8 * half, middle + 0.8 * half) if middle is not None and half is not None else None
        for middle, half in zip(aim, window, strict=True)
    ]
    wanted = [
        {
            "figure": figure, "dimension": "percent", "by": "ballast", "aim": 0.5, "within": 0.005, "guard": 0.001,
            "before": 0.5, "after": 0.5, "miss_points": 0.0, "outside_points": 0.0, "inside": abs(off) <= half,
            "uncertainty": 0.0005, "chance": 0.9,
        }
        for figure, half, off in zip(("front", "left"), window, off_aim, strict=True)
        if half is not None
    ]  # fmt: skip
    outline = [(mount["behind_front_axle"], mount["left_of_centre"]) for mount in mounts[:5]]
    reach = {
        "mass": 40.0,
        "needed": _point(needed if needed else (None, None)),
        "inside": True,
        "planned": _point(outline[0]),
        "outline": outline,
    }
    changes = [
        {"mount": mount, "plate": plate, "from": before.get((mount, plate), 0), "to": after.get((mount, plate), 0)}
        for mount, plate in sorted(before.keys() | after.keys())
        if before.get((mount, plate), 0) != after.get((mount, plate), 0)
    ]
    finding = {"about": "car", "dimension": "mass", "rule": "required total", "bound": "min", "clause": ""}
    finding |= {"verdict": verdict}
    numbers = {"measured": sum(later), "limit": sum(later), "margin": 0.0}
    return {
        "fit": [{"mount": mount, "plate": plate, "count": count} for (mount, plate), count in after.items()],
        "changes": changes,
        "cases": [case | {"uncertain": UNSURE}],
        "targets": wanted,
        "reach": reach,
        "tolerance": {"behind_front_axle": ranges[0], "left_of_centre": ranges[1], "aim": _point((aim[0], aim[1]))},
        "findings": [finding | numbers],
    }


def _point(place: tuple[float | None, float | None]) -> dict[str, float | None]:
    return {"behind_front_axle": place[0], "left_of_centre": place[1]}


def _case(geometry: tuple[float, float, float], loads: Sequence[float]) -> dict[str, Any]:
    """A car on its wheels, by levers."""
    left_front, right_front, left_rear, right_rear = loads
    wheelbase, front, rear = geometry
    total = sum(loads)
    diagonal = (right_front + left_rear) / total
    return {
        "name": "as weighed",
        "corner_loads": dict(zip(("LF", "RF", "LR", "RR"), loads, strict=True)),
        "total": total,
        "front_percent": (left_front + right_front) / total,
        "rear_percent": (left_rear + right_rear) / total,
        "left_percent": (left_front + left_rear) / total,
        "diagonal_percent": {"RF+LR": diagonal, "LF+RR": 1 - diagonal},
        "rear_pair": left_rear - right_rear,
        "centre_of_gravity": {
            "behind_front_axle": wheelbase * (left_rear + right_rear) / total,
            "left_of_centre": ((left_front - right_front) * front + (left_rear - right_rear) * rear) / 2 / total,
            "above_ground": None,
        },
    }
