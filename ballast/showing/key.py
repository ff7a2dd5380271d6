"""The key of a picture: each mark, swatch or line that is drawn, and what it means."""

from collections.abc import Sequence
from dataclasses import dataclass

from ballast.showing.lettering import LEADING, SIZE
from ballast.showing.marks import INK, QUIET, Ink, Mark, Paper

ICON = 22.0
"""Width of a mark in the key. [pt]"""
BETWEEN = 6.0
"""Kept free between two columns. [pt]"""


@dataclass(frozen=True)
class Swatch:
    """A patch of a filling with its edge."""

    face: str
    edge: str
    dashed: bool = False
    round: bool = False


@dataclass(frozen=True)
class KeyRow:
    """A mark, a swatch or a line, and what it means."""

    lines: tuple[str, ...]
    marks: tuple[Mark, ...] = ()
    swatch: Swatch | None = None
    line: Ink | None = None
    length: float = 0.0
    """of a scale bar [pt]"""

    @property
    def height(self) -> float:
        """[pt]"""
        return LEADING * len(self.lines) + 3


def height_of_key(key: Sequence[KeyRow]) -> float:
    """[pt]"""
    return sum(row.height for row in key)


def halved(key: Sequence[KeyRow]) -> tuple[tuple[KeyRow, ...], tuple[KeyRow, ...]]:
    """A key in two columns, as even as it goes, the first no shorter than the second."""
    count = next(n for n in range(len(key) + 1) if height_of_key(key[:n]) >= height_of_key(key[n:]))
    return tuple(key[:count]), tuple(key[count:])


def draw_key(paper: Paper, key: Sequence[KeyRow], corner: tuple[float, float]) -> None:
    """The rows under each other, the top left corner given. [pt]"""
    x, y = corner
    for row in key:
        middle = y + LEADING / 2
        if row.swatch and row.swatch.round:
            paper.oval(x + 9, middle, ICON - 6, 9, row.swatch.edge)
        elif row.swatch:
            paper.box(x + 1, middle - 4.5, ICON - 6, 9, row.swatch.face, row.swatch.edge, dashed=row.swatch.dashed)
        if row.line:
            paper.line((x, x + ICON - 4), (middle, middle), row.line.colour, row.line.stroke, row.line.dashes)
        for mark in row.marks:
            paper.mark(mark, x + 9, middle)
        if row.length:
            paper.line((x, x + row.length), (middle, middle), INK, 1.6)
        for number, line in enumerate(row.lines):
            paper.write(x + ICON, y + LEADING * number + SIZE * 0.95, line, ink=QUIET if row.length else INK)
        y += row.height
