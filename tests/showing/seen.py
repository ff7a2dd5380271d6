"""What is seen in a picture: its marks by name and place, its words, and where these meet."""

from collections.abc import Iterator
from itertools import combinations

from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Bbox

TOUCH = 0.5
"""Overlap that no eye sees: a sixth of a point. [dots]"""


def drawn(picture: Figure, gid: str) -> list[Artist]:
    """The artists that carry one name."""
    return picture.findobj(lambda artist: artist.get_gid() == gid)


def place(picture: Figure, gid: str) -> tuple[float, float]:
    """Where one mark is in the data of its axes: behind the front axle, left of the centre line. [m]"""
    (mark,) = drawn(picture, gid)
    assert isinstance(mark, Line2D)
    ((left, aft),) = mark.get_xydata().tolist()  # type: ignore[union-attr]
    return aft, left


def box(picture: Figure, gid: str) -> tuple[float, float, float, float]:
    """One rectangle in its data: aft of its front and rear end, left of its right and left edge. [m]"""
    (patch,) = drawn(picture, gid)
    assert isinstance(patch, Rectangle)
    along = sorted((patch.get_y(), patch.get_y() + patch.get_height()))
    across = sorted((patch.get_x(), patch.get_x() + patch.get_width()))
    return along[0], along[1], across[0], across[1]


def words(picture: Figure) -> list[str]:
    """Every text in the picture."""
    return [text.get_text() for text in texts(picture)]


def texts(picture: Figure) -> list[Text]:
    """Every text that is seen."""
    return [text for text in picture.findobj(Text) if isinstance(text, Text) and text.get_text() and text.get_visible()]


def collisions(picture: Figure) -> Iterator[str]:
    """Texts that meet each other, a load bar, the strip of a mount or the rim, measured as Agg draws them."""
    renderer = FigureCanvasAgg(picture).get_renderer()  # type: ignore[no-untyped-call]
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in texts(picture)]
    bars = [
        (str(bar.get_gid()), bar.get_window_extent(renderer))
        for bar in picture.findobj(lambda artist: str(artist.get_gid()).startswith(("load-", "may-carry-")))
    ]
    for (one, first), (other, second) in combinations(boxes, 2):
        if meet(first, second):
            yield f"'{one}' over '{other}'"
    for one, first in boxes:
        yield from (f"'{one}' over {bar}" for bar, second in bars if meet(first, second))
        rim = picture.bbox
        if first.x0 < rim.x0 or first.y0 < rim.y0 or first.x1 > rim.x1 or first.y1 > rim.y1:
            yield f"'{one}' leaves the picture"


def meet(one: Bbox, other: Bbox) -> bool:
    """Whether two boxes overlap by more than a touch."""
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return bool(wide > TOUCH and high > TOUCH)
