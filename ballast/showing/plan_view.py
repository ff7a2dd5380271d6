"""The picture of a plan: the car from above, to scale, nose up, drawn from records alone."""

from collections.abc import Iterator

from matplotlib.figure import Figure

from ballast.records.plan import Answer
from ballast.showing.enlarged import BELOW, crosses, draw_enlarged, others, scale_bar, view, window
from ballast.showing.from_above import HARDWARE, NEW, STAYING, draw_car
from ballast.showing.head import Line, draw_head, height_of
from ballast.showing.impossible_sheet import AS_WEIGHED, on_the_pads
from ballast.showing.key import BETWEEN, ICON, KeyRow, Swatch, draw_key, halved, height_of_key
from ballast.showing.lettering import LEADING, plain, shortened, wrapped
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
    LOADED,
    NEEDED,
    PAPER,
    PLANNED,
    QUIET,
    REACHED,
    STRIP,
    WANTED,
    Ink,
    Mark,
    blank_paper,
)
from ballast.showing.rendering import WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN, Scene, blocks, needed, placed
from ballast.showing.stacks import stack

SQUARE = 166.0
"""Side of the enlarged view. [pt]"""


def plan_view(answer: Answer) -> Figure:
    """The car from above with what the plan does to it; as weighed, with its mounts, when there is no plan."""
    with own_style():
        return _drawn(answer)


def _drawn(answer: Answer) -> Figure:
    show = rounding(answer.question)
    scene = Scene(answer, show, WIDE)
    labels = blocks(scene)
    spots = placed(scene, labels)
    front, rear = (end * scene.scale for end in scene.ends)
    top = min(front - LEADING - 4, *(spot.top for spot in spots))
    bottom = max(rear, *(spot.top + block.label.height for block, spot in zip(labels, spots, strict=True)))
    head = tuple(_head(answer, show))
    car_top = MARGIN + height_of(head) + 10
    below = car_top + bottom - top + 14
    columns = halved(tuple(_key_of_the_car(scene, WIDE / 2 - MARGIN - ICON - BETWEEN)))
    lower = below + max(height_of_key(rows) for rows in columns) + 10
    enlarged = bool(answer.plan.cases)
    beside = SQUARE + 14 if enlarged else 0.0
    key = tuple(_key_of_centres(scene, WIDE - 2 * MARGIN - ICON - beside))
    high = lower + LEADING * enlarged + max(SQUARE + BELOW if enlarged else 0.0, height_of_key(key)) + MARGIN
    paper = blank_paper(WIDE, high, (WIDE / 2, car_top - top), scene.scale)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    draw_head(paper, head)
    draw_car(paper, scene, labels, spots)
    for rows, x in zip(columns, (MARGIN, WIDE / 2), strict=True):
        draw_key(paper, rows, (x, below))
    if enlarged:
        times = view(answer.plan, SQUARE, scene.scale).times
        paper.write(MARGIN, lower + 5, f"centre of gravity, {times} x larger", bold=True)
        draw_enlarged(paper, answer.plan, (MARGIN, lower + LEADING), SQUARE, show)
    draw_key(paper, key, (MARGIN + beside, lower + LEADING * enlarged))
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


def _key_of_the_car(scene: Scene, room: float) -> Iterator[KeyRow]:
    """Mounts, what they may carry and do carry, driver and tanks, and the scale."""
    used = {scene.mark(mount) for mount in scene.answer.question.car.mounts}
    names = (
        (LOADED, "mount with plates"),
        (EMPTIED, "mount cleared"),
        (EMPTY, "mount left empty" + scene.crowded * ", not named"),
    )
    for mark, name in names:
        if mark in used:
            yield KeyRow(wrapped(name, room), (mark, CROSS) if mark is EMPTIED else (mark,))
    yield from _key_of_strips(scene, room)
    for one in {aboard.mark: aboard for aboard in scene.aboard}.values():
        yield KeyRow((one.kind,), (one.mark,))
    length, text = scale_bar(scene.scale, ICON - 6, scene.show)
    yield KeyRow((f"{text} on the car",), length=length)


def _key_of_strips(scene: Scene, room: float) -> Iterator[KeyRow]:
    """What the strips below the names of mounts say."""
    mounts = scene.answer.question.car.mounts
    yield KeyRow(wrapped("what a mount may carry", room), swatch=Swatch(PAPER, QUIET))
    stacks = [stack(scene.answer, mount) for mount in mounts]
    pieces = [piece for pieces in stacks for piece in pieces]
    found = (
        (any(m.fixing_mass and on for m, on in zip(mounts, stacks, strict=True)), HARDWARE, "hardware, by its mass"),
        (any(not piece.new for piece in pieces), STAYING, "plates that stay, by mass"),
        (any(piece.new for piece in pieces), NEW, "plates put on, by mass"),
    )
    yield from (KeyRow(wrapped(words, room), swatch=swatch) for there, swatch, words in found if there)


def _key_of_centres(scene: Scene, room: float) -> Iterator[KeyRow]:
    """Centres of gravity of the car and of the ballast, and where they may be."""
    plan = scene.answer.plan

    def row(text: str, *marks: Mark, swatch: Swatch | None = None) -> KeyRow:
        return KeyRow(wrapped(text, room, most=3), marks, swatch)

    alone = "centre of gravity as weighed" if on_the_pads(scene.answer) else "centre of gravity now"
    yield row("centre of gravity before" if plan.cases else alone, BEFORE)
    if others(plan):
        yield row("centre of gravity after, as drawn", AFTER)
        yield row("centre of gravity after, every driver and fuel state with targets", EACH)
    elif plan.cases:
        yield row("centre of gravity after", AFTER)
    if plan.uncertain and plan.uncertain.centre:
        finer = scene.scale * view(plan, SQUARE, scene.scale).times
        if plan.uncertain.centre.longer * finer > AFTER.size / 2:
            yield row("where it is by 95 %, enlarged", swatch=Swatch("none", PLANNED, round=True))
        else:
            yield row("by 95 % it lies on its dot")
    frame = window(plan)
    if frame and plan.tolerance:
        at = "centre of gravity aimed at"
        yield row(at, AIM) if crosses(plan.tolerance.aim) else KeyRow((at,), line=Ink(WANTED, 1.2, STRIP))
        yield row("its tolerance", swatch=Swatch(PAPER, WANTED))
        yield row("tolerance planned for", swatch=Swatch(GUARDED, WANTED, dashed=True))
    if plan.reach:
        mark, aft, left = needed(scene)
        if mark:
            yield row("ballast's own centre needed" + (", further than drawn" if mark is not NEEDED else ""), mark)
        elif aft is not None or left is not None:
            yield KeyRow(("ballast's own centre needed",), line=Ink(WANTED, 1.2, DOTS))
        yield row("ballast's own centre planned", IN_PLAN)
        if len(plan.reach.outline) > 1:
            yield row("where the mounts can put it", swatch=Swatch(REACHED, PLANNED, dashed=True))
