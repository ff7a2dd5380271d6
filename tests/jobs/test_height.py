"""The height of the centre of gravity: from files to an answer, and what is refused.

Loads of one lift with equal radii follow from REF-B3's law, written out here: G = G0 + W (h - r) tan(theta) / L.
"""

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

from ballast.errors import InputError
from ballast.jobs.height import both, height
from ballast.records.car import Car
from ballast.records.files import as_json, read_car_and_both_lifts, read_car_and_lifts, read_lifts
from ballast.records.lifts import Lifts, MeasuredHeight

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
UNITS = {"mass": "kg", "length": "m"}
IN_POUNDS = """
[units]
mass = "lb"
length = "in"

[lifts]
date = 2026-03-07
raised_axle = "front"
radius_front = 12
radius_rear = 12.5
load_within = 1
height_within = 0.1
radius_within = 0.1

[level]
left = 600
right = 610.5
total = 2400

[[raised]]
height = 20
going = "down"
axle_load = 1250
total = 2401
"""


def car(**more: Any) -> Car:
    """A car of 2.5 m wheelbase, in kg and m."""
    return Car.model_validate(
        {
            "units": UNITS,
            "car": {"name": "Otter", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5} | more,
            "mounts": [{"name": "floor", "behind_front_axle": 1.0, "left_of_centre": 0.0, "capacity": 20.0}],
            "plates": [{"name": "5 kg", "mass": 5.0, "count": 4}],
        }
    )


def load(lift: float, centre: float = 0.45) -> float:
    """What the axle on the ground carries with the other one raised. [kg]"""
    return 560 + 1000 * (centre - 0.3) * math.tan(math.asin(lift / 2.5)) / 2.5


def lifts(*readings: tuple[float, float], **more: Any) -> Lifts:
    """A file of lifts: 1,000 kg, 560 kg on the axle that stays, radii of 0.3 m; (lift, load) of each reading."""
    return Lifts.model_validate(
        {
            "units": UNITS,
            "lifts": {"date": "2026-03-07", "raised_axle": "rear", "radius_front": 0.3, "radius_rear": 0.3} | more,
            "level": {"axle_load": 560.0, "total": 1000.0},
            "raised": [{"height": lift, "axle_load": shown} for lift, shown in readings],
        }
    )


def refused(given: Lifts, of: Car | None = None) -> str:
    """The complaints about a file of lifts that the job refuses; each says where and how to put it right."""
    with pytest.raises(InputError) as caught:
        height(of or car(), given, "lifts.toml")
    for complaint in caught.value.complaints:
        assert complaint.file == "lifts.toml" and complaint.where and complaint.what and complaint.fix
    return str(caught.value)


def test_the_height_of_one_lift() -> None:
    """REF-B3: 560 kg level, 572.24745 kg at 0.5 m: 0.4500 m at 11.53696 degrees, high enough to need no more."""
    measured = height(car(), lifts((0.5, 572.24745)))
    assert measured.centre_of_gravity_height == pytest.approx(0.45, abs=1e-4)
    assert measured.lifts[0].angle == pytest.approx(11.53696, abs=1e-5)
    assert (measured.scatter, measured.up_less_down, measured.further) == (None, None, None)


@pytest.mark.parametrize("raised_axle", ["front", "rear"])
def test_the_radius_of_each_axle_is_taken_for_that_axle(raised_axle: str) -> None:
    """Wheels of 0.30 m stay and wheels of 0.32 m are raised, whichever end: REF-B4, 571.55754 kg at 0.5 m."""
    radii = {"radius_front": 0.32, "radius_rear": 0.30} if raised_axle == "front" else {"radius_rear": 0.32}
    measured = height(car(), lifts((0.5, 571.55754), raised_axle=raised_axle, **radii))
    assert measured.centre_of_gravity_height == pytest.approx(0.45, abs=1e-5)


def test_stated_accuracies_are_half_widths_of_rectangles() -> None:
    """JCGM 100, 4.3.7: radii within 3 mm and nothing else unsure: 3 / sqrt 3 mm."""
    measured = height(car(), lifts((0.5, load(0.5)), load_within=0.0, height_within=0.0, radius_within=0.003))
    assert measured.uncertain == pytest.approx(0.003 / math.sqrt(3), rel=1e-6)


def test_a_low_lift_is_told_what_ten_degrees_would_bring() -> None:
    """2.5 m sin 10 degrees = 0.434 m; of the pads alone, the uncertainty shrinks as tan 5 to tan 10 degrees."""
    low = 2.5 * math.sin(math.radians(5))
    measured = height(car(), lifts((low, load(low)), height_within=0.0, radius_within=0.0))
    assert measured.further
    assert measured.further.height == pytest.approx(2.5 * math.sin(math.radians(10)))
    shrunk = math.tan(math.radians(5)) / math.tan(math.radians(10))
    assert measured.further.uncertain / measured.uncertain == pytest.approx(shrunk, rel=1e-3)


