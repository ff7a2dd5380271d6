"""The shape of what is said: plain data, laid out by `text.py`."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Table:
    """Rows under a head. The first columns are text, the others are numbers, set flush right."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    text_columns: int = 1


@dataclass(frozen=True)
class Section:
    """A title, at most one table, and lines of text after it."""

    title: str
    lines: tuple[str, ...] = ()
    table: Table | None = None


@dataclass(frozen=True)
class Sheet:
    """Everything said in one answer."""

    title: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]
