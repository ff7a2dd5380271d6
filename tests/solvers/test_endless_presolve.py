"""A problem on which HiGHS 1.16 never left its presolve: 30 rows, 18 columns, and no time limit was heard.

It is the second wish of a random car of three mounts (found by running the tests, 2026-11-25; no source). Any rule of
presolve that a later release breaks in the same way is found by the process below not coming back.
"""

import subprocess
import sys
from pathlib import Path

PROBLEM = Path(__file__).with_name("endless_presolve.mps")
SOLVE = """
import sys
from ballast.planning.by_highs import engine
highs = engine()
highs.readModel(sys.argv[1])
highs.setOptionValue("mip_abs_gap", 0.05)
highs.setOptionValue("time_limit", 1.0)
highs.run()
print(highs.modelStatusToString(highs.getModelStatus()), highs.getInfo().objective_function_value)
"""


def test_the_solver_comes_back() -> None:
    """Our own settings of the engine, in a process that can be stopped from outside: proved, and by the same value."""
    run = subprocess.run(
        [sys.executable, "-c", SOLVE, str(PROBLEM)], capture_output=True, text=True, check=True, timeout=60
    )
    status, value = run.stdout.splitlines()[-1].rsplit(" ", 1)
    assert status == "Optimal"
    assert abs(float(value) - _without_presolve()) <= 0.05 + 1e-6


def _without_presolve() -> float:
    """The least value with presolve off altogether."""
    import highspy

    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # HiGHS keeps the number of its first run in a thread for all later ones
    highs.setOptionValue("presolve", "off")
    highs.readModel(str(PROBLEM))
    highs.run()
    return float(highs.getInfo().objective_function_value)
