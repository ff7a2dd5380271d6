"""One tiny car with two drivers and a tank, whose numbers are short in binary; and crews by the dozen, by seed.

Inside the program: kg, m, litres. The tiny crew car is the tiny car of `tests.planning.tiny` with a kit mount more.
"""

from typing import Any

import numpy as np
from numpy.random import Generator

from ballast.records.question import Question
from tests.planning import tiny
from tests.random_cars import RULED, UNITS

Table = dict[str, Any]

ADA: Table = {
    "name": "Ada",
    "mass": 64.0,
    "mass_within": 1.5,
    "insert_mass": 4.0,
    "behind_front_axle": 1.0,
    "left_of_centre": 0.25,
    "above_ground": 0.5,
    "pedals_behind_front_axle": 0.0,
    "at_pedals": 8.0,
    "driving_time": 3.0,
}
BO: Table = {
    "name": "Bo",
    "mass": 80.0,
    "mass_within": 0.75,
    "behind_front_axle": 1.0,
    "left_of_centre": 0.25,
    "above_ground": 0.5,
}
TANK: Table = {
    "name": "tank",
    "behind_front_axle": 1.5,
    "left_of_centre": -0.25,
    "above_ground": 0.25,
    "volume": 64.0,
    "at_flag": 8.0,
    "at_flag_within": 0.5,
    "sample": 4.0,
    "density": 0.75,
    "density_within": 0.03,
}
"""64 L at the start, 36 L half way to the 8 L of the flag, 4 L of them left when the sample is taken."""
KIT: Table = {
    "name": "sill",
    "behind_front_axle": 1.0,
    "left_of_centre": -0.5,
    "above_ground": 0.25,
    "capacity": 24.0,
    "fixing_mass": 1.0,
    "changes_with_driver": True,
}
FUEL: Table = {"volume": 20.0, "volume_within": 0.25}

ADA_SITS = np.array([26.25 + 5.5, 3.75 + 2.5, 18.75 + 0.5, 11.25 - 0.5])
"""Corner loads of Ada, by hand: 64 - 8 + 4 kg in the seat, 8 kg at the pedals on the front axle line, 0.25 m left.

Wheelbase 2 m, tracks 1 m, 3/4 of the roll stiffness in front. Seat, 60 kg midway: 15 on every corner, 60 x 0.25 x 3/4 =
11.25 to the left in front, 60 x 0.25 x 1/4 = 3.75 behind. Pedals: 4 on either front wheel, 1.5 and 0.5 to the left.
"""
BO_SITS = np.array([35.0, 5.0, 25.0, 15.0])
"""The same of Bo, 80 kg midway, all in the seat: 20 on every corner, 15 and 5 to the left."""
A_KILOGRAM_OF_FUEL = np.array([-0.0625, 0.3125, 0.3125, 0.4375])
"""Three quarters behind, and 0.25 m to the right: 0.1875 in front, 0.0625 behind."""
FOURS = np.array([2.5, -0.5, 3.5, 2.5])
"""Two fours on the seat mount, 1.5 m behind the axle and 0.25 m to the left."""
WEIGHED = np.array([200.0, 196.0, 200.0, 196.0])


def crew_question(
    *, car: Table | None = None, weigh_in: Table | None = None, rulebook: Table | None = None, **more: Any
) -> Question:
    """Ada and Bo; Bo sat in it at the weigh-in, with 20 L in the tank and two fours on the seat mount."""
    crew: Table = {"drivers": [ADA, BO], "tanks": [TANK], "mounts": [*tiny.CAR["mounts"], KIT]}
    crew["targets"] = tiny.CAR["targets"] | {"total": 784.0}
    visit = {"weigh_in": tiny.WEIGH_IN["weigh_in"] | {"driver": "in", "seated": "Bo"}, "fuel": FUEL}
    return Question.model_validate(
        {
            "car": tiny.CAR | crew | {"wishes": {"balance_resolution": 0.0078125}} | (car or {}),
            "weigh_in": tiny.WEIGH_IN | visit | (weigh_in or {}),
            "rulebook": rulebook,
        }
        | more
    )


