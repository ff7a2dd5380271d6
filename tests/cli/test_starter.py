"""The starter files: everything in them that is commented out is right too, and means what its remark says."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from ballast.jobs.plan import plan
from ballast.jobs.predict import predict
from ballast.jobs.trial import trial
from ballast.jobs.wind import wind
from ballast.records import files
from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.crew import Driver, Fuel, Substitute, Tank
from ballast.records.lifts import Lifts, Procedure
from ballast.records.quantities import Record
from ballast.records.question import Question
from ballast.records.rulebook import DriverBallast, Rulebook, SuccessBallast
from ballast.records.suspension import Axle, Platforms, Suspension
from ballast.records.trials import Conditions, Trials
from ballast.records.weighing import Visit, WeighIn
from ballast.records.wishes import Wishes

STARTER = Path(files.__file__).parents[1] / "starter"
NAMES = ("car.toml", "weigh-in.toml", "rulebook.toml", "ledger.toml", "changes.toml")
COMMENTED = re.compile(r"^# (?=\[{1,2}[a-z_.]+(?:\.[LR][FR])?\]{1,2}|[a-z_]+ = |[LR][FR] = )", re.MULTILINE)
OWN_FILES = {
    "ledger.toml": "# Have you had this car on official scales",
    "changes.toml": "# Has an engine, a seat or a plate been moved",
    "trials.toml": "# How does this car share a load between its axles",
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


def _texts() -> dict[str, str]:
    """The starter files, and those described at the end of the weigh-in each by itself."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in STARTER.glob("*.toml")}
    rest = texts["weigh-in.toml"]
    for name, remark in reversed(OWN_FILES.items()):
        rest, found, own = rest.partition(remark)
        texts[name] = found + own
    texts["weigh-in.toml"] = rest
    return texts


def _all_used(folder: Path, left_out: tuple[str, ...]) -> Question:
    """What the starter files say with everything optional in them used."""
    texts = _texts()
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


READ: dict[str, Callable[[Path], Record]] = {
    "car.toml": files.read_car,
    "weigh-in.toml": files.read_weigh_in,
    "rulebook.toml": files.read_rulebook,
    "lifts.toml": files.read_lifts,
}
UNITS = re.compile(r'^# (volume|spring|twist) = (?=")', re.MULTILINE)
TAKES_THE_PLACE_OF = {"[fuel]": "fuel = "}
"""Lines that a block takes the place of, as its remark says."""


def _blocks() -> list[tuple[str, str]]:
    """Every paragraph of the starter files that holds a table behind a #, by its file and its first table."""
    found = []
    for name in READ:
        for paragraph in _texts()[name].split("\n\n"):
            tables = re.findall(r"^# (\[\S+\])", paragraph, re.MULTILINE)
            found += [(name, paragraph)] if tables else []
    return found


@pytest.mark.parametrize(
    ("name", "block"),
    _blocks(),
    ids=lambda text: match[1] if (match := re.search(r"^# (\[\S+\])", text, re.MULTILINE)) else text,
)
def test_each_block_is_right_by_itself(name: str, block: str, tmp_path: Path) -> None:
    """A racer who takes the # away from one paragraph, and from the units it needs, has a file that is read."""
    text = UNITS.sub(r"\1 = ", _texts()[name]).replace(block, COMMENTED.sub("", block))
    for table, line in TAKES_THE_PLACE_OF.items():
        text = re.sub(rf"^{line}.*\n", "", text, flags=re.MULTILINE) if f"# {table}" in block else text
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    READ[name](path)


def test_there_are_blocks_for_all_a_racer_may_need() -> None:
    """Springs, platforms, wheels out of square, pads that were tried, a crew, a tank: each can be found behind a #."""
    heads = {head for _, block in _blocks() for head in re.findall(r"^# (\[\S+\])", block, re.MULTILINE)}
    assert heads >= {"[suspension]", "[suspension.front]", "[suspension.rear]", "[suspension.platforms]", "[wheels.LR]"}
    assert heads >= {"[pads]", "[pads.zero]", "[[pads.known_mass]]", "[pads.heights]", "[[turned]]", "[substitute]"}
    assert heads >= {"[[drivers]]", "[[tanks]]", "[[losses]]", "[fuel]", "[[fitted]]"}


def test_every_key_of_springs_and_platforms_is_shown(tmp_path: Path) -> None:
    """The two axles and the platforms show every key there is; what is said to be taken without a line is taken."""
    text = COMMENTED.sub("", (STARTER / "car.toml").read_text(encoding="utf-8"))
    axles = text.partition("\n[suspension.front]")[2].partition("\n\n")[0]
    assert set(re.findall(r"^([a-z_]+) = ", axles, re.MULTILINE)) == _keys(Axle)
    car = _all_used(tmp_path, EITHER["nobody by name"]).car
    assert car.suspension.front and car.suspension.rear
    assert car.suspension.platforms == Platforms()
    assert (Axle().motion_ratio, Axle().tyres) == ((1.0, 1.0), None)
    assert car.suspension.raced_with_bars == Suspension().raced_with_bars == "connected"


def test_the_springs_of_the_starter_can_be_wound(tmp_path: Path) -> None:
    """With everything used the platforms bring the diagonal, which is left to them, into its band."""
    text = (STARTER / "car.toml").read_text(encoding="utf-8")
    springs = text.partition("[suspension.front]")[2].partition("\n\n")[0]
    used = text.replace(springs, COMMENTED.sub("", springs)).replace("# [suspension.front]", "[suspension.front]")
    car, weigh_in = tmp_path / "car.toml", tmp_path / "weigh-in.toml"
    car.write_text(UNITS.sub(r"\1 = ", used), encoding="utf-8")
    visit = (STARTER / "weigh-in.toml").read_text(encoding="utf-8").replace("# bars = ", "bars = ", 1)
    weigh_in.write_text(visit, encoding="utf-8")
    assert wind(files.read_question(car, weigh_in)).done


def test_the_trials_tell_what_they_were_made_from(tmp_path: Path) -> None:
    """The readings were made by hand, for a front share of 56 %: 40 kg at 640 mm lean on the axles by 25.6 kg m.

    Left front gains 40 / 4 + 0.56 x 25600 / 1450 = 19.9 kg, right front 0.1, left rear 10 + 0.44 x 25600 / 1430 = 17.9,
    right rear 2.1; rounded to what the pads show.
    """
    question = _all_used(tmp_path, EITHER["nobody by name"])
    trials = files.read_trials(tmp_path / "trials.toml")
    assert all(getattr(trials, name) for name in Trials.model_fields if name != "readings")
    assert trials.conditions.place_within == Conditions().place_within
    tried = trial(question, trials)
    assert tried.tells and tried.share is not None
    assert tried.share.front_roll_share == pytest.approx(0.56, abs=0.05)
    assert {turned.corner for turned in tried.per_turn} == {"LF"}
