"""Each kind of rule, broken by hand and kept by hand; and what cannot be checked is never passed."""

from typing import Any

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.planning.task import task
from ballast.records.finding import Finding
from ballast.records.question import Question
from ballast.scrutineering.inspection import inspect, inspect_weighed
from tests.random_cars import RULED
from tests.scrutineering.standing import CAR, RULEBOOK, WEIGH_IN, hand_written, with_standing

STEEL = {"count": 2, "thread": "M8", "strength": "8.8", "washer": 0.02}
GOOD = [[1, 0], [1, 0], [1, 0]]
"""Ten kg on every mount: 1031 kg with 1 kg of hardware at the nose."""
IN = RULED | {"driver": "in"}
BOX = RULED | {"name": "ahead", "behind_front_axle": [-1.0, 2.0]}


def found(
    rules: dict[str, Any],
    bolts: dict[str, Any] | None = None,
    material: str | None = "steel",
    visit: dict[str, Any] | None = None,
    height: float | None = 0.2,
) -> tuple[Finding, ...]:
    """Findings about ten kg on every mount of the hand-written car, under some more rules."""
    mounts = [mount | {"bolts": STEEL if bolts is None else bolts or None} for mount in CAR["mounts"]]
    mounts = [mount | {"above_ground": height} for mount in mounts]
    plates = [plate | {"material": material} for plate in CAR["plates"]]
    weigh_in = WEIGH_IN | {"weigh_in": WEIGH_IN["weigh_in"] | (visit or {})}
    files = {"car": CAR | {"mounts": mounts, "plates": plates}, "weigh_in": weigh_in, "rulebook": RULEBOOK | rules}
    question = Question.model_validate(files)
    (asked,) = task(question).requirements
    stated = {"required_total": asked.required, "requirement": asked, "requirements": (asked,)}
    written = plan(hand_written()).plan.replace(**stated)
    return inspect(question, with_standing(question, np.array(GOOD), written))


def about(findings: tuple[Finding, ...], word: str) -> list[Finding]:
    """Findings with a word in their rule."""
    return [finding for finding in findings if word in finding.rule]


