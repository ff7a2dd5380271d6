"""Trials from files to an answer: the design's check values inverted, what goes into the car file, and what is refused.

Loads are written out by the law of a plain car (H. Heisler, Advanced Vehicle Technology, sec. 10.3, for the share s): a
mass m at aft and left brings m [(1 - aft/L)/2 +/- s left/tf] in front and m [(aft/L)/2 +/- (1-s) left/tr] behind.
"""

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.errors import InputError
from ballast.jobs.trial import trial
from ballast.physics import stance as standing
from ballast.planning.stances import patches, stance
from ballast.records import files
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.trials import Trials
from ballast.records.tried import Tried
from ballast.records.weighing import WeighIn
from ballast.showing.text import laid_out
from ballast.showing.trial_sheet import trial_sheet

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
UNITS = {"mass": "kg", "length": "m", "spring": "N/mm"}
CORNERS = ("LF", "RF", "LR", "RR")
WARP = np.array([1.0, -1.0, -1.0, 1.0])
BASE = np.full(4, 250.0)
EXACTLY: dict[str, Any] = {"mass_within": 0.0, "place_within": 0.0}
SPRUNG = {
    "front": {"springs": 80e3, "motion_ratio": 0.8, "tyres": 220e3, "lift_per_turn": 0.002, "bar": 40e3},
    "rear": {"springs": 80e3, "motion_ratio": 0.8, "tyres": 220e3, "lift_per_turn": 0.002, "bar": 20e3},
}
"""The car of the design's check values, inside units: N/m and m."""


def car(**suspension: Any) -> Car:
    """A car of 2.5 m wheelbase and 1.5 m tracks."""
    return Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "Otter", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5},
            "suspension": suspension,
            "mounts": [{"name": "floor", "behind_front_axle": 1.0, "left_of_centre": 0.0, "capacity": 20.0}],
            "plates": [{"name": "5 kg", "mass": 5.0, "count": 4}],
        }
    )


def settled(loads: Any, *off: float) -> list[dict[str, float]]:
    """Readings of one settling for each `off`, which is its warp. [kg]"""
    return [dict(zip(CORNERS, map(float, np.asarray(loads) + each * WARP), strict=True)) for each in off or (0.0, 0.0)]


def asked(of: Car | None = None, *off: float, bars: str | None = None, **pads: Any) -> Question:
    """Four corners of 250 kg, weighed twice without any scatter, or as told."""
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": "2026-04-11"} | ({"bars": bars} if bars else {}),
        "readings": settled(BASE, *off),
        "pads": pads,
    }
    return Question(car=of or car(), weigh_in=WeighIn.model_validate(weigh_in))


def brought(mass: float, aft: float, left: float, share: float) -> Any:
    """What a mass brings by the law above. [kg]"""
    roll = np.array([share, -share, 1 - share, share - 1]) * left / 1.5
    return mass * (np.array([1 - aft / 2.5, 1 - aft / 2.5, aft / 2.5, aft / 2.5]) / 2 + roll)


def weight(mass: float, aft: float, left: float, change: Any, *off: float, **more: Any) -> dict[str, Any]:
    """A table of weights."""
    told = {"mass": mass, "behind_front_axle": aft, "left_of_centre": left, "readings": settled(BASE + change, *off)}
    return told | more


def trials(*weights: dict[str, Any], **more: Any) -> Trials:
    """A file of trials."""
    return Trials.model_validate({"units": UNITS, "trials": EXACTLY, "weights": weights} | more)


def refused(question: Question, given: Trials) -> str:
    """The complaints of a trial that cannot be as its file says; each names file and remedy."""
    with pytest.raises(InputError) as caught:
        trial(question, given, "trials.toml")
    for complaint in caught.value.complaints:
        assert complaint.file == "trials.toml" and complaint.where and complaint.what and complaint.fix
    return str(caught.value)


def pasted(of: Car, tried: Tried, known: dict[str, Any] | None = None) -> Car:
    """The car with the lines of the sheet below WRITE THIS in it, read by the standard library's TOML reader."""
    text = laid_out(trial_sheet(tried)).partition("WRITE THIS INTO THE CAR FILE\n")[2].partition("\n  Where a table")[0]
    lines = tomllib.loads("\n".join(line.strip() for line in text.splitlines()))["suspension"]
    now = (known or {}) | {key: value for key, value in lines.items() if not isinstance(value, dict)}
    for key, table in lines.items():
        if isinstance(table, dict):
            now[key] = now.get(key, {}) | table
    raw = of.model_dump(mode="json", by_alias=True, exclude={"suspension"}, exclude_none=True, context=of.units.units())
    return Car.model_validate(raw | {"suspension": now}, context=of.units.units(), by_alias=True, by_name=False)


