"""Which keys and tables a record has, for complaints that know where a word belongs."""

from collections.abc import Iterator, Sequence
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

Path = Sequence[int | str]


def models(annotation: Any) -> Iterator[type[BaseModel]]:
    """Record types named in an annotation, however deep in tuples, unions and Annotated."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from models(part)


def field_at(model: type[BaseModel], path: Path) -> FieldInfo | None:
    """The field at a place of a file; none where the record knows none."""
    found: FieldInfo | None = None
    here: type[BaseModel] | None = model
    for name in path:
        if isinstance(name, int):
            continue
        found = by_key(here).get(name) if here else None
        here = next(models(found.annotation), None) if found else None
    return found


def keys_at(model: type[BaseModel], path: Path) -> list[str]:
    """Keys of the table at a place of a file."""
    field = field_at(model, path)
    here = next(models(field.annotation), None) if field else model
    return list(by_key(here)) if here else []


def by_key(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Fields by the key that a file has for them."""
    return {field.alias or name: field for name, field in model.model_fields.items()}
