"""The car file's springs as the physics takes them: what goes before what, which bars, whose rates, by hand.

Source: the keys of [suspension] mean what their descriptions in `records/suspension.py` say; the arithmetic is here.
"""

from datetime import date
from typing import Any

import numpy as np
import pytest

from ballast.physics.stance import Stance, front_roll_share, shares, warp_within
from ballast.physics.suspension import Springs, at_the_wheels
from ballast.planning.stances import bars_at_weigh_in, patches, springs_of, stance
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.suspension import Bars

UNITS = {"mass": "kg", "length": "m"}
LENGTH, TRACK = 2.5, 1.5
FRONT: dict[str, Any] = {"springs": [60e3, 70e3], "motion_ratio": [0.8, 0.9], "bar": 30e3}
REAR: dict[str, Any] = {"springs": 50e3, "bar": 8e3}
BOTH: dict[str, Any] = {"front": FRONT, "rear": REAR}
LEARNED: dict[str, Any] = {
    "at_front_axle": 0.01,
    "at_rear_axle": -0.02,
    "to_the_left": 0.06,
    "within": (0.003, 0.004, 0.005),
}
EQUAL_AHEAD, EQUAL_BEHIND = np.array([0.5, 0.5, 0.0, 0.0]), np.array([0.0, 0.0, 0.5, 0.5])
"""What four equal springs carry of a mass on the centre line at either axle."""
WARP = np.array([1.0, -1.0, -1.0, 1.0])
EXACT = 1e-12


def car(suspension: dict[str, Any], wheels: dict[str, Any] | None = None) -> Car:
    """Wheelbase 2.5 m, tracks 1.5 m. Rates in N/m."""
    return Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "an invented car", "wheelbase": LENGTH, "track_front": TRACK, "track_rear": TRACK},
            "suspension": suspension,
            "wheels": wheels or {},
            "mounts": [{"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 30.0}],
            "plates": [{"name": "ten", "mass": 10.0, "count": 2}],
        }
    )


def known(suspension: dict[str, Any], bars: Bars = "connected") -> Springs:
    """The springs, which are known."""
    found = springs_of(car(suspension), bars)
    assert found is not None
    return found


def share(stands: Stance) -> float:
    """Front roll share of a car alike left and right."""
    return front_roll_share(stands)


# --- what goes before what -------------------------------------------------------------------------------------------


def test_what_was_measured_goes_before_what_the_springs_are_said_to_be() -> None:
    """Trial weights before a roll share, a roll share before rates, rates before the guess of one half."""
    alike = {"front": {"springs": 60e3}, "rear": {"springs": 40e3}}
    every = alike | {"learned": LEARNED, "front_roll_share": 0.7}
    assert stance(car(every), "connected").within.shape == (3, 4)
    assert share(stance(car(alike | {"front_roll_share": 0.7}), "connected")) == pytest.approx(0.7, abs=EXACT)
    assert share(stance(car(alike), "connected")) == pytest.approx(0.6, abs=EXACT)
    assert share(stance(car({}), "connected")) == pytest.approx(0.5, abs=EXACT)


def test_a_roll_share_may_be_off_by_what_the_file_says() -> None:
    """By hand: 20 kg at 0.5 m and 4 points of share: 20 x 0.5 / 1.5 x 0.04 kg; unknown: 0.35 to 0.65, 15 points."""
    for suspension, off in (({"front_roll_share": 0.6, "front_roll_share_within": 0.04}, 0.04), ({}, 0.15)):
        found = warp_within(stance(car(suspension), "connected"), [20.0], [1.0], [0.5])
        assert found == pytest.approx([20 * 0.5 / 1.5 * off], abs=EXACT)


def test_what_trial_weights_told() -> None:
    """By the descriptions of the keys: points on LF beyond equal springs, at either axle, and half a track left."""
    stands = stance(car({"learned": LEARNED}), "connected")
    assert shares(stands, 0.0, 0.0) == pytest.approx(EQUAL_AHEAD + 0.01 * WARP, abs=EXACT)
    assert shares(stands, LENGTH, 0.0) == pytest.approx(EQUAL_BEHIND - 0.02 * WARP, abs=EXACT)
    aside = np.array(
        [0.75, 0.25, 0.25, -0.25]
    )  # 0.75 m of 1.5 m to the left: a quarter of the mass changes sides twice
    assert shares(stands, 0.0, TRACK / 2) == pytest.approx(aside + (0.01 + 0.06) * WARP, abs=EXACT)


def test_how_far_trial_weights_may_be_off() -> None:
    """By hand, 10 kg a fifth of the way back and half a track left: 8, 2 and 10 kg by the three."""
    found = warp_within(stance(car({"learned": LEARNED}), "connected"), [10.0], [LENGTH / 5], [TRACK / 2])
    assert found == pytest.approx([8 * 0.003, 2 * 0.004, 10 * 0.005], abs=EXACT)


def test_rates_may_be_off_front_against_rear() -> None:
    """By hand: 10 % between the axles are 5 % either way: 57 to 42 and 63 to 38 N/mm; stiffer in front loads LF."""
    stands = stance(car({"front": {"springs": 60e3}, "rear": {"springs": 40e3}, "rates_within": 0.1}), "connected")
    half = (63 / 101 - 57 / 99) / 2
    assert warp_within(stands, [20.0], [1.0], [0.5]) == pytest.approx([20 * 0.5 / 1.5 * half], abs=EXACT)


