"""How sure a plan is, against a simulation of everything that may be off."""

from pathlib import Path

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.physics.statics import Array, diagonal_share, front_share, left_share, stand
from ballast.planning.task import task
from ballast.records.files import read_question
from ballast.records.pads import Pads
from ballast.records.question import Question

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
DRAWS = 4000


def unsure() -> Question:
    """The example with pads, plates and a tape that may be off."""
    question = read_question(EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "rulebook.toml")
    car, weigh_in = question.car, question.weigh_in
    plates = tuple(plate.replace(mass_within=0.05) for plate in car.plates)
    mounts = tuple(mount.replace(place_within=0.03) for mount in car.mounts)
    margin = car.margin.replace(total=0.0, uncertainties=1.0)
    pads = Pads(resolution=0.2, accuracy=0.4, gain_within=0.001)
    return question.replace(
        car=car.replace(plates=plates, mounts=mounts, margin=margin), weigh_in=weigh_in.replace(pads=pads)
    )


def simulated(question: Question, seed: int) -> Array:
    """Corner loads after the plan, drawn over and over, (DRAWS, 4), from what is known to be off. [kg]

    Settling noise has the covariance of the mean of the three settlings, widened by Student's factor over 2 (4.30 / 2);
    pads, gain, plates, tape and roll share are rectangular.
    """
    draw = np.random.default_rng(seed)
    car, fit = question.car, plan(question).plan.fit
    rows = np.array([reading.in_order() for reading in question.weigh_in.readings])
    scatter = np.cov(rows, rowvar=False) / len(rows) * (4.30 / 2) ** 2
    patches = task(question).room.stance.patches
    loads = np.empty((DRAWS, 4))
    for number in range(DRAWS):
        weighed = draw.multivariate_normal(rows.mean(axis=0), scatter)
        weighed = weighed + draw.uniform(-0.1, 0.1, 4) + draw.uniform(-0.4, 0.4, 4)
        weighed = weighed * (1 + draw.uniform(-0.001, 0.001))
        off = {plate.name: draw.uniform(-0.05, 0.05) for plate in car.plates}
        tape = {mount.name: draw.uniform(-0.03, 0.03, 2) for mount in car.mounts}
        masses, places = [], []
        for mount in car.mounts:
            here = [row for row in fit if row.mount == mount.name]
            mass = {plate.name: plate.mass for plate in car.plates}
            masses.append(sum(row.count * (mass[row.plate] + off[row.plate]) for row in here))
            masses[-1] += mount.fixing_mass if here else 0.0
            places.append(np.array([mount.behind_front_axle, mount.left_of_centre]) + tape[mount.name])
        share = 0.58 + draw.uniform(-0.04, 0.04)
        loads[number] = weighed + stand(patches, share, masses, places)
    return loads


def test_the_uncertainty_of_a_plan_is_that_of_a_simulation() -> None:
    """First-order propagation (JCGM 100) against drawing everything (JCGM 101): total, front, left and diagonal.

    4,000 draws give a standard deviation to about 1.1 %; 4 % is allowed.
    """
    question = unsure()
    found, loads = plan(question).plan.uncertain, simulated(question, seed=1)
    assert found is not None
    assert found.total == pytest.approx(loads.sum(axis=1).std(), rel=0.04)
    assert found.front_percent == pytest.approx(front_share(loads).std(), rel=0.04)
    assert found.left_percent == pytest.approx(left_share(loads).std(), rel=0.04)
    assert found.diagonal_percent == pytest.approx(diagonal_share(loads, "RF+LR").std(), rel=0.04)


def test_the_chance_of_being_under_the_minimum_is_that_of_a_simulation() -> None:
    """With one standard uncertainty in hand, about one car in six is under the minimum; drawing says how many."""
    question = unsure()
    found, loads = plan(question).plan.uncertain, simulated(question, seed=2)
    assert found is not None
    assert found.chance_under_minimum is not None
    under = float((loads.sum(axis=1) < 1105.0).mean())
    assert 0.05 < under < 0.25
    assert found.chance_under_minimum == pytest.approx(under, abs=0.02)
