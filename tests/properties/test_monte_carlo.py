"""Uncertainties against random draws of what goes wrong, and their identities.

The draws follow a story of their own: pads that round and lie within limits, plates from a stock, mounts under a tape,
and loads from the equilibrium of the whole list of masses. Nothing of `ballast.physics.uncertainty` takes part in them.
With 200,000 draws a standard deviation is known to 0.16 % (1/sqrt(2N)); 1 % is six times that.
Source: JCGM 101:2008, propagation of distributions by Monte Carlo (from memory), against JCGM 100:2008.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics.instruments import pad_covariance
from ballast.physics.quality import ASSUMED_DIAGONAL, ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_TOTAL
from ballast.physics.stance import by_roll_share
from ballast.physics.statics import Array, contact_patches, stand
from ballast.physics.uncertainty import (
    Changes,
    assumed_covariance,
    chance_below,
    chance_inside,
    figures,
    predicted_covariance,
    propagate,
    settling_covariance,
    uncertainties,
)
from tests.properties.cars import Car, Load, cars, loadings, loads, numbers

DRAWS = 200_000
CLOSE = 0.01
"""Greatest difference of two standard uncertainties, as a part of them, or of two correlations."""
POINT = 0.005
"""Greatest difference of two chances."""

LOADS = np.array([312.0, 288.0, 251.0, 219.0])
"""[kg]"""
WHEELBASE, FRONT_TRACK, REAR_TRACK = 2.48, 1.50, 1.40
PATCHES = contact_patches(WHEELBASE, FRONT_TRACK, REAR_TRACK)


def figures_of(drawn: Array) -> Array:
    """Total, front, left, RF+LR, LR - RR of each draw, by their definitions. (n, 4) -> (5, n)"""
    lf, rf, lr, rr = drawn.T
    total = lf + rf + lr + rr
    return np.array([total, (lf + rf) / total, (lf + lr) / total, (rf + lr) / total, lr - rr])


def assert_same(covariance: Array, drawn: Array) -> None:
    """Standard deviations within a hundredth and correlations within 0.01 of those of the draws, for all figures."""
    mean = drawn.mean(axis=0)
    found = figures_of(drawn)
    of_draws = found.std(axis=1, ddof=1)
    assert uncertainties(mean, covariance) == pytest.approx(of_draws, rel=CLOSE)
    outputs = propagate(figures(mean), covariance)
    each = np.sqrt(np.diag(outputs))
    assert outputs / np.outer(each, each) == pytest.approx(np.corrcoef(found), abs=CLOSE)


def pads(rng: np.random.Generator) -> Array:
    """What four pads under one car may show: rounded, each in error within its limits, all under one gain. (n, 4)"""
    resolution, accuracy, gain = 0.5, np.array([0.6, 0.6, 0.4, 0.4]), 0.0015
    own = rng.uniform(-accuracy, accuracy, (DRAWS, 4))
    # The car itself is a little different each time, or rounding would give the same figure at every draw.
    true = LOADS + rng.uniform(-resolution, resolution, (DRAWS, 4))
    shown = resolution * np.round(true / resolution)
    return np.asarray((LOADS + own + shown - true) * (1 + rng.normal(0.0, gain, (DRAWS, 1))))


def test_pads() -> None:
    """Steps of 0.5 kg, 0.6 and 0.4 kg of stated accuracy, a common gain of 0.15 %: all figures, and correlations."""
    covariance = pad_covariance(LOADS, 0.5, [0.6, 0.6, 0.4, 0.4], 0.0015)
    assert_same(covariance, pads(np.random.default_rng(3)))


def test_a_common_gain_of_drawn_pads_cancels() -> None:
    """Pads that only share a gain show the same percentages at every draw, and so does the covariance."""
    drawn = LOADS * (1 + np.random.default_rng(4).normal(0.0, 0.003, (DRAWS, 1)))
    assert figures_of(drawn)[1:4].std(axis=1) == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)
    found = uncertainties(LOADS, pad_covariance(LOADS, 0.0, 0.0, 0.003))
    assert found[1:4] == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)
    assert found[[0, 4]] == pytest.approx(figures_of(drawn)[[0, 4]].std(axis=1), rel=CLOSE)


def settled(rng: np.random.Generator, draws: int, settlings: int) -> Array:
    """Settlings of one car: 1.5 kg of warp, 0.3 kg fore and aft, 0.2 kg sideways, 0.4 kg in all. (draws, n, 4)"""
    causes = np.array(
        [
            1.5 * np.array([1.0, -1.0, -FRONT_TRACK / REAR_TRACK, FRONT_TRACK / REAR_TRACK]),
            0.15 * np.array([1.0, 1.0, -1.0, -1.0]),
            0.10 * np.array([1.0, -1.0, 1.0, -1.0]),
            0.10 * np.ones(4),
        ]
    )
    return np.asarray(LOADS + rng.normal(size=(draws, settlings, 4)) @ causes)


def test_settlings_have_on_average_the_scatter_of_their_mean() -> None:
    """The mean of five settlings over many weigh-ins scatters by what one weigh-in says, before it is widened.

    Five settlings have Student's factor 2.78, JCGM 100:2008, table G.2: their variances are 1.39^2 of the scatter's.
    """
    rng = np.random.default_rng(5)
    said = np.mean([settling_covariance(rows, PATCHES) for rows in settled(rng, 10_000, 5)], axis=0) / 1.39**2
    means = settled(rng, DRAWS, 5).mean(axis=1)
    # 10,000 variances of 4 degrees of freedom have an average good to 0.7 %, their root to 0.35 %.
    assert uncertainties(LOADS, said) == pytest.approx(figures_of(means).std(axis=1), rel=0.015)


@pytest.mark.parametrize("settlings", [2, 3, 4])
def test_twice_the_widened_uncertainty_holds_the_truth_in_95_of_100(settlings: int) -> None:
    """Over 10,000 weigh-ins, truth lies within k = 2 of the mean 95 times in 100, for every figure, to a point."""
    weigh_ins = settled(np.random.default_rng(6), 10_000, settlings)
    truth = figures_of(LOADS[np.newaxis])
    means = weigh_ins.mean(axis=1)
    said = [
        uncertainties(mean, settling_covariance(rows, PATCHES)) for mean, rows in zip(means, weigh_ins, strict=True)
    ]
    inside = np.abs(figures_of(means) - truth) <= 2 * np.array(said).T
    assert inside.mean(axis=1) == pytest.approx(np.full(5, 0.95), abs=0.01)


def test_one_settling() -> None:
    """Loads drawn from the assumed covariance have the assumed standard deviations of total, front, left and RF+LR."""
    drawn = np.random.default_rng(7).multivariate_normal(LOADS, assumed_covariance(LOADS, PATCHES), DRAWS)
    expected = [LOADS.sum() * ASSUMED_TOTAL, ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_DIAGONAL]
    assert figures_of(drawn)[:4].std(axis=1) == pytest.approx(expected, rel=CLOSE)


PLACES = np.array([[-0.45, 0.10], [1.10, 0.62], [2.75, -0.35], [1.60, -0.20]])
"""Nose, sill, boot, tank: aft and left. [m]"""
TAPE = np.array([[0.004, 0.006], [0.010, 0.005], [0.008, 0.008], [0.020, 0.010]])
"""[m]"""
STOCK = np.array([2.5, 5.0, 10.0, 0.75])
"""Mass of one plate of three kinds, and of a litre. [kg]"""
SCALE = np.array([0.03, 0.02, 0.06, 0.02])
"""Standard uncertainty of each of them. [kg]"""
COUNTS = np.array([[2, -1, 0, 0], [0, 2, 2, 0], [-2, 3, 1, 0], [0, 0, 0, -18]], dtype=float)
"""Put on and taken off, mount by kind: 2.5 kg plates go from boot to nose, 18 L are burnt."""
ROLL_SHARE, OF_ROLL_SHARE = 0.56, 0.05


def drawn_plans() -> Array:
    """What stands on the four wheels after the plan, over all that may be wrong. (n, 4) [kg]

    Four equations a draw, as in `statics.stand`, which solves the first hundred draws again.
    """
    rng = np.random.default_rng(8)
    weighed = rng.multivariate_normal(LOADS, weighed_covariance(), DRAWS)
    plates = STOCK + SCALE * rng.normal(size=(DRAWS, 4))
    places = PLACES + TAPE * rng.normal(size=(DRAWS, 4, 2))
    shares = ROLL_SHARE + OF_ROLL_SHARE * rng.normal(size=DRAWS)
    masses = plates @ COUNTS.T
    equations = np.empty((DRAWS, 4, 4))
    equations[:, 0] = 1.0
    equations[:, 1] = [0.0, 0.0, WHEELBASE, WHEELBASE]
    equations[:, 2] = np.array([FRONT_TRACK, -FRONT_TRACK, REAR_TRACK, -REAR_TRACK]) / 2
    in_front = np.array([1.0, 1.0, 0.0, 0.0])
    equations[:, 3] = equations[:, 2] * (in_front - shares[:, np.newaxis])
    aft, left = np.einsum("nm,nmx->xn", masses, places)
    right = np.stack([masses.sum(axis=1), aft, left, np.zeros(DRAWS)], axis=-1)
    added = np.linalg.solve(equations, right[..., np.newaxis])[..., 0]
    for draw in range(100):
        alone = stand(PATCHES, shares[draw], masses[draw], places[draw])
        assert added[draw] == pytest.approx(alone, abs=1e-9)
    return np.asarray(weighed + added)


def weighed_covariance() -> Array:
    """Scatter of a weigh-in, and pads of 0.2 kg that share a gain: given to both sides. [kg2]"""
    warp = np.array([1.0, -1.0, -1.0, 1.0])
    return np.asarray(0.1 * np.outer(warp, warp) + 0.04 * np.eye(4) + 4e-7 * np.outer(LOADS, LOADS))


def foreseen() -> Array:
    """Covariance of the same plan by propagation, entry by entry. [kg2]"""
    mounts, kinds = np.nonzero(COUNTS)
    count = COUNTS[mounts, kinds]
    changes = Changes(
        masses=count * STOCK[kinds],
        places=PLACES[mounts],
        mass_uncertainties=np.abs(count) * SCALE[kinds],
        place_uncertainties=TAPE[mounts],
        pieces=kinds,
        mounts=mounts,
    )
    return predicted_covariance(
        weighed_covariance(), changes, by_roll_share(PATCHES, ROLL_SHARE, OF_ROLL_SHARE * np.sqrt(3))
    )


@pytest.fixture(scope="module")
def plans() -> Array:
    """The draws, once for all tests below."""
    return drawn_plans()


def test_a_plan(plans: Array) -> None:
    """Weighing, plate masses, tape and roll share together: each figure to 1 %, each correlation to 0.01."""
    assert_same(foreseen(), plans)


def test_a_plan_has_every_cause_in_it(plans: Array) -> None:
    """Each corner load and each pair of them: the covariance itself, to 1 % of the corners' own."""
    expected = np.cov(plans, rowvar=False)
    each = np.sqrt(np.diag(expected))
    assert foreseen() / np.outer(each, each) == pytest.approx(expected / np.outer(each, each), abs=2 * CLOSE)


