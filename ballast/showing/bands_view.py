"""The picture of the targets: each figure as a band with its aim, and before and after in every state that asks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from matplotlib.figure import Figure

from ballast.records.plan import Answer, TargetResult
from ballast.showing.crew_sheet import TWICE
from ballast.showing.head import ROOM, draw_head, head, height_of
from ballast.showing.key import BETWEEN, ICON, KeyRow, Swatch, draw_key, halved, height_of_key
from ballast.showing.lettering import LEADING, SIZE, plain, shortened, width, wrapped
from ballast.showing.marks import (
    AFTER,
    BEFORE,
    GUARDED,
    INK,
    PAPER,
    PLANNED,
    QUIET,
    WANTED,
    Ink,
    Paper,
    arrow,
    blank_paper,
)
from ballast.showing.rendering import WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN

ROW = 15.0
"""Height of a state in a band. [pt]"""
APART = 14.0
"""Between two figures. [pt]"""
LEAST, MOST = 1.4, 3.5
"""How many half widths of the band are drawn to either side of its aim; what lies further out is an arrow."""
LEAST_WIDE = 90.0
"""Least room for the bands, before names give way. [pt]"""
EDGE = 8.0
"""Height of the numbers at the edges of a band. [pt]"""
GAP = 8.0
"""Between two columns. [pt]"""
NOTHING = 1e-6
"""A distance that is none. [pt]"""
RIM = 6.0
"""Kept free at either end of a band. [pt]"""


@dataclass(frozen=True)
class Band:
    """One figure in every state that asks for it."""

    results: tuple[TargetResult, ...]
    show: Rounding
    unsure: float
    """standard uncertainty of the figure as weighed, for its decimals [share]"""

    @property
    def first(self) -> TargetResult:
        """Of the states; aim and width are the same in all."""
        return self.results[0]

    @property
    def title(self) -> tuple[str, ...]:
        """What is asked for, and by what it is brought about."""
        first = self.first
        name = f"diagonal {first.figure}" if "+" in first.figure else first.figure
        within = self.show.mass(first.within) if first.dimension == "mass" else self.show.points(first.within)
        words = f"{name}: {self.number(first.aim)} {self.unit}, {within} to either side"
        if first.by == "platforms":
            words += "; left to the spring platforms"
        return wrapped(words, ROOM, bold=True)

    @property
    def unit(self) -> str:
        """Of the numbers."""
        return self.show.units.mass if self.first.dimension == "mass" else "%"

    @property
    def reach(self) -> float:
        """How far from the aim is drawn, in the unit of the figure inside."""
        furthest = max(
            max(abs(one.before - one.aim), abs(one.after - one.aim) + TWICE * one.uncertainty) for one in self.results
        )
        return min(max(1.1 * furthest, LEAST * self.first.within), MOST * self.first.within)

    def number(self, value: float) -> str:
        """A number of the figure, without its unit."""
        if self.first.dimension == "mass":
            return self.show.mass(value, unit=False)
        return self.show.percent(value, self.unsure, unit=False)

    def after(self, one: TargetResult) -> str:
        """What it is afterwards, give or take, and a word where that is outside."""
        off = TWICE * one.uncertainty
        give = self.show.at_most(off) if one.dimension == "mass" else self.show.points(off)
        return f"{self.number(one.after)} +/- {give.split()[0]}" + ", outside" * (not one.inside)


@dataclass(frozen=True)
class Columns:
    """Where names, band and numbers are. [pt]"""

    left: float
    right: float
    """of the band"""
    before: float
    after: float
    """right edges of the numbers"""


def bands_view(answer: Answer) -> Figure:
    """Every target as a band with what was and what is planned; a sentence where there is none."""
    with own_style():
        return _drawn(answer)


def _drawn(answer: Answer) -> Figure:
    show = rounding(answer.question)
    bands = tuple(_bands(answer, show))
    lines = head(answer, *_said(answer, bands))
    named = len({one.case for band in bands for one in band.results}) > 1
    columns = _columns(bands, named) if bands else None
    key = halved(tuple(_key())) if bands else ((), ())
    top = MARGIN + height_of(lines) + 10
    below = top + sum(_height(band) for band in bands)
    high = below + max(height_of_key(rows) for rows in key) + MARGIN
    paper = blank_paper(WIDE, high, (0.0, 0.0), 1.0)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    draw_head(paper, lines)
    y = top
    for number, band in enumerate(bands, start=1):
        if columns:
            _draw_band(paper, band, columns, y, named, number)
        y += _height(band)
    for rows, x in zip(key, (MARGIN, WIDE / 2), strict=True):
        draw_key(paper, rows, (x, below))
    return paper.figure


def _bands(answer: Answer, show: Rounding) -> Iterator[Band]:
    """The figures in the order of the plan, each with its states."""
    plan = answer.plan
    unsure = {"front": plan.repeat.front_percent, "left": plan.repeat.left_percent, "rear": plan.repeat.front_percent}
    order = list(dict.fromkeys(one.figure for one in plan.targets))
    ordered = sorted(plan.targets, key=lambda one: order.index(one.figure))
    for figure, results in groupby(ordered, key=lambda one: one.figure):
        yield Band(tuple(results), show, unsure.get(figure, plan.repeat.diagonal_percent))


def _said(answer: Answer, bands: Sequence[Band]) -> Iterator[str]:
    plan = answer.plan
    if not plan.cases:
        yield f"No targets are drawn: there is no plan ({plan.outcome})."
    elif not bands:
        yield "No targets are drawn: the car file asks for no percentage."
    else:
        results = [one for band in bands for one in band.results]
        outside = sum(not one.inside for one in results)
        verdict = "Every target is inside its band."
        if outside:
            are = "is outside its band" if outside == 1 else "are outside their bands"
            verdict = f"{outside} of {len(results)} {are}."
        yield f"Weighed {answer.question.weigh_in.visit.date}. {verdict}"


def _height(band: Band) -> float:
    return LEADING * (len(band.title) + 1) + ROW * len(band.results) + 4 + APART


def _columns(bands: Sequence[Band], named: bool) -> Columns:
    """The same for every figure, so that the bands stand under each other."""
    results = [(band, one) for band in bands for one in band.results]
    after = max(width("after"), *(width(band.after(one), bold=not one.inside) for band, one in results))
    before = max(width("before"), *(width(band.number(one.before)) for band, one in results))
    names = max(width(plain(one.case)) for _, one in results) if named else 0.0
    name = min(names, ROOM - LEAST_WIDE - before - after - 3 * GAP)
    edge = WIDE - MARGIN
    return Columns(MARGIN + name + GAP * named, edge - after - before - 2 * GAP, edge - after - GAP, edge)


def _draw_band(paper: Paper, band: Band, columns: Columns, top: float, named: bool, number: int) -> None:
    y = top
    for line in band.title:
        paper.write(MARGIN, y + SIZE * 0.95, line, bold=True)
        y += LEADING
    first, middle = band.first, (columns.left + columns.right) / 2
    scale = ((columns.right - columns.left) / 2 - RIM) / band.reach
    start, high = y + LEADING + 2, ROW * len(band.results)
    for side in (-1, 1):
        text = band.number(first.aim + side * first.within)
        off = max(first.within * scale, width(text, EDGE) / 2 + 2)
        paper.write(middle + side * off, y + SIZE * 0.95, text, EDGE, ink=QUIET, align="center")
    paper.write(columns.before, y + SIZE * 0.95, "before", ink=QUIET, align="right")
    paper.write(columns.after, y + SIZE * 0.95, "after", ink=QUIET, align="right")
    half, narrow = first.within * scale, (first.within - first.guard) * scale
    paper.box(middle - half, start, 2 * half, high, PAPER, WANTED, f"within-{number}", above=1)
    paper.box(middle - narrow, start, 2 * narrow, high, GUARDED, WANTED, f"guard-{number}", True, 1.2, 0.6)
    paper.line((middle, middle), (start, start + high), WANTED, 1.2, gid=f"aim-{number}")
    for row, one in enumerate(band.results):
        level = start + ROW * (row + 0.5)
        if named:
            paper.write(MARGIN, level + SIZE * 0.36, shortened(plain(one.case), columns.left - MARGIN - GAP))
        _draw_result(paper, band, one, (middle, level), scale, f"{number}-{row + 1}")
        paper.write(columns.before, level + SIZE * 0.36, band.number(one.before), align="right")
        ink = INK if one.inside else WANTED
        paper.write(columns.after, level + SIZE * 0.36, band.after(one), bold=not one.inside, ink=ink, align="right")


def _draw_result(paper: Paper, band: Band, one: TargetResult, at: tuple[float, float], scale: float, name: str) -> None:
    """Before, after, and how far a re-weigh may be off, about the place of the aim."""
    middle, level = at
    edge = band.reach * scale
    off = TWICE * one.uncertainty * scale
    x = (one.after - one.aim) * scale
    low, high = max(x - off, -edge - RIM), min(x + off, edge + RIM)
    if low < high:
        paper.line((middle + low, middle + high), (level, level), PLANNED, 1.2, gid=f"give-{name}")
    for end in (x - off, x + off):
        if abs(end) <= edge + RIM:
            paper.line((middle + end, middle + end), (level - 3, level + 3), PLANNED, 1.2)
    for mark, value, gid, above in ((BEFORE, one.before, "before", 5.0), (AFTER, one.after, "after", 6.0)):
        place = (value - one.aim) * scale
        inside = min(max(place, -edge), edge)
        shape = mark if abs(place - inside) < NOTHING else arrow(mark, place, 0.0)
        paper.mark(shape, middle + inside, level, f"{gid}-{name}", above)


def _key() -> Iterator[KeyRow]:
    room = WIDE / 2 - MARGIN - ICON - BETWEEN
    yield KeyRow(("before",), (BEFORE,))
    yield KeyRow(
        wrapped("after; within the bar, 95 % of re-weighs on the same pads", room),
        (AFTER,),
        line=Ink(PLANNED, 1.2),
    )
    yield KeyRow(("aim",), line=Ink(WANTED, 1.2))
    yield KeyRow(("what was asked for",), swatch=Swatch(PAPER, WANTED))
    yield KeyRow(("what was planned for",), swatch=Swatch(GUARDED, WANTED, dashed=True))
