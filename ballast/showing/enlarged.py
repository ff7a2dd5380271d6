"""The centre of gravity, enlarged: tolerances are millimetres on a car of metres."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Ellipse, Rectangle

from ballast.records.plan import Plan, PlannedCase, PlanPoint, Tolerance
from ballast.records.weighed import CaseLoads
from ballast.showing.beside import NEXT, STRAIGHT, Box, around, beside
from ballast.showing.lettering import SIZE, plain, width
from ballast.showing.marks import (
    AFTER,
    AIM,
    BEFORE,
    DASHES,
    EACH,
    FAINT,
    GUARDED,
    INK,
    PAPER,
    PLANNED,
    QUIET,
    STRIP,
    WANTED,
    Mark,
    Paper,
    arrow,
)
from ballast.showing.rounding import Rounding

ENLARGED = (100, 80, 60, 50, 40, 30, 25, 20, 15, 12, 10, 8, 6, 5, 4, 3, 2, 1)
STEPS = (100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001)
"""Lengths of a scale bar, in the user's unit."""
WORTH = 5
"""How many times smaller everything may become so that the place before still fits in."""
SCALE_BAR, BELOW = 60.0, 15.0
"""Greatest length of the scale bar, and its height below the frame. [pt]"""
INSIDE = 22.0
"""Kept free along the frame. [pt]"""
APART = 4.5
"""How much farther a word stays from the marks of other states than from its own. [pt]"""

Span = tuple[float, float]


@dataclass(frozen=True)
class Window:
    """Where the centre of gravity may be: as asked for, and as planned for. A coordinate nobody asks for is free."""

    asked: tuple[Span | None, Span | None]
    planned: tuple[Span | None, Span | None]
    """along the car, across it. [m]"""


@dataclass(frozen=True)
class View:
    """Which part of the car the frame shows, how many times larger."""

    times: int
    middle: tuple[float, float]
    """behind the front axle, left of the centre line. [m]"""


def window(plan: Plan) -> Window | None:
    """The tolerance window of a plan; None when no target asks for a place."""
    tolerance = plan.tolerance
    if tolerance is None or (tolerance.behind_front_axle is None and tolerance.left_of_centre is None):
        return None
    return Window(
        asked=(
            _asked(plan, ("front", "rear"), tolerance.behind_front_axle, tolerance.aim.behind_front_axle),
            _asked(plan, ("left",), tolerance.left_of_centre, tolerance.aim.left_of_centre),
        ),
        planned=(tolerance.behind_front_axle, tolerance.left_of_centre),
    )


def _asked(plan: Plan, figures: Sequence[str], planned: Span | None, aim: float | None) -> Span | None:
    """The edges without the guard: places go with shares in proportion, so the window widens about its aim."""
    if planned is None or aim is None:
        return None
    target = next(result for result in plan.targets if result.figure in figures)
    wider = target.within / (target.within - target.guard)
    return aim + (planned[0] - aim) * wider, aim + (planned[1] - aim) * wider


def view(plan: Plan, side: float, scale: float) -> View:
    """The greatest enlargement of the list that shows the place after, the aim and its window, and best the one before.

    side : of the square frame [pt]; scale : of the car [pt/m].
    """
    core = list(_core(plan))
    room = (side - 2 * INSIDE) / scale
    whole = _view([*core, _place(plan.before)], room)
    near = _view(core, room)
    return whole if near.times <= WORTH * whole.times else near


def _core(plan: Plan) -> Iterator[tuple[float | None, float | None]]:
    for case in (*plan.cases[:1], *others(plan)):
        yield _place(case)
    frame = window(plan)
    if frame:
        yield from ((along, None) for along in frame.asked[0] or ())
        yield from ((None, across) for across in frame.asked[1] or ())


def others(plan: Plan) -> tuple[PlannedCase, ...]:
    """The states beside the first for which the targets are asked."""
    return tuple(case for case in plan.cases[1:] if case.balance)


def _view(places: Sequence[tuple[float | None, float | None]], room: float) -> View:
    spans = []
    for axis in (0, 1):
        values = [place[axis] for place in places]
        known = [value for value in values if value is not None]
        spans.append((min(known), max(known)))
    widest = max(high - low for low, high in spans)
    times = next((times for times in ENLARGED if widest * times <= room), ENLARGED[-1])
    return View(times, (sum(spans[0]) / 2, sum(spans[1]) / 2))


def _place(case: CaseLoads) -> tuple[float, float]:
    return case.centre_of_gravity.behind_front_axle, case.centre_of_gravity.left_of_centre


