"""Whether what a plan states follows from its plates: everything worked out again, by other code than the planner's."""

import math
from collections import Counter
from collections.abc import Iterable

from ballast.corners import CORNERS
from ballast.errors import DisagreementError
from ballast.physics.statics import Array
from ballast.records.crew import FuelPoint
from ballast.records.plan import Plan, PlannedCase, TargetResult
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.scrutineering.findings import Standing
from ballast.scrutineering.footing import edges
from ballast.scrutineering.requirement import required_total
from ballast.scrutineering.states import carried_by_rule, every_case, in_use, loads_in, name_of, standing_now

AGREEMENT = 1e-6
"""How closely two routes to one load must agree. [kg]"""
NOT_SHOWN = (
    "No plan is shown.\n    Fix: this is a fault in the program, not in your files: please report it, with the files."
)


def agree(question: Question, plan: Plan, sets: dict[str | None, Standing]) -> None:
    """Raise DisagreementError when anything the plan states does not follow from its plates."""
    car = question.car
    plates = {plate.name: plate for plate in car.plates}
    kit = {mount.name for mount in car.mounts if mount.changes_with_driver}
    rows = {(row.mount, row.plate, row.driver) for row in plan.fit}
    _same("rows of plates standing", len(plan.fit), len(rows))
    _same("rows with a plate or more", len(plan.fit), sum(row.count > 0 for row in plan.fit))
    _same("mounts and plates known", len(rows), sum(_known(question, mount, plate) for mount, plate, _ in rows))
    owned = sum(who in sets if mount in kit else who is None for mount, _, who in rows)
    _same("rows with their driver", len(rows), owned)
    wanted = {name_of(driver, fuel): (driver, fuel) for driver, fuel in every_case(question)}
    _same_names("states of the car", [case.name for case in plan.cases], wanted)
    _same("states by driver and fuel", sum(wanted[c.name] == (c.driver, c.fuel) for c in plan.cases), len(wanted))
    loads = {case.name: loads_in(question, sets[case.driver], case.driver, case.fuel) for case in plan.cases}
    for case in plan.cases:
        agree_on_case(question, case, loads[case.name])
        _agree_on_state(question, case)
    first = plan.cases[0]
    agree_on_case(question, plan.before, _loads_now(question, first))
    agree_on_range(question, plan.range, sets[first.driver], first.driver, first.fuel)
    _agree_on_targets(question, plan, loads)
    on_plates = sum(plates[name].mass * count for (_, name), count in sets[first.driver].items())
    hardware = sum(in_use(sets[first.driver], mount.name) * mount.fixing_mass for mount in car.mounts)
    _same("kg of plates", plan.ballast_total or 0.0, on_plates)
    _same("kg of hardware", plan.fixing_total or 0.0, hardware)
    _same("changes", plan.moves or 0, moves(question, sets))
    _agree_on_changes(question, plan, sets)
    ruled = question.rulebook is not None and question.rulebook.driver_ballast is not None
    _same_names("drivers with driver ballast", [o.driver for o in plan.driver_ballast], sets if ruled else ())
    for one_driver in plan.driver_ballast:
        asked = carried_by_rule(question, one_driver.driver)
        _same(f"kg of driver ballast for {one_driver.driver}", one_driver.mass, asked)
    _agree_on_stops(question, plan, sets)
    _agree_on_requirements(question, plan)


def _agree_on_state(question: Question, case: PlannedCase) -> None:
    """A case says itself what is asked of it: the total without tanks or at the flag, the targets where wished."""
    _same(f"for a total required in '{case.name}'", float(case.legal), float(case.fuel in (None, "flag")))
    asked = case.fuel is None or case.fuel in question.wishes.balance_at
    _same(f"for targets asked for in '{case.name}'", float(case.balance), float(asked))
    required = required_in(question, case) if case.legal else 0.0
    _same(f"kg required in '{case.name}'", case.required or 0.0, required)


