"""Rulebooks in words: which there are, and what one of them says."""

from collections.abc import Iterator

from pydantic import BaseModel

from ballast.records.rulebook import BallastStack, GreatestShare, LoadFactors, Rulebook, Ruled, ToSee
from ballast.showing.sheet import Section, Sheet, Table
from ballast.units import Units

UNSAID = ("clause", "source", "checked", "name")
FIRST = ("mass", "bolts")
"""Keys that stand before the state or the condition that goes with them."""
MASSES = ("mass", "least", "greatest", "for_each", "above", "reference", "step")
LENGTHS = ("behind_front_axle", "left_of_centre", "above_ground", "washer")


def list_of_rules(books: dict[str, Rulebook]) -> Sheet:
    """The packaged rulebooks."""
    rows = tuple((name, book.title.name) for name, book in books.items())
    return Sheet(
        title="Packaged rulebooks",
        lines=("All are templates: the current book of your class and its scrutineers decide.",),
        sections=(
            Section("NAMES, for --rules", table=Table(("", ""), rows, text_columns=2)),
            Section("TO SEE ONE", lines=("ballast rules NAME",)),
        ),
    )


def rules_sheet(book: Rulebook) -> Sheet:
    """One rulebook: every limit with its clause, its source and the day it was checked."""
    title = book.title
    about = ", ".join(part for part in (title.body, title.edition) if part)
    lines = [about] if about else []
    lines += ["A template: the current book of your class and its scrutineers decide."] if title.template else []
    lines += [title.note] if title.note else []
    limits = tuple(_limits(book))
    nothing = Section("LIMITS", lines=("None entered.",))
    return Sheet(title=title.name, lines=tuple(lines), sections=limits or (nothing,))


def _limits(book: Rulebook) -> Iterator[Section]:
    units = book.units.units()
    for key, field in Rulebook.model_fields.items():
        value = getattr(book, key)
        for entry in value if isinstance(value, tuple) else (value,):
            if isinstance(entry, Ruled):
                heading = (field.alias or key).replace("_", " ").upper()
                yield Section(heading, lines=(_words(entry, units), _source(entry)))


def _words(entry: Ruled, units: Units) -> str:
    """What the entry says, key by key, each number in the units of its file."""
    if isinstance(entry, ToSee):
        return f"{entry.what}."
    dumped = BaseModel.model_dump(entry, mode="json", by_alias=True, context=units)
    said = [
        f"{key.replace('_', ' ')}: {_plain(dumped[key], _unit(entry, key, units))}"
        for key in sorted(dumped, key=lambda key: key not in FIRST)
        if key not in UNSAID and dumped[key] not in (None, "", False if key == "by_name" else None)
    ]
    name = getattr(entry, "name", None)
    return (f"{name}. " if name else "") + "; ".join(said) + "."


def _unit(entry: Ruled, key: str, units: Units) -> str:
    """What stands behind the numbers of a key, with the space before it."""
    if isinstance(entry, GreatestShare) and key == "greatest":
        return " %"
    if isinstance(entry, LoadFactors):
        return " times gravity"
    if key in LENGTHS or (isinstance(entry, BallastStack) and key == "greatest"):
        return f" {units.length}"
    return f" {units.mass}" if key in MASSES else ""


def _plain(value: object, unit: str) -> str:
    if isinstance(value, list):
        ends = [f"{part:.10g}" if isinstance(part, float) else str(part) for part in value]
        return " to ".join(ends) + unit if unit else ", ".join(ends)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}{unit}" if isinstance(value, float) else f"{value}{unit}"


def _source(entry: Ruled) -> str:
    return f"Clause {entry.clause}; {entry.source}; checked {entry.checked.isoformat()}."
