"""A measured height in words: cautions first, no digit too many, and a line that the car file takes."""

import tomllib
from typing import Any

import pytest

from ballast.jobs.height import both, height
from ballast.records.car import Car
from ballast.records.files import read_car_and_both_lifts, read_car_and_lifts
from ballast.records.lifts import Lifts
from ballast.showing.height_sheet import Sure, both_sheet, height_sheet
from ballast.showing.text import WIDTH, laid_out
from ballast.units import LengthUnit, Units
from tests.conftest import Golden
from tests.jobs.test_height import EXAMPLE, car, front, lifts, load, rear_load

DONE: dict[str, Any] = {"suspension_locked": True, "wheels_free": True, "tank": "full"}
THREE = tuple((lift, load(lift)) for lift in (0.2, 0.35, 0.5))


def text(given: Lifts, of: Car | None = None) -> str:
    """The sheet as a terminal shows it."""
    return laid_out(height_sheet(height(of or car(), given)))


def words(given: Lifts, of: Car | None = None) -> str:
    """The same in one line, so that no sentence is broken."""
    return " ".join(text(given, of).split())


def test_cautions_stand_before_the_procedure_and_both_before_the_numbers_of_the_lifts() -> None:
    """Whoever reads from the top reads of chocks before of steps."""
    said = words(lifts(*THREE, **DONE))
    places = [
        said.index(phrase)
        for phrase in ("Chock the axle", "Nobody beneath", "slack the straps", "Suspension locked at", "THE LIFTS")
    ]
    assert places == sorted(places)
    assert "qualified" in said[: places[0]]


def test_no_line_is_too_wide() -> None:
    """The sheet fits a terminal of 80 columns."""
    assert max(map(len, text(lifts(*THREE)).splitlines())) <= WIDTH


@pytest.mark.parametrize(
    ("unit", "wide", "value", "shown", "interval"),
    [
        ("mm", 0.0083, 0.45321, "453", "9"),
        ("mm", 0.0231, 0.45321, "453", "24"),
        ("mm", 0.0312, 0.45321, "450", "40"),
        ("mm", 0.0012, 0.45321, "453.2", "1.2"),
        ("mm", 0.0, 0.45321, "453.2", "0.0"),
        ("m", 0.0083, 0.45321, "0.453", "0.009"),
        ("m", 0.0312, 0.45321, "0.45", "0.04"),
        ("in", 0.0083, 0.45321, "17.8", "0.4"),
        ("in", 0.0312, 0.45321, "17.8", "1.3"),
    ],
)
def test_digits_no_finer_than_the_interval(
    unit: LengthUnit, wide: float, value: float, shown: str, interval: str
) -> None:
    """By hand: the last digit is a third of the interval or less but never a thirtieth; the interval is rounded up."""
    sure = Sure(Units(length=unit), wide)
    assert (sure.text(value), sure.interval()) == (shown, interval)


def test_the_line_for_the_car_file_is_toml_in_its_unit() -> None:
    """What is to be pasted is read by the standard library's TOML reader and is the height, to the interval."""
    measured = height(car(), lifts(*THREE))
    (line,) = (row for row in text(lifts(*THREE)).splitlines() if "centre_of_gravity_height =" in row)
    value = tomllib.loads(line.strip())["centre_of_gravity_height"]
    assert value == pytest.approx(0.45, abs=measured.uncertain)


def test_each_thing_not_checked_is_said_at_the_top() -> None:
    """Three sentences when nothing was said, none when all was done."""
    said = words(lifts(*THREE)).partition("BEFORE ANYTHING")[0]
    for key in ("(suspension_locked)", "(wheels_free)", "(tank)"):
        assert key in said
    assert "does not say" not in words(lifts(*THREE, **DONE))


def test_low_lifts_are_told_what_ten_degrees_would_bring() -> None:
    """2.5 m sin 10 degrees = 0.434 m."""
    said = words(lifts((0.2, load(0.2))))
    assert "turned the car by only 4.6 degrees" in said
    assert "0.434 m, which is 10 degrees" in said
    assert "10 degrees, the" not in words(lifts(*THREE))


def test_a_reading_far_off_the_line_is_named() -> None:
    """3 kg more on the second lift than the straight line has, with loads good to 0.5 kg."""
    said = words(lifts(THREE[0], (0.35, load(0.35) + 3), THREE[2]))
    assert "Reading 2 is further off the line than loads are said to be good to, 0.5 kg" in said
    assert "further off" not in words(lifts(*THREE))


