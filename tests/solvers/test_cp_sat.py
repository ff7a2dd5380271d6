"""Each wish of a plan against OR-Tools CP-SAT, for single cars and for crews.

The model is written anew from the question, not copied from the programme's rows: counts as whole numbers, the levers
of physics.md section 3, the limits and wishes of planning.md sections 2 to 4. So a row that the programme forgets or
gets wrong shows here too, and not only a solver that reads its rows wrongly. Two things are taken from the plan,
because other tests hold them against other sources: the required total of each state, and the guard of each target.

CP-SAT knows whole numbers only, so every expression is written in grains of 1e-6 of its unit (kg, m, kg m2, points of
the nominal total), each factor and the constant rounded to a whole number of grains: off by half a grain at most. An
expression of counts n, hardware and a constant is then off by at most half a grain times (sum of n + rows in use + 1).
Sums over bands are off by as much for each band. That is `Model.rounding`; for a hundred plates it is 0.0002 points,
where the finest resolution is 0.05. Distances outside a band are whole grains and round nothing further. Means over
states are sums with whole weights, divided afterwards.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from ballast.jobs.plan import plan
from ballast.records.crew import Driver, FuelPoint
from ballast.records.plan import Plan
from ballast.records.question import Question
from ballast.records.wishes import Wishes
from tests.random_cars import large_question, small_question
from tests.solvers.crew_cars import crew_question

Loads = NDArray[np.float64]
Linear = tuple[dict[Any, float], float]
"""Factor of each variable by its key, and the constant."""

GRAIN = 1e-6
FINE = 1e-9
"""The same for heights, of which a thousandth matters. [m]"""
SOLVER = 4e-6
"""What HiGHS may miss: 1e-6 of the unit for each of up to three bands, and for a hold."""
SECONDS = 20.0
FAR = round(1000 / GRAIN)
"""More grains than any distance has."""
CORNERS = ("LF", "RF", "LR", "RR")
ON = {
    "front": (1, 1, 0, 0),
    "rear": (0, 0, 1, 1),
    "left": (1, 0, 1, 0),
    "RF+LR": (0, 1, 1, 0),
    "LF+RR": (1, 0, 0, 1),
    "rear pair": (0, 0, 1, -1),
}
POINTS: tuple[FuelPoint, ...] = ("start", "balance", "flag")
IN_WORDS = {"start": "start", "balance": "balance point", "flag": "flag"}
LARGE = ((40, 5, 4), (42, 5, 4), (102, 12, 6), (112, 12, 6), (116, 8, 6), (119, 6, 4), (212, 6, 4), (258, 6, 4))
"""Seed, mounts, kinds of plate."""
WHOLE = ("stop", "changes", "pieces")


@dataclass(frozen=True)
class State:
    """One driver at one fuel point."""

    crew: int
    """number of the driver, whose plates of the kit mounts are aboard"""
    loads: Loads
    """on the corners, without any plate or its hardware, (4,) [kg]"""
    required: float | None
    """least total; none where it is not asked for [kg]"""
    balance: bool
    lacks: float
    """what of the required total has to be plates [kg]"""

    @property
    def nominal(self) -> float:
        """What distances are points of. [kg]"""
        return float(self.loads.sum()) + self.lacks


class Model:
    """A question as a CP-SAT model."""

    def __init__(self, question: Question, answer: Plan):
        self.question, self.answer, self.car, self.cp = question, answer, question.car, cp_model.CpModel()
        self.crew: tuple[Driver | None, ...] = self.car.drivers or (None,)
        changing = [m.changes_with_driver and bool(self.car.drivers) for m in self.car.mounts]
        own: list[int | None] = list(range(len(self.crew)))
        self.rows = [(m, d) for m, changes in enumerate(changing) for d in (own if changes else [None])]
        self.shares = np.array([self.share(m.behind_front_axle, m.left_of_centre) for m in self.car.mounts])
        self.mass = [plate.mass for plate in self.car.plates]
        self.variables: dict[Any, Any] = {}
        for r, (m, _) in enumerate(self.rows):
            for p, plate in enumerate(self.car.plates):
                if self.car.mounts[m].accepts(plate):
                    self.variables[r, p] = self.cp.new_int_var(0, plate.count, "")
            if self.car.mounts[m].fixing_mass:
                self.variables[r] = self.cp.new_bool_var("")
        self.most = sum(plate.count for plate in self.car.plates) * len(self.crew)
        self.rounding = 3 * GRAIN / 2 * (self.most + len(self.rows) + 1)
        self.loose = round((self.rounding + SOLVER) / GRAIN)
        self.states = self._states()
        self.moves = self._moves()
        self._limits()
        self.wishes = self._wishes()

    def least(self, name: str, at: dict[tuple[int, int], int] | None = None) -> float | None:
        """The least a wish can be, in its unit, proved; with counts given, the least there. None if nothing is left."""
        model, (expression, unit) = self.cp.clone(), self.wishes[name]
        for key, count in (at or {}).items():
            model.add(model.get_int_var_from_proto_index(self.variables[key].index) == count)
        model.minimize(expression)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_time_in_seconds = SECONDS
        status = solver.solve(model)
        settled = (cp_model.OPTIMAL, cp_model.INFEASIBLE)
        assert status in settled, f"CP-SAT did not settle {name} in {SECONDS:g} s"
        return float(solver.objective_value) * unit if status == cp_model.OPTIMAL else None

    def slack(self, name: str) -> float:
        """How far a wish may be off by rounding and by the other solver's tolerance, in its unit."""
        return 0.0 if name in WHOLE else self.rounding / GRAIN * self.wishes[name][1] + SOLVER

    def hold(self, name: str, most: float) -> None:
        """Keep a wish from exceeding what it is held at, in its unit."""
        expression, unit = self.wishes[name]
        self.cp.add(expression <= round((most + self.slack(name)) / unit))

    def standing(self) -> dict[tuple[int, int], int]:
        """The plan's counts, by row and kind."""
        found = dict.fromkeys((key for key in self.variables if isinstance(key, tuple)), 0)
        names = [(self.car.mounts[m].name, "" if d is None else self.car.drivers[d].name) for m, d in self.rows]
        kinds = [plate.name for plate in self.car.plates]
        for row in self.answer.fit:
            found[names.index((row.mount, row.driver or "")), kinds.index(row.plate)] = row.count
        return found

    # --- the states of the car ---

    def share(self, aft: float, left: float) -> Loads:
        """Share of a mass on each corner, (4,): physics.md section 3, rates unknown; 0.5 where the front share is."""
        chassis, known = self.car.chassis, self.car.suspension.front_roll_share
        s = 0.5 if known is None else known
        behind, front, rear = (
            aft / chassis.wheelbase,
            s * left / chassis.track_front,
            (1 - s) * left / chassis.track_rear,
        )
        return np.array([(1 - behind) / 2 + front, (1 - behind) / 2 - front, behind / 2 + rear, behind / 2 - rear])

    def _seated(self, driver: Driver | None) -> Loads:
        """A driver in kit, part of the mass at the pedals."""
        if driver is None:
            return np.zeros(4)
        feet = driver.behind_front_axle if driver.pedals_behind_front_axle is None else driver.pedals_behind_front_axle
        body = driver.mass - driver.at_pedals + driver.insert_mass
        left = driver.left_of_centre
        return body * self.share(driver.behind_front_axle, left) + driver.at_pedals * self.share(feet, left)

    def _fuel(self, point: FuelPoint | None) -> Loads:
        """What is in the tanks at a point of the stint; for none, what was in them at the weigh-in."""
        loads = np.zeros(4)
        for tank in self.car.tanks:
            here = [row.volume for row in self.question.weigh_in.fuel if row.tank in (None, tank.name)]
            volume = here[0] if point is None else tank.at(point)
            loads += volume * tank.density * self.share(tank.behind_front_axle, tank.left_of_centre)
        return loads

    def _bare(self) -> Loads:
        """As weighed, less the plates and their hardware, the driver and the fuel."""
        readings, fitted = self.question.weigh_in.readings, self.question.weigh_in.fitted
        loads = np.mean([[getattr(row, corner) for corner in CORNERS] for row in readings], axis=0)
        mass = {plate.name: plate.mass for plate in self.car.plates}
        for m, mount in enumerate(self.car.mounts):
            plates = [mass[row.plate] * row.count for row in fitted if row.mount == mount.name]
            loads = loads - (sum(plates) + mount.fixing_mass * bool(plates)) * self.shares[m]
        return np.asarray(loads - self._seated(self.question.seated) - self._fuel(None))

    def _states(self) -> list[State]:
        """Every driver at every fuel point; legal at the flag, balanced where asked for (planning.md section 2)."""
        points: tuple[FuelPoint | None, ...] = POINTS if self.car.tanks else (None,)
        required = {need.case: need.required for need in self.answer.requirements}
        bare, asked, found = self._bare(), self.question.wishes.balance_at, []
        for d, driver in enumerate(self.crew):
            for point in points:
                loads = bare + self._seated(driver) + self._fuel(point)
                words = [driver.name if driver else "", IN_WORDS[point] if point else ""]
                name = ", ".join(word for word in words if word) or "as weighed"
                least = required[name] if point in (None, "flag") else None
                lacks = max(0.0, least - float(loads.sum())) if least is not None else 0.0
                found.append(State(d, loads, least, point is None or point in asked, lacks))
        changing = any(d is not None for _, d in self.rows)
        own = {d: max(s.lacks for s in found if s.crew == d or not changing) for d in range(len(self.crew))}
        return [State(s.crew, s.loads, s.required, s.balance, own[s.crew]) for s in found]

    # --- expressions ---

    def aboard(self, crew: int) -> list[int]:
        """Rows whose plates are on the car with a driver."""
        return [r for r, (_, whose) in enumerate(self.rows) if whose in (None, crew)]

    def carried(self, row: int) -> dict[Any, float]:
        """What each variable of a row puts on its mount. [kg]"""
        plates = {(row, p): mass for p, mass in enumerate(self.mass) if (row, p) in self.variables}
        return plates | ({row: self.car.mounts[self.rows[row][0]].fixing_mass} if row in self.variables else {})

    def on(self, state: State, corners: Loads) -> Linear:
        """Load on the corners of a state, each times a factor, (4,). [kg]"""
        factors = self.shares @ corners
        terms = {
            key: kg * factors[self.rows[r][0]] for r in self.aboard(state.crew) for key, kg in self.carried(r).items()
        }
        return terms, float(state.loads @ corners)

    def grains(self, linear: Linear, scale: float = 1.0, grain: float = GRAIN) -> Any:
        """An expression times a scale, in grains, with whole factors."""
        terms, constant = linear
        parts = (round(scale * factor / grain) * self.variables[key] for key, factor in terms.items())
        return sum(parts, round(scale * constant / grain))

    def largest(self, values: Iterable[Any], most: int = FAR) -> Any:
        """No less than the largest of some expressions, or zero: just that where it counts, since less is better.

        Asking for the largest itself makes CP-SAT a thousand times slower: it then looks at every grain.
        """
        variable = self.cp.new_int_var(0, most, "")
        for value in values:
            self.cp.add(variable >= value)
        return variable

    # --- limits ---

    def _limits(self) -> None:
        """planning.md section 3. Each gives way by what roundings and the other solver's tolerance are worth."""
        cp, slack = self.cp, self.loose
        for r, (m, _) in enumerate(self.rows):
            mount = self.car.mounts[m]
            here = {p: self.variables[r, p] for p in range(len(self.mass)) if (r, p) in self.variables}
            if r in self.variables:
                cp.add(sum(here.values()) >= 1).only_enforce_if(self.variables[r])
                cp.add(sum(here.values()) == 0).only_enforce_if(~self.variables[r])
            cp.add(self.grains((self.carried(r), -mount.capacity)) <= slack)
            if mount.stack is not None:
                thick = {(r, p): self.car.plates[p].thickness or 0.0 for p in here}
                cp.add(self.grains((thick, -mount.stack)) <= slack)
            if mount.pieces is not None:
                cp.add(sum(here.values()) <= mount.pieces)
            for p, n in here.items():
                cp.add(n >= self.question.staying(mount.name, self.car.plates[p].name))
        for d in range(len(self.crew)):
            for p, plate in enumerate(self.car.plates):
                cp.add(sum(self.variables.get((r, p), 0) for r in self.aboard(d)) <= plate.count)
        for state in self.states:
            for corner in np.eye(4):
                cp.add(self.grains(self.on(state, corner)) >= -slack)
            if state.required is not None:
                terms, constant = self.on(state, np.ones(4))
                cp.add(self.grains((terms, constant - state.required)) >= -slack)
        if self.question.wishes.most_changes is not None:
            cp.add(self.moves <= self.question.wishes.most_changes)

    def _moves(self) -> Any:
        """Per kind, the larger of put on and taken off; of several drivers' sets, the one that asks most."""
        moved = []
        for p, plate in enumerate(self.car.plates):
            sides, on, off = [], {}, {}
            for r, (m, _) in enumerate(self.rows):
                n, before = self.variables.get((r, p), 0), self.question.fitted(self.car.mounts[m].name, plate.name)
                on[r] = self.largest([n - before], plate.count)
                off[r] = on[r] - n + before
            for d in range(len(self.crew)):
                sides += [sum(side[r] for r in self.aboard(d)) for side in (on, off)]
            moved.append(self.largest(sides, self.most))
        return sum(moved)

    # --- wishes ---

    def _wishes(self) -> dict[str, tuple[Any, float]]:
        """What each wish is, and what one of it is worth: planning.md section 4."""
        legal = [(s, s.required) for s in self.states if s.required is not None]
        plates = [variable for key, variable in self.variables.items() if isinstance(key, tuple)]
        totals = [self.on(s, np.ones(4)) for s, _ in legal]
        over = [(terms, constant - least) for (terms, constant), (_, least) in zip(totals, legal, strict=True)]
        found = {
            "total": (self._mean(totals), GRAIN),
            "mass": (self._mean(over), GRAIN),
            "stop": (self._stop(), 1.0),
            "changes": (self.moves, 1.0),
            "pieces": (sum(plates), 1.0),
        }
        sets = [self.aboard(d) for d in range(len(self.crew))]
        if all(mount.above_ground is not None for mount in self.car.mounts):
            scale = 1 / float(np.mean([least for _, least in legal]))
            found["height"] = self._mean([(self._lifted(rows), 0.0) for rows in sets], scale, FINE), FINE
        if not self.car.drivers:
            found["yaw"] = self.grains((self._turned(sets[0]), 0.0)), GRAIN
        return found | self._balance()

    def _mean(self, parts: list[Linear], scale: float = 1.0, grain: float = GRAIN) -> Any:
        """The mean of some expressions times a scale, in grains; each variable is rounded once."""
        terms: dict[Any, float] = {}
        for one, _ in parts:
            for key, factor in one.items():
                terms[key] = terms.get(key, 0.0) + factor
        return self.grains((terms, sum(constant for _, constant in parts)), scale / len(parts), grain)

    def _stop(self) -> Any:
        """Per kit mount and kind, the most any driver has less the fewest."""
        swapped = []
        for m in range(len(self.car.mounts)):
            rows = [r for r, (mount, d) in enumerate(self.rows) if mount == m and d is not None]
            for p, plate in enumerate(self.car.plates):
                counts = [self.variables[r, p] for r in rows if (r, p) in self.variables]
                if counts:
                    most, spare = self.largest(counts, plate.count), self.largest([plate.count - n for n in counts])
                    swapped.append(most - plate.count + spare)
        return sum(swapped)

    def _lifted(self, rows: list[int]) -> dict[Any, float]:
        """Mass times height: hardware at the underside of a stack, a plate half its thickness above it. [kg m]"""
        found = {}
        for r in rows:
            under = self.car.mounts[self.rows[r][0]].above_ground or 0.0
            for key, kg in self.carried(r).items():
                thickness = self.car.plates[key[1]].thickness if isinstance(key, tuple) else None
                found[key] = kg * (under + (thickness or 0.0) / 2)
        return found

    def _turned(self, rows: list[int]) -> dict[Any, float]:
        """Mass times squared distance from the centre of gravity of the bare car (physics.md section 1). [kg m2]"""
        chassis, (lf, rf, lr, rr) = self.car.chassis, self.states[0].loads
        total = float(self.states[0].loads.sum())
        aft = chassis.wheelbase * (lr + rr) / total
        left = ((lf - rf) * chassis.track_front / 2 + (lr - rr) * chassis.track_rear / 2) / total
        mounts = [self.car.mounts[m] for m, _ in self.rows]
        squared = [float((m.behind_front_axle - aft) ** 2 + (m.left_of_centre - left) ** 2) for m in mounts]
        return {key: kg * squared[r] for r in rows for key, kg in self.carried(r).items()}

    def _balance(self) -> dict[str, tuple[Any, float]]:
        """Worst distance outside the narrowed bands, the sum of them, and that of the distances from the aims. [points]

        Of several states: the worst, or by driving time the mean of the worst of each; of the sums, the mean.
        """
        targets, by_time = self.car.targets, self.question.wishes.crew == "by driving time"
        by_figure = {"front": targets.front, "rear": targets.rear, "left": targets.left, "rear pair": targets.rear_pair}
        by_figure |= {targets.diagonal.corners: targets.diagonal} if targets.diagonal else {}
        guards = {target.figure: target.guard for target in self.answer.targets if target.by == "ballast"}
        worst, misses, offs, weights = [], [], [], 0
        for state in (state for state in self.states if state.balance):
            driver, outside = self.crew[state.crew], []
            weight = round(driver.driving_time) if driver and by_time else 1
            weights += weight
            for figure, guard in guards.items():
                aim = by_figure[figure]
                assert aim is not None
                kilograms = figure == "rear pair"
                corners, narrow = np.array(ON[figure], dtype=float), aim.within - guard
                whole, shift = (0.0, aim.aim) if kilograms else (aim.aim, 0.0)
                away = [self._distance(state, sign * (corners - whole), sign * shift) for sign in (1.0, -1.0)]
                width = (0.0, narrow) if kilograms else (narrow, 0.0)
                beyond = [
                    self._distance(state, sign * (corners - whole) - width[0], sign * shift + width[1])
                    for sign in (1.0, -1.0)
                ]
                scale = aim.weight * 100 / state.nominal
                outside.append(self.largest(self.grains(side, scale) for side in beyond))
                offs.append(weight * self.largest(self.grains(side, scale) for side in away))
            misses += [weight * miss for miss in outside]
            worst.append((weight, self.largest(outside)))
        if not guards:
            return {}
        mean = GRAIN / weights
        balance = (sum(w * one for w, one in worst), mean) if by_time else (self.largest(w for _, w in worst), GRAIN)
        return {"balance": balance, "balance sum": (sum(misses), mean), "aim": (sum(offs), mean)}

    def _distance(self, state: State, corners: Loads, less: float) -> Linear:
        terms, constant = self.on(state, corners)
        return terms, constant - less


