"""Random cars, masses and mounts. Lengths in m, masses in kg, as inside the package."""

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from ballast.physics.statics import Array


@dataclass(frozen=True)
class Car:
    """Two parallel axles on one centre line."""

    wheelbase: float
    track_front: float
    track_rear: float
    roll_share: float
    """front share of the roll stiffness"""

    def patches(self) -> Array:
        """Contact patches in the order LF, RF, LR, RR by their definition, not by the package. (4, 2)"""
        front, rear, back = self.track_front / 2, self.track_rear / 2, self.wheelbase
        return np.array([[0.0, front], [0.0, -front], [back, rear], [back, -rear]])


@dataclass(frozen=True)
class Load:
    """Masses at places; a negative mass is taken off."""

    masses: Array
    """(n,)"""
    places: Array
    """(n, 2), aft and left"""


@dataclass(frozen=True)
class Mounts:
    """Mounts, what each can carry, and a mass that fits on them."""

    places: Array
    """(n, 2), aft and left"""
    capacities: Array
    """(n,)"""
    mass: float


def numbers(least: float, most: float) -> st.SearchStrategy[float]:
    """Any number between two, without the subnormal ones, which no tape and no pad can show."""
    return st.floats(least, most, allow_nan=False, allow_subnormal=False)


roll_shares = numbers(0.0, 1.0)
afts = numbers(-1.0, 4.5)
lefts = numbers(-1.0, 1.0)
masses = numbers(0.1, 100.0)
tracks = numbers(0.9, 2.0)
loads = st.lists(numbers(50.0, 600.0), min_size=4, max_size=4).map(np.array)
"""What four pads show under a bare car."""


@st.composite
def cars(draw: st.DrawFn, equal_tracks: bool = False) -> Car:
    """Any car; with equal tracks where asked for."""
    front = draw(tracks)
    return Car(draw(numbers(1.5, 3.5)), front, front if equal_tracks else draw(tracks), draw(roll_shares))


@st.composite
def loadings(draw: st.DrawFn, least: float = -60.0) -> Load:
    """One to six masses, put on or (unless `least` forbids) taken off."""
    rows = draw(st.lists(st.tuples(numbers(least, 60.0), afts, lefts), min_size=1, max_size=6))
    table = np.array(rows)
    return Load(table[:, 0], table[:, 1:])


@st.composite
def mounts(draw: st.DrawFn) -> Mounts:
    """One to eight mounts on a 10 mm grid, so that some share a place or a line; some full at once, some unusable."""
    count = draw(st.integers(1, 8))
    places = [(draw(st.integers(-100, 350)) / 100, draw(st.integers(-80, 80)) / 100) for _ in range(count)]
    rooms = [draw(st.integers(0, 80)) / 2 for _ in range(count)]
    if sum(rooms) == 0:
        rooms[0] = 10.0
    filled = draw(st.one_of(numbers(0.05, 0.99), st.just(1.0)))
    return Mounts(np.array(places), np.array(rooms), filled * sum(rooms))


def filling(where: Mounts, order: list[int]) -> Array:
    """Masses when the mounts are filled one after the other in an order until the mass is used up. (n,)"""
    left, filled = where.mass, np.zeros(len(where.capacities))
    for mount in order:
        filled[mount] = min(left, where.capacities[mount])
        left -= filled[mount]
    return filled


def mirrored(corner_loads: Array) -> Array:
    """Left and right exchanged."""
    lf, rf, lr, rr = corner_loads
    return np.array([rf, lf, rr, lr])


def mirrored_places(places: Array) -> Array:
    """Left and right exchanged."""
    return np.asarray(places * np.array([1.0, -1.0]))
