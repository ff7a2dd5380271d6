"""From a picture to a file: the same bytes each time, whatever style a user has set, and no window."""

import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from ballast.records.files import read_answer
from ballast.records.plan import Answer
from ballast.showing.pictures import plan_view, rendered
from tests.showing.invented_answers import assembled

PLANS = Path(__file__).parents[1] / "golden" / "plans"


@pytest.fixture(scope="module")
def saloon() -> Answer:
    """The saved plan of the shipped circuit car, with its six mounts."""
    return read_answer(PLANS / "circuit-saloon.json")


def test_svg_is_the_same_bytes_twice_and_well_formed(saloon: Answer) -> None:
    """Two pictures of one plan are equal byte for byte, hold every mount's mark, and need no font to be read."""
    first, second = (rendered(plan_view(saloon), "svg") for _ in range(2))
    assert first == second
    root = ET.fromstring(first)
    ids = {element.get("id") for element in root.iter()}
    assert {f"mount-{n}" for n in range(1, 7)} <= ids
    assert not [element for element in root.iter() if element.tag.endswith("}text")]


def test_svg_fills_whatever_it_is_shown_on(saloon: Answer) -> None:
    """It has proportions, 390 units wide, and no width or height of its own (SVG 1.1, 7.7 and 7.8)."""
    root = ET.fromstring(rendered(plan_view(saloon), "svg"))
    assert root.get("viewBox", "").startswith("0 0 390 ")
    assert root.get("width") is None
    assert root.get("height") is None


def test_png_is_a_png_of_three_pixels_to_the_point(saloon: Answer) -> None:
    """The first eight bytes are the PNG signature (ISO/IEC 15948, 5.2); the header's width is 3 x 390 pixels."""
    data = rendered(plan_view(saloon), "png")
    assert data[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    assert int.from_bytes(data[16:20], "big") == 1170
    assert data == rendered(plan_view(saloon), "png")


def test_a_users_own_style_changes_nothing() -> None:
    """Settings somebody has for other pictures neither reach this one nor are lost by it."""
    import matplotlib

    plain = rendered(plan_view(assembled()), "svg")
    with matplotlib.rc_context({"text.usetex": True, "path.sketch": (3, 50, 2), "savefig.bbox": "tight"}):
        assert rendered(plan_view(assembled()), "svg") == plain
        assert matplotlib.rcParams["text.usetex"]


def test_no_window_toolkit_is_loaded() -> None:
    """Drawing never imports pyplot, which would look for a display."""
    script = (
        "import sys\n"
        "from tests.showing.invented_answers import assembled\n"
        "from ballast.showing.pictures import plan_view, rendered\n"
        "rendered(plan_view(assembled()), 'png')\n"
        "sys.exit('matplotlib.pyplot' in sys.modules)\n"
    )
    root = Path(__file__).parent.parent.parent
    done = subprocess.run([sys.executable, "-W", "error", "-c", script], cwd=root, check=False, capture_output=True)
    assert done.returncode == 0, done.stderr.decode()
