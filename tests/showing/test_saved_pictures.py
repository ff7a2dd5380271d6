"""Every picture of every saved plan: its words and marks as they were, no text over text, the same bytes twice."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.showing.pictures import VIEWS, rendered
from tests.conftest import Golden
from tests.showing.seen import collisions, texts

ROOT = Path(__file__).parent.parent.parent
PLANS = sorted((ROOT / "tests" / "golden" / "plans").glob("*.json"))


@pytest.fixture(scope="module", params=PLANS, ids=lambda path: path.stem)
def saved(request: pytest.FixtureRequest) -> tuple[str, Answer]:
    """A saved plan and its name."""
    path: Path = request.param
    return path.stem, read_answer(path)


def listed(picture: Figure) -> Iterator[str]:
    """Words in the order in which they are written, then the named marks of the car with their places in metres.

    Places on paper are left out: they follow from the widths of letters, which differ between releases of the font.
    """
    yield from (text.get_text() for text in texts(picture))
    for axes in picture.axes:
        for artist in axes.lines:
            if artist.get_gid() and artist.get_transform().contains_branch(axes.transData):
                points = np.asarray(artist.get_xydata()).tolist()
                yield f"{artist.get_gid()}: {' '.join(f'({x:.3f}, {y:.3f})' for x, y in points)}"


@pytest.mark.parametrize("view", VIEWS)
def test_pictures_of_saved_plans(view: str, saved: tuple[str, Answer], golden: Golden) -> None:
    """Each shows the words and marks of its golden, and no text lies over text or beyond the rim."""
    name, answer = saved
    picture = VIEWS[view](answer)
    lines = ["none"] if picture is None else list(listed(picture))
    golden(f"pictures/{name}-{view}.txt", "\n".join(lines) + "\n")
    assert picture is None or list(collisions(picture)) == []


@pytest.mark.parametrize("view", VIEWS)
def test_svg_and_pdf_are_the_same_bytes_twice(view: str) -> None:
    """Drawn twice from one plan, each kind of file is equal byte for byte; a pdf starts as ISO 32000-1, 7.5.2 says."""
    answer = read_answer(ROOT / "tests" / "golden" / "plans" / "two-drivers.json")
    figures = [VIEWS[view](answer) for _ in range(2)]
    for kind in ("svg", "pdf"):
        files = [rendered(figure, kind) for figure in figures if figure]
        assert len(set(files)) == (VIEWS[view](answer) is not None)
        assert all(data.startswith(b"%PDF-" if kind == "pdf" else b"<?xml") for data in files)


def test_files_are_the_same_in_another_run() -> None:
    """A run with another seed of Python's hashes draws the same svg and pdf: nothing hangs on the order of a set."""
    script = (
        "import hashlib\n"
        "from pathlib import Path\n"
        "from ballast.records.files import read_answer\n"
        "from ballast.showing.plan_view import plan_view\n"
        "from ballast.showing.rendering import rendered\n"
        "picture = plan_view(read_answer(Path('tests/golden/plans/circuit-saloon.json')))\n"
        "for kind in ('svg', 'pdf'):\n"
        "    print(hashlib.sha256(rendered(picture, kind)).hexdigest())\n"
    )
    command = [sys.executable, "-W", "error", "-c", script]
    done = subprocess.run(
        command, cwd=ROOT, env=os.environ | {"PYTHONHASHSEED": "1"}, capture_output=True, text=True, check=False
    )
    picture = VIEWS["plan"](read_answer(ROOT / "tests" / "golden" / "plans" / "circuit-saloon.json"))
    assert picture is not None
    assert done.stdout.split() == [hashlib.sha256(rendered(picture, kind)).hexdigest() for kind in ("svg", "pdf")], (
        done.stderr
    )
