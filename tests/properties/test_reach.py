"""Where the ballast has to be, and how far the mounts reach. Source: statics, and a linear programme of scipy's."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from ballast.physics.reach import needed_centroid, outline, reaches
from ballast.physics.statics import ON_FRONT, ON_LEFT, Array, front_share, influence, left_share, stand
from tests.properties.cars import Car, Mounts, cars, filling, loads, mounts, numbers

SHARE = 1e-9
"""[-]"""
LENGTH = 1e-6
"""[m]"""
PUSH = 0.01
"""How far beyond the edge a point is plainly outside. [m]"""

shares = numbers(0.3, 0.7)
ballasts = numbers(2.0, 150.0)
angles = numbers(0.0, 2 * math.pi)


def rows(car: Car) -> Array:
    """Influence at the origin, and its change for a metre aft and a metre left. (3, 4)"""
    at = influence(car.patches(), car.roll_share, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return np.array([at[0], at[1] - at[0], at[2] - at[0]])


def needed(
    car: Car, bare: Array, mass: float, front: float | None, left: float | None
) -> tuple[float | None, float | None]:
    """The package's answer for a random car."""
    return needed_centroid(bare, mass, rows(car), front, left, on_front=ON_FRONT, on_left=ON_LEFT)


def by_hand(car: Car, bare: Array, mass: float, front: float, left: float) -> tuple[float, float]:
    """The same in closed form, for a car that is the same left and right, from lever arms. [m]

    Behind the front axle, moments: L (rear load wanted - rear load there) / mass. Sideways: the left wheels take half
    of the mass and left (s/tf + (1-s)/tr) of it besides.
    """
    lf, _, lr, rr = bare
    total = bare.sum() + mass
    lean = car.roll_share / car.track_front + (1 - car.roll_share) / car.track_rear
    return (
        car.wheelbase * ((1 - front) * total - (lr + rr)) / mass,
        (left * total - (lf + lr) - mass / 2) / (mass * lean),
    )


@given(car=cars(), bare=loads, mass=ballasts, front=shares, left=shares)
def test_ballast_at_the_needed_place_gives_the_shares_asked_for(
    car: Car, bare: Array, mass: float, front: float, left: float
) -> None:
    """Once the mass stands where it has to be, front and left are exactly as asked."""
    aft, sideways = needed(car, bare, mass, front, left)
    assert aft is not None
    assert sideways is not None
    after = bare + stand(car.patches(), car.roll_share, [mass], [[aft, sideways]])
    assert math.isclose(float(front_share(after)), front, abs_tol=SHARE)
    assert math.isclose(float(left_share(after)), left, abs_tol=SHARE)


@given(car=cars(), bare=loads, mass=ballasts, front=shares, left=shares)
def test_the_needed_place_in_closed_form(car: Car, bare: Array, mass: float, front: float, left: float) -> None:
    """The two linear equations give what the lever rule gives by hand, together and each alone."""
    aft, sideways = by_hand(car, bare, mass, front, left)
    both = needed(car, bare, mass, front, left)
    assert np.allclose(np.array(both, dtype=float), [aft, sideways], rtol=1e-9, atol=LENGTH)
    only_front, none_left = needed(car, bare, mass, front, None)
    none_front, only_left = needed(car, bare, mass, None, left)
    assert none_left is None
    assert none_front is None
    assert only_front is not None
    assert only_left is not None
    assert math.isclose(only_front, aft, rel_tol=1e-9, abs_tol=LENGTH)
    assert math.isclose(only_left, sideways, rel_tol=1e-9, abs_tol=LENGTH)


@given(where=mounts(), data=st.data())
def test_whatever_the_mounts_can_carry_is_reached(where: Mounts, data: st.DataObject) -> None:
    """A mixture of fillings in random orders is a filling, and its centroid is inside."""
    orders = st.permutations(range(len(where.capacities)))
    fills = np.array([filling(where, list(order)) for order in data.draw(st.lists(orders, min_size=1, max_size=4))])
    parts = np.array(data.draw(st.lists(numbers(0.01, 1.0), min_size=len(fills), max_size=len(fills))))
    filled = parts / parts.sum() @ fills
    aft, left = filled @ where.places / filled.sum()
    region = outline(where.places, where.capacities, where.mass)
    assert reaches(region, float(aft), float(left))
    assert reaches(region, float(aft), None)
    assert reaches(region, None, float(left))


def farthest(where: Mounts, direction: Array) -> float:
    """How far the centroid can be in a direction, by a linear programme of scipy's. [m]"""
    answer = linprog(
        -(where.places @ direction) / where.mass,
        A_eq=np.ones((1, len(where.capacities))),
        b_eq=[where.mass],
        bounds=[(0.0, room) for room in where.capacities],
        method="highs",
    )
    assert answer.success
    return -float(answer.fun)


@settings(max_examples=60)
@given(where=mounts(), angle=angles)
def test_the_outline_reaches_as_far_as_a_linear_programme(where: Mounts, angle: float) -> None:
    """In any direction the farthest corner of the outline is the optimum of the linear programme."""
    direction = np.array([math.cos(angle), math.sin(angle)])
    region = outline(where.places, where.capacities, where.mass)
    assert math.isclose(float((region @ direction).max()), farthest(where, direction), abs_tol=LENGTH)


@given(where=mounts(), angle=angles)
def test_beyond_the_edge_is_refused(where: Mounts, angle: float) -> None:
    """A point 10 mm beyond the farthest corner in any direction is outside, the corner itself is inside."""
    direction = np.array([math.cos(angle), math.sin(angle)])
    region = outline(where.places, where.capacities, where.mass)
    corner = region[int(np.argmax(region @ direction))]
    beyond = corner + PUSH * direction
    assert reaches(region, float(corner[0]), float(corner[1]))
    assert not reaches(region, float(beyond[0]), float(beyond[1]))


@given(where=mounts())
def test_the_outline_is_convex_and_turns_one_way(where: Mounts) -> None:
    """Going round the corners, every turn is to the same side."""
    region = outline(where.places, where.capacities, where.mass)
    edges = np.roll(region, -1, axis=0) - region
    nexts = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * nexts[:, 1] - edges[:, 1] * nexts[:, 0]
    assert (turns >= -SHARE).all() or (turns <= SHARE).all()


@given(where=mounts())
def test_the_outline_does_not_know_the_order_of_the_mounts(where: Mounts) -> None:
    """The mounts in another order give the same region: each holds the corners of the other."""
    one = outline(where.places, where.capacities, where.mass)
    other = outline(where.places[::-1], where.capacities[::-1], where.mass)
    assert all(reaches(other, float(aft), float(left)) for aft, left in one)
    assert all(reaches(one, float(aft), float(left)) for aft, left in other)


@given(where=mounts(), part=numbers(0.05, 1.0))
def test_less_ballast_reaches_at_least_as_far(where: Mounts, part: float) -> None:
    """A smaller mass has more room, so its region holds that of the greater one."""
    heavy = outline(where.places, where.capacities, where.mass)
    light = outline(where.places, where.capacities, part * where.mass)
    assert all(reaches(light, float(aft), float(left)) for aft, left in heavy)
