"""Reading and writing: the one place where a record meets a file."""

import json
import os
import re
import tempfile
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from ballast.errors import Complaint, InputError, did_you_mean
from ballast.records import car as car_records
from ballast.records import question as question_records
from ballast.records import weighing as weighing_records
from ballast.records.car import Car
from ballast.records.complaining import complaints as validation_complaints
from ballast.records.plan import Answer, Plan
from ballast.records.quantities import Record, UnitsTable
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from ballast.records.weighed import Weighed
from ballast.records.weighing import WeighIn
from ballast.units import Units

R = TypeVar("R", bound=Record)


# --- rulebooks by name ---------------------------------------------------------------------------------------------


def rules_folder() -> Path:
    """Where the packaged rulebooks are: inside the package in a wheel, beside it in a checkout."""
    package = Path(__file__).parent.parent
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


def rulebook_names() -> list[str]:
    """Names of the packaged rulebooks."""
    return sorted(path.stem for path in rules_folder().glob("*.toml"))


def rulebook_path(name_or_file: str) -> Path:
    """The file of a packaged rulebook, or the user's own. Raises InputError when there is neither."""
    if name_or_file in rulebook_names():
        return rules_folder() / f"{name_or_file}.toml"
    path = Path(name_or_file)
    if path.exists() or path.suffix or len(path.parts) > 1:
        return path
    fix = f"give the name of a file, or a packaged rulebook: {did_you_mean(name_or_file, rulebook_names())}"
    raise InputError([Complaint("is neither a file nor a packaged rulebook", fix, file=name_or_file)])


# --- reading -------------------------------------------------------------------------------------------------------


def read_question(car: Path, weigh_in: Path, rulebook: Path | None = None) -> Question:
    """Read the files of one question. Raises InputError with the complaints about all of them together."""
    found: list[Complaint] = []
    car_record = _gather(found, read_car, car)
    weigh_in_record = _gather(found, read_weigh_in, weigh_in)
    rulebook_record = _gather(found, read_rulebook, rulebook) if rulebook else None
    if found or car_record is None or weigh_in_record is None:
        raise InputError(found)
    question = Question(car=car_record, weigh_in=weigh_in_record, rulebook=rulebook_record)
    names = {"car": str(car), "weigh_in": str(weigh_in), "rulebook": str(rulebook)}
    across = [replace(complaint, file=names[part]) for part, complaint in question_records.complaints(question)]
    if across:
        raise InputError(across)
    return question


def read_car(path: Path) -> Car:
    """Read a car file. Raises InputError with every complaint about it."""
    return _read(path, Car, car_records.complaints)


def read_weigh_in(path: Path) -> WeighIn:
    """Read a weigh-in file. Raises InputError with every complaint about it."""
    return _read(path, WeighIn, weighing_records.complaints)


def read_rulebook(path: Path) -> Rulebook:
    """Read a rulebook file. Raises InputError with every complaint about it."""
    return _read(path, Rulebook, lambda _: ())


def read_answer(path: Path) -> Answer:
    """Read back what `plan --save` wrote. Raises InputError with every complaint about it."""
    try:
        raw = json.loads(_text(path))
    except json.JSONDecodeError as error:
        fix = "give a file that `ballast plan --save` wrote."
        raise InputError([Complaint(f"is not JSON (line {error.lineno})", fix, file=str(path))]) from error
    question = raw.pop("question", None) if isinstance(raw, dict) else None
    if not isinstance(question, dict):
        raise InputError([Complaint("holds no plan", "give a file that `ballast plan --save` wrote.", file=str(path))])
    file = str(path)
    rulebook = question.get("rulebook")
    return Answer(
        question=Question(
            car=_validated(question.get("car", {}), Car, file),
            weigh_in=_validated(question.get("weigh_in", {}), WeighIn, file),
            rulebook=_validated(rulebook, Rulebook, file) if rulebook else None,
        ),
        plan=_validated(raw, Plan, file),
    )


def _gather(found: list[Complaint], read: Callable[[Path], R], path: Path) -> R | None:
    try:
        return read(path)
    except InputError as error:
        found.extend(error.complaints)
        return None


