"""The question as arrays: the bare car, the mounts, the bands and their guards."""

from typing import Any

import numpy as np
import pytest

from ballast.physics.quality import repeatability
from ballast.planning.bands import Band, balance_resolution, bands
from ballast.planning.cases import Case, cases, layout, yaw_inertia
from ballast.planning.task import task
from ballast.records.question import Question
from tests.exactness.enumeration import Car
from tests.planning import tiny
from tests.planning.crews import (
    A_KILOGRAM_OF_FUEL,
    ADA,
    ADA_SITS,
    BO,
    BO_SITS,
    FOURS,
    KIT,
    WEIGHED,
    book,
    changed,
    crew_question,
)
from tests.random_cars import RULED, small_question
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
    (case,) = cases(question, room, 0.0)
    weighed = car.readings.mean(axis=0)
    assert case.bare_loads + room.loads_of(room.fitted) == pytest.approx(weighed, abs=1e-9)
    assert case.bare_loads + car.added(car.fitted[None])[0] == pytest.approx(weighed, abs=1e-9)


def test_the_bare_car_by_hand() -> None:
    """20 kg off the boot, a tenth of a wheelbase behind the axle and 0.5 m right of the middle, stiffness shared.

    Lengthwise: -0.1 x 20 in front, 1.1 x 20 behind, halved. Sideways: 20 x 0.5 / 1.5 x 1/2 = 3.3333 kg on each axle.
    """
    question = hand_written()
    (case,) = cases(question, layout(question), 0.0)
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
    assert room.weighed.tolist() == room.fitted.tolist() == [[0, 0], [0, 0], [2, 0]]
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
    assert yaw_inertia(room, cases(question, room, 0.0)) == pytest.approx([3.0625, 0.3125, 2.5])


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


# --- crews and fuel --------------------------------------------------------------------------------------------------

LITRES = {"start": 64.0, "balance": 36.0, "flag": 4.0}
"""In the tank of the tiny crew car; 20 L at the weigh-in, and a litre is 0.75 kg."""


def of_the_crew(**tables: Any) -> tuple[Case, ...]:
    """The states of the tiny crew car."""
    question = crew_question(**tables)
    return cases(question, layout(question), 0.0)


def test_every_driver_at_every_point_the_balance_first() -> None:
    """Ada and Bo, each where the balance is asked for, and then at the start and at the flag."""
    found = of_the_crew()
    assert [case.name for case in found] == [
        f"{name}, {point}" for name in ("Ada", "Bo") for point in ("balance point", "start", "flag")
    ]
    assert [(case.legal, case.balance) for case in found] == 2 * [(False, True), (False, False), (True, False)]
    assert [case.crew for case in found] == [0, 0, 0, 1, 1, 1]


def test_points_in_the_order_the_wishes_ask() -> None:
    """Flag and start asked for, in that order: they come first, and the balance point is there to be seen."""
    found = of_the_crew(car={"wishes": {"balance_at": ["flag", "start"]}, "drivers": [BO]})
    assert [case.name for case in found] == ["Bo, flag", "Bo, start", "Bo, balance point"]
    assert [(case.legal, case.balance) for case in found] == [(True, True), (False, True), (False, False)]


def test_a_crew_without_tanks_and_tanks_without_a_crew() -> None:
    """A driver alone is the state; without drivers it is the point of the stint, with whoever sat there."""
    found = of_the_crew(car={"tanks": []}, weigh_in={"fuel": []})
    assert [(case.name, case.legal, case.balance) for case in found] == [("Ada", True, True), ("Bo", True, True)]
    alone = {"drivers": [], "mounts": tiny.CAR["mounts"]}
    visit = {"weigh_in": tiny.WEIGH_IN["weigh_in"] | {"driver": "in"}}
    burnt = of_the_crew(car=alone, weigh_in=visit)
    assert [case.name for case in burnt] == ["balance point", "start", "flag"]
    for case in burnt:
        fuel = 0.75 * (LITRES[case.fuel or ""] - 20)
        assert case.bare_loads == pytest.approx(WEIGHED - FOURS + fuel * A_KILOGRAM_OF_FUEL)


