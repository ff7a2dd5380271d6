"""The car from above: wheels with their loads, mounts with what they carry, centre of gravity, reach of the ballast."""

from matplotlib.patches import FancyBboxPatch, Polygon, Rectangle

from ballast.corners import CORNERS, FRONT, LEFT, REAR, Corner
from ballast.records.plates import Mount
from ballast.showing.columns import Spot
from ballast.showing.enlarged import crosses, draw_window, window
from ballast.showing.key import Swatch
from ballast.showing.lettering import LEADING, SIZE
from ballast.showing.marks import (
    AFTER,
    AIM,
    BEFORE,
    CROSS,
    DASHES,
    DOTS,
    EMPTIED,
    FAINT,
    IN_PLAN,
    INK,
    PAPER,
    PLANNED,
    QUIET,
    REACHED,
    SHADE,
    WANTED,
    Paper,
)
from ballast.showing.scene import CLEAR, COLUMN, MARGIN, ROW, STRIP, Block, Scene, needed
from ballast.showing.stacks import number, stack

BAR = 4.5
"""Thickness of a load bar. [pt]"""
NEW, STAYING, HARDWARE = Swatch(PLANNED, PAPER), Swatch(FAINT, INK), Swatch(INK, INK)
"""Plates that the plan puts on, plates that stay, and what holds them."""


def draw_car(paper: Paper, scene: Scene, labels: tuple[Block, ...], spots: list[Spot]) -> None:
    """Everything on and beside the car."""
    _frame(paper, scene)
    _reach(paper, scene)
    _wheels(paper, scene)
    heaviest = max(load for corner in CORNERS for _, load in scene.loads(corner))
    for block, spot in zip(labels, spots, strict=True):
        if block.corner:
            _bars(paper, scene, block.corner, paper.origin[1] + spot.top, heaviest)
        else:
            _written(paper, scene, block, spot.on_left, paper.origin[1] + spot.top)
    for one in scene.aboard:
        at = one.place.left_of_centre, one.place.behind_front_axle
        paper.car.add_line(one.mark.at(*at, paper.car.transData, one.gid, 3.6))
    for mount in scene.answer.question.car.mounts:
        own = number(scene.answer, mount)
        mark, place = scene.mark(mount), (mount.left_of_centre, mount.behind_front_axle)
        paper.car.add_line(mark.at(*place, paper.car.transData, f"mount-{own}", 5))
        if mark is EMPTIED:
            paper.car.add_line(CROSS.at(*place, paper.car.transData, f"emptied-{own}", 5.1))
    _centres(paper, scene)


def _frame(paper: Paper, scene: Scene) -> None:
    """A body to carry the eye, both axles, the centre line. Only axles and centre line are to scale."""
    front, rear = scene.ends
    half = max(abs(scene.patch(corner)[1]) for corner in CORNERS)
    corner = 0.28 * half
    paper.car.add_patch(
        FancyBboxPatch(
            (-half + corner, front + corner),
            2 * (half - corner),
            rear - front - 2 * corner,
            boxstyle=f"round,pad={corner}",
            facecolor=SHADE,
            edgecolor="none",
            zorder=0.5,
            gid="body",
        )
    )
    for axle in (FRONT, REAR):
        ends = [scene.patch(corner) for corner in axle]
        paper.car.plot([y for _, y in ends], [x for x, _ in ends], color=FAINT, linewidth=1.6, zorder=1)
    paper.car.plot((0, 0), (front, rear), color=FAINT, linewidth=0.8, dashes=(8, 3, 1.5, 3), zorder=1)
    x, y = paper.place(front, 0.0)
    paper.write(x, y - 5, "front", ink=QUIET, align="center")


def _wheels(paper: Paper, scene: Scene) -> None:
    length, wide = scene.tyre
    for corner in CORNERS:
        aft, left = scene.patch(corner)
        paper.car.add_patch(
            Rectangle(
                (left - wide / 2, aft - length / 2),
                wide,
                length,
                facecolor=PAPER,
                edgecolor=INK,
                linewidth=1.2,
                gid=f"wheel-{corner}",
                zorder=4,
            )
        )
        x, y = paper.place(aft, left)
        paper.write(x, y + SIZE * 0.36, corner, bold=True, align="center")