def draw_window(axes: Axes, frame: Window, tolerance: Tolerance, room: tuple[Span, Span], gid: str) -> None:
    """The window in the metres of the car: a rectangle, or a strip across `room` where a coordinate is free."""
    for name, spans, face in (("asked", frame.asked, PAPER), ("planned", frame.planned, GUARDED)):
        along, across = (span or whole for span, whole in zip(spans, room, strict=True))
        axes.add_patch(
            Rectangle(
                (across[0], along[0]),
                across[1] - across[0],
                along[1] - along[0],
                facecolor=face,
                edgecolor=WANTED,
                linewidth=1.0 if name == "asked" else 0.6,
                linestyle="-" if name == "asked" else DASHES,
                gid=f"{gid}-{name}",
                zorder=3 if name == "planned" else 3.2,
                fill=name == "planned",
            )
        )
    aim = tolerance.aim
    if aim.behind_front_axle is None or aim.left_of_centre is None:
        along = room[0] if aim.behind_front_axle is None else (aim.behind_front_axle, aim.behind_front_axle)
        across = room[1] if aim.left_of_centre is None else (aim.left_of_centre, aim.left_of_centre)
        axes.add_line(Line2D(across, along, color=WANTED, linewidth=0.8, dashes=STRIP, zorder=3.4, gid=f"{gid}-aim"))


def crosses(point: PlanPoint) -> tuple[float, float] | None:
    """A place with both its coordinates, or none."""
    if point.behind_front_axle is None or point.left_of_centre is None:
        return None
    return point.behind_front_axle, point.left_of_centre


def draw_enlarged(paper: Paper, plan: Plan, corner: tuple[float, float], side: float, show: Rounding) -> None:
    """The square frame with everything in it, its top left corner given. [pt]"""
    seen = view(plan, side, paper.scale)
    finer = paper.scale * seen.times
    reach = side / finer / 2
    room: tuple[Span, Span] = tuple((m - reach, m + reach) for m in seen.middle)  # type: ignore[assignment]
    wide, high = (72 * inches for inches in paper.figure.get_size_inches())
    axes = paper.figure.add_axes((corner[0] / wide, 1 - (corner[1] + side) / high, side / wide, side / high))
    axes.patch.set_visible(False)
    axes.set(xlim=room[1][::-1], ylim=room[0][::-1], xticks=[], yticks=[])
    for spine in axes.spines.values():
        spine.set(color=FAINT, linewidth=0.8)

    def on_paper(place: tuple[float, float]) -> tuple[float, float]:
        return (
            corner[0] + side / 2 - (place[1] - seen.middle[1]) * finer,
            corner[1] + side / 2 + (place[0] - seen.middle[0]) * finer,
        )

    marks: list[tuple[str, Mark, tuple[float, float]]] = []
    frame = window(plan)
    if frame and plan.tolerance:
        draw_window(axes, frame, plan.tolerance, room, "enlarged-window")
        aim = crosses(plan.tolerance.aim)
        if aim:
            marks.append(("aim", AIM, aim))
    marks.append(("before", BEFORE, _place(plan.before)))
    marks += [("after", AFTER, _place(case)) for case in plan.cases[:1]]
    _draw_ellipse(axes, plan)
    _draw_scale_bar(paper, (corner[0], corner[1] + side), finer, show)
    edges = list(_edges(frame, on_paper, corner, side)) if frame else []
    taken: list[Box] = []
    spots = []
    for name, mark, place in marks:
        x, y = on_paper(place)
        inside = (min(max(x, corner[0] + 8), corner[0] + side - 8), min(max(y, corner[1] + 8), corner[1] + side - 8))
        if inside == (x, y):
            axes.add_line(mark.at(place[1], place[0], axes.transData, f"enlarged-{name}", 5 + (name == "after")))
        else:
            paper.mark(arrow(mark, x - inside[0], y - inside[1]), *inside, gid=f"enlarged-{name}")
        half = mark.size / 2 + 1
        taken.append(around(inside, half))
        spots.append((name, half, inside))
    bounds = (corner[0] + 3, corner[1] + 3, corner[0] + side - 3, corner[1] + side - 3)
    states = [(case, on_paper(_place(case)), EACH.size / 2 + 1) for case in others(plan)]
    for number, (case, at, half) in enumerate(states, start=2):
        axes.add_line(EACH.at(*_place(case)[::-1], axes.transData, f"enlarged-after-{number}", 4.8))
        taken.append(around(at, half))
    if states:
        _, half, at = spots.pop()
        states.insert(0, (plan.cases[0], at, half))
    for name, half, at in spots:
        words = name + _verdict(plan, plan.cases[0]) if name == "after" else name
        label = beside(at, half, width(words), taken + edges, bounds) or beside(at, half, width(words), taken, bounds)
        if label:
            taken.append(label)
            paper.write(label[0], label[3] - 2.5, words)
    _name_states(paper, plan, states, (taken, edges), bounds)