def test_percentages_are_nearly_normal(plans: Array) -> None:
    """Within 1, 2 and 3 standard uncertainties lie 68.27, 95.45 and 99.73 of 100 draws, for each figure."""
    mean = plans.mean(axis=0)
    off = np.abs(figures_of(plans) - figures_of(mean[np.newaxis])) / uncertainties(mean, foreseen())[:, np.newaxis]
    for factor, chance in ((1, 0.6827), (2, 0.9545), (3, 0.9973)):
        assert (off <= factor).mean(axis=1) == pytest.approx(np.full(5, chance), abs=POINT)


def test_the_chance_of_being_under_the_minimum(plans: Array) -> None:
    """How often the drawn totals fall below a minimum from 2 kg under to 0.5 kg over the total foreseen."""
    total = float(plans.mean(axis=0).sum())
    u = float(uncertainties(plans.mean(axis=0), foreseen())[0])
    for margin in (-0.5, 0.0, 0.3, 1.0, 2.0):
        drawn = float((plans.sum(axis=1) < total - margin).mean())
        assert chance_below(total, total - margin, u) == pytest.approx(drawn, abs=POINT)


def test_the_chance_of_landing_in_the_band(plans: Array) -> None:
    """How often the drawn shares lie within 0.05 points of an aim that is missed by a little."""
    mean = plans.mean(axis=0)
    foreseen_each = uncertainties(mean, foreseen())
    for row in (1, 2, 3):
        drawn, value = figures_of(plans)[row], float(figures_of(mean[np.newaxis])[row, 0])
        low, high = value - 0.0003, value + 0.0007
        chance = chance_inside(value, low, high, float(foreseen_each[row]))
        assert chance == pytest.approx(float(((low <= drawn) & (drawn <= high)).mean()), abs=POINT)


