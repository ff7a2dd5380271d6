"""From a question to a plan that has passed the scrutineer."""

import tempfile
from pathlib import Path

import numpy as np

from ballast.jobs.foresight import spread_at_reweigh, uncertain
from ballast.jobs.reach import new_mount, reach, tolerance
from ballast.jobs.standing import case_loads
from ballast.jobs.weigh import repeat
from ballast.physics.statics import Array, height_after
from ballast.physics.uncertainty import chance_inside
from ballast.planning.cases import Band, cases, layout
from ballast.planning.impossible import Reasons
from ballast.planning.measures import changes, nominal_totals
from ballast.planning.planner import Decision, decide, reachable, written
from ballast.planning.task import Task, readings, required, task
from ballast.records.plan import Answer, Change, Impossible, Plan, RollShare, StandingPlates, TargetResult
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.scrutineering.inspection import inspect


def plan(question: Question) -> Answer:
    """Choose plates and mounts, work out what the car will weigh, and have every limit checked by other code.

    Raises DisagreementError when the scrutineer's sums are not the planner's.
    """
    asked = task(question)
    record = _record(question, asked, decide(asked))
    if record.cases:
        record = record.replace(findings=inspect(question, record))
    return Answer(question=question, plan=record)


def programme_text(question: Question) -> str:
    """The integer programme as the first wish sees it, in LP format."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "programme.lp"
        written(task(question)).problem.writeLP(str(path))
        return path.read_text(encoding="utf-8")


def _record(question: Question, task: Task, decision: Decision) -> Plan:
    chassis, room = question.car.chassis, task.room
    value, low, high = question.car.suspension.roll_share()
    bare = task.cases[0].bare_loads
    weighed = readings(question).mean(axis=0)  # not the bare loads: they hold the success ballast, too
    before = case_loads("as weighed", chassis, weighed, chassis.centre_of_gravity_height)
    asked = required(question)
    record = Plan(
        units=question.car.units,
        outcome=decision.outcome,
        impossible=_impossible(decision.reasons) if decision.reasons else None,
        wishes=decision.wishes,
        wishes_left_out=decision.left_out,
        requirement=asked.replace(greatest=decision.greatest),
        required_total=task.required,
        before=before,
        roll_share=RollShare(value=value, low=low, high=high, assumed=question.car.suspension.front_roll_share is None),
        repeat=repeat(question.weigh_in),
        seconds=decision.seconds,
    )
    counts = decision.counts
    if counts is None:
        return record
    loads = bare + room.loads_of(counts)
    settled = spread_at_reweigh(question, task, counts)
    targets = tuple(_target(band, weighed, loads, settled) for band in task.bands)
    left = task.wishes.seconds - decision.seconds
    missed = tuple(target.figure for target in targets if not target.inside and target.by == "ballast")
    return record.replace(
        balance_miss_points=max((t.miss_points for t in targets if t.by == "ballast"), default=None),
        bound_points=_bound(task, decision),
        ballast_total=float((counts @ room.plate_mass).sum()),
        fixing_total=float(room.fixing @ room.in_use(counts)),
        fit=tuple(
            StandingPlates(mount=room.mounts[m], plate=room.plates[p], count=int(counts[m, p]))
            for m, p in np.argwhere(counts > 0).tolist()
        ),
        changes=tuple(
            Change(mount=room.mounts[m], plate=room.plates[p], before=int(room.fitted[m, p]), after=int(counts[m, p]))
            for m, p in np.argwhere(counts != room.fitted).tolist()
        ),
        moves=round(changes(room, counts)),
        cases=(case_loads("as weighed", chassis, loads, _height(question, task, counts)),),
        range=tuple(_under_roll_share(question, counts, share) for share in (low, high)),
        targets=targets,
        reach=reach(task, counts),
        ranges=reachable(task, decision.greatest, missed, left) if missed else (),
        new_mount=new_mount(task, counts),
        uncertain=uncertain(question, task, counts),
        tolerance=tolerance(task, counts),
    )


def _bound(task: Task, decision: Decision) -> float | None:
    """What no plan's miss can be below, as a share of the car's own total; none when no balance was asked for.

    The wish is bounded in weighted points of the nominal total. The heaviest weight and the greatest total of the
    window turn that into a bound for the miss of any plan.
    """
    wish = next((wish for wish in decision.wishes if wish.name == "balance"), None)
    if wish is None:
        return None
    weight = max(band.weight for band in task.bands if band.by_ballast)
    nominal = nominal_totals(task.cases, task.required)
    over = max(decision.greatest - task.required, 0.0)
    return wish.bound / weight * float((nominal / (nominal + over)).min())


def _under_roll_share(question: Question, counts: Array, share: float) -> CaseLoads:
    """The plan's loads if the front share of roll stiffness were another."""
    room = layout(question, share)
    loads = cases(question, room)[0].bare_loads + room.loads_of(counts)
    return case_loads(f"front roll share {100 * share:g} %", question.car.chassis, loads)


def _height(question: Question, task: Task, counts: Array) -> float | None:
    """Height of the centre of gravity with the plates standing; none when it, or that of what is put on, is unknown.

    Plates lie in their stack in the order of the car file, first at the bottom.
    """
    room, before = task.room, question.car.chassis.centre_of_gravity_height
    success = question.rulebook.success_ballast if question.rulebook else None  # rules give it no height
    if before is None or room.undersides is None or success:
        return None
    weighed = question.weigh_in.readings
    total = float(np.mean([sum(reading.in_order()) for reading in weighed]))
    masses, heights = [], []
    for sign, standing in ((1.0, counts), (-1.0, room.fitted)):
        for m in range(len(room.mounts)):
            under = room.undersides[m]
            lying = room.thickness * standing[m]
            middles = under + np.cumsum(lying) - lying / 2
            masses += [*(sign * room.plate_mass * standing[m]), sign * room.fixing[m] * room.in_use(standing)[m]]
            heights += [*middles, under]
    return height_after(total, before, masses, heights)


def _impossible(reasons: Reasons) -> Impossible:
    single = [found.gives[0].limit for found in reasons.relaxations if len({give.limit for give in found.gives}) == 1]
    return Impossible(
        greatest_total=reasons.greatest_total,
        no_total=reasons.no_total,
        conflicts=tuple(single),
        relaxations=reasons.relaxations,
        not_settled=reasons.not_settled,
    )


def _target(band: Band, weighed: Array, loads: Array, covariance: Array) -> TargetResult:
    def figure(at: Array) -> float:
        return float(at @ band.corners) / (1.0 if band.is_mass else float(at.sum()))

    aim = band.aim_mass if band.is_mass else band.aim_share
    after = figure(loads)
    slope = band.corners if band.is_mass else (band.corners - after) / float(loads.sum())
    off = float(np.sqrt(max(float(slope @ covariance @ slope), 0.0)))
    return TargetResult.model_validate(
        {
            "dimension": "mass" if band.is_mass else "percent",
            "figure": band.figure,
            "by": "ballast" if band.by_ballast else "platforms",
            "aim": aim,
            "within": band.half_width,
            "guard": band.guard,
            "before": figure(weighed),
            "after": after,
            "miss_points": band.miss(loads),
            "outside_points": max(0.0, abs(after - aim) - band.half_width)
            / (float(loads.sum()) if band.is_mass else 1.0),
            "inside": abs(after - aim) <= band.half_width + 1e-9,
            "uncertainty": off,
            "chance": chance_inside(after, aim - band.half_width - 1e-9, aim + band.half_width + 1e-9, off),
        }
    )
