"""Families of invented questions by size: one car in one state, plates that are weighed one by one, crews.

A question is drawn by family, kind of target and seed. Masses in kg, lengths in m, volumes in L.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, get_args

import numpy as np
from numpy.random import Generator

from ballast.planning.task import task
from ballast.records.crew import FuelPoint
from ballast.records.question import Question
from tests.solvers import crew_cars as invented
from tests.solvers.crew_cars import Loads, Table

Kind = Literal["reachable", "unreachable", "barely legal"]
KINDS: tuple[Kind, ...] = get_args(Kind)
POINTS: dict[int, tuple[FuelPoint, ...]] = {
    1: ("balance",),
    2: ("balance", "flag"),
    3: ("start", "balance", "flag"),
}
"""Where in the stint the targets are asked for, by how many states of the fuel that is."""
STAMPED = (5.0, 2.0, 10.0, 1.0, 2.5, 0.5, 7.5, 4.0, 3.0, 6.0, 1.5, 8.0, 0.75, 9.0, 4.5, 3.5)
"""What kinds of plate are called; a scale reads a little beside it. [kg]"""
BY_ONE = (10.0,) * 4 + (7.5,) * 4 + (5.0,) * 6 + (2.5,) * 6 + (1.0,) * 6
"""Plates that are weighed one by one, as they are called. [kg]"""
SPARE = 0.3
"""What a car that is barely legal has over the required total, as full as chance could fill it. [kg]"""
TRIES = 20
"""How often chance may fill a car; the fullest counts."""


@dataclass(frozen=True)
class Family:
    """One size of question: mounts and kinds of plate, and a crew where there is one."""

    mounts: int
    kinds: int
    drivers: int = 0
    points: int = 0
    """states of the fuel in which the targets are asked for"""
    by_one: bool = False
    """every plate is weighed and is a kind of its own"""

    @property
    def name(self) -> str:
        """single-12x6, weighed-12x26, or crew-4x3-12x6: drivers x fuel states, then mounts x kinds of plate."""
        crew = f"crew-{self.drivers}x{self.points}-" if self.drivers else ""
        return (crew or ("weighed-" if self.by_one else "single-")) + f"{self.mounts}x{self.kinds}"


FAMILIES: dict[str, Family] = {
    family.name: family
    for family in (
        *(Family(mounts, kinds) for mounts, kinds in ((6, 4), (12, 6), (30, 8), (120, 8))),
        Family(12, len(BY_ONE), by_one=True),
        *(
            Family(mounts, kinds, drivers, points)
            for drivers, points in ((2, 2), (4, 3), (6, 3))
            for mounts, kinds in ((12, 6), (16, 8), (24, 8))
        ),
    )
}


def question(family: Family, kind: Kind, seed: int, seconds: float = 10.0) -> Question:
    """The question of a family, a kind of target and a seed.

    Minimum and aims are what a set-up drawn by chance gives, with a driver of middle mass and half a tank. Unreachable:
    every aim is moved away by two to four points. Barely legal: the set-up is as full as chance could make it, and the
    lightest driver has just SPARE over the required total with it.
    """
    size = (family.mounts, family.kinds, family.drivers, family.points, family.by_one)
    rng = np.random.default_rng((seed, KINDS.index(kind), *map(int, size)))
    car: Table = {
        "units": invented.UNITS,
        "car": {
            "name": f"{family.name}, {kind}, number {seed}",
            "wheelbase": _hundredth(rng.uniform(2.55, 2.65)),
            "track_front": _hundredth(rng.uniform(1.58, 1.64)),
            "track_rear": _hundredth(rng.uniform(1.56, 1.62)),
        },
        "suspension": {"front_roll_share": _hundredth(rng.uniform(0.48, 0.58))},
        "mounts": _mounts(rng, family),
        "plates": _plates(rng, family),
        "margin": {"total": 1.0},
        "wishes": {"seconds": seconds},
    }
    if family.drivers:
        names = invented.NAMES[: family.drivers]
        car["drivers"] = [invented._driver(rng, name) for name in names]
        car["tanks"] = [invented._tank(rng)]
        car["wishes"]["balance_at"] = POINTS[family.points]
    wanted = _full(rng, car) if kind == "barely legal" else invented._set_up(rng, car, 1.0)
    return _asked(rng, car, wanted, kind)


def _asked(rng: Generator, car: Table, wanted: list[Table], kind: Kind) -> Question:
    """A weigh-in of the car with some plates fitted, and the rulebook and targets that a wanted set-up just meets."""
    loads, fitted = invented._bare(rng), invented._set_up(rng, car, 0.5)
    at_weigh_in, at_flag, in_between = [], [], []
    weigh_in: Table = {"units": invented.UNITS, "weigh_in": {"date": date(2026, 3, 14), "driver": "in"}}
    if "drivers" in car:
        first, tank = car["drivers"][0], car["tanks"][0]
        middle = float(np.mean([driver["mass"] for driver in car["drivers"]]))
        half = (tank["volume"] + tank["at_flag"]) / 2
        at_weigh_in = [(first["mass"], first), (invented.PETROL * invented.WEIGHED_WITH, tank)]
        at_flag = [(middle, first), (invented.PETROL * tank["at_flag"], tank)]
        in_between = [(middle, first), (invented.PETROL * half, tank)]
        weigh_in["weigh_in"]["seated"] = first["name"]
        weigh_in["fuel"] = [{"volume": invented.WEIGHED_WITH}]
    else:  # somebody sits in the car and stays there
        loads = loads + 78.0 / 4
    on_board = invented._standing(car, wanted)
    car["targets"] = _targets(rng, loads + invented._put(car, [*in_between, *on_board]), kind == "unreachable")
    kits = [mount["name"] for mount in car["mounts"] if mount["changes_with_driver"]]
    weighed = loads + invented._put(car, [*at_weigh_in, *invented._standing(car, fitted)])
    weigh_in["readings"] = invented._readings(rng, weighed)
    weigh_in["fitted"] = [row for row in fitted if row["mount"] not in kits]
    minimum = round(float((loads + invented._put(car, [*at_flag, *on_board])).sum()) - 2.5)
    rulebook: Table = {
        "units": invented.UNITS,
        "rulebook": {"name": "rules of an invented class"},
        "minimum_weight": invented.BOOK | {"mass": float(minimum), "driver": "in"},
    }
    tables = {"car": car, "weigh_in": weigh_in, "rulebook": rulebook}
    if kind == "barely legal":
        over = _over(Question.model_validate(tables), sum(mass for mass, _ in on_board))
        rulebook["minimum_weight"]["mass"] = float(np.floor(10 * (minimum + over - SPARE))) / 10
    return Question.model_validate(tables)


def _over(asked: Question, on_board: float) -> float:
    """What a mass on the mounts is over the required total, in the legal state where it is least over. [kg]

    The planner is asked what it requires: how full a car has to be is no secret that a benchmark has to keep.
    """
    legal = [case for case in task(asked).cases if case.legal]
    return min(float(case.bare_loads.sum()) + on_board - case.required for case in legal)


def _full(rng: Generator, car: Table) -> list[Table]:
    """The fullest of some set-ups that chance has stood on the car until nothing more went on. [kg]"""
    tried = [invented._set_up(rng, car, 100.0) for _ in range(TRIES)]
    return max(tried, key=lambda rows: sum(mass for mass, _ in invented._standing(car, rows)))


def _mounts(rng: Generator, family: Family) -> list[Table]:
    """The places that every invented car has, then holes of a plate under the floor, all over it.

    The first two change with the driver where there is a crew.
    """
    named = [invented._mount(rng, m, kit=bool(family.drivers) and m < 2) for m in range(min(family.mounts, 16))]
    holes = [
        {
            "name": f"floor {number:03d}",
            "behind_front_axle": _hundredth(0.3 + 0.05 * (number // 4) + rng.uniform(0.0, 0.02)),
            "left_of_centre": (-0.5, -0.2, 0.2, 0.5)[number % 4],
            "above_ground": 0.08,
            "capacity": float(rng.integers(8, 22)),
            "stack": 0.05 if rng.random() < 0.3 else None,
            "fixing_mass": 0.15,
            "changes_with_driver": False,
        }
        for number in range(family.mounts - len(named))
    ]
    return [*named, *holes]


def _plates(rng: Generator, family: Family) -> list[Table]:
    """Plates of a kind weigh alike to a hundredth; those that are weighed one by one are a little off each."""
    stamped = BY_ONE if family.by_one else STAMPED[: family.kinds]
    return [
        {
            "name": f"plate {number:02d}" if family.by_one else f"{called:g} kg",
            "mass": _hundredth(called * (1 + rng.uniform(-0.012, 0.006))),
            "count": 1 if family.by_one else int(rng.integers(4, 9)),
            "thickness": round(0.004 + 0.002 * called, 4),
            "mass_within": 0.01,
        }
        for number, called in enumerate(stamped)
    ]


def _targets(rng: Generator, loads: Loads, far: bool) -> dict[str, Any]:
    """Aims to a tenth of a point, as people write them; far ones lie two to four points off, to either side."""
    away = far * rng.uniform(0.02, 0.04, 3) * rng.choice([-1.0, 1.0], 3)
    shares = [float(loads[pair].sum() / loads.sum()) for pair in ([0, 1], [0, 2], [1, 2])]
    front, left, diagonal = (round(share + float(off), 3) for share, off in zip(shares, away, strict=True))
    return {
        "front": {"aim": front, "within": 0.005},
        "left": {"aim": left, "within": 0.003},
        "diagonal": {"aim": diagonal, "within": 0.005, "corners": "RF+LR"},
    }


def _hundredth(value: float) -> float:
    return round(float(value), 2)
