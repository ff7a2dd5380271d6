"""The question: a car, a weigh-in, a rulebook and wishes. The one argument of the planner and of the scrutineer."""

from collections import Counter
from collections.abc import Iterator
from typing import Literal

from ballast.errors import Complaint, did_you_mean
from ballast.records.car import HAIR, Car
from ballast.records.quantities import Record
from ballast.records.rulebook import Rulebook
from ballast.records.weighing import WeighIn
from ballast.records.wishes import Wishes

Part = Literal["car", "weigh_in", "rulebook"]


class Question(Record):
    """Everything a plan depends on."""

    car: Car
    """the car file"""
    weigh_in: WeighIn
    """the weigh-in file"""
    rulebook: Rulebook | None = None
    """the rulebook file, when there is one"""

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
    yield from _totals(question)


def _driver(question: Question) -> Iterator[tuple[Part, Complaint]]:
    minimum = question.rulebook.minimum_weight if question.rulebook else None
    driver = question.weigh_in.visit.driver
    if minimum and driver is None:
        yield (
            "weigh_in",
            Complaint(
                f"is needed, because the rulebook weighs the car with the driver {minimum.driver}",
                'write driver = "in" or driver = "out", as the car was weighed.',
                "[weigh_in] driver",
            ),
        )
    elif minimum and driver != minimum.driver:
        yield (
            "weigh_in",
            Complaint(
                f"the rulebook weighs the car with the driver {minimum.driver}, so this weigh-in cannot answer for it",
                f"weigh again with the driver (or the same mass in the seat) {minimum.driver}, or use other rules.",
                "[weigh_in] driver",
                f'"{driver}"',
            ),
        )


def _totals(question: Question) -> Iterator[tuple[Part, Complaint]]:
    """Totals in three files: far apart, one of them is in another unit."""
    readings, targets = question.weigh_in.readings, question.car.targets
    weighed = sum(sum(reading.in_order()) for reading in readings) / len(readings)
    units, asked_in = question.weigh_in.units.units(), question.car.units.units()
    minimum = question.rulebook.minimum_weight if question.rulebook else None
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
                "raise it, lower the margin, or leave it out: then the minimum and the margin are the aim.",
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
