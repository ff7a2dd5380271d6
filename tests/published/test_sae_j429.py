"""Stress areas of coarse unified threads, and the loads of bolts of grades 2 and 5.

Source: SAE J429, Mechanical and material requirements for externally threaded fasteners, as suppliers reproduce it
(REF-D3); the standard itself was not to hand. Grade 2, 1/4 to 3/4 in: proof 55,000, tensile 74,000 psi (one copy prints
72,000). Grade 5, 1/4 to 1 in: proof 85,000, tensile 120,000 psi.

    3/8-16   pi/4 (0.375 - 0.9743/16)^2 = 0.0775 in2
             grade 5: 0.0775 x 120,000 = 9,300 lbf at the least before it breaks, 0.0775 x 85,000 = 6,587.5 lbf proof
             grade 2: clamped at 75 % of proof, 0.75 x 55,000 x 0.0775 = 3,196.9 lbf, printed 3,197
"""

import pytest
from scipy import constants

from ballast.physics.fixings import PSI, strength_named, thread_named

HALF_DIGIT = 5e-5
"""Areas are printed to four decimals. [in2]"""
AREA_ROUNDED = 1e-3
"""Loads are printed from areas rounded so. Relative. [-]"""
ROUNDING = 1e-12
"""Relative. [-]"""


def square_inches(name: str) -> float:
    """Stress area of a thread, by the package. [in2]"""
    return float(thread_named(name).stress_area / constants.inch**2)


def test_pound_force_per_square_inch() -> None:
    """DERIVED: psi follows from the pound, the inch and standard gravity, as scipy.constants has it."""
    assert pytest.approx(constants.psi, rel=ROUNDING) == PSI


@pytest.mark.parametrize(("name", "printed"), [("1/4 in", 0.0318), ("3/8 in", 0.0775), ("7/16 in", 0.1063)])
def test_stress_areas(name: str, printed: float) -> None:
    """VERIFIED: the printed area to its four decimals."""
    assert square_inches(name) == pytest.approx(printed, abs=HALF_DIGIT)


def test_stress_area_of_half_an_inch() -> None:
    """DERIVED from the same formula: pi/4 (0.5 - 0.9743/13)^2 = 0.14190 in2."""
    assert square_inches("1/2 in") == pytest.approx(0.14190, abs=HALF_DIGIT / 10)


def test_stress_area_of_five_sixteenths() -> None:
    """MEMORY: 5/16-18 is printed 0.0524 in2."""
    assert square_inches("5/16 in") == pytest.approx(0.0524, abs=HALF_DIGIT)


@pytest.mark.parametrize(("grade", "psi"), [("grade 2", 74_000), ("grade 5", 120_000)])
def test_tensile_strengths(grade: str, psi: float) -> None:
    """VERIFIED (SECONDARY): 74,000 and 120,000 psi up to 3/4 in."""
    assert strength_named(grade).tensile / constants.psi == pytest.approx(psi, rel=ROUNDING)


@pytest.mark.parametrize(("name", "ultimate", "proof"), [("3/8 in", 9_300, 6_587.5), ("1/2 in", 17_028, 12_061.5)])
def test_loads_of_grade_5(name: str, ultimate: float, proof: float) -> None:
    """VERIFIED (SECONDARY): ultimate and proof loads of grade 5, in lbf."""
    area = thread_named(name).stress_area
    assert strength_named("grade 5").tensile * area / constants.lbf == pytest.approx(ultimate, rel=AREA_ROUNDED)
    assert 85_000 * constants.psi * area / constants.lbf == pytest.approx(proof, rel=AREA_ROUNDED)


@pytest.mark.parametrize(("name", "clamp"), [("3/8 in", 3_197), ("1/2 in", 5_853)])
def test_clamp_load_of_grade_2(name: str, clamp: float) -> None:
    """VERIFIED: 75 % of the proof load of grade 2, in lbf, as printed."""
    assert 0.75 * 55_000 * square_inches(name) == pytest.approx(clamp, rel=AREA_ROUNDED)
