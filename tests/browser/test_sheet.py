"""The printed sheet in a real browser: pages, widths, reachable by all, nothing asked of anybody.

Needs Debian's `chromium` and the file `axe.min.js` that the package `axe-playwright-python` brings; skipped where one
of them is missing, unless BALLAST_BROWSER=required says that this is a mistake.
"""

import importlib.util
import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from ballast.jobs.plan import plan
from ballast.records.files import as_json, read_answer, read_question
from ballast.showing.html import printable
from tests.browser.chromium import Page, running

ROOT = Path(__file__).parents[2]
PLANS = ROOT / "tests" / "golden" / "plans"
COUPE = ROOT / "examples" / "beam-axle-coupe"
EXAMPLES = sorted(path.name for path in (ROOT / "examples").iterdir() if path.is_dir())
SHEETS = sorted({*EXAMPLES, *(path.stem for path in PLANS.glob("*.json")), "broken", "wild names"})
PAPERS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}
"""Width and height. ISO 216; ANSI/ASME Y14.1. [in]"""
WIDTHS = (390, 1280)
"""A phone and a desk. [pixels]"""
MOST_PAGES = 2
REQUIRED = os.environ.get("BALLAST_BROWSER") == "required"
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
"""Rules of the checker: WCAG 2.2, levels A and AA, and its own advice."""
OVER_THE_EDGE = """[...document.body.querySelectorAll("*")].filter(element => {
    const box = element.getBoundingClientRect();
    return box.width > 0 && (box.right > document.documentElement.clientWidth + 0.5 || box.left < -0.5);
}).map(element => element.tagName + " " + element.textContent.slice(0, 40))"""
TOO_NARROW = """[...document.querySelectorAll("td, th, p, h1, h2, li")]
    .filter(element => element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 0)
    .map(element => element.tagName + " " + element.textContent.slice(0, 40))"""
"""Words that stand out over the edge of their own cell or paragraph, into the next one."""


@cache
def axe() -> str | None:
    """The accessibility checker, as text; none where it is not installed."""
    found = importlib.util.find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        return None
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def page() -> Iterator[Page]:
    """A tab of Chromium, for all tests of this process."""
    program = shutil.which("chromium")
    missing = [name for name, there in (("chromium", program), ("axe-playwright-python", axe())) if not there]
    if missing or program is None:
        reason = f"not installed: {', '.join(missing)}"
        if REQUIRED:
            pytest.fail(reason)
        pytest.skip(reason)
    with running(program) as tab:
        yield tab


@cache
def sheet_of(name: str) -> str:
    """The page of a saved plan; of the example that has none, planned now; of one broken, and one with wild names."""
    match name:
        case COUPE.name:
            parts = (COUPE / f"{part}.toml" for part in ("car", "weigh-in", "rulebook"))
            return printable(plan(read_question(*parts)))
        case "broken":
            answer = read_answer(PLANS / "two-drivers.json")
            first, *others = answer.plan.findings
            failed = first.replace(verdict="fail", margin=-1.0, measured=(first.limit or 0.0) - 1.0)
            return printable(answer.replace(plan=answer.plan.replace(findings=(failed, *others))))
        case "wild names":
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "plan.json"
                path.write_text(_renamed(as_json(read_answer(PLANS / "endurance-four.json"))), encoding="utf-8")
                return printable(read_answer(path))
    return printable(read_answer(PLANS / f"{name}.json"))


WILD_CAR = "<h1 onclick='alert(1)'>\u05e4\u05d8\u05e8\u05dc</h1> & \u202eGT \U0001f3c1"
WILD = {
    "Petrel GT, number 61": WILD_CAR,
    "passenger floor rear": "Donaudampfschifffahrtsgesellschaftskapit\u00e4nsm\u00fctze" * 2,
    "Tamsin": "Tam\"'><svg/onload=alert(2)>",
    "7.5 kg": "</style></script><script>alert(3)</script>",
}
"""Names that try to be something else, and one as long as a line."""


