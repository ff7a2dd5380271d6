"""Whole processes: how long they take from start to exit, and how much memory they need at most.

Nothing but the standard library is imported here. Linux counts what a process inherits from the one that starts it as
its own peak, so the one that starts it has to be small: `measured` hands the commands to a fresh interpreter.
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
EXAMPLES = ("short-oval", "circuit-saloon", "endurance-four")
IMPORTS = "numpy, pydantic, pulp, pyscipopt"
"""What a plan cannot do without."""

Measured = dict[str, float]
"""median and greatest seconds, peak in MB"""


def commands() -> dict[str, list[str]]:
    """Name and command line of what is measured; bare interpreters with the same packages for comparison."""
    python, found = sys.executable, {}
    found["bare: numpy, pydantic, pulp, pyscipopt"] = [python, "-c", f"import {IMPORTS}"]
    for example in EXAMPLES:
        car, weigh_in, book = (f"examples/{example}/{name}.toml" for name in ("car", "weigh-in", "rulebook"))
        found[f"plan {example}"] = [python, "-m", "ballast", "plan", car, weigh_in, "--rules", book]
    found["bare: numpy, pydantic"] = [python, "-c", "import numpy, pydantic"]
    for example in EXAMPLES:
        files = [f"examples/{example}/{name}.toml" for name in ("car", "weigh-in")]
        found[f"weigh {example}"] = [python, "-m", "ballast", "weigh", *files]
    found["bare: typer"] = [python, "-c", "import typer"]
    found["--help"] = [python, "-m", "ballast", "--help"]
    return found


def memory_of(families: Sequence[str]) -> dict[str, list[str]]:
    """Commands that settle one question of each family and nothing else, for its peak memory."""
    code = (
        "import sys; from tests.benchmarks.families import FAMILIES, question; from ballast.jobs.plan import plan; "
        "plan(question(FAMILIES[sys.argv[1]], 'reachable', 1))"
    )
    return {f"peak of {name}": [sys.executable, "-c", code, name] for name in families}


def measured(lines: dict[str, list[str]], times: int) -> dict[str, Measured]:
    """Run each command so many times, from a small process of its own."""
    asked = json.dumps({"lines": lines, "times": times})
    run = subprocess.run(
        [sys.executable, "-S", "-E", __file__], input=asked, cwd=ROOT, capture_output=True, text=True, check=True
    )
    found: dict[str, Measured] = json.loads(run.stdout)
    return found


def _measure(line: list[str], times: int) -> Measured:
    seconds, peaks = [], []
    for _ in range(times):
        began = time.perf_counter()
        with subprocess.Popen(line, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as process:
            said = process.stderr.read() if process.stderr else b""
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        seconds.append(time.perf_counter() - began)
        peaks.append(usage.ru_maxrss / 1024)
        if process.returncode not in (0, 1):  # a plan that fails a limit is an answer, too
            raise SystemExit(f"{line}: {said.decode()}")
    return {"median": median(seconds), "greatest": max(seconds), "peak": max(peaks)}


if __name__ == "__main__":
    wanted = json.loads(sys.stdin.read())
    sys.stdout.write(json.dumps({name: _measure(line, wanted["times"]) for name, line in wanted["lines"].items()}))
