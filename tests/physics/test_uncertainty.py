"""Uncertainties on numbers small enough to follow by hand: pads, settlings, plates, tape, roll share and chances.

Source of the propagation: JCGM 100:2008, 5.2.2 (clause from memory). The car of the plans has wheelbase 2.5 m, tracks
1.5 m and half of its roll stiffness in front, so 1 kg at (aft, left) loads LF, RF, LR, RR with

    (1 - aft/2.5)/2 +/- left/3 in front, (aft/2.5)/2 +/- left/3 behind,

1 m aft moves 0.2 kg from each front corner to the rear one behind it, 1 m left moves 1/3 kg on each axle, and the roll
share moves left/1.5 kg from LR to LF and from RF to RR for each 1 of share.
"""

import math

import numpy as np
import pytest
from scipy.stats import norm

from ballast.physics.instruments import pad_covariance
from ballast.physics.quality import ASSUMED_DIAGONAL, ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_TOTAL
from ballast.physics.stance import by_roll_share
from ballast.physics.statics import (
    Array,
    contact_patches,
    diagonal_share,
    front_share,
    left_share,
    rear_pair,
)
from ballast.physics.uncertainty import (
    FIGURES,
    Changes,
    chance_below,
    chance_inside,
    figures,
    predicted_covariance,
    propagate,
    settling_covariance,
    uncertainties,
)

LOADS = np.array([300.0, 280.0, 230.0, 190.0])
"""LF, RF, LR, RR, 1,000 kg in all. [kg]"""
PATCHES = contact_patches(2.5, 1.5, 1.5)
CERTAIN = np.zeros((4, 4))
ROUNDING = 1e-9


def plan(
    masses: list[float],
    places: list[list[float]],
    pieces: list[str],
    mounts: list[str],
    of_mass: float = 0.0,
    of_place: tuple[float, float] = (0.0, 0.0),
    of_roll_share: float = 0.0,
) -> Array:
    """Covariance that changes bring by themselves to the car above, all of them equally uncertain. (4, 4) [kg2]"""
    changes = Changes(
        masses=masses,
        places=places,
        mass_uncertainties=[of_mass] * len(masses),
        place_uncertainties=[list(of_place)] * len(masses),
        pieces=pieces,
        mounts=mounts,
    )
    return predicted_covariance(CERTAIN, changes, by_roll_share(PATCHES, 0.5, of_roll_share * math.sqrt(3)))


def test_figures_move_with_the_loads_as_differences_say() -> None:
    """Source: definition of a derivative, by central differences of 1 g."""
    functions = (lambda x: x.sum(), front_share, left_share, lambda x: diagonal_share(x, "RF+LR"), rear_pair)
    assert len(functions) == len(FIGURES)
    steps = 1e-3 * np.eye(4)
    expected = [[float(f(LOADS + step) - f(LOADS - step)) / 2e-3 for step in steps] for f in functions]
    assert figures(LOADS) == pytest.approx(np.array(expected), abs=1e-9)


def test_figures_of_a_car_by_hand() -> None:
    """1 kg more at LF of 1,000 kg at 58 % front: 0.042 points more front; 47 x 0.001 points more left; 0.051 less."""
    assert figures(LOADS)[:, 0] == pytest.approx([1.0, 0.42e-3, 0.47e-3, -0.51e-3, 0.0], abs=1e-12)


def test_a_sum_and_a_difference_of_correlated_readings() -> None:
    """u 3 and 4, r = 0.5: u^2 of the sum 9 + 16 + 12 = 37, of the difference 13, between them 9 - 16 = -7."""
    found = propagate([[1, 1], [1, -1]], [[9, 6], [6, 16]])
    assert found.tolist() == [[37, -7], [-7, 13]]


def test_two_settlings_of_pure_warp_are_widened() -> None:
    """2 kg of warp apart, RF+LR has u = 0.2 points; two settlings have 12.71, so 0.2 x 12.71 / 2 = 1.271 points.

    The factor is Student's for one degree of freedom, JCGM 100:2008, table G.2; LR - RR has 2 kg x 12.71 / 2.
    """
    level = np.full(4, 250.0)
    covariance = settling_covariance([level, level + 2 * np.array([1.0, -1.0, -1.0, 1.0])], PATCHES)
    found = uncertainties(level, covariance)
    assert found == pytest.approx([0.0, 0.0, 0.0, 0.01271, 12.71], abs=ROUNDING)


