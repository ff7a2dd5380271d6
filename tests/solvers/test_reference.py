"""Each wish of a plan against the same programme in another solver's hands, read from its LP text.

The reference is scipy.optimize.milp at no gap. The cars are among those that the reference settles within about a
second, so they say nothing of the hard ones.
"""

from pathlib import Path

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.planning.rows import Programme
from ballast.planning.task import task as _task
from tests.random_cars import large_question
from tests.solvers.matrices import Row, Terms, read

CARS = (
    (102, 12, 6),
    (111, 12, 6),
    (112, 12, 6),
    (113, 10, 5),
    (116, 8, 6),
    (118, 12, 4),
    (119, 6, 4),
    (120, 9, 6),
    (132, 12, 6),
    (136, 12, 6),
    (139, 12, 6),
    (141, 10, 5),
    (142, 8, 6),
    (148, 12, 4),
    (149, 6, 4),
    (155, 9, 6),
    (157, 12, 6),
    (165, 12, 6),
    (167, 12, 6),
    (169, 10, 5),
    (173, 8, 6),
    (182, 12, 4),
    (183, 6, 4),
    (185, 9, 6),
)
"""Seed, mounts, kinds of plate."""
SOLVER = 4e-6
"""What a solver's tolerance may add, in the unit of the wish: 1e-6 for each of up to three bands, and for a hold."""
SECONDS = 30.0
WHOLE = ("changes", "pieces")


def terms_of(programme: Programme, name: str) -> tuple[Terms, float]:
    """Factors by variable and the constant of an objective."""
    objective = programme.objectives[name]
    return {variable.name: float(factor) for variable, factor in objective.items()}, float(objective.constant or 0.0)


@pytest.mark.parametrize(("seed", "mounts", "kinds"), CARS)
def test_another_solver_finds_no_better(seed: int, mounts: int, kinds: int, tmp_path: Path) -> None:
    """The first wish is within its resolution of the reference, and each later one given the holds in the plan."""
    question = large_question(seed, mounts, kinds)
    answer = plan(question).plan
    assert answer.outcome == "proved best"
    programme = _task(question).programme()
    path = tmp_path / "programme.lp"
    programme.problem.writeLP(str(path))
    matrices = read(path)
    total, bare = terms_of(programme, "total")
    held = [Row(total, -np.inf, answer.requirement.greatest - bare + SOLVER)]
    standing = {(row.mount, row.plate): float(row.count) for row in answer.fit}
    fixed = []
    for (m, p), variable in programme.count.items():
        count = standing.get((question.car.mounts[m].name, question.car.plates[p].name), 0.0)
        fixed.append(Row({variable.name: 1.0}, count, count))
    for wish in answer.wishes:
        objective, constant = terms_of(programme, wish.name)
        unit = 0.01 if wish.dimension == "percent" else 1.0
        slack = SOLVER * unit
        best = matrices.minimise(objective, held, SECONDS)
        assert best.status == 0, f"the reference did not settle {wish.name}: {best.message}"
        reached = unit * (float(best.fun) + constant)
        resolution = 0.0 if wish.name in WHOLE else wish.resolution
        assert wish.value == pytest.approx(reached, abs=resolution + slack), wish.name
        assert reached - slack <= wish.value, wish.name
        assert wish.bound <= reached + slack, wish.name
        own = matrices.minimise(objective, [*held, *fixed], SECONDS)
        assert own.status == 0, f"the plan breaks a row of the programme, or a hold before {wish.name}"
        assert unit * (float(own.fun) + constant) == pytest.approx(wish.value, abs=slack), wish.name
        held.append(Row(objective, -np.inf, wish.hold / unit - constant + SOLVER))


def test_the_reader_reads_what_is_written(tmp_path: Path) -> None:
    """A small LP text, written here by hand, comes out as its rows, bounds and whole numbers."""
    path = tmp_path / "hand.lp"
    path.write_text(
        "\\* hand *\\\nMinimize\nOBJ: 3 a + b\nSubject To\none: a + 2.5 b\n - 1e-05 c <= 4\ntwo: - a + c = -1.5\n"
        "three: c >= 2\nBounds\n 0 <= a <= 7\n b <= 3\nGenerals\na\nBinaries\nd\nEnd\n",
        encoding="utf-8",
    )
    found = read(path)
    assert found.rows["one"] == Row({"a": 1.0, "b": 2.5, "c": -1e-05}, -np.inf, 4.0)
    assert found.rows["two"] == Row({"a": -1.0, "c": 1.0}, -1.5, -1.5)
    assert found.rows["three"] == Row({"c": 1.0}, 2.0, np.inf)
    assert found.whole == {"a", "d"}
    assert (found.high["a"], found.high["b"], found.high["d"], found.low["c"]) == (7.0, 3.0, 1.0, 0.0)
