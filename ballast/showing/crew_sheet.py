"""A plan for several states of the car: what each driver carries, what the stop changes, every state in one table."""

from collections.abc import Iterator

from ballast.corners import Diagonal
from ballast.records.crew import Driver, FuelPoint
from ballast.records.plan import Answer, Figure, Plan, PlannedCase, Stop
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.showing.places import shortened
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table
from ballast.showing.work import Counts, prescribed, steps

TWICE = 2.0
"""Standard uncertainties in a 95 % interval."""
AT: dict[FuelPoint | None, str] = {"start": "start", "balance": "balance", "flag": "flag", None: ""}
"""Points of the stint in a narrow column, in the order of the day."""
AT_WORDS: dict[FuelPoint, str] = {"start": "the start", "balance": "the balance point", "flag": "the flag"}
"""The same in a sentence."""
STAR = "*"
"""What stands beside a figure outside its band."""


# --- what the crew does ----------------------------------------------------------------------------------------------


def carried(answer: Answer, show: Rounding) -> Iterator[Section]:
    """What each driver carries on the mounts that change with the driver, in the seat, and by rule."""
    question = answer.question
    rows: list[tuple[str, str, str]] = []
    for driver in question.car.drivers:
        own = list(_carries(answer, driver, show)) or [("", "nothing")]
        rows += [(shortened(driver.name) if number == 0 else "", *row) for number, row in enumerate(own)]
    kit = any(mount.changes_with_driver for mount in question.car.mounts)
    inserts = len(question.car.drivers) > 1 and any(driver.insert_mass for driver in question.car.drivers)
    if kit or inserts or any(one.mass for one in answer.plan.driver_ballast):
        lines = (*_on_kit_now(answer), *_kit_hardware(question, show), *_driver_ballast(question, show))
        yield Section("WHAT EACH DRIVER CARRIES", table=Table(("", "", ""), tuple(rows), text_columns=3), lines=lines)


def at_the_stop(answer: Answer, show: Rounding) -> Iterator[Section]:
    """The plates that go from bag to car and back at each change of drivers, and what that changes."""
    plan, question = answer.plan, answer.question
    if not plan.stops:
        return
    rows: list[tuple[str, str, str]] = []
    for stop in plan.stops:
        todo = steps(_kit(answer, stop.leaving), _kit(answer, stop.entering))
        for number, ((verb, where), plates) in enumerate(todo.items()):
            rows.append((_from_to(stop) if number == 0 else "", verb, f"{where} {', '.join(plates)}"))
        if not todo:
            rows.append((_from_to(stop), "", "no plates to handle"))
    lines = ["The other way round, the opposite."] if any(stop.plates for stop in plan.stops) else []
    if any(driver.insert_mass for driver in question.car.drivers):
        lines.append("The seat insert changes too.")
    if len({one.mass for one in plan.driver_ballast}) > 1 and _ruled_place(question):
        lines.append("The driver ballast at the place by the rules changes too.")
    table = Table(("", "", ""), tuple(rows), text_columns=3)
    yield Section("AT THE STOP", table=table, lines=tuple(lines))
    diagonal, fuel = diagonal_named(plan), plan.cases[0].fuel
    yield Section(
        "WHAT THE STOP CHANGES",
        table=Table(
            head=("", "plates", "ballast", "car", "front", "left", diagonal),
            rows=tuple(_stop(stop, diagonal, show) for stop in plan.stops),
        ),
        lines=(
            f"{f'At {AT_WORDS[fuel]}' if fuel else 'With the same fuel'}: plates to handle, ballast with its hardware, "
            f"the whole car with its driver; front, left and {diagonal} in points. The other way round, the opposite.",
        ),
    )


def _ruled_place(question: Question) -> bool:
    """Whether the rules have a place of its own for driver ballast."""
    rule = question.rulebook.driver_ballast if question.rulebook else None
    return bool(rule and rule.place)


def _carries(answer: Answer, driver: Driver, show: Rounding) -> Iterator[tuple[str, str]]:
    plan = answer.plan
    other = {change.mount for change in plan.changes if change.driver == driver.name}
    by_mount: dict[str, list[str]] = {}
    for row in plan.fit:
        if row.driver == driver.name:
            by_mount.setdefault(row.mount, []).append(f"{row.count} x {row.plate}")
    for mount, plates in by_mount.items():
        yield shortened(mount), ", ".join(plates) + ("" if mount in other else ", as now")
    if driver.insert_mass:
        yield "in the seat", f"insert, {show.as_written(driver.insert_mass, 'mass')}"
    for one in plan.driver_ballast:
        if one.driver == driver.name and one.mass:
            where = "place by the rules" if _ruled_place(answer.question) else "in the plates"
            yield where, f"driver ballast, {show.as_written(one.mass, 'mass')}"


