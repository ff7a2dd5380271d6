"""The printed sheet as one file of HTML: no script, nothing fetched, everything the user typed escaped."""

import re
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from ballast.records.plan import Answer
from ballast.showing.pictures import plan_view, rendered
from ballast.showing.scrutineer_sheet import ScrutineerSheet, scrutineer_sheet
from ballast.showing.text import BEFORE_UNIT, HARD_SPACE

TEMPLATES = Path(__file__).parent / "templates"
NOT_WANTED = re.compile(r"<metadata>.*?</metadata>|<title>.*?</title>|<!--.*?-->", re.DOTALL)
"""What a drawing says of itself, in words of its own file: the sheet says it better."""

TOGETHER = re.compile(r"(?<=\d) x (?=\S)|(?<=\+/-) ")
"""Blanks within "2 x 10 kg" and "+/- 0.5", at which no line ends."""
LONG_WORD = re.compile(r"\S{12,}")
PIECE, BREAK = 6, "\x00"
"""A word so long may be broken after every so many letters, or it would push a table over the edge of a phone."""


def printable(answer: Answer) -> str:
    """The sheet of a saved plan, with its picture: the whole text of a file."""
    return laid_out(scrutineer_sheet(answer), rendered(plan_view(answer), "svg"))


def laid_out(sheet: ScrutineerSheet, picture: bytes) -> str:
    """A sheet and its picture (svg) in the template."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters |= {"kept": _kept, "in_css": _in_css}
    return environment.get_template("sheet.html").render(sheet=sheet, picture=_inlined(picture))


def _kept(text: str) -> Markup:
    """Text, escaped: a number keeps its unit on its line, and a very long word may be broken."""

    def broken(word: re.Match[str]) -> str:
        found = word[0]
        return BREAK.join(found[at : at + PIECE] for at in range(0, len(found), PIECE))

    return Markup("<wbr>").join(LONG_WORD.sub(broken, _together(text)).split(BREAK))


def _together(text: str) -> str:
    text = TOGETHER.sub(lambda blanks: blanks[0].replace(" ", HARD_SPACE), text)
    return BEFORE_UNIT.sub(HARD_SPACE, text)


def _in_css(text: str) -> str:
    """Text between the quotes of a style sheet: every letter that could mean something there by its number."""
    return "".join(letter if letter.isalnum() and letter.isascii() else f"\\{ord(letter):06x}" for letter in text)


def _inlined(picture: bytes) -> Markup:
    """The drawing itself, without the head that only a file of its own has. It comes from us, so it is not escaped."""
    text = picture.decode("utf-8")
    return Markup(NOT_WANTED.sub("", text[text.index("<svg") :]).strip())
