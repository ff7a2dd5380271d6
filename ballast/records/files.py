"""The one place where a record meets a file."""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from ballast.errors import Complaint, InputError, did_you_mean
from ballast.records import car as car_records
from ballast.records import changed as changed_records
from ballast.records import disk, tables, together
from ballast.records import ledger as ledger_records
from ballast.records import lifts as lifts_records
from ballast.records import rulebook as rulebook_records
from ballast.records import trials as trials_records
from ballast.records import weighing as weighing_records
from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.compared import Compared
from ballast.records.complaining import complaints as validation_complaints
from ballast.records.history import History
from ballast.records.ledger import Ledger
from ballast.records.lifts import BothAxles, Lifts, MeasuredHeight
from ballast.records.mistyped import parsed
from ballast.records.plan import Answer, Choices, Plan
from ballast.records.predicted import Predicted
from ballast.records.quantities import Record, UnitsTable
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from ballast.records.trials import Trials
from ballast.records.tried import Tried
from ballast.records.turns import Wound
from ballast.records.weighed import Weighed
from ballast.records.weighing import WeighIn
from ballast.units import Units

R = TypeVar("R", bound=Record)
Contradictions = Callable[[R], Iterable[Complaint]]


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
    if disk.is_taken(path) or path.suffix or len(path.parts) > 1:
        return path
    fix = f"give the name of a file, or a packaged rulebook: {did_you_mean(name_or_file, rulebook_names())}"
    raise InputError([Complaint("is neither a file nor a packaged rulebook", fix, file=name_or_file)])


# --- reading -------------------------------------------------------------------------------------------------------


def read_question(
    car: Path,
    weigh_in: Path,
    rulebook: Path | None = None,
    ledger: Path | None = None,
    changed: Path | None = None,
) -> Question:
    """Read the files of one question. Raises InputError with the complaints about all of them together."""
    found: list[Complaint] = []
    car_record = _gather(found, lambda: read_car(car))
    weigh_in_record = _gather(found, lambda: read_weigh_in(weigh_in))
    rulebook_record = _gather(found, lambda: read_rulebook(rulebook)) if rulebook else None
    ledger_record = _gather(found, lambda: read_ledger(ledger)) if ledger else None
    changed_record = _gather(found, lambda: read_changed(changed)) if changed else None
    if found or car_record is None or weigh_in_record is None:
        raise InputError(found)
    question = Question(
        car=car_record,
        weigh_in=weigh_in_record,
        rulebook=rulebook_record,
        ledger=ledger_record,
        changed=changed_record,
    )
    names = {"car": car, "weigh_in": weigh_in, "rulebook": rulebook, "ledger": ledger, "changed": changed}
    across = [replace(complaint, file=str(names[part])) for part, complaint in together.complaints(question)]
    if across:
        raise InputError(across)
    return question


def read_visits(car: Path, weigh_ins: Sequence[Path], rulebook: Path | None = None) -> tuple[Question, ...]:
    """Read several weigh-ins of one car. Raises InputError with the complaints about all the files together."""
    found: list[Complaint] = []
    car_record = _gather(found, lambda: read_car(car))
    visits = [(path, _gather(found, partial(read_weigh_in, path))) for path in weigh_ins]
    rulebook_record = _gather(found, lambda: read_rulebook(rulebook)) if rulebook else None
    if len({path.resolve() for path in weigh_ins}) < len(weigh_ins):
        twice = next(path for path in weigh_ins if [other.resolve() for other in weigh_ins].count(path.resolve()) > 1)
        found.append(Complaint("is named twice", "name each visit once.", file=str(twice)))
    if found or car_record is None:
        raise InputError(found)
    questions, across = [], dict[Complaint, None]()
    for path, visit in visits:
        if visit is not None:
            question = Question(car=car_record, weigh_in=visit, rulebook=rulebook_record)
            names = {"car": car, "weigh_in": path, "rulebook": rulebook}
            across |= {replace(one, file=str(names[part])): None for part, one in together.complaints(question)}
            questions.append(question)
    if across:
        raise InputError(across)
    return tuple(questions)


def read_car(path: Path) -> Car:
    """Read a car file. Raises InputError with every complaint about it."""
    return _read(path, "car", Car, car_records.complaints)


def read_weigh_in(path: Path) -> WeighIn:
    """Read a weigh-in file. Raises InputError with every complaint about it."""
    return _read(path, "weigh_in", WeighIn, weighing_records.complaints)


