"""`ballast trial` at the command line."""

import json
import re
from pathlib import Path

import pytest

from tests.cli.within import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "beam-axle-coupe"
CAR, WEIGH_IN, TRIALS = (EXAMPLE / f"{name}.toml" for name in ("car", "weigh-in", "trials"))


def test_the_sheet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The example tells: the share of its springs, within the interval, and what to write down."""
    assert run(monkeypatch, "trial", CAR, WEIGH_IN, TRIALS) == 0
    out, err = capsys.readouterr()
    assert err == ""
    said = " ".join(out.split())
    assert "The springs of the car file say 61.3 %, which is within the interval." in said
    assert "front_roll_share = " in said and 'measured_with_bars = "disconnected"' in said


def test_json_and_nothing_else(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """One object, in percent, kg and mm."""
    assert run(monkeypatch, "trial", CAR, WEIGH_IN, TRIALS, "--json") == 0
    out, err = capsys.readouterr()
    told = json.loads(out)
    assert err == "" and told["tells"] is True
    assert told["share"]["front_roll_share"] == pytest.approx(61.3, abs=2 * told["share"]["uncertain"])


def test_a_trial_that_cannot_tell(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A tenth of the weight, not weighed yet: status 1, a sheet that says so, nothing on the standard error."""
    text = TRIALS.read_text(encoding="utf-8").partition("[[turns]]")[0].replace("mass = 40", "mass = 4")
    path = tmp_path / "light.toml"
    path.write_text(re.sub(r"\[\[weights\.readings\]\]\n(?:.+\n){4}", "", text), encoding="utf-8")
    assert run(monkeypatch, "trial", CAR, WEIGH_IN, path) == 1
    out, err = capsys.readouterr()
    assert err == "" and "NOT WORTH DOING as it is" in out


def test_a_mass_in_another_unit(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """88.2 lb written as kg: status 2, the file, the place, the remedy, and nothing on the standard output."""
    path = tmp_path / "slip.toml"
    path.write_text(TRIALS.read_text(encoding="utf-8").replace("mass = 40", "mass = 88.2"), encoding="utf-8")
    assert run(monkeypatch, "trial", CAR, WEIGH_IN, path) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{path}: [[weights]] 1 'left sill': the car weighs" in err and "as lb and kg are" in err and "Fix: " in err


def test_the_complaints_of_all_three_files_come_together(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Three empty files are refused at once."""
    for name in ("car.toml", "weigh-in.toml", "trials.toml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    names = [tmp_path / name for name in ("car.toml", "weigh-in.toml", "trials.toml")]
    assert run(monkeypatch, "trial", *names) == 2
    assert re.findall(r"(\S+): is empty", capsys.readouterr().err) == [str(name) for name in names]
