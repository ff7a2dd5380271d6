"""An honest "impossible", in words: what is short, and what would have to give."""

from collections.abc import Iterator

from ballast.records.plan import Give, Impossible, Plan
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


def not_possible(plan: Plan, show: Rounding) -> Iterator[Section]:
    """What is said instead of a plan."""
    lines = [
        f"The car weighs {show.mass_down(plan.before.total)} as it was on the pads; required are "
        f"{required_in_words(plan, show)}."
    ]
    if plan.impossible is None:
        yield Section("WHY", lines=tuple(lines))
        return
    yield Section("WHY", lines=(*lines, *_short(plan, plan.impossible, show)))
    yield Section("WHAT WOULD HAVE TO GIVE", lines=tuple(_ways(plan, plan.impossible, show)))


def required_in_words(plan: Plan, show: Rounding) -> str:
    """The required total and its terms."""
    terms = ""
    for number, term in enumerate(plan.requirement.terms):
        sign = (" - " if term.mass < 0 else " + ") if number else ""
        terms += f"{sign}{show.term(abs(term.mass))} {term.name}"
    required = plan.requirement.required
    text = show.against(plan.cases[0].total, required)[1] if plan.cases else show.mass_up(required, False)
    return f"{text} {show.units.mass} = {terms}"


def _short(plan: Plan, impossible: Impossible, show: Rounding) -> Iterator[str]:
    if impossible.no_total:
        yield "The limits contradict each other whatever the total: no set of plates keeps them all."
    elif impossible.greatest_total is not None and impossible.greatest_total < plan.requirement.required:
        short = plan.requirement.required - impossible.greatest_total
        yield (
            f"With these plates, mounts and limits the car weighs at most {show.mass_down(impossible.greatest_total)}: "
            f"{show.mass_up(short)} too little."
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
    short = plan.requirement.required - (impossible.greatest_total or plan.requirement.required)
    if short > 0 and "ballast total" in impossible.conflicts:
        yield f"- or {show.mass_up(short)} more in parts that do not count as ballast, if the rules allow it."
    if impossible.not_settled:
        yield f"Not settled in the time: {', '.join(impossible.not_settled)}. --seconds gives it longer."


def _give(give: Give, show: Rounding) -> str:
    rises = give.to > give.was
    to = show.value_up(give.to, give.dimension) if rises else show.value_down(give.to, give.dimension)
    was = show.value_down(give.was, give.dimension) if rises else show.value_up(give.was, give.dimension)
    return WORDS[give.limit].format(subject=give.subject, to=to, was=was)
