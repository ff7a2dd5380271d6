"""Every folder under good/ is read and means what its expected.json says; every file under bad/ gets its complaint.

This test never grows: add files. good/NAME/ holds car.toml, weigh-in.toml, perhaps rulebook.toml, ledger.toml and
changes.toml, and expected.json with values worked out by hand (kg, m, litres, shares). bad/KIND/NAME.toml has its
complaint in NAME.txt; bad/together/NAME/ holds the files that differ from good/plain, bad/with-a-crew/NAME/ those that
differ from good/crew, and complaint.txt. --update-golden writes the complaints anew: read them.
"""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ballast.errors import InputError
from ballast.records import files

HERE = Path(__file__).parent
GOOD = sorted(folder for folder in (HERE / "good").iterdir() if folder.is_dir())
READ: dict[str, Callable[[Path], object]] = {
    "car": files.read_car,
    "weigh-in": files.read_weigh_in,
    "rulebook": files.read_rulebook,
    "ledger": files.read_ledger,
    "changes": files.read_changed,
    "lifts": files.read_lifts,
    "trials": files.read_trials,
}
BAD = sorted(path for kind in READ for path in (HERE / "bad" / kind).glob("*.toml"))
DIFFERS_FROM = {"together": "plain", "with-a-crew": "crew"}
TOGETHER = sorted(folder for kind in DIFFERS_FROM for folder in (HERE / "bad" / kind).iterdir() if folder.is_dir())
OPTIONAL = ("rulebook.toml", "ledger.toml", "changes.toml")


def _if_there(path: Path) -> Path | None:
    return path if path.exists() else None


def _at(record: Any, place: str) -> Any:
    """The value at a place such as "car.mounts.0.capacity"."""
    for name in place.split("."):
        record = record[int(name)] if name.isdigit() else getattr(record, name)
    return record


@pytest.mark.parametrize("folder", GOOD, ids=lambda folder: folder.name)
def test_good_files_mean_what_they_say(folder: Path) -> None:
    """A good folder is read, and its numbers are the hand-converted ones to a part in 10^12."""
    optional = [_if_there(folder / name) for name in OPTIONAL]
    question = files.read_question(folder / "car.toml", folder / "weigh-in.toml", *optional)
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    assert expected.pop("about"), "say in words what this folder is for"
    assert expected
    for place, value in expected.items():
        found = _at(question, place)
        if isinstance(value, float):
            assert found == pytest.approx(value, rel=1e-12, abs=0), place
        else:
            assert (
                list(found) if isinstance(found, tuple) else found if value is None else type(value)(found)
            ) == value


@pytest.mark.parametrize("path", BAD, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_bad_file_gets_its_complaint(path: Path, request: pytest.FixtureRequest) -> None:
    """A bad file is refused with exactly the complaint that lies beside it."""
    with pytest.raises(InputError) as caught:
        READ[path.parent.name](path)
    _compare(caught.value, path.parent, path.with_suffix(".txt"), request)


@pytest.mark.parametrize("folder", TOGETHER, ids=lambda folder: f"{folder.parent.name}/{folder.name}")
def test_files_that_do_not_go_together_get_their_complaint(
    folder: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Files that contradict each other, or are bad each on its own, are refused with all complaints at once."""
    for source in (HERE / "good" / DIFFERS_FROM[folder.parent.name], folder):
        for file in source.glob("*.toml"):
            shutil.copy(file, tmp_path)
    optional = [tmp_path / name if _if_there(folder / name) else None for name in OPTIONAL]
    with pytest.raises(InputError) as caught:
        files.read_question(tmp_path / "car.toml", tmp_path / "weigh-in.toml", *optional)
    _compare(caught.value, tmp_path, folder / "complaint.txt", request)


def _compare(error: InputError, folder: Path, expected: Path, request: pytest.FixtureRequest) -> None:
    for complaint in error.complaints:
        assert complaint.file and complaint.what and complaint.fix
    text = str(error).replace(f"{folder}/", "") + "\n"
    if request.config.getoption("--update-golden"):
        expected.write_text(text, encoding="utf-8")
    assert expected.is_file(), f"no {expected.name}; read the complaint, then run pytest --update-golden:\n{text}"
    assert text == expected.read_text(encoding="utf-8")


def test_every_complaint_has_its_file() -> None:
    """A text whose file was renamed or taken away is a test that no longer runs."""
    texts = {path for kind in READ for path in (HERE / "bad" / kind).glob("*.txt")}
    assert texts == {path.with_suffix(".txt") for path in BAD}
