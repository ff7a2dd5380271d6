"""What a bolt resists in shear and in tension, and both together.

Source: EN 1993-1-8, Design of joints, tables 3.1 and 3.4, gamma_M2 = 1.25, read in several reproductions (REF-D4); the
M20 case is a worksheet on a document-sharing site (its bearing figures are wrong and not used). REF-D5 for the force.

    shear, plane in the thread   alpha_v fub As / 1.25     alpha_v 0.6 for 4.6, 5.6, 8.8; 0.5 for 10.9, 4.8, 5.8, 6.8
    shear, plane in the shank    0.6 fub A / 1.25          A the gross area
    tension                      k2 fub As / 1.25          k2 0.9, countersunk 0.63
    together                     Fv/FvRd + Ft/(1.4 FtRd) <= 1 and Ft <= FtRd

    M20 4.6, As 245 mm2          0.6 x 400 x 245 / 1.25 = 47.04 kN      0.9 x 400 x 245 / 1.25 = 70.56 kN
    10 kg at 25 g                10 x 25 x 9.80665 = 2,451.66 N
    20 kg at 25 g on two M6 8.8  20 x 25 x 9.80665 / 2 / 7,718 = 0.32 in shear
"""

from math import pi

import pytest

from ballast.physics.fixings import (
    COUNTERSUNK_FACTOR,
    HEAD_FACTOR,
    PARTIAL_FACTOR,
    SHANK_FACTOR,
    NotCoveredError,
    Resistance,
    bolt_resistance,
    design_resistance,
    mount_loadings,
    strength_named,
    thread_named,
    utilisation,
)

M20_AREA = 245e-6
"""As the worksheet has it. [m2]"""
TEN_NEWTON = 10.0
"""The M20 case is printed to 0.01 kN. [N]"""
AREA_ROUNDED = 2.5e-3
"""The other resistances start from areas rounded to three figures: 0.1 % at M6. Relative. [-]"""
ROUNDING = 1e-12
"""Relative. [-]"""


def test_factors() -> None:
    """VERIFIED: gamma_M2 1.25; 0.6 on the shank; k2 0.9, or 0.63 countersunk."""
    assert (PARTIAL_FACTOR, SHANK_FACTOR, HEAD_FACTOR, COUNTERSUNK_FACTOR) == (1.25, 0.6, 0.9, 0.63)


@pytest.mark.parametrize(("name", "fub"), [("4.6", 400), ("5.6", 500), ("8.8", 800), ("10.9", 1_000)])
def test_nominal_strengths(name: str, fub: float) -> None:
    """VERIFIED for 4.6, 8.8 and 10.9, MEMORY of table 3.1 for 5.6: nominal fub in MPa."""
    assert strength_named(name).tensile == pytest.approx(fub * 1e6, rel=ROUNDING)


@pytest.mark.parametrize(("name", "fub"), [("4.8", 400), ("5.8", 500), ("6.8", 600)])
def test_classes_of_the_lower_factor(name: str, fub: float) -> None:
    """MEMORY of tables 3.1 and 3.4: nominal fub in MPa, and 0.5 when the plane passes through the thread."""
    assert strength_named(name).tensile == pytest.approx(fub * 1e6, rel=ROUNDING)
    assert strength_named(name).thread_factor == 0.5


@pytest.mark.parametrize(("name", "alpha"), [("4.6", 0.6), ("5.6", 0.6), ("8.8", 0.6), ("10.9", 0.5)])
def test_shear_factor_in_the_thread(name: str, alpha: float) -> None:
    """VERIFIED: 0.6 for 4.6, 5.6 and 8.8, but 0.5 for 10.9."""
    assert strength_named(name).thread_factor == alpha


def test_m20_from_its_area() -> None:
    """VERIFIED: class 4.6 with 245 mm2 resists 47.04 kN in shear and 70.56 kN in tension."""
    kind = strength_named("4.6")
    shear = design_resistance(kind.thread_factor, kind.tensile, M20_AREA)
    assert shear == pytest.approx(47_040, abs=TEN_NEWTON)
    assert design_resistance(HEAD_FACTOR, kind.tensile, M20_AREA) == pytest.approx(70_560, abs=TEN_NEWTON)


def test_m20_by_name() -> None:
    """VERIFIED: by name the same case comes within the rounding of its area, 244.79 against 245 mm2."""
    assert thread_named("M20").stress_area == pytest.approx(M20_AREA, rel=1e-3)
    bolt = bolt_resistance("M20", "4.6")
    assert (bolt.shear, bolt.tension) == pytest.approx((47_040, 70_560), rel=1e-3)


