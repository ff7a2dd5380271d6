"""`ballast weigh` with the weigh-ins of several visits."""

import json
from pathlib import Path

import pytest

from tests.cli.within import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
CAR, NEWEST = EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml"
OLDER = (EXAMPLE / "weigh-in-march.toml", EXAMPLE / "weigh-in-february.toml")


def test_the_sheet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Three files in any order: sorted by their days, nothing on the standard error."""
    assert run(monkeypatch, "weigh", CAR, NEWEST, *OLDER) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.startswith("Kestrel coupe, number 41: 3 visits, 2026-02-14 to 2026-04-11\n")
    assert "Only the diagonal changed" in out


def test_json_and_nothing_else(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """One object in the car file's units: percent and kg."""
    assert run(monkeypatch, "weigh", CAR, *OLDER, NEWEST, "--json") == 0
    out, err = capsys.readouterr()
    assert err == ""
    told = json.loads(out)
    assert [step["since"] for step in told["steps"]] == ["2026-02-14", "2026-03-14"]
    diagonal = next(change for change in told["steps"][0]["figures"] if change["figure"] == "RF+LR")
    assert diagonal["told"] == "changed"
    assert 49 < diagonal["now"] < 50
    assert told["repeat"]["degrees_of_freedom"] == 6


def test_one_file_is_what_it_was(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """With one weigh-in there is no history, only the sheet of that visit."""
    assert run(monkeypatch, "weigh", CAR, NEWEST) == 0
    out, _ = capsys.readouterr()
    assert "CORNER LOADS" in out
    assert "visits" not in out.splitlines()[0]


def test_the_rules_are_those_of_the_newest_visit(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1074 kg at the newest visit against a minimum of 1105 kg: status 1, with the findings."""
    assert run(monkeypatch, "weigh", CAR, NEWEST, *OLDER, "--rules", EXAMPLE / "rulebook.toml") == 1
    out, _ = capsys.readouterr()
    assert "NOT WITHIN THE RULES as at the newest visit" in out
    assert "car as at the newest visit\n" in out


def test_a_file_named_twice(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Status 2, and nothing on the standard output."""
    assert run(monkeypatch, "weigh", CAR, NEWEST, NEWEST) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{NEWEST}: is named twice" in err
