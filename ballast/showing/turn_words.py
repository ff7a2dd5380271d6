"""Turns of a platform and changes of ride height in words and numbers."""

from collections.abc import Iterator
from fractions import Fraction

from ballast.corners import CORNERS
from ballast.records.turns import HeightBack, WantedDiagonal
from ballast.showing.rounding import Rounding
from ballast.units import Units

FINEST_PART = 24
"""Greatest denominator of a part of a turn: a collar with 12 flats is turned by twelfths."""


def in_words(turns: tuple[float, ...]) -> str:
    """Turns as a mechanic says them: "LF 1 1/4 turns up, RF 3/4 turn down"."""
    each = [(corner, turned) for corner, turned in zip(CORNERS, turns, strict=True) if turned]
    said = (f"{corner} {number_of_turns(abs(by))} {'up' if by > 0 else 'down'}" for corner, by in each)
    return ", ".join(said) or "nothing"


def height_change(value: float, units: Units) -> str:
    """A change of ride height with its sign, no finer than a rule under a sill shows; without unit. [m]"""
    text = f"{units.outside(value, 'length'):+.{ {'mm': 1, 'm': 4, 'in': 2}[units.length] }f}"
    return text if float(text) else text.lstrip("+-")


def value_of(target: WantedDiagonal, value: float, show: Rounding) -> str:
    """A percentage of the diagonal, or the rear pair."""
    return show.mass(value) if target.dimension == "mass" else show.percent(value, target.uncertain)


def figure_of(target: WantedDiagonal) -> str:
    """What the target is called."""
    return "rear pair, LR less RR," if target.figure == "rear pair" else f"diagonal {target.figure}"


def wanted(target: WantedDiagonal, show: Rounding) -> str:
    """The band in words."""
    if target.dimension == "mass":
        return f"{show.as_written(target.aim, 'mass')} +/- {show.as_written(target.within, 'mass')}"
    return f"{show.as_written(target.aim, 'percent')} +/- {100 * target.within:.10g} points"


def height_back_lines(found: HeightBack, show: Rounding) -> Iterator[str]:
    """Ride height lost to ballast, and the turns that give it back, in sentences."""
    unit = show.units.length
    if not any(float(height_change(value, show.units)) for value in found.lost.in_order()):
        yield "Ride height stays where it is (an estimate)."
        return
    yield f"Ride height changes by {_corners_of(found.lost.in_order(), show)} {unit} (an estimate)."
    if found.turns is None or found.left_over is None:
        yield "How far to turn the platforms to give it back needs lift_per_turn in the car file."
    elif not any(found.turns.in_order()):
        yield "No whole steps within the thread bring it nearer without touching the loads."
    else:
        yield (
            f"To give it back without touching the loads: {in_words(found.turns.in_order())}; then "
            f"{_corners_of(found.left_over.in_order(), show)} {unit} are left."
        )


def _corners_of(values: tuple[float, ...], show: Rounding) -> str:
    return ", ".join(f"{c} {height_change(value, show.units)}" for c, value in zip(CORNERS, values, strict=True))


def number_of(turns: float) -> str:
    """A number of turns with a fraction: "1 1/4"."""
    fraction = Fraction(turns).limit_denominator(FINEST_PART)
    whole, part = divmod(fraction.numerator, fraction.denominator)
    if not part:
        return str(whole)
    return f"{whole} {part}/{fraction.denominator}" if whole else f"{part}/{fraction.denominator}"


def number_of_turns(turns: float) -> str:
    """The same with its unit, in the singular up to one turn."""
    return f"{number_of(turns)} {'turn' if turns <= 1 else 'turns'}"
