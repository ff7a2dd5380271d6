"""Random cars with heights, stacks, drivers, tanks, targets and wheels of their own, for every kind of picture.

They are the cars of `invented_answers` with more on them; all numbers in kg, m and L.
"""

import random
from collections.abc import Iterator
from typing import Any, get_args

from ballast.records.car import Car
from ballast.records.crew import Driver, FuelPoint, Tank
from ballast.records.plan import Answer, CentreEllipse, PlannedCase, TargetResult, Uncertain
from ballast.records.plates import Mount, Plate
from ballast.records.suspension import WheelPlace, Wheels
from ballast.records.weighed import CaseLoads
from tests.showing.invented_answers import UNSURE, answer

NAMES = ("Ada", "Maximiliana von Featherstone", "Bo", "Cleo of the Otter Valley", "$x_2$ & <Dov>", "W" * 60)
POINTS = {"start": "start", "balance": "balance point", "flag": "flag"}


def stint(seed: int) -> Answer:
    """One random answer; about a fifth of the cars lack heights, drivers, tanks or thicknesses."""
    rng = random.Random(1000 + seed)
    plain = answer(seed)
    drivers, tanks = tuple(_drivers(plain.question.car, rng)), tuple(_tanks(plain.question.car, rng))
    car = plain.question.car.replace(
        chassis=plain.question.car.chassis.replace(
            centre_of_gravity_height=_maybe(rng, 0.2 + 0.4 * rng.random()),
        ),
        mounts=tuple(_mount(mount, bool(drivers), rng) for mount in plain.question.car.mounts),
        plates=tuple(_plate(plate, rng) for plate in plain.question.car.plates),
        drivers=drivers,
        tanks=tanks,
        wheels=_wheels(plain.question.car, rng),
    )
    points = rng.sample(get_args(FuelPoint), rng.randint(1, 3)) if tanks else [None]
    points = [point for point in (*get_args(FuelPoint), None) if point in points]
    states = [(driver.name if driver else None, point) for driver in drivers or (None,) for point in points]
    cases = tuple(
        _case(plain.plan.cases[0], driver, point, number == 0, car, rng)
        for number, (driver, point) in enumerate(states)
    )
    before = _loads(plain.plan.before, cases[0].name, car, rng)
    plan = plain.plan.replace(cases=cases, before=before, targets=tuple(_targets(plain, cases, rng)))
    return plain.replace(question=plain.question.replace(car=car), plan=plan)


def _maybe(rng: random.Random, value: float) -> float | None:
    return value if rng.random() < 0.8 else None


def _drivers(car: Car, rng: random.Random) -> Iterator[Driver]:
    for name in rng.sample(NAMES, rng.choice((0, 1, 2, 3, 5))):
        yield Driver(
            name=name,
            mass=round(rng.uniform(50, 110), 1),
            behind_front_axle=rng.uniform(0.2, 0.8) * car.chassis.wheelbase,
            left_of_centre=rng.uniform(-0.4, 0.4),
            above_ground=_maybe(rng, rng.uniform(0.2, 0.7)),
        )


def _tanks(car: Car, rng: random.Random) -> Iterator[Tank]:
    for number in range(rng.choice((0, 1, 1, 3))):
        yield Tank(
            name=f"{'very ' * rng.randint(0, 8)}long tank {number}",
            volume=round(rng.uniform(5, 120), 1),
            at_flag=round(rng.uniform(0, 5), 1),
            behind_front_axle=rng.uniform(0.0, 1.3) * car.chassis.wheelbase,
            left_of_centre=rng.uniform(-0.5, 0.5),
            above_ground=_maybe(rng, rng.uniform(0.1, 0.6)),
        )


def _mount(mount: Mount, crew: bool, rng: random.Random) -> Mount:
    return mount.replace(
        above_ground=_maybe(rng, rng.choice((0.12, rng.uniform(0.05, 0.9)))),
        stack=rng.choice((None, rng.uniform(0.02, 0.3))),
        capacity=round(rng.uniform(200, 500), rng.randint(0, 3)),
        fixing_mass=rng.choice((0.0, 0.8)),
        changes_with_driver=crew and rng.random() < 0.2,
    )


def _plate(plate: Plate, rng: random.Random) -> Plate:
    return plate.replace(thickness=None if rng.random() < 0.1 else rng.uniform(0.002, 0.04))


def _wheels(car: Car, rng: random.Random) -> Wheels:
    """One wheel a little out of its place, or none."""
    if rng.random() < 0.5:
        return Wheels()
    at = WheelPlace(
        behind_front_axle=rng.uniform(-0.1, 0.1) * car.chassis.wheelbase,
        left_of_centre=-car.chassis.track_front * rng.uniform(0.4, 0.6),
    )
    return Wheels(RF=at)


def _loads(case: CaseLoads, name: str, car: Car, rng: random.Random) -> CaseLoads:
    """A state a little other than the given one. Its height is known where the car's is."""
    centre = case.centre_of_gravity
    height = car.chassis.centre_of_gravity_height
    return case.replace(
        name=name,
        front_percent=case.front_percent + rng.uniform(-0.02, 0.02),
        left_percent=case.left_percent + rng.uniform(-0.01, 0.01),
        centre_of_gravity=centre.replace(
            behind_front_axle=centre.behind_front_axle + rng.uniform(-0.02, 0.02),
            left_of_centre=centre.left_of_centre + rng.uniform(-0.02, 0.02),
            above_ground=height and height + rng.uniform(-0.02, 0.02),
        ),
    )


def _case(
    like: PlannedCase, driver: str | None, point: FuelPoint | None, first: bool, car: Car, rng: random.Random
) -> PlannedCase:
    name = ", ".join(word for word in (driver, POINTS[point] if point else None) if word) or "as weighed"
    longer = rng.uniform(0.0002, 0.01)
    ellipse = CentreEllipse(longer=longer, shorter=longer * rng.random(), turned=rng.uniform(-89, 90))
    numbers: dict[str, Any] = dict(_loads(like, name, car, rng))
    sure: dict[str, Any] = UNSURE
    return PlannedCase.model_validate(
        numbers
        | {
            "driver": driver,
            "fuel": point,
            "balance": first or rng.random() < 0.8,
            "uncertain": Uncertain.model_validate(sure | {"centre": ellipse}),
        }
    )


def _targets(answer: Answer, cases: tuple[PlannedCase, ...], rng: random.Random) -> Iterator[TargetResult]:
    """Front and left where the plan has a tolerance for them, as plans do; a diagonal or a rear pair by chance."""
    figures = [target.figure for target in answer.plan.targets] + rng.sample(("RF+LR", "rear pair"), rng.randint(0, 2))
    for figure in figures:
        mass = figure == "rear pair"
        aim, within = (rng.uniform(-40, 90), 5.0) if mass else (rng.uniform(0.4, 0.6), rng.uniform(0.001, 0.01))
        guard, by = within * rng.uniform(0, 0.5), rng.choice(("ballast", "platforms"))
        for case in cases:
            if not case.balance:
                continue
            after = aim + within * rng.uniform(-4, 4)
            yield TargetResult.model_validate(
                {
                    "dimension": "mass" if mass else "percent",
                    "case": case.name,
                    "figure": figure,
                    "by": by if figure == "RF+LR" else "ballast",
                    "aim": aim,
                    "within": within,
                    "guard": guard,
                    "before": aim + within * rng.uniform(-30, 30),
                    "after": after,
                    "miss_points": 0.0,
                    "outside_points": 0.0,
                    "inside": abs(after - aim) <= within,
                    "uncertainty": within * rng.uniform(0, 2),
                    "chance": 0.5,
                }
            )
