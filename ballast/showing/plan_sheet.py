"""A plan in words: what to do first, then what to expect, then how far to trust it."""

from collections.abc import Iterator

from ballast.records.plan import Answer, Plan, TargetResult
from ballast.records.weighed import CaseLoads
from ballast.showing.findings_sheet import findings_section, unchecked
from ballast.showing.impossible_sheet import not_possible, required_in_words
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.weighing_sheet import sideways
from ballast.showing.work import work

CAUTIONS = (
    "A loose plate is a projectile: through-bolts, locking nuts, spread washers. Re-torque, paint-mark, and count the "
    "plates against this sheet.",
    "Bolt strength is a sum, not a check: floor, bracket, pull-through and tall stacks are not looked at. Have a "
    "qualified person check the fixings. The series rulebook and its scrutineers decide.",
    "Never under a car on a jack. Lead: gloves, no food, no melting without ventilation. Heavy boxes: two people.",
)
TWICE = 2.0
"""Standard uncertainties in a 95 % interval."""
HOW_TO_MEASURE_ROLL_SHARE = (
    "To measure it: weigh, put a known mass (20 kg / 45 lb or more) far to the left, settle, weigh again. Front roll "
    "share in percent = 100 x change of (LF - RF) x front track / (2 x mass x its distance left of the centre line). "
    "Write it in [suspension] front_roll_share."
)


def plan_sheet(answer: Answer) -> Sheet:
    """The sheet of `plan`."""
    show, plan = rounding(answer.question), answer.plan
    sections = _possible(answer, show) if plan.cases else not_possible(plan, show)
    return Sheet(title=_title(answer), lines=tuple(_summary(answer, show)), sections=tuple(sections))


def _title(answer: Answer) -> str:
    rulebook = answer.question.rulebook
    rules = f" for {rulebook.title.name}" if rulebook else ""
    return f"{answer.question.car.chassis.name}: ballast plan{rules}"


def _summary(answer: Answer, show: Rounding) -> Iterator[str]:
    plan, rulebook = answer.plan, answer.question.rulebook
    match plan.outcome:
        case "proved best":
            balance = next((wish for wish in plan.wishes if wish.name == "balance"), None)
            mass = next((wish for wish in plan.wishes if wish.name == "mass"), None)
            finely = [show.points(balance.resolution) + " of balance"] if balance else []
            finely += [show.small(mass.resolution, "mass") + " of mass"] if mass else []
            yield "Proved best" + (f", to {' and '.join(finely)}." if finely else ".")
        case "best found in the time":
            yield "The best found in the time; a better one may exist. --seconds gives it longer."
        case "impossible":
            yield "No legal plan exists."
        case "no answer in the time":
            yield "No answer in the time. --seconds gives it longer."
    missed = [_named(result) for result in plan.targets if not result.inside and result.by == "ballast"]
    if missed and plan.cases:
        open_ones = any(finding.verdict == "not checked" for finding in plan.findings)
        yield f"{'Off target' if open_ones else 'Legal, but off target'}: {', '.join(missed)}."
    for wish in plan.wishes:
        if wish.outcome != "proved best":
            value, bound = (show.value(x, wish.dimension) for x in (wish.value, wish.bound))
            yield f"Not proved: {wish.name} is {value}, and might come down to {bound} at the best."
    yield from unchecked(plan.findings)
    yield from _not_used(answer)
    if rulebook and rulebook.title.template:
        yield "These rules are a template: the current book of your class and its scrutineers decide."
    if rulebook and rulebook.title.note:
        yield rulebook.title.note


def _not_used(answer: Answer) -> Iterator[str]:
    """What the files ask for and this plan could not use: silence would be taken for yes."""
    car = answer.question.car
    ruled = bool(answer.question.rulebook and answer.question.rulebook.minima)
    if ruled and car.targets.total is not None:
        yield "[targets] total is not used: the rulebook sets the total."
    if not ruled and car.margin.total:
        yield "[margin] total is not used: without a rulebook there is no minimum to keep it over."


# --- a plan ----------------------------------------------------------------------------------------------------------


def _possible(answer: Answer, show: Rounding) -> Iterator[Section]:
    plan = answer.plan
    yield work(answer, show)
    yield Section("THE CAR", table=_figures(plan, show), lines=tuple(_misses(plan, show)))
    yield Section("CORNER LOADS", table=_corners(plan, show))
    yield Section("CENTRE OF GRAVITY", lines=tuple(_places(answer, show)))
    yield Section("WHAT IS ESTIMATED", lines=tuple(_estimates(answer, show)))
    yield findings_section("FINDINGS, recomputed from the plates alone", plan.findings, show)
    yield Section("CAUTIONS", lines=CAUTIONS)


