"""Four springs under a car: how stiff its wheels stand, who carries a mass put on it, and how far it comes down.

Small displacements and linear springs, no friction, every wheel on its pad. Travel of a wheel is how far it comes up
towards the chassis; loads are masses as the pads show them [kg]; a last axis of four is the corner, order CORNERS.
The warp n is that of `statics.warp`, 1 at the first corner. Nothing here asks that left and right be alike.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.corners import CORNERS, FRONT, REAR, Corner, difference
from ballast.physics.statics import ON_FRONT, ON_REAR, Array, in_warp, lever_matrix, warp
from ballast.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class Springs:
    """All that holds a car up, in one state of the bars: what follows from it holds for that state alone."""

    patches: ArrayLike
    """contact patches, (4, 2), aft and left, each wheel in a place of its own [m]"""
    rates: ArrayLike
    """(4,), of each spring along its own line, above 0 [N/m]"""
    motion: ArrayLike
    """(4, 4), travel of each spring by travel of each wheel, of `motion` [-]"""
    bar_front: float = 0.0
    """force at one wheel for each metre by which left and right travel differ, 0 when disconnected [N/m]"""
    bar_rear: float = 0.0
    """the same behind [N/m]"""
    tyres: ArrayLike | None = None
    """(4,), rate of each tyre upright; none leaves the tyres rigid [N/m]"""
    twist: float | None = None
    """torque between the axles that twists the chassis by one radian; none for a rigid chassis [N m/rad]"""


def independent_axle(ratio_left: float, ratio_right: float) -> Array:
    """Travel of the two springs of an axle by travel of its two wheels, each wheel on a spring of its own.

    ratios : travel of the spring by travel of the wheel, at ride height. [-]
    Returns (2, 2), left first. [-]
    Neglects that the ratio changes with travel, and what that adds to the rate of a spring under load.
    Source: virtual work; D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (2018), eq. 3.29-3.33: a
    spring at c and a wheel at b from the pivot have the ratio c/b, and the wheel the rate of the spring times (c/b)^2.
    """
    return np.diag([ratio_left, ratio_right])


def beam_axle(ratio_left: float, ratio_right: float, spring_base: float, track: float) -> Array:
    """Travel of the two springs of an axle by travel of its two wheels, both wheels on one rigid beam.

    ratios : travel of the spring by travel of the beam where the spring stands. [-]
    spring_base : between the springs, in the middle of the beam; track : between the wheels. [m]
    Returns (2, 2), left first. [-]
    Neglects what `independent_axle` does, and the linkage that guides the beam. Source: geometry of a straight line.
    """
    lean = spring_base / track
    near, far = (1 + lean) / 2, (1 - lean) / 2
    return np.array([[ratio_left * near, ratio_left * far], [ratio_right * far, ratio_right * near]])


def motion(front: ArrayLike, rear: ArrayLike) -> Array:
    """Travel of each spring by travel of each wheel, from the two axles: M.

    front, rear : (2, 2), left first, of `independent_axle` or `beam_axle`. [-]
    Returns (4, 4), springs and wheels in the order CORNERS. [-]
    """
    whole = np.zeros((4, 4))
    for pair, axle in ((FRONT, front), (REAR, rear)):
        where = [CORNERS.index(corner) for corner in pair]
        whole[np.ix_(where, where)] = axle
    return whole


def at_the_wheels(springs: Springs) -> Array:
    """Force between each wheel and the chassis by travel of each wheel, springs and bars together: S.

    Returns (4, 4), symmetric. [N/m]
    Source: virtual work, M^T diag(rates) M, and b (travel left - travel right) at either wheel of an axle with a bar.
    """
    travels = np.asarray(springs.motion, dtype=float)
    rates = np.asarray(springs.rates, dtype=float)
    front, rear = np.array(difference("LF", "RF")), np.array(difference("LR", "RR"))
    bars = springs.bar_front * np.outer(front, front) + springs.bar_rear * np.outer(rear, rear)
    return np.asarray(travels.T @ (rates[:, np.newaxis] * travels) + bars)


def give(springs: Springs) -> Array:
    """How far the chassis above each pad comes down by the force on each pad: K^-1, suspension and tyre in series.

    Returns (4, 4), symmetric. [m/N]
    Neglects tyres that stand leaning and rates that change with load. Source: springs in series, 1/k = 1/kw + 1/kt.
    """
    return np.asarray(np.linalg.inv(at_the_wheels(springs)) + np.diag(_tyre_give(springs)))


def at_the_ground(springs: Springs) -> Array:
    """Force on each pad by how far the chassis above each pad comes down: K, the inverse of `give`. (4, 4) [N/m]"""
    return np.asarray(np.linalg.inv(give(springs)))


def warp_stiffness(springs: Springs) -> float:
    """How hard the four pads press in warp: raised by heights e they change the loads by w n (n . e). [N/m]

    Under forces c n the springs, the tyres and the chassis give in series, and heave, pitch and roll cost nothing:
    1/w = n^T K^-1 n + (n . t)^2 / C, with t the sinking of the corners in a unit of twist and C `Springs.twist`.
    That w n n^T is P = K - K A (A^T K A)^-1 A^T K. Source: equilibrium and compatibility, A^T n = 0.
    """
    null = warp(springs.patches)
    flexible = null @ give(springs) @ null
    if springs.twist is not None:
        flexible += (null @ _twisted(springs)) ** 2 / springs.twist
    return float(1 / flexible)


def influence(springs: Springs, aft: ArrayLike, left: ArrayLike) -> Array:
    """Share of a mass on the chassis that each corner carries, for any car whose springs are known.

    aft, left : place of the mass, scalars or arrays of one shape (...). [m]
    Returns (..., 4), sum 1; a share may be negative. [-]
    A chassis that twists does so evenly all along, also ahead of and behind the axles.
    Source: equilibrium and compatibility, u = K A (A^T K A)^-1 [1, aft, left]^T, with a fourth column for the twist.
    """
    modes = _modes(springs)
    shares = np.linalg.solve(_chassis(springs), modes.T @ at_the_ground(springs))
    return np.asarray(_moments(springs, aft, left) @ shares)


def influence_of_wheel(springs: Springs, corner: Corner) -> Array:
    """Share of a mass carried by a wheel, not by the chassis, that each corner carries.

    Returns (4,), sum 1: nearly all at that corner. [-]
    Source: the mass presses its tyre down as a lower pad would, e_i - P e_i / kt_i.
    """
    wheel = CORNERS.index(corner)
    null = warp(springs.patches)
    return np.asarray(np.eye(4)[wheel] - warp_stiffness(springs) * _tyre_give(springs)[wheel] * null[wheel] * null)


def warp_coefficients(springs: Springs) -> Array:
    """What the springs add to the levers: u = levers + n (c0 + c1 aft + c2 left + c3 aft left).

    Returns (4,): c0 [-], c1 and c2 [1/m], c3 [1/m2]. A car alike left and right has c0 = c1 = 0; only a chassis that
    twists has a c3.
    """
    aft, left = np.array([0.0, 1.0, 0.0, 1.0]), np.array([0.0, 0.0, 1.0, 1.0])
    nothing, behind, sideways, both = in_warp(springs.patches, influence(springs, aft, left))
    return np.array([nothing, behind - nothing, sideways - nothing, both - behind - sideways + nothing])


def sink(springs: Springs, masses: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """How far masses put on the chassis bring it down, each by itself: heave, pitch and roll.

    masses [kg], negative for what is taken off; aft, left [m] : scalars or arrays of shapes that go together (...).
    Returns (..., 3): down at aft 0, left 0 [m]; further down for each metre aft, and for each metre left [m/m].
    Tyres included, twist not: see `lowering`. Source: equilibrium, q = (A^T K A)^-1 [1, aft, left]^T m g.
    """
    return np.asarray(_displaced(springs, masses, aft, left)[..., :3])


def lowering(springs: Springs, masses: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """How far masses put on the chassis bring it down above each pad, each by itself, twist included.

    masses [kg]; aft, left [m] : as for `sink`.
    Returns (..., 4), against the ground; down is positive. [m]
    """
    return np.asarray(_displaced(springs, masses, aft, left) @ _modes(springs).T)


def rise_on_pads(springs: Springs, heights: ArrayLike) -> Array:
    """How far the chassis above each pad rises, against level ground, when the pads are raised.

    heights : (..., 4), each pad above the ground. [m]
    Returns (..., 4), up is positive. [m]
    A mass carried by wheel i lowers the chassis as a pad lowered by m g / kt_i does.
    Source: A (A^T K A)^-1 A^T K e.
    """
    modes = _modes(springs)
    follows = modes @ np.linalg.solve(_chassis(springs), modes.T @ at_the_ground(springs))
    return np.asarray(np.asarray(heights, dtype=float) @ follows.T)


def twist_under_warp(springs: Springs) -> Array:
    """How far each corner of the chassis comes down under loads of one newton of warp, by twist alone. (4,) [m/N]

    Zero for a rigid chassis. Source: the loads c n twist it by -c (n . t) / C.
    """
    if springs.twist is None:
        return np.zeros(4)
    twisted = _twisted(springs)
    return np.asarray(-twisted * (warp(springs.patches) @ twisted) / springs.twist)


def stand(springs: Springs, masses: ArrayLike, places: ArrayLike) -> Array:
    """Corner loads that a whole list of masses on the chassis puts under a car, by the method of forces.

    Four equations for four loads: the sum, two moments, and that what springs, tyres and chassis give under them keeps
    the corners of the chassis in one plane, or as far out of it as it twists. A route of its own to what `influence`
    finds from the displacements.
    masses : (n,) [kg], negative for what is taken off; places : (n, 2), aft and left. [m]
    Returns (4,). [kg]
    Source: compatibility, n . K^-1 F = (n . t) (torque of the masses - t . F) / C with the signs of `_twisted`.
    """
    mass = np.asarray(masses, dtype=float).reshape(-1)
    where = np.asarray(places, dtype=float).reshape(-1, 2)
    null = warp(springs.patches)
    plane, torque = null @ give(springs), 0.0
    if springs.twist is not None:
        twisted = _twisted(springs)
        plane = plane + (null @ twisted) * twisted / springs.twist
        torque = float((null @ twisted) * (mass @ _twist_at(springs, *where.T)) / springs.twist)
    equations = np.vstack([lever_matrix(springs.patches).T, plane])
    moments = np.array([mass.sum(), mass @ where[:, 0], mass @ where[:, 1], torque])
    scale = np.abs(plane).max()
    loads: Array = np.linalg.solve(equations / [[1], [1], [1], [scale]], moments / [1, 1, 1, scale])
    return loads


def _tyre_give(springs: Springs) -> Array:
    """How far each tyre sinks under one newton; nothing where tyres are rigid. (4,) [m/N]"""
    return np.zeros(4) if springs.tyres is None else np.asarray(1 / np.asarray(springs.tyres, dtype=float))


def _axle_lines(springs: Springs) -> tuple[float, float]:
    """Where the two axles are along the car: midway between their wheels. [m]"""
    aft = np.asarray(springs.patches, dtype=float)[:, 0]
    return float(aft @ ON_FRONT) / 2, float(aft @ ON_REAR) / 2


def _twist_at(springs: Springs, aft: ArrayLike, left: ArrayLike) -> Array:
    """How far a place on the chassis comes down in a unit of twist: half a radian each way at the axles. [m/rad]"""
    front, rear = _axle_lines(springs)
    return np.asarray(np.asarray(left, dtype=float) * ((np.asarray(aft, dtype=float) - front) / (rear - front) - 0.5))


def _twisted(springs: Springs) -> Array:
    """How far each corner of the chassis comes down in a unit of twist. (4,) [m/rad]"""
    return _twist_at(springs, *np.asarray(springs.patches, dtype=float).T)


def _modes(springs: Springs) -> Array:
    """How far each corner comes down in a unit of heave, pitch, roll and, where the chassis twists, twist: A."""
    rigid = lever_matrix(springs.patches)
    return rigid if springs.twist is None else np.column_stack([rigid, _twisted(springs)])


def _chassis(springs: Springs) -> Array:
    """Force and moments on the chassis by its own displacements: A^T K A, and the twist's own stiffness."""
    modes = _modes(springs)
    stiffness = modes.T @ at_the_ground(springs) @ modes
    if springs.twist is not None:
        stiffness[3, 3] += springs.twist
    return np.asarray(stiffness)


def _moments(springs: Springs, aft: ArrayLike, left: ArrayLike) -> Array:
    """What one newton at a place does in each of the chassis's displacements. (..., 3), or 4 where it twists."""
    where = np.broadcast_arrays(np.asarray(aft, dtype=float), np.asarray(left, dtype=float))
    columns = [np.ones_like(where[0]), *where]
    if springs.twist is not None:
        columns.append(_twist_at(springs, *where))
    return np.stack(columns, axis=-1)


def _displaced(springs: Springs, masses: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """Displacements of the chassis under masses. (..., 3), or 4 where it twists."""
    forces = STANDARD_GRAVITY * np.asarray(masses, dtype=float)[..., np.newaxis] * _moments(springs, aft, left)
    return np.asarray(forces @ np.linalg.inv(_chassis(springs)))
