"""What a planner at work says of itself."""

from collections.abc import Callable
from dataclasses import dataclass

from ballast.units import Dimension


@dataclass(frozen=True)
class Progress:
    """How far the planner has come with one wish. kg, m, shares or plain counts; less is better."""

    wish: str
    dimension: Dimension | None
    best: float
    """of the best plan so far; infinite while there is none"""
    bound: float
    """no plan is below this; minus infinity while nothing is known"""


Told = Callable[[Progress], bool]
"""Is told how far the planner has come; true asks it to stop and to give what it has."""
