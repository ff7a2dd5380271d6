"""What a prediction counts, carries where, and how sure it says it is, each by hand on cars of round numbers."""

from datetime import date
from math import hypot, sqrt
from typing import Any

import pytest

from ballast.errors import InputError
from ballast.jobs.plan import plan
from ballast.jobs.predict import predict
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from tests.random_cars import RULED
from tests.showing import crew_answers

UNITS = {"mass": "kg", "length": "m"}
BOOK: dict[str, Any] = {
    "units": UNITS,
    "rulebook": {"name": "rules of an invented class"},
    "minimum_weight": RULED | {"mass": 1000.0, "driver": "in"},
}
LENGTH, TRACK, TOTAL = 2.5, 1.5, 1000.0
TRAY: dict[str, Any] = {
    "name": "tray",
    "behind_front_axle": -0.5,
    "left_of_centre": 0.0,
    "above_ground": 0.2,
    "capacity": 30.0,
    "fixing_mass": 2.0,
}
BOOT: dict[str, Any] = {
    "name": "boot",
    "behind_front_axle": 3.0,
    "left_of_centre": 0.0,
    "above_ground": 0.4,
    "capacity": 30.0,
}
AT_SEAT = {"behind_front_axle": 1.0, "left_of_centre": 0.5}
AT_TANK = {"behind_front_axle": 2.25, "left_of_centre": -0.25}


