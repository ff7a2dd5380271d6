"""A prediction in words: what was counted on, what the pads should show, and what nobody can know."""

import re
from typing import Any

import pytest

from ballast.jobs.predict import predict
from ballast.records.question import Question
from ballast.showing.predicted_sheet import predicted_sheet
from ballast.showing.text import WIDTH, laid_out
from tests.showing import crew_answers

PARTS = {key: crew_answers.CHANGED[key] for key in ("removed", "added", "moved")}
PLACED = [
    {"mount": "nose tray", "plate": "2 kg", "count": 2},
    {"mount": "boot right", "plate": "10 kg", "count": 0},
    {"mount": "floor left", "plate": "5 kg", "count": 1},
]
"""The last one stands as it did at the weigh-in."""


def asked(**more: Any) -> Question:
    """The Otter with an engine, a disc and a battery changed and plates moved by hand."""
    changed = {"units": crew_answers.UNITS} | PARTS | {"placed": PLACED}
    given: dict[str, Any] = {"drivers": 0, "tank": False, "kit": False, "changed": changed} | more
    return crew_answers.question(**given)


def text(question: Question) -> str:
    """The sheet as a terminal shows it."""
    return laid_out(predicted_sheet(question, predict(question)))


def words(question: Question) -> str:
    """The same in one line, so that no sentence is broken."""
    return " ".join(text(question).split())


def test_every_change_is_said_back() -> None:
    """Who wrote a wrong number sees it here first: what, how much and where, and which plates stand now."""
    said = words(asked())
    for sentence in (
        "Taken off: engine, 118 kg, 200 mm behind the front axle, on the centre line.",
        "Put on: brake disc, 4 kg, carried by the right rear wheel.",
        "Moved: battery, 12 kg, from 500 mm behind the front axle, 400 mm left of the centre line to 2500 mm behind "
        "the front axle, on the centre line.",
        "Plates: 2 x 2 kg on nose tray, 0 at the weigh-in.",
        "Plates: 0 x 10 kg on boot right, 1 at the weigh-in.",
    ):
        assert sentence in said
    assert "on floor left" not in said, "nothing was done there"


def test_before_and_after_stand_side_by_side_with_their_change() -> None:
    """By hand: 1106.9 kg, less 118, and 100, and 4, and 2 x 2 kg with 0.6 kg of hardware, less 10.6 kg in the boot.

    The readings add up to 1107.0, 1107.0 and 1107.0 kg.
    """
    total = next(line.split() for line in text(asked()).splitlines() if line.split()[:1] == ["total"])
    after = 1107.0 - 118 + 100 + 4 + 4.6 - 10.6
    assert total[1:6] == ["1107.0", f"{after:.1f}", "kg", f"{after - 1107:+.1f}", "kg"]


def test_shares_change_in_points_and_both_diagonals_are_named() -> None:
    """A difference of percentages is in points, signed, and both diagonals are there by name."""
    lines = {line.split("  ")[1]: line for line in text(asked()).splitlines() if " points " in line}
    assert {"front", "rear", "left", "diagonal RF+LR", "diagonal LF+RR"} <= lines.keys()
    for name in ("front", "rear"):
        assert "%" in lines[name]
    ahead, behind = (lines[name].split("%")[1].split()[0] for name in ("front", "rear"))
    assert {ahead[0], behind[0]} == {"+", "-"}
    assert ahead[1:] == behind[1:]


def test_what_no_sum_can_know_is_said() -> None:
    """Ride heights, springs, brackets, the tyre under a wheel's part, the roll share, and that it is no weighing."""
    said = words(asked())
    for word in ("Ride heights", "Springs, dampers", "Brackets, bolts", "give way under it", "Front roll share"):
        assert word in said
    assert "A prediction is not a weighing" in said


@pytest.mark.parametrize(("left", "said"), [(0.6, r"from \d\d\.\d+ to \d\d\.\d+ %\."), (0.0, r"still \d\d\.\d+ %\.")])
def test_the_roll_share_makes_a_range_or_no_difference(left: float, said: str) -> None:
    """A part off the centre line gives a range of the diagonal; for one on it, it is said to be the same."""
    part = {"name": "part", "mass": 20.0, "behind_front_axle": 1.3, "left_of_centre": left}
    question = asked(changed={"units": crew_answers.UNITS, "added": [part]})
    about = "over its range of 51 to 61 % the diagonal RF\\+LR after these changes is"
    assert re.search(f"{about} {said}", words(question))


