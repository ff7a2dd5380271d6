"""The command line as a user meets it: exit status, what goes to which stream, what is never overwritten."""

import json
import os
import re
import subprocess
import sys
import tomllib
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

from ballast.cli import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
FILES = [str(EXAMPLE / "car.toml"), str(EXAMPLE / "weigh-in.toml")]
RULES = ["--rules", str(EXAMPLE / "rulebook.toml")]

Run = subprocess.CompletedProcess[str]


def ballast(*arguments: object, cwd: Path | None = None) -> Run:
    """Run the command within this process, which spares it loading the solver each time."""
    out, err, status, before, words = StringIO(), StringIO(), 0, Path.cwd(), sys.argv
    sys.argv = ["ballast", *map(str, arguments)]
    os.chdir(cwd or before)
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main()
    except SystemExit as end:
        status = int(end.code or 0)
    finally:
        os.chdir(before)
        sys.argv = words
    return Run(sys.argv, status, out.getvalue(), err.getvalue())


def test_it_is_a_program_of_its_own() -> None:
    """`python -m ballast` in a process of its own: exit status, text on the standard output, nothing beside it."""
    command = [sys.executable, "-m", "ballast", "weigh", *FILES, *RULES]
    run = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert (run.returncode, run.stderr) == (1, "")
    assert run.stdout == ballast("weigh", *FILES, *RULES).stdout


