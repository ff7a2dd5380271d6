"""Turns that bring one state of the car into the band of its diagonal, of each kind the best."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ballast.corners import CORNERS, Corner
from ballast.jobs.standing import case_loads
from ballast.jobs.turning import Turning, of_wheel
from ballast.physics import turns
from ballast.physics.statics import Array, left_share
from ballast.physics.turns import Steps, Wanted
from ballast.planning.bands import Band
from ballast.records.car import Car
from ballast.records.turns import (
    Because,
    Comes,
    CornerHeights,
    CornerTurns,
    Kind,
    NoPlan,
    ThreadLeft,
    TurnPlan,
    WantedDiagonal,
    Winding,
)

DIAGONALLY = ("RF+LR", "LF+RR", "rear pair")
"""Figures that platforms bring about."""
LOOSER = (1.25, 1.5, 2.0, 3.0, 5.0)
"""How many times further ride height is let move, one after the other, where whole steps do not hold it."""
CLOSEST, FURTHEST = 0.00005, 0.01
"""Closer than this no rule shows, and beyond it nobody calls ride height held. As in the car file. [m]"""
COMES: tuple[Comes, ...] = ("inside", "near the edge", "short")
KINDS: tuple[Kind, ...] = ("ride height held", "one corner", "pair")


def winding(
    car: Car, known: Turning, loads: Array, band: Band, height_within: float, uncertain: float, name: str = "after"
) -> Winding:
    """Turns that bring a car with these loads into the band of its diagonal.

    loads : (4,) [kg]; uncertain : standard uncertainty of the figure, a share, or kg for the rear pair.
    """
    total = float(loads.sum())
    figure = float(loads @ band.corners) / (1.0 if band.is_mass else total)
    winding = Winding(
        target=WantedDiagonal.model_validate(
            {
                "dimension": "mass" if band.is_mass else "percent",
                "figure": band.figure,
                "aim": band.aim_mass if band.is_mass else band.aim_share,
                "within": band.half_width,
                "guard": band.guard,
                "before": figure,
                "uncertain": uncertain,
            }
        )
    )
    if winding.there_already:
        return winding
    by_load = float(known.null @ band.corners)
    aim = -float(band.distance(loads)) / by_load
    halves = band.narrowed(total), band.half_width * (1.0 if band.is_mass else total)
    narrow, wide = (_on_the_ground(known, loads, aim, half / abs(by_load)) for half in halves)
    if wide is None:
        return winding.replace(not_possible=tuple(NoPlan(kind=kind, because="wheel lifts") for kind in KINDS))
    ways = [*_ways(known, narrow or wide, wide, height_within)]
    plans = [_plan(car, known, loads, band, way, name) for way in ways if way.steps]
    inside = [plan for plan in plans if plan.comes != "short"]
    best: dict[CornerTurns, TurnPlan] = {}
    for plan in sorted(inside or plans, key=_order):
        best.setdefault(plan.turns, plan)
    found = tuple(best.values())
    reasons = tuple(_reason(known, way, wide, height_within) for way in ways if way.comes == "short")
    return winding.replace(plans=found, because=_because(found), not_possible=reasons)


@dataclass(frozen=True)
class _Way:
    kind: Kind
    corner: Corner | None
    comes: Comes
    steps: Steps | None


def _ways(known: Turning, narrow: Wanted, wide: Wanted, height_within: float) -> Iterator[_Way]:
    """The best plan of each kind: inside the band with its guard, else inside the band, else as near as it comes."""
    platforms = known.platforms
    ranges: tuple[tuple[Comes, Wanted], ...] = (("inside", narrow), ("near the edge", wide))
    for number, corner in enumerate(CORNERS):
        if known.by_turn[number]:
            comes, steps = _first((c, turns.one_corner(platforms, number, wanted)) for c, wanted in ranges)
            yield _Way("one corner", corner, comes, steps or turns.nearest_one(platforms, number, wide))
    comes, steps = _first((c, turns.a_pair(platforms, wanted)) for c, wanted in ranges)
    yield _Way("pair", None, comes, steps or turns.nearest_pair(platforms, wide))
    comes, steps = _first((c, turns.holding_height(platforms, wanted, height_within)) for c, wanted in ranges)
    yield _Way("ride height held", None, comes, steps)


def _first(tried: Iterator[tuple[Comes, Steps | None]]) -> tuple[Comes, Steps | None]:
    """The first that was found."""
    return next(((comes, steps) for comes, steps in tried if steps), ("short", None))


def _reason(known: Turning, way: _Way, wide: Wanted, height_within: float) -> NoPlan:
    """Why a kind of plan does not do it: with more thread it would, or with ride height held less closely."""
    free = replace(
        known.platforms,
        up=np.where(known.by_turn != 0, np.inf, 0.0),
        down=np.where(known.by_turn != 0, np.inf, 0.0),
    )
    if way.kind == "ride height held":
        if known.platforms.rise_by_step is None:
            return NoPlan(kind=way.kind, because="heights not known")
        further = [height_within * times for times in LOOSER if height_within * times <= FURTHEST]
        looser = (turns.holding_height(known.platforms, wide, within) for within in further)
        found = next((steps for steps in looser if steps), None)
        if found:
            needed = known.platforms.greatest_rise(found)
            return NoPlan(kind=way.kind, because="height", height_within=needed)
        unbound = (turns.holding_height(free, wide, within) for within in (height_within, *further))
        long = next((steps for steps in unbound if steps), None)
    elif way.corner is None:
        long = turns.a_pair(free, wide)
    else:
        long = turns.one_corner(free, CORNERS.index(way.corner), wide)
    if long is None:
        return NoPlan(kind=way.kind, corner=way.corner, because="step")
    return NoPlan(kind=way.kind, corner=way.corner, because="thread", turns=sum(map(abs, long)) * known.step)


def _on_the_ground(known: Turning, loads: Array, aim: float, half: float) -> Wanted | None:
    """Loads on the first corner around an aim that leave every wheel on its pad; none where the aim lifts one."""
    ends = -loads / known.null
    least, most = float(ends[known.null > 0].max()), float(ends[known.null < 0].min())
    return Wanted(max(aim - half, least), aim, min(aim + half, most)) if least < aim < most else None


def _plan(car: Car, known: Turning, loads: Array, band: Band, way: _Way, name: str) -> TurnPlan:
    steps = way.steps or turns.UNTOUCHED
    after = loads + known.platforms.load(steps) * known.null
    rise = known.platforms.rise(steps)
    turned = np.array(steps) * known.step
    up, down = (np.array([of_wheel(car, corner, key) for corner in CORNERS]) for key in ("turns_up", "turns_down"))
    return TurnPlan(
        kind=way.kind,
        turns=CornerTurns(**by_corner(turned)),
        total_turns=float(np.abs(turned).sum()),
        comes=way.comes,
        off_aim_points=abs(float(band.distance(after))) / float(after.sum()),
        ride_height=None if rise is None else CornerHeights(**by_corner(rise)),
        after=case_loads(name, car, after),
        left_points=float(left_share(after) - left_share(loads)),
        thread_up=_thread(up - turned),
        thread_down=_thread(down + turned),
    )


def _order(plan: TurnPlan) -> tuple[float, ...]:
    """Inside before outside, ride height held before not; then the fewest turns, then the least change of height."""
    rise = max(map(abs, plan.ride_height.in_order()), default=0.0) if plan.ride_height else 0.0
    held = plan.kind == "ride height held"
    near = plan.off_aim_points if plan.comes == "short" else 0.0
    return COMES.index(plan.comes), not held, near, plan.total_turns, rise, KINDS.index(plan.kind)


def _because(plans: tuple[TurnPlan, ...]) -> Because | None:
    if not plans:
        return None
    if plans[0].comes == "short":
        return "comes nearest"
    return "ride height stays" if plans[0].kind == "ride height held" else "fewest turns"


def _thread(left: Array) -> ThreadLeft:
    return ThreadLeft(**{corner: None if np.isnan(v) else v for corner, v in by_corner(left).items()})


def by_corner(values: Array) -> dict[str, float]:
    """Four numbers by the names of their corners."""
    return dict(zip(CORNERS, values.tolist(), strict=True))
