"""Better plates by trying: all that can be done at one, two or three mounts at once, in numpy.

It proves nothing and need not find the best. The solver is asked afterwards whether anything is better still, and that
it answers much sooner when the counts at hand are hard to beat.
"""

import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ballast.physics.statics import Array
from ballast.planning import measures
from ballast.planning.measures import Balance
from ballast.planning.rows import Programme
from ballast.planning.table import Places, Whole
from ballast.planning.tally import CLOSE, Moves, Sums, Tally
from ballast.planning.task import Task

ROUNDS = 30
"""How often the best combination is made, and the search goes on from there."""
PAIRS = 60_000
TRIPLES = 150_000
"""How many combinations are put together in one round; of more, every second, third ... is."""
NEAREST = 150
"""Moves that come nearest to what is wanted, of which all pairs are tried."""
FAR = 6
"""Rounds from what stands now. A plan farther away is left to the solver."""
HANDLED = 0.02
"""What a plate handled counts beside a kilogram missed: of two ways that miss as much, the shorter one is taken."""
GRAIN = 1e-8
"""Of kg, points and m: less does not tell two combinations apart, since it depends on the machine."""
LARGEST = 2000
"""Mounts times kinds that they take. With more, trying takes more time and memory than it saves."""
OF_BALANCE = ("balance", "balance sum", "aim")


@dataclass(frozen=True)
class Tried:
    """B combinations of moves, judged only as far as somebody asks."""

    tally: Tally
    here: Sums
    add: Sums
    chosen: tuple[Places, ...]
    """numbers of moves, (B,) for each mount of the combinations"""

    def __len__(self) -> int:
        return len(self.chosen[0])

    def one(self, number: int) -> tuple[int, ...]:
        """The moves of one combination."""
        return tuple(int(each[number]) for each in self.chosen)

    def kept(self, mask: Whole) -> "Tried":
        """Those where the mask is true."""
        return self if mask.all() else replace(self, chosen=tuple(each[mask] for each in self.chosen))

    def rows(self) -> Array:
        """(B, R)"""
        return np.asarray(self.here.rows + sum(self.add.rows[each] for each in self.chosen))

    def worth(self, wish: str) -> Array:
        """What a wish comes to, (B,), in the unit of the programme's objective."""
        if wish == "changes":
            put_on = self.here.put_on + sum(self.add.put_on[each] for each in self.chosen)
            taken_off = self.here.taken_off + sum(self.add.taken_off[each] for each in self.chosen)
            return measures.changes_of(put_on, taken_off)
        if wish in OF_BALANCE:
            return self.balance.of(wish)
        return np.asarray(self.here.worth[wish] + sum(self.add.worth[wish][each] for each in self.chosen))

    @cached_property
    def balance(self) -> Balance:
        """Misses and distances, (B,) each."""
        loads = self.here.loads + sum(self.add.loads[each] for each in self.chosen)
        return self.tally.balance(loads)


