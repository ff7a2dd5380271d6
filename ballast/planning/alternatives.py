"""Plans that differ in a way that matters, and what mass over the requirement buys in balance."""

import time
from dataclasses import dataclass, replace

import numpy as np

from ballast.physics.statics import Array
from ballast.planning.bands import balance_resolution
from ballast.planning.measures import measure
from ballast.planning.planner import (
    Audience,
    Decision,
    Goal,
    better,
    decide,
    least_total,
)
from ballast.planning.programme import greatest_total
from ballast.planning.task import Task
from ballast.records.progress import Told
from ballast.records.wishes import WishName

BEST_AT: dict[WishName, str] = {
    "aim": "nearest the aims",
    "pieces": "fewest plates on the car",
    "mass": "lightest",
    "height": "lowest",
    "yaw": "least yaw inertia",
    "changes": "fewest plates to handle",
    "stop": "fewest plates at a stop",
}
"""What a plan is best at when a wish comes next to balance, or before it."""
MATTERS: dict[str, float] = {"balance": 0.1, "aim": 0.2, "mass": 0.5, "height": 0.002, "yaw": 2.0}
"""Differences that somebody would choose by: points, kg, m, kg m2; a plate counts whole. Common practice, no source."""
HAIR = 1e-6
"""Part of such a difference that is only the noise of a double."""
STEPS = (0.0, 0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0)
"""Mass over the least total at which the balance is asked for. [kg]"""


@dataclass(frozen=True)
class Candidate:
    """One plan to choose from, with its measures: less is better in each."""

    name: str
    order: tuple[WishName, ...]
    decision: Decision
    measures: dict[str, float]
    """by wish; those that cannot be asked for are left out"""


@dataclass(frozen=True)
class Point:
    """The best balance within some mass. kg, and points of the total as shares."""

    over_required: float
    miss: float
    bound: float


def candidates(
    task: Task, first: Decision, count: int, seconds: float, told: Told | None = None
) -> tuple[tuple[Candidate, ...], tuple[str, ...]]:
    """The first plan and up to count - 1 others, dominated ones left out; and the names of what there was no time for.

    seconds : for all the others together. Each asks for one wish next to balance, then, if that is not enough to choose
    from, for one before balance. A plan is dominated when another is no worse in any measure by as much as matters, and
    better by as much in one.
    """
    if first.counts is None:
        return (), ()
    found = [Candidate("as asked for", task.wishes.order, first, _measures(task, first.counts))]
    deadline, orders, not_tried = time.perf_counter() + seconds, _orders(task), []
    audience = Audience(told)
    for number, (name, order) in enumerate(orders):
        left = audience.left(deadline) / (len(orders) - number)
        if left <= 0:
            not_tried.append(name)
            continue
        asked = replace(task, wishes=task.wishes.replace(order=order, seconds=max(left, 0.01)))
        decision = decide(asked, audience.listening(name))
        if decision.counts is None:
            not_tried.append(name)
        else:
            found.append(Candidate(name, order, decision, _measures(task, decision.counts)))
    return _worth_showing(task, found)[:count], tuple(not_tried)


def curve(task: Task, found: tuple[Candidate, ...], seconds: float, told: Told | None = None) -> tuple[Point, ...]:
    """The best balance against mass over the required total, from the least total up; empty without targets.

    It ends where the targets are inside their bands, with the last step, or with the time. Plans found already stand in
    it where they do better than what a step was settled to.
    """
    deadline, audience, points = time.perf_counter() + seconds, Audience(told), list[Point]()
    if "balance" not in task.programme().objectives:
        return ()
    least = least_total(task, task.programme(), deadline, audience)
    resolution = 100 * balance_resolution(task.wishes, task.repeat)
    goal = Goal("balance", resolution, resolution, "percent", 0.01)
    if not least.values:
        return ()
    counts = task.programme().counts(least.values)
    for step in STEPS:
        programme = task.programme()
        greatest_total(programme, least.value + step)
        answer = better(task, programme, goal, counts, audience.left(deadline), audience.watch(goal))
        counts = programme.counts(answer.values) if answer.values else counts
        miss = measure("balance", task.room, task.cases, task.bands, task.wishes, counts)
        if audience.left(deadline) <= 0:
            break
        bound = max(min(answer.bound, miss), 0.0)
        points.append(Point(least.value + step - task.required, miss * goal.scale, bound * goal.scale))
        if miss <= resolution:
            break
    return _staircase(points, [one.measures for one in found], goal)


