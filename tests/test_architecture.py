"""The order of the rooms is kept by a test, not by memory."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "ballast", "rules", "tests", "examples"}


def test_imports_go_downhill() -> None:
    """Every import contract of pyproject.toml is kept."""
    lint = Path(sys.executable).parent / "lint-imports"
    run = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr


def test_nothing_else_stands_at_the_top() -> None:
    """The top level holds the seven fixed names and dot files."""
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"build", "dist"} == TOP
