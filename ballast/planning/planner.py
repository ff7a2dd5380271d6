"""The order of wishes: each settled in turn, to its resolution, with the earlier ones held."""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ballast.physics.statics import Array
from ballast.planning import measures
from ballast.planning.bands import Band, balance_resolution
from ballast.planning.exchange import Exchange, trying
from ballast.planning.impossible import Reasons, reasons
from ballast.planning.programme import greatest_total, hold
from ballast.planning.rows import Programme, total_of
from ballast.planning.solver import Solution, Watch, solve
from ballast.planning.task import Task
from ballast.records.plan import Figure, FigureRange, Outcome, WishResult
from ballast.records.progress import Progress, Told
from ballast.records.wishes import WishName
from ballast.units import Dimension

HEIGHT_RESOLUTION = 0.001
"""[m] of the car's centre of gravity."""
YAW_RESOLUTION = 0.1
"""[kg m2]"""
ONE_PIECE = 1.0
ALMOST_ONE = 0.999
"""Whole-numbered wishes are proved once no better whole number is left."""
RANGE_RESOLUTION = 0.001
"""Of a share: how closely the reachable range of a figure is settled."""
FIRST_PART = 0.2
"""Part of the time limit that the least total may take."""
SOON_SETTLED = ("balance", "balance sum")
"""Wishes for which the solver takes less time than trying would."""
SMALL_STEP = 0.25
"""Part of a resolution by which trying has to gain to go on."""
SLACK = 1e-6
"""What a hold gives way beyond its value, for the solver's own tolerance. A sum gives way by that for each figure: what
the hold of the worst of them keeps anyway is then no row of its own to the solver, and each band stands alone."""


@dataclass(frozen=True)
class Goal:
    """One wish as the solver sees it."""

    name: str
    resolution: float
    gap: float
    dimension: Dimension | None
    scale: float = 1.0
    """from the programme's unit to the record's: points are held as shares"""
    figures: int = 1
    """how many it is the sum of"""

    @property
    def whole(self) -> bool:
        """It counts plates."""
        return self.gap == ALMOST_ONE


@dataclass(frozen=True)
class Decision:
    """What the planner chose, or why it could not."""

    outcome: Outcome
    counts: Array | None
    """plates standing afterwards, (M, P)"""
    greatest: float
    """upper end of the mass window [kg]"""
    wishes: tuple[WishResult, ...]
    left_out: tuple[str, ...]
    reasons: Reasons | None
    """when impossible: why"""
    seconds: float


@dataclass
class Audience:
    """Who is told of the progress, and may ask for a stop. It remembers that it did."""

    told: Told | None = None
    stopped: bool = False

    def watch(self, goal: Goal) -> Watch | None:
        """What the solver tells while it works on one wish."""
        if self.told is None:
            return None
        told = self.told

        def heard(best: float, bound: float) -> bool:
            self.stopped |= told(Progress(goal.name, goal.dimension, best * goal.scale, bound * goal.scale))
            return self.stopped

        return heard

    def listening(self, name: str) -> Told | None:
        """The same audience for a plan of its own, told under its name."""
        if self.told is None:
            return None
        told = self.told

        def heard(progress: Progress) -> bool:
            self.stopped |= told(replace(progress, wish=f"{name}: {progress.wish}"))
            return self.stopped

        return heard

    def left(self, deadline: float) -> float:
        """Seconds left; none after a stop."""
        return 0.0 if self.stopped else deadline - time.perf_counter()


def decide(task: Task, told: Told | None = None) -> Decision:
    """Choose counts: legal first, then the wishes in order, all within the time limit of the question.

    told : hears of the progress, and may ask for a stop; the best counts so far are then the answer.
    """
    began = time.perf_counter()
    deadline = began + task.wishes.seconds
    audience = Audience(told)
    programme = task.programme()
    exchange = trying(task, programme)
    least = _first(task, programme, exchange, deadline, audience)
    goals, left_out = goals_of(task, programme)
    if not least.values:
        impossible = least.status == "impossible"
        why = reasons(task, deadline, audience.watch(GIVING)) if impossible else None
        outcome: Outcome = "impossible" if impossible else "no answer in the time"
        return Decision(outcome, None, task.required, (), left_out, why, time.perf_counter() - began)
    greatest = least.value + task.wishes.over_required
    greatest_total(programme, greatest)
    counts, limits = programme.counts(least.values), {"mass": greatest - task.required, **_asked_for(task)}
    solved: list[tuple[Goal, Solution, float]] = []
    for number, goal in enumerate(goals):
        if exchange and audience.left(deadline) > 0:
            counts = _tried(task, exchange, goals[number:], counts, limits, deadline)
        answer = better(task, programme, goal, counts, audience.left(deadline), audience.watch(goal))
        counts = programme.counts(answer.values) if answer.values else counts
        limit = held_at(goal, answer)
        most = limit + goal.figures * SLACK
        limits[goal.name] = min(limits.get(goal.name, np.inf), most)
        hold(programme, goal.name, most)
        solved.append((goal, answer, limit))
    wishes = tuple(_result(task, goal, answer, limit, counts) for goal, answer, limit in solved)
    outcome = "best found when stopped" if audience.stopped else _worst([wish.outcome for wish in wishes])
    return Decision(outcome, counts, greatest, wishes, left_out, None, time.perf_counter() - began)


