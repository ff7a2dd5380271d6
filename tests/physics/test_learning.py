"""Roll shares, warp coefficients and turns from weighings: the design's check table inverted, and sums done by hand.

The table is that of the design: 20 kg, 1.0 m aft and 0.5 m left on four corners of 250 kg, wheelbase 2.5 m, tracks
1.5 m; computed twice, by the closed form and by a full model. The law written out: on a plain car of one track t and
wheelbase L a mass m brings LF m [(1 - aft/L)/2 + s left/t] (H. Heisler, Advanced Vehicle Technology, sec. 10.3).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from ballast.corners import Corner
from ballast.physics import learning
from ballast.physics.learning import Doubt, Scatter, Trial
from ballast.physics.statics import Array, contact_patches

PATCHES = contact_patches(2.5, 1.5, 1.5)
WARP = np.array([1.0, -1.0, -1.0, 1.0])
"""Tracks are equal."""
NO_SCATTER = Scatter(0.0, np.zeros(3), 0)
CERTAIN = Doubt(NO_SCATTER)
TABLE = {
    2 / 3: [260.4444, 251.5556, 256.2222, 251.7778],
    1 / 2: [259.3333, 252.6667, 257.3333, 250.6667],
    1 / 3: [258.2222, 253.7778, 258.4444, 249.5556],
}
PRINTED = 1e-5
"""Four decimals are printed, of 1 kg and more."""


def plain(mass: float, aft: float, left: float, share: float, c: tuple[float, float] = (0.0, 0.0)) -> Array:
    """Change of the loads by a mass, by the law above, and warp m (c0 + c1 aft) n on top. (4,) [kg]"""
    front, rear = (1 - aft / 2.5) / 2, aft / 2.5 / 2
    by_roll = np.array([share, -share, 1 - share, share - 1]) * left / 1.5
    return mass * (np.array([front, front, rear, rear]) + by_roll + (c[0] + c[1] * aft) * WARP)


def weight(mass: float, aft: float, left: float, change: Array | None = None, settlings: int = 3) -> Trial:
    """A trial with one weight."""
    return Trial(settlings, [mass], [[aft, left]], change)


@pytest.mark.parametrize("share", TABLE)
def test_the_check_table_inverted(share: float) -> None:
    """Design's own, computed twice: roll stiffnesses of 2:1, 1:1 and 1:2 come back as 2/3, 1/2 and 1/3."""
    change = np.array(TABLE[share]) - 250
    found = learning.front_roll_share(PATCHES, 1, [weight(20, 1.0, 0.5, change)], CERTAIN)
    assert found.values == pytest.approx([share], abs=PRINTED)
    by_hand = (change[0] - change[1]) * 1.5 / (2 * 20 * 0.5)
    assert found.values == pytest.approx([by_hand], abs=1e-5)


def test_unequal_tracks() -> None:
    """Tracks of 1.50 and 1.40 m: LF and RF differ by 2 m s left / tf, LR and RR by 2 m (1 - s) left / tr."""
    patches, share = contact_patches(2.5, 1.5, 1.4), 0.62
    front, rear = 20 * (1 - 1.0 / 2.5) / 2, 20 * 1.0 / 2.5 / 2
    by_front, by_rear = 20 * share * 0.5 / 1.5, 20 * (1 - share) * 0.5 / 1.4
    change = np.array([front + by_front, front - by_front, rear + by_rear, rear - by_rear])
    found = learning.front_roll_share(patches, 1, [weight(20, 1.0, 0.5, change)], CERTAIN)
    assert found.values == pytest.approx([share], abs=1e-9)


def test_taken_off_moved_and_several_at_once() -> None:
    """20 kg from the right sill to the left, and 5 kg off the boot, say the same share as one mass put on."""
    masses, places = [20.0, -20.0, -5.0], [(1.0, 0.6), (1.0, -0.6), (2.7, 0.4)]
    change = sum((plain(m, *place, 0.57) for m, place in zip(masses, places, strict=True)), np.zeros(4))
    found = learning.front_roll_share(PATCHES, 3, [Trial(3, masses, places, change)], CERTAIN)
    assert found.values == pytest.approx([0.57], abs=1e-9)


