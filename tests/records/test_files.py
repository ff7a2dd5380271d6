"""Reading what may be anything, and writing whole or not at all."""

import errno
import json
import os
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ballast.errors import InputError
from ballast.jobs.plan import plan
from ballast.jobs.weigh import weigh
from ballast.records import disk, files
from ballast.records.plan import Answer

ROOT = Path(__file__).parents[2]
SALOON = ROOT / "examples" / "circuit-saloon"
PLAIN = ROOT / "tests" / "files" / "good" / "plain"
EVERY_RULE = ROOT / "tests" / "files" / "good" / "every-rule"


def _refused(call: Callable[[], object], count: int = 1) -> str:
    """The text of the complaints about a call that must be refused, each with what, fix and file."""
    with pytest.raises(InputError) as caught:
        call()
    assert len(caught.value.complaints) == count
    for complaint in caught.value.complaints:
        assert complaint.what and complaint.fix and complaint.file
    return str(caught.value)


# --- files that are not there, or not to be read -------------------------------------------------------------------


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    """A letter missing in a file's name is found out."""
    (tmp_path / "weigh-in.toml").write_text("")
    text = _refused(lambda: files.read_weigh_in(tmp_path / "weighin.toml"))
    assert "there is no such file" in text
    assert "did you mean 'weigh-in.toml'?" in text


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    """A file in a folder that is not there has no neighbours to choose from."""
    text = _refused(lambda: files.read_car(tmp_path / "nowhere" / "car.toml"))
    assert "check the name and the folder" in text


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    """A folder in place of a file is told so."""
    assert "is a folder" in _refused(lambda: files.read_car(tmp_path))


def test_a_link_to_nothing_is_told(tmp_path: Path) -> None:
    """A link whose file has gone is not a misspelt name."""
    link = tmp_path / "car.toml"
    link.symlink_to(tmp_path / "gone.toml")
    assert "is a link to a file that is not there" in _refused(lambda: files.read_car(link))