def test_three_settlings_of_the_total() -> None:
    """999, 1,000 and 1,001 kg: s = 1, over sqrt 3; twice the uncertainty is 4.30 / sqrt 3 = 2.4826 kg (table G.2)."""
    readings = [LOADS + step * np.array([1.0, 0.0, 0.0, 0.0]) for step in (-1.0, 0.0, 1.0)]
    total = uncertainties(LOADS, settling_covariance(readings, PATCHES))[0]
    assert 2 * total == pytest.approx(4.30 / math.sqrt(3), abs=ROUNDING)


@pytest.mark.parametrize("tracks", [(1.5, 1.5), (1.5, 1.4), (1.3, 1.6)])
@pytest.mark.parametrize("rows", [LOADS, [LOADS]])
def test_one_settling_has_the_assumed_uncertainties(tracks: tuple[float, float], rows: list[Array] | Array) -> None:
    """Common practice, no source: 0.05 % of the total, 0.05 points front and left, 0.2 points on the diagonal."""
    found = uncertainties(LOADS, settling_covariance(rows, contact_patches(2.5, *tracks)))
    expected = [1_000.0 * ASSUMED_TOTAL, ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_DIAGONAL]
    assert found[:4] == pytest.approx(expected, rel=1e-9)


def test_one_settling_is_mostly_warp() -> None:
    """Equal tracks, DERIVED: LR - RR moves by T d for warp, T l for left and 40 kg x 0.0005 with the total.

    sqrt(2^2 + 0.5^2 + 0.02^2) = 2.06165 kg; LF and RF move against each other, and so do LF and LR.
    """
    covariance = settling_covariance(LOADS, PATCHES)
    assert uncertainties(LOADS, covariance)[4] == pytest.approx(2.06165, abs=1e-5)
    correlations = covariance / np.sqrt(np.outer(np.diag(covariance), np.diag(covariance)))
    assert max(correlations[0, 1], correlations[0, 2], correlations[3, 1], correlations[3, 2]) < -0.7


def test_tracks_so_unequal_that_warp_alone_exceeds_the_assumed_left() -> None:
    """Tracks 2.0 and 1.0, DERIVED: warp [1, -1, -2, 2] moves left by 1 for 3 on the diagonal, a third of 0.2 points."""
    found = uncertainties(LOADS, settling_covariance(LOADS, contact_patches(2.5, 2.0, 1.0)))
    assert found[2:4] == pytest.approx([ASSUMED_DIAGONAL / 3, ASSUMED_DIAGONAL], rel=1e-9)


def test_pads_as_given_one_by_one_or_together() -> None:
    """A step of 0.6 kg has u^2 = 0.03, an accuracy of 0.3 kg also 0.03 kg2; a shared gain of 0.001 ties LF to RF."""
    one = pad_covariance(LOADS, 0.6, 0.3, 1e-3)
    assert one == pytest.approx(pad_covariance(LOADS, [0.6] * 4, [0.3] * 4, 1e-3), abs=0)
    assert one[0, :2] == pytest.approx([0.06 + 0.3**2, 0.3 * 0.28], abs=ROUNDING)


def test_a_plan_that_changes_nothing_adds_nothing() -> None:
    """Without changes the loads foreseen are as uncertain as the loads weighed."""
    nothing = Changes([], np.empty((0, 2)), [], np.empty((0, 2)), [], [])
    weighed = pad_covariance(LOADS, 0.5, 0.5)
    assert predicted_covariance(weighed, nothing, by_roll_share(PATCHES, 0.5, 0.05)) == pytest.approx(weighed, abs=0)


def test_the_mass_of_one_plate() -> None:
    """20 kg at aft 1, left 0.5, u = 0.1 kg: its shares are 7/15, 2/15, 11/30, 1/30, and that of the total is 0.1 kg."""
    covariance = plan([20.0], [[1.0, 0.5]], ["plate"], ["boot"], of_mass=0.1)
    assert np.sqrt(np.diag(covariance)) == pytest.approx(
        [0.1 * x for x in (14 / 30, 4 / 30, 11 / 30, 1 / 30)], abs=1e-12
    )
    assert math.sqrt(covariance.sum()) == pytest.approx(0.1, abs=1e-12)


