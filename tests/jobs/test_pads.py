"""Readings put right: from files, through every correction, to loads that are checked by other means.

The check values of pads out of level (1.05882, 1.84212 and 2.09518 kg) are those of the closed form and of a model of
seven unknowns (four wheels; heave, pitch and roll of the chassis), worked out apart from this program: springs 80 N/mm,
motion ratio 0.8, tyres 220 N/mm, wheelbase 2.5 m, tracks 1.5 m.
"""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.corners import CORNERS
from ballast.errors import InputError
from ballast.jobs.pads import examine, sound
from ballast.jobs.weigh import weigh
from ballast.physics.instruments import pad_covariance
from ballast.physics.statics import Array
from ballast.records import files
from ballast.records.question import Question
from ballast.records.weighing import WeighIn

AXLE = """
[suspension.{axle}]
springs = 80
motion_ratio = 0.8
bar = {bar}
tyres = 220
"""
CAR = """
[units]
mass = "kg"
length = "mm"
spring = "N/mm"

[car]
name = "Otter"
wheelbase = 2500
track_front = 1500
track_rear = 1500
{more}
[[mounts]]
name = "floor"
behind_front_axle = 1000
left_of_centre = 0
capacity = 20

[[plates]]
name = "5 kg"
mass = 5
count = 4
"""
WEIGH_IN = """
[units]
mass = "kg"
length = "mm"

[weigh_in]
date = 2026-03-14
bars = "{bars}"
"""
SPRUNG = AXLE.format(axle="front", bar=40) + AXLE.format(axle="rear", bar=20)
LEVEL = (260.0, 270.0, 240.0, 230.0)


def table(name: str, loads: Any, more: str = "") -> str:
    """A table with a number for each corner."""
    rows = "".join(f"{corner} = {float(load)!r}\n" for corner, load in zip(CORNERS, loads, strict=True))
    return f"\n{name}\n{rows}{more}"


def asked(folder: Path, weigh_in: str, car: str = "", bars: str = "disconnected") -> Question:
    """A question read from files."""
    (folder / "car.toml").write_text(CAR.format(more=car), encoding="utf-8")
    (folder / "weigh-in.toml").write_text(WEIGH_IN.format(bars=bars) + weigh_in, encoding="utf-8")
    return files.read_question(folder / "car.toml", folder / "weigh-in.toml")


def loads(question: Question) -> Array:
    """Mean corner loads of a question. [kg]"""
    return np.asarray(np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0), dtype=float)


@pytest.mark.parametrize(
    ("front", "rear", "bars", "on_lf"),
    [(40, 20, "disconnected", 1.05882), (40, 20, "connected", 1.84212), (40, 40, "connected", 2.09518)],
)
def test_a_pad_one_millimetre_high(tmp_path: Path, front: float, rear: float, bars: str, on_lf: float) -> None:
    """What the LF pad, 1 mm high, put on the corners is taken off: the check value on LF, by the warp on the others."""
    springs = AXLE.format(axle="front", bar=front) + AXLE.format(axle="rear", bar=rear)
    question = asked(tmp_path, table("[[readings]]", LEVEL) + table("[pads.heights]", (1, 0, 0, 0)), springs, bars)
    corrected = loads(sound(question))
    assert np.array(LEVEL) - corrected == pytest.approx(on_lf * np.array([1, -1, -1, 1]), abs=5e-6)
    weighed = weigh(question)
    assert weighed.unevenness is not None
    assert weighed.unevenness.warp_load == pytest.approx(on_lf, abs=5e-6)
    assert weighed.unevenness.warp_points == pytest.approx(-2 * on_lf / 1000, abs=1e-8)
    left_front = weighed.measured.corner_loads.LF
    assert left_front == pytest.approx(260 - on_lf, abs=5e-6)
    assert weighed.unevenness.pad_error[0].load == pytest.approx(on_lf, abs=5e-6)


