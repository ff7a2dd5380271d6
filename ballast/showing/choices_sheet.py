"""Plans to choose from, side by side, and what mass buys in balance."""

from collections.abc import Iterator

from ballast.records.plan import Alternative, Answer, Choices, Plan
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Table

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
NOTHING = 0.00005
"""A distance from a band that is printed as none. [share]"""


def choices_sections(answer: Answer) -> Iterator[Section]:
    """The sections that `plan --alternatives` adds to the sheet of the first plan."""
    if answer.choices is None:
        return
    show, choices = rounding(answer.question), answer.choices
    yield Section("PLANS TO CHOOSE FROM", table=_table(choices, show), lines=tuple(_notes(choices)))
    yield Section("WHAT STANDS IN EACH", table=_standing(choices))
    if choices.curve:
        settled = [wish.resolution for wish in answer.plan.wishes if wish.name == "balance"]
        about = _about(choices, max([*settled, answer.question.wishes.balance_resolution]), show)
        yield Section("WHAT MASS BUYS IN BALANCE", table=_curve(choices, show), lines=tuple(about))


def _table(choices: Choices, show: Rounding) -> Table:
    targets, high = _columns(choices)
    mass, length = show.units.mass, show.units.length
    head = ["plan", *(["miss", "off aims"] if targets else []), "over", "plates", "touch"]
    head += ["up"] if high else []
    units = ["", *(["points", "points"] if targets else []), mass, "", "", *([length] if high else []), "kg m2"]
    return Table(
        head=(*head, "yaw"),
        rows=(tuple(units), *(_row(letter, one, targets, high, show) for letter, one in _lettered(choices))),
    )


def _columns(choices: Choices) -> tuple[bool, bool]:
    """Whether there is something to say of targets, and of heights."""
    targets = all(one.miss_points is not None for one in choices.alternatives)
    return targets, all(one.raised is not None for one in choices.alternatives)


def _row(letter: str, one: Alternative, targets: bool, high: bool, show: Rounding) -> tuple[str, ...]:
    misses = (
        [show.points(miss or 0.0).removesuffix(" points") for miss in (one.miss_points, one.aim_points)]
        if targets
        else []
    )
    raised = [show.length(one.raised or 0.0, unit=False)] if high else []
    over = show.mass(one.over_required, unit=False)
    return (f"{letter} {_named(one)}", *misses, over, str(one.plates), str(one.moves), *raised, f"{one.yaw:.0f}")


def _named(one: Alternative) -> str:
    mark = "" if one.plan.legal else " (NOT LEGAL)"
    return one.name + mark + ("" if one.plan.outcome == "proved best" else " (not proved)")


def _notes(choices: Choices) -> Iterator[str]:
    targets, high = _columns(choices)
    meant = ["miss: the worst distance outside the bands planned for. off aims: all distances from the aims together."]
    meant = (meant if targets else []) + ["over: mass over the required total. touch: plates to handle today."]
    meant += ["up: the ballast's part in the height of the centre of gravity."] if high else []
    yield " ".join([*meant, "yaw: yaw inertia the ballast adds."])
    yield "Less is better in each. A plan that another equals or betters in all that matters is left out."
    if all(one.plan.legal for one in choices.alternatives):
        yield "All of these passed the same checks." if len(choices.alternatives) > 1 else "It passed the same checks."
    if len(choices.alternatives) == 1 and not choices.not_tried:
        yield "There is nothing to choose: no other plan is better in anything that matters."
    for letter, one in list(_lettered(choices))[1:]:
        yield f"To take {letter}: --order {','.join(one.order)}"
    if choices.not_tried:
        yield f"No time or no plan for: {', '.join(choices.not_tried)}. --seconds gives it longer."


def _standing(choices: Choices) -> Table:
    rows = []
    for letter, one in _lettered(choices):
        rows += [(letter if number == 0 else "", text) for number, text in enumerate(_mounts(one.plan))]
    return Table(("", ""), tuple(rows), text_columns=2)


def _mounts(plan: Plan) -> list[str]:
    """One text for each mount with plates; on one that changes with the driver, for each driver."""
    by_mount: dict[tuple[str, str | None], list[str]] = {}
    for row in plan.fit:
        by_mount.setdefault((row.mount, row.driver), []).append(f"{row.count} x {row.plate}")
    found = [
        f"{mount}{f', {driver}' if driver else ''}: {', '.join(plates)}" for (mount, driver), plates in by_mount.items()
    ]
    return found or ["no plate"]


def _lettered(choices: Choices) -> Iterator[tuple[str, Alternative]]:
    return zip(LETTERS, choices.alternatives, strict=False)


def _curve(choices: Choices, show: Rounding) -> Table:
    return Table(
        head=("mass over the required total, up to", "best miss", "surely not under"),
        rows=tuple(
            (show.mass(point.over_required), show.points(point.miss_points), show.points(point.bound_points))
            for point in choices.curve
        ),
    )


def _about(choices: Choices, resolution: float, show: Rounding) -> Iterator[str]:
    last = choices.curve[-1]
    reached = f"From {show.mass_up(last.over_required)} over the required total on,"
    if last.miss_points < NOTHING:
        yield f"{reached} every target is inside its band."
    elif last.miss_points <= resolution + NOTHING:
        yield f"{reached} every target is inside its band, as finely as the balance is settled."
    elif last.bound_points > NOTHING:
        yield (
            f"Up to {show.mass(last.over_required)} over it, no plan brings the worst target nearer than "
            f"{show.points(last.bound_points)} to its band: other mounts, or the platforms for the diagonal."
        )
    else:
        yield "Whether more mass would do better was not settled in the time. --seconds gives it longer."
    yield "The bands are those planned for, narrower than the targets by what the weighing cannot tell."
    yield "How much a plan may use is over_required in [wishes] of the car file."
