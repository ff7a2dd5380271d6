"""Least ballast for a limit, and a list of alterations: two questions of a mechanics' examination.

Source: Federal Aviation Administration, aviation mechanic knowledge test, weight-and-balance questions, question and
answer read on a study site (REF-A5 and REF-A7). The identities are those of FAA-H-8083-30, chapter 4, "use of ballast".

REF-A5: 4,954 lb at +30.5 in, forward limit +32.0 in, ballast at +162 in.

    old total, distance to the new centre    4,954     x 1.5 / (162 - 32.0) = 7,431   / 130   = 57.1615 lb
    new total, distance to the old centre    5,011.1615 x 1.5 / (162 - 30.5) = 7,516.74 / 131.5 = 57.1615 lb

REF-A7: 2,886 lb, moment 101,673.78 lb-in.

    before                  2,886              101,673.78     35.23 in
    two seats of 15 lb out    -30 at +71        -2,130
    in                        +97 at +71        +6,887
    in                        +20 at +71        +1,420
    in                        +30 at +94        +2,820
    after                   3,003              110,670.78     36.85 in, 1.62 in aft (1.62341 unrounded)
"""

import math

import numpy as np
import pulp
import pytest

from ballast.physics.reach import needed_centroid
from ballast.physics.statics import ON_FRONT, ON_LEFT, Array, height_after, influence
from ballast.planning.solver import solve
from tests.published.beam import POUND_INCH, STANDS, Stand, pounds

LOADED, OLD, LIMIT, ARM = 4_954.0, 30.5, 32.0, 162.0
BY_THE_OLD_TOTAL = LOADED * (LIMIT - OLD) / (ARM - LIMIT)
BY_THE_NEW_TOTAL = (LOADED + BY_THE_OLD_TOTAL) * (LIMIT - OLD) / (ARM - OLD)
MIXED = LOADED * (LIMIT - OLD) / (ARM - OLD)
"""The classic error: the old total with the distance to the old centre."""
ALTERATIONS = ((-30.0, 71.0), (97.0, 71.0), (20.0, 71.0), (30.0, 94.0))

PRINTED_MASS = 0.005
"""The answer is printed to 0.01 lb. [lb]"""
PRINTED_ARM = 0.005
"""Centres are printed to 0.01 in. [in]"""
ROUNDING = 1e-9
"""Between exact figures. [lb, in], relative for moments"""
SOLVER = 1e-6
"""Feasibility tolerance of the solver. [lb]"""


def rows(where: Stand) -> Array:
    """Influence at the datum, and its change for a metre aft and a metre left. (3, 4)"""
    at = influence(where.patches(), where.roll_share, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return np.array([at[0], at[1] - at[0], at[2] - at[0]])


def place_for(where: Stand, mass: float) -> float:
    """Arm at which a mass in lb brings the centre to the limit, by the package. Returns inches."""
    aft, _ = needed_centroid(
        where.pads(LOADED, OLD),
        POUND_INCH.inside(mass, "mass"),
        rows(where),
        front=where.front(LIMIT),
        left=0.5,
        on_front=ON_FRONT,
        on_left=ON_LEFT,
    )
    assert aft is not None
    return POUND_INCH.outside(aft, "length")


def test_both_forms_of_the_formula_agree() -> None:
    """VERIFIED: old total to the new centre and new total to the old centre give the same 57.16 lb."""
    assert pytest.approx(BY_THE_NEW_TOTAL, abs=ROUNDING) == BY_THE_OLD_TOTAL
    assert pytest.approx(57.16, abs=PRINTED_MASS) == BY_THE_OLD_TOTAL


@pytest.mark.parametrize("where", STANDS)
@pytest.mark.parametrize("mass", [BY_THE_OLD_TOTAL, BY_THE_NEW_TOTAL])
def test_that_ballast_has_to_stand_at_the_ballast_station(where: Stand, mass: float) -> None:
    """VERIFIED, the other way round: the place needed for the answer of either form is station 162."""
    assert place_for(where, mass) == pytest.approx(ARM, abs=1e-6)


@pytest.mark.parametrize("where", STANDS)
@pytest.mark.parametrize("mass", [BY_THE_OLD_TOTAL, BY_THE_NEW_TOTAL])
def test_that_ballast_brings_the_centre_to_the_limit(where: Stand, mass: float) -> None:
    """VERIFIED: with the answer of either form at station 162 the centre is at 32.0 in."""
    assert where.centre(where.pads(LOADED, OLD) + where.standing((mass, ARM))) == pytest.approx(LIMIT, abs=ROUNDING)


@pytest.mark.parametrize("where", STANDS)
def test_mixing_the_two_forms_falls_short(where: Stand) -> None:
    """DERIVED, negative: 7,431 / 131.5 = 56.51 lb leaves the centre ahead of the limit and asks for a place beyond."""
    assert pytest.approx(56.51, abs=PRINTED_MASS) == MIXED
    assert where.centre(where.pads(LOADED, OLD) + where.standing((MIXED, ARM))) < LIMIT - 0.01
    assert place_for(where, MIXED) > ARM + 1.0


@pytest.mark.parametrize("kind", [pulp.LpContinuous, pulp.LpInteger])
@pytest.mark.parametrize("where", STANDS)
def test_the_least_ballast_by_the_solver(where: Stand, kind: str) -> None:
    """VERIFIED for ballast of any size, DERIVED for whole pounds: 57.1615 lb, and the next whole one above it."""
    front = float(influence(where.patches(), where.roll_share, POUND_INCH.inside(ARM, "length"), 0.0) @ ON_FRONT)
    problem = pulp.LpProblem("least_ballast", pulp.LpMinimize)
    ballast = problem.add_variable("ballast", 0, 1_000, cat=kind)
    most = where.front(LIMIT)
    # In lb: front load with ballast <= greatest front share x total with ballast.
    problem += LOADED * where.front(OLD) + front * ballast <= most * LOADED + most * ballast, "forward_limit"
    found = solve(problem, 1.0 * ballast, gap=0.0, seconds=10.0)
    expected = BY_THE_OLD_TOTAL if kind == pulp.LpContinuous else math.ceil(BY_THE_OLD_TOTAL)
    assert found.status == "proved"
    assert found.values["ballast"] == pytest.approx(expected, abs=SOLVER)
    assert found.bound == pytest.approx(expected, abs=SOLVER)


@pytest.mark.parametrize("where", STANDS)
def test_a_list_of_alterations(where: Stand) -> None:
    """VERIFIED: masses out and in make it 3,003 lb, 110,670.78 lb-in and move the centre from 35.23 to 36.85 in."""
    before = where.pads(2_886.0, 101_673.78 / 2_886.0)
    after = before + where.standing(*ALTERATIONS)
    assert where.centre(before) == pytest.approx(35.23, abs=PRINTED_ARM)
    assert pounds(after) == pytest.approx(3_003.0, abs=ROUNDING)
    assert pounds(after) * where.centre(after) == pytest.approx(110_670.78, rel=ROUNDING)
    assert where.centre(after) == pytest.approx(36.85, abs=PRINTED_ARM)
    assert where.centre(after) - where.centre(before) == pytest.approx(1.62341, abs=5e-6)


def test_the_same_alterations_upright() -> None:
    """VERIFIED: moments know no direction, so the stations taken as heights give 36.85 too."""
    masses, heights = np.array(ALTERATIONS).T
    assert height_after(2_886.0, 101_673.78 / 2_886.0, masses, heights) == pytest.approx(36.85, abs=PRINTED_ARM)