def test_three_numbers_of_a_car_that_is_not_alike() -> None:
    """Warp of m (0.02 - 0.01 aft + (s - 1/2) left / 1.5), put on by hand at four places, comes back."""
    places = [(0.5, 0.4), (1.2, -0.6), (2.6, 0.3), (1.8, 0.5)]
    trials = [weight(30, *place, plain(30, *place, 0.6, (0.02, -0.01))) for place in places]
    doubt = Doubt(Scatter(0.3, np.zeros(3), 8))
    found = learning.coefficients(PATCHES, 3, trials, doubt)
    assert found.values == pytest.approx([0.02, -0.01, 0.1 / 1.5], abs=1e-9)
    assert found.degrees == 1
    assert found.chi_square == pytest.approx(0.0, abs=1e-9)


def test_places_that_do_not_tell_three_numbers() -> None:
    """Two places, three on one line, and one place three times do not; three that span the car do."""
    line = [weight(20, 0.5 + step, 0.3 * step) for step in (0.0, 1.0, 2.0)]
    assert not learning.tells_all(line)
    assert not learning.tells_all(line[:2])
    assert not learning.tells_all([line[0]] * 3)
    assert learning.tells_all([*line[:2], weight(20, 1.0, -0.5)])
    with pytest.raises(ValueError, match="not on one line"):
        learning.coefficients(PATCHES, 1, [replace(trial, change=np.zeros(4)) for trial in line], CERTAIN)


@pytest.mark.parametrize("per_turn", [2.64705, 1.79719, 2.04408])
def test_the_load_of_a_turn_comes_back(per_turn: float) -> None:
    """Design's own check values, bars 0/0, 40/20 and 40/40 N/mm: three turns up at LF, three quarters down at RR."""
    up = learning.load_per_turn(PATCHES, "LF", 3, [(3, Trial(3, change=3 * per_turn * WARP))], CERTAIN)
    down = learning.load_per_turn(PATCHES, "RR", 3, [(-0.75, Trial(3, change=-0.75 * per_turn * WARP))], CERTAIN)
    assert up.values == pytest.approx([per_turn])
    assert down.values == pytest.approx([per_turn])


@pytest.mark.parametrize(("corner", "own"), [("LF", 1.0), ("RF", -1.0), ("LR", -1.5 / 1.4), ("RR", 1.5 / 1.4)])
def test_a_turn_up_is_more_load_on_its_own_corner(corner: Corner, own: float) -> None:
    """With tracks of 1.50 and 1.40 m the warp is 1, -1, -1.0714, 1.0714: 2 kg a turn on whichever corner is turned."""
    null = np.array([1.0, -1.0, -1.5 / 1.4, 1.5 / 1.4])
    trial = Trial(3, change=4 * 2.0 * null / own)
    found = learning.load_per_turn(contact_patches(2.5, 1.5, 1.4), corner, 3, [(4.0, trial)], CERTAIN)
    assert found.values == pytest.approx([2.0])


def test_scatter_is_pooled_by_hand() -> None:
    """Warps of 0, 2 and 4 kg in one weighing, of 1 and 3 in another, one reading alone: (8 + 2) / 3 kg2."""
    base = np.array([250.0, 250.0, 250.0, 250.0])
    first = [base + warped * WARP for warped in (0.0, 2.0, 4.0)]
    second = [base + 5 + warped * WARP for warped in (1.0, 3.0)]
    found = learning.pooled([first, second, base], PATCHES)
    assert found.warp == pytest.approx(math.sqrt(10 / 3))
    assert found.levers == pytest.approx([0, 0, 0], abs=1e-9)
    assert found.degrees == 3
    assert found.widened == pytest.approx(3.18 / 2)