def by_time(question: Question) -> Question:
    """The same crew, its balance counted by driving time; the first drives eight times as much as the others."""
    asked = Wishes.model_validate(question.wishes.model_dump() | {"crew": "by driving time"})
    first, *others = question.car.drivers
    crew = (first.replace(driving_time=8.0), *(driver.replace(driving_time=1.0) for driver in others))
    return question.replace(car=question.car.replace(wishes=asked, drivers=crew))


def unhurried(question: Question) -> Question:
    """The same with a minute to plan in."""
    return question.with_wishes(seconds=60.0)


CREWS: dict[str, Question] = {
    "two drivers": crew_question(1, 4, 3, 2, 1, ("balance",)),
    "two drivers, start and flag": crew_question(2, 4, 3, 2, 1, ("start", "flag")),
    "two drivers, by time": by_time(crew_question(35, 4, 3, 2, 0, ("start", "flag"))),
    "three drivers": crew_question(4, 4, 3, 3, 1, ("balance",)),
    "three drivers, two kits": crew_question(5, 4, 3, 3, 2, ("balance",)),
    "two drivers, two kits": crew_question(6, 5, 3, 2, 2, ("balance", "flag")),
    "three drivers, one set": crew_question(10, 5, 3, 3, 0, ("balance",)),
    "three drivers, six mounts": crew_question(7, 6, 3, 3, 1, ("balance", "flag")),
}
QUESTIONS: dict[str, Question] = {
    **{f"small {seed}": small_question(seed) for seed in (2, 11, 17, 23)},
    **{f"large {seed}": large_question(seed, mounts, kinds) for seed, mounts, kinds in LARGE},
    **{name: unhurried(question) for name, question in CREWS.items()},
}


