"""The marks of a picture and the paper they are drawn on. Shape and fill carry the meaning; colour only repeats it."""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.transforms import Affine2D, Transform

from ballast.showing.lettering import DPI, FAMILY, SIZE

INK = "#1f2a33"
QUIET = "#5a6772"
FAINT = "#a9b4bc"
SHADE = "#f1f3f4"
PLANNED = "#0b5c86"
WANTED = "#b3470b"
REACHED = "#d5e3ea"
GUARDED = "#f3dccb"
PAPER = "white"
DASHES = (0, (4, 2))
STRIP, DOTS = (4, 3), (1, 2)
"""Dashes of a line that stands for a place of which one coordinate is free: of the car, of the ballast."""


@dataclass(frozen=True)
class Mark:
    """A sign for one kind of thing, the same wherever it is drawn."""

    shape: str
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


AIM = Mark("+", 17, WANTED, WANTED, 1.3)
BEFORE = Mark("o", 9, PAPER, INK)
AFTER = Mark("o", 6.5, PLANNED, PAPER, 0.6)
EACH = Mark("o", 4, PLANNED, PAPER, 0.5)
NEEDED = Mark("D", 7.5, PAPER, WANTED, 1.4)
IN_PLAN = Mark("D", 6, PLANNED, PAPER, 0.6)
LOADED = Mark("s", 7.5, INK, INK)
EMPTIED = Mark("s", 7.5, PAPER, INK)
CROSS = Mark("x", 5, INK, INK)
EMPTY = Mark("s", 6, PAPER, FAINT)
TOWARDS = {"up": "^", "down": "v", "left": "<", "right": ">"}


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
        dashes: tuple[float, float] | None = None,
    ) -> None:
        """A thin line on paper, under all marks."""
        line = Line2D(xs, ys, color=ink, linewidth=stroke, transform=self.points, zorder=2)
        if dashes:
            line.set_linestyle((0, dashes))
        self.car.add_line(line)

    def box(
        self, x: float, y: float, wide: float, high: float, face: str, edge: str, gid: str = "", dashed: bool = False
    ) -> None:
        """A rectangle on paper, from its top left corner."""
        self.car.add_patch(
            Rectangle(
                (x, y),
                wide,
                high,
                facecolor=face,
                edgecolor=edge,
                linewidth=0.9,
                linestyle=DASHES if dashed else "-",
                transform=self.points,
                gid=gid,
            )
        )


def blank_paper(wide: float, high: float, origin: tuple[float, float], scale: float) -> Paper:
    """An empty sheet of so many points, with the middle of the front axle at `origin`."""
    figure = Figure(figsize=(wide / 72, high / 72), dpi=DPI, facecolor=PAPER)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(origin[0] / scale, (origin[0] - wide) / scale)
    axes.set_ylim((high - origin[1]) / scale, -origin[1] / scale)
    points = Affine2D().scale(1 / 72, -1 / 72).translate(0, high / 72) + figure.dpi_scale_trans
    return Paper(figure, axes, points, origin, scale)
