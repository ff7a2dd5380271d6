"""Labels in two columns beside a car: who stands where, so that no text meets another and leaders stay readable.

Places are points on paper, x to the right and y down, from the middle of the front axle.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

Point = tuple[float, float]

BETWEEN = 5.0
"""Least distance between two labels of one column. [pt]"""
NEAR = 7.0
"""A leader this near to another mark could be taken for that mark's own. [pt]"""
HELD = 400.0
"""How much more a held label counts than one with a leader."""
LENGTH, CROSSED, MISTAKEN = 4.0, 1500.0, 1500.0
"""What a point of leader, a crossing, and a leader past another mark cost, against a square point of shift."""
MOST_LOOKS = 600_000
"""Leaders compared with leaders, in all: about a second. Few cars need a tenth of it."""


@dataclass(frozen=True)
class Label:
    """A block of text that belongs to a place on the car."""

    anchor: Point
    height: float
    lead: float
    """from the top of the block to where its leader starts"""
    held: bool = False
    """beside its place, without a leader: kept on its side and, as far as it goes, at its height"""


@dataclass(frozen=True)
class Spot:
    """Where a label goes."""

    on_left: bool
    top: float


Order = tuple[tuple[int, ...], tuple[int, ...]]
"""Indices of the labels of the left and of the right column, from the top."""


def arranged(labels: Sequence[Label], bend: float) -> list[Spot]:
    """A spot for each label: first the plain order, then whatever exchange makes it better, until none does.

    bend : distance from the centre line at which a leader, level so far, turns towards its mark. [pt]
    """
    best = _plain_order(labels)
    least = _cost(labels, best, bend)
    tries, better = 0, True
    while better and tries * len(labels) ** 2 < MOST_LOOKS:
        better = False
        for other in _neighbours(labels, best):
            tries += 1
            cost = _cost(labels, other, bend)
            if cost < least - 1e-6:
                best, least, better = other, cost, True
                break
    tops = _tops(labels, best)
    left = set(best[0])
    return [Spot(index in left, tops[index]) for index in range(len(labels))]


def _plain_order(labels: Sequence[Label]) -> Order:
    sides: tuple[list[int], list[int]] = ([], [])
    for index in sorted(range(len(labels)), key=lambda i: (labels[i].anchor[1], labels[i].anchor[0])):
        across = labels[index].anchor[0]
        fuller_left = len(sides[0]) > len(sides[1])
        sides[int(across > 0 or (across == 0 and fuller_left))].append(index)
    return tuple(sides[0]), tuple(sides[1])


def _neighbours(labels: Sequence[Label], order: Order) -> Iterator[Order]:
    for side in (0, 1):
        column, other = order[side], order[1 - side]
        for at in range(len(column) - 1):
            if not (labels[column[at]].held and labels[column[at + 1]].held):
                yield _sides(side, (*column[:at], column[at + 1], column[at], *column[at + 2 :]), other)
        for at, index in enumerate(column):
            if not labels[index].held:
                place = sum(labels[i].anchor[1] <= labels[index].anchor[1] for i in other)
                yield _sides(side, column[:at] + column[at + 1 :], (*other[:place], index, *other[place:]))


def _sides(side: int, this: tuple[int, ...], other: tuple[int, ...]) -> Order:
    return (this, other) if side == 0 else (other, this)


def _wanted(label: Label) -> float:
    return label.anchor[1] - (label.height / 2 if label.held else label.lead)


def _weight(label: Label) -> float:
    return HELD if label.held else 1.0


def _tops(labels: Sequence[Label], order: Order) -> dict[int, float]:
    """Tops nearest to where they are wanted, in this order and without overlap: least squares by pooling neighbours."""
    tops: dict[int, float] = {}
    for column in order:
        pools: list[tuple[float, float, list[int]]] = []
        before, offset = 0.0, {}
        for index in column:
            offset[index] = before
            before += labels[index].height + BETWEEN
            pools.append((_wanted(labels[index]) - offset[index], _weight(labels[index]), [index]))
            while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
                (low, light, members), (high, heavy, more) = pools[-2:]
                weight = light + heavy
                pools[-2:] = [((low * light + high * heavy) / weight, weight, members + more)]
        tops |= {index: level + offset[index] for level, _, members in pools for index in members}
    return tops


def _cost(labels: Sequence[Label], order: Order, bend: float) -> float:
    tops = _tops(labels, order)
    cost = sum(_weight(labels[i]) * (top - _wanted(labels[i])) ** 2 for i, top in tops.items())
    leaders = {
        index: ((sign * bend, tops[index] + labels[index].lead), labels[index].anchor)
        for sign, column in zip((-1, 1), order, strict=True)
        for index in column
        if not labels[index].held
    }
    for index, (start, end) in leaders.items():
        cost += LENGTH * _distance(start, end)
        for other, (begin, anchor) in leaders.items():
            if other != index and _distance(anchor, end) > NEAR:
                cost += MISTAKEN * (_apart(anchor, start, end) < NEAR) + CROSSED / 2 * _cross(start, end, begin, anchor)
    return cost


def _distance(one: Point, other: Point) -> float:
    return float(((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2) ** 0.5)


def _apart(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from a stretch of line."""
    along = (end[0] - start[0], end[1] - start[1])
    square = along[0] ** 2 + along[1] ** 2
    if not square:
        return _distance(point, start)
    share = ((point[0] - start[0]) * along[0] + (point[1] - start[1]) * along[1]) / square
    share = min(max(share, 0.0), 1.0)
    return _distance(point, (start[0] + share * along[0], start[1] + share * along[1]))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two stretches of line cross inside both."""
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0
