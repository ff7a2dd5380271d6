"""The benchmark: the same questions to this planner and to others, and how long whole processes take.

Times run from the task (arrays at hand) to the last wish; building the PuLP rows, and what an engine makes of them, is
in them for everybody. Progress goes to standard error, tables to standard output.
"""

import argparse
import json
import os
import platform
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from fnmatch import fnmatch
from importlib.metadata import version
from pathlib import Path
from typing import Any

from ballast.jobs.pads import sound
from ballast.jobs.plan import plan
from ballast.planning.planner import decide
from ballast.planning.task import task
from ballast.records.files import read_question
from tests.benchmarks import processes, table
from tests.benchmarks.engines import ENGINES
from tests.benchmarks.families import FAMILIES, KINDS, Family, Kind, question
from tests.benchmarks.growth import growth
from tests.benchmarks.processes import ROOT, Measured
from tests.benchmarks.runs import OURS, Run, disagreements, ours, settle
from tests.benchmarks.table import Instance

TIMES = 5
"""How often a whole process is run."""
FIRST = Family(6, 4)
"""What every engine is warmed up with, so that no import is in a time."""


def main() -> None:
    """Parse, run what is asked for, and print."""
    asked = _asked()
    if asked.growth:
        _print(growth(asked.seeds, asked.seconds, _tell))
        return
    engines = [OURS, *(engine for engine in ENGINES if not asked.only or engine in asked.only)]
    if asked.only and OURS not in asked.only:
        engines.remove(OURS)
    families = [family for name, family in FAMILIES.items() if any(fnmatch(name, like) for like in asked.families)]
    instances = list(_instances(asked, families, engines)) if families else []
    found: dict[str, Measured] = {}
    if asked.processes:
        found = _processes([family.name for family in families])
    _print(_said(asked, instances, engines, found))
    if asked.json:
        asked.json.write_text(json.dumps(_as_json(instances, found), indent=1), encoding="utf-8")


def _asked() -> argparse.Namespace:
    names = [OURS, *ENGINES]
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__.splitlines()[0])
    parser.add_argument(
        "--families", nargs="*", default=["*"], metavar="NAME", help=f"names or patterns: {', '.join(FAMILIES)}"
    )
    parser.add_argument("--targets", nargs="+", default=KINDS, choices=KINDS, help="kinds of target (all)")
    parser.add_argument("--seeds", type=int, default=5, help="questions of each family and kind of target (5)")
    parser.add_argument("--seconds", type=float, default=10.0, help="time limit of one plan (10)")
    parser.add_argument("--only", nargs="+", choices=names, help="these engines alone: --only ours")
    parser.add_argument(
        "--holds",
        choices=("own", "ours"),
        default="own",
        help="later wishes under the engine's own holds (own), or all under ours, so that every wish can be compared",
    )
    parser.add_argument(
        "--processes", action="store_true", help="also whole processes, and peak memory of the families"
    )
    parser.add_argument("--growth", action="store_true", help="nothing but the table of growth, as Markdown")
    parser.add_argument("--json", type=Path, help="write everything to this file, too")
    return parser.parse_args()


def _instances(asked: argparse.Namespace, families: Sequence[Family], engines: Sequence[str]) -> Iterator[Instance]:
    for engine in engines:
        _run(engine, question(FIRST, "reachable", 0, 2.0), None, "own")
    whole = [
        (family, kind, seed) for family in families for kind in asked.targets for seed in range(1, asked.seeds + 1)
    ]
    for number, (family, kind, seed) in enumerate(whole, start=1):
        yield _instance(family, kind, seed, asked, engines)
        _tell(f"{number} of {len(whole)}: {family.name}, {kind}, seed {seed}")


