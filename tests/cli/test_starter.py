"""The starter files: everything in them that is commented out is right too, and means what its remark says."""

import re
from pathlib import Path

import pytest

from ballast.jobs.plan import plan
from ballast.jobs.predict import predict
from ballast.records import files
from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.crew import Driver, Fuel, Substitute, Tank
from ballast.records.lifts import Lifts, Procedure
from ballast.records.quantities import Record
from ballast.records.question import Question
from ballast.records.rulebook import DriverBallast, Rulebook, SuccessBallast
from ballast.records.weighing import Visit, WeighIn
from ballast.records.wishes import Wishes

STARTER = Path(files.__file__).parents[1] / "starter"
NAMES = ("car.toml", "weigh-in.toml", "rulebook.toml", "ledger.toml", "changes.toml")
COMMENTED = re.compile(r"^# (?=\[{1,2}[a-z_.]+\]{1,2}|[a-z_]+ = |[LR][FR] = )", re.MULTILINE)
OWN_FILES = {
    "ledger.toml": "# Have you had this car on official scales",
    "changes.toml": "# Has an engine, a seat or a plate been moved",
}
"""Files described at the end of the starter's weigh-in, and the remark with which each begins."""

EITHER = {
    "a crew, one of them aboard": ("rear_pair", "driver_mass", "fuel", "[substitute]"),
    "a crew, a mass aboard": ("rear_pair", "driver_mass", "fuel", "seated"),
    "nobody by name": (
        *("rear_pair", "seated", "changes_with_driver", "crew", "balance_at"),
        *("[[drivers]]", "[[tanks]]", "[fuel]", "driver_ballast", "[driver_ballast]"),
    ),
}
"""What excludes each other, as the remarks say: the lines and tables left out in each way of using all the rest."""


def _used(text: str, left_out: tuple[str, ...]) -> str:
    """A starter file with every optional line made a real one, but for some keys and tables."""
    used = COMMENTED.sub("", text)
    for name in left_out:
        table = name.startswith("[")
        used = re.sub(
            rf"^{re.escape(name)}.*\n(?:.+\n)*" if table else rf"^{name} = .*\n", "", used, flags=re.MULTILINE
        )
    return used


def _all_used(folder: Path, left_out: tuple[str, ...]) -> Question:
    """What the starter files say with everything optional in them used."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in STARTER.glob("*.toml")}
    rest = texts["weigh-in.toml"]
    for name, remark in reversed(OWN_FILES.items()):
        rest, found, own = rest.partition(remark)
        texts[name] = found + own
    texts["weigh-in.toml"] = rest
    for name, text in texts.items():
        (folder / name).write_text(_used(text, left_out), encoding="utf-8")
    return files.read_question(*(folder / name for name in NAMES))


@pytest.fixture(params=EITHER)
def everything(request: pytest.FixtureRequest, tmp_path: Path) -> Question:
    """The starter files with every optional line used that goes with the others, in each of the ways there are."""
    return _all_used(tmp_path, EITHER[request.param])


def test_every_commented_line_is_right_when_it_is_used(everything: Question) -> None:
    """With every # before a key or table taken away the files are read, and give a plan that breaks nothing."""
    assert plan(everything).plan.legal


def test_the_changes_can_be_predicted(everything: Question) -> None:
    """The file takes off 14 kg and puts on 9.5 and 1.2 kg, and a second plate of 5 kg beside the one on the nose."""
    predicted = predict(everything)
    assert predicted.after.total - predicted.before.total == pytest.approx(-14 + 9.5 + 1.2 + 5)


def _keys(model: type[Record]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}


@pytest.mark.parametrize(
    ("name", "head", "model", "not_shown"),
    [
        ("car", "[[drivers]]", Driver, set()),
        ("car", "[[tanks]]", Tank, set()),
        ("weigh-in", "[weigh_in]", Visit, {"spares", "spare_mass"}),
        ("weigh-in", "[substitute]", Substitute, set()),
        ("weigh-in", "[fuel]", Fuel, {"tank"}),
        ("rulebook", "[success_ballast]", SuccessBallast, set()),
        ("rulebook", "[driver_ballast]", DriverBallast, {"counted"}),
    ],
)
def test_every_key_of_a_crew_is_shown(name: str, head: str, model: type[Record], not_shown: set[str]) -> None:
    """The tables for drivers, tanks and ballast by rule show every key there is, but for those told in a remark."""
    text = COMMENTED.sub("", (STARTER / f"{name}.toml").read_text(encoding="utf-8"))
    table = text.partition(f"\n{head}")[2].partition("\n[")[0]
    assert set(re.findall(r"^([a-z_]+) = ", table, re.MULTILINE)) == _keys(model) - not_shown


