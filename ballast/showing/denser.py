"""What denser plates would save, in words."""

from collections.abc import Iterator

from ballast.records.plan import Denser, Plan
from ballast.showing.rounding import Rounding

LEAST = 0.0001
"""Below a tenth of a millimetre it is only said that it is less. [m]"""


def denser_plates(plan: Plan, state: str, show: Rounding) -> Iterator[str]:
    """How much lower the centre of gravity would be with lead or tungsten alloy; nothing where that is not known.

    state : the state of the car, in brackets behind a blank, where there are several.
    """
    if not plan.denser:
        return
    first, *others = plan.denser
    stack = f"tallest stack, '{first.mount}': {show.length(first.stack)} now, then {show.length(first.stack_then)}"
    words = [f"{first.material} by {_lower(first, show)} ({stack})"]
    words += [f"{one.material} by {_lower(one, show)} (then {show.length(one.stack_then)})" for one in others]
    lead = any(one.material == "lead" for one in plan.denser)
    yield (
        f"Denser plates of the same mass on the same mounts would lower the centre of gravity{state}: "
        f"{', '.join(words)}." + " Lead needs a steel clamp plate: bolt heads pull through." * lead
    )


def _lower(denser: Denser, show: Rounding) -> str:
    return f"under {show.small(LEAST, 'length')}" if denser.lower < LEAST else show.small(denser.lower, "length")
