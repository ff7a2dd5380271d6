"""`ballast compare` at the command line, with the coupe's plan as `ballast plan --save` keeps it."""

import json
from pathlib import Path

import pytest

from tests.cli.within import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
CAR, WEIGH_IN, AGAIN = EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "re-weigh.toml"


@pytest.fixture
def saved() -> Path:
    """The plan of the example, saved: of equal plans the one that its re-weigh was invented for."""
    return EXAMPLE / "plan.json"


def test_the_example(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], saved: Path) -> None:
    """Its readings were invented with the passenger floor's 5.02 kg plate and 0.8 kg of bolts left out: so it says."""
    assert run(monkeypatch, "compare", saved, AGAIN) == 1
    out, err = capsys.readouterr()
    assert err == ""
    said = " ".join(out.split())
    assert "NOT AS PLANNED: total 5.9 kg low" in said
    assert "One 5 kg steel less than planned at 'passenger floor' explains it" in said
    assert max(map(len, out.splitlines())) <= 80


def test_json_and_nothing_else(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], saved: Path
) -> None:
    """One object, in the car file's units; the total is short of 5.82 kg, within its interval."""
    assert run(monkeypatch, "compare", saved, AGAIN, "--json") == 1
    out, err = capsys.readouterr()
    assert err == ""
    told = json.loads(out)
    total = next(figure for figure in told["figures"] if figure["figure"] == "total")
    assert total["difference"] == pytest.approx(-5.82, abs=total["within"])
    assert told["units"]["length"] == "mm"
    assert told["causes"][0]["kind"] == "plate less"


def test_a_car_that_stands_as_planned(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], saved: Path, tmp_path: Path
) -> None:
    """With the loads the plan itself foresees as readings: status 0, and nothing to look for."""
    loads = json.loads(saved.read_text(encoding="utf-8"))["cases"][0]["corner_loads"]
    text = AGAIN.read_text(encoding="utf-8").split("[[readings]]", maxsplit=1)[0]
    rows = "".join(f"{corner} = {load:.1f}\n" for corner, load in loads.items())
    path = tmp_path / "again.toml"
    path.write_text(f"{text}[[readings]]\n{rows}", encoding="utf-8")
    assert run(monkeypatch, "compare", saved, path) == 0
    out, _ = capsys.readouterr()
    assert out.splitlines()[1] == "  The car stands as planned, as far as the pads can tell."
    assert "LIKELY CAUSES" not in out
    assert "One settling says nothing of how well it repeats" in out


def test_the_files_the_wrong_way_round(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], saved: Path
) -> None:
    """Status 2, both named for what they are, and the right order."""
    assert run(monkeypatch, "compare", AGAIN, saved) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{AGAIN}: is not JSON" in err
    assert f"{saved}: is JSON, where a weigh-in file is wanted" in err
    assert "Fix: name the saved plan first, then the weigh-in made after it (TOML)." in err


def test_the_first_weigh_in_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], saved: Path
) -> None:
    """The weigh-in the plan was made from tells nothing of the plan: status 2, with the file's name."""
    assert run(monkeypatch, "compare", saved, WEIGH_IN) == 2
    _, err = capsys.readouterr()
    assert f"{WEIGH_IN}: is the weigh-in that the plan was made from" in err


def test_a_json_file_that_is_no_plan(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Something else in JSON is told from a plan."""
    path = tmp_path / "other.json"
    path.write_text("{}", encoding="utf-8")
    assert run(monkeypatch, "compare", path, AGAIN) == 2
    _, err = capsys.readouterr()
    assert f"{path}: holds no plan" in err


def test_help_has_a_worked_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The help of the command holds an example of itself, and its exit statuses."""
    assert run(monkeypatch, "compare", "--help") == 0
    out, _ = capsys.readouterr()
    assert "Example: ballast compare plan.json re-weigh.toml" in out
    assert "Exit status" in out
