"""From a question to a plan that has passed the scrutineer."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from ballast.jobs.crew import cases_standing, loads_now, stops
from ballast.jobs.density import denser
from ballast.jobs.foresight import spread_at_reweigh, springs_behind, with_other_springs
from ballast.jobs.pads import sound
from ballast.jobs.platforms_after import platforms_after
from ballast.jobs.reach import new_mount, reach, tolerance
from ballast.jobs.weigh import repeat
from ballast.physics.statics import Array
from ballast.physics.uncertainty import chance_inside
from ballast.planning.bands import Band
from ballast.planning.cases import Case, loads_from, pieces_since_weighed
from ballast.planning.impossible import Reasons
from ballast.planning.measures import changes
from ballast.planning.planner import Decision, decide, reachable, written
from ballast.planning.states import driver_ballast, prescribed
from ballast.planning.task import Task, task
from ballast.records.plan import (
    Answer,
    Carried,
    Change,
    FigureRange,
    Impossible,
    Plan,
    StandingPlates,
    TargetResult,
)
from ballast.records.progress import Told
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.scrutineering.inspection import inspect


def plan(question: Question, told: Told | None = None) -> Answer:
    """Choose plates and mounts, work out what the car will weigh, and have every limit checked by other code.

    told : hears of the progress, and may ask for a stop.
    Raises DisagreementError when the scrutineer's sums are not the planner's.
    """
    question = sound(question)
    asked = task(question)
    return Answer(question=question, plan=checked(question, record_of(question, asked, decide(asked, told))))


def checked(question: Question, record: Plan) -> Plan:
    """A plan with the findings of the scrutineer; without plates there is nothing to find."""
    return record.replace(findings=inspect(question, record)) if record.cases else record


def programme_text(question: Question) -> str:
    """The integer programme as the first wish sees it, in LP format."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "programme.lp"
        written(task(sound(question))).problem.writeLP(str(path))
        return path.read_text(encoding="utf-8")


def record_of(question: Question, task: Task, decision: Decision) -> Plan:
    """What was decided, as a record: in words of the files, with what the car will weigh then."""
    room = task.room
    needs = task.requirements
    before = loads_now(question, task, task.cases[0])
    tightest = needs[0]
    over = decision.greatest - task.required
    record = Plan(
        units=question.car.units,
        outcome=decision.outcome,
        impossible=_impossible(decision.reasons) if decision.reasons else None,
        wishes=decision.wishes,
        wishes_left_out=decision.left_out,
        requirement=tightest.replace(greatest=tightest.required + over),
        requirements=tuple(one.replace(greatest=one.required + over) for one in needs),
        required_total=tightest.required,
        before=before,
        roll_share=springs_behind(question, room),
        repeat=repeat(question.weigh_in),
        driver_ballast=tuple(
            Carried(driver=driver.name, mass=mass)
            for driver, mass in zip(question.car.drivers, driver_ballast(question), strict=False)
        ),
        seconds=decision.seconds,
    )
    counts = decision.counts
    if counts is None:
        return record
    targets = tuple(_targets(question, task, counts))
    stopped = decision.outcome == "best found when stopped"
    left = 0.0 if stopped else task.wishes.seconds - decision.seconds
    planned = cases_standing(question, task, counts)
    first = room.aboard[task.cases[0].crew]
    return record.replace(
        balance_miss_points=max((t.miss_points for t in targets if t.by == "ballast"), default=None),
        bound_points=_bound(task, decision),
        ballast_total=float((counts @ room.plate_mass) @ first),
        fixing_total=float((room.fixing * room.in_use(counts)) @ first),
        fit=tuple(
            StandingPlates(mount=room.mounts[m], plate=room.plates[p], count=int(counts[m, p]), driver=room.drivers[m])
            for m, p in np.argwhere(counts > 0).tolist()
        ),
        changes=tuple(
            Change(
                mount=room.mounts[m],
                plate=room.plates[p],
                before=int(room.fitted[m, p]),
                after=int(counts[m, p]),
                driver=room.drivers[m],
            )
            for m, p in np.argwhere(counts != room.fitted).tolist()
        ),
        moves=round(changes(room, counts)),
        cases=planned,
        stops=stops(task, counts, planned),
        range=_range(question, task, counts),
        targets=targets,
        reach=reach(task, counts),
        ranges=_ranges(task, decision.greatest, targets, left),
        new_mount=new_mount(task, counts),
        tolerance=tolerance(task, counts),
        platforms=platforms_after(question, task, decision),
        denser=denser(question, room, task.cases[0].crew, counts, planned[0].total),
    )


