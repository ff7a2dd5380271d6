"""The height of the centre of gravity from a raised axle: textbook forms, exact cases, and printed ones that cannot be.

REF-B2  R. N. Jazar, Vehicle Dynamics: Theory and Application, 2008, chapter 2, equation 2.32: with equal loaded radii,
        h = r + (F L / W - b) / tan(theta), b ahead of the rear axle; sin(theta) = H / L; for unequal radii r is
        replaced by Rf b / L + Rr a / L, right to second order.
REF-B3  worked out apart from the program: W 1,000 kg, L 2.500 m, a 1.100 m, r 0.300 m, rear raised 0.500 m, h 0.4500 m:
        front 572.24745 kg, 11.53696 degrees.
REF-B4  the same with Rf 0.300, Rr 0.320 m, by turning the rigid car about its front wheel centres: raised 0.250 m,
        front 565.68333 kg, 5.74148 degrees; raised 0.500 m, 571.55754 kg, 11.54643 degrees.
REF-I   printed examples that do not hold together: Jazar 2008, example 43, page 44 (its inputs give 187.6 cm, and
        34 cm is printed), and a formula site's car of 55 kg with 150 kg on its front axle.
"""

import math
from datetime import date
from typing import Any

import numpy as np
import pytest

from ballast.errors import InputError
from ballast.jobs.height import height as job
from ballast.physics.height import Lifted, angles, each_alone, line, loads_at
from ballast.records import lifts as lifts_records
from ballast.records.car import Car
from ballast.records.lifts import Lifts

GRAVITY = 9.81
"""As the textbook rounds it. [m/s2]"""
B3 = Lifted(2.5, 0.3, 0.3, 1000.0, 560.0, [0.5], [572.24745])
B4 = Lifted(2.5, 0.3, 0.32, 1000.0, 560.0, [0.25, 0.5], [565.68333, 571.55754])


def test_one_lift_of_a_car_with_equal_wheels() -> None:
    """REF-B3: 0.4500 m and 11.53696 degrees."""
    assert each_alone(B3) == pytest.approx([0.45], abs=1e-6)
    assert line(B3).height == pytest.approx(0.45, abs=1e-6)
    assert np.degrees(angles(B3)) == pytest.approx([11.53696], abs=1e-5)


def test_the_textbook_form_gives_the_same() -> None:
    """REF-B2, equation 2.32 written out: r + (F L / W - b) / tan(theta)."""
    theta = math.asin(0.5 / 2.5)
    textbook = 0.3 + (572.24745 * 2.5 / 1000 - 1.4) / math.tan(theta)
    assert each_alone(B3) == pytest.approx([textbook], abs=1e-9)


def test_the_front_axle_may_be_raised_instead() -> None:
    """REF-B2: front and rear exchanged, a and b with them: 2.32 with the rear scales and a = 1.100 m ahead of them."""
    theta = math.asin(0.4 / 2.5)
    rear = 1000 * (1.1 + (0.45 - 0.3) * math.tan(theta)) / 2.5
    assert each_alone(Lifted(2.5, 0.3, 0.3, 1000.0, 440.0, [0.4], [rear])) == pytest.approx([0.45], abs=1e-12)


def test_unequal_wheels_exactly() -> None:
    """REF-B4: 0.45 m from both lifts, at the printed angles, within 1e-5 m; and the loads from the height."""
    assert each_alone(B4) == pytest.approx([0.45, 0.45], abs=1e-5)
    assert line(B4).height == pytest.approx(0.45, abs=1e-5)
    assert np.degrees(angles(B4)) == pytest.approx([5.74148, 11.54643], abs=1e-5)
    assert loads_at(B4, 0.45) == pytest.approx([565.68333, 571.55754], abs=1e-5)


