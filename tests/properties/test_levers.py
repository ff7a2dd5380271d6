"""Identities of a mass on four wheels. Source: equilibrium of forces and moments, linearity, and symmetry."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ballast.physics.statics import (
    Array,
    centre_of_gravity,
    contact_patches,
    diagonal_share,
    front_share,
    height_after,
    influence,
    left_share,
    lever_matrix,
    rear_pair,
    stand,
    warp,
)
from tests.properties.cars import (
    Car,
    Load,
    afts,
    cars,
    lefts,
    loadings,
    loads,
    masses,
    mirrored,
    mirrored_places,
    numbers,
    roll_shares,
)

ROUNDING = 1e-9
"""Double precision, with room for some thousand kg. [kg], [m], shares"""


def same(value: Array | float, other: Array | float) -> bool:
    """Whether two answers agree within rounding."""
    return bool(np.allclose(value, other, rtol=0.0, atol=ROUNDING))


def test_contact_patches_are_where_the_definition_puts_them() -> None:
    """LF and RF half a front track beside the centre line at aft 0, LR and RR half a rear track at the wheelbase."""
    car = Car(2.48, 1.465, 1.44, 0.5)
    assert same(contact_patches(car.wheelbase, car.track_front, car.track_rear), car.patches())


@given(car=cars(), aft=afts, left=lefts)
def test_influence_keeps_force_and_moments(car: Car, aft: float, left: float) -> None:
    """The four shares add up to 1, and their moments to the place of the mass: A^T u = [1, aft, left]."""
    shares = influence(car.patches(), car.roll_share, aft, left)
    assert same(shares.sum(), 1.0)
    assert same(shares @ car.patches(), np.array([aft, left]))
    assert same(lever_matrix(car.patches()).T @ shares, np.array([1.0, aft, left]))


@given(car=cars(), load=loadings())
def test_standing_keeps_force_and_moments(car: Car, load: Load) -> None:
    """The loads under a list of masses have its sum and its two moments."""
    found = stand(car.patches(), car.roll_share, load.masses, load.places)
    assert same(found.sum(), load.masses.sum())
    assert same(found @ car.patches(), load.masses @ load.places)


@given(car=cars(), load=loadings())
def test_the_closed_form_is_the_solution_of_the_equations(car: Car, load: Load) -> None:
    """Influence, one mass at a time, and the solved equations for the whole list agree."""
    shares = influence(car.patches(), car.roll_share, load.places[:, 0], load.places[:, 1])
    assert same(load.masses @ shares, stand(car.patches(), car.roll_share, load.masses, load.places))


@given(car=cars(), load=loadings())
def test_influence_of_many_places_is_that_of_each(car: Car, load: Load) -> None:
    """Asked for many places at once, it answers for each in its own row."""
    at_once = influence(car.patches(), car.roll_share, load.places[:, 0], load.places[:, 1])
    one_by_one = [influence(car.patches(), car.roll_share, aft, left) for aft, left in load.places]
    assert same(at_once, np.array(one_by_one))


@given(car=cars(), load=loadings(), factor=numbers(-5.0, 5.0))
def test_linear_in_mass(car: Car, load: Load, factor: float) -> None:
    """Masses times a factor give loads times that factor."""
    once = stand(car.patches(), car.roll_share, load.masses, load.places)
    assert same(stand(car.patches(), car.roll_share, factor * load.masses, load.places), factor * once)


@given(car=cars(), one=loadings(), other=loadings())
def test_two_lists_add_up(car: Car, one: Load, other: Load) -> None:
    """Two lists of masses together give the sum of what each gives."""
    together = stand(
        car.patches(),
        car.roll_share,
        np.concatenate([one.masses, other.masses]),
        np.concatenate([one.places, other.places]),
    )
    apart = [stand(car.patches(), car.roll_share, load.masses, load.places) for load in (one, other)]
    assert same(together, apart[0] + apart[1])


@given(car=cars(), load=loadings())
def test_a_mirrored_car_gives_a_mirrored_answer(car: Car, load: Load) -> None:
    """Every mass on the other side exchanges the loads of left and right."""
    found = stand(car.patches(), car.roll_share, load.masses, load.places)
    assert same(
        stand(car.patches(), car.roll_share, load.masses, mirrored_places(load.places)),
        mirrored(found),
    )


@given(car=cars(), aft=afts, left=lefts)
def test_a_mirrored_place_gives_mirrored_shares(car: Car, aft: float, left: float) -> None:
    """The closed form is symmetric too; on the centre line left and right carry the same."""
    at = influence(car.patches(), car.roll_share, aft, left)
    assert same(influence(car.patches(), car.roll_share, aft, -left), mirrored(at))
    middle = influence(car.patches(), car.roll_share, aft, 0.0)
    assert same(middle, mirrored(middle))


@given(car=cars(), mass=masses, part=numbers(0.0, 1.0), aft=afts, left=lefts)
def test_two_half_plates_equal_one(car: Car, mass: float, part: float, aft: float, left: float) -> None:
    """A plate cut in two, in any proportion, weighs the same on every pad."""
    whole = stand(car.patches(), car.roll_share, [mass], [[aft, left]])
    cut = stand(car.patches(), car.roll_share, [part * mass, (1 - part) * mass], [[aft, left], [aft, left]])
    assert same(whole, cut)


@given(car=cars(), bare=loads, mass=masses, start=st.tuples(afts, lefts), end=st.tuples(afts, lefts))
def test_a_move_is_a_removal_and_an_addition(
    car: Car, bare: Array, mass: float, start: tuple[float, float], end: tuple[float, float]
) -> None:
    """Moving a plate changes the loads by its mass times the difference of influence, and the total not at all."""
    before = bare + stand(car.patches(), car.roll_share, [mass], [start])
    removed = before + stand(car.patches(), car.roll_share, [-mass], [start])
    moved = removed + stand(car.patches(), car.roll_share, [mass], [end])
    difference = influence(car.patches(), car.roll_share, *end) - influence(car.patches(), car.roll_share, *start)
    assert same(removed, bare)
    assert same(moved, before + mass * difference)
    assert same(moved.sum(), before.sum())


@given(car=cars(), bare=loads, load=loadings(least=0.0))
def test_the_centre_of_gravity_is_that_of_all_masses(car: Car, bare: Array, load: Load) -> None:
    """The centre over the new loads is the mean of the old centre and the places, weighted by mass."""
    total, centre = bare.sum(), centre_of_gravity(car.patches(), bare)
    after = bare + stand(car.patches(), car.roll_share, load.masses, load.places)
    expected = (total * centre + load.masses @ load.places) / (total + load.masses.sum())
    assert same(centre_of_gravity(car.patches(), after), expected)


@given(car=cars(), bare=loads)
def test_the_centre_of_gravity_by_the_textbook_formula(car: Car, bare: Array) -> None:
    """aft = L (LR + RR) / T, left = [(LF - RF) tf / 2 + (LR - RR) tr / 2] / T."""
    lf, rf, lr, rr = bare
    aft, left = centre_of_gravity(car.patches(), bare)
    assert same(aft, car.wheelbase * (lr + rr) / bare.sum())
    assert same(left, ((lf - rf) * car.track_front / 2 + (lr - rr) * car.track_rear / 2) / bare.sum())


@given(bare=loads)
def test_shares_by_their_definition(bare: Array) -> None:
    """Front, left, both diagonals by name and the rear pair from the four loads; the diagonals add up to 1."""
    lf, rf, lr, rr = bare
    total = lf + rf + lr + rr
    assert same(front_share(bare), (lf + rf) / total)
    assert same(left_share(bare), (lf + lr) / total)
    assert same(diagonal_share(bare, "RF+LR"), (rf + lr) / total)
    assert same(diagonal_share(bare, "LF+RR"), (lf + rr) / total)
    assert same(diagonal_share(bare, "RF+LR") + diagonal_share(bare, "LF+RR"), 1.0)
    assert same(rear_pair(bare), lr - rr)


@given(rows=st.lists(loads, min_size=1, max_size=5))
def test_shares_of_many_settlings_are_those_of_each(rows: list[Array]) -> None:
    """Rows of loads give one share a row."""
    table = np.array(rows)
    assert same(front_share(table), np.array([float(front_share(row)) for row in rows]))
    assert same(left_share(table), np.array([float(left_share(row)) for row in rows]))
    assert same(diagonal_share(table, "LF+RR"), np.array([float(diagonal_share(row, "LF+RR")) for row in rows]))
    assert same(rear_pair(table), np.array([float(rear_pair(row)) for row in rows]))


@given(car=cars(equal_tracks=True), bare=loads, load=loadings(least=0.0))
def test_equal_tracks_and_equal_stiffness_leave_a_diagonal_of_half(car: Car, bare: Array, load: Load) -> None:
    """With equal tracks and s = 1/2 no mass anywhere moves a 50 % diagonal."""
    lf, rf, lr, _ = bare
    # RR such that LF + RR = RF + LR.
    level = np.array([lf, rf, lr, rf + lr - lf])
    after = level + stand(car.patches(), 0.5, load.masses, load.places)
    assert same(diagonal_share(after, "RF+LR"), 0.5)


@given(car=cars())
def test_warp_is_what_statics_does_not_see(car: Car) -> None:
    """Warp has no sum and no moment, is 1 at LF, and [1, -1, -tf/tr, tf/tr] for parallel axles."""
    found, ratio = warp(car.patches()), car.track_front / car.track_rear
    assert same(lever_matrix(car.patches()).T @ found, np.zeros(3))
    assert same(found, np.array([1.0, -1.0, -ratio, ratio]))


@given(car=cars(), off=st.lists(numbers(-0.1, 0.1), min_size=8, max_size=8))
def test_warp_of_a_car_out_of_square(car: Car, off: list[float]) -> None:
    """With every wheel somewhere of its own, warp still has no sum, no moment, and 1 at LF."""
    patches = car.patches() + np.reshape(off, (4, 2))
    found = warp(patches)
    assert same(lever_matrix(patches).T @ found, np.zeros(3))
    assert same(found[0], 1.0)


@given(car=cars(), other=roll_shares, mass=masses, aft=afts, left=lefts)
def test_roll_stiffness_adds_warp_and_nothing_else(
    car: Car, other: float, mass: float, aft: float, left: float
) -> None:
    """Another front share s' changes the loads by m left (s' - s) / tf times the warp: total and axle loads stay."""
    one, two = (mass * influence(car.patches(), share, aft, left) for share in (car.roll_share, other))
    ratio = car.track_front / car.track_rear
    size = mass * left * (other - car.roll_share) / car.track_front
    assert same(two - one, size * np.array([1.0, -1.0, -ratio, ratio]))


@given(car=cars(), other=roll_shares, bare=loads, mass=masses, aft=afts, left=lefts)
def test_left_follows_the_diagonal_only_where_tracks_differ(
    car: Car, other: float, bare: Array, mass: float, aft: float, left: float
) -> None:
    """When s changes, left moves (tr - tf)/(tr + tf) as far as LF+RR, which is nothing for equal tracks; front stays.

    Left changes by 1 - tf/tr for a warp of 1, LF+RR by 1 + tf/tr.
    """
    one, two = (bare + mass * influence(car.patches(), share, aft, left) for share in (car.roll_share, other))
    slope = (car.track_rear - car.track_front) / (car.track_rear + car.track_front)
    diagonal = diagonal_share(two, "LF+RR") - diagonal_share(one, "LF+RR")
    assert same(left_share(two) - left_share(one), slope * diagonal)
    assert same(front_share(two), front_share(one))


@given(car=cars(), aft=afts, left=lefts, share=roll_shares)
def test_the_couple_divides_by_the_roll_share(car: Car, aft: float, left: float, share: float) -> None:
    """The front wheels' moment about the centre line is s of the whole, in both routes."""
    for lf, rf, lr, rr in (
        influence(car.patches(), share, aft, left),
        stand(car.patches(), share, [1.0], [[aft, left]]),
    ):
        assert same((lf - rf) * car.track_front / 2, share * left)
        assert same((lr - rr) * car.track_rear / 2, (1 - share) * left)


