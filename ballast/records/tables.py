"""Plates and readings out of a spreadsheet: a CSV file named where their tables would stand.

    [plates]                    [readings]
    file = "plates.csv"         file = "readings.csv"

The file lies beside the one that names it. Its first line has the keys of the table, the lines below it one plate or
one settling each. Commas, semicolons or tabs between columns and decimal points or decimal commas are understood, and
what was understood is logged, for whoever runs this to be told.
"""

import codecs
import csv
import io
import json
import logging
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ballast.errors import Complaint, InputError, did_you_mean, nearest
from ballast.records.complaining import SAID_FOR
from ballast.records.mistyped import plain_number
from ballast.records.plates import Plate
from ballast.records.quantities import Record
from ballast.records.weighing import Reading

LOG = logging.getLogger(__name__)

TABLES: dict[str, tuple[type[Record], str]] = {
    "plates": (Plate, "plate"),
    "readings": (Reading, "settling"),
    "turned": (Reading, "settling"),
}
"""Tables that may be a file, the record of a row, and what a row is."""
TEXTS = ("name", "kind", "material")
LENGTHS = ("thickness",)
COUNTS = ("count",)
SEPARATORS = {";": "semicolons between columns", "\t": "tabs between columns", ",": "commas between columns"}
SAVED_BY_A_SPREADSHEET = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
LINES_OF_REMARKS = 20
"""Lines in which the heads of the columns are looked for."""
NO_NUMBER = "write digits with one decimal point or comma, without a unit and without anything between thousands."

Row = tuple[int, list[str]]
"""A line with its number, counted from 1, and its cells."""


@dataclass(frozen=True)
class Source:
    """Where the rows of a table came from."""

    file: str
    lines: tuple[int, ...]
    """of each row, counted from 1"""
    rows: tuple[dict[str, Any], ...]
    sound: bool
    """whether every row could be read"""

    def line(self, number: str | None, name: str | None) -> int | None:
        """The line of a row, by its number in the table, counted from 1, or by its name."""
        if number is not None and int(number) <= len(self.lines):
            return self.lines[int(number) - 1]
        named = [line for line, row in zip(self.lines, self.rows, strict=True) if name and row.get("name") == name]
        return named[0] if named else None


@dataclass(frozen=True)
class Filled:
    """A file with the rows of its spreadsheets in it."""

    raw: dict[str, Any]
    complaints: tuple[Complaint, ...]
    sources: Mapping[str, Source]

    def placed(self, complaints: Sequence[Complaint]) -> Iterator[Complaint]:
        """Complaints about rows, told by line and column of the spreadsheet; what follows from others is left out."""
        for complaint in complaints:
            found = re.match(
                r"\[{0,2}(?P<table>\w+)\]{0,2}(?: (?P<number>\d+))?(?: '(?P<name>.*)')?(?: (?P<key>\w+))?$",
                complaint.where,
            )
            source = self.sources.get(found["table"]) if found else None
            if found is None or source is None:
                yield complaint
            elif source.sound or found["number"]:
                of_name = complaint.value.strip('"') if found["key"] == "name" and complaint.value else None
                line = source.line(found["number"], found["name"] or of_name)
                parts = (f"line {line}" if line else "", f"column {found['key']}" if found["key"] else "")
                yield replace(complaint, file=source.file, where=", ".join(part for part in parts if part))


def filled_in(raw: dict[str, Any], path: Path, read: Callable[[Path], bytes]) -> Filled:
    """The tables of a file with every `file = "..."` replaced by the rows of that CSV file.

    path : the file that names them; read : the bytes of a file, or InputError.
    """
    filled, found, sources = dict(raw), list[Complaint](), dict[str, Source]()
    for table in TABLES:
        value = raw.get(table)
        if not isinstance(value, dict) or "file" not in value:
            continue
        name, others = value["file"], sorted(value.keys() - {"file"})
        where = f"[{table}] file"
        if not isinstance(name, str) or not name.strip():
            fix = f'write the name of the CSV file between quotes: file = "{table}.csv".'
            complaints = [Complaint("is no name of a file", fix, where, json.dumps(name, default=str), str(path))]
            source = _no_rows(path)
        elif others:
            fix = "leave them out: the columns of the CSV file are these keys."
            complaints = [Complaint(f"stands beside {', '.join(others)}", fix, where, json.dumps(name), str(path))]
            source = _no_rows(path)
        else:
            source, complaints = _read(table, path, name, raw.get("units"), read)
        filled[table], sources[table] = list(source.rows), source
        found += complaints
    return Filled(filled, tuple(found), sources)


def named_in(raw: Mapping[str, Any], path: Path) -> Iterator[Path]:
    """The CSV files that a file names."""
    for table in TABLES:
        value = raw.get(table)
        if isinstance(value, dict) and isinstance(value.get("file"), str):
            yield path.parent / value["file"]