FORCE = {"forward": 25.0, "rearward": 25.0, "sideways": 25.0, "up": 25.0}
BROKEN: dict[str, tuple[dict[str, Any], dict[str, Any], str]] = {
    "ballast total": (
        {"ballast_total": RULED | {"greatest": 29.9, "hardware_counts": False}},
        {"ballast_total": RULED | {"greatest": 30.0, "hardware_counts": False}},
        "hardware not counted",
    ),
    "ballast total with hardware": (
        {"ballast_total": RULED | {"greatest": 30.9, "hardware_counts": True}},
        {"ballast_total": RULED | {"greatest": 31.0, "hardware_counts": True}},
        "hardware counted",
    ),
    "greatest piece": (
        {"ballast_piece": RULED | {"greatest": 9.9}},
        {"ballast_piece": RULED | {"greatest": 10.0}},
        "greatest piece",
    ),
    "least piece": (
        {"ballast_piece": RULED | {"least": 10.1}},
        {"ballast_piece": RULED | {"least": 10.0}},
        "least piece",
    ),
    "material": (
        {"ballast_material": RULED | {"barred": ["lead", "steel"]}},
        {"ballast_material": RULED | {"barred": ["lead"]}},
        "material allowed",
    ),
    "zone by box": (
        {"ballast_zone": BOX},
        {"ballast_zone": BOX | {"behind_front_axle": [-0.5, 2.75], "above_ground": [0.2, 0.3]}},
        "in an allowed zone",
    ),
    "zone by name": (
        {"ballast_zone": [BOX, RULED | {"name": "tub", "by_name": True}]},
        {"ballast_zone": [BOX, RULED | {"name": "rear", "left_of_centre": [-0.6, -0.4]}]},
        "in an allowed zone",
    ),
    "stack": (
        {"ballast_stack": RULED | {"greatest": 0.029}},
        {"ballast_stack": RULED | {"greatest": 0.030}},
        "stack by the rules",
    ),
    "front axle": ({"front_axle": IN | {"least": 530.3}}, {"front_axle": IN | {"least": 530.1}}, "front axle"),
    "right side": ({"right_side": IN | {"least": 508.9}}, {"right_side": IN | {"least": 508.8}}, "right side"),
    "left share": ({"left_share": IN | {"greatest": 0.506}}, {"left_share": IN | {"greatest": 0.507}}, "left share"),
    "rear share": ({"rear_share": IN | {"greatest": 0.4857}}, {"rear_share": IN | {"greatest": 0.4858}}, "rear share"),
    "bolts per piece": (
        {"ballast_fixing": RULED | {"bolts": 3}},
        {"ballast_fixing": RULED | {"bolts": 2}},
        "bolts by the rules",
    ),
    "bolts per mass": (
        {"ballast_fixing": RULED | {"bolts": 1, "for_each": 5.4}},
        {"ballast_fixing": RULED | {"bolts": 1, "for_each": 5.5}},
        "bolts by the rules",
    ),
    "bolts above a mass": (
        {"ballast_fixing": RULED | {"bolts": 3, "above": 9.9}},
        {"ballast_fixing": RULED | {"bolts": 3, "above": 10.0}},
        "bolts by the rules",
    ),
    "bolt size": (
        {"ballast_fixing": RULED | {"bolts": 1, "thread": "M10"}},
        {"ballast_fixing": RULED | {"bolts": 1, "thread": "M8"}},
        "thinner",
    ),
    "bolt class": (
        {"ballast_fixing": RULED | {"bolts": 1, "strength": "10.9"}},
        {"ballast_fixing": RULED | {"bolts": 1, "strength": "8.8"}},
        "weaker",
    ),
    "washers": (
        {"ballast_fixing": RULED | {"bolts": 1, "washer": 0.0201}},
        {"ballast_fixing": RULED | {"bolts": 1, "washer": 0.02}},
        "washer",
    ),
    "bolt strength": (
        {"load_factors": RULED | FORCE | {"sideways": 261.0}},
        {"load_factors": RULED | FORCE | {"sideways": 260.0}},
        "bolts in shear",
    ),
    "a second minimum": (
        {"minimum_weight": [RULEBOOK["minimum_weight"], IN | {"name": "with spares", "mass": 1031.1}]},
        {"minimum_weight": [RULEBOOK["minimum_weight"], IN | {"name": "with spares", "mass": 1031.0}]},
        "with spares",
    ),
}
"""A rule that ten kg on every mount break, the same rule a little wider, and a word of the finding.

By hand. Boot 2.75 m behind the axle and 0.5 m to the right, the box ends at 2.0. Front: 510 kg as weighed, ten off the
boot -0.1 x -10 = 1.0, nose 1.2 x 11 = 13.2, seat 0.6 x 10 = 6: 530.2. Right: 510 - 10 x 5/6 + 11 / 2 + 10 / 6 =
508.833. Of 1031 kg, left 522.167 are 50.647 %, rear 500.8 are 48.574 %.
Nose: 10 kg and 1 kg of hardware on two bolts: 2 bolts for each 5.5 kg. An M8 class 8.8 bolt resists 0.6 x 800 x 36.61 /
1.25 = 14058 N in shear, two of them 28115 N: 11 kg at 260.6 g.
"""


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_rule_is_a_finding(what: str) -> None:
    """Every kind of rule: broken, it fails with its clause and a margin below nothing; a little wider, it passes."""
    broken, kept, word = BROKEN[what]
    failing = [finding for finding in about(found(broken), word) if finding.verdict == "fail"]
    assert failing
    for finding in failing:
        assert finding.margin is not None
        assert finding.margin < 0
        assert finding.clause == RULED["clause"]
    right = about(found(kept), word)
    if what not in ("bolts above a mass",):  # a rule that applies to nothing has nothing to say
        assert right
    assert all(finding.verdict == "pass" for finding in right)


OUT = RULED | {"driver": "out"}
FULL = IN | {"fuel": "full"}
MINIMUM = RULEBOOK["minimum_weight"]
ALONE, BRIMMED = OUT | {"name": "alone", "mass": 950.0}, FULL | {"name": "brimmed", "mass": 950.0}
UNKNOWN: dict[str, tuple[dict[str, Any], str, str]] = {
    "a minimum without the driver": (
        {"minimum_weight": [MINIMUM, ALONE]},
        "alone",
        "driver",
    ),
    "a minimum with a full tank": (
        {"minimum_weight": [MINIMUM, BRIMMED]},
        "brimmed",
        "fuel",
    ),
    "front axle without the driver": ({"front_axle": OUT | {"least": 400.0}}, "front axle", "driver"),
    "right side without the driver": ({"right_side": OUT | {"least": 400.0}}, "right side", "driver"),
    "left share without the driver": ({"left_share": OUT | {"greatest": 0.6}}, "left share", "driver"),
    "rear share with a full tank": ({"rear_share": FULL | {"greatest": 0.6}}, "rear share", "fuel"),
    "what only the eye can check": ({"to_see": RULED | {"what": "seals"}}, "seals", "eye"),
}
"""Rules for a state that is not the weighed one, a word of the finding and a word of why it could not be checked."""