def read_rulebook(path: Path) -> Rulebook:
    """Read a rulebook file. Raises InputError with every complaint about it."""
    return _read(path, "rulebook", Rulebook, rulebook_records.complaints)


def read_ledger(path: Path) -> Ledger:
    """Read a ledger of scales. Raises InputError with every complaint about it."""
    return _read(path, "comparisons", Ledger, ledger_records.complaints)


def read_changed(path: Path) -> Changed:
    """Read a file of changes. Raises InputError with every complaint about it."""
    return _read(path, "removed", Changed, changed_records.complaints)


def read_lifts(path: Path) -> Lifts:
    """Read a file of lifts. Raises InputError with every complaint about it."""
    return _read(path, "lifts", Lifts, lifts_records.complaints)


def read_car_and_lifts(car: Path, lifts: Path) -> tuple[Car, Lifts]:
    """Read the two files of `height`. Raises InputError with the complaints about both together."""
    found: list[Complaint] = []
    car_record = _gather(found, lambda: read_car(car))
    lifts_record = _gather(found, lambda: read_lifts(lifts))
    if car_record is None or lifts_record is None:
        raise InputError(found)
    return car_record, lifts_record


def read_car_and_both_lifts(car: Path, one: Path, other: Path) -> tuple[Car, Lifts, Lifts]:
    """The same with a file of lifts for either axle."""
    found: list[Complaint] = []
    car_record = _gather(found, lambda: read_car(car))
    one_record = _gather(found, lambda: read_lifts(one))
    other_record = _gather(found, lambda: read_lifts(other))
    if car_record is None or one_record is None or other_record is None:
        raise InputError(found)
    return car_record, one_record, other_record


def read_trials(path: Path) -> Trials:
    """Read a file of trials. Raises InputError with every complaint about it."""
    return _read(path, "weights", Trials, trials_records.complaints)


def read_question_and_trials(car: Path, weigh_in: Path, trials: Path) -> tuple[Question, Trials]:
    """Read the three files of `trial`. Raises InputError with the complaints about all of them together."""
    found: list[Complaint] = []
    question = _gather(found, lambda: read_question(car, weigh_in))
    tried = _gather(found, lambda: read_trials(trials))
    if question is None or tried is None:
        raise InputError(found)
    return question, tried


def read_plan_and_weigh_in(plan: Path, weigh_in: Path) -> tuple[Answer, WeighIn]:
    """Read the two files of `compare`. Raises InputError with the complaints about both together."""
    found: list[Complaint] = []
    answer = _gather(found, lambda: read_answer(plan))
    if _is_json(weigh_in):
        fix = "name the saved plan first, then the weigh-in made after it (TOML)."
        found.append(Complaint("is JSON, where a weigh-in file is wanted", fix, file=str(weigh_in)))
        raise InputError(found)
    weigh_in_record = _gather(found, lambda: read_weigh_in(weigh_in))
    if answer is None or weigh_in_record is None:
        raise InputError(found)
    return answer, weigh_in_record


def _is_json(path: Path) -> bool:
    try:
        return _json(disk.text(path)) is not None
    except InputError:
        return False


