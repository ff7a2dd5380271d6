"""The README says what the program does: its blocks and lines are run, its output and key tables are the program's own.

So does DEVELOPERS.md: it has no block that nothing runs, and what it names is there.
"""

import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
import typer
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ballast.cli import app, main
from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.files import read_answer, read_car, read_changed
from ballast.records.lifts import Lifts
from ballast.records.quantities import Record
from ballast.records.rulebook import Rulebook
from ballast.records.trials import Trials
from ballast.records.weighing import WeighIn
from ballast.showing.pictures import plan_view, rendered

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
COMMANDS = typer.main.get_command(app).commands  # type: ignore[attr-defined]
LINES = re.findall(r"^    ballast (.+)$", README.read_text(encoding="utf-8"), re.MULTILINE)
"""Commands as they are shown, set in from the margin."""
ENDS_IN_ONE = ("compare examples/beam-axle-coupe/plan.json examples/beam-axle-coupe/re-weigh.toml",)
"""The re-weigh of the example does not stand as planned, and its exit status says so."""
FILES: dict[str, type[Record]] = {
    "The car": Car,
    "A weigh-in": WeighIn,
    "A rulebook": Rulebook,
    "A file of changes": Changed,
    "A file of lifts": Lifts,
    "A file of trials": Trials,
}


