"""From a failed validation to complaints a mechanic can act on."""

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from ballast.errors import Complaint, did_you_mean, nearest
from ballast.records.mistyped import plain_number
from ballast.records.tables_of import by_key, field_at, keys_at, models

Path = Sequence[int | str]

MANY = 3
"""sizes that make no sense, from which on the unit is the mistake"""
LONGEST_SHOWN = 60
"""characters of a value that are shown of what the user wrote"""
SAID_FOR = {
    "weight": "mass",
    "minimum": "least",
    "maximum": "greatest",
    "size": "thread",
    "grade": "strength",
    "litres": "volume",
    "hours": "driving_time",
    "number": "count",
    "raised": "raised_axle",
}
"""keys that people write, and what they are called here, where a table knows that"""
UNIT_MISSING = {
    "volume": ("a volume", "volumes", 'write volume = "L" (or "US gal" or "imp gal") below [units].'),
    "spring": ("a rate", "rates", 'write spring = "N/mm" (or "lbf/in") below [units].'),
    "twist": ("the chassis stiffness", "stiffnesses", 'write twist = "N m/deg" (or "lbf ft/deg") below [units].'),
}
"""what is said when a unit is missing: of one number, of several, and the remedy"""


def complaints(error: ValidationError, model: type[BaseModel], raw: Any, file: str) -> Iterator[Complaint]:
    """Every mistake of a failed validation, with its place in the file and a remedy."""
    every = error.errors(include_url=False)
    details = [detail for detail in every if detail["type"] != "no_unit"]
    without = Counter(detail["ctx"]["dimension"] for detail in every if detail["type"] == "no_unit")
    for dimension, count in without.items():
        one, many, fix = UNIT_MISSING[dimension]
        what = f"is needed for {count} {many} of this file" if count > 1 else f"is needed for {one} of this file"
        yield Complaint(what, fix, f"[units] {dimension}", file=file)
    found = []
    for detail in details:
        if not _follows_from_another(detail, details):
            what, fix = _explain(detail, model)
            found.append(Complaint(what, fix, _where(detail["loc"], raw), _shown(detail), file))
    yield from dict.fromkeys(found)  # one number that stands for both sides is wrong once
    for dimension in ("length", "mass"):
        places = [f"{_where(detail['loc'], raw)} = {_shown(detail)}" for detail in _all_of(dimension, details)]
        if len(places) >= MANY:
            shown = ", ".join(places[:MANY]) + (f" and {len(places) - MANY} more" if len(places) > MANY else "")
            what = f"is hardly the unit of {shown}"
            meaning = _meaning(field_at(model, ("units", dimension)))
            written = json.dumps(raw["units"][dimension])
            yield Complaint(
                what, f"write the unit they were measured in: {meaning}.", f"[units] {dimension}", written, file
            )


def _all_of(dimension: str, details: list[ErrorDetails]) -> list[ErrorDetails]:
    """Sizes of one dimension that nothing on a car has; many of them together are one mistake in [units]."""
    odd = [other for other in details if other["type"] == "implausible" and other["ctx"]["dimension"] == dimension]
    return [] if any(other["loc"][:1] == ("units",) for other in details) else odd