@pytest.mark.parametrize("arguments", [["--help"], ["plan", "--help"], ["--version"], ["rules"], []])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """Help, and the list of rulebooks, need neither numpy nor PuLP, a solver or matplotlib."""
    code = (
        "import sys\nfrom ballast.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'pulp', 'pyscipopt', 'highspy', 'matplotlib'} & set(sys.modules)\n"
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
    assert plan["units"] == {"mass": "kg", "length": "mm", "volume": None, "spring": None, "twist": None}
    assert plan["outcome"] == "proved best"
    promised = {
        *("units", "outcome", "wishes", "balance_miss_points", "bound_points", "required_total", "ballast_total"),
        *("fit", "changes", "cases", "findings"),
    }
    assert promised <= set(plan)
    assert {"name", "value", "bound", "outcome"} <= set(plan["wishes"][0])
    assert set(plan["fit"][0]) == {"mount", "plate", "count", "driver"}
    assert set(plan["changes"][0]) == {"mount", "plate", "from", "to", "driver"}
    case = plan["cases"][0]
    assert set(case["diagonal_percent"]) == {"RF+LR", "LF+RR"}
    assert set(case["centre_of_gravity"]) == {"behind_front_axle", "left_of_centre", "above_ground"}
    # By hand: totals 1060.2, 1060.0, 1060.2 have s = sqrt(0.04 / 3); the mean of three is unsure by s / sqrt(3), and
    # kept in hand are Student's 4.303 of that (JCGM 100, table G.2: 95 %, 2 degrees of freedom).
    unsure = 4.303 * (0.04 / 3) ** 0.5 / 3**0.5
    terms = [(term["name"], term["mass"]) for term in plan["requirement"]["terms"]]
    assert terms == [
        ("class minimum weight", 1105),
        ("margin kept in hand", 3),
        ("2 standard uncertainties of the total", pytest.approx(unsure, rel=1e-3)),
    ]
    assert plan["required_total"] == pytest.approx(1105 + 3 + unsure, abs=1e-3)
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
    text = " ".join(run.stdout.split())
    assert "WHAT WOULD HAVE TO GIVE" in text
    assert re.search(r"own \d+ of plate '10 kg' instead of 3", text)
    assert re.search(r"a required total of 11\d\d\.\d kg instead of 1153\.3 kg", text)


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


def _words(run: Run) -> str:
    """What was printed, with every line break a space."""
    return " ".join(run.stdout.split())


def _changed(folder: Path, name: str, *changes: tuple[str, str]) -> Path:
    """A file of the example with some text replaced."""
    text = (EXAMPLE / name).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_weigh_with_rules_tells_the_limits_that_are_broken_as_the_car_stands(tmp_path: Path) -> None:
    """1060.1 kg on the pads and 1105 kg in the rule: exit 1, 44.9 kg short. With 1050 kg in the rule: exit 0."""
    text, data = ballast("weigh", *FILES, *RULES), ballast("weigh", *FILES, *RULES, "--json")
    assert (text.returncode, data.returncode) == (1, 1)
    assert "NOT WITHIN THE RULES" in text.stdout.splitlines()[1]
    assert "template" not in text.stdout
    assert re.search(r"minimum weight \(clause 4\.2\) +1060\.1 kg +min 1105\.0 kg +-44\.9 kg +fail", text.stdout)
    (finding,) = json.loads(data.stdout)["findings"]
    assert (finding["rule"], finding["clause"], finding["verdict"]) == ("minimum weight", "4.2", "fail")
    assert finding["measured"] == pytest.approx(3180.4 / 3)
    assert finding["margin"] == pytest.approx(3180.4 / 3 - 1105)
    named = ("[minimum_weight]", "template = true\n\n[minimum_weight]")
    light = _changed(tmp_path, "rulebook.toml", ("mass = 1105", "mass = 1050"), named)
    run = ballast("weigh", *FILES, "--rules", light)
    assert run.returncode == 0
    assert re.search(r"minimum weight .* pass", run.stdout)
    assert "NOT " not in run.stdout.splitlines()[1]
    assert "These rules are a template" in run.stdout


@pytest.mark.parametrize("command", ["weigh", "plan"])
def test_a_state_that_cannot_be_converted_is_not_checked_and_never_a_pass(command: str, tmp_path: Path) -> None:
    """Weighed with the driver out, ruled with the driver in, its mass not said: no answer, and that on top."""
    weigh_in = _changed(tmp_path, "weigh-in.toml", ('driver = "in"', 'driver = "out"'))
    run = ballast(command, FILES[0], weigh_in, *RULES)
    assert run.returncode == 0
    top = " ".join(run.stdout.splitlines()[:5])
    assert "NOT CHECKED" in top
    assert "minimum weight" in top
    assert (
        "Not checked: minimum weight (clause 4.2): weighed with the driver out, the rule has the driver in."
        in _words(run)
    )
    assert not re.search(r"minimum weight.*\bpass\b", run.stdout)
    data = json.loads(ballast(command, FILES[0], weigh_in, *RULES, "--json").stdout)
    verdicts = [(f["verdict"], f["measured"]) for f in data["findings"] if f["rule"] == "minimum weight"]
    assert verdicts == [("not checked", None)]


def test_a_state_that_can_be_converted_is_checked(tmp_path: Path) -> None:
    """1060.1 kg without the driver of 80 kg are 1140.1 kg with: 35.1 kg over the minimum of 1105 kg."""
    weigh_in = _changed(tmp_path, "weigh-in.toml", ('driver = "in"', 'driver = "out"\ndriver_mass = 80'))
    run = ballast("weigh", FILES[0], weigh_in, *RULES, "--json")
    assert run.returncode == 0
    (finding,) = json.loads(run.stdout)["findings"]
    assert finding["verdict"] == "pass"
    assert finding["margin"] == pytest.approx(3180.4 / 3 + 80 - 1105)


SUCCESS = """
[success_ballast]
mass = 10
behind_front_axle = 900
left_of_centre = -350
clause = "8.1"
source = "Heron Saloon Cup technical rules, edition 1 (invented)"
checked = 2026-03-01
"""


def test_success_ballast_is_told_as_work_and_was_not_on_the_pads(tmp_path: Path) -> None:
    """10 kg at a prescribed place: told under DO THIS; before is what the pads said, 1060.1 kg; after holds them."""
    rules = _changed(tmp_path, "rulebook.toml")
    rules.write_text(rules.read_text() + SUCCESS)
    plan = json.loads(ballast("plan", *FILES, "--rules", rules, "--json").stdout)
    assert plan["before"]["total"] == pytest.approx(3180.4 / 3)
    added = plan["ballast_total"] + plan["fixing_total"] + 10
    assert plan["cases"][0]["total"] == pytest.approx(3180.4 / 3 + added)
    text = _words(ballast("plan", *FILES, "--rules", rules))
    work = text.partition("DO THIS")[2].partition("THE CAR")[0]
    assert "success ballast of 10.0 kg" in work
    assert "900 mm behind the front axle, 350 mm right of the centre line" in work


LEDGER = """
[units]
mass = "kg"
length = "mm"

[[comparisons]]
date = 2026-04-11
event = "Round 1"
own = 1062.0
official = 1060.6
"""


def test_a_ledger_adds_the_bias_of_the_scales(tmp_path: Path) -> None:
    """Own scales that show 1.4 kg more than the official ones ask for 1.4 kg more, as a term of its own."""
    ledger = tmp_path / "ledger.toml"
    ledger.write_text(LEDGER)
    plain = json.loads(ballast("plan", *FILES, *RULES, "--json").stdout)
    biased = ballast("plan", *FILES, *RULES, "--ledger", ledger, "--json")
    assert biased.returncode == 0
    plan = json.loads(biased.stdout)
    assert plan["required_total"] - plain["required_total"] == pytest.approx(1.4)
    assert {term["name"]: term["mass"] for term in plan["requirement"]["terms"]}[
        "event scales read lower than yours"
    ] == pytest.approx(1.4)
    assert plan["question"]["ledger"]["comparisons"][0]["official"] == 1060.6
    assert plain["question"]["ledger"] is None
    text = ballast("plan", *FILES, *RULES, "--ledger", ledger)
    assert "+ 1.4 kg event scales read lower than yours" in _words(text)


def test_a_ledger_in_the_wrong_place_is_told(tmp_path: Path) -> None:
    """A weigh-in behind --ledger and a ledger in place of the weigh-in: both exit 2, and say what goes where."""
    ledger = tmp_path / "ledger.toml"
    ledger.write_text(LEDGER)
    for arguments in ((*FILES, "--ledger", FILES[1]), (FILES[0], ledger)):
        run = ballast("plan", *arguments)
        assert (run.returncode, run.stdout) == (2, "")
        assert "the ledger behind --ledger" in run.stderr


def test_what_is_impossible_names_what_would_have_to_give() -> None:
    """150 lb needed, 125 lb allowed: the text says so, and what the rule would have to allow."""
    folder = EXAMPLE.parent / "over-the-limit"
    run = ballast("plan", folder / "car.toml", folder / "weigh-in.toml", "--rules", folder / "rulebook.toml")
    assert (run.returncode, run.stderr) == (1, "")
    text = _words(run)
    assert "No legal plan exists." in text
    assert "25 lb too little" in text
    assert "a rule that allows 150 lb of ballast instead of 125 lb" in text
    assert "DO THIS" not in text


def test_rules_lists_the_packaged_rulebooks() -> None:
    """`rules` alone lists every packaged rulebook by name and says that they are templates; --json holds them all."""
    names = {path.stem for path in (Path(__file__).parents[2] / "rules").glob("*.toml")}
    text, data = ballast("rules"), ballast("rules", "--json")
    assert (text.returncode, text.stderr, data.returncode, data.stderr) == (0, "", 0, "")
    assert all(name in text.stdout for name in names)
    assert "All are templates" in text.stdout
    assert set(json.loads(data.stdout)) == names


def test_rules_shows_one_with_every_clause_source_and_day() -> None:
    """`rules FILE` prints every limit of a user's own file, in its units, with clause, source and day."""
    path = Path(__file__).parents[1] / "files" / "good" / "every-rule" / "rulebook.toml"
    text, data = ballast("rules", path), ballast("rules", path, "--json")
    assert (text.returncode, data.returncode) == (0, 0)
    words = _words(text)
    written = tomllib.loads(path.read_text(encoding="utf-8"))
    entries = [
        entry
        for table in written.values()
        for entry in (table if isinstance(table, list) else [table])
        if "clause" in entry
    ]
    assert len(entries) == 17
    for entry in entries:
        assert f"Clause {entry['clause']}; {entry['source']}; checked {entry['checked'].isoformat()}." in words
    for said in ("mass: 2400 lb", "greatest: 55.5 %", "greatest: 4 in", "behind front axle: 10 to 60 in", "sealed"):
        assert said in words
    assert json.loads(data.stdout)["minimum_weight"][1]["mass"] == 2400
    template = ballast("rules", "kart-endurance")
    assert template.returncode == 0
    assert "A template: the current book" in _words(template)


def test_an_unknown_rulebook_exits_with_2() -> None:
    """`rules` with a name nobody knows offers the nearest."""
    run = ballast("rules", "kart-endurence")
    assert (run.returncode, run.stdout) == (2, "")
    assert "did you mean 'kart-endurance'?" in run.stderr


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
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plan.json", "plan.lp", "plan.svg"]


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
    assert ballast("rules", folder / "rulebook.toml").returncode == 0
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
