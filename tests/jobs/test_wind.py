"""Platform turns, from car file and weigh-in to an answer.

The car of the check values: springs 80 N/mm at a motion ratio of 0.8, tyres 220 N/mm, wheelbase 2.5 m, tracks 1.5 m.
One turn of 2 mm up at LF puts 2.64705 kg on LF with the bars off, 1.79719 kg with bars of 40 and 20 N/mm, 2.04408 kg
with 40 and 40: the design's own values, computed twice, by a closed form and by a model of seven unknowns.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.errors import InputError
from ballast.jobs.ride_height import height_back
from ballast.jobs.wind import wind
from ballast.records.files import as_json, read_question
from ballast.records.question import Question
from ballast.records.turns import TurnPlan, Wound

CAR = """
[units]
mass = "kg"
length = "mm"
spring = "N/mm"

[car]
name = "Otter"
wheelbase = 2500
track_front = {track_front}
track_rear = 1500

[suspension]
{suspension}

[suspension.front]
{front}

[suspension.rear]
{rear}

[[mounts]]
name = "nose"
behind_front_axle = 0
left_of_centre = 0
capacity = 40

[[mounts]]
name = "left sill"
behind_front_axle = 1250
left_of_centre = 750
capacity = 25

[[mounts]]
name = "right sill"
behind_front_axle = 1250
left_of_centre = -750
capacity = 60

[[plates]]
name = "10 kg"
mass = 10
count = 6

[targets]
{targets}
"""
WEIGH_IN = """
[units]
mass = "kg"
length = "mm"

[weigh_in]
date = 2026-05-02
{state}

