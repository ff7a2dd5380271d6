"""What was learned, as lines of a car file; and numbers that are shown no finer than they are known."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ballast.records.tried import Tried

TWICE = 2.0
"""Standard uncertainties in half of a 95 % interval."""
FINEST = 4
"""Decimals beyond which nothing is shown."""


@dataclass(frozen=True)
class Fine:
    """A number no finer than its 95 % interval deserves. Both in the unit that is shown."""

    wide: float
    """half of the interval"""

    @property
    def decimals(self) -> int:
        """The interval is 3 to 30 of the last digit."""
        return min(FINEST, max(0, -math.floor(math.log10(self.wide / 3)))) if self.wide > 0 else FINEST

    def text(self, value: float, more: int = 0) -> str:
        """To nearest, with so many digits more."""
        shown = f"{value:.{self.decimals + more}f}"
        return shown.removeprefix("-") if float(shown) == 0 else shown

    def interval(self) -> str:
        """Rounded up."""
        step = 10.0**-self.decimals
        return f"{math.ceil(self.wide / step - 1e-6) * step:.{self.decimals}f}"


def points(uncertain: float) -> Fine:
    """For a share of which this is the standard uncertainty, in percent; no share is further off than 100 points."""
    return Fine(min(100 * TWICE * uncertain, 100.0))


def car_file(tried: Tried) -> Iterator[str]:
    """Lines that can be pasted: TOML, table by table."""
    lines = tried.for_car_file
    share = lines.front_roll_share
    if share is not None or lines.measured_with_bars:
        yield "[suspension]"
    if share is not None and lines.front_roll_share_within is not None:
        fine = Fine(100 * lines.front_roll_share_within)
        yield f"front_roll_share = {fine.text(100 * share, 1)}"
        yield f"front_roll_share_within = {_up(100 * lines.front_roll_share_within, fine)}"
    if lines.measured_with_bars:
        yield f'measured_with_bars = "{lines.measured_with_bars}"'
    if lines.learned:
        found = lines.learned
        told = (found.at_front_axle, found.at_rear_axle, found.to_the_left)
        fines = [Fine(100 * within) for within in found.within]
        yield "[suspension.learned]"
        for key, value, fine in zip(("at_front_axle", "at_rear_axle", "to_the_left"), told, fines, strict=True):
            yield f"{key} = {fine.text(100 * value, 1)}"
        half = ", ".join(_up(100 * within, fine) for within, fine in zip(found.within, fines, strict=True))
        yield f"within = [{half}]"
    for axle, pair in (("front", lines.front_load_per_turn), ("rear", lines.rear_load_per_turn)):
        if pair:
            loads = [f"{tried.units.units().outside(load, 'mass'):.3f}" for load in pair]
            yield f"[suspension.{axle}]"
            yield f"load_per_turn = {loads[0] if loads[0] == loads[1] else f'[{loads[0]}, {loads[1]}]'}"
    yield "Where a table is there already, put its lines below it, in place of lines with the same key."
    if lines.learned:
        yield "Take front_roll_share out, if it is there: these three numbers say more."
    elif share is not None:
        yield "Take [suspension.learned] out, if it is there. within is sqrt 3 standard uncertainties."
    if lines.measured_with_bars:
        yield (
            f"They hold for the bars {lines.measured_with_bars}; with the bars otherwise the car is another one, and "
            "measured_with_bars speaks for all that was measured on it."
        )
    for axle, pair, corners in (
        ("front", lines.front_load_per_turn, ("LF", "RF")),
        ("rear", lines.rear_load_per_turn, ("LR", "RR")),
    ):
        missing = [corner for corner in corners if all(each.corner != corner for each in tried.per_turn)]
        if pair and missing:
            yield f"{missing[0]} was not turned: it is taken to be like the other side ([suspension.{axle}])."


def _up(value: float, fine: Fine) -> str:
    """A half width with a digit more than is shown of it, rounded up: never smaller than it is."""
    decimals = min(fine.decimals + 1, FINEST)
    return f"{max(math.ceil(value * 10**decimals - 1e-6), 1) / 10**decimals:.{decimals}f}"
