"""Sheets as text: no line longer than the terminal, nothing lost, nothing a terminal would obey."""

import json
import re
import unicodedata
from pathlib import Path

import pytest

from ballast.records.files import read_answer
from ballast.showing.plan_sheet import plan_sheet
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.text import WIDTH, laid_out

PLANS = sorted((Path(__file__).parents[1] / "golden" / "plans").glob("*.json"))
LONG = (
    "a mount below the passenger's seat, right behind the second cross member of the floor pan, outboard of the tunnel"
)


def taken(line: str) -> int:
    """Columns a line takes on a terminal: two for each wide letter of East Asian scripts, none for an accent."""
    return sum(
        2 if unicodedata.east_asian_width(letter) in "WF" else not unicodedata.combining(letter) for letter in line
    )


def squeezed(text: str) -> str:
    """The letters of a text without its blanks."""
    return re.sub(r"\s", "", text)


def of_table(table: Table, width: int = WIDTH) -> list[str]:
    """The lines of a table."""
    return laid_out(Sheet("T", (), (Section("S", table=table),)), width).splitlines()[3:]


@pytest.mark.parametrize("width", [80, 60, 40, 20])
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_no_line_is_longer_than_the_terminal(path: Path, width: int) -> None:
    """On 80 columns and on far fewer, every line of every plan fits."""
    assert max(map(taken, laid_out(plan_sheet(read_answer(path)), width).splitlines())) <= width


@pytest.mark.parametrize("longer", [LONG, "x" * 90, "前輪の左側" * 12], ids=["words", "one word", "wide letters"])
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_very_long_names_of_mounts_plates_and_drivers_fit_too(path: Path, longer: str, tmp_path: Path) -> None:
    """A saved plan in which every such name has grown to a line and more is folded like any other."""
    saved = json.loads(path.read_text(encoding="utf-8"))
    car = saved["question"]["car"]
    names = {entry["name"] for table in ("mounts", "plates", "drivers") for entry in car[table]}
    text = path.read_text(encoding="utf-8")
    for name in names:
        text = text.replace(json.dumps(name), json.dumps(f"{name} {longer}"))
    long_named = tmp_path / "plan.json"
    long_named.write_text(text, encoding="utf-8")
    sheet = plan_sheet(read_answer(long_named))
    for width in (80, 40):
        assert max(map(taken, laid_out(sheet, width).splitlines())) <= width


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_narrow_terminal_loses_no_number(path: Path) -> None:
    """Every number that stands on 80 columns stands on 30 too, as often."""
    sheet = plan_sheet(read_answer(path))
    wide, narrow = (sorted(re.findall(r"\d[\d.]*", squeezed_breaks(laid_out(sheet, width)))) for width in (80, 30))
    assert set(wide) <= set(narrow)


def squeezed_breaks(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


NUMBERS = Table(
    head=("", "before", "after", "+/- 95 %", "target"),
    rows=(
        ("total", "1060.1", "1108.4 kg", "0.3", "1108.3 to 1110.3 kg"),
        ("rear pair, LR less RR", "-13.4", "-2.5 kg", "2.3", ""),
    ),
)


def test_columns_of_numbers_are_flush_right() -> None:
    """By hand: the first column is as wide as its longest cell, numbers end below each other."""
    assert of_table(NUMBERS) == [
        "                         before      after  +/- 95 %               target",
        "  total                  1060.1  1108.4 kg       0.3  1108.3 to 1110.3 kg",
        "  rear pair, LR less RR   -13.4    -2.5 kg       2.3",
    ]


def test_where_numbers_have_no_room_each_row_is_a_list() -> None:
    """By hand: on 40 columns five columns cannot stand side by side, so each cell stands behind its head."""
    assert of_table(NUMBERS, 40) == [
        "  total",
        "    before: 1060.1",
        "    after: 1108.4 kg",
        "    +/- 95 %: 0.3",
        "    target: 1108.3 to 1110.3 kg",
        "  rear pair, LR less RR",
        "    before: -13.4",
        "    after: -2.5 kg",
        "    +/- 95 %: 2.3",
    ]


@pytest.mark.parametrize("width", [80, 60, 30])
def test_very_long_names_are_wrapped_in_their_column(width: int) -> None:
    """Two long names side by side are both folded, and every letter of both is there."""
    table = Table(("", "", ""), (("fit", LONG, f"2 x {LONG}"), ("take off", "nose", "1 x 5 kg")), text_columns=3)
    lines = of_table(table, width)
    assert max(map(len, lines)) <= width
    words = squeezed("\n".join(lines))
    assert all(word in words for word in LONG.split())
    assert "nose" in words and "1x5kg" in words


def test_a_long_first_column_leaves_the_numbers_aligned() -> None:
    """A finding with a long name is folded; its numbers stand beside its first line, below those of the others."""
    table = Table(("", "measured", "limit"), ((LONG, "12.5 kg", "max 10.0 kg"), ("total", "9.0 kg", "max 99.0 kg")))
    lines = of_table(table)
    assert [line.endswith("kg") for line in lines] == [False, True, *(False,) * (len(lines) - 3), True]
    assert len({len(line) for line in lines if line.endswith("kg")}) == 1


def test_titles_are_wrapped_too() -> None:
    """The name of a car may be longer than a line."""
    lines = laid_out(Sheet(f"{LONG}: ballast plan", (), (Section(LONG.upper()),))).splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert lines[1].startswith("  ")


def test_a_number_keeps_its_unit() -> None:
    """Wherever a line is broken, never between a number and its unit, nor within "3 x 5 kg"."""
    text = "It carries 12.5 kg, which is 3 x 5 kg, or 27.6 lb, at 420 mm or 16.5 in, and 51.2 % is at the front. " * 4
    for width in range(24, 81):
        assert not re.search(r"\d\n +(kg|lb|mm|in|%|x)|x\n", laid_out(Sheet("T", (text,), ()), width))


def test_wide_letters_and_accents_are_counted_by_columns() -> None:
    """A name in letters two columns wide, and one whose accent is a character of its own: numbers stay aligned."""
    decomposed = unicodedata.normalize("NFD", "Hëron")
    table = Table(("", "mass"), (("前輪の左側", "12.5 kg"), (decomposed, "9.0 kg"), ("nose", "10.0 kg")))
    assert {taken(line) for line in of_table(table)} == {2 + 10 + 2 + 7}
    narrow = laid_out(Sheet("T", ("前輪の左側" * 20,), ()), 40).splitlines()
    assert max(map(taken, narrow)) <= 40
    assert squeezed("".join(narrow[1:])) == "前輪の左側" * 20


def test_nothing_a_terminal_would_obey_comes_through() -> None:
    """Escape sequences, control characters and letters that turn the line about are taken out of notes and names."""
    sheet = Sheet("a\x1b[31mred\u202eder", ("one\x9b2Jtwo\r\nthree\x07\u2067",), ())
    shown = laid_out(sheet)
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", shown)
    assert "red" in shown and "three" in shown
