"""What is to be drawn of a car, how large, and which words go beside it."""

from collections.abc import Iterator
from dataclasses import dataclass

from ballast.corners import CORNERS, FRONT, LEFT, Corner
from ballast.records.plan import Answer
from ballast.records.plates import Mount
from ballast.showing.columns import Label, Point, Spot, arranged
from ballast.showing.enlarged import arrow
from ballast.showing.impossible_sheet import on_the_pads
from ballast.showing.lettering import LEADING, listed, plain, shortened, width, wrapped
from ballast.showing.marks import EMPTIED, EMPTY, INK, LOADED, NEEDED, PLANNED, QUIET, WANTED, Mark
from ballast.showing.rounding import Rounding

MARGIN, COLUMN = 10.0, 97.0
"""Rim of the picture, width of a column of labels. [pt]"""
LONGEST = 430.0
"""Greatest length of the car on paper. [pt]"""
CLEAR = 6.0
"""Between the car and the columns. [pt]"""
TYRE = 18.0
"""Width of a tyre, chosen for the name in it: no file says how wide tyres are. [pt]"""
TYRE_LENGTH = 0.22
"""Length of a tyre, as a share of the wheelbase, for the same reason."""
LONGEST_TYRE = 52.0
"""So that level leaders of labels below or above its loads pass it by. [pt]"""
MOST_NAMED = 18
"""Mounts of which the empty ones are still named."""
ROW = 20.0
"""A line of text with its load bar. [pt]"""

Line = tuple[str, bool, str]
"""Text, whether bold, colour."""


@dataclass(frozen=True)
class Block:
    """A label with its lines: of a mount, or none for a wheel, which has bars too."""

    label: Label
    lines: tuple[Line, ...] = ()
    corner: Corner | None = None


@dataclass(frozen=True)
class Scene:
    """What is to be drawn of the car, and how large."""

    answer: Answer
    show: Rounding
    wide: float
    """width of the paper [pt]"""

    @property
    def edge(self) -> float:
        """How far from the centre line the columns begin. [pt]"""
        return self.wide / 2 - MARGIN - COLUMN

    @property
    def ends(self) -> tuple[float, float]:
        """Front and rear end of what is drawn of the car, behind the front axle. [m]"""
        chassis, mounts = self.answer.question.car.chassis, self.answer.question.car.mounts
        over = 0.13 * chassis.wheelbase
        places = [mount.behind_front_axle for mount in mounts]
        rim = 0.06 * chassis.wheelbase
        return min(-over, min(places) - rim), max(chassis.wheelbase + over, max(places) + rim)

    @property
    def scale(self) -> float:
        """Points for a metre: as large as width and height allow."""
        chassis, mounts = self.answer.question.car.chassis, self.answer.question.car.mounts
        room = self.edge - CLEAR
        widest = max(abs(mount.left_of_centre) for mount in mounts)
        front, rear = self.ends
        return min(
            (room - TYRE / 2) / (max(chassis.track_front, chassis.track_rear) / 2),
            (room - LOADED.size / 2) / widest if widest else LONGEST,
            LONGEST / (rear - front),
        )

    @property
    def crowded(self) -> bool:
        """Whether there are too many mounts to name the empty ones."""
        return len(self.answer.question.car.mounts) > MOST_NAMED

    @property
    def tyre(self) -> Point:
        """Length and width of a tyre. [m]"""
        wheelbase = self.answer.question.car.chassis.wheelbase
        return min(TYRE_LENGTH * wheelbase, LONGEST_TYRE / self.scale), TYRE / self.scale

    @property
    def bend(self) -> float:
        """How far from the centre line leaders, level so far, turn to their marks: inside the wheels. [pt]"""
        chassis = self.answer.question.car.chassis
        return max(min(chassis.track_front, chassis.track_rear) / 2 * self.scale - TYRE / 2 - 3, 0.0)

    def patch(self, corner: Corner) -> Point:
        """Middle of a contact patch: behind the front axle, left of the centre line. [m]"""
        chassis = self.answer.question.car.chassis
        aft, track = (0.0, chassis.track_front) if corner in FRONT else (chassis.wheelbase, chassis.track_rear)
        return aft, track / 2 if corner in LEFT else -track / 2

    def on_paper(self, aft: float, left: float) -> Point:
        """A place on the car, in points from the middle of the front axle."""
        return -left * self.scale, aft * self.scale

    def loads(self, corner: Corner) -> tuple[tuple[str, float], ...]:
        """What a wheel carries, and when. [kg]"""
        plan = self.answer.plan
        before = float(getattr(plan.before.corner_loads, corner))
        if not plan.cases:
            return (("weighed" if on_the_pads(self.answer) else "now", before),)
        return ("before", before), ("after", float(getattr(plan.cases[0].corner_loads, corner)))

    @property
    def driver(self) -> str | None:
        """Who sits in the car in the state that is drawn, the first of the plan; none where no drivers are named."""
        cases, drivers = self.answer.plan.cases, self.answer.question.car.drivers
        if cases and cases[0].driver:
            return cases[0].driver
        return drivers[0].name if drivers else None

    def whose(self, mount: Mount) -> str | None:
        """The driver whose plates are drawn on a mount that changes with the driver; none on one that does not."""
        return self.driver if mount.changes_with_driver else None

    def standing(self, mount: Mount) -> tuple[tuple[str, int, int], ...]:
        """Plates on a mount in the state that is drawn: which, how many before, how many after.

        Without a plan, as they stand now.
        """
        question, plan, whose = self.answer.question, self.answer.plan, self.whose(mount)
        rows = []
        for plate in question.car.plates:
            before = question.standing(mount.name, plate.name, whose)
            here = (mount.name, plate.name, whose)
            after = sum(row.count for row in plan.fit if (row.mount, row.plate, row.driver) == here)
            rows.append((plate.name, before, after if plan.cases else before))
        return tuple(row for row in rows if row[1] or row[2])

    def mark(self, mount: Mount) -> Mark:
        """The mark of a mount."""
        standing = self.standing(mount)
        if any(after for _, _, after in standing):
            return LOADED
        return EMPTIED if standing else EMPTY


