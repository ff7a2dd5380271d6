"""The picture of a choice: how well the car can be balanced against its mass over what is required, and the plans."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ballast.records.plan import Alternative, Answer
from ballast.showing.choices_sheet import LETTERS
from ballast.showing.enlarged import AROUND, Box, arrow, beside, overlap
from ballast.showing.lettering import LEADING, SIZE, plain, shortened, width, wrapped
from ballast.showing.marks import FAINT, GUARDED, INK, PAPER, PLANNED, QUIET, REACHED, WANTED, Mark, Paper, blank_paper
from ballast.showing.pictures import ICON, WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN

HIGH, FOOT = 220.0, 19.0
"""Height of the graph, and of the strip below its zero line: inside every band. [pt]"""
RIM = 12.0
"""Kept free inside the graph, above and beside its marks. [pt]"""
MOST_TICKS = 6
WORTH = 5.0
"""How many times lower the curve may become so that a plan far above it still fits in."""
NOTHING = 0.00005
"""A miss that is printed as 0.00 points; a share."""
LEAST_SHOWN, LEAST_WIDE = 0.0005, 0.5
"""The graph is at least as high as this miss, a share, and as wide as this mass: nobody chooses by less."""
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

SEEN = Mark("o", 4.5, PLANNED, PAPER, 0.6)
CHOSEN = Mark("D", 7, INK, INK)
OTHER = Mark("D", 7, PAPER, INK)

Line = tuple[str, float, bool]
"""Text, size, whether bold."""


@dataclass(frozen=True)
class Step:
    """So much mass over the required total, and a miss with it: the best found, or one that is proved out of reach.

    In kg and as a share.
    """

    mass: float
    miss: float


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


def curve_view(answer: Answer) -> Figure:
    """What mass buys in balance, and the plans to choose from; a sentence where nobody asked or there is no target."""
    with own_style():
        return _drawn(answer)


def best(answer: Answer) -> tuple[Step, ...]:
    """The best miss found with no more than so much mass, where it gets better: over the curve and the legal plans."""
    if answer.choices is None:
        return ()
    found = [Step(point.over_required, point.miss_points) for point in answer.choices.curve]
    found += [
        Step(one.over_required, one.miss_points)
        for one in answer.choices.alternatives
        if one.miss_points is not None and one.plan.legal
    ]
    steps: list[Step] = []
    for step in sorted(found, key=lambda step: (step.mass, step.miss)):
        if not steps or step.miss < steps[-1].miss - NOTHING / 100:
            steps.append(step)
    return tuple(steps)


def _drawn(answer: Answer) -> Figure:
    show, room = rounding(answer.question), WIDE - 2 * MARGIN
    name = plain(answer.question.car.chassis.name)
    head: list[Line] = [(shortened(name, room, 14, bold=True), 14, True)]
    head += [(line, 10, False) for line in wrapped(_sentence(answer, show), room, 10, most=3)]
    rows = tuple(_rows(answer, show))
    plans = [one for _, one in _lettered(answer) if one.miss_points is not None]
    drawn = bool(best(answer) or plans)
    top = MARGIN + sum(1.35 * size for _, size, _ in head)
    graph = top + 10 + LEADING + 4
    below = graph + HIGH + FOOT + 2 * LEADING + 12 if drawn else top
    key = tuple(_key(answer)) if drawn else ()
    listing = below + sum(_height(lines) for _, _, lines in key) + (6 if key else 0)
    high = listing + sum(LEADING * len(row.lines) + 2 for row in rows) + (LEADING + 4 if rows else 0) + MARGIN
    paper = blank_paper(WIDE, high, (0.0, 0.0), 1.0)
    paper.figure.set_label(name)
    y = MARGIN
    for text, size, bold in head:
        y += 1.35 * size
        paper.write(MARGIN, y - 0.25 * size, text, size, bold)
    if drawn:
        _draw_graph(paper, answer, graph, show)
    _draw_key(paper, key, below)
    _draw_rows(paper, rows, listing)
    return paper.figure


# --- words -----------------------------------------------------------------------------------------------------------


def _sentence(answer: Answer, show: Rounding) -> str:
    """What the curve says, in one sentence; or why there is none."""
    if answer.choices is None or not answer.choices.curve:
        return _why_none(answer)
    steps, last = best(answer), answer.choices.curve[-1]
    inside = next((step for step in steps if step.miss < NOTHING), None)
    if inside and inside == steps[0]:
        return (
            "The least mass found, "
            f"{_over(inside.mass, show)}, already brings every target inside the band that was planned for."
        )
    if inside:
        return f"From {_over(inside.mass, show)} on, every target is inside the band that was planned for."
    nearest = f"the best found is {show.points(steps[-1].miss)} outside, from {_over(steps[-1].mass, show)} on."
    if last.bound_points >= NOTHING:
        return (
            f"More mass, up to {_over(last.over_required, show)}, does not bring every target inside the band that was "
            f"planned for: {nearest}"
        )
    return f"No plan found brings every target inside the band that was planned for: {nearest}"


def _why_none(answer: Answer) -> str:
    plan = answer.plan
    if not plan.cases:
        return f"No curve: there is no plan ({plan.outcome})."
    if answer.choices is None:
        stopped = plan.outcome == "best found when stopped"
        return "No curve: it was stopped before that." if stopped else "No curve was asked for."
    if any(target.by == "ballast" for target in plan.targets):
        return "No curve: there was no time for it."
    return "No curve: no target asks where the ballast goes, so no mass is better balanced than another."


def _over(mass: float, show: Rounding) -> str:
    """Rounded up: with that much, what is said is true."""
    return f"{show.mass_up(mass)} over the required total" if mass >= 0 else f"{show.mass_up(-mass)} under it"


@dataclass(frozen=True)
class Row:
    """One plan of the list: its letter, its name, its numbers."""

    letter: str
    lines: tuple[str, ...]
    numbers: str


def _rows(answer: Answer, show: Rounding) -> Iterator[Row]:
    for letter, one in _lettered(answer):
        mark = "" if one.plan.legal else " (NOT LEGAL)"
        mark += "" if one.plan.outcome == "proved best" else " (not proved)"
        numbers = f"{show.mass(abs(one.over_required))} {'over' if one.over_required >= 0 else 'under'}"
        numbers += f", {show.points(one.miss_points)}" if one.miss_points is not None else ""
        room = WIDE - 2 * MARGIN - ICON - width(numbers) - 10
        yield Row(letter, wrapped(plain(one.name) + mark, room), numbers)


def _lettered(answer: Answer) -> list[tuple[str, Alternative]]:
    return list(zip(LETTERS, answer.choices.alternatives, strict=False)) if answer.choices else []


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
    plans = _lettered(answer)
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
            paper.box(MARGIN + 1, middle - 4.5, ICON - 6, 9, REACHED, "none")
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
    plans = [(letter, one) for letter, one in _lettered(answer) if one.miss_points is not None]
    masses, greatest = _ranges(answer, show)
    ups = _ticks(0.0, greatest)
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
    _draw_plans(paper, axes, plans, frame, show, list(_stairs(best(answer), frame, show)))


def _ranges(answer: Answer, show: Rounding) -> tuple[tuple[float, float], float]:
    """Masses [user's unit] and the greatest miss [points] to show; a plan far above the curve stays outside."""
    plans = [one for _, one in _lettered(answer) if one.miss_points is not None]
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
    for mass, text in _ticks(*masses):
        x, _ = frame.at(mass, 0.0)
        paper.line((x, x), (frame.zero + FOOT, frame.zero + FOOT + 3), QUIET, 0.8)
        paper.write(x, frame.zero + FOOT + LEADING + 2, text, ink=QUIET, align="center")


def _ticks(low: float, high: float) -> list[tuple[float, str]]:
    """Round numbers from low to high, six at the most, each with its text."""
    power = 10.0 ** math.floor(math.log10((high - low) / MOST_TICKS))
    step = next(power * n for n in (1, 2, 5, 10, 20) if (high - low) / (power * n) <= MOST_TICKS - 1)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(n * step, f"{n * step:.10g}") for n in range(first, last + 1)]


