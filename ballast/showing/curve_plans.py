"""The plans in the graph of balance against mass: a mark and a letter for each."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from ballast.records.plan import Alternative
from ballast.showing.beside import AROUND, Box, around, beside, overlap
from ballast.showing.lettering import width
from ballast.showing.marks import INK, PAPER, QUIET, Mark, Paper, arrow
from ballast.showing.rounding import Rounding

SAME = 2.0
"""Marks as near as this are one to the eye, and share a label. [pt]"""
APART = 4.0
"""How much farther a letter stays from other marks than from its own. [pt]"""
FAR = 6.0
"""From here on a letter has a line to its mark. [pt]"""
GAPS = (1, 4, 8, 13, 18, 24, 31, 39, 48, 58, 69, 81, 95, 110)
"""Between a mark and its letter, as near as it can be had. [pt]"""

WAYS = (*AROUND, *((a, b / 2) for a in (1, -1) for b in (-1, 1)), *((a / 2, b) for a in (1, -1) for b in (-1, 1)))
"""Ways from a mark to its letter, in the order in which they are tried."""

CHOSEN = Mark("D", 7, INK, INK)
OTHER = Mark("D", 7, PAPER, INK)


@dataclass(frozen=True)
class Frame:
    """What part of mass and miss the graph shows, and where on the paper: its left, zero line and scales.

    Masses in the user's unit, misses in points.
    """

    left: float
    zero: float
    wide: float
    high: float
    masses: tuple[float, float]
    top: float

    def at(self, mass: float, miss: float) -> tuple[float, float]:
        """Where something is on paper. [pt]"""
        low, high = self.masses
        return self.left + (mass - low) / (high - low) * self.wide, self.zero - miss / self.top * self.high


@dataclass
class Spot:
    """A place on paper that one mark or several have, and their letters."""

    at: tuple[float, float]
    letters: list[str]

    @property
    def text(self) -> str:
        """All letters, with spaces between them."""
        return " ".join(self.letters)


def draw_plans(
    paper: Paper,
    axes: Axes,
    plans: Sequence[tuple[str, Alternative]],
    frame: Frame,
    show: Rounding,
    stairs: list[Box],
) -> None:
    """A mark for each plan, and its letter where it is plain whose it is. stairs : lines that letters keep clear of."""
    spots: list[Spot] = []
    half = OTHER.size / 2 + 1.5
    top = frame.zero - frame.high
    for number, (letter, one) in reversed(list(enumerate(plans))):
        mass, miss = show.units.outside(one.over_required, "mass"), 100 * (one.miss_points or 0.0)
        x, y = frame.at(mass, miss)
        mark = OTHER if number else CHOSEN
        if y < top:
            y = top + half
            paper.mark(arrow(mark, 0.0, -1.0), x, y, f"plan-{letter}", 6)
        else:
            axes.add_line(mark.at(mass, miss, axes.transData, f"plan-{letter}", 6 if number else 6.5))
        near = next((spot for spot in spots if math.dist(spot.at, (x, y)) < SAME), None)
        if near:
            near.letters.insert(0, letter)
        else:
            spots.insert(0, Spot((x, y), [letter]))
    bounds = (frame.left + 2, top + 2, frame.left + frame.wide - 2, frame.zero - 1)
    marks = [around(spot.at, half) for spot in spots]
    labels: list[Box] = []
    leaders: list[Box] = []
    for spot in spots:
        rivals = [around(other.at, half + APART) for other in spots if other is not spot]
        tries: tuple[tuple[list[Box], list[Box]], ...] = (
            (marks + rivals + stairs, labels + leaders),
            (marks + rivals, labels + leaders),
            (marks, labels + leaders),
            (marks, labels),
            (marks, []),
            ([], []),
        )
        found = (_free(spot, taken + labels, passed, bounds) for taken, passed in tries)
        label = next((label for label in found if label), None)
        if label is None:
            continue
        end = _nearest(spot.at, label)
        if math.dist(end, spot.at) > half + FAR:
            paper.line((spot.at[0], end[0]), (spot.at[1], end[1]), QUIET, 0.6)
            leaders += _dotted(spot.at, end)
        labels.append((label[0] - APART, label[1], label[2] + APART, label[3]))
        paper.write(label[0], label[3] - 2.5, spot.text, bold=True)


def _free(spot: Spot, taken: list[Box], lined: list[Box], bounds: Box) -> Box | None:
    """A free place for the letters of a mark, the nearest whose line to it passes none of the boxes of `lined`."""
    wide = width(spot.text, bold=True)
    for gap in GAPS:
        for way in WAYS:
            label = beside(spot.at, OTHER.size / 2 + 1.5, wide, taken + lined, bounds, (gap,), (way,))
            if label is None:
                continue
            line = _dotted(spot.at, _nearest(spot.at, label))
            if not any(overlap(dot, other) for dot in line for other in lined):
                return label
    return None


def _nearest(at: tuple[float, float], box: Box) -> tuple[float, float]:
    """The point of a box that is nearest to a place."""
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])


def _dotted(start: tuple[float, float], end: tuple[float, float]) -> list[Box]:
    """A line as small boxes, its first points left out: they lie on the mark."""
    count = max(int(math.dist(start, end) / 3), 1)
    places = [
        (start[0] + (end[0] - start[0]) * k / count, start[1] + (end[1] - start[1]) * k / count)
        for k in range(2, count)
    ]
    return [(x - 0.7, y - 0.7, x + 0.7, y + 0.7) for x, y in places]