def test_what_rubs_shows_between_up_and_down() -> None:
    """The same lift 0.4 kg heavier on the way up than on the way down: 0.4 kg, and their mean is the height."""
    given = lifts((0.5, load(0.5) + 0.2), (0.5, load(0.5) - 0.2))
    down = given.raised[1].replace(going="down")
    measured = height(car(), given.replace(raised=(given.raised[0], down)))
    assert measured.up_less_down == pytest.approx(0.4)
    assert measured.centre_of_gravity_height == pytest.approx(0.45)


def test_what_was_not_checked_comes_back() -> None:
    """Missing and false are the same: nobody said that it was done."""
    assert height(car(), lifts((0.5, load(0.5)))).not_checked == ("suspension_locked", "wheels_free", "tank")
    done = {"suspension_locked": True, "wheels_free": True, "tank": "empty"}
    assert height(car(), lifts((0.5, load(0.5)), **done)).not_checked == ()
    assert height(car(), lifts((0.5, load(0.5)), **done | {"wheels_free": False})).not_checked == ("wheels_free",)


def test_what_the_car_file_says_now_is_repeated() -> None:
    """The height of the car file stands beside the one measured."""
    assert height(car(centre_of_gravity_height=0.47), lifts((0.5, load(0.5)))).in_car_file == 0.47


def test_a_lift_over_the_wheelbase_is_refused() -> None:
    """2.6 m on a wheelbase of 2.5 m, beside a lift that is fine."""
    said = refused(lifts((0.5, load(0.5)), (2.6, 600.0)))
    assert "[[raised]] 2 height = 2.6: would stand the car on end: its wheelbase is 2.5 m" in said


def test_a_lift_that_nobody_does_is_refused() -> None:
    """2.4 m on a wheelbase of 2.5 m is asin 0.96 = 74 degrees; so is one that stands the car all but on end."""
    assert "[[raised]] 1 height = 2.4: turns a car of 2.5 m wheelbase by 74 degrees" in refused(lifts((2.4, 800.0)))
    assert "nobody raises a car so" in refused(lifts((2.49999, 800.0)))


def test_a_lift_in_another_unit_is_refused() -> None:
    """1 mm turns the car by 0.023 degrees."""
    assert "[[raised]] 1 height = 0.001: turns a car of 2.5 m wheelbase by 0.023 degrees" in refused(
        lifts((0.001, 561))
    )


@pytest.mark.parametrize("centre", [0.04, -0.1])
def test_a_height_below_ground_is_refused(centre: float) -> None:
    """Under 0.05 m no car has it, and below the ground nothing has: most likely the wrong pads were read."""
    said = refused(lifts((0.5, load(0.5, centre))))
    assert f"put the centre of gravity {centre:.3f} m above the ground, lower than that of any car" in said
    assert "raised_axle names the wrong one" in said


def test_a_centre_below_the_hubs_is_answered() -> None:
    """The axle on the ground gets lighter by 2.04 kg: a centre of 0.275 m, 25 mm under the hubs."""
    assert load(0.5, 0.275) == pytest.approx(560 - 2.04, abs=0.01)
    assert height(car(), lifts((0.5, load(0.5, 0.275)))).centre_of_gravity_height == pytest.approx(0.275)


@pytest.mark.parametrize("centre", [1.6, 2.9, 3.5])
def test_a_height_that_no_car_has_is_refused(centre: float) -> None:
    """Over 0.6 wheelbases, 1.5 m here, or 3 m: a reading is wrong."""
    assert f"put the centre of gravity {centre:.3f} m above the ground" in refused(lifts((0.5, load(0.5, centre))))


def test_pounds_inches_and_two_pads(tmp_path: Path) -> None:
    """A file in lb and in, by hand: 1210.5 lb x 0.45359237, 20 in x 0.0254."""
    path = tmp_path / "lifts.toml"
    path.write_text(IN_POUNDS, encoding="utf-8")
    read = read_lifts(path)
    assert read.level.load() == pytest.approx(1210.5 * 0.45359237, rel=1e-12)
    assert read.raised[0].height == pytest.approx(0.508, rel=1e-12)
    assert read.raised[0].going == "down"
    assert read.procedure.radius_rear == pytest.approx(0.3175, rel=1e-12)
    assert read.procedure.height_within == pytest.approx(0.00254, rel=1e-12)
    assert read.procedure.load_within == pytest.approx(0.45359237, rel=1e-12)


