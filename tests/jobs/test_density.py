"""What denser plates save, asked of a whole car: what has to be known, and what the rules bar."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.jobs.crew import height_standing
from ballast.jobs.density import denser
from ballast.jobs.plan import plan
from ballast.planning.cases import layout
from ballast.records.car import Car
from ballast.records.files import read_question
from ballast.records.plan import Denser
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from ballast.records.weighing import WeighIn

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
UNITS = {"mass": "kg", "length": "m"}
STEEL: dict[str, Any] = {"name": "5 kg", "mass": 5.0, "count": 8, "thickness": 0.016, "material": "steel"}


def asked(*plates: dict[str, Any], barred: tuple[str, ...] = (), **chassis: Any) -> Question:
    """A car of 1,000 kg with two mounts, and these kinds of plate."""
    mounts = [
        {"name": name, "behind_front_axle": aft, "left_of_centre": 0.0, "above_ground": 0.2, "capacity": 60.0}
        for name, aft in (("nose", -0.3), ("boot", 2.6))
    ]
    car = Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "Otter", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5}
            | {"centre_of_gravity_height": 0.45}
            | chassis,
            "mounts": mounts,
            "plates": plates or [STEEL],
        }
    )
    weigh_in = WeighIn.model_validate(
        {
            "units": UNITS,
            "weigh_in": {"date": "2026-03-07"},
            "readings": [dict.fromkeys(("LF", "RF", "LR", "RR"), 250.0)],
        }
    )
    clause = {"clause": "1", "source": "invented", "checked": "2026-03-01", "barred": barred}
    book = {"units": UNITS, "rulebook": {"name": "Otter Cup"}, "ballast_material": clause}
    return Question(car=car, weigh_in=weigh_in, rulebook=Rulebook.model_validate(book) if barred else None)


def saved(question: Question, *counts: list[int]) -> tuple[Denser, ...] | None:
    """What the job answers for these plates on nose and boot, in a car of 1,030 kg."""
    return denser(question, layout(question), 0, np.array(counts, dtype=float), 1030.0)


def test_steel_in_lead_and_in_tungsten_alloy() -> None:
    """Four plates in the boot, 64 mm: 64 x 7.85 / 11.34 = 44.3 mm of lead, 64 x 7.85 / 17 = 29.6 mm of tungsten alloy.

    20 kg of 1,030 kg fall by half the difference of 19.7 and 34.4 mm: 0.191 and 0.334 mm; 10 kg on the nose by half of
    32 mm and 22.2 or 14.8 mm: 0.048 and 0.084 mm more.
    """
    lead, tungsten = saved(asked(), [2], [4]) or ()
    assert (lead.material, tungsten.material) == ("lead", "tungsten alloy")
    assert lead.mount == tungsten.mount == "boot"
    assert [lead.stack, lead.stack_then, tungsten.stack_then] == pytest.approx([0.064, 0.04430, 0.02955], abs=1e-5)
    assert lead.lower == pytest.approx(0.191e-3 + 0.048e-3, abs=1e-6)
    assert tungsten.lower == pytest.approx(0.334e-3 + 0.084e-3, abs=1.5e-6)


def test_plates_of_lead_can_only_be_of_tungsten_alloy() -> None:
    """Lead for lead saves nothing, and is not offered."""
    assert [one.material for one in saved(asked(STEEL | {"material": "lead"}), [0], [4]) or ()] == ["tungsten alloy"]
    assert saved(asked(STEEL | {"material": "tungsten"}), [0], [4]) == ()


def test_denser_plates_in_the_box_stay_as_they_are() -> None:
    """Steel under tungsten alloy: in lead only the steel gets thinner."""
    box = (STEEL, STEEL | {"name": "dense", "material": "tungsten alloy", "thickness": 0.007})
    lead, _ = saved(asked(*box), [0, 0], [1, 1]) or ()
    assert lead.stack - lead.stack_then == pytest.approx(0.016 * (1 - 7.85 / 11.34))


def test_a_barred_material_is_not_offered() -> None:
    """A rulebook that bars lead leaves tungsten alloy."""
    assert [one.material for one in saved(asked(barred=("lead",)), [0], [4]) or ()] == ["tungsten alloy"]


@pytest.mark.parametrize(
    "question",
    [
        asked(centre_of_gravity_height=None),
        asked({key: value for key, value in STEEL.items() if key != "thickness"}),
        asked({key: value for key, value in STEEL.items() if key != "material"}),
        asked(STEEL | {"material": "sand"}),
    ],
    ids=["height", "thickness", "material", "density"],
)
def test_what_is_not_known_is_not_guessed(question: Question) -> None:
    """Without the height, or thickness or density of a plate that stands, there is no answer."""
    assert saved(question, [0], [4]) is None


def test_plates_that_do_not_stand_need_nothing() -> None:
    """A kind without thickness that stays in the box does not matter; and no plates at all have nothing to save."""
    box = (STEEL, {"name": "odd", "mass": 1.0, "count": 2})
    assert len(saved(asked(*box), [0, 0], [4, 0]) or ()) == 2
    assert saved(asked(), [0], [0]) is None


def test_a_plan_says_what_the_car_file_with_thinner_plates_comes_to() -> None:
    """The plan of the example, and its plates with 7.85 / 11.34 of their thickness: the heights differ by as much."""
    question = read_question(EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "rulebook.toml")
    planned = plan(question).plan
    thin = [plate.replace(thickness=(plate.thickness or 0) * 7.85 / 11.34) for plate in question.car.plates]
    thinner = question.replace(car=question.car.replace(plates=tuple(thin)))
    heights = []
    for one in (question, thinner):
        room = layout(one)
        counts = np.zeros((len(room.mounts), len(room.plates)))
        for row in planned.fit:
            counts[room.mounts.index(row.mount), room.plates.index(row.plate)] = row.count
        heights.append(height_standing(one, room, 0, (), counts) or 0.0)
    assert planned.cases[0].centre_of_gravity.above_ground == pytest.approx(heights[0])
    lead, _ = planned.denser or ()
    assert lead.lower == pytest.approx(heights[0] - heights[1])
