"""How a finding is made: measured against a limit, or the reason why not."""

from typing import Literal

from ballast.records.finding import About, Finding
from ballast.units import Dimension

TOLERANCE = 1e-6
"""How far the solver may be beyond a limit by its own tolerance. [kg, m]"""

Standing = dict[tuple[str, str], int]
"""Plates standing, by mount and plate."""


def at_least(
    about: About, rule: str, measured: float, limit: float, dimension: Dimension | None = None, clause: str = ""
) -> Finding:
    """A finding about something that must not be less than a limit."""
    return _finding(about, rule, "min", clause, dimension, (measured, limit, measured - limit))


def at_most(
    about: About, rule: str, measured: float, limit: float, dimension: Dimension | None = None, clause: str = ""
) -> Finding:
    """A finding about something that must not be more than a limit."""
    return _finding(about, rule, "max", clause, dimension, (measured, limit, limit - measured))


def not_checked(about: About, rule: str, because: str, clause: str = "") -> Finding:
    """A limit that applies and could not be checked: never a pass."""
    return Finding(
        dimension=None,
        about=about,
        rule=rule,
        bound="max",
        clause=clause,
        measured=None,
        limit=None,
        margin=None,
        verdict="not checked",
        because=because,
    )


def _finding(
    about: About,
    rule: str,
    bound: Literal["min", "max"],
    clause: str,
    dimension: Dimension | None,
    numbers: tuple[float, float, float],
) -> Finding:
    measured, limit, margin = (float(number) for number in numbers)
    return Finding(
        dimension=dimension,
        about=about,
        rule=rule,
        bound=bound,
        clause=clause,
        measured=measured,
        limit=limit,
        margin=margin,
        verdict="pass" if margin >= -TOLERANCE else "fail",
    )