def _read(path: Path, model: type[R], contradictions: Callable[[R], Iterable[Complaint]]) -> R:
    raw = _parsed(_text(path), str(path))
    if not raw:
        fix = "fill it in; `ballast new FOLDER` writes a starter file with every key explained."
        raise InputError([Complaint("is empty", fix, file=str(path))])
    record = _validated(raw, model, str(path))
    found = [replace(complaint, file=str(path)) for complaint in contradictions(record)]
    if found:
        raise InputError(found)
    return record


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        near = did_you_mean(path.name, (other.name for other in path.parent.glob("*") if other.is_file()))
        fix = (
            near
            if near.startswith("did you mean")
            else "check the name and the folder; `ballast new FOLDER` writes one."
        )
        raise InputError([Complaint("there is no such file", fix, file=str(path))]) from error
    except IsADirectoryError as error:
        raise InputError([Complaint("is a folder", "name a file inside it.", file=str(path))]) from error
    except PermissionError as error:
        raise InputError(
            [Complaint("may not be read", "change its permissions, or copy it.", file=str(path))]
        ) from error
    except UnicodeDecodeError as error:
        fix = "give the TOML text file; spreadsheets and pictures cannot be read."
        raise InputError([Complaint("is not a text file", fix, file=str(path))]) from error
    except OSError as error:
        fix = "check the name, the folder and the disk."
        raise InputError([Complaint(f"cannot be read ({error.strerror or error})", fix, file=str(path))]) from error


DECIMAL_COMMA = re.compile(r"^\s*(?P<key>[\w.\"-]+)\s*=\s*(?P<whole>[-+]?\d+),(?P<part>\d+)\s*(#.*)?$")


def _parsed(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        commas = list(_decimal_commas(text, file))
        if commas:
            raise InputError(commas) from error
        what, _, place = str(error).partition(" (at ")
        fix = "each line is key = value, texts between quotes, tables like [car] or [[mounts]]."
        where = place.rstrip(")").partition(",")[0]
        raise InputError([Complaint(f"is not TOML: {what[0].lower()}{what[1:]}", fix, where, file=file)]) from error


def _decimal_commas(text: str, file: str) -> Iterator[Complaint]:
    table = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip().startswith("["):
            table = line.strip()
        found = DECIMAL_COMMA.match(line)
        if found:
            value = f"{found['whole']},{found['part']}"
            fix = f"write {found['key']} = {value.replace(',', '.')}"
            yield Complaint("has a decimal comma", fix, f"line {number}, {table} {found['key']}", value, file)


def _validated(raw: Any, model: type[R], file: str) -> R:
    try:
        table = raw.get("units") if isinstance(raw, dict) else None
        try:
            units = UnitsTable.model_validate(table).units()
        except ValidationError:
            units = Units()  # the complaint about [units] comes with all the others, from the whole file below
        return model.model_validate(raw, context=units)
    except ValidationError as error:
        raise InputError(validation_complaints(error, model, raw, file)) from error


# --- writing -------------------------------------------------------------------------------------------------------


def as_json(answer: Answer | Weighed) -> str:
    """One JSON object: a plan with its question, or what the scales said, each in its own file's units, unrounded."""
    if isinstance(answer, Weighed):
        data = _dumped(answer, answer.units)
    else:
        question = answer.question
        parts: dict[str, Car | WeighIn | Rulebook | None] = {
            "car": question.car,
            "weigh_in": question.weigh_in,
            "rulebook": question.rulebook,
        }
        asked = {name: _dumped(part, part.units) if part else None for name, part in parts.items()}
        data = _dumped(answer.plan, answer.plan.units) | {"question": asked}
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _dumped(record: Record, units: UnitsTable) -> dict[str, Any]:
    return record.model_dump(mode="json", by_alias=True, context=units.units())


def refuse_existing(paths: Iterable[Path], overwrite: bool) -> None:
    """Raise InputError when one of these exists already and the user did not ask to replace it."""
    fix = "choose another name, or add --overwrite to replace it."
    found = [Complaint("is there already", fix, file=str(path)) for path in paths if path.exists() and not overwrite]
    if found:
        raise InputError(found)


def write_whole(path: Path, content: str | bytes, overwrite: bool) -> None:
    """Write a file whole or not at all. Raises InputError when it may not be written, or exists and must be kept."""
    refuse_existing([path], overwrite)
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(temporary).chmod(0o644)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        fix = "choose a folder that exists and that you may write to."
        raise InputError([Complaint(f"cannot be written ({error.strerror or error})", fix, file=str(path))]) from error