def question(
    rulebook: dict[str, Any] | None = None,
    height: float | None = None,
    share: float | None = 0.5,
    fitted: bool = False,
    **changed: Any,
) -> Question:
    """Four pads of 250 kg, each time the same; wheelbase 2.5 m, tracks 1.5 m; ten-kilogram plates."""
    readings = [{"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}] * 3
    suspension = {} if share is None else {"front_roll_share": share, "front_roll_share_within": 1e-9}
    asked = {
        "car": {
            "units": UNITS,
            "car": {
                "name": "an invented car",
                "wheelbase": LENGTH,
                "track_front": TRACK,
                "track_rear": TRACK,
                "centre_of_gravity_height": height,
            },
            "suspension": suspension,
            "mounts": [TRAY, BOOT],
            "plates": [{"name": "ten", "mass": 10.0, "count": 4, "thickness": 0.02}],
        },
        "weigh_in": {
            "units": UNITS,
            "weigh_in": {"date": date(2026, 3, 14), "driver": "in"},
            "readings": readings,
            "fitted": [{"mount": "tray", "plate": "ten", "count": 1}] if fitted else [],
        },
        "rulebook": rulebook,
        "changed": {"units": UNITS} | changed,
    }
    return Question.model_validate(asked)


def pads(case: CaseLoads) -> tuple[float, ...]:
    """Corner loads in order. [kg]"""
    return tuple(dict(case.corner_loads).values())


def part(mass: float, **more: Any) -> dict[str, Any]:
    """A part in the seat, whose place is sure unless it is said otherwise."""
    return {"name": "a part", "mass": mass, "place_within": 0.0} | AT_SEAT | more


# --- what is carried where -------------------------------------------------------------------------------------------


def test_a_move_is_a_removal_and_an_addition() -> None:
    """A part that has another place leaves its old corners and loads the new ones (physics.md section 3)."""
    here, there = part(12.0), part(12.0) | AT_TANK
    moved = predict(question(moved=[{"name": "a part", "mass": 12.0, "from": AT_SEAT, "to": AT_TANK}]))
    both = predict(question(removed=[here], added=[there]))
    assert pads(moved.after) == pytest.approx(pads(both.after), abs=1e-9)
    # By levers: 12 kg go 1.25 m aft of 2.5 m and 0.75 m to the right of 1.5 m, split evenly: 6 kg each way.
    assert pads(moved.after) == pytest.approx((250 - 6, 250, 250, 250 + 6), abs=1e-9)
    assert moved.after.total == pytest.approx(TOTAL, abs=1e-9)


def test_what_a_wheel_carries_stands_on_its_own_pad() -> None:
    """A disc put on the right rear hub loads that pad alone, and one taken off unloads it."""
    on = predict(question(added=[{"name": "disc", "mass": 4.0, "carried_by": "RR"}])).after
    off = predict(question(removed=[{"name": "disc", "mass": 4.0, "carried_by": "LF"}])).after
    assert pads(on) == pytest.approx((250, 250, 250, 254), abs=1e-9)
    assert pads(off) == pytest.approx((246, 250, 250, 250), abs=1e-9)


def test_plates_placed_by_hand_bring_their_hardware() -> None:
    """By levers: 20 kg and 2 kg of hardware half a metre ahead of the front axle put 1.2 of it on the front."""
    after = predict(question(placed=[{"mount": "tray", "plate": "ten", "count": 2}])).after
    assert pads(after) == pytest.approx((250 + 13.2, 250 + 13.2, 250 - 2.2, 250 - 2.2), abs=1e-9)


def test_plates_taken_off_take_their_hardware_along() -> None:
    """With the last plate of a mount goes its hardware; what the file does not name stands as it was weighed."""
    gone = predict(question(fitted=True, placed=[{"mount": "tray", "plate": "ten", "count": 0}])).after
    assert pads(gone) == pytest.approx((250 - 7.2, 250 - 7.2, 250 + 1.2, 250 + 1.2), abs=1e-9)
    added = predict(question(fitted=True, placed=[{"mount": "boot", "plate": "ten", "count": 1}])).after
    assert pads(added) == pytest.approx((250 - 1, 250 - 1, 250 + 6, 250 + 6), abs=1e-9)
    another = predict(question(fitted=True, placed=[{"mount": "tray", "plate": "ten", "count": 2}])).after
    assert another.total == pytest.approx(TOTAL + 10, abs=1e-9), "the hardware is aboard already"


def test_the_order_of_changes_does_not_matter() -> None:
    """Two parts added one way or the other, or half by half, come to the same: loads add up."""
    one, other = part(8.0), part(6.0) | AT_TANK
    ways = ([one, other], [other, one], [part(4.0), part(4.0), other])
    found = [pads(predict(question(added=way)).after) for way in ways]
    assert found[1] == pytest.approx(found[0], abs=1e-9)
    assert found[2] == pytest.approx(found[0], abs=1e-9)


def test_the_range_is_that_of_an_unknown_roll_share() -> None:
    """With no roll share in the file a half is assumed, and the range is that of 35 and 65 %: REF-C5 in thirds.

    By the formula of physics.md section 3: the front pair is parted by 2 s m y / t, the rear by 2 (1 - s) m y / t; 20
    kg half a metre to the left change RF+LR by m y (1 - 2 s) / t, which is 6.6667 (1 - 2 s) kg.
    """
    found = predict(question(share=None, added=[part(20.0)]))
    assert (found.roll_share.value, found.roll_share.low, found.roll_share.high) == (0.5, 0.35, 0.65)
    assert found.roll_share.known_by == "assumption"
    for case, share in zip(found.range, (0.35, 0.65), strict=True):
        expected = (510 + 20 / 3 * (1 - 2 * share)) / 1020
        assert case.diagonal_percent.rf_lr == pytest.approx(expected, abs=1e-12)
        assert case.front_percent == pytest.approx(found.after.front_percent, abs=1e-12)


# --- crews -----------------------------------------------------------------------------------------------------------


def crewed(seated: str, *placed: dict[str, Any]) -> Question:
    """Two drivers, kit in the seat boxes, weighed with one of them aboard; plates placed by hand since."""
    changed = {"units": crew_answers.UNITS, "placed": list(placed)}
    return crew_answers.question(drivers=2, visit={"seated": seated}, changed=changed)


@pytest.mark.parametrize(("seated", "more"), [("Ada", 0.0), ("Bo", 10.0)])
def test_the_kit_of_whoever_sat_in_it_is_counted(seated: str, more: float) -> None:
    """Two more five-kilogram plates for Bo in a box of which the hardware is aboard: 10 kg with Bo, none with Ada."""
    found = predict(crewed(seated, {"mount": "seat box left", "plate": "5 kg", "count": 4, "driver": "Bo"}))
    assert found.kit_of == seated
    assert found.after.total - found.before.total == pytest.approx(more, abs=1e-9)


def test_plates_for_everybody_are_counted_for_whoever_sat_in_it() -> None:
    """Without a driver a row speaks of all of them; a driver's own row goes before it."""
    everybody = {"mount": "seat box left", "plate": "5 kg", "count": 1}
    for seated in ("Ada", "Bo"):
        found = predict(crewed(seated, everybody, everybody | {"count": 3, "driver": "Bo"}))
        change = -5.0 if seated == "Ada" else 5.0
        assert found.after.total - found.before.total == pytest.approx(change, abs=1e-9)


def test_without_kit_nobody_is_named() -> None:
    """Where no mount changes with the driver, whose plates they are is no question."""
    assert predict(question(added=[part(1.0)])).kit_of is None


# --- height ----------------------------------------------------------------------------------------------------------


def test_height_by_moments() -> None:
    """Common practice, from levers: (1000 x 0.5 - 50 x 0.8 + 20 x 0.3) / 970 = 466 / 970 m."""
    out, put_in = part(50.0, above_ground=0.8), part(20.0, above_ground=0.3)
    found = predict(question(height=0.5, removed=[out], added=[put_in]))
    assert found.before.centre_of_gravity.above_ground == 0.5
    assert found.after.centre_of_gravity.above_ground == pytest.approx(466 / 970, abs=1e-12)


def test_height_of_a_move_and_of_plates() -> None:
    """A battery of 20 kg let down by 0.3 m, two plates on a tray: 500 - 6 + 20 x 0.22 + 2 x 0.2, over 1022 kg.

    The plates lie 20 mm thick each on 0.2 m, their middle at 0.22 m; the hardware counts at the underside.
    """
    move = {
        "name": "battery",
        "mass": 20.0,
        "from": AT_SEAT | {"above_ground": 0.6},
        "to": AT_TANK | {"above_ground": 0.3},
    }
    found = predict(question(height=0.5, moved=[move], placed=[{"mount": "tray", "plate": "ten", "count": 2}]))
    height = (500 - 6 + 20 * 0.22 + 2 * 0.2) / 1022
    assert found.after.centre_of_gravity.above_ground == pytest.approx(height, abs=1e-12)


def test_height_is_not_known_where_a_part_has_none() -> None:
    """One part without a height, or a car without one, and nothing is claimed of the height afterwards."""
    assert predict(question(height=0.5, added=[part(5.0)])).after.centre_of_gravity.above_ground is None
    with_height = part(5.0, above_ground=0.3)
    assert predict(question(added=[with_height])).after.centre_of_gravity.above_ground is None


# --- how sure --------------------------------------------------------------------------------------------------------


def test_a_sure_part_on_sure_pads_is_sure() -> None:
    """Settlings alike, pads without errors, mass and place exact, roll share known: nothing is uncertain."""
    sure = predict(question(added=[part(20.0)])).uncertain
    assert (sure.total, sure.front_percent, sure.left_percent) == pytest.approx((0, 0, 0), abs=1e-9)


def test_uncertainty_of_a_mass() -> None:
    """JCGM 100:2008, 4.3.7 and eq. 10: 20 +/- 1.5 kg is 1.5 / sqrt 3, on the total whole and on the shares by slope.

    Front: the part puts 0.6 on the front, the car stands with F of 1020 kg there: dF/dm = (0.6 - F) / 1020.
    """
    found = predict(question(added=[part(20.0, mass_within=1.5)]))
    off = 1.5 / sqrt(3)
    assert found.uncertain.total == pytest.approx(off, rel=1e-9)
    front, left = 512 / 1020, (500 + 20 * (0.5 + 1 / 3)) / 1020
    assert found.uncertain.front_percent == pytest.approx((0.6 - front) / 1020 * off, rel=1e-9)
    assert found.uncertain.left_percent == pytest.approx((0.5 + 1 / 3 - left) / 1020 * off, rel=1e-9)


def test_uncertainty_of_a_place() -> None:
    """By levers: 0.03 m either way is 0.03 / sqrt 3; front moves by m / L, left by m / t for each metre.

    The rear pair with half the roll stiffness parts by m / t for each metre to the left.
    """
    found = predict(question(removed=[part(20.0, place_within=0.03)])).uncertain
    off = 0.03 / sqrt(3)
    assert found.total == pytest.approx(0, abs=1e-9)
    assert found.front_percent == pytest.approx(20 / LENGTH * off / 980, rel=1e-9)
    assert found.left_percent == pytest.approx(20 / TRACK * off / 980, rel=1e-9)
    assert found.rear_pair == pytest.approx(20 / TRACK * off, rel=1e-9)


def test_a_move_is_as_unsure_as_its_distance() -> None:
    """place_within of a move is about the distance: 12 kg over 0.02 m, once, and the total does not come into it."""
    move = {"name": "a part", "mass": 12.0, "place_within": 0.02, "from": AT_SEAT, "to": AT_TANK}
    found = predict(question(moved=[move])).uncertain
    assert found.total == pytest.approx(0, abs=1e-6)
    assert found.front_percent == pytest.approx(12 / LENGTH * 0.02 / sqrt(3) / TOTAL, rel=1e-9)


def test_uncertainties_of_two_parts_add_in_quadrature() -> None:
    """JCGM 100:2008, eq. 10: what one part may be off says nothing of the other."""
    found = predict(question(removed=[part(20.0, mass_within=3.0)], added=[part(25.0, mass_within=4.0)])).uncertain
    assert found.total == pytest.approx(hypot(3, 4) / sqrt(3), rel=1e-9)


def test_uncertainty_of_a_mass_on_a_wheel() -> None:
    """By hand: 4 +/- 0.5 kg on the right rear: the rear pair is off by the whole of it, the diagonal by its slope."""
    found = predict(question(added=[{"name": "disc", "mass": 4.0, "mass_within": 0.5, "carried_by": "RR"}])).uncertain
    off = 0.5 / sqrt(3)
    assert found.total == pytest.approx(off, rel=1e-9)
    assert found.rear_pair == pytest.approx(off, rel=1e-9)
    assert found.diagonal_percent == pytest.approx(500 / 1004 / 1004 * off, rel=1e-9)


def test_an_assumed_roll_share_makes_the_diagonal_unsure() -> None:
    """By the formula of the range: 20 kg half a metre left move RF+LR by 2 m y / t a unit of s, 0.15 / sqrt 3."""
    found = predict(question(share=None, added=[part(20.0)])).uncertain
    slope = 2 * 20 * 0.5 / TRACK / 1020
    assert found.diagonal_percent == pytest.approx(slope * 0.15 / sqrt(3), rel=1e-9)
    assert found.front_percent == pytest.approx(0, abs=1e-12)


# --- rules, refusals, and the plan -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("mass", "verdict"), [(0.5, "pass"), (20.0, "fail")])
def test_the_minimum_is_looked_at_as_the_car_will_stand(mass: float, verdict: str) -> None:
    """1000 kg against a minimum of 1000 kg: with 0.5 kg more it passes, with 20 kg less it does not."""
    changed: Any = {"added": [part(mass)]} if verdict == "pass" else {"removed": [part(mass)]}
    found = {finding.rule: finding for finding in predict(question(BOOK, **changed)).findings}
    minimum = found["minimum weight"]
    assert minimum.verdict == verdict
    assert minimum.measured == pytest.approx(TOTAL + (mass if verdict == "pass" else -mass), abs=1e-9)


def test_plates_by_hand_are_held_against_the_rules_for_ballast() -> None:
    """30 kg where 20 kg of ballast may be: a broken rule, whoever put it there."""
    limit = {"ballast_total": RULED | {"greatest": 20.0, "hardware_counts": False}}
    placed = [{"mount": "boot", "plate": "ten", "count": 3}]
    found = {finding.rule: finding.verdict for finding in predict(question(BOOK | limit, placed=placed)).findings}
    assert found["ballast, hardware not counted"] == "fail"


def test_plates_by_hand_are_held_against_the_limits_of_the_mount() -> None:
    """40 kg in a boot that carries 30 kg is the user's own limit broken, with a rulebook or without one."""
    placed = [{"mount": "boot", "plate": "ten", "count": 4}]
    for rulebook in (None, BOOK):
        findings = predict(question(rulebook, placed=placed)).findings
        assert [finding.rule for finding in findings if finding.verdict == "fail"] == ["boot: mass with hardware"]


def test_without_a_rulebook_and_plates_there_is_nothing_to_find() -> None:
    """Parts alone break no limit that the files know."""
    assert predict(question(added=[part(5.0)])).findings == ()


def test_a_wheel_without_load_is_refused() -> None:
    """An engine of 600 kg over the front axle of such a car was written in the wrong unit: no sum is shown."""
    heavy = {"name": "engine", "mass": 600.0, "behind_front_axle": 0.0, "left_of_centre": 0.0}
    with pytest.raises(InputError, match=r"would leave nothing on a wheel .*LF -50\.0 kg, RF -50\.0 kg") as caught:
        predict(question(removed=[heavy]))
    assert "units" in str(caught.value)


def test_the_plan_starts_from_the_same_car() -> None:
    """A plan with the same file of changes has, before it, the loads that are predicted: two ways to one car."""
    changed = {"units": crew_answers.UNITS} | {key: crew_answers.CHANGED[key] for key in ("removed", "added", "moved")}
    placed = [
        {"mount": "nose tray", "plate": "2 kg", "count": 2},
        {"mount": "boot right", "plate": "10 kg", "count": 0},
    ]
    asked = crew_answers.question(
        drivers=0, tank=False, kit=False, minimum=None, targets={}, changed=changed | {"placed": placed}
    )
    before, after = plan(asked).plan.before, predict(asked).after
    assert pads(before) == pytest.approx(pads(after), abs=1e-9)
    assert before.centre_of_gravity.behind_front_axle == pytest.approx(after.centre_of_gravity.behind_front_axle)
