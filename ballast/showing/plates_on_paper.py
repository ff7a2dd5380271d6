"""Which plates stand where, and what holds them, for somebody who looks from the sheet to the car and back."""

from collections.abc import Iterator

from ballast.records.plan import Answer, StandingPlates
from ballast.records.plates import Mount
from ballast.records.rulebook import Prescribed
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table
from ballast.showing.stacks import number
from ballast.showing.work import aboard

ABOUT_PLACES = (
    "Behind or ahead of the front axle line; left or right of the centre line; underside of the stack above ground."
)

Stack = tuple[StandingPlates, ...]
"""Plates on one mount for one driver, or for all."""


def what_stands_where(answer: Answer, show: Rounding) -> Section:
    """A row for each stack, numbered and named as on the picture; drivers with the same stack together."""
    rows = [_row(answer, mount, whose, stack, show) for mount, whose, stack in _stacks(answer)]
    rows += _ruled(answer, show)
    length, mass = show.units.length, show.units.mass
    head = ("mount", f"place ({length})", "plates", "bolts", f"mass ({mass})", "of it hardware", f"stack ({length})")
    if not rows:
        return Section("Plates and places", lines=("No plate stands on this car.",))
    table = Table(head, tuple(rows), text_columns=4)
    return Section("Plates and places, as on the picture", table=table, lines=(ABOUT_PLACES,))


def kinds(answer: Answer, show: Rounding) -> Section:
    """The plates in use, by the mark on them."""
    used = {row.plate for row in answer.plan.fit}
    rows = []
    for plate in answer.question.car.plates:
        if plate.name in used:
            thick = "" if plate.thickness is None else f"{show.as_written(plate.thickness, 'length')} thick"
            made = plate.material or "material not entered"
            about = ", ".join(part for part in (made, thick) if part)
            rows.append((plate.name, show.as_written(plate.mass, "mass"), about))
    if not rows:
        return Section("Plates used", lines=("None.",))
    return Section("Plates used", table=Table(("mark", "each weighs", "made of"), tuple(rows), text_columns=3))


def drivers(answer: Answer, show: Rounding) -> Iterator[Section]:
    """What each driver weighs in kit and brings along, where the car file names drivers."""
    crew = answer.question.car.drivers
    if not crew:
        return
    ruled = {one.driver: one.mass for one in answer.plan.driver_ballast}
    rows = []
    for driver in crew:
        plates, hardware = aboard(answer, driver.name)
        masses = (driver.mass, driver.insert_mass)
        by_rules = (show.as_written(ruled.get(driver.name, 0.0), "mass", unit=False),) if any(ruled.values()) else ()
        rows.append(
            (
                driver.name,
                *(show.as_written(mass, "mass", unit=False) for mass in masses),
                *by_rules,
                show.mass(plates, unit=False),
                show.mass(hardware, unit=False),
            )
        )
    by_rules = ("driver ballast",) if any(ruled.values()) else ()
    head = ("driver", "in kit", "insert", *by_rules, "plates", "hardware")
    lines = (f"In {show.units.mass}. Plates and hardware: all on the car with that driver.",)
    yield Section("Drivers", table=Table(head, tuple(rows)), lines=lines)


def to_check_off(answer: Answer) -> Iterator[str]:
    """What somebody looks at before signing."""
    yield "Plates counted against this sheet"
    yield "Bolts through, nuts locking, washers in place, tightened, paint-marked"
    if any(one.mass for one in answer.plan.driver_ballast):
        yield "Driver ballast on board"
    book = answer.question.rulebook
    if book and book.success_ballast and book.success_ballast.mass:
        yield "Success ballast on board"
    for look in book.to_see if book else ():
        yield f"{look.what} (clause {look.clause})"


def _stacks(answer: Answer) -> Iterator[tuple[Mount, tuple[str, ...], Stack]]:
    """Mounts with plates in the order of the car file, the drivers they stand for (none: all), and the plates."""
    for mount in answer.question.car.mounts:
        by_driver: dict[str | None, list[StandingPlates]] = {}
        for row in answer.plan.fit:
            if row.mount == mount.name:
                by_driver.setdefault(row.driver, []).append(row)
        alike: dict[tuple[tuple[str, int], ...], tuple[tuple[str, ...], Stack]] = {}
        for driver, rows in by_driver.items():
            key = tuple((row.plate, row.count) for row in rows)
            names = alike[key][0] if key in alike else ()
            alike[key] = ((*names, driver) if driver else names, tuple(rows))
        for names, stack in alike.values():
            yield mount, names, stack


def _row(answer: Answer, mount: Mount, whose: tuple[str, ...], stack: Stack, show: Rounding) -> tuple[str, ...]:
    plates = {plate.name: plate for plate in answer.question.car.plates}
    mass = sum(row.count * plates[row.plate].mass for row in stack) + mount.fixing_mass
    thick = [plates[row.plate].thickness for row in stack]
    high = sum(row.count * (each or 0.0) for row, each in zip(stack, thick, strict=True))
    return (
        f"{number(answer, mount)}. {mount.name}" + (f", for {', '.join(whose)}" if whose else ""),
        _place(mount.behind_front_axle, mount.left_of_centre, mount.above_ground, show)
        + (f"; zone: {mount.zone}" if mount.zone else ""),
        ", ".join(f"{row.count} x {row.plate}" for row in stack),
        _bolts(mount, show),
        show.mass(mass, unit=False),
        show.as_written(mount.fixing_mass, "mass", unit=False),
        "" if None in thick else show.length(high, unit=False),
    )


def _place(aft: float, left: float, up: float | None, show: Rounding) -> str:
    """A place in few words, without a sign to misread; the unit stands at the head of the column. [m]"""
    parts = [f"{show.length(abs(aft), unit=False)} {'behind' if aft >= 0 else 'ahead'}"]
    across = show.length(abs(left), unit=False)
    parts.append(f"{across} {'left' if left > 0 else 'right'}" if float(across) else "centre line")
    if up is not None:
        parts.append(f"{show.length(up, unit=False)} up")
    return ", ".join(parts)


def _bolts(mount: Mount, show: Rounding) -> str:
    bolts = mount.bolts
    parts = [f"{bolts.count} x {bolts.thread}, {bolts.strength}"] if bolts else ["not entered"]
    if bolts and bolts.washer:
        parts.append(f"washers {show.as_written(bolts.washer, 'length')}")
    return ", ".join(parts)


def _ruled(answer: Answer, show: Rounding) -> Iterator[tuple[str, ...]]:
    """Ballast that the rules want at a place of its own."""
    book = answer.question.rulebook
    if book is None:
        return
    if book.success_ballast and book.success_ballast.mass:
        yield from _at_its_place("success ballast", book.success_ballast, book.success_ballast.mass, show)
    by_mass: dict[float, list[str]] = {}
    for one in answer.plan.driver_ballast:
        if one.mass:
            by_mass.setdefault(one.mass, []).append(one.driver)
    for mass, names in by_mass.items():
        whose = f", for {', '.join(names)}"
        if book.driver_ballast:
            yield from _at_its_place(f"driver ballast{whose}", book.driver_ballast, mass, show)


def _at_its_place(name: str, rule: Prescribed, mass: float, show: Rounding) -> Iterator[tuple[str, ...]]:
    if rule.place:
        where = _place(*rule.place, rule.above_ground, show)
        yield name, where, f"by the rules (clause {rule.clause})", "", show.as_written(mass, "mass", unit=False), "", ""
