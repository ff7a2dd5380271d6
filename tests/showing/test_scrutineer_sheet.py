"""What stands on the printed sheet, from saved plans; expected numbers are worked out by hand from the input files."""

import json
from pathlib import Path
from typing import Any

import pytest

from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.showing.scrutineer_sheet import ScrutineerSheet, scrutineer_sheet
from ballast.showing.sheet import Section

PLANS = Path(__file__).parents[1] / "golden" / "plans"


def saved(name: str) -> Answer:
    """A saved plan."""
    return read_answer(PLANS / f"{name}.json")


def changed(tmp_path: Path, name: str, **parts: dict[str, Any]) -> ScrutineerSheet:
    """The sheet of a saved plan with some tables of its question changed."""
    raw = json.loads((PLANS / f"{name}.json").read_text(encoding="utf-8"))
    for part, tables in parts.items():
        raw["question"][part] |= tables
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    return scrutineer_sheet(read_answer(path))


def section(sheet: ScrutineerSheet, title: str) -> Section:
    """The part whose title begins like this."""
    parts = [*sheet.beside, *(part for row in sheet.below for part in row)]
    return next(part for part in parts if part.title.startswith(title))


def rows(part: Section | None) -> tuple[tuple[str, ...], ...]:
    """What its table says."""
    assert part is not None and part.table is not None
    return part.table.rows


def said_in(part: Section) -> dict[str, str]:
    """What a table of two columns says of each thing."""
    return {row[0]: row[1] for row in rows(part)}


def test_the_class_minimum_with_its_state_and_clause() -> None:
    """As in the example's rulebook: 1105 kg, driver in, clause 4.2, checked on 1 March 2026."""
    said = said_in(section(scrutineer_sheet(saved("circuit-saloon")), "Class minimum weight"))
    assert said["least"] == "1105.0 kg"
    assert said["state"].startswith("driver aboard (as the car finishes")
    assert said["clause"] == "4.2; Heron Saloon Cup technical rules, edition 1 (invented)"
    assert said["looked up"] == "2026-03-01"


@pytest.mark.parametrize("name", [path.stem for path in PLANS.glob("*.json")])
def test_the_terms_add_up_to_what_is_required(name: str) -> None:
    """The printed terms, added up, are the printed total as nearly as they are rounded, and rounded up."""
    terms = [(what, float(number.split()[0])) for what, number in rows(section(scrutineer_sheet(saved(name)), "Total"))]
    at = [what for what, _ in terms].index("required")
    total = sum(number for _, number in terms[:at])
    assert total - 0.02 <= terms[at][1] < total + 1.02


def test_a_stack_with_its_hardware_worked_out_by_hand() -> None:
    """Seat rail left: 2 x 10.04 + 2 x 5.02 kg and 0.8 kg of hardware; 2 x 32 + 2 x 16 mm high."""
    mount = next(row for row in rows(scrutineer_sheet(saved("circuit-saloon")).plates) if row[0] == "3. seat rail left")
    assert mount[1:4] == ("1240 behind, 370 left, 170 up", "2 x 10 kg, 2 x 5 kg", "2 x M8, 8.8")
    assert mount[4:] == ("30.9", "0.8", "96")


@pytest.mark.parametrize("name", [path.stem for path in PLANS.glob("*.json")])
def test_every_plate_of_the_plan_stands_in_the_table_once_for_each_driver(name: str) -> None:
    """Whoever counts the plates on the car against the sheet finds every row of the plan, and no other."""
    answer = saved(name)
    names = [mount.name for mount in answer.question.car.mounts]
    numbered = {name: f"{place}. {name}" for place, name in enumerate(names, start=1)}  # as on the picture
    wanted = sorted((numbered[row.mount], row.driver or "", f"{row.count} x {row.plate}") for row in answer.plan.fit)
    plates = scrutineer_sheet(answer).plates
    found = []
    for where, _, listed, *_ in rows(plates) if answer.plan.cases else ():
        mount, _, whose = where.partition(", for ")
        if listed.startswith("by the rules"):
            continue
        for driver in whose.split(", "):
            found += [(mount, driver, plate) for plate in listed.split(", ")]
    assert sorted(found) == wanted


