"""The starter files: everything in them that is commented out is right too, and means what its remark says."""

import re
from pathlib import Path

import pytest

from ballast.jobs.plan import plan
from ballast.records import files
from ballast.records.rulebook import Rulebook

STARTER = Path(files.__file__).parents[1] / "starter"
COMMENTED = re.compile(r"^# (?=\[{1,2}[a-z_]+\]{1,2}|[a-z_]+ = )", re.MULTILINE)
LEDGER = "# Have you had this car on official scales"


@pytest.fixture
def everything(tmp_path: Path) -> Path:
    """A folder with the starter files, every optional line made a real one; the ledger in a file of its own."""
    for name in ("car", "weigh-in", "rulebook"):
        text, _, ledger = (STARTER / f"{name}.toml").read_text(encoding="utf-8").partition(LEDGER)
        if name == "car":
            text = text.replace("# rear_pair = ", "# not with diagonal: ")
        (tmp_path / f"{name}.toml").write_text(COMMENTED.sub("", text), encoding="utf-8")
        if ledger:
            (tmp_path / "ledger.toml").write_text(COMMENTED.sub("", f"{LEDGER}{ledger}"), encoding="utf-8")
    return tmp_path


def test_every_commented_line_is_right_when_it_is_used(everything: Path) -> None:
    """With every # before a key or table taken away the files are read, and every table of a rulebook but two is there.

    Of the two kinds of axle limits, and of the two of shares, the remark names the second.
    """
    names = [everything / f"{name}.toml" for name in ("car", "weigh-in", "rulebook", "ledger")]
    question = files.read_question(*names)
    book = question.rulebook
    assert book is not None
    missing = {name for name in Rulebook.model_fields if not getattr(book, name)}
    assert missing == {"right_side", "rear_share"}
    assert question.ledger and question.weigh_in.fuel and question.weigh_in.fitted
    assert question.weigh_in.pads.instrument and question.weigh_in.pads.gain_within
    assert question.car.mounts[0].bolts and question.car.mounts[0].zone == "front tray"
    assert {loss.name for loss in question.car.losses} == {"tyre wear", "fuel sample"}


def test_the_values_said_to_be_taken_without_a_line_are_taken(everything: Path) -> None:
    """Where a remark says what holds without the line, the same line written out changes nothing."""
    written = files.read_car(everything / "car.toml")
    bare = files.read_car(STARTER / "car.toml")
    assert written.margin == bare.margin
    assert written.mounts[0].place_within == bare.mounts[0].place_within


def test_the_starter_files_as_they_are_give_a_plan_that_breaks_nothing() -> None:
    """Unchanged, the files have a legal plan; what was not entered, the bolts, is not checked."""
    question = files.read_question(*(STARTER / f"{name}.toml" for name in ("car", "weigh-in", "rulebook")))
    answer = plan(question)
    assert answer.plan.legal
    assert [finding.rule for finding in answer.plan.findings if finding.verdict == "not checked"] == ["bolts"]