@pytest.mark.parametrize(
    ("thread", "strength", "shear", "tension"),
    [
        ("M6", "8.8", 7_718, 11_578),
        ("M8", "8.8", 14_054, 21_082),
        ("M10", "8.8", 22_272, 33_408),
        ("M8", "10.9", 14_640, 26_352),
    ],
)
def test_bolts_that_hold_ballast(thread: str, strength: str, shear: float, tension: float) -> None:
    """DERIVED by the same rules from the printed areas: resistances with the plane in the thread, in N."""
    bolt = bolt_resistance(thread, strength)
    assert (bolt.shear, bolt.tension) == pytest.approx((shear, tension), rel=AREA_ROUNDED)


def test_a_stronger_class_hardly_helps_in_shear() -> None:
    """DERIVED: from 8.8 to 10.9 shear rises by 0.5 x 1,000 / (0.6 x 800) - 1 = 4 %, tension by 25 %."""
    plain, strong = bolt_resistance("M8", "8.8"), bolt_resistance("M8", "10.9")
    assert strong.shear / plain.shear == pytest.approx(500 / 480, rel=ROUNDING)
    assert strong.tension / plain.tension == pytest.approx(1.25, rel=ROUNDING)


@pytest.mark.parametrize("strength", ["8.8", "10.9"])
def test_plain_shank(strength: str) -> None:
    """VERIFIED rule: on the shank every class has 0.6 and the gross area; tension stays that of the thread."""
    fub = {"8.8": 800, "10.9": 1_000}[strength]
    bolt = bolt_resistance("M8", strength, plain_shank=True)
    assert bolt.shear == pytest.approx(0.6 * fub * pi / 4 * 8**2 / 1.25, rel=ROUNDING)
    assert bolt.tension == bolt_resistance("M8", strength).tension


def test_countersunk_head() -> None:
    """VERIFIED rule: 0.63 in place of 0.9 takes three tenths of the tension and none of the shear."""
    full, sunk = bolt_resistance("M8", "8.8"), bolt_resistance("M8", "8.8", countersunk=True)
    assert sunk.tension / full.tension == pytest.approx(0.7, rel=ROUNDING)
    assert sunk.shear == full.shear


@pytest.mark.parametrize(
    ("shear", "tension", "expected"),
    [
        pytest.param(5_000, 0, 0.5, id="shear alone"),
        pytest.param(0, 20_000, 1.0, id="tension alone: 1/1.4 would be too kind"),
        pytest.param(5_000, 14_000, 1.0, id="together: 0.5 + 0.7 / 1.4"),
        pytest.param(1_000, 20_000, 1.0, id="tension governs: 0.1 + 1 / 1.4 = 0.81"),
        pytest.param(8_000, 16_000, 0.8 + 0.8 / 1.4, id="together beyond the bolt"),
    ],
)
def test_shear_and_tension_together(shear: float, tension: float, expected: float) -> None:
    """VERIFIED rule: both conditions of table 3.4, of which the greater counts; a bolt of 10 kN and 20 kN."""
    assert utilisation(shear, tension, Resistance(10_000, 20_000)) == pytest.approx(expected, rel=ROUNDING)


def test_table_ends_at_10_9() -> None:
    """VERIFIED: table 3.1 stops at 10.9, so 12.9 gets no resistance, and the reason reads on a sheet."""
    with pytest.raises(NotCoveredError) as caught:
        bolt_resistance("M8", "12.9")
    assert f"not checked because {caught.value}" == "not checked because class 12.9 has no factor in EN 1993-1-8"


def test_inertia_force() -> None:
    """DERIVED (REF-D5): 10 kg at 25 g are 2,451.66 N."""
    (forward,) = mount_loadings(10.0, bolt_resistance("M6", "8.8"), 1, {"forward": 25.0})
    assert forward.force == pytest.approx(2_451.66, abs=0.005)


def test_two_m6_hold_twenty_kilograms() -> None:
    """DERIVED (design, physics page, section 9): two M6 8.8 hold 20 kg at 25 g at 32 % in shear."""
    loadings = {each.direction: each for each in mount_loadings(20.0, bolt_resistance("M6", "8.8"), 2)}
    assert 100 * loadings["forward"].utilisation == pytest.approx(32, abs=0.5)
    assert loadings["forward"].utilisation == pytest.approx(2_451.66 / 7_718, rel=AREA_ROUNDED)
    assert loadings["up"].utilisation == pytest.approx(2_451.66 / 11_578, rel=AREA_ROUNDED)
