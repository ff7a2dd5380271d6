"""What is said to a crew, with tanks, with ballast by rule, and after changes: read against the plan's own record."""

import re
from collections import Counter
from pathlib import Path

import pytest

from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.showing.plan_sheet import plan_sheet
from ballast.showing.sheet import Section, Table
from ballast.showing.text import WIDTH, laid_out
from ballast.showing.work import Counts, steps
from tests.conftest import GOLDEN, Golden
from tests.showing.crew_answers import QUESTIONS, answer

CREWS = ("two drivers", "four drivers", "no kit", "no tank", "everything", "long names in pounds")
PLATES = re.compile(r"(\d+) x (10 kg|5 kg|2 kg)")


def text_of(name: str) -> str:
    """The whole sheet of one answer, as one line."""
    return " ".join(laid_out(plan_sheet(answer(name))).split())


def section(shown: Answer, title: str) -> Section:
    """The section with this title."""
    return next(part for part in plan_sheet(shown).sections if part.title == title)


def table(shown: Answer, title: str) -> Table:
    """Its table."""
    found = section(shown, title).table
    assert found is not None
    return found


def plates(text: str) -> Counter[str]:
    """Plates named in a text, by kind."""
    return sum((Counter({kind: int(count)}) for count, kind in PLATES.findall(text)), Counter())


def test_the_text_of_a_saved_crew_plan(golden: Golden) -> None:
    """A saved plan for two drivers and a tank reads the same as it did when somebody last read it through."""
    saved = read_answer(Path(GOLDEN) / "plans" / "two-drivers.json")
    golden("sheets/two-drivers.txt", laid_out(plan_sheet(saved)))


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_kind_of_answer_fits_80_columns(name: str) -> None:
    """No line is wider than a terminal or ends in blanks, whatever the names and units, with or without a plan."""
    for line in laid_out(plan_sheet(answer(name))).splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()


@pytest.mark.parametrize("name", ["two drivers", "four drivers", "everything"])
def test_each_driver_is_told_the_plates_that_the_plan_has_for_that_driver(name: str) -> None:
    """The list of what each driver carries names every plate of the record and no other."""
    shown = answer(name)
    rows, who = table(shown, "WHAT EACH DRIVER CARRIES").rows, ""
    told: Counter[tuple[str, str, str]] = Counter()
    for driver, mount, what in rows:
        who = driver or who
        told += Counter({(who, mount, kind): count for kind, count in plates(what).items()})
    assert told == {(row.driver, row.mount, row.plate): row.count for row in shown.plan.fit if row.driver}


@pytest.mark.parametrize("name", ["two drivers", "four drivers", "everything"])
def test_common_mounts_and_kit_are_kept_apart(name: str) -> None:
    """What is done once names only mounts that stay; what a driver carries is not said there a second time."""
    kit = {mount.name for mount in answer(name).question.car.mounts if mount.changes_with_driver}
    for _, where, _ in table(answer(name), "DO THIS").rows:
        assert not any(mount in where for mount in kit)


@pytest.mark.parametrize("name", ["two drivers", "four drivers", "everything"])
def test_the_stop_says_as_many_plates_as_the_record_counts(name: str) -> None:
    """The steps of each change of drivers handle the plates that the record counts, and stand beside that count."""
    shown = answer(name)
    told: Counter[str] = Counter()
    who = ""
    for pair, _, what in table(shown, "AT THE STOP").rows:
        who = pair or who
        told[who] += plates(what).total()
    counted = {f"{stop.leaving} to {stop.entering}": stop.plates for stop in shown.plan.stops}
    assert dict(told) == counted
    numbers = {row[0]: row[1] for row in table(shown, "WHAT THE STOP CHANGES").rows}
    assert numbers == {pair: f"{count}" for pair, count in counted.items()}


def test_following_the_steps_leads_to_the_plates_wanted() -> None:
    """Taking off, moving and fitting what is said turns one set of plates into the other; by hand."""
    before: Counts = {("left", "5 kg"): 3, ("right", "2 kg"): 1}
    after: Counts = {("left", "5 kg"): 1, ("right", "5 kg"): 1, ("right", "2 kg"): 2}
    assert steps(before, after) == {
        ("take off", "left"): ["1 x 5 kg"],
        ("move", "left to right"): ["1 x 5 kg"],
        ("fit", "right"): ["1 x 2 kg"],
    }
    assert steps(after, after) == {}


def test_the_stop_has_the_sign_of_the_diagonal_that_is_aimed_at() -> None:
    """The record holds the change of RF+LR; for a target on LF+RR the sheet turns it, since both make 100 %."""
    shown = answer("two drivers")
    found = table(shown, "WHAT THE STOP CHANGES")
    assert found.head[-1] == "LF+RR"
    assert float(found.rows[0][-1]) == pytest.approx(-100 * shown.plan.stops[0].diagonal_percent, abs=0.005)


@pytest.mark.parametrize("name", [*CREWS, "tank alone"])
def test_every_state_has_its_row_and_no_total_reads_short(name: str) -> None:
    """One row for each state, a required total only where one is asked for, and never a total under it."""
    shown = answer(name)
    found = table(shown, "THE CAR IN EVERY STATE")
    assert len(found.rows) == len(shown.plan.cases)
    assert all(" " in head for head in found.head[found.text_columns :])
    asked = [row[found.text_columns :][:3] for row in found.rows]
    assert sum(needed != "" for _, needed, _ in asked) == sum(case.legal for case in shown.plan.cases)
    for total, needed, over in asked:
        assert not needed or (float(total) >= float(needed) and float(over) >= 0)