LEAST = Goal("least total", 0.0, 0.0, "mass")
GIVING = Goal("what would have to give", 0.0, 0.0, None)


def least_total(task: Task, programme: Programme, deadline: float, audience: Audience) -> Solution:
    """The least total that can be built at or above the required one, from which the mass window counts.

    It is no wish of anybody's, so a part of the time is enough for it, unless that finds nothing at all. With
    several legal cases it may be found as many mass resolutions above the least, which is much sooner done.
    """
    total = programme.objectives["total"]
    resolution = task.wishes.mass_resolution * sum(case.legal for case in task.cases)
    watch = audience.watch(LEAST)
    least = solve(programme.problem, total, resolution, FIRST_PART * audience.left(deadline), watch=watch)
    if least.status == "none":
        least = solve(programme.problem, total, resolution, audience.left(deadline), watch=watch)
    return least


def _first(
    task: Task, programme: Programme, exchange: Exchange | None, deadline: float, audience: Audience
) -> Solution:
    """Counts to begin with: at the least total that can be built, to the mass resolution.

    A few plates put on what stands now may already be right in total and inside every band. (Where plates change with
    the driver, that is seldom so, and takes longer to find out than the solver needs.)
    """
    wanted = {"mass": task.wishes.mass_resolution, **_asked_for(task)}
    wanted |= {name: 0.0 for name in ("balance", "balance sum") if name in programme.objectives}
    near = exchange.from_fitted(wanted, deadline) if exchange and len(task.room.aboard) == 1 else None
    if near is None:
        return least_total(task, programme, deadline, audience)
    values = {variable.name: float(near[place]) for place, variable in programme.count.items()}
    return Solution("proved", _total(task, near), task.required, values, 0.0)


def _asked_for(task: Task) -> dict[str, float]:
    """Limits that the user sets for wishes: rows that do not speak of counts alone, and that trying must be told of."""
    most = task.wishes.most_changes
    return {} if most is None else {"changes": float(most)}


def _tried(
    task: Task, exchange: Exchange, goals: Sequence[Goal], counts: Array, limits: Mapping[str, float], deadline: float
) -> Array:
    """Counts that do better at the first of the goals, found by trying; or those given.

    Where a whole-numbered wish is still to come, only what leaves nothing to wish for is taken: a wish settled by the
    solver is proved a little below its value, and later ones live on the room that this leaves in its hold.
    """
    goal, value = goals[0], _measured(task, goals[0], counts)
    if value <= goal.gap or goal.name in SOON_SETTLED:
        return counts
    step = goal.gap * (1 if goal.whole else SMALL_STEP)
    found = exchange.improved(goal.name, counts, limits, step, deadline)
    roomy = not goal.whole and any(later.whole for later in goals)
    return counts if roomy and _measured(task, goal, found) > goal.gap else found


def better(
    task: Task, programme: Programme, goal: Goal, counts: Array, seconds: float, watch: Watch | None
) -> Solution:
    """The best for one wish, given counts that keep everything so far; without values when those counts are as good.

    Only plans better by more than the gap are looked for. When there is none, that is the proof that the counts at hand
    are within the gap of the best, and it comes sooner than a search for the best would end.
    """
    value = _measured(task, goal, counts)
    if value <= goal.gap:  # no wish can be below nothing
        return Solution("proved", value, 0.0, {}, 0.0)
    answer = solve(programme.problem, programme.objectives[goal.name], goal.gap, seconds, value - goal.gap, watch)
    if answer.values:
        return answer
    if answer.status == "impossible":
        return Solution("proved", value, value - goal.gap, {}, answer.seconds)
    return Solution("found", value, answer.bound, {}, answer.seconds)


def written(task: Task) -> Programme:
    """The programme as the first wish sees it, with the upper end of the mass window, for writing to a file."""
    programme = task.programme()
    deadline = time.perf_counter() + task.wishes.seconds
    least = _first(task, programme, trying(task, programme), deadline, Audience())
    if least.values:
        greatest_total(programme, least.value + task.wishes.over_required)
    goals, _ = goals_of(task, programme)
    programme.problem.setObjective(programme.objectives[goals[0].name if goals else "total"])
    return programme


