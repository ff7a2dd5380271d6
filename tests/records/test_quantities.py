"""One car in two systems of units is one record, and what is shown of it is what was written.

The other system's numbers are worked out here in decimal arithmetic from the definitions of 1959: 1 lb = 0.45359237 kg,
1 in = 25.4 mm; the gallons are 3.785411784 L and 4.54609 L.
"""

import math
import re
from collections.abc import Callable, Iterator
from decimal import Decimal, localcontext
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from ballast.errors import InputError
from ballast.records import files
from ballast.records.quantities import CentreHeight, Count, Percent, PositiveMass, Wheelbase
from ballast.units import Units

CAR = """
[units]
mass = "{mass_unit}"
length = "{length_unit}"
volume = "{volume_unit}"

[car]
name = "Kestrel 3"
wheelbase = {mm[2480]}
track_front = {mm[1465]}
track_rear = {mm[1440.5]}
centre_of_gravity_height = {mm[455]}

[suspension]
front_roll_share = 58

[[mounts]]
name = "nose"
behind_front_axle = {mm[-420]}
left_of_centre = {mm[0]}
above_ground = {mm[210]}
capacity = {kg[15.5]}
stack = {mm[60]}
fixing_mass = {kg[0.6]}

[[drivers]]
name = "Ada"
mass = {kg[66.4]}
insert_mass = {kg[2.3]}
behind_front_axle = {mm[1215]}
left_of_centre = {mm[-345]}
pedals_behind_front_axle = {mm[220]}
at_pedals = {kg[7.5]}

[[tanks]]
name = "tank"
behind_front_axle = {mm[2105]}
left_of_centre = {mm[0]}
volume = {L[61.5]}
at_start = {L[55]}
at_flag = {L[4.2]}
sample = {L[1.1]}

[[plates]]
name = "5"
mass = {kg[5.02]}
count = 6
thickness = {mm[16.3]}

[targets]
front = {{ aim = 54.0, within = 0.5 }}
rear_pair = {{ aim = {kg[-12.6]}, within = {kg[2.25]} }}
total = {kg[1105.7]}

[margin]
total = {kg[3]}

[wishes]
over_required = {kg[1.9]}
mass_resolution = {kg[0.15]}
"""
WEIGH_IN = """
[units]
mass = "{mass_unit}"
length = "{length_unit}"
volume = "{volume_unit}"

[weigh_in]
date = 2026-03-14
driver = "in"
success_ballast = {kg[12.5]}

[fuel]
volume = {L[31.2]}
volume_within = {L[0.4]}

[substitute]
mass = {kg[75.2]}
behind_front_axle = {mm[1210]}
left_of_centre = {mm[-330]}

[[readings]]
LF = {kg[279.6]}
RF = {kg[297.2]}
LR = {kg[235.4]}
RR = {kg[248.3]}
"""


class _Over(dict[str, Decimal]):
    """{kg[5.02]}: the number over the size of a unit, to 20 digits."""

    def __init__(self, unit: str) -> None:
        self.unit = Decimal(unit)

    def __missing__(self, number: str) -> str:
        with localcontext() as context:
            context.prec = 20
            return f"{Decimal(number) / self.unit:f}"


def _system(mass: str, length: str, volume: str, *sizes: str) -> dict[str, Any]:
    named = {"mass_unit": mass, "length_unit": length, "volume_unit": volume}
    return named | {key: _Over(size) for key, size in zip(("kg", "mm", "L"), sizes, strict=True)}


METRIC = _system("kg", "mm", "L", "1", "1", "1")
METRES = _system("kg", "m", "imp gal", "1", "1000", "4.54609")
IMPERIAL = _system("lb", "in", "US gal", "0.45359237", "25.4", "3.785411784")


def _numbers(value: Any, place: str = "") -> Iterator[tuple[str, object]]:
    """Every leaf of a dumped record but its units, with its place."""
    if isinstance(value, dict):
        for key, part in value.items():
            if key != "units":
                yield from _numbers(part, f"{place}.{key}")
    elif isinstance(value, list | tuple):
        for number, part in enumerate(value):
            yield from _numbers(part, f"{place}.{number}")
    else:
        yield place, value


