"""Corner loads, percentages and centre of gravity of a car standing on four pads.

Conventions: loads are masses as the pads show them [kg]; the last axis of a load array is the corner, in the order of
CORNERS; `aft` is metres behind the front axle line, `left` metres left of the centre line.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ballast.corners import CORNERS, DIAGONALS, FRONT, LEFT, REAR, Diagonal, difference, pattern

Array = NDArray[np.float64]

ON_FRONT, ON_REAR, ON_LEFT = (np.array(pattern(pair)) for pair in (FRONT, REAR, LEFT))
ON_DIAGONAL: dict[Diagonal, Array] = {name: np.array(pattern(pair)) for name, pair in DIAGONALS.items()}
REAR_PAIR = np.array(difference("LR", "RR"))


def contact_patches(wheelbase: float, track_front: float, track_rear: float) -> Array:
    """Places of the four contact patches of a car with parallel axles on one centre line.

    wheelbase, track_front, track_rear : [m]
    Returns shape (4, 2), columns aft and left. [m]
    Source: definition (SAE J670 and ISO 8855 name the same lengths; only the words for the axes differ).
    """
    half = {"F": track_front / 2, "R": track_rear / 2}
    aft = {"F": 0.0, "R": wheelbase}
    side = {"L": 1.0, "R": -1.0}
    return np.array([[aft[corner[1]], side[corner[0]] * half[corner[1]]] for corner in CORNERS])


def lever_matrix(patches: ArrayLike) -> Array:
    """Rows [1, aft, left], one for each contact patch: A in A^T F = [mass, mass * aft, mass * left].

    patches : shape (4, 2). [m]
    Returns shape (4, 3).
    Source: equilibrium of forces and of moments about two axes.
    """
    places = np.asarray(patches, dtype=float)
    return np.column_stack([np.ones(len(places)), places])


def warp(patches: ArrayLike) -> Array:
    """The one change of the four loads that statics does not see: same total, same moments, another diagonal.

    patches : shape (4, 2). [m]
    Returns shape (4,), scaled to 1 at the first corner; [1, -1, -tf/tr, tf/tr] for parallel axles. [-]
    Source: null space of the transposed lever matrix.
    """
    _, _, rows = np.linalg.svd(lever_matrix(patches).T)
    null = np.asarray(rows[-1])
    return np.asarray(null / null[0])


def levers(patches: ArrayLike, aft: ArrayLike, left: ArrayLike) -> Array:
    """The shares without any warp: what four equal springs under a rigid chassis would carry.

    patches : (4, 2); aft, left : scalars or arrays of one shape (...). [m]
    Returns (..., 4), sum 1. Every car's influence is this and a multiple of its warp. [-]
    Source: the smallest loads that hold the mass, A (A^T A)^-1 [1, aft, left]^T, which have no part along n.
    """
    rows = lever_matrix(patches)
    moments = np.stack(np.broadcast_arrays(1.0, np.asarray(aft, dtype=float), np.asarray(left, dtype=float)), axis=-1)
    return np.asarray(moments @ np.linalg.solve(rows.T @ rows, rows.T))


def in_warp(patches: ArrayLike, loads: ArrayLike) -> Array:
    """How much warp is in loads: the c of loads = levers + c n, in their unit. loads : (..., 4). Returns (...)."""
    null = warp(patches)
    return np.asarray(np.asarray(loads, dtype=float) @ null / (null @ null))


def axle_couples(patches: ArrayLike, front_roll_share: float) -> Array:
    """The row d with d . F = 0 where the couples of the axles, each about its own middle, are as their stiffnesses.

    patches : (4, 2) [m]; front_roll_share : [-]. Returns (4,). [m]
    Neglects an axle that does not stand square. Source: springs alike on one axle; Heisler sec. 10.3.
    """
    across = np.asarray(patches, dtype=float)[:, 1]
    middle = (across @ ON_FRONT * ON_FRONT + across @ ON_REAR * ON_REAR) / 2
    return np.asarray((across - middle) * ((1 - front_roll_share) * ON_FRONT - front_roll_share * ON_REAR))


def influence(patches: ArrayLike, front_roll_share: float, aft: ArrayLike, left: ArrayLike) -> Array:
    """Share of a mass that each corner carries, where left and right of each axle are equally stiff.

    patches : contact patches, shape (4, 2). [m]
    front_roll_share : front share s of the roll stiffness, 0 to 1. [-]
    aft, left : place of the mass, scalars or arrays of one shape (...). [m]
    Returns shape (..., 4), order CORNERS, sum 1; a share may be negative. [-]
    Neglects twist of the chassis, the difference between sprung mass and mass carried by a wheel, and what bars
    disconnected at the weigh-in would change; small displacements, linear springs.
    Source: moments about the axles; the moment about the centre line divides in proportion to roll stiffness
    (H. Heisler, Advanced Vehicle Technology, sec. 10.3): on a plain car m [(1 - aft/L)/2 +/- s left/tf] in front.
    """
    shares, null, couples = levers(patches, aft, left), warp(patches), axle_couples(patches, front_roll_share)
    return np.asarray(shares - np.multiply.outer(shares @ couples / (null @ couples), null))


def stand(patches: ArrayLike, front_roll_share: float, masses: ArrayLike, places: ArrayLike) -> Array:
    """Corner loads that a whole list of masses puts under a car, from equilibrium alone.

    Four equations for four loads: the sum, the moment about the front axle, the moment about the centre line, and the
    division of that last moment between the axles. A route of its own to what `influence` gives one mass at a time.

    patches : shape (4, 2). [m]
    front_roll_share : front share of the roll stiffness. [-]
    masses : shape (n,); negative for what is taken off. [kg]
    places : shape (n, 2), columns aft and left. [m]
    Returns shape (4,), order CORNERS. [kg]
    Neglects the same as `influence`.
    Source: equilibrium; Heisler sec. 10.3 for the fourth equation.
    """
    mass = np.asarray(masses, dtype=float).reshape(-1)
    where = np.asarray(places, dtype=float).reshape(-1, 2)
    equations = np.vstack([lever_matrix(patches).T, axle_couples(patches, front_roll_share)])
    moments = np.array([mass.sum(), mass @ where[:, 0], mass @ where[:, 1], 0.0])
    loads: Array = np.linalg.solve(equations, moments)
    return loads


def front_share(loads: ArrayLike) -> Array:
    """Share of the total on the front axle. loads : shape (..., 4). Returns shape (...). [-]"""
    return _share(loads, ON_FRONT)


def left_share(loads: ArrayLike) -> Array:
    """Share of the total on the left side. loads : shape (..., 4). Returns shape (...). [-]"""
    return _share(loads, ON_LEFT)


def diagonal_share(loads: ArrayLike, diagonal: Diagonal) -> Array:
    """Share of the total on a diagonal named by its corners. loads : shape (..., 4). Returns shape (...). [-]"""
    return _share(loads, ON_DIAGONAL[diagonal])


def rear_pair(loads: ArrayLike) -> Array:
    """Left rear minus right rear. loads : shape (..., 4) [kg]. Returns shape (...). [kg]"""
    return np.asarray(np.asarray(loads, dtype=float) @ REAR_PAIR)


def _share(loads: ArrayLike, corners: Array) -> Array:
    array = np.asarray(loads, dtype=float)
    return np.asarray(array @ corners / array.sum(axis=-1))


def centre_of_gravity(patches: ArrayLike, loads: ArrayLike) -> Array:
    """Centre of gravity seen from above.

    patches : shape (4, 2) [m]; loads : shape (..., 4) [kg].
    Returns shape (..., 2), columns aft and left. [m]
    Source: R. N. Jazar, Vehicle Dynamics (2008), eq. 2.15-2.20: the mean of the patches, weighted by their loads.
    """
    array = np.asarray(loads, dtype=float)
    return np.asarray(array @ np.asarray(patches, dtype=float) / array.sum(axis=-1, keepdims=True))


def height_after(mass: float, height: float, changes: ArrayLike, heights: ArrayLike) -> float:
    """Height of the centre of gravity after masses were put on or taken off.

    mass, height : of the car before [kg], [m]; changes, heights : shape (n,), negative masses are taken off [kg], [m].
    Returns [m].
    Source: moments about the ground.
    """
    change = np.asarray(changes, dtype=float)
    return float((mass * height + change @ np.asarray(heights, dtype=float)) / (mass + change.sum()))


def same_front_share_diagonal(front: float, left: float) -> float:
    """Share of LF+RR at which the left wheels split front to rear exactly as the right wheels do.

    front, left : shares of the total. Returns the share of LF+RR; that of RF+LR is the rest. [-]
    Source: common practice, no source; LF = T F Left and RR = T (1 - F)(1 - Left), added up.
    """
    return front * left + (1 - front) * (1 - left)


def equal_front_diagonal(left: float) -> float:
    """Share of LF+RR at which both front wheels carry the same.

    left : share of the total on the left side. Returns the share of LF+RR, which is that of the right side. [-]
    Source: common practice, no source; with LF = RF, LF+RR is RF+RR.
    """
    return 1 - left
