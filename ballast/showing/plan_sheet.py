"""A plan in words: what to do first, then what to expect, then how far to trust it."""

from collections.abc import Callable, Iterator

from ballast.records.changed import Changed
from ballast.records.plan import Answer, Plan, TargetResult
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.showing import crew_sheet as crew
from ballast.showing.choices_sheet import choices_sections
from ballast.showing.crew_sheet import TWICE
from ballast.showing.denser import denser_plates
from ballast.showing.findings_sheet import findings_section, unchecked
from ballast.showing.impossible_sheet import (
    AS_WEIGHED,
    not_possible,
    on_the_pads,
    other_requirements,
    required_in_words,
)
from ballast.showing.places import place
from ballast.showing.platforms_after import platforms_section
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.springs import on_springs
from ballast.showing.work import work

CAUTIONS = (
    "A loose plate is a projectile: through-bolts, locking nuts, spread washers. Re-torque, paint-mark, and count the "
    "plates against this sheet.",
    "Bolt strength is a sum, not a check: floor, bracket, pull-through and tall stacks are not looked at. Have a "
    "qualified person check the fixings. The series rulebook and its scrutineers decide.",
    "Never under a car on a jack. Lead: gloves, no food, no melting without ventilation. Heavy boxes: two people.",
)
SURE = 0.999
"""A chance from which on nobody asks in which state it is the least."""
BEFORE, BY_SUMS = "before", "now, by sums"
"""Heads for the car with the plates that stand now: as the pads showed it, or reckoned from there."""


def plan_sheet(answer: Answer) -> Sheet:
    """The sheet of `plan`."""
    show, plan = rounding(answer.question), answer.plan
    sections = _possible(answer, show) if plan.cases else not_possible(answer, show)
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
        case "best found when stopped":
            yield "Stopped: the best plan found until then; a better one may exist."
        case "impossible":
            yield "No legal plan exists."
        case "no answer in the time":
            yield "No answer in the time. --seconds gives it longer."
    if answer.question.changed:
        yield from _counted_on(answer.question.changed, show)
    missed = dict.fromkeys(_named(result) for result in plan.targets if not result.inside and result.by == "ballast")
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


def _counted_on(changed: Changed, show: Rounding) -> Iterator[str]:
    """What was done to the car since it was weighed, as the file of changes has it."""
    done = []
    for verb, parts in (("taken off", changed.removed), ("put on", changed.added)):
        for part in parts:
            wheel = "" if part.carried_by == "chassis" else f" (wheel {part.carried_by})"
            done.append(f"{part.name} {verb}, {show.as_written(part.mass, 'mass')}{wheel}")
    done += [f"{part.name} moved, {show.as_written(part.mass, 'mass')}" for part in changed.moved]
    for row in changed.placed:
        count = f"{row.count} x" if row.count else "no"
        done.append(f"{count} {row.plate} now on {row.mount}" + (f" for {row.driver}" if row.driver else ""))
    yield (f"Counted on: {'; '.join(done)}. Weigh again when it is done: a prediction is not a weighing.")


def _not_used(answer: Answer) -> Iterator[str]:
    """What the files ask for and this plan could not use: silence would be taken for yes."""
    car = answer.question.car
    ruled = bool(answer.question.rulebook and answer.question.rulebook.minima)
    if ruled and car.targets.total is not None:
        yield "[targets] total is not used: the rulebook sets the total."
    if not ruled and car.margin.total:
        yield "[margin] total is not used: without a minimum in a rulebook there is nothing to keep it over."


# --- a plan ----------------------------------------------------------------------------------------------------------