def test_bare_loads_of_a_crew_by_hand() -> None:
    """Weighed with Bo and 15 kg of fuel: two fours off, Bo out and Ada in, and so much of the fuel gone or put in.

    Ada at the flag: 195, 194, 187, 184 kg, worked out on paper.
    """
    found = of_the_crew()
    for case in found:
        sits = ADA_SITS if case.name.startswith("Ada") else BO_SITS
        fuel = 0.75 * (LITRES[case.fuel or ""] - 20)
        assert case.bare_loads == pytest.approx(WEIGHED - FOURS - BO_SITS + sits + fuel * A_KILOGRAM_OF_FUEL)
    assert found[2].bare_loads == pytest.approx([195.0, 194.0, 187.0, 184.0])


def test_the_nominal_total_of_every_case() -> None:
    """784 kg asked for at the flag: Ada is 24 kg short of it there and Bo 12, and so each is taken to be all the time.

    Bare totals: Ada 760 kg at the flag, 784 at the balance point, 805 at the start; Bo 12 kg more.
    """
    found = of_the_crew()
    assert [case.required for case in found] == [0.0, 0.0, 784.0] * 2
    assert [float(case.bare_loads.sum()) for case in found] == pytest.approx([784, 805, 760, 796, 817, 772])
    assert [case.nominal for case in found] == pytest.approx([784 + 24, 805 + 24, 784, 796 + 12, 817 + 12, 784])


def test_the_nominal_total_with_one_set_of_plates() -> None:
    """Without a kit mount the plates that Ada lacks are aboard with Bo as well; a car heavy enough lacks none."""
    found = of_the_crew(car={"mounts": tiny.CAR["mounts"]})
    assert [case.crew for case in found] == [0] * 6
    assert [case.nominal for case in found] == pytest.approx([808, 829, 784, 820, 841, 796])
    heavy = of_the_crew(car={"targets": {"total": 700.0}})
    assert [case.nominal for case in heavy] == pytest.approx([784, 805, 760, 796, 817, 772])


@pytest.mark.parametrize(("crew", "parts"), [("worst", (1 / 4, 1 / 4)), ("by driving time", (3 / 8, 1 / 8))])
def test_weights_of_the_balance_cases(crew: str, parts: tuple[float, float]) -> None:
    """Ada drives three hours and Bo one, each at two points that count; what does not count has no part."""
    found = of_the_crew(car={"wishes": {"crew": crew, "balance_at": ["balance", "flag"]}})
    ada, bo = parts
    assert [case.weight for case in found] == pytest.approx([ada, ada, 0, bo, bo, 0])


def test_a_kit_mount_has_a_row_for_each_driver() -> None:
    """Nose and seat are everybody's, the sill is Ada's and then Bo's; with Ada aboard Bo's row is not."""
    room = layout(crew_question())
    assert room.mounts == ("nose", "seat", "sill", "sill")
    assert room.drivers == (None, None, "Ada", "Bo")
    assert room.aboard.tolist() == [[1, 1, 1, 0], [1, 1, 0, 1]]
    plain = layout(crew_question(car={"mounts": tiny.CAR["mounts"]}))
    assert (plain.drivers, plain.aboard.tolist()) == ((None, None), [[1, 1]])


def test_what_a_set_puts_on_the_corners() -> None:
    """An eight and 1 kg of hardware on Ada's sill are aboard with her alone: 9 kg midway, 0.5 m to the right.

    By hand: 2.25 on every corner, 9 x 0.5 x 3/4 = 3.375 across in front and 1.125 behind.
    """
    room = layout(crew_question())
    counts = np.array([[0.0, 0], [0, 0], [1, 0], [0, 0]])
    assert room.loads_of(counts, 0) == pytest.approx([2.25 - 3.375, 2.25 + 3.375, 2.25 - 1.125, 2.25 + 1.125])
    assert room.loads_of(counts, 1) == pytest.approx([0.0] * 4)


