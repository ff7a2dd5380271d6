"""The picture of burning fuel: front, left and diagonal from the start to the flag, a line for each driver."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import get_args

from matplotlib.figure import Figure

from ballast.corners import Diagonal
from ballast.records.crew import FuelPoint
from ballast.records.plan import Answer, Plan, PlannedCase, TargetResult
from ballast.showing.head import ROOM, draw_head, head, height_of
from ballast.showing.key import BETWEEN, KeyRow, Swatch, draw_key, halved, height_of_key
from ballast.showing.lettering import LEADING, SIZE, plain, shortened, width
from ballast.showing.marks import FAINT, GUARDED, PAPER, PLANNED, QUIET, WANTED, Ink, Mark, Paper, blank_paper
from ballast.showing.rendering import WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN
from ballast.showing.spread import spread
from ballast.showing.ticks import ticks

WORDS: dict[FuelPoint, str] = {"start": "start", "balance": "balance point", "flag": "flag"}
HIGH, NAMED = 96.0, 12.0
"""Least height of a panel, and what a name takes at the ends of its lines. [pt]"""
APART = 14.0
"""Between two panels. [pt]"""
RIM = 8.0
"""Kept free inside a panel. [pt]"""
NAMES = 104.0
"""Width of the column of names. [pt]"""
LEAST = 0.002
"""Least height of a panel, as a share: nobody sees less in a car."""
THE_CAR = "the car"
LINES = (
    (Mark("o", 5, PLANNED, PLANNED), None),
    (Mark("s", 5, PAPER, PLANNED), (4.0, 2.0)),
    (Mark("^", 6, PLANNED, PLANNED), (1.0, 1.5)),
    (Mark("D", 5, PAPER, PLANNED), (6.0, 2.0, 1.0, 2.0)),
    (Mark("v", 6, PAPER, PLANNED), (8.0, 2.0)),
    (Mark("X", 6, PLANNED, PLANNED), (2.0, 1.0)),
)
"""Mark and dashes of each driver, the first again for a seventh."""


@dataclass(frozen=True)
class Drift:
    """One driver's car, or the car without drivers, at the points of the stint that the plan looks at."""

    name: str
    cases: tuple[PlannedCase, ...]
    mark: Mark
    dashes: tuple[float, ...] | None


@dataclass(frozen=True)
class Panel:
    """One figure: what it is at each point, and what was asked of it."""

    title: str
    values: tuple[tuple[float, ...], ...]
    """a row for each driver, a number for each point [share]"""
    target: TargetResult | None

    @property
    def span(self) -> tuple[float, float]:
        """Least and greatest share to show."""
        seen = [value for row in self.values for value in row]
        if self.target:
            seen += [self.target.aim - self.target.within, self.target.aim + self.target.within]
        low, high = min(seen), max(seen)
        more = max(LEAST - (high - low), 0.0) / 2
        return low - more, high + more


@dataclass(frozen=True)
class Frame:
    """Where a panel is on paper. [pt]"""

    left: float
    right: float
    top: float
    high: float
    span: tuple[float, float]

    def level(self, value: float) -> float:
        """Height of a share on paper."""
        low, high = self.span
        return self.top + self.high - RIM - (value - low) / (high - low) * (self.high - 2 * RIM)


def fuel_view(answer: Answer) -> Figure | None:
    """What burning does to the balance; None where the plan has no tanks, or only one point of the stint."""
    drifts = tuple(_drifts(answer.plan))
    if not answer.question.car.tanks or not drifts:
        return None
    with own_style():
        return _drawn(answer, drifts)


def _drifts(plan: Plan) -> Iterator[Drift]:
    """Every driver with the same points; those that not all of them have are left out."""
    names = list(dict.fromkeys(case.driver for case in plan.cases))
    at = {(case.driver, case.fuel): case for case in plan.cases if case.fuel}
    points = [point for point in get_args(FuelPoint) if all((name, point) in at for name in names)]
    if len(points) < 2:
        return
    for number, name in enumerate(names):
        mark, dashes = LINES[number % len(LINES)]
        yield Drift(plain(name) if name else THE_CAR, tuple(at[name, point] for point in points), mark, dashes)