@pytest.mark.parametrize(("pieces", "total"), [(["kind", "kind"], 0.2), (["a", "b"], 0.1 * math.sqrt(2))])
def test_plates_of_one_kind_err_together(pieces: list[str], total: float) -> None:
    """Two plates, u = 0.1 kg each: 0.2 kg when weighed once for both, 0.1 x sqrt 2 when weighed one by one."""
    covariance = plan([10.0, 10.0], [[1.0, 0.5], [2.0, -0.5]], pieces, ["left", "right"], of_mass=0.1)
    assert math.sqrt(covariance.sum()) == pytest.approx(total, abs=1e-12)


@pytest.mark.parametrize(("pieces", "total"), [(["kind", "kind"], 0.0), (["a", "b"], 0.1 * math.sqrt(2))])
def test_a_plate_moved_leaves_the_total_certain(pieces: list[str], total: float) -> None:
    """Taken from one mount and put on another, its unknown gram leaves here and arrives there; another plate's do not.

    The same plate carried 1 m back, u = 0.1 kg, takes 0.04 kg of u from the front axle: 1/2.5 of it.
    """
    covariance = plan([-10.0, 10.0], [[1.0, 0.0], [2.0, 0.0]], pieces, ["fore", "back"], of_mass=0.1)
    assert math.sqrt(abs(covariance.sum())) == pytest.approx(total, abs=1e-8)
    if total == 0:
        assert math.sqrt(covariance[:2, :2].sum()) == pytest.approx(0.04, abs=1e-12)


def test_a_mass_of_nothing_may_be_uncertain() -> None:
    """Fuel that is believed to be gone, 0 kg with u = 0.5 kg, leaves the total 0.5 kg uncertain."""
    covariance = plan([0.0], [[2.0, 0.0]], ["fuel"], ["tank"], of_mass=0.5)
    assert math.sqrt(covariance.sum()) == pytest.approx(0.5, abs=1e-12)


def test_the_tape() -> None:
    """20 kg, u 5 mm aft: 20 x 0.2 x 0.005 = 0.02 kg on each corner. u 3 mm left: 20/3 x 0.003 = 0.02 kg as well.

    Aft moves both fronts alike, left moves LF and LR alike; the total stays certain.
    """
    aft = plan([20.0], [[1.0, 0.5]], ["plate"], ["boot"], of_place=(0.005, 0.0))
    left = plan([20.0], [[1.0, 0.5]], ["plate"], ["boot"], of_place=(0.0, 0.003))
    assert aft == pytest.approx(0.02**2 * np.outer([1, 1, -1, -1], [1, 1, -1, -1]), abs=1e-15)
    assert left == pytest.approx(0.02**2 * np.outer([1, -1, 1, -1], [1, -1, 1, -1]), abs=1e-15)
    both = plan([20.0], [[1.0, 0.5]], ["plate"], ["boot"], of_place=(0.005, 0.003))
    assert both == pytest.approx(aft + left, abs=1e-15)


@pytest.mark.parametrize(
    ("masses", "mounts", "each"),
    [
        ([10.0, 10.0], ["boot", "boot"], 0.02),
        ([10.0, 10.0], ["boot", "hatch"], 0.01 * math.sqrt(2)),
        ([10.0, -10.0], ["boot", "boot"], 0.0),
        ([10.0, -10.0], ["boot", "hatch"], 0.01 * math.sqrt(2)),
    ],
)
def test_what_stands_on_one_mount_is_out_of_place_together(masses: list[float], mounts: list[str], each: float) -> None:
    """Two times 10 kg, u 5 mm aft: 0.02 kg a corner on one mount, 0.01 x sqrt 2 on two; exchanged on one, nothing."""
    covariance = plan(masses, [[1.0, 0.5], [1.0, 0.5]], ["a", "b"], mounts, of_place=(0.005, 0.0))
    assert np.sqrt(np.diag(covariance)) == pytest.approx(np.full(4, each), abs=1e-12)