@pytest.mark.parametrize(
    ("share", "loads"),
    [
        (2 / 3, [260.4444, 251.5556, 256.2222, 251.7778]),
        (1 / 2, [259.3333, 252.6667, 257.3333, 250.6667]),
        (1 / 3, [258.2222, 253.7778, 258.4444, 249.5556]),
    ],
)
def test_the_check_table_inverted_and_pasted(share: float, loads: list[float]) -> None:
    """Design's own, computed twice: the share comes back from the table, and the car file with it divides a mass so."""
    tried = trial(asked(), trials(weight(20, 1.0, 0.5, np.array(loads) - BASE)))
    assert tried.share and tried.share.front_roll_share == pytest.approx(share, abs=1e-5)
    assert tried.tells and tried.share.verdict == "tells"
    after = stance(pasted(car(), tried), "disconnected")
    assert 250 + 20 * standing.shares(after, 1.0, 0.5) == pytest.approx(loads, abs=2e-4)


def test_what_is_pasted_is_as_uncertain_as_what_was_found() -> None:
    """The program takes `within` for a rectangle (JCGM 100, 4.3.7): over sqrt 3 it is the standard uncertainty."""
    given = trials(weight(40, 1.0, 0.6, brought(40, 1.0, 0.6, 0.62), 0.3, 0.0, -0.3))
    tried = trial(asked(None, 0.4, 0.0, -0.4), given)
    assert tried.share
    known = pasted(car(), tried).suspension
    assert known.front_roll_share == pytest.approx(0.62, abs=0.002)
    assert known.front_roll_share_within / math.sqrt(3) == pytest.approx(tried.share.uncertain, rel=0.03)
    assert known.front_roll_share_within / math.sqrt(3) >= tried.share.uncertain


def unlike(c0: float, c1: float, *off: float) -> Trials:
    """Four weights on a car of share 0.6 that has warp of m (c0 + c1 aft) besides, and settlings that scatter."""
    places = [(0.5, 0.4), (1.3, -0.6), (2.6, 0.4), (1.3, 0.6)]
    changes = [brought(40, *place, 0.6) + 40 * (c0 + c1 * place[0]) * WARP for place in places]
    return trials(*(weight(40, *place, change, *off) for place, change in zip(places, changes, strict=True)))


def test_a_car_that_is_not_alike_gets_three_numbers() -> None:
    """Warp of 4 % at the front axle and -3.5 % at the rear one is found; pasted, the car divides any mass so."""
    tried = trial(asked(None, 0.1, 0.0, -0.1), unlike(0.04, -0.03, 0.1, 0.0, -0.1))
    found = tried.coefficients
    assert found and found.unlike and found.verdict == "tells"
    assert [found.at_front_axle, found.at_rear_axle] == pytest.approx([0.04, 0.04 - 0.03 * 2.5])
    assert found.to_the_left == pytest.approx(0.1 / 1.5 * 0.75)
    assert tried.for_car_file.learned and tried.for_car_file.front_roll_share is None and tried.tells
    after = stance(pasted(car(), tried), "disconnected")
    expected = brought(10, 2.0, -0.3, 0.6) + 10 * (0.04 - 0.06) * WARP
    assert 10 * standing.shares(after, 2.0, -0.3) == pytest.approx(expected, abs=0.01)


def test_a_car_that_may_be_alike_keeps_the_share() -> None:
    """The same weights without the extra warp: three numbers are shown, and the share is what is written down."""
    tried = trial(asked(None, 0.1, 0.0, -0.1), unlike(0.0, 0.0, 0.1, 0.0, -0.1))
    assert tried.coefficients and not tried.coefficients.unlike
    assert tried.for_car_file.front_roll_share == pytest.approx(0.6)
    assert tried.for_car_file.learned is None