def book(**rules: Any) -> Table:
    """A rulebook of an invented class with these tables."""
    return {"units": UNITS, "rulebook": {"name": "rules of an invented class"}} | rules


def changed(**tables: Any) -> Table:
    """A file of changes with these tables."""
    return {"units": UNITS} | tables


# --- by seed ---------------------------------------------------------------------------------------------------------


def random_crew(seed: int) -> Question:
    """A small crew car with rules for any state, ballast by rule, changed parts and any weigh-in, as seed has it."""
    rng = np.random.default_rng(seed)
    tanks = [_tank(rng, name) for name in ("left tank", "right tank")[: int(rng.integers(0, 3))]]
    drivers = [_driver(rng, name) for name in ("Ada", "Bo", "Cleo")[: int(rng.integers(0, 4))]]
    mounts = [_mount(rng, number, kit=number == 2 and bool(drivers)) for number in range(3)]
    plates = [
        {"name": "heavy", "mass": _tenth(rng, 4, 9), "count": 5, "thickness": 0.02},
        {"name": "light", "mass": _tenth(rng, 1, 3), "count": 5, "thickness": 0.01},
    ]
    car: Table = {
        "units": UNITS | {"volume": "L"},
        "car": {"name": f"crew car {seed}", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.4},
        "suspension": {"front_roll_share": _tenth(rng, 4, 7) / 10},
        "mounts": mounts,
        "plates": plates,
        "drivers": drivers,
        "tanks": tanks,
        "losses": [{"name": "tyre wear", "mass": 0.7}],
        "targets": {"front": {"aim": 0.5, "within": 0.005}, "left": {"aim": 0.5, "within": 0.005}},
        "wishes": {"crew": str(rng.choice(["worst", "by driving time"])) if drivers else "worst", "seconds": 20.0},
    }
    if tanks and rng.random() < 0.5:
        car["wishes"] |= {"balance_at": ["flag", "start"]}
    return Question.model_validate(
        {
            "car": car,
            "weigh_in": _weigh_in(rng, drivers, tanks),
            "rulebook": _rules(rng, bool(tanks)),
            "changed": _changes(rng, mounts, drivers) if rng.random() < 0.5 else None,
        }
    )


def _tenth(rng: Generator, low: float, high: float) -> float:
    return round(float(rng.uniform(low, high)), 1)


def _place(rng: Generator) -> Table:
    return {"behind_front_axle": _tenth(rng, 0.3, 2.4), "left_of_centre": _tenth(rng, -0.5, 0.5)}


def _driver(rng: Generator, name: str) -> Table:
    pedals = {"pedals_behind_front_axle": 0.2, "at_pedals": _tenth(rng, 5, 10)} if rng.random() < 0.5 else {}
    weight = {"mass": _tenth(rng, 60, 95), "mass_within": _tenth(rng, 0, 1), "insert_mass": _tenth(rng, 0, 4)}
    return {"name": name, "driving_time": float(rng.integers(1, 4))} | weight | pedals | _place(rng)


def _tank(rng: Generator, name: str) -> Table:
    held = {"volume": 60.0, "at_flag": _tenth(rng, 2, 6), "sample": _tenth(rng, 0, 3), "at_flag_within": 0.5}
    return {"name": name, "density": _tenth(rng, 7.2, 7.8) / 10} | held | _place(rng)


def _mount(rng: Generator, number: int, kit: bool) -> Table:
    place = {"behind_front_axle": _tenth(rng, -0.4, 2.9), "left_of_centre": _tenth(rng, -0.6, 0.6)}
    changes = {"changes_with_driver": kit and bool(rng.random() < 0.7)}
    return {"name": f"mount {number}", "capacity": 25.0, "fixing_mass": _tenth(rng, 0, 1)} | place | changes


