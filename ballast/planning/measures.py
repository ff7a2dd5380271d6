"""What each wish is worth for given counts, in numpy: the same definitions as the programme's objectives."""

import numpy as np

from ballast.physics.statics import Array
from ballast.planning.bands import Band
from ballast.planning.cases import Case, Layout, yaw_inertia
from ballast.records.wishes import Wishes


def changes(room: Layout, counts: Array) -> float:
    """Plates put on, taken off or moved; a plate moved counts once. counts : (M, P).

    Of a plate that the sets of several drivers ask for, the set that asks most counts.
    """
    difference = counts - room.fitted
    put_on, taken_off = np.maximum(difference, 0), np.maximum(-difference, 0)
    by_set = np.maximum(room.aboard @ put_on, room.aboard @ taken_off)
    return float(by_set.max(axis=0).sum())


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


def _balance(
    wish: str, room: Layout, cases: tuple[Case, ...], bands: tuple[Band, ...], wishes: Wishes, counts: Array
) -> float:
    """Worst weighted miss, sum of weighted misses, or sum of weighted distances from the aim, in nominal points.

    Over several states: the worst of them, or the mean of the worst of each by driving time; of the sums, the mean.
    """
    worst, sums = [], []
    balanced = [case for case in cases if case.balance]
    for case in balanced:
        here = case.bare_loads + room.loads_of(counts, case.crew)
        values = []
        for band in bands:
            if band.by_ballast:
                away = abs(float(band.distance(here)))
                outside = max(0.0, away - band.narrowed(float(here.sum())))
                values.append(band.weight * (away if wish == "aim" else outside) * 100 / case.nominal)
        worst.append(max(values))
        sums.append(sum(values))
    weights = [case.weight for case in balanced]
    if wish == "balance" and wishes.crew == "worst":
        return max(worst)
    return float(np.dot(weights, worst if wish == "balance" else sums))