def _figures(plan: Plan, show: Rounding) -> Table:
    before, after, repeat = plan.before, plan.cases[0], plan.repeat
    reached, least = show.against(after.total, plan.requirement.required)
    most = show.mass(plan.requirement.greatest)
    target: dict[str, str] = {result.figure: _target(result, plan, show) for result in plan.targets}

    sure = plan.uncertain

    def share(name: str, figure: str, was: float, now: float, unsure: tuple[float, float]) -> tuple[str, ...]:
        scatter, after_all = unsure
        give = show.points(TWICE * after_all).removesuffix(" points")
        return name, show.percent(was, scatter, False), show.percent(now, scatter), give, target.get(figure, "")

    front = (repeat.front_percent, sure.front_percent if sure else 0.0)
    left = (repeat.left_percent, sure.left_percent if sure else 0.0)
    diagonal = (repeat.diagonal_percent, sure.diagonal_percent if sure else 0.0)
    was, now = before.diagonal_percent, after.diagonal_percent
    total = show.at_most(TWICE * sure.total).removesuffix(f" {show.units.mass}") if sure else ""
    pair = show.at_most(TWICE * sure.rear_pair).removesuffix(f" {show.units.mass}") if sure else ""
    return Table(
        head=("", "before", "after", "+/- 95 %", "target"),
        rows=(
            ("total", show.mass(before.total, False), f"{reached} {show.units.mass}", total, f"{least} to {most}"),
            share("front", "front", before.front_percent, after.front_percent, front),
            share("rear", "rear", before.rear_percent, after.rear_percent, front),
            share("left", "left", before.left_percent, after.left_percent, left),
            share("diagonal RF+LR", "RF+LR", was.rf_lr, now.rf_lr, diagonal),
            share("diagonal LF+RR", "LF+RR", was.lf_rr, now.lf_rr, diagonal),
            (
                "rear pair, LR less RR",
                show.mass(before.rear_pair, False),
                show.mass(after.rear_pair),
                pair,
                target.get("rear pair", ""),
            ),
        ),
    )


def _target(result: TargetResult, plan: Plan, show: Rounding) -> str:
    if result.dimension == "mass":
        return f"{show.as_written(result.aim, 'mass', unit=False)} +/- {show.as_written(result.within, 'mass')}"
    match result.figure:
        case "front" | "rear":
            uncertainty = plan.repeat.front_percent
        case "left":
            uncertainty = plan.repeat.left_percent
        case _:
            uncertainty = plan.repeat.diagonal_percent
    aim = show.percent(result.aim, uncertainty, unit=False)
    return f"{aim} +/- {show.points(result.within).removesuffix(' points')} %"


def _misses(plan: Plan, show: Rounding) -> Iterator[str]:
    """Which targets are missed, by how much, and whether a better plan can exist."""
    yield f"Total required: {required_in_words(plan, show)}."
    if plan.uncertain and plan.uncertain.chance_under_minimum is not None:
        chance = show.chance(plan.uncertain.chance_under_minimum)
        yield f"Chance that the official total is under the minimum: {chance}, by what is entered here."
    chances = [f"{_named(result)} {show.chance(result.chance)}" for result in plan.targets if result.by == "ballast"]
    if chances:
        yield f"Chance that a re-weigh on the same pads lands inside the band: {', '.join(chances)}."
    for result in plan.targets:
        if result.by == "platforms":
            yield f"{_named(result)}: left to the spring platforms; ballast was not chosen for it."
        elif not result.inside:
            yield f"{_named(result)}: off target, {show.points(result.outside_points)} outside its band."
    missed = [result for result in plan.targets if not result.inside and result.by == "ballast"]
    if missed and plan.bound_points:
        first = "" if plan.wishes[0].name == "balance" else ", and keeps the wishes before balance,"
        diagonal = any(result.figure not in ("front", "rear", "left") for result in missed)
        yield (
            f"No plan that keeps these plates, mounts and limits{first} brings every target nearer than "
            f"{show.points(plan.bound_points)} to the band planned for. What may help: another mount, more mass "
            f"(over_required in [wishes]){', or the spring platforms for the diagonal' if diagonal else ''}."
        )
    if plan.ranges:
        reached = ", ".join(
            f"{found.figure} {show.value(found.low, found.dimension)} to {show.value(found.high, found.dimension)}"
            for found in plan.ranges
        )
        yield f"Legal plans reach, each figure by itself: {reached}."


def _named(result: TargetResult) -> str:
    return f"diagonal {result.figure}" if "+" in result.figure else result.figure


def _corners(plan: Plan, show: Rounding) -> Table:
    before, after = plan.before.corner_loads, plan.cases[0].corner_loads
    return Table(
        head=("", "before", "after", "change"),
        rows=tuple(
            (name, show.mass(was, unit=False), show.mass(now), f"{_signed(show.mass(now - was, unit=False))}")
            for name, was, now in (
                ("LF", before.LF, after.LF),
                ("RF", before.RF, after.RF),
                ("LR", before.LR, after.LR),
                ("RR", before.RR, after.RR),
            )
        ),
    )


