"""Where the ballast as a whole would have to be, and how far the mounts reach."""

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array

NUDGE = 1e-9
"""Relative slack for a point on the very edge of a region."""


def needed_centroid(
    base_loads: ArrayLike,
    mass: float,
    influence_rows: ArrayLike,
    front: float | None,
    left: float | None,
    on_front: ArrayLike,
    on_left: ArrayLike,
) -> tuple[float | None, float | None]:
    """Place at which a mass, put on the bare car, brings front and left to the shares asked for.

    base_loads : corner loads with every plate off, shape (4,). [kg]
    mass : of all the ballast together, positive. [kg]
    influence_rows : (3, 4): what one unit of mass does at the origin, and its change for a metre aft and a metre left.
    front, left : shares wanted; None leaves that coordinate free.
    on_front, on_left : (4,), ones at the corners counted.
    Returns aft and left, None where free. [m]
    Source: the two linear equations share * (T0 + B) = load0 + B * influence, solved for the place.
    """
    base, rows = np.asarray(base_loads, dtype=float), np.asarray(influence_rows, dtype=float)
    total = base.sum() + mass
    equations, right = [], []
    for share, corners in ((front, np.asarray(on_front)), (left, np.asarray(on_left))):
        if share is not None:
            constant, by_aft, by_left = rows @ corners
            equations.append([by_aft, by_left])
            right.append((share * total - base @ corners) / mass - constant)
    # With one equation the free coordinate comes out as the shortest solution has it, and is not reported.
    place = np.linalg.lstsq(np.array(equations).reshape(-1, 2), np.array(right), rcond=None)[0]
    return (float(place[0]) if front is not None else None, float(place[1]) if left is not None else None)


def outline(places: ArrayLike, capacities: ArrayLike, mass: float) -> Array:
    """Corners of the region that the centroid of a mass can reach when plates could be cut to any size.

    places : (n, 2), aft and left of each mount [m]; capacities : (n,), greatest mass at each [kg]
    mass : to be placed, more than zero and no more than all capacities together. [kg]
    Returns shape (k, 2), in the order of turning; k = 1 for a single point. [m]

    For each direction the farthest centroid fills the mounts from the farthest inwards. That filling changes only where
    two mounts change places in the order, so the directions midway between all such changes give every corner: the
    region is exact, not sampled.
    Source: support points of a fractional knapsack; exact for one capacity per mount.
    """
    where, room = np.asarray(places, dtype=float), np.asarray(capacities, dtype=float)
    gaps = where[:, None, :] - where[None, :, :]
    pairs = gaps[np.triu_indices(len(where), k=1)]
    pairs = pairs[np.hypot(pairs[:, 0], pairs[:, 1]) > NUDGE]
    across = np.arctan2(pairs[:, 0], -pairs[:, 1])
    turns = np.unique(np.round(np.concatenate([across, across + np.pi]) % (2 * np.pi), 12))
    if not len(turns):
        return where[:1]
    nexts = np.append(turns[1:], turns[0] + 2 * np.pi)
    middles = (turns + nexts) / 2
    directions = np.column_stack([np.cos(middles), np.sin(middles)])
    order = np.argsort(-(directions @ where.T), axis=1, kind="stable")
    filled_before = np.cumsum(room[order], axis=1) - room[order]
    used = np.clip(mass - filled_before, 0.0, room[order])
    corners = np.einsum("dn,dnk->dk", used, where[order]) / mass
    keep = np.hypot(*(corners - np.roll(corners, 1, axis=0)).T) > NUDGE
    return np.asarray(corners[keep] if keep.any() else corners[:1])


def reaches(region: ArrayLike, aft: float | None, left: float | None) -> bool:
    """Whether a convex region, shape (k, 2) in the order of turning, holds a place; None leaves one word free."""
    corners = np.asarray(region, dtype=float)
    size = 1.0 + np.abs(corners).max()
    for column, value in enumerate((aft, left)):
        if value is not None and not _between(value, corners[:, column], NUDGE * size):
            return False
    if aft is None or left is None or len(corners) == 1:
        return True
    edges = np.roll(corners, -1, axis=0) - corners
    to_point = np.array([aft, left]) - corners
    turning = edges[:, 0] * to_point[:, 1] - edges[:, 1] * to_point[:, 0]
    return bool((turning >= -NUDGE * size).all() or (turning <= NUDGE * size).all())


def _between(value: float, values: Array, slack: float) -> bool:
    return bool(values.min() - slack <= value <= values.max() + slack)
