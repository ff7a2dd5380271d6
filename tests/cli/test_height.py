"""`ballast height` at the command line."""

import json
from pathlib import Path

import pytest

from ballast.records import files
from tests.cli.within import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
CAR, LIFTS, FRONT = EXAMPLE / "car.toml", EXAMPLE / "lifts.toml", EXAMPLE / "lifts-front.toml"
STARTER = Path(files.__file__).parents[1] / "starter"


def test_the_sheet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The example was invented for 455 mm: the sheet says so within its interval, and warns first."""
    assert run(monkeypatch, "height", CAR, LIFTS) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.index("Chock") < out.index("THE LIFTS")
    assert "The car file says 455 mm now, which is within the interval." in " ".join(out.split())


def test_json_and_nothing_else(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """One object, in the car file's millimetres."""
    assert run(monkeypatch, "height", CAR, LIFTS, "--json") == 0
    out, err = capsys.readouterr()
    assert err == ""
    told = json.loads(out)
    assert told["units"]["length"] == "mm"
    assert told["centre_of_gravity_height"] == pytest.approx(455, abs=2 * told["uncertain"])


def test_an_impossible_reading(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """594 kg written as 954: status 2, the file, the place, the remedy, and nothing on the standard output."""
    path = tmp_path / "slip.toml"
    path.write_text(LIFTS.read_text(encoding="utf-8").replace("594.0", "954.0"), encoding="utf-8")
    assert run(monkeypatch, "height", CAR, path) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{path}: [level] and [[raised]]: put the centre of gravity" in err
    assert "Fix: " in err


def test_the_files_the_wrong_way_round(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Both are named for what they are, with the right order."""
    assert run(monkeypatch, "height", LIFTS, CAR) == 2
    _, err = capsys.readouterr()
    assert "lifts.toml: is a file of lifts, where a car file is wanted" in err
    assert "car.toml: is a car file, where a file of lifts is wanted" in err
    assert "name the car file first, then the lifts." in err


def test_both_axles(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """With a second file the two are compared and combined, in words and as JSON."""
    assert run(monkeypatch, "height", CAR, LIFTS, FRONT) == 0
    assert "BOTH AXLES" in capsys.readouterr().out
    assert run(monkeypatch, "height", CAR, LIFTS, FRONT, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["agree"] is True
    assert told["centre_of_gravity_height"] == pytest.approx(455, abs=2 * told["uncertain"])


def test_one_axle_twice(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The same file twice: status 2, and what to do."""
    assert run(monkeypatch, "height", CAR, LIFTS, LIFTS) == 2
    out, err = capsys.readouterr()
    assert out == "" and "put all [[raised]] tables of one axle into one file" in err


def test_the_starter_lifts_run_as_they_are(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Invented for the 460 mm that the starter's car file mentions in a remark."""
    assert run(monkeypatch, "height", STARTER / "car.toml", STARTER / "lifts.toml", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["centre_of_gravity_height"] == pytest.approx(460, abs=told["uncertain"])
    assert told["not_checked"] == []
