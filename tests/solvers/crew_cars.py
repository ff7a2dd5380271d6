"""Invented endurance cars with a crew and a tank, by seed and size: for another solver, and for the clock.

Nothing here knows the planner. Masses are in kg, lengths in m and volumes in L, as they are inside the program; plates
weigh what a scale says of them, 9.96 kg and not 10.
"""

from datetime import date
from typing import Any

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from ballast.records.crew import FuelPoint
from ballast.records.question import Question

Table = dict[str, Any]
Loads = NDArray[np.float64]

UNITS = {"mass": "kg", "length": "mm", "volume": "L"}
BOOK: Table = {"clause": "4.1", "source": "rules of an invented twelve hours", "checked": date(2026, 3, 1)}
NAMES = ("Ada", "Bo", "Cleo", "Dov", "Eir", "Finn")
PLACES = (
    ("seat box right", 1.35, -0.60, 0.12),
    ("seat box left", 1.30, 0.10, 0.12),
    ("nose tray", -0.45, 0.0, 0.14),
    ("boot left", 2.75, 0.40, 0.22),
    ("floor left", 1.10, 0.50, 0.08),
    ("boot right", 2.75, -0.40, 0.22),
    ("splitter right", -0.15, -0.35, 0.10),
    ("splitter left", -0.15, 0.35, 0.10),
    ("sill right", 1.70, -0.65, 0.10),
    ("sill left", 1.70, 0.65, 0.10),
    ("tail", 3.05, 0.0, 0.25),
    ("bulkhead", 0.55, 0.10, 0.30),
    ("gearbox left", 2.30, 0.20, 0.18),
    ("gearbox right", 2.30, -0.20, 0.18),
    ("dash", 0.80, 0.30, 0.60),
    ("roof hoop", 1.60, 0.20, 1.00),
)
"""Name, behind the front axle line, left of the centre line, above the ground [m]; the first ones are kit mounts."""
STAMPED = (5.0, 2.0, 10.0, 1.0, 2.5, 0.5, 7.5, 4.0)
"""What the kinds of plate are called; a scale reads a little beside it. [kg]"""
PETROL = 0.75
"""[kg/L], the tank's own default"""
WEIGHED_WITH = 50.0
"""Fuel at the weigh-in. [L]"""


def crew_question(
    seed: int,
    mounts: int = 12,
    kinds: int = 6,
    drivers: int = 4,
    kit_mounts: int = 2,
    points: tuple[FuelPoint, ...] = ("start", "balance", "flag"),
) -> Question:
    """A car whose minimum holds at the flag with each driver in, and whose targets are asked for at some fuel points.

    Minimum and aims are what a set-up drawn by chance gives with a driver of middle mass and half a tank. For one car
    in three the aims are then moved by up to a point, mostly out of reach.
    """
    rng = np.random.default_rng(seed)
    car: Table = {
        "units": UNITS,
        "car": {
            "name": f"Pike GTE, number {seed}",
            "wheelbase": _hundredth(rng.uniform(2.55, 2.65)),
            "track_front": _hundredth(rng.uniform(1.58, 1.64)),
            "track_rear": _hundredth(rng.uniform(1.56, 1.62)),
        },
        "suspension": {"front_roll_share": _hundredth(rng.uniform(0.48, 0.58))},
        "drivers": [_driver(rng, name) for name in NAMES[:drivers]],
        "tanks": [_tank(rng)],
        "mounts": [_mount(rng, number, kit=number < kit_mounts) for number in range(mounts)],
        "plates": [_plate(rng, number) for number in range(kinds)],
        "margin": {"total": 1.0},
        "wishes": {"balance_at": points},
    }
    loads = _bare(rng)
    first, tank = car["drivers"][0], car["tanks"][0]
    fitted = _set_up(rng, car, 0.5)
    weighed = loads + _put(car, [(first["mass"], first), (PETROL * WEIGHED_WITH, tank), *_standing(car, fitted)])
    wanted = _set_up(rng, car, 1.0)
    middle = float(np.mean([driver["mass"] for driver in car["drivers"]]))
    aboard = [(middle, first), *_standing(car, wanted)]
    at_flag = loads + _put(car, [*aboard, (PETROL * tank["at_flag"], tank)])
    half_full = loads + _put(car, [*aboard, (PETROL * (tank["volume"] + tank["at_flag"]) / 2, tank)])
    car["targets"] = _targets(rng, half_full)
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14), "driver": "in", "seated": first["name"]},
        "fuel": [{"volume": WEIGHED_WITH}],
        "readings": _readings(rng, weighed),
        "fitted": [
            row for row in fitted if row["mount"] not in [place["name"] for place in car["mounts"][:kit_mounts]]
        ],
    }
    rulebook = {
        "units": UNITS,
        "rulebook": {"name": "twelve hours of an invented class"},
        "minimum_weight": BOOK | {"mass": round(float(at_flag.sum()) - 2.5), "driver": "in"},
    }
    return Question.model_validate({"car": car, "weigh_in": weigh_in, "rulebook": rulebook})


def _hundredth(value: float) -> float:
    return round(float(value), 2)


def _driver(rng: Generator, name: str) -> Table:
    return {
        "name": name,
        "mass": round(float(rng.uniform(62.0, 92.0)), 1),
        "behind_front_axle": _hundredth(rng.uniform(1.36, 1.44)),
        "left_of_centre": -0.36,
        "above_ground": 0.45,
        "pedals_behind_front_axle": 0.3,
        "driving_time": float(rng.integers(2, 5)),
    }


