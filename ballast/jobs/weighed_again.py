"""The car on the pads again after a plan: in which state, with which plates, and what the plan foresaw for that."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ballast.errors import Complaint, InputError
from ballast.jobs.pads import sound
from ballast.physics.statics import Array
from ballast.planning.cases import Layout, bare_weighed, layout, loads_from
from ballast.planning.stances import bars_at_weigh_in
from ballast.planning.states import Piece, State, apart, changed_parts, weighed_state
from ballast.planning.task import readings
from ballast.records.compared import Unsaid
from ballast.records.plan import Answer, Change, Plan
from ballast.records.question import Question
from ballast.records.suspension import Bars
from ballast.records.together import complaints
from ballast.records.weighing import WeighIn

ANOTHER_CAR = (0.5, 2.0)
"""Of the total foreseen: beyond this it is another car, or another unit. A kart without its driver is not."""


@dataclass(frozen=True)
class Standing:
    """The car as it is said to have stood on the pads again."""

    question: Question
    """that of the plan"""
    again: Question
    """the same with the new weigh-in"""
    room: Layout
    crew: int
    """whose set of plates"""
    counts: Array
    """plates that stand, (M, P)"""
    planned: Array
    """plates of the plan, (M, P)"""
    state: State
    since: tuple[Piece, ...]
    """what was not aboard at the plan's weigh-in, and what has gone, beside the plates"""
    predicted: Array
    """(4,) [kg]"""

    def change(self, counts: Array, crew: int | None = None) -> Array:
        """What other plates would change in the loads. counts : (M, P). Returns (4,). [kg]"""
        other = self.room.loads_of(counts, self.crew if crew is None else crew)
        return np.asarray(other - self.room.loads_of(self.counts, self.crew))


def weighed_again(done: Answer, weigh_in: WeighIn, files: tuple[str, str]) -> tuple[Standing, tuple[Unsaid, ...]]:
    """The car as the new weigh-in says it stood, and what only one of the weigh-ins says.

    Raises InputError where the plan is none, or the weigh-in cannot be one of this car after the plan.
    """
    question, plan = sound(done.question), done.plan
    if not plan.cases:
        fix = "plan again until there is a plan, carry that out, weigh the car, and give its file."
        what = "holds the answer that there is no plan: nothing can stand by it"
        raise InputError([Complaint(what, fix, file=files[0])])
    again = question.replace(weigh_in=weigh_in, changed=None)
    found = [replace(complaint, file=files[1]) for part, complaint in complaints(again) if part == "weigh_in"]
    found += [replace(complaint, file=files[1]) for complaint in _not_after(question, again)]
    if found:
        raise InputError(found)
    again = sound(again)
    state, unsaid = _state(question, again)
    since = _since(question, again, state, files[1])
    room = layout(question)
    crew = 0
    if len(room.aboard) > 1 and again.seated:
        crew = [driver.name for driver in question.car.drivers].index(again.seated.name)
    planned = _planned(plan, room.mounts, room.drivers, room.plates)
    counts = layout(again).weighed if weigh_in.fitted else planned
    predicted = bare_weighed(question, room) + loads_from(room, since) + room.loads_of(counts, crew)
    standing = Standing(question, again, room, crew, counts, planned, state, since, predicted)
    _same_car(standing, files[1])
    return standing, unsaid


def _planned(plan: Plan, mounts: tuple[str, ...], drivers: tuple[str | None, ...], plates: tuple[str, ...]) -> Array:
    """Counts of the plan, (M, P)."""
    rows = {key: number for number, key in enumerate(zip(mounts, drivers, strict=True))}
    table = np.zeros((len(mounts), len(plates)))
    for row in plan.fit:
        table[rows[row.mount, row.driver], plates.index(row.plate)] = row.count
    return table


def _not_after(question: Question, again: Question) -> Iterator[Complaint]:
    """Complain of a weigh-in that cannot be one after the plan."""
    before, now = question.weigh_in, again.weigh_in
    if before.as_read() == now.as_read() and before.visit.date == now.visit.date:
        fix = "put the plates in as planned, settle the car, weigh it again, and give that weigh-in."
        yield Complaint("is the weigh-in that the plan was made from", fix)
    elif now.visit.date < before.visit.date:
        fix = "give the plan first and then a weigh-in made after it; or correct the date."
        what = f"is before the weigh-in that the plan was made from ({before.visit.date})"
        yield Complaint(what, fix, "[weigh_in] date", str(now.visit.date))