def test_scatter_in_the_levers_by_hand() -> None:
    """Totals of 1000 and 1002 kg, the 2 kg on LF: moments of 0 and 2 x 0.75 kg m; over sqrt 2 each."""
    found = learning.pooled([[[250, 250, 250, 250], [252, 250, 250, 250]]], PATCHES)
    assert found.levers * math.sqrt(2) == pytest.approx([2, 0, 1.5], abs=1e-9)


def test_scatter_that_nobody_measured() -> None:
    """Assumed 0.2 points of the diagonal of 1,000 kg: 2 kg on the diagonal, 1 kg on each of its corners."""
    found = learning.pooled([[[250.0] * 4], [[255.0] * 4]], PATCHES)
    assert (found.degrees, found.widened) == (0, 1.0)
    assert found.warp == pytest.approx(0.002 * 1010 / 2)


def test_uncertainty_of_the_plain_formula_by_hand() -> None:
    """u(s) = u(LF-RF of the warp) tf / (2 m left): 0.3 kg, 3 before and 2 after, 5 degrees of freedom of which 3.

    Warp c moves LF - RF by 2 c, so u(s) = 0.3 sqrt(1/3 + 1/2) (3.18 / 2) 1.5 / (20 x 0.5).
    """
    doubt = Doubt(Scatter(0.3, np.zeros(3), 3))
    found = learning.front_roll_share(PATCHES, 3, [weight(20, 1.0, 0.5, plain(20, 1.0, 0.5, 0.5), settlings=2)], doubt)
    by_hand = 0.3 * math.sqrt(1 / 3 + 1 / 2) * 3.18 / 2 * 1.5 / 10
    assert found.uncertain == pytest.approx([by_hand], rel=1e-6)


MONTE_CARLO = {
    "all at once": Doubt(Scatter(0.3, np.zeros(3), 0), 0.2 / math.sqrt(12), np.full(4, 0.002), 0.003, 0.2, 0.02),
    "settling alone": Doubt(Scatter(0.4, np.zeros(3), 0)),
    "display alone": Doubt(NO_SCATTER, 0.5 / math.sqrt(12)),
    "pads alone": Doubt(NO_SCATTER, gains=np.array([0.01, 0.01, 0.004, 0.004])),
    "one gain for all": Doubt(NO_SCATTER, gain=0.05),
    "masses alone": Doubt(NO_SCATTER, mass=0.8),
    "tape alone": Doubt(NO_SCATTER, place=0.02),
}


@pytest.mark.parametrize("doubt", MONTE_CARLO.values(), ids=MONTE_CARLO)
def test_the_uncertainty_is_that_of_a_simulation(doubt: Doubt) -> None:
    """JCGM 101:2008 (propagation by Monte Carlo), 40,000 draws of all that goes in: two weights, one weighing before.

    The estimate is written out: the mean of s by each weight alone, d(LF-RF-LR+RR) / 2 = m left (2 s - 1) / 1.5, for
    the weights stand mirrored. What is drawn: settlings, roundings, gains, one common error of mass, and the places.
    """
    rng, count, share, mass = np.random.default_rng(101), 40_000, 0.68, 25.0
    places = np.array([[1.1, 0.6], [1.1, -0.6]])

    def draws(*shape: int) -> Array:
        return rng.standard_normal((count, *shape))

    gains = 1 + draws(4) * doubt.gains + doubt.gain * draws(1)
    off_by = doubt.mass * draws(1)
    before = doubt.scatter.warp * draws(1) / math.sqrt(3) * WARP + doubt.resolution * draws(4)
    estimates = np.zeros(count)
    for place in places:
        true_places = place + doubt.place * draws(2)
        true_mass = mass + off_by
        by_hand = plain(1.0, 0.0, 0.0, share) * true_mass
        by_hand = by_hand + true_mass * true_places[:, :1] * (plain(1.0, 1.0, 0.0, share) - plain(1.0, 0.0, 0.0, share))
        by_hand = by_hand + true_mass * true_places[:, 1:] * (plain(1.0, 0.0, 1.0, share) - plain(1.0, 0.0, 0.0, share))
        after = doubt.scatter.warp * draws(1) / math.sqrt(2) * WARP + doubt.resolution * draws(4)
        change = gains * by_hand + after - before
        estimates += (0.5 + change @ WARP / 2 * 1.5 / (2 * mass * place[1])) / 2
    trials = [Trial(2, [mass], [place], plain(mass, place[0], place[1], share)) for place in places]
    found = learning.front_roll_share(PATCHES, 3, trials, doubt)
    assert found.values == pytest.approx([estimates.mean()], abs=5 * estimates.std() / math.sqrt(count))
    assert found.uncertain == pytest.approx([estimates.std()], rel=0.02)  # of 40,000 draws: 0.4 %, and second order