@pytest.mark.parametrize("other", [METRES, IMPERIAL], ids=["kg, m, imp gal", "lb, in, US gal"])
@pytest.mark.parametrize(
    ("text", "read"), [(CAR, files.read_car), (WEIGH_IN, files.read_weigh_in)], ids=["car", "weigh-in"]
)
def test_the_same_car_in_other_units_is_the_same_record(
    text: str, read: Callable[[Path], Any], other: dict[str, Any], tmp_path: Path
) -> None:
    """Every number of the two records agrees to a part in 10^12, and everything else is equal."""
    records = []
    for units in (METRIC, other):
        path = tmp_path / "file.toml"
        path.write_text(text.format_map(units), encoding="utf-8")
        records.append(dict(_numbers(read(path).model_dump())))
    one, two = records
    assert one.keys() == two.keys()
    assert sum(isinstance(value, float) for value in one.values()) >= 4
    for place, value in one.items():
        if isinstance(value, float):
            assert isinstance(found := two[place], float)
            assert math.isclose(found, value, rel_tol=1e-12, abs_tol=0.0), place
        else:
            assert two[place] == value, place


@pytest.mark.parametrize("units", [METRIC, METRES, IMPERIAL], ids=["kg and mm", "kg and m", "lb and in"])
def test_a_record_shows_the_numbers_of_its_file(units: dict[str, Any], tmp_path: Path) -> None:
    """Dumped in the file's own units, a car holds the numbers that were written, to fifteen digits."""
    path = tmp_path / "car.toml"
    path.write_text(CAR.format_map(units), encoding="utf-8")
    car = files.read_car(path)
    shown = car.model_dump(by_alias=True, context=car.units.units())
    assert math.isclose(shown["car"]["wheelbase"], float(units["mm"]["2480"]), rel_tol=1e-14)
    assert math.isclose(shown["plates"][0]["mass"], float(units["kg"]["5.02"]), rel_tol=1e-14)
    assert math.isclose(shown["targets"]["rear_pair"]["within"], float(units["kg"]["2.25"]), rel_tol=1e-14)
    assert math.isclose(shown["tanks"][0]["volume"], float(units["L"]["61.5"]), rel_tol=1e-14)
    assert math.isclose(shown["drivers"][0]["at_pedals"], float(units["kg"]["7.5"]), rel_tol=1e-14)
    assert (shown["targets"]["front"]["aim"], shown["suspension"]["front_roll_share"]) == (54.0, 58.0)


def test_a_volume_needs_its_unit(tmp_path: Path) -> None:
    """A file without [units] volume may hold no volume, and is told what to write; without tanks it needs none."""
    path = tmp_path / "car.toml"
    text = CAR.format_map(METRIC).replace('volume = "L"\n', "")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        files.read_car(path)
    assert all('volume = "L"' in complaint.fix for complaint in caught.value.complaints)
    dry = re.sub(r"\[\[tanks\]\].*?\n\n", "", text, flags=re.DOTALL)
    path.write_text(dry, encoding="utf-8")
    assert files.read_car(path).units.volume is None


@pytest.mark.parametrize(
    ("kind", "units", "value"),
    [
        (Wheelbase, Units(length="mm"), 31.2),
        (Wheelbase, Units(length="m"), 2480.0),
        (Wheelbase, Units(length="in"), 7.8),
        (CentreHeight, Units(length="m"), 3.2),
        (PositiveMass, Units(mass="lb"), -5.0),
        (PositiveMass, Units(mass="lb"), True),
        (Percent, Units(), 0.52),
        (Percent, Units(), 100.0),
        (Count, Units(), 2.0),
        (Count, Units(), True),
    ],
)
def test_what_no_car_has_is_refused(kind: Any, units: Units, value: object) -> None:
    """Sizes in the wrong unit, shares for percentages and yes for a number are refused; from the job, no source."""
    with pytest.raises(ValidationError):
        TypeAdapter(kind).validate_python(value, context=units)


@pytest.mark.parametrize(
    ("kind", "units", "value", "inside"),
    [
        (Wheelbase, Units(length="in"), 39, 0.9906),  # a kart, 39 in
        (Wheelbase, Units(length="mm"), 4000, 4.0),
        (CentreHeight, Units(length="in"), 10, 0.254),
        (Percent, Units(), 1, 0.01),
        (PositiveMass, Units(mass="lb"), 0.25, 0.1133980925),
    ],
)
def test_what_cars_have_is_taken(kind: Any, units: Units, value: float, inside: float) -> None:
    """Small and large cars alike; whole numbers are numbers too."""
    assert TypeAdapter(kind).validate_python(value, context=units) == pytest.approx(inside, rel=1e-12)


def test_a_changed_record_is_checked_again(tmp_path: Path) -> None:
    """Replacing a field with what a file may not say is refused."""
    path = tmp_path / "car.toml"
    path.write_text(CAR.format_map(METRIC), encoding="utf-8")
    car = files.read_car(path)
    assert car.replace(chassis=car.chassis.replace(wheelbase=2.5)).chassis.wheelbase == 2.5
    with pytest.raises(ValidationError):
        car.chassis.replace(wheelbase=-2.5)
    with pytest.raises(ValidationError):
        car.replace(wheelbse=2.5)