def assert_covariance(covariance: Array) -> None:
    """Symmetric, and no combination of loads has a variance below nothing."""
    assert covariance == pytest.approx(covariance.T, abs=1e-12 * float(np.abs(covariance).max()) + 1e-300)
    lowest, *_, highest = np.linalg.eigvalsh(covariance)
    assert lowest >= -1e-9 * max(abs(highest), 1e-30)


settlings = st.tuples(loads, st.lists(st.lists(numbers(-2.0, 2.0), min_size=4, max_size=4), min_size=2, max_size=6))
"""A car, and what each settling reads off from it. [kg]"""


def changes_of(load: Load, of_mass: float, of_place: float, groups: int) -> Changes:
    """Masses of which every so many were weighed and taped together, all equally uncertain."""
    count = len(load.masses)
    return Changes(
        masses=load.masses,
        places=load.places,
        mass_uncertainties=np.full(count, of_mass),
        place_uncertainties=np.full((count, 2), of_place),
        pieces=np.arange(count) % groups,
        mounts=np.arange(count) % groups,
    )


@given(
    car=cars(), mean=loads, spread=settlings, resolution=numbers(0, 2), accuracy=numbers(0, 2), gain=numbers(0, 0.01)
)
def test_every_covariance_is_one(
    car: Car, mean: Array, spread: tuple[Array, list[list[float]]], resolution: float, accuracy: float, gain: float
) -> None:
    """Pads, one settling, and several settlings of any car give a symmetric covariance without negative variance."""
    patches = car.patches()
    assert_covariance(pad_covariance(mean, resolution, accuracy, gain))
    assert_covariance(assumed_covariance(mean, patches))
    assert_covariance(settling_covariance(spread[0] + np.array(spread[1]), patches))
    assert_covariance(propagate(figures(mean), pad_covariance(mean, resolution, accuracy, gain)))