def _json(text: str) -> dict[str, Any] | None:
    """One JSON object, if a text is that."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def read_answer(path: Path) -> Answer:
    """Read back what `plan --save` wrote. Raises InputError with every complaint about it."""
    try:
        raw = json.loads(disk.text(path))
    except json.JSONDecodeError as error:
        raise InputError([Complaint(f"is not JSON (line {error.lineno})", SAVE_AGAIN, file=str(path))]) from error
    except (ValueError, RecursionError) as error:
        raise InputError([Complaint("cannot be read to its end", SAVE_AGAIN, file=str(path))]) from error
    asked = raw.pop("question", None) if isinstance(raw, dict) else None
    if not isinstance(asked, dict):
        raise InputError([Complaint("holds no plan", SAVE_AGAIN, file=str(path))])

    def part(name: str, model: type[R], contradictions: Contradictions[R]) -> R | None:
        return _gather(found, lambda: _checked(asked.get(name), model, contradictions, ""), f"question.{name}")

    found: list[Complaint] = []
    car = part("car", Car, car_records.complaints)
    weigh_in = part("weigh_in", WeighIn, weighing_records.complaints)
    rulebook = part("rulebook", Rulebook, rulebook_records.complaints) if asked.get("rulebook") is not None else None
    ledger = part("ledger", Ledger, ledger_records.complaints) if asked.get("ledger") is not None else None
    changed = part("changed", Changed, changed_records.complaints) if asked.get("changed") is not None else None
    offered = raw.pop("choices", None)
    choices = _gather(found, lambda: _checked(offered, Choices, _none, ""), "choices") if offered is not None else None
    plan = _gather(found, lambda: _checked(raw, Plan, _none, ""))
    if car and weigh_in and not found:
        question = Question(car=car, weigh_in=weigh_in, rulebook=rulebook, ledger=ledger, changed=changed)
        found += [complaint for _, complaint in together.complaints(question)]
        found += _unknown_names(car, plan) if plan else []
        if plan and not found:
            return Answer(question=question, plan=plan, choices=choices)
    raise InputError(replace(complaint, fix=SAVE_AGAIN, file=str(path)) for complaint in found)


SAVE_AGAIN = "give a file as `ballast plan --save` wrote it; this one was changed or damaged, or is something else."


def _unknown_names(car: Car, plan: Plan) -> Iterator[Complaint]:
    mounts, plates = {mount.name for mount in car.mounts}, {plate.name for plate in car.plates}
    named = [("fit", row.mount, row.plate) for row in plan.fit]
    named += [("changes", row.mount, row.plate) for row in plan.changes]
    for table, mount, plate in named:
        if mount not in mounts:
            yield Complaint("the car of this plan has no such mount", "", f"{table} mount", f'"{mount}"')
        if plate not in plates:
            yield Complaint("the box of this plan has no such plate", "", f"{table} plate", f'"{plate}"')


def _gather(found: list[Complaint], read: Callable[[], R], above: str = "") -> R | None:
    try:
        return read()
    except InputError as error:
        found.extend(replace(complaint, where=f"{above} {complaint.where}".strip()) for complaint in error.complaints)
        return None


def _none(_: Record) -> Iterable[Complaint]:
    return ()


KINDS = {
    "car": "a car file",
    "weigh_in": "a weigh-in file",
    "rulebook": "a rulebook",
    "comparisons": "a ledger",
    "removed": "a file of changes",
    "added": "a file of changes",
    "moved": "a file of changes",
    "placed": "a file of changes",
    "lifts": "a file of lifts",
    "raised": "a file of lifts",
    "trials": "a file of trials",
    "weights": "a file of trials",
    "turns": "a file of trials",
}
"""Tables that only this kind of file has."""


def _read(path: Path, own_table: str, model: type[R], contradictions: Contradictions[R]) -> R:
    file = str(path)
    text = disk.text(path)
    _refuse_other_formats(path, text, KINDS[own_table])
    raw, slips = parsed(text, file)
    if slips and not raw:
        raise InputError(slips)
    if not raw:
        fix = "fill it in; `ballast new FOLDER` writes a starter file with every key explained."
        if model is Changed:
            fix = "fill it in: [units], then tables [[removed]], [[added]], [[moved]] or [[placed]] for what was done."
        if model is Ledger:
            fix = "fill it in: [units], then a table [[comparisons]] with date, event, own and official for each time."
        if model is Lifts:
            fix = (
                "fill it in: [units], [lifts], [level], and a table [[raised]] with height and axle_load for each lift."
            )
        if model is Trials:
            fix = (
                "fill it in: [units], then a table [[weights]] with mass, behind_front_axle and left_of_centre for "
                "each place tried, and [[weights.readings]] below each for what the pads showed."
            )
        raise InputError([Complaint("is empty", fix, file=file)])
    other = next((kind for table, kind in KINDS.items() if table in raw), None)
    if other and all(KINDS[table] != KINDS[own_table] for table in raw.keys() & KINDS.keys()):
        fix = (
            "name the car file first, then the weigh-in; the rulebook behind --rules, the ledger behind --ledger, a "
            "file of changes third for `predict` and behind --changed for `plan`."
        )
        if "a file of lifts" in (other, KINDS[own_table]):
            fix = "a file of lifts goes with `height`: name the car file first, then the lifts."
        elif "a file of trials" in (other, KINDS[own_table]):
            fix = "a file of trials goes with `trial`: name the car file first, then the weigh-in, then the trials."
        raise InputError([*slips, Complaint(f"is {other}, where {KINDS[own_table]} is wanted", fix, file=file)])
    filled = tables.filled_in(raw, path, disk.raw)
    found, rest = [*slips, *filled.complaints], list[Complaint]()
    record = _gather(rest, lambda: _checked(filled.raw, model, _none if filled.complaints else contradictions, file))
    found += filled.placed(rest)
    if found or record is None:
        raise InputError(found)
    return record


def _refuse_other_formats(path: Path, text: str, wanted: str) -> None:
    """Say what a file is that somebody took for one of the files written by hand."""
    kept = _json(text)
    if kept is not None and "question" in kept:
        fix = "give it to `ballast compare` or `ballast sheet`, or behind --carried-out; here name the files behind it."
        raise InputError([Complaint(f"is a saved plan, where {wanted} is wanted", fix, file=str(path))])
    if kept is not None:
        raise InputError([Complaint(f"is JSON, where {wanted} is wanted", "name the TOML file.", file=str(path))])
    if path.suffix.lower() in {".csv", ".tsv"}:
        name = json.dumps(path.name, ensure_ascii=False)
        fix = f"name it in the car file ([plates], below it file = {name}), or in the weigh-in ([readings])."
        raise InputError([Complaint(f"is a table of a spreadsheet, where {wanted} is wanted", fix, file=str(path))])


def _checked(raw: object, model: type[R], contradictions: Contradictions[R], file: str) -> R:
    """A record of a file: first every mistake in its keys, then what its keys say against each other."""
    table = raw.get("units") if isinstance(raw, dict) else None
    try:
        units = UnitsTable.model_validate(table).units()
    except ValidationError:
        units = Units()  # the complaint about [units] comes with all the others, from the whole file below
    try:
        record = model.model_validate(raw, context=units, by_alias=True, by_name=False)
    except ValidationError as error:
        raise InputError(validation_complaints(error, model, raw, file)) from error
    found = [replace(complaint, file=file) for complaint in contradictions(record)]
    if found:
        raise InputError(found)
    return record


# --- writing -------------------------------------------------------------------------------------------------------


Said = Weighed | Rulebook | Predicted | MeasuredHeight | BothAxles | History | Wound | Tried | Compared
"""Answers that carry their own units."""


def as_json(answer: Answer | Said) -> str:
    """One JSON object: a plan with its question, or what the scales said, each in its own file's units, unrounded."""
    if not isinstance(answer, Answer):
        data = _dumped(answer, answer.units)
    else:
        question = answer.question
        parts: dict[str, Car | WeighIn | Rulebook | Ledger | Changed | None] = {
            "car": question.car,
            "weigh_in": question.weigh_in,
            "rulebook": question.rulebook,
            "ledger": question.ledger,
            "changed": question.changed,
        }
        asked = {name: _dumped(part, part.units) if part else None for name, part in parts.items()}
        data = _dumped(answer.plan, answer.plan.units) | {"question": asked}
        if answer.choices:
            data |= {"choices": _dumped(answer.choices, answer.choices.units)}
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def books_as_json(books: dict[str, Rulebook]) -> str:
    """One JSON object: rulebooks by name, each in its own file's units."""
    return json.dumps({name: _dumped(book, book.units) for name, book in books.items()}, indent=2) + "\n"


def _dumped(record: Record, units: UnitsTable) -> dict[str, Any]:
    return record.model_dump(mode="json", by_alias=True, context=units.units())


def refuse_clashes(outputs: list[Path], inputs: list[Path]) -> None:
    """Raise InputError when an output would replace a file that is being read, or another output."""
    read = {path.resolve() for path in (*inputs, *_spreadsheets(inputs if outputs else []))}
    seen, found = set[Path](), []
    for path in outputs:
        if path.resolve() in read:
            found.append(Complaint("is one of the files this is planned from", "choose another name.", file=str(path)))
        if path.resolve() in seen:
            found.append(Complaint("is named for two outputs", "choose another name for one.", file=str(path)))
        seen.add(path.resolve())
    if found:
        raise InputError(found)


def _spreadsheets(inputs: list[Path]) -> Iterator[Path]:
    """The CSV files that the inputs name; what is wrong with an input is told when it is read."""
    for path in inputs:
        try:
            raw, _ = parsed(disk.text(path), str(path))
        except InputError:
            continue
        yield from tables.named_in(raw, path)
