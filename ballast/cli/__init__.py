"""The command line: parse, call one job, show. Heavy modules are imported inside the commands: help stays quick."""

from ballast.cli import floor, papers, plans  # each puts its commands on the door
from ballast.cli.door import app, main

__all__ = ["app", "floor", "main", "papers", "plans"]

ORDER = ("new", "weigh", "plan", "compare", "wind", "sheet", "rules", "predict", "trial", "height")
"""Commands as `--help` lists them: in the order of the work, then those for when they are asked for."""

app.registered_commands.sort(key=lambda command: ORDER.index(getattr(command.callback, "__name__", "")))
