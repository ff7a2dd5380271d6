"""The picture of a plan from the left side, to scale, nose to the left: how high the plates and their mass stand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.patches import Ellipse

from ballast.records.plan import Answer
from ballast.records.plates import Mount
from ballast.showing.aboard import Aboard
from ballast.showing.enlarged import scale_bar
from ballast.showing.from_above import NEW, STAYING
from ballast.showing.head import draw_head, head, height_of
from ballast.showing.impossible_sheet import on_the_pads
from ballast.showing.key import BETWEEN, ICON, KeyRow, Swatch, draw_key, halved, height_of_key
from ballast.showing.lettering import LEADING, SIZE, listed, plain, shortened, width, wrapped
from ballast.showing.marks import AFTER, BEFORE, EMPTY, FAINT, INK, LOADED, PAPER, QUIET, SHADE, Paper, blank_paper
from ballast.showing.rendering import WIDE, own_style
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scene import MARGIN, TYRE_LENGTH, Scene
from ballast.showing.spread import spread
from ballast.showing.stacks import Piece, number, stack

PLATE = 13.0
"""Width of a stack on paper, chosen to be seen: no file says how long plates are. [pt]"""
THIN = 0.3
"""Edge of a plate. [pt]"""
AWAY = 0.5
"""From here on a mount has a line to its place. [pt]"""
NUMBER, NUMBERED = 8.0, 12.0
"""Height of a number, and what it takes of the row above the car. [pt]"""
ABOVE = 16.0
"""From the numbers to the highest thing below them. [pt]"""
MOST_NUMBERED = 30
"""Stacks that still have numbers side by side."""
OVER = 0.06
"""Space above the highest thing, as a share of the wheelbase."""


@dataclass(frozen=True)
class Standing:
    """A mount with its plates, or without any, seen from the side."""

    mount: Mount
    pieces: tuple[Piece, ...]
    under: float
    """underside of the stack above the ground [m]"""

    @property
    def to_scale(self) -> bool:
        """Whether every plate has a thickness."""
        return all(piece.plate.thickness is not None for piece in self.pieces)

    @property
    def top(self) -> float:
        """Top of the stack, or its underside where a thickness is not known. [m]"""
        return self.under + (sum(piece.plate.thickness or 0.0 for piece in self.pieces) if self.to_scale else 0.0)

    @property
    def most(self) -> float:
        """Top of what is drawn: of the stack, or of the room for it where that is limited. [m]"""
        return max(self.top, self.under + (self.mount.stack or 0.0) * bool(self.pieces and self.to_scale))


@dataclass(frozen=True)
class Side:
    """What is drawn, and how large."""

    scene: Scene
    mounts: tuple[Standing, ...]
    """from the front"""
    aboard: tuple[Aboard, ...]
    missing: tuple[str, ...]
    """what has no height in the car file"""

    @property
    def stacks(self) -> tuple[Standing, ...]:
        """The mounts with plates."""
        return tuple(one for one in self.mounts if one.pieces)

    @property
    def scale(self) -> float:
        """Points for a metre."""
        front, rear = self.scene.ends
        return (WIDE - 2 * MARGIN) / (rear - front)

    @property
    def radius(self) -> float:
        """Of a wheel, as large as it is drawn from above. [m]"""
        return TYRE_LENGTH * self.scene.answer.question.car.chassis.wheelbase / 2

    @property
    def top(self) -> float:
        """The highest thing drawn, and a little. [m]"""
        heights = [one.place.above_ground or 0.0 for one in self.aboard]
        heights += [one.most for one in self.mounts] + [height for _, _, height in self.centres] + [2 * self.radius]
        return max(heights) + OVER * self.scene.answer.question.car.chassis.wheelbase

    @property
    def centres(self) -> tuple[tuple[str, float, float], ...]:
        """Centres of gravity: before or after, behind the front axle and above the ground. [m]"""
        plan = self.scene.answer.plan
        found = []
        for name, case in (("before", plan.before), *(("after", case) for case in plan.cases[:1])):
            centre = case.centre_of_gravity
            if centre.above_ground is not None:
                found.append((name, centre.behind_front_axle, centre.above_ground))
        return tuple(found)


def side_view(answer: Answer) -> Figure | None:
    """The car from its left side; None where the height of its centre of gravity is not known."""
    if answer.question.car.chassis.centre_of_gravity_height is None:
        return None
    with own_style():
        return _drawn(answer)


def _seen(answer: Answer, show: Rounding) -> Side:
    scene = Scene(answer, show, WIDE)
    mounts, missing = [], []
    for mount in sorted(answer.question.car.mounts, key=lambda mount: mount.behind_front_axle):
        if mount.above_ground is None:
            missing.append(mount.name)
        else:
            mounts.append(Standing(mount, stack(answer, mount), mount.above_ground))
    known = tuple(one for one in scene.aboard if one.place.above_ground is not None)
    missing += [one.lines[0] for one in scene.aboard if one.place.above_ground is None]
    return Side(scene, tuple(mounts), known, tuple(missing))


def _drawn(answer: Answer) -> Figure:
    show = rounding(answer.question)
    side = _seen(answer, show)
    lines = head(answer, *_said(answer, side))
    car_top = MARGIN + height_of(lines) + 6 + LEADING
    ground = car_top + ABOVE + side.top * side.scale
    columns = halved(tuple(_key(side, show)))
    below = ground + LEADING + 10
    table = below + max(height_of_key(rows) for rows in columns) + 8
    rows = tuple(_row(one, side, show) for one in side.stacks)
    high = table + (LEADING + 4 if rows else 0.0) + sum(row.height for row in rows) + MARGIN
    front, _ = side.scene.ends
    paper = blank_paper(WIDE, high, (MARGIN - front * side.scale, ground), side.scale)
    paper.figure.set_label(plain(answer.question.car.chassis.name))
    draw_head(paper, lines)
    paper.write(MARGIN, ground + LEADING, "front", ink=QUIET)
    _draw_car(paper, side)
    _draw_mounts(paper, side, car_top)
    _draw_marks(paper, side)
    for column, x in zip(columns, (MARGIN, WIDE / 2), strict=True):
        draw_key(paper, column, (x, below))
    _draw_rows(paper, rows, table)
    return paper.figure


def _said(answer: Answer, side: Side) -> Iterator[str]:
    plan = answer.plan
    yield (
        "From the left side, to scale; wheels and lengths of plates are not."
        if side.stacks
        else ("From the left side, to scale; the size of the wheels is not.")
    )
    if len(plan.cases) > 1:
        yield f"Drawn: {plain(plan.before.name)}, one of {len(plan.cases)} states."
    if plan.cases and len(side.centres) < 2:
        yield "The height of the centre of gravity after is not known: a height of what is put on is wanting."
    if side.missing:
        yield f"Not drawn, for want of a height: {', '.join(plain(name) for name in side.missing)}."


def _at(paper: Paper, aft: float, up: float) -> tuple[float, float]:
    """Where a place is on paper. [pt]"""
    return paper.origin[0] + aft * paper.scale, paper.origin[1] - up * paper.scale


def _draw_car(paper: Paper, side: Side) -> None:
    """A body to carry the eye, the ground, the wheels. Only the places of the wheels are to scale."""
    front, rear = side.scene.ends
    (left, roof), (right, floor) = _at(paper, front, side.top), _at(paper, rear, side.radius / 2)
    paper.box(left, roof, right - left, floor - roof, SHADE, "none", "body")
    paper.line((MARGIN, WIDE - MARGIN), (paper.origin[1], paper.origin[1]), QUIET, 1.0, gid="ground")
    for corner in ("LF", "LR"):
        aft, _ = side.scene.patch("LF" if corner == "LF" else "LR")
        x, y = _at(paper, aft, side.radius)
        round_about = 2 * side.radius * paper.scale
        wheel = Ellipse((x, y), round_about, round_about, facecolor=PAPER, edgecolor=INK, linewidth=1.2)
        wheel.set(transform=paper.points, gid=f"wheel-{corner}", zorder=1.5)
        paper.car.add_patch(wheel)


def _draw_mounts(paper: Paper, side: Side, top: float) -> None:
    """Each mount in its place; those that would hide each other stand side by side, with a line to their place."""
    xs = _beside_each_other(paper, side.mounts)
    standing = [(one, x) for one, x in zip(side.mounts, xs, strict=True) if one.pieces]
    numbers = spread([x for _, x in standing], NUMBERED, MARGIN + NUMBERED / 2, WIDE - MARGIN - NUMBERED / 2)
    for (one, x), above in zip(standing, numbers, strict=True):
        own = number(side.scene.answer, one.mount)
        highest = _draw_stack(paper, one, x, own)
        if len(standing) <= MOST_NUMBERED:
            paper.line((above, x), (top + 3, highest - 1), FAINT, 0.6)
            paper.write(above, top, str(own), NUMBER, bold=True, align="center")
    for one, x in zip(side.mounts, xs, strict=True):
        true, y = _at(paper, one.mount.behind_front_axle, one.under)
        if abs(true - x) > AWAY:
            paper.line((x, true, true), (y + 1, y + 4, y + 6), QUIET, 0.6)
        if not one.pieces:
            paper.mark(EMPTY, x, y, f"empty-{number(side.scene.answer, one.mount)}", 3.5)


def _draw_stack(paper: Paper, one: Standing, x: float, own: int) -> float:
    """Its plates from the underside up, in the room they have; a mark where a thickness is not known. The top. [pt]"""
    _, y = _at(paper, 0.0, one.under)
    if not one.to_scale:
        paper.mark(LOADED, x, y, f"stack-{own}")
        return y - LOADED.size / 2
    if one.mount.stack is not None:
        high = one.mount.stack * paper.scale
        paper.box(x - PLATE / 2, y - high, PLATE, high, PAPER, QUIET, f"room-{own}", above=3)
    top = y
    for piece in one.pieces:
        high = (piece.plate.thickness or 0.0) * paper.scale
        top -= high
        swatch = NEW if piece.new else STAYING
        paper.box(x - PLATE / 2, top, PLATE, high, swatch.face, swatch.edge, f"stack-{own}", above=4, stroke=THIN)
    return y - (one.most - one.under) * paper.scale


def _beside_each_other(paper: Paper, stacks: Sequence[Standing]) -> list[float]:
    """Middles of the stacks: those that would hide each other share the room about their places. [pt]"""
    groups = [[index] for index in range(len(stacks))]
    xs = [_at(paper, one.mount.behind_front_axle, 0.0)[0] for one in stacks]
    wanted = list(xs)
    while True:
        pair = next(
            (
                (a, b)
                for a in range(len(groups))
                for b in range(a + 1, len(groups))
                if any(_hide(stacks[i], stacks[k], xs[i] - xs[k], paper) for i in groups[a] for k in groups[b])
            ),
            None,
        )
        if pair is None:
            return xs
        groups[pair[0]] += groups.pop(pair[1])
        members = groups[pair[0]]
        for index, x in zip(
            members, spread([wanted[i] for i in members], PLATE + 1, MARGIN, WIDE - MARGIN), strict=True
        ):
            xs[index] = x


def _hide(one: Standing, other: Standing, apart: float, paper: Paper) -> bool:
    """Whether two stacks overlap when their middles are so far apart. [pt]"""
    slack = LOADED.size / paper.scale
    return abs(apart) < PLATE + 0.9 and one.under < other.most + slack and other.under < one.most + slack


def _draw_marks(paper: Paper, side: Side) -> None:
    for one in side.aboard:
        paper.mark(one.mark, *_at(paper, one.place.behind_front_axle, one.place.above_ground or 0.0), one.gid, 5)
    for name, aft, up in side.centres:
        paper.mark(AFTER if name == "after" else BEFORE, *_at(paper, aft, up), name, 7 + (name == "after"))


def _key(side: Side, show: Rounding) -> Iterator[KeyRow]:
    answer = side.scene.answer
    room = WIDE / 2 - MARGIN - ICON - BETWEEN
    words = {"before": "before" if answer.plan.cases else "as weighed" if on_the_pads(answer) else "now"}
    for name, _, up in side.centres:
        said = f"centre of gravity {words.get(name, name)},", f"{show.length(up)} above the ground"
        yield KeyRow(said, (AFTER if name == "after" else BEFORE,))
    pieces = [piece for one in side.stacks if one.to_scale for piece in one.pieces]
    if any(not piece.new for piece in pieces):
        yield KeyRow(wrapped("plates that stay", room), swatch=STAYING)
    if any(piece.new for piece in pieces):
        yield KeyRow(wrapped("plates put on", room), swatch=NEW)
    if any(one.mount.stack is not None and one.to_scale for one in side.stacks):
        yield KeyRow(wrapped("room for the stack", room), swatch=Swatch(PAPER, QUIET))
    if any(not one.to_scale for one in side.stacks):
        yield KeyRow(wrapped("plates, of unknown thickness", room), (LOADED,))
    if len(side.stacks) < len(side.mounts):
        yield KeyRow(("mount left empty",), (EMPTY,))
    for one in side.aboard:
        yield KeyRow((shortened(one.lines[0], room),), (one.mark,))
    length, text = scale_bar(side.scale, ICON - 6, show)
    yield KeyRow((f"{text} on the car",), length=length)


@dataclass(frozen=True)
class Row:
    """One stack in words."""

    number: str
    name: str
    heights: str
    plates: tuple[str, ...]
    used: str

    @property
    def height(self) -> float:
        """[pt]"""
        return LEADING * (1 + len(self.plates)) + 3


def _row(one: Standing, side: Side, show: Rounding) -> Row:
    low, top = show.length(one.under, unit=False), show.length(one.top)
    heights = f"{low} to {top}" if one.to_scale else f"from {show.length(one.under)}"
    room = ""
    if one.to_scale and one.mount.stack is not None:
        room = f"{show.length(one.top - one.under, unit=False)} of {show.value_down(one.mount.stack, 'length')} stack"
    standing = [f"{after} x {plain(plate)}" for plate, _, after in side.scene.standing(one.mount) if after]
    wide = WIDE - 2 * MARGIN - ICON
    return Row(
        str(number(side.scene.answer, one.mount)),
        shortened(plain(one.mount.name), wide - width(heights) - 8),
        heights,
        listed(standing, wide - width(room) - 8),
        room,
    )


def _draw_rows(paper: Paper, rows: Sequence[Row], top: float) -> None:
    if rows:
        paper.write(MARGIN, top + SIZE * 0.95, "stacks, from underside to top above the ground", bold=True)
    y = top + LEADING + 4
    for row in rows:
        paper.write(MARGIN, y + SIZE * 0.95, row.number, NUMBER, bold=True)
        paper.write(MARGIN + ICON, y + SIZE * 0.95, row.name)
        paper.write(WIDE - MARGIN, y + SIZE * 0.95, row.heights, align="right")
        for line, text in enumerate(row.plates, start=1):
            paper.write(MARGIN + ICON, y + LEADING * line + SIZE * 0.95, text, ink=QUIET)
        if row.used:
            paper.write(WIDE - MARGIN, y + LEADING + SIZE * 0.95, row.used, ink=QUIET, align="right")
        y += row.height
