"""The scrutineer's sums of forces against the planner's of displacements, and faults planted in either.

Source: two routes of their own to one answer, on random cars; what hand arithmetic and the full model say of each is in
tests/planning/test_stances.py and tests/properties/test_springs_through.py.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from ballast.errors import DisagreementError
from ballast.jobs.plan import plan
from ballast.jobs.predict import predict
from ballast.physics.stance import by_learning, on_wheel, shares, warp_within
from ballast.physics.statics import Array, contact_patches, warp
from ballast.physics.suspension import Springs
from ballast.planning import stances
from ballast.planning.stances import bars_at_weigh_in, stance
from ballast.records.question import Question
from ballast.scrutineering import footing
from ballast.scrutineering.footing import edges, settle
from ballast.scrutineering.inspection import inspect
from tests.exactness.enumeration import Car
from tests.random_cars import UNITS, sprung_question
from tests.scrutineering.standing import with_standing

SEEDS = range(9100, 9160)
ROUNDING = 1e-9
"""Between two routes. [kg]"""
ORDER = ("LF", "RF", "LR", "RR")


def masses(seed: int) -> tuple[Array, Array, Array]:
    """Some masses put on and taken off, their places, and masses on the wheels. (n,), (n, 2), (4,) [kg, m]"""
    rng = np.random.default_rng((seed, 6))
    places = np.column_stack([rng.uniform(-0.8, 3.2, 5), rng.uniform(-0.8, 0.8, 5)])
    return rng.uniform(-20, 40, 5), places, rng.uniform(-5, 5, 4) * (rng.random(4) < 0.5)


@pytest.mark.parametrize("seed", SEEDS)
def test_forces_and_displacements_agree(seed: int) -> None:
    """A list of masses settles where the planner's shares, mass by mass, put it."""
    question = sprung_question(seed)
    stands, (kg, places, wheels) = stance(question.car, bars_at_weigh_in(question)), masses(seed)
    by_shares = kg @ shares(stands, *places.T)
    for corner, mass in zip(ORDER, wheels, strict=True):
        by_shares = by_shares + mass * on_wheel(stands, corner)  # type: ignore[arg-type]
    settled = settle(footing.footing(question), kg.tolist(), [tuple(place) for place in places], wheels)
    assert settled == pytest.approx(by_shares, abs=ROUNDING)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_edges_agree(seed: int) -> None:
    """Half of what lies between the edges of each cause is warp, as much as the planner allows for it."""
    question = sprung_question(seed)
    stands, (kg, places, wheels) = stance(question.car, bars_at_weigh_in(question)), masses(seed)
    allowed, shape = warp_within(stands, kg, *places.T), warp(stands.patches)
    found = [
        (settle(high, kg.tolist(), list(places), wheels) - settle(low, kg.tolist(), list(places), wheels)) / 2
        for low, high in edges(question)
    ]
    assert np.array(found) == pytest.approx(np.outer(allowed, shape), abs=ROUNDING)


@pytest.mark.parametrize("seed", range(9200, 9218))
def test_plates_set_out_by_chance(seed: int) -> None:
    """A third route, the full model that the enumeration stands its cars on: the scrutineer disputes nothing."""
    question = sprung_question(seed)
    car, written = Car(question), plan(question).plan
    counts = np.random.default_rng((seed, 7)).integers(0, 3, (3, len(car.mounts), len(car.plates)))
    for standing in counts if written.cases else ():
        assert inspect(question, with_standing(question, standing, written))


# --- planted faults --------------------------------------------------------------------------------------------------