def _possible(answer: Answer, show: Rounding) -> Iterator[Section]:
    plan, several = answer.plan, _several(answer.plan)
    on_pads = on_the_pads(answer)
    yield work(answer, show)
    yield from crew.carried(answer, show)
    yield from crew.at_the_stop(answer, show)
    if several:
        lines = (*_about_states(answer, show), *_misses(plan, show))
        yield Section("THE CAR IN EVERY STATE", table=crew.states(plan, show), lines=lines)
    else:
        yield Section(
            _with_state("THE CAR", plan), table=_figures(plan, on_pads, show), lines=tuple(_misses(plan, show))
        )
    yield Section("CORNER LOADS", table=crew.corners(plan, show) if several else _corners(plan, on_pads, show))
    yield Section("CENTRE OF GRAVITY", lines=tuple(_places(answer, show)))
    yield from platforms_section(plan.platforms, show)
    yield Section("WHAT IS ESTIMATED", lines=tuple(_estimates(answer, show)))
    yield findings_section("FINDINGS, recomputed from the plates alone", plan.findings, show)
    yield from choices_sections(answer)
    yield Section("CAUTIONS", lines=CAUTIONS)


def _several(plan: Plan) -> bool:
    """Whether the plan answers for more than one state of the car."""
    return len(plan.cases) > 1


def _with_state(title: str, plan: Plan) -> str:
    return title if plan.cases[0].name == AS_WEIGHED else f"{title}, {plan.cases[0].name}"


def _about_states(answer: Answer, show: Rounding) -> Iterator[str]:
    """What the table of states leaves open: the bands, how sure, what is in the tanks, which way the car drifts."""
    plan = answer.plan
    targets = {_named(result): f"{_named(result)} {_target(result, plan, show)}" for result in plan.targets}
    points = [words for point, words in crew.AT_WORDS.items() if any(c.fuel == point and c.balance for c in plan.cases)]
    if targets:
        listed = " and ".join(part for part in (", ".join(points[:-1]), *points[-1:]) if part)
        where = f" at {listed}" if points else ""
        yield f"Targets{where}: {', '.join(targets.values())}."
    if any(not result.inside and result.by == "ballast" for result in plan.targets):
        yield f"{crew.STAR} outside its band."
    yield crew.certainty(plan, show)
    yield from crew.fuel_aboard(answer.question, show)
    yield from crew.drift(plan, show)
    if answer.question.wishes.crew == "by driving time":
        yield "What counted for balance is the mean by driving time, not the worst of the drivers."


def _figures(plan: Plan, on_pads: bool, show: Rounding) -> Table:
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
        head=("", BEFORE if on_pads else BY_SUMS, "after", "+/- 95 %", "target"),
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
    yield from other_requirements(plan, show)
    under = [(case.uncertain.chance_under_minimum, case.name) for case in plan.cases]
    if known := [(chance, name) for chance, name in under if chance is not None]:
        chance, name = max(known)
        state = f" ({name})" if _several(plan) and chance > 1 - SURE else ""
        what = "Greatest chance" if _several(plan) else "Chance"
        so_much = f"{show.chance(chance)}{state}"
        yield f"{what} that the official total is under the minimum: {so_much}, by what is entered here."
    least = _by_figure(plan, lambda result: result.chance)
    if least:
        chances = ", ".join(
            f"{_named(result)} {show.chance(result.chance)}" + (_case(result, plan) if result.chance < SURE else "")
            for result in least
        )
        yield f"{'Least chance' if _several(plan) else 'Chance'} that a re-weigh on the same pads lands inside the " + (
            f"band: {chances}."
        )
    for result in {result.figure: result for result in plan.targets if result.by == "platforms"}.values():
        yield f"{_named(result)}: left to the spring platforms; ballast was not chosen for it."
    for result in _by_figure(plan, lambda result: -result.outside_points):
        if not result.inside:
            most = f"off target, at the worst{_case(result, plan)}" if _several(plan) else "off target,"
            yield f"{_named(result)}: {most} {show.points(result.outside_points)} outside its band."
    missed = [result for result in plan.targets if not result.inside and result.by == "ballast"]
    if missed and plan.bound_points:
        first = "" if plan.wishes[0].name == "balance" else ", and keeps the wishes before balance,"
        diagonal = any(result.figure not in ("front", "rear", "left") for result in missed)
        yield (
            f"No plan that keeps these plates, mounts and limits{first} brings every target{_everywhere(plan)} nearer "
            f"than {show.points(plan.bound_points)} to the band planned for. What may help: another mount, more mass "
            f"(over_required in [wishes]){', or the spring platforms for the diagonal' if diagonal else ''}."
        )
    if plan.ranges:
        reached = ", ".join(
            f"{found.figure} {show.value(found.low, found.dimension)} to {show.value(found.high, found.dimension)}"
            for found in plan.ranges
        )
        where = next(_case(result, plan) for result in missed) if missed else ""
        yield f"Legal plans reach, each figure by itself{where}: {reached}."


