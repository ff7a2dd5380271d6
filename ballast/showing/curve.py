"""The picture of a choice: how well the car can be balanced against its mass over what is required, and the plans."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ballast.records.plan import Answer
from ballast.showing.beside import Box
from ballast.showing.curve_plans import CHOSEN, OTHER, Frame, draw_plans
from ballast.showing.curve_words import NOTHING, Step, best, lettered, sentence
from ballast.showing.head import draw_head, head, height_of
from ballast.showing.key import ICON
from ballast.showing.lettering import LEADING, SIZE, plain, width, wrapped
from ballast.showing.marks import (
    DASHES,
    FAINT,
    GUARDED,
    PAPER,
    PLANNED,
    QUIET,
    REACHED,
    WANTED,
    Mark,
    Paper,
    blank_paper,
)
from ballast.showing.rendering import WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN
from ballast.showing.ticks import ticks

HIGH, FOOT = 220.0, 19.0
"""Height of the graph, and of the strip below its zero line: inside every band. [pt]"""
RIM = 12.0
"""Kept free inside the graph, above and beside its marks. [pt]"""
WORTH = 5.0
"""How many times lower the curve may become so that a plan far above it still fits in."""
LEAST_SHOWN, LEAST_WIDE = 0.0005, 0.5
"""The graph is at least as high as this miss, a share, and as wide as this mass: nobody chooses by less."""
SEEN = Mark("o", 4.5, PLANNED, PAPER, 0.6)


def curve_view(answer: Answer) -> Figure:
    """What mass buys in balance, and the plans to choose from; a sentence where nobody asked or there is no target."""
    with own_style():
        return _drawn(answer)


def _drawn(answer: Answer) -> Figure:
    show = rounding(answer.question)
    lines = head(answer, sentence(answer, show))
    rows = tuple(_rows(answer, show))
    plans = [one for _, one in lettered(answer) if one.miss_points is not None]
    drawn = bool(best(answer) or plans)
    top = MARGIN + height_of(lines)
    graph = top + 10 + LEADING + 4
    below = graph + HIGH + FOOT + 2 * LEADING + 12 if drawn else top
    key = tuple(_key(answer)) if drawn else ()
    listing = below + sum(_height(lines) for _, _, lines in key) + (6 if key else 0)
    high = listing + sum(LEADING * len(row.lines) + 2 for row in rows) + (LEADING + 4 if rows else 0) + MARGIN
    paper = blank_paper(WIDE, high, (0.0, 0.0), 1.0)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    draw_head(paper, lines)
    if drawn:
        _draw_graph(paper, answer, graph, show)
    _draw_key(paper, key, below)
    _draw_rows(paper, rows, listing)
    return paper.figure


# --- words -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Row:
    """One plan of the list: its letter, its name, its numbers."""

    letter: str
    lines: tuple[str, ...]
    numbers: str


def _rows(answer: Answer, show: Rounding) -> Iterator[Row]:
    for letter, one in lettered(answer):
        mark = "" if one.plan.legal else " (NOT LEGAL)"
        mark += "" if one.plan.outcome == "proved best" else " (not proved)"
        numbers = f"{show.mass(abs(one.over_required))} {'over' if one.over_required >= 0 else 'under'}"
        numbers += f", {show.points(one.miss_points)}" if one.miss_points is not None else ""
        room = WIDE - 2 * MARGIN - ICON - width(numbers) - 10
        yield Row(letter, wrapped(plain(one.name) + mark, room), numbers)


def _draw_rows(paper: Paper, rows: Sequence[Row], top: float) -> None:
    if rows:
        paper.write(MARGIN, top + SIZE * 0.95, "plans to choose from: mass over, and miss", bold=True)
    y = top + LEADING + 4
    for row in rows:
        paper.write(MARGIN, y + SIZE * 0.95, row.letter, bold=True)
        for number, line in enumerate(row.lines):
            paper.write(MARGIN + ICON, y + LEADING * number + SIZE * 0.95, line)
        paper.write(WIDE - MARGIN, y + SIZE * 0.95, row.numbers, align="right")
        y += LEADING * len(row.lines) + 2


def _key(answer: Answer) -> Iterator[tuple[str, Mark | None, tuple[str, ...]]]:
    """What is drawn: a sign by name or by mark, and what it means."""
    room = WIDE - 2 * MARGIN - ICON
    if best(answer):
        yield "best", SEEN, wrapped("best found with no more mass than this", room)
    if _bounds(answer):
        yield "bound", None, wrapped("proved: no plan is here", room)
    plans = lettered(answer)
    if any(one.miss_points is not None for _, one in plans):
        yield "chosen", CHOSEN, wrapped("A, the plan as asked for", room)
        if len(plans) > 1:
            yield "other", OTHER, wrapped("the other plans", room)


def _height(lines: tuple[str, ...]) -> float:
    return LEADING * len(lines) + 3


def _draw_key(paper: Paper, key: Sequence[tuple[str, Mark | None, tuple[str, ...]]], top: float) -> None:
    y = top
    for sign, mark, lines in key:
        middle = y + LEADING / 2
        if sign == "bound":
            paper.box(MARGIN + 1, middle - 4.5, ICON - 6, 9, REACHED, PLANNED, dashed=True, stroke=0.6)
        if sign == "best":
            paper.line((MARGIN, MARGIN + ICON - 4), (middle, middle), PLANNED, 1.4)
        if mark:
            paper.mark(mark, MARGIN + 9, middle)
        for number, line in enumerate(lines):
            paper.write(MARGIN + ICON, y + LEADING * number + SIZE * 0.95, line)
        y += _height(lines)


# --- the graph -------------------------------------------------------------------------------------------------------


def _bounds(answer: Answer) -> tuple[Step, ...]:
    """What is proved out of reach up to each mass, where there is anything to it."""
    points = answer.choices.curve if answer.choices else ()
    steps = tuple(Step(point.over_required, point.bound_points) for point in points)
    return steps if any(step.miss >= NOTHING for step in steps) else ()


def _draw_graph(paper: Paper, answer: Answer, top: float, show: Rounding) -> None:
    plans = [(letter, one) for letter, one in lettered(answer) if one.miss_points is not None]
    masses, greatest = _ranges(answer, show)
    ups = ticks(0.0, greatest)
    left = MARGIN + max(width(text) for _, text in ups) + 6
    wide = WIDE - MARGIN - left
    rim = RIM / (wide - 2 * RIM) * (masses[1] - masses[0])
    frame = Frame(
        left=left,
        zero=top + HIGH,
        wide=wide,
        high=HIGH,
        masses=(masses[0] - rim, masses[1] + rim),
        top=greatest * HIGH / (HIGH - RIM),
    )
    axes = _axes(paper, frame)
    _draw_scales(paper, frame, ups, masses)
    paper.write(MARGIN, top - 7, "worst distance outside the bands planned for, points", bold=True)
    paper.write(
        WIDE - MARGIN,
        frame.zero + FOOT + 2 * LEADING + 2,
        f"mass over the required total, {show.units.mass}",
        bold=True,
        align="right",
    )
    _draw_steps(axes, answer, frame, show)
    words = "inside every band"
    paper.write(left + 5, frame.zero + FOOT - 4, words, ink=WANTED)
    draw_plans(paper, axes, plans, frame, show, list(_stairs(best(answer), frame, show)))


def _ranges(answer: Answer, show: Rounding) -> tuple[tuple[float, float], float]:
    """Masses [user's unit] and the greatest miss [points] to show; a plan far above the curve stays outside."""
    plans = [one for _, one in lettered(answer) if one.miss_points is not None]
    points = answer.choices.curve if answer.choices else ()
    over = [point.over_required for point in points] + [one.over_required for one in plans]
    outside = [show.units.outside(mass, "mass") for mass in over]
    low, high = min(0.0, *outside), max(0.0, *outside)
    high = max(high, low + LEAST_WIDE)
    curve = max((step.miss for step in best(answer)), default=0.0)
    most = max([curve, *(one.miss_points or 0.0 for one in plans)])
    shown = min(most, WORTH * curve) if curve >= NOTHING else most
    return (low, high), 100 * max(shown, LEAST_SHOWN)


def _axes(paper: Paper, frame: Frame) -> Axes:
    """The graph in the user's unit and in points, so that the data of what is drawn are the numbers of the records."""
    wide, high = (72 * inches for inches in paper.figure.get_size_inches())
    foot = frame.zero + FOOT
    whole = frame.high + FOOT
    axes = paper.figure.add_axes((frame.left / wide, 1 - foot / high, frame.wide / wide, whole / high))
    axes.patch.set_visible(False)
    axes.set(xlim=frame.masses, ylim=(-FOOT / frame.high * frame.top, frame.top), xticks=[], yticks=[])
    for spine in axes.spines.values():
        spine.set(color=FAINT, linewidth=0.8)
    axes.axhspan(axes.get_ylim()[0], 0.0, facecolor=GUARDED, edgecolor="none", zorder=0.5)
    axes.plot(frame.masses, (0.0, 0.0), color=WANTED, linewidth=1.0, zorder=2, gid="inside")
    return axes


def _draw_scales(
    paper: Paper,
    frame: Frame,
    ups: Sequence[tuple[float, str]],
    masses: tuple[float, float],
) -> None:
    for miss, text in ups:
        _, y = frame.at(frame.masses[0], miss)
        paper.write(frame.left - 5, y + SIZE * 0.36, text, ink=QUIET, align="right")
        if miss:
            paper.line((frame.left, frame.left + frame.wide), (y, y), FAINT, 0.4)
    for mass, text in ticks(*masses):
        x, _ = frame.at(mass, 0.0)
        paper.line((x, x), (frame.zero + FOOT, frame.zero + FOOT + 3), QUIET, 0.8)
        paper.write(x, frame.zero + FOOT + LEADING + 2, text, ink=QUIET, align="center")


def _draw_steps(axes: Axes, answer: Answer, frame: Frame, show: Rounding) -> None:
    """Between two points the miss is no worse than at the first, and the bound that of the second holds."""
    low, high = frame.masses
    bounds = _bounds(answer)
    if bounds:
        xs = [low, *(show.units.outside(step.mass, "mass") for step in bounds)]
        ys = [bounds[0].miss, *(step.miss for step in bounds)]
        axes.fill_between(
            xs,
            [100 * y for y in ys],
            step="pre",
            facecolor=REACHED,
            edgecolor=PLANNED,
            linewidth=0.6,
            linestyle=DASHES,
            zorder=1,
            gid="bound",
        )
    steps = best(answer)
    if steps:
        xs = [*(show.units.outside(step.mass, "mass") for step in steps), high]
        ys = [100 * step.miss for step in (*steps, steps[-1])]
        axes.plot(xs, ys, color=PLANNED, linewidth=1.4, drawstyle="steps-post", zorder=3, gid="best")
    for number, point in enumerate(answer.choices.curve if answer.choices else (), start=1):
        beaten = any(step.mass <= point.over_required and step.miss < point.miss_points - NOTHING for step in steps)
        if not beaten:
            at = show.units.outside(point.over_required, "mass"), 100 * point.miss_points
            axes.add_line(SEEN.at(*at, axes.transData, f"point-{number}", 4))


def _stairs(steps: Sequence[Step], frame: Frame, show: Rounding) -> Iterator[Box]:
    """The line of the best, as thin boxes that letters keep clear of."""
    corners = [frame.at(show.units.outside(step.mass, "mass"), 100 * step.miss) for step in steps]
    ends = [*corners[1:], (frame.left + frame.wide, corners[-1][1])] if corners else []
    for (x, y), (end, under) in zip(corners, ends, strict=True):
        yield x, y - 1, end, y + 1
        yield end - 1, y, end + 1, under
