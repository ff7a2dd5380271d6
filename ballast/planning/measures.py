"""What each wish is worth for given counts, in numpy: the same definitions as the programme's objectives."""

import numpy as np

from ballast.physics.statics import Array
from ballast.planning.cases import Band, Case, Layout, yaw_inertia


def nominal_totals(cases: tuple[Case, ...], required: float) -> Array:
    """The total that stands for each case's own in distances: what it weighs when the legal cases just meet theirs.

    Returns shape (C,). [kg]
    """
    bare = np.array([case.bare_loads.sum() for case in cases])
    short = max(required - total for total, case in zip(bare, cases, strict=True) if case.legal)
    return np.asarray(bare + max(float(short), 0.0))


def changes(room: Layout, counts: Array) -> float:
    """Plates put on, taken off or moved; a plate moved counts once. counts : (M, P)."""
    difference = counts - room.fitted
    put_on, taken_off = np.maximum(difference, 0).sum(axis=0), np.maximum(-difference, 0).sum(axis=0)
    return float(np.maximum(put_on, taken_off).sum())


def measure(
    wish: str, room: Layout, cases: tuple[Case, ...], bands: tuple[Band, ...], required: float, counts: Array
) -> float:
    """Value of one wish for counts (M, P), in the unit of the programme's objective of that name."""
    match wish:
        case "total":
            value = float(np.mean([case.bare_loads.sum() for case in cases if case.legal]) + room.ballast(counts).sum())
        case "mass":
            value = measure("total", room, cases, bands, required, counts) - required
        case "changes":
            value = changes(room, counts)
        case "pieces":
            value = float(counts.sum())
        case "height":
            value = _lifted(room, counts) / required
        case "yaw":
            value = float(room.ballast(counts) @ yaw_inertia(room, cases[0]))
        case _:
            value = _balance(wish, cases, bands, [case.bare_loads + room.loads_of(counts) for case in cases], required)
    return value


def _lifted(room: Layout, counts: Array) -> float:
    """Mass times height of the ballast, each plate as if it lay on the underside of its stack. [kg m]"""
    undersides = room.undersides if room.undersides is not None else np.zeros(len(room.mounts))
    up = undersides[:, None] + room.thickness[None, :] / 2
    hardware = room.fixing * room.in_use(counts) * undersides
    return float((counts * room.plate_mass * up).sum() + hardware.sum())


def _balance(wish: str, cases: tuple[Case, ...], bands: tuple[Band, ...], loads: list[Array], required: float) -> float:
    """Worst weighted miss, sum of weighted misses, or sum of weighted distances from the aim, in nominal points."""
    values = []
    for case, nominal, here in zip(cases, nominal_totals(cases, required), loads, strict=True):
        if not case.balance:
            continue
        for band in bands:
            if band.by_ballast:
                away = abs(float(band.distance(here)))
                outside = max(0.0, away - band.narrowed(float(here.sum())))
                values.append(band.weight * (away if wish == "aim" else outside) * 100 / nominal)
    return float(max(values) if wish == "balance" else sum(values))
