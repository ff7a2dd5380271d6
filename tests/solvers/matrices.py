"""A programme as matrices, read from its LP text by a small reader of its own, so that nothing of ours loads it twice.

Source: the LP format as PuLP writes it: sections, rows as `name: terms <= number`, variables not below zero unless
Bounds says otherwise, whole ones under Generals and Binaries.
"""

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import csr_array

SECTIONS = ("Minimize", "Subject To", "Bounds", "Generals", "Binaries", "End")
ROW = re.compile(r"(?P<name>\w+):(?P<terms>.*?)(?P<sense><=|>=|=)\s*(?P<right>[-+]?[\d.]+(?:e[-+]?\d+)?)\s", re.S)
TERM = re.compile(r"(?P<sign>[-+]?)\s*(?P<factor>\d[\d.]*(?:e[-+]?\d+)?)?\s*(?P<variable>[A-Za-z_]\w*)")
BOUND = re.compile(r"^\s*(?:(?P<low>\S+) <= )?(?P<variable>[A-Za-z_]\w*)(?: <= (?P<high>\S+))?\s*$")

Terms = dict[str, float]


@dataclass(frozen=True)
class Row:
    """low <= terms <= high."""

    terms: Terms
    low: float
    high: float


@dataclass(frozen=True)
class Matrices:
    """Rows, and what is known of each variable."""

    rows: dict[str, Row]
    low: Terms
    high: Terms
    whole: frozenset[str]

    def minimise(self, objective: Terms, more: list[Row], seconds: float) -> OptimizeResult:
        """Minimise an objective over the rows and some more, by scipy's own copy of a solver."""
        names = sorted(self.low)
        place = {name: number for number, name in enumerate(names)}
        rows = [*self.rows.values(), *more]
        entries = [
            (number, place[name], factor) for number, row in enumerate(rows) for name, factor in row.terms.items()
        ]
        i, j, factors = (np.array(column) for column in zip(*entries, strict=True))
        table = csr_array((factors.astype(float), (i.astype(int), j.astype(int))), shape=(len(rows), len(names)))
        return milp(
            _filled(objective, names),
            integrality=np.array([name in self.whole for name in names], dtype=int),
            bounds=Bounds(_filled(self.low, names), _filled(self.high, names)),
            constraints=LinearConstraint(table, [row.low for row in rows], [row.high for row in rows]),
            options={"mip_rel_gap": 0.0, "time_limit": seconds},
        )


def read(path: Path) -> Matrices:
    """Read an LP file."""
    parts = _sections(path.read_text(encoding="utf-8"))
    rows = {}
    for found in ROW.finditer(parts["Subject To"] + "\n"):
        right, sense = float(found["right"]), found["sense"]
        least = -np.inf if sense == "<=" else right
        most = np.inf if sense == ">=" else right
        rows[found["name"]] = Row(_terms(found["terms"]), least, most)
    names = {name for row in rows.values() for name in row.terms} | set(_terms(parts["Minimize"].partition(":")[2]))
    names |= set(parts["Generals"].split()) | set(parts["Binaries"].split())
    low: Terms = dict.fromkeys(names, 0.0)
    high: Terms = dict.fromkeys(names, np.inf)
    for line in parts["Bounds"].splitlines():
        bound = BOUND.match(line)
        if bound:
            low[bound["variable"]] = float(bound["low"]) if bound["low"] else low[bound["variable"]]
            high[bound["variable"]] = float(bound["high"]) if bound["high"] else high[bound["variable"]]
    for name in parts["Binaries"].split():
        high[name] = 1.0
    return Matrices(rows, low, high, frozenset(parts["Generals"].split() + parts["Binaries"].split()))


def _sections(text: str) -> dict[str, str]:
    parts, here = dict.fromkeys(SECTIONS, ""), ""
    for line in text.splitlines():
        if line.strip() in SECTIONS:
            here = line.strip()
        elif here:
            parts[here] += line + "\n"
    return parts


def _terms(text: str) -> Terms:
    found: Terms = {}
    for term in TERM.finditer(text):
        factor = float(term["factor"] or 1.0) * (-1.0 if term["sign"] == "-" else 1.0)
        found[term["variable"]] = found.get(term["variable"], 0.0) + factor
    return found


def _filled(terms: Terms, names: list[str]) -> NDArray[np.float64]:
    return np.array([terms.get(name, 0.0) for name in names])
