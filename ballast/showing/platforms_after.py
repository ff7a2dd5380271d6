"""What a plan leaves to the spring platforms, in words."""

from collections.abc import Iterator

from ballast.records.turns import DiagonalLeft, PlatformsAfter, TurnPlan, Winding
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section
from ballast.showing.turn_words import figure_of, height_back_lines, in_words, value_of, wanted

SAME = 0.00005
"""Share below which two distances from a band are one: half a hundredth of a point."""


def platforms_section(found: PlatformsAfter | None, show: Rounding) -> Iterator[Section]:
    """The turns that are left once the ballast is in, and the ride height it costs; nothing where neither is known."""
    if found is not None:
        yield Section("THE SPRING PLATFORMS, once the ballast is in", lines=tuple(_lines(found, show)))


def _lines(found: PlatformsAfter, show: Rounding) -> Iterator[str]:
    if found.winding:
        yield _left(found.winding, show.small(found.height_within, "length"), show)
    if found.diagonal_left:
        yield _better_left(found.diagonal_left, show)
    if found.ride_height:
        yield from height_back_lines(found.ride_height, show)
    bars = f" and hold for the bars {found.bars}" if found.bars else ""
    yield f"These are estimates{bars}. Settle and weigh with the ballast in; `ballast wind` then counts from the pads."


def _left(winding: Winding, within: str, show: Rounding) -> str:
    target = winding.target
    now = f"The {figure_of(target)} is then {value_of(target, target.before, show)}, wanted {wanted(target, show)}:"
    if winding.there_already:
        return f"{now} nothing is left to the platforms."
    if not winding.plans:
        return f"{now} no turns of the platforms bring it nearer."
    best = winding.plans[0]
    held = f" (ride height stays within {within})" if best.kind == "ride height held" else ""
    short = "" if best.comes != "short" else ", as near as it comes"
    others = "".join(f"; or {in_words(plan.turns.in_order())}" for plan in _alone(winding.plans[1:]))
    return f"{now} left to the platforms: {in_words(best.turns.in_order())}{held}{short}{others}."


def _alone(plans: tuple[TurnPlan, ...]) -> tuple[TurnPlan, ...]:
    """The first of them that turns one platform alone."""
    return tuple(plan for plan in plans if plan.kind == "one corner")[:1]


def _better_left(found: DiagonalLeft, show: Rounding) -> str:
    gains = []
    if found.miss_points - found.miss_points_then > SAME:
        nearer = "into their bands" if found.miss_points_then < SAME else "nearer their bands"
        gains.append(f"the plates bring the other targets {nearer}")
    fewer = [show.mass(found.ballast_saved)] if found.ballast_saved > 0 else []
    fewer += [f"{found.plates_saved} {'plate' if found.plates_saved == 1 else 'plates'}"] if found.plates_saved else []
    if fewer:
        gains.append(f"{' and '.join(fewer)} of ballast can stay out")
    return (
        f'Better leave the diagonal to them (by = "platforms" in its target): then {", and ".join(gains)}. Ballast is '
        "for total, front and left; platforms are for the diagonal."
    )