@given(car=cars(), load=loadings(), of_mass=numbers(0, 1), of_place=numbers(0, 0.05), groups=st.integers(1, 6))
def test_the_covariance_of_a_plan_is_one(car: Car, load: Load, of_mass: float, of_place: float, groups: int) -> None:
    """A plan adds a symmetric covariance without negative variance to what was weighed, never takes from it."""
    changes = changes_of(load, of_mass, of_place, groups)
    assert_covariance(
        predicted_covariance(np.zeros((4, 4)), changes, by_roll_share(car.patches(), car.roll_share, 0.05))
    )


@given(car=cars(), load=loadings(), of_mass=numbers(0, 1), of_place=numbers(0, 0.05), groups=st.integers(1, 6))
def test_tape_and_roll_share_leave_the_total_certain(
    car: Car, load: Load, of_mass: float, of_place: float, groups: int
) -> None:
    """Only masses weigh: the variance of the total is that of the sum of the masses, piece by piece."""
    changes = changes_of(load, of_mass, of_place, groups)
    found = predicted_covariance(np.zeros((4, 4)), changes, by_roll_share(car.patches(), car.roll_share, 0.05)).sum()
    signs = [1 if mass >= 0 else -1 for mass in load.masses]
    expected = math.fsum(sum(signs[group::groups]) ** 2 * of_mass**2 for group in range(groups))
    assert math.isclose(found, expected, rel_tol=1e-9, abs_tol=1e-9)


@given(car=cars(), load=loadings(), factor=numbers(0.1, 10.0))
def test_a_plan_scales(car: Car, load: Load, factor: float) -> None:
    """All uncertainties times a factor: the covariance times its square."""
    nothing, patches = np.zeros((4, 4)), car.patches()
    one = predicted_covariance(nothing, changes_of(load, 0.1, 0.01, 2), by_roll_share(patches, car.roll_share, 0.05))
    more = changes_of(load, 0.1 * factor, 0.01 * factor, 2)
    other = predicted_covariance(nothing, more, by_roll_share(patches, car.roll_share, 0.05 * factor))
    assert other == pytest.approx(factor**2 * one, rel=1e-9, abs=1e-9)


@given(car=cars(), mean=loads, factor=numbers(0.1, 10.0))
def test_one_settling_scales(car: Car, mean: Array, factor: float) -> None:
    """A car twice as heavy is assumed to repeat to twice the mass, and to the same share."""
    one, other = (assumed_covariance(mass, car.patches()) for mass in (mean, factor * mean))
    assert other == pytest.approx(factor**2 * one, rel=1e-6, abs=1e-9)


@given(car=cars(), mean=loads, count=st.integers(2, 6))
def test_the_same_reading_every_time(car: Car, mean: Array, count: int) -> None:
    """Settlings that agree to the last digit have no scatter; what the pads hide is asked of the pads."""
    found = uncertainties(mean, settling_covariance(np.tile(mean, (count, 1)), car.patches()))
    assert found == pytest.approx(np.zeros(5), abs=1e-9)


@given(value=numbers(-5, 5), low=numbers(-5, 5), width=numbers(0, 5), u=numbers(0, 3))
def test_chances_add_up(value: float, low: float, width: float, u: float) -> None:
    """Below, inside and above a band are all there is; each is from 0 to 1."""
    high = low + width
    below, inside, above = (
        chance_below(value, low, u),
        chance_inside(value, low, high, u),
        chance_below(-value, -high, u),
    )
    assert min(below, inside, above) >= 0
    assert math.isclose(below + inside + above, 1.0, abs_tol=1e-9)