def _staircase(points: list[Point], found: list[dict[str, float]], goal: Goal) -> tuple[Point, ...]:
    """Points by mass, each with the best miss found with no more mass than its own.

    What is proved for some mass holds for less mass too, so a plan found between two points has the bound of the next.
    """
    between = []
    for one in found:
        bound = next((point.bound for point in points if point.over_required >= one["mass"]), 0.0)
        miss = one["balance"] * goal.scale
        between.append(Point(one["mass"], miss, min(bound, miss)))
    stairs: list[Point] = []
    for point in sorted([*points, *between], key=lambda point: (_grams(point), point.miss)):
        best = min(point.miss, stairs[-1].miss) if stairs else point.miss
        if stairs and _grams(point) == _grams(stairs[-1]):
            stairs[-1] = replace(stairs[-1], bound=min(max(point.bound, stairs[-1].bound), best))
        elif point in points or not stairs or best < stairs[-1].miss - goal.gap * goal.scale / 2:
            stairs.append(Point(point.over_required, best, min(point.bound, best)))
        if points and best <= goal.gap * goal.scale and point.over_required >= points[0].over_required:
            break
    return tuple(stairs) if points else ()


def _grams(point: Point) -> float:
    """Its mass without the noise of a double: two sums of the same plates are the same mass. [kg]"""
    return round(point.over_required, 6)


def _orders(task: Task) -> list[tuple[str, tuple[WishName, ...]]]:
    """Orders worth asking for, each with its name: a wish next to balance, then a wish before it."""
    can = _measures(task, np.zeros_like(task.room.fitted)).keys()
    balanced = "balance" in can
    rest: tuple[WishName, ...] = tuple(dict.fromkeys((*task.wishes.order, "pieces", "mass", "changes")))
    orders: list[tuple[str, tuple[WishName, ...]]] = []
    for wish, name in BEST_AT.items():
        others = tuple(other for other in rest if other not in (wish, "balance"))
        if wish in can and balanced:
            orders.append((name, ("balance", wish, *others)))
        elif wish in can:
            orders.append((name, (wish, *others)))
    for wish, name in BEST_AT.items():
        others = tuple(other for other in rest if other not in (wish, "balance"))
        if wish in can and balanced and wish != "aim":
            orders.append((f"{name}, whatever the balance", (wish, "balance", *others)))
    return orders


def _measures(task: Task, counts: Array) -> dict[str, float]:
    """Every measure that can be taken of some counts."""
    wishes = ["mass", "changes", "pieces", "yaw"]
    wishes += ["balance", "aim"] if any(band.by_ballast for band in task.bands) else []
    wishes += ["height"] if task.room.undersides is not None else []
    wishes += ["stop"] if any(task.room.drivers) else []
    return {wish: measure(wish, task.room, task.cases, task.bands, task.wishes, counts) for wish in wishes}


def _worth_showing(task: Task, found: list[Candidate]) -> tuple[Candidate, ...]:
    """The first, and those that no other beats: of two that differ in nothing that matters, the earlier."""
    resolution = {"balance": 100 * balance_resolution(task.wishes, task.repeat), "mass": task.mass_resolution}
    step = {wish: max(matters, resolution.get(wish, 0.0)) for wish, matters in MATTERS.items()}
    kept = list(enumerate(found))

    def beats(other: tuple[int, Candidate], one: tuple[int, Candidate]) -> bool:
        # Worse by less than matters is as good: a step counted from nought would set two plans apart by a hair.
        less = [(one[1].measures[wish] - value) / step.get(wish, 1.0) for wish, value in other[1].measures.items()]
        return min(less) > HAIR - 1 and (max(less) >= 1 - HAIR or other[0] < one[0])

    for one in reversed(kept[1:]):
        if any(beats(other, one) for other in kept if other is not one):
            kept.remove(one)
    return tuple(one for _, one in kept)