def _on_kit_now(answer: Answer) -> Iterator[str]:
    """What stands now on the mounts that change with the driver."""
    question = answer.question
    kit = {change.driver for change in answer.plan.changes if change.driver}
    now = {driver.name: _now(question, driver.name) for driver in question.car.drivers}
    texts = {name: _listed(standing) for name, standing in now.items()}
    if not any(texts.values()):
        return
    if len(set(texts.values())) == 1:
        yield f"Now on these mounts: {next(iter(texts.values()))}."
    else:
        for name, text in texts.items():
            yield f"Now on these mounts for {name}: {text or 'nothing'}."
    if kit:
        yield "Before a driver goes out, take off these mounts what that driver does not carry."


def _listed(counts: Counts) -> str:
    by_mount: dict[str, list[str]] = {}
    for (mount, plate), count in counts.items():
        by_mount.setdefault(mount, []).append(f"{count} x {plate}")
    return "; ".join(f"{mount} {', '.join(plates)}" for mount, plates in by_mount.items())


def _now(question: Question, driver: str) -> Counts:
    standing = {
        (mount.name, plate.name): question.standing(mount.name, plate.name, driver)
        for mount in question.car.mounts
        if mount.changes_with_driver
        for plate in question.car.plates
    }
    return {key: count for key, count in standing.items() if count}


def _kit(answer: Answer, driver: str) -> Counts:
    return {(row.mount, row.plate): row.count for row in answer.plan.fit if row.driver == driver}


def _kit_hardware(question: Question, show: Rounding) -> Iterator[str]:
    hardware = [
        f"{mount.name} {show.as_written(mount.fixing_mass, 'mass')}"
        for mount in question.car.mounts
        if mount.changes_with_driver and mount.fixing_mass
    ]
    if hardware:
        yield f"Hardware that is on only with plates: {', '.join(hardware)}."


def _driver_ballast(question: Question, show: Rounding) -> Iterator[str]:
    rule = question.rulebook.driver_ballast if question.rulebook else None
    if rule is None:
        return
    if where := prescribed(rule, show):
        before = question.weigh_in.visit.driver_ballast
        counted = f"{show.mass(before)} of it was" if before else "It counts as not"
        yield f"Place of the driver ballast by the rules: {where}. {counted} on board at the weigh-in."
    else:
        counts = "it is in the required total" if rule.on_top else "it counts towards the minimum"
        yield f"Plates of the box carry the driver ballast; {counts}."


def _stop(stop: Stop, diagonal: str, show: Rounding) -> tuple[str, ...]:
    change = stop.diagonal_percent if diagonal == "RF+LR" else -stop.diagonal_percent
    points = (show.points(part).removesuffix(" points") for part in (stop.front_percent, stop.left_percent, change))
    return (
        _from_to(stop),
        f"{stop.plates}",
        signed(show.mass(stop.mass)),
        signed(show.mass(stop.total)),
        *map(signed, points),
    )


def _from_to(stop: Stop) -> str:
    return f"{shortened(stop.leaving)} to {shortened(stop.entering)}"


# --- every state -----------------------------------------------------------------------------------------------------


def states(plan: Plan, show: Rounding) -> Table:
    """Driver by fuel: totals against what is required, and the shares; a star beside a figure off its band."""
    missed = {(t.case, t.figure) for t in plan.targets if t.by == "ballast" and not t.inside}
    starred = {figure for _, figure in missed}
    figures = shown(plan)
    drivers, fuels = any(case.driver for case in plan.cases), any(case.fuel for case in plan.cases)
    rows, last = [], None
    for case in in_order(plan):
        names = [shortened(case.driver or "") if case.driver != last else ""] if drivers else []
        names += [AT[case.fuel]] if fuels else []
        last = case.driver
        cells = []
        for figure in figures:
            end = STAR if (case.name, figure) in missed else " " if figure in starred else ""
            cells.append(_figure(case, figure, plan, show) + end)
        rows.append((*names, *_totals(case, show), *cells))
    unit = show.units.mass
    text = ["driver"] * drivers + ["fuel"] * fuels
    heads = [f"LR-RR {unit}" if figure == "rear pair" else f"{figure} %" for figure in figures]
    return Table(
        head=(*text, f"total {unit}", f"needed {unit}", f"over {unit}", *heads),
        rows=tuple(rows),
        text_columns=len(text),
    )


def in_order(plan: Plan) -> list[PlannedCase]:
    """The states, driver by driver, each through the stint."""
    drivers = list(dict.fromkeys(case.driver for case in plan.cases))
    return sorted(plan.cases, key=lambda case: (drivers.index(case.driver), list(AT).index(case.fuel)))


