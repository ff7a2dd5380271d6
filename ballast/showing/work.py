"""What the person with the spanner does: take off, move, fit, mount by mount."""

from collections import Counter
from collections.abc import Iterator

from ballast.records.plan import Answer, Plan
from ballast.records.plates import Mount
from ballast.records.rulebook import Prescribed
from ballast.showing.places import place, shortened
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table

Counts = dict[tuple[str, str], int]
"""Plates by mount and kind."""
WIDEST = 52
"""Letters of a step's place, so that plates still stand beside it."""
Steps = dict[tuple[str, str], list[str]]
"""What to do, by verb and mount; plates in words."""


def work(answer: Answer, show: Rounding) -> Section:
    """The section that says what to do on the mounts that are the same for every driver, mount by mount."""
    plan, car = answer.plan, answer.question.car
    mounts = {mount.name: mount for mount in car.mounts}
    todo = _todo(plan)
    rows = tuple((verb, shortened(where, WIDEST), ", ".join(plates)) for (verb, where), plates in todo.items())
    kit = any(mount.changes_with_driver for mount in car.mounts)
    lines = [
        *(_with_crew(answer, bool(rows), show) if kit else _handled(plan, bool(rows), show)),
        *_hardware(plan, mounts, show),
        *_success(answer, show),
        f"Then {'bring the car into one of the states below, settle it' if len(plan.cases) > 1 else 'settle the car'} "
        "and weigh again; ride heights, alignment and the spring platforms come after the ballast.",
    ]
    return Section("DO THIS", table=Table(("", "", ""), rows, text_columns=3) if rows else None, lines=tuple(lines))


def steps(before: Counts, after: Counts) -> Steps:
    """What comes off, what moves from mount to mount, what goes on. A plate that can be moved is not taken off."""
    lost = {key: before.get(key, 0) - after.get(key, 0) for key in dict.fromkeys((*before, *after))}
    off = {key: count for key, count in lost.items() if count > 0}
    on = {key: -count for key, count in lost.items() if count < 0}
    moved: dict[tuple[str, str, str], int] = {}
    for start, plate in list(off):
        for end, wanted in list(on):
            count = min(off.get((start, plate), 0), on.get((end, wanted), 0)) if wanted == plate else 0
            if count:
                moved[start, end, plate] = count
                off[start, plate] -= count
                on[end, plate] -= count
    found: Steps = {}
    _add(found, "take off", off)
    _add(found, "move", {(f"{start} to {end}", plate): count for (start, end, plate), count in moved.items()})
    _add(found, "fit", on)
    return found


def pieces(count: int) -> str:
    """So many plates."""
    return f"{count} plate" if count == 1 else f"{count} plates"


def prescribed(rule: Prescribed, show: Rounding) -> str:
    """Where the rules want ballast; empty where its place is free."""
    return place(*rule.place, show) if rule.place else ""


def aboard(answer: Answer, driver: str | None) -> tuple[float, float]:
    """Mass of the plates that stand with one driver aboard, and of their hardware. [kg]"""
    car, standing = answer.question.car, [row for row in answer.plan.fit if row.driver in (None, driver)]
    mass, in_use = {plate.name: plate.mass for plate in car.plates}, {row.mount for row in standing}
    hardware = sum(mount.fixing_mass for mount in car.mounts if mount.name in in_use)
    return sum(row.count * mass[row.plate] for row in standing), hardware


def _todo(plan: Plan) -> Steps:
    common = [change for change in plan.changes if change.driver is None]
    before = {(change.mount, change.plate): change.before for change in common}
    found = steps(before, {(change.mount, change.plate): change.after for change in common})
    _add(
        found,
        "leave",
        {
            (row.mount, row.plate): min(row.count, before.get((row.mount, row.plate), row.count))
            for row in plan.fit
            if row.driver is None
        },
    )
    return found


def _add(found: Steps, verb: str, counts: Counts) -> None:
    for (mount, plate), count in counts.items():
        if count:
            found.setdefault((verb, mount), []).append(f"{count} x {plate}")


def _handled(plan: Plan, any_plate: bool, show: Rounding) -> Iterator[str]:
    if any_plate:
        yield (
            f"{pieces(plan.moves or 0)} to handle. On board afterwards: {show.mass(plan.ballast_total or 0.0)} of "
            f"plates, {show.mass(plan.fixing_total or 0.0)} of hardware."
        )
    else:
        yield "Nothing to fit: no plate improves on the car as it is."


def _with_crew(answer: Answer, any_plate: bool, show: Rounding) -> Iterator[str]:
    on, off = Counter[str](), Counter[str]()
    for change in answer.plan.changes:
        if change.driver is None:
            (on if change.after > change.before else off)[change.plate] += abs(change.after - change.before)
    yield (
        f"{pieces((on | off).total())} to handle on the mounts that are the same for every driver."
        if any_plate
        else "No plates on the mounts that are the same for every driver."
    )
    each = []
    for driver in answer.question.car.drivers:
        plates, hardware = aboard(answer, driver.name)
        each.append(f"{driver.name} {show.mass(plates)} of plates, {show.mass(hardware)} of hardware")
    yield f"On board afterwards, with what each driver carries: {'; '.join(each)}."


def _success(answer: Answer, show: Rounding) -> Iterator[str]:
    """The mass that results bring: at its own place, or carried by plates of the box."""
    book = answer.question.rulebook
    if book is None or (success := book.success_ballast) is None:
        return
    if where := prescribed(success, show):
        before = answer.question.weigh_in.visit.success_ballast
        counted = f"{show.mass(before)} of it was" if before else "It counts as not"
        yield (
            f"Besides, the success ballast of {show.mass(success.mass)} goes where the rules want it: {where}. "
            f"{counted} on board at the weigh-in."
        )
    else:
        counts = "it is in the required total" if success.on_top else "it counts towards the minimum"
        yield f"Plates of the box carry the success ballast of {show.mass(success.mass)}; {counts}."


def _hardware(plan: Plan, mounts: dict[str, Mount], show: Rounding) -> Iterator[str]:
    """Hardware that comes and goes with the plates of a mount."""
    standing = {row.mount for row in plan.fit}
    emptied = {change.mount for change in plan.changes if change.before and change.driver is None} - standing
    for name, mount in mounts.items():
        if name in emptied and mount.fixing_mass:
            yield f"{name}: its hardware ({show.as_written(mount.fixing_mass, 'mass')}) comes off with the plates."