def _drawn(answer: Answer, drifts: Sequence[Drift]) -> Figure:
    show = rounding(answer.question)
    points = [case.fuel for case in drifts[0].cases if case.fuel]
    panels = tuple(_panels(answer.plan, drifts))
    lines = head(answer, *_said(answer, points, show))
    each = max(HIGH, NAMED * len(drifts) + 2 * RIM)
    top = MARGIN + height_of(lines) + 10
    lower = top + len(panels) * (LEADING + 4 + each + APART) + 2 * LEADING
    key = halved(tuple(_key(panels)))
    table = lower + max(height_of_key(rows) for rows in key) + 6 * bool(key[0])
    high = table + LEADING * (len(drifts) + 1) + 4 + MARGIN
    paper = blank_paper(WIDE, high, (0.0, 0.0), 1.0)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    draw_head(paper, lines)
    left = MARGIN + max(width(text) for panel in panels for _, text in _levels(panel)) + 6
    right = WIDE - MARGIN - NAMES * (len(drifts) > 1)
    xs = _xs(answer, points, (left, right), show)
    y = top
    for number, panel in enumerate(panels, start=1):
        paper.write(MARGIN, y + SIZE * 0.95, panel.title, bold=True)
        frame = Frame(left, right, y + LEADING + 4, each, panel.span)
        _draw_panel(paper, panel, drifts, frame, xs, number)
        y += LEADING + 4 + each + APART
    for x, words in zip(xs, _words(answer, points, show), strict=True):
        for line, text in enumerate(words):
            paper.write(x, y - APART + LEADING * (line + 1), text, ink=QUIET, align="center")
    for rows, x in zip(key, (MARGIN, WIDE / 2), strict=True):
        draw_key(paper, rows, (x, lower))
    _draw_table(paper, panels, drifts, table, show)
    return paper.figure


def _said(answer: Answer, points: Sequence[FuelPoint], show: Rounding) -> Iterator[str]:
    burnt = _aboard(answer, points[0]) - _aboard(answer, points[-1])
    what = f"From {WORDS[points[0]]} to {WORDS[points[-1]]} {show.volume(burnt)} burn"
    sample = any(tank.sample for tank in answer.question.car.tanks) and points[-1] == "flag"
    yield f"{what}{' or are taken as a sample' if sample else ''}."
    asked = {case.fuel for case in answer.plan.cases if case.balance}
    if answer.plan.targets and not asked.issuperset(points):
        yield f"The targets are asked for at: {', '.join(WORDS[point] for point in points if point in asked)}."


def _aboard(answer: Answer, point: FuelPoint) -> float:
    """What is in all tanks. [L]"""
    return sum(tank.at(point) for tank in answer.question.car.tanks)


def _panels(plan: Plan, drifts: Sequence[Drift]) -> Iterator[Panel]:
    """Front (or rear, where that is asked for), left, and the diagonal that is asked for."""
    asked = {target.figure: target for target in plan.targets if target.dimension == "percent"}
    diagonal: Diagonal = "LF+RR" if "LF+RR" in asked else "RF+LR"
    rear = "rear" in asked

    def rows(share: str) -> tuple[tuple[float, ...], ...]:
        return tuple(tuple(float(getattr(case, share)) for case in drift.cases) for drift in drifts)

    yield Panel(
        "rear, %" if rear else "front, %",
        rows("rear_percent" if rear else "front_percent"),
        asked.get("rear" if rear else "front"),
    )
    yield Panel("left, %", rows("left_percent"), asked.get("left"))
    across = tuple(tuple(case.diagonal_percent.of(diagonal) for case in drift.cases) for drift in drifts)
    yield Panel(f"diagonal {diagonal}, %", across, asked.get(diagonal))


def _levels(panel: Panel) -> list[tuple[float, str]]:
    low, high = panel.span
    return ticks(100 * low, 100 * high, 5)


def _xs(answer: Answer, points: Sequence[FuelPoint], ends: tuple[float, float], show: Rounding) -> list[float]:
    """Where the points are: by what has burnt; evenly where their words would meet. [pt]"""
    words = [max(width(text) for text in lines) for lines in _words(answer, points, show)]
    start, end = ends[0] + words[0] / 2, ends[1] - words[-1] / 2
    full, empty = _aboard(answer, points[0]), _aboard(answer, points[-1])
    burnt = [(full - _aboard(answer, point)) / (full - empty) if full > empty else 0.0 for point in points]
    xs = [start + share * (end - start) for share in burnt]
    gaps = [b - a - (w + v) / 2 for a, b, w, v in zip(xs, xs[1:], words, words[1:], strict=False)]
    if min(gaps) < BETWEEN:
        xs = [start + number / (len(points) - 1) * (end - start) for number in range(len(points))]
    return xs


