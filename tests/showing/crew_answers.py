"""An invented endurance car with a crew, a tank, ballast by rule and changed parts, each of them or none.

Numbers are in kg, m and L, as they are inside the program.
"""

from datetime import date
from functools import cache
from typing import Any

from ballast.jobs.plan import plan
from ballast.records.plan import Answer
from ballast.records.question import Question

UNITS = {"mass": "kg", "length": "mm", "volume": "L"}
BOOK = {"clause": "4.1", "source": "Otter Six Hours technical rules (invented)", "checked": date(2026, 3, 1)}
CREW: tuple[dict[str, Any], ...] = (
    {"name": "Ada", "mass": 61.0, "insert_mass": 3.5, "behind_front_axle": 1.5, "left_of_centre": -0.34},
    {"name": "Bo", "mass": 84.0, "behind_front_axle": 1.52, "left_of_centre": -0.34},
    {"name": "Cleo", "mass": 70.0, "behind_front_axle": 1.51, "left_of_centre": -0.34},
    {"name": "Dov", "mass": 91.0, "behind_front_axle": 1.54, "left_of_centre": -0.34},
)
TANK = {
    "name": "tank",
    "volume": 80.0,
    "at_flag": 4.0,
    "at_flag_within": 1.0,
    "behind_front_axle": 2.35,
    "left_of_centre": 0.1,
}
FIXED = {"above_ground": 0.2, "bolts": {"count": 2, "thread": "M8", "strength": "8.8"}}
KIT = {"fixing_mass": 0.5, "changes_with_driver": True}
MOUNTS: tuple[dict[str, Any], ...] = (
    {"name": "nose tray", "behind_front_axle": -0.45, "left_of_centre": 0.0, "capacity": 25.0, "fixing_mass": 0.6},
    {"name": "floor left", "behind_front_axle": 1.2, "left_of_centre": 0.45, "capacity": 40.0, "fixing_mass": 0.8},
    {"name": "boot right", "behind_front_axle": 2.7, "left_of_centre": -0.4, "capacity": 25.0, "fixing_mass": 0.6},
    {"name": "seat box left", "behind_front_axle": 1.45, "left_of_centre": 0.1, "capacity": 20.0} | KIT,
    {"name": "seat box right", "behind_front_axle": 1.5, "left_of_centre": -0.6, "capacity": 20.0} | KIT,
)
PLATES: tuple[dict[str, Any], ...] = (
    {"name": "10 kg", "mass": 10.0, "count": 4, "mass_within": 0.05},
    {"name": "5 kg", "mass": 5.0, "count": 6, "mass_within": 0.05},
    {"name": "2 kg", "mass": 2.0, "count": 4, "mass_within": 0.05},
)
SUCCESS = BOOK | {"mass": 15.0}
DRIVER_BALLAST = BOOK | {"way": "each driver", "reference": 80.0, "rounding": "up", "step": 1.0, "on_top": True}
PASSENGER_FLOOR = {"behind_front_axle": 1.3, "left_of_centre": 0.4}
CHANGED: dict[str, Any] = {
    "units": UNITS,
    "removed": [{"name": "engine", "mass": 118.0, "behind_front_axle": 0.2, "left_of_centre": 0.0}],
    "added": [
        {"name": "new engine", "mass": 100.0, "behind_front_axle": 0.22, "left_of_centre": 0.0},
        {"name": "brake disc", "mass": 4.0, "carried_by": "RR"},
    ],
    "moved": [
        {
            "name": "battery",
            "mass": 12.0,
            "from": {"behind_front_axle": 0.5, "left_of_centre": 0.4},
            "to": {"behind_front_axle": 2.5, "left_of_centre": 0.0},
        }
    ],
}


LONG_NAMES = ("Maximiliana von Featherstone", "Bartholomew Quillfeather", "Cleo", "Dov")


@cache
def answer(name: str) -> Answer:
    """The plan of one of the questions below."""
    return plan(QUESTIONS[name])


