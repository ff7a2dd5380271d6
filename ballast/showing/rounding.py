"""Rounding, here and nowhere else: units on every number, and no more digits than the pads can tell."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from ballast.records.question import Question
from ballast.units import Dimension, Units

FINE = 0.0005
"""Standard uncertainty of a share below which the second decimal of its percentage is worth printing."""
FORGIVEN = 1e-6
"""What rounding down or up overlooks: far below any pad, well above the noise of a double. [kg]"""
MOST_DECIMALS = 2
FINEST = 3


@dataclass(frozen=True)
class Rounding:
    """How many decimals the pads show, and the units to print."""

    units: Units
    mass_decimals: int

    def mass(self, value: float, unit: bool = True) -> str:
        """A mass, to nearest."""
        return self._with(_plain(self.units.outside(value, "mass"), self.mass_decimals), "mass", unit)

    def mass_down(self, value: float, unit: bool = True) -> str:
        """A total that has to reach a minimum: rounded down, so that it never reads as more than it is."""
        return self._with(self._stepped(value + FORGIVEN, math.floor), "mass", unit)

    def mass_up(self, value: float, unit: bool = True) -> str:
        """A minimum: rounded up, so that it never reads as less than it is."""
        return self._with(self._stepped(value - FORGIVEN, math.ceil), "mass", unit)

    def against(self, total: float, least: float) -> tuple[str, str]:
        """A total and the minimum it has to reach, without units, so that they read as they are.

        The total is rounded down and the minimum up, with as many decimals (three at the most) as it takes for a total
        that reaches the minimum to read so; the same number reads the same.
        """
        if abs(total - least) <= FORGIVEN:
            return self.mass(total, False), self.mass(least, False)
        for decimals in range(self.mass_decimals, FINEST + 1):
            finer = Rounding(self.units, decimals)
            texts = finer.mass_down(total, False), finer.mass_up(least, False)
            if total < least or float(texts[0]) >= float(texts[1]):
                return texts
        return texts

    def at_most(self, value: float) -> str:
        """A small mass to nearest, or what it is surely under."""
        text = self.mass(value)
        return text if float(text.split()[0]) else f"under {self._with(f'{10.0**-self.mass_decimals:g}', 'mass', True)}"

    def as_written(self, value: float, dimension: Dimension, unit: bool = True) -> str:
        """A number the user wrote, with the digits the user gave it."""
        return self._with(f"{self.units.outside(value, dimension):.10g}", dimension, unit)

    def small(self, value: float, dimension: Dimension) -> str:
        """A small step, to two digits, as somebody would write it down: 2 for 2.0."""
        return self._with(_two_digits(self.units.outside(value, dimension), False), dimension, True)

    def small_found(self, value: float, dimension: Dimension) -> str:
        """Something small that was worked out, to two digits, both written: 2.0."""
        return self._with(_two_digits(self.units.outside(value, dimension), True), dimension, True)

    def length(self, value: float, unit: bool = True) -> str:
        """A length, to the millimetre or the tenth of an inch."""
        decimals = {"mm": 0, "m": 3, "in": 1}[self.units.length]
        return self._with(_plain(self.units.outside(value, "length"), decimals), "length", unit)

    def fine_length(self, value: float, unit: bool = True) -> str:
        """A length that is compared with what it may be off: to the millimetre or the hundredth of an inch."""
        decimals = {"mm": 0, "m": 3, "in": 2}[self.units.length]
        return self._with(_plain(self.units.outside(value, "length"), decimals), "length", unit)

    def volume(self, value: float) -> str:
        """A volume, to the tenth of a unit."""
        return self._with(_plain(self.units.outside(value, "volume"), 1), "volume", True)

    def percent(self, share: float, uncertainty: float, unit: bool = True) -> str:
        """A share as a percentage, with as many decimals as its standard uncertainty (a share too) allows."""
        return self._with(_plain(100 * share, 2 if uncertainty < FINE else 1), "percent", unit)

    def points(self, share: float) -> str:
        """A difference of percentages."""
        return f"{_plain(100 * share, 2)} points"

    def value(self, value: float, dimension: Dimension | None) -> str:
        """A number of a finding, by its dimension; a bare count as it is."""
        match dimension:
            case "mass":
                return self.mass(value)
            case "length":
                return self.length(value)
            case "percent":
                return self.percent(value, 0.0)
            case "volume":
                return self.volume(value)
            case "spring" | "twist":
                return self._with(f"{self.units.outside(value, dimension):.4g}", dimension, True)
            case None:
                return f"{value:g}"

    def value_up(self, value: float, dimension: Dimension | None) -> str:
        """The same, rounded up where it is a mass or a length that has to be enough."""
        return self._rounded(value, dimension, math.ceil)

    def value_down(self, value: float, dimension: Dimension | None) -> str:
        """The same, rounded down."""
        return self._rounded(value, dimension, math.floor)

    def chance(self, chance: float) -> str:
        """A chance in percent, never more certain than the normal distribution deserves."""
        if chance < 0.001:
            return "under 0.1 %"
        if chance > 0.999:
            return "over 99.9 %"
        return f"{100 * chance:.2g} %" if chance < 0.1 else f"{100 * chance:.{int(chance > 0.99)}f} %"

    def term(self, value: float) -> str:
        """A term of the required total: with the digits the user gave it, no more than two decimals."""
        return f"{round(self.units.outside(value, 'mass'), 2):.10g} {self.units.mass}"

    def _rounded(self, value: float, dimension: Dimension | None, step: Callable[[float], int]) -> str:
        if dimension is None:
            return f"{value:g}"
        decimals = {
            "mass": self.mass_decimals,
            "length": {"mm": 0, "m": 3, "in": 2}[self.units.length],
            "volume": 1,
            "percent": 2,
            "spring": 2,
            "twist": 0,
        }
        factor = 10 ** decimals[dimension]
        forgiven = FORGIVEN if step is math.floor else -FORGIVEN
        shown = step(self.units.outside(value, dimension) * factor + forgiven) / factor
        return self._with(_plain(shown, decimals[dimension]), dimension, True)

    def _stepped(self, value: float, step: Callable[[float], int]) -> str:
        factor = 10**self.mass_decimals
        return f"{step(self.units.outside(value, 'mass') * factor) / factor:.{self.mass_decimals}f}"

    def _with(self, text: str, dimension: Dimension, unit: bool) -> str:
        return f"{text} {self.units.name(dimension)}" if unit else text


def rounding(question: Question) -> Rounding:
    """Rounding for an answer: as many decimals as the readings have, in the car file's units."""
    units, pads = question.car.units.units(), question.weigh_in.units.units()
    if units.mass != pads.mass:
        return Rounding(units, 1)
    written = [pads.outside(load, "mass") for row in question.weigh_in.as_read() for load in row]
    decimals = next(
        (d for d in range(MOST_DECIMALS) if all(abs(x - round(x, d)) < 1e-9 for x in written)), MOST_DECIMALS
    )
    return Rounding(units, decimals)


def _plain(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _two_digits(value: float, both: bool) -> str:
    """Two digits that count, and never an exponent: nobody reads 1.1e+02 mm. both : a nought behind the point too."""
    if not value:
        return "0"
    decimals = 1 - math.floor(math.log10(abs(float(f"{value:.1e}"))))
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text if both or "." not in text else text.rstrip("0").rstrip(".")
