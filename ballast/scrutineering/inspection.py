"""A plan held against every limit, from the plates in it alone, by other code than the planner's."""

from collections.abc import Iterator

import numpy as np

from ballast.corners import CORNERS
from ballast.records.finding import Finding
from ballast.records.plan import Plan
from ballast.records.plates import Mount, Plate
from ballast.records.predicted import Predicted
from ballast.records.question import Question
from ballast.scrutineering.agreement import agree, agree_on_case, agree_on_range, moves, required_in
from ballast.scrutineering.findings import Standing, at_least, at_most
from ballast.scrutineering.rules import Stood, on_ballast, on_bolts, on_the_car, to_look_at, without_bolts
from ballast.scrutineering.states import loads_in, standing_now


def inspect(question: Question, plan: Plan) -> tuple[Finding, ...]:
    """Findings about a plan: one for each limit that applies, or the reason why one was not checked.

    Raises DisagreementError when the loads, totals or changes that the plan states are not those of its plates.
    """
    sets = _sets(question, plan)
    agree(question, plan, sets)
    return tuple(dict.fromkeys(_findings(question, plan, sets)))


def _sets(question: Question, plan: Plan) -> dict[str | None, Standing]:
    """Plates standing with each driver aboard, by name; one set where there are no drivers."""
    crew: list[str | None] = [driver.name for driver in question.car.drivers] or [None]
    return {who: {(row.mount, row.plate): row.count for row in plan.fit if row.driver in (None, who)} for who in crew}


def _findings(question: Question, plan: Plan, sets: dict[str | None, Standing]) -> Iterator[Finding]:
    several = sum(case.legal for case in plan.cases) > 1
    for case in plan.cases:
        loads = {corner: float(getattr(case.corner_loads, corner)) for corner in CORNERS}
        label = f", {case.name}" if several else ""
        if case.legal:
            yield from on_the_car(question, Stood(loads, case.driver, case.fuel, label))
            yield at_least("car", f"required total{label}", case.total, required_in(question, case), "mass")
    yield from to_look_at(question)
    for case in plan.cases:
        for corner in CORNERS:
            at = "" if len(plan.cases) == 1 else f", {case.name}"
            yield at_least("corner", f"load on {corner}{at}", getattr(case.corner_loads, corner), 0.0, "mass")
    if question.wishes.most_changes is not None:
        yield at_most("car", "changes", moves(question, sets), question.wishes.most_changes)
    kit = any(row.driver for row in plan.fit)
    for who, standing in sets.items() if kit else [next(iter(sets.items()))]:
        yield from _on_plates(question, standing, f", {who}" if kit else "")
    yield from without_bolts(question, sets.values())


def _on_plates(question: Question, standing: Standing, label: str) -> Iterator[Finding]:
    """Everything about one set of plates by itself. What every driver has alike is found alike, and told once."""
    plates = {plate.name: plate for plate in question.car.plates}
    yield from on_ballast(question, standing, label)
    for plate in plates.values():
        used = sum(count for (_, name), count in standing.items() if name == plate.name)
        if used:
            yield at_most("plate", f"{plate.name}: plates owned{label}", used, plate.count)
    for mount in question.car.mounts:
        here = {plates[name]: count for (where, name), count in standing.items() if where == mount.name and count}
        if here:
            yield from _on_mount(mount, here, label if mount.changes_with_driver else "")
    yield from on_bolts(question, standing, label)
    kit = {mount.name for mount in question.car.mounts if mount.changes_with_driver}
    for row in question.weigh_in.fitted:
        if row.stay:
            stays, whose = standing.get((row.mount, row.plate), 0), label if row.mount in kit else ""
            yield at_least("mount", f"{row.mount}: {row.plate} that stay{whose}", stays, row.stay)


def inspect_weighed(question: Question) -> tuple[Finding, ...]:
    """Findings about the car as it stood on the pads: the rulebook's limits, nothing of a plan."""
    standing = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    weighed = np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0)
    car = Stood(dict(zip(CORNERS, map(float, weighed), strict=True)))
    found = (*on_the_car(question, car), *to_look_at(question), *on_ballast(question, standing))
    return (*found, *on_bolts(question, standing), *without_bolts(question, [standing]))


def inspect_predicted(question: Question, predicted: Predicted) -> tuple[Finding, ...]:
    """Findings about the car after changes made by hand, in the state of the weigh-in: the rulebook's limits.

    Raises DisagreementError when the loads that are predicted do not follow from the plates and parts.
    """
    who = predicted.kit_of
    standing = standing_now(question, who)
    without_rules = question.replace(rulebook=None)  # ballast that rules will ask for is not aboard yet
    loads = loads_in(without_rules, standing, None, None)
    agree_on_case(question, predicted.after, loads)
    agree_on_range(without_rules, predicted.range, standing, None, None)
    car = Stood(dict(zip(CORNERS, map(float, loads), strict=True)))
    found = (*on_the_car(question, car), *to_look_at(question), *_on_plates(question, standing, ""))
    return (*found, *without_bolts(question, [standing]))


def _on_mount(mount: Mount, here: dict[Plate, int], label: str) -> Iterator[Finding]:
    carried = sum(plate.mass * count for plate, count in here.items()) + mount.fixing_mass
    yield at_most("mount", f"{mount.name}: mass with hardware{label}", carried, mount.capacity, "mass")
    if mount.stack is not None:
        height = sum((plate.thickness or 0.0) * count for plate, count in here.items())
        yield at_most("mount", f"{mount.name}: stack height{label}", height, mount.stack, "length")
    if mount.pieces is not None:
        yield at_most("mount", f"{mount.name}: pieces{label}", sum(here.values()), mount.pieces)
    if mount.takes is not None:
        strangers = sum(count for plate, count in here.items() if not mount.accepts(plate))
        yield at_most("mount", f"{mount.name}: plates it does not take{label}", strangers, 0)
