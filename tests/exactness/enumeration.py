"""Every way of fitting the plates of a small car, and what each is worth, written from the design and nothing else.

Sources: physics.md section 3 for the share of a mass on each corner, planning.md sections 1 to 4 for limits, bands and
wishes, JCGM 100:2008 for the guards. Records are read; nothing of the planner's or the scrutineer's is used.
Symbols: N ways, M mounts, P kinds of plate; kg, m, and percentage points of the nominal total.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import InState
from tests.exactness.rules import barred_by, bolt_count_cap, bolt_strength_cap

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


class Car:
    """The numbers of a question that its plans depend on."""

    def __init__(self, question: Question):
        self.question = question
        car, chassis = question.car, question.car.chassis
        self.mounts, self.plates = car.mounts, car.plates
        self.mass = np.array([plate.mass for plate in car.plates])
        self.thick = np.array([plate.thickness or 0.0 for plate in car.plates])
        self.owned = np.array([plate.count for plate in car.plates])
        self.hardware = np.array([mount.fixing_mass for mount in car.mounts])
        self.aft = np.array([mount.behind_front_axle for mount in car.mounts])
        self.left = np.array([mount.left_of_centre for mount in car.mounts])
        self.wheelbase, self.track = chassis.wheelbase, (chassis.track_front, chassis.track_rear)
        self.front_part = 0.5 if car.suspension.front_roll_share is None else car.suspension.front_roll_share
        self.fitted = self._table({(row.mount, row.plate): row.count for row in question.weigh_in.fitted})
        self.staying = self._table({(row.mount, row.plate): row.stay for row in question.weigh_in.fitted})
        self.readings = np.array([[r.LF, r.RF, r.LR, r.RR] for r in question.weigh_in.readings])
        self.weighed: Floats = self.readings.mean(axis=0)
        self.bare: Floats = self.weighed - self.added(self.fitted[None])[0]
        if question.rulebook and (success := question.rulebook.success_ballast):
            self.bare = self.bare + success.mass * self.shares_at(success.behind_front_axle, success.left_of_centre)

    def _table(self, rows: dict[tuple[str, str], int]) -> Counts:
        return np.array([[rows.get((mount.name, plate.name), 0) for plate in self.plates] for mount in self.mounts])

    @cached_property
    def required(self) -> float:
        """The minimum that asks for most, else the total aimed at, else as weighed (planning.md section 4). [kg]

        Minimum, what this state has more than the rule's, losses, bias of the scales against us, margin, and k times
        the standard uncertainty of total, fuel and bias together (physics.md section 7).
        """
        book, car = self.question.rulebook, self.question.car
        found = []
        for minimum in book.minima if book else ():
            apart = self.apart(minimum)
            if apart is not None:
                bias, bias_off = self._bias()
                off = float(np.sqrt(self.of_sum(np.ones(4)) ** 2 + apart[1] ** 2 + bias_off**2))
                lost = sum(loss.mass for loss in car.losses)
                in_hand = car.margin.total + car.margin.uncertainties * off
                found.append(minimum.mass + apart[0] + lost + max(bias, 0.0) + in_hand)
        if found:
            return max(found)
        return float(self.weighed.sum()) if car.targets.total is None else car.targets.total

    def apart(self, state: InState) -> tuple[float, float] | None:
        """What the car has on board now and not in that state, and how sure that is; None where unknown. [kg]"""
        visit, fuel, more, off = self.question.weigh_in.visit, self.question.weigh_in.fuel, 0.0, 0.0
        if visit.driver != state.driver:
            if visit.driver_mass is None:
                return None
            more = visit.driver_mass if state.driver == "out" else -visit.driver_mass
        if state.fuel not in (None, visit.fuel):
            if state.fuel != "drained" or fuel is None:
                return None
            more += fuel.litres * fuel.density
            parts = (fuel.litres_within * fuel.density, fuel.litres * fuel.density_within)
            off = float(np.sqrt((parts[0] ** 2 + parts[1] ** 2) / 3))
        return more, off

    def _bias(self) -> tuple[float, float]:
        """Own reading less the official one: mean, and standard uncertainty of the mean (JCGM 100:2008, 4.2). [kg]"""
        if self.question.ledger is None:
            return 0.0, 0.0
        off = [each.own - each.official for each in self.question.ledger.comparisons]
        return float(np.mean(off)), float(np.std(off, ddof=1)) / len(off) ** 0.5 if len(off) > 1 else 0.0

    def of_sum(self, corners: Floats) -> float:
        """Standard uncertainty of the load on some corners, (4,), ones and zeros. [kg]

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
        return float(np.sqrt(scatter**2 + own + ((pads.gain_within or 0.0) * mean) ** 2 / 3))

    def of_share(self, corners: Floats) -> float:
        """Standard uncertainty of the share of some corners, to first order: a gain of all pads cancels. [-]"""
        total, n, pads = float(self.weighed.sum()), len(self.readings), self.question.weigh_in.pads
        share = float(self.weighed @ corners) / total
        scatter = 0.0005 if n == 1 else float((self.readings @ (corners - share)).std(ddof=1)) / n**0.5 * T95[n] / 2
        scatter = scatter if n == 1 else scatter / total
        own = ((corners - share) ** 2).sum() * (pads.resolution**2 / 12 + pads.accuracy**2 / 3) / total**2
        return float(np.sqrt(scatter**2 + own))

    @cached_property
    def nominal(self) -> float:
        """What stands for the total in distances: the required one, or the bare car's where that is more. [kg]"""
        return max(self.required, float(self.bare.sum()))

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
        return self.shares_at(self.aft, self.left)

    def shares_at(self, aft: Any, left: Any) -> Floats:
        """Share of one kg at each place on each corner, (..., 4): physics.md section 3, rates unknown."""
        (tf, tr), s = self.track, self.front_part
        lengthwise, left = np.asarray(aft) / self.wheelbase, np.asarray(left)
        corners = [
            (1 - lengthwise) / 2 + s * left / tf,
            (1 - lengthwise) / 2 - s * left / tf,
            lengthwise / 2 + (1 - s) * left / tr,
            lengthwise / 2 - (1 - s) * left / tr,
        ]
        return np.stack(corners, axis=-1)

    def on_mounts(self, counts: Counts) -> Floats:
        """Mass on each mount with its hardware. counts : (N, M, P). Returns (N, M). [kg]"""
        return np.asarray(counts @ self.mass + (counts.sum(axis=2) > 0) * self.hardware, dtype=float)

    def added(self, counts: Counts) -> Floats:
        """What plates and hardware put on the corners. counts : (N, M, P). Returns (N, 4). [kg]"""
        return np.asarray(self.on_mounts(counts) @ self.shares())

    def loads(self, counts: Counts) -> Floats:
        """Corner loads with these plates standing. counts : (N, M, P). Returns (N, 4). [kg]"""
        return self.bare + self.added(counts)

    def moves(self, counts: Counts) -> Counts:
        """Plates put on, taken off or moved: per kind, the larger of put on and taken off. Returns (N,)."""
        change = counts - self.fitted
        return np.asarray(np.maximum(np.maximum(change, 0).sum(axis=1), np.maximum(-change, 0).sum(axis=1)).sum(axis=1))

    def ways(self, *without: str) -> Counts:
        """Every way that keeps all limits but some families, and but the upper end of the window. Returns (N, M, P)."""
        found = np.zeros((1, 0, len(self.plates)), dtype=np.int64)
        for m, mount in enumerate(self.mounts):
            here = self._on_mount(m, mount, without)
            pairs = len(found) * len(here)
            assert pairs <= 40 * MOST_WAYS, "this car is too large to try every way"
            longer = np.concatenate([np.repeat(found, len(here), axis=0), np.tile(here, (len(found), 1))[:, None]], 1)
            if "stock" not in without:
                longer = longer[(longer.sum(axis=1) <= self.owned).all(axis=1)]
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

        Returns (N,).
        """
        excess = dict(self._over_all(ways)).get(family, np.zeros(len(ways)))
        for m, mount in enumerate(self.mounts):
            here = dict(self._over_on_mount(m, mount, ways[:, m]))
            excess = excess + here.get(family, np.zeros(len(ways)))
        return excess

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
        loads, most, book = self.loads(ways), self.question.wishes.most_changes, self.question.rulebook
        total, k = loads.sum(axis=1), self.question.car.margin.uncertainties
        yield "stock", np.maximum(0.0, ways.sum(axis=1) - self.owned).sum(axis=1)
        if most is not None:
            yield "changes", np.maximum(0.0, self.moves(ways) - most)
        yield "required total", np.maximum(0.0, self.required - total)
        yield "wheels on the ground", np.maximum(0.0, -loads).sum(axis=1)
        if book is None:
            return
        if rule := book.ballast_total:
            counted = ways.sum(axis=1) @ self.mass
            if rule.hardware_counts:
                counted = counted + (ways.sum(axis=2) > 0) @ self.hardware
            yield "ballast total", np.maximum(0.0, counted - rule.greatest)
        right, front = np.array([0.0, 1, 0, 1]), np.array([1.0, 1, 0, 0])
        for name, least, corners in (("front axle", book.front_axle, front), ("right side", book.right_side, right)):
            if least and self.apart(least) == (0.0, 0.0):
                yield name, np.maximum(0.0, least.least + k * self.of_sum(corners) - loads @ corners)
        for name, most_share, corners in (
            ("left share", book.left_share, 1 - right),
            ("rear share", book.rear_share, 1 - front),
        ):
            if most_share and self.apart(most_share) == (0.0, 0.0):
                allowed = most_share.greatest - k * self.of_share(corners)
                yield name, np.maximum(0.0, loads @ corners - allowed * total)

    def value(self, wish: str, counts: Counts) -> Floats:
        """What a wish is worth, less being better, (N,). Points of the nominal total, kg, m, kg m2 or plain counts."""
        mass = self.on_mounts(counts)
        simple: dict[str, Any] = {
            "mass": lambda: self.bare.sum() + mass.sum(axis=1) - self.required,
            "changes": lambda: self.moves(counts).astype(float),
            "pieces": lambda: counts.sum(axis=(1, 2)).astype(float),
            "height": lambda: self._lifted(counts) / self.required,
            "yaw": lambda: mass @ self._distance_squared(),
        }
        if wish in simple:
            return np.asarray(simple[wish]())
        loads = self.loads(counts)
        distances = [
            aim.weight * 100 / self.nominal * (aim.away(loads) if wish == "aim" else aim.outside(loads))
            for aim in self.aimed
        ]
        return np.asarray(np.max(distances, axis=0) if wish == "balance" else np.sum(distances, axis=0))

    def _lifted(self, counts: Counts) -> Floats:
        """Mass times height: hardware at the underside of a stack, a plate half its thickness above it. [kg m]"""
        under = np.array([mount.above_ground for mount in self.mounts], dtype=float)
        middle = under[:, None] + self.thick / 2
        hardware = (counts.sum(axis=2) > 0) @ (self.hardware * under)
        return np.asarray((counts * self.mass * middle).sum(axis=(1, 2)) + hardware)

    def _distance_squared(self) -> Floats:
        """Of each mount from the centre of gravity of the bare car (physics.md section 1), (M,). [m2]"""
        lf, rf, lr, rr = self.bare
        total, (tf, tr) = self.bare.sum(), self.track
        aft = self.wheelbase * (lr + rr) / total
        left = ((lf - rf) * tf / 2 + (lr - rr) * tr / 2) / total
        return np.asarray((self.aft - aft) ** 2 + (self.left - left) ** 2)
