"""The sheet of `compare`: what to do comes first, every cause has its sentence, every number its unit."""

import re
from datetime import date
from pathlib import Path
from typing import Any, get_args

import pytest

from ballast.records.compared import CauseKind, Compared
from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.records.weighing import WeighIn
from ballast.showing.compare_sheet import SAYINGS, compare_sheet
from ballast.showing.text import laid_out

PLAN = Path(__file__).parents[1] / "golden" / "plans" / "circuit-saloon.json"
WHERE: dict[str, Any] = {
    "mount": "seat rail left",
    "other_mount": "boot floor right",
    "plate": "5 kg",
    "other_plate": "2 kg",
    "driver": "Ilse",
    "corners": ("LF", "RF"),
    "mass": -5.02,
}
ROWS = {
    "total": ("mass", 1108.4, 1103.4, 0.5),
    "front": ("percent", 0.54, 0.5401, 0.0005),
    "left": ("percent", 0.5, 0.4984, 0.0005),
    "RF+LR": ("percent", 0.5, 0.5005, 0.002),
    "behind front axle": ("length", 1.14, 1.14, 0.002),
    "left of centre": ("length", 0.0, -0.002, 0.001),
}


def figure(name: str, dimension: str, predicted: float, measured: float, within: float) -> dict[str, Any]:
    """A row of the answer."""
    off = measured - predicted
    return {
        "figure": name,
        "dimension": dimension,
        "predicted": predicted,
        "measured": measured,
        "difference": off,
        "within": within,
        "inside": abs(off) <= within,
    }


def case(total: float) -> dict[str, Any]:
    """A car that stands evenly."""
    return {
        "name": "invented",
        "corner_loads": dict.fromkeys(("LF", "RF", "LR", "RR"), total / 4),
        "total": total,
        "front_percent": 0.5,
        "rear_percent": 0.5,
        "left_percent": 0.5,
        "diagonal_percent": {"RF+LR": 0.5, "LF+RR": 0.5},
        "rear_pair": 0.0,
        "centre_of_gravity": {"behind_front_axle": 1.2, "left_of_centre": 0.0, "above_ground": None},
    }


def cause(kind: str, *places: dict[str, Any], weight: float = 0.9, warped: bool = False) -> dict[str, Any]:
    """A cause of the answer."""
    return {"kind": kind, "warped": warped, "weight": weight, "left_over": 0.7, "places": places or (WHERE,)}


def answer(**changed: Any) -> Compared:
    """An invented answer: 5 kg short, and one cause."""
    return Compared.model_validate(
        {
            "units": {"mass": "kg", "length": "mm", "volume": "L"},
            "car": "Heron saloon, number 27",
            "weighed": date(2026, 3, 14),
            "weighed_again": date(2026, 3, 15),
            "settlings": 3,
            "predicted": case(1108.4),
            "measured": case(1103.4),
            "figures": [figure(name, *row) for name, row in ROWS.items()],
            "corners": [figure(name, "mass", 277.1, 275.9, 0.9) for name in ("LF", "RF", "LR", "RR")],
            "plates_said": False,
            "bars_before": "disconnected",
            "bars": "disconnected",
            "chance": 1e-6,
            "as_planned": False,
            "chance_of_scatter": 0.4,
            "settled": True,
            "tried": 80,
            "causes": [cause("plate less")],
        }
        | changed
    )


@pytest.fixture(scope="module")
def done() -> Answer:
    """A saved plan, for the units and the steps of the pads."""
    return read_answer(PLAN)


@pytest.fixture(scope="module")
def weigh_in(done: Answer) -> WeighIn:
    """A weigh-in of the same car."""
    return done.question.weigh_in


def lines(done: Answer, weigh_in: WeighIn, compared: Compared) -> list[str]:
    """The sheet as it is printed."""
    return laid_out(compare_sheet(done, weigh_in, compared)).splitlines()


def flat(done: Answer, weigh_in: WeighIn, compared: Compared) -> str:
    """The sheet without its line ends."""
    return " ".join(" ".join(lines(done, weigh_in, compared)).split())


