"""What the person with the spanner does: take off, move, fit, mount by mount."""

from collections.abc import Iterator

from ballast.records.plan import Answer, Change, Plan
from ballast.records.plates import Mount
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table


def work(answer: Answer, show: Rounding) -> Section:
    """The section that says what to do, mount by mount."""
    plan = answer.plan
    off, moved, on = _steps(plan)
    mounts = {mount.name: mount for mount in answer.question.car.mounts}
    by_place: dict[tuple[str, str], list[str]] = {}
    for (mount, plate), count in off.items():
        by_place.setdefault(("take off", mount), []).append(f"{count} x {plate}")
    for (start, end, plate), count in moved.items():
        by_place.setdefault(("move", f"{start} to {end}"), []).append(f"{count} x {plate}")
    for verb, steps in (("fit", on), ("leave", _staying(plan))):
        for (mount, plate), count in steps.items():
            by_place.setdefault((verb, mount), []).append(f"{count} x {plate}")
    rows = tuple((verb, place, ", ".join(plates)) for (verb, place), plates in by_place.items())
    lines = [
        f"{_pieces(plan.moves or 0)} to handle. On board afterwards: {show.mass(plan.ballast_total or 0.0)} of plates, "
        f"{show.mass(plan.fixing_total or 0.0)} of hardware."
        if rows
        else "Nothing to fit: no plate improves on the car as it is.",
        *_hardware(plan, mounts, show),
        *_success(answer, show),
        "Then settle the car and weigh again; ride heights, alignment and the spring platforms come after the ballast.",
    ]
    return Section("DO THIS", table=Table(("", "", ""), rows, text_columns=3) if rows else None, lines=tuple(lines))


def _success(answer: Answer, show: Rounding) -> Iterator[str]:
    """The mass that the rules prescribe, which no plate of the box stands for."""
    book = answer.question.rulebook
    if book and (success := book.success_ballast):
        aft, left = show.length(success.behind_front_axle), show.length(abs(success.left_of_centre))
        yield (
            f"Besides, the success ballast of {show.mass(success.mass)} goes where the rules want it: {aft} behind the "
            f"front axle, {left} {'left' if success.left_of_centre >= 0 else 'right'} of the centre line. It counts "
            "as not on board at the weigh-in."
        )


def _pieces(count: int) -> str:
    return f"{count} plate" if count == 1 else f"{count} plates"


Steps = dict[tuple[str, str], int]


def _steps(plan: Plan) -> tuple[Steps, dict[tuple[str, str, str], int], Steps]:
    """What comes off, what moves from mount to mount, what goes on. A plate that can be moved is not taken off."""
    off = {(change.mount, change.plate): _lost(change) for change in plan.changes if _lost(change) > 0}
    on = {(change.mount, change.plate): -_lost(change) for change in plan.changes if _lost(change) < 0}
    moved: dict[tuple[str, str, str], int] = {}
    for start, plate in list(off):
        for end, wanted in list(on):
            count = min(off.get((start, plate), 0), on.get((end, wanted), 0)) if wanted == plate else 0
            if count:
                moved[start, end, plate] = count
                off[start, plate] -= count
                on[end, plate] -= count
    return (
        {key: count for key, count in off.items() if count},
        moved,
        {key: count for key, count in on.items() if count},
    )


def _lost(change: Change) -> int:
    return change.before - change.after


def _staying(plan: Plan) -> Steps:
    """Plates that stand where they stood."""
    before = {(change.mount, change.plate): change.before for change in plan.changes}
    stay = {(row.mount, row.plate): min(row.count, before.get((row.mount, row.plate), row.count)) for row in plan.fit}
    return {key: count for key, count in stay.items() if count}


def _hardware(plan: Plan, mounts: dict[str, Mount], show: Rounding) -> Iterator[str]:
    """Hardware that comes and goes with the plates of a mount."""
    standing = {row.mount for row in plan.fit}
    emptied = {change.mount for change in plan.changes if change.before} - standing
    for name, mount in mounts.items():
        if name in emptied and mount.fixing_mass:
            yield f"{name}: its hardware ({show.as_written(mount.fixing_mass, 'mass')}) comes off with the plates."
