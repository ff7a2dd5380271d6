"""The order of wishes: each settled in turn, to its resolution, with the earlier ones held."""

import time
from dataclasses import dataclass, replace

import numpy as np

from ballast.physics.statics import Array
from ballast.planning import measures
from ballast.planning.bands import Band, balance_resolution
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
    least = least_total(task, programme, deadline, audience)
    goals, left_out = goals_of(task, programme)
    if not least.values:
        impossible = least.status == "impossible"
        why = reasons(task, deadline, audience.watch(GIVING)) if impossible else None
        outcome: Outcome = "impossible" if impossible else "no answer in the time"
        return Decision(outcome, None, task.required, (), left_out, why, time.perf_counter() - began)
    greatest = least.value + task.wishes.over_required
    greatest_total(programme, greatest)
    counts = programme.counts(least.values)
    solved: list[tuple[Goal, Solution, float]] = []
    for goal in goals:
        answer = better(task, programme, goal, counts, audience.left(deadline), audience.watch(goal))
        counts = programme.counts(answer.values) if answer.values else counts
        limit = held_at(goal, answer)
        hold(programme, goal.name, limit + goal.figures * SLACK)
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
    least = least_total(task, programme, time.perf_counter() + task.wishes.seconds, Audience())
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
    if goal.resolution == ONE_PIECE and goal.gap == ALMOST_ONE:
        return float(round(answer.value))
    return max(answer.value, answer.bound + goal.resolution) if answer.status == "proved" else answer.value


def _measured(task: Task, goal: Goal, counts: Array) -> float:
    return measures.measure(goal.name, task.room, task.cases, task.bands, task.wishes, counts)


def _result(task: Task, goal: Goal, answer: Solution, limit: float, counts: Array) -> WishResult:
    value = _measured(task, goal, counts)
    bound = answer.bound if np.isfinite(answer.bound) else 0.0
    if goal.gap == ALMOST_ONE:
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
