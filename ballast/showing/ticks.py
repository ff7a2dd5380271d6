"""Round numbers along an axis."""

import math

MOST_TICKS = 6


def ticks(low: float, high: float, most: int = MOST_TICKS) -> list[tuple[float, str]]:
    """Round numbers from low to high, so many at the most, each with its text."""
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    step = next(power * n for n in (1, 2, 5, 10, 20) if (high - low) / (power * n) <= most - 1)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [(n * step, f"{n * step:.10g}") for n in range(first, last + 1)]
