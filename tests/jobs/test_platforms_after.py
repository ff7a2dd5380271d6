"""What a plan leaves to the spring platforms, on the example that has springs, held against a model of its own.

The model is that of `tests/properties/test_full_model`: springs, tyres and a twisting chassis as elastic links, written
down from the numbers of the car file, the bars disconnected as at the weigh-in. Nothing of the package is in it.
"""

import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.corners import CORNERS
from ballast.jobs.plan import plan
from ballast.jobs.platforms_after import diagonal_left, platforms_after
from ballast.physics.statics import Array
from ballast.planning.planner import decide
from ballast.planning.task import Task, task
from ballast.records.files import as_json, read_answer, read_question
from ballast.records.question import Question
from ballast.records.turns import PlatformsAfter
from ballast.showing.plan_sheet import plan_sheet
from tests.properties.test_full_model import Axle, Vehicle, at_rest

COUPE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
OTHER = Path(__file__).parents[2] / "examples" / "circuit-saloon"
KILOGRAMS, METRES = 1e-6, 1e-9
PITCH = 0.001 * np.array([1.5, 1.5, 2.0, 2.0])
"""lift_per_turn of the coupe. [m]"""


def coupe(by: str = "platforms") -> Question:
    """The question of the example, its diagonal brought about by the platforms or by ballast."""
    asked = read_question(COUPE / "car.toml", COUPE / "weigh-in.toml", COUPE / "rulebook.toml")
    diagonal = asked.car.targets.diagonal
    assert diagonal is not None
    targets = asked.car.targets.replace(diagonal=diagonal.replace(by=by))
    return asked.replace(car=asked.car.replace(targets=targets))


def model() -> Vehicle:
    """The same car in the words of the model, from the car file as TOML gives it, bars off."""
    car = tomllib.loads((COUPE / "car.toml").read_text(encoding="utf-8"))
    length, known = car["car"]["wheelbase"] / 1000, car["suspension"]

    def axle(at: float, track: float, table: dict[str, Any]) -> Axle:
        """One axle; N/mm to N/m, mm to m."""
        base = table.get("spring_base")
        return Axle(
            ((at, track / 2), (at, -track / 2)),
            (table["springs"] * 1000.0,) * 2,
            (table["motion_ratio"],) * 2,
            0.0,
            (table["tyres"] * 1000.0,) * 2,
            None if base is None else base / 1000,
        )

    return Vehicle(
        axle(0.0, car["car"]["track_front"] / 1000, known["front"]),
        axle(length, car["car"]["track_rear"] / 1000, known["rear"]),
        True,
        known["chassis_twist"] * 180 / np.pi,
    )


def planned(asked: Question) -> tuple[Task, Array, PlatformsAfter]:
    """Plates of the plan, and what is left to the platforms then."""
    wanted = task(asked)
    decision = decide(wanted)
    found = platforms_after(asked, wanted, decision)
    assert decision.counts is not None
    assert found is not None
    return wanted, decision.counts, found


def test_turns_left_after_the_ballast_in_the_full_model() -> None:
    """The recommended turns, made in the model on the loads that the pads showed and the plates put on in the model.

    Its diagonal is then inside the band of the car file, 50 +/- 0.4 %, and every corner within 1 mm of where it stood.
    """
    asked = coupe()
    wanted, counts, found = planned(asked)
    assert found.winding is not None
    loads = np.array([reading.in_order() for reading in asked.weigh_in.readings]).mean(axis=0)
    for (aft, left), mass in zip(wanted.room.places, wanted.room.ballast(counts), strict=True):
        loads = loads + at_rest(model(), float(mass), (float(aft), float(left))).loads
    share = (loads[1] + loads[2]) / loads.sum()
    assert found.winding.target.before == pytest.approx(share, abs=1e-9)
    assert abs(share - 0.5) > 0.004
    best = found.winding.plans[0]
    made = at_rest(model(), lifts=np.array(best.turns.in_order()) * PITCH)
    after = loads + made.loads
    assert abs((after[1] + after[2]) / after.sum() - 0.5) <= 0.004
    assert np.abs(made.chassis).max() <= 0.001
    assert np.allclose([getattr(best.after.corner_loads, corner) for corner in CORNERS], after, atol=KILOGRAMS)


def test_ride_height_of_the_plates_in_the_full_model() -> None:
    """Each corner comes down by what the model says; the turns told give back all but what is told to be left over."""
    wanted, counts, found = planned(coupe())
    back = found.ride_height
    assert back is not None
    assert back.turns is not None
    assert back.left_over is not None
    down = np.zeros(4)
    for (aft, left), mass in zip(wanted.room.places, wanted.room.ballast(counts), strict=True):
        down = down + at_rest(model(), float(mass), (float(aft), float(left))).chassis
    turned = at_rest(model(), lifts=np.array(back.turns.in_order()) * PITCH)
    assert np.allclose(back.lost.in_order(), -down, atol=METRES)
    assert np.allclose(back.left_over.in_order(), -down - turned.chassis, atol=METRES)
    assert np.abs(back.left_over.in_order()).max() < 0.5 * np.abs(down).max()


def test_the_diagonal_is_better_left_to_the_platforms() -> None:
    """Asked of ballast, front or left has to give way: planned without it, the others come inside their bands."""
    wanted = task(coupe("ballast"))
    decision = decide(wanted)
    assert decision.counts is not None
    left = diagonal_left(wanted, decision)
    assert left is not None
    assert left.miss_points > 0.0005
    assert left.miss_points_then <= 0.0005
    assert diagonal_left(task(coupe()), decide(task(coupe()))) is None


def test_no_time_and_no_plan_are_no_answer() -> None:
    """Stopped, out of time, or without plates, nothing is tried."""
    wanted = task(coupe("ballast"))
    decision = decide(wanted)
    assert diagonal_left(wanted, replace(decision, outcome="best found when stopped")) is None
    assert diagonal_left(wanted, replace(decision, seconds=wanted.wishes.seconds)) is None
    assert diagonal_left(wanted, replace(decision, counts=None)) is None


def test_nothing_known_nothing_said() -> None:
    """A car file without springs and turns has nothing left over, so that its plan is as before."""
    asked = read_question(OTHER / "car.toml", OTHER / "weigh-in.toml", OTHER / "rulebook.toml")
    wanted = task(asked)
    decision = replace(decide(task(coupe())), counts=np.zeros_like(wanted.room.fitted))
    assert platforms_after(asked, wanted, decision) is None
    assert platforms_after(coupe(), task(coupe()), replace(decision, counts=None)) is None


def test_the_plan_keeps_it_and_its_sheet_says_it(tmp_path: Path) -> None:
    """`plan` stores the turns in its record, reads them back from its JSON, and its sheet has a section for them."""
    asked = coupe()
    answer = plan(asked)
    told = json.loads(as_json(answer))["platforms"]
    (tmp_path / "plan.json").write_text(as_json(answer), encoding="utf-8")
    assert plan_sheet(read_answer(tmp_path / "plan.json")) == plan_sheet(answer)
    assert answer.plan.platforms is not None
    assert told["winding"]["target"]["figure"] == "RF+LR"
    assert told["ride_height"]["lost"]["LF"] < 0
    assert "THE SPRING PLATFORMS, once the ballast is in" in [section.title for section in plan_sheet(answer).sections]
