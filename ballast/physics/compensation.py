"""Ballast for light drivers: how much a rule makes up to its reference, in exact arithmetic.

A rule that rounds up to a whole step must not see 79 kg as a hair less: the mean of 78.1, 78.3 and 80.6 kg, added up
in binary, comes out below 79 and costs one kilogram too many. So masses here are fractions, made by `exact`.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from typing import Literal

Way = Literal["each driver", "crew mean", "team total"]
"""What is held against the reference: a driver alone, the mean of the crew, or a total over so many drivers."""

Rounding = Literal["up", "nearest", "down", "none"]
"""How a shortfall becomes whole steps; with none it stays as it is."""

HALF = Fraction(1, 2)


def exact(value: float, factor: Fraction = Fraction(1)) -> Fraction:
    """The decimal number that a person typed, from the double that holds it, times an exact factor of units.

    value : a finite number of at most ten significant digits, in the unit it was typed in; more digits are rounded away
    factor : how much of the wanted unit one unit of `value` is.
    Returns the number in the wanted unit: 77.8 gives 389/5, where the double itself is a little less than that.
    """
    return Fraction(Decimal(f"{value:.10g}")) * factor


def compensation(
    masses: Sequence[Fraction],
    reference: Fraction,
    way: Way,
    step: Fraction,
    rounding: Rounding,
    counted: int | None = None,
) -> tuple[Fraction, ...]:
    """Ballast that each driver's car carries, one entry for each driver, in the order given.

    masses : of the drivers, in the kit in which the rule weighs them; at least one.
    reference : what the rule makes up to: for one driver, for the mean of the crew, or for the total.
    step : the ballast is a whole number of these; above 0, and ignored where rounding is "none".
    rounding : "up" leaves a whole number of steps as it is, "nearest" takes a half up.
    counted : drivers in a "team total"; a smaller crew counts its lightest again until there are so many. None counts
        the crew as it is; the other ways do not look at it.
    All masses in any one unit, the ballast returned in the same. [mass]

    Of a crew mean or a team total, every driver's car carries the whole shortfall. Rules only add: at the reference or
    above it the ballast is 0. Raises ValueError for no driver, a step not above 0, or more drivers than are counted.
    Source: FIA World Endurance Championship, driver ballast 2025, as reported in the press: the mean against 82 kg in
    the race, each driver in qualifying, up to the next whole kg. Team total with the lightest counted again: common
    practice, no source.
    """
    if not masses:
        raise ValueError("a crew has at least one driver")
    if rounding != "none" and step <= 0:
        raise ValueError(f"ballast in whole steps needs a step above 0, not {float(step):g}")
    match way:
        case "each driver":
            held = tuple(masses)
        case "crew mean":
            held = (sum(masses, Fraction(0)) / len(masses),)
        case "team total":
            held = (_total(masses, counted),)
    ballast = tuple(_rounded(max(Fraction(0), reference - mass), step, rounding) for mass in held)
    return ballast if way == "each driver" else ballast * len(masses)


def _total(masses: Sequence[Fraction], counted: int | None) -> Fraction:
    """Mass of the crew, with its lightest as often again as drivers are missing."""
    missing = 0 if counted is None else counted - len(masses)
    if missing < 0:
        raise ValueError(f"the rule counts {counted} drivers in a team, and this crew has {len(masses)}")
    return sum(masses, Fraction(0)) + missing * min(masses)


def _rounded(shortfall: Fraction, step: Fraction, rounding: Rounding) -> Fraction:
    """A shortfall, not below 0, in whole steps."""
    match rounding:
        case "up":
            return ceil(shortfall / step) * step
        case "nearest":
            return floor(shortfall / step + HALF) * step
        case "down":
            return floor(shortfall / step) * step
        case "none":
            return shortfall
