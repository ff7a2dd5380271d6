"""What is to be drawn of a car, how large, and which words go beside it."""

from collections.abc import Iterator
from dataclasses import dataclass

from ballast.corners import CORNERS, Corner
from ballast.records.plan import Answer
from ballast.records.plates import Mount
from ballast.records.quantities import Place
from ballast.showing.aboard import Aboard, aboard
from ballast.showing.columns import Label, Point, Spot, arranged
from ballast.showing.impossible_sheet import on_the_pads
from ballast.showing.lettering import LEADING, listed, plain, shortened, width, wrapped
from ballast.showing.marks import EMPTIED, EMPTY, INK, LOADED, NEEDED, PLANNED, QUIET, WANTED, Mark, arrow
from ballast.showing.rounding import Rounding
from ballast.showing.stacks import carried, counts, number, owner

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
STRIP = 10.0
"""A strip for what a mount may carry, with the space below it. [pt]"""

Line = tuple[str, bool, str]
"""Text, whether bold, colour."""


@dataclass(frozen=True)
class Block:
    """A label with its lines: of a mount, a driver or a tank; or none for a wheel, which has bars too."""

    label: Label
    lines: tuple[Line, ...] = ()
    corner: Corner | None = None
    mount: Mount | None = None
    named: int = 0
    """how many lines its name takes; the strip of a mount comes below them"""


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
    def aboard(self) -> tuple[Aboard, ...]:
        """The driver and the tanks."""
        return tuple(aboard(self.answer, self.show))

    @property
    def _places(self) -> tuple[Place, ...]:
        return (*self.answer.question.car.mounts, *(one.place for one in self.aboard))

    @property
    def ends(self) -> tuple[float, float]:
        """Front and rear end of what is drawn of the car, behind the front axle. [m]"""
        car = self.answer.question.car
        over, rim = 0.13 * car.chassis.wheelbase, 0.06 * car.chassis.wheelbase
        wheels = [aft for aft, _ in car.wheel_places()]
        places = [place.behind_front_axle for place in self._places]
        return min(min(wheels) - over, min(places) - rim), max(max(wheels) + over, max(places) + rim)

    @property
    def scale(self) -> float:
        """Points for a metre: as large as width and height allow."""
        room = self.edge - CLEAR
        widest = max(abs(place.left_of_centre) for place in self._places)
        front, rear = self.ends
        return min(
            (room - TYRE / 2) / max(abs(left) for _, left in self.answer.question.car.wheel_places()),
            (room - LOADED.size / 2) / widest if widest else LONGEST,
            LONGEST / (rear - front),
        )

    @property
    def strip(self) -> float:
        """Points for a kilogram of what a mount may carry."""
        return COLUMN / max(mount.capacity for mount in self.answer.question.car.mounts)

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
        narrowest = min(abs(left) for _, left in self.answer.question.car.wheel_places())
        return max(narrowest * self.scale - TYRE / 2 - 3, 0.0)

    def patch(self, corner: Corner) -> Point:
        """Middle of a contact patch: behind the front axle, left of the centre line. [m]"""
        return dict(zip(CORNERS, self.answer.question.car.wheel_places(), strict=True))[corner]

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

    def standing(self, mount: Mount) -> tuple[tuple[str, int, int], ...]:
        """Plates on a mount in the state that is drawn: which, how many before, how many after."""
        return tuple((plate.name, before, after) for plate, before, after in counts(self.answer, mount))

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
        name = _named(scene, mount)
        anchor = scene.on_paper(mount.behind_front_axle, mount.left_of_centre)
        label = Label(anchor, LEADING * (len(name) + len(lines)) + STRIP, LEADING / 2)
        mounts.append(Block(label, (*name, *lines), mount=mount, named=len(name)))
    others = []
    for one in scene.aboard:
        words = tuple((shortened(line, COLUMN), False, QUIET) for line in one.lines)
        anchor = scene.on_paper(one.place.behind_front_axle, one.place.left_of_centre)
        others.append(Block(Label(anchor, LEADING * len(words), LEADING / 2), words, named=len(words)))
    return (*wheels, *mounts, *others)


def placed(scene: Scene, labels: tuple[Block, ...]) -> list[Spot]:
    """Left or right, and the top from the front axle, for each label. [pt]"""
    return arranged([block.label for block in labels], scene.bend)


def _named(scene: Scene, mount: Mount) -> tuple[Line, ...]:
    used = bool(scene.standing(mount))
    words = f"{number(scene.answer, mount)}. {plain(mount.name)}"
    return tuple((line, used, INK if used else QUIET) for line in wrapped(words, COLUMN, bold=used))


def _lines(scene: Scene, mount: Mount) -> Iterator[Line]:
    """What it carries afterwards, and what that changes where something stood before."""
    standing = scene.standing(mount)
    on_it = carried(scene.answer, mount)
    if on_it:
        words = f"{scene.show.mass(on_it, False)} of {scene.show.term(mount.capacity)}"
        yield from ((line, False, INK) for line in wrapped(words, COLUMN))
    plates = [f"{after} x {plain(plate)}" for plate, _, after in standing if after]
    whose = owner(scene.answer, mount)
    if whose:
        theirs = shortened(plain(whose), COLUMN - width("'s:")) + "'s:"
        yield from ((line, False, INK) for line in listed(plates or ["no plate"], COLUMN, theirs))
    else:
        yield from ((line, False, INK) for line in listed(plates, COLUMN))
    off = [f"{before - after} x {plain(plate)}" for plate, before, after in standing if before > after]
    on = [f"{after - before} x {plain(plate)}" for plate, before, after in standing if after > before]
    if off:
        yield from ((line, False, WANTED) for line in listed(off, COLUMN, "off:"))
    if on and any(before for _, before, _ in standing):
        yield from ((line, False, PLANNED) for line in listed(on, COLUMN, "on:"))
    if scene.answer.plan.cases and standing and not off and not on:
        yield "stays as it is", False, QUIET
    if whose:
        yield from ((line, False, QUIET) for line in wrapped("changes with driver", COLUMN))


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
