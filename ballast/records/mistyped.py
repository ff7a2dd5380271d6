"""Slips of the keyboard that TOML refuses and a person reads without noticing: 31 kg, 54,5, .5, key: value, mass = kg.

Each is told in its own words and mended for the rest of the reading, so that one slip does not hide other mistakes.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ballast.errors import Complaint

NUMBER = r"(?P<digits>[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+))"
BEHIND = r"\s*(?P<unit>[^\d\s.,][^\d.,]*)?"
ASSIGNMENT = re.compile(r"(?P<key>[A-Za-z_][\w-]*)\s*(?P<sign>[=:])\s*(?P<value>(?:,(?=\d)|[^,{}\[\]#=])*)")
QUOTED_OR_COMMENT = re.compile(r'"(?:\\.|[^"\\])*"|' + r"'[^']*'|#.*")
DATE = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}")
TOML_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
NOT_TEXT = {"true", "false", "inf", "nan"}
"""bare words that TOML knows"""


@dataclass(frozen=True)
class PlainNumber:
    """A number as people write it."""

    digits: str
    """what to write instead"""
    comma: bool
    unit: str
    """what stood behind it"""

    @property
    def remark(self) -> str:
        """Where the thing behind it belongs."""
        if self.unit in {"%", "percent", "points"}:
            return "; percentages are written as bare numbers"
        return "; the unit comes from [units]" if self.unit else ""


def plain_number(text: str) -> PlainNumber | None:
    """What a person means by "31 kg" or "54,5"; none when it is no number with at most a word behind it."""
    found = re.fullmatch(NUMBER + BEHIND, text.strip())
    if not found:
        return None
    sign = "-" if found["digits"].startswith("-") else ""
    whole, point, part = found["digits"].lstrip("+-").replace(",", ".").partition(".")
    digits = f"{sign}{whole or '0'}{point}{part or point.replace('.', '0')}"
    return PlainNumber(digits, "," in found["digits"], (found["unit"] or "").strip())


def parsed(text: str, file: str) -> tuple[dict[str, Any], tuple[Complaint, ...]]:
    """The tables of a TOML text, and complaints about what had to be mended to read it."""
    try:
        return tomllib.loads(text), ()
    except (ValueError, RecursionError) as error:
        mended, slips = _mended(text, file)
        if not slips:
            return {}, (_not_toml(error, text, file),)
    try:
        return tomllib.loads(mended), slips
    except (ValueError, RecursionError) as error:
        return {}, (*slips, _not_toml(error, mended, file))


def _lines(text: str) -> Iterator[tuple[str, str]]:
    """Each line with the head of the table it stands in."""
    head = ""
    for line in text.replace("\r\n", "\n").split("\n"):
        if re.match(r"\s*\[{1,2}[^\[\]]+\]", line):
            head = line.partition("#")[0].strip()
        yield head, line


def _place(number: int, head: str, key: str = "") -> str:
    return ", ".join(part for part in (f"line {number}", f"{head} {key}".strip()) if part)


def _mended(text: str, file: str) -> tuple[str, tuple[Complaint, ...]]:
    found: list[Complaint] = []
    lines: list[str] = []
    for number, (head, line) in enumerate(_lines(text), start=1):
        bare = QUOTED_OR_COMMENT.sub(lambda part: (" " if part[0][0] == "#" else '"') * len(part[0]), line)
        mended, done = "", 0
        for match in ASSIGNMENT.finditer(bare):
            key, start = match["key"], match.start("value")
            value = line[start : start + len(match["value"].rstrip())]
            slip = _slip(value)
            if match["sign"] == ":" and value:
                right = slip[1] if slip else value
                slip = ("has a colon where an equals sign belongs", right, slip[2] if slip else "")
            if slip:
                what, right, remark = slip
                found.append(Complaint(what, f"write {key} = {right}{remark}.", _place(number, head, key), value, file))
                mended += f"{line[done : match.start()]}{key} = {right}"
                done = start + len(value)
        lines.append(mended + line[done:])
    return "\n".join(lines), tuple(found)


def _slip(value: str) -> tuple[str, str, str] | None:
    """What is wrong with a value, the right one, and a remark; none when it is no slip known here."""
    number = plain_number(value)
    if number and (number.digits != value.lstrip("+") or number.unit):
        wrong = [
            *(["has a decimal comma"] if number.comma else []),
            *(["needs a digit on both sides of its point"] if re.match(r"[-+]?\.|[-+]?\d+\.(?!\d)", value) else []),
            *([f"has '{number.unit}' behind the number"] if number.unit else []),
        ]
        thousands = re.fullmatch(r"[-+]?\d+,\d{3}", value)
        remark = f", or {value.replace(',', '')} if the comma parts thousands" if thousands else number.remark
        return (" and ".join(wrong), number.digits, remark) if wrong else None
    if DATE.fullmatch(value) and not TOML_DATE.fullmatch(value):
        return "is not a date", "2026-03-14", ", year first, with the day you mean"
    if value.lower() in NOT_TEXT:
        return ("must be written small", value.lower(), "") if value != value.lower() else None
    if re.fullmatch(r"[A-Za-z][\w +/-]*", value):
        return "is text without quotes", f'"{value}"', ""
    if re.fullmatch(r"[“”„«‘’][^\"]*[“”»‘’]", value):
        return "has curly quotes", f'"{value[1:-1]}"', ", with straight ones"
    return None


REMEDIES = {
    "Cannot overwrite a value": "delete one of the two, or begin the next table with its own [[...]] line.",
    "Cannot declare": "put the keys of the two together; a further mount or plate begins with [[...]].",
    "Cannot mutate": "put the keys of the two together.",
    "Expected '='": "write key = value; a key has no spaces in it, and a longer remark begins with #.",
    "Illegal character": "close the quotes on the line on which they open.",
    "Expected newline": "write one key = value on each line, and nothing behind the value but a # remark.",
    "Expected ']'": "close the square bracket: [car].",
    "Expected ']]'": "close both square brackets: [[mounts]].",
    "Unclosed": "close the bracket.",
    "Unterminated": "close the quotes.",
    "Invalid date": "write a day that there is, year first, like 2026-03-14.",
    "Invalid value": "write a bare number, a text between quotes, or a list in square brackets.",
    "Unescaped": "write / or \\\\ where a text has a backslash.",
}


def _not_toml(error: Exception, text: str, file: str) -> Complaint:
    """The one mistake at which reading stopped, in words of our own: those of the parser differ between Pythons."""
    if not isinstance(error, tomllib.TOMLDecodeError):
        what = "holds a number of thousands of digits, or brackets nested too deep to read"
        return Complaint(what, "find it and write the measured value.", file=file)
    message = str(error)
    told = [remedy for beginning, remedy in REMEDIES.items() if message.startswith(beginning)]
    fix = told[0] if told else "each line is key = value, texts between quotes, tables like [car] or [[mounts]]."
    place = re.search(r"at line (\d+)", message)
    if place is None:
        return Complaint("ends too early", "close the bracket or the quotes that are still open.", file=file)
    number = int(place[1])
    head, line = list(_lines(text))[number - 1]
    line = line.strip()
    what = "stands there twice" if message.startswith("Cannot") else "this line cannot be read"
    return Complaint(f"{what}: {line[:60]}", fix, _place(number, "" if line.startswith("[") else head), file=file)
