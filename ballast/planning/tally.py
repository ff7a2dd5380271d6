"""What counts of plates come to, in rows and in wishes, and what everything that can be done at one mount adds to it.

A *move* is what can be done at one mount: a plate put on, taken off, or changed for one of another kind; where the
mount changes with the driver, for one of them or for all alike. What moves at different mounts do to rows, loads and
plates handled adds up exactly, so that thousands of combinations can be judged in one sum.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ballast.physics.statics import Array
from ballast.planning import measures
from ballast.planning.cases import Layout, yaw_inertia
from ballast.planning.measures import Balance
from ballast.planning.rows import Programme
from ballast.planning.table import Places, table_of
from ballast.planning.task import Task

CLOSE = 1e-9
"""What a row or a hold may be missed by: the noise of doubles."""


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


class Tally:
    """Rows and wishes of one programme, as it stands when this is made."""

    def __init__(self, task: Task, programme: Programme) -> None:
        """Rows that speak of counts and hardware alone are kept; the others only define what wishes need."""
        self._task, self._room = task, task.room
        mounts = list(dict.fromkeys(task.room.mounts))
        self._mount = np.array([mounts.index(name) for name in task.room.mounts])
        self._kits = [rows for _, rows in measures.kit_rows(task.room)] if len(task.room.aboard) > 1 else []
        self._balanced = tuple(case for case in task.cases if case.balance)
        self._local, self._low_here, self._high_here, self._wide, self.low, self.high = self._rows(programme)
        row, mass = _columns(task.room)
        self._per_set = mass[:, None, None] * task.room.aboard.T[row][:, :, None] * task.room.influence[row][:, None, :]
        self._adding = _adding(task)
        self._bare = float(np.mean([case.bare_loads.sum() for case in task.cases if case.legal])) - task.required

    def balance(self, loads: Array) -> Balance:
        """What the wishes for balance come to. loads : of the plates, (B, K, 4). [kg]"""
        here = [case.bare_loads + loads[..., case.crew, :] for case in self._balanced]
        return measures.balance_of(self._balanced, self._task.bands, self._task.wishes, here)

    def sums(self, counts: Array) -> Sums:
        """What is judged, of some counts. counts : (M, P)."""
        held = self._held(counts)
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
        """What can be done at single mounts so that all rows that speak of one mount alone are kept; first, nothing."""
        entries, by = self._listed(counts)
        row, held = entries // counts.shape[1], self._held(counts)
        same = row[:, :, None] == row[:, None, :]
        after = counts.sum(axis=1)[row] + (same * by[:, None, :]).sum(axis=-1)
        first = ~np.tril(same, -1).any(axis=-1)  # the hardware of a row comes and goes once
        used = first * ((after > 0) - self._room.in_use(counts)[row])
        here = held @ self._local + _added(self._local, entries, by, used, counts)
        fits = np.all((here >= self._low_here - CLOSE) & (here <= self._high_here + CLOSE), axis=1)
        fits &= np.all(counts.ravel()[entries] + by >= 0, axis=1)
        entries, by, used = entries[fits], by[fits], used[fits]
        put_on, taken_off = self._handled(counts, entries, by)
        worth = {name: _added(factors, entries, by, used, counts) for name, factors in self._adding.items()}
        add = Sums(
            rows=_added(self._wide, entries, by, used, counts),
            loads=_added(self._per_set, entries, by, used, counts),
            put_on=put_on,
            taken_off=taken_off,
            worth={**worth, "stop": self._at_stops(counts, entries, by)},
        )
        return Moves(entries, by, self._mount[entries[:, 0] // counts.shape[1]], add)

    def _held(self, counts: Array) -> Array:
        return np.concatenate([counts.ravel(), self._room.in_use(counts)])

    def _handled(self, counts: Array, entries: Places, by: Array) -> tuple[Array, Array]:
        """Plates more that are put on and taken off with each set after each move, (E, K, P) each."""
        row, kind = np.divmod(entries, counts.shape[1])
        before = measures.put_and_taken(self._room, counts)
        difference = counts.ravel()[entries] + by - self._room.fitted.ravel()[entries]
        after = np.maximum(difference, 0), np.maximum(-difference, 0)
        of_kind = (kind[:, :, None] == np.arange(counts.shape[1])).astype(float)
        put_on, taken_off = (
            np.einsum("ewk,ew,ewp->ekp", self._room.aboard.T[row], now - then.ravel()[entries], of_kind)
            for now, then in zip(after, before, strict=True)
        )
        return put_on, taken_off

    def _listed(self, counts: Array) -> tuple[Places, Array]:
        """Entries (E, W) and by how many plates they change, whether it fits or not; in the first none does."""
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
        nothing = np.zeros((1, 2))
        listed, changed = [nothing.astype(int), np.stack(entries, axis=1)], [nothing, np.stack(by, axis=1)]
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
            if where.min(initial=0) >= 0:  # a row that no plate can change is kept or broken by all
                np.add.at(factors[:, number], where, table.factors[start:end])
                (here if len(where) and np.ptp(mount[where]) == 0 else wide).append(number)
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


def _added(factors: Array, entries: Places, by: Array, used: Array, counts: Array) -> Array:
    """What each move adds to sums over the columns. factors : (N + M, ...). Returns (E, ...)."""
    plates = np.einsum("ew,ew...->e...", by, factors[entries])
    hardware = np.einsum("ew,ew...->e...", used, factors[counts.size + entries // counts.shape[1]])
    return np.asarray(plates + hardware)