def shown(plan: Plan) -> tuple[Figure, ...]:
    """Front or rear, left, and the diagonal or the rear pair, as the targets have them."""
    asked = {target.figure for target in plan.targets}
    across: Figure = "rear pair" if "rear pair" in asked else diagonal_named(plan)
    return "rear" if "rear" in asked else "front", "left", across


def diagonal_named(plan: Plan) -> Diagonal:
    """The diagonal of the targets, else RF+LR."""
    return "LF+RR" if any(target.figure == "LF+RR" for target in plan.targets) else "RF+LR"


def certainty(plan: Plan, show: Rounding) -> str:
    """Two standard uncertainties of each figure, in the state that is the least sure."""
    sure = [case.uncertain for case in plan.cases]
    points = {
        "front": max(one.front_percent for one in sure),
        "rear": max(one.front_percent for one in sure),
        "left": max(one.left_percent for one in sure),
        "RF+LR": max(one.diagonal_percent for one in sure),
        "LF+RR": max(one.diagonal_percent for one in sure),
    }
    parts = [f"total {show.at_most(TWICE * max(one.total for one in sure))}"]
    for figure in shown(plan):
        if figure == "rear pair":
            parts.append(f"LR less RR {show.at_most(TWICE * max(one.rear_pair for one in sure))}")
        else:
            parts.append(f"{figure} {show.points(TWICE * points[figure])}")
    return f"+/- 95 % in the least sure of these states: {', '.join(parts)}."


def fuel_aboard(question: Question, show: Rounding) -> Iterator[str]:
    """What each tank holds at each point."""
    for tank in question.car.tanks:
        held = ", ".join(f"{show.volume(tank.at(point))} at {words}" for point, words in AT_WORDS.items())
        sample = " with the sample taken out" if tank.sample else ""
        yield f"Fuel in {tank.name}: {held}{sample}."


def drift(plan: Plan, show: Rounding) -> Iterator[str]:
    """Which way the car goes while the fuel burns, from the least to the most over the drivers."""
    by_driver: dict[str | None, dict[FuelPoint | None, PlannedCase]] = {}
    for case in plan.cases:
        by_driver.setdefault(case.driver, {})[case.fuel] = case
    ends = [(of["start"], of["flag"]) for of in by_driver.values() if "start" in of and "flag" in of]
    if not ends:
        return
    moves = []
    for figure in shown(plan):
        changes = [_value(now, figure) - _value(was, figure) for was, now in ends]
        low, high = (_change(end, figure, show) for end in (min(changes), max(changes)))
        unit = show.units.mass if figure == "rear pair" else "points"
        name = "LR less RR" if figure == "rear pair" else figure
        moves.append(f"{name} {low} {unit}" if low == high else f"{name} {low} to {high} {unit}")
    yield f"From the start to the flag they move: {', '.join(moves)}."


def corners(plan: Plan, show: Rounding) -> Table:
    """Corner loads in every state for which the targets are asked, and in the first with the plates that stand now."""
    cases: list[tuple[str, CaseLoads]] = [(f"{plan.before.name}, plates as now", plan.before)]
    cases += [(case.name, case) for case in plan.cases if case.balance]
    unit = show.units.mass
    return Table(
        head=("", *(f"{corner} {unit}" for corner in ("LF", "RF", "LR", "RR"))),
        rows=tuple(
            (name, *(show.mass(load, False) for load in (at.LF, at.RF, at.LR, at.RR)))
            for name, at in ((name, case.corner_loads) for name, case in cases)
        ),
    )


def signed(text: str) -> str:
    """A change, with its sign; none at zero."""
    return text if text.startswith("-") or float(text.split(maxsplit=1)[0]) == 0 else f"+{text}"


def _totals(case: PlannedCase, show: Rounding) -> tuple[str, str, str]:
    if case.required is None:
        return show.mass(case.total, False), "", ""
    reached, least = show.against(case.total, case.required)
    return reached, least, show.value_down(case.total - case.required, "mass").removesuffix(f" {show.units.mass}")


def _figure(case: CaseLoads, figure: Figure, plan: Plan, show: Rounding) -> str:
    value, repeat = _value(case, figure), plan.repeat
    match figure:
        case "rear pair":
            return show.mass(value, False)
        case "front" | "rear":
            return show.percent(value, repeat.front_percent, False)
        case "left":
            return show.percent(value, repeat.left_percent, False)
    return show.percent(value, repeat.diagonal_percent, False)


def _change(value: float, figure: Figure, show: Rounding) -> str:
    return signed(show.mass(value, False) if figure == "rear pair" else show.points(value).removesuffix(" points"))


def _value(case: CaseLoads, figure: Figure) -> float:
    match figure:
        case "front":
            return case.front_percent
        case "rear":
            return case.rear_percent
        case "left":
            return case.left_percent
        case "rear pair":
            return case.rear_pair
        case "RF+LR" | "LF+RR":
            return case.diagonal_percent.of(figure)