def _signed(text: str) -> str:
    return text if text.startswith("-") else f"+{text}"


def _places(answer: Answer, show: Rounding) -> Iterator[str]:
    plan = answer.plan
    yield f"Before: {_centre(plan.before, show)}."
    yield f"After: {_centre(plan.cases[0], show)}."
    aim = plan.tolerance.aim if plan.tolerance else None
    if aim and (aim.behind_front_axle is not None or aim.left_of_centre is not None):
        yield f"Aim: {_place(aim.behind_front_axle, aim.left_of_centre, show)}."
    reach = plan.reach
    if reach and (reach.needed.behind_front_axle is not None or reach.needed.left_of_centre is not None):
        needed = _place(reach.needed.behind_front_axle, reach.needed.left_of_centre, show)
        has = _place(reach.planned.behind_front_axle, reach.planned.left_of_centre, show)
        verdict = "The mounts reach that place." if reach.inside else "The mounts do not reach that place."
        yield (
            f"For {_asked(plan)} exactly on the aim, the {show.mass(reach.mass)} of ballast and hardware needs its own "
            f"centre {needed}. In this plan it is {has}. {verdict}"
        )
    if mount := plan.new_mount:
        place = _place(mount.behind_front_axle, mount.left_of_centre, show)
        yield (
            f"A new mount {place}, would reach it with the {show.mass(mount.mass)} that this plan has on "
            f"'{mount.taken_from}'; the rules have to allow it there."
        )


def _asked(plan: Plan) -> str:
    """The aims that the place of the centre of gravity settles, by the user's own names."""
    return " and ".join(result.figure for result in plan.targets if result.figure in ("front", "rear", "left"))


def _centre(case: CaseLoads, show: Rounding) -> str:
    centre = case.centre_of_gravity
    height = f", {show.length(centre.above_ground)} above the ground" if centre.above_ground is not None else ""
    return _place(centre.behind_front_axle, centre.left_of_centre, show) + height


def _place(aft: float | None, left: float | None, show: Rounding) -> str:
    along = [] if aft is None else [f"{show.length(abs(aft))} {'behind' if aft >= 0 else 'ahead of'} the front axle"]
    across = [] if left is None else [sideways(left, show)]
    return ", ".join(along + across)


def _estimates(answer: Answer, show: Rounding) -> Iterator[str]:
    plan, repeat = answer.plan, answer.plan.repeat
    share, low, high = (100 * part for part in (plan.roll_share.value, plan.roll_share.low, plan.roll_share.high))
    named = next((result.figure for result in plan.targets if "+" in result.figure), "RF+LR")
    shares = [case.diagonal_percent for case in plan.range]
    diagonals = sorted(both.lf_rr if named == "LF+RR" else both.rf_lr for both in shares)
    ends = [show.percent(end, repeat.diagonal_percent, unit=False) for end in diagonals]
    between = f"from {ends[0]} to {ends[1]} %" if len(set(ends)) == 2 else f"still {ends[0]} %"
    if plan.roll_share.assumed:
        yield (
            f"How the springs share a load off the centre line is not known: {share:g} % of the roll stiffness at the "
            f"front is assumed. If it is {low:g} to {high:g} %, the diagonal {named} after this plan is {between}."
        )
        yield HOW_TO_MEASURE_ROLL_SHARE
    else:
        yield (
            f"Front roll share {share:g} %, by the car file; over its range of {low:g} to {high:g} % the diagonal "
            f"{named} after this plan is {between}."
        )
    yield (
        "The +/- of each figure is two standard uncertainties: scatter of the settlings, pads, plates, tape and roll "
        "share, as far as the files say how far they may be off."
    )
    yield "The diagonal holds for the bars as they were at the weigh-in (connected or not)."
    yield _guards(plan, show)
    if "height" in plan.wishes_left_out:
        yield "No wish for a low centre of gravity could be followed: not every mount has above_ground."
    if answer.question.car.chassis.centre_of_gravity_height is None:
        yield "The height of the centre of gravity has not been measured, so none is shown."


def _guards(plan: Plan, show: Rounding) -> str:
    repeat = plan.repeat
    source = (
        "One settling only, so its scatter is assumed; with two more, the plan knows how closely your pads repeat."
        if repeat.assumed
        else f"How well the weighing repeats comes from {repeat.settlings} settlings."
    )
    planned = [result for result in plan.targets if result.by == "ballast"]
    guards = ", ".join(
        f"{_named(result)} {show.mass(result.guard) if result.dimension == 'mass' else show.points(result.guard)}"
        for result in planned
    )
    wide = ", ".join(_named(result) for result in planned if result.guard >= result.within / 2)
    loose = f" The weighing is too loose for the band of {wide}: weigh more often, or widen it." if wide else ""
    narrower = f" Each band was planned narrower by a guard on both sides: {guards}." if guards else ""
    return f"{source}{narrower}{loose}"
