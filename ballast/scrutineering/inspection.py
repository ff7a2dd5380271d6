"""Recompute everything a plan claims, from the plates in it alone, by other code than the planner's."""

from collections import Counter
from collections.abc import Iterator

import numpy as np

from ballast.corners import CORNERS
from ballast.errors import DisagreementError
from ballast.physics.statics import Array, contact_patches, stand
from ballast.records.finding import Finding
from ballast.records.plan import Plan, TargetResult
from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from ballast.scrutineering.findings import Standing, at_least, at_most
from ballast.scrutineering.requirement import required_total
from ballast.scrutineering.rules import CornerMasses, on_ballast, on_bolts, on_the_car

AGREEMENT = 1e-6
"""How closely two routes to one load must agree. [kg]"""


def inspect(question: Question, plan: Plan) -> tuple[Finding, ...]:
    """Findings about a plan: one for each limit that applies, or the reason why one was not checked.

    Raises DisagreementError when the loads, totals or changes that the plan states are not those of its plates.
    """
    standing = {(row.mount, row.plate): row.count for row in plan.fit}
    _agree(question, plan, standing)
    return tuple(_findings(question, plan, standing))


def loads_with(question: Question, standing: Standing, front_roll_share: float) -> Array:
    """Corner loads with these plates standing instead of those fitted at the weigh-in. Returns (4,). [kg]

    Every mass that was put on, taken off or that comes or goes with its mount stands in one list, and the whole list is
    settled on the four wheels at once.
    """
    chassis, mounts = question.car.chassis, {mount.name: mount for mount in question.car.mounts}
    plates = {plate.name: plate for plate in question.car.plates}
    before = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    masses, places = [], []
    for mount in mounts.values():
        place = [mount.behind_front_axle, mount.left_of_centre]
        for plate in plates.values():
            key = (mount.name, plate.name)
            masses.append((standing.get(key, 0) - before.get(key, 0)) * plate.mass)
            places.append(place)
        masses.append((_in_use(standing, mount) - _in_use(before, mount)) * mount.fixing_mass)
        places.append(place)
    patches = contact_patches(chassis.wheelbase, chassis.track_front, chassis.track_rear)
    success = question.rulebook.success_ballast if question.rulebook else None
    if success:
        masses.append(success.mass)
        places.append([success.behind_front_axle, success.left_of_centre])
    weighed = np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0)
    return np.asarray(weighed + stand(patches, front_roll_share, masses, places))


def _in_use(standing: Standing, mount: Mount) -> int:
    return int(any(count > 0 for (name, _), count in standing.items() if name == mount.name))


def _agree(question: Question, plan: Plan, standing: Standing) -> None:
    """Raise DisagreementError when anything the plan states does not follow from its plates."""
    car = question.car
    plates = {plate.name: plate for plate in car.plates}
    _same("rows of plates standing", len(plan.fit), len(standing))
    _same("mounts and plates known", len(standing), sum(_known(question, *key) for key in standing))
    loads = loads_with(question, standing, car.suspension.roll_share()[0])
    for case in plan.cases:
        _agree_on_case(question, case, loads)
    for result in plan.targets:
        _agree_on_target(result, loads)
    on_plates = sum(plates[name].mass * count for (_, name), count in standing.items())
    _same("kg of plates", plan.ballast_total or 0.0, on_plates)
    _same("kg of hardware", plan.fixing_total or 0.0, sum(_in_use(standing, m) * m.fixing_mass for m in car.mounts))
    _same("changes", plan.moves or 0, _moves(question, standing))
    before = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    stated = {(row.mount, row.plate): (row.before, row.after) for row in plan.changes}
    keys = [key for key in before.keys() | standing.keys() if before.get(key, 0) != standing.get(key, 0)]
    changed = {key: (before.get(key, 0), standing.get(key, 0)) for key in keys}
    _same("changed counts", len(stated.items() & changed.items()), max(len(stated), len(changed)))
    required = required_total(question)
    _same("kg required", plan.required_total, required)
    _same("kg required, term by term", sum(term.mass for term in plan.requirement.terms), required)


def _agree_on_case(question: Question, case: CaseLoads, loads: Array) -> None:
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
    chassis, centre = question.car.chassis, case.centre_of_gravity
    aft = chassis.wheelbase * (load["LR"] + load["RR"]) / total
    front, rear = load["LF"] - load["RF"], load["LR"] - load["RR"]
    left = (front * chassis.track_front + rear * chassis.track_rear) / 2 / total
    _same(f"m from the front axle to the centre of gravity {where}", centre.behind_front_axle, aft)
    _same(f"m from the centre line to the centre of gravity {where}", centre.left_of_centre, left)


