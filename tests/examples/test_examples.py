"""Every shipped example runs through the real command: a legal plan on target, or an honest "impossible"."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = sorted(path for path in (Path(__file__).parents[2] / "examples").iterdir() if path.is_dir())
IMPOSSIBLE = "over-the-limit"


def _plan(folder: Path) -> tuple[int, dict[str, Any]]:
    """Exit status and JSON of `plan` on an example with its own rulebook."""
    files = [str(folder / name) for name in ("car.toml", "weigh-in.toml")]
    command = [sys.executable, "-m", "ballast", "plan", *files, "--rules", str(folder / "rulebook.toml"), "--json"]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    plan: dict[str, Any] = json.loads(run.stdout)
    return run.returncode, plan


@pytest.mark.parametrize("folder", [path for path in EXAMPLES if path.name != IMPOSSIBLE], ids=lambda path: path.name)
def test_example_gives_a_legal_plan_on_target(folder: Path) -> None:
    """`plan --json` on the example: proved best, inside every band, no limit broken, every gap with its reason."""
    status, plan = _plan(folder)
    assert status == 0
    assert plan["outcome"] == "proved best"
    assert all(target["inside"] for target in plan["targets"])
    verdicts = [finding["verdict"] for finding in plan["findings"]]
    assert verdicts.count("pass") > verdicts.count("not checked")
    assert "fail" not in verdicts
    assert all(finding["because"] for finding in plan["findings"] if finding["verdict"] == "not checked")


def test_the_impossible_example_says_what_would_have_to_give() -> None:
    """2550 lb less 2400 lb are 150 lb, and the rule allows 125 lb: 25 lb too little, or a rule that allows 150 lb."""
    status, plan = _plan(Path(__file__).parents[2] / "examples" / IMPOSSIBLE)
    assert status == 1
    assert (plan["outcome"], plan["fit"], plan["findings"]) == ("impossible", [], [])
    assert plan["impossible"]["greatest_total"] == pytest.approx(2525)
    ways = {give["limit"]: give for way in plan["impossible"]["relaxations"] for give in way["gives"]}
    assert set(ways) == {"ballast total", "required total"}
    assert (ways["ballast total"]["was"], ways["ballast total"]["to"]) == pytest.approx((125, 150))
    assert (ways["required total"]["was"], ways["required total"]["to"]) == pytest.approx((2550, 2525))


def test_there_are_a_metric_car_and_one_in_pounds_with_plates_fitted() -> None:
    """The examples cover both systems of units, and plates that are on board already."""
    texts = {folder.name: (folder / "car.toml").read_text() for folder in EXAMPLES}
    assert any('mass = "kg"' in text for text in texts.values())
    imperial = [name for name, text in texts.items() if 'mass = "lb"' in text and 'length = "in"' in text]
    weighed = [folder / "weigh-in.toml" for folder in EXAMPLES if folder.name in imperial]
    assert any("[[fitted]]" in path.read_text() for path in weighed)