def _follows_from_another(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Whether a mistake goes away with another one of the same file.

    A bad entry leaves its list short, a bad unit makes every size odd, and a misspelt or misplaced key is missing
    where it belongs.
    """
    match detail["type"]:
        case "too_short":
            return bool(detail["input"])
        case "implausible":
            many = len(_all_of(detail["ctx"]["dimension"], details)) >= MANY
            return many or any(other["loc"][:1] == ("units",) for other in details)
        case "missing":
            *table, key = detail["loc"]
            unknown = [other["loc"] for other in details if other["type"] == "extra_forbidden"]
            misplaced = not table or not isinstance(table[-1], int)
            return any(
                ([*path[:-1]] == table and nearest(str(path[-1]), [str(key)])) or (misplaced and path[-1] == key)
                for path in unknown
            )
    return False


def _explain(detail: ErrorDetails, model: type[BaseModel]) -> tuple[str, str]:  # noqa: PLR0911, PLR0912
    kind, value, context, path = detail["type"], detail["input"], detail.get("ctx", {}), detail["loc"]
    field = field_at(model, path)
    meaning = _meaning(field)
    key = next((name for name in reversed(path) if isinstance(name, str)), "")
    match kind:
        case "missing":
            return "is missing", _how_to_add(model, path, meaning)
        case "extra_forbidden":
            known = keys_at(model, path[:-1])
            if SAID_FOR.get(key) in known:
                return "nothing is called that here", f"did you mean '{SAID_FOR[key]}'?"
            return "nothing is called that here", _home(model, path) or did_you_mean(key, known)
        case "float_type" | "int_type" | "float_parsing" | "int_parsing" | "int_from_float" | "int_parsing_size":
            return _not_a_number(value, whole=kind.startswith("int"))
        case "finite_number":
            out = "" if field and field.is_required() else ", or leave the key out"
            return "is not a number anything weighs or measures", f"write the measured value{out}."
        case "greater_than" if context.get("gt") == 0:
            return "must be more than 0", f"write {key} = ... above 0: {meaning}."
        case "greater_than_equal" if context.get("ge") == 0:
            return "must not be negative", f"write {key} = ..., 0 or more: {meaning}."
        case "greater_than_equal":
            return f"is less than {context['ge']:g}", f"write {key} = ..., {context['ge']:g} or more: {meaning}."
        case "less_than_equal":
            return f"is more than {context['le']:g}", f"write {key} = ..., {context['le']:g} or less: {meaning}."
        case "literal_error":
            return f"must be {str(context['expected']).replace(chr(39), chr(34))}", _nearest_literal(value, field)
        case "too_short":
            head = _head(field, path)
            return "needs at least one entry", f"add {head if len(path) == 1 else 'one'}: {meaning}."
        case "too_long":
            return f"has more than {context['max_length']} entries", _how_to_write_list(field, path, value)
        case "string_too_short":
            return "is empty", f"write {key} = ...: {meaning}."
        case "string_pattern_mismatch":
            return "has a line break or another control character in it", "write it on one line."
        case "string_type":
            number = isinstance(value, int | float) and not isinstance(value, bool)
            return "must be text", f'write "{value}", between quotes.' if number else "write text between quotes."
        case "bool_type":
            return "must be true or false", "write true or false, without quotes."
        case "date_type" | "date_from_datetime_parsing" | "date_from_datetime_inexact" | "date_parsing":
            return "is not a date", "write a date without quotes, year first, like 2026-03-14."
        case "model_type" | "dict_type" | "model_attributes_type":
            return "must be a table", _how_to_write_table(field, path, value)
        case "tuple_type" | "list_type":
            return "must be a list", _how_to_write_list(field, path, value)
        case "ballast" | "implausible":
            return detail["msg"], str(context["fix"])
        case _:
            return detail["msg"][:1].lower() + detail["msg"][1:], f"write {key} = ... again: {meaning}."


BEGIN_WITH_UNITS = 'begin the file with [units], mass = "kg" (or "lb") and length = "mm" (or "m" or "in").'


def _meaning(field: FieldInfo | None) -> str:
    if field and field.description:
        return " ".join(field.description.split()).rstrip(". ")
    return "see the starter file that `ballast new` writes"


def _how_to_add(model: type[BaseModel], path: Path, meaning: str) -> str:
    if path == ("units",):
        return BEGIN_WITH_UNITS
    field = field_at(model, path)
    if field and next(models(field.annotation), None):
        within = len(path) > 1
        return _how_to_write_table(field, path, None) if within else f"add {_head(field, path)}: {meaning}."
    if isinstance(path[-1], int):
        return _how_to_write_list(field, path[:-1], None)
    value = "true or false" if field and bool in _parts(field.annotation) else "..."
    return f"write {path[-1]} = {value}: {meaning}."


def _how_to_write_table(field: FieldInfo | None, path: Path, value: object) -> str:
    head = _head(field, path)
    if head == "[units]":
        return BEGIN_WITH_UNITS
    if len(path) == 1 and isinstance(value, list):
        return f"write {head} once, in single brackets: {_meaning(field)}."
    if len(path) > 1 and isinstance(path[-1], str):
        inner = next(models(field.annotation), None) if field else None
        needed = [key for key, part in by_key(inner).items() if part.is_required()] if inner else []
        known = value if isinstance(value, int | float) and not isinstance(value, bool) else "..."
        keys = ", ".join(f"{key} = {known if key == 'aim' else '...'}" for key in needed)
        return f"write {path[-1]} = {{ {keys} }}: {_meaning(field)}."
    return f"begin it with a line {head} and write its keys below: {_meaning(field)}."


def _how_to_write_list(field: FieldInfo | None, path: Path, value: object) -> str:
    if field and next(models(field.annotation), None):
        return f"begin each with a line {_head(field, path)}, in double brackets: {_meaning(field)}."
    length = _length(field.annotation) if field else 2
    example = ", ".join(["..." if field and float in _parts(field.annotation) else '"..."'] * length)
    if isinstance(value, str):
        example = json.dumps(value, ensure_ascii=False)
    return f"write {path[-1]} = [{example}], in square brackets: {_meaning(field)}."


def _length(annotation: Any) -> int:
    """How many entries a list has, where that is fixed; else two, for an example."""
    if get_origin(annotation) is tuple and Ellipsis not in get_args(annotation):
        return len(get_args(annotation))
    return max((_length(part) for part in get_args(annotation)), default=2)


def _not_a_number(value: object, whole: bool) -> tuple[str, str]:
    number = "a whole number" if whole else "a number"
    if isinstance(value, str):
        found = plain_number(value)
        if not found:
            return f"must be {number}, not text", "write the bare number, without quotes."
        unit = "; the unit comes from [units]" if found.unit else ""
        if found.comma:
            return "has a decimal comma", f"write {found.digits}, with a point and without quotes{unit}."
        return f"must be {number}, not text", f"write {found.digits} without quotes{unit}."
    if whole and isinstance(value, float):
        point = f"write {value:.0f}, without a point." if value.is_integer() else "write a whole number, like 4."
        return "must be a whole number", point
    if isinstance(value, int) and not isinstance(value, bool):
        return "is too long a number", "write the measured value."
    return f"must be {number}", "write a whole number, like 4." if whole else "write the bare number, like 12.5."


def _nearest_literal(value: object, field: FieldInfo | None) -> str:
    words, word = _literals(field.annotation) if field else [], str(value).replace(",", ".")
    longer = [other for other in words if word and other.startswith(f"{word} ")]
    near = longer[0] if len(longer) == 1 else nearest(word, words)
    return f'did you mean "{near}"?' if near else f"choose one of them: {_meaning(field)}."


def _parts(annotation: Any) -> set[Any]:
    """An annotation and all it is made of, however deep in tuples, unions and Annotated."""
    plain = {annotation} if isinstance(annotation, type) else set()
    return plain.union(*(_parts(part) for part in get_args(annotation)))


def _literals(annotation: Any) -> list[str]:
    """Words an annotation allows, however deep in tuples and unions."""
    parts = get_args(annotation)
    words = [part for part in parts if isinstance(part, str)]
    return words or [word for part in parts for word in _literals(part)]


# --- places --------------------------------------------------------------------------------------------------------


def _where(path: Path, raw: Any) -> str:
    """("mounts", 1, "capacity") -> "[[mounts]] 2 'nose' capacity"; ("car", "wheelbase") -> "[car] wheelbase"."""
    if len(path) <= 1:
        return "".join(_as_written(str(name), raw) for name in path)
    tables: list[str] = []
    here: Any = raw
    for step, name in enumerate(path):
        if isinstance(name, int) and isinstance(here, dict):  # the only one, written in single brackets
            continue
        if isinstance(name, int):
            entry = here[name] if isinstance(here, list) and name < len(here) else None
            label = entry.get("name") if isinstance(entry, dict) else None
            head = f"[[{'.'.join(tables)}]] {name + 1}" + (
                f" '{label}'" if isinstance(label, str) and label.strip() else ""
            )
            return " ".join([head, *(_step(part) for part in path[step + 1 :])])
        inner = here.get(name) if isinstance(here, dict) else None
        if isinstance(path[-1], int) and not isinstance(inner, dict | list) and step + 2 == len(path):
            path = path[: step + 1]  # one number that stands for both sides has no entries
        if not (isinstance(inner, dict) or _is_list_of_tables(inner)):
            head = f"[{'.'.join(tables)}]" if tables else ""
            return " ".join(part for part in (head, *(_step(part) for part in path[step:])) if part)
        tables.append(name)
        here = inner
    return f"[{'.'.join(tables)}]"


def _as_written(name: str, raw: Any) -> str:
    """A name at the top of a file, with the brackets it has there, or none when it is a plain key."""
    value = raw.get(name) if isinstance(raw, dict) else None
    if _is_list_of_tables(value):
        return f"[[{name}]]"
    return f"[{name}]" if value is None or isinstance(value, dict) else name


def _is_list_of_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _step(part: int | str) -> str:
    return f"entry {part + 1}" if isinstance(part, int) else part


def _shown(detail: ErrorDetails) -> str | None:
    value = detail["input"]
    if detail["type"] == "missing" or value is None or isinstance(value, dict | list | tuple):
        return None
    if isinstance(value, bool | str):
        return clipped(json.dumps(value, ensure_ascii=False))
    return clipped(str(value))


def clipped(text: str) -> str:
    """The beginning of a text, when it is too long to show."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."


# --- what a file of this kind may hold -----------------------------------------------------------------------------


def _head(field: FieldInfo | None, path: Path) -> str:
    """The line that begins a table: [car], [[mounts]], [targets.front]."""
    name = ".".join(str(part) for part in path if isinstance(part, str))
    return f"[[{name}]]" if field and get_origin(field.annotation) is tuple else f"[{name}]"


def _home(model: type[BaseModel], path: Path) -> str | None:
    """A remedy for a key that another table of this file knows."""
    key = str(path[-1])
    if key in by_key(model):
        return f"begin it with a line {_head(by_key(model)[key], (key,))} of its own."
    heads = list(_heads_knowing(key, model, ()))
    return f"it belongs below {' or '.join(heads)}: move it there." if heads else None


def _heads_knowing(key: str, model: type[BaseModel], above: tuple[str, ...]) -> Iterator[str]:
    for name, field in by_key(model).items():
        inner = next(models(field.annotation), None)
        if inner and name != "units":
            if key in by_key(inner):
                yield _head(field, (*above, name))
            yield from _heads_knowing(key, inner, (*above, name))