[[readings]]
{loads}
"""
SPRINGS = "springs = 80\nmotion_ratio = 0.8\ntyres = 220"
DIAGONAL = 'diagonal = { corners = "RF+LR", aim = 50, within = 0.4 }'
LOADS = "LF = 255\nRF = 245\nLR = 245\nRR = 255"
"""RF+LR is 490 of 1000 kg."""


def question(
    folder: Path,
    front: str = f"{SPRINGS}\nlift_per_turn = 2",
    rear: str = f"{SPRINGS}\nlift_per_turn = 2",
    suspension: str = "",
    targets: str = DIAGONAL,
    state: str = "",
    loads: str = LOADS,
    track_front: int = 1500,
) -> Question:
    """The question of two files, written and read back."""
    car = CAR.format(front=front, rear=rear, suspension=suspension, targets=targets, track_front=track_front)
    (folder / "car.toml").write_text(car, encoding="utf-8")
    (folder / "weigh-in.toml").write_text(WEIGH_IN.format(state=state, loads=loads), encoding="utf-8")
    return read_question(folder / "car.toml", folder / "weigh-in.toml")


def turned(plan: TurnPlan) -> dict[str, float]:
    """The turns that are not nothing."""
    return {corner: turns for corner, turns in plan.turns.model_dump().items() if turns}


def load(plan: TurnPlan, corner: str) -> float:
    """What a corner carries afterwards. [kg]"""
    return float(getattr(plan.after.corner_loads, corner))


def alone(wound: Wound) -> dict[str, TurnPlan]:
    """Plans that turn one platform, by its corner."""
    return {next(iter(turned(plan))): plan for plan in wound.winding.plans if len(turned(plan)) == 1}


@pytest.mark.parametrize(
    ("bar_front", "bar_rear", "state", "load"),
    [
        (40, 20, "disconnected", 2.64705),
        (40, 20, "connected", 1.79719),
        (40, 40, "connected", 2.04408),
    ],
)
def test_one_turn_up_from_the_car_file_to_json(
    tmp_path: Path, bar_front: int, bar_rear: int, state: str, load: float
) -> None:
    """Design's values, to the five decimals printed: bars make less of a turn, in the weigh-in's state."""
    asked = question(
        tmp_path,
        f"{SPRINGS}\nlift_per_turn = 2\nbar = {bar_front}",
        f"{SPRINGS}\nlift_per_turn = 2\nbar = {bar_rear}",
        state=f'bars = "{state}"',
    )
    told = json.loads(as_json(wind(asked)))
    first = told["one_turn"][0]
    assert (first["corner"], first["known_from"], told["bars"]) == ("LF", "springs", state)
    assert first["load"] == pytest.approx(load, abs=5e-6)
    # Two kg of warp move the diagonal by twice as much, and the car weighs 1000 kg.
    assert first["diagonal_points"] == pytest.approx(-2 * load / 10, abs=5e-6)


def test_turns_by_hand(tmp_path: Path) -> None:
    """RF+LR lacks 10 kg: LF has to lose 5. Half the band of 0.4 points is guard, so 4 kg at the least, 6 at the most.

    One turn of 2.64705 kg: 1 1/2 turns are 3.97 kg, too little, and 1 3/4 are 4.63 kg. By four platforms 1/2 turn each
    is 5.29 kg and holds the height exactly; fewer turns of two hold it within less than a millimetre at no corner.
    """
    wound = wind(question(tmp_path))
    assert wound.winding.target.before == pytest.approx(0.49)
    assert wound.winding.target.guard == pytest.approx(0.002)
    found = alone(wound)
    assert {corner: turned(plan)[corner] for corner, plan in found.items()} == {
        "LF": -1.75,
        "RF": 1.75,
        "LR": 1.75,
        "RR": -1.75,
    }
    for plan in found.values():
        assert load(plan, "LF") == pytest.approx(255 - 1.75 * 2.64705, abs=1e-4)
        assert load(plan, "RF") == pytest.approx(245 + 1.75 * 2.64705, abs=1e-4)
        assert plan.comes == "inside"
        assert plan.left_points == pytest.approx(0.0, abs=1e-12)
    held = wind(question(tmp_path), 0.1).winding.plans[0]
    assert turned(held) == {"LF": -0.5, "RF": 0.5, "LR": 0.5, "RR": -0.5}
    assert held.kind == "ride height held"
    assert held.ride_height is not None
    assert held.ride_height.in_order() == pytest.approx([0.0] * 4, abs=1e-12)


def test_one_platform_raises_its_corner_by_hand(tmp_path: Path) -> None:
    """RF up by 1 3/4 turns of 2 mm: 3.5 / 0.8 = 4.375 mm at the wheel, and a plane shares it among the corners.

    The chassis rests on four equal springs: of 4.375 mm at one corner the best plane has 3/4 there, 1/4 at its
    neighbours, and -1/4 at the opposite one.
    """
    plan = alone(wind(question(tmp_path)))["RF"]
    assert plan.ride_height is not None
    up = 0.004375
    assert plan.ride_height.in_order() == pytest.approx([up / 4, 3 * up / 4, -up / 4, up / 4], abs=1e-12)


def test_thread_left_and_thread_too_short(tmp_path: Path) -> None:
    """Ends counted from what the car file says; a platform without thread for it is not offered, with the reason.

    Into the band it takes 3 kg at the least, 1 1/4 turns of 2.64705 kg, and one turn is left.
    """
    thread = "lift_per_turn = 2\nturns_up = [6, 1]\nturns_down = [1, 4]"
    wound = wind(question(tmp_path, f"{SPRINGS}\n{thread}"))
    assert set(alone(wound)) == {"LR", "RR"}
    reasons = [(reason.corner, reason.because, reason.turns) for reason in wound.winding.not_possible]
    assert reasons == [("LF", "thread", 1.25), ("RF", "thread", 1.25)]
    held = wind(question(tmp_path, f"{SPRINGS}\n{thread}"), 0.1).winding.plans[0]
    assert held.thread_up.in_order() == (6.5, 0.5, None, None)
    assert held.thread_down.in_order() == (0.5, 4.5, None, None)


def test_a_chassis_that_twists_and_too_little_thread(tmp_path: Path) -> None:
    """RF+LR of 56 %, 35 kg on LF: finer steps would not do, and that is not said; thread is what is missing.

    35 kg of warp on tracks of 1.5 m make a torque of 515 N m, which twists 1000 N m/deg by half a degree, a
    quarter each way at the axles: 3.4 mm at a corner, whatever is turned. So it is held to 5 mm at the best, and not
    with the one turn that is left: four of them are no more than 4 x 2.65 kg.
    """
    thread = f"{SPRINGS}\nlift_per_turn = 2\nturns_up = 1\nturns_down = 1"
    question(tmp_path, thread, thread, targets=DIAGONAL.replace("50", "56"))
    text = (tmp_path / "car.toml").read_text(encoding="utf-8").replace("[units]", '[units]\ntwist = "N m/deg"', 1)
    text = text.replace("[suspension]", "[suspension]\nchassis_twist = 1000", 1)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    wound = wind(read_question(tmp_path / "car.toml", tmp_path / "weigh-in.toml"))
    held = next(reason for reason in wound.winding.not_possible if reason.kind == "ride height held")
    assert held.because == "thread"
    assert held.turns is not None and held.turns > 4


def test_known_turns_replace_springs_in_their_state_of_the_bars_alone(tmp_path: Path) -> None:
    """Measured with the bars as at the weigh-in, they count; measured otherwise, springs do, and it is said."""
    front = f"{SPRINGS}\nlift_per_turn = 2\nbar = 40\nload_per_turn = [2.2, 2.4]"
    rear = f"{SPRINGS}\nlift_per_turn = 2\nbar = 20"
    same = 'measured_with_bars = "connected"'
    wound = wind(question(tmp_path, front, rear, same, state='bars = "connected"'))
    told = {one.corner: (one.load, one.known_from) for one in wound.one_turn}
    assert told["LF"] == (2.2, "known turns")
    assert told["RF"][0] == pytest.approx(2.4)
    assert told["RF"][1] == "known turns"
    assert told["LR"][1] == "springs"
    assert wound.known_turns_not_used is None
    other = wind(question(tmp_path, front, rear, same, state='bars = "disconnected"'))
    assert other.one_turn[0].load == pytest.approx(2.64705, abs=5e-6)
    assert other.known_turns_not_used == "connected"
    unsaid = wind(question(tmp_path, front, rear, state='bars = "connected"'))
    assert unsaid.one_turn[0].load == pytest.approx(1.79719, abs=5e-6)
    assert unsaid.known_turns_bars_unsaid
    assert not wound.known_turns_bars_unsaid


def test_known_turns_alone_foretell_loads_and_no_heights(tmp_path: Path) -> None:
    """2.5 kg a turn, 4 to 6 kg wanted: 1 3/4 turns (4.375 kg), and ride heights are not known."""
    wound = wind(question(tmp_path, "load_per_turn = 2.5", "load_per_turn = 2.5"))
    plans = alone(wound)
    assert turned(plans["LF"]) == {"LF": -1.75}
    assert load(plans["LF"], "LF") == pytest.approx(255 - 4.375)
    assert all(plan.ride_height is None for plan in wound.winding.plans)
    assert wound.winding.not_possible[-1].because == "heights not known"
    assert wound.winding.because == "fewest turns"


def test_only_one_axle_known_leaves_the_other_alone(tmp_path: Path) -> None:
    """Known turns in front alone: no plan touches the rear."""
    text = CAR.format(front="load_per_turn = 2.5", rear="@", suspension="", targets=DIAGONAL, track_front=1500).replace(
        "[suspension.rear]\n@", ""
    )
    question(tmp_path)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    wound = wind(read_question(tmp_path / "car.toml", tmp_path / "weigh-in.toml"))
    assert wound.winding.plans
    assert all(set(turned(plan)) <= {"LF", "RF"} for plan in wound.winding.plans)


def test_unequal_tracks_move_left_a_little(tmp_path: Path) -> None:
    """Tracks 1.6 and 1.5 m: n = [1, -1, -16/15, 16/15]; a kg at LF takes 1/15 kg off the left and 31/15 off RF+LR."""
    wound = wind(question(tmp_path, track_front=1600))
    assert wound.left_points_by_diagonal == pytest.approx(1 / 31)
    plan = alone(wound)["LF"]
    gone = 255 - plan.after.corner_loads.LF
    assert plan.left_points == pytest.approx(gone / 15 / 1000)


def test_what_cannot_be_wound_in_needs_mass(tmp_path: Path) -> None:
    """Left 48 % of 1000 kg, wanted 50: 20 kg more on the left.

    At the left sill, over the left wheels, (480 + m) / (1000 + m) = 0.5 gives m = 40 kg, more than the 25 it takes. By
    levers, 20 kg moved over the whole track of 1.5 m. The nose is on the centre line and can do nothing. Plates on the
    right sill moved to the left one: 20 kg move all of themselves from right to left.
    """
    loads = "LF = 240\nRF = 260\nLR = 240\nRR = 260"
    targets = f"{DIAGONAL}\nleft = {{ aim = 50, within = 0.4 }}"
    (found,) = wind(question(tmp_path, targets=targets, loads=loads)).not_wound
    assert found.added is not None
    assert (found.figure, found.way, found.shifted) == ("left", "left", None)
    assert found.added.mount == "left sill"
    assert [found.added.mass, found.added.room] == pytest.approx([40.0, 25.0])
    assert [found.moved, found.by] == pytest.approx([20.0, 1.5])
    fitted = f'{loads}\n\n[[fitted]]\nmount = "right sill"\nplate = "10 kg"\ncount = 3'
    (found,) = wind(question(tmp_path, targets=targets, loads=fitted)).not_wound
    assert found.shifted is not None
    assert (found.shifted.from_mount, found.shifted.to_mount) == ("right sill", "left sill")
    assert found.shifted.mass == pytest.approx(20.0)


def test_front_cannot_be_wound_in_either(tmp_path: Path) -> None:
    """Front 50 %, wanted 52: at the nose, over the front axle, 1000 x 0.02 / 0.48 kg; or 20 kg over the wheelbase."""
    targets = f"{DIAGONAL}\nfront = {{ aim = 52, within = 0.5 }}"
    (found,) = wind(question(tmp_path, targets=targets)).not_wound
    assert found.added is not None
    assert (found.added.mount, found.way) == ("nose", "forward")
    assert [found.added.mass, found.moved, found.by] == pytest.approx([20 / 0.48, 20.0, 2.5])


def test_a_rear_pair_is_wound_in_too(tmp_path: Path) -> None:
    """LR less RR is -10 kg, wanted 4 within 2: half of 14 kg onto LR at best, 6.5 at the least, 1/2 kg of guard kept.

    The guard is half the band, 1 kg, as one settling tells the diagonal to 4 kg of 1000 (common practice): LR gets 6.5
    to 7.5 kg, and 2 1/2 turns of 2.64705 kg are 6.62.
    """
    wound = wind(question(tmp_path, targets="rear_pair = { aim = 4, within = 2 }"))
    plan = alone(wound)["LR"]
    assert turned(plan) == {"LR": 2.5}
    assert plan.after.rear_pair == pytest.approx(-10 + 2 * 2.5 * 2.64705, abs=1e-4)


def test_readings_are_corrected_as_weigh_does(tmp_path: Path) -> None:
    """LF's pad shows 5 kg and RF's takes off 5 with nothing on them: RF+LR is 495 of 1000 kg, not 490."""
    zeros = f"{LOADS}\n\n[pads.zero]\nLF = 5\nRF = -5\nLR = 0\nRR = 0"
    wound = wind(question(tmp_path, loads=zeros))
    assert wound.winding.target.before == pytest.approx(0.495)
    assert wound.corrected == ("zero",)


def test_a_diagonal_that_is_there_is_left_alone(tmp_path: Path) -> None:
    """RF+LR 50.1 % within 0.4, guard and all."""
    wound = wind(question(tmp_path, loads="LF = 249.5\nRF = 250.5\nLR = 250.5\nRR = 249.5"))
    assert wound.winding.there_already
    assert wound.winding.plans == ()
    assert wound.done


def test_coarse_steps_come_as_near_as_they_can(tmp_path: Path) -> None:
    """Whole turns of 2.647 kg and a band of +/- 0.1 points, 0.5 kg: LF -5 is wanted, -5.29 is two turns, inside.

    With a third of the diagonal wanting, 1.6 kg, no whole turn comes within 0.5 kg, and none comes nearer than 1.05.
    """
    coarse = "platforms = { step = 1 }"
    narrow = DIAGONAL.replace("0.4", "0.1")
    near = wind(question(tmp_path, suspension=coarse, targets=narrow))
    assert {turned(plan)[corner] for corner, plan in alone(near).items()} == {2, -2}
    assert near.winding.plans[0].comes == "near the edge"
    short = wind(
        question(tmp_path, suspension=coarse, targets=narrow, loads="LF = 251.6\nRF = 248.4\nLR = 248.4\nRR = 251.6")
    )
    assert not short.done
    assert {plan.comes for plan in short.winding.plans} == {"short"}
    assert short.winding.because == "comes nearest"
    assert load(short.winding.plans[0], "LF") == pytest.approx(251.6 - 2.64705, abs=1e-4)
    assert {reason.because for reason in short.winding.not_possible} == {"step"}


def test_a_wheel_that_would_lift_is_told(tmp_path: Path) -> None:
    """RF+LR of 90 % would ask LF, at 60 kg, to lose 200."""
    loads = "LF = 60\nRF = 440\nLR = 60\nRR = 440"
    wound = wind(question(tmp_path, loads=loads, targets=DIAGONAL.replace("50", "90")))
    assert wound.winding.plans == ()
    assert {reason.because for reason in wound.winding.not_possible} == {"wheel lifts"}
    assert not wound.done


def refusal(asked: Question) -> str:
    """What is complained of."""
    with pytest.raises(InputError) as caught:
        wind(asked)
    return str(caught.value)


def test_what_is_missing_is_taught(tmp_path: Path) -> None:
    """No target, no pitch of the thread, nothing at all, known turns with other bars: each says what to do."""
    assert "[targets] diagonal" in refusal(question(tmp_path, targets="left = { aim = 50, within = 0.4 }"))
    assert "lift_per_turn" in refusal(question(tmp_path, SPRINGS, SPRINGS))
    other = question(
        tmp_path,
        "load_per_turn = 2",
        "load_per_turn = 2",
        'measured_with_bars = "disconnected"',
        state='bars = "connected"',
    )
    said = refusal(other)
    assert "[weigh_in] bars" in said
    assert "`ballast trial`" in said
    bare = other.replace(car=other.car.replace(suspension=type(other.car.suspension)()))
    said = refusal(bare)
    assert "`ballast trial`" in said
    assert "load_per_turn" in said
    assert "lift_per_turn" in said


def test_height_lost_to_ballast_by_hand(tmp_path: Path) -> None:
    """20 kg in the middle: 5 kg a corner on 51.2 and 220 N/mm, 1.1805 mm lost; a quarter turn gives 0.5 / 0.8 mm back.

    1.1805 / 0.625 = 1.89 steps: two, and every corner stands 0.07 mm high.
    """
    asked = question(tmp_path)
    found = height_back(asked.car, None, np.array([20.0]), np.array([[1.25, 0.0]]), 1000.0)
    assert found is not None
    assert found.turns is not None
    assert found.left_over is not None
    lost = 5 * 9.80665 * (1 / 51.2e3 + 1 / 220e3)
    assert found.lost.in_order() == pytest.approx([-lost] * 4, abs=1e-12)
    assert found.turns.in_order() == (0.5, 0.5, 0.5, 0.5)
    assert found.left_over.in_order() == pytest.approx([0.00125 - lost] * 4, abs=1e-12)
    assert found.diagonal_points == pytest.approx(0.0, abs=1e-12)


def test_height_lost_needs_springs_and_turns_need_their_pitch(tmp_path: Path) -> None:
    """Known turns alone tell nothing of heights; springs without the pitch tell what is lost and not what to turn."""
    masses, places = np.array([20.0]), np.array([[1.25, 0.0]])
    taught = question(tmp_path, "load_per_turn = 2", "load_per_turn = 2")
    assert height_back(taught.car, None, masses, places, 1000.0) is None
    found = height_back(question(tmp_path, SPRINGS, SPRINGS).car, None, masses, places, 1000.0)
    assert found is not None
    assert (found.turns, found.left_over) == (None, None)


def test_it_is_a_public_name(tmp_path: Path) -> None:
    """`from ballast import wind` is the job, and its JSON is in the car file's units."""
    import ballast

    assert ballast.wind is wind
    told: dict[str, Any] = json.loads(ballast.as_json(ballast.wind(question(tmp_path))))
    assert (told["units"]["length"], told["height_within"], told["step"]) == ("mm", 1.0, 0.25)