def _no_rows(file: Path) -> Source:
    """Of a file that cannot be used."""
    return Source(str(file), (), (), sound=False)


def _read(
    table: str, path: Path, name: str, units: object, read: Callable[[Path], bytes]
) -> tuple[Source, list[Complaint]]:
    """The rows of one CSV file, and complaints about it."""
    file = path.parent / name
    try:
        data = read(file)
    except InputError as error:
        found = [
            replace(one, where=f"[{table}] file", value=json.dumps(name), file=str(path)) for one in error.complaints
        ]
        return _no_rows(file), found
    if data.startswith(SAVED_BY_A_SPREADSHEET):
        fix = "save it from the spreadsheet once more, as CSV."
        return _no_rows(file), [Complaint("is not a CSV file", fix, file=str(file))]
    text, letters = _decoded(data)
    try:
        sheet = _Sheet(table, text, str(file), units if isinstance(units, dict) else {}, path.name)
    except csv.Error as error:
        fix = "look for a quote that is opened and not closed; a quote inside a text is written twice."
        return _no_rows(file), [Complaint(f"cannot be read ({error})", fix, file=str(file))]
    complaints = list(sheet.complaints())
    if not complaints:
        each = TABLES[table][1] + ("s" if len(sheet.rows) != 1 else "")
        told = [SEPARATORS.get(sheet.separator, f"'{sheet.separator}' between columns")]
        told += ["decimal commas"] * sheet.commas + [letters] * bool(letters)
        LOG.info("Read %s: %d %s; %s.", file, len(sheet.rows), each, ", ".join(told))
    source = Source(str(file), tuple(sheet.lines), tuple(sheet.rows), sound=not complaints)
    return source, complaints


