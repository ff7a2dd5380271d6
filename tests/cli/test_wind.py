"""`ballast wind` at the command line."""

import json
from pathlib import Path

import pytest

from tests.cli.within import run
from tests.jobs.test_wind import DIAGONAL, SPRINGS, question

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
FILES = EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml"


def test_the_sheet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Cautions, then turns; nothing on the standard error."""
    assert run(monkeypatch, "wind", *FILES) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.index("Never under a car on a jack") < out.index("WHAT TO TURN")


def test_json_and_how_closely_height_is_held(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One object in the car file's millimetres; --within is in them too, and the recommended plan keeps it."""
    assert run(monkeypatch, "wind", *FILES, "--within", "0.2", "--json") == 0
    out, err = capsys.readouterr()
    assert err == ""
    told = json.loads(out)
    assert told["height_within"] == pytest.approx(0.2)
    first = told["winding"]["plans"][0]
    assert first["kind"] == "ride height held"
    assert max(map(abs, first["ride_height"].values())) <= 0.2


def test_not_within_reach(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Whole turns and a narrow band: status 1, and the sheet all the same."""
    question(
        tmp_path,
        suspension="platforms = { step = 1 }",
        targets=DIAGONAL.replace("0.4", "0.1"),
        loads="LF = 251.6\nRF = 248.4\nLR = 248.4\nRR = 251.6",
    )
    assert run(monkeypatch, "wind", tmp_path / "car.toml", tmp_path / "weigh-in.toml") == 1
    out, _ = capsys.readouterr()
    assert "As near as it comes" in out


@pytest.mark.parametrize("within", ["0", "50"])
def test_within_that_holds_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], within: str
) -> None:
    """Nothing, and 50 mm, are no closeness to hold a height to: status 2 and the remedy."""
    assert run(monkeypatch, "wind", *FILES, "--within", within) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "--within" in err
    assert "0.05 mm to 10 mm" in err


def test_nothing_known_of_the_platforms(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Springs without the pitch of the thread: status 2, the file, the key, the remedy, nothing on the output."""
    question(tmp_path, SPRINGS, SPRINGS)
    assert run(monkeypatch, "wind", tmp_path / "car.toml", tmp_path / "weigh-in.toml") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{tmp_path / 'car.toml'}: [suspension] lift_per_turn" in err
    assert "Fix: " in err