def _instance(family: Family, kind: Kind, seed: int, asked: argparse.Namespace, engines: Sequence[str]) -> Instance:
    here = question(family, kind, seed, asked.seconds)
    arrays = task(here)
    began = time.perf_counter()
    arrays.programme()
    building = time.perf_counter() - began
    runs: list[Run] = []
    for engine in engines:
        runs.append(_run(engine, here, runs[0] if runs and runs[0].engine == OURS else None, asked.holds))
        _tell(f"    {engine:10} {runs[-1].seconds:7.3f} s, {runs[-1].outcome}")
    return Instance(family, kind, seed, building, tuple(runs), tuple(disagreements(runs)))


def _run(engine: str, here: Any, mine: Run | None, holds: str) -> Run:
    if engine == OURS:
        return ours(task(here))
    window = mine.greatest if mine and mine.wishes else None
    given = {wish.wish: wish.hold for wish in mine.wishes} if mine and mine.wishes and holds == "ours" else None
    return settle(task(here), engine, window, given)


def _processes(families: Sequence[str]) -> dict[str, Measured]:
    _tell("whole processes")
    found = processes.measured(processes.commands(), TIMES)
    _tell("peak memory of a question of each family")
    return found | processes.measured(processes.memory_of(families), 1)


def _said(
    asked: argparse.Namespace, instances: list[Instance], engines: list[str], found: dict[str, Measured]
) -> Iterator[str]:
    packages = ("pulp", "pyscipopt", "highspy", "scipy", "ortools")
    yield f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}, " + ", ".join(
        f"{name} {version(name)}" for name in packages
    )
    if instances:
        yield f"{asked.seeds} seeds for each of: {', '.join(asked.targets)}; {asked.seconds:g} s for a plan;"
        yield "from the task to the last wish, rows built anew by everybody; one mass window for all,"
        yield "the holds of our plan for all." if asked.holds == "ours" else "each engine held by its own results."
        for title, lines in (
            ("", table.by_family(instances, engines)),
            ("Geometric mean of the medians over the families", table.over_families(instances, engines)),
            ("Goals", table.goals(instances)),
            ("Answers", table.doubts(instances)),
        ):
            yield from ("", title) if title else ("",)
            yield from lines
    if found:
        yield ""
        yield from table.of_processes(found)
        yield ""
        yield from _of_examples(found)


def _of_examples(found: dict[str, Measured]) -> Iterator[str]:
    """Whole plans beside the bare imports plus twice the solve, and help beside the bare import of typer."""
    bare = found["bare: numpy, pydantic, pulp, pyscipopt"]["median"]
    for example in processes.EXAMPLES:
        folder = ROOT / "examples" / example
        asked = read_question(folder / "car.toml", folder / "weigh-in.toml", folder / "rulebook.toml")
        answer, decided = plan(asked), decide(task(sound(asked)))
        most, here = bare + 2 * answer.plan.seconds, found[f"plan {example}"]["median"]
        met = "met" if here <= most else f"missed by {here / most:.2f} times"
        yield f"plan {example}: {here:.2f} s, bare imports plus twice the solve {most:.2f} s: {met}"
        if answer.plan.wishes != decided.wishes:
            yield "    its wishes are not those that `decide` gives (on a busy machine the time limit may do that)"
    helped, typer = found["--help"]["median"], found["bare: typer"]["median"]
    met = "met" if helped < 2 * typer else f"missed by {helped / typer / 2:.2f} times"
    yield f"--help: {helped / typer:.2f} times the bare import of typer (goal: under 2): {met}"
    peak = max(here["peak"] for here in found.values())
    yield f"peak memory: {peak:.0f} MB (goal: under 250 MB): {'met' if peak < 250 else 'missed'}"


def _as_json(instances: list[Instance], found: dict[str, Measured]) -> dict[str, Any]:
    return {
        "instances": [asdict(one) | {"family": one.family.name} for one in instances],
        "processes": found,
    }


def _print(lines: Iterator[str]) -> None:
    for line in lines:
        sys.stdout.write(line.rstrip() + "\n")
        sys.stdout.flush()


def _tell(line: str) -> None:
    sys.stderr.write(line + "\n")


if __name__ == "__main__":
    main()
