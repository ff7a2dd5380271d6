"""Changed parts, success ballast, carried-out plans and choices at the command line, as a hurried hand types them."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from ballast.cli import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
CAR, WEIGH_IN = str(EXAMPLE / "car.toml"), str(EXAMPLE / "weigh-in.toml")
RULES = ("--rules", str(EXAMPLE / "rulebook.toml"))
CHANGES = """
[units]
mass = "kg"
length = "mm"

[[removed]]
name = "steel door skins"
mass = 18.5
behind_front_axle = 1300
left_of_centre = 0

[[placed]]
mount = "nose tray"
plate = "5 kg"
count = 2
"""


class Said(NamedTuple):
    """How a command ended and what it said."""

    status: int
    out: str
    err: str


Run = Callable[..., Said]


@pytest.fixture
def ballast(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command within this process, quicker than in one of its own."""

    def run(*arguments: object) -> Said:
        monkeypatch.setattr(sys, "argv", ["ballast", *map(str, arguments)])
        status = 0
        try:
            main()
        except SystemExit as end:
            status = int(end.code or 0)
        caught = capsys.readouterr()
        return Said(status, caught.out, caught.err)

    return run


@pytest.fixture
def changes(tmp_path: Path) -> Path:
    """A file of changes for the example."""
    path = tmp_path / "changes.toml"
    path.write_text(CHANGES, encoding="utf-8")
    return path


def test_predict_says_what_will_be(ballast: Run, changes: Path) -> None:
    """By hand: 3180.4 / 3 kg less 18.5 kg, and 2 x 5.02 kg with 0.6 kg of hardware; without rules that is done."""
    text, data = (ballast("predict", CAR, WEIGH_IN, changes, *more) for more in ((), ("--json",)))
    assert (text.status, data.status) == (0, 0)
    assert (text.err, data.err) == ("", "")
    assert "Taken off: steel door skins, 18.5 kg" in text.out
    after = json.loads(data.out)["after"]
    assert after["total"] == pytest.approx(3180.4 / 3 - 18.5 + 10.64)
    assert after["centre_of_gravity"]["behind_front_axle"] == pytest.approx(
        # by moments [mm]: (rear axle 1450.2 / 3 at 2480) - 18.5 at 1300 + 10.64 at -420
        (1450.2 / 3 * 2480 - 18.5 * 1300 - 10.64 * 420) / (3180.4 / 3 - 18.5 + 10.64)
    )


def test_predict_with_rules_that_will_be_broken_ends_in_one(ballast: Run, changes: Path) -> None:
    """A car that will be under the minimum is an answer, and its status says so; the sheet still comes."""
    said = ballast("predict", CAR, WEIGH_IN, changes, *RULES)
    assert said.status == 1
    assert "LIMITS BROKEN as it will stand, see the findings: minimum weight." in said.out


def test_the_plan_takes_the_same_file(ballast: Run, changes: Path, tmp_path: Path) -> None:
    """What `predict` says will be is what `plan --changed` has before it, and the sheet says what was counted on."""
    will_be = json.loads(ballast("predict", CAR, WEIGH_IN, changes, "--json").out)["after"]["corner_loads"]
    saved = tmp_path / "plan.json"
    said = ballast("plan", CAR, WEIGH_IN, *RULES, "--changed", changes, "--save", saved)
    assert said.status == 0
    assert "steel door skins taken off, 18.5 kg" in " ".join(said.out.split())
    assert json.loads(saved.read_text(encoding="utf-8"))["before"]["corner_loads"] == pytest.approx(will_be)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("predict", CAR, WEIGH_IN, "{folder}/change.toml"),
            "there is no such file\n    Fix: did you mean 'changes.toml'?",
        ),
        (("predict", CAR, "{folder}/changes.toml", WEIGH_IN), "is a file of changes, where a weigh-in file is wanted"),
        (("plan", CAR, "{folder}/changes.toml"), "is a file of changes, where a weigh-in file is wanted"),
        (("predict", CAR, WEIGH_IN), "Missing argument 'CHANGES'"),
        (("predict", CAR, WEIGH_IN, WEIGH_IN), "is a weigh-in file, where a file of changes is wanted"),
        (
            ("plan", CAR, WEIGH_IN, "--order", "balanse,mass"),
            "\"balanse\": is no wish\n    Fix: did you mean 'balance'?",
        ),
        (("plan", CAR, WEIGH_IN, "--order", "mass,balance,mass"), "names a wish twice"),
        (("plan", CAR, WEIGH_IN, "--success-ballast", "30"), "needs a rulebook"),
        (("plan", CAR, WEIGH_IN, *RULES, "--success-ballast", "-30"), "greater than or equal to 0"),
        (("plan", CAR, WEIGH_IN, "--carried-out", "{folder}/changes.toml"), "as `ballast plan --save` wrote it"),
    ],
    ids=lambda value: " ".join(Path(str(word)).name for word in value[:4]) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_used_is_said_with_its_remedy(
    arguments: tuple[str, ...], said: str, ballast: Run, changes: Path
) -> None:
    """Slips of a hurried hand end in status 2, with words on the standard error and nothing on the standard output."""
    run = ballast(*(word.replace("{folder}", str(changes.parent)) for word in arguments))
    assert run.status == 2
    assert run.out == ""
    assert said in run.err
    assert "Traceback" not in run.err


