"""The influence of a mass against a model of its own: a rigid chassis on four springs, two bars and four tyres.

Source: first principles. Seven unknowns: how far each of the four wheels sinks into its tyre, and heave, pitch and roll
of the chassis. Seven equations: at each wheel, suspension and bar force equal tyre force; at the chassis, force and two
moments. Nothing of the package is in the model; the package is given only the front share of roll stiffness,

    s = kf tf^2 / (kf tf^2 + kr tr^2),    k = 1 / (1 / (spring + 2 bar) + 1 / tyre),

where a bar counts twice because in roll the two wheels of an axle move one up and one down.
"""

from dataclasses import dataclass

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics.statics import Array, influence, stand
from tests.properties.cars import Car, Load, afts, cars, lefts, loadings, masses, numbers

AGREEMENT = 1e-6
"""Between the closed form and seven equations of stiffnesses far apart. [kg]"""
GRAVITY = 9.80665
"""[m/s2]"""


@dataclass(frozen=True)
class Axle:
    """Rates at one wheel, the same left and right. [N/m]"""

    spring: float
    bar: float
    """force at a wheel for each metre of difference in wheel travel"""
    tyre: float

    def in_roll(self) -> float:
        """Rate of one wheel when the other moves as far the other way. [N/m]"""
        return 1 / (1 / (self.spring + 2 * self.bar) + 1 / self.tyre)


axles = st.builds(Axle, numbers(15e3, 200e3), numbers(0.0, 80e3), numbers(120e3, 400e3))


def sunk(car: Car, front: Axle, rear: Axle, mass: float, aft: float, left: float) -> Array:
    """Loads that a mass on the chassis adds to the wheels, from the seven equations. Returns (4,). [kg]"""
    half_front, half_rear = car.track_front / 2, car.track_rear / 2
    corners = [
        (front, 0.0, half_front, 1),
        (front, 0.0, -half_front, 0),
        (rear, car.wheelbase, half_rear, 3),
        (rear, car.wheelbase, -half_rear, 2),
    ]
    chassis = slice(4, 7)
    equations, right = np.zeros((7, 7)), np.zeros(7)

    def travel(wheel: int) -> Array:
        """Coefficients of how far the chassis at a wheel comes down towards it."""
        _, back, side, _ = corners[wheel]
        row = np.zeros(7)
        row[chassis] = [1.0, back, side]
        row[wheel] = -1.0
        return row

    for wheel, (axle, back, side, opposite) in enumerate(corners):
        into_wheel = axle.spring * travel(wheel) + axle.bar * (travel(wheel) - travel(opposite))
        equations[wheel] = into_wheel
        equations[wheel, wheel] -= axle.tyre
        equations[chassis] += np.outer([1.0, back, side], into_wheel)
    right[chassis] = mass * GRAVITY * np.array([1.0, aft, left])
    sinking = np.linalg.solve(equations, right)
    tyres = np.array([axle.tyre for axle, *_ in corners])
    return np.asarray(tyres * sinking[:4] / GRAVITY)


def roll_share(car: Car, front: Axle, rear: Axle) -> float:
    """Front share of roll stiffness."""
    ahead, behind = front.in_roll() * car.track_front**2, rear.in_roll() * car.track_rear**2
    return ahead / (ahead + behind)


@given(car=cars(), front=axles, rear=axles, mass=masses, aft=afts, left=lefts)
def test_influence_is_what_four_springs_do(
    car: Car, front: Axle, rear: Axle, mass: float, aft: float, left: float
) -> None:
    """The closed form with the springs' own roll share gives the loads of the full model."""
    found = mass * influence(car.patches(), roll_share(car, front, rear), aft, left)
    assert np.allclose(found, sunk(car, front, rear, mass, aft, left), rtol=0.0, atol=AGREEMENT)


@given(car=cars(), front=axles, rear=axles, load=loadings())
def test_standing_is_what_four_springs_do(car: Car, front: Axle, rear: Axle, load: Load) -> None:
    """The solved equations for a whole list of masses give the sum of the full model's answers."""
    each = [sunk(car, front, rear, mass, aft, left) for mass, (aft, left) in zip(load.masses, load.places, strict=True)]
    found = stand(car.patches(), roll_share(car, front, rear), load.masses, load.places)
    assert np.allclose(found, np.sum(each, axis=0), rtol=0.0, atol=AGREEMENT)


def test_the_model_itself() -> None:
    """The model gives the check values of the design: +9.7359 +2.2641 +6.9307 +1.0693 kg.

    Springs 80 N/mm at a motion ratio of 0.8, tyres 220 N/mm, bars 40 and 20 N/mm, 20 kg at 1.0 m aft and 0.5 m left,
    wheelbase 2.5 m, tracks 1.5 m.
    """
    front, rear = (Axle(80e3 * 0.8**2, bar, 220e3) for bar in (40e3, 20e3))
    found = sunk(Car(2.5, 1.5, 1.5, 0.5), front, rear, 20.0, 1.0, 0.5)
    assert np.allclose(found, [9.7359, 2.2641, 6.9307, 1.0693], rtol=0.0, atol=1e-4)
