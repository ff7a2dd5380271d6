"""Whole steps of the spring platforms that bring the diagonal where it is wanted.

Turning a platform changes the four loads by a multiple of the warp, told here as the load it puts on the first corner
[kg]; so the diagonal wanted is a range of that load, and a plan of turns is four whole numbers, up (more load on its
own wheel) positive. A last axis of four is the corner, order CORNERS. Of two plans the one of fewer steps is better;
then the one that moves the chassis less at the corner that moves most; then the one nearer the aim.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from ballast.physics.statics import Array

HAIR = 1e-9
"""Slack of a comparison, for what binary numbers cannot hold. [kg or steps]"""
SAME_RISE = 1e-7
"""Rises nearer to each other than this are one. [m]"""

Steps = tuple[int, int, int, int]
UNTOUCHED: Steps = (0, 0, 0, 0)


@dataclass(frozen=True)
class Wanted:
    """The load that is to come on the first corner. [kg]"""

    low: float
    aim: float
    high: float

    def holds(self, load: float) -> bool:
        """Whether a load is inside."""
        return self.low - HAIR <= load <= self.high + HAIR


@dataclass(frozen=True)
class Platforms:
    """What one step of each platform does, and how many there are."""

    by_step: Array
    """(4,), load that one step up puts on the first corner; 0 where that is not known [kg]"""
    rise_by_step: Array | None
    """(4, 4), row i how far one step up of platform i raises the chassis above each pad; none where not known [m]"""
    up: Array
    """(4,), whole steps of thread left upwards; infinite where not known, 0 for a platform not to be turned"""
    down: Array
    """(4,), the same downwards"""

    def load(self, steps: Iterable[int]) -> float:
        """What a plan puts on the first corner. [kg]"""
        return float(np.array(tuple(steps)) @ self.by_step)

    def rise(self, steps: Iterable[int]) -> Array | None:
        """How far a plan raises the chassis above each pad, (4,); none where that is not known. [m]"""
        return None if self.rise_by_step is None else np.asarray(np.array(tuple(steps)) @ self.rise_by_step)

    def greatest_rise(self, steps: Iterable[int]) -> float:
        """How far a plan moves the corner of the chassis that it moves most, up or down; 0 where not known. [m]"""
        found = self.rise(steps)
        return 0.0 if found is None else float(np.abs(found).max())

    def allows(self, steps: Iterable[int]) -> bool:
        """Whether there is thread for a plan."""
        turned = np.array(tuple(steps))
        return bool(np.all(turned <= self.up) and np.all(-turned <= self.down))


def one_corner(platforms: Platforms, corner: int, wanted: Wanted) -> Steps | None:
    """Fewest steps of one platform that bring the load where it is wanted; none where no whole number does."""
    return _best(platforms, wanted, (plan for plan in _alone(platforms, corner, wanted) if plan is not None))


def a_pair(platforms: Platforms, wanted: Wanted) -> Steps | None:
    """Fewest steps shared between any two platforms, one step apart at the most; none where no whole number does.

    Each of the two is turned the way that helps: the two of an axle or of a side against each other, the two of a
    diagonal alike.
    """
    return _best(platforms, wanted, _pairs(platforms, wanted))


def nearest(platforms: Platforms, plans: Iterable[Steps], wanted: Wanted) -> Steps | None:
    """Of plans that there is thread for, the one that comes nearest the aim; none where all leave it further off."""
    off = {plan: abs(platforms.load(plan) - wanted.aim) for plan in plans if platforms.allows(plan)}
    least = min(off.values(), default=math.inf)
    if least >= abs(wanted.aim) - HAIR:
        return None
    return min((plan for plan in off if off[plan] <= least + HAIR), key=lambda plan: _rank(platforms, plan, wanted))


def nearest_one(platforms: Platforms, corner: int, wanted: Wanted) -> Steps | None:
    """Steps of one platform that come nearest the aim, as far as its thread goes."""
    step = platforms.by_step[corner]
    if abs(step) < HAIR:
        return None
    least, most = -platforms.down[corner], platforms.up[corner]
    exact = min(max(wanted.aim / step, least), most)
    return nearest(platforms, (_turned({corner: whole}) for whole in (math.floor(exact), math.ceil(exact))), wanted)


def nearest_pair(platforms: Platforms, wanted: Wanted) -> Steps | None:
    """Steps of two platforms, shared as in `a_pair`, that come nearest the aim, as far as their threads go."""
    return nearest(platforms, _pairs(platforms, wanted), wanted)


def holding_height(platforms: Platforms, wanted: Wanted, within: float) -> Steps | None:
    """Fewest steps of any platforms that keep the chassis within so much of where it is at every corner. [m]

    None where no whole numbers do, or the rises are not known. Exact: the plans that keep both bounds lie in a box,
    since rises and load together tell the steps; all of it is looked at, three platforms step by step, and of the
    fourth the one number of steps nearest 0 that keeps them.
    """
    if platforms.rise_by_step is None:
        return None
    kept = np.column_stack([platforms.rise_by_step, platforms.by_step])  # (4, 5), what each step does to what is bound
    half = (wanted.high - wanted.low) / 2
    middle = np.array([0.0, 0.0, 0.0, 0.0, (wanted.low + wanted.high) / 2])
    room = np.array([*[within] * 4, half]) * (1 + HAIR) + HAIR * np.array([*[within] * 4, 1.0])
    used = np.flatnonzero((platforms.up > 0) | (platforms.down > 0))
    if half < 0 or not len(used):
        return None
    first = _some_that_hold(platforms, wanted, within, kept, middle)
    fewest = min((sum(map(abs, plan)) for plan in first), default=math.inf)
    least, most = _box(kept[used], middle, room)
    least = np.maximum(least, np.maximum(-platforms.down[used], -fewest))
    most = np.minimum(most, np.minimum(platforms.up[used], fewest))
    if np.any(least > most):
        return None
    order = np.argsort(most - least)  # the widest is solved for
    used, least, most = used[order], least[order], most[order]
    best: list[Steps] = []
    for rows in _in_arrays(least[:-1], most[:-1], fewest):
        last, possible = _nearest_nothing(rows @ kept[used[:-1]] - middle, kept[used[-1]], room, least[-1], most[-1])
        plans = np.zeros((int(possible.sum()), 4), dtype=int)
        plans[:, used] = np.column_stack([rows[possible], last[possible]]).astype(int)
        totals = np.abs(plans).sum(axis=1)
        if len(plans) and totals.min() <= fewest:
            best = [] if totals.min() < fewest else best
            fewest = totals.min()
            best += [_turned(dict(enumerate(plan))) for plan in plans[totals == fewest].tolist()]
    return min(best, key=lambda plan: _rank(platforms, plan, wanted), default=None)


def _some_that_hold(platforms: Platforms, wanted: Wanted, within: float, kept: Array, middle: Array) -> Iterator[Steps]:
    """A few plans that keep both bounds, if they do: none of more steps is the best. They only save time."""
    scale = np.array([*[within] * 4, (wanted.high - wanted.low) / 2 + HAIR])
    exact = (middle / scale) @ np.linalg.pinv(kept / scale)
    alone = (one_corner(platforms, corner, wanted) for corner in range(4))
    near = (
        _turned(dict(enumerate(plan))) for plan in product(*({math.floor(k), math.ceil(k)} for k in exact.tolist()))
    )
    for plan in (*alone, a_pair(platforms, wanted), *near):
        held = plan and platforms.allows(plan) and wanted.holds(platforms.load(plan))
        if plan and held and platforms.greatest_rise(plan) <= within:
            yield plan


def whole_steps(platforms: Platforms, exact: Array) -> Steps:
    """Whole steps near exact ones, (4,), that leave the loads alone as far as steps can, and the chassis near by.

    Up to half the effect of one step counts as leaving the loads alone; then the least distance at the corner that is
    furthest from where the exact steps would have it; then the fewest steps. Each is one step from its exact number at
    the most, as far as the thread goes.
    """
    around = [sorted({math.floor(steps), math.ceil(steps)}) for steps in exact.tolist()]
    alone = np.abs(platforms.by_step[np.abs(platforms.by_step) > HAIR])
    fine = float(alone.min()) / 2 if len(alone) else 1.0

    def rank(plan: Steps) -> tuple[float, ...]:
        off = abs(platforms.load(plan) - float(exact @ platforms.by_step))
        moved = 0.0
        if platforms.rise_by_step is not None:
            moved = float(np.abs((np.array(plan) - exact) @ platforms.rise_by_step).max())
        return (math.floor(off / fine + HAIR), round(moved / SAME_RISE), sum(map(abs, plan)), *plan)

    plans = [_turned(dict(enumerate(plan))) for plan in product(*around)]
    return min((plan for plan in plans if platforms.allows(plan)), key=rank, default=UNTOUCHED)


def _best(platforms: Platforms, wanted: Wanted, plans: Iterable[Steps]) -> Steps | None:
    inside = (plan for plan in plans if platforms.allows(plan) and wanted.holds(platforms.load(plan)))
    return min(inside, key=lambda plan: _rank(platforms, plan, wanted), default=None)


def _rank(platforms: Platforms, plan: Steps, wanted: Wanted) -> tuple[float, ...]:
    """Fewest steps, least rise, nearest the aim; then any one order, so that the same question has the same answer."""
    off = abs(platforms.load(plan) - wanted.aim)
    rise = round(platforms.greatest_rise(plan) / SAME_RISE)
    return (sum(map(abs, plan)), rise, round(off / HAIR), *(-steps for steps in plan))


def _alone(platforms: Platforms, corner: int, wanted: Wanted) -> Iterator[Steps | None]:
    """The number of steps of one platform nearest 0 that brings the load inside, if any does."""
    step = platforms.by_step[corner]
    if abs(step) < HAIR:
        return
    low, high = sorted(((wanted.low - HAIR) / step, (wanted.high + HAIR) / step))
    whole = math.ceil(low) if low > 0 else math.floor(high) if high < 0 else 0
    yield _turned({corner: whole}) if whole else None


def _pairs(platforms: Platforms, wanted: Wanted) -> Iterator[Steps]:
    """Every pair turned the way that helps, from one step each to where the load is past what is wanted."""
    way = math.copysign(1.0, wanted.aim)
    furthest = max(abs(wanted.low), abs(wanted.aim), abs(wanted.high))
    for one, other in combinations(range(4), 2):
        by = [platforms.by_step[one], platforms.by_step[other]]
        if min(abs(by[0]), abs(by[1])) < HAIR:
            continue
        ways = [int(math.copysign(1, way * step)) for step in by]
        for total in range(2, 3 + 2 * math.ceil(furthest / (abs(by[0]) + abs(by[1])))):
            for first in {total // 2, total - total // 2}:
                yield _turned({one: ways[0] * first, other: ways[1] * (total - first)})


def _box(by_step: Array, middle: Array, room: Array) -> tuple[Array, Array]:
    """Bounds of the whole steps k with |k by_step - middle| <= room: k is any left inverse of it, so at most so far."""
    scaled = by_step / room
    inverse = np.linalg.pinv(scaled)  # (5, k)
    centre, reach = (middle / room) @ inverse, np.abs(inverse).sum(axis=0)
    return np.ceil(centre - reach - HAIR), np.floor(centre + reach + HAIR)


def _in_arrays(least: Array, most: Array, fewest: float) -> Iterator[Array]:
    """All whole numbers of steps between bounds, no more than so many in all, in arrays of (n, k)."""
    if not len(least):
        yield np.zeros((1, 0))
        return
    others = [np.arange(low, high + 1) for low, high in zip(least[1:], most[1:], strict=True)]
    rest = (
        np.stack(np.meshgrid(*others, indexing="ij"), axis=-1).reshape(-1, len(others)) if others else np.zeros((1, 0))
    )
    spent = np.abs(rest).sum(axis=1)
    for first in sorted(np.arange(least[0], most[0] + 1).tolist(), key=abs):
        rows = rest[spent <= fewest - abs(first)]
        if len(rows):
            yield np.column_stack([np.full(len(rows), first), rows])


def _nearest_nothing(
    off: Array, step: Array, room: Array, least: float, most: float
) -> tuple[Array, NDArray[np.bool_]]:
    """Steps of the last platform nearest 0 with |off + steps step| <= room, (n,), and whether there are any, (n,)."""
    low, high = np.full(len(off), least), np.full(len(off), most)
    possible = np.ones(len(off), dtype=bool)
    for column, by in enumerate(step.tolist()):
        if by == 0:
            possible &= np.abs(off[:, column]) <= room[column]
            continue
        ends = np.sort(np.column_stack([(-room[column] - off[:, column]) / by, (room[column] - off[:, column]) / by]))
        low, high = np.maximum(low, np.ceil(ends[:, 0])), np.minimum(high, np.floor(ends[:, 1]))
    return np.clip(0.0, low, np.maximum(low, high)), np.asarray(possible & (low <= high))


def _turned(steps: dict[int, int]) -> Steps:
    """Four numbers of steps from those that are not 0."""
    lf, rf, lr, rr = (steps.get(corner, 0) for corner in range(4))
    return lf, rf, lr, rr