def test_what_to_do_next_is_said() -> None:
    """Settle and weigh; and for plates that suit the car as it will be, the command."""
    assert "settle the car and weigh it again" in words(asked())
    assert "`ballast plan` with this file of changes behind --changed" in words(asked())


def test_whose_plates_were_counted() -> None:
    """On a car with kit, the driver is named."""
    changed = {"units": crew_answers.UNITS} | PARTS
    said = words(crew_answers.question(drivers=2, changed=changed))
    assert "On the mounts that change with the driver: the plates of Ada." in said
    assert "mounts that change" not in words(asked())


def test_a_driver_whose_plates_were_moved_is_named() -> None:
    """A row for one driver says for whom."""
    placed = [{"mount": "seat box left", "plate": "5 kg", "count": 1, "driver": "Ada"}]
    question = crew_answers.question(drivers=2, changed={"units": crew_answers.UNITS, "placed": placed})
    assert "Plates: 1 x 5 kg on seat box left for Ada, 2 at the weigh-in." in words(question)


def test_a_broken_rule_comes_first() -> None:
    """Before any table: not within the rules, by name; and the finding itself below."""
    question = asked(minimum=1130.0)
    said = text(question)
    assert said.index("LIMITS BROKEN") < said.index("COUNTED ON")
    assert "minimum weight" in said[: said.index("COUNTED ON")].replace("\n    ", " ")
    assert "FINDINGS for Otter Six Hours, car as predicted" in said


def test_within_the_limits_nothing_is_shouted() -> None:
    """With a low minimum, or without a rulebook, the findings about mounts and plates are there and all pass."""
    for minimum in (900.0, None):
        said = text(asked(minimum=minimum))
        assert "LIMITS BROKEN" not in said
        assert " fail" not in said
    assert "FINDINGS, car as predicted" in text(asked(minimum=None))


def test_a_mount_overloaded_by_hand_is_said_first() -> None:
    """Three tens on a tray that carries 25 kg break the user's own limit, without a rulebook too."""
    placed = [{"mount": "nose tray", "plate": "10 kg", "count": 3}]
    said = text(asked(minimum=None, changed={"units": crew_answers.UNITS, "placed": placed}))
    assert said.index("LIMITS BROKEN as it will stand, see the findings: nose tray") < said.index("COUNTED ON")


def test_a_height_that_is_not_known_afterwards_is_said_not_to_be() -> None:
    """The car file gives a height, a part has none: the sheet says why there is none afterwards."""
    question = asked()
    chassis = question.car.chassis.replace(centre_of_gravity_height=0.45)
    high = question.replace(car=question.car.replace(chassis=chassis))
    said = words(high)
    assert "450 mm above the ground" in said
    assert "The height afterwards is not known" in said
    assert "not known" not in words(question)


def test_a_part_with_a_long_name_and_an_unsure_mass() -> None:
    """A name of a hundred letters wraps; a mass that may be off by 5 kg makes the total unsure by twice 5 / sqrt 3."""
    part = {
        "name": "an engine with its gearbox, its clutch, its starter, its loom and all that is bolted to it, " * 2,
        "mass": 150.0,
        "mass_within": 5.0,
        "behind_front_axle": 1.1,
        "left_of_centre": 0.0,
    }
    said = text(asked(changed={"units": crew_answers.UNITS, "added": [part]}))
    assert max(map(len, said.splitlines())) <= WIDTH
    total = next(line.split() for line in said.splitlines() if line.split()[:1] == ["total"])
    assert float(total[-1]) == pytest.approx(5.8, abs=0.1)  # 2 x 5 / sqrt 3 = 5.77, the weighing on top


@pytest.mark.parametrize("mass", ["kg", "lb"])
def test_it_fits_a_terminal_in_the_units_of_the_car_file(mass: str) -> None:
    """No line is wider than 80 columns or ends in blanks; masses and lengths are in the units of the car file."""
    units = {"mass": mass, "length": "in" if mass == "lb" else "mm", "volume": "L"}
    said = text(asked(units=units))
    for line in said.splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()
    if mass == "lb":
        # Exactly: a pound is 0.45359237 kg, an inch 0.0254 m; 0.2 m are 7.874 in.
        assert f"engine, {118 / 0.45359237:.7f} lb, 7.9 in behind the front axle" in " ".join(said.split())
        assert f"{1107 / 0.45359237:.2f}  {1087 / 0.45359237:.2f} lb" in said
