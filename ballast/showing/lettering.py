"""Text on a picture: how wide it is, what of a name fits, and how it breaks into lines."""

from collections.abc import Sequence
from functools import cache
from typing import Any

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties, findfont, get_font

FAMILY = "DejaVu Sans"
"""The one font that comes with matplotlib, so that a picture is the same wherever it is drawn."""
DPI = 216
"""Three dots to the point: sharp on a phone, and fine enough for measuring."""
SIZE = 9.5
"""Height of ordinary letters. [pt]"""
LEADING = 12.0
"""From one line of ordinary letters to the next. [pt]"""
GAP = "\N{HORIZONTAL ELLIPSIS}"
HUGE = 80
"""Characters of either end that could ever be shown."""
NUMERIC = "0123456789.,"
UNKNOWN = "\N{WHITE SQUARE}"


@cache
def _font(size: float, bold: bool) -> FontProperties:
    return FontProperties(family=FAMILY, size=size, weight="bold" if bold else "normal")


@cache
def _renderer() -> Any:
    untyped: Any = RendererAgg
    return untyped(16, 16, DPI)


@cache
def width(text: str, size: float = SIZE, bold: bool = False) -> float:
    """How wide a text is as the Agg renderer draws it. [pt]"""
    across, _, _ = _renderer().get_text_width_height_descent(text, _font(size, bold), ismath=False)
    return float(across) * 72 / DPI


def plain(name: str) -> str:
    """A name on one line, with a square for every character that cannot be drawn; of a huge one, both ends."""
    line = " ".join(name.split())
    if len(line) > 2 * HUGE:
        line = line[:HUGE] + GAP + line[-HUGE:]
    return "".join(c if c.isprintable() and _drawable(c) else UNKNOWN for c in line)


@cache
def _drawable(character: str) -> bool:
    fonts = (get_font(findfont(_font(SIZE, bold))) for bold in (False, True))
    return all(font.get_char_index(ord(character)) for font in fonts)


def shortened(text: str, room: float, size: float = SIZE, bold: bool = False) -> str:
    """As much of a text as fits into `room` points. The middle goes first: names differ at their ends.

    No number is cut in two: half of "25 kg" would be another plate.
    """
    if width(text, size, bold) <= room:
        return text
    likely = int(1.5 * len(text) * room / width(text, size, bold)) + 2
    for kept in range(min(len(text) - 1, likely), 1, -1):
        cut = _cut(text, kept - 2 * kept // 5, 2 * kept // 5)
        if width(cut, size, bold) <= room:
            return cut
    return GAP


def _cut(text: str, head: int, tail: int) -> str:
    """A text without its middle; its end starts with a whole word where there is one."""
    front, back = text[:head], text[len(text) - tail :]
    if text[len(text) - tail - 1] != " " and " " in back:
        back = back.partition(" ")[2]
    if front[-1] in NUMERIC and text[head] in NUMERIC:
        front = front.rstrip(NUMERIC)
    if back and back[0] in NUMERIC and text[len(text) - len(back) - 1] in NUMERIC:
        back = back.lstrip(NUMERIC)
    return front.rstrip() + GAP + back.lstrip()


def wrapped(text: str, room: float, size: float = SIZE, bold: bool = False, most: int = 2) -> tuple[str, ...]:
    """A text in at most `most` lines of `room` points, broken between words where there are any."""
    lines: list[str] = []
    words = text.split(" ")
    while words and len(lines) < most - 1:
        fitting = len(words)
        while fitting and width(" ".join(words[:fitting]), size, bold) > room:
            fitting -= 1
        if not fitting:
            break
        lines.append(" ".join(words[:fitting]))
        words = words[fitting:]
    return (*lines, shortened(" ".join(words), room, size, bold)) if words else tuple(lines)


def listed(entries: Sequence[str], room: float, first: str = "") -> tuple[str, ...]:
    """Entries with commas between them, as many to a line as fit; none is broken, each is shortened to a line."""
    lines: list[str] = []
    line = first
    for number, entry in enumerate(entries):
        comma = "," if number < len(entries) - 1 else ""
        piece = shortened(entry, room - width(comma)) + comma
        longer = f"{line} {piece}" if line else piece
        if line and width(longer) > room:
            lines.append(line)
            longer = piece
        line = longer
    return (*lines, line) if line else tuple(lines)
