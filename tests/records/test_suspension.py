"""[suspension] and [wheels] as records: one number for both sides, what is known, where wheels are, what cannot be.

The exact complaints are in tests/files/bad; here is what is complained of, and what is not. Source: the descriptions of
the keys, and definitions.
"""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ballast.errors import InputError
from ballast.records import car as car_records
from ballast.records import suspension as suspension_records
from ballast.records.car import Car
from ballast.records.files import read_car
from ballast.records.suspension import Axle, Suspension
from ballast.units import Units

UNITS = {"mass": "kg", "length": "mm", "spring": "N/mm", "twist": "N m/deg"}
INCHES = Units(mass="lb", length="in", spring="lbf/in", twist="lbf ft/deg")
SPRINGS: dict[str, Any] = {"front": {"springs": 80e3}, "rear": {"springs": 60e3}}
LEARNED: dict[str, Any] = {
    "at_front_axle": 0.004,
    "at_rear_axle": -0.006,
    "to_the_left": 0.03,
    "within": [0.003, 0.003, 0.005],
}


def suspension(**tables: Any) -> Suspension:
    """[suspension] in N/m, m and shares."""
    return Suspension.model_validate(tables)


def complained(**tables: Any) -> list[str]:
    """Places that are complained of."""
    return [found.where for found in suspension_records.complaints(suspension(**tables))]


def car(**more: Any) -> Car:
    """A plain car in m: wheelbase 2.5, tracks 1.5 and 1.4."""
    return Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "an invented car", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.4},
            "mounts": [{"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 30.0}],
            "plates": [{"name": "ten", "mass": 10.0, "count": 2}],
        }
        | more
    )


@pytest.mark.parametrize("key", ["springs", "motion_ratio", "tyres", "load_per_turn", "turns_up", "turns_down"])
def test_one_number_stands_for_both_sides(key: str) -> None:
    """3 is [3, 3], and [3, 4] is left and right; rates in kN/m, so that they are rates of a car."""
    unit = 1000.0 if key in ("springs", "tyres") else 1.0
    assert getattr(Axle.model_validate({key: 3.0 * unit}), key) == (3.0 * unit, 3.0 * unit)
    assert getattr(Axle.model_validate({key: [3.0 * unit, 4.0 * unit]}), key) == (3.0 * unit, 4.0 * unit)


def test_both_sides_are_converted_once() -> None:
    """By definition: 400 lbf/in is 400 x 4.4482216152605 / 0.0254 N/m, on either side."""
    found = Axle.model_validate({"springs": 400.0}, context=INCHES)
    assert found.springs == pytest.approx((400 * 4.4482216152605 / 0.0254,) * 2, rel=1e-15)


def test_what_goes_out_comes_back() -> None:
    """A suspension written in pounds and inches, and read again, is the same to the last digit of the file."""
    axle = {"springs": [78.9e3, 81e3], "bar": 31e3, "tyres": 215e3, "axle": "beam", "spring_base": 1.03}
    one = suspension(front=axle, rear=axle | {"motion_ratio": [0.9, 0.95]}, chassis_twist=4e5, learned=LEARNED)
    written = one.model_dump(by_alias=True, context=INCHES)
    again = Suspension.model_validate(written, context=INCHES)
    for before, after in ((one.front, again.front), (one.rear, again.rear)):
        assert before is not None
        assert after is not None
        assert after.springs == pytest.approx(before.springs, rel=1e-14)
        assert after.tyres == pytest.approx(before.tyres, rel=1e-14)
        assert (after.bar, after.spring_base) == pytest.approx((before.bar, before.spring_base), rel=1e-14)
    assert again.chassis_twist == pytest.approx(one.chassis_twist, rel=1e-14)
    assert again.learned == one.learned


def test_what_is_known() -> None:
    """Springs are known where both axles have them; bars where one axle has one."""
    assert suspension(**SPRINGS).has_springs
    assert not suspension(front={"springs": 80e3}, rear={"load_per_turn": 2.0}).has_springs
    assert not suspension(front={"springs": 80e3}).has_springs
    assert not suspension(**SPRINGS).has_bars
    assert suspension(front={"springs": 80e3}, rear={"springs": 60e3, "bar": 1e3}).has_bars


def test_the_roll_share_and_how_far_it_may_be_off() -> None:
    """As written; 5 points where nothing is said; 0.5 from 0.35 to 0.65 where nothing is known (common practice)."""
    assert suspension(front_roll_share=0.6, front_roll_share_within=0.02).roll_share() == pytest.approx(
        (0.6, 0.58, 0.62)
    )
    assert suspension(front_roll_share=0.6).roll_share() == pytest.approx((0.6, 0.55, 0.65))
    assert suspension().roll_share() == (0.5, 0.35, 0.65)


@pytest.mark.parametrize(
    "tables",
    [
        {},
        SPRINGS,
        SPRINGS | {"chassis_twist": 3e5},
        SPRINGS | {"front_roll_share": 0.6},
        SPRINGS | {"learned": LEARNED},
        {"front": {"load_per_turn": 2.0}},
        {"front": {"load_per_turn": 2.0}, "rear": {"load_per_turn": 2.0}},
        {"front": {"springs": 8e4}, "rear": {"springs": 6e4, "axle": "beam", "spring_base": 1.0}},
        {"front_roll_share": 0.95, "front_roll_share_within": 0.05},
    ],
)
def test_what_a_car_can_mean(tables: dict[str, Any]) -> None:
    """Springs, a roll share, trial weights or known turns, alone or together, and nothing at all."""
    assert complained(**tables) == []


