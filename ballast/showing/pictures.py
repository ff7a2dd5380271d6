"""The picture of a plan: the car from above, to scale, nose up, drawn from records alone."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal

import matplotlib
from matplotlib.figure import Figure

from ballast.records.plan import Answer
from ballast.showing.enlarged import BELOW, crosses, draw_enlarged, others, scale_bar, view, window
from ballast.showing.from_above import draw_car
from ballast.showing.impossible_sheet import AS_WEIGHED, on_the_pads
from ballast.showing.lettering import DPI, LEADING, SIZE, plain, shortened, wrapped
from ballast.showing.marks import (
    AFTER,
    AIM,
    BEFORE,
    CROSS,
    DOTS,
    EACH,
    EMPTIED,
    EMPTY,
    GUARDED,
    IN_PLAN,
    INK,
    LOADED,
    NEEDED,
    PAPER,
    PLANNED,
    QUIET,
    REACHED,
    STRIP,
    WANTED,
    Mark,
    Paper,
    blank_paper,
)
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN, Scene, blocks, needed, placed

WIDE = 390.0
"""Width of the picture: that of a phone, where a point is then a pixel. [pt]"""
SQUARE = 166.0
"""Side of the enlarged view. [pt]"""
ICON = 22.0
"""Width of a mark in the key. [pt]"""

FIXED_SIZE = re.compile(rb'<svg([^>]*) width="[^"]*" height="[^"]*"')
"""What the start of an svg says of its size."""

Line = tuple[str, float, bool]
"""Text, size, whether bold."""


def rendered(figure: Figure, kind: Literal["svg", "png"]) -> bytes:
    """The picture as the bytes of a file, the same bytes each time.

    Letters are drawn as outlines in the svg: what was measured is then what is seen, also where the font is missing.
    It states its proportions and no size, so that it fills a phone's window as well as a sheet of A4.
    """
    name = str(figure.get_label())
    metadata = {"Date": None, "Title": name} if kind == "svg" else {"Title": name, "Software": None}
    with own_style(svg_hashsalt="ballast", svg_fonttype="path"), io.BytesIO() as file:
        figure.savefig(file, format=kind, dpi=DPI, metadata=metadata, facecolor=PAPER)
        data = file.getvalue()
    return FIXED_SIZE.sub(b"<svg\\1", data, count=1) if kind == "svg" else data


def plan_view(answer: Answer) -> Figure:
    """The car from above with what the plan does to it; as weighed, with its mounts, when there is no plan."""
    with own_style():
        return _drawn(answer)


@contextmanager
def own_style(**settings: str | None) -> Iterator[None]:
    """Nothing that a user has set for other pictures; restored afterwards."""
    more: Any = {name.replace("_", "."): value for name, value in settings.items()}
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(more)
        yield


def _drawn(answer: Answer) -> Figure:
    show = rounding(answer.question)
    scene = Scene(answer, show, WIDE)
    labels = blocks(scene)
    spots = placed(scene, labels)
    front, rear = (end * scene.scale for end in scene.ends)
    top = min(front - LEADING - 4, *(spot.top for spot in spots))
    bottom = max(rear, *(spot.top + block.label.height for block, spot in zip(labels, spots, strict=True)))
    head = tuple(_head(answer, show))
    car_top = MARGIN + sum(1.35 * size for _, size, _ in head) + 10
    enlarged = bool(answer.plan.cases)
    key = tuple(_key(scene, WIDE - 2 * MARGIN - ICON - (SQUARE + 14 if enlarged else 0)))
    lower = car_top + bottom - top + 18
    high = lower + LEADING + max(SQUARE + BELOW if enlarged else 0.0, sum(row.height for row in key)) + MARGIN
    paper = blank_paper(WIDE, high, (WIDE / 2, car_top - top), scene.scale)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    y = MARGIN
    for text, size, bold in head:
        y += 1.35 * size
        paper.write(MARGIN, y - 0.25 * size, text, size, bold)
    draw_car(paper, scene, labels, spots)
    if enlarged:
        times = view(answer.plan, SQUARE, scene.scale).times
        paper.write(MARGIN, lower + 5, f"centre of gravity, {times} x larger", bold=True)
        draw_enlarged(paper, answer.plan, (MARGIN, lower + LEADING), SQUARE, show)
    _draw_key(paper, key, (MARGIN + (SQUARE + 14 if enlarged else 0), lower + LEADING))
    return paper.figure


def _head(answer: Answer, show: Rounding) -> Iterator[Line]:
    """The car, the outcome in words, and the total: rounded down where it is reached, up where it is required."""
    plan, room = answer.plan, WIDE - 2 * MARGIN
    yield shortened(plain(answer.question.car.chassis.name), room, 14, bold=True), 14, True
    outcome = plan.outcome if plan.cases else f"no plan: {plan.outcome}"
    outcome = outcome[0].upper() + outcome[1:]
    if plan.cases and not plan.legal:
        outcome += ", but a limit is broken: see the findings"
    said = [f"{outcome}. Weighed {answer.question.weigh_in.visit.date}."]
    if plan.impossible and plan.impossible.conflicts:
        said.append(f"In the way: {', '.join(plan.impossible.conflicts)}.")
    if plan.before.name != AS_WEIGHED:
        said.append(_state(answer))
    yield from ((line, 10, False) for words in said for line in wrapped(words, room, 10))
    yield from ((line, 10, True) for line in wrapped(_total(answer, show), room, 10, bold=True))


def _state(answer: Answer) -> str:
    """Which state of the car is drawn, and of how many."""
    plan, question = answer.plan, answer.question
    states = f", one of {len(plan.cases)} states" if len(plan.cases) > 1 else ""
    kit = question.car.drivers and any(mount.changes_with_driver for mount in question.car.mounts)
    others = " The sheet says what the others carry." if kit and len(question.car.drivers) > 1 else ""
    return f"Drawn: {plain(plan.before.name)}{states}.{others}"


def _total(answer: Answer, show: Rounding) -> str:
    """The total where it is the tightest, and what the car weighed in that state before, where the plan tells."""
    plan = answer.plan
    asked, before = plan.requirement, show.mass(plan.before.total)
    required, unit = show.mass_up(plan.required_total), show.units.mass
    told = []
    if plan.cases:
        case = next((case for case in plan.cases if case.name == asked.case), plan.cases[0])
        reached, least = show.against(case.total, plan.required_total)
        required, told = f"{least} {unit}", [f"reached {reached} {unit}"]
    if asked.case == plan.before.name:
        told.append(f"{'before' if plan.cases else 'weighed' if on_the_pads(answer) else 'now'} {before}")
    most = plan.impossible.greatest_total if plan.impossible and not plan.cases else None
    if most is not None:
        told.append(f"possible {show.mass_down(most)}" + ", the mean of all states" * (len(plan.requirements) > 1))
    way = "with" if answer.question.car.drivers else "at the"
    whose = "" if asked.case == AS_WEIGHED else f" {way} {plain(asked.case)}:"
    return f"Total required{whose} {', '.join([required, *told])}."


@dataclass(frozen=True)
class KeyRow:
    """A mark, a swatch or a line, and what it means."""

    lines: tuple[str, ...]
    marks: tuple[Mark, ...] = ()
    swatch: tuple[str, str] | None = None
    length: float = 0.0
    dashes: tuple[float, float] | None = None

    @property
    def height(self) -> float:
        """[pt]"""
        return LEADING * len(self.lines) + 3


def _key(scene: Scene, room: float) -> Iterator[KeyRow]:
    plan = scene.answer.plan

    def row(text: str, *marks: Mark, swatch: tuple[str, str] | None = None) -> KeyRow:
        return KeyRow(wrapped(text, room, most=3), marks, swatch)

    alone = "centre of gravity as weighed" if on_the_pads(scene.answer) else "centre of gravity now"
    yield row("centre of gravity before" if plan.cases else alone, BEFORE)
    if others(plan):
        yield row("centre of gravity after, as drawn", AFTER)
        yield row("centre of gravity after, every driver and fuel state with targets", EACH)
    elif plan.cases:
        yield row("centre of gravity after", AFTER)
    frame = window(plan)
    if frame and plan.tolerance:
        at = "centre of gravity aimed at"
        yield row(at, AIM) if crosses(plan.tolerance.aim) else KeyRow((at,), dashes=STRIP)
        yield row("its tolerance", swatch=(PAPER, WANTED))
        yield row("tolerance planned for", swatch=(GUARDED, "none"))
    if plan.reach:
        mark, aft, left = needed(scene)
        if mark:
            yield row("ballast's own centre needed" + (", further than drawn" if mark is not NEEDED else ""), mark)
        elif aft is not None or left is not None:
            yield KeyRow(("ballast's own centre needed",), dashes=DOTS)
        yield row("ballast's own centre planned", IN_PLAN)
        if len(plan.reach.outline) > 1:
            yield row("where the mounts can put it", swatch=(REACHED, PLANNED))
    used = {scene.mark(mount) for mount in scene.answer.question.car.mounts}
    names = (
        (LOADED, "mount with plates"),
        (EMPTIED, "mount cleared"),
        (EMPTY, "mount left empty" + scene.crowded * ", not named"),
    )
    for mark, name in names:
        if mark in used:
            yield row(name, mark, *((CROSS,) if mark is EMPTIED else ()))
    length, text = scale_bar(scene.scale, ICON - 6, scene.show)
    yield KeyRow((f"{text} on the car",), length=length)


def _draw_key(paper: Paper, key: tuple[KeyRow, ...], corner: tuple[float, float]) -> None:
    x, y = corner
    for row in key:
        middle = y + LEADING / 2
        if row.swatch:
            paper.box(x + 1, middle - 4.5, ICON - 6, 9, *row.swatch, dashed=PLANNED in row.swatch)
        for mark in row.marks:
            paper.mark(mark, x + 9, middle)
        if row.length:
            paper.line((x, x + row.length), (middle, middle), INK, 1.6)
        if row.dashes:
            paper.line((x, x + ICON - 4), (middle, middle), WANTED, 1.2, row.dashes)
        for number, line in enumerate(row.lines):
            paper.write(x + ICON, y + LEADING * number + SIZE * 0.95, line, ink=QUIET if row.length else INK)
        y += row.height