def _state(question: Question, again: Question) -> tuple[State, tuple[Unsaid, ...]]:
    """The state of the new weigh-in; what one of the two does not say is taken to be alike at both.

    Litres that are not sure are so anew: what was pumped in twice is off twice.
    """
    was, now = weighed_state(question), weighed_state(again)
    unsaid: list[Unsaid] = []
    seat, sitting = now.seat, now.sitting
    if seat is None or was.seat is None:
        seat, sitting = was.seat, was.sitting
        unsaid += ["driver"] if was.seat != now.seat else []
    elif seat == was.seat and _same_somebody(question, again):
        sitting = was.sitting
    fuel, spares = now.fuel, now.spares
    if not question.car.tanks and None in (was.fuel, now.fuel):
        fuel = was.fuel
        unsaid += ["fuel"] if was.fuel != now.fuel else []
    if None in (was.spares, now.spares):
        spares = was.spares
        unsaid += ["spares"] if was.spares != now.spares else []
    volumes = {
        tank: (litres, within, "re-weigh" if within else when) for tank, (litres, within, when) in now.volumes.items()
    }
    return State(seat, sitting, fuel, volumes, spares), tuple(unsaid)


def _same_somebody(question: Question, again: Question) -> bool:
    """Whether a driver whose place nobody gave may be the same at both weigh-ins."""
    if question.car.drivers or question.weigh_in.substitute or again.weigh_in.substitute:
        return False
    one, other = question.weigh_in.visit.driver_mass, again.weigh_in.visit.driver_mass
    return one is None or other is None or one == other


def _since(question: Question, again: Question, state: State, file: str) -> tuple[Piece, ...]:
    """What is aboard at the re-weigh and was not at the plan's weigh-in, and what has gone, beside the plates."""
    was = weighed_state(question)
    parts = {
        "driver": replace(was, seat=state.seat, sitting=state.sitting),
        "fuel": replace(was, fuel=state.fuel, volumes=state.volumes),
        "spares": replace(was, spares=state.spares),
    }
    found, pieces = [], list(changed_parts(question))
    for key, part in parts.items():
        differs = apart(question, was, part)
        if differs is None or any(piece.place is None and piece.carried_by == "chassis" for piece in differs):
            what = "is not as it was at the plan's weigh-in, and the files do not say what that weighs and where"
            fix = {
                "driver": "weigh with the seat as it was then; or describe [[drivers]] in the car file and plan again.",
                "fuel": "weigh with the fuel as it was then; or describe [[tanks]] in the car file and plan again.",
                "spares": "weigh with as many spare wheels as then.",
            }[key]
            found.append(Complaint(what, fix, f"[weigh_in] {key}", None, file))
        pieces += differs or ()
    if found:
        raise InputError(found)
    return (*pieces, *_by_rule(question, again))


def _by_rule(question: Question, again: Question) -> Iterator[Piece]:
    """Ballast at a place of the rulebook's own: aboard as far as either weigh-in says so, whatever the rules ask."""
    book, was, now = question.rulebook, question.weigh_in.visit, again.weigh_in.visit
    if book and (rule := book.success_ballast) and rule.place:
        yield Piece("success ballast", now.success_ballast - was.success_ballast, rule.place, rule.above_ground)
    if book and (rated := book.driver_ballast) and rated.place:
        yield Piece("driver ballast", now.driver_ballast - was.driver_ballast, rated.place, rated.above_ground)


def _same_car(standing: Standing, file: str) -> None:
    """Raise InputError for a total that no slip on this car explains."""
    total, foreseen = float(readings(standing.again).mean(axis=0).sum()), float(standing.predicted.sum())
    if ANOTHER_CAR[0] <= total / foreseen <= ANOTHER_CAR[1]:
        return
    units, pads = standing.question.car.units.units(), standing.again.weigh_in.units.units()
    what = (
        f"make {pads.outside(total, 'mass'):.1f} {pads.mass}, and the car of this plan should weigh "
        f"{units.outside(foreseen, 'mass'):.1f} {units.mass}"
    )
    fix = "check that both are of one car, every wheel on its pad, and that [units] mass is what the pads show."
    raise InputError([Complaint(what, fix, "[[readings]]", None, file)])


def bars_again(standing: Standing) -> Bars:
    """The bars at the re-weigh; where it does not say, as they were."""
    return standing.again.weigh_in.visit.bars or bars_at_weigh_in(standing.question)


def not_as_planned(standing: Standing) -> Iterator[Change]:
    """Plates that the new weigh-in has otherwise than the plan."""
    room = standing.room
    for m in np.flatnonzero(room.aboard[standing.crew]).tolist():
        for p, plate in enumerate(room.plates):
            planned, fitted = int(standing.planned[m, p]), int(standing.counts[m, p])
            if planned != fitted:
                yield Change(mount=room.mounts[m], plate=plate, before=planned, after=fitted, driver=room.drivers[m])