def test_the_roll_share_moves_the_warp_only() -> None:
    """20 kg at left 0.5, u(s) = 0.06: 20 x 0.5 / 1.5 x 0.06 = 0.4 kg of warp, nothing in total, front or left."""
    covariance = plan([20.0], [[1.0, 0.5]], ["plate"], ["boot"], of_roll_share=0.06)
    assert covariance == pytest.approx(0.16 * np.outer([1, -1, -1, 1], [1, -1, -1, 1]), abs=1e-12)


def test_the_roll_share_is_one_error_for_all_masses() -> None:
    """15 kg as far left as 15 kg to the right: whatever the roll share is, the diagonal does not move."""
    covariance = plan([15.0, 15.0], [[1.0, 0.5], [2.0, -0.5]], ["a", "b"], ["l", "r"], of_roll_share=0.1)
    assert covariance == pytest.approx(CERTAIN, abs=1e-12)


@pytest.mark.parametrize("names", [["nose", "boot"], [3, 8]])
def test_names_or_numbers(names: list[str] | list[int]) -> None:
    """What was weighed or taped together is told by a name or by a number."""
    changes = Changes([10.0, 10.0], [[0.0, 0.0], [2.5, 0.0]], [0.1, 0.1], [[0.0, 0.0]] * 2, names, names)
    covariance = predicted_covariance(CERTAIN, changes, by_roll_share(PATCHES, 0.5))
    assert covariance.sum() == pytest.approx(0.02, abs=1e-12)


@pytest.mark.parametrize("z", [-6.0, -2.0, -1.0, 0.0, 0.5, 1.6449, 3.0])
def test_chances_are_those_of_the_normal_distribution(z: float) -> None:
    """DERIVED with scipy.stats.norm: a total z standard uncertainties under the limit, u = 1.3 kg."""
    assert chance_below(1_000.0 - 1.3 * z, 1_000.0, 1.3) == pytest.approx(float(norm.cdf(z)), rel=1e-9)
    expected = float(norm.cdf(z + 1) - norm.cdf(z - 2))
    assert chance_inside(10.0 - 1.3 * z, 10.0 - 2.6, 10.0 + 1.3, 1.3) == pytest.approx(expected, abs=1e-12)


def test_one_and_two_standard_uncertainties() -> None:
    """The figures everyone knows: 68.27 and 95.45 % (JCGM 100:2008, table G.1 from memory), and half on the edge."""
    assert chance_inside(50.0, 49.8, 50.2, 0.2) == pytest.approx(0.6827, abs=5e-5)
    assert chance_inside(50.0, 49.6, 50.4, 0.2) == pytest.approx(0.9545, abs=5e-5)
    assert chance_below(1_000.0, 1_000.0, 0.7) == 0.5
    assert chance_inside(50.5, 49.5, 50.5, 1e-3) == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize(("value", "below"), [(999.999, 1.0), (1_000.0, 0.0), (1_000.001, 0.0)])
def test_a_certain_total_is_below_the_minimum_or_it_is_not(value: float, below: float) -> None:
    """Without uncertainty there is no chance; on the minimum is legal."""
    assert chance_below(value, 1_000.0, 0.0) == below


@pytest.mark.parametrize(("value", "inside"), [(49.4, 0.0), (49.5, 1.0), (50.0, 1.0), (50.5, 1.0), (50.6, 0.0)])
def test_a_certain_share_is_inside_the_band_or_it_is_not(value: float, inside: float) -> None:
    """Without uncertainty there is no chance; the edges belong to the band."""
    assert chance_inside(value, 49.5, 50.5, 0.0) == inside


def test_limits_that_are_not_set() -> None:
    """An endless band holds everything, and half of one is a limit."""
    assert chance_inside(50.0, -math.inf, math.inf, 0.2) == 1.0
    assert chance_inside(50.0, -math.inf, 50.1, 0.2) == chance_below(50.0, 50.1, 0.2)


def test_questions_without_a_meaning() -> None:
    """A band upside down and an uncertainty below nothing are refused."""
    with pytest.raises(ValueError, match="nothing lies between"):
        chance_inside(50.0, 50.5, 49.5, 0.2)
    with pytest.raises(ValueError, match="below nothing"):
        chance_inside(50.0, 49.5, 50.5, -0.2)
    with pytest.raises(ValueError, match="below nothing"):
        chance_below(50.0, 49.5, -0.2)
