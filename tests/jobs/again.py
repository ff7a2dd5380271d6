"""Cars weighed again with something wrong, by models of their own: arithmetic for one, four springs for another.

Nothing here asks the package how a car divides a mass. A re-weigh is what the car would show in truth, the noise of the
first weigh-in that the plan was built on, and the noise and the steps of the pads at each new settling.
"""

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.records.weighing import WeighIn
from tests.properties.test_full_model import Axle, Vehicle, at_rest

Array = NDArray[np.float64]
Thing = tuple[float, float, float]
"""A mass on the chassis: kg, m behind the front axle, m left of the centre line."""

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANS = Path(__file__).parent / "plans"
SETTLINGS = 3
STEP = 0.2
"""Of the pads. [kg]"""
WARP, TOTAL, FRONT, LEFT = 0.5, 0.2, 0.2, 0.2
"""Scatter of one settling, mostly warp: kg at each corner for warp, of the total, and moved from end to end and from
side to side. From memory: what pads of a class of 0.1 kg do on a good floor."""


@dataclass(frozen=True)
class Car:
    """A car of the examples with a plan, and a model of how it divides a mass."""

    done: Answer
    files: dict[str, Any]
    """the car file as it is written"""
    divide: Callable[[Thing], Array]
    """corner loads of a mass, (4,) [kg]"""
    tracks: float
    """front track over rear track"""

    @property
    def foreseen(self) -> Array:
        """What the plan says of its first state, (4,) [kg]: a start, of which every test knows how far it goes."""
        loads = self.done.plan.cases[0].corner_loads
        return np.array([loads.LF, loads.RF, loads.LR, loads.RR])

    def mount(self, name: str) -> tuple[float, float]:
        """Place of a mount, from mm in the file to m."""
        found = next(mount for mount in self.files["mounts"] if mount["name"] == name)
        return found["behind_front_axle"] / 1000, found["left_of_centre"] / 1000

    def fixing(self, name: str) -> float:
        """Hardware of a mount. [kg]"""
        found = next(mount for mount in self.files["mounts"] if mount["name"] == name)
        return float(found.get("fixing_mass", 0.0))

    def plate(self, name: str) -> float:
        """Mass of a plate. [kg]"""
        return float(next(plate["mass"] for plate in self.files["plates"] if plate["name"] == name))

    def loads(self, *things: Thing) -> Array:
        """Corner loads of some masses. [kg]"""
        return sum((self.divide(thing) for thing in things), np.zeros(4))

    def warped(self, kilograms: float) -> Array:
        """Warp: so much more on LF, as much less on RF, and at the rear as the tracks have it. [kg]"""
        return kilograms * np.array([1.0, -1.0, -self.tracks, self.tracks])


def by_roll_share(car: dict[str, Any]) -> Callable[[Thing], Array]:
    """dLF, dRF = m [(1 - aft/L)/2 +/- s left/tf], dLR, dRR = m [(aft/L)/2 +/- (1-s) left/tr], s half if not given."""
    length, front, rear = (car["car"][key] / 1000 for key in ("wheelbase", "track_front", "track_rear"))
    share = car.get("suspension", {}).get("front_roll_share", 50) / 100

    def divide(thing: Thing) -> Array:
        mass, aft, left = thing
        ahead, behind = (1 - aft / length) / 2, aft / length / 2
        couple, rest = share * left / front, (1 - share) * left / rear
        return mass * np.array([ahead + couple, ahead - couple, behind + rest, behind - rest])

    return divide


def by_four_springs(car: dict[str, Any]) -> Callable[[Thing], Array]:
    """The full model of tests/properties, bars disconnected; rates in the file in N/mm, twist in N m/deg."""
    vehicle = springs_of(car)
    return lambda thing: np.asarray(at_rest(vehicle, thing[0], (thing[1], thing[2])).loads)


def springs_of(car: dict[str, Any], bars: bool = False) -> Vehicle:
    """The full model of a car file with a beam axle behind."""
    suspension, length = car["suspension"], car["car"]["wheelbase"] / 1000
    axles = []
    for end, aft in (("front", 0.0), ("rear", length)):
        half, axle = car["car"][f"track_{end}"] / 2000, suspension[end]
        rate, tyre = 1000.0 * axle["springs"], 1000.0 * axle["tyres"]
        base = axle["spring_base"] / 1000 if "spring_base" in axle else None
        axles.append(
            Axle(
                places=((aft, half), (aft, -half)),
                rates=(rate, rate),
                ratios=(axle["motion_ratio"], axle["motion_ratio"]),
                bar=1000.0 * axle.get("bar", 0.0) if bars else 0.0,
                tyres=(tyre, tyre),
                spring_base=base,
            )
        )
    return Vehicle(axles[0], axles[1], True, suspension["chassis_twist"] * 180 / np.pi)


@cache
def planned(folder: str) -> Car:
    """An example with its saved plan: what goes wrong in these tests goes wrong with plates of that plan."""
    here, saved = EXAMPLES / folder, EXAMPLES / folder / "plan.json"
    answer = read_answer(saved if saved.exists() else PLANS / f"{folder}.json")
    car = tomllib.loads((here / "car.toml").read_text(encoding="utf-8"))
    divide = by_four_springs(car) if "front" in car.get("suspension", {}) else by_roll_share(car)
    return Car(answer, car, divide, car["car"]["track_front"] / car["car"]["track_rear"])


def settlings(car: Car, truth: Array, seed: int, warp: float = WARP, count: int = SETTLINGS) -> Array:
    """What the pads show: truth as the plan would have it, both weighings' noise, and steps. (count, 4) [kg]"""
    random = np.random.default_rng(seed)

    def noise(number: int, stretched: float) -> Array:
        size = random.normal(0.0, 1.0, (number, 4)) * [stretched, TOTAL / 4, FRONT / 4, LEFT / 4]
        ways = np.array([car.warped(1.0), [1, 1, 1, 1], [1, 1, -1, -1], [1, -1, 1, -1]])
        return np.asarray(size @ ways)

    first = noise(SETTLINGS, WARP).mean(axis=0)
    return np.asarray(np.round((truth + first + noise(count, warp)) / STEP) * STEP)


def weighed(readings: Array, **visit: Any) -> WeighIn:
    """A weigh-in file of the day after, in kg, m and L. Its other tables: fitted, fuel, pads, substitute."""
    tables: dict[str, Any] = {key: visit.pop(key) for key in ("fitted", "pads", "substitute") if key in visit}
    if not isinstance(visit.get("fuel", ""), str):
        tables["fuel"] = visit.pop("fuel")
    loads: Iterable[list[float]] = readings.tolist()
    return WeighIn.model_validate(
        {
            "units": {"mass": "kg", "length": "m", "volume": "L"},
            "weigh_in": {"date": "2026-04-18"} | visit,
            "readings": [dict(zip(("LF", "RF", "LR", "RR"), row, strict=True)) for row in loads],
        }
        | tables
    )
