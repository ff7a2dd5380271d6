"""The marks of a picture and the paper they are drawn on. Shape and fill carry the meaning; colour only repeats it."""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Ellipse, Rectangle
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Transform

from ballast.showing.lettering import DPI, FAMILY, SIZE

INK = "#1f2a33"
QUIET = "#525e69"
FAINT = "#a9b4bc"
SHADE = "#f1f3f4"
PLANNED = "#0b5c86"
WANTED = "#9c3c08"
REACHED = "#d5e3ea"
GUARDED = "#f3dccb"
PAPER = "white"
DASHES = (0, (4, 2))
STRIP, DOTS = (4, 3), (1, 2)
"""Dashes of a line that stands for a place of which one coordinate is free: of the car, of the ballast."""


@dataclass(frozen=True)
class Mark:
    """A sign for one kind of thing, the same wherever it is drawn."""

    shape: str | Path
    size: float
    face: str
    edge: str
    stroke: float = 1.2

    def at(self, x: float, y: float, transform: Transform, gid: str, above: float) -> Line2D:
        """The mark as an artist at one place."""
        return Line2D(
            [x],
            [y],
            linestyle="none",
            marker=self.shape,
            markersize=self.size,
            markerfacecolor=self.face,
            markeredgecolor=self.edge,
            markeredgewidth=self.stroke,
            transform=transform,
            gid=gid,
            zorder=above,
        )


@dataclass(frozen=True)
class Ink:
    """How a line is drawn."""

    colour: str
    stroke: float = 0.8
    dashes: tuple[float, ...] | None = None


def _oval(wide: float, high: float, up: float) -> Path:
    return Path.unit_circle().transformed(Affine2D().scale(wide, high).translate(0.0, up))


def _person() -> Path:
    """A head over a pair of shoulders."""
    shoulders = Path.wedge(0, 180).transformed(Affine2D().scale(0.95, 1.0).translate(0.0, -0.95))
    return Path.make_compound_path(shoulders, _oval(0.42, 0.42, 0.55))


def _drop() -> Path:
    """A drop of fuel."""
    points = [(0, 1), (0.15, 0.5), (0.65, 0.2), (0.65, -0.35), (0.65, -0.75), (0.35, -1), (0, -1)]
    points += [(-x, y) for x, y in reversed(points[:-1])]
    return Path(points, [Path.MOVETO] + [Path.CURVE4] * 12)


AIM = Mark("+", 17, WANTED, WANTED, 1.3)
BEFORE = Mark("o", 9, PAPER, INK)
AFTER = Mark("o", 6.5, PLANNED, PAPER, 0.6)
EACH = Mark("o", 4, PLANNED, PAPER, 0.5)
NEEDED = Mark("D", 7.5, PAPER, WANTED, 1.4)
IN_PLAN = Mark("D", 6, PLANNED, PAPER, 0.6)
LOADED = Mark("s", 7.5, INK, INK)
EMPTIED = Mark("s", 7.5, PAPER, INK)
CROSS = Mark("x", 5, INK, INK)
EMPTY = Mark("s", 6, PAPER, QUIET)
DRIVER = Mark(_person(), 12, PAPER, QUIET, 1.0)
TANK = Mark(_drop(), 11, PAPER, QUIET, 1.0)
TOWARDS = {"up": "^", "down": "v", "left": "<", "right": ">"}


def arrow(mark: Mark, right: float, down: float) -> Mark:
    """A triangle in the manner of a mark that lies beyond the edge, pointing to where it lies."""
    if abs(right) > abs(down):
        shape = TOWARDS["right" if right > 0 else "left"]
    else:
        shape = TOWARDS["down" if down > 0 else "up"]
    return Mark(shape, 9, mark.face if mark is not AIM else PAPER, mark.edge, mark.stroke)


@dataclass(frozen=True)
class Paper:
    """A figure measured in points from its top left corner, with the car's own metres under it.

    The axes cover the whole figure: x is metres left of the centre line, growing to the left; y is metres behind the
    front axle, growing downwards. So the data of every artist on the car are the numbers of the records.
    """

    figure: Figure
    car: Axes
    points: Transform
    origin: tuple[float, float]
    scale: float
    """points for a metre on the car"""

    def place(self, aft: float, left: float) -> tuple[float, float]:
        """Where a place on the car is on paper. [pt]"""
        return self.origin[0] - left * self.scale, self.origin[1] + aft * self.scale

    def write(
        self, x: float, y: float, text: str, size: float = SIZE, bold: bool = False, ink: str = INK, align: str = "left"
    ) -> None:
        """A line of text; y is its baseline. Nothing in it is taken for a formula."""
        self.figure.text(
            x,
            y,
            text,
            transform=self.points,
            fontfamily=FAMILY,
            fontsize=size,
            fontweight="bold" if bold else "normal",
            color=ink,
            horizontalalignment=align,
            verticalalignment="baseline",
            parse_math=False,
        )

    def mark(self, mark: Mark, x: float, y: float, gid: str = "", above: float = 6) -> None:
        """A mark at a place on paper."""
        self.car.add_line(mark.at(x, y, self.points, gid, above))

    def line(
        self,
        xs: Sequence[float],
        ys: Sequence[float],
        ink: str = FAINT,
        stroke: float = 0.8,
        dashes: tuple[float, ...] | None = None,
        gid: str = "",
    ) -> None:
        """A thin line on paper, under all marks."""
        line = Line2D(xs, ys, color=ink, linewidth=stroke, transform=self.points, zorder=2, gid=gid or None)
        if dashes:
            line.set_linestyle((0, dashes))
        self.car.add_line(line)

    def box(
        self,
        x: float,
        y: float,
        wide: float,
        high: float,
        face: str,
        edge: str,
        gid: str = "",
        dashed: bool = False,
        above: float = 1,
        stroke: float = 0.9,
    ) -> None:
        """A rectangle on paper, from its top left corner."""
        self.car.add_patch(
            Rectangle(
                (x, y),
                wide,
                high,
                facecolor=face,
                edgecolor=edge,
                linewidth=stroke,
                linestyle=DASHES if dashed else "-",
                transform=self.points,
                gid=gid,
                zorder=above,
            )
        )

    def oval(self, x: float, y: float, wide: float, high: float, edge: str) -> None:
        """The outline of an ellipse on paper, about its middle."""
        shape = Ellipse((x, y), wide, high, facecolor="none", edgecolor=edge, linewidth=0.9, transform=self.points)
        self.car.add_patch(shape)


def blank_paper(wide: float, high: float, origin: tuple[float, float], scale: float) -> Paper:
    """An empty sheet of so many points, with the middle of the front axle at `origin`."""
    figure = Figure(figsize=(wide / 72, high / 72), dpi=DPI, facecolor=PAPER)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(origin[0] / scale, (origin[0] - wide) / scale)
    axes.set_ylim((high - origin[1]) / scale, -origin[1] / scale)
    points = Affine2D().scale(1 / 72, -1 / 72).translate(0, high / 72) + figure.dpi_scale_trans
    return Paper(figure, axes, points, origin, scale)