def required_in(question: Question, case: PlannedCase) -> float:
    """The total required in a case; what it weighs with the plates of the weigh-in stands in where nothing asks."""
    before = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    as_it_is = float(loads_in(question, before, case.driver, case.fuel).sum())
    return required_total(question, case.driver, case.fuel, as_it_is)


def _agree_on_requirements(question: Question, plan: Plan) -> None:
    """The terms of every required total add up to it; the one shown first lacks most of it when the car is bare."""
    legal = {case.name: case for case in plan.cases if case.legal}
    _same_names("required totals", [needs.case for needs in plan.requirements], legal)
    lacking = {}
    for needs in plan.requirements:
        case = legal[needs.case]
        _same("kg required, term by term", sum(term.mass for term in needs.terms), needs.required)
        _same(f"kg required in '{needs.case}'", needs.required, required_in(question, case))
        lacking[needs.case] = needs.required - float(loads_in(question, {}, case.driver, case.fuel).sum())
    first = plan.requirement
    _same_names("state that asks for most", [first.case], {first.case} & legal.keys())
    _same("kg lacking where most is asked for", lacking[first.case], max(lacking.values()))
    _same("kg required", plan.required_total, required_in(question, legal[first.case]))
    _same("kg required, term by term", sum(term.mass for term in first.terms), plan.required_total)
    over = sum(legal[needs.case].total - needs.greatest for needs in plan.requirements) / len(legal)
    _same("kg over the window", 0.0, max(over, 0.0))


def _agree_on_changes(question: Question, plan: Plan, sets: dict[str | None, Standing]) -> None:
    stated = {(row.mount, row.plate, row.driver): (row.before, row.after) for row in plan.changes}
    changed = {}
    for mount in question.car.mounts:
        for who in sets if mount.changes_with_driver and question.car.drivers else [None]:
            standing = sets[who] if who in sets else next(iter(sets.values()))
            for plate in question.car.plates:
                counts = question.standing(mount.name, plate.name, who), standing.get((mount.name, plate.name), 0)
                if counts[0] != counts[1]:
                    changed[mount.name, plate.name, who] = counts
    _same("changed counts", len(stated.items() & changed.items()), max(len(stated), len(changed)))


def _agree_on_stops(question: Question, plan: Plan, sets: dict[str | None, Standing]) -> None:
    crew = [driver.name for driver in question.car.drivers]
    pairs = [(a, b) for n, a in enumerate(crew) for b in crew[n + 1 :]]
    _same("changes of drivers", len(plan.stops), len(pairs))
    _same("changes of drivers by name", len({(s.leaving, s.entering) for s in plan.stops} & set(pairs)), len(pairs))
    masses = {plate.name: plate.mass for plate in question.car.plates}

    def kit(who: str) -> Counter[tuple[str, str]]:
        names = {mount.name for mount in question.car.mounts if mount.changes_with_driver}
        return Counter({key: count for key, count in sets[who].items() if key[0] in names})

    def aboard(who: str) -> float:
        hardware = sum(m.fixing_mass * in_use(sets[who], m.name) for m in question.car.mounts)
        return hardware + sum(masses[plate] * count for (_, plate), count in sets[who].items())

    point = plan.cases[0].fuel
    by_driver = {case.driver: case for case in plan.cases if case.fuel == point}
    for stop in plan.stops:
        on, off = Counter[str](), Counter[str]()
        old, new = kit(stop.leaving), kit(stop.entering)
        for key in old.keys() | new.keys():
            (on if new[key] > old[key] else off)[key[1]] += abs(new[key] - old[key])
        where = f"from {stop.leaving} to {stop.entering}"
        _same(f"plates {where}", stop.plates, sum(max(on[plate], off[plate]) for plate in on.keys() | off.keys()))
        _same(f"kg of ballast {where}", stop.mass, aboard(stop.entering) - aboard(stop.leaving))
        was, now = by_driver[stop.leaving], by_driver[stop.entering]
        _same(f"kg in all {where}", stop.total, now.total - was.total)
        _same(f"of the front {where}", stop.front_percent, now.front_percent - was.front_percent)
        _same(f"of the left {where}", stop.left_percent, now.left_percent - was.left_percent)
        now_diagonal, was_diagonal = now.diagonal_percent.rf_lr, was.diagonal_percent.rf_lr
        _same(f"of RF+LR {where}", stop.diagonal_percent, now_diagonal - was_diagonal)


