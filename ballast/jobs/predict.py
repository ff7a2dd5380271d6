"""What changes made by hand will do, before the car is weighed again."""

from ballast.corners import CORNERS
from ballast.errors import Complaint, InputError
from ballast.jobs.crew import height_standing
from ballast.jobs.foresight import springs_behind, uncertain_with, with_other_springs
from ballast.jobs.pads import sound
from ballast.jobs.standing import case_loads
from ballast.jobs.weigh import repeat
from ballast.physics.statics import Array
from ballast.planning.cases import bare_weighed, layout, loads_from
from ballast.planning.states import changed_parts
from ballast.planning.task import readings
from ballast.records.predicted import Predicted
from ballast.records.question import Question
from ballast.scrutineering.inspection import inspect_predicted


def predict(question: Question) -> Predicted:
    """Loads and percentages with the parts and plates of the file of changes, in the state of the weigh-in.

    Raises InputError when a wheel would hang free, and DisagreementError when the scrutineer's sums are others.
    """
    question = sound(question)
    car, room = question.car, layout(question)
    seated = question.seated
    crew = [driver.name for driver in car.drivers].index(seated.name) if seated and len(room.aboard) > 1 else 0
    height = car.chassis.centre_of_gravity_height
    since = changed_parts(question)
    after = bare_weighed(question, room) + room.loads_of(room.fitted, crew) + loads_from(room, since)
    _on_the_ground(question, after)
    found = Predicted(
        units=car.units,
        car=car.chassis.name,
        before=case_loads("as weighed", car, readings(question).mean(axis=0), height),
        after=case_loads(
            "after the changes",
            car,
            after,
            height_standing(question, room, crew, since, room.fitted),
        ),
        uncertain=uncertain_with(question, room, crew, since, after),
        kit_of=car.drivers[crew].name if len(room.aboard) > 1 else None,
        roll_share=springs_behind(question, room),
        range=with_other_springs(question, room, crew, room.fitted, since, after),
        repeat=repeat(question.weigh_in),
    )
    return found.replace(findings=inspect_predicted(question, found))


def _on_the_ground(question: Question, loads: Array) -> None:
    """Raise InputError where a wheel would carry nothing: no car stands so, a number is wrong. loads : (4,). [kg]"""
    units = question.car.units.units()
    hanging = [(corner, float(load)) for corner, load in zip(CORNERS, loads, strict=True) if load <= 0]
    if hanging:
        shown = ", ".join(f"{corner} {units.outside(load, 'mass'):.1f} {units.mass}" for corner, load in hanging)
        raise InputError(
            [
                Complaint(
                    f"would leave nothing on a wheel ({shown}, by sums)",
                    "check the masses and places in it, and that its [units] are what they were written in.",
                    file="the file of changes",
                )
            ]
        )
