"""The question: a car, a weigh-in, a rulebook and wishes. The one argument of the planner and of the scrutineer."""

from typing import Any

from ballast.errors import Complaint, InputError
from ballast.records.car import Car
from ballast.records.changed import Changed
from ballast.records.crew import Driver
from ballast.records.ledger import Ledger
from ballast.records.quantities import Record
from ballast.records.rulebook import Rulebook, SuccessBallast
from ballast.records.weighing import WeighIn
from ballast.records.wishes import Wishes, WishName


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
    changed: Changed | None = None
    """what was done to the car since the weigh-in, when there is such a file"""

    @property
    def wishes(self) -> Wishes:
        """What counts, and in which order."""
        return self.car.wishes

    def with_wishes(
        self,
        most_changes: int | None = None,
        seconds: float | None = None,
        order: tuple[WishName, ...] | None = None,
        fewest_changes: bool = False,
    ) -> "Question":
        """The same question with some of the wishes replaced; None leaves one as the car file has it.

        fewest_changes : few changes count next after balance, or first where balance does not count.
        """
        order = order or self.wishes.order
        if fewest_changes:
            rest = [wish for wish in order if wish != "changes"]
            place = rest.index("balance") + 1 if "balance" in rest else 0
            order = (*rest[:place], "changes", *rest[place:])
        asked: dict[str, Any] = {"most_changes": most_changes, "seconds": seconds, "order": order}
        given = {name: value for name, value in asked.items() if value is not None}
        return self.replace(car=self.car.replace(wishes=self.wishes.replace(**given)))

    def with_success_ballast(self, mass: float) -> "Question":
        """The same question with another mass of success ballast, in the car file's unit.

        Where the rulebook says nothing of it, plates of the box carry it and the minimum rises by it. Raises InputError
        without a rulebook, since nothing then says what the car has to weigh.
        """
        if self.rulebook is None or not self.rulebook.minima:
            fix = "give the rulebook with --rules; without one, write [targets] total in the car file."
            what = "needs a rulebook with a [minimum_weight]: it comes on top of that"
            raise InputError([Complaint(what, fix, "--success-ballast")])
        kg, rule = self.car.units.units().inside(mass, "mass"), self.rulebook.success_ballast
        asked = self.weigh_in.visit.date
        by_hand = SuccessBallast(mass=kg, clause="as asked", source="--success-ballast", checked=asked)
        now = rule.replace(mass=kg) if rule else by_hand
        return self.replace(rulebook=self.rulebook.replace(success_ballast=now))

    def fitted(self, mount: str, plate: str) -> int:
        """How many plates of a kind stood on a mount when the car was weighed."""
        return sum(row.count for row in self.weigh_in.fitted if (row.mount, row.plate) == (mount, plate))

    def standing(self, mount: str, plate: str, driver: str | None = None) -> int:
        """How many of them stand there now: as weighed, or as the file of changes says, for one driver or for all."""
        placed = self.changed.placed if self.changed else ()
        here = [row for row in placed if (row.mount, row.plate) == (mount, plate)]
        own = [row.count for row in here if row.driver == driver] if driver else []
        for_all = [row.count for row in here if row.driver is None]
        return (own or for_all or [self.fitted(mount, plate)])[0]

    @property
    def seated(self) -> Driver | None:
        """The driver who was aboard at the weigh-in, where the car file names drivers and one of them was."""
        visit, drivers = self.weigh_in.visit, self.car.drivers
        if visit.driver != "in" or self.weigh_in.substitute or not drivers:
            return None
        return next((driver for driver in drivers if visit.seated in (None, driver.name)), None)

    def staying(self, mount: str, plate: str) -> int:
        """How many plates of a kind must stay on a mount."""
        return sum(row.stay for row in self.weigh_in.fitted if (row.mount, row.plate) == (mount, plate))