def _bars(paper: Paper, scene: Scene, corner: Corner, top: float, heaviest: float) -> None:
    on_left = corner in LEFT
    inner = MARGIN + COLUMN if on_left else scene.wide - MARGIN - COLUMN
    loads = scene.loads(corner)
    top += ROW * (2 - len(loads)) / 2
    for word, load in loads:
        long = COLUMN * max(load, 0.0) / heaviest
        after = word == "after"
        text = f"{word} {scene.show.mass(load)}"
        paper.write(inner, top + SIZE, text, bold=after, align="right" if on_left else "left")
        face, edge = (PLANNED, PLANNED) if after else (PAPER, INK)
        start = inner - long if on_left else inner
        paper.box(start, top + SIZE + 3, long, BAR, face, edge, gid=f"load-{corner}-{word}")
        top += ROW


def _written(paper: Paper, scene: Scene, block: Block, on_left: bool, top: float) -> None:
    x = MARGIN + COLUMN if on_left else scene.wide - MARGIN - COLUMN
    end = paper.origin[0] + block.label.anchor[0], paper.origin[1] + block.label.anchor[1]
    level, side = top + block.label.lead, -1 if on_left else 1
    bend = paper.origin[0] + side * scene.bend
    turns = (end[0] - bend) * side < 0
    xs = (x - 3 * side, *((bend,) if turns else ()), end[0])
    paper.line(xs, (level, *((level,) if turns else ()), end[1]), QUIET, 0.7)
    if block.mount:
        _strip(paper, scene, block.mount, (x, top + LEADING * block.named + 1), side)
    for line, (text, bold, ink) in enumerate(block.lines):
        lower = STRIP if block.mount and line >= block.named else 0.0
        baseline = top + LEADING * line + SIZE * 0.95 + lower
        paper.write(x, baseline, text, bold=bold, ink=ink, align="right" if on_left else "left")


def _strip(paper: Paper, scene: Scene, mount: Mount, start: tuple[float, float], side: int) -> None:
    """What a mount may carry, and in it what it carries: its hardware, then its plates from the bottom up."""
    x, y = start
    own = number(scene.answer, mount)
    pieces = stack(scene.answer, mount)
    paper.box(x, y, side * mount.capacity * scene.strip, BAR + 1, PAPER, QUIET, f"may-carry-{own}")
    at = x
    hardware = ((mount.fixing_mass, HARDWARE),) if pieces and mount.fixing_mass else ()
    for mass, swatch in (*hardware, *((piece.plate.mass, NEW if piece.new else STAYING) for piece in pieces)):
        long = side * mass * scene.strip
        paper.box(at, y, long, BAR + 1, swatch.face, swatch.edge, f"on-{own}", stroke=0.5)
        at += long


def _reach(paper: Paper, scene: Scene) -> None:
    reach = scene.answer.plan.reach
    if not reach or len(reach.outline) < 2:
        return
    corners = [(left, aft) for aft, left in reach.outline]
    paper.car.add_patch(
        Polygon(corners, facecolor=REACHED, edgecolor=PLANNED, linewidth=0.9, linestyle=DASHES, gid="reach", zorder=0.8)
    )


def _centres(paper: Paper, scene: Scene) -> None:
    plan, car = scene.answer.plan, paper.car
    (front, rear), half = scene.ends, (scene.edge - CLEAR) / scene.scale
    frame = window(plan)
    if frame and plan.tolerance:
        draw_window(car, frame, plan.tolerance, ((front, rear), (-half, half)), "window")
        aim = crosses(plan.tolerance.aim)
        if aim:
            car.add_line(AIM.at(aim[1], aim[0], car.transData, "aim", 7))
    for name, mark, cases in (("before", BEFORE, (plan.before,)), ("after", AFTER, plan.cases[:1])):
        for case in cases:
            centre = case.centre_of_gravity
            car.add_line(
                mark.at(centre.left_of_centre, centre.behind_front_axle, car.transData, name, 7 + (mark is AFTER))
            )
    if not plan.reach:
        return
    _needed(paper, scene, half)
    planned = crosses(plan.reach.planned)
    if planned:
        car.add_line(IN_PLAN.at(planned[1], planned[0], car.transData, "ballast-planned", 8))


def _needed(paper: Paper, scene: Scene, half: float) -> None:
    mark, aft, left = needed(scene)
    if mark and aft is not None and left is not None:
        paper.car.add_line(mark.at(left, aft, paper.car.transData, "ballast-needed", 7.5))
    elif aft is not None or left is not None:
        xs = (-half, half) if left is None else (left, left)
        ys = scene.ends if aft is None else (aft, aft)
        paper.car.plot(xs, ys, color=WANTED, linewidth=1.2, dashes=DOTS, zorder=3.5, gid="ballast-needed")