def _weigh_in(rng: Generator, drivers: list[Table], tanks: list[Table]) -> Table:
    total, seat = 1000.0, str(rng.choice(["seated", "substitute", "out"] if drivers else ["nobody named", "out"]))
    visit: Table = {"date": tiny.WEIGH_IN["weigh_in"]["date"], "driver": "out" if seat == "out" else "in"}
    visit |= {"spares": 1, "spare_mass": 9.0} if rng.random() < 0.5 else {}
    found: Table = {"units": UNITS | {"volume": "L"}}
    if seat == "nobody named" and rng.random() < 0.5:
        visit["driver_mass"] = 75.0
    if seat == "seated":
        visit["seated"] = drivers[-1]["name"]
    if seat == "substitute":
        found["substitute"] = {"mass": 75.0, "mass_within": 0.2} | _place(rng)
    if tanks and rng.random() < 0.7:
        found["fuel"] = [{"tank": tank["name"], "volume": _tenth(rng, 0, 60)} for tank in tanks]
    elif tanks or rng.random() < 0.5:
        visit["fuel"] = str(rng.choice(["full", "drained", "as it finishes"]))
    corners = total / 4 + np.round(rng.normal(0, 8, (3, 1, 4)).mean(axis=0) + rng.normal(0, 0.3, (3, 4)), 1)
    found["readings"] = [dict(zip(("LF", "RF", "LR", "RR"), map(float, row), strict=True)) for row in corners]
    found["fitted"] = [{"mount": "mount 0", "plate": "heavy", "count": 2, "stay": 1}]
    return found | {"weigh_in": visit}


def _rules(rng: Generator, tanks: bool) -> Table:
    fuels = [None, "drained", "full", "as it finishes"] if tanks else [None]

    def state() -> Table:
        driver = str(rng.choice(["in", "out"]))
        spares = int(rng.integers(0, 2)) if rng.random() < 0.3 else None
        return RULED | {"driver": driver, "fuel": fuels[rng.integers(len(fuels))], "spares": spares}

    mass = {"in": 985.0, "out": 915.0}
    minima = []
    for number in range(int(rng.integers(1, 3))):
        here = state()
        minima.append(here | {"name": f"minimum {number}", "mass": mass[here["driver"]]})
    rules: Table = {"minimum_weight": minima}
    if rng.random() < 0.5:
        rules["front_axle"] = state() | {"least": 400.0}
        rules["left_share"] = state() | {"greatest": 0.56}
    if rng.random() < 0.5:
        place = _place(rng) if rng.random() < 0.5 else {}
        rules["success_ballast"] = RULED | {"mass": 5.0, "on_top": bool(rng.random() < 0.5)} | place
    if rng.random() < 0.7:
        way = str(rng.choice(["each driver", "crew mean", "team total"]))
        reference = 240.0 if way == "team total" else 82.0
        rules["driver_ballast"] = RULED | {
            "way": way,
            "reference": reference,
            "rounding": "up",
            "step": 1.0,
            "counted": 3 if way == "team total" else None,
            "on_top": bool(rng.random() < 0.5),
        }
        rules["driver_ballast"] |= _place(rng) if rng.random() < 0.5 else {}
    return book(**rules)


def _changes(rng: Generator, mounts: list[Table], drivers: list[Table]) -> Table:
    start, end = _place(rng), _place(rng)
    placed: list[Table] = [{"mount": "mount 1", "plate": "light", "count": 1}]
    if mounts[2]["changes_with_driver"]:
        placed.append({"mount": "mount 2", "plate": "light", "count": 2, "driver": drivers[0]["name"]})
    return changed(
        removed=[{"name": "seat", "mass": 6.0} | _place(rng)],
        added=[{"name": "brake disc", "mass": 2.5, "carried_by": "LR"}, {"name": "battery", "mass": 7.5} | _place(rng)],
        moved=[{"name": "bottle", "mass": 3.0, "from": start, "to": end}],
        placed=placed,
    )
