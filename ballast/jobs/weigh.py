"""What the scales say."""

import numpy as np

from ballast.jobs.standing import both_diagonals, case_loads
from ballast.physics import quality
from ballast.physics.statics import (
    diagonal_share,
    equal_front_diagonal,
    front_share,
    left_share,
    same_front_share_diagonal,
)
from ballast.records.question import Question
from ballast.records.weighed import DiagonalAims, Repeat, Spread, Weighed
from ballast.records.weighing import WeighIn
from ballast.scrutineering.inspection import inspect_weighed


def weigh(question: Question) -> Weighed:
    """Mean of the settlings, their spread, and the aims that compete for the diagonal; in the car file's units."""
    car = question.car
    readings = np.array([reading.in_order() for reading in question.weigh_in.readings])
    measured = case_loads("as weighed", car.chassis, readings.mean(axis=0), car.chassis.centre_of_gravity_height)
    front, left = measured.front_percent, measured.left_percent
    return Weighed(
        units=car.units,
        car=car.chassis.name,
        measured=measured,
        settlings=tuple(
            case_loads(f"settling {number}", car.chassis, loads, car.chassis.centre_of_gravity_height)
            for number, loads in enumerate(readings, start=1)
        ),
        spread=Spread(
            total=float(np.ptp(readings.sum(axis=1))),
            front_percent=float(np.ptp(front_share(readings))),
            left_percent=float(np.ptp(left_share(readings))),
            diagonal_percent=float(np.ptp(diagonal_share(readings, "RF+LR"))),
        ),
        repeat=repeat(question.weigh_in),
        diagonal_aims=DiagonalAims(
            half=both_diagonals(0.5),
            same_front_share=both_diagonals(1 - same_front_share_diagonal(front, left)),
            equal_front_wheels=both_diagonals(1 - equal_front_diagonal(left)),
        ),
        findings=inspect_weighed(question) if question.rulebook else (),
    )


def repeat(weigh_in: WeighIn) -> Repeat:
    """How well the total and the percentages of a weigh-in repeat."""
    found = quality.repeatability([reading.in_order() for reading in weigh_in.readings])
    return Repeat(
        settlings=found.settlings,
        assumed=found.assumed,
        factor=found.factor,
        total=found.total,
        front_percent=found.front,
        left_percent=found.left,
        diagonal_percent=found.diagonal,
        rear_pair=found.rear_pair,
    )