def agree_on_case(question: Question, case: CaseLoads, loads: Array) -> None:
    """Raise DisagreementError when loads, percentages or place of one state are not those of `loads`, (4,) [kg]."""
    where, total = f"in case '{case.name}'", float(loads.sum())
    load = dict(zip(CORNERS, map(float, loads), strict=True))
    for corner in CORNERS:
        _same(f"kg on {corner} {where}", getattr(case.corner_loads, corner), load[corner])
    _same(f"kg in all {where}", case.total, total)
    _same(f"of the total in front {where}", case.front_percent, (load["LF"] + load["RF"]) / total)
    _same(f"of the total at the rear {where}", case.rear_percent, (load["LR"] + load["RR"]) / total)
    _same(f"of the total on the left {where}", case.left_percent, (load["LF"] + load["LR"]) / total)
    _same(f"of the total on RF+LR {where}", case.diagonal_percent.rf_lr, (load["RF"] + load["LR"]) / total)
    _same(f"of the total on LF+RR {where}", case.diagonal_percent.lf_rr, (load["LF"] + load["RR"]) / total)
    _same(f"kg of LR less RR {where}", case.rear_pair, load["LR"] - load["RR"])
    centre, wheels = case.centre_of_gravity, dict(zip(CORNERS, question.car.wheel_places(), strict=True))
    aft = sum(load[corner] * wheels[corner][0] for corner in CORNERS) / total
    left = sum(load[corner] * wheels[corner][1] for corner in CORNERS) / total
    _same(f"m from the front axle to the centre of gravity {where}", centre.behind_front_axle, aft)
    _same(f"m from the centre line to the centre of gravity {where}", centre.left_of_centre, left)


def agree_on_range(
    question: Question, stated: tuple[CaseLoads, ...], standing: Standing, driver: str | None, point: FuelPoint | None
) -> None:
    """Raise DisagreementError when the loads at either edge of what the springs may be are not as stated."""
    middle = loads_in(question, standing, driver, point)
    both = [[loads_in(question, standing, driver, point, side) for side in pair] for pair in edges(question)]
    half = [(high - low) / 2 for low, high in both]
    # All of them are in warp, so the first corner tells the size; one alone keeps its sign, several add in squares.
    off = float(half[0][0]) if len(half) == 1 else math.hypot(*(float(one[0]) for one in half))
    shape = max(half, key=lambda one: abs(float(one[0])))
    spread = shape * (off / float(shape[0])) if shape[0] else shape
    for case, way in zip(stated, (-1, 1), strict=False):  # a saved plan of another hand may state none
        agree_on_case(question, case, middle + way * spread)


def _agree_on_targets(question: Question, plan: Plan, loads: dict[str, Array]) -> None:
    """Every target in every state it is asked for in, with the aim and band of the car file."""
    targets = question.car.targets
    aims: dict[str, tuple[float, float]] = {}
    for figure, aim in (("front", targets.front), ("rear", targets.rear), ("left", targets.left)):
        if aim:
            aims[figure] = (aim.aim, aim.within)
    if targets.diagonal:
        aims[targets.diagonal.corners] = (targets.diagonal.aim, targets.diagonal.within)
    if targets.rear_pair:
        aims["rear pair"] = (targets.rear_pair.aim, targets.rear_pair.within)
    asked = [f"{figure} in '{case.name}'" for case in plan.cases if case.balance for figure in aims]
    _same_names("targets", [f"{result.figure} in '{result.case}'" for result in plan.targets], asked)
    states = {case.name: case for case in plan.cases}
    worst = [0.0]
    for result in plan.targets:
        case, where = states[result.case], f"{result.figure} in '{result.case}'"
        _same(f"as the aim of {where}", result.aim, aims[result.figure][0])
        _same(f"as the band of {where}", result.within, aims[result.figure][1])
        _same(f"for {where} now", result.before, _figure(result.figure, _loads_now(question, case)))
        _agree_on_target(result, loads[result.case])
        worst += [result.miss_points] if result.by == "ballast" else []
    _same("of the worst miss", plan.balance_miss_points or 0.0, max(worst))