def _everywhere(plan: Plan) -> str:
    return " in every state" if _several(plan) else ""


def _by_figure(plan: Plan, worth: Callable[[TargetResult], float]) -> list[TargetResult]:
    """Of each figure that ballast was chosen for, the state in which something is the least."""
    planned = [result for result in plan.targets if result.by == "ballast"]
    figures = dict.fromkeys(result.figure for result in planned)
    return [min((result for result in planned if result.figure == figure), key=worth) for figure in figures]


def _case(result: TargetResult, plan: Plan) -> str:
    """The state, where there are several."""
    return f" ({result.case})" if _several(plan) else ""


def _named(result: TargetResult) -> str:
    return f"diagonal {result.figure}" if "+" in result.figure else result.figure


def _corners(plan: Plan, on_pads: bool, show: Rounding) -> Table:
    before, after = plan.before.corner_loads, plan.cases[0].corner_loads
    return Table(
        head=("", BEFORE if on_pads else BY_SUMS, "after", "change"),
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
    if _several(plan):
        yield f"{plan.before.name}, plates as now: {_centre(plan.before, show)}."
        first_of_each = {case.driver: case for case in reversed(plan.cases) if case.balance}
        for case in reversed(first_of_each.values()):
            yield f"{case.name}: {_centre(case, show)}."
    else:
        yield f"{'Before' if on_the_pads(answer) else 'Now, by sums'}: {_centre(plan.before, show)}."
        yield f"After: {_centre(plan.cases[0], show)}."
    first = f" ({plan.cases[0].name})" if _several(plan) else ""
    yield from denser_plates(plan, first, show)
    aim = plan.tolerance.aim if plan.tolerance else None
    if aim and (aim.behind_front_axle is not None or aim.left_of_centre is not None):
        yield f"Aim{first}: {place(aim.behind_front_axle, aim.left_of_centre, show)}."
    reach = plan.reach
    if reach and (reach.needed.behind_front_axle is not None or reach.needed.left_of_centre is not None):
        needed = place(reach.needed.behind_front_axle, reach.needed.left_of_centre, show)
        has = place(reach.planned.behind_front_axle, reach.planned.left_of_centre, show)
        verdict = "The mounts reach that place." if reach.inside else "The mounts do not reach that place."
        yield (
            f"For {_asked(plan)} exactly on the aim{first}, the {show.mass(reach.mass)} of ballast and hardware needs "
            f"its own centre {needed}. In this plan it is {has}. {verdict}"
        )
    if mount := plan.new_mount:
        spot = place(mount.behind_front_axle, mount.left_of_centre, show)
        yield (
            f"A new mount {spot}, would reach it with the {show.mass(mount.mass)} that this plan has on "
            f"'{mount.taken_from}'; the rules have to allow it there."
        )


def _asked(plan: Plan) -> str:
    """The aims that the place of the centre of gravity settles, by the user's own names."""
    figures = dict.fromkeys(result.figure for result in plan.targets)
    return " and ".join(figure for figure in figures if figure in ("front", "rear", "left"))


def _centre(case: CaseLoads, show: Rounding) -> str:
    centre = case.centre_of_gravity
    height = f", {show.length(centre.above_ground)} above the ground" if centre.above_ground is not None else ""
    return place(centre.behind_front_axle, centre.left_of_centre, show) + height


def _estimates(answer: Answer, show: Rounding) -> Iterator[str]:
    plan, repeat = answer.plan, answer.plan.repeat
    named, state = crew.diagonal_named(plan), f" ({plan.cases[0].name})" if _several(plan) else ""
    shares = [case.diagonal_percent for case in plan.range]
    diagonals = sorted(both.of(named) for both in shares)
    ends = [show.percent(end, repeat.diagonal_percent, unit=False) for end in diagonals]
    about = f"the diagonal {named} after this plan{state}"
    yield from on_springs(answer.question, plan.roll_share, about, (ends[0], ends[-1]))
    yield from _since_weighed(answer, show)
    car, changed = answer.question.car, answer.question.changed
    more = "drivers, " * bool(car.drivers) + "fuel, " * bool(car.tanks) + "changed parts, " * bool(changed)
    yield (
        f"The +/- of each figure is two standard uncertainties: scatter of the settlings, pads, plates, {more}tape and "
        "springs, as far as the files say how far they may be off."
    )
    yield _guards(plan, show)
    if "height" in plan.wishes_left_out:
        yield "No wish for a low centre of gravity could be followed: not every mount has above_ground."
    if answer.question.car.chassis.centre_of_gravity_height is None:
        yield "The height of the centre of gravity has not been measured, so none is shown."


def _since_weighed(answer: Answer, show: Rounding) -> Iterator[str]:
    """What is put in by sums, because it was not on the pads."""
    question, plan = answer.question, answer.plan
    if not _several(plan) and on_the_pads(answer):
        return
    yield f"On the pads: {_as_weighed(question, show)}; what differs from that is put in by sums."
    if drivers := question.car.drivers:
        off = sorted({driver.place_within for driver in drivers})
        within = " to ".join(show.length(end) for end in dict.fromkeys((off[0], off[-1])))
        yield f"Drivers count at their places in the car file, within {within} either way."
    for tank in question.car.tanks:
        yield (
            f"Fuel in {tank.name} counts {tank.density:g} kg/L, within {tank.density_within:g} kg/L, and at one place "
            f"while it burns; at the flag its volume is taken within {show.volume(tank.at_flag_within)}."
        )
    if question.changed and (question.changed.removed or question.changed.added or question.changed.moved):
        yield "Changed parts count with the masses and places of the file of changes."


def _as_weighed(question: Question, show: Rounding) -> str:
    """Who sat in the car on the pads and what was in its tanks, as far as the weigh-in says."""
    weigh_in = question.weigh_in
    visit, seated = weigh_in.visit, question.seated
    known = []
    if weigh_in.substitute:
        known.append(f"{show.as_written(weigh_in.substitute.mass, 'mass')} standing in for the driver")
    elif seated:
        known.append(f"{seated.name} aboard")
    elif visit.driver:
        known.append("the driver aboard" if visit.driver == "in" else "no driver")
    for row in weigh_in.fuel:
        name = row.tank or (question.car.tanks[0].name if question.car.tanks else "the tank")
        known.append(f"{show.volume(row.volume)} in {name}")
    if visit.fuel:
        known.append(f"fuel {visit.fuel}")
    return ", ".join(known) or "the car as it was weighed"


def _guards(plan: Plan, show: Rounding) -> str:
    repeat = plan.repeat
    source = (
        "One settling only, so its scatter is assumed; with two more, the plan knows how closely your pads repeat."
        if repeat.assumed
        else f"How well the weighing repeats comes from {repeat.settlings} settlings."
    )
    planned = _by_figure(plan, lambda result: -result.guard)
    guards = ", ".join(
        f"{_named(result)} {show.mass(result.guard) if result.dimension == 'mass' else show.points(result.guard)}"
        for result in planned
    )
    wide = ", ".join(_named(result) for result in planned if result.guard >= result.within / 2)
    loose = f" The weighing is too loose for the band of {wide}: weigh more often, or widen it." if wide else ""
    narrower = f" Each band was planned narrower by a guard on both sides: {guards}." if guards else ""
    return f"{source}{narrower}{loose}"
