"""The question as arrays: the bare car, the mounts, the bands and their guards."""

from typing import Any

import numpy as np
import pytest

from ballast.physics.quality import repeatability
from ballast.planning.cases import Band, balance_resolution, bands, cases, layout, yaw_inertia
from ballast.records.question import Question
from tests.exactness.enumeration import Car
from tests.random_cars import small_question
from tests.scrutineering.standing import CAR, WEIGH_IN, hand_written

STUDENT_3 = 4.30
"""Student's factor, 95 %, three settlings: JCGM 100:2008, table G.2; physics.md section 7."""
SPREAD = 0.01 / 3**0.5
"""Standard uncertainty of the mean of 0.49, 0.50, 0.51: sample standard deviation 0.01 over the root of three."""


@pytest.mark.parametrize("seed", range(30))
def test_fitted_plates_put_back_give_the_weighed_loads(seed: int) -> None:
    """The bare car and what was fitted are the mean of the settlings, whoever adds the plates up."""
    question = small_question(seed)
    room, car = layout(question), Car(question)
    (case,) = cases(question, room)
    weighed = car.readings.mean(axis=0)
    assert case.bare_loads + room.loads_of(room.fitted) == pytest.approx(weighed, abs=1e-9)
    assert case.bare_loads + car.added(car.fitted[None])[0] == pytest.approx(weighed, abs=1e-9)


def test_the_bare_car_by_hand() -> None:
    """20 kg off the boot, a tenth of a wheelbase behind the axle and 0.5 m right of the middle, stiffness shared.

    Lengthwise: -0.1 x 20 in front, 1.1 x 20 behind, halved. Sideways: 20 x 0.5 / 1.5 x 1/2 = 3.3333 kg on each axle.
    """
    question = hand_written()
    (case,) = cases(question, layout(question))
    off = np.array([-1.0 - 10 / 3, -1.0 + 10 / 3, 11.0 - 10 / 3, 11.0 + 10 / 3])
    assert case.bare_loads == pytest.approx(255.0 - off)
    assert case.legal
    assert case.balance


def test_the_arrays_by_hand() -> None:
    """What each mount may carry, takes, holds already and must keep, in the order of the car file."""
    room = layout(hand_written())
    assert room.mounts == ("nose", "seat", "boot")
    assert room.plates == ("ten", "five")
    assert room.accepts.tolist() == [[1, 1], [1, 1], [1, 0]]
    assert room.fitted.tolist() == [[0, 0], [0, 0], [2, 0]]
    assert room.staying.tolist() == [[0, 0], [0, 0], [1, 0]]
    assert room.capacity.tolist() == [20, 40, 30]
    assert room.fixing.tolist() == [1, 0, 0]
    assert room.stack.tolist() == [0.06, np.inf, np.inf]
    assert room.pieces.tolist() == [np.inf, 3, np.inf]
    assert room.undersides is None


def test_mass_and_hardware_at_the_mounts() -> None:
    """Hardware is there with a plate, gone without: 10 + 5 + 1 kg at the nose, 15 on the seat, none in the boot."""
    room = layout(hand_written())
    assert room.ballast(np.array([[1.0, 1], [0, 3], [0, 0]])).tolist() == [16.0, 15.0, 0.0]


def test_the_most_a_mount_can_carry() -> None:
    """Nose: 20 kg capacity before 20 kg of stack and 1 of hardware. Seat: three tens. Boot: 30 kg before four tens."""
    assert layout(hand_written()).most() == pytest.approx([20.0, 30.0, 30.0])


def test_the_most_of_a_mount_that_takes_no_flat_plate() -> None:
    """A plate without a thickness that a mount does not take is no reason to stumble over infinity times nothing."""
    plates = [*CAR["plates"], {"name": "odd", "mass": 2.0, "count": 1}]
    nose = CAR["mounts"][0] | {"takes": ["ten", "five"]}
    car = CAR | {"plates": plates, "mounts": [nose, *CAR["mounts"][1:]]}
    question = Question.model_validate({"car": car, "weigh_in": WEIGH_IN})
    assert layout(question).most() == pytest.approx([20.0, 30.0, 30.0])