def test_a_link_to_a_file_is_read(tmp_path: Path) -> None:
    """A link stands for its file."""
    link = tmp_path / "car.toml"
    link.symlink_to(PLAIN / "car.toml")
    assert files.read_car(link) == files.read_car(PLAIN / "car.toml")


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (PermissionError(errno.EACCES, os.strerror(errno.EACCES)), "may not be read"),
        (OSError(errno.EIO, os.strerror(errno.EIO)), "cannot be read"),
    ],
)
def test_a_file_that_may_not_be_read_is_told(error: OSError, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's refusal, played here because tests may run as a user whom nothing is refused."""

    def refuse(_: Path) -> bytes:
        raise error

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert told in _refused(lambda: files.read_car(PLAIN / "car.toml"))


def test_a_name_too_long_for_the_disk_is_told() -> None:
    """What the disk refuses for its name is a complaint like any other, also where a rulebook may be meant by name."""
    assert "cannot be read" in _refused(lambda: files.read_car(Path("x" * 5000 + ".toml")))
    assert "neither a file nor" in _refused(lambda: files.rulebook_path("x" * 5000))


def test_a_rulebook_by_name_or_by_file(tmp_path: Path) -> None:
    """A packaged rulebook is found by its name, another by its path, and a misspelt name is told with the nearest."""
    name = files.rulebook_names()[0]
    assert files.read_rulebook(files.rulebook_path(name)).title.template
    assert files.rulebook_path(str(tmp_path / "own.toml")) == tmp_path / "own.toml"
    assert f"did you mean '{name}'?" in _refused(lambda: files.rulebook_path(name[:-1]))


@pytest.mark.parametrize("path", sorted(files.rules_folder().glob("*.toml")), ids=lambda path: path.stem)
def test_every_packaged_rulebook_is_read(path: Path) -> None:
    """A rulebook that is shipped can be read."""
    assert files.read_rulebook(path).title.name


# --- fuzz: whatever is in a file, it is read or complained about ----------------------------------------------------

ODD_TEXTS = st.sampled_from(
    ["", " ", "31 kg", "5,02", "nan", "RF+LR", "kg", "mm", "nose", "boot", "5 kg", "in", "balance", "a\nb", "\x7f", "ü"]
)
ODD_NUMBERS = st.sampled_from([0, -0.0, 1, -1, 0.5, 1e-300, 1e308, -1e308, 10**30, float("nan"), float("inf"), 10_000])
ODD_LEAVES = st.one_of(
    ODD_NUMBERS,
    ODD_TEXTS,
    st.booleans(),
    st.dates(),
    st.integers(),
    st.floats(),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
)
ODD_VALUES = st.recursive(
    ODD_LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(ODD_TEXTS | st.just("name"), inner, max_size=3),
    max_leaves=5,
)
ODD_KEYS = st.sampled_from(["name", "mass", "wheelbse", "capacity", "chassis", "aim", "", "a.b", "takes", "units", "ü"])


def _toml(value: object) -> str:
    """A value as TOML, tables inline. An empty mapping at the top is an empty file."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_toml(key)} = {_toml(part)}" for key, part in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(part) for part in value) + "]"
    return value.isoformat() if isinstance(value, date) else repr(value)


def _places(value: object, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place inside nested tables and lists."""
    parts: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        parts = list(value.items())
    elif isinstance(value, list):
        parts = list(enumerate(value))
    return [found for key, part in parts for found in [(*place, key), *_places(part, (*place, key))]]


def _spoil(tables: dict[str, Any], draw: Callable[[st.SearchStrategy[Any]], Any]) -> None:
    """Drop, rename, retype or add something at a random place."""
    places = _places(tables)
    if not places:
        return
    *above, last = draw(st.sampled_from(places))
    here: Any = tables
    for key in above:
        here = here[key]
    match draw(st.sampled_from(["drop", "rename", "retype", "twice", "add"])):
        case "drop":
            del here[last]
        case "rename" if isinstance(here, dict):
            here[draw(ODD_KEYS)] = here.pop(last)
        case "twice" if isinstance(here, list):
            here.append(here[last])
        case "add" if isinstance(here, dict):
            here[draw(ODD_KEYS)] = draw(ODD_VALUES)
        case _:
            here[last] = draw(ODD_VALUES)


def _read_or_complained_about(read: Callable[[], object]) -> None:
    try:
        read()
    except InputError as error:
        assert error.complaints
        for complaint in error.complaints:
            assert complaint.what.strip() and complaint.fix.strip() and complaint.file
        str(error).encode("utf-8")


FUZZ = settings(deadline=None, max_examples=100, derandomize=bool(os.environ.get("CI")))


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One file that every random text is written to in turn."""
    return tmp_path_factory.mktemp("fuzz") / "file.toml"


@pytest.mark.parametrize(
    ("name", "read"),
    [
        ("car", files.read_car),
        ("weigh-in", files.read_weigh_in),
        ("rulebook", files.read_rulebook),
        ("ledger", files.read_ledger),
    ],
)
@FUZZ
@given(data=st.data())
def test_a_spoilt_file_is_read_or_complained_about(
    name: str, read: Callable[[Path], object], scratch: Path, data: st.DataObject
) -> None:
    """Values dropped, renamed, retyped, doubled and added at random: a record or complaints, never anything else."""
    tables = tomllib.loads((EVERY_RULE / f"{name}.toml").read_text(encoding="utf-8"))
    for _ in range(data.draw(st.integers(1, 4))):
        _spoil(tables, data.draw)
    text = "".join(f"{_toml(key)} = {_toml(value)}\n" for key, value in tables.items())
    scratch.write_text(text, encoding="utf-8")
    _read_or_complained_about(lambda: read(scratch))


@FUZZ
@given(data=st.data())
def test_spoilt_files_together_are_read_or_complained_about(scratch: Path, data: st.DataObject) -> None:
    """What is good by itself may not go together; that too is a question or complaints."""
    paths = [scratch.with_name(f"{name}.toml") for name in ("car", "weigh-in", "rulebook", "ledger")]
    for path in paths:
        tables = tomllib.loads((EVERY_RULE / path.name).read_text(encoding="utf-8"))
        numbers = [place for place in _places(tables) if isinstance(place[-1], str) and place[0] != "units"]
        *above, last = data.draw(st.sampled_from(numbers))
        here: Any = tables
        for key in above:
            here = here[key]
        if isinstance(here[last], int | float):
            here[last] = data.draw(st.floats(0.01, 3000) | st.integers(0, 3000))
        elif isinstance(here[last], str):
            here[last] = data.draw(st.sampled_from(["boot", "nose", "5 kg", "1 kg", "in", "out", "lb"]))
        path.write_text("".join(f"{_toml(key)} = {_toml(value)}\n" for key, value in tables.items()), encoding="utf-8")
    _read_or_complained_about(lambda: files.read_question(*paths))


@FUZZ
@given(data=st.data())
def test_spoilt_text_is_read_or_complained_about(scratch: Path, data: st.DataObject) -> None:
    """Letters struck, typed twice or typed wrongly anywhere in the text."""
    text = (PLAIN / "car.toml").read_text(encoding="utf-8")
    for _ in range(data.draw(st.integers(1, 5))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 3)))
        junk = data.draw(st.text(st.sampled_from("[]{}=:.,\"'#“”%\\ \n\r\t\x00-+0kgm\u2028é"), max_size=4))
        text = text[:start] + junk + text[end:]
    scratch.write_bytes(text.encode("utf-8"))
    _read_or_complained_about(lambda: files.read_car(scratch))


@FUZZ
@given(data=st.binary(max_size=200))
def test_any_bytes_are_read_or_complained_about(scratch: Path, data: bytes) -> None:
    """Whatever lies on the disk."""
    scratch.write_bytes(data)
    _read_or_complained_about(lambda: files.read_car(scratch))
    _read_or_complained_about(lambda: files.read_answer(scratch))


# --- writing --------------------------------------------------------------------------------------------------------


def _content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_text_and_bytes_are_written_as_they_are(tmp_path: Path) -> None:
    """Nothing is added, changed or left behind; text is UTF-8."""
    disk.write_whole(tmp_path / "a.txt", "Möwe\n", overwrite=False)
    disk.write_whole(tmp_path / "b.bin", b"\x00\r\n", overwrite=False)
    assert _content(tmp_path) == {"a.txt": b"M\xc3\xb6we\n", "b.bin": b"\x00\r\n"}
    assert (tmp_path / "a.txt").stat().st_mode & 0o777 == 0o644


def test_nothing_is_overwritten_without_being_asked(tmp_path: Path) -> None:
    """A file that is there stays as it was, and is replaced when that is asked for."""
    path = tmp_path / "plan.json"
    path.write_text("old")
    assert "is there already" in _refused(lambda: disk.write_whole(path, "new", overwrite=False))
    assert _content(tmp_path) == {"plan.json": b"old"}
    disk.write_whole(path, "new", overwrite=True)
    assert _content(tmp_path) == {"plan.json": b"new"}


def test_every_file_in_the_way_is_told(tmp_path: Path) -> None:
    """Two of three names are taken, one by a link to nothing: two complaints in one go."""
    paths = [tmp_path / name for name in ("car.toml", "weigh-in.toml", "rulebook.toml")]
    paths[0].write_text("mine")
    paths[2].symlink_to(tmp_path / "gone.toml")
    text = _refused(lambda: disk.refuse_existing(paths, overwrite=False), count=2)
    assert "car.toml: is there already" in text and "rulebook.toml: is there already" in text
    disk.refuse_existing(paths, overwrite=True)
    disk.refuse_existing(paths[1:2], overwrite=False)


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("before", [None, b"old"], ids=["new file", "over an old one"])
def test_a_failed_writing_leaves_no_half_file(
    step: str, before: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the disk is full, or the last step fails, what was there is there still, and nothing else."""
    path = tmp_path / "plan.json"
    if before is not None:
        path.write_bytes(before)
    was = _content(tmp_path)

    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(*{"fsync": (os, "fsync"), "replace": (Path, "replace")}[step], fail)
    assert "cannot be written" in _refused(lambda: disk.write_whole(path, "new", overwrite=True))
    assert _content(tmp_path) == was


def test_an_interrupted_writing_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while writing is passed on, and leaves nothing behind."""

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        disk.write_whole(tmp_path / "plan.json", "new", overwrite=False)
    assert _content(tmp_path) == {}


@pytest.mark.parametrize("overwrite", [False, True])
def test_what_cannot_be_written_is_told(overwrite: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No such folder, a folder of that name, a file for a folder, and a folder that may not be written to."""
    (tmp_path / "file").write_text("")

    def write(path: Path) -> Callable[[], None]:
        return lambda: disk.write_whole(path, "new", overwrite)

    assert "there is no folder" in _refused(write(tmp_path / "nowhere" / "plan.json"))
    assert "is a folder" in _refused(write(tmp_path))
    assert "there is no folder" in _refused(write(tmp_path / "file" / "plan.json"))

    def refuse(**_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("tempfile.mkstemp", refuse)  # tests may run as a user whom no folder is refused
    assert "that you may write to" in _refused(write(tmp_path / "plan.json"))
    assert _content(tmp_path) == {"file": b""}


# --- answers --------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def answer() -> Answer:
    """A plan for the circuit saloon."""
    return plan(files.read_question(SALOON / "car.toml", SALOON / "weigh-in.toml", SALOON / "rulebook.toml"))


@pytest.fixture(scope="module")
def saved(answer: Answer) -> dict[str, Any]:
    """The same as it is saved."""
    data: dict[str, Any] = json.loads(files.as_json(answer))
    return data


def test_a_saved_plan_comes_back_as_it_was(answer: Answer, scratch: Path) -> None:
    """Written, read and written again, the text is the same."""
    text = files.as_json(answer)
    scratch.write_text(text, encoding="utf-8")
    again = files.read_answer(scratch)
    assert files.as_json(again) == text
    assert again.plan.fit == answer.plan.fit
    assert again.plan.legal


@pytest.mark.parametrize("folder", ["short-oval", "circuit-saloon"])
def test_a_saved_plan_holds_the_files_numbers(folder: str, scratch: Path) -> None:
    """The question inside a saved plan has the numbers of the files, in the units of the files, not a digit changed."""
    paths = [ROOT / "examples" / folder / name for name in ("car.toml", "weigh-in.toml", "rulebook.toml")]
    text = files.as_json(plan(files.read_question(*paths)))
    scratch.write_text(text, encoding="utf-8")
    assert files.as_json(files.read_answer(scratch)) == text
    asked = json.loads(text)["question"]
    for part, path in zip(("car", "weigh_in", "rulebook"), paths, strict=True):
        written = tomllib.loads(path.read_text(encoding="utf-8"))
        for place in _places(written):
            found, expected = asked[part], written
            for key in place:
                found, expected = found[key], expected[key]
                if isinstance(found, list) and isinstance(expected, dict):  # one table, saved as a list of one
                    (found,) = found
            if isinstance(expected, date):
                assert found == expected.isoformat()
            elif not isinstance(expected, dict | list):
                assert found == expected, place


def test_a_saved_plan_holds_every_rule_and_the_ledger(scratch: Path) -> None:
    """A rulebook with every table, fuel, pads and a ledger come back from a saved plan as they were read."""
    paths = [EVERY_RULE / f"{name}.toml" for name in ("car", "weigh-in", "rulebook", "ledger")]
    question = files.read_question(*paths)
    text = files.as_json(plan(question))
    scratch.write_text(text, encoding="utf-8")
    again = files.read_answer(scratch)
    assert again.question == question
    assert files.as_json(again) == text
    zone = json.loads(text)["question"]["rulebook"]["ballast_zone"][0]
    assert (zone["behind_front_axle"], zone["left_of_centre"]) == ([10, 60], [-25, 25])


def test_a_missed_rear_pair_is_in_pounds_and_its_miss_in_points(scratch: Path) -> None:
    """From the numbers in the file alone: the miss is what lies outside the narrowed band, in percent of the total."""
    oval = ROOT / "examples" / "short-oval"
    car = scratch.with_name("car.toml")
    aim = "rear_pair = { aim = 200, within = 20 }"
    text = (oval / "car.toml").read_text(encoding="utf-8")
    assert aim in text
    car.write_text(text.replace(aim, "rear_pair = { aim = 900, within = 20 }"), encoding="utf-8")
    text = files.as_json(plan(files.read_question(car, oval / "weigh-in.toml")))
    data = json.loads(text)
    pair = next(target for target in data["targets"] if target["figure"] == "rear pair")
    loads = data["cases"][0]["corner_loads"]
    assert (pair["aim"], pair["within"]) == (900, 20)
    assert pair["after"] == pytest.approx(loads["LR"] - loads["RR"], rel=1e-9)
    outside = abs(pair["after"] - 900) - (20 - pair["guard"])
    assert pair["miss_points"] == pytest.approx(100 * outside / sum(loads.values()), rel=1e-9)
    scratch.write_text(text, encoding="utf-8")
    assert files.as_json(files.read_answer(scratch)) == text


def test_what_the_scales_say_is_one_json_object() -> None:
    """Corner loads of `weigh` are the means of the pads: (279.6 + 280.4 + 279.8) / 3 = 279.933..."""
    question = files.read_question(SALOON / "car.toml", SALOON / "weigh-in.toml")
    data = json.loads(files.as_json(weigh(question)))
    assert data["units"] == {"mass": "kg", "length": "mm", "volume": None, "spring": None, "twist": None}
    assert data["measured"]["corner_loads"]["LF"] == pytest.approx((279.6 + 280.4 + 279.8) / 3, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", "null", "{}", '{"question": 5}', "[" * 100_000, "9" * 5000, "\x00"]
)
def test_what_is_no_plan_is_told(text: str, scratch: Path) -> None:
    """Empty, half, or something else altogether."""
    scratch.write_text(text, encoding="utf-8")
    _refused(lambda: files.read_answer(scratch))


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        (("question", "car", "car", "wheelbase"), -2480, "question.car [car] wheelbase = -2480"),
        (("question", "car"), None, "question.car: must be a table"),
        (("question", "weigh_in"), 5, "question.weigh_in = 5: must be a table"),
        (("question", "weigh_in", "readings"), [], "needs at least one entry"),
        (("question", "rulebook"), {}, "question.rulebook [units]: is missing"),
        (("question", "car", "mounts", 0, "name"), "boot floor left", "2 mounts have this name"),
        (("question", "weigh_in", "weigh_in", "driver"), None, "because the rulebook weighs the car"),
        (("question", "rulebook", "minimum_weight", 0, "checked"), "spring", 'checked = "spring": is not a date'),
        (("outcome",), "certain", 'outcome = "certain"'),
        (("fit", 0, "mount"), "ceiling", 'fit mount = "ceiling": the car of this plan has no such mount'),
        (("changes", 0, "plate"), "7 lb", 'changes plate = "7 lb": the box of this plan has no such plate'),
        (("required_total",), float("nan"), "required_total = nan"),
        (("cases", 0, "corner_loads", "RR"), "much", 'RR = "much"'),
        (("findings", 0, "dimension"), "area", 'dimension = "area"'),
    ],
)
def test_a_plan_that_was_tampered_with_is_told(
    place: tuple[Any, ...], value: object, told: str, saved: dict[str, Any], scratch: Path
) -> None:
    """One value of a saved plan changed by hand: the place is told, and that the plan is to be saved again."""
    data = json.loads(json.dumps(saved))
    here: Any = data
    for key in place[:-1]:
        here = here[key]
    here[place[-1]] = value
    scratch.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        files.read_answer(scratch)
    assert told in str(caught.value)
    assert all("ballast plan --save" in complaint.fix and complaint.file for complaint in caught.value.complaints)


@FUZZ
@given(data=st.data())
def test_a_spoilt_plan_is_read_or_complained_about(saved: dict[str, Any], scratch: Path, data: st.DataObject) -> None:
    """Anything dropped, renamed or changed in a saved plan: an answer or complaints, never anything else."""
    spoilt = json.loads(json.dumps(saved))
    _spoil(spoilt, data.draw)
    scratch.write_text(json.dumps(spoilt, default=str), encoding="utf-8")
    _read_or_complained_about(lambda: files.read_answer(scratch))
