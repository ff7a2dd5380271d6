"""Each family of limits of one tiny car, as the text of its rows: the same with every PuLP, and read by eye once.

Renew with `pytest tests/planning --update-golden` when a family is meant to change, and say why.
"""

import re
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import numpy as np
import pulp
import pytest

from ballast.planning.programme import greatest_total, hold
from ballast.planning.rows import Programme
from ballast.planning.task import task as _task
from ballast.records.plan import Limit
from tests.conftest import Golden
from tests.planning import tiny
from tests.planning.crews import crew_question

ROW = re.compile(r"^(?P<name>\w+): .*?(?=^\w+: |\Z)", re.M | re.S)
GROUPS: dict[str, str] = {
    "hardware": r"hardware_",
    "kinds counted": r"all_\d",
    "changes counted": r"(change|put_on|taken_off)_\d",
    "bands": r"(band|worst)_",
    "aims": r"aim_",
}
"""Rows that no family can leave out: what hardware, changes and distances are."""


def file_for(rows: str) -> str:
    """Name of the golden file of some rows."""
    return f"lp/{rows.replace(' ', '_')}.lp"


def text_of(programme: Programme, folder: Path) -> str:
    """The LP text of a programme."""
    path = folder / "programme.lp"
    programme.problem.writeLP(str(path))
    return path.read_text(encoding="utf-8")


def rows_of(programme: Programme, folder: Path) -> dict[str, str]:
    """Rows by name, as text."""
    text = text_of(programme, folder).partition("Subject To\n")[2].partition("Bounds\n")[0]
    return {found["name"]: found[0] for found in ROW.finditer(text)}


def rows_that_give(limit: Limit, folder: Path) -> tuple[dict[str, str], dict[str, str]]:
    """The rows of a family by name: as they stand, and as they are when it may give way."""
    every = rows_of(tiny.ruled_task().programme(), folder)
    relaxed = rows_of(tiny.ruled_task().programme(frozenset({limit})), folder)
    assert every.keys() == relaxed.keys(), "a family that may give way has other rows"
    names = [name for name in every if every[name] != relaxed[name]]
    return {name: every[name] for name in names}, {name: relaxed[name] for name in names}


@pytest.mark.parametrize("limit", get_args(Limit))
def test_the_rows_of_a_family(limit: Limit, golden: Golden, tmp_path: Path) -> None:
    """What a family of limits puts into the programme, as it stands and with what it may give."""
    stands, gives = rows_that_give(limit, tmp_path)
    assert all(f"give_{name}" in row for name, row in gives.items()), "relaxing a family changes the rows of another"
    golden(file_for(limit), "".join(stands.values()))
    golden(file_for(f"{limit} may give"), "".join(gives.values()))


@pytest.mark.parametrize("group", GROUPS)
def test_the_rows_that_say_what_things_are(group: str, golden: Golden, tmp_path: Path) -> None:
    """Hardware goes with its plates, kinds are counted, a move counts once, and a distance is that of the design."""
    rows = rows_of(tiny.task().programme(), tmp_path)
    golden(file_for(group), "".join(row for name, row in rows.items() if re.match(GROUPS[group], name)))


def test_every_row_is_in_one_golden_file(tmp_path: Path) -> None:
    """No row of the programme goes unread."""
    every = rows_of(tiny.ruled_task().programme(), tmp_path)
    read = {name for name in every if any(re.match(pattern, name) for pattern in GROUPS.values())}
    limits: tuple[Limit, ...] = get_args(Limit)
    for limit in limits:
        read |= rows_that_give(limit, tmp_path)[0].keys()
    assert every.keys() - read == set()


CREW_GROUPS: dict[str, str] = {
    "stock of a crew": r"stock_",
    "kinds counted of a crew": r"all_\d",
    "changes of a crew": r"(change|put_on|taken_off)_\d",
    "kit": r"(most|fewest)_\d",
    "required totals of a crew": r"required_total_",
    "wheels on the ground of a crew": r"on_the_ground_0[05]_",
}
"""Rows that differ where there are drivers with kit of their own; the last of two cases, one for each driver."""