def test_one_wrong_reading_is_named_and_gives_nothing_to_write_down() -> None:
    """20 kg read wrong on one lift pulls the line away from all: the worst is named, and no height is to be used."""
    given = lifts((0.2, load(0.2)), (0.35, load(0.35)), (0.5, load(0.5) - 10), (0.35, load(0.35)), (0.2, load(0.2)))
    said = words(given)
    assert "TOO UNSURE TO BE OF USE" in said
    assert "centre_of_gravity_height =" not in said
    assert "Reading 3 is further off the line" in said
    assert said.count("further off the line") == 1
    assert "Others are too, but by less" in said
    assert "TOO UNSURE" not in words(lifts(*THREE))


@pytest.mark.parametrize(("first", "second", "word"), [(0.3, -0.3, "more"), (-0.3, 0.3, "less")])
def test_up_and_down_are_compared(first: float, second: float, word: str) -> None:
    """0.6 kg between the way up and the way down, either way round."""
    given = lifts((0.5, load(0.5) + first), (0.5, load(0.5) + second))
    both = given.replace(raised=(given.raised[0], given.raised[1].replace(going="down")))
    assert f"carried 0.60 kg {word} than on the way down" in words(both)


@pytest.mark.parametrize(("now", "word"), [(0.45, "within"), (0.60, "outside")])
def test_what_the_car_file_says_now_is_judged(now: float, word: str) -> None:
    """0.45 m was measured: 0.45 is inside the interval, 0.60 is not."""
    said = words(lifts(*THREE), car(centre_of_gravity_height=now))
    assert f"The car file says {now:g} m now, which is {word} the interval." in said


def test_what_was_counted_on_is_said() -> None:
    """The file's own accuracies, and the defaults where it is silent: 0.5 kg, 2 mm, 3 mm."""
    assert "Each axle load within 0.5 kg, all lifts within 0.002 m and both radii within 0.003 m" in words(
        lifts(*THREE)
    )
    assert "all lifts within 0.004 m" in words(lifts(*THREE, height_within=0.004))


def test_one_lift_says_that_nothing_checks_it() -> None:
    """A line through two points fits any two readings."""
    assert "nothing shows whether a reading is wrong" in words(lifts((0.5, load(0.5))))


def both_words(given: Lifts, other: Lifts) -> str:
    """The sheet of two axles in one line, after a look at its width."""
    shown = laid_out(both_sheet(both(car(), given, other)))
    assert max(map(len, shown.splitlines())) <= WIDTH
    return " ".join(shown.split())


def test_two_axles_that_agree_give_one_height_to_write_down() -> None:
    """0.45 m from either: one line for the car file, each condition not checked said once, cautions first."""
    said = both_words(lifts((0.5, load(0.5))), front((0.5, rear_load(0.5))))
    assert "from both axles, the surer one counting for more" in said
    assert said.count("centre_of_gravity_height = 0.45") == 1
    assert said.count("(wheels_free)") == 1
    assert said.index("Chock the axle") < said.index("THE LIFTS, rear axle raised")


def test_two_axles_that_contradict_each_other_give_nothing_to_write_down() -> None:
    """0.45 m and 0.50 m: a plain sentence on top, and no line for the car file."""
    said = both_words(lifts((0.5, load(0.5))), front((0.5, rear_load(0.5, 0.50))))
    assert "THE TWO AXLES DO NOT AGREE: do not use this height yet." in said
    assert "centre_of_gravity_height =" not in said
    assert "They are 0.050 m apart" in said


def test_a_low_lift_is_said_on_top() -> None:
    """4.6 degrees is below 10: whoever reads only the first lines reads of it, with the axle where there are two."""
    low = lifts((0.2, load(0.2)), **DONE)
    assert "No lift turned the car by 10 degrees" in words(low).partition("BEFORE ANYTHING")[0]
    top = both_words(low, front((0.5, rear_load(0.5)))).partition("BEFORE ANYTHING")[0]
    assert "rear axle raised: No lift turned the car by 10 degrees" in top
    assert "front axle raised: No lift" not in top


def test_the_sheets_of_the_example(golden: Golden) -> None:
    """The example reads the same as when somebody last read it through, with one axle raised and with both."""
    measured = height(*read_car_and_lifts(EXAMPLE / "car.toml", EXAMPLE / "lifts.toml"))
    golden("sheets/height-circuit-saloon.txt", laid_out(height_sheet(measured)))
    names = (EXAMPLE / "car.toml", EXAMPLE / "lifts.toml", EXAMPLE / "lifts-front.toml")
    golden("sheets/height-circuit-saloon-both.txt", laid_out(both_sheet(both(*read_car_and_both_lifts(*names)))))