def test_connected_bars_make_a_pad_error_worse(tmp_path: Path) -> None:
    """1.05882 kg with the bars off becomes 1.84212 kg with them on: both are told, as weighed first."""
    question = asked(tmp_path, table("[[readings]]", LEVEL) + table("[pads.heights]", (0, 0, 0, 0)), SPRUNG)
    uneven = weigh(question).unevenness
    assert uneven is not None
    assert [error.bars for error in uneven.pad_error] == ["disconnected", "connected"]
    assert [error.load for error in uneven.pad_error] == pytest.approx([1.05882, 1.84212], abs=5e-6)


def test_levels_say_what_heights_say(tmp_path: Path) -> None:
    """2 mm per m across 1500 mm is 3 mm from left to right: as heights of +/- 1.5 mm in front, and level behind."""
    one = asked(tmp_path, table("[[readings]]", LEVEL) + table("[pads.heights]", (1.5, -1.5, 0, 0)), SPRUNG)
    levels = "\n[pads.levels]\nfront = 2\nrear = 0\n"
    other = asked(tmp_path, table("[[readings]]", LEVEL) + levels, SPRUNG)
    assert loads(sound(other)) == pytest.approx(loads(sound(one)), abs=1e-12)


def test_without_springs_heights_change_nothing_and_the_pads_come_first(tmp_path: Path) -> None:
    """Nothing says how much diagonal 3 mm make, so nothing is taken off: pack first, three packers."""
    question = asked(tmp_path, 3 * table("[[readings]]", LEVEL) + table("[pads.heights]", (3, 0, 0, 0)))
    assert loads(sound(question)) == pytest.approx(LEVEL, abs=1e-12)
    weighed = weigh(question)
    assert weighed.to_do[0] == "pack the pads"
    assert weighed.unevenness is not None and weighed.unevenness.packing is not None
    assert weighed.unevenness.warp_load is None
    packing = weighed.unevenness.packing
    assert (packing.LF, packing.RR, packing.RF + packing.LR) == (0, 0, 3)


def test_a_plane_tilt_changes_no_diagonal_and_the_slope_goes_by_the_height(tmp_path: Path) -> None:
    """Left 15 mm up over 1500 mm, centre 400 mm up: 4 mm to the right, so left lost 4 / 1500 of 1,000 kg, 2.667 kg."""
    tilt = table("[pads.heights]", (15, 0, 15, 0))
    flat = asked(tmp_path, table("[[readings]]", LEVEL) + tilt, SPRUNG)
    assert loads(sound(flat)) == pytest.approx(LEVEL, abs=1e-9)
    known = asked(tmp_path, table("[[readings]]", LEVEL) + tilt, "centre_of_gravity_height = 400\n" + SPRUNG)
    corrected = loads(sound(known))
    assert corrected[0] + corrected[2] == pytest.approx(500 + 1000 * 4 / 1500, abs=1e-9)
    assert corrected[0] + corrected[1] == pytest.approx(530, abs=1e-9)
    told = weigh(flat).unevenness
    assert told is not None and not told.slope_corrected
    assert told.slope_left_points == pytest.approx(-0.010 * 0.1 / 1.5, abs=1e-9)  # for 100 mm of height


def test_zero_readings_come_off_every_settling(tmp_path: Path) -> None:
    """What empty pads showed, 0.4, -0.2, 0 and 0.6 kg, is in every reading."""
    more = 2 * table("[[readings]]", LEVEL) + table("[pads.zero]", (0.4, -0.2, 0, 0.6))
    corrected = sound(asked(tmp_path, more))
    assert [row.in_order() for row in corrected.weigh_in.readings] == [pytest.approx((259.6, 270.2, 240.0, 229.4))] * 2


def proved(shown: tuple[float, float, float, float], more: str) -> str:
    """A known mass, or none, on each pad in turn."""
    return "".join(
        table(
            "[[pads.known_mass]]", [load if pad == each else 0 for each in range(4)], f'on = "{CORNERS[pad]}"\n{more}'
        )
        for pad, load in enumerate(shown)
    )


def test_a_pad_that_reads_low_is_put_right(tmp_path: Path) -> None:
    """100 kg shown as 99 on RF: 270 kg there are 272.727; the others, within a display step, are left alone."""
    more = table("[[readings]]", LEVEL) + "\n[pads]\nresolution = 0.5\n" + proved((100, 99, 100, 100), "mass = 100\n")
    question = asked(tmp_path, more)
    assert loads(sound(question)) == pytest.approx((260, 270 / 0.99, 240, 230), abs=1e-9)
    weighed = weigh(question)
    assert weighed.proof is not None
    assert [pad.applied for pad in weighed.proof.pads] == [False, True, False, False]