def test_what_to_do_comes_first(done: Answer, weigh_in: WeighIn) -> None:
    """What is wrong, by how much, and where to look."""
    said = flat(done, weigh_in, answer())
    assert said.startswith(
        "Heron saloon, number 27: weighed again 2026-03-15, planned from 2026-03-14 "
        "NOT AS PLANNED: total 5.0 kg low, left 0.16 points low. "
        "One 5 kg less than planned at 'seat rail left' explains it: look there first."
    )


@pytest.mark.parametrize("kind", get_args(CauseKind))
def test_every_cause_has_its_sentence(done: Answer, weigh_in: WeighIn, kind: str) -> None:
    """Each kind of cause, alone and with the diagonal besides, with all of its words filled in."""
    for warped in (False, True):
        for mass in (-5.02, 5.02):
            places = WHERE | {"mass": mass, "behind_front_axle": 1.2, "left_of_centre": 0.1, "share": mass / 300}
            said = flat(done, weigh_in, answer(causes=[cause(kind, places, warped=warped)]))
            assert "{" not in said and "None" not in said
            assert ("and the diagonal off besides" in said) is warped
    assert kind in SAYINGS or re.search(r"5\.0 kg", said)


@pytest.mark.parametrize(
    ("kind", "places", "expected"),
    [
        ("fuel", {"tank": "main tank", "volume": 52.0, "mass": 9.0}, "52.0 L in 'main tank' (9.0 kg more)"),
        ("fuel", {"mass": -9.0}, "about 9.0 kg less fuel"),
        ("pad off", {"corners": ("RF",), "mass": 9.0, "share": 0.03}, "the pad under RF reading 9.0 kg (3 %) too high"),
        ("driver aboard", {"driver": "Bruno", "mass": 9.3}, "Bruno aboard (9.3 kg more)"),
        ("nobody aboard", {"mass": -78.0}, "the driver not aboard (78.0 kg)"),
        ("ballast by rule", {"mass": 4.0}, "4.0 kg of ballast by rule aboard that the weigh-in does not name"),
        ("ballast by rule", {"mass": -4.0}, "the 4.0 kg of ballast by rule not aboard that the weigh-in names"),
        ("pads exchanged", {"corners": ("LR", "RR"), "mass": 0.0}, "the pads LR and RR exchanged"),
    ],
)
def test_causes_made_of_numbers(
    done: Answer, weigh_in: WeighIn, kind: str, places: dict[str, Any], expected: str
) -> None:
    """Sizes as the readings have them, with unit and direction."""
    said = flat(done, weigh_in, answer(causes=[cause(kind, places)]))
    assert f"{expected[0].upper()}{expected[1:]} explains it" in said


def test_places_that_explain_it_alike_stand_together(done: Answer, weigh_in: WeighIn) -> None:
    """Three mounts in one sentence; of six, four and a count of the others."""
    places = [WHERE | {"mount": f"mount {letter}"} for letter in "ABCDEF"]
    assert "at 'mount A' (or at 'mount B', or at 'mount C') explains it" in flat(
        done, weigh_in, answer(causes=[cause("plate less", *places[:3])])
    )
    said = flat(done, weigh_in, answer(causes=[cause("plate less", *places)]))
    assert "(or at 'mount B', or at 'mount C', or at 'mount D', or one of 2 more places)" in said


def test_causes_that_explain_it_alike_stand_together(done: Answer, weigh_in: WeighIn) -> None:
    """The second cause is named in the first lines where it is nearly as likely, and not where it is not."""
    two = [cause("side mistyped", weight=0.6), cause("plate elsewhere", weight=0.3)]
    said = flat(done, weigh_in, answer(causes=two))
    assert "So does one 5 kg at 'boot floor right' instead of 'seat rail left'." in said
    far = [cause("side mistyped", weight=0.9), cause("plate elsewhere", weight=0.06)]
    assert "So does" not in flat(done, weigh_in, answer(causes=far))