def test_plates_of_a_kit_mount_at_the_weigh_in_and_now() -> None:
    """One eight was there with Bo; since then Ada has two fours there for herself, and everybody one eight less."""
    fitted = [*tiny.WEIGH_IN["fitted"], {"mount": "sill", "plate": "eight", "count": 1, "stay": 0}]
    placed = [
        {"mount": "sill", "plate": "four", "count": 2, "driver": "Ada"},
        {"mount": "sill", "plate": "eight", "count": 0},
        {"mount": "nose", "plate": "eight", "count": 1},
    ]
    room = layout(crew_question(weigh_in={"fitted": fitted}, changed=changed(placed=placed)))
    assert room.weighed.tolist() == [[0, 0], [0, 2], [1, 0], [1, 0]]
    assert room.fitted.tolist() == [[1, 0], [0, 2], [0, 2], [0, 0]]


def test_plates_moved_by_hand_do_not_change_the_bare_car() -> None:
    """The bare car is what was weighed less what was fitted then, whatever stands there now."""
    placed = [{"mount": "seat", "plate": "four", "count": 0}]
    for one, other in zip(of_the_crew(), of_the_crew(changed=changed(placed=placed)), strict=True):
        assert one.bare_loads == pytest.approx(other.bare_loads)


def test_changed_parts_are_on_the_bare_car() -> None:
    """3 kg at the right rear wheel are there in every state, and nowhere else."""
    added = [{"name": "brake", "mass": 3.0, "carried_by": "RR"}]
    for one, other in zip(of_the_crew(), of_the_crew(changed=changed(added=added)), strict=True):
        assert other.bare_loads - one.bare_loads == pytest.approx([0, 0, 0, 3.0])


def test_ballast_by_rule_is_on_the_bare_car() -> None:
    """Each driver against 82 kg, at the tank: Ada's 18 kg and Bo's 2 kg are aboard, and the minimum rises by them."""
    here = {"behind_front_axle": 1.5, "left_of_centre": -0.25}
    light = RULED | {"way": "each driver", "reference": 82.0, "rounding": "none", "on_top": True}
    rulebook = book(minimum_weight=RULED | {"mass": 784.0, "driver": "in"}, driver_ballast=light | here)
    plain = of_the_crew(car={"margin": {"uncertainties": 0.0}})
    for one, other in zip(plain, of_the_crew(car={"margin": {"uncertainties": 0.0}}, rulebook=rulebook), strict=True):
        carried = 18.0 if one.name.startswith("Ada") else 2.0
        assert other.bare_loads - one.bare_loads == pytest.approx(carried * A_KILOGRAM_OF_FUEL)
        if one.legal:
            assert other.required == pytest.approx(784.0 + carried)


def test_the_tightest_requirement_comes_first() -> None:
    """Both are asked for 784 kg at the flag, and Ada lacks more of it, in whatever order they are named."""
    for crew in ([ADA, BO], [BO, ADA]):
        found = task(crew_question(car={"drivers": crew}))
        assert [needs.case for needs in found.requirements] == ["Ada, flag", "Bo, flag"]
        assert found.required == pytest.approx(784.0)


def test_yaw_inertia_is_the_mean_over_the_sets() -> None:
    """A kilogram on the sill is aboard half of the time, one on the nose all the time."""
    question = crew_question(car={"mounts": [*tiny.CAR["mounts"], KIT]})
    room, found = layout(question), cases(question, layout(question), 0.0)
    square = []
    for case in (found[0], found[3]):
        lf, rf, lr, rr = case.bare_loads
        total = lf + rf + lr + rr
        aft, left = 2.0 * (lr + rr) / total, (lf + lr - rf - rr) / 2 / total
        square.append([(x - aft) ** 2 + (y - left) ** 2 for x, y in ((-0.5, 0.0), (1.5, 0.25), (1.0, -0.5))])
    (nose, seat, sill), (nose_too, seat_too, sill_too) = square
    expected = [(nose + nose_too) / 2, (seat + seat_too) / 2, sill / 2, sill_too / 2]
    assert yaw_inertia(room, found) == pytest.approx(expected)