def test_the_example_gives_back_the_height_of_its_car_file() -> None:
    """The example's readings were invented for 455 mm with pads that scatter by 0.25 kg; the answer is in mm."""
    measured = height(*read_car_and_lifts(EXAMPLE / "car.toml", EXAMPLE / "lifts.toml"))
    assert abs(measured.centre_of_gravity_height - 0.455) < 2 * measured.uncertain
    assert measured.not_checked == ()
    told = json.loads(as_json(measured))
    assert told["centre_of_gravity_height"] == pytest.approx(1000 * measured.centre_of_gravity_height)
    assert told["lifts"][0]["height"] == 150
    assert tomllib.loads((EXAMPLE / "car.toml").read_text())["car"]["centre_of_gravity_height"] == told["in_car_file"]


def test_the_complaints_about_both_files_come_together(tmp_path: Path) -> None:
    """A bad car file and a bad file of lifts are refused at once, each by name."""
    for name in ("car.toml", "lifts.toml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_car_and_lifts(tmp_path / "car.toml", tmp_path / "lifts.toml")
    assert [Path(complaint.file).name for complaint in caught.value.complaints] == ["car.toml", "lifts.toml"]


def test_it_is_a_public_name() -> None:
    """`from ballast import height` is the job."""
    import ballast

    assert ballast.height is height
    assert isinstance(ballast.height(car(), lifts((0.5, load(0.5)))), MeasuredHeight)


def front(*readings: tuple[float, float], **more: Any) -> Lifts:
    """The front axle raised: 440 kg on the rear one level, the rest as in `lifts`."""
    given = lifts(*readings, raised_axle="front")
    level = {"axle_load": 440.0, "total": 1000.0} | more
    return given.replace(level=given.level.replace(**level))


def rear_load(lift: float, centre: float = 0.45) -> float:
    """What the rear axle carries with the front one raised. [kg]"""
    return load(lift, centre) - 120


def test_both_axles_of_one_car_agree() -> None:
    """REF-B3 and its mirror image: 0.45 m from either, nothing between them, and surer than each by itself."""
    found = both(car(), lifts((0.5, load(0.5))), front((0.5, rear_load(0.5))))
    assert found.centre_of_gravity_height == pytest.approx(0.45, abs=1e-9)
    assert found.apart == pytest.approx(0.0, abs=1e-9)
    assert found.agree
    assert found.uncertain < min(measured.uncertain for measured in found.axles)
    assert [measured.raised_axle for measured in found.axles] == ["rear", "front"]


def test_two_axles_that_contradict_each_other_are_said_to() -> None:
    """0.45 m and 0.50 m, each good to some 8 mm: something moved."""
    assert not both(car(), lifts((0.5, load(0.5))), front((0.5, rear_load(0.5, 0.50)))).agree


def contradictory(one: Lifts, other: Lifts) -> str:
    """The complaint about two files that the job refuses, which names the second."""
    with pytest.raises(InputError) as caught:
        both(car(), one, other, ("one.toml", "two.toml"))
    (complaint,) = caught.value.complaints
    assert complaint.file == "two.toml" and complaint.fix and "one.toml" in complaint.what
    return str(caught.value)


def test_one_axle_twice_is_refused() -> None:
    """Two files of the rear axle belong into one."""
    said = contradictory(lifts((0.5, load(0.5))), lifts((0.4, load(0.4))))
    assert '[lifts] raised_axle = "rear": is the axle raised in one.toml too' in said


def test_two_states_of_the_car_are_refused() -> None:
    """1,000 kg and 1,015 kg are more than 1 % apart."""
    said = contradictory(lifts((0.5, load(0.5))), front((0.5, rear_load(0.5)), total=1015.0))
    assert "[level] total = 1015: is more than 1 % from the total in one.toml, 1000 kg" in said


def test_level_loads_that_do_not_add_up_are_refused() -> None:
    """560 kg in front and 455 kg behind are not 1,000 kg."""
    said = contradictory(lifts((0.5, load(0.5))), front((0.5, rear_load(0.5) + 15), axle_load=455.0))
    assert "[level] axle_load = 455: makes 1015 kg with that of the other axle in one.toml" in said


def test_both_axles_of_the_example() -> None:
    """The example's readings were invented for 455 mm, either axle raised, with pads that scatter by 0.2 kg."""
    names = (EXAMPLE / "car.toml", EXAMPLE / "lifts.toml", EXAMPLE / "lifts-front.toml")
    found = both(*read_car_and_both_lifts(*names))
    assert found.agree
    assert abs(found.centre_of_gravity_height - 0.455) < 2 * found.uncertain
    told = json.loads(as_json(found))
    assert told["centre_of_gravity_height"] == pytest.approx(1000 * found.centre_of_gravity_height)
    assert [one["raised_axle"] for one in told["axles"]] == ["rear", "front"]
