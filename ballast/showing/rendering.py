"""From a picture to the bytes of a file, the same each time."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

import matplotlib
from matplotlib.figure import Figure

from ballast.showing.lettering import DPI
from ballast.showing.marks import PAPER

Kind = Literal["svg", "png", "pdf"]

WIDE = 390.0
"""Width of a picture: that of a phone, where a point is then a pixel. [pt]"""

FIXED_SIZE = re.compile(rb'<svg([^>]*) width="[^"]*" height="[^"]*"')
"""What the start of an svg says of its size."""


def rendered(figure: Figure, kind: Kind) -> bytes:
    """The picture as the bytes of a file, the same bytes each time.

    Letters are drawn as outlines in the svg: what was measured is then what is seen, also where the font is missing.
    It states its proportions and no size, so that it fills a phone's window as well as a sheet of A4. In the pdf
    letters stay letters, with their font inside, so that it can be searched.
    """
    name = str(figure.get_label())
    with own_style(svg_hashsalt="ballast", svg_fonttype="path"), io.BytesIO() as file:
        figure.savefig(file, format=kind, dpi=DPI, metadata=_metadata(kind, name), facecolor=PAPER)
        data = file.getvalue()
    return FIXED_SIZE.sub(b"<svg\\1", data, count=1) if kind == "svg" else data


def _metadata(kind: Kind, name: str) -> dict[str, str | None]:
    """The name of the car, and nothing that changes with the day or with the version of what drew it."""
    match kind:
        case "svg":
            return {"Date": None, "Title": name}
        case "png":
            return {"Software": None, "Title": name}
        case "pdf":
            return {"CreationDate": None, "Creator": None, "Producer": None, "Title": name}


@contextmanager
def own_style(**settings: str | None) -> Iterator[None]:
    """Nothing that a user has set for other pictures; restored afterwards."""
    more: Any = {name.replace("_", "."): value for name, value in settings.items()}
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(more)
        yield
