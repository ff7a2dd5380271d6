"""`ballast sheet` at the command line."""

import json
from pathlib import Path

import pytest

from tests.cli import within

PLANS = Path(__file__).parents[1] / "golden" / "plans"


def run(monkeypatch: pytest.MonkeyPatch, *arguments: object) -> int:
    """Exit status of `ballast sheet`."""
    return within.run(monkeypatch, "sheet", *arguments)


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A saved plan in a folder of its own."""
    path = tmp_path / "race 1.json"
    path.write_bytes((PLANS / "circuit-saloon.json").read_bytes())
    return path


def test_it_is_written_beside_the_plan(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], plan: Path
) -> None:
    """Without --out the sheet has the plan's name; nothing goes to the standard output."""
    assert run(monkeypatch, plan) == 0
    out, err = capsys.readouterr()
    sheet = plan.with_suffix(".html")
    assert (out, err) == ("", f"Wrote {sheet}.\n")
    assert sheet.read_text(encoding="utf-8").startswith("<!DOCTYPE html>\n<html lang=")


def test_nothing_is_overwritten_unasked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], plan: Path, tmp_path: Path
) -> None:
    """A file that is there is kept, until --overwrite."""
    sheet = tmp_path / "sheet.htm"
    sheet.write_text("mine", encoding="utf-8")
    assert run(monkeypatch, plan, "--out", sheet) == 2
    assert "is there already" in capsys.readouterr().err
    assert sheet.read_text(encoding="utf-8") == "mine"
    assert run(monkeypatch, plan, "--out", sheet, "--overwrite") == 0
    assert "Heron saloon" in sheet.read_text(encoding="utf-8")


def test_another_kind_of_file_is_refused(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], plan: Path, tmp_path: Path
) -> None:
    """HTML in a file called .pdf helps nobody: it says how to come to a PDF."""
    assert run(monkeypatch, plan, "--out", tmp_path / "sheet.pdf") == 2
    assert "open that in a browser and print it to a file" in capsys.readouterr().err
    assert not (tmp_path / "sheet.pdf").exists()


def test_the_plan_itself_is_never_overwritten(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], plan: Path
) -> None:
    """Not even where a plan was saved as .html and --overwrite is given."""
    odd = plan.rename(plan.with_suffix(".html"))
    before = odd.read_bytes()
    assert run(monkeypatch, odd, "--overwrite") == 2
    assert "choose another name" in capsys.readouterr().err
    assert odd.read_bytes() == before


def test_an_impossible_plan_has_its_sheet_and_its_status(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """It is written, says so, and the exit status is 1."""
    assert run(monkeypatch, PLANS / "over-the-limit.json", "--out", tmp_path / "sheet.html") == 1
    assert "cannot be made legal" in (tmp_path / "sheet.html").read_text(encoding="utf-8")


def test_a_plan_that_breaks_a_limit_has_its_sheet_and_its_status(
    monkeypatch: pytest.MonkeyPatch, plan: Path, tmp_path: Path
) -> None:
    """A finding that failed makes the exit status 1; the sheet names it."""
    raw = json.loads(plan.read_text(encoding="utf-8"))
    raw["findings"][0] |= {"measured": 1100.0, "margin": -5.0, "verdict": "fail"}
    plan.write_text(json.dumps(raw), encoding="utf-8")
    assert run(monkeypatch, plan, "--out", tmp_path / "sheet.html") == 1
    assert "NOT LEGAL. Broken: minimum weight." in (tmp_path / "sheet.html").read_text(encoding="utf-8")


def test_a_damaged_plan_cannot_be_used(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], plan: Path
) -> None:
    """It says what is wrong, writes nothing, and the exit status is 2."""
    plan.write_text(plan.read_text(encoding="utf-8")[:-40], encoding="utf-8")
    assert run(monkeypatch, plan) == 2
    assert "is not JSON" in capsys.readouterr().err
    assert not plan.with_suffix(".html").exists()