@pytest.mark.parametrize("group", CREW_GROUPS)
def test_the_rows_of_a_crew(group: str, golden: Golden, tmp_path: Path) -> None:
    """Stock and changes count with each driver's set, each driver has a required total, and kit has most and fewest."""
    rows = rows_of(_task(crew_question()).programme(), tmp_path)
    golden(file_for(group), "".join(row for name, row in rows.items() if re.match(CREW_GROUPS[group], name)))


def test_the_wishes_of_a_crew_as_objectives(golden: Golden, tmp_path: Path) -> None:
    """The total is the mean of the two legal ones, and the stop is what most and fewest differ by."""
    programme, shown = _task(crew_question()).programme(), ""
    for name in ("total", "stop", "changes", "pieces"):
        programme.problem.setObjective(programme.objectives[name])
        text = text_of(programme, tmp_path).partition("OBJ: ")[2].partition("Subject To")[0]
        shown += f"{name}: {text}"
    golden("lp/wishes_of_a_crew.lp", shown)


ADDED: dict[str, Callable[[Programme], None]] = {
    "greatest total": lambda programme: greatest_total(programme, 802.0),
    "hold on balance": lambda programme: hold(programme, "balance", 0.25),
    "hold on balance sum": lambda programme: hold(programme, "balance sum", 0.5),
    "hold on mass": lambda programme: hold(programme, "mass", 1.5),
    "hold on pieces": lambda programme: hold(programme, "pieces", 4.0),
}


@pytest.mark.parametrize("added", ADDED)
def test_the_rows_added_wish_by_wish(added: str, golden: Golden, tmp_path: Path) -> None:
    """The upper end of the mass window, and what later wishes may not exceed, with constants on the right side."""
    programme = tiny.task().programme()
    before = rows_of(programme, tmp_path)
    ADDED[added](programme)
    golden(file_for(added), "".join(row for name, row in rows_of(programme, tmp_path).items() if name not in before))


def test_the_wishes_as_objectives(golden: Golden, tmp_path: Path) -> None:
    """Every wish but yaw, whose factors are no short numbers; constants do not show in LP text."""
    programme, shown = tiny.task().programme(), ""
    for name in ("total", "mass", "changes", "pieces", "height", "balance", "balance sum", "aim"):
        programme.problem.setObjective(programme.objectives[name])
        text = text_of(programme, tmp_path).partition("OBJ: ")[2].partition("Subject To")[0]
        shown += f"{name}: {text}"
    golden("lp/wishes.lp", shown)


def test_the_variables() -> None:
    """Counts are whole and not below zero, hardware is there or not; what a mount does not take has no count there.

    Not from the text: one PuLP writes a bound of zero for whole variables and another leaves it out.
    """
    programme = tiny.task().programme()  # kept by name: the variables of a later PuLP do not outlive their problem
    variables = programme.problem.variables()
    whole = {each.name: ends(each) for each in variables if is_whole(each)}
    split = {ends(each) for each in variables if not is_whole(each)}
    assert whole == {
        "n_000_000": (0.0, np.inf),
        "n_000_001": (0.0, np.inf),
        "n_001_001": (0.0, np.inf),
        "use_000": (0.0, 1.0),
        "all_001": (0.0, np.inf),
        "moved_000": (0.0, np.inf),
        "moved_001": (0.0, np.inf),
    }
    assert split == {(0.0, np.inf)}


def ends(variable: pulp.LpVariable) -> tuple[float, float]:
    """Bounds of a variable; none is infinite, which one PuLP says in one way and another in the other."""
    low, high = variable.lowBound, variable.upBound
    return -np.inf if low is None else float(low), np.inf if high is None else float(high)


def is_whole(variable: pulp.LpVariable) -> bool:
    """Whether a variable takes whole numbers only."""
    return bool(variable.cat == pulp.LpInteger)
