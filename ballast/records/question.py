"""The question: a car, a weigh-in, a rulebook and wishes. The one argument of the planner and of the scrutineer."""

from collections import Counter
from collections.abc import Iterator
from typing import Literal

from ballast.errors import Complaint, did_you_mean
from ballast.records.car import HAIR, Car
from ballast.records.ledger import Ledger
from ballast.records.quantities import Record
from ballast.records.rulebook import Rulebook
from ballast.records.weighing import WeighIn
from ballast.records.wishes import Wishes

Part = Literal["car", "weigh_in", "rulebook", "ledger"]


class Question(Record):
    """Everything a plan depends on."""

    car: Car
    """the car file"""
    weigh_in: WeighIn
    """the weigh-in file"""
    rulebook: Rulebook | None = None
    """the rulebook file, when there is one"""
    ledger: Ledger | None = None
    """your own scales against official ones, when there is one"""

    @property
    def wishes(self) -> Wishes:
        """What counts, and in which order."""
        return self.car.wishes

    def with_limits(self, most_changes: int | None = None, seconds: float | None = None) -> "Question":
        """The same question with limits of the wishes replaced; None leaves one as the car file has it."""
        asked = {"most_changes": most_changes, "seconds": seconds}
        given = {name: value for name, value in asked.items() if value is not None}
        return self.replace(car=self.car.replace(wishes=self.wishes.replace(**given)))

    def fitted(self, mount: str, plate: str) -> int:
        """How many plates of a kind stood on a mount when the car was weighed."""
        return sum(row.count for row in self.weigh_in.fitted if (row.mount, row.plate) == (mount, plate))

    def staying(self, mount: str, plate: str) -> int:
        """How many plates of a kind must stay on a mount."""
        return sum(row.stay for row in self.weigh_in.fitted if (row.mount, row.plate) == (mount, plate))


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
    yield from _driver(question)
    yield from _rules(question)
    yield from _totals(question)


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


def _rules(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """What a rulebook needs of the car file."""
    book, car = question.rulebook, question.car
    if book is None:
        return
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
