"""Spring platforms and pad heights: what they do to the corner loads, to the ride height, and what they cannot do.

A platform raised at its spring and a pad raised under its tyre are one and the same to everything above them:
`as_pads` and `as_platforms` exchange the two. Neither changes the total or a moment, so the loads change by a multiple
of the warp n alone; with equal tracks left % never moves. Conventions and neglects as in `ballast.physics.suspension`.
"""

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array, lever_matrix, warp
from ballast.physics.suspension import (
    Springs,
    at_the_wheels,
    give,
    rise_on_pads,
    sink,
    twist_under_warp,
    warp_stiffness,
)
from ballast.units import STANDARD_GRAVITY


def as_pads(springs: Springs, lifts: ArrayLike) -> Array:
    """Heights of the pads that would do to chassis and loads what lifts of the platforms do.

    lifts : (..., 4), of each platform along its own spring, up (more load) positive. [m]
    Returns (..., 4). [m]
    Source: equilibrium of the springs, S^-1 M^T diag(rates) p.
    """
    forces = np.asarray(lifts, dtype=float) * np.asarray(springs.rates, dtype=float) @ np.asarray(springs.motion)
    return np.asarray(forces @ np.linalg.inv(at_the_wheels(springs)))


def as_platforms(springs: Springs, heights: ArrayLike) -> Array:
    """Lifts of the platforms that would do what raised pads do: the inverse of `as_pads`. (..., 4) to (..., 4). [m]"""
    forces = np.asarray(heights, dtype=float) @ at_the_wheels(springs)
    return np.asarray(forces @ np.linalg.inv(np.asarray(springs.motion)) / np.asarray(springs.rates, dtype=float))


def load_change_on_pads(springs: Springs, heights: ArrayLike) -> Array:
    """What raised pads, or tyres of other loaded radii, change in the corner loads.

    heights : (..., 4), each pad above any common plane. [m]
    Returns (..., 4), a multiple of the warp. [kg]
    A plane tilt of the pads changes nothing here. Neglects that a slope moves the line of the centre of gravity.
    Source: P e / g, P of `suspension.warp_stiffness`.
    """
    return np.asarray(np.multiply.outer(np.asarray(heights, dtype=float) @ pad_sensitivity(springs), _null(springs)))


def load_change(springs: Springs, lifts: ArrayLike) -> Array:
    """What lifts of the platforms change in the corner loads.

    lifts : (..., 4), of each platform along its own spring, up positive. [m]
    Returns (..., 4), a multiple of the warp. [kg]
    Source: P S^-1 M^T diag(rates) p / g.
    """
    return load_change_on_pads(springs, as_pads(springs, lifts))


def pad_sensitivity(springs: Springs) -> Array:
    """Change of the load at the first corner for each metre one pad is raised, pad by pad. (4,) [kg/m]

    The other corners change by the warp times as much.
    """
    return np.asarray(warp_stiffness(springs) * _null(springs) / STANDARD_GRAVITY)


def platform_sensitivity(springs: Springs) -> Array:
    """Change of the load at the first corner for each metre one platform is raised, platform by platform. (4,) [kg/m]

    The other corners change by the warp times as much.
    """
    return np.asarray(as_pads(springs, np.eye(4)) @ pad_sensitivity(springs))


def rise(springs: Springs, lifts: ArrayLike) -> Array:
    """How far lifts of the platforms raise the chassis above each pad.

    lifts : (..., 4), up positive. [m]
    Returns (..., 4), up positive, twist of the chassis included. [m]
    Source: A (A^T K A)^-1 A^T K S^-1 M^T diag(rates) p.
    """
    return rise_on_pads(springs, as_pads(springs, lifts))


def lifts_that_hold_height(springs: Springs) -> Array:
    """Lifts of the four platforms that put one kg of warp on the first corner and leave the chassis where it is.

    Returns (4,), for each kg. [m/kg]
    Heave, pitch and roll stay exactly zero, and with a rigid chassis every corner. A chassis that twists does so with
    any change of the diagonal, and no platform can hold that.
    Source: pads that follow what suspension and tyres give under n, K^-1 n, and the twist; S K^-1 n at the springs.
    """
    followed = give(springs) @ _null(springs) - twist_under_warp(springs)
    return as_platforms(springs, STANDARD_GRAVITY * followed)


def lifts_that_give_back(springs: Springs, masses: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """Lifts of the four platforms that raise the chassis by what masses brought it down, and touch no load.

    masses [kg]; aft, left [m] : scalars or arrays of shapes that go together (...), each mass by itself.
    Returns (..., 4). [m]
    Heave, pitch and roll come back; what the masses twist the chassis stays, for that is theirs and not the springs'.
    Source: M^T diag(rates) p = S A q, q of `suspension.sink`.
    """
    return as_platforms(springs, sink(springs, masses, aft, left) @ lever_matrix(springs.patches).T)


def _null(springs: Springs) -> Array:
    """The warp of the car. (4,) [-]"""
    return warp(springs.patches)
