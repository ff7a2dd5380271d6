"""The four corners, their order, and the pairs the trade names. No other file knows the order."""

from typing import Literal

Corner = Literal["LF", "RF", "LR", "RR"]
Diagonal = Literal["RF+LR", "LF+RR"]

CORNERS: tuple[Corner, ...] = ("LF", "RF", "LR", "RR")
"""Left and right as the driver sits; every array of four follows this order."""

FRONT: tuple[Corner, ...] = ("LF", "RF")
REAR: tuple[Corner, ...] = ("LR", "RR")
LEFT: tuple[Corner, ...] = ("LF", "LR")

DIAGONALS: dict[Diagonal, tuple[Corner, ...]] = {"RF+LR": ("RF", "LR"), "LF+RR": ("LF", "RR")}
"""A diagonal is never a bare number: both usages of "cross weight" exist, so it is named by its corners."""


def pattern(corners: tuple[Corner, ...]) -> tuple[float, ...]:
    """One for each corner named and zero for the others, in the order of CORNERS: ("LF", "LR") -> (1, 0, 1, 0)."""
    return tuple(1.0 if corner in corners else 0.0 for corner in CORNERS)


def difference(plus: Corner, minus: Corner) -> tuple[float, ...]:
    """One for the first corner and minus one for the second, in the order of CORNERS."""
    return tuple(a - b for a, b in zip(pattern((plus,)), pattern((minus,)), strict=True))