def _decoded(data: bytes) -> tuple[str, str]:
    """The text of a file, and what is to be told of its letters."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace"), "UTF-16 letters"
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:  # what spreadsheets on Windows write in Western Europe when nothing is chosen
        return data.decode("cp1252", errors="replace"), "letters taken for those of Windows (cp1252)"


def _word(head: str) -> str:
    """The head of a column as a key is written, without the unit behind it."""
    return re.sub(r"[\s-]+", "_", re.sub(r"\s*[\[(].*", "", head)).casefold()


class _Sheet:
    """One CSV text taken apart: what its columns are, then its rows, with every complaint on the way."""

    def __init__(self, table: str, text: str, file: str, units: Mapping[str, Any], named_in: str):
        self.model, self.each = TABLES[table]
        self.file, self.units, self.named_in = file, units, named_in
        self.keys = {key.casefold(): key for key in self.model.model_fields}
        self.lines, self.rows = list[int](), list[dict[str, Any]]()
        first, _, rest = text.partition("\n")
        declared = re.fullmatch(r'"?sep=(.)"?\s*', first, re.IGNORECASE)
        body = rest if declared else text
        self.separator = declared[1] if declared else self._separator(body)
        reader = csv.reader(io.StringIO(body, newline=""), delimiter=self.separator, strict=True)
        rows = [(reader.line_num + bool(declared), [cell.strip() for cell in row]) for row in reader]
        self.records = self._from_the_head_on([(line, row) for line, row in rows if any(row)])
        self.head = {column: key for column, cell in enumerate(self.heads) if (key := self._key(cell)[0])}
        self.commas = any(
            re.fullmatch(r"[-+]?\d*,\d+", row[column])
            for _, row in self.records[1:]
            for column, key in self.head.items()
            if key not in TEXTS and column < len(row)
        )

    @property
    def heads(self) -> list[str]:
        """What stands above the columns."""
        return self.records[0][1] if self.records else []

    def _separator(self, text: str) -> str:
        """What stands between the columns: the one that parts most keys of one line, or else is there most often."""
        lines = text.splitlines()[:LINES_OF_REMARKS]

        def worth(mark: str) -> tuple[int, int]:
            keys = (sum(bool(self._key(cell.strip(' "'))[0]) for cell in line.split(mark)) for line in lines)
            return max(keys, default=0), sum(line.count(mark) for line in lines)

        return max(SEPARATORS, key=worth)

    def _from_the_head_on(self, rows: list[Row]) -> list[Row]:
        """The first line that has a key in it, or else the first that is no remark, and what is no remark below it."""
        keyed = (row for row in rows[:LINES_OF_REMARKS] if any(self._key(cell)[0] for cell in row[1]))
        told = [row for row in rows if not row[1][0].startswith("#")]
        head = next(keyed, told[0] if told else None)
        return [head, *(row for row in told if row[0] > head[0])] if head else []

    def _key(self, cell: str) -> tuple[str | None, str | None]:
        """The key that a head means, and the unit in brackets behind it."""
        unit = re.search(r"[\[(]\s*(.*?)\s*[\])]$", cell)
        return self.keys.get(_word(cell)), unit[1] if unit else None

    def complaints(self) -> Iterator[Complaint]:
        """Every mistake in the heads, else every mistake in the rows; fills in the rows on the way."""
        if not self.records:
            wanted = ", ".join(self.keys.values())
            fix = f"write a first line with the columns ({wanted}), and a line below it for each {self.each}."
            yield Complaint("is empty", fix, file=self.file)
            return
        heads = list(self._of_heads())
        yield from heads
        if heads:
            return
        if len(self.records) == 1:
            yield Complaint("has nothing below its first line", f"add a line for each {self.each}.", file=self.file)
        for line, row in self.records[1:]:
            yield from self._of_row(line, row)

    def _of_heads(self) -> Iterator[Complaint]:
        line, heads = self.records[0][0], self.heads
        unknown, seen = list[str](), set[str]()
        for column, head in enumerate(heads):
            key, unit = self._key(head)
            place = f"line {line}, column {column + 1}"
            shown = json.dumps(head, ensure_ascii=False)
            if head.startswith("#"):
                continue
            if not head:
                used = [number for number, row in self.records[1:] if len(row) > column and row[column]]
                if used:
                    fix = "write a key above it; a head that begins with # is a remark, and its column is not read."
                    yield Complaint(f"has no head, and line {used[0]} has something in it", fix, place, file=self.file)
            elif key is None:
                word = _word(head)
                unknown.append(word)
                said_for = SAID_FOR.get(word)
                fix = f"did you mean '{said_for}'?" if said_for in self.keys else did_you_mean(word, self.keys.values())
                remark = " Or begin the head with #, and its column is not read."
                yield Complaint("nothing is called that here", fix + remark, place, shown, self.file)
            elif key in seen:
                yield Complaint("stands there twice", "keep one of the two columns.", place, shown, self.file)
            elif unit is not None and (own := self._unit(key)) != unit:
                says = f"the unit comes from [units] of {self.named_in}" + (f", and that is {own}" if own else "")
                fix = f"write {key}: {says}." if own else f"write {key}."
                yield Complaint(f"has '{unit}' behind it", fix, place, shown, self.file)
            seen |= {key} if key else set()
        for key, field in self.model.model_fields.items():
            meant = nearest(key, unknown) or key in {SAID_FOR.get(word) for word in unknown}
            if field.is_required() and key not in seen and not meant:
                meaning = " ".join((field.description or "").split())
                yield Complaint(f"has no column {key}", f"add it: {meaning}.", f"line {line}", file=self.file)

    def _unit(self, key: str) -> object:
        if key in (*TEXTS, *COUNTS):
            return None
        return self.units.get("length" if key in LENGTHS else "mass")

    def _of_row(self, line: int, row: Sequence[str]) -> Iterator[Complaint]:
        if any(row[len(self.heads) :]):
            fix = "empty the cells that are too many."
            if self.separator == ",":
                fix = "put a number that has a comma in it between quotes, or separate the columns by semicolons."
            yield Complaint("has more cells than the first line has heads", fix, f"line {line}", file=self.file)
            return
        values, sound = dict[str, Any](), True
        for column, key in self.head.items():
            cell = row[column] if column < len(row) else ""
            field = self.model.model_fields[key]
            wrong: tuple[str, str] | None = None
            if not cell:
                if field.is_required():
                    meaning = " ".join((field.description or "").split())
                    wrong = "is empty", f"fill it in: {meaning}."
            elif key in TEXTS:
                values[key] = cell
            else:
                values[key], wrong = self._number(cell)
            if wrong:
                sound = False
                shown = json.dumps(cell, ensure_ascii=False) if cell else None
                yield Complaint(*wrong, f"line {line}, column {key}", shown, self.file)
        if sound:
            self.rows.append(values)
            self.lines.append(line)

    def _number(self, cell: str) -> tuple[float | None, tuple[str, str] | None]:
        """A number as a spreadsheet wrote it, or what is wrong with it."""
        found = plain_number(cell)
        if found is None or not re.fullmatch(r"[-+]?\d+(\.\d+)?", found.digits):
            return None, ("is not a number", NO_NUMBER)
        if found.unit:
            fix = f"write {found.digits}; the unit comes from [units] of {self.named_in}."
            return None, (f"has '{found.unit}' behind the number", fix)
        if self.commas and "." in cell:
            what = "has a decimal point, and other numbers of this file have decimal commas"
            thousands = re.fullmatch(r"[-+]?\d{1,3}\.\d{3}", cell)
            remark = f", or {cell.replace('.', '')} if it parts thousands" if thousands else ""
            return None, (what, f"write {cell.replace('.', ',')}{remark}.")
        if found.comma and self.separator == "," and re.fullmatch(r"[-+]?\d{1,3},\d{3}", cell):
            return None, ("has a comma that may part thousands", f"write {cell.replace(',', '')}, or {found.digits}.")
        whole = re.fullmatch(r"[-+]?\d+", cell)
        return (int(found.digits) if whole else float(found.digits)), None
