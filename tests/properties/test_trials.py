"""Trials on any car, weighed by the model of eight unknowns: what is learned is what the model is made of.

The cars and their loads are those of `test_full_model`, which knows nothing of the package; noise is drawn with fixed
seeds. Rigid chassis: a chassis that twists has a share of its own at every place.
"""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics import learning, misfit, stance
from ballast.physics.learning import Doubt, Scatter, Trial
from ballast.physics.statics import Array, levers
from tests.properties.cars import numbers
from tests.properties.test_full_model import Axle, Vehicle, at_rest, vehicles

EXACT = 1e-6
"""Between eight equations of stiffnesses far apart and a fit. [-]"""
CARS = 150
KILOGRAMS = 0.35
"""What settlings scatter in the warp. [kg]"""
CERTAIN = Doubt(Scatter(0.0, np.zeros(3), 0))
places = st.lists(st.tuples(numbers(0.2, 3.0), numbers(-0.7, 0.7)), min_size=4, max_size=4)


def weighed(car: Vehicle, mass: float, place: tuple[float, float]) -> Trial:
    """A trial with one weight, without any noise."""
    return Trial(3, [mass], [place], at_rest(car, mass, place).loads)


def share_of(car: Vehicle) -> float:
    """Front share of the roll stiffness of a car alike left and right: k t^2 of each axle, tyres in series."""
    stiff = []
    for axle in (car.front, car.rear):
        track = axle.places[0][1] - axle.places[1][1]
        lean = 1.0 if axle.spring_base is None else axle.spring_base / track
        wheel = axle.rates[0] * axle.ratios[0] ** 2 * lean**2 + 2 * axle.bar
        stiff.append(track**2 / (1 / wheel + (1 / axle.tyres[0] if car.soft_tyres else 0.0)))
    return stiff[0] / sum(stiff)


@given(car=vehicles(alike=True, rigid=True), aft=numbers(-0.5, 3.5), left=numbers(0.2, 0.9), mass=numbers(5.0, 80.0))
def test_one_weight_tells_the_share_of_a_car_alike_left_and_right(
    car: Vehicle, aft: float, left: float, mass: float
) -> None:
    """Wherever it stands off the centre line, and whatever the tracks."""
    found = learning.front_roll_share(car.patches(), 3, [weighed(car, mass, (aft, left))], CERTAIN)
    assert np.isclose(found.values[0], share_of(car), rtol=0.0, atol=EXACT)


@given(car=vehicles(rigid=True), where=places, aft=numbers(0.0, 3.0), left=numbers(-0.7, 0.7))
def test_weights_at_several_places_foretell_any_other(
    car: Vehicle, where: list[tuple[float, float]], aft: float, left: float
) -> None:
    """What is learned of a car that is nothing like alike gives the model's loads at a place that was not tried."""
    trials = [weighed(car, 30.0, place) for place in where]
    rows = np.array([[1.0, *place] for place in where])
    if np.linalg.svd(rows, compute_uv=False)[-1] < 0.05:
        return
    found = learning.coefficients(car.patches(), 3, trials, CERTAIN)
    learned = stance.by_learning(car.patches(), found.values, np.zeros((0, 3)))
    assert np.allclose(stance.shares(learned, aft, left), at_rest(car, 1.0, (aft, left)).loads, rtol=0.0, atol=1e-4)


def random_car(rng: np.random.Generator, alike: bool) -> Vehicle:
    """A saloon or so, its springs anything; with left and right alike where asked for."""

    def axle(back: float) -> Axle:
        half = rng.uniform(0.68, 0.82)
        pairs = [rng.uniform(*ends, size=2) for ends in ((25e3, 120e3), (0.6, 1.0), (150e3, 300e3))]
        rates, ratios, tyres = [(pair[0], pair[0] if alike else pair[1]) for pair in pairs]
        base = rng.uniform(0.8, 1.1) if rng.random() < 0.3 else None
        return Axle(((back, half), (back, -half)), rates, ratios, rng.choice([0.0, 30e3]), tyres, base)

    return Vehicle(axle(0.0), axle(rng.uniform(2.2, 2.9)), bool(rng.random() < 0.7), None)