def test_drivers_with_the_same_plates_share_a_row() -> None:
    """Tamsin and Osgar have one plate of 5 kg in the box inside; Ilse and Bruno more."""
    whose = {row[0]: row[2] for row in rows(scrutineer_sheet(saved("endurance-four")).plates)}
    assert whose["6. seat box inside, for Tamsin, Osgar"] == "1 x 5 kg"
    assert whose["6. seat box inside, for Ilse, Bruno"] == "1 x 10 kg, 1 x 5 kg"
    assert whose["driver ballast, for Ilse, Bruno, Tamsin, Osgar"] == "by the rules (clause 3.4)"


def test_drivers_and_what_they_bring() -> None:
    """Masses in kit and inserts as in the car file; 4 kg by the rules, for the crew's mean of 78.4 kg is below 82."""
    crew = section(scrutineer_sheet(saved("endurance-four")), "Drivers")
    assert crew.table is not None
    assert crew.table.head == ("driver", "in kit", "insert", "driver ballast", "plates", "hardware")
    assert [row[:4] for row in crew.table.rows] == [
        ("Ilse", "62.4", "5.5", "4"),
        ("Bruno", "74.2", "3", "4"),
        ("Tamsin", "85.7", "2", "4"),
        ("Osgar", "91.3", "0", "4"),
    ]


def test_the_set_down_has_a_line_for_every_state_that_is_weighed_and_room_to_write() -> None:
    """Each driver at the flag, then empty fields; what is expected on four pads adds up to the total."""
    sheet = scrutineer_sheet(saved("endurance-four"))
    expected = [row for row in rows(sheet.set_down) if row[0] == "expected"]
    assert [row[1] for row in expected] == ["Ilse, flag", "Bruno, flag", "Tamsin, flag", "Osgar, flag"]
    for _, _, *loads, total in expected:
        assert sum(map(float, loads)) == pytest.approx(float(total), abs=0.25)
    empty = [row for row in rows(sheet.set_down) if row[0] != "expected"]
    assert [row[0] for row in empty] == ["own pads", "event scales"]
    assert all(not any(row[1:]) for row in empty)


def test_an_impossible_plan_says_so_and_leaves_nothing_to_sign() -> None:
    """Of 2550 lb 25 are wanting; there are no plates, no set-down, no boxes to tick."""
    sheet = scrutineer_sheet(saved("over-the-limit"))
    assert (sheet.tone, sheet.verdict) == (
        "bad",
        "This car cannot be made legal with these plates, mounts and limits.",
    )
    assert sheet.plates is None and sheet.set_down is None and sheet.to_check_off == ()
    total = said_in(section(sheet, "Total required"))
    assert total == {
        "class minimum weight": "2550 lb",
        "required": "2550 lb",
        "as it stands": "2400 lb",
        "most that is possible": "2525 lb",
    }
    assert any("25 lb too little" in line for line in section(sheet, "Why").lines)
    assert any("150 lb of ballast instead of 125 lb" in line for line in section(sheet, "What would have").lines)


def test_a_broken_limit_is_the_first_thing_said(tmp_path: Path) -> None:
    """A finding that failed is named in the verdict, whatever else the plan says of itself."""
    raw = json.loads((PLANS / "circuit-saloon.json").read_text(encoding="utf-8"))
    raw["findings"][0] |= {"measured": 1100.0, "margin": -5.0, "verdict": "fail"}
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    sheet = scrutineer_sheet(read_answer(path))
    assert (sheet.tone, sheet.verdict) == ("bad", "NOT LEGAL. Broken: minimum weight.")
    assert sheet.signed == "Signed, though this plan breaks a limit"