def _agree_on_target(result: TargetResult, loads: Array) -> None:
    load, total = dict(zip(CORNERS, map(float, loads), strict=True)), float(loads.sum())
    if result.figure == "rear pair":
        after = load["LR"] - load["RR"]
    else:
        parts = {"front": ("LF", "RF"), "rear": ("LR", "RR"), "left": ("LF", "LR")}
        corners = parts.get(result.figure) or tuple(result.figure.split("+"))
        after = sum(load[corner] for corner in CORNERS if corner in corners) / total
    _same(f"for the target of {result.figure}", result.after, after)
    off = max(0.0, abs(after - result.aim) - result.within)
    _same(
        f"outside the band of {result.figure}",
        result.outside_points * (total if result.dimension == "mass" else 1),
        off,
    )
    if not 0 < off < AGREEMENT:  # on the very edge either word is true
        _same(f"for being on target in {result.figure}", float(result.inside), float(off == 0))


def _known(question: Question, mount: str, plate: str) -> bool:
    """Whether the car has this mount and the box this plate."""
    return mount in {m.name for m in question.car.mounts} and plate in {p.name for p in question.car.plates}


def _same(what: str, planner: float, scrutineer: float) -> None:
    if abs(planner - scrutineer) > AGREEMENT:
        raise DisagreementError(
            f"the planner says {planner:.6g} {what}, the scrutineer {scrutineer:.6g}. No plan is shown.\n"
            "    Fix: this is a fault in the program, not in your files: please report it, with the files."
        )


def _moves(question: Question, standing: Standing) -> int:
    """Plates put on, taken off or moved: per kind, the larger of what comes on and what comes off."""
    before = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    on, off = Counter[str](), Counter[str]()
    for key in before.keys() | standing.keys():
        change = standing.get(key, 0) - before.get(key, 0)
        (on if change > 0 else off)[key[1]] += abs(change)
    return sum(max(on[plate], off[plate]) for plate in on.keys() | off.keys())


def _findings(question: Question, plan: Plan, standing: Standing) -> Iterator[Finding]:
    plates = {plate.name: plate for plate in question.car.plates}
    most = question.wishes.most_changes
    for case in plan.cases:
        loads = CornerMasses(**{corner: getattr(case.corner_loads, corner) for corner in CORNERS})
        yield from on_the_car(question, loads)
        yield at_least("car", "required total", case.total, required_total(question), "mass")
        for corner in CORNERS:
            yield at_least("corner", f"load on {corner}", getattr(case.corner_loads, corner), 0.0, "mass")
    yield from on_ballast(question, standing)
    if most is not None:
        yield at_most("car", "changes", _moves(question, standing), most)
    for plate in plates.values():
        used = sum(count for (_, name), count in standing.items() if name == plate.name)
        if used:
            yield at_most("plate", f"{plate.name}: plates owned", used, plate.count)
    for mount in question.car.mounts:
        here = {plates[name]: count for (where, name), count in standing.items() if where == mount.name and count}
        if here:
            yield from _on_mount(mount, here)
    yield from on_bolts(question, standing)
    for row in question.weigh_in.fitted:
        if row.stay:
            stays = standing.get((row.mount, row.plate), 0)
            yield at_least("mount", f"{row.mount}: {row.plate} that stay", stays, row.stay)


def inspect_weighed(question: Question) -> tuple[Finding, ...]:
    """Findings about the car as it stood on the pads: the rulebook's limits, nothing of a plan."""
    standing = {(row.mount, row.plate): row.count for row in question.weigh_in.fitted}
    weighed = np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0)
    loads = CornerMasses(**dict(zip(CORNERS, map(float, weighed), strict=True)))
    return (*on_the_car(question, loads), *on_ballast(question, standing), *on_bolts(question, standing))


def _on_mount(mount: Mount, here: dict[Plate, int]) -> Iterator[Finding]:
    carried = sum(plate.mass * count for plate, count in here.items()) + mount.fixing_mass
    yield at_most("mount", f"{mount.name}: mass with hardware", carried, mount.capacity, "mass")
    if mount.stack is not None:
        height = sum((plate.thickness or 0.0) * count for plate, count in here.items())
        yield at_most("mount", f"{mount.name}: stack height", height, mount.stack, "length")
    if mount.pieces is not None:
        yield at_most("mount", f"{mount.name}: pieces", sum(here.values()), mount.pieces)
    if mount.takes is not None:
        strangers = sum(count for plate, count in here.items() if not mount.accepts(plate))
        yield at_most("mount", f"{mount.name}: plates it does not take", strangers, 0)
