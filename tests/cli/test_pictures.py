"""The pictures of `ballast plan`: which there are, their kinds, and what is refused.

Inside this process, since starting one costs more than the pictures; `tests/cli/test_cli.py` starts the real command.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from ballast.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
QUICK = ["--seconds", "3", "--order", "balance"]
STARTS = {".svg": b"<?xml", ".pdf": b"%PDF-", ".png": b"\x89PNG"}

Planned = Callable[..., tuple[int, str]]


@pytest.fixture
def planned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Planned:
    """Run `ballast plan` in an empty folder on one of the examples: its exit status and what it tells."""

    def run(car: str, *options: str) -> tuple[int, str]:
        files = [str(EXAMPLES / car / name) for name in ("car.toml", "weigh-in.toml")]
        monkeypatch.chdir(tmp_path)
        monkeypatch.setattr("sys.argv", ["ballast", "plan", *files, *options])
        with pytest.raises(SystemExit) as ended:
            main()
        return int(ended.value.code or 0), capsys.readouterr().err

    return run


def test_every_picture_in_one_run(planned: Planned, tmp_path: Path) -> None:
    """Four pictures, of three kinds, each told of on the standard error and written as what its name says."""
    wanted = {"--picture": "above.pdf", "--side": "side.svg", "--bands": "bands.png", "--fuel": "fuel.pdf"}
    status, told = planned("endurance-four", *QUICK, *(word for pair in wanted.items() for word in pair))
    assert status == 0, told
    for name in wanted.values():
        path = tmp_path / name
        assert f"Wrote {name}." in told
        assert path.read_bytes().startswith(STARTS[path.suffix])


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--side", "s.svg"], "centre_of_gravity_height"),
        (["--fuel", "f.svg"], "[[tanks]]"),
        (["--bands", "b.gif"], "end the name in .svg, .pdf or .png."),
        (["--bands", "b.svg", "--side", "b.svg"], "b.svg"),
    ],
)
def test_what_cannot_be_drawn_is_refused_before_any_work(
    options: list[str], said: str, planned: Planned, tmp_path: Path
) -> None:
    """The oval car has no height and no tank; nothing is written, and the exit status is 2."""
    status, told = planned("short-oval", *options)
    assert status == 2
    assert said in told
    assert "Fix:" in told
    assert not list(tmp_path.iterdir())


def test_fuel_without_a_plan_is_told(planned: Planned, tmp_path: Path) -> None:
    """Where no plan was found in the time there is nothing to draw, no file is written and a line says so."""
    status, told = planned("endurance-four", "--seconds", "0.01", "--fuel", "fuel.svg", "--bands", "bands.svg")
    assert status == 1
    assert "Did not write fuel.svg: there is no plan to draw." in told
    assert "Wrote bands.svg." in told
    assert [path.name for path in tmp_path.iterdir()] == ["bands.svg"]
