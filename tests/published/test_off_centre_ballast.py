"""Corner loads when ballast is put on off the centre line: what the lever rule gives, and what the springs add.

Source: none published; DERIVED from equilibrium, the division of a roll couple being that of H. Heisler, Advanced
Vehicle Technology, section 10.3 (REF-C5, and the check values of the physics page of this project's design, section 3,
which were computed there a second time by a model with four wheels, heave, pitch and roll as unknowns).

Four corners of 250 kg; 20 kg at 1.0 m behind the front axle and 0.5 m left; wheelbase 2.5 m, tracks 1.5 m; rigid
chassis; s is the front share of roll stiffness.

    each front wheel  20 (1 - 1.0 / 2.5) / 2 = 6     plus or minus  20 s 0.5 / 1.5
    each rear wheel   20 (1.0 / 2.5) / 2     = 4     plus or minus  20 (1 - s) 0.5 / 1.5
    front:rear 2:1, s = 2/3    LF 250 + 6 + 4.4444 = 260.4444, RF 250 + 6 - 4.4444 = 251.5556, ...
"""

import numpy as np
import pytest

from ballast.physics.statics import (
    ON_DIAGONAL,
    contact_patches,
    diagonal_share,
    front_share,
    influence,
    left_share,
    stand,
)

PATCHES = contact_patches(2.5, 1.5, 1.5)
EMPTY = np.full(4, 250.0)
MASS, AFT, LEFT = 20.0, 1.0, 0.5
KILOGRAM = 1e-4
POINT = 1e-4
SPLITS = [
    pytest.param(2, 1, (260.4444, 251.5556, 256.2222, 251.7778), 49.78214, id="2:1"),
    pytest.param(1, 1, (259.3333, 252.6667, 257.3333, 250.6667), 50.00000, id="1:1"),
    pytest.param(1, 2, (258.2222, 253.7778, 258.4444, 249.5556), 50.21786, id="1:2"),
]
Corners = tuple[float, float, float, float]


@pytest.mark.parametrize("route", ["influence", "stand"])
@pytest.mark.parametrize(("front", "rear", "expected", "cross"), SPLITS)
def test_corner_loads_and_percentages(front: int, rear: int, expected: Corners, cross: float, route: str) -> None:
    """DERIVED: front 50.19608 % and left 50.65359 % for every split, the diagonal RF+LR by the split."""
    share = front / (front + rear)
    if route == "influence":
        loads = EMPTY + MASS * influence(PATCHES, share, AFT, LEFT)
    else:
        loads = EMPTY + stand(PATCHES, share, [MASS], [[AFT, LEFT]])
    assert loads == pytest.approx(expected, abs=KILOGRAM)
    assert 100 * float(front_share(loads)) == pytest.approx(50.19608, abs=POINT)
    assert 100 * float(left_share(loads)) == pytest.approx(50.65359, abs=POINT)
    assert 100 * float(diagonal_share(loads, "RF+LR")) == pytest.approx(cross, abs=POINT)
    assert 100 * float(diagonal_share(loads, "LF+RR")) == pytest.approx(100 - cross, abs=POINT)


@pytest.mark.parametrize("route", ["influence", "stand"])
def test_ballast_over_one_wheel_is_shared_by_all_four(route: str) -> None:
    """DERIVED (design, physics page, section 2): 20 kg over the left front wheel give +15, +5, +5, -5 and half each."""
    if route == "influence":
        change = MASS * influence(PATCHES, 0.5, 0.0, 0.75)
    else:
        change = stand(PATCHES, 0.5, [MASS], [[0.0, 0.75]])
    assert change == pytest.approx([15.0, 5.0, 5.0, -5.0], abs=KILOGRAM)
    assert float(diagonal_share(EMPTY + change, "RF+LR")) == pytest.approx(0.5, abs=1e-12)


def test_rigid_chassis_on_springs_tyres_and_bars() -> None:
    """DERIVED (design, physics page, section 3): +9.7359 +2.2641 +6.9307 +1.0693 kg.

    Springs 80 N/mm, motion ratio 0.8, tyres 220 N/mm, bars 40/20 N/mm. In roll a bar counts twice, in series with the
    tyre: front 1/(1/(51.2 + 80) + 1/220) = 82.187 N/mm, rear 1/(1/(51.2 + 40) + 1/220) = 64.473; equal tracks, so
    s = 82.187 / 146.660.
    """
    wheel_rate, tyre = 80 * 0.8**2, 220.0
    front, rear = (1 / (1 / (wheel_rate + 2 * bar) + 1 / tyre) for bar in (40.0, 20.0))
    change = MASS * influence(PATCHES, front / (front + rear), AFT, LEFT)
    assert change == pytest.approx([9.7359, 2.2641, 6.9307, 1.0693], abs=KILOGRAM)


def test_left_follows_the_diagonal_a_little_where_tracks_differ() -> None:
    """DERIVED (design, physics page, section 2): 0.034 points of left for each of the diagonal at 1.50/1.40 m.

    Warp changes LF by 1, RF by -1, LR by -tf/tr, RR by tf/tr: left by 1 - tf/tr, LF+RR by 1 + tf/tr; so
    (1.40 - 1.50) / (1.40 + 1.50) = -0.0345.
    """
    patches = contact_patches(2.5, 1.5, 1.4)
    soft, stiff = (EMPTY + MASS * influence(patches, share, AFT, LEFT) for share in (0.3, 0.7))
    left = float(left_share(stiff) - left_share(soft))
    diagonal = float(diagonal_share(stiff, "LF+RR") - diagonal_share(soft, "LF+RR"))
    assert abs(left / diagonal) == pytest.approx(0.0345, abs=5e-5)


def test_the_diagonal_that_is_shared_by_name() -> None:
    """DERIVED: a kilogram on RF alone counts for RF+LR and for nothing else."""
    alone = np.array([0.0, 1.0, 0.0, 0.0])
    assert (float(alone @ ON_DIAGONAL["RF+LR"]), float(alone @ ON_DIAGONAL["LF+RR"])) == (1.0, 0.0)