def _loads_now(question: Question, case: PlannedCase) -> Array:
    """Corner loads with the plates that stand now; ballast that the rules ask for is not aboard yet. (4,) [kg]"""
    without_rules = question.replace(rulebook=None)
    return loads_in(without_rules, standing_now(question, case.driver), case.driver, case.fuel)


def _figure(figure: str, loads: Array) -> float:
    """What a target is about: a share of the total, or the rear pair. [- or kg]"""
    load = dict(zip(CORNERS, map(float, loads), strict=True))
    if figure == "rear pair":
        return load["LR"] - load["RR"]
    parts = {"front": ("LF", "RF"), "rear": ("LR", "RR"), "left": ("LF", "LR")}
    corners = parts.get(figure) or tuple(figure.split("+"))
    return sum(load[corner] for corner in CORNERS if corner in corners) / float(loads.sum())


def _agree_on_target(result: TargetResult, loads: Array) -> None:
    total, after = float(loads.sum()), _figure(result.figure, loads)
    _same(f"for the target of {result.figure}", result.after, after)
    part = total if result.dimension == "mass" else 1.0
    narrow = max(0.0, abs(after - result.aim) - (result.within - result.guard)) / part
    _same(f"outside the band planned for of {result.figure}", result.miss_points, narrow)
    off = max(0.0, abs(after - result.aim) - result.within)
    _same(
        f"outside the band of {result.figure}",
        result.outside_points * part,
        off,
    )
    if not 0 < off < AGREEMENT:  # on the very edge either word is true
        _same(f"for being on target in {result.figure}", float(result.inside), float(off == 0))


def _known(question: Question, mount: str, plate: str) -> bool:
    """Whether the car has this mount and the box this plate."""
    return mount in {m.name for m in question.car.mounts} and plate in {p.name for p in question.car.plates}


def _same_names(what: str, stated: Iterable[str], wanted: Iterable[str | None]) -> None:
    """The same names on both sides, each once."""
    planner, scrutineer = sorted(stated), sorted(name for name in wanted if name is not None)
    if planner != scrutineer:
        ours, theirs = (", ".join(names) or "none" for names in (scrutineer, planner))
        raise DisagreementError(f"{what}: the planner says {theirs}, the scrutineer {ours}. {NOT_SHOWN}")


def _same(what: str, planner: float, scrutineer: float) -> None:
    if abs(planner - scrutineer) > AGREEMENT:
        raise DisagreementError(f"the planner says {planner:.6g} {what}, the scrutineer {scrutineer:.6g}. {NOT_SHOWN}")


def moves(question: Question, sets: dict[str | None, Standing]) -> int:
    """Plates put on, taken off or moved, from what stands now.

    Per kind, the larger of what comes on and what comes off; of several drivers' sets, the one that asks most.
    """
    most = Counter[str]()
    for who, standing in sets.items():
        on, off = Counter[str](), Counter[str]()
        for mount in question.car.mounts:
            for plate in question.car.plates:
                before = question.standing(mount.name, plate.name, who if mount.changes_with_driver else None)
                change = standing.get((mount.name, plate.name), 0) - before
                (on if change > 0 else off)[plate.name] += abs(change)
        most |= on | off
    return sum(most.values())
