"""The car from above: what mounts may carry, wheels in a place of their own, and how sure its centre of gravity is."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib.artist import Artist
from matplotlib.patches import Ellipse, Rectangle

from ballast.records.files import read_answer
from ballast.records.plan import CentreEllipse
from ballast.records.suspension import WheelPlace, Wheels
from ballast.showing.pictures import plan_view, side_view
from tests.showing.invented_answers import assembled
from tests.showing.seen import box, drawn, words

PLANS = Path(__file__).parents[1] / "golden" / "plans"


def test_the_strip_of_a_mount_is_filled_by_what_it_carries() -> None:
    """A 40 kg mount with 0.8 kg of hardware, 10 kg that stay and 2 new plates of 5 kg: 2, 25, 12.5, 12.5 %."""
    mounts = [
        {"name": "rail", "behind_front_axle": 1.0, "left_of_centre": 0.3, "capacity": 40.0, "fixing_mass": 0.8},
        {"name": "tray", "behind_front_axle": 0.2, "left_of_centre": -0.3, "capacity": 10.0},
    ]
    plates = [{"name": "10 kg", "mass": 10.0, "count": 9}, {"name": "5 kg", "mass": 5.0, "count": 9}]
    picture = plan_view(
        assembled(
            mounts=mounts,
            plates=plates,
            before={("rail", "10 kg"): 1},
            after={("rail", "10 kg"): 1, ("rail", "5 kg"): 2},
        )
    )
    (whole,) = (abs(wide(strip)) for strip in drawn(picture, "may-carry-1"))
    (smaller,) = (abs(wide(strip)) for strip in drawn(picture, "may-carry-2"))
    assert whole == pytest.approx(4 * smaller)
    assert [abs(wide(part)) / whole for part in drawn(picture, "on-1")] == pytest.approx([0.02, 0.25, 0.125, 0.125])
    assert not drawn(picture, "on-2")
    said = set(words(picture))
    assert {"hardware, by its mass", "plates that stay, by mass", "plates put on, by mass"} <= said
    assert "21 of 40 kg" in said  # to the kilogram, as the readings are


def wide(strip: Artist) -> float:
    """Width of a rectangle on paper. [pt]"""
    assert isinstance(strip, Rectangle)
    return float(strip.get_width())


def test_a_wheel_of_its_own_stands_there() -> None:
    """LR 30 mm further back and 20 mm further in than wheelbase 2.5 m and rear track 1.4 m put it; the others not."""
    invented = assembled()
    wheels = Wheels(LR=WheelPlace(behind_front_axle=2.53, left_of_centre=0.68))
    question = invented.question.replace(car=invented.question.car.replace(wheels=wheels))
    picture = plan_view(invented.replace(question=question))
    for corner, (aft, left) in {"LR": (2.53, 0.68), "RR": (2.5, -0.7), "LF": (0.0, 0.75)}.items():
        front, rear, right_edge, left_edge = box(picture, f"wheel-{corner}")
        assert ((front + rear) / 2, (right_edge + left_edge) / 2) == pytest.approx((aft, left), abs=1e-9)


def test_the_ellipse_lies_about_the_centre_of_gravity_as_the_record_says() -> None:
    """Half axes 3 and 1 mm, turned 30 degrees from straight back to the left: its far end is 2.6 back, 1.5 left."""
    invented = assembled()
    (case,) = invented.plan.cases
    sure = case.uncertain.replace(centre=CentreEllipse(longer=0.003, shorter=0.001, turned=30.0))
    picture = plan_view(invented.replace(plan=invented.plan.replace(cases=(case.replace(uncertain=sure),))))
    (drawn_ellipse,) = drawn(picture, "enlarged-ellipse")
    assert isinstance(drawn_ellipse, Ellipse)
    (outline,) = drawn_ellipse.get_path().transformed(drawn_ellipse.get_patch_transform()).to_polygons()
    centre = case.centre_of_gravity
    off = np.asarray(outline) - [centre.left_of_centre, centre.behind_front_axle]
    left, aft = off[np.argmax(np.hypot(*off.T))].tolist()
    assert (abs(left), abs(aft)) == pytest.approx((0.0015, 0.0025981), abs=1e-6)
    assert left * aft > 0
    assert "where it is by 95 %, enlarged" in words(picture)
    assert not drawn(plan_view(invented), "enlarged-ellipse")


def test_mounts_have_one_number_in_every_picture() -> None:
    """The number of a mount is its place in the car file, from 1: beside its name from above, over its stack aside."""
    made = read_answer(PLANS / "circuit-saloon.json")
    side = side_view(made)
    assert side is not None
    loaded = dict.fromkeys(row.mount for row in made.plan.fit)
    for number, mount in enumerate(made.question.car.mounts, start=1):
        assert f"{number}. {mount.name}" in words(plan_view(made))
        assert bool(drawn(side, f"stack-{number}")) == (mount.name in loaded)
