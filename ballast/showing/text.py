"""A sheet as plain text, for a terminal of 80 columns or fewer, or a pipe."""

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence

from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.streams import harmless

WIDTH = 80
NARROWEST = 20
"""Columns below which nothing is folded any more."""
INDENT = "  "
BETWEEN = "  "
LEAST_COLUMN = 12
HARD_SPACE = "\u00a0"
FILLER = "\u2060"
"""Stands beside a letter that takes two columns, while columns are counted."""
BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|kg|lb|mm|m|in|L|US gal|imp gal|points|x)(?:\W|$))|(?<=\d x) (?=\d)")
"""Blanks at which no line ends: 12.5 kg, 3 x 5 kg."""


def laid_out(sheet: Sheet, width: int = WIDTH) -> str:
    """The whole sheet, ending in a newline. width : columns of the terminal; no line is longer."""
    width = max(width, NARROWEST)
    parts = [*_wrapped(sheet.title, width, "")]
    for text in sheet.lines:
        parts += _wrapped(text, width)
    for section in sheet.sections:
        parts += ["", *_wrapped(section.title, width, ""), *_section(section, width)]
    return "\n".join(parts).replace(FILLER, "").replace(HARD_SPACE, " ") + "\n"


def _section(section: Section, width: int) -> Iterator[str]:
    if section.table:
        yield from _table(section.table, width)
    for text in section.lines:
        yield from _wrapped(text, width)


def _counted(text: str) -> str:
    """A text without what a terminal would obey, each letter as many characters as it takes columns."""
    plain = unicodedata.normalize("NFC", harmless(text)).replace("\n", " ")
    return "".join(x + FILLER if unicodedata.east_asian_width(x) in {"W", "F"} else x for x in plain)


def _wrapped(text: str, width: int, first: str = INDENT) -> list[str]:
    """Lines of text, all but the first further in; a number keeps its unit on its line."""
    return _folded(_counted(text), width, first, first + INDENT)


def _folded(counted: str, width: int, first: str, rest: str) -> list[str]:
    if len(first) + len(counted) <= width:
        return [(first + counted).rstrip()]
    kept, room = BEFORE_UNIT.sub(HARD_SPACE, counted), width - (FILLER in counted)
    lines = textwrap.wrap(kept, room, initial_indent=first, subsequent_indent=rest) or [""]
    for number in range(1, len(lines)):  # a wide letter that was parted from its filler gets it back
        if lines[number].startswith(rest + FILLER):
            lines[number - 1] += FILLER
            lines[number] = lines[number].replace(FILLER, "", 1)
    return lines


def _table(table: Table, width: int) -> Iterator[str]:
    """Columns side by side; where a row is too wide, text is wrapped, and at last each row is a list.

    The last column is wrapped first where it is text, else the first one, then the widest of the others.
    """
    given = [table.head, *table.rows] if any(table.head) else list(table.rows)
    rows = [[_counted(cell) for cell in row] for row in given]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    room = width - len(INDENT) - len(BETWEEN) * (len(widths) - 1)
    flexible = len(widths) - 1 if table.text_columns == len(widths) else 0
    others = sorted((c for c in range(table.text_columns) if c != flexible), key=lambda c: -widths[c])
    for column in (flexible, *others):
        over = max(sum(widths) - room, 0)
        widths[column] = max(widths[column] - over, min(widths[column], LEAST_COLUMN))
    if sum(widths) > room:
        head = rows.pop(0) if any(table.head) else [""] * len(widths)
        yield from _listed(head, rows, width)
        return
    for row in rows:
        cells = [_folded(cell, size, "", INDENT) for cell, size in zip(row, widths, strict=True)]
        for line in range(max(map(len, cells))):
            shown = [cell[line] if line < len(cell) else "" for cell in cells]
            yield (INDENT + BETWEEN.join(_aligned(table, widths, shown))).rstrip()


def _aligned(table: Table, widths: Sequence[int], cells: Sequence[str]) -> Iterator[str]:
    for column, (cell, width) in enumerate(zip(cells, widths, strict=True)):
        yield f"{cell:<{width}}" if column < table.text_columns else f"{cell:>{width}}"


def _listed(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> Iterator[str]:
    """A table that has no room: for each row its first cell, and below it the others behind their heads."""
    for first, *others in rows:
        yield from _folded(first, width, INDENT, 2 * INDENT)
        for name, cell in zip(head[1:], others, strict=True):
            if cell:
                yield from _folded(f"{name}: {cell}" if name else cell, width, 2 * INDENT, 3 * INDENT)