@given(
    mass=numbers(300.0, 2000.0),
    height=numbers(0.2, 0.8),
    items=st.lists(st.tuples(masses, numbers(0.0, 1.5)), min_size=1, max_size=5),
)
def test_height_goes_up_and_comes_back(mass: float, height: float, items: list[tuple[float, float]]) -> None:
    """The height after masses were put on is their weighted mean; taking them off again brings the old one back."""
    put_on, heights = np.array(items).T
    higher = height_after(mass, height, put_on, heights)
    assert same(higher, float(np.average([height, *heights], weights=[mass, *put_on])))
    assert same(height_after(mass + put_on.sum(), higher, -put_on, heights), height)


@given(car=cars(), bare=loads, factor=numbers(0.1, 10.0))
def test_percentages_and_centre_do_not_know_the_unit_of_mass(car: Car, bare: Array, factor: float) -> None:
    """Loads in another unit, or pads with a common gain error, leave every share and the centre where they are."""
    assert same(front_share(factor * bare), front_share(bare))
    assert same(left_share(factor * bare), left_share(bare))
    assert same(diagonal_share(factor * bare, "RF+LR"), diagonal_share(bare, "RF+LR"))
    assert same(centre_of_gravity(car.patches(), factor * bare), centre_of_gravity(car.patches(), bare))