def test_the_pasted_three_numbers_are_no_surer_than_the_fit() -> None:
    """At many places the car file's half widths, taken as independent, give no less than the fit's own covariance."""
    tried = trial(asked(None, 0.3, 0.0, -0.3), unlike(0.06, -0.05, 0.3, 0.0, -0.3))
    found = tried.coefficients
    assert found and tried.for_car_file.learned
    after = stance(pasted(car(), tried), "disconnected")
    for number, place in enumerate([(0.0, 0.0), (2.5, 0.0)]):
        off = standing.warp_within(after, [1.0], [place[0]], [place[1]])
        assert math.sqrt(float(off @ off)) / math.sqrt(3) >= found.uncertain[number]


@pytest.mark.parametrize(("front", "rear", "per_turn"), [(0, 0, 2.64705), (40e3, 20e3, 1.79719), (40e3, 40e3, 2.04408)])
def test_the_load_of_a_turn_of_the_check_values(front: float, rear: float, per_turn: float) -> None:
    """Design's own, computed twice: found from four turns, and what the springs of the car file come to as well."""
    known: dict[str, Any] = {name: dict(axle) for name, axle in SPRUNG.items()}
    known["front"] |= {"bar": front or None}
    known["rear"] |= {"bar": rear or None}
    turned = {"corner": "LF", "turns": 4, "readings": settled(BASE + 4 * per_turn * WARP)}
    given = trials(trials={"turns_within": 0.0}, turns=[turned])
    tried = trial(asked(car(**known), bars="connected"), given)
    (found,) = tried.per_turn
    assert found.load == pytest.approx(per_turn)
    assert found.by_springs == pytest.approx(per_turn, abs=1e-5)
    assert tried.for_car_file.front_load_per_turn == pytest.approx((per_turn, per_turn))
    assert tried.for_car_file.measured_with_bars == "connected"


def test_turns_are_pasted_below_their_axle() -> None:
    """LF and RR turned: each axle gets one number for both sides, and the bars they hold for."""
    known = {name: dict(axle) for name, axle in SPRUNG.items()}
    turns = [
        {"corner": "LF", "turns": 4, "readings": settled(BASE + 4 * 1.8 * WARP)},
        {"corner": "RR", "turns": -2, "readings": settled(BASE - 2 * 1.7 * WARP)},
    ]
    tried = trial(asked(car(**known), bars="connected"), trials(turns=turns))
    after = pasted(car(**known), tried, {"front": {"springs": 80.0}, "rear": {"springs": 80.0}}).suspension
    assert after.front and after.front.load_per_turn == pytest.approx((1.8, 1.8), abs=1e-3)
    assert after.rear and after.rear.load_per_turn == pytest.approx((1.7, 1.7), abs=1e-3)
    assert after.measured_with_bars == "connected"


def test_turns_on_both_sides_are_told_apart() -> None:
    """1.8 kg a turn at LF and 1.6 at RF: a pair, left first."""
    turns = [
        {"corner": "LF", "turns": 4, "readings": settled(BASE + 4 * 1.8 * WARP)},
        {"corner": "RF", "turns": 4, "readings": settled(BASE - 4 * 1.6 * WARP)},
    ]
    tried = trial(asked(car(**SPRUNG), bars="connected"), trials(turns=turns))
    assert tried.for_car_file.front_load_per_turn == pytest.approx((1.8, 1.6))


def test_without_springs_in_the_car_file_a_turn_is_told_but_not_written() -> None:
    """load_per_turn has its place below an axle's springs."""
    turned = {"corner": "LF", "turns": 4, "readings": settled(BASE + 4 * 1.8 * WARP)}
    tried = trial(asked(), trials(turns=[turned]))
    assert tried.per_turn[0].load == pytest.approx(1.8) and tried.per_turn[0].verdict == "tells"
    assert tried.for_car_file.empty and tried.tells


@pytest.mark.parametrize(
    ("change", "turned", "verdict"),
    [(-8.0, 4, "impossible"), (0.1, 4, "cannot tell"), (8.0, 4, "tells"), (-8.0, -4, "tells")],
)
def test_turns_that_tell_and_turns_that_do_not(change: float, turned: float, verdict: str) -> None:
    """Turns of the wrong sign, turns lost in the scatter of 0.3 kg, and good ones."""
    turns = {"corner": "LF", "turns": turned, "readings": settled(BASE + change * WARP, 0.3, 0.0, -0.3)}
    tried = trial(asked(None, 0.3, 0.0, -0.3), trials(turns=[turns]))
    assert tried.per_turn[0].verdict == verdict
    assert tried.tells == (verdict == "tells")