def _tank(rng: Generator) -> Table:
    return {
        "name": "tank",
        "volume": 100.0,
        "at_flag": float(rng.integers(3, 7)),
        "at_flag_within": 1.0,
        "behind_front_axle": _hundredth(rng.uniform(1.5, 1.6)),
        "left_of_centre": _hundredth(rng.uniform(-0.05, 0.05)),
        "above_ground": 0.3,
        "density": PETROL,
    }


def _mount(rng: Generator, number: int, kit: bool) -> Table:
    name, aft, left, up = PLACES[number]
    return {
        "name": name,
        "behind_front_axle": _hundredth(aft + rng.uniform(-0.05, 0.05)),
        "left_of_centre": _hundredth(left + rng.uniform(-0.03, 0.03)) if left else 0.0,
        "above_ground": up,
        "capacity": float(rng.integers(14, 30)),
        "stack": round(float(rng.uniform(0.06, 0.12)), 3) if rng.random() < 0.3 else None,
        "fixing_mass": _hundredth(rng.uniform(0.3, 0.9)) if kit or rng.random() < 0.6 else 0.0,
        "changes_with_driver": kit,
    }


def _plate(rng: Generator, number: int) -> Table:
    stamped = STAMPED[number]
    return {
        "name": f"{stamped:g} kg",
        "mass": _hundredth(stamped * (1 + rng.uniform(-0.012, 0.006))),
        "count": int(rng.integers(4, 9)),
        "thickness": round(0.004 + 0.002 * stamped, 3),
        "mass_within": 0.01,
    }


def _bare(rng: Generator) -> Loads:
    """An empty car without driver and fuel, a little tail-heavy and heavier on the left. [kg]"""
    total, front, left = rng.uniform(1040, 1120), rng.uniform(0.455, 0.475), rng.uniform(0.505, 0.52)
    twist = rng.uniform(-0.004, 0.004)
    shares = [front * left + twist, front * (1 - left) - twist, (1 - front) * left - twist]
    return total * np.array([*shares, 1 - sum(shares)])


def _set_up(rng: Generator, car: Table, part: float) -> list[Table]:
    """Plates stood at random on mounts that take them, one after another, until part of the wanted mass is aboard."""
    wanted, aboard = part * rng.uniform(45.0, 70.0), 0.0
    counts: dict[tuple[str, str], int] = {}
    left = {plate["name"]: plate["count"] for plate in car["plates"]}
    mass = {mount["name"]: mount["capacity"] - mount["fixing_mass"] for mount in car["mounts"]}
    height = {mount["name"]: mount["stack"] or 1.0 for mount in car["mounts"]}
    for _ in range(200):
        plate = car["plates"][int(rng.integers(len(car["plates"])))]
        mount, kind = car["mounts"][int(rng.integers(len(car["mounts"])))]["name"], plate["name"]
        fits = plate["mass"] <= mass[mount] and plate["thickness"] <= height[mount] and left[kind] > 0
        if fits and aboard + plate["mass"] <= wanted:
            left[kind] -= 1
            mass[mount] -= plate["mass"]
            height[mount] -= plate["thickness"]
            counts[mount, kind] = counts.get((mount, kind), 0) + 1
            aboard += plate["mass"]
    return [{"mount": mount, "plate": plate, "count": count} for (mount, plate), count in counts.items()]


def _standing(car: Table, rows: list[Table]) -> list[tuple[float, Table]]:
    """Masses and places of a set-up, hardware included."""
    mounts = {mount["name"]: mount for mount in car["mounts"]}
    mass = {plate["name"]: plate["mass"] for plate in car["plates"]}
    used = dict.fromkeys(row["mount"] for row in rows)
    plates = [(mass[row["plate"]] * row["count"], mounts[row["mount"]]) for row in rows]
    return plates + [(mounts[name]["fixing_mass"], mounts[name]) for name in used]


def _put(car: Table, masses: list[tuple[float, Table]]) -> Loads:
    """Corner loads of masses at places: moments, and the roll moment by the front share (physics.md section 3). [kg]"""
    chassis, share = car["car"], car["suspension"]["front_roll_share"]
    loads = np.zeros(4)
    for mass, place in masses:
        behind = place["behind_front_axle"] / chassis["wheelbase"]
        front = share * place["left_of_centre"] / chassis["track_front"]
        rear = (1 - share) * place["left_of_centre"] / chassis["track_rear"]
        halves = ((1 - behind) / 2, behind / 2)
        loads += mass * np.array([halves[0] + front, halves[0] - front, halves[1] + rear, halves[1] - rear])
    return loads


def _targets(rng: Generator, loads: Loads) -> Table:
    """Aims to a tenth of a point, as people write them."""
    away = rng.uniform(-0.01, 0.01, 3) * float(rng.random() < 1 / 3)
    shares = [float(loads[pair].sum() / loads.sum()) for pair in ([0, 1], [0, 2], [1, 2])]
    front, left, diagonal = (round(share + float(off), 3) for share, off in zip(shares, away, strict=True))
    return {
        "front": {"aim": front, "within": 0.005},
        "left": {"aim": left, "within": 0.003},
        "diagonal": {"aim": diagonal, "within": 0.005, "corners": "RF+LR"},
    }


def _readings(rng: Generator, loads: Loads) -> list[Table]:
    """Three settlings: the total repeats to 0.2 kg, friction moves 0.4 kg between diagonals, pads show 0.1 kg."""
    found = []
    for _ in range(3):
        settled = loads + rng.normal(0, 0.1, 4) + rng.normal(0, 0.4) * np.array([1.0, -1.0, -1.0, 1.0]) / 2
        found.append(
            {corner: round(float(load), 1) for corner, load in zip(("LF", "RF", "LR", "RR"), settled, strict=True)}
        )
    return found
