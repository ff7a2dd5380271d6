"""Every way of fitting the plates of a small car, and what each is worth, written from the design and nothing else.

Sources: physics.md section 3 for the share of a mass on each corner, planning.md sections 1 to 4 for limits, bands and
wishes, JCGM 100:2008 for the guards. Records are read; nothing of the planner's or the scrutineer's is used.
Symbols: N ways, M mounts, P kinds of plate; kg, m, and percentage points of the nominal total.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ballast.records.plates import Mount, Plate
from ballast.records.question import Question

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

    def _table(self, rows: dict[tuple[str, str], int]) -> Counts:
        return np.array([[rows.get((mount.name, plate.name), 0) for plate in self.plates] for mount in self.mounts])

    @cached_property
    def required(self) -> float:
        """Rulebook minimum and margin, else the total aimed at, else as weighed (planning.md section 4). [kg]"""
        rulebook, targets = self.question.rulebook, self.question.car.targets
        if rulebook and rulebook.minimum_weight:
            return rulebook.minimum_weight.mass + self.question.car.margin.total
        return float(self.weighed.sum()) if targets.total is None else targets.total

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
                guard = min(max(factor * self.uncertainty[figure], floor), aim.within / 2)
                corners = np.array(ON[name], dtype=float)
                found.append(Aimed(name, corners, aim.aim, aim.within, guard, aim.weight, True))
        if (pair := targets.rear_pair) and pair.by == "ballast":
            guard = min(max(factor * self.uncertainty["pair"], floor * float(self.weighed.sum())), pair.within / 2)
            found.append(
                Aimed("rear pair", np.array([0.0, 0, 1, -1]), pair.aim, pair.within, guard, pair.weight, False)
            )
        return found

    def shares(self) -> Floats:
        """Share of one kg at each mount on each corner, (M, 4): physics.md section 3, rates unknown."""
        lengthwise, (tf, tr), s = self.aft / self.wheelbase, self.track, self.front_part
        return np.column_stack(
            [
                (1 - lengthwise) / 2 + s * self.left / tf,
                (1 - lengthwise) / 2 - s * self.left / tf,
                lengthwise / 2 + (1 - s) * self.left / tr,
                lengthwise / 2 - (1 - s) * self.left / tr,
            ]
        )

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

    def ways(self, without: str = "") -> Counts:
        """Every way that keeps all limits but one family, and but the upper end of the window. Returns (N, M, P)."""
        found = np.zeros((1, 0, len(self.plates)), dtype=np.int64)
        for m, mount in enumerate(self.mounts):
            here = self._on_mount(mount, self.staying[m], without)
            pairs = len(found) * len(here)
            assert pairs <= 40 * MOST_WAYS, "this car is too large to try every way"
            longer = np.concatenate([np.repeat(found, len(here), axis=0), np.tile(here, (len(found), 1))[:, None]], 1)
            if without != "stock":
                longer = longer[(longer.sum(axis=1) <= self.owned).all(axis=1)]
            found = longer
            assert len(found) <= MOST_WAYS, "this car is too large to try every way"
        most = self.question.wishes.most_changes
        if most is not None and without != "changes":
            found = found[self.moves(found) <= most]
        loads = self.loads(found)
        keep = np.ones(len(found), dtype=bool)
        if without != "required total":
            keep &= loads.sum(axis=1) >= self.required - CLOSE
        if without != "wheels on the ground":
            keep &= (loads >= -CLOSE).all(axis=1)
        legal: Counts = found[keep]
        return legal

    def _on_mount(self, mount: Mount, staying: Counts, without: str) -> Counts:
        """Every way of filling one mount by itself, (K, P)."""
        spans = [self._span(mount, plate, int(stay), without) for plate, stay in zip(self.plates, staying, strict=True)]
        rows = np.array(list(product(*spans)), dtype=np.int64).reshape(-1, len(self.plates))
        carried = rows @ self.mass + (rows.sum(axis=1) > 0) * mount.fixing_mass
        keep = np.ones(len(rows), dtype=bool)
        if without != "capacity":
            keep &= carried <= mount.capacity + CLOSE
        if without != "stack height" and mount.stack is not None:
            keep &= rows @ self.thick <= mount.stack + CLOSE
        if without != "pieces" and mount.pieces is not None:
            keep &= rows.sum(axis=1) <= mount.pieces
        fitting: Counts = rows[keep]
        return fitting

    def _span(self, mount: Mount, plate: Plate, stay: int, without: str) -> range:
        fits = mount.takes is None or plate.name in mount.takes or plate.kind in mount.takes
        least = 0 if without == "plates that stay" else stay
        most = plate.count if without != "stock" else int((mount.capacity + CLOSE) // plate.mass)
        return range(least, most + 1) if fits else range(1)

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
