"""What is said about a weighing and a plan, from saved plans."""

from pathlib import Path

import pytest

from ballast.jobs.weigh import weigh
from ballast.records.files import read_answer, read_question
from ballast.showing.plan_sheet import plan_sheet
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.text import WIDTH, laid_out
from ballast.showing.weighing_sheet import weighing_sheet

TESTS = Path(__file__).parents[1]
PLANS = sorted((TESTS / "golden" / "plans").glob("*.json"))
EXAMPLES = sorted(path for path in (TESTS.parent / "examples").iterdir() if path.is_dir())


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_text_of_a_saved_plan(path: Path, request: pytest.FixtureRequest) -> None:
    """A saved plan reads the same as it did when somebody last read it through."""
    golden = TESTS / "golden" / "sheets" / f"{path.stem}.txt"
    text = laid_out(plan_sheet(read_answer(path)))
    if request.config.getoption("--update-golden"):
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_plan_fits_a_terminal_of_80_columns(path: Path) -> None:
    """No line of a plan is wider than 80 columns or ends in blanks."""
    for line in laid_out(plan_sheet(read_answer(path))).splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda path: path.name)
def test_the_text_of_a_weighing(folder: Path, request: pytest.FixtureRequest) -> None:
    """The weighing of an example reads the same as it did when somebody last read it through, in 80 columns."""
    golden = TESTS / "golden" / "sheets" / f"weigh-{folder.name}.txt"
    question = read_question(folder / "car.toml", folder / "weigh-in.toml")
    text = laid_out(weighing_sheet(question, weigh(question)))
    if request.config.getoption("--update-golden"):
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")
    assert max(map(len, text.splitlines())) <= WIDTH


def test_an_assumed_roll_share_is_said_and_how_to_measure_it() -> None:
    """Where nothing is known of the roll stiffness, the plan says so, shows a range, and says how to learn it."""
    text = " ".join(laid_out(plan_sheet(read_answer(TESTS / "golden" / "plans" / "short-oval.json"))).split())
    assert "50 % of the roll stiffness at the front is assumed" in text
    assert "To measure it: weigh, put a known mass" in text


def test_a_long_name_wraps_and_keeps_its_numbers_on_the_first_line() -> None:
    """The text column gives way when a row is too wide; the numbers stay aligned."""
    table = Table(("", "mass"), (("a mount with a very long name, " * 4, "12.5 kg"),))
    lines = laid_out(Sheet("Title", (), (Section("PART", table=table),))).splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert lines[4].endswith("12.5 kg")
    assert len(lines) > 5