def question(
    *,
    drivers: int = 2,
    tank: bool = True,
    kit: bool = True,
    minimum: float | None = 1130.0,
    targets: dict[str, Any] | None = None,
    wishes: dict[str, Any] | None = None,
    success: dict[str, Any] | None = None,
    driver_ballast: dict[str, Any] | None = None,
    visit: dict[str, Any] | None = None,
    changed: dict[str, Any] | None = None,
    units: dict[str, str] | None = None,
    crew: tuple[dict[str, Any], ...] = CREW,
) -> Question:
    """The car with the first so many of its drivers; weighed with the first aboard, plates in both seat boxes."""
    units = units or UNITS
    aboard = {"date": date(2026, 3, 14), "driver": "in"} | ({"seated": crew[0]["name"]} if drivers else {})
    weigh_in: dict[str, Any] = {
        "units": units,
        "weigh_in": aboard | (visit or {}),
        "readings": [
            {"LF": 280.2, "RF": 290.4, "LR": 262.8, "RR": 273.6},
            {"LF": 279.6, "RF": 290.8, "LR": 263.2, "RR": 273.4},
            {"LF": 280.0, "RF": 290.5, "LR": 263.0, "RR": 273.5},
        ],
        "fitted": [
            {"mount": "boot right", "plate": "10 kg", "count": 1},
            {"mount": "floor left", "plate": "5 kg", "count": 1},
            {"mount": "seat box left", "plate": "5 kg", "count": 2},
        ],
    }
    if tank:
        weigh_in["fuel"] = [{"volume": 20.0}]
    aims = {
        "front": {"aim": 0.515, "within": 0.006},
        "left": {"aim": 0.5, "within": 0.004},
        "diagonal": {"aim": 0.5, "within": 0.005, "corners": "LF+RR"},
    }
    car = {
        "units": units,
        "car": {"name": "Otter GT, number 61", "wheelbase": 2.6, "track_front": 1.6, "track_rear": 1.58},
        "suspension": {"front_roll_share": 0.56},
        "mounts": [FIXED | mount | ({} if kit and drivers else {"changes_with_driver": False}) for mount in MOUNTS],
        "plates": list(PLATES),
        "drivers": list(crew[:drivers]),
        "tanks": [TANK] if tank else [],
        "targets": aims if targets is None else targets,
        "margin": {"total": 2.0},
        "wishes": {"seconds": 60.0, "mass_resolution": 0.5} | (wishes or {}),
    }
    book: dict[str, Any] | None = None
    if minimum is not None:
        book = {
            "units": units,
            "rulebook": {"name": "Otter Six Hours"},
            "minimum_weight": BOOK | {"mass": minimum, "driver": "in"},
        }
        book |= {"success_ballast": success} if success else {}
        book |= {"driver_ballast": driver_ballast} if driver_ballast else {}
    return Question.model_validate({"car": car, "weigh_in": weigh_in, "rulebook": book, "changed": changed})


QUESTIONS: dict[str, Question] = {
    "plain": question(drivers=0, tank=False),
    "two drivers": question(),
    "four drivers": question(drivers=4, minimum=1135.0, wishes={"order": ["balance", "stop"]}),
    "no kit": question(kit=False),
    "no tank": question(tank=False),
    "tank alone": question(drivers=0),
    "one driver": question(drivers=1, tank=False, kit=False),
    "off target": question(targets={"front": {"aim": 0.55, "within": 0.002}}, minimum=None),
    "no way": question(minimum=1250.0),
    "changed": question(drivers=0, tank=False, changed=CHANGED),
    "changed, no way": question(drivers=0, tank=False, changed=CHANGED, minimum=1250.0),
    "everything": question(
        minimum=1100.0,
        success=SUCCESS,
        driver_ballast=DRIVER_BALLAST | PASSENGER_FLOOR,
        visit={"driver_ballast": 10.0},
        changed=CHANGED | {"placed": [{"mount": "seat box left", "plate": "5 kg", "count": 1, "driver": "Bo"}]},
        wishes={"balance_at": ["start", "flag"]},
    ),
    "free and placed": question(
        minimum=1100.0,
        tank=False,
        success=SUCCESS | PASSENGER_FLOOR,
        driver_ballast=DRIVER_BALLAST,
        visit={"success_ballast": 5.0},
    ),
    "long names in pounds": question(
        crew=tuple(driver | {"name": name} for driver, name in zip(CREW, LONG_NAMES, strict=True)),
        drivers=3,
        wishes={"order": ["balance", "stop"]},
        units={"mass": "lb", "length": "in", "volume": "US gal"},
        targets={
            "rear": {"aim": 0.485, "within": 0.005},
            "left": {"aim": 0.5, "within": 0.002},
            "rear_pair": {"aim": 3.0, "within": 4.0},
        },
    ),
}
"""Every kind of question once, by what is in it."""