def test_a_gain_within_the_display_is_left_alone(tmp_path: Path) -> None:
    """20 kg shown as 19.8 in steps of 0.5 kg: u = 0.5 sqrt(2/12) / 20 = 1.02 %, and 1 % off is nothing."""
    more = table("[[readings]]", LEVEL) + "\n[pads]\nresolution = 0.5\n" + proved((20, 19.8, 20, 20), "mass = 20\n")
    question = asked(tmp_path, more)
    assert loads(sound(question)) == pytest.approx(LEVEL, abs=1e-12)
    weighed = weigh(question)
    assert weighed.proof is not None
    assert weighed.proof.pads[1].uncertain == pytest.approx(0.5 * math.sqrt(2 / 12) / 20, rel=1e-9)
    assert "gain" not in weighed.corrected


def test_a_display_of_which_nobody_states_the_step_reads_in_its_last_digit(tmp_path: Path) -> None:
    """20 kg shown as 19.9, no resolution: steps of 0.1 kg, u = 0.1 sqrt(2/12) / 20 = 0.20 %; 19.95 is read in 0.01."""
    more = table("[[readings]]", LEVEL) + proved((20, 19.9, 20, 20), "mass = 20\n")
    weighed = weigh(asked(tmp_path, more))
    assert weighed.proof is not None
    assert [pad.uncertain for pad in weighed.proof.pads] == pytest.approx([0.1 * math.sqrt(2 / 12) / 20] * 4, rel=1e-9)
    assert [pad.applied for pad in weighed.proof.pads] == [False, True, False, False]
    near = weigh(asked(tmp_path, table("[[readings]]", LEVEL) + proved((20, 19.95, 20.1, 20), "mass = 20\n")))
    assert near.proof is not None
    assert near.proof.pads[0].uncertain == pytest.approx(0.01 * math.sqrt(2 / 12) / 20, rel=1e-9)


def test_a_person_puts_percentages_right_and_leaves_the_total_open(tmp_path: Path) -> None:
    """A person shows 80, 80, 80 and 76 kg: against their mean of 79 the gains are 1.01266 thrice, and 0.96203."""
    question = asked(tmp_path, table("[[readings]]", LEVEL) + proved((80, 80, 80, 76), ""))
    assert loads(sound(question)) == pytest.approx(np.array(LEVEL) / (np.array([80, 80, 80, 76]) / 79), abs=1e-9)


def test_what_the_gain_leaves_open_comes_along(tmp_path: Path) -> None:
    """RF: u of its gain, 0.5 sqrt(2/12) / 100 = 0.204 %, of 272.7 kg; the mass, within 0.3 kg, is 0.173 %.

    So RF is uncertain by hypot(0.00204 / 0.99, 0.00173) x 272.727 kg, and the total by as much.
    """
    mass = "mass = 100\nwithin = 0.3\n"
    more = table("[[readings]]", LEVEL) + "\n[pads]\nresolution = 0.5\n" + proved((100, 99, 100, 100), mass)
    pads = sound(asked(tmp_path, more)).weigh_in.pads
    covariance = pad_covariance(LEVEL, 0.0, corrections=np.array(pads.still_off()))
    by_hand = math.hypot(0.5 * math.sqrt(2 / 12) / 100 / 0.99, 0.3 / 100 / math.sqrt(3)) * 270 / 0.99
    assert math.sqrt(covariance[1, 1]) == pytest.approx(by_hand, rel=1e-9)
    assert math.sqrt(covariance.sum()) == pytest.approx(by_hand, rel=1e-9)