def test_noise_that_is_too_large_is_refused_and_what_would_tell_is_said() -> None:
    """Settlings 2 kg apart and 10 kg on the sill: no better than assumed, by hand.

    Standard deviation 2 kg with 4 degrees of freedom: u = 2 sqrt(2/3) 2.78/2 x 1.5 / (10 x 0.6) = 0.57.
    """
    given = trials(weight(10, 1.0, 0.6, brought(10, 1.0, 0.6, 0.6), 2.0, 0.0, -2.0))
    tried = trial(asked(None, 2.0, 0.0, -2.0), given)
    assert tried.share and tried.share.verdict == "cannot tell" and not tried.tells
    assert tried.share.uncertain == pytest.approx(2 * math.sqrt(2 / 3) * 2.78 / 2 * 1.5 / 6, rel=0.01)
    assert tried.for_car_file.empty
    assert tried.would_tell and tried.would_tell.settlings is None
    assert tried.would_tell.mass == pytest.approx(10 * tried.share.uncertain / 0.025, rel=0.02)
    assert [row.settlings for row in tried.foreseen] == [2, 3, 5]


def test_one_settling_everywhere_is_counted_as_assumed() -> None:
    """Nothing was repeated: 0.2 points of the diagonal are assumed, 1 kg of warp, before and after."""
    given = trials(weight(20, 1.0, 0.5, brought(20, 1.0, 0.5, 0.6), 0.0))
    tried = trial(asked(None, 0.0), given)
    assert tried.counted_on.degrees == 0
    assert tried.share and tried.share.uncertain == pytest.approx(math.sqrt(2) * 1.01 * 1.5 / 10, rel=0.01)
    assert tried.share.verdict == "cannot tell"


def test_a_share_that_no_car_has() -> None:
    """Left and right exchanged on a car of 0.9 would be -0.1 - 0.2: not written down."""
    tried = trial(asked(), trials(weight(20, 1.0, 0.5, brought(20, 1.0, 0.5, 1.3))))
    assert tried.share and tried.share.verdict == "impossible" and not tried.tells and tried.for_car_file.empty


def test_a_share_near_the_end_keeps_its_width() -> None:
    """0.97 give or take 0.05: moved inwards until all of its width is of a car; the car file takes it."""
    given = trials(weight(40, 1.0, 0.6, brought(40, 1.0, 0.6, 0.97), 0.3, 0.0, -0.3))
    tried = trial(asked(None, 0.3, 0.0, -0.3), given)
    within = tried.for_car_file.front_roll_share_within
    assert tried.share and within is not None and within == pytest.approx(math.sqrt(3) * tried.share.uncertain)
    assert tried.for_car_file.front_roll_share == pytest.approx(1 - 0.001 - within)
    assert pasted(car(), tried).suspension.roll_share()[2] <= 1


def test_weights_that_contradict_each_other() -> None:
    """One says 0.4 and the other 0.8, settlings within 0.2 kg: something else changed in between."""
    given = trials(
        weight(40, 1.0, 0.6, brought(40, 1.0, 0.6, 0.4), 0.2, 0.0, -0.2),
        weight(40, 1.0, -0.6, brought(40, 1.0, -0.6, 0.8), 0.2, 0.0, -0.2),
    )
    tried = trial(asked(None, 0.2, 0.0, -0.2), given)
    assert tried.share and tried.share.verdict == "does not fit" and not tried.tells and tried.for_car_file.empty
    assert [each.front_roll_share for each in tried.weights] == pytest.approx([0.4, 0.8])


def test_a_mass_mistyped_is_refused() -> None:
    """44 lb written as 44 kg: the car weighs 19.96 kg more, and the two are 2.205 apart."""
    said = refused(asked(), trials(weight(44, 1.0, 0.5, brought(44 * 0.45359237, 1.0, 0.5, 0.6), name="bag")))
    assert "[[weights]] 1 'bag': the car weighs 20.0 kg more with it, and it is 44.0 kg" in said
    assert "as lb and kg are" in said
    assert "as lb and kg are" not in refused(asked(), trials(weight(40, 1.0, 0.5, brought(20.0, 1.0, 0.5, 0.6))))


