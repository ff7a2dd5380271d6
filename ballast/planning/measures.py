"""What each wish is worth for given counts, in numpy: the same definitions as the programme's objectives."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ballast.physics.statics import Array
from ballast.planning.bands import Band
from ballast.planning.cases import Case, Layout, yaw_inertia
from ballast.records.wishes import Wishes


def changes(room: Layout, counts: Array) -> float:
    """Plates put on, taken off or moved; a plate moved counts once. counts : (M, P).

    Of a plate that the sets of several drivers ask for, the set that asks most counts.
    """
    put_on, taken_off = put_and_taken(room, counts)
    return float(changes_of(room.aboard @ put_on, room.aboard @ taken_off))


def put_and_taken(room: Layout, counts: Array) -> tuple[Array, Array]:
    """Plates put on and taken off since the car stood as fitted, of every kind at every mount. counts : (..., M, P)."""
    difference = counts - room.fitted
    return np.maximum(difference, 0), np.maximum(-difference, 0)


def changes_of(put_on: Array, taken_off: Array) -> Array:
    """Changes, from what is put on and taken off with each set, (..., K, P). Returns (...)."""
    return np.asarray(np.maximum(put_on, taken_off).max(axis=-2).sum(axis=-1))


def stop_plates(room: Layout, counts: Array) -> float:
    """Plates that come and go at the stops: per mount and kind, the most any driver has less the fewest."""
    return float(sum(np.ptp(counts[rows], axis=0).sum() for _, rows in kit_rows(room)))


def kit_rows(room: Layout) -> list[tuple[str, list[int]]]:
    """Mounts that change with the driver, and their rows in the order of the drivers."""
    names = dict.fromkeys(name for name, who in zip(room.mounts, room.drivers, strict=True) if who)
    return [(name, [row for row, other in enumerate(room.mounts) if other == name]) for name in names]


def measure(
    wish: str, room: Layout, cases: tuple[Case, ...], bands: tuple[Band, ...], wishes: Wishes, counts: Array
) -> float:
    """Value of one wish for counts (M, P), in the unit of the programme's objective of that name."""
    legal = [case for case in cases if case.legal]
    match wish:
        case "total":
            value = float(np.mean([(case.bare_loads + room.loads_of(counts, case.crew)).sum() for case in legal]))
        case "mass":
            required = float(np.mean([case.required for case in legal]))
            value = measure("total", room, cases, bands, wishes, counts) - required
        case "changes":
            value = changes(room, counts)
        case "stop":
            value = stop_plates(room, counts)
        case "pieces":
            value = float(counts.sum())
        case "height":
            value = _lifted(room, counts) / float(np.mean([case.required for case in legal]))
        case "yaw":
            value = float(room.ballast(counts) @ yaw_inertia(room, cases))
        case _:
            value = _balance(wish, room, cases, bands, wishes, counts)
    return value


def _lifted(room: Layout, counts: Array) -> float:
    """Mass times height of the ballast, each plate as if it lay on the underside of its stack; the mean over the sets.

    In kg m.
    """
    undersides = room.undersides if room.undersides is not None else np.zeros(len(room.mounts))
    up = undersides[:, None] + room.thickness[None, :] / 2
    hardware = room.fixing * room.in_use(counts) * undersides
    by_row = (counts * room.plate_mass * up).sum(axis=1) + hardware
    return float((room.aboard @ by_row).mean())


@dataclass(frozen=True)
class Balance:
    """What the wishes for balance are worth, each (...), in nominal points. Less is better."""

    worst: Array
    """weighted miss of the worst figure: of the worst state, or the mean over the states by driving time"""
    misses: Array
    """sum over the figures, the mean over the states"""
    aims: Array
    """sum of the distances from the aims, the mean over the states"""

    def of(self, wish: str) -> Array:
        """What one of these wishes is worth."""
        return {"balance": self.worst, "balance sum": self.misses, "aim": self.aims}[wish]


def balance_of(
    cases: tuple[Case, ...], bands: tuple[Band, ...], wishes: Wishes, loads: Sequence[Array] | Array
) -> Balance:
    """Worst weighted miss, sum of weighted misses, and sum of weighted distances from the aims.

    cases : those in which the targets are asked for, C of them. loads : of the corners in each, C arrays (..., 4). [kg]
    """
    worst, misses, aims = [], [], []
    for case, here in zip(cases, loads, strict=True):
        total, outside, away = here.sum(axis=-1), [], []
        for band in bands:
            if band.by_ballast:
                scale, distance = band.weight * 100 / case.nominal, np.abs(band.distance(here))
                away.append(scale * distance)
                outside.append(scale * np.maximum(distance - band.narrowed(total), 0.0))
        worst.append(np.max(outside, axis=0))
        misses.append(case.weight * np.sum(outside, axis=0))
        aims.append(case.weight * np.sum(away, axis=0))
    by_time = sum(case.weight * one for case, one in zip(cases, worst, strict=True))
    return Balance(
        worst=np.asarray(np.max(worst, axis=0) if wishes.crew == "worst" else by_time),
        misses=np.sum(misses, axis=0),
        aims=np.sum(aims, axis=0),
    )


def _balance(
    wish: str, room: Layout, cases: tuple[Case, ...], bands: tuple[Band, ...], wishes: Wishes, counts: Array
) -> float:
    balanced = tuple(case for case in cases if case.balance)
    loads = [case.bare_loads + room.loads_of(counts, case.crew) for case in balanced]
    return float(balance_of(balanced, bands, wishes, loads).of(wish))
