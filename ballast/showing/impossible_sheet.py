"""An honest "impossible", in words: what is short, and what would have to give."""

from collections.abc import Iterator

from ballast.corners import CORNERS
from ballast.records.plan import Answer, Give, Impossible, Plan, Requirement
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section

LIFTS = "wheels on the ground"
WORDS: dict[str, str] = {
    "stock": "own {to} of plate '{subject}' instead of {was}",
    "capacity": "let mount '{subject}' carry {to} instead of {was}",
    "stack height": "let the stack on '{subject}' be {to} high instead of {was}",
    "pieces": "let '{subject}' hold {to} plates instead of {was}",
    "plates that stay": "let only {to} of {subject} stay instead of {was}",
    "changes": "allow {to} changes instead of {was}",
    "required total": "a required total of {to} instead of {was}",
    "wheels on the ground": "nothing you can allow: {subject} would lift off its pad",
    "ballast total": "a rule that allows {to} of ballast instead of {was}",
    "ballast piece": "a rule on pieces that allows {to} x {subject}",
    "ballast material": "a rule on materials that allows {to} x {subject}",
    "ballast zone": "a zone that allows {to} x {subject}",
    "ballast stack": "a rule that allows a stack of {to} on '{subject}' instead of {was}",
    "piece fixing": "more, thicker or stronger bolts for {to} x {subject}",
    "ballast fixing": "more or thicker bolts on '{subject}': good for {to} instead of {was}",
    "bolt strength": "stronger bolts on '{subject}': good for {to} instead of {was}",
    "front axle": "a least front axle mass, margin included, of {to} instead of {was}",
    "right side": "a least right side mass, margin included, of {to} instead of {was}",
    "left share": "a greatest left share, margin included, of {to} instead of {was}",
    "rear share": "a greatest rear share, margin included, of {to} instead of {was}",
}

OF_A_STATE = ("required total", "front axle", "right side", "left share", "rear share")
"""Limits that each state of the car has for itself."""
AS_WEIGHED = "as weighed"
"""What the one state of a car without crew and tanks is called."""
SAME = 1e-6
"""Loads nearer to each other than this are one load. [kg]"""


def not_possible(answer: Answer, show: Rounding) -> Iterator[Section]:
    """What is said instead of a plan."""
    plan = answer.plan
    total = show.mass_down(plan.before.total)
    if on_the_pads(answer):
        lines = [f"The car weighs {total} as it was on the pads; required are {required_in_words(plan, show)}."]
    else:
        state = "" if plan.before.name == AS_WEIGHED else f" ({plan.before.name})"
        lines = [
            f"By sums the car weighs {total} with the plates that stand now{state}.",
            f"Required are {required_in_words(plan, show)}.",
        ]
    lines += other_requirements(plan, show)
    if plan.impossible is None:
        yield Section("WHY", lines=tuple(lines))
        return
    yield Section("WHY", lines=(*lines, *_short(plan, plan.impossible, show)))
    yield Section("WHAT WOULD HAVE TO GIVE", lines=tuple(_ways(plan, plan.impossible, show)))


def on_the_pads(answer: Answer) -> bool:
    """Whether the car that a plan starts from is the one that stood on the pads, not one reckoned from it."""
    readings, loads = answer.question.weigh_in.readings, answer.plan.before.corner_loads
    shown = [sum(of_corner) / len(readings) for of_corner in zip(*(one.in_order() for one in readings), strict=True)]
    before = [getattr(loads, corner) for corner in CORNERS]
    return all(abs(was - is_) <= SAME for was, is_ in zip(shown, before, strict=True))


def required_in_words(plan: Plan, show: Rounding) -> str:
    """The required total and its terms, and for which state where that is not the one of the weigh-in."""
    terms = ""
    for number, term in enumerate(plan.requirement.terms):
        sign = (" - " if term.mass < 0 else " + ") if number else ""
        terms += f"{sign}{show.term(abs(term.mass))} {term.name}"
    asked = plan.requirement
    state = "" if asked.case == AS_WEIGHED else f" ({asked.case})"
    return f"{_required(plan, asked, show)} {show.units.mass}{state} = {terms}"


def other_requirements(plan: Plan, show: Rounding) -> Iterator[str]:
    """The totals required in the other states, without their terms."""
    others = [one for one in plan.requirements if one.case != plan.requirement.case]
    if others:
        each = ", ".join(f"{_required(plan, one, show)} {show.units.mass} ({one.case})" for one in others)
        yield f"For the others: {each}."


def _required(plan: Plan, asked: Requirement, show: Rounding) -> str:
    """A required total with as many digits as it takes to read right beside the plan's."""
    planned = next((case for case in plan.cases if case.name == asked.case), None)
    return show.against(planned.total, asked.required)[1] if planned else show.mass_up(asked.required, False)


def _mean_required(plan: Plan) -> float:
    """What the greatest total is to be compared with: both are means over the states in which a total is required."""
    asked = plan.requirements or (plan.requirement,)
    return sum(one.required for one in asked) / len(asked)


def _short(plan: Plan, impossible: Impossible, show: Rounding) -> Iterator[str]:
    if impossible.no_total:
        yield "The limits contradict each other whatever the total: no set of plates keeps them all."
    elif impossible.greatest_total is not None and impossible.greatest_total < _mean_required(plan):
        short = _mean_required(plan) - impossible.greatest_total
        mean = ", in the mean of these states," if len(plan.requirements) > 1 else ""
        yield (
            f"With these plates, mounts and limits the car weighs{mean} at most "
            f"{show.mass_down(impossible.greatest_total)}: {show.mass_up(short)} too little."
        )


def _ways(plan: Plan, impossible: Impossible, show: Rounding) -> Iterator[str]:
    """Each smallest change that was found, one to a line; a wheel that lifts is told, but nobody can allow it."""
    ways = [way for way in impossible.relaxations if all(give.limit != LIFTS for give in way.gives)]
    single = any(len({give.limit for give in way.gives}) == 1 for way in impossible.relaxations)
    if ways and not single:
        yield "No single limit is enough; these pairs would be:"
    elif ways:
        yield "Any one of these is the smallest change of its kind that makes a plan possible:"
    elif not impossible.not_settled and not impossible.relaxations:
        yield "Neither one limit nor two of them are enough: look at the numbers again, one is probably mistyped."
    for way in ways:
        yield "- " + ", and ".join(_give(give, show) for give in way.gives) + "."
    if LIFTS in impossible.conflicts:
        yield "Every plan within the limits would lift a wheel off its pad; put mounts or plates elsewhere."
    short = _mean_required(plan) - (impossible.greatest_total or _mean_required(plan))
    if short > 0 and "ballast total" in impossible.conflicts:
        yield f"- or {show.mass_up(short)} more in parts that do not count as ballast, if the rules allow it."
    if impossible.not_settled:
        yield f"Not settled in the time: {', '.join(impossible.not_settled)}. --seconds gives it longer."


def _give(give: Give, show: Rounding) -> str:
    rises = give.to > give.was
    to = show.value_up(give.to, give.dimension) if rises else show.value_down(give.to, give.dimension)
    was = show.value_down(give.was, give.dimension) if rises else show.value_up(give.was, give.dimension)
    state = f" ({give.subject})" if give.limit in OF_A_STATE and give.subject != AS_WEIGHED else ""
    return WORDS[give.limit].format(subject=give.subject, to=to, was=was) + state