@pytest.mark.parametrize("name", QUESTIONS)
def test_cp_sat_finds_no_better(name: str) -> None:
    """The least total and the first wish are within resolution of the best, each later wish given the plan's holds."""
    question = QUESTIONS[name]
    answer = plan(question).plan
    assert answer.outcome == "proved best"
    model = Model(question, answer)
    standing = model.standing()
    over = answer.requirement.greatest - answer.requirement.required
    least = model.least("mass")
    assert least is not None
    # of several legal states each may be a resolution away from its least (planner.least_total)
    settled = question.wishes.mass_resolution * len(answer.requirements)
    within(over - question.wishes.over_required, least, settled, model.slack("mass"))
    model.hold("mass", over)
    for wish in answer.wishes:
        unit, slack = 0.01 if wish.dimension == "percent" else 1.0, model.slack(wish.name)
        best, here = model.least(wish.name), model.least(wish.name, standing)
        assert here is not None, f"the plan breaks a limit, or a hold before {wish.name}"
        assert best is not None
        assert wish.value / unit == pytest.approx(here, abs=slack), wish.name
        within(wish.value / unit, best, 0.0 if wish.name in WHOLE else wish.resolution / unit, slack)
        assert wish.bound / unit <= best + slack, wish.name
        model.hold(wish.name, wish.hold / unit)


def within(value: float, best: float, resolution: float, slack: float) -> None:
    """Not better than the best, and worse by no more than the resolution."""
    assert best - slack <= value <= best + resolution + slack


@pytest.mark.parametrize("seed", [5, 31])
def test_cp_sat_finds_nothing_either(seed: int) -> None:
    """Where a plan is called impossible, nothing keeps every limit."""
    question = small_question(seed)
    answer = plan(question).plan
    assert answer.outcome == "impossible"
    assert Model(question, answer).least("pieces") is None
