"""What a terminal or a pipe can take: how many columns, and which letters."""

import codecs
import json
import os
import re
import unicodedata
from typing import TextIO

USUAL = 80
PLAIN = {
    **dict.fromkeys("‐‑‒–—―−", "-"),
    **dict.fromkeys("‘’‚‛′", "'"),
    **dict.fromkeys("“”„‟«»″", '"'),
    **{"…": "...", "×": "x", "·": ".", "•": "*", "°": " deg", "±": "+/-", "€": "EUR", "£": "GBP"},
    **{"ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d"},
    **{"Đ": "D", "ð": "d", "þ": "th", "ı": "i"},
}
"""What is written for a letter that a stream has no code for."""


REORDERING = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Letters that are not seen and turn about what stands beside them."""


def harmless(text: str) -> str:
    """A text with nothing in it that a terminal would obey: of all control characters, line breaks alone are kept."""
    seen = REORDERING.sub("", text)
    return "".join(x if x == "\n" or unicodedata.category(x) != "Cc" else " " for x in seen)


def columns(stream: TextIO) -> int:
    """Columns to write in: those of a terminal, 80 at the most, and 80 for a pipe or a file."""
    try:
        found = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):  # nothing that has columns
        return USUAL
    if os.name == "nt":  # a console of Windows goes on to the next line when the last column is full
        found -= 1
    return min(found, USUAL) if found > 0 else USUAL


def is_unicode(stream: TextIO) -> bool:
    """Whether every letter has a code on this stream."""
    try:
        return codecs.lookup(stream.encoding or "ascii").name.startswith("utf")
    except LookupError:
        return False


def write_what_it_can(stream: TextIO) -> None:
    """Have a stream write the nearest plain letter for one it has no code for, instead of failing."""
    codecs.register_error("ballast.nearest", _nearest)
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="ballast.nearest")


def _nearest(error: UnicodeError) -> tuple[str, int]:
    """An error handler of `codecs`: "Hëron – 27" is written "Heron - 27" in ASCII, and what has nothing near as "?"."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letters = error.object[error.start : error.end]
    return "".join(_plain(letter, error.encoding) for letter in letters), error.end


def _plain(letter: str, encoding: str) -> str:
    if letter in PLAIN:
        return PLAIN[letter]
    bare = "".join(part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part))
    try:
        bare.encode(encoding)
    except UnicodeEncodeError:
        return "?"
    return bare


def json_for(stream: TextIO, text: str) -> str:
    """JSON as a stream can take it whole: where it has no code for some letters, all but ASCII is escaped."""
    if is_unicode(stream):
        return text
    return "".join(letter if letter.isascii() else json.dumps(letter)[1:-1] for letter in text)