def test_what_heights_leave_open_is_warp(tmp_path: Path) -> None:
    """Each pad within 1 mm: u = 1.05882 / sqrt 3 kg on LF from each of four, in all 2 x 0.6113 kg; no total, no side.

    The rates within 10 % add 10 % / sqrt 3 of the 1.05882 kg taken off.
    """
    heights = table("[pads.heights]", (1, 0, 0, 0), "within = 1\n")
    pads = sound(asked(tmp_path, table("[[readings]]", LEVEL) + heights, SPRUNG)).weigh_in.pads
    covariance = pad_covariance(LEVEL, 0.0, corrections=np.array(pads.still_off()))
    by_hand = 1.05882 / math.sqrt(3) * math.hypot(2.0, 0.1)
    assert math.sqrt(covariance[0, 0]) == pytest.approx(by_hand, rel=1e-5)
    assert covariance.sum() == pytest.approx(0.0, abs=1e-12)
    assert covariance[0, 0] + covariance[0, 2] == pytest.approx(0.0, abs=1e-12)


def test_the_turned_set_counts_as_much_as_the_first(tmp_path: Path) -> None:
    """Left 2 kg heavy one way and 2 kg light the other, two settlings against one: half way between, bias 0.2 points.

    Loads (262, 268, 242, 228) and (258, 272, 238, 232): left 504 and 496 of 1,000, half the difference 0.4 points.
    """
    first, turned = (262, 268, 242, 228), (258, 272, 238, 232)
    question = asked(tmp_path, 2 * table("[[readings]]", first) + table("[[turned]]", turned))
    corrected = sound(question)
    assert loads(corrected) == pytest.approx(LEVEL, abs=1e-9)
    assert corrected.weigh_in.turned == ()
    weighed = weigh(question)
    assert weighed.turned is not None
    assert weighed.turned.bias.left_percent == pytest.approx(0.004, abs=1e-12)
    assert weighed.turned.bias.diagonal_percent == pytest.approx(0.0, abs=1e-12)
    assert weighed.spread.left_percent == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("order", "said"),
    [((3, 2, 1, 0), "LF with RR and RF with LR"), ((1, 0, 2, 3), "LF with RF"), ((0, 1, 2, 3), None)],
)
def test_a_turned_set_written_where_the_pads_lay_is_refused(
    tmp_path: Path, order: tuple[int, ...], said: str | None
) -> None:
    """A turned set with corners exchanged is no mean to be made; a floor that slopes 1 % both ways is one all the same.

    By levers: height 0.5 m, slope 1 %: 5 mm, of 1000 kg on 2.5 m and 1.5 m: 2 kg from axle to axle, 3.33 from side to
    side, shared evenly by each pair.
    """
    weighed = np.array([290.0, 310.0, 190.0, 210.0])
    slope = np.array([1.0, 1.0, -1.0, -1.0]) + np.array([1.0, -1.0, 1.0, -1.0]) * 5 / 3
    turned = (weighed - slope)[list(order)]
    question = asked(tmp_path, table("[[readings]]", weighed + slope) + table("[[turned]]", turned))
    if said is None:
        assert loads(sound(question)) == pytest.approx(weighed, abs=1e-9)
    else:
        with pytest.raises(InputError, match=said):
            sound(question)


def test_a_slope_cancels_in_the_mean_of_both_ways_and_a_twist_does_not(tmp_path: Path) -> None:
    """A car put on a floor that leans and is twisted, both ways, by the model of the table above; nothing measured.

    Left up by 10 mm per m with the centre 400 mm up takes 2.667 kg from the left and gives it back when turned. A twist
    that puts 1.05882 kg on LF puts it there both ways.
    """
    side, twist = np.array([-1, 1, -1, 1]) * 1000 * 4 / 1500 / 2, 1.05882 * np.array([1, -1, -1, 1])
    first, turned = (np.array(LEVEL) + way * side + twist for way in (1, -1))
    question = asked(tmp_path, 3 * table("[[readings]]", first) + 3 * table("[[turned]]", turned), SPRUNG)
    assert loads(sound(question)) - LEVEL == pytest.approx(twist, abs=1e-9)