def blocks(scene: Scene) -> tuple[Block, ...]:
    """Every label of the two columns: wheels first, then mounts in the order of the car file.

    On a car with very many mounts, those that stay empty have their mark and no name.
    """
    wheels = []
    for corner in CORNERS:
        anchor = scene.on_paper(*scene.patch(corner))
        wheels.append(Block(Label(anchor, 2 * ROW, ROW, held=True), corner=corner))
    mounts = []
    for mount in scene.answer.question.car.mounts:
        if scene.crowded and scene.mark(mount) is EMPTY:
            continue
        lines = tuple(_lines(scene, mount))
        anchor = scene.on_paper(mount.behind_front_axle, mount.left_of_centre)
        mounts.append(Block(Label(anchor, LEADING * len(lines), LEADING / 2), lines))
    return (*wheels, *mounts)


def placed(scene: Scene, labels: tuple[Block, ...]) -> list[Spot]:
    """Left or right, and the top from the front axle, for each label. [pt]"""
    return arranged([block.label for block in labels], scene.bend)


def _lines(scene: Scene, mount: Mount) -> Iterator[Line]:
    """Name, what it carries afterwards, and what that changes where something stood before."""
    standing = scene.standing(mount)
    quiet = QUIET if not standing else INK
    yield from ((line, bool(standing), quiet) for line in wrapped(plain(mount.name), COLUMN, bold=bool(standing)))
    carried = [f"{after} x {plain(plate)}" for plate, _, after in standing if after]
    whose = scene.whose(mount)
    if whose:
        owner = shortened(plain(whose), COLUMN - width("'s:")) + "'s:"
        yield from ((line, False, INK) for line in listed(carried or ["no plate"], COLUMN, owner))
    else:
        yield from ((line, False, INK) for line in listed(carried, COLUMN))
    off = [f"{before - after} x {plain(plate)}" for plate, before, after in standing if before > after]
    on = [f"{after - before} x {plain(plate)}" for plate, before, after in standing if after > before]
    if off:
        yield from ((line, False, WANTED) for line in listed(off, COLUMN, "off:"))
    if on and any(before for _, before, _ in standing):
        yield from ((line, False, PLANNED) for line in listed(on, COLUMN, "on:"))
    if scene.answer.plan.cases and standing and not off and not on:
        yield "stays as it is", False, QUIET
    if on and scene.answer.question.weigh_in.fitted and not any(before for _, before, _ in standing):
        yield "was empty", False, QUIET
    if whose:
        yield from ((line, False, QUIET) for line in wrapped("changes with the driver", COLUMN))


def needed(scene: Scene) -> tuple[Mark | None, float | None, float | None]:
    """How to draw where the ballast would have to be, and where: a diamond, or an arrow at the edge when it is far.

    No mark when one coordinate is free, which makes it a line; no coordinates when no target asks for any.
    """
    reach = scene.answer.plan.reach
    if not reach:
        return None, None, None
    aft, left = reach.needed.behind_front_axle, reach.needed.left_of_centre
    (front, rear), half, rim = scene.ends, (scene.edge - CLEAR) / scene.scale, CLEAR / scene.scale
    near_aft = aft if aft is None else min(max(aft, front + rim), rear - rim)
    near_left = left if left is None else min(max(left, rim - half), half - rim)
    if (near_aft, near_left) == (aft, left):
        return (NEEDED if aft is not None and left is not None else None), aft, left
    down, right = (aft or 0.0) - (near_aft or 0.0), (near_left or 0.0) - (left or 0.0)
    free = scene.answer.question.car.chassis.wheelbase / 2, -half / 3
    return (
        arrow(NEEDED, right, down),
        free[0] if near_aft is None else near_aft,
        free[1] if near_left is None else near_left,
    )