class Exchange:
    """Tries plates for one programme, as it stands when this is made."""

    def __init__(self, task: Task, programme: Programme) -> None:
        """Later holds are told as limits."""
        self._tally, self._required = Tally(task, programme), task.required
        self._fitted = np.where(task.room.accepts > 0, task.room.fitted, 0.0)

    def improved(
        self, wish: str, counts: Array, limits: Mapping[str, float], step: float, deadline: float = np.inf
    ) -> Array:
        """Counts that keep all rows and limits and have less of a wish, as far as trying goes; else those given.

        counts : (M, P). limits : the most that other wishes may come to, "mass" among them. step : a gain too small to
        matter. deadline : of time.perf_counter(), looked at before each round.
        """
        for _ in range(ROUNDS):
            if time.perf_counter() >= deadline:
                return counts
            here, moves = self._tally.sums(counts), self._tally.moves(counts)
            least = float(Tried(self._tally, here, here, ()).worth(wish)) - step
            for tried in self._within(here, moves, limits["mass"]):
                keep = self._keeping(tried.kept(tried.worth(wish) <= least + CLOSE), limits)
                if len(keep):
                    counts = moves.made(counts, keep.one(_least(keep.worth(wish))))
                    break
            else:
                return counts
        return counts

    def from_fitted(self, limits: Mapping[str, float], deadline: float = np.inf) -> Array | None:
        """Counts that keep all rows and limits, with few plates handled, step by step from what stands now; or none.

        A step is the move or pair of moves after which least is missed, until one, two or three more miss nothing. A
        step that does not halve what is missed is on no short way.
        """
        counts, nearest = self._fitted, np.inf
        for _ in range(FAR):
            if time.perf_counter() >= deadline:
                return None
            here, moves = self._tally.sums(counts), self._tally.moves(counts)
            for tried in self._within(here, moves, limits["mass"]):
                keep = self._keeping(tried, limits)
                if len(keep):
                    return moves.made(counts, keep.one(_least(keep.worth("changes"))))
            found = [self._nearest(tried, limits) for tried in self._near(here, moves, limits)]
            missed, step = found[_least(np.array([each for each, _ in found]))]
            if missed >= nearest / 2:
                return None
            nearest, counts = missed, moves.made(counts, step)
        return None

    def _near(self, here: Sums, moves: Moves, limits: Mapping[str, float]) -> tuple[Tried, Tried]:
        """All moves, and all pairs of those that come nearest to keeping rows and limits."""
        alone = Tried(self._tally, here, moves.add, (np.arange(len(moves.mount)),))
        order = np.argsort(_grains(self._missed(alone, limits)), kind="stable")[:NEAREST]
        one, other = (order[each] for each in np.triu_indices(len(order), 1))
        apart = moves.mount[one] != moves.mount[other]
        return alone, replace(alone, chosen=(one[apart], other[apart]))

    def _nearest(self, tried: Tried, limits: Mapping[str, float]) -> tuple[float, tuple[int, ...]]:
        """What is missed by the combination that misses least, plates handled counted in, and its moves."""
        if not len(tried):
            return np.inf, ()
        missed = self._missed(tried, limits) + HANDLED * tried.worth("changes")
        return float(missed[_least(missed)]), tried.one(_least(missed))

    def _within(self, here: Sums, moves: Moves, most: float) -> Iterator[Tried]:
        """Combinations after which the mass over the required one is between nought and the most: of one, two, three.

        Sorted by mass, the partners of a move (or of a pair) lie next to each other: what would be too heavy or too
        light is not even put together.
        """
        mass, mount = moves.add.worth["mass"], moves.mount
        low, high = -float(here.worth["mass"]) - CLOSE, most - float(here.worth["mass"]) + CLOSE
        tried = Tried(self._tally, here, moves.add, (np.arange(len(mount)),))
        yield tried.kept((mass >= low) & (mass <= high))
        one, other = _together(mass, mass, low, high, PAIRS)
        apart = (one < other) & (mount[one] != mount[other])
        yield replace(tried, chosen=(one[apart], other[apart]))
        one, other = np.triu_indices(len(mount), 1)
        apart = np.flatnonzero(mount[one] != mount[other])
        apart = apart[:: max(1, -(-len(apart) // TRIPLES))]
        one, other = one[apart], other[apart]
        pair, third = _together(mass[one] + mass[other], mass, low, high, TRIPLES)
        one, other = one[pair], other[pair]
        apart = (other < third) & (mount[one] != mount[third]) & (mount[other] != mount[third])
        yield replace(tried, chosen=(one[apart], other[apart], third[apart]))

    def _keeping(self, tried: Tried, limits: Mapping[str, float]) -> Tried:
        """Those that keep all rows and limits, cheap questions first."""
        for wish in sorted(limits, key=lambda wish: wish in OF_BALANCE):
            tried = tried.kept(tried.worth(wish) <= limits[wish] + CLOSE)
        rows = tried.rows()
        return tried.kept(np.all((rows >= self._tally.low - CLOSE) & (rows <= self._tally.high + CLOSE), axis=1))

    def _missed(self, tried: Tried, limits: Mapping[str, float]) -> Array:
        """By how much rows and limits are missed, in all: kg, plates, and kg for points of the required total."""
        rows = tried.rows()
        missed = (np.maximum(rows - self._tally.high, 0.0) + np.maximum(self._tally.low - rows, 0.0)).sum(axis=1)
        for wish, most in limits.items():
            point = self._required / 100 if wish in OF_BALANCE else 1.0
            missed += point * np.maximum(tried.worth(wish) - most, 0.0)
        return np.asarray(missed)


def trying(task: Task, programme: Programme) -> Exchange | None:
    """Who tries plates; nobody where a car has so many places for them that it would not pay."""
    return Exchange(task, programme) if task.room.accepts.sum() <= LARGEST else None


def _least(values: Array) -> int:
    """Number of the least value; the first of those that only the noise of a double tells apart."""
    return int(np.argmin(_grains(values)))


def _grains(values: Array) -> Array:
    """Values in whole grains. No figure that somebody writes, in kilograms or pounds, lies where one grain ends."""
    return np.asarray(np.floor(values / GRAIN + np.pi / 10))


def _together(one: Array, other: Array, low: float, high: float, most: int) -> tuple[Places, Places]:
    """Numbers i, j with low <= one[i] + other[j] <= high; of more than the most, every second, third ... of them."""
    order = np.argsort(_grains(other), kind="stable")
    begin = np.searchsorted(other[order], low - one, "left")
    many = np.maximum(np.searchsorted(other[order], high - one, "right") - begin, 0)
    ends = np.cumsum(many)
    total = int(ends[-1]) if len(ends) else 0
    every = np.arange(0, total, max(1, -(-total // most)))
    first = np.searchsorted(ends, every, "right")
    return first, order[begin[first] + every - (ends[first] - many[first])]