def test_a_weight_on_the_other_side_is_refused() -> None:
    """Written down at the left, it stood at the right: 1.0 m from there, and that is the other side."""
    said = refused(asked(), trials(weight(20, 1.0, 0.5, brought(20, 1.0, -0.5, 0.6))))
    assert "left_of_centre: by the pads it stood 1.000 m further right, that is on the other side" in said
    said = refused(asked(), trials(weight(20, 1.0, 0.5, brought(20, 1.4, 0.5, 0.6))))
    assert "behind_front_axle: by the pads it stood 0.400 m further aft" in said


def test_a_mass_a_little_off_is_told() -> None:
    """19.2 kg of 20.0: not refused, and beside the levers of it its uncertainty."""
    given = trials(weight(20, 1.0, 0.5, brought(19.2, 1.0, 0.5, 0.6)))
    seen = trial(asked(), given).weights[0].levers
    assert seen and [seen.total, seen.total_told] == pytest.approx([19.2, 20.0])
    assert abs(seen.total - seen.total_told) > 2 * seen.total_uncertain


def test_turns_after_which_the_car_weighs_more() -> None:
    """Turns change no total: 12 kg more is somebody in the car."""
    turned = {"corner": "LF", "turns": 4, "readings": settled(BASE + 3 + 8 * WARP)}
    assert "[[turns]] 1 LF: the car weighs 12.0 kg more than before" in refused(asked(), trials(turns=[turned]))


def test_a_weight_outside_the_car() -> None:
    """9 m aft of a wheelbase of 2.5 m, and 1.6 m to the left of tracks of 1.5 m."""
    said = refused(asked(), trials({"mass": 20, "behind_front_axle": 9.0, "left_of_centre": 1.6}))
    assert "behind_front_axle = 9: is further outside" in said and "left_of_centre = 1.6: is further outside" in said


def test_bars_in_two_states() -> None:
    """Weighed with the bars connected, tried without: readings from before are asked for, and then taken."""
    given = trials(weight(20, 1.0, 0.5, brought(20, 1.0, 0.5, 0.6)), trials=EXACTLY | {"bars": "disconnected"})
    assert '[trials] bars = "disconnected": but the car was weighed with the bars connected' in refused(
        asked(bars="connected"), given
    )
    own = trial(asked(bars="connected"), given.replace(readings=given.weights[0].readings[:0] or _readings(BASE)))
    assert own.bars == "disconnected" and own.counted_on.own_readings
    assert own.share and own.share.front_roll_share == pytest.approx(0.6)


def _readings(loads: Any) -> Any:
    return Trials.model_validate({"units": UNITS, "readings": settled(loads)}).readings


def test_own_readings_from_before_take_the_place_of_the_weigh_in() -> None:
    """The weigh-in had 30 kg more fuel: only what the file of trials has from before counts."""
    change = brought(20, 1.0, 0.5, 0.6)
    given = trials(weight(20, 1.0, 0.5, change), readings=settled(BASE))
    tried = trial(asked().replace(weigh_in=asked().weigh_in.replace(readings=_readings(BASE + 7.5))), given)
    assert tried.share and tried.share.front_roll_share == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("mass", "scatter", "worth"), [(40, 0.2, "worth doing"), (20, 0.4, "rough"), (5, 1.0, "not worth doing")]
)
def test_before_it_is_weighed_it_says_whether_it_is_worth_doing(mass: float, scatter: float, worth: str) -> None:
    """By hand: u = sd sqrt(2/3) t/2 x 1.5 / (m 0.6), with 2 degrees of the weigh-in and 2 to come, t = 2.78."""
    place = {"mass": mass, "behind_front_axle": 1.0, "left_of_centre": 0.6}
    tried = trial(asked(None, scatter, 0.0, -scatter, resolution=0.001), trials(place))
    assert tried.worth == worth and tried.share is None and tried.for_car_file.empty
    assert tried.foreseen_now == pytest.approx(scatter * math.sqrt(2 / 3) * 2.78 / 2 * 1.5 / (mass * 0.6), rel=0.01)
    assert tried.tells == (worth != "not worth doing")