@pytest.mark.parametrize("what", UNKNOWN)
def test_a_state_that_cannot_be_converted_is_not_checked(what: str) -> None:
    """Neither pass nor fail, with the reason and without numbers, for the plan and for the car as weighed."""
    rules, word, why = UNKNOWN[what]
    (finding,) = about(found(rules), word)
    assert finding.verdict == "not checked"
    assert why in finding.because
    assert (finding.measured, finding.limit, finding.margin) == (None, None, None)
    question = Question.model_validate({"car": CAR, "weigh_in": WEIGH_IN, "rulebook": RULEBOOK | rules})
    assert [each.verdict for each in about(inspect_weighed(question), word)] == ["not checked"]


def test_a_driver_of_known_mass_makes_the_minimum_answerable_but_not_the_axle() -> None:
    """1031 kg less 75 kg are 956; where those 75 kg sit is not known, so the front axle stays unchecked."""
    rules = {
        "minimum_weight": [MINIMUM, OUT | {"name": "alone", "mass": 955.0}],
        "front_axle": OUT | {"least": 400.0},
    }
    findings = found(rules, visit={"driver_mass": 75.0})
    (alone,), (front,) = about(findings, "alone"), about(findings, "front axle")
    assert alone.verdict == "pass"
    assert alone.measured == pytest.approx(956.0)
    assert front.verdict == "not checked"
    assert "place" in front.because


def test_a_plate_without_a_material_is_not_checked() -> None:
    """A rule on materials and a plate that may be anything."""
    (finding,) = about(found({"ballast_material": RULED | {"barred": ["lead"]}}, material=None), "material")
    assert finding.verdict == "not checked"


def test_mounts_without_bolts_are_not_checked() -> None:
    """No bolts entered: one finding that names the mounts, never a pass."""
    findings = about(found({"ballast_fixing": RULED | {"bolts": 2}}, bolts={}), "bolt")
    assert [finding.verdict for finding in findings] == ["not checked"]
    assert all(name in findings[0].because for name in ("nose", "seat", "boot"))


def test_class_12_9_is_not_checked_for_strength() -> None:
    """EN 1993-1-8 has no factor for it, and none is made up; the rule's class is met all the same."""
    findings = found({"ballast_fixing": RULED | {"bolts": 2, "strength": "10.9"}}, bolts=STEEL | {"strength": "12.9"})
    assert [finding.verdict for finding in about(findings, "bolt strength")] == ["not checked"] * 3
    assert {finding.verdict for finding in about(findings, "weaker")} == {"pass"}


def test_washers_of_unknown_size_are_not_checked() -> None:
    """The rule asks for a diameter and the car file gives none."""
    findings = found({"ballast_fixing": RULED | {"bolts": 1, "washer": 0.02}}, bolts=STEEL | {"washer": None})
    assert {finding.verdict for finding in about(findings, "washer")} == {"not checked"}


def test_a_zone_in_height_and_a_mount_without_one() -> None:
    """Inside the box but for a height nobody measured: not checked. Outside it anyway, as the boot is: fail."""
    findings = found({"ballast_zone": BOX | {"above_ground": [0.1, 0.3]}}, height=None)
    verdicts = {finding.rule.partition(":")[0]: finding.verdict for finding in about(findings, "zone")}
    assert verdicts == {"nose": "not checked", "seat": "not checked", "boot": "fail"}


def test_the_car_as_weighed_has_findings_of_its_own() -> None:
    """1020 kg on the pads are 10 kg under the minimum, and 20 kg in the boot are over 15 kg of ballast."""
    rules = RULEBOOK | {"ballast_total": RULED | {"greatest": 15.0, "hardware_counts": True}}
    question = Question.model_validate({"car": CAR, "weigh_in": WEIGH_IN, "rulebook": rules})
    failing = {each.rule: each.margin for each in inspect_weighed(question) if each.verdict == "fail"}
    assert failing == {"minimum weight": pytest.approx(-10.0), "ballast, hardware counted": pytest.approx(-5.0)}
