"""A sheet as plain text, for a terminal of 80 columns or a pipe."""

import re
import textwrap
from collections.abc import Iterator

from ballast.showing.sheet import Section, Sheet, Table

WIDTH = 80
INDENT = "  "
LEAST_COLUMN = 12
HARD_SPACE = "\u00a0"
BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|kg|lb|mm|m|in|L|US gal|imp gal|points)(?:\W|$))")


def laid_out(sheet: Sheet) -> str:
    """The whole sheet, ending in a newline."""
    parts = [sheet.title, *(line for text in sheet.lines for line in _wrapped(text))]
    for section in sheet.sections:
        parts += ["", section.title, *_section(section)]
    return "\n".join(parts) + "\n"


def _section(section: Section) -> Iterator[str]:
    if section.table:
        yield from _table(section.table)
    for text in section.lines:
        yield from _wrapped(text)


def _wrapped(text: str) -> list[str]:
    """Lines of text; a number keeps its unit on its line."""
    kept = BEFORE_UNIT.sub(HARD_SPACE, text)
    lines = textwrap.wrap(kept, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT + INDENT)
    return [line.replace(HARD_SPACE, " ") for line in lines] or [""]


def _table(table: Table) -> Iterator[str]:
    """Columns side by side; a last column of text, or else the first column, is wrapped when the row is too wide."""
    rows = [table.head, *table.rows] if any(table.head) else list(table.rows)
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    flexible = len(widths) - 1 if table.text_columns == len(widths) else 0
    room = WIDTH - len(INDENT) - 2 * (len(widths) - 1) - sum(w for column, w in enumerate(widths) if column != flexible)
    widths[flexible] = min(widths[flexible], max(room, LEAST_COLUMN))
    for row in rows:
        cells = [[cell] for cell in row]
        kept = BEFORE_UNIT.sub(HARD_SPACE, row[flexible])
        lines = textwrap.wrap(kept, widths[flexible], subsequent_indent=INDENT) or [""]
        cells[flexible] = [line.replace(HARD_SPACE, " ") for line in lines]
        for line in range(len(cells[flexible])):
            shown = [cell[line] if line < len(cell) else "" for cell in cells]
            yield (INDENT + "  ".join(_aligned(table, widths, shown))).rstrip()


def _aligned(table: Table, widths: list[int], cells: list[str]) -> Iterator[str]:
    for column, (cell, width) in enumerate(zip(cells, widths, strict=True)):
        yield f"{cell:<{width}}" if column < table.text_columns else f"{cell:>{width}}"