def test_turns_before_they_are_weighed() -> None:
    """Four turns and a quarter of one, settlings of 0.2 kg: one is worth doing, the other not."""
    given = trials(turns=[{"corner": "LF", "turns": 4}, {"corner": "RR", "turns": 0.25}])
    tried = trial(asked(None, 0.2, 0.0, -0.2), given)
    assert [each.verdict for each in tried.per_turn] == ["worth doing", "not worth doing"]
    assert all(each.load is None for each in tried.per_turn) and not tried.tells


def test_the_digits_written_stand_for_a_step_that_nobody_gives() -> None:
    """Readings in whole kg without [pads]: a step of 1 kg counts; with it, what it says."""
    given = trials(weight(30, 0.0, 0.75, np.array([30.0, 0, 0, 0]) - 3 * WARP))
    plain = trial(asked(), given)
    assert plain.counted_on.resolution == pytest.approx(1.0) and plain.counted_on.resolution_as_written
    stated = trial(asked(resolution=0.5), given)
    assert stated.counted_on.resolution == pytest.approx(0.5) and not stated.counted_on.resolution_as_written


def test_the_springs_of_the_car_file_are_held_against_the_pads() -> None:
    """Two axles of one stiffness but for bars of 40 and 20 N/mm: k = w kt / (w + kt), w = 51.2 + 2 x bar, in N/mm."""
    front, rear = (w * 220 / (w + 220) for w in (51.2 + 80, 51.2 + 40))
    given = trials(weight(20, 1.0, 0.5, brought(20, 1.0, 0.5, 0.55)))
    tried = trial(asked(car(**SPRUNG), bars="connected"), given)
    assert tried.share and tried.share.by_springs == pytest.approx(front / (front + rear))


def test_the_twist_of_the_chassis_is_taken_out() -> None:
    """The share midway between the axles is the same wherever the weight stood; at the front axle it is more.

    Check value of the design, 5 kN m/deg: 20 kg bring LF 9.7687 at 1.0 m aft, 0.5 m left, where a rigid chassis brings
    9.7359 (bars of 40 and 20 N/mm).
    """
    known = SPRUNG | {"chassis_twist": 5000 * 180 / math.pi}
    change = np.array([9.7687, 2.2314, 6.8979, 1.1021])
    tried = trial(asked(car(**known), bars="connected"), trials(weight(20, 1.0, 0.5, change)))
    assert tried.share and tried.share.by_springs is not None
    assert tried.share.front_roll_share == pytest.approx(tried.share.by_springs, abs=1e-4)
    assert tried.share.more_at_front > 0.001


def test_the_example_gives_back_its_springs() -> None:
    """Its readings were drawn from the car's own springs, settling to 0.45 kg; the answer is in mm and kg."""
    question, given = files.read_question_and_trials(
        *(EXAMPLE / f"{name}.toml" for name in ("car", "weigh-in", "trials"))
    )
    tried = trial(question, given)
    assert tried.share and tried.share.by_springs is not None
    assert abs(tried.share.front_roll_share - tried.share.by_springs) < 2 * tried.share.uncertain
    for each in tried.per_turn:
        assert each.load is not None and each.by_springs is not None
        assert abs(each.load - each.by_springs) < 2 * each.uncertain
    told = json.loads(files.as_json(tried))
    assert told["share"]["front_roll_share"] == pytest.approx(100 * tried.share.front_roll_share)
    assert told["weights"][0]["masses"][0]["left_of_centre"] == 640
    raw = tomllib.loads((EXAMPLE / "car.toml").read_text())
    after = pasted(question.car, tried, raw["suspension"])
    expected = standing.front_roll_share(standing.by_roll_share(patches(after), tried.share.front_roll_share))
    assert standing.front_roll_share(stance(after, "disconnected")) == pytest.approx(expected, abs=1e-4)


def test_pads_that_a_known_mass_has_shown_to_be_off_are_put_right() -> None:
    """RF shows 0.9 of what stands on it and 1.2 kg with nothing: 20 kg on each pad says so, and the share is right."""
    gains, empty, share = np.array([1.0, 0.9, 1.0, 1.0]), np.array([0.0, 1.2, 0.0, 0.0]), 0.62

    def shown(loads: Any) -> list[dict[str, float]]:
        return settled(np.asarray(loads) * gains + empty)

    known = [{"on": on, "mass": 20} | shown(20 * row)[0] for on, row in zip(CORNERS, np.eye(4), strict=True)]
    zero = dict(zip(CORNERS, map(float, empty), strict=True))
    plain = asked(known_mass=known, zero=zero, resolution=0.01)
    readings = Trials.model_validate({"units": UNITS, "readings": shown(BASE)}).readings
    question = plain.replace(weigh_in=plain.weigh_in.replace(readings=readings))
    row = weight(20, 1.0, 0.5, 0.0) | {"readings": shown(BASE + brought(20, 1.0, 0.5, share))}
    tried = trial(question, trials(row))
    assert tried.share and tried.share.front_roll_share == pytest.approx(share, abs=1e-6)
    seen = tried.weights[0].levers
    assert seen and seen.total == pytest.approx(20)