def test_every_table_of_a_rulebook_but_two_is_there(everything: Question) -> None:
    """Of the two kinds of axle limits, and of the two of shares, the remark names the second."""
    book = everything.rulebook
    assert book is not None
    missing = {name for name in Rulebook.model_fields if not getattr(book, name)}
    assert missing - {"driver_ballast"} == {"right_side", "rear_share"}
    assert bool(book.driver_ballast) == bool(everything.car.drivers)


def test_all_of_a_file_is_used_in_one_way_or_another(tmp_path: Path) -> None:
    """In a crew's files and in those of nobody by name, every table of a car, a weigh-in and changes is used."""
    questions = []
    for number, left_out in enumerate(EITHER.values()):
        (tmp_path / str(number)).mkdir()
        questions.append(_all_used(tmp_path / str(number), left_out))
    crew, sand, nobody = questions
    assert all(getattr(crew.car, name) for name in Car.model_fields)
    assert all(getattr(crew.weigh_in, name) for name in WeighIn.model_fields if name != "substitute")
    assert sand.weigh_in.substitute and nobody.weigh_in.substitute
    assert nobody.weigh_in.visit.driver_mass and not nobody.car.drivers
    assert all(getattr(crew.changed, name) for name in Changed.model_fields)
    assert crew.ledger and crew.weigh_in.pads.instrument and crew.weigh_in.pads.gain_within
    assert crew.car.mounts[0].bolts and crew.car.mounts[0].zone == "front tray"
    assert [mount.name for mount in crew.car.mounts if mount.changes_with_driver] == ["right footwell"]
    assert {loss.name for loss in crew.car.losses} == {"tyre wear", "oil and water"}
    assert crew.wishes.balance_at == ("start", "balance", "flag")


def test_the_values_said_to_be_taken_without_a_line_are_taken(tmp_path: Path) -> None:
    """Where a remark says what holds without the line, that is what holds."""
    crew = _all_used(tmp_path, EITHER["a crew, one of them aboard"])
    bare = files.read_car(STARTER / "car.toml")
    assert crew.car.margin == bare.margin
    assert crew.car.mounts[0].place_within == bare.mounts[0].place_within
    assert bare.wishes.balance_at == ("balance",)
    assert bare.wishes.order == Wishes().order
    anna, boris = crew.car.drivers
    assert anna.place_within == boris.place_within == 0.020
    assert boris.at_pedals == 8.0
    place = {"name": "tank", "behind_front_axle": 2.15, "left_of_centre": 0.0}
    tank = Tank.model_validate(place | {"volume": 60.0, "at_flag": 5.0})
    assert (tank.at("start"), tank.at("balance"), tank.density) == (60.0, (60.0 + 5.0) / 2, 0.75)
    assert Tank.model_validate(place | {"volume": 60.0}).at_flag == 0.0
    assert Substitute(mass=72.0, behind_front_axle=1.45, left_of_centre=0.34).place_within == 0.020
    assert crew.changed is not None
    assert {part.place_within for part in crew.changed.removed + crew.changed.added} == {0.020}
    assert SuccessBallast.model_fields["on_top"].default is True


def test_the_starter_files_as_they_are_give_a_plan_that_breaks_nothing() -> None:
    """Unchanged, the files have a legal plan; what was not entered, the bolts, is not checked."""
    question = files.read_question(*(STARTER / f"{name}.toml" for name in ("car", "weigh-in", "rulebook")))
    answer = plan(question)
    assert answer.plan.legal
    assert [finding.rule for finding in answer.plan.findings if finding.verdict == "not checked"] == ["bolts"]


def test_every_line_of_the_lifts_is_right_when_it_is_used(tmp_path: Path) -> None:
    """With every # taken away the lifts are read and show every key; what is said to be taken without a line is."""
    text = (STARTER / "lifts.toml").read_text(encoding="utf-8")
    used, path = COMMENTED.sub("", text), tmp_path / "lifts.toml"
    path.write_text(used, encoding="utf-8")
    lifts, bare = files.read_lifts(path), files.read_lifts(STARTER / "lifts.toml")
    procedure = used.partition("\n[lifts]")[2].partition("\n[")[0]
    assert set(re.findall(r"^([a-z_]+) = ", procedure, re.MULTILINE)) == _keys(Procedure)
    assert all(getattr(lifts, name) for name in Lifts.model_fields)
    assert lifts.procedure.replace(note="") == bare.procedure
    assert {reading.going for reading in bare.raised} == {"up", "down"}