def reachable(
    task: Task, greatest: float, missed: tuple[Figure, ...], number: int, seconds: float
) -> tuple[FigureRange, ...]:
    """What legal plans inside the mass window can reach of the figures whose targets are missed in one case.

    To 0.1 points. number : of the case; greatest : upper end of the window [kg]; seconds : left of the time limit. A
    figure not settled in its part of them is left out.
    """
    programme = task.programme()
    greatest_total(programme, greatest)
    nominal = task.cases[number].nominal
    ranges, part = [], seconds / (2 * len(missed))
    for band in (band for band in task.bands if band.figure in missed):
        loads = [float(k) * load for k, load in zip(band.corners, programme.loads[number], strict=True) if k]
        distance = total_of(loads) - band.aim_share * programme.totals[number] - band.aim_mass
        ends = [solve(programme.problem, sign * distance, RANGE_RESOLUTION * nominal, part) for sign in (1, -1)]
        if all(end.status == "proved" for end in ends):
            counts = [programme.counts(end.values) for end in ends]
            low, high = (_figure(task, band, number, here) for here in counts)
            dimension: Dimension = "mass" if band.is_mass else "percent"
            ranges.append(FigureRange(dimension=dimension, figure=band.figure, low=low, high=high))
    return tuple(ranges)


def _figure(task: Task, band: Band, number: int, counts: Array) -> float:
    case = task.cases[number]
    loads = case.bare_loads + task.room.loads_of(counts, case.crew)
    return float(loads @ band.corners) / (1.0 if band.is_mass else float(loads.sum()))


def goals_of(task: Task, programme: Programme) -> tuple[tuple[Goal, ...], tuple[str, ...]]:
    """The goals of every wish in the user's order, and the names of wishes that cannot be asked for."""
    points = 100 * balance_resolution(task.wishes, task.repeat)
    figures = sum(band.by_ballast for band in task.bands)
    together = points * figures  # of a sum of distances, each to its resolution
    whole, mass = (ONE_PIECE, ALMOST_ONE, None), task.mass_resolution
    by_wish: dict[WishName, tuple[Goal, ...]] = {
        "balance": (
            Goal("balance", points, points, "percent", 0.01),
            Goal("balance sum", together, together, "percent", 0.01, figures),
        ),
        "mass": (Goal("mass", mass, mass, "mass"),),
        "stop": (Goal("stop", *whole),),
        "changes": (Goal("changes", *whole),),
        "pieces": (Goal("pieces", *whole),),
        "height": (Goal("height", HEIGHT_RESOLUTION, HEIGHT_RESOLUTION, "length"),),
        "yaw": (Goal("yaw", YAW_RESOLUTION, YAW_RESOLUTION, None),),
        "aim": (Goal("aim", together, together, "percent", 0.01, figures),),
    }
    goals: list[Goal] = []
    left_out: list[str] = []
    for wish in task.wishes.order:
        if all(goal.name in programme.objectives for goal in by_wish[wish]):
            goals.extend(by_wish[wish])
        else:
            left_out += [wish] if wish != "stop" else []  # nothing changes at a stop: there is nothing to wish for
    return tuple(goals), tuple(left_out)


def held_at(goal: Goal, answer: Solution) -> float:
    """The most a later wish may let this one become.

    A proved wish may rise to its bound plus its resolution: every plan up to there is as good as the best, to the
    stated resolution. One that is only found stays where it is.
    """
    if goal.whole:
        return float(round(answer.value))
    return max(answer.value, answer.bound + goal.resolution) if answer.status == "proved" else answer.value


def _measured(task: Task, goal: Goal, counts: Array) -> float:
    return measures.measure(goal.name, task.room, task.cases, task.bands, task.wishes, counts)


def _total(task: Task, counts: Array) -> float:
    return measures.measure("total", task.room, task.cases, task.bands, task.wishes, counts)


def _result(task: Task, goal: Goal, answer: Solution, limit: float, counts: Array) -> WishResult:
    value = _measured(task, goal, counts)
    bound = answer.bound if np.isfinite(answer.bound) else 0.0
    if goal.whole:
        bound = float(np.ceil(bound - SLACK))
    bound = bound if bound > 0 else 0.0  # no wish can be below nothing, and none reads "minus zero"
    return WishResult(
        name=goal.name,
        dimension=goal.dimension,
        value=value * goal.scale,
        bound=min(bound, value) * goal.scale,
        resolution=goal.resolution * goal.scale,
        hold=limit * goal.scale,
        outcome="proved best" if answer.status == "proved" else "best found in the time",
    )


def _worst(outcomes: list[Outcome]) -> Outcome:
    return "proved best" if all(outcome == "proved best" for outcome in outcomes) else "best found in the time"