def _draw_ellipse(axes: Axes, plan: Plan) -> None:
    """Where the centre of gravity may be in the state that is drawn, where the plan says so."""
    centre = plan.uncertain.centre if plan.uncertain else None
    if centre is None:
        return
    left, aft = _place(plan.cases[0])[::-1]
    # Counted from straight back, as the record does: the picture's second axis.
    axes.add_patch(
        Ellipse(
            (left, aft),
            2 * centre.shorter,
            2 * centre.longer,
            angle=-centre.turned,
            facecolor="none",
            edgecolor=PLANNED,
            linewidth=0.9,
            gid="enlarged-ellipse",
            zorder=4.5,
        )
    )


def _name_states(
    paper: Paper,
    plan: Plan,
    states: Sequence[tuple[PlannedCase, tuple[float, float], float]],
    avoid: tuple[list[Box], list[Box]],
    bounds: Box,
) -> None:
    """A name beside each state whose mark and half size are given, where it is plain whose it is. avoid : marks and
    words, and lines that may be crossed where there is no other way.
    """
    taken, edges = avoid
    for number, (case, at, half) in enumerate(states):
        words = _short_name(plan, case)
        rivals = [around(place, size + APART) for k, (_, place, size) in enumerate(states) if k != number]
        clear = [box for box in taken if box != around(at, half)] + rivals
        label = beside(at, half, width(words), clear + edges, bounds, NEXT, STRAIGHT)
        label = label or beside(at, half, width(words), clear, bounds, NEXT, STRAIGHT)
        if label:
            taken.append(label)
            paper.write(label[0], label[3] - 2.5, words)


def _short_name(plan: Plan, case: PlannedCase) -> str:
    """A state by what tells it from the others with targets, and a word where it lies outside."""
    asked = [one for one in plan.cases if one.balance]
    drivers, fuels = len({one.driver for one in asked}) > 1, len({one.fuel for one in asked}) > 1
    name = case.name if drivers == fuels else (case.driver if drivers else case.fuel) or case.name
    return plain(name) + ", outside" * (_verdict(plan, case) == ", outside")


def _verdict(plan: Plan, case: PlannedCase) -> str:
    """Whether a state is inside the window, in a word: a dot on the edge does not tell."""
    own = [result for result in plan.targets if result.case == case.name]
    placed = [result.inside for result in own if result.figure in ("front", "rear", "left")]
    return f", {'inside' if all(placed) else 'outside'}" if placed else ""


def _edges(
    frame: Window,
    on_paper: Callable[[tuple[float, float]], tuple[float, float]],
    corner: tuple[float, float],
    side: float,
) -> Iterator[Box]:
    """The lines of the window and of its planned part, as thin boxes that words keep clear of."""
    for spans in (frame.asked, frame.planned):
        along, across = spans
        lows = on_paper((along[0] if along else 0.0, across[1] if across else 0.0))
        highs = on_paper((along[1] if along else 0.0, across[0] if across else 0.0))
        left, right = (lows[0], highs[0]) if across else (corner[0], corner[0] + side)
        top, bottom = (lows[1], highs[1]) if along else (corner[1], corner[1] + side)
        for x in (left, right) if across else ():
            yield x - 1, top, x + 1, bottom
        for y in (top, bottom) if along else ():
            yield left, y - 1, right, y + 1


def _draw_scale_bar(paper: Paper, corner: tuple[float, float], finer: float, show: Rounding) -> None:
    length, text = scale_bar(finer, SCALE_BAR, show)
    middle = corner[1] + BELOW / 2 + 2
    paper.line((corner[0], corner[0] + length), (middle, middle), INK, 1.6)
    paper.write(corner[0] + length + 5, middle + SIZE * 0.36, text, ink=QUIET)


def scale_bar(scale: float, room: float, show: Rounding) -> tuple[float, str]:
    """The longest round length that fits into `room`: how long it is drawn, and what to write at it. scale : [pt/m]"""
    for step in STEPS:
        metres = show.units.inside(step, "length")
        if metres * scale <= room:
            break
    return metres * scale, show.as_written(metres, "length")