def test_yaw_inertia_of_a_kilogram_at_each_mount() -> None:
    """Squared distances from the middle of four equal corners, 1.25 m behind the axle: 1.75^2, 0.25^2 + 0.5^2, ..."""
    question = hand_written().replace(
        weigh_in=hand_written().weigh_in.replace(
            readings=({"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0},), fitted=()
        )
    )
    room = layout(question)
    assert yaw_inertia(room, cases(question, room)[0]) == pytest.approx([3.0625, 0.3125, 2.5])


def banded(targets: dict[str, Any], front: tuple[float, ...] = (0.49, 0.50, 0.51), **wishes: Any) -> list[Band]:
    """Bands of a car of 1000 kg with these front shares at its settlings, left and right alike."""
    readings = [{"LF": 500 * f, "RF": 500 * f, "LR": 500 * (1 - f), "RR": 500 * (1 - f)} for f in front]
    car = CAR | {"targets": targets, "wishes": wishes}
    question = Question.model_validate({"car": car, "weigh_in": WEIGH_IN | {"readings": readings}})
    loads = [[row[corner] for corner in ("LF", "RF", "LR", "RR")] for row in readings]
    return list(bands(question, repeatability(loads)))


def test_a_guard_is_students_factor_times_the_uncertainty() -> None:
    """Three settlings a point apart: 4.30 x 0.01 / sqrt 3 = 2.483 points, and 0.05 points of resolution on top."""
    (band,) = banded({"front": {"aim": 0.5, "within": 0.06}})
    assert band.guard == pytest.approx(STUDENT_3 * SPREAD + 0.0005)
    assert band.guard == pytest.approx(0.02533, abs=5e-6)


def test_a_guard_is_at_most_half_of_within() -> None:
    """Half of within is left to plan in, however badly the car repeats."""
    (band,) = banded({"front": {"aim": 0.5, "within": 0.04}})
    assert band.guard == pytest.approx(0.02)


def test_a_guard_is_at_least_the_balance_resolution() -> None:
    """Settlings that agree to the last digit do not make a plan on the very edge of its band a good one."""
    (band,) = banded({"front": {"aim": 0.5, "within": 0.04}}, front=(0.5, 0.5, 0.5))
    assert band.guard == pytest.approx(0.0005)


def test_half_of_within_goes_before_the_least_guard() -> None:
    """A band barely wider than the resolution keeps half of itself."""
    (band,) = banded({"front": {"aim": 0.5, "within": 0.0006}}, front=(0.5, 0.5, 0.5))
    assert band.guard == pytest.approx(0.0003)


@pytest.mark.parametrize(("factor", "guard"), [(1.0, SPREAD + 0.0005), (2.0, 2 * SPREAD + 0.0005), (0.0, 0.0005)])
def test_the_user_may_set_the_factor(factor: float, guard: float) -> None:
    """A factor in the wishes replaces Student's; with none at all the least guard remains."""
    (band,) = banded({"rear": {"aim": 0.5, "within": 0.06}}, guard_factor=factor)
    assert band.guard == pytest.approx(guard)


def test_the_guard_of_the_rear_pair_is_a_mass() -> None:
    """LR = RR at every settling, so nothing is uncertain, and the least guard is 0.05 points of 1000 kg, 0.5 kg."""
    (band,) = banded({"rear_pair": {"aim": 2.0, "within": 4.0}})
    assert (band.is_mass, band.aim_mass, band.half_width) == (True, 2.0, 4.0)
    assert band.guard == pytest.approx(0.5)


def test_every_target_has_its_band() -> None:
    """Front, left and a diagonal by its corners, with aim, width and weight as given; platforms are not for ballast."""
    aim = {"aim": 0.5, "within": 0.02}
    found = banded(
        {"front": aim | {"weight": 2.0}, "left": aim, "diagonal": aim | {"corners": "LF+RR", "by": "platforms"}}
    )
    assert [(band.figure, band.weight, band.by_ballast) for band in found] == [
        ("front", 2.0, True),
        ("left", 1.0, True),
        ("LF+RR", 1.0, False),
    ]
    assert [band.corners.tolist() for band in found] == [[1, 1, 0, 0], [1, 0, 1, 0], [1, 0, 0, 1]]


def test_distance_and_miss_by_hand() -> None:
    """530 kg of 1000 in front where half is wanted within 2 points, 0.5 of guard: 30 kg away, 1.5 points outside."""
    band = Band("front", np.array([1.0, 1, 0, 0]), 0.5, 0.0, 0.02, 0.005, 1.0, False, True)
    loads = np.array([265.0, 265, 235, 235])
    assert float(band.distance(loads)) == pytest.approx(30.0)
    assert band.narrowed(1000.0) == pytest.approx(15.0)
    assert band.miss(loads) == pytest.approx(0.015)


def test_the_miss_of_a_rear_pair_is_in_points_of_the_total() -> None:
    """LR - RR of 12 kg where 2 +- 4 is wanted, 1 of guard: 7 kg outside, 0.7 points of 1000 kg."""
    band = Band("rear pair", np.array([0.0, 0, 1, -1]), 0.0, 2.0, 4.0, 1.0, 1.0, True, True)
    loads = np.array([250.0, 250, 256, 244])
    assert float(band.distance(loads)) == pytest.approx(10.0)
    assert band.miss(loads) == pytest.approx(0.007)


@pytest.mark.parametrize(
    ("asked", "spread", "used"),
    [(0.0005, 0.0002, 0.0005), (0.0001, 0.0002, 0.0002), (0.0001, 0.01, 0.0005), (0.001, 0.01, 0.001)],
)
def test_the_resolution_is_no_finer_than_the_weighing_can_tell(asked: float, spread: float, used: float) -> None:
    """As asked for, but no finer than the best repeated percentage, and that counts for at most 0.05 points."""
    repeat = repeatability([[250.0] * 4] * 3)
    told = type(repeat)(**(vars(repeat) | {"front": spread, "left": spread, "diagonal": 2 * spread}))
    wishes = hand_written(balance_resolution=asked).wishes
    assert balance_resolution(wishes, told) == pytest.approx(used)