def test_mistakes_in_a_file_of_changes_come_all_at_once(ballast: Run, changes: Path) -> None:
    """A mount and a plate that are not there are both named, each with the one that was probably meant."""
    changes.write_text(CHANGES.replace("nose tray", "noes tray").replace('"5 kg"', '"5kg"'), encoding="utf-8")
    said = ballast("predict", CAR, WEIGH_IN, changes)
    assert said.status == 2
    assert "did you mean 'nose tray'?" in said.err
    assert "did you mean '5 kg'?" in said.err


def test_an_engine_in_the_wrong_unit_is_refused(ballast: Run, changes: Path) -> None:
    """900 kg off the nose leave nothing on the front wheels: the fault is in the file, and it is said to be there."""
    heavy = CHANGES.replace("18.5", "900").replace("1300", "200")
    changes.write_text(heavy, encoding="utf-8")
    said = ballast("predict", CAR, WEIGH_IN, changes)
    assert said.status == 2
    assert "would leave nothing on a wheel" in said.err
    assert "fault in the program" not in said.err


def test_between_two_races(ballast: Run, tmp_path: Path) -> None:
    """Saved, carried out, 12 kg of success ballast with the fewest changes: three commands, each ending well."""
    saved, second = tmp_path / "first.json", tmp_path / "second.json"
    assert ballast("plan", CAR, WEIGH_IN, *RULES, "--save", saved).status == 0
    said = ballast(
        *("plan", CAR, WEIGH_IN, *RULES, "--carried-out", saved, "--success-ballast", 12, "--fewest-changes"),
        *("--save", second),
    )
    assert said.status == 0
    assert "12 kg success ballast" in " ".join(said.out.split())
    first, then = (json.loads(path.read_text(encoding="utf-8")) for path in (saved, second))
    assert then["required_total"] - first["required_total"] == pytest.approx(12)
    assert then["before"]["total"] == pytest.approx(first["cases"][0]["total"])
    assert then["moves"] > 0
    again = ballast("plan", CAR, WEIGH_IN, *RULES, "--carried-out", second, "--success-ballast", 12, "--json")
    assert json.loads(again.out)["moves"] == 0


def test_a_plan_of_another_car_or_visit_is_refused(ballast: Run, tmp_path: Path) -> None:
    """Carried out on a car without its mounts, or after another weigh-in, a plan is told apart from what fits."""
    saved = tmp_path / "first.json"
    assert ballast("plan", CAR, WEIGH_IN, *RULES, "--save", saved).status == 0
    car, visit = tmp_path / "car.toml", tmp_path / "weigh-in.toml"
    car.write_text(Path(CAR).read_text(encoding="utf-8").replace("seat rail left", "rail"), encoding="utf-8")
    visit.write_text(Path(WEIGH_IN).read_text(encoding="utf-8").replace("279.6", "279.8"), encoding="utf-8")
    other_car = ballast("plan", car, WEIGH_IN, *RULES, "--carried-out", saved)
    other_visit = ballast("plan", CAR, visit, *RULES, "--carried-out", saved)
    assert (other_car.status, other_visit.status) == (2, 2)
    assert 'first.json: mount = "seat rail left": this car has no such mount' in other_car.err
    assert "first.json: was planned from another weigh-in" in other_visit.err
    assert "Fix: give the weigh-in this plan was made from" in other_visit.err


def test_plans_to_choose_from(ballast: Run, tmp_path: Path) -> None:
    """Three at the most are shown below the plan, with how to take each; what is saved holds them."""
    saved = tmp_path / "plan.json"
    said = ballast("plan", CAR, WEIGH_IN, *RULES, "--alternatives", 3, "--save", saved)
    assert said.status == 0
    assert "PLANS TO CHOOSE FROM" in said.out
    assert "To take B: --order " in said.out
    assert max(map(len, said.out.splitlines())) <= 80
    shown = json.loads(saved.read_text(encoding="utf-8"))["choices"]["alternatives"]
    assert 2 <= len(shown) <= 3
    order = ",".join(shown[1]["order"])
    taken = json.loads(ballast("plan", CAR, WEIGH_IN, *RULES, "--order", order, "--json").out)
    assert taken["wishes"][0]["value"] == pytest.approx(shown[1]["plan"]["wishes"][0]["value"], abs=0.05)
    assert "\r" not in said.err, "progress is for terminals"