def test_the_interpolated_radius_is_within_a_millimetre() -> None:
    """REF-B4: the form of REF-B2 with Rf b / L + Rr a / L gives 0.45023 m at 0.500 m, within 1 mm of the exact one."""
    radius = 0.3 * 1.4 / 2.5 + 0.32 * 1.1 / 2.5
    simple = radius + (571.55754 * 2.5 / 1000 - 1.4) / math.tan(math.radians(11.54643))
    assert simple == pytest.approx(0.45023, abs=1e-5)
    assert abs(float(each_alone(B4)[1]) - simple) < 1e-3


def test_sine_and_not_tangent() -> None:
    """REF-B2: taking H / L for the tangent would overstate h - r by 0.75 % at 7 degrees and 3.5 % at 15 degrees."""
    for degrees, percent in ((7, 0.75), (15, 3.5)):
        turned = float(
            angles(Lifted(2.5, 0.3, 0.3, 1000.0, 560.0, [2.5 * math.sin(math.radians(degrees))], [570.0]))[0]
        )
        assert math.degrees(turned) == pytest.approx(degrees, abs=1e-9)
        assert 100 * (math.tan(turned) / math.sin(turned) - 1) == pytest.approx(percent, abs=0.05)


def _asked(
    wheelbase: float, radius: float, level: float, total: float, height: float, load: float
) -> tuple[Car, Lifts]:
    """A car and its lifts in kg and m, the rear axle raised once."""
    car = Car.model_validate(
        {
            "units": {"mass": "kg", "length": "m"},
            "car": {"name": "printed", "wheelbase": wheelbase, "track_front": 1.5, "track_rear": 1.5},
            "mounts": [{"name": "floor", "behind_front_axle": 1.0, "left_of_centre": 0.0, "capacity": 20.0}],
            "plates": [{"name": "5 kg", "mass": 5.0, "count": 4}],
        }
    )
    lifts: dict[str, Any] = {
        "units": {"mass": "kg", "length": "m"},
        "lifts": {"date": date(2026, 3, 7), "raised_axle": "rear", "radius_front": radius, "radius_rear": radius},
        "level": {"axle_load": level, "total": total},
        "raised": [{"height": height, "axle_load": load}],
    }
    return car, Lifts.model_validate(lifts)


def test_the_textbook_example_that_contradicts_itself_is_refused() -> None:
    """REF-I, example 43: 2,000 kg, front axle 18,000 N at 30 degrees, a1 110 cm, wheelbase 230 cm, R 30 cm."""
    load, level = 18_000 / GRAVITY, 2_000 * (1 - 1.10 / 2.30)
    raised = 2.30 * math.sin(math.radians(30))
    alone = each_alone(Lifted(2.30, 0.30, 0.30, 2_000.0, level, [raised], [load]))
    assert alone == pytest.approx([1.876], abs=1e-3), "187.6 cm, as worked out in REF-I"
    with pytest.raises(InputError, match=r"centre of gravity 1\.876 m above the ground"):
        job(*_asked(2.30, 0.30, level, 2_000.0, raised, load))


def test_that_example_with_the_load_its_answer_needs_is_answered() -> None:
    """REF-I: a front load of 10,434 N would give the printed 34 cm."""
    level = 2_000 * (1 - 1.10 / 2.30)
    measured = job(*_asked(2.30, 0.30, level, 2_000.0, 1.15, 10_434 / GRAVITY))
    assert measured.centre_of_gravity_height == pytest.approx(0.34, abs=2e-3)


def test_the_formula_sites_example_is_refused() -> None:
    """REF-I: mass 55 kg, centre 30 in from the rear axle, wheelbase 2.7 m, front load 150 kg, tilt 10 degrees."""
    level = 55 * 30 * 0.0254 / 2.7
    _, lifts = _asked(2.7, 0.3, level, 55.0, 2.7 * math.sin(math.radians(10)), 150.0)
    (complaint,) = lifts_records.complaints(lifts)
    assert "is not less than the total of the car, 55 kg" in complaint.what
    assert (complaint.where, complaint.value) == ("[[raised]] 1 axle_load", "150")
    assert complaint.fix
