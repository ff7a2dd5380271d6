"""What the curve of balance against mass says, in words and in steps."""

from dataclasses import dataclass

from ballast.records.plan import Alternative, Answer
from ballast.showing.choices_sheet import LETTERS
from ballast.showing.rounding import Rounding

NOTHING = 0.00005
"""A miss that is printed as 0.00 points; a share."""


@dataclass(frozen=True)
class Step:
    """So much mass over the required total, and a miss with it: the best found, or one that is proved out of reach.

    In kg and as a share.
    """

    mass: float
    miss: float


def best(answer: Answer) -> tuple[Step, ...]:
    """The best miss found with no more than so much mass, where it gets better: over the curve and the legal plans."""
    if answer.choices is None:
        return ()
    found = [Step(point.over_required, point.miss_points) for point in answer.choices.curve]
    found += [
        Step(one.over_required, one.miss_points)
        for one in answer.choices.alternatives
        if one.miss_points is not None and one.plan.legal
    ]
    steps: list[Step] = []
    for step in sorted(found, key=lambda step: (step.mass, step.miss)):
        if not steps or step.miss < steps[-1].miss - NOTHING / 100:
            steps.append(step)
    return tuple(steps)


def sentence(answer: Answer, show: Rounding) -> str:
    """What the curve says, in one sentence; or why there is none."""
    if answer.choices is None or not answer.choices.curve:
        return _why_none(answer)
    steps, last = best(answer), answer.choices.curve[-1]
    inside = next((step for step in steps if step.miss < NOTHING), None)
    if inside and inside == steps[0]:
        return (
            "The least mass found, "
            f"{_over(inside.mass, show)}, already brings every target inside the band that was planned for."
        )
    if inside:
        return f"From {_over(inside.mass, show)} on, every target is inside the band that was planned for."
    nearest = f"the best found is {show.points(steps[-1].miss)} outside, from {_over(steps[-1].mass, show)} on."
    if last.bound_points >= NOTHING:
        return (
            f"More mass, up to {_over(last.over_required, show)}, does not bring every target inside the band that was "
            f"planned for: {nearest}"
        )
    return f"No plan found brings every target inside the band that was planned for: {nearest}"


def _why_none(answer: Answer) -> str:
    plan = answer.plan
    if not plan.cases:
        return f"No curve: there is no plan ({plan.outcome})."
    if answer.choices is None:
        stopped = plan.outcome == "best found when stopped"
        return "No curve: it was stopped before that." if stopped else "No curve was asked for."
    if any(target.by == "ballast" for target in plan.targets):
        return "No curve: there was no time for it."
    return "No curve: no target asks where the ballast goes, so no mass is better balanced than another."


def _over(mass: float, show: Rounding) -> str:
    """Rounded up: with that much, what is said is true."""
    return f"{show.mass_up(mass)} over the required total" if mass >= 0 else f"{show.mass_up(-mass)} under it"


def lettered(answer: Answer) -> list[tuple[str, Alternative]]:
    """The plans to choose from, each with its letter."""
    return list(zip(LETTERS, answer.choices.alternatives, strict=False)) if answer.choices else []