def test_the_uncertainty_of_a_turn_is_that_of_a_simulation() -> None:
    """JCGM 101:2008, 40,000 draws: three turns, each known to 0.05, settling to 0.3 kg."""
    rng, count = np.random.default_rng(102), 40_000
    turned = 3 + 0.05 * rng.standard_normal(count)
    settled = 0.3 * math.sqrt(1 / 3 + 1 / 3) * rng.standard_normal(count)
    estimates = (2.1 * turned + settled) / 3
    doubt = Doubt(Scatter(0.3, np.zeros(3), 0), turns=0.05)
    found = learning.load_per_turn(PATCHES, "LF", 3, [(3.0, Trial(3, change=3 * 2.1 * WARP))], doubt)
    assert found.values == pytest.approx([2.1])
    assert found.uncertain == pytest.approx([estimates.std()], rel=0.02)


def test_what_is_foreseen_is_what_comes() -> None:
    """The uncertainty before weighing is that after it, where the share is as thought."""
    doubt = Doubt(Scatter(0.3, np.zeros(3), 4), 0.05, np.full(4, 0.001), 0.002, 0.05, 0.01)
    places = [(1.1, 0.6), (2.0, -0.4)]
    planned = learning.foreseen(PATCHES, 3, [weight(25, *place) for place in places], doubt, 0.6)
    weighed = [weight(25, *place, plain(25, *place, 0.6)) for place in places]
    assert learning.front_roll_share(PATCHES, 3, weighed, doubt).uncertain == pytest.approx([planned], rel=1e-6)


def test_on_the_centre_line_nothing_is_foreseen() -> None:
    """Whatever the pads show, the share stays unknown."""
    assert math.isinf(learning.foreseen(PATCHES, 3, [weight(40, 1.0, 0.0)], Doubt(Scatter(0.3, np.zeros(3), 4)), 0.5))


def test_the_mass_it_takes() -> None:
    """At s = 1/2 only settling counts, and it counts as 1 / mass: twice the uncertainty wanted, twice the mass."""
    doubt = Doubt(Scatter(0.3, np.zeros(3), 4), place=0.02)
    trials = [weight(20, 1.0, 0.5)]
    now = learning.foreseen(PATCHES, 3, trials, doubt, 0.5)
    assert learning.times_the_mass(PATCHES, 3, trials, doubt, 0.5, now / 2) == pytest.approx(2, rel=2e-3)
    assert learning.times_the_mass(PATCHES, 3, trials, doubt, 0.5, 2 * now) == 1.0
    assert learning.times_the_mass(PATCHES, 3, trials, doubt, 0.9, 1e-4) is None


def test_the_settlings_it_takes() -> None:
    """Of n before and n after, u = 0.3 sqrt(2/n) t/2 1.5/10 with 2 (n - 1) degrees: by the table of Student's t.

    n = 3: 0.0367 x 2.78/2 = 0.0511; n = 4: 0.0318 x 2.45/2 = 0.0390; n = 5: 0.0285 x 2.31/2 = 0.0329.
    """
    doubt, trials = Doubt(Scatter(0.3, np.zeros(3), 4)), [weight(20, 1.0, 0.5)]
    assert learning.settlings_for(PATCHES, trials, doubt, 0.5, 0.052) == 3
    assert learning.settlings_for(PATCHES, trials, doubt, 0.5, 0.040) == 4
    assert learning.settlings_for(PATCHES, trials, doubt, 0.5, 0.035) == 5
    assert learning.settlings_for(PATCHES, trials, doubt, 0.5, 0.001) is None