def test_what_was_not_checked_is_no_pass() -> None:
    """With the driver ballast left to the eye, the verdict leaves it open."""
    sheet = scrutineer_sheet(saved("endurance-four"))
    assert sheet.tone == "open"
    assert sheet.verdict.endswith("1 thing is left to look at.")
    assert "Driver ballast on board" in sheet.to_check_off


def test_without_a_rulebook_nobody_calls_it_legal(tmp_path: Path) -> None:
    """The sheet says that none was given, where the class would stand and in the verdict."""
    raw = json.loads((PLANS / "circuit-saloon.json").read_text(encoding="utf-8"))
    raw["question"]["rulebook"] = None
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    sheet = scrutineer_sheet(read_answer(path))
    assert sheet.tone == "open" and "No rulebook was given" in sheet.verdict
    assert sheet.about[0] == "No rulebook was given."
    assert not any(part.title.startswith("Class minimum") for part in sheet.beside)


def test_the_scales_as_the_weigh_in_has_them(tmp_path: Path) -> None:
    """Steps, class and interval, bars and what of the checklist was left out."""
    raw = json.loads((PLANS / "circuit-saloon.json").read_text(encoding="utf-8"))["question"]["weigh_in"]
    pads = {"resolution": 0.1, "instrument": "class III", "interval": 0.2}
    ticked = dict.fromkeys(("pads_clean", "pads_level", "pads_at_corners", "zeroed", "known_mass"), True)
    ticked |= dict.fromkeys(("tyre_pressures", "dampers_soft", "steering_centred", "tools_out", "settled"), True)
    visit = raw["weigh_in"] | {"bars": "disconnected", "note": "read by the door"}
    sheet = changed(tmp_path, "circuit-saloon", weigh_in={"pads": pads, "checked": ticked, "weigh_in": visit})
    said = said_in(section(sheet, "Scales used"))
    assert said["pads"] == "steps of 0.1 kg; class III, e = 0.2 kg"
    assert said["settlings"] == "3"
    assert said["anti-roll bars"] == "disconnected"
    assert said["checklist"] == "all ticked but: wheels on middle, brakes free"
    assert said["note"] == "read by the door"


def test_a_single_settling_says_nothing_of_repeating() -> None:
    """The example that cannot be made legal was weighed once."""
    said = said_in(section(scrutineer_sheet(saved("over-the-limit")), "Scales used"))
    assert said["settlings"] == "1"
    assert said["total repeats"] == "not known from one settling: the usual is assumed"


def test_bolts_that_nobody_entered_are_said_to_be_missing(tmp_path: Path) -> None:
    """An empty cell would read as "none needed"."""
    car = json.loads((PLANS / "circuit-saloon.json").read_text(encoding="utf-8"))["question"]["car"]
    mounts = [mount | {"bolts": None} for mount in car["mounts"]]
    sheet = changed(tmp_path, "circuit-saloon", car={"mounts": mounts})
    assert {row[3] for row in rows(sheet.plates)} == {"not entered"}


def test_a_template_and_its_note_stand_at_the_top(tmp_path: Path) -> None:
    """Whoever reads the sheet of a packaged rulebook is told that the current book decides."""
    title = {"name": "Marsh Oval Division", "template": True, "note": "Left out: seals."}
    sheet = changed(tmp_path, "short-oval", rulebook={"rulebook": title})
    assert "These rules are a template: the current book of your class and its scrutineers decide." in sheet.said
    assert "Left out: seals." in sheet.said


def test_what_only_the_eye_can_check_is_there_to_tick_off(tmp_path: Path) -> None:
    """[[to_see]] of the rulebook, each with its clause."""
    look = {"what": "seal on the bolt heads", "clause": "7.1", "source": "Book (invented)", "checked": "2026-03-01"}
    sheet = changed(tmp_path, "short-oval", rulebook={"to_see": [look]})
    assert "seal on the bolt heads (clause 7.1)" in sheet.to_check_off
