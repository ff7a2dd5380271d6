"""Every way of fitting the plates of a small car, and what each is worth, written from the design and nothing else.

Sources: physics.md section 3 for the share of a mass on each corner, planning.md sections 1 to 4 for limits, bands and
wishes, JCGM 100:2008 for the guards. Records are read; nothing of the planner's or the scrutineer's is used.
Symbols: N ways, M rows of counts (one for each mount; on a mount that changes with the driver, one for each driver), K
sets of plates that can be aboard, P kinds of plate; kg, m, and percentage points of the nominal total.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from math import prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ballast.records.crew import Driver
from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import GreatestShare, LeastMass, MinimumWeight
from tests.exactness.rules import barred_by, bolt_count_cap, bolt_strength_cap
from tests.exactness.states import (
    IN_WORDS,
    Lump,
    Stand,
    between,
    by_rule,
    changed_parts,
    of_case,
    on_top,
    ruled,
    shape_of,
    weighed,
)

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

CLOSE = 1e-7
"""What meets a limit to this is taken to meet it: sums of decimal masses are not exact in binary. [kg, m]"""
MOST_WAYS = 3_000_000
T95 = {2: 12.71, 3: 4.30, 4: 3.18, 5: 2.78}
"""Student's factor for 95 % by number of settlings. Source: JCGM 100:2008, table G.2, one degree of freedom fewer."""
ON = {"front": (1, 1, 0, 0), "rear": (0, 0, 1, 1), "left": (1, 0, 1, 0), "RF+LR": (0, 1, 1, 0), "LF+RR": (1, 0, 0, 1)}
"""Corners counted, in the order LF, RF, LR, RR of physics.md section 1."""


@dataclass(frozen=True)
class Aimed:
    """One target: corner weights, aim and band. Shares of the total, or kg for the rear pair."""

    name: str
    corners: Floats
    aim: float
    within: float
    guard: float
    weight: float
    share: bool

    def away(self, loads: Floats) -> Floats:
        """Distance from the aim. loads : (N, 4). Returns (N,). [kg]"""
        return np.abs(loads @ self.corners - self.aim * (loads.sum(axis=1) if self.share else 1.0))

    def outside(self, loads: Floats) -> Floats:
        """Distance outside the band narrowed by its guard. loads : (N, 4). Returns (N,). [kg]"""
        narrow = self.within - self.guard
        return np.maximum(0.0, self.away(loads) - narrow * (loads.sum(axis=1) if self.share else 1.0))


@dataclass(frozen=True)
class State:
    """One state that a plan answers for, with every plate and its hardware taken off."""

    name: str
    driver: int | None
    """number of the driver"""
    legal: bool
    balance: bool
    aboard: int
    """which set of plates is"""
    stand: Stand
    bare: Floats
    """corner loads, (4,)"""
    required: float
    """least total, where it is asked for"""
    nominal: float = 0.0
    """what stands for the total in distances"""
    part: float = 0.0
    """of means over the states in which the targets are asked for"""


