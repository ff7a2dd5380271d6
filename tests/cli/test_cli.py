"""The command line as a user meets it: exit status, what goes to which stream, what is never overwritten."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
FILES = [str(EXAMPLE / "car.toml"), str(EXAMPLE / "weigh-in.toml")]
RULES = ["--rules", str(EXAMPLE / "rulebook.toml")]

Run = subprocess.CompletedProcess[str]


def ballast(*arguments: object, cwd: Path | None = None, **environment: str) -> Run:
    """Run the command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "ballast", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        env=os.environ | environment,
        check=False,
    )


def test_alone_says_what_to_do_first() -> None:
    """`ballast` alone names the three commands in the order of the work."""
    run = ballast()
    assert run.returncode == 0
    assert run.stdout.index("ballast new") < run.stdout.index("ballast weigh") < run.stdout.index("ballast plan")


@pytest.mark.parametrize("command", ["new", "weigh", "plan"])
def test_every_command_has_help_with_a_worked_line(command: str) -> None:
    """The help of a command holds an example of itself."""
    run = ballast(command, "--help")
    assert run.returncode == 0
    assert f"Example: ballast {command}" in run.stdout


@pytest.mark.parametrize("arguments", [["--help"], ["plan", "--help"], ["weigh", "--help"], []])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """Help needs neither numpy nor PuLP, HiGHS or matplotlib."""
    code = (
        "import sys\nfrom ballast.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'pulp', 'highspy', 'matplotlib'} & set(sys.modules)\n"
        "print('HEAVY', sorted(heavy))\n"
    )
    run = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "HEAVY []"


