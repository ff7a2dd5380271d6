"""Better plates by trying: all that can be done at one, two or three mounts at once, in numpy.

It proves nothing and need not find the best. The solver is asked afterwards whether anything is better still, and that
it answers much sooner when the counts at hand are hard to beat.

A *move* is what can be done at one mount: a plate put on, taken off, or changed for one of another kind; where the
mount changes with the driver, for one of them or for all alike. What moves at different mounts do to rows, loads and
plates handled adds up exactly, so that thousands of combinations are judged in one sum.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ballast.physics.statics import Array
from ballast.planning import measures
from ballast.planning.cases import Layout, yaw_inertia
from ballast.planning.measures import Balance
from ballast.planning.rows import Programme
from ballast.planning.table import Places, Whole, table_of
from ballast.planning.task import Task

CLOSE = 1e-9
"""What a row or a hold may be missed by: the noise of doubles."""
ROUNDS = 30
"""How often the best combination is made, and the search goes on from there."""
PAIRS = 60_000
TRIPLES = 150_000
"""How many combinations are judged in one round; of more, every second, third ... is."""
NEAREST = 150
"""Moves that come nearest to what is wanted, of which all pairs are tried."""
FAR = 6
"""Rounds from what stands now. A plan farther away is left to the solver."""
HANDLED = 0.02
"""What a plate handled counts beside a kilogram missed: of two ways to the same, the shorter one is gone."""
DIGITS = 8
"""Decimals of kg, points and m that tell two combinations apart; what comes after them depends on the machine."""
OF_BALANCE = ("balance", "balance sum", "aim")


@dataclass(frozen=True)
class Sums:
    """What is judged: of some counts, or (with E in front) what each of E moves adds to it."""

    rows: Array
    """of the rows that speak of several mounts, (R,)"""
    loads: Array
    """that the plates of each set put on the corners, (K, 4) [kg]"""
    put_on: Array
    """with each set, of each kind, (K, P)"""
    taken_off: Array
    """(K, P)"""
    worth: Mapping[str, Array]
    """of the wishes that add up"""


@dataclass(frozen=True)
class Moves:
    """E moves from some counts."""

    entries: Places
    """of the counts, laid flat, that a move changes, (E, W)"""
    by: Array
    """by how many plates, (E, W); nought where a move has fewer entries"""
    mount: Places
    """(E,)"""
    add: Sums

    def made(self, counts: Array, chosen: tuple[int, ...]) -> Array:
        """Counts after some moves at different mounts. counts : (M, P)."""
        after = counts.flatten()
        for move in chosen:
            np.add.at(after, self.entries[move], self.by[move])
        return after.reshape(counts.shape)


@dataclass(frozen=True)
class Tried:
    """B combinations of moves, judged only as far as somebody asks."""

    exchange: "Exchange"
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
            return {"balance": self.balance.worst, "balance sum": self.balance.misses, "aim": self.balance.aims}[wish]
        return np.asarray(self.here.worth[wish] + sum(self.add.worth[wish][each] for each in self.chosen))

    @cached_property
    def balance(self) -> Balance:
        """Misses and distances, (B,) each."""
        loads = self.here.loads + sum(self.add.loads[each] for each in self.chosen)
        return self.exchange.balance(loads)


class Exchange:
    """Rows and wishes of one programme, as it stands when this is made, for judging many counts at once."""

    def __init__(self, task: Task, programme: Programme) -> None:
        """Rows that speak of counts and hardware alone are kept; the others only define what wishes need."""
        self._task, self._room = task, task.room
        mounts = list(dict.fromkeys(task.room.mounts))
        self._mount = np.array([mounts.index(name) for name in task.room.mounts])
        self._kits = [rows for _, rows in measures.kit_rows(task.room)] if len(task.room.aboard) > 1 else []
        self._balanced = tuple(case for case in task.cases if case.balance)
        self._local, self._low_here, self._high_here, self._wide, self._low, self._high = self._rows(programme)
        row, mass = _columns(task.room)
        self._per_set = mass[:, None, None] * task.room.aboard.T[row][:, :, None] * task.room.influence[row][:, None, :]
        self._adding = _adding(task)
        self._bare = float(np.mean([case.bare_loads.sum() for case in task.cases if case.legal])) - task.required

    def improved(self, wish: str, counts: Array, limits: Mapping[str, float], step: float) -> Array:
        """Counts that keep all rows and limits and have less of a wish, as far as trying goes; else those given.

        counts : (M, P). limits : the most that other wishes may come to, "mass" among them. step : a gain too small to
        matter.
        """
        for _ in range(ROUNDS):
            here, moves = self.sums(counts), self.moves(counts)
            least = float(Tried(self, here, here, ()).worth(wish)) - step
            for tried in self._within(here, moves, limits["mass"]):
                keep = self._keeping(tried.kept(tried.worth(wish) <= least), limits)
                if len(keep):
                    counts = moves.made(counts, keep.one(_least(keep.worth(wish))))
                    break
            else:
                return counts
        return counts

    def from_fitted(self, limits: Mapping[str, float]) -> Array | None:
        """Counts that keep all rows and limits, with few plates handled, step by step from what stands now; or none.

        A step is the move or pair of moves after which least is missed, until one, two or three more miss nothing. A
        step that does not halve what is missed is on no short way.
        """
        counts, nearest = self._room.fitted, np.inf
        for _ in range(FAR):
            here, moves = self.sums(counts), self.moves(counts)
            for tried in self._within(here, moves, limits["mass"]):
                keep = self._keeping(tried, limits)
                if len(keep):
                    return moves.made(counts, keep.one(_least(keep.worth("changes"))))
            missed, step = min(self._nearest(tried, limits) for tried in self._near(here, moves, limits))
            if missed >= nearest / 2:
                return None
            nearest, counts = missed, moves.made(counts, step)
        return None

    def _near(self, here: Sums, moves: Moves, limits: Mapping[str, float]) -> tuple[Tried, Tried]:
        """All moves, and all pairs of those that come nearest to keeping rows and limits."""
        alone = Tried(self, here, moves.add, (np.arange(len(moves.mount)),))
        order = np.argsort(_told_apart(self._missed(alone, limits)), kind="stable")[:NEAREST]
        one, other = (order[each] for each in np.triu_indices(len(order), 1))
        apart = moves.mount[one] != moves.mount[other]
        return alone, replace(alone, chosen=(one[apart], other[apart]))

    def _nearest(self, tried: Tried, limits: Mapping[str, float]) -> tuple[float, tuple[int, ...]]:
        """What is missed by the combination that misses least, plates handled counted in, and its moves."""
        if not len(tried):
            return np.inf, ()
        missed = self._missed(tried, limits) + HANDLED * tried.worth("changes")
        return float(missed[_least(missed)]), tried.one(_least(missed))

    def balance(self, loads: Array) -> Balance:
        """What the wishes for balance come to. loads : of the plates, (B, K, 4). [kg]"""
        here = [case.bare_loads + loads[..., case.crew, :] for case in self._balanced]
        return measures.balance_of(self._balanced, self._task.bands, self._task.wishes, here)

    def _within(self, here: Sums, moves: Moves, most: float) -> Iterator[Tried]:
        """Combinations after which the mass over the required one is between nought and the most: of one, two, three.

        Sorted by mass, the partners of a move lie next to each other: what would be too heavy or too light is not even
        put together.
        """
        mass, mount = _told_apart(moves.add.worth["mass"]), moves.mount
        low, high = -float(here.worth["mass"]) - CLOSE, most - float(here.worth["mass"]) + CLOSE
        tried = Tried(self, here, moves.add, (np.arange(len(mount)),))
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
        return tried.kept(np.all((rows >= self._low - CLOSE) & (rows <= self._high + CLOSE), axis=1))

    def _missed(self, tried: Tried, limits: Mapping[str, float]) -> Array:
        """By how much rows and limits are missed, in all: kg, plates, and kg for points of the required total."""
        rows = tried.rows()
        missed = (np.maximum(rows - self._high, 0.0) + np.maximum(self._low - rows, 0.0)).sum(axis=1)
        for wish, most in limits.items():
            point = self._task.required / 100 if wish in OF_BALANCE else 1.0
            missed += point * np.maximum(tried.worth(wish) - most, 0.0)
        return np.asarray(missed)

    def sums(self, counts: Array) -> Sums:
        """What is judged, of some counts. counts : (M, P)."""
        held = np.concatenate([counts.ravel(), self._room.in_use(counts)])
        put_on, taken_off = measures.put_and_taken(self._room, counts)
        worth = {name: held @ factors for name, factors in self._adding.items()}
        worth["mass"] = worth["mass"] + self._bare
        worth["stop"] = np.asarray(measures.stop_plates(self._room, counts))
        return Sums(
            rows=held @ self._wide,
            loads=np.tensordot(held, self._per_set, axes=1),
            put_on=self._room.aboard @ put_on,
            taken_off=self._room.aboard @ taken_off,
            worth=worth,
        )

    def moves(self, counts: Array) -> Moves:
        """What can be done at single mounts without breaking a row that speaks of one mount alone."""
        entries, by = self._listed(counts)
        row, kind = np.divmod(entries, counts.shape[1])
        same = row[:, :, None] == row[:, None, :]
        after = counts.sum(axis=1)[row] + (same * by[:, None, :]).sum(axis=-1)
        first = ~np.tril(same, -1).any(axis=-1)  # hardware of a row counts once
        used = first * ((after > 0) - self._room.in_use(counts)[row])
        hardware = counts.size + row

        def added(factors: Array) -> Array:
            return np.asarray(
                np.einsum("ew,ew...->e...", by, factors[entries]) + np.einsum("ew,ew...->e...", used, factors[hardware])
            )

        held = np.concatenate([counts.ravel(), self._room.in_use(counts)])
        here = held @ self._local + added(self._local)
        fits = np.all((here >= self._low_here - CLOSE) & (here <= self._high_here + CLOSE), axis=1)
        fits &= np.all(counts.ravel()[entries] + by >= 0, axis=1)
        entries, row, kind, hardware = (each[fits] for each in (entries, row, kind, hardware))
        by, used = by[fits], used[fits]
        put_before, off_before = measures.put_and_taken(self._room, counts)
        difference = counts.ravel()[entries] + by - self._room.fitted.ravel()[entries]
        of_kind = (kind[:, :, None] == np.arange(counts.shape[1])).astype(float)
        aboard = self._room.aboard.T[row]
        put_on = np.maximum(difference, 0) - put_before.ravel()[entries]
        taken_off = np.maximum(-difference, 0) - off_before.ravel()[entries]
        worth = {name: added(factors) for name, factors in self._adding.items()}
        worth["stop"] = self._at_stops(counts, entries, by)
        return Moves(
            entries=entries,
            by=by,
            mount=self._mount[row[:, 0]],
            add=Sums(
                rows=added(self._wide),
                loads=added(self._per_set),
                put_on=np.einsum("ewk,ew,ewp->ekp", aboard, put_on, of_kind),
                taken_off=np.einsum("ewk,ew,ewp->ekp", aboard, taken_off, of_kind),
                worth=worth,
            ),
        )

    def _listed(self, counts: Array) -> tuple[Places, Array]:
        """Entries (E, W) and by how many plates they change, whether it fits or not."""
        kinds = counts.shape[1]
        on = np.argwhere(self._room.accepts > 0)
        off = np.argwhere(counts > self._room.staying)
        old, new = np.nonzero((off[:, None, 0] == on[None, :, 0]) & (off[:, None, 1] != on[None, :, 1]))
        put, take = on @ (kinds, 1), off @ (kinds, 1)
        entries = np.concatenate([put, take, take[old]]), np.concatenate([put, take, put[new]])
        by = (
            np.repeat([1.0, -1.0, -1.0], [len(put), len(take), len(old)]),
            np.repeat([0.0, 1.0], [len(put) + len(take), len(old)]),
        )
        listed, changed = [np.stack(entries, axis=1)], [np.stack(by, axis=1)]
        for rows in self._kits:
            for alike, plates in _alike(counts, self._room, rows):
                listed.append(alike[None])
                changed.append(plates[None])
        width = max(each.shape[1] for each in listed)
        wide = [
            np.concatenate([each, np.repeat(each[:, :1], width - each.shape[1], axis=1)], axis=1) for each in listed
        ]
        padded = [np.pad(each, ((0, 0), (0, width - each.shape[1]))) for each in changed]
        return np.concatenate(wide), np.concatenate(padded)

    def _at_stops(self, counts: Array, entries: Places, by: Array) -> Array:
        """Plates more at the stops after each move, (E,)."""
        more, kinds = np.zeros(len(entries)), counts.shape[1]
        for rows in self._kits:
            here = np.flatnonzero(np.isin(entries[:, 0] // kinds, rows))
            after = np.repeat(counts[rows][None], len(here), axis=0)
            at = np.searchsorted(rows, entries[here] // kinds)
            np.add.at(after, (np.arange(len(here))[:, None], at, entries[here] % kinds), by[here])
            more[here] = np.ptp(after, axis=1).sum(axis=1) - np.ptp(counts[rows], axis=0).sum()
        return more

    def _rows(self, programme: Programme) -> tuple[Array, Array, Array, Array, Array, Array]:
        """Factors and ends of the rows about one mount, (N + M, L), (L,), (L,), then of those about several."""
        table = table_of(programme.problem, programme.objectives["total"], np.inf)
        many, kinds = self._room.accepts.shape
        at = {variable.name: m * kinds + p for (m, p), variable in programme.count.items()}
        at |= {use.name: many * kinds + m for m, use in programme.use.items()}
        column = np.array([at.get(name, -1) for name in table.names])
        mount = self._mount[_columns(self._room)[0]]
        here, wide = list[int](), list[int]()
        factors = np.zeros((many * kinds + many, len(table.low)))
        for number, (start, end) in enumerate(zip(table.starts[:-1], table.starts[1:], strict=True)):
            where = column[table.index[start:end]]
            if len(where) and where.min() >= 0:
                np.add.at(factors[:, number], where, table.factors[start:end])
                (here if np.ptp(mount[where]) == 0 else wide).append(number)
        return (
            factors[:, here],
            table.low[here],
            table.high[here],
            factors[:, wide],
            table.low[wide],
            table.high[wide],
        )


def _alike(counts: Array, room: Layout, rows: list[int]) -> Iterator[tuple[Places, Array]]:
    """Where plates change with the driver: one put on, taken off or changed for all; one driver's as another's."""
    kinds, takes = counts.shape[1], room.accepts[rows].all(axis=0)
    flat, here = np.array(rows) * kinds, counts[rows] > room.staying[rows]
    for p in np.flatnonzero(takes):
        yield flat + p, np.ones(len(rows))
        having = here[:, p].astype(float)
        if having.any():
            yield flat + p, -having
            for q in np.flatnonzero(takes):
                if q != p:
                    yield np.concatenate([flat + p, flat + q]), np.concatenate([-having, having])
    for one in rows:
        for other in rows:
            differs = np.flatnonzero(counts[other] - counts[one])
            if 0 < len(differs) <= 2 * len(rows):
                yield one * kinds + differs, (counts[other] - counts[one])[differs]


def _columns(room: Layout) -> tuple[Places, Array]:
    """Row and mass of every column: a plate of each kind at each mount, then the hardware of each. (N + M,) [kg]"""
    many, kinds = room.accepts.shape
    row = np.concatenate([np.repeat(np.arange(many), kinds), np.arange(many)])
    return row, np.concatenate([np.tile(room.plate_mass, many), room.fixing])


def _adding(task: Task) -> dict[str, Array]:
    """Factors of the wishes that add up over the columns, (N + M,) each."""
    room, (row, mass) = task.room, _columns(task.room)
    legal = np.mean([room.aboard[case.crew] for case in task.cases if case.legal], axis=0)
    plates = np.arange(len(row)) < room.accepts.size
    found = {
        "mass": mass * legal[row],
        "pieces": plates.astype(float),
        "yaw": mass * yaw_inertia(room, task.cases)[row],
    }
    if room.undersides is not None:
        up = np.concatenate([(room.undersides[:, None] + room.thickness / 2).ravel(), room.undersides])
        found["height"] = mass * up * room.aboard.mean(axis=0)[row] / task.required
    return found


def _least(values: Array) -> int:
    """Number of the least value; the first of those that only the noise of a double tells apart."""
    return int(np.argmin(_told_apart(values)))


def _told_apart(values: Array) -> Array:
    return np.round(values, DIGITS)


def _together(one: Array, other: Array, low: float, high: float, most: int) -> tuple[Places, Places]:
    """Numbers i, j with low <= one[i] + other[j] <= high; of more than the most, every second, third ... of them."""
    order = np.argsort(other, kind="stable")
    begin = np.searchsorted(other[order], low - one, "left")
    many = np.maximum(np.searchsorted(other[order], high - one, "right") - begin, 0)
    ends = np.cumsum(many)
    total = int(ends[-1]) if len(ends) else 0
    every = np.arange(0, total, max(1, -(-total // most)))
    first = np.searchsorted(ends, every, "right")
    return first, order[begin[first] + every - (ends[first] - many[first])]