def test_the_stint_is_told_in_its_order_with_what_is_in_the_tank() -> None:
    """Start, balance point, flag; the balance point is half way from 80 L to 4 L, 42 L, as the car file's default."""
    rows = table(answer("two drivers"), "THE CAR IN EVERY STATE").rows
    told = [(row[0], row[1]) for row in rows]
    assert told == [("Ada", "start"), ("", "balance"), ("", "flag"), ("Bo", "start"), ("", "balance"), ("", "flag")]
    assert "80.0 L at the start, 42.0 L at the balance point, 4.0 L at the flag" in text_of("two drivers")


@pytest.mark.parametrize("name", ["off target", "everything", "two drivers"])
def test_a_star_stands_beside_each_missed_target_and_nowhere_else(name: str) -> None:
    """As many stars as targets that the record calls missed, and a line that says what they mean."""
    rows = table(answer(name), "THE CAR IN EVERY STATE").rows
    missed = sum(not target.inside for target in answer(name).plan.targets)
    assert sum(cell.endswith("*") for row in rows for cell in row) == missed
    assert ("* outside its band." in text_of(name)) == (missed > 0)


def test_the_drift_is_the_flag_less_the_start() -> None:
    """With one set of plates and a burning tank the sentence gives the difference of the two rows of the record."""
    start, flag = (next(c for c in answer("tank alone").plan.cases if c.fuel == fuel) for fuel in ("start", "flag"))
    change = 100 * (flag.front_percent - start.front_percent)
    assert f"From the start to the flag they move: front {change:+.2f} points" in text_of("tank alone")


def test_the_tightest_total_is_spelt_out_and_the_others_named() -> None:
    """The terms for one driver, the sums for the rest, each with its state."""
    text = text_of("everything")
    assert "kg (Ada, flag) = 1100 kg class minimum weight + 15 kg success ballast + 19 kg driver ballast" in text
    assert "For the others: 1118.2 kg (Bo, flag)." in text


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("everything", "Plates of the box carry the success ballast of 15.0 kg; it is in the required total."),
        ("everything", "place by the rules driver ballast, 19 kg"),
        ("everything", "left of the centre line. 10.0 kg of it was on board at the weigh-in."),
        ("everything", "The driver ballast at the place by the rules changes too."),
        ("everything", "Now on these mounts for Bo: seat box left 1 x 5 kg."),
        ("free and placed", "Besides, the success ballast of 15.0 kg goes where the rules want it: 1300 mm behind"),
        ("free and placed", "5.0 kg of it was on board at the weigh-in."),
        ("free and placed", "in the plates driver ballast, 19 kg"),
        ("free and placed", "Plates of the box carry the driver ballast; it is in the required total."),
        ("two drivers", "in the seat insert, 3.5 kg"),
        ("no kit", "Ada to Bo no plates to handle The seat insert changes too."),
        ("two drivers", "On the pads: Ada aboard, 20.0 L in tank; what differs from that is put in by sums."),
    ],
)
def test_what_else_is_carried_is_said(name: str, said: str) -> None:
    """Seat inserts, ballast by rule with and without a place, and what was aboard at the weigh-in."""
    assert said in text_of(name)


def test_changed_parts_are_said_at_the_top_and_the_first_column_is_no_weighing() -> None:
    """What the file of changes holds is counted on; the car before the plan is then reckoned, and headed so."""
    top = " ".join(plan_sheet(answer("changed")).lines)
    assert "engine taken off, 118 kg; new engine put on, 100 kg; brake disc put on, 4 kg (wheel RR)" in top
    assert "a prediction is not a weighing" in top
    assert table(answer("changed"), "THE CAR").head[1] == "now, by sums"
    assert table(answer("plain"), "THE CAR").head[1] == "before"


def test_one_driver_as_weighed_is_a_plain_car() -> None:
    """With the one driver aboard at the weigh-in nothing is reckoned: the same columns as a car without a crew."""
    assert table(answer("one driver"), "THE CAR, Ada").head == table(answer("plain"), "THE CAR").head
    assert not any(part.title in ("AT THE STOP", "WHAT EACH DRIVER CARRIES") for part in _sections("one driver"))


def test_no_plan_for_a_crew_says_for_whom() -> None:
    """The state stands beside the total, the reason compares means, and nothing claims to have stood on the pads."""
    text = text_of("no way")
    assert "as it was on the pads" not in text
    assert "with the plates that stand now (Ada, balance point)" in text
    assert "Required are 1253.2 kg (Ada, flag) = 1250 kg class minimum weight" in text
    assert "the car weighs, in the mean of these states, at most" in text
    assert "instead of 1253.2 kg (Bo, flag)" in text
    assert "By sums the car weighs" in text_of("changed, no way")


def test_a_stopped_plan_says_that_a_better_one_may_exist() -> None:
    """Who stops the search is told what the answer is."""
    found = answer("plain")
    stopped = found.replace(plan=found.plan.replace(outcome="best found when stopped"))
    assert plan_sheet(stopped).lines[0] == "Stopped: the best plan found until then; a better one may exist."


def _sections(name: str) -> tuple[Section, ...]:
    return plan_sheet(answer(name)).sections