class Car:
    """The numbers of a question that its plans depend on."""

    def __init__(self, question: Question):
        self.question = question
        car, crew = question.car, question.car.drivers
        self.rows: list[tuple[Mount, str | None]] = [
            (mount, driver)
            for mount in car.mounts
            for driver in ([one.name for one in crew] if mount.changes_with_driver else [None])
        ]
        owners = [driver for _, driver in self.rows]
        self.sets = [[who in (None, one.name) for who in owners] for one in crew] if any(owners) else []
        self.aboard = np.array(self.sets or [[True] * len(self.rows)], dtype=np.int64)
        self.mounts, self.plates = [mount for mount, _ in self.rows], car.plates
        self.mass = np.array([plate.mass for plate in car.plates])
        self.thick = np.array([plate.thickness or 0.0 for plate in car.plates])
        self.owned = np.array([plate.count for plate in car.plates])
        self.hardware = np.array([mount.fixing_mass for mount in self.mounts])
        self.aft = np.array([mount.behind_front_axle for mount in self.mounts])
        self.left = np.array([mount.left_of_centre for mount in self.mounts])
        self.shape = shape_of(question)
        self.on_pads = self._table({(row.mount, row.plate, None): row.count for row in question.weigh_in.fitted})
        self.staying = self._table({(row.mount, row.plate, None): row.stay for row in question.weigh_in.fitted})
        placed = question.changed.placed if question.changed else ()
        by_hand = {(row.mount, row.plate, row.driver): row.count for row in placed}
        self.fitted = self._table(by_hand, otherwise=self.on_pads)
        self.readings = np.array([[r.LF, r.RF, r.LR, r.RR] for r in question.weigh_in.readings])
        self.weighed: Floats = self.readings.mean(axis=0)
        self.states = self._states()

    def _table(self, rows: dict[tuple[str, str, str | None], int], otherwise: Counts | None = None) -> Counts:
        """Counts by row and plate, (M, P): a driver's own where they are said, else everybody's, else others."""
        table = np.zeros((len(self.rows), len(self.plates)), dtype=np.int64) if otherwise is None else otherwise.copy()
        for m, (mount, driver) in enumerate(self.rows):
            for p, plate in enumerate(self.plates):
                for who in (None, driver):
                    table[m, p] = rows.get((mount.name, plate.name, who), table[m, p])
        return table

    def _states(self) -> list[State]:
        """Every driver at every point of the stint; the total is asked for at the flag, the balance where it is wished.

        The first one is the first driver's at the first point that is wished.
        """
        question, asked = self.question, self.question.wishes.balance_at
        crew: list[Driver | None] = [*question.car.drivers] or [None]
        points: list[str | None] = [*asked, *(point for point in IN_WORDS if point not in asked)]
        found = []
        for number, driver in enumerate(crew):
            for point in dict.fromkeys(points) if question.car.tanks else [None]:
                words = [driver.name if driver else "", IN_WORDS[point] if point else ""]
                number_of = number if driver else None
                stand = of_case(question, driver, point)
                bare = self._bare(stand, number_of)
                legal, balance = point in (None, "flag"), point is None or point in asked
                aboard = number if self.sets else 0
                found.append(
                    State(
                        name=", ".join(filter(None, words)) or "as weighed",
                        driver=number_of,
                        legal=legal,
                        balance=balance,
                        aboard=aboard,
                        stand=stand,
                        bare=bare,
                        required=self._required(stand, number_of, float(bare.sum()), aboard) if legal else 0.0,
                    )
                )
        return self._weighed_against_each_other(found)

    def _bare(self, stand: Stand, driver: int | None) -> Floats:
        """Corner loads without plates: as weighed, and what is aboard now and was not then. Returns (4,). [kg]"""
        lumps = between(self.question, weighed(self.question), stand)
        assert lumps is not None
        since = self.shape.loads([*lumps, *by_rule(self.question, driver), *changed_parts(self.question)])
        assert since is not None
        return np.asarray(self.weighed - self.added(self.on_pads[None])[0] + since)

    def _weighed_against_each_other(self, states: list[State]) -> list[State]:
        """Nominal totals and parts.

        Nominal: what a state weighs when its driver's total just reaches the required one; where all drivers share
        every plate, when the last of the drivers does. Parts: alike, or by driving time if that is wished.
        """
        lack = {s.driver: max(0.0, s.required - float(s.bare.sum())) for s in states if s.legal}
        shared = max(lack.values())
        drivers, by_time = self.question.car.drivers, self.question.wishes.crew == "by driving time"
        time = [
            (drivers[s.driver].driving_time if by_time and s.driver is not None else 1.0) if s.balance else 0.0
            for s in states
        ]
        return [
            replace(
                state,
                nominal=float(state.bare.sum()) + (lack[state.driver] if self.sets else shared),
                part=here / sum(time),
            )
            for state, here in zip(states, time, strict=True)
        ]

    def _required(self, stand: Stand, driver: int | None, bare: float, aboard: int) -> float:
        """The minimum that asks for most, else the total aimed at, else as it is (planning.md section 4). [kg]

        Minimum, what this state has more than the rule's, ballast by rule that comes on top, losses, bias of the scales
        against us, margin, and k times the standard uncertainty (physics.md section 7) of the weighed total, of what
        the rule's state differs by from the weighed one, and of the bias.
        """
        book, car = self.question.rulebook, self.question.car
        found = []
        for minimum in book.minima if book else ():
            if (asked := self._by_rule(minimum, stand)) is not None:
                more, off = asked
                bias, bias_off = self._bias()
                off = float(np.sqrt(self.of_sum(np.ones(4)) ** 2 + off**2 + bias_off**2))
                lost = sum(loss.mass for loss in car.losses) + on_top(self.question, driver)
                in_hand = car.margin.total + car.margin.uncertainties * off
                found.append(minimum.mass + more + lost + max(bias, 0.0) + in_hand)
        if found:
            return max(found)
        stood = self.on_mounts(self.on_pads[None])[0] @ self.aboard[aboard]
        return bare + float(stood) if car.targets.total is None else car.targets.total

    def _by_rule(self, minimum: MinimumWeight, stand: Stand) -> tuple[float, float] | None:
        """What a state has more than a minimum's, and how sure the step from the weighed state is; None if unknown."""
        there = ruled(self.question, minimum, stand)
        more, since = between(self.question, there, stand), between(self.question, weighed(self.question), there)
        if more is None or since is None:
            return None
        off = float(np.sqrt(sum(lump.kg_off**2 for lump in since)))
        return sum(lump.kg for lump in more), off

    @property
    def legal(self) -> list[State]:
        """The states in which a total is required."""
        return [state for state in self.states if state.legal]

    @property
    def required(self) -> float:
        """Mean of the totals required. [kg]"""
        return float(np.mean([state.required for state in self.legal]))

    def total(self, counts: Counts) -> Floats:
        """Mean of the totals in the states in which one is required. counts : (N, M, P). Returns (N,). [kg]"""
        return np.asarray(np.mean([self.loads(counts, state).sum(axis=1) for state in self.legal], axis=0))

    def _bias(self) -> tuple[float, float]:
        """Own reading less the official one: mean, and standard uncertainty of the mean (JCGM 100:2008, 4.2). [kg]"""
        if self.question.ledger is None:
            return 0.0, 0.0
        off = [each.own - each.official for each in self.question.ledger.comparisons]
        return float(np.mean(off)), float(np.std(off, ddof=1)) / len(off) ** 0.5 if len(off) > 1 else 0.0

    def of_sum(self, corners: Floats, since: Sequence[Lump] = ()) -> float:
        """Standard uncertainty of the load on some corners, (4,), ones and zeros. [kg]

        since : what is not as it was when the car was weighed.

        Settlings: sample standard deviation over root n, widened by Student's factor over 2. One settling: the total is
        taken to be known to 0.05 %, and front and left to 0.05 points of it (common practice, no source). Pads: a step
        over root 12 and an error over root 3 for each, and a gain that all share.
        """
        mean, n = float(self.weighed @ corners), len(self.readings)
        if n == 1:
            scatter = 0.0005 * mean
            if corners.sum() < 4:
                scatter = float(np.hypot(scatter, 0.0005 * self.weighed.sum()))
        else:
            scatter = float((self.readings @ corners).std(ddof=1)) / n**0.5 * T95[n] / 2
        pads = self.question.weigh_in.pads
        own = corners.sum() * (pads.resolution**2 / 12 + pads.accuracy**2 / 3)
        moved = self.shape.variance(corners, since)
        return float(np.sqrt(scatter**2 + own + ((pads.gain_within or 0.0) * mean) ** 2 / 3 + moved))

    def of_share(self, corners: Floats, since: Sequence[Lump] = ()) -> float:
        """Standard uncertainty of the share of some corners, to first order: a gain of all pads cancels. [-]"""
        total, n, pads = float(self.weighed.sum()), len(self.readings), self.question.weigh_in.pads
        share = float(self.weighed @ corners) / total
        scatter = 0.0005 if n == 1 else float((self.readings @ (corners - share)).std(ddof=1)) / n**0.5 * T95[n] / 2
        scatter = scatter if n == 1 else scatter / total
        own = ((corners - share) ** 2).sum() * (pads.resolution**2 / 12 + pads.accuracy**2 / 3) / total**2
        moved = self.shape.variance(corners - share, since) / total**2
        return float(np.sqrt(scatter**2 + own + moved))

    @cached_property
    def uncertainty(self) -> dict[str, float]:
        """Standard uncertainty of the mean shares, and of the mean rear pair in kg (JCGM 100:2008, 4.2)."""
        if len(self.readings) == 1:  # nothing to learn from: the stated assumption, common practice, no source
            return {"length": 0.0005, "left": 0.0005, "diagonal": 0.002, "pair": 0.002 * float(self.weighed.sum())}
        total = self.readings.sum(axis=1)
        figures = {
            "length": self.readings @ np.array(ON["front"]) / total,
            "left": self.readings @ np.array(ON["left"]) / total,
            "diagonal": self.readings @ np.array(ON["RF+LR"]) / total,
            "pair": self.readings @ np.array([0, 0, 1, -1]),
        }
        n = len(self.readings)
        return {name: float(values.std(ddof=1)) / n**0.5 for name, values in figures.items()}

    @cached_property
    def resolution(self) -> float:
        """Balance resolution, a share: as asked for, no finer than the weighing can tell, which is at best 0.0005."""
        tells = min(self.uncertainty["length"], self.uncertainty["left"], self.uncertainty["diagonal"], 0.0005)
        return max(self.question.wishes.balance_resolution, tells)

    @cached_property
    def aimed(self) -> list[Aimed]:
        """The targets that plates are to meet, each with its guard (planning.md section 4)."""
        targets, own = self.question.car.targets, self.question.wishes.guard_factor
        factor = own if own is not None else T95.get(len(self.readings), 2.0)
        floor = self.resolution
        found = []
        for name, aim, figure in (
            ("front", targets.front, "length"),
            ("rear", targets.rear, "length"),
            ("left", targets.left, "left"),
            (targets.diagonal.corners if targets.diagonal else "", targets.diagonal, "diagonal"),
        ):
            if aim and not (aim is targets.diagonal and targets.diagonal.by == "platforms"):
                guard = min(factor * self.uncertainty[figure] + floor, aim.within / 2)
                corners = np.array(ON[name], dtype=float)
                found.append(Aimed(name, corners, aim.aim, aim.within, guard, aim.weight, True))
        if (pair := targets.rear_pair) and pair.by == "ballast":
            guard = min(factor * self.uncertainty["pair"] + floor * float(self.weighed.sum()), pair.within / 2)
            found.append(
                Aimed("rear pair", np.array([0.0, 0, 1, -1]), pair.aim, pair.within, guard, pair.weight, False)
            )
        return found

    def shares(self) -> Floats:
        """Share of one kg at each mount on each corner, (M, 4)."""
        return self.shape.shares_at(self.aft, self.left)

    def on_mounts(self, counts: Counts) -> Floats:
        """Mass on each mount with its hardware. counts : (N, M, P). Returns (N, M). [kg]"""
        return np.asarray(counts @ self.mass + (counts.sum(axis=2) > 0) * self.hardware, dtype=float)

    def added(self, counts: Counts, aboard: int = 0) -> Floats:
        """What a set of plates and its hardware puts on the corners. counts : (N, M, P). Returns (N, 4). [kg]"""
        return np.asarray((self.on_mounts(counts) * self.aboard[aboard]) @ self.shares())

    def loads(self, counts: Counts, state: State | None = None) -> Floats:
        """Corner loads in a state, else the first, with plates standing. counts : (N, M, P). Returns (N, 4). [kg]"""
        state = state or self.states[0]
        return state.bare + self.added(counts, state.aboard)

    def moves(self, counts: Counts) -> Counts:
        """Plates put on, taken off or moved: per kind, the larger of put on and taken off, for the set that asks most.

        counts : (N, M, P). Returns (N,).
        """
        change = counts - self.fitted
        by_set = [
            np.maximum(np.maximum(here, 0).sum(axis=1), np.maximum(-here, 0).sum(axis=1))
            for here in (change[:, row > 0] for row in self.aboard)
        ]
        return np.asarray(np.max(by_set, axis=0).sum(axis=1))

    def swapped(self, counts: Counts) -> Counts:
        """Plates that come and go at driver changes: per mount and kind, most less fewest. counts : (N, M, P). (N,)"""
        found = np.zeros(len(counts), dtype=np.int64)
        for name in {mount.name for mount, driver in self.rows if driver}:
            here = counts[:, [mount.name == name for mount in self.mounts]]
            found += (here.max(axis=1) - here.min(axis=1)).sum(axis=1)
        return found

    def in_the_box(self, counts: Counts) -> Counts:
        """Of each kind, the plates that the first m rows put aboard with each set. counts : (N, m, P). (N, K, P)"""
        return np.asarray(np.einsum("km,nmp->nkp", self.aboard[:, : counts.shape[1]], counts))

    def ways(self, *without: str) -> Counts:
        """Every way that keeps all limits but some families, and but the upper end of the window. Returns (N, M, P)."""
        found = np.zeros((1, 0, len(self.plates)), dtype=np.int64)
        for m, mount in enumerate(self.mounts):
            here = self._on_mount(m, mount, without)
            pairs = len(found) * len(here)
            assert pairs <= 40 * MOST_WAYS, "this car is too large to try every way"
            longer = np.concatenate([np.repeat(found, len(here), axis=0), np.tile(here, (len(found), 1))[:, None]], 1)
            if "stock" not in without:
                longer = longer[(self.in_the_box(longer) <= self.owned).all(axis=(1, 2))]
            found = longer
            assert len(found) <= MOST_WAYS, "this car is too large to try every way"
        keep = np.ones(len(found), dtype=bool)
        for family, excess in self._over_all(found):
            if family not in without:
                keep &= excess <= CLOSE
        legal: Counts = found[keep]
        return legal

    def over(self, family: str, ways: Counts) -> Floats:
        """By how much ways, (N, M, P), exceed one family, all its limits added up: kg (shares times total), m, plates.

        What is one limit for several drivers counts once, for the one who needs most of it. Returns (N,).
        """
        excess = dict(self._over_all(ways)).get(family, np.zeros(len(ways)))
        for name in {mount.name for mount in self.mounts}:
            rows = [m for m, mount in enumerate(self.mounts) if mount.name == name]
            here = [dict(self._over_on_mount(m, self.mounts[m], ways[:, m])).get(family) for m in rows]
            excess = excess + np.max([over if over is not None else np.zeros(len(ways)) for over in here], axis=0)
        return excess

    def breadth(self, *without: str) -> int:
        """How many ways there are of filling the mounts, each by itself."""
        return prod(len(self._on_mount(m, mount, without)) for m, mount in enumerate(self.mounts))

    def _on_mount(self, m: int, mount: Mount, without: tuple[str, ...]) -> Counts:
        """Every way of filling one mount by itself, (K, P)."""
        spans = [self._span(mount, plate, without) for plate in self.plates]
        rows = np.array(list(product(*spans)), dtype=np.int64).reshape(-1, len(self.plates))
        keep = np.ones(len(rows), dtype=bool)
        for family, excess in self._over_on_mount(m, mount, rows):
            if family not in without:
                keep &= excess <= CLOSE
        fitting: Counts = rows[keep]
        return fitting

    def _span(self, mount: Mount, plate: Plate, without: tuple[str, ...]) -> range:
        fits = mount.takes is None or plate.name in mount.takes or plate.kind in mount.takes
        most = plate.count if "stock" not in without else int((mount.capacity + CLOSE) // plate.mass)
        return range(most + 1) if fits else range(1)

    def _over_on_mount(self, m: int, mount: Mount, rows: Counts) -> Iterator[tuple[str, Floats]]:
        """By how much plates on one mount, (K, P), exceed each family of its limits. [kg, m, plates]"""
        question, book, plates = self.question, self.question.rulebook, list(self.plates)
        carried = rows @ self.mass + (rows.sum(axis=1) > 0) * mount.fixing_mass
        high = rows @ self.thick
        yield "capacity", np.maximum(0.0, carried - mount.capacity)
        if mount.stack is not None:
            yield "stack height", np.maximum(0.0, high - mount.stack)
        if mount.pieces is not None:
            yield "pieces", np.maximum(0.0, rows.sum(axis=1) - mount.pieces)
        yield "plates that stay", np.maximum(0.0, self.staying[m] - rows).sum(axis=1)
        if book:
            for family in ("ballast piece", "ballast material", "ballast zone", "piece fixing"):
                yield family, np.asarray(rows @ np.array(barred_by(family, book, mount, plates), dtype=float))
            if book.ballast_stack:
                yield "ballast stack", np.maximum(0.0, high - book.ballast_stack.greatest)
            yield "ballast fixing", np.maximum(0.0, carried - bolt_count_cap(book, mount))
        yield "bolt strength", np.maximum(0.0, carried - bolt_strength_cap(question.rulebook, mount))

    def _over_all(self, ways: Counts) -> Iterator[tuple[str, Floats]]:
        """By how much ways, (N, M, P), exceed each family of limits of the whole car. [kg, plates]"""
        most, book = self.question.wishes.most_changes, self.question.rulebook
        loads = [(state, self.loads(ways, state)) for state in self.states]
        yield "stock", np.maximum(0.0, self.in_the_box(ways) - self.owned).max(axis=1).sum(axis=1)
        if most is not None:
            yield "changes", np.maximum(0.0, self.moves(ways) - most)
        yield "required total", self._added_up(ways, [s.required - on.sum(axis=1) for s, on in loads if s.legal])
        yield "wheels on the ground", self._added_up(ways, [-on[:, corner] for _, on in loads for corner in range(4)])
        if book is None:
            return
        if rule := book.ballast_total:
            counted = self.in_the_box(ways) @ self.mass
            if rule.hardware_counts:
                counted = counted + ((ways.sum(axis=2) > 0) * self.hardware) @ self.aboard.T
            yield "ballast total", np.maximum(0.0, counted - rule.greatest).max(axis=1)
        right, front = np.array([0.0, 1, 0, 1]), np.array([1.0, 1, 0, 0])
        for name, limit, corners in (
            ("front axle", book.front_axle, front),
            ("right side", book.right_side, right),
            ("left share", book.left_share, 1 - right),
            ("rear share", book.rear_share, 1 - front),
        ):
            yield name, self._added_up(ways, list(self._beyond(limit, corners, loads)))

    def _added_up(self, ways: Counts, over: list[Floats]) -> Floats:
        return np.asarray(sum((np.maximum(0.0, each) for each in over), np.zeros(len(ways))))

    def _beyond(
        self, rule: LeastMass | GreatestShare | None, corners: Floats, loads: list[tuple[State, Floats]]
    ) -> Iterator[Floats]:
        """By how much each legal state is beyond a limit, k uncertainties kept in hand, (N,). [kg]

        A state that cannot be put into the rule's, with all masses at known places, is not held against it.
        """
        k = self.question.car.margin.uncertainties
        for state, here in loads:
            if rule is None or not state.legal:
                continue
            there = ruled(self.question, rule, state.stand)
            lumps = between(self.question, state.stand, there)
            since = between(self.question, weighed(self.question), there)
            more = None if lumps is None else self.shape.loads(lumps)
            if more is None or since is None:
                continue
            on = here + more
            if isinstance(rule, LeastMass):
                yield rule.least + k * self.of_sum(corners, since) - on @ corners
            else:
                allowed = rule.greatest - k * self.of_share(corners, since)
                yield on @ corners - allowed * on.sum(axis=1)

    def value(self, wish: str, counts: Counts) -> Floats:
        """What a wish is worth, less being better, (N,). Points of the nominal total, kg, m, kg m2 or plain counts.

        counts : (N, M, P). Over several states: mass is the mean over those with a required total; height and yaw are
        means over the sets; balance is the worst state, or the mean of each one's worst by driving time; the sums of
        distances are means. Pieces are all drivers'.
        """
        simple: dict[str, Any] = {
            "mass": lambda: self.total(counts) - self.required,
            "stop": lambda: self.swapped(counts).astype(float),
            "changes": lambda: self.moves(counts).astype(float),
            "pieces": lambda: counts.sum(axis=(1, 2)).astype(float),
            "height": lambda: self._lifted(counts) / self.required,
            "yaw": lambda: self._spread_out(counts),
        }
        if wish in simple:
            return np.asarray(simple[wish]())
        worst, sums, parts = [], [], []
        for state in self.states:
            if state.balance:
                loads = self.loads(counts, state)
                distances = [
                    aim.weight * 100 / state.nominal * (aim.away(loads) if wish == "aim" else aim.outside(loads))
                    for aim in self.aimed
                ]
                worst.append(np.max(distances, axis=0))
                sums.append(np.sum(distances, axis=0))
                parts.append(state.part)
        if wish == "balance" and self.question.wishes.crew == "worst":
            return np.asarray(np.max(worst, axis=0))
        return np.asarray(np.array(parts) @ np.array(worst if wish == "balance" else sums))

    def _lifted(self, counts: Counts) -> Floats:
        """Mass times height, the mean over the sets: hardware at the underside of a stack, a plate half its thickness
        above it. [kg m]"""
        under = np.array([mount.above_ground for mount in self.mounts], dtype=float)
        middle = under[:, None] + self.thick / 2
        by_row = (counts * self.mass * middle).sum(axis=2) + (counts.sum(axis=2) > 0) * self.hardware * under
        return np.asarray((by_row @ self.aboard.T).mean(axis=1))

    def _spread_out(self, counts: Counts) -> Floats:
        """Mass times the square of its distance from the centre of gravity of the bare car, the mean over the sets.

        Of the bare car in the first state that has the set (physics.md section 1). [kg m2]
        """
        mass, found = self.on_mounts(counts), []
        for number, row in enumerate(self.aboard):
            bare = next(state.bare for state in self.states if state.aboard == number)
            aft, left = bare @ np.array(self.shape.places) / bare.sum()
            found.append((mass * row) @ ((self.aft - aft) ** 2 + (self.left - left) ** 2))
        return np.asarray(np.mean(found, axis=0))
