"""What the files of one question say that does not go together, each complaint with the file that has to change."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Literal

from ballast.errors import Complaint, did_you_mean
from ballast.records.car import HAIR
from ballast.records.question import Question

Part = Literal["car", "weigh_in", "rulebook", "ledger", "changed"]


def complaints(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """What the files say that does not go together, each with the file that has to change."""
    mounts = {mount.name: mount for mount in question.car.mounts}
    plates = {plate.name: plate for plate in question.car.plates}
    for number, fitted in enumerate(question.weigh_in.fitted, start=1):
        where = f"[[fitted]] {number}"
        if fitted.mount not in mounts:
            fix = did_you_mean(fitted.mount, mounts)
            yield "weigh_in", Complaint("this car has no such mount", fix, f"{where} mount", f'"{fitted.mount}"')
        if fitted.plate not in plates:
            fix = did_you_mean(fitted.plate, plates)
            yield "weigh_in", Complaint("the box has no such plate", fix, f"{where} plate", f'"{fitted.plate}"')
        elif fitted.mount in mounts and fitted.stay and not mounts[fitted.mount].accepts(plates[fitted.plate]):
            yield (
                "weigh_in",
                Complaint(
                    f"plate '{fitted.plate}' must stay on mount '{fitted.mount}', which does not take it",
                    "let it go (stay = 0), or add the plate to the mount's takes in the car file.",
                    f"{where} stay",
                    str(fitted.stay),
                ),
            )
    counts = Counter[str]()
    for fitted in question.weigh_in.fitted:
        counts[fitted.plate] += fitted.count
    for name, count in counts.items():
        if name in plates and count > plates[name].count:
            yield (
                "weigh_in",
                Complaint(
                    f"{count} of plate '{name}' fitted, but the car file says {plates[name].count} are owned",
                    "count again: fewer were fitted, or [[plates]] count is too low (it includes the fitted ones).",
                    "[[fitted]] count",
                ),
            )
    yield from _changed(question)
    yield from _bars(question)
    yield from _driver(question)
    yield from _seat(question)
    yield from _fuel(question)
    yield from _rules(question)
    yield from _totals(question)


def _bars(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """Springs with bars and without are two cars: without a word on that, no diagonal can be foreseen."""
    if question.car.suspension.has_bars and question.weigh_in.visit.bars is None:
        yield (
            "weigh_in",
            Complaint(
                "is missing, and the car file gives the rate of an anti-roll bar",
                'write bars = "connected" or bars = "disconnected", as the car was weighed.',
                "[weigh_in] bars",
            ),
        )


def _driver(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """A rulebook weighs the car with the driver in or out: without a word on that, no answer means anything."""
    if question.rulebook and question.rulebook.minima and question.weigh_in.visit.driver is None:
        states = " and ".join(sorted({minimum.driver for minimum in question.rulebook.minima}))
        yield (
            "weigh_in",
            Complaint(
                f"is needed, because the rulebook weighs the car with the driver {states}",
                'write driver = "in" or driver = "out", as the car was weighed.',
                "[weigh_in] driver",
            ),
        )


def _seat(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """With drivers in the car file, the weigh-in has to say what sat in the seat."""
    visit, names = question.weigh_in.visit, [driver.name for driver in question.car.drivers]
    if visit.seated and visit.seated not in names:
        fix = (
            did_you_mean(visit.seated, names) if names else "add a table [[drivers]] to the car file, or leave it out."
        )
        yield "weigh_in", Complaint("the car has no such driver", fix, "[weigh_in] seated", f'"{visit.seated}"')
    if not names:
        return
    if visit.driver is None:
        yield (
            "weigh_in",
            Complaint(
                "is needed, because the car file names drivers",
                'write driver = "in" or driver = "out", as the car was weighed.',
                "[weigh_in] driver",
            ),
        )
    if visit.driver == "in" and visit.seated is None and question.weigh_in.substitute is None and len(names) > 1:
        yield (
            "weigh_in",
            Complaint(
                "is needed, because the car file names several drivers",
                f'write seated = "{names[0]}" or whoever was aboard; or describe the mass that stood in, below '
                "[substitute].",
                "[weigh_in] seated",
            ),
        )
    if visit.driver_mass is not None:
        yield (
            "weigh_in",
            Complaint(
                "is said twice: the car file gives the drivers and their masses",
                "take it out here.",
                "[weigh_in] driver_mass",
            ),
        )


def _fuel(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """With tanks in the car file, the weigh-in has to say what was in them."""
    tanks, weigh_in = {tank.name: tank for tank in question.car.tanks}, question.weigh_in
    units = weigh_in.units.units()
    if tanks and not weigh_in.fuel and weigh_in.visit.fuel is None:
        yield (
            "weigh_in",
            Complaint(
                "is needed, because the car file describes the tanks",
                'add a table [fuel] with volume = ..., what was in the tank; or write fuel = "full", "drained" or "as '
                'it finishes" below [weigh_in].',
                "[fuel]",
            ),
        )
    seen = Counter[str]()
    for number, row in enumerate(weigh_in.fuel, start=1):
        where = "[fuel]" if len(weigh_in.fuel) == 1 else f"[[fuel]] {number}"
        if not tanks:
            fix = (
                "add a table [[tanks]] to the car file, with the place of the tank and what it holds; or take this out."
            )
            yield "weigh_in", Complaint("the car file describes no tank", fix, where)
            continue
        if row.tank is None and len(tanks) > 1:
            yield "weigh_in", Complaint("needs its tank: the car has several", f"write tank = {_any_of(tanks)}.", where)
            return
        name = row.tank or next(iter(tanks))
        if name not in tanks:
            fix = did_you_mean(name, tanks)
            yield "weigh_in", Complaint("this car has no such tank", fix, f"{where} tank", f'"{name}"')
            continue
        seen[name] += 1
        if row.volume > tanks[name].volume + HAIR:
            holds = f"{units.outside(tanks[name].volume, 'volume'):g} {units.name('volume')}"
            yield (
                "weigh_in",
                Complaint(
                    f"is more than the tank holds ({holds})",
                    "check both numbers and their units.",
                    f"{where} volume",
                    f"{units.outside(row.volume, 'volume'):g}",
                ),
            )
    if weigh_in.fuel:
        for name in tanks:
            if seen[name] != 1 and not (seen[name] == 0 and len(tanks) == 1):
                fix = "write one table [[fuel]] for each tank; volume = 0 for an empty one."
                what = f"tank '{name}' is named twice" if seen[name] else f"nothing is said of tank '{name}'"
                yield "weigh_in", Complaint(what, fix, "[[fuel]]")


def _any_of(names: Iterable[str]) -> str:
    return " or ".join(f'"{name}"' for name in names)


def _changed(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """Mounts, plates and drivers of the file of changes; no more plates standing than are owned."""
    placed = question.changed.placed if question.changed else ()
    mounts = {mount.name: mount for mount in question.car.mounts}
    plates = {plate.name: plate for plate in question.car.plates}
    drivers = [driver.name for driver in question.car.drivers]
    for number, row in enumerate(placed, start=1):
        where = f"[[placed]] {number}"
        if row.mount not in mounts:
            fix = did_you_mean(row.mount, mounts)
            yield "changed", Complaint("this car has no such mount", fix, f"{where} mount", f'"{row.mount}"')
        if row.plate not in plates:
            fix = did_you_mean(row.plate, plates)
            yield "changed", Complaint("the box has no such plate", fix, f"{where} plate", f'"{row.plate}"')
        if row.driver is not None and row.driver not in drivers:
            fix = did_you_mean(row.driver, drivers) if drivers else "leave driver out: the car file names none."
            yield "changed", Complaint("the car has no such driver", fix, f"{where} driver", f'"{row.driver}"')
        elif row.driver is not None and row.mount in mounts and not mounts[row.mount].changes_with_driver:
            fix = "leave driver out here, or write changes_with_driver = true in the mount."
            yield "changed", Complaint(f"mount '{row.mount}' does not change with the driver", fix, f"{where} driver")
    crew: list[str | None] = [*drivers] or [None]
    for plate in question.car.plates if placed else ():
        for driver in crew:
            standing = sum(question.standing(name, plate.name, driver) for name in mounts)
            if standing > plate.count:
                yield (
                    "changed",
                    Complaint(
                        f"{standing} of plate '{plate.name}' would stand on the car"
                        f"{f' with {driver}' if driver else ''}, and {plate.count} are owned",
                        "say with count = 0 where plates were taken off, or correct [[plates]] count in the car file.",
                        "[[placed]]",
                    ),
                )
                break


def _rules(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """What a rulebook needs of the car file."""
    book, car = question.rulebook, question.car
    if book is None:
        return
    visit = question.weigh_in.visit
    for key, aboard, rule in (
        ("success_ballast", visit.success_ballast, book.success_ballast),
        ("driver_ballast", visit.driver_ballast, book.driver_ballast),
    ):
        if aboard and (rule is None or rule.place is None):
            yield (
                "weigh_in",
                Complaint(
                    "was on board, and the rulebook gives no place for it",
                    f"write behind_front_axle and left_of_centre below [{key}] in the rulebook; or, if plates of the "
                    "box carried it, name them in [[fitted]].",
                    f"[weigh_in] {key}",
                ),
            )
    if (rule := book.driver_ballast) and rule.counted is not None and len(question.car.drivers) > rule.counted:
        yield (
            "car",
            Complaint(
                f"{len(question.car.drivers)} drivers, and the rulebook's team total is taken over {rule.counted}",
                "keep the drivers who are counted, or correct [driver_ballast] counted in the rulebook.",
                "[[drivers]]",
            ),
        )
    zones = {zone.name for zone in book.zones}
    for mount in car.mounts:
        if mount.zone is not None and zones and mount.zone not in zones:
            fix = did_you_mean(mount.zone, zones)
            yield (
                "car",
                Complaint("the rulebook knows no such zone", fix, f"[[mounts]] '{mount.name}' zone", f'"{mount.zone}"'),
            )
    for plate in car.plates:
        if book.ballast_stack and plate.thickness is None:
            yield (
                "car",
                Complaint(
                    "is needed, because the rulebook limits the height of a stack",
                    "measure the plate and write thickness.",
                    f"[[plates]] '{plate.name}' thickness",
                ),
            )


def _totals(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """Totals in three files: far apart, one of them is in another unit."""
    readings, targets = question.weigh_in.readings, question.car.targets
    weighed = sum(sum(reading.in_order()) for reading in readings) / len(readings)
    units, asked_in = question.weigh_in.units.units(), question.car.units.units()
    minima = question.rulebook.minima if question.rulebook else ()
    visit = question.weigh_in.visit
    alike = (m for m in minima if m.driver == visit.driver and m.fuel in {None, visit.fuel})
    minimum = max(alike, key=lambda m: m.mass, default=None)
    if minimum and not 0.5 <= weighed / minimum.mass <= 2.0:
        yield (
            "weigh_in",
            Complaint(
                f"the car weighs {units.outside(weighed, 'mass'):.1f} {units.mass}, and the class minimum is "
                f"{units.outside(minimum.mass, 'mass'):.1f} {units.mass}",
                f'check the readings, that [units] mass = "{units.mass}" is what the pads show, and the rulebook.',
                "[[readings]]",
            ),
        )
    margin = question.car.margin.total
    if minimum and targets.total is not None and targets.total < minimum.mass + margin - HAIR:
        yield (
            "car",
            Complaint(
                f"is less than the rulebook asks for: {asked_in.outside(minimum.mass, 'mass'):g} {asked_in.mass} "
                f"and a margin of {asked_in.outside(margin, 'mass'):g}",
                "leave it out: where a rulebook sets a minimum, that with losses and margin is the aim, not this.",
                "[targets] total",
                f"{asked_in.outside(targets.total, 'mass'):g}",
            ),
        )
    finest = question.wishes.balance_resolution * weighed
    if targets.rear_pair and targets.rear_pair.within < finest - HAIR:
        yield (
            "car",
            Complaint(
                f"is finer than the balance is settled to ({asked_in.outside(finest, 'mass'):.3g} {asked_in.mass})",
                "widen it: no set of pads repeats that closely. Or, if yours does, lower [wishes] balance_resolution.",
                "[targets.rear_pair] within",
                f"{asked_in.outside(targets.rear_pair.within, 'mass'):g}",
            ),
        )
