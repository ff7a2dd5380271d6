"""Plans of cars on springs, from the question to the answer: which bars, whose range, how sure, for every driver.

Source: the full model of the property tests, first principles, and arithmetic by hand; the example car is invented.
"""

from dataclasses import replace
from datetime import date
from math import sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.jobs.predict import predict
from ballast.physics.stance import front_roll_share, shares
from ballast.physics.statics import Array
from ballast.planning.stances import stance
from ballast.records import files
from ballast.records.question import Question
from ballast.records.suspension import Learned
from ballast.records.weighed import CaseLoads
from tests.properties.test_full_model import ORDER, Axle, Vehicle, at_rest

COUPE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
UNITS = {"mass": "kg", "length": "m"}
LENGTH, TRACK = 2.5, 1.5
FRONT = Axle(((0.0, 0.75), (0.0, -0.75)), (60e3, 60e3), (0.8, 0.8), 30e3, (220e3, 220e3), None)
REAR = Axle(((2.5, 0.75), (2.5, -0.75)), (50e3, 50e3), (1.0, 1.0), 0.0, (220e3, 220e3), 1.0)
CAR = Vehicle(FRONT, REAR, True, 4e5)
"""Of the full model; the bar connected."""
SUSPENSION: dict[str, Any] = {
    "chassis_twist": 4e5,
    "front": {"springs": 60e3, "motion_ratio": 0.8, "bar": 30e3, "tyres": 220e3},
    "rear": {"springs": 50e3, "tyres": 220e3, "axle": "beam", "spring_base": 1.0},
}
"""The same in the words of the files."""
SEAT = {"behind_front_axle": 1.2, "left_of_centre": 0.4}
TANK = {"behind_front_axle": 2.3, "left_of_centre": -0.3}
TWENTY = {"placed": [{"mount": "seat", "plate": "ten", "count": 2}]}
KILOGRAMS = 1e-6