IN_POUNDS = """
[units]
mass = "lb"
length = "in"

[[readings]]
LF = 551.2
RF = 551.2
LR = 551.2
RR = 551.2

[[readings]]
LF = 551.2
RF = 551.2
LR = 551.2
RR = 551.2

[[weights]]
mass = 44.0
behind_front_axle = 40.0
left_of_centre = 20.0

[[weights.readings]]
LF = 573.2
RF = 555.4
LR = 564.2
RR = 554.4

[[weights.readings]]
LF = 573.2
RF = 555.4
LR = 564.2
RR = 554.4
"""


def test_a_file_in_pounds_and_inches(tmp_path: Path) -> None:
    """By hand: LF-RF by 17.8 lb, tf / (2 m left) = 59.0551 in / (2 x 44 x 20): 0.597, of the warp alone.

    d(LF-RF-LR+RR) = 8.0 lb is m left (2 s - 1) / t x 2: s = 1/2 + 8.0 x 59.0551 / (4 x 44 x 20) = 0.6342; the readings
    in front and behind, rounded to 0.2 lb, need not agree. The answer is in the car file's metres and kg.
    """
    path = tmp_path / "trials.toml"
    path.write_text(IN_POUNDS, encoding="utf-8")
    tried = trial(asked(), files.read_trials(path))
    assert tried.share and tried.share.front_roll_share == pytest.approx(0.5 + 8.0 * (1.5 / 0.0254) / (4 * 44 * 20))
    assert tried.weights[0].masses[0].mass == pytest.approx(44 * 0.45359237)
    assert tried.counted_on.resolution == pytest.approx(0.1 * 0.45359237)


def test_wheels_in_places_of_their_own() -> None:
    """An oval car, wheels out of square and offset: the share that its loads were made with, by moments and couples.

    The four equations are written out: sum, two moments, and couples of the axles, each about its own middle, as 0.58
    to 0.42 (Heisler, sec. 10.3).
    """
    places = {"LF": (0.02, 0.80), "RF": (-0.01, -0.70), "LR": (2.51, 0.78), "RR": (2.48, -0.66)}
    wheels = {name: {"behind_front_axle": aft, "left_of_centre": left} for name, (aft, left) in places.items()}
    of = car().replace(wheels=wheels)
    aft, left = np.array(list(places.values())).T
    middle = np.array([0.05, 0.05, 0.06, 0.06])
    couples = (left - middle) * np.array([0.42, 0.42, -0.58, -0.58])
    change = np.linalg.solve(np.array([np.ones(4), aft, left, couples]), 20 * np.array([1.0, 1.3, 0.6, 0.0]))
    tried = trial(asked(of), trials(weight(20, 1.3, 0.6, change)))
    assert tried.share and tried.share.front_roll_share == pytest.approx(0.58, abs=1e-6)


def test_a_weight_on_the_centre_line_among_others() -> None:
    """It tells nothing of the share by itself, and helps with the three numbers."""
    places = [(0.5, 0.0), (1.3, -0.6), (2.6, 0.4), (1.3, 0.6)]
    tried = trial(
        asked(None, *(0.1, 0.0, -0.1)),
        trials(*(weight(40, *place, brought(40, *place, 0.6), 0.1, 0.0, -0.1) for place in places)),
    )
    assert (tried.weights[0].front_roll_share, tried.weights[0].uncertain) == (None, None)
    assert tried.coefficients and tried.share and tried.share.front_roll_share == pytest.approx(0.6)
    assert "nothing" in laid_out(trial_sheet(tried))


def test_it_is_a_public_name() -> None:
    """`from ballast import trial` is the job."""
    import ballast

    assert ballast.trial is trial
