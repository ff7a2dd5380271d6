"""`from ballast import ...`: a handful of names that do the same as the commands, and say what they take and give."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

import ballast
from ballast.cli import app

ROOT = Path(__file__).parents[1]
COUPE, SALOON = ROOT / "examples" / "beam-axle-coupe", ROOT / "examples" / "circuit-saloon"


def test_every_name_is_there_and_documented() -> None:
    """Each public name loads, has a docstring of its own, and stands in the table at the top of the package."""
    assert ballast.__doc__ is not None
    for name in ballast.__all__:
        found = getattr(ballast, name)
        assert (found.__doc__ or "").strip(), name
        assert re.search(rf"\b{name}\b", ballast.__doc__), name


def test_the_table_names_nothing_else() -> None:
    """Every call in the package's docstring is a public name."""
    called = set(re.findall(r"(?<![\w.])([a-z_]+)\(", ballast.__doc__ or ""))
    assert called <= set(ballast.__all__)


def test_every_command_that_computes_has_its_name() -> None:
    """What the command line can do from files, Python can: `weigh` of several visits is `history`."""
    commands = set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]
    of_files_alone = {"new", "rules", "sheet"}
    assert commands - of_files_alone <= set(ballast.__all__)
    assert {"history", "both_heights", "choices"} <= set(ballast.__all__)


def test_the_docstrings_say_units_shapes_errors_and_source() -> None:
    """The package says once, for all of them, in what units answers are, what shape a load has, what is raised."""
    for word in ("Units:", "Shapes:", "Errors:", "Source:", "InputError", "DisagreementError", "kg", "0.5 is 50 %"):
        assert word in (ballast.__doc__ or "")


def test_an_unknown_name_is_an_attribute_error() -> None:
    """As with any module."""
    with pytest.raises(AttributeError, match="no attribute 'wiegh'"):
        _ = ballast.wiegh


def test_importing_the_package_loads_nothing_heavy() -> None:
    """Names are loaded when first used."""
    code = "import sys, ballast; print(sorted({'numpy', 'pulp', 'pydantic', 'matplotlib'} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_they_do_what_the_commands_do() -> None:
    """Visits, a re-weigh, lifts of both axles and trials, read and answered; JSON in the units of the files.

    By hand, from the file: the three settlings of April add up to 3222.8 kg.
    """
    visits = ballast.read_visits(COUPE / "car.toml", [COUPE / "weigh-in-march.toml", COUPE / "weigh-in.toml"])
    newest = ballast.history(visits).visits[-1]
    assert newest.measured.total == pytest.approx(3222.8 / 3)
    assert ballast.weigh(visits[-1]).measured.total == pytest.approx(3222.8 / 3)
    tried = ballast.trial(visits[-1], ballast.read_trials(COUPE / "trials.toml"))
    assert json.loads(ballast.as_json(tried))["units"]["mass"] == "kg"
    car = ballast.read_car(SALOON / "car.toml")
    rear, front = (ballast.read_lifts(SALOON / name) for name in ("lifts.toml", "lifts-front.toml"))
    one, both = ballast.height(car, rear), ballast.both_heights(car, rear, front)
    assert ballast.wind(visits[-1]).done
    assert json.loads(ballast.as_json(one))["units"]["length"] == "mm"
    assert "kg" in ballast.as_json(both)


def test_a_plan_is_compared_with_a_reweigh() -> None:
    """A saved plan, read back, against a weigh-in of the car as it was planned: it stands as planned."""
    answer = ballast.read_answer(ROOT / "tests" / "golden" / "plans" / "circuit-saloon.json")
    after = answer.plan.cases[0].corner_loads
    weigh_in = ballast.read_weigh_in(SALOON / "weigh-in.toml")
    reading = weigh_in.readings[0].replace(LF=after.LF, RF=after.RF, LR=after.LR, RR=after.RR)
    again = weigh_in.replace(readings=(reading,) * 3)
    assert ballast.compare(answer, again).as_planned
