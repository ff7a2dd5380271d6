"""Other plans for the same question, each checked like the first, and what mass buys in balance."""

from dataclasses import replace

from ballast.jobs.pads import sound
from ballast.jobs.plan import checked, record_of
from ballast.planning.alternatives import Candidate, candidates, curve
from ballast.planning.planner import decide
from ballast.planning.task import Task, task
from ballast.records.plan import Alternative, Answer, Choices, CurvePoint, Plan
from ballast.records.progress import Told
from ballast.records.question import Question

OTHERS, CURVE = 2.0, 1.0
"""Times the time limit of the plan that the other plans, and the curve, may take together."""
NO_TIME = 1e-9
"""[s]"""


def choices(question: Question, count: int, told: Told | None = None) -> Answer:
    """The plan, and up to count - 1 others that differ in a way that matters.

    told : hears of the progress, and may ask for a stop.
    Raises DisagreementError when the scrutineer's sums are not the planner's.
    """
    question = sound(question)
    asked, seconds = task(question), question.wishes.seconds
    first = decide(asked, told)
    plan = checked(question, record_of(question, asked, first))
    answer = Answer(question=question, plan=plan)
    if first.counts is None or first.outcome == "best found when stopped":
        return answer
    found, not_tried = candidates(asked, first, count, OTHERS * seconds, told)
    points = curve(asked, found, CURVE * seconds, told)
    offered = Choices(
        units=question.car.units,
        alternatives=tuple(
            _alternative(one, plan if one.decision is first else _checked(question, asked, one)) for one in found
        ),
        curve=tuple(
            CurvePoint(over_required=p.over_required, miss_points=p.miss, bound_points=p.bound) for p in points
        ),
        not_tried=not_tried,
    )
    return answer.replace(choices=offered)


def _checked(question: Question, task: Task, one: Candidate) -> Plan:
    """The plan of a candidate. What could be reached at all is told once, with the first plan: no time goes into it."""
    in_no_time = replace(task, wishes=task.wishes.replace(seconds=NO_TIME))
    return checked(question, record_of(question, in_no_time, one.decision))


def _alternative(one: Candidate, plan: Plan) -> Alternative:
    measures = one.measures
    return Alternative(
        name=one.name,
        order=one.order,
        miss_points=measures["balance"] / 100 if "balance" in measures else None,
        aim_points=measures["aim"] / 100 if "aim" in measures else None,
        over_required=measures["mass"],
        plates=round(measures["pieces"]),
        moves=round(measures["changes"]),
        raised=measures.get("height"),
        yaw=measures["yaw"],
        plan=plan,
    )