def _words(answer: Answer, points: Sequence[FuelPoint], show: Rounding) -> list[tuple[str, str]]:
    return [(WORDS[point], show.volume(_aboard(answer, point))) for point in points]


def _draw_panel(
    paper: Paper, panel: Panel, drifts: Sequence[Drift], frame: Frame, xs: Sequence[float], number: int
) -> None:
    wide = frame.right - frame.left
    paper.box(frame.left, frame.top, wide, frame.high, PAPER, FAINT, above=0.5)
    if panel.target:
        _draw_band(paper, panel.target, frame, number)
    for value, text in _levels(panel):
        y = frame.level(value / 100)
        paper.write(frame.left - 5, y + SIZE * 0.36, text, ink=QUIET, align="right")
        paper.line((frame.left - 3, frame.left), (y, y), QUIET, 0.8)
    ends = []
    for row, (drift, values) in enumerate(zip(drifts, panel.values, strict=True), start=1):
        ys = [frame.level(value) for value in values]
        paper.line(xs, ys, PLANNED, 1.2, drift.dashes, gid=f"drift-{number}-{row}")
        for x, y in zip(xs, ys, strict=True):
            paper.mark(drift.mark, x, y, f"point-{number}-{row}")
        ends.append(ys[-1])
    if len(drifts) < 2:
        return
    half = LEADING / 2
    levels = spread(ends, NAMED, frame.top + half, frame.top + frame.high - half)
    for drift, end, level in zip(drifts, ends, levels, strict=True):
        paper.line((xs[-1] + 5, frame.right, frame.right + 6), (end, end, level), FAINT, 0.7)
        paper.mark(drift.mark, frame.right + 12, level)
        paper.write(frame.right + 20, level + SIZE * 0.36, shortened(drift.name, NAMES - 20))


def _draw_band(paper: Paper, target: TargetResult, frame: Frame, number: int) -> None:
    """What was asked for and what was planned for, across the panel."""
    wide = frame.right - frame.left
    for half, face, gid, dashed in (
        (target.within, PAPER, "within", False),
        (target.within - target.guard, GUARDED, "guard", True),
    ):
        top, bottom = frame.level(target.aim + half), frame.level(target.aim - half)
        above, stroke = (1.2, 0.6) if dashed else (1.0, 0.9)
        paper.box(frame.left, top, wide, bottom - top, face, WANTED, f"{gid}-{number}", dashed, above, stroke)
    y = frame.level(target.aim)
    paper.line((frame.left, frame.right), (y, y), WANTED, 1.2, gid=f"aim-{number}")


def _key(panels: Sequence[Panel]) -> Iterator[KeyRow]:
    if any(panel.target for panel in panels):
        yield KeyRow(("aim",), line=Ink(WANTED, 1.2))
        yield KeyRow(("what was asked for",), swatch=Swatch(PAPER, WANTED))
        yield KeyRow(("what was planned for",), swatch=Swatch(GUARDED, WANTED, dashed=True))


def _draw_table(paper: Paper, panels: Sequence[Panel], drifts: Sequence[Drift], top: float, show: Rounding) -> None:
    """First and last number of each figure, for each driver."""
    ends = [WORDS[case.fuel] for case in drifts[0].cases if case.fuel]
    paper.write(MARGIN, top + SIZE * 0.95, shortened(f"{ends[0]} to {ends[-1]}", NAMES - BETWEEN), ink=QUIET)
    edges = [WIDE - MARGIN - (len(panels) - 1 - n) * (ROOM - NAMES) / len(panels) for n in range(len(panels))]
    for edge, panel in zip(edges, panels, strict=True):
        paper.write(edge, top + SIZE * 0.95, panel.title.removeprefix("diagonal "), bold=True, align="right")
    for row, drift in enumerate(drifts, start=1):
        y = top + LEADING * row + 4 + SIZE * 0.95
        paper.write(MARGIN, y, shortened(drift.name, NAMES - BETWEEN))
        for edge, panel in zip(edges, panels, strict=True):
            values = panel.values[row - 1]
            numbers = (show.percent(value, 0.0, unit=False) for value in (values[0], values[-1]))
            paper.write(edge, y, " to ".join(numbers), align="right")