def test_a_weight_that_does_not_fit_is_found() -> None:
    """Three weights say 0.6 and one, with steering moved, 1.5 kg of warp more: by hand chi-square and which one."""
    places = [(1.1, 0.6), (1.1, -0.6), (2.0, 0.6), (0.6, -0.6)]
    changes = [plain(40, *place, 0.6) for place in places]
    changes[2] = changes[2] + 1.5 * WARP
    trials = [weight(40, *place, change) for place, change in zip(places, changes, strict=True)]
    good = learning.front_roll_share(PATCHES, 3, [*trials[:2], trials[3]], Doubt(Scatter(0.3, np.zeros(3), 30)))
    bad = learning.front_roll_share(PATCHES, 3, trials, Doubt(Scatter(0.3, np.zeros(3), 30)))
    assert good.chance == pytest.approx(1.0)
    assert bad.chance < 0.001
    assert int(np.argmax(np.abs(bad.off))) == 2


def test_chi_square_without_anything_left_over() -> None:
    """One weight and one number: nothing shows whether it fits."""
    found = learning.front_roll_share(PATCHES, 3, [weight(20, 1, 0.5, plain(20, 1, 0.5, 0.6))], CERTAIN)
    assert (found.degrees, found.chi_square, found.chance, list(found.off)) == (0, 0.0, 1.0, [0.0])


def test_against_levers_by_hand() -> None:
    """20 kg told at 1.0 m aft and 0.5 m left; 19.2 kg came, at 1.1 m and 0.5 m: -0.8 kg, 1.12 and -0.4 kg m.

    Standard uncertainties by hand: 0.2, 0.3 and 0.1 of one settling, times sqrt(1/3 + 1/2); 0.05 kg of mass.
    """
    change = plain(19.2, 1.1, 0.5, 0.6)
    doubt = Doubt(Scatter(0.4, np.array([0.2, 0.3, 0.1]), 0), mass=0.05)
    off, uncertain = learning.against_levers(PATCHES, 3, weight(20, 1.0, 0.5, change, settlings=2), doubt)
    assert off == pytest.approx([-0.8, 19.2 * 1.1 - 20, 19.2 * 0.5 - 10])
    settled = np.array([0.2, 0.3, 0.1]) * math.sqrt(1 / 3 + 1 / 2)
    assert uncertain == pytest.approx(np.sqrt(settled**2 + (0.05 * np.array([1.0, 1.0, 0.5])) ** 2))


def test_pads_and_tape_against_levers_by_hand() -> None:
    """0.1 kg of display on four pads, before and after: 0.1 sqrt 8 on the total; tape of 0.01 m: 0.2 kg m each way."""
    trial = weight(20, 1.0, 0.5, plain(20, 1.0, 0.5, 0.6))
    _, by_display = learning.against_levers(PATCHES, 1, trial, Doubt(NO_SCATTER, resolution=0.1))
    assert by_display == pytest.approx([0.1 * math.sqrt(8), 0.1 * 2.5 * 2, 0.1 * 0.75 * math.sqrt(8)])
    _, by_tape = learning.against_levers(PATCHES, 1, trial, Doubt(NO_SCATTER, place=0.01))
    assert by_tape == pytest.approx([0.0, 0.2, 0.2])
    _, by_gain = learning.against_levers(PATCHES, 1, trial, Doubt(NO_SCATTER, gain=0.01))
    assert by_gain == pytest.approx([0.2, 0.2, 0.1])


def test_turns_change_no_levers() -> None:
    """A trial without masses is held against nothing at all."""
    off, _ = learning.against_levers(PATCHES, 3, Trial(3, change=4 * WARP), CERTAIN)
    assert off == pytest.approx([0, 0, 0], abs=1e-9)
