"""From a failed validation to complaints a mechanic can act on."""

from collections.abc import Iterator, Sequence
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from ballast.errors import Complaint, did_you_mean


def complaints(error: ValidationError, model: type[BaseModel], raw: dict[str, Any], file: str) -> Iterator[Complaint]:
    """Every mistake of a failed validation, with its place in the file and a remedy."""
    for detail in error.errors(include_url=False):
        path = detail["loc"]
        what, fix = _explain(detail, model, path)
        yield Complaint(what, fix, _where(path, raw), _shown(detail), file)


def _explain(detail: ErrorDetails, model: type[BaseModel], path: Sequence[int | str]) -> tuple[str, str]:  # noqa: PLR0911, PLR0912
    kind, value, context = detail["type"], detail["input"], detail.get("ctx", {})
    field = _field(model, path)
    meaning = field.description if field and field.description else "see the starter file that `ballast new` writes"
    match kind:
        case "missing" if path == ("units",):
            return (
                "is missing",
                'begin the file with [units], mass = "kg" (or "lb") and length = "mm" (or "m" or "in").',
            )
        case "missing" if len(path) == 1:
            return "is missing", f"add this table: {meaning}."
        case "missing":
            return "is missing", f"write {path[-1]} = ...: {meaning}."
        case "extra_forbidden":
            return "nothing is called that here", did_you_mean(str(path[-1]), _keys(model, path[:-1]))
        case "float_type" | "int_type" | "float_parsing" | "int_parsing" | "int_from_float":
            return _not_a_number(value, whole=kind.startswith("int"))
        case "finite_number":
            return "is not a number anything weighs or measures", "write the measured value, or leave the key out."
        case "greater_than" if context.get("gt") == 0:
            return "must be more than 0", f"write the measured value: {meaning}."
        case "greater_than_equal" if context.get("ge") == 0:
            return "must not be negative", f"write the measured value: {meaning}."
        case "literal_error":
            return f"must be {context['expected']}", _nearest_literal(value, field, meaning)
        case "too_short":
            return "needs at least one entry", f"add one: {meaning}."
        case "string_too_short":
            return "is empty", f"write {path[-1]} = ...: {meaning}."
        case "string_type":
            return "must be text", "put it between quotes."
        case "date_type" | "date_from_datetime_parsing" | "date_from_datetime_inexact" | "date_parsing":
            return "is not a date", "write a date without quotes, year first, like 2026-03-14."
        case "model_type" | "dict_type" | "model_attributes_type":
            return "must be a table", f"write it as a table of keys: {meaning}."
        case "tuple_type" | "list_type":
            return "must be a list", f"write [[{path[0]}]] tables, or a list in square brackets: {meaning}."
        case "ballast":
            return detail["msg"], str(context["fix"])
        case _:
            return detail["msg"], f"{meaning}."


def _not_a_number(value: object, whole: bool) -> tuple[str, str]:
    number = "a whole number" if whole else "a number"
    if isinstance(value, str):
        candidate = value.strip().replace(",", ".", 1)
        digits = candidate.split(" ", 1)[0]
        try:
            float(digits)
        except ValueError:
            return f"must be {number}, not text", "write the bare number, without quotes."
        if "," in value:
            return "has a decimal comma", f"write {digits}, with a point and without quotes."
        return f"must be {number}, not text", f"write {digits} without quotes; the unit comes from [units]."
    if whole and isinstance(value, float):
        return "must be a whole number", "count whole plates."
    return f"must be {number}", "write the bare number, like 12.5." if not whole else "write a whole number, like 4."


def _nearest_literal(value: object, field: FieldInfo | None, meaning: str) -> str:
    allowed = [str(word) for word in get_args(field.annotation)] if field else []
    fix = did_you_mean(str(value), allowed) if allowed else ""
    return fix if fix.startswith("did you mean") else f"{meaning.rstrip('.')}."


def _where(path: Sequence[int | str], raw: dict[str, Any]) -> str:
    """("mounts", 1, "capacity") -> "[[mounts]] 2 'nose' capacity"; ("car", "wheelbase") -> "[car] wheelbase"."""
    if len(path) == 1:
        value = raw.get(str(path[0]))
        return f"[{path[0]}]" if value is None or isinstance(value, dict) else str(path[0])
    tables: list[str] = []
    here: Any = raw
    for step, name in enumerate(path):
        if isinstance(name, int):
            entry = here[name] if isinstance(here, list) and name < len(here) else None
            label = entry.get("name") if isinstance(entry, dict) else None
            head = f"[[{'.'.join(tables)}]] {name + 1}" + (f" '{label}'" if label else "")
            return " ".join([head, *(_step(part) for part in path[step + 1 :])])
        inner = here.get(name) if isinstance(here, dict) else None
        if not isinstance(inner, dict | list) or (isinstance(inner, list) and inner and not isinstance(inner[0], dict)):
            return " ".join([f"[{'.'.join(tables)}]", *(_step(part) for part in path[step:])])
        tables.append(name)
        here = inner
    return f"[{'.'.join(tables)}]"


def _step(part: int | str) -> str:
    return f"entry {part + 1}" if isinstance(part, int) else part


def _shown(detail: ErrorDetails) -> str | None:
    value = detail["input"]
    if detail["type"] == "missing" or isinstance(value, dict | list | tuple):
        return None
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    """Record types named in an annotation, however deep in tuples, unions and Annotated."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models(part)


def _field(model: type[BaseModel], path: Sequence[int | str]) -> FieldInfo | None:
    found: FieldInfo | None = None
    here: type[BaseModel] | None = model
    for name in path:
        if isinstance(name, int):
            continue
        found = _by_key(here).get(name) if here else None
        here = next(_models(found.annotation), None) if found else None
    return found


def _keys(model: type[BaseModel], path: Sequence[int | str]) -> list[str]:
    field = _field(model, path)
    here = next(_models(field.annotation), None) if field else model
    return list(_by_key(here)) if here else []


def _by_key(model: type[BaseModel]) -> dict[str, FieldInfo]:
    return {field.alias or name: field for name, field in model.model_fields.items()}
