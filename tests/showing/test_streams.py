"""What a terminal or a pipe can take: columns, and letters on the code pages of Windows."""

import io
import json
import os

import pytest

from ballast.showing.streams import columns, is_unicode, json_for, write_what_it_can


def stream(encoding: str) -> io.TextIOWrapper:
    """A stream of bytes with one encoding."""
    return io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\n")


def written(text: str, encoding: str) -> str:
    """What a reader of this encoding sees of a text."""
    out = stream(encoding)
    write_what_it_can(out)
    out.write(text)
    out.flush()
    assert isinstance(out.buffer, io.BytesIO)
    return out.buffer.getvalue().decode(encoding)


@pytest.mark.parametrize(
    ("text", "encoding", "shown"),
    [
        ("Hëron – number 27", "ascii", "Heron - number 27"),
        ("Hëron – number 27", "cp1252", "Hëron – number 27"),
        ("Hëron – number 27", "cp850", "Hëron - number 27"),
        ("Łódź “kart” ☃", "cp1252", "Lódz “kart” ?"),
        ("Łódź “kart” ☃", "cp850", 'Lódz "kart" ?'),
        ("Straße, 5 × 2 …", "ascii", "Strasse, 5 x 2 ..."),
        ("ﬁve ½", "ascii", "five ?"),
        ("前輪 5 kg", "cp1252", "?? 5 kg"),
        ("前輪 5 kg", "utf-8", "前輪 5 kg"),
        ("a\udcffb", "utf-8", "a?b"),
    ],
)
def test_a_letter_without_a_code_becomes_the_nearest_one(text: str, encoding: str, shown: str) -> None:
    """Accents go where they have to, dashes and quotes become plain ones, and only what has nothing near is a "?"."""
    assert written(text, encoding) == shown


def test_json_is_whole_on_every_code_page() -> None:
    """Where a stream has no code for a letter, JSON escapes it: what comes out reads back as what went in."""
    text = json.dumps({"name": 'Hëron 😀 \\ " 前'}, ensure_ascii=False)
    for encoding in ("ascii", "cp1252", "cp850", "utf-8"):
        out = written(json_for(stream(encoding), text), encoding)
        assert json.loads(out) == json.loads(text)
    assert json_for(stream("utf-8"), text) == text
    assert json_for(stream("cp1252"), text).isascii()


def test_which_streams_take_every_letter() -> None:
    """UTF in all its spellings, and nothing else."""
    assert is_unicode(stream("utf-8")) and is_unicode(stream("UTF8")) and is_unicode(stream("utf-16"))
    assert not is_unicode(stream("cp1252")) and not is_unicode(io.StringIO())


@pytest.mark.parametrize(
    ("terminal", "on", "wide"),
    [(200, "posix", 80), (80, "posix", 80), (47, "posix", 47), (0, "posix", 80), (80, "nt", 79), (200, "nt", 80)],
)
def test_columns_of_a_terminal(terminal: int, on: str, wide: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """80 at the most; one fewer than a narrower console of Windows has; 80 where a terminal does not say."""

    class Console(io.StringIO):
        def fileno(self) -> int:
            """The number of the device."""
            return 77

    monkeypatch.setattr("ballast.showing.streams.os.get_terminal_size", lambda _: os.terminal_size((terminal, 24)))
    monkeypatch.setattr("ballast.showing.streams.os.name", on)
    assert columns(Console()) == wide


def test_a_pipe_has_80_columns() -> None:
    """What is no terminal gets the usual width, so that what is kept in a file is the same everywhere."""
    assert columns(io.StringIO()) == 80
