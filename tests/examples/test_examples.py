"""Every shipped example runs through the real command and gives a legal plan on target."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = sorted(path for path in (Path(__file__).parents[2] / "examples").iterdir() if path.is_dir())


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda path: path.name)
def test_example_gives_a_legal_plan_on_target(folder: Path) -> None:
    """`plan --json` on the example: legal, proved best, inside every band, every limit passed."""
    files = [str(folder / name) for name in ("car.toml", "weigh-in.toml")]
    command = [sys.executable, "-m", "ballast", "plan", *files, "--rules", str(folder / "rulebook.toml"), "--json"]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    plan = json.loads(run.stdout)
    assert plan["outcome"] == "proved best"
    assert all(target["inside"] for target in plan["targets"])
    assert {finding["verdict"] for finding in plan["findings"]} == {"pass"}


def test_there_are_a_metric_car_and_one_in_pounds_with_plates_fitted() -> None:
    """The examples cover both systems of units, and plates that are on board already."""
    texts = {folder.name: (folder / "car.toml").read_text() for folder in EXAMPLES}
    assert any('mass = "kg"' in text for text in texts.values())
    imperial = [name for name, text in texts.items() if 'mass = "lb"' in text and 'length = "in"' in text]
    assert imperial
    folder = next(path for path in EXAMPLES if path.name == imperial[0])
    assert "[[fitted]]" in (folder / "weigh-in.toml").read_text()