def test_there_are_exactly_two_lines_to_copy() -> None:
    """Two shell blocks of one line each: one plans a shipped example, one runs the test suite."""
    blocks = re.findall(r"```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert "ballast plan examples/" in blocks[0]
    assert "pytest" in blocks[1]


def _run(line: str, monkeypatch: pytest.MonkeyPatch) -> int:
    """Exit status of a command, run within this process."""
    monkeypatch.setattr(sys, "argv", ["ballast", *line.split()])
    try:
        main()
    except SystemExit as end:
        return int(end.code or 0)
    return 0


@pytest.mark.parametrize("line", LINES)
def test_every_line_shown_runs(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From the top of a checkout, as printed. A car without a folder is the reader's own: here it is the first example.

    What a line needs of a line before it, a saved plan, is made first.
    """
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    for file in (ROOT / "examples" / "circuit-saloon").glob("*.toml"):
        shutil.copy(file, tmp_path)
    monkeypatch.chdir(tmp_path)
    if "race-1.json" in line:
        assert _run("plan car.toml weigh-in.toml --rules rulebook.toml --save race-1.json", monkeypatch) == 0
    assert _run(line, monkeypatch) == int(line in ENDS_IN_ONE)


def test_every_command_is_told_and_nothing_else() -> None:
    """The table under "Your own car" has a row for each command, and each option named is one of some command."""
    text = README.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `ballast ([a-z]+)\b", text, re.MULTILINE)
    assert sorted(rows) == sorted(COMMANDS)
    of_others = {"--install"}
    known = {name for command in COMMANDS.values() for option in command.params for name in option.opts}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text)) - known - of_others - {"--version", "--help"} == set()


def test_every_option_of_a_plan_is_told() -> None:
    """What `plan` can do stands in the README, option by option."""
    text = README.read_text(encoding="utf-8")
    options = {name for option in COMMANDS["plan"].params for name in option.opts if name.startswith("--")}
    assert {name for name in options if name not in text} == set()


def test_there_is_no_block_that_nothing_runs() -> None:
    """Fenced blocks are those that tests here run or compare; DEVELOPERS.md has none but drawings."""
    kinds = re.findall(r"^```(\w+)$", README.read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted(set(kinds)) == ["python", "sh", "text", "toml"]
    assert (kinds.count("python"), kinds.count("sh"), kinds.count("toml")) == (1, 2, 1)
    outputs = re.findall(r"<!-- output: .+ -->\n```text\n", README.read_text(encoding="utf-8"))
    assert kinds.count("text") == len(outputs)
    assert "```" not in DEVELOPERS.read_text(encoding="utf-8")


def test_what_developers_are_told_of_is_there() -> None:
    """Every file and folder named in DEVELOPERS.md exists, wherever it lies."""
    named = re.findall(r"`((?:[\w.-]+/)*[\w.-]+(?:\.py|\.toml|\.md|/))`", DEVELOPERS.read_text(encoding="utf-8"))
    assert len(named) > 20
    here = [
        path.relative_to(ROOT).as_posix()
        for top in ("ballast", "tests", "rules", "examples", ".ci")
        for path in (ROOT / top).rglob("*")
    ] + [path.name for path in ROOT.iterdir()]
    for name in named:
        plain = name.rstrip("/")
        assert any(path == plain or path.endswith(f"/{plain}") for path in here), name


def test_the_python_block_runs(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The block under "From Python" runs as printed."""
    monkeypatch.chdir(ROOT)
    block = re.findall(r"```python\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)[0]
    exec(compile(block, "README.md", "exec"), {})
    assert "proved best" in capsys.readouterr().out


def test_the_file_of_changes_shown_is_read(tmp_path: Path) -> None:
    """The file of changes in the README is one: with a table of each kind, and the mount and plate of the starter."""
    (block,) = re.findall(r"```toml\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    path = tmp_path / "changes.toml"
    path.write_text(block, encoding="utf-8")
    changed = read_changed(path)
    assert changed.removed and changed.added and changed.moved
    starter = read_car(ROOT / "ballast" / "starter" / "car.toml")
    for row in changed.placed:
        assert row.mount in {mount.name for mount in starter.mounts}
        assert row.plate in {plate.name for plate in starter.plates}


def test_the_output_shown_is_real(request: pytest.FixtureRequest) -> None:
    """The output in the README is how the saved plan of the example reads."""
    sheet = (ROOT / "tests" / "golden" / "sheets" / "circuit-saloon.txt").read_text(encoding="utf-8")
    shown = sheet.partition("\nCENTRE OF GRAVITY")[0]
    _compare("output: plan examples/circuit-saloon", f"```text\n{shown}```\n", request)


def test_the_picture_shown_is_real(request: pytest.FixtureRequest) -> None:
    """The picture in the README is that of the saved plan, byte for byte where the same matplotlib draws it."""
    kept = ROOT / "examples" / "circuit-saloon" / "plan.svg"
    assert f'src="{kept.relative_to(ROOT).as_posix()}"' in README.read_text(encoding="utf-8")
    drawn = rendered(plan_view(read_answer(ROOT / "tests" / "golden" / "plans" / "circuit-saloon.json")), "svg")
    if request.config.getoption("--update-golden"):
        kept.write_bytes(drawn)
    by = re.compile(rb"Matplotlib v[0-9.]+")
    if by.findall(kept.read_bytes()) == by.findall(drawn):
        assert kept.read_bytes() == drawn
    else:
        assert len(kept.read_bytes()) == pytest.approx(len(drawn), rel=0.2)  # drawn a little otherwise


def test_the_key_tables_are_those_of_the_records(request: pytest.FixtureRequest) -> None:
    """The README's tables of keys are the records' own words."""
    parts = []
    for title, model in FILES.items():
        parts.append(f"### {title}\n")
        parts.extend(_tables(model))
    _compare("keys", "\n".join(parts), request)


def _compare(mark: str, wanted: str, request: pytest.FixtureRequest) -> None:
    text = README.read_text(encoding="utf-8")
    before, _, rest = text.partition(f"<!-- {mark} -->\n")
    found, _, after = rest.partition("<!-- end -->")
    if request.config.getoption("--update-golden"):
        README.write_text(f"{before}<!-- {mark} -->\n{wanted}<!-- end -->{after}", encoding="utf-8")
    else:
        assert found == wanted


def _tables(model: type[BaseModel], prefix: str = "") -> Iterator[str]:
    """One Markdown table for each table of a file, an outer table before the ones inside it."""
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    inner = {key: record for key, field in fields.items() if (record := _record(field.annotation))}
    keys = [_row(key, field) for key, field in fields.items() if key not in inner]
    if keys:
        yield "| key | needed | meaning |\n|---|---|---|\n" + "".join(keys)
    for key, record in inner.items():
        several = "tuple" in str(fields[key].annotation)
        title = f"[[{prefix}{key}]]" if several else f"[{prefix}{key}]"
        yield f"**`{title}`** {fields[key].description}\n"
        yield from _tables(record, f"{prefix}{key}.")


def _row(key: str, field: FieldInfo) -> str:
    meaning = " ".join((field.description or "").split())
    return f"| `{key}` | {'yes' if field.is_required() else 'no'} | {meaning} |\n"


def _record(annotation: Any) -> type[Record] | None:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation
    return next((found for part in get_args(annotation) if (found := _record(part))), None)
