"""How a car stands on its four pads: where its wheels are, and how its springs divide a mass among them.

However much or little is known of the springs, the shares of a mass are levers + n (c0 + c1 aft + c2 left + c3 aft
left), n being the warp. Whether the c come from a roll share, from trial weights or from spring rates, all after is the
same: planner, uncertainty, reach and weighing see a `Stance` and no springs.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.corners import CORNERS, Corner
from ballast.physics import suspension
from ballast.physics.statics import ON_FRONT, Array, in_warp, influence, levers, warp
from ballast.physics.suspension import Springs

RECTANGULAR = 1 / np.sqrt(3)
"""Standard uncertainty of something known to lie within one, either way. Source: JCGM 100:2008, 4.3.7."""

EXACT = 14
"""Decimals of a share that are more than rounding: what is left of a nought would be a coefficient to the solver."""


@dataclass(frozen=True)
class Stance:
    """Where the wheels are, and the warp that a mass brings by its place."""

    patches: Array
    """(4, 2), aft and left [m]"""
    by_place: Array
    """(4,), the c above: [-], [1/m], [1/m], [1/m2]"""
    within: Array
    """(k, 4), how far `by_place` may be off either way by each of k independent causes; k may be 0"""
    on_wheels: Array
    """(4, 4), row i the share on each corner of a mass that wheel i carries, not the chassis"""


def by_roll_share(patches: ArrayLike, front_roll_share: float, within: float = 0.0) -> Stance:
    """A car of which the front share of the roll stiffness is known, and how far it may be off either way. [-]"""
    places = np.asarray(patches, dtype=float)
    low, value, high = (_of_roll_share(places, front_roll_share + off) for off in (-within, 0.0, within))
    return Stance(places, value, np.array([(high - low) / 2]), np.eye(len(CORNERS)))


def by_learning(patches: ArrayLike, coefficients: ArrayLike, within: ArrayLike) -> Stance:
    """A car whose warp was learned from trial weights. coefficients : (3,), c0 to c2; within : (k, 3)."""
    by_place = np.append(np.asarray(coefficients, dtype=float), 0.0)
    off = np.asarray(within, dtype=float)
    return Stance(np.asarray(patches, dtype=float), by_place, np.pad(off, ((0, 0), (0, 1))), np.eye(len(CORNERS)))


def by_springs(springs: Springs, low: Springs, high: Springs) -> Stance:
    """A car whose rates are known. low, high : the same with rates as far off as they may be, either way."""
    off = (suspension.warp_coefficients(high) - suspension.warp_coefficients(low)) / 2
    patches = np.asarray(springs.patches, dtype=float)
    return Stance(patches, suspension.warp_coefficients(springs), off[np.newaxis], _wheels(springs))


def beside_springs(stance: Stance, springs: Springs) -> Stance:
    """A stance that was measured on the car, with what its springs say besides: twist, and masses that wheels carry.

    What was measured is that of a mass midway between the axles; a chassis that twists leaves more of a mass to the
    axle it is nearer to.
    """
    twist, middle = suspension.warp_coefficients(springs)[3], float(stance.patches[:, 0].mean())
    by_place = stance.by_place + twist * np.array([0.0, 0.0, -middle, 1.0])
    return Stance(stance.patches, by_place, stance.within, _wheels(springs))


def shares(stance: Stance, aft: ArrayLike, left: ArrayLike) -> Array:
    """Share of a mass on the chassis that each corner carries.

    aft, left : scalars or arrays of one shape (...). [m]
    Returns (..., 4), order CORNERS, sum 1; a share may be negative. [-]
    """
    warped = _places(aft, left) @ stance.by_place
    found = levers(stance.patches, aft, left) + np.multiply.outer(warped, warp(stance.patches))
    return np.round(found, EXACT)


def on_wheel(stance: Stance, corner: Corner) -> Array:
    """Share on each corner of a mass that one wheel carries. Returns (4,). [-]"""
    return np.asarray(stance.on_wheels[CORNERS.index(corner)])


def slopes(stance: Stance, aft: ArrayLike, left: ArrayLike) -> tuple[Array, Array]:
    """How the shares change for each metre aft and each metre left at a place. Returns two of (..., 4). [1/m]"""
    here = shares(stance, aft, left)  # a straight line in either, so a step of one metre is exact
    along, across = np.asarray(aft, dtype=float), np.asarray(left, dtype=float)
    return shares(stance, along + 1, across) - here, shares(stance, along, across + 1) - here


def warp_within(stance: Stance, masses: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """How far masses' load on the first corner may be off by each cause, since the springs are not known better. [kg]

    masses, aft, left : (n,). Returns (k,); the other corners are off by the warp times as much.
    """
    return np.asarray(stance.within @ (np.asarray(masses, dtype=float) @ _places(aft, left)))


def front_roll_share(stance: Stance, off: ArrayLike = 0.0) -> float:
    """Front share of the moment about the centre line that a mass moved sideways makes, midway between the axles. [-]

    off : (4,), added to `by_place`.
    Of a car alike left and right with a rigid chassis this is the share that `statics.influence` takes, wherever the
    mass is along the car; of any other it says less than `shares` does. Source: definition.
    """
    shifted = Stance(stance.patches, stance.by_place + np.asarray(off, dtype=float), stance.within, stance.on_wheels)
    middle = float(stance.patches[:, 0].mean())
    by_left = slopes(shifted, middle, 0.0)[1]
    return float(by_left @ (ON_FRONT * stance.patches[:, 1]))


def _wheels(springs: Springs) -> Array:
    """Shares of masses that the wheels carry. Returns (4, 4)."""
    return np.array([suspension.influence_of_wheel(springs, corner) for corner in CORNERS])


def _of_roll_share(patches: Array, share: float) -> Array:
    """The c of a car whose axles divide a couple by their roll stiffnesses. Returns (4,)."""
    at = in_warp(patches, influence(patches, share, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]))
    return np.array([at[0], at[1] - at[0], at[2] - at[0], 0.0])


def _places(aft: ArrayLike, left: ArrayLike) -> Array:
    """[1, aft, left, aft left] of each place. Returns (..., 4)."""
    along, across = np.broadcast_arrays(np.asarray(aft, dtype=float), np.asarray(left, dtype=float))
    return np.stack([np.ones_like(along), along, across, along * across], axis=-1)