def test_no_comma_stands_before_a_full_stop(done: Answer, weigh_in: WeighIn) -> None:
    """A cause with the diagonal besides ends a sentence as well as it begins one."""
    place = WHERE | {"behind_front_axle": 1.2, "left_of_centre": 0.1}
    two = [cause("fuel", {"mass": 9.0}, weight=0.5, warped=True), cause("something else", place, warped=True)]
    for causes in (two, two[::-1], [cause("fuel", {"mass": 9.0}), cause("warp", {"mass": 0.0})]):
        assert ",." not in flat(done, weigh_in, answer(causes=causes))


def test_inches_tell_a_difference_from_what_it_may_be(done: Answer, weigh_in: WeighIn) -> None:
    """2 mm off give or take 1 mm is 0.08 and 0.04 in: tenths would read 0.1 give or take 0.0."""
    units = {"mass": "lb", "length": "in", "volume": "L"}
    inches = done.replace(
        question=done.question.replace(car=done.question.car.replace(units=done.question.car.units.replace(**units)))
    )
    assert "centre left of line 0.00 -0.08 in -0.08 in 0.04 OUTSIDE" in flat(inches, weigh_in, answer(units=units))


def test_nothing_is_guessed(done: Answer, weigh_in: WeighIn) -> None:
    """Without a cause that explains it, the sheet says so."""
    said = flat(done, weigh_in, answer(causes=[]))
    assert "No single cause that was tried explains it. Weigh once more" in said


def test_the_diagonal(done: Answer, weigh_in: WeighIn) -> None:
    """What could move it, in the order to check, with the millimetres that each would take, corner by corner."""
    warp = {
        "first_corner": 2.5,
        "pads": (0.0021, -0.0021, -0.0022, 0.0022),
        "platforms": (0.003, -0.003, -0.004, 0.004),
        "front_bar": -0.005,
        "rear_bar": None,
    }
    compared = answer(causes=[cause("warp", {"mass": 0.0})], warp=warp, bars="connected", settled=False)
    said = flat(done, weigh_in, compared)
    assert "NOT SETTLED" in said
    assert "LF 2.1 mm or RR 2.2 mm too high, or RF 2.1 mm or LR 2.2 mm too low would do it" in said
    assert "LF 3 mm or RR 4 mm up, or RF 3 mm or LR 4 mm down along the spring would do it" in said
    assert "front bar by 5 mm at the wheels would do it" in said
    order = [said.index(word) for word in ("1. Not settled", "2. The bars are connected", "3. Tyres", "4. Steering")]
    assert order == sorted(order)
    unknown = answer(causes=[cause("warp", {"mass": 0.0})], warp={"first_corner": 2.5})
    assert "With spring rates in the car file" in flat(done, weigh_in, unknown)


def test_as_planned(done: Answer, weigh_in: WeighIn) -> None:
    """Inside the noise no cause is looked for, even where a figure alone is a little outside."""
    compared = answer(as_planned=True, chance=0.2, causes=[], tried=0)
    said = flat(done, weigh_in, compared)
    assert "The car stands as planned, as far as the pads can tell. A figure alone a little outside" in said
    assert "LIKELY CAUSES" not in said and "once in 5" in said


def test_what_was_counted_on(done: Answer, weigh_in: WeighIn) -> None:
    """Whose plates, which pads and what nobody said."""
    change = {"mount": "nose tray", "plate": "2 kg", "from": 2, "to": 1}
    compared = answer(
        plates_said=True, not_as_planned=[change], kit_of="Ilse", unsaid=("fuel", "spares"), other_pads=True
    )
    said = flat(done, weigh_in, compared)
    assert "Fitted: 1 x 2 kg at 'nose tray', and the plan has 2." in said
    assert "the plates of Ilse" in said
    assert "says anything of the fuel and spare wheels" in said
    assert "Other pads than at the first weigh-in" in said


def test_it_fits_a_terminal(done: Answer, weigh_in: WeighIn) -> None:
    """No line over 80 columns, even with a name of 60 letters."""
    places = WHERE | {"mount": "a mount with a name that is much longer than anybody would type"}
    warp = {"first_corner": 2.5, "pads": (0.0021, -0.0021, -0.0022, 0.0022)}
    compared = answer(causes=[cause("plate elsewhere", places, warped=True), cause("warp", places)], warp=warp)
    assert max(map(len, lines(done, weigh_in, compared))) <= 80