def test_heights_turned_about_are_those_of_the_floor(tmp_path: Path) -> None:
    """LF's place 1 mm high is RR's place when turned: 1.05882 kg on LF and RR both ways, and both ways taken off."""
    both = table("[[readings]]", LEVEL) + table("[[turned]]", LEVEL) + table("[pads.heights]", (1, 0, 0, 0))
    found = examine(asked(tmp_path, both, SPRUNG))
    off = np.array(LEVEL) - 1.05882 * np.array([1, -1, -1, 1])
    assert found.first[0] == pytest.approx(off, abs=5e-6)
    assert found.turned[0] == pytest.approx(off, abs=5e-6)


EVERYTHING = (
    table("[[readings]]", LEVEL)
    + table("[[readings]]", (261, 269, 239, 231))
    + table("[[turned]]", LEVEL)
    + "\n[pads]\nresolution = 0.2\naccuracy = 0.4\n"
    + table("[pads.zero]", (0.4, -0.2, 0, 0.6))
    + table("[pads.heights]", (2, 0, 0, 0))
    + table("[[pads.known_mass]]", (99.4, 0, 0, 0), 'on = "LF"\nmass = 100\n')
)
HIGH = "centre_of_gravity_height = 400\n" + SPRUNG


def test_nothing_is_corrected_twice(tmp_path: Path) -> None:
    """A question made sound is sound: the second time it comes back as it is, and weighs the same."""
    question = asked(tmp_path, EVERYTHING, HIGH)
    once = sound(question)
    assert once != question
    assert sound(once) == once
    pads = once.weigh_in.pads
    assert pads.corrected is not None
    assert pads.corrected.what == ("zero", "gain", "heights", "slope", "turned")
    assert (pads.zero, pads.known_mass, pads.heights, pads.levels) == (None, (), None, None)
    first, second = weigh(question), weigh(once)
    for name in ("total", "front_percent", "left_percent", "rear_pair"):
        assert getattr(second.measured, name) == pytest.approx(getattr(first.measured, name), abs=1e-9)
        assert second.corrected == first.corrected
    for name in ("total", "front_percent", "left_percent", "diagonal_percent"):
        assert getattr(second.uncertain, name) == pytest.approx(getattr(first.uncertain, name), abs=1e-9)


def test_what_the_pads_showed_is_kept(tmp_path: Path) -> None:
    """The readings before any correction, turned ones last, are still to be had."""
    question = asked(tmp_path, EVERYTHING, HIGH)
    assert sound(question).weigh_in.as_read() == question.weigh_in.as_read()
    assert question.weigh_in.as_read() == (LEVEL, (261, 269, 239, 231), LEVEL)


@pytest.mark.parametrize("mass", ["kg", "lb"])
def test_a_sound_weigh_in_is_written_and_read_back(mass: str, tmp_path: Path) -> None:
    """A corrected weigh-in in a saved plan, in its own units, is the same when it is read again."""
    asked(tmp_path, EVERYTHING, HIGH)
    path = tmp_path / "weigh-in.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('mass = "kg"', f'mass = "{mass}"'), encoding="utf-8")
    weigh_in = sound(files.read_question(tmp_path / "car.toml", path)).weigh_in
    units = weigh_in.units.units()
    text = json.dumps(weigh_in.model_dump(mode="json", by_alias=True, context=units))
    back = WeighIn.model_validate(json.loads(text), context=units)
    assert back == weigh_in


def test_a_weigh_in_with_nothing_to_correct_is_left_as_it_is(tmp_path: Path) -> None:
    """No table to correct by: the very same question."""
    question = asked(tmp_path, 3 * table("[[readings]]", LEVEL) + "\n[pads]\nresolution = 0.2\n")
    assert sound(question) is question
    assert weigh(question).corrected == ()
    assert weigh(question).correction is None


def test_a_correction_that_leaves_nothing_on_a_corner_is_refused(tmp_path: Path) -> None:
    """A pad 140 mm high on stiff springs would carry more than there is: the heights are wrong, not the car."""
    stiff = SPRUNG.replace("springs = 80", "springs = 800")
    question = asked(tmp_path, table("[[readings]]", LEVEL) + table("[pads.heights]", (140, 0, 0, 0)), stiff)
    with pytest.raises(InputError) as caught:
        sound(question)
    (complaint,) = caught.value.complaints
    assert "would weigh nothing on RR" in complaint.what
    assert "[pads.heights]" in complaint.fix
