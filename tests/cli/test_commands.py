"""What holds for every command: help with a line that works, JSON where it computes, words for any terminal."""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
import typer

from ballast.cli import app, main

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
COMMANDS: dict[str, click.Command] = typer.main.get_command(app).commands  # type: ignore[attr-defined]
NO_ANSWER = {"new", "sheet"}
"""Commands that write files and compute nothing."""

Run = subprocess.CompletedProcess[str]


def ballast(*arguments: object, **environment: str) -> Run:
    """Run the command in a process of its own, with the encoding that the environment asks for."""
    encoding = environment.get("PYTHONIOENCODING", "utf-8")
    return subprocess.run(
        [sys.executable, "-m", "ballast", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding=encoding,
        env=os.environ | environment,
        check=False,
    )


def said(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *arguments: object) -> tuple[int, str]:
    """Exit status and standard output of a command run within this process."""
    monkeypatch.setattr(sys, "argv", ["ballast", *map(str, arguments)])
    capsys.readouterr()
    try:
        main()
    except SystemExit as end:
        return int(end.code or 0), capsys.readouterr().out
    return 0, capsys.readouterr().out


def example_of(command: str) -> str:
    """The worked line in the help of a command."""
    lines = re.findall(r"^ *Example: ballast (.*)$", COMMANDS[command].help or "", re.MULTILINE)
    assert len(lines) == 1, f"the docstring of {command} needs one line: Example: ballast {command} ..."
    return str(lines[0])


# --- help ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_a_worked_line_that_is_not_broken(
    command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On 80 columns the line can be copied as it stands."""
    status, help_text = said(capsys, monkeypatch, command, "--help")
    assert status == 0
    assert f"Example: ballast {example_of(command)}\n" in help_text
    assert max(map(len, help_text.splitlines())) <= 80


@pytest.fixture(scope="module")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a file of every name that the worked lines use, from the shipped examples."""
    folder = tmp_path_factory.mktemp("garage")
    shutil.copytree(EXAMPLES / "beam-axle-coupe", folder, dirs_exist_ok=True)
    shutil.copytree(EXAMPLES / "circuit-saloon", folder / "saloon")
    shutil.copytree(EXAMPLES / "endurance-four", folder / "four")
    return folder


IN_FOLDER = {"height": "saloon", "predict": "four"}
"""Examples whose folder has the file that the worked line names."""


@pytest.mark.parametrize("command", COMMANDS)
def test_every_worked_line_works(
    command: str, garage: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Typed beside files of those names, the worked line of each command ends in 0, or in 1 where that is an answer."""
    monkeypatch.chdir(garage / IN_FOLDER.get(command, "."))
    if command in {"compare", "sheet"} and not Path("plan.json").exists():
        assert said(capsys, monkeypatch, "plan", "car.toml", "weigh-in.toml", "--save", "plan.json")[0] == 0
    status, _ = said(capsys, monkeypatch, *example_of(command).split())
    assert status in ({0, 1} if command in {"weigh", "predict", "compare"} else {0})


def test_alone_it_names_every_command_in_the_order_of_the_work() -> None:
    """`ballast` alone says what to do first, and none of the commands is left out."""
    run = ballast()
    assert run.returncode == 0
    assert max(map(len, run.stdout.splitlines())) <= 80
    listed = re.findall(r"^  ([a-z]+)  +\S", run.stdout, re.MULTILINE)
    assert set(listed) == set(COMMANDS)
    order = ["new", "weigh", "plan", "compare", "wind"]
    assert [name for name in listed if name in order] == order


def test_what_it_says_to_do_first_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The three lines under "Begin like this", typed one after the other in an empty folder."""
    monkeypatch.chdir(tmp_path)
    _, text = said(capsys, monkeypatch)
    lines = re.findall(r"^  ballast (.*)$", text, re.MULTILINE)
    assert [line.split()[0] for line in lines] == ["new", "weigh", "plan"]
    for line in lines:
        assert said(capsys, monkeypatch, *line.split())[0] == 0


def test_the_version(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """`ballast --version` says the version in pyproject.toml."""
    (version,) = re.findall(r'^version = "(.+)"$', (ROOT / "pyproject.toml").read_text(encoding="utf-8"), re.MULTILINE)
    assert said(capsys, monkeypatch, "--version") == (0, f"ballast {version}\n")


# --- JSON ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", sorted(set(COMMANDS) - NO_ANSWER))
def test_every_command_that_computes_has_json(command: str) -> None:
    """--json is an option of each."""
    assert "--json" in {name for option in COMMANDS[command].params for name in option.opts}


COUPE = EXAMPLES / "beam-axle-coupe"
OF_COUPE = (COUPE / "car.toml", COUPE / "weigh-in.toml")
SALOON = EXAMPLES / "circuit-saloon"
ANSWERED = {
    "weigh": ("weigh", *OF_COUPE),
    "weigh, several visits": ("weigh", COUPE / "car.toml", COUPE / "weigh-in-march.toml", COUPE / "weigh-in.toml"),
    "wind": ("wind", *OF_COUPE),
    "trial": ("trial", *OF_COUPE, COUPE / "trials.toml"),
    "height": ("height", SALOON / "car.toml", SALOON / "lifts.toml"),
    "height, both axles": ("height", SALOON / "car.toml", SALOON / "lifts.toml", SALOON / "lifts-front.toml"),
    "predict": ("predict", *(EXAMPLES / "endurance-four" / f"{name}.toml" for name in ("car", "weigh-in", "changes"))),
    "rules": ("rules",),
    "rules, one": ("rules", "kart-endurance"),
}


@pytest.mark.parametrize("name", ANSWERED)
def test_json_is_one_object_and_nothing_else(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each form of each command prints one JSON object; `plan` and `compare` have tests of their own."""
    status, out = said(capsys, monkeypatch, *ANSWERED[name], "--json")
    assert status == 0
    assert isinstance(json.loads(out), dict)


def test_json_survives_a_code_page_of_windows(tmp_path: Path) -> None:
    """Sent into a file on a console of code page 1252, the JSON of a car named in any letters reads back whole."""
    car = tmp_path / "car.toml"
    car.write_text((COUPE / "car.toml").read_text().replace("Kestrel coupe", "Kestrel Łódź ☃"), encoding="utf-8")
    run = ballast("weigh", car, OF_COUPE[1], "--json", PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert run.returncode == 0
    assert json.loads(run.stdout)["car"] == "Kestrel Łódź ☃, number 41"


# --- terminals -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("ascii", "Mobel Strasse - Lodz ?"),
        ("cp1252", "Möbel Straße – Lódz ?"),
        ("cp850", "Möbel Straße - Lódz ?"),
    ],
)
def test_every_code_page_gets_its_words(encoding: str, shown: str, tmp_path: Path) -> None:
    """No UnicodeEncodeError: a letter without a code is written as the nearest one."""
    car = tmp_path / "car.toml"
    named = (COUPE / "car.toml").read_text().replace("Kestrel coupe", "Möbel Straße – Łódź ☃")
    car.write_text(named, encoding="utf-8")
    run = ballast("weigh", car, OF_COUPE[1], PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert run.returncode == 0
    assert run.stdout.startswith(f"{shown}, number 41: weighed")


def test_complaints_get_their_words_on_a_code_page_too(tmp_path: Path) -> None:
    """What is wrong with a name is said with the letters there are."""
    car = tmp_path / "car.toml"
    text = (COUPE / "car.toml").read_text().replace('axle = "beam"', 'axle = "bäm ☃"')
    car.write_text(text, encoding="utf-8")
    run = ballast("weigh", car, OF_COUPE[1], PYTHONIOENCODING="cp850", PYTHONUTF8="0")
    assert run.returncode == 2
    assert 'axle = "bäm ?": must be "independent" or "beam"' in run.stderr


def on_a_terminal(wide: int, *arguments: object, **environment: str) -> str:
    """What a command writes on a pseudo terminal of so many columns."""
    import fcntl
    import pty
    import struct
    import termios

    mine, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, wide, 0, 0))
    plain = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "COLUMNS"}}
    command = [sys.executable, "-m", "ballast", *map(str, arguments)]
    with subprocess.Popen(command, stdout=theirs, stderr=theirs, env=plain | environment) as run:
        os.close(theirs)
        found = b""
        while True:
            try:
                part = os.read(mine, 65536)
            except OSError:  # the other end is closed
                part = b""
            if not part:
                break
            found += part
        run.wait()
    os.close(mine)
    return found.decode().replace("\r\n", "\n")


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals")
@pytest.mark.parametrize("wide", [120, 80, 50])
def test_an_answer_is_as_wide_as_the_terminal_and_80_at_the_most(wide: int) -> None:
    """On a real terminal no line is longer than it, or than 80 columns; on 80 it is what a pipe gets."""
    shown = on_a_terminal(wide, "weigh", *OF_COUPE)
    assert max(map(len, shown.splitlines())) <= min(wide, 80)
    if wide == 80:
        assert shown == ballast("weigh", *OF_COUPE).stdout


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals")
@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"FORCE_COLOR": "1", "TERM": "xterm-256color"}])
def test_there_are_no_colours_to_turn_off(environment: dict[str, str]) -> None:
    """On a terminal, with NO_COLOR or with colours forced: no escape sequence in help, answer or complaint."""
    for arguments in (("--help",), ("weigh", *OF_COUPE), ("weigh", "nowhere.toml")):
        shown = on_a_terminal(80, *arguments, **environment)
        assert shown and "\x1b" not in shown


def test_nothing_in_a_name_is_obeyed_by_the_terminal(tmp_path: Path) -> None:
    """A car file from somebody else cannot send a terminal its commands, by a name in an answer or in a complaint."""
    car = tmp_path / "car.toml"
    car.write_text((COUPE / "car.toml").read_text().replace("Kestrel", "Kes\x9b2Jtrel\u202e"), encoding="utf-8")
    visit = tmp_path / "weigh-in.toml"
    note = OF_COUPE[1].read_text().replace('note = "', 'note = "\\u001b[31m')
    assert "u001b" in note
    visit.write_text(note, encoding="utf-8")
    run = ballast("weigh", car, visit)
    assert run.returncode == 0
    car.write_text(car.read_text(encoding="utf-8").replace('name = "left footwell"', 'name = "l\x9bf"\nnme = 1'))
    refused = ballast("weigh", car, visit)
    assert refused.returncode == 2
    for text in (run.stdout, refused.stderr):
        assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", text)