def test_a_plan_without_a_picture_loads_no_matplotlib() -> None:
    """matplotlib costs more than the whole plan, and is left alone until a picture is asked for."""
    code = "import sys\nfrom ballast.cli import main\ntry:\n    main()\nexcept SystemExit:\n    pass\n"
    code += "print('matplotlib' in sys.modules)\n"
    run = subprocess.run([sys.executable, "-c", code, "plan", *FILES], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "False"


def test_weigh_prints_text_or_one_json_object() -> None:
    """`weigh` shows the percentages; `--json` prints nothing but JSON, with the case record under `measured`."""
    text, data = ballast("weigh", *FILES), ballast("weigh", *FILES, "--json")
    assert text.returncode == data.returncode == 0
    assert "RF+LR" in text.stdout
    assert data.stderr == ""
    measured = json.loads(data.stdout)["measured"]
    # By hand, from the three settlings of the example: mean total 3180.4 / 3, front axle 1730.2 / 3.
    assert measured["total"] == pytest.approx(3180.4 / 3)
    assert measured["front_percent"] == pytest.approx(100 * 1730.2 / 3180.4)
    assert set(measured["corner_loads"]) == {"LF", "RF", "LR", "RR"}


def test_the_json_of_a_plan_holds_what_was_promised() -> None:
    """`plan --json` prints one object with the promised keys, in the user's units."""
    run = ballast("plan", *FILES, *RULES, "--json")
    assert (run.returncode, run.stderr) == (0, "")
    plan = json.loads(run.stdout)
    assert plan["units"] == {"mass": "kg", "length": "mm"}
    assert plan["outcome"] == "proved best"
    promised = {
        *("units", "outcome", "wishes", "balance_miss_points", "bound_points", "required_total", "ballast_total"),
        *("fit", "changes", "cases", "findings"),
    }
    assert promised <= set(plan)
    assert {"name", "value", "bound", "outcome"} <= set(plan["wishes"][0])
    assert set(plan["fit"][0]) == {"mount", "plate", "count"}
    assert set(plan["changes"][0]) == {"mount", "plate", "from", "to"}
    case = plan["cases"][0]
    assert set(case["diagonal_percent"]) == {"RF+LR", "LF+RR"}
    assert set(case["centre_of_gravity"]) == {"behind_front_axle", "left_of_centre", "above_ground"}
    assert plan["required_total"] == pytest.approx(1105 + 3)
    assert case["total"] >= plan["required_total"]
    masses = {"10 kg": 10.04, "5 kg": 5.02, "2 kg": 2.01, "1 kg": 1.00}
    assert plan["ballast_total"] == pytest.approx(sum(masses[row["plate"]] * row["count"] for row in plan["fit"]))


def test_an_illegal_car_that_cannot_be_mended_exits_with_1(tmp_path: Path) -> None:
    """A minimum no box of plates can reach is an answer, not an error: exit status 1, and the shortfall in words."""
    rules = tmp_path / "rules.toml"
    rules.write_text((EXAMPLE / "rulebook.toml").read_text().replace("mass = 1105", "mass = 1150"))
    run = ballast("plan", *FILES, "--rules", rules)
    assert run.returncode == 1
    assert "No legal plan exists." in run.stdout
    assert "too little" in run.stdout
    assert "stock" in run.stdout


def test_input_that_cannot_be_used_exits_with_2(tmp_path: Path) -> None:
    """Complaints go to stderr, all of them, and stdout stays empty."""
    car = tmp_path / "car.toml"
    car.write_text((EXAMPLE / "car.toml").read_text().replace("wheelbase", "weelbase").replace("1465", "-1465"))
    run = ballast("plan", car, FILES[1])
    assert run.returncode == 2
    assert run.stdout == ""
    assert "did you mean 'wheelbase'?" in run.stderr
    assert "track_front" in run.stderr
    assert "Traceback" not in run.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["weigh", "nowhere.toml", FILES[1]],
        ["weigh", ".", FILES[1]],
        ["plan", *FILES, "--rules", "kart-endurence"],
        ["plan", *FILES, "--picture", "plan.jpeg"],
        ["plan", *FILES, "--seconds", "0"],
        ["plan", *FILES, "--most-changes", "-1"],
        ["plan", *FILES, "--save", "no/such/folder/plan.json"],
        ["plan", FILES[0]],
        ["paln", *FILES],
        ["weigh", FILES[1], FILES[0]],
    ],
)
def test_wrong_calls_exit_with_2_and_no_traceback(arguments: list[str], tmp_path: Path) -> None:
    """Whatever is wrong with the call, the exit status is 2 and there is no traceback."""
    run = ballast(*arguments, cwd=tmp_path)
    assert run.returncode == 2, run.stderr
    assert run.stdout == ""
    assert run.stderr
    assert "Traceback" not in run.stderr


def test_a_misspelt_rulebook_gets_the_nearest_name() -> None:
    """The complaint about an unknown rulebook offers a packaged one."""
    assert "did you mean 'kart-endurance'?" in ballast("plan", *FILES, "--rules", "kart-endurence").stderr


KART = """
[units]
mass = "kg"
length = "mm"

[car]
name = "Rented kart"
wheelbase = 1050
track_front = 1080
track_rear = 1120

[[mounts]]
name = "seat back"
behind_front_axle = 800
left_of_centre = 0
capacity = 12

[[plates]]
name = "4 kg"
mass = 4.0
count = 3
"""
KART_WEIGHED = """
[units]
mass = "kg"
length = "mm"

[weigh_in]
date = 2026-04-04
driver = "in"

[[readings]]
LF = 36.0
RF = 35.5
LR = 48.5
RR = 48.0
"""


def test_a_packaged_rulebook_is_found_by_name(tmp_path: Path) -> None:
    """A packaged rulebook is used by name and says it is a template. 168 kg need two plates of 4 kg for 175."""
    (tmp_path / "car.toml").write_text(KART)
    (tmp_path / "weigh-in.toml").write_text(KART_WEIGHED)
    run = ballast("plan", "car.toml", "weigh-in.toml", "--rules", "kart-endurance", cwd=tmp_path)
    assert run.returncode == 0
    assert "These rules are a template" in run.stdout
    assert "fit  seat back  2 x 4 kg" in run.stdout