@pytest.mark.parametrize("share", range(1, 100))
def test_a_roll_share_up_to_all_of_it(share: int) -> None:
    """Written in percent, share and range may add up to 100 or come down to 0 exactly, whatever binary numbers do."""
    for off in {share, 100 - share}:
        if share - off >= 0 and share + off <= 100:
            told = {"front_roll_share": float(share), "front_roll_share_within": float(off)}
            assert not list(suspension_records.complaints(Suspension.model_validate(told, context=Units())))


@pytest.mark.parametrize(
    ("tables", "where"),
    [
        ({"front_roll_share": 0.6, "learned": LEARNED}, "[suspension] front_roll_share"),
        ({"front_roll_share": 0.98}, "[suspension] front_roll_share_within"),
        ({"front": {"springs": 80e3}}, "[suspension.front]"),
        ({"rear": {"springs": 80e3}}, "[suspension.rear]"),
        ({"chassis_twist": 3e5}, "[suspension] chassis_twist"),
        ({"front": {"springs": 8e4}, "rear": {"springs": 6e4, "axle": "beam"}}, "[suspension.rear] spring_base"),
        ({"front": {"springs": 8e4, "spring_base": 1.0}, "rear": {"springs": 6e4}}, "[suspension.front] spring_base"),
        ({"front": {"bar": 3e4}}, "[suspension.front]"),
        ({"front": {"springs": 8e4}, "rear": {"load_per_turn": 2.0}}, "[suspension.rear] springs"),
        ({"front": {"load_per_turn": [2.0, 0.0]}}, "[suspension.front] load_per_turn"),
    ],
)
def test_what_no_car_can_mean(tables: dict[str, Any], where: str) -> None:
    """Each is complained of once, at the key that has to change."""
    assert complained(**tables) == [where]


def test_wheels_stand_by_wheelbase_and_tracks() -> None:
    """By definition: half a track to either side of the centre line, the rear ones a wheelbase back."""
    assert car().wheel_places() == ((0.0, 0.75), (0.0, -0.75), (2.5, 0.7), (2.5, -0.7))


def test_a_wheel_in_a_place_of_its_own() -> None:
    """Only the wheel that is named moves."""
    found = car(wheels={"RR": {"behind_front_axle": 2.53, "left_of_centre": -0.66}})
    assert found.wheel_places() == ((0.0, 0.75), (0.0, -0.75), (2.5, 0.7), (2.53, -0.66))
    assert not list(car_records.complaints(found))


@pytest.mark.parametrize(
    ("corner", "aft", "left", "key"),
    [
        ("RR", 2.5, 0.7, "left_of_centre"),
        ("LF", 0.0, 0.0, "left_of_centre"),
        ("LR", 0.0, 0.7, "behind_front_axle"),
        ("LF", 0.63, 0.75, "behind_front_axle"),
    ],
)
def test_a_wheel_that_is_not_where_it_can_be(corner: str, aft: float, left: float, key: str) -> None:
    """On the other side, on the centre line, at the other axle, or more than a quarter of the wheelbase away."""
    found = car(wheels={corner: {"behind_front_axle": aft, "left_of_centre": left}})
    assert [complaint.where for complaint in car_records.complaints(found)] == [f"[wheels.{corner}] {key}"]


# --- what is said of a slip -------------------------------------------------------------------------------------------


def complaints_of(suspension_table: str, folder: Path) -> list[str]:
    """What the reader says of a car file with these lines in it."""
    path = folder / "car.toml"
    path.write_text(
        '[units]\nmass = "kg"\nlength = "mm"\nspring = "N/mm"\n'
        '[car]\nname = "an invented car"\nwheelbase = 2500\ntrack_front = 1500\ntrack_rear = 1500\n'
        f"{suspension_table}\n"
        '[[mounts]]\nname = "seat"\nbehind_front_axle = 1000\nleft_of_centre = 500\ncapacity = 50\n'
        '[[plates]]\nname = "twenty"\nmass = 20\ncount = 1\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        read_car(path)
    return [str(replace(complaint, file="")) for complaint in caught.value.complaints]


AXLES = "[suspension.front]\nsprings = {front}\n[suspension.rear]\nsprings = {rear}\n"


def test_a_slip_in_a_number_for_both_sides_is_said_once(tmp_path: Path) -> None:
    """One number was written, so one is complained of, by the key it stands behind; the remedy can be typed."""
    assert complaints_of(AXLES.format(front=-80, rear=60), tmp_path) == [
        "[suspension.front] springs = -80: must be more than 0\n    Fix: write springs = ... above 0: rate of the "
        "springs along their own line; one number, or [left, right]."
    ]


def test_a_slip_in_one_of_a_pair_names_the_key(tmp_path: Path) -> None:
    """Which of the two is wrong, and a remedy that can be typed: no key is called 0 or 1."""
    assert complaints_of(AXLES.format(front="[80, 0]", rear=60), tmp_path) == [
        "[suspension.front] springs entry 2 = 0: must be more than 0\n    Fix: write springs = ... above 0: rate of "
        "the springs along their own line; one number, or [left, right]."
    ]


def test_a_list_of_three_is_shown_with_three(tmp_path: Path) -> None:
    """The remedy for a list that is too short has as many places as are wanted."""
    told = "[suspension.learned]\nat_front_axle = 0.4\nat_rear_axle = 0\nto_the_left = 3\nwithin = [0.3, 0.5]\n"
    (only,) = complaints_of(told, tmp_path)
    assert "write within = [..., ..., ...], in square brackets" in only
