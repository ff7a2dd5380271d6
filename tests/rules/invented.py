"""Invented cars for the templates: one mount or two, a box of plates, and what stands where, written by hand."""

from datetime import date

from ballast.records.car import Car, Chassis
from ballast.records.files import read_rulebook, rulebook_path
from ballast.records.plates import Bolts, Mount, Plate
from ballast.records.quantities import UnitsTable
from ballast.records.question import Question
from ballast.records.state import DriverState, Material, Strength, Thread
from ballast.records.weighing import Fitted, Reading, Visit, WeighIn
from ballast.records.wishes import Margin
from ballast.units import Units

LB = Units("lb", "in")


def plate(name: str, mass: float, count: int, material: Material | None = "lead") -> Plate:
    """A kind of plate; mass in kg."""
    return Plate(name=name, mass=mass, count=count, material=material)


def bolts(count: int, thread: Thread, strength: Strength, washer: float | None = None) -> Bolts:
    """Bolts of a mount; washer in m."""
    return Bolts(count=count, thread=thread, strength=strength, washer=washer)


def mount(name: str, held: Bolts | None, zone: str | None = None) -> Mount:
    """A mount beside the middle of the car that carries whatever the rules allow."""
    place = {"behind_front_axle": 0.6, "left_of_centre": 0.1}
    return Mount(name=name, capacity=200.0, bolts=held, zone=zone, **place)


def question(
    rules: str,
    total: float,
    mounts: tuple[Mount, ...],
    plates: tuple[Plate, ...],
    standing: dict[tuple[str, str], int],
    driver: DriverState = "in",
) -> Question:
    """A car of a total [kg], spread evenly over the pads, with plates standing, under a packaged rulebook."""
    return Question(
        car=Car(
            units=UnitsTable(mass="kg", length="mm"),
            chassis=Chassis(name="Invented car", wheelbase=1.2, track_front=1.1, track_rear=1.1),
            mounts=mounts,
            plates=plates,
            margin=Margin(uncertainties=0.0),
        ),
        weigh_in=WeighIn(
            units=UnitsTable(mass="kg", length="mm"),
            visit=Visit(date=date(2026, 5, 5), driver=driver, spares=1),
            readings=(Reading(LF=total / 4, RF=total / 4, LR=total / 4, RR=total / 4),),
            fitted=tuple(Fitted(mount=m, plate=p, count=n) for (m, p), n in standing.items()),
        ),
        rulebook=read_rulebook(rulebook_path(rules)),
    )
