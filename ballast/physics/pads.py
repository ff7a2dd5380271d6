"""What proves four pads and puts their readings right: exchanged pads, gains, heights, slope, and how to pack them.

Readings and loads are masses [kg], the last axis the corner, order CORNERS. Heights are those of the pads' tops above
any common plane [m]. n is `statics.warp`: n . heights is how far the first pad is above the plane of the other three.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ballast.corners import CORNERS, Corner
from ballast.physics.quality import ASSUMED_TOTAL
from ballast.physics.stance import Stance, slopes
from ballast.physics.statics import Array, centre_of_gravity, lever_matrix, warp

LEFT_OVER_4, LEFT_OVER_3 = 9.49, 7.81
"""Chi-squared that chance leaves in 95 of 100 cases, of four and of three differences. Source: chi-squared tables."""
FAR_OFF = 18.47
"""Chi-squared of four differences that chance exceeds once in a thousand. Source: chi-squared tables."""
MOST_PACKERS = 60
"""Packers under one pad beyond which the floor, not the packing, is the answer."""
SIGNIFICANT = 2.0
"""Standard uncertainties by which a gain has to differ from 1 before readings are corrected by it."""
LIGHT = 1 / 3
"""Share of the next lightest pad below which a pad is looked at before it is believed. Common practice, no source."""

Pair = tuple[Corner, Corner]


# --- against an earlier weigh-in -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Exchange:
    """Pads that seem to have changed corners since an earlier weigh-in."""

    pairs: tuple[Pair, ...]
    """which were exchanged: one pair, or two"""
    as_read: float
    """chi-squared, four differences, of the readings as they are against the earlier ones [-]"""
    left_over: float
    """the same with the pairs exchanged back: some 4 where that explains everything [-]"""


@dataclass(frozen=True)
class OnePad:
    """One pad that by itself explains how readings differ from earlier ones."""

    corner: Corner
    gain: float
    """what it reads now of what it should: 0.95 reads 5 % low, 0 is dead [-]"""
    uncertain: float
    """standard uncertainty of that [-]"""
    as_read: float
    """chi-squared, four differences, of the readings as they are [-]"""
    left_over: float
    """the same with this pad put right: some 3 where that explains everything [-]"""


def exchanged(now: ArrayLike, earlier: ArrayLike, covariance: ArrayLike) -> tuple[Exchange, ...]:
    """Which pads, put back on each other's corners, would make a car weigh what it weighed before; best first.

    now, earlier : (4,) loads of one car in one state; covariance : (4, 4), of their difference. [kg], [kg2]
    Empty unless the readings as they are cannot be chance (once in a thousand) and are, with one or two pairs
    exchanged, what chance gives (95 of 100). A car that was changed in between is explained by no exchange, and pads
    that carry alike may be exchanged unseen. Source: JCGM 100:2008 for the covariance; chi-squared test of the rest.
    """
    reading, before = np.asarray(now, dtype=float), np.asarray(earlier, dtype=float)
    weights = _weights(covariance, before)
    as_read = _chi_squared(reading - before, weights)
    found = []
    for pairs in _exchanges():
        order = list(range(4))
        for one, other in pairs:
            i, j = CORNERS.index(one), CORNERS.index(other)
            order[i], order[j] = order[j], order[i]
        found.append(Exchange(pairs, as_read, _chi_squared(reading[order] - before, weights)))
    if as_read < FAR_OFF:
        return ()
    explains = [exchange for exchange in found if exchange.left_over < LEFT_OVER_4]
    return tuple(sorted(explains, key=lambda exchange: exchange.left_over))


def _exchanges() -> Iterator[tuple[Pair, ...]]:
    """Every way to exchange one pair of pads, or two pairs at once."""
    singles = tuple(combinations(CORNERS, 2))
    yield from ((pair,) for pair in singles)
    for first, second in combinations(singles, 2):
        if not set(first) & set(second):
            yield first, second


def one_pad_off(now: ArrayLike, earlier: ArrayLike, covariance: ArrayLike) -> tuple[OnePad, ...]:
    """Which pad, dead or with another gain than before, would by itself make the difference; best first.

    now, earlier, covariance : as for `exchanged`.
    Empty on the same terms. A mass put on or taken off one wheel looks the same. Source: generalised least squares for
    the one reading; chi-squared test of the three differences that are left.
    """
    reading, before = np.asarray(now, dtype=float), np.asarray(earlier, dtype=float)
    weights = _weights(covariance, before)
    difference = reading - before
    as_read = _chi_squared(difference, weights)
    if as_read < FAR_OFF:
        return ()
    found = []
    for pad, corner in enumerate(CORNERS):
        variance = 1 / weights[pad, pad]
        off = float(variance * weights[pad] @ difference)
        left = as_read - off**2 / variance
        should = reading[pad] - off
        if left < LEFT_OVER_3 and should > 0:
            found.append(OnePad(corner, float(reading[pad] / should), float(np.sqrt(variance) / should), as_read, left))
    return tuple(sorted(found, key=lambda one: one.left_over))


def _weights(covariance: ArrayLike, loads: Array) -> Array:
    """Inverse of a covariance, no pad surer than a mean pad's share of ASSUMED_TOTAL: a few settlings make it singular.

    Source of that floor: common practice, no source.
    """
    least = (ASSUMED_TOTAL * loads.mean()) ** 2
    return np.asarray(np.linalg.inv(np.asarray(covariance, dtype=float) + least * np.eye(4)))


def _chi_squared(difference: Array, weights: Array) -> float:
    return float(difference @ weights @ difference)


# --- by themselves -------------------------------------------------------------------------------------------------


def light(loads: ArrayLike) -> Corner | None:
    """The pad that shows less than a third of any other, if one does. loads : (4,). [kg]

    Common practice, no source: a car that carries so little on one wheel is looked at before its pads are believed.
    """
    mean = np.asarray(loads, dtype=float)
    least, next_one = np.sort(mean)[:2]
    return CORNERS[int(np.argmin(mean))] if least < LIGHT * next_one else None


def frozen(readings: ArrayLike, step: float) -> tuple[Corner, ...]:
    """Pads that showed the same in every one of three or more settlings, while each of the other three moved.

    readings : (n, 4) [kg]; step : of the display, 0 for the least that any pad moved [kg].
    Others count as moving when they cover more than two steps. Source: common practice, no source; settling noise is
    mostly warp, which moves all four pads alike.
    """
    rows = np.asarray(readings, dtype=float)
    if len(rows) < 3:
        return ()
    covered = np.ptp(rows, axis=0)
    moved = np.abs(np.diff(np.sort(rows, axis=0), axis=0))
    step = step or float(min(moved[moved > 1e-9], default=0.0))
    still = covered < step / 2
    return (CORNERS[int(np.argmax(still))],) if still.sum() == 1 and (covered[~still] > 2.5 * step).all() else ()


@dataclass(frozen=True)
class Gains:
    """What each pad shows of what stands on it."""

    gains: Array
    """(4,), NaN for a pad that was not tried [-]"""
    uncertain: Array
    """(4,), standard uncertainty of each by itself, NaN likewise [-]"""
    common: float
    """standard uncertainty that all of them share [-]"""
    differs: NDArray[np.bool_]
    """(4,), true for each that is not 1 by chance"""
    applied: NDArray[np.bool_]
    """(4,), true for each that readings are to be divided by"""


def gains(pads: ArrayLike, shown: ArrayLike, masses: ArrayLike, steps: ArrayLike, within: float = 0.0) -> Gains:
    """Gain of each pad from known masses stood on it; of one mass that is not known, the gains relative to their mean.

    pads : (k,), index of the pad stood on; shown : (k,), what it showed, zero taken off [kg]; masses : (k,), NaN where
    not known [kg]; steps : (k,), standard uncertainty of each reading by itself [kg]; within : how far all known masses
    may be off together, as a share, rectangular [-].
    A gain counts where it differs from 1 by more than SIGNIFICANT standard uncertainties. Relative gains count only
    where all four pads were tried. Source: JCGM 100:2008, 4.3.7 and 5.1; the rule of significance is common practice.
    """
    where, seen = np.asarray(pads, dtype=int), np.asarray(shown, dtype=float)
    mass, each = np.asarray(masses, dtype=float), np.asarray(steps, dtype=float)
    relative = bool(np.isnan(mass).any())
    tried = np.array([(where == pad).any() for pad in range(4)])
    if relative:
        mean = np.mean([seen[where == pad].mean() for pad in range(4) if tried[pad]])
        mass = np.full(len(seen), mean)
    found, unsure = np.full(4, np.nan), np.full(4, np.nan)
    for pad in np.flatnonzero(tried):
        here = where == pad
        total = mass[here].sum()
        found[pad] = seen[here].sum() / total
        unsure[pad] = np.sqrt(np.square(each[here]).sum()) / total
    common = within / np.sqrt(3)
    if relative:  # a gain against the mean of all: its own reading counts in both
        count = tried.sum()
        unsure = unsure * np.sqrt(1 - 1 / count) if count > 1 else unsure * np.nan
        common = 0.0
    differs = np.abs(found - 1) > SIGNIFICANT * np.hypot(unsure, common)  # NaN compares as false
    return Gains(found, unsure, common, differs, differs & tried.all() if relative else differs)


# --- heights and slope ---------------------------------------------------------------------------------------------


def heights_of_levels(patches: ArrayLike, front: float, rear: float, fore_aft: float = 0.0) -> Array:
    """Heights of the pads from what a level shows laid across them.

    patches : (4, 2) [m]; front, rear : slope across the axle's two pads, left up is positive [-]; fore_aft : slope
    along the car, front up is positive [-].
    Returns (4,), the middles of both axles in one line of that slope. [m]
    """
    aft, left = np.asarray(patches, dtype=float).T
    across = np.array([front, front, rear, rear])
    middle = np.array([left[:2].mean()] * 2 + [left[2:].mean()] * 2)
    return np.asarray(across * (left - middle) - fore_aft * aft)


def out_of_plane(patches: ArrayLike, heights: ArrayLike) -> float:
    """How far the first pad is above the plane of the other three. heights : (4,). [m]"""
    return float(warp(patches) @ np.asarray(heights, dtype=float))


def slopes_of(patches: ArrayLike, heights: ArrayLike) -> tuple[float, float]:
    """Slopes of the plane nearest to four pads: aft up, and left up, positive. heights : (4,) [m]. [-]

    Source: least squares.
    """
    _, aft, left = np.linalg.lstsq(lever_matrix(patches), np.asarray(heights, dtype=float), rcond=None)[0]
    return float(aft), float(left)


def slope_effect(stance: Stance, loads: ArrayLike, height: float, aft_up: float, left_up: float) -> Array:
    """What a slope adds to the corner loads of a car that stands on it.

    loads : (4,) [kg]; height : of the centre of gravity [m]; slopes of `slopes_of`. [-]
    Returns (4,): take it off to have the loads on level ground. [kg]
    The line of the centre of gravity moves downhill by height x slope over the pads, and the loads with it as with a
    mass moved there. Neglects roll centres, which share the side force between the axles in a way of their own and move
    the diagonal alone, by little. Source: geometry; DEVELOPERS.md, Physics.
    """
    weighed = np.asarray(loads, dtype=float)
    along, across = slopes(stance, *centre_of_gravity(stance.patches, weighed))
    return np.asarray(-weighed.sum() * height * (aft_up * along + left_up * across))


def turned_about(heights: ArrayLike) -> Array:
    """Heights under the car turned by 180 degrees: LF stands where RR stood. heights : (4,). [m]"""
    return np.asarray(heights, dtype=float)[::-1]


@dataclass(frozen=True)
class Packing:
    """What to put under the pads."""

    packers: tuple[int, int, int, int]
    """how many under each pad"""
    out_of_plane: float
    """how far the first pad is then above the plane of the other three [m]"""
    aft_up: float
    """slope then, aft up positive [-]"""
    left_up: float
    """slope then, left up positive [-]"""


def packing(patches: ArrayLike, heights: ArrayLike, packer: float) -> Packing | None:
    """Fewest packers that bring four pads into one plane, whatever its slope, to within half a packer.

    heights : (4,) [m]; packer : thickness of one [m]. Whole packers, only upwards, under pads of the lower diagonal.
    Returns none where it takes more than MOST_PACKERS. Of equally few, those that leave the pads most nearly level, and
    then least out of plane.
    Source: enumeration.
    """
    null, up = warp(patches), np.asarray(heights, dtype=float)
    away, enough = float(null @ up), packer / 2 * float(np.abs(null).max()) * (1 + 1e-9)
    raise_these = np.flatnonzero(null * away < 0)
    needed = int(np.ceil(abs(away) / packer / np.abs(null).min())) if away else 0
    if needed > MOST_PACKERS:
        return None
    best: tuple[tuple[int, float, float], Array] | None = None
    for counts in product(range(needed + 1), repeat=len(raise_these)):
        under = np.zeros(4, dtype=int)
        under[raise_these] = counts
        now = up + packer * under
        left = abs(float(null @ now))
        worth = (sum(counts), round(float(np.ptp(now)) / packer, 6), left)
        if left <= enough and (best is None or worth < best[0]):
            best = worth, under
    assert best is not None  # the steps of one pad alone are no longer than twice that
    return _packed(patches, up, packer, best[1])


def levelling(patches: ArrayLike, heights: ArrayLike, packer: float) -> Packing | None:
    """Packers that bring four pads level, to within about half a packer, and as well into one plane as that allows.

    Arguments and limits as for `packing`.
    Source: each pad raised to the highest, to a whole packer below or above, by enumeration.
    """
    up = np.asarray(heights, dtype=float)
    short = (up.max() - up) / packer
    if short.max() > MOST_PACKERS:
        return None
    ways = [np.array(way, dtype=int) for way in product(*((np.floor(s), np.ceil(s)) for s in short))]

    def worth(under: Array) -> tuple[float, float, int]:
        now = up + packer * under
        level = abs(float(warp(patches) @ now)) / packer
        return max(level, 0.5), float(np.ptp(now)), int(under.sum())

    return _packed(patches, up, packer, min(ways, key=worth))


def _packed(patches: ArrayLike, heights: Array, packer: float, under: Array) -> Packing:
    now = heights + packer * under
    return Packing(
        packers=tuple(int(count) for count in under),  # type: ignore[arg-type]
        out_of_plane=out_of_plane(patches, now),
        aft_up=slopes_of(patches, now)[0],
        left_up=slopes_of(patches, now)[1],
    )
