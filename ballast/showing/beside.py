"""Words beside marks: a free place for each, the nearest that can be had."""

from collections.abc import Sequence

from ballast.showing.lettering import LEADING

Box = tuple[float, float, float, float]
"""Left, top, right, bottom. [pt]"""

GAPS, NEXT = (2, 8, 14, 20, 28), (2,)
"""Between a mark and its word, as near as it can be had; next to it where another of many marks could be meant. [pt]"""
STRAIGHT = ((1, 0), (-1, 0), (0, -1), (0, 1))
AROUND = (*STRAIGHT, (1, -1), (1, 1), (-1, -1), (-1, 1))
"""Ways from a mark to its word: right and down, in the order in which they are tried."""


def beside(
    at: tuple[float, float],
    off: float,
    wide: float,
    taken: Sequence[Box],
    bounds: Box,
    gaps: Sequence[float] = GAPS,
    ways: Sequence[tuple[float, float]] = AROUND,
) -> Box | None:
    """A free place for a word beside a mark, the nearest that can be had. off : half the mark. [pt]"""
    x, y = at
    for gap in (off + more for more in gaps):
        for right, down in ways:
            left = x - wide / 2 + right * (gap + wide / 2)
            top = y - LEADING / 2 + down * (gap + LEADING / 2)
            box = (left, top, left + wide, top + LEADING)
            within = box[0] >= bounds[0] and box[1] >= bounds[1] and box[2] <= bounds[2] and box[3] <= bounds[3]
            if within and not any(overlap(box, other) for other in taken):
                return box
    return None


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share any place."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def around(at: tuple[float, float], half: float) -> Box:
    """The box of a mark, half its size given. [pt]"""
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half
