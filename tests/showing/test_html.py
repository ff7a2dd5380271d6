"""The printed sheet as HTML: one file, no script, nothing fetched, and every word of the user's only ever text."""

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from ballast.records.files import read_answer
from ballast.showing.html import laid_out, printable
from ballast.showing.scrutineer_sheet import scrutineer_sheet

PLANS = sorted((Path(__file__).parents[1] / "golden" / "plans").glob("*.json"))
CIRCUIT = next(path for path in PLANS if path.stem == "circuit-saloon")
HOSTILE = (
    "</style><script>alert(1)</script><img src=x onerror=alert(2)>\"'&amp; \u05e9\u05dc\u05d5\u05dd \u202e\U0001f600"
)
"""What no one calls a mount: tags, quotes, an entity, Hebrew, an override of direction, an emoji."""
FETCHING = {"src", "srcset", "data", "poster", "background", "action", "formaction", "ping", "manifest"}
"""Attributes by which a page of HTML asks for something else. HTML Living Standard, attributes."""


class Seen(HTMLParser):
    """Tags, attributes and text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Remember a tag and its attributes."""
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        """Remember text."""
        self.text += data


def renamed(tmp_path: Path, name: str) -> Path:
    """The plan of the circuit car, with this for the name of everything the user names, and in every note."""
    raw = json.loads(CIRCUIT.read_text(encoding="utf-8"))
    text = json.dumps(raw)
    for old in ("Heron saloon, number 27", "seat rail left", "10 kg", "8 L in the tank", "Heron Saloon Cup"):
        assert json.dumps(old)[1:-1] in text
        text = text.replace(json.dumps(old), json.dumps(f"{old} {name}"))
    path = tmp_path / "plan.json"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_page_of_a_saved_plan(path: Path, request: pytest.FixtureRequest) -> None:
    """A saved plan gives the page that somebody last looked through; the picture has tests of its own."""
    golden = path.parents[1] / "pages" / f"{path.stem}.html"
    page = laid_out(scrutineer_sheet(read_answer(path)), b"<svg></svg>")
    page = re.sub(r"(<style>).*?(</style>)", r"\1\2", page, flags=re.DOTALL)  # it stands in templates/sheet.css, once
    assert "<style></style>" in page
    if request.config.getoption("--update-golden"):
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(page, encoding="utf-8")
    assert page == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_page_needs_nothing_but_itself(path: Path) -> None:
    """No script, no style sheet, font or picture of elsewhere; links within the picture lead into the page itself."""
    seen = Seen(printable(read_answer(path)))
    assert seen.tags.isdisjoint({"script", "link", "iframe", "object", "embed", "base", "img", "form", "image"})
    for name, value in seen.attributes:
        assert name not in FETCHING
        assert not name.startswith("on")
        if name in ("href", "xlink:href"):
            assert value.startswith("#")
        assert "url(" not in value or re.fullmatch(r"(.*url\(#[\w-]+\).*)", value)
    policy = [value for name, value in seen.attributes if name == "content" and "default-src" in value]
    assert policy and policy[0].startswith("default-src 'none'")


def test_what_the_user_typed_is_text_and_nothing_else(tmp_path: Path) -> None:
    """Tags and quotes in the names of car, mount, plate and class, and in a note, come out as they were typed."""
    page = printable(read_answer(renamed(tmp_path, HOSTILE)))
    plain, strange = Seen(printable(read_answer(CIRCUIT))), Seen(page)
    assert strange.tags == plain.tags | {"wbr"}
    assert {name for name, _ in strange.attributes} == {name for name, _ in plain.attributes}
    typed = re.sub(r"\s", "", HOSTILE)
    said = re.sub(r"\s", "", strange.text)
    for old in ("Heron saloon, number 27", "seat rail left", "10 kg", "8 L in the tank", "Heron Saloon Cup"):
        assert re.sub(r"\s", "", old) + typed in said
    assert page.count("</style>") == printable(read_answer(CIRCUIT)).count("</style>")


def test_names_stand_apart_from_the_words_around_them(tmp_path: Path) -> None:
    """A name written from right to left, or one that overrides direction, turns nothing but its own cell."""
    page = printable(read_answer(renamed(tmp_path, HOSTILE)))
    cells = re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", page)
    assert all(cell.startswith("<bdi>") and cell.endswith("</bdi>") for cell in cells if "\u202e" in cell)


def test_the_foot_of_every_page_is_one_string_of_the_style_sheet(tmp_path: Path) -> None:
    """Nothing of a name can end the string: letters that are no plain letters stand there by number (CSS Syntax 4.3.7).

    The name is between isolates, so that an override of direction in it ends with it.
    """
    page = printable(read_answer(renamed(tmp_path, HOSTILE)))
    (foot,) = re.findall(r'@bottom-left \{ content: "(.*?)"; \}', page)
    assert re.fullmatch(r"([A-Za-z0-9]|\\[0-9a-f]{6})*", foot)
    read = re.sub(r"\\([0-9a-f]{6})", lambda number: chr(int(number[1], 16)), foot)
    assert read == f"\u2068Heron saloon, number 27 {HOSTILE}\u2069. Heron Saloon Cup {HOSTILE} Weighed 2026-03-14."


def test_a_very_long_word_may_be_broken_and_a_unit_keeps_its_number(tmp_path: Path) -> None:
    """There is a place to break in a name without blanks, and none between 10.84 and kg."""
    page = printable(read_answer(renamed(tmp_path, "Donaudampfschifffahrtsgesellschaft")))
    assert "Donaud<wbr>ampfsc<wbr>hifffa" in page
    assert "1108.4\u00a0kg" in page
    assert "2\u00a0x\u00a05\u00a0kg" in page


def test_the_picture_is_in_the_page_with_words_for_who_cannot_see_it() -> None:
    """The drawing itself, without the head and the remarks of a file of its own, under a label."""
    page = printable(read_answer(CIRCUIT))
    (figure,) = re.findall(r"<figure(.*?)</figure>", page, re.DOTALL)
    assert 'role="img" aria-label="The car from above' in figure
    assert "<svg" in figure and "viewBox" in figure
    assert not {"<?xml", "<!DOCTYPE", "<metadata", "<title", "<!--"} & set(re.findall(r"<[?!]?[\w-]+", figure))