def _renamed(saved: str) -> str:
    for old, new in WILD.items():
        saved = saved.replace(json.dumps(old)[1:-1], json.dumps(new)[1:-1])
    return saved


@pytest.fixture
def opened(page: Page, tmp_path: Path, request: pytest.FixtureRequest) -> Page:
    """The sheet that a test asks for, open in the tab."""
    path = tmp_path / "sheet.html"
    path.write_text(sheet_of(request.param), encoding="utf-8")
    page.open(path)
    return page


def pages_in(pdf: bytes) -> int:
    """How many pages a PDF of Chromium's has: objects of type Page. ISO 32000-1, 7.7.3.3."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


every_sheet = pytest.mark.parametrize("opened", SHEETS, indirect=True)


@every_sheet
@pytest.mark.parametrize("paper", PAPERS)
def test_it_prints_on_two_pages_at_most(opened: Page, paper: str, request: pytest.FixtureRequest) -> None:
    """Front and back of one sheet of A4 or Letter; names as long as nobody writes them may take one more."""
    wild = "wild names" in request.node.name
    assert 1 <= pages_in(opened.printed(*PAPERS[paper])) <= MOST_PAGES + wild


@every_sheet
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_stands_out_over_the_edge(opened: Page, width: int) -> None:
    """On a phone and on a desk nobody has to move the page sideways, and no word runs into the next cell."""
    opened.width(width)
    assert opened.value("document.documentElement.scrollWidth") <= width
    assert opened.value(OVER_THE_EDGE) == []
    assert opened.value(TOO_NARROW) == []


@every_sheet
@pytest.mark.parametrize("width", WIDTHS)
def test_everybody_can_read_it(opened: Page, width: int) -> None:
    """Contrast, labels, headings, tables: the checker finds nothing, and nothing it could not settle."""
    opened.width(width)
    opened.value(f"{axe()}; true")
    found: dict[str, list[dict[str, Any]]] = opened.value(
        f"axe.run(document, {json.dumps(RULES)}).then(({{violations, incomplete, passes}}) => "
        "({violations, incomplete, passes: passes.map(rule => ({id: rule.id}))}))"
    )
    told = {(rule["id"], node["html"][:120]) for rule in found["violations"] for node in rule["nodes"]}
    told |= {(rule["id"], node["html"][:120]) for rule in found["incomplete"] for node in rule["nodes"]}
    assert told == set()
    assert {"color-contrast", "document-title", "html-has-lang"} <= {rule["id"] for rule in found["passes"]}


@every_sheet
def test_it_asks_nothing_of_anybody(opened: Page) -> None:
    """One file is read, the sheet itself; nothing runs, and Chromium has nothing to remark."""
    assert len(opened.requested()) == 1
    assert opened.requested()[0].startswith("file:")
    assert opened.value("document.scripts.length") == 0
    assert {event["method"] for event in opened.events}.isdisjoint({"Log.entryAdded", "Page.javascriptDialogOpening"})


@pytest.mark.parametrize("opened", ["wild names"], indirect=True)
def test_a_wild_name_is_read_as_it_was_typed(opened: Page) -> None:
    """Chromium's own parser finds the name of the car in the heading, whole, and nothing made of it."""
    assert opened.value("[...document.querySelectorAll('h1')].map(heading => heading.textContent)") == [WILD_CAR]
    assert opened.value("document.querySelectorAll('[onclick], [onload]').length") == 0


@pytest.mark.parametrize("opened", ["endurance-four"], indirect=True)
def test_the_same_without_scripts(opened: Page) -> None:
    """With scripts switched off it prints the same pages."""
    before = pages_in(opened.printed(*PAPERS["A4"]))
    opened.call("Emulation.setScriptExecutionDisabled", value=True)
    try:
        assert pages_in(opened.printed(*PAPERS["A4"])) == before
    finally:
        opened.call("Emulation.setScriptExecutionDisabled", value=False)