def test_outputs_are_written_whole_and_never_replaced_unasked(tmp_path: Path) -> None:
    """--save, --picture and --write-lp write their file; a second run refuses until told otherwise."""
    for option, name, start in [
        ("--save", "plan.json", b"{"),
        ("--picture", "plan.svg", b"<?xml"),
        ("--picture", "plan.png", b"\x89PNG"),
        ("--write-lp", "plan.lp", b"\\*"),
    ]:
        path = tmp_path / name
        assert ballast("plan", *FILES, *RULES, option, path).returncode == 0
        assert path.read_bytes().startswith(start)
        path.write_text("mine")
        refused = ballast("plan", *FILES, *RULES, option, path)
        assert refused.returncode == 2
        assert "is there already" in refused.stderr
        assert path.read_text() == "mine"
        assert ballast("plan", *FILES, *RULES, option, path, "--overwrite").returncode == 0
        assert path.read_bytes().startswith(start)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plan.json", "plan.lp", "plan.png", "plan.svg"]


def test_what_is_saved_is_what_json_prints(tmp_path: Path) -> None:
    """--save and --json are one format; only the seconds spent differ."""
    path = tmp_path / "plan.json"
    printed = json.loads(ballast("plan", *FILES, *RULES, "--json", "--save", path).stdout)
    assert json.loads(path.read_text()) == printed
    assert printed["question"]["car"]["car"]["wheelbase"] == 2480


def test_write_lp_writes_the_programme_and_stops(tmp_path: Path) -> None:
    """--write-lp prints no plan; the file holds the limits by name."""
    path = tmp_path / "plan.lp"
    run = ballast("plan", *FILES, *RULES, "--write-lp", path)
    assert run.stdout == ""
    text = path.read_text()
    for row in ("stock_000", "capacity_000", "required_total_00", "greatest_total_00", "Generals"):
        assert row in text


def test_new_writes_starter_files_that_run_as_they_are(tmp_path: Path) -> None:
    """The starter files plan at once, with their own rulebook; a second `new` in the same folder refuses."""
    folder = tmp_path / "my car"
    assert ballast("new", folder).returncode == 0
    files = [folder / "car.toml", folder / "weigh-in.toml"]
    assert ballast("weigh", *files).returncode == 0
    assert ballast("plan", *files, "--rules", folder / "rulebook.toml").returncode == 0
    files[0].write_text("mine")
    again = ballast("new", folder)
    assert again.returncode == 2
    assert files[0].read_text() == "mine"
    assert ballast("new", folder, "--overwrite").returncode == 0
    assert files[0].read_text() != "mine"


def test_new_refuses_a_file_in_the_way(tmp_path: Path) -> None:
    """A file where the folder should be is a complaint."""
    (tmp_path / "taken").write_text("")
    run = ballast("new", tmp_path / "taken")
    assert run.returncode == 2
    assert "Traceback" not in run.stderr


def test_a_terminal_that_knows_ascii_only_still_gets_its_text(tmp_path: Path) -> None:
    """A name the terminal cannot show costs a question mark, not the answer."""
    car = tmp_path / "car.toml"
    car.write_text((EXAMPLE / "car.toml").read_text().replace("Heron saloon", "Hëron ☃"), encoding="utf-8")
    run = ballast("weigh", car, FILES[1], PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert run.returncode == 0
    assert "H?ron" in run.stdout


def test_a_reader_that_leaves_early_is_no_error() -> None:
    """`ballast plan ... | head -1` ends quietly."""
    command = f"'{sys.executable}' -m ballast plan '{FILES[0]}' '{FILES[1]}' | head -1"
    run = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert run.stdout.count("\n") == 1
    assert run.stderr == ""


def test_most_changes_on_the_command_line_binds() -> None:
    """--most-changes overrules the car file."""
    plan = json.loads(ballast("plan", *FILES, "--most-changes", "1", "--json").stdout)
    assert plan["moves"] <= 1
    assert plan["question"]["car"]["wishes"]["most_changes"] == 1
