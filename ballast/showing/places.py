"""A place on the car in words."""

from ballast.showing.rounding import Rounding

LONGEST = 20
"""Letters of a name that fit into a table with others."""


def place(aft: float | None, left: float | None, show: Rounding) -> str:
    """Where something is, seen from above; a coordinate that is not asked for is left out. [m]"""
    along = [] if aft is None else [f"{show.length(abs(aft))} {'behind' if aft >= 0 else 'ahead of'} the front axle"]
    across = [] if left is None else [sideways(left, show)]
    return ", ".join(along + across)


def sideways(left: float, show: Rounding) -> str:
    """A place across the car, without a sign to misread. [m]"""
    text = show.length(abs(left))
    if float(text.split()[0]) == 0:
        return "on the centre line"
    return f"{text} {'left' if left > 0 else 'right'} of the centre line"


def shortened(name: str, most: int = LONGEST) -> str:
    """A name with three dots for what does not fit."""
    return name if len(name) <= most else f"{name[: most - 3].rstrip()}..."