def question(
    bars: str = "connected", crew: bool = False, within: float = 0.1, changed: dict[str, Any] | None = None
) -> Question:
    """1000 kg weighed three times alike; ten-kilogram plates on the left floor and in the boot."""
    car: dict[str, Any] = {
        "units": UNITS,
        "car": {"name": "an invented car", "wheelbase": LENGTH, "track_front": TRACK, "track_rear": TRACK},
        "suspension": SUSPENSION | {"rates_within": within},
        "mounts": [
            {"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 60.0},
            {"name": "boot", "behind_front_axle": 2.8, "left_of_centre": -0.4, "capacity": 40.0},
        ],
        "plates": [{"name": "ten", "mass": 10.0, "count": 6}],
        "targets": {"total": 1030.0, "left": {"aim": 0.5, "within": 0.01}},
    }
    weigh_in: dict[str, Any] = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14), "bars": bars},
        "readings": [{"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}] * 3,
    }
    if crew:
        car["drivers"] = [{"name": "Ada", "mass": 62.0} | SEAT, {"name": "Bo", "mass": 84.0} | SEAT]
        car["tanks"] = [{"name": "tank", "volume": 60.0, "density": 0.75, "at_flag": 4.0} | TANK]
        weigh_in["weigh_in"] |= {"driver": "in", "seated": "Ada"}
        weigh_in["fuel"] = {"volume": 20.0}
    more = {"changed": {"units": UNITS} | changed} if changed else {}
    return Question.model_validate({"car": car, "weigh_in": weigh_in} | more)


def pads(case: CaseLoads) -> Array:
    """Corner loads in order. (4,) [kg]"""
    return np.array([getattr(case.corner_loads, corner) for corner in ORDER])


def put_on(car: Vehicle, *things: tuple[float, float, float]) -> Array:
    """What masses (kg, aft, left) put on the pads by the full model. (4,) [kg]"""
    return sum((at_rest(car, kg, (aft, left)).loads for kg, aft, left in things), np.zeros(4))


def disconnected(car: Vehicle) -> Vehicle:
    """The same with its bars off."""
    return replace(car, front=replace(car.front, bar=0.0), rear=replace(car.rear, bar=0.0))


def stiffer(front: float, rear: float) -> Vehicle:
    """The car with springs and bars of its axles scaled, not its tyres."""

    def axle(one: Axle, by: float) -> Axle:
        return replace(one, rates=(by * one.rates[0], by * one.rates[1]), bar=by * one.bar)

    return replace(CAR, front=axle(CAR.front, front), rear=axle(CAR.rear, rear))


@pytest.mark.parametrize("bars", ["connected", "disconnected"])
def test_a_plan_holds_for_the_bars_at_the_weigh_in(bars: str) -> None:
    """First principles: the loads of a plan are those of its plates on the car with its bars as they were."""
    found = plan(question(bars)).plan
    car = CAR if bars == "connected" else disconnected(CAR)
    places = {"seat": (1.0, 0.5), "boot": (2.8, -0.4)}
    added = put_on(car, *((10.0 * row.count, *places[row.mount]) for row in found.fit))
    assert pads(found.cases[0]) == pytest.approx(250 + added, abs=KILOGRAMS)
    assert found.roll_share.known_by == "springs"


def test_the_bars_make_a_difference() -> None:
    """First principles: 20 kg left of the centre put more on LF with a bar in front than without."""
    on, off = (pads(predict(question(bars, changed=TWENTY)).after) for bars in ("connected", "disconnected"))
    assert on == pytest.approx(250 + put_on(CAR, (20.0, 1.0, 0.5)), abs=KILOGRAMS)
    assert off == pytest.approx(250 + put_on(disconnected(CAR), (20.0, 1.0, 0.5)), abs=KILOGRAMS)
    assert on[0] - off[0] > 0.5


def test_every_driver_at_every_point_of_the_stint() -> None:
    """First principles: seat, fuel and plates of each state on the full model. Weighed with Ada and 20 L.

    Bo is 22 kg more in the seat; 60 L at the start are 30 kg more, 32 L half way 9 kg, 4 L at the flag 12 kg less.
    """
    found = plan(question(crew=True)).plan
    seat, tank = (
        (SEAT["behind_front_axle"], SEAT["left_of_centre"]),
        (TANK["behind_front_axle"], TANK["left_of_centre"]),
    )
    places = {"seat": (1.0, 0.5), "boot": (2.8, -0.4)}
    plates = put_on(CAR, *((10.0 * row.count, *places[row.mount]) for row in found.fit))
    fuel = {"start": 30.0, "balance": 9.0, "flag": -12.0}
    assert len(found.cases) == 6
    for case in found.cases:
        assert case.fuel is not None
        since = put_on(CAR, (22.0 if case.driver == "Bo" else 0.0, *seat), (fuel[case.fuel], *tank))
        assert pads(case) == pytest.approx(250 + plates + since, abs=KILOGRAMS)


def test_both_edges_of_the_rates() -> None:
    """First principles: half of what the full model moves by with rates 5 % off, front against rear, and by name."""
    found = predict(question(changed=TWENTY))
    half = (put_on(stiffer(1.05, 0.95), (20.0, 1.0, 0.5)) - put_on(stiffer(0.95, 1.05), (20.0, 1.0, 0.5))) / 2
    low, high = found.range
    assert pads(low) == pytest.approx(pads(found.after) - half, abs=KILOGRAMS)
    assert pads(high) == pytest.approx(pads(found.after) + half, abs=KILOGRAMS)
    assert high.corner_loads.LF > low.corner_loads.LF
    assert (low.name, high.name) == (
        "rates in front 5 % low, behind 5 % high",
        "rates in front 5 % high, behind 5 % low",
    )


def test_how_sure_the_diagonal_is() -> None:
    """JCGM 100, 4.3.7: what lies within w either way has the standard uncertainty w/sqrt 3; LR less RR moves by 2 w.

    Of a car weighed three times alike everything else is the same for both, so the squares differ by that alone.
    """

    def of_pair(within: float) -> float:
        return predict(question(within=within, changed=TWENTY)).uncertain.rear_pair

    def off(within: float) -> float:
        loads = [put_on(stiffer(1 + way, 1 - way), (20.0, 1.0, 0.5)) for way in (within / 2, -within / 2)]
        return float(loads[0][0] - loads[1][0]) / 2

    wider = sqrt(of_pair(0.2) ** 2 - of_pair(0.05) ** 2)
    assert wider == pytest.approx(sqrt(4 * (off(0.2) ** 2 - off(0.05) ** 2) / 3), rel=1e-9)


@pytest.mark.parametrize(
    ("suspension", "known_by", "names"),
    [
        ({}, "assumption", ("front roll share 35 %", "front roll share 65 %")),
        ({"front_roll_share": 0.6}, "roll share", ("front roll share 55 %", "front roll share 65 %")),
        (
            SUSPENSION
            | {
                "learned": {
                    "at_front_axle": 0.004,
                    "at_rear_axle": -0.006,
                    "to_the_left": 0.03,
                    "within": [0.003, 0.003, 0.005],
                }
            },
            "trial weights",
            ("trial weights, one edge", "trial weights, the other edge"),
        ),
        (SUSPENSION | {"front_roll_share": 0.6}, "roll share", ("front roll share 55 %", "front roll share 65 %")),
    ],
)
def test_what_was_measured_goes_first_in_a_plan(
    suspension: dict[str, Any], known_by: str, names: tuple[str, str]
) -> None:
    """Trial weights, a roll share, rates, a guess: whichever is best known, and the plan says which."""
    asked = question()
    found = plan(asked.replace(car=asked.car.replace(suspension=suspension))).plan
    assert found.roll_share.known_by == known_by
    assert tuple(case.name for case in found.range) == names


def test_what_trial_weights_leave_open() -> None:
    """By hand, 20 kg midway, half a track left: 10 x 0.003, 10 x 0.004, 20 x 0.005 kg, as squares 0.1118 kg on LF."""
    learned = {"at_front_axle": 0.0, "at_rear_axle": 0.0, "to_the_left": 0.02, "within": [0.003, 0.004, 0.005]}
    asked = question(changed={"added": [{"name": "box", "mass": 20.0, "place_within": 0.0} | MIDWAY]})
    found = predict(asked.replace(car=asked.car.replace(suspension={"learned": learned})))
    width = sqrt((10 * 0.003) ** 2 + (10 * 0.004) ** 2 + (20 * 0.005) ** 2)
    foreseen = 250 + 20 * (0.5 + 0.02)
    on_lf = [case.corner_loads.LF for case in (found.range[0], found.after, found.range[1])]
    assert on_lf == pytest.approx([foreseen - width, foreseen, foreseen + width], abs=1e-9)


MIDWAY = {"behind_front_axle": 1.25, "left_of_centre": 0.75}
"""Four equal springs carry half of a mass here on either left wheel."""


def test_the_invented_coupe() -> None:
    """The example with a beam axle, by the full model: as weighed with the bars off, twist and tyres and all."""
    asked = files.read_question(COUPE / "car.toml", COUPE / "weigh-in.toml", COUPE / "rulebook.toml")
    found = plan(asked).plan
    front = Axle(((0.0, 0.74), (0.0, -0.74)), (75e3, 75e3), (0.82, 0.82), 0.0, (230e3, 230e3), None)
    rear = Axle(((2.455, 0.725), (2.455, -0.725)), (62e3, 62e3), (1.0, 1.0), 0.0, (230e3, 230e3), 1.01)
    car = Vehicle(front, rear, True, 6500 * 180 / np.pi)
    places = {(mount.name): (mount.behind_front_axle, mount.left_of_centre) for mount in asked.car.mounts}
    plates = {"5 kg steel": 5.02, "2 kg steel": 2.01}
    hardware = {"left footwell": 0.7, "passenger floor": 0.8, "boot floor right": 0.7}
    added = put_on(
        car,
        *((plates[row.plate] * row.count, *places[row.mount]) for row in found.fit),
        *((hardware[name], *places[name]) for name in {row.mount for row in found.fit}),
    )
    assert found.fit
    assert pads(found.cases[0]) - pads(found.before) == pytest.approx(added, abs=KILOGRAMS)
    assert found.roll_share.known_by == "springs"


def test_a_plan_that_was_kept_keeps_its_springs(tmp_path: Path) -> None:
    """Saved and read again, the question stands on the same springs, wheels and bars, in the user's units."""
    asked = files.read_question(COUPE / "car.toml", COUPE / "weigh-in.toml", COUPE / "rulebook.toml")
    kept = tmp_path / "plan.json"
    kept.write_text(files.as_json(plan(asked)), encoding="utf-8")
    again = files.read_answer(kept).question
    assert again.car.suspension == asked.car.suspension
    assert again.car.wheel_places() == asked.car.wheel_places()
    assert again.weigh_in.visit.bars == "disconnected"


@pytest.mark.parametrize("measured", ["roll share", "learned"])
def test_what_was_measured_keeps_the_twist_and_the_tyres_of_the_springs(measured: str) -> None:
    """The share that springs have midway between the axles, written as if measured: every load is that of the springs.

    First principles: a roll share is measured midway; a chassis that twists leaves more to the nearer axle, and a
    tyre hands on what its wheel carries, whoever measured the share.
    """
    asked = files.read_question(COUPE / "car.toml", COUPE / "weigh-in.toml")
    car = asked.car
    bars = asked.weigh_in.visit.bars
    assert bars is not None
    by_springs = stance(car, bars)
    share = front_roll_share(by_springs)
    middle, half, length = car.chassis.wheelbase / 2, car.chassis.track_front / 2, car.chassis.wheelbase
    even, along, across, twist = by_springs.by_place
    told = (even, even + along * length, (across + twist * middle) * half)
    known: dict[str, Any] = {"front_roll_share": share}
    if measured == "learned":
        known = {
            "learned": Learned(at_front_axle=told[0], at_rear_axle=told[1], to_the_left=told[2], within=(0.01,) * 3)
        }
    other = stance(car.replace(suspension=car.suspension.replace(**known)), bars)
    aft, left = np.array([-0.4, 0.5, 1.2, 2.8]), np.array([0.3, -0.6, 0.5, 0.4])
    assert np.allclose(shares(other, aft, left), shares(by_springs, aft, left), atol=1e-9)
    assert np.allclose(other.on_wheels, by_springs.on_wheels, atol=1e-12)
    planned = plan(asked.replace(car=car.replace(suspension=car.suspension.replace(**known)))).plan
    assert planned.cases  # the scrutineer, by forces, found the same loads
