"""CSV at the command line: read, said so, written, never over what is read."""

import json
from pathlib import Path

import pytest

from tests.cli.within import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
WEIGH_IN = EXAMPLE / "weigh-in.toml"


@pytest.fixture
def car(tmp_path: Path) -> Path:
    """The car of the example with its box of plates in a file of semicolons and decimal commas."""
    text = (EXAMPLE / "car.toml").read_text(encoding="utf-8")
    before, _, after = text.partition("[[plates]]")
    rest = after.partition("[targets]")
    (tmp_path / "plates.csv").write_text(
        "name;mass;count;thickness\n10 kg;10,04;3;32\n5 kg;5,02;4;16\n2 kg;2,01;4;8\n1 kg;1;6;5\n", encoding="utf-8"
    )
    path = tmp_path / "car.toml"
    path.write_text(f'{before}[plates]\nfile = "plates.csv"\n\n{rest[1]}{rest[2]}', encoding="utf-8")
    return path


def test_what_was_understood_is_told_beside_the_answer(
    car: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Semicolons and decimal commas are told on the standard error; the standard output is one JSON object."""
    assert run(monkeypatch, "weigh", car, WEIGH_IN, "--json") == 0
    out, err = capsys.readouterr()
    assert err == f"Read {car.parent / 'plates.csv'}: 4 plates; semicolons between columns, decimal commas.\n"
    assert json.loads(out)["measured"]["total"] == pytest.approx(3180.4 / 3)


def test_a_saved_plan_holds_the_plates_themselves(
    car: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is kept needs no spreadsheet any more; the plates of the plan are written for one."""
    saved, plates = tmp_path / "plan.json", tmp_path / "plan.csv"
    assert run(monkeypatch, "plan", car, WEIGH_IN, "--save", saved, "--csv", plates, "--decimal-comma") == 0
    assert f"Wrote {plates}." in capsys.readouterr().err
    kept = json.loads(saved.read_text(encoding="utf-8"))
    assert [plate["mass"] for plate in kept["question"]["car"]["plates"]] == [10.04, 5.02, 2.01, 1.0]
    head, *lines = plates.read_text(encoding="utf-8").splitlines()
    assert head.split(";")[:4] == ["mount", "driver", "plate", "count"]
    assert len(lines) >= len(kept["fit"])


def test_readings_are_written_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of one visit a line for each settling, of several a line for each visit; an existing file is left as it is."""
    path, visits = tmp_path / "readings.csv", tmp_path / "visits.csv"
    assert run(monkeypatch, "weigh", EXAMPLE / "car.toml", WEIGH_IN, "--csv", path) == 0
    assert path.read_text(encoding="utf-8").count("\n") == 1 + 3 + 1
    coupe = EXAMPLE.parent / "beam-axle-coupe"
    two = (coupe / "weigh-in-march.toml", coupe / "weigh-in.toml")
    assert run(monkeypatch, "weigh", coupe / "car.toml", *two, "--csv", visits) == 0
    assert visits.read_text(encoding="utf-8").count("\n") == 1 + 2
    capsys.readouterr()
    assert run(monkeypatch, "weigh", EXAMPLE / "car.toml", WEIGH_IN, "--csv", path) == 2
    assert "is there already" in capsys.readouterr().err


def test_what_cannot_be_meant_is_refused(
    car: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The spreadsheet that is read is not written over, even with --overwrite; commas without a file are told."""
    plates = car.parent / "plates.csv"
    before = plates.read_bytes()
    assert run(monkeypatch, "plan", car, WEIGH_IN, "--csv", plates, "--overwrite") == 2
    assert "is one of the files this is planned from" in capsys.readouterr().err
    assert plates.read_bytes() == before
    assert run(monkeypatch, "weigh", car, WEIGH_IN, "--decimal-comma") == 2
    assert "says how --csv FILE is written" in capsys.readouterr().err
