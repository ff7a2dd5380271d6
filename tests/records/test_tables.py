"""Plates and readings out of a spreadsheet: what is understood, and that it is said. Complaints: tests/files/bad."""

import logging
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ballast.errors import InputError
from ballast.records import files
from ballast.records.tables import filled_in
from ballast.records.weighing import WeighIn

WEIGH_IN = """
[units]
mass = "kg"
length = "mm"

[weigh_in]
date = 2026-05-02

[readings]
file = "{name}"
"""


def weigh_in(folder: Path, content: bytes | str, name: str = "readings.csv") -> WeighIn:
    """A weigh-in whose readings are a file with this content."""
    (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    path = folder / "weigh-in.toml"
    path.write_text(WEIGH_IN.format(name=name), encoding="utf-8")
    return files.read_weigh_in(path)


POINTS = "LF,RF,LR,RR\n278.2,284.0,239.4,270\n"
WRITTEN: dict[str, tuple[bytes | str, str]] = {
    "commas and points": (POINTS, "commas between columns."),
    "semicolons and decimal commas": (
        "LF;RF;LR;RR\n278,2;284,0;239,4;270\n",
        "semicolons between columns, decimal commas.",
    ),
    "semicolons and points": ("LF;RF;LR;RR\n278.2;284.0;239.4;270\n", "semicolons between columns."),
    "tabs": ("LF\tRF\tLR\tRR\n278,2\t284,0\t239,4\t270\n", "tabs between columns, decimal commas."),
    "quoted decimal commas": ('LF,RF,LR,RR\n"278,2","284,0","239,4",270\n', "commas between columns, decimal commas."),
    "a byte order mark": ("\ufeff" + POINTS, "commas between columns."),
    "UTF-16": (POINTS.encode("utf-16"), "commas between columns, UTF-16 letters."),
    "Windows letters": (
        "LF,RF,LR,RR,# Prüfer\n278.2,284.0,239.4,270,Jörg\n".encode("cp1252"),
        "commas between columns, letters taken for those of Windows (cp1252).",
    ),
    "lines as Windows ends them": (POINTS.replace("\n", "\r\n"), "commas between columns."),
    "a first line that names the separator": ("sep=;\r\n" + POINTS.replace(",", ";"), "semicolons between columns."),
    "another separator named so": ("sep=|\n" + POINTS.replace(",", "|"), "'|' between columns."),
    "empty lines and cells": ("\n\n,,,,\nLF,RF,LR,RR,,\n\n278.2,284.0,239.4,270,,\n,,,\n\n", "commas between columns."),
    "remarks": ("# hall floor, pads level\nLF,RF,LR,RR,# by\n278.2,284.0,239.4,270,me\n# 1,1,1,1\n", "commas between"),
    "a head that begins as a remark": (
        "# settling;LF;RF;LR;RR\n1;278,2;284;239,4;270\n# mean;1;1;1;1\n",
        "semicolons between columns, decimal commas.",
    ),
    "capitals, units and another order": ("rr [kg],LR (kg), Lf,rf\n270,239.4,278.2,284.0\n", "commas between columns."),
    "no end of the last line": (POINTS.rstrip(), "commas between columns."),
}


@pytest.mark.parametrize("how", WRITTEN)
def test_it_is_understood_and_said(how: str, tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """However a spreadsheet writes them, the four numbers are the same; what was understood is told with the file."""
    content, said = WRITTEN[how]
    with caplog.at_level(logging.INFO, "ballast"):
        (reading,) = weigh_in(tmp_path, content).readings
    assert reading.in_order() == (278.2, 284.0, 239.4, 270.0)
    (message,) = (record.getMessage() for record in caplog.records)
    assert message.startswith(f"Read {tmp_path / 'readings.csv'}: 1 settling; {said}")


def test_a_file_with_a_complaint_is_not_said_to_be_read(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """Nothing is told of a file that could not be used, but the complaints."""
    with caplog.at_level(logging.INFO, "ballast"), pytest.raises(InputError, match=r"line 2, column LF = \"5,0,1\""):
        weigh_in(tmp_path, "LF;RF;LR;RR\n5,0,1;2;3;4\n")
    assert not caplog.records


def test_lines_are_counted_as_an_editor_counts_them(tmp_path: Path) -> None:
    """The first line that names the separator, empty lines, and a cell that goes over two lines all count."""
    content = 'sep=;\n\nLF;RF;LR;RR;# note\n278;284;239;270;"two\nlines"\n278;284;239;x;\n'
    with pytest.raises(InputError) as caught:
        weigh_in(tmp_path, content)
    assert [complaint.where for complaint in caught.value.complaints] == ["line 6, column RR"]


def test_the_file_lies_beside_the_one_that_names_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A path is taken from the weigh-in's folder, not from where the command is run; folders may be named."""
    (tmp_path / "may").mkdir()
    monkeypatch.chdir(tmp_path / "may")
    assert weigh_in(tmp_path, POINTS, "may/pads.csv").readings


def test_the_wrong_file_on_the_command_line_is_told(tmp_path: Path) -> None:
    """Given in place of the weigh-in, a CSV file is told where it belongs."""
    path = tmp_path / "readings.csv"
    path.write_text(POINTS, encoding="utf-8")
    with pytest.raises(InputError, match="is a table of a spreadsheet, where a weigh-in file is wanted") as caught:
        files.read_weigh_in(path)
    assert 'file = "readings.csv"' in caught.value.complaints[0].fix


def test_a_saved_plan_is_told_from_a_file_written_by_hand(tmp_path: Path) -> None:
    """What `plan --save` kept, given as car or weigh-in, is told where it goes; other JSON is JSON."""
    plan = Path(__file__).parents[1] / "golden" / "plans" / "circuit-saloon.json"
    for read in (files.read_car, files.read_weigh_in, files.read_rulebook):
        with pytest.raises(InputError, match=r"is a saved plan, where a .* is wanted"):
            read(plan)
    other = tmp_path / "other.json"
    other.write_text('{"a": 1}', encoding="utf-8")
    with pytest.raises(InputError, match="is JSON, where a car file is wanted"):
        files.read_car(other)


def test_a_spreadsheet_that_is_read_is_never_written_over(tmp_path: Path) -> None:
    """A file named in a weigh-in is one of the inputs, as the weigh-in itself."""
    weigh_in(tmp_path, POINTS)
    with pytest.raises(InputError, match="is one of the files this is planned from"):
        files.refuse_clashes([tmp_path / "readings.csv"], [tmp_path / "weigh-in.toml"])


ALPHABET = st.sampled_from(
    ["LF", "RF", "LR", "RR", ",", ";", "\t", "\n", "\r", '"', "1", "2,5", "3.5", "#", " ", "[kg]"]
)


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=60), st.lists(ALPHABET, max_size=30).map(lambda parts: "".join(parts).encode())))
def test_whatever_a_file_holds_there_are_rows_or_complaints(content: bytes) -> None:
    """Any bytes at all give rows or complaints with their file, their words and their remedy, never a traceback."""
    raw = {"units": {"mass": "kg"}, "readings": {"file": "x.csv"}}
    filled = filled_in(raw, Path("weigh-in.toml"), lambda _: content)
    assert bool(filled.raw["readings"]) or filled.complaints
    for complaint in filled.complaints:
        assert complaint.file and complaint.what and complaint.fix