def _draw_steps(axes: Axes, answer: Answer, frame: Frame, show: Rounding) -> None:
    """Between two points the miss is no worse than at the first, and the bound that of the second holds."""
    low, high = frame.masses
    bounds = _bounds(answer)
    if bounds:
        xs = [low, *(show.units.outside(step.mass, "mass") for step in bounds)]
        ys = [bounds[0].miss, *(step.miss for step in bounds)]
        axes.fill_between(
            xs, [100 * y for y in ys], step="pre", facecolor=REACHED, edgecolor="none", zorder=1, gid="bound"
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


# --- plans in the graph ----------------------------------------------------------------------------------------------


@dataclass
class Spot:
    """A place on paper that one mark or several have, and their letters."""

    at: tuple[float, float]
    letters: list[str]

    @property
    def text(self) -> str:
        """All letters, with spaces between them."""
        return " ".join(self.letters)


def _draw_plans(
    paper: Paper,
    axes: Axes,
    plans: Sequence[tuple[str, Alternative]],
    frame: Frame,
    show: Rounding,
    stairs: list[Box],
) -> None:
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
    marks = [_around(spot.at, half) for spot in spots]
    labels: list[Box] = []
    leaders: list[Box] = []
    for spot in spots:
        rivals = [_around(other.at, half + APART) for other in spots if other is not spot]
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


def _around(at: tuple[float, float], half: float) -> Box:
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half


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
