"""Turns that are recommended, made in a model of eight unknowns: loads and ride heights come out as foretold.

Source: first principles; the model is that of `test_full_model`, which has springs, tyres, bars, beams and a twisting
chassis as elastic links and knows nothing of the package.
"""

from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ballast.corners import CORNERS
from ballast.jobs.ride_height import height_back
from ballast.jobs.wind import wind
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.weighing import WeighIn
from tests.properties.cars import numbers
from tests.properties.test_full_model import Axle, Vehicle, at_rest, vehicles

UNITS = {"mass": "kg", "length": "m", "spring": "N/mm", "twist": "N m/deg"}
KILOGRAMS, METRES = 1e-6, 1e-9
EXAMPLES = settings(max_examples=40)


def axle(of: Axle, soft: bool, lift: float) -> dict[str, Any]:
    """An axle of the model in the words of the car file, numbers as inside."""
    return {
        "springs": of.rates,
        "motion_ratio": of.ratios,
        "axle": "independent" if of.spring_base is None else "beam",
        "spring_base": of.spring_base,
        "bar": of.bar or None,
        "tyres": of.tyres if soft else None,
        "lift_per_turn": lift,
    }


def question(vehicle: Vehicle, lifts: tuple[float, float], aim: float) -> Question:
    """The car of the model, weighed with its bars as they are, 300 kg on each wheel and a diagonal to be changed."""
    places = dict(zip(CORNERS, vehicle.patches().tolist(), strict=True))
    tracks = [of.places[0][1] - of.places[1][1] for of in (vehicle.front, vehicle.rear)]
    car = {
        "units": UNITS,
        "car": {"name": "any", "wheelbase": 2.5, "track_front": tracks[0], "track_rear": tracks[1]},
        "wheels": {c: {"behind_front_axle": at[0], "left_of_centre": at[1]} for c, at in places.items()},
        "suspension": {
            "front": axle(vehicle.front, vehicle.soft_tyres, lifts[0]),
            "rear": axle(vehicle.rear, vehicle.soft_tyres, lifts[1]),
            "chassis_twist": vehicle.twist,
        },
        "mounts": [{"name": "floor", "behind_front_axle": 1.0, "left_of_centre": 0.0, "capacity": 20.0}],
        "plates": [{"name": "5 kg", "mass": 5.0, "count": 4}],
        "targets": {"diagonal": {"corners": "RF+LR", "aim": aim, "within": 0.002}},
    }
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": "2026-05-01", "bars": "connected"},
        "readings": [dict.fromkeys(CORNERS, 300.0)],
    }
    return Question(car=Car.model_validate(car), weigh_in=WeighIn.model_validate(weigh_in))


pitches = numbers(0.001, 0.0025)
"""Of the thread. [m]"""


@EXAMPLES
@given(car=vehicles(), front=pitches, rear=pitches, aim=st.sampled_from([0.48, 0.495, 0.51]))
def test_turns_in_the_full_model(car: Vehicle, front: float, rear: float, aim: float) -> None:
    """Every plan, made by hand in the model: the loads and heights foretold, the diagonal in its band, heights held."""
    wound = wind(question(car, (front, rear), aim))
    before = np.full(4, 300.0)
    for plan in wound.winding.plans:
        made = at_rest(car, lifts=np.array(plan.turns.in_order()) * [front, front, rear, rear])
        told = np.array([getattr(plan.after.corner_loads, corner) for corner in CORNERS])
        assert np.allclose(told - before, made.loads, rtol=0.0, atol=KILOGRAMS)
        assert plan.ride_height is not None
        assert np.allclose(plan.ride_height.in_order(), -made.chassis, rtol=0.0, atol=METRES)
        loads = before + made.loads
        inside = abs((loads[1] + loads[2]) / loads.sum() - aim) <= 0.002 + 1e-9
        assert inside == (plan.comes != "short")
        assert np.isclose(plan.left_points, (loads[0] + loads[2]) / loads.sum() - 0.5, rtol=0.0, atol=1e-9)
        if plan.kind == "ride height held":
            assert np.abs(made.chassis).max() <= 0.001 + METRES


@EXAMPLES
@given(
    car=vehicles(),
    pitch=pitches,
    mass=numbers(1.0, 60.0),
    aft=numbers(-0.5, 3.0),
    left=numbers(-0.7, 0.7),
)
def test_height_given_back_in_the_full_model(car: Vehicle, pitch: float, mass: float, aft: float, left: float) -> None:
    """What a mass costs in ride height is the model's; after the turns, what is left over and moved is as told."""
    asked = question(car, (pitch, pitch), 0.5).car
    found = height_back(asked, "connected", np.array([mass]), np.array([[aft, left]]), 1200.0)
    assert found is not None
    assert found.turns is not None
    assert found.left_over is not None
    lifts = np.array(found.turns.in_order()) * pitch
    before, after = at_rest(car, mass, (aft, left)), at_rest(car, mass, (aft, left), lifts=lifts)
    assert np.allclose(found.lost.in_order(), -before.chassis, rtol=0.0, atol=METRES)
    assert np.allclose(found.left_over.in_order(), -after.chassis, rtol=0.0, atol=METRES)
    moved = (after.loads - before.loads)[[1, 2]].sum()
    assert np.isclose(found.diagonal_points, moved / 1200.0, rtol=0.0, atol=1e-9)