# --- springs ---------------------------------------------------------------------------------------------------------


def test_rates_and_bars_at_the_wheels() -> None:
    """By hand: 60 x 0.64 + 30 and 70 x 0.81 + 30 in front, 50 + 8 behind; a bar couples its wheels."""
    found = at_the_wheels(known(BOTH)) / 1e3
    expected = [[68.4, -30, 0, 0], [-30, 86.7, 0, 0], [0, 0, 58, -8], [0, 0, -8, 58]]
    assert found == pytest.approx(np.array(expected), abs=1e-9)


def test_bars_disconnected() -> None:
    """By hand: without the bars each wheel has its spring alone."""
    assert at_the_wheels(known(BOTH, "disconnected")) / 1e3 == pytest.approx(np.diag([38.4, 56.7, 50, 50]), abs=1e-9)


def test_axles_made_stiffer_and_softer() -> None:
    """Scales go for the springs and the bar of an axle, not for its tyres."""
    tyres = {"front": FRONT | {"tyres": 200e3}, "rear": REAR | {"tyres": [190e3, 210e3]}}
    found = springs_of(car(tyres), "connected", 1.1, 0.5)
    assert found is not None
    assert np.asarray(found.rates) == pytest.approx([66e3, 77e3, 25e3, 25e3])
    assert (found.bar_front, found.bar_rear) == pytest.approx((33e3, 4e3))
    assert np.asarray(found.tyres) == pytest.approx([200e3, 200e3, 190e3, 210e3])


def test_a_beam_leans_about_its_springs() -> None:
    """By hand: springs 0.9 m apart under wheels 1.5 m apart: both up together 1, one up and one down 0.6.

    S = 50 [[a^2 + b^2, 2 a b], ...] with a = 0.8 and b = 0.2: in roll 50 x 0.6^2 = 18 N/mm.
    """
    beam = {"front": FRONT, "rear": {"springs": 50e3, "axle": "beam", "spring_base": 0.9}}
    found = at_the_wheels(known(beam))[2:, 2:] / 1e3
    assert found == pytest.approx(np.array([[34.0, 16.0], [16.0, 34.0]]), abs=1e-9)
    assert found[0, 0] - found[0, 1] == pytest.approx(18.0, abs=1e-9)


def test_a_beam_is_as_long_as_its_wheels_are_apart() -> None:
    """By hand: with the rear wheels in their own places, 1.8 m apart, the same springs count (0.9 / 1.8)^2 in roll."""
    beam = {"front": FRONT, "rear": {"springs": 50e3, "axle": "beam", "spring_base": 0.9}}
    wheels = {
        "LR": {"behind_front_axle": 2.5, "left_of_centre": 1.0},
        "RR": {"behind_front_axle": 2.5, "left_of_centre": -0.8},
    }
    found = springs_of(car(beam, wheels), "connected")
    assert found is not None
    wheel = at_the_wheels(found)[2:, 2:] / 1e3
    assert wheel[0, 0] - wheel[0, 1] == pytest.approx(50 * 0.25, abs=1e-9)


def test_tyres_of_one_axle_alone() -> None:
    """Tyres left out are rigid: those of the other axle still count."""
    found = known({"front": FRONT | {"tyres": 200e3}, "rear": REAR})
    assert np.asarray(found.tyres).tolist() == [200e3, 200e3, np.inf, np.inf]
    assert known(BOTH).tyres is None


def test_the_twist_of_the_chassis_and_the_places_of_the_wheels() -> None:
    """They are passed on as they stand."""
    assert known(BOTH | {"chassis_twist": 3e5}).twist == 3e5
    wheels = {"RF": {"behind_front_axle": 0.03, "left_of_centre": -0.8}}
    expected = [[0.0, 0.75], [0.03, -0.8], [2.5, 0.75], [2.5, -0.75]]
    assert patches(car(BOTH, wheels)) == pytest.approx(np.array(expected), abs=EXACT)
    found = springs_of(car(BOTH, wheels), "connected")
    assert found is not None
    assert np.asarray(found.patches) == pytest.approx(np.array(expected), abs=EXACT)


@pytest.mark.parametrize(
    "suspension", [{}, {"front": {"load_per_turn": 2.0}, "rear": {"load_per_turn": 2.0}}, {"front_roll_share": 0.6}]
)
def test_no_springs_where_no_rates_are_known(suspension: dict[str, Any]) -> None:
    """Known turns or a roll share are no rates."""
    assert springs_of(car(suspension), "connected") is None


@pytest.mark.parametrize(
    ("said", "bars"),
    [({"bars": "connected"}, "connected"), ({"bars": "disconnected"}, "disconnected"), ({}, "disconnected")],
)
def test_the_bars_at_the_weigh_in(said: dict[str, str], bars: Bars) -> None:
    """What the weigh-in says; without bars in the car file it need not say anything, and none are connected."""
    weigh_in = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14)} | said,
        "readings": [{"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}],
    }
    assert bars_at_weigh_in(Question.model_validate({"car": dict(car({})), "weigh_in": weigh_in})) == bars