def simulated(
    rng: np.random.Generator, car: Vehicle, masses: list[tuple[float, float, float]], settlings: int
) -> tuple[list[Trial], Doubt]:
    """Trials as the floor would have them: settlings that scatter, a display of 0.2 kg, masses and tape that err."""
    patches = car.patches()
    rows = np.column_stack([np.ones(4), patches])
    null = np.linalg.svd(rows.T)[2][-1]
    null = null / null[0]
    base = np.array([260.0, 255.0, 240.0, 245.0])
    scale = 0.1 * rng.uniform(-1, 1)

    def readings(loads: Array) -> Array:
        noise = KILOGRAMS * rng.standard_normal((settlings, 1)) * null
        return np.asarray(np.round((loads + noise) / 0.2) * 0.2)

    before = readings(base)
    weighings, trials = [before], []
    for mass, aft, left in masses:
        truly = (aft + rng.uniform(-0.01, 0.01), left + rng.uniform(-0.01, 0.01))
        after = readings(base + at_rest(car, mass + scale, truly).loads)
        weighings.append(after)
        change = after.mean(axis=0) - before.mean(axis=0)
        trials.append(Trial(settlings, [mass], [[aft, left]], change))
    third = 1 / math.sqrt(3)
    scatter = learning.pooled(weighings, patches)
    return trials, Doubt(scatter, 0.2 / math.sqrt(12), mass=0.1 * third, place=0.01 * third)


def inside(hits: int, count: int) -> bool:
    """Whether so many hits are what 95 % of `count` may be, within 3 standard deviations of a binomial."""
    return abs(hits / count - 0.95) < 3 * math.sqrt(0.95 * 0.05 / count)


def test_the_share_is_inside_its_interval_as_often_as_is_said() -> None:
    """150 random cars, two weights, three settlings each: 95 % of the intervals hold the share, give or take 6 %."""
    rng, hits = np.random.default_rng(2026), 0
    for _ in range(CARS):
        car = random_car(rng, alike=True)
        trials, doubt = simulated(rng, car, [(40.0, 1.2, 0.6), (40.0, 1.8, -0.6)], 3)
        found = learning.front_roll_share(car.patches(), 3, trials, doubt)
        hits += abs(found.values[0] - share_of(car)) <= 2 * found.uncertain[0]
    assert inside(hits, CARS)


def test_three_numbers_are_inside_their_intervals_as_often_as_is_said() -> None:
    """150 random cars, left and right as they come, four places: the warp at three places, 95 % each.

    So does the interval at those places from the three half widths that go into the car file, and seldom less.
    """
    rng, hits, kept = np.random.default_rng(2027), np.zeros(3), np.zeros(3)
    tried = [(40.0, 0.4, 0.4), (40.0, 1.3, -0.6), (40.0, 2.6, 0.4), (40.0, 1.3, 0.6)]
    for _ in range(CARS):
        car = random_car(rng, alike=False)
        trials, doubt = simulated(rng, car, tried, 3)
        found = learning.coefficients(car.patches(), 3, trials, doubt)
        for number, place in enumerate([(0.0, 0.0), (1.5, 0.7), (3.0, -0.3)]):
            row = np.array([1.0, *place])
            true = at_rest(car, 1.0, place).loads - levers(car.patches(), *place)
            off = abs(row @ found.values - true[0])
            hits[number] += off <= 2 * math.sqrt(row @ found.covariance @ row)
            kept[number] += off <= 2 * math.sqrt(np.square(row) @ np.square(misfit.never_less(found.covariance)))
    assert all(inside(int(number), CARS) for number in hits)
    assert all(kept >= hits)


def test_a_car_alike_seldom_looks_unlike_and_weights_seldom_look_as_if_they_did_not_fit() -> None:
    """150 cars alike left and right: 5 % of the chances are below 5 %, and 1 % of the misfits below 1 %, or fewer."""
    rng, unlike, misfits = np.random.default_rng(2028), 0, 0
    tried = [(40.0, 0.4, 0.4), (40.0, 1.3, -0.6), (40.0, 2.6, 0.4), (40.0, 1.3, 0.6)]
    for _ in range(CARS):
        car = random_car(rng, alike=True)
        trials, doubt = simulated(rng, car, tried, 3)
        alike = learning.front_roll_share(car.patches(), 3, trials, doubt)
        free = learning.coefficients(car.patches(), 3, trials, doubt)
        unlike += misfit.chance_of(alike.chi_square - free.chi_square, 2, free.known) < 0.05
        misfits += alike.chance < 0.01
    assert unlike / CARS < 0.05 + 3 * math.sqrt(0.05 * 0.95 / CARS)
    assert misfits / CARS < 0.01 + 3 * math.sqrt(0.01 * 0.99 / CARS)