def _ranges(task: Task, greatest: float, targets: tuple[TargetResult, ...], seconds: float) -> tuple[FigureRange, ...]:
    """What legal plans can reach of the figures that are missed, in the first case that misses any."""
    missed = [target for target in targets if not target.inside and target.by == "ballast"]
    if not missed:
        return ()
    number = next(c for c, case in enumerate(task.cases) if case.name == missed[0].case)
    figures = tuple(target.figure for target in missed if target.case == missed[0].case)
    return reachable(task, greatest, figures, number, seconds)


def _bound(task: Task, decision: Decision) -> float | None:
    """What no plan's miss can be below, as a share of the car's own total; none when no balance was asked for.

    The wish is bounded in weighted points of the nominal total. The heaviest weight and the greatest total of the
    window turn that into a bound for the miss of any plan. The window is about the mean of the legal totals: one of n
    may use it n times. By driving time the worst is no less than the mean, so the same bound holds.
    """
    wish = next((wish for wish in decision.wishes if wish.name == "balance"), None)
    if wish is None:
        return None
    weight = max(band.weight for band in task.bands if band.by_ballast)
    nominal = np.array([case.nominal for case in task.cases if case.balance])
    over = max(decision.greatest - task.required, 0.0) * sum(case.legal for case in task.cases)
    return wish.bound / weight * float((nominal / (nominal + over)).min())


def _range(question: Question, task: Task, counts: Array) -> tuple[CaseLoads, CaseLoads]:
    """The loads of the first case at either edge of what the springs may be."""
    room, case = task.room, task.cases[0]
    since = pieces_since_weighed(question, case.driver, case.state)
    loads = case.bare_loads + room.loads_of(counts, case.crew)
    return with_other_springs(question, room, case.crew, counts, since, loads)


def _impossible(reasons: Reasons) -> Impossible:
    single = [found.gives[0].limit for found in reasons.relaxations if len({give.limit for give in found.gives}) == 1]
    return Impossible(
        greatest_total=reasons.greatest_total,
        no_total=reasons.no_total,
        conflicts=tuple(single),
        relaxations=reasons.relaxations,
        not_settled=reasons.not_settled,
    )


def _targets(question: Question, task: Task, counts: Array) -> Iterator[TargetResult]:
    """Every target in every state it is asked for in."""
    room = task.room
    for case in task.cases:
        if case.balance:
            loads = case.bare_loads + room.loads_of(counts, case.crew)
            by_rule = loads_from(room, prescribed(question, case.driver))
            now = case.bare_loads - by_rule + room.loads_of(room.fitted, case.crew)
            covariance = spread_at_reweigh(question, room, case, counts)
            for band in task.bands:
                yield _target(case, band, now, loads, covariance)


def _target(case: Case, band: Band, now: Array, loads: Array, covariance: Array) -> TargetResult:
    """One target in one state: loads (4,) as they stand now and afterwards, and the covariance at a re-weigh."""

    def figure(at: Array) -> float:
        return float(at @ band.corners) / (1.0 if band.is_mass else float(at.sum()))

    aim = band.aim_mass if band.is_mass else band.aim_share
    after = figure(loads)
    slope = band.corners if band.is_mass else (band.corners - after) / float(loads.sum())
    off = float(np.sqrt(max(float(slope @ covariance @ slope), 0.0)))
    return TargetResult.model_validate(
        {
            "dimension": "mass" if band.is_mass else "percent",
            "case": case.name,
            "figure": band.figure,
            "by": "ballast" if band.by_ballast else "platforms",
            "aim": aim,
            "within": band.half_width,
            "guard": band.guard,
            "before": figure(now),
            "after": after,
            "miss_points": band.miss(loads),
            "outside_points": max(0.0, abs(after - aim) - band.half_width)
            / (float(loads.sum()) if band.is_mass else 1.0),
            "inside": abs(after - aim) <= band.half_width + 1e-9,
            "uncertainty": off,
            "chance": chance_inside(after, aim - band.half_width - 1e-9, aim + band.half_width + 1e-9, off),
        }
    )