def question(**changed: Any) -> Question:
    """A car with everything that can be forgotten: a bar, connected; twist; tyres; a beam; a wheel out of its place."""
    car: dict[str, Any] = {
        "units": UNITS,
        "car": {"name": "an invented car", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.4},
        "suspension": {
            "chassis_twist": 3e5,
            "front": {"springs": 60e3, "bar": 30e3, "tyres": 220e3},
            "rear": {"springs": [50e3, 55e3], "tyres": 220e3, "axle": "beam", "spring_base": 1.0},
        },
        "wheels": {"RF": {"behind_front_axle": 0.0, "left_of_centre": -0.8}},
        "mounts": [{"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 60.0}],
        "plates": [{"name": "ten", "mass": 10.0, "count": 4}],
        "targets": {"total": 1030.0},
    }
    weigh_in: dict[str, Any] = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14), "bars": "connected"},
        "readings": [{"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}],
    }
    more = {"changed": {"units": UNITS} | changed} if changed else {}
    return Question.model_validate({"car": car, "weigh_in": weigh_in} | more)


def _wrong_rate(springs: Springs) -> Springs:
    return replace(springs, rates=np.asarray(springs.rates) * np.array([1.02, 1.0, 1.0, 1.0]))


def _no_bars(springs: Springs) -> Springs:
    return replace(springs, bar_front=0.0, bar_rear=0.0)


def _no_twist(springs: Springs) -> Springs:
    return replace(springs, twist=None)


def _no_tyres(springs: Springs) -> Springs:
    return replace(springs, tyres=None)


def _wheels_by_the_tracks(springs: Springs) -> Springs:
    return replace(springs, patches=contact_patches(2.5, 1.5, 1.4))


FAULTS = [_wrong_rate, _no_bars, _no_twist, _no_tyres, _wheels_by_the_tracks]
WHERE = [pytest.param((stances, "springs_of"), id="planner"), pytest.param((footing, "_springs"), id="scrutineer")]


def plant(monkeypatch: pytest.MonkeyPatch, where: tuple[Any, str], fault: Callable[[Springs], Springs]) -> None:
    """Let one of the two make a mistake."""
    module, name = where
    sound = getattr(module, name)
    monkeypatch.setattr(module, name, lambda *given: fault(sound(*given)))


def test_without_a_fault_both_agree() -> None:
    """The car of the planted faults is planned and predicted where nothing is planted."""
    assert plan(question()).plan.outcome == "proved best"
    assert predict(question(added=[{"name": "disc", "mass": 4.0, "carried_by": "LF"}])).after.total > 1000


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__.strip("_"))
@pytest.mark.parametrize("where", WHERE)
def test_a_planted_fault_is_found(
    where: tuple[Any, str], fault: Callable[[Springs], Springs], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever of the two forgets a part of the springs, no plan is shown."""
    plant(monkeypatch, where, fault)
    with pytest.raises(DisagreementError, match="No plan is shown"):
        plan(question())


@pytest.mark.parametrize("where", WHERE)
def test_a_fault_under_a_wheel_is_found(where: tuple[Any, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """A disc on a hub alone: who forgets the tyres hands nothing on to the other wheels."""
    plant(monkeypatch, where, _no_tyres)
    with pytest.raises(DisagreementError):
        predict(question(added=[{"name": "disc", "mass": 4.0, "carried_by": "LF"}]))


def test_the_state_of_the_bars_is_read_by_both(monkeypatch: pytest.MonkeyPatch) -> None:
    """A planner that takes the bars as disconnected, whatever the weigh-in says, is found out."""
    sound = stances.stance
    monkeypatch.setattr("ballast.planning.cases.stance", lambda car, _: sound(car, "disconnected"))
    with pytest.raises(DisagreementError, match="No plan is shown"):
        plan(question())


def test_what_trial_weights_told_is_read_by_both(monkeypatch: pytest.MonkeyPatch) -> None:
    """A planner that mistakes the rear axle's points for the front axle's is found out."""
    asked = question()
    told = {"at_front_axle": 0.02, "at_rear_axle": -0.03, "to_the_left": 0.01, "within": (0.01, 0.01, 0.01)}
    learned = asked.replace(car=asked.car.replace(suspension={"learned": told}))
    assert plan(learned).plan.outcome == "proved best"
    sound = by_learning
    monkeypatch.setattr(stances, "by_learning", lambda places, per, off: sound(places, per * [1, -1, 1], off))
    with pytest.raises(DisagreementError, match="No plan is shown"):
        plan(learned)
