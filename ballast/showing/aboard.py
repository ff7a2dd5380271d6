"""Who sits in the car and what is in its tanks, in the state that is drawn."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ballast.records.plan import Answer
from ballast.records.quantities import Place
from ballast.showing.lettering import plain
from ballast.showing.marks import DRIVER, TANK, Mark
from ballast.showing.rounding import Rounding


@dataclass(frozen=True)
class Aboard:
    """A driver or a tank at its place."""

    kind: Literal["driver", "tank"]
    gid: str
    mark: Mark
    place: Place
    lines: tuple[str, ...]
    """its name, and what it holds"""


def drawn_driver(answer: Answer) -> str | None:
    """Who sits in the car in the state that is drawn, the first of the plan; none where no drivers are named."""
    cases, drivers = answer.plan.cases, answer.question.car.drivers
    if cases and cases[0].driver:
        return cases[0].driver
    return drivers[0].name if drivers else None


def aboard(answer: Answer, show: Rounding) -> Iterator[Aboard]:
    """The driver and the tanks that the car file describes."""
    car, cases = answer.question.car, answer.plan.cases
    name = drawn_driver(answer)
    for driver in car.drivers:
        if driver.name == name:
            yield Aboard("driver", "driver", DRIVER, driver, (plain(driver.name), show.term(driver.mass)))
    point = cases[0].fuel if cases else None
    for number, tank in enumerate(car.tanks, start=1):
        holds = show.volume(tank.at(point)) if point else f"full: {show.volume(tank.volume)}"
        yield Aboard("tank", f"tank-{number}", TANK, tank, (plain(tank.name), holds))
