"""What known masses and known platform turns, weighed before and after, say of the springs; and how surely.

A mass changes the loads by its levers, which every car shares, and by warp n (c0 + c1 aft + c2 left), which is the
car's own: the conventions of `stance`. So only the warp of a measured change is fitted; the rest of it tests the mass,
the place and the pads. Neglects a chassis that twists, for which the c hold at the places tried.

Uncertainties are standard uncertainties, first order (JCGM 100:2008, 5.2.2). Every trial is compared with one and the
same weighing before, so the trials share its error: fits are weighted by the whole covariance.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from ballast.corners import CORNERS, Corner
from ballast.physics.misfit import chance_of
from ballast.physics.quality import ASSUMED_DIAGONAL, ASSUMED_FRONT, ASSUMED_LEFT, ASSUMED_TOTAL, student
from ballast.physics.stance import by_roll_share
from ballast.physics.statics import ON_DIAGONAL, Array, in_warp, lever_matrix, levers, warp
from ballast.physics.uncertainty import COVERAGE

ROUNDS = 4
"""Rounds of a fit, whose weights depend a little on what it finds; two or three settle it."""
MOST_SETTLINGS = 12
"""Settlings of each weighing beyond which nobody goes. Common practice, no source."""
HAIR = 1e-9
"""Standard uncertainty of a warp that nothing puts in doubt, so that it has a weight. [kg]"""
MOST_TIMES = 50.0
"""Times the mass of a trial beyond which no heavier mass helps: its place then leaves more open than its weighing."""


@dataclass(frozen=True)
class Scatter:
    """How much one settling of the car differs from the next, in the parts of the loads that count here."""

    warp: float
    """standard deviation of the load of the first corner that is warp [kg]"""
    levers: Array
    """(3,), of the total [kg] and of its moments about the front axle line and the centre line [kg m]"""
    degrees: int
    """degrees of freedom behind these; 0 where no weighing was repeated and they are assumed"""

    @property
    def widened(self) -> float:
        """Factor with which twice the uncertainty is the 95 % interval of so few settlings: Student's over 2."""
        return student(self.degrees + 1) / COVERAGE if self.degrees else 1.0


@dataclass(frozen=True)
class Doubt:
    """How far everything that goes into a trial may be off. Standard uncertainties."""

    scatter: Scatter
    resolution: float = 0.0
    """of what one pad shows, rounding alone: its step over sqrt 12 [kg]"""
    gains: Array = field(default_factory=lambda: np.zeros(4))
    """(4,), of each pad's own gain: all that is left of its errors in a difference of two readings [-]"""
    gain: float = 0.0
    """of the gain that all pads share [-]"""
    mass: float = 0.0
    """of a trial weight, all of them weighed on the same scale and off the same way [kg]"""
    place: float = 0.0
    """of the place of a trial weight, each way, set down and taped afresh each time [m]"""
    turns: float = 0.0
    """of a number of turns [turns]"""


@dataclass(frozen=True)
class Trial:
    """Masses put on the car, or platforms wound, and the loads weighed after that."""

    settlings: int
    """how often the car was, or will be, weighed with them"""
    masses: ArrayLike = ()
    """(k,), negative for what was taken off [kg]"""
    places: ArrayLike = ()
    """(k, 2), aft and left [m]"""
    change: Array | None = None
    """(4,), mean of the loads after less mean of those before; none before it is weighed [kg]"""


@dataclass(frozen=True)
class Fit:
    """Numbers fitted to the warp of some trials."""

    values: Array
    """(p,)"""
    covariance: Array
    """(p, p)"""
    chi_square: float
    """with the scatter as it was found, not widened"""
    degrees: int
    """trials less numbers; 0 where nothing is left to show a trial that does not fit"""
    known: int
    """degrees of freedom of the scatter"""
    off: Array
    """(j,), what each trial is off the fit, in standard uncertainties of that; 0 where nothing is left over"""

    @property
    def uncertain(self) -> Array:
        """Standard uncertainty of each. (p,)"""
        return np.asarray(np.sqrt(np.maximum(np.diag(self.covariance), 0.0)))

    @property
    def chance(self) -> float:
        """Chance that settling and the stated uncertainties alone make trials fit as badly as these."""
        return chance_of(self.chi_square, self.degrees, self.known)


def pooled(weighings: Sequence[ArrayLike], patches: ArrayLike) -> Scatter:
    """Scatter of one settling, pooled over weighings that each had several; assumed where none had.

    weighings : each (n, 4), one row for each settling [kg]; patches : (4, 2) [m].
    Source: JCGM 100:2008, 4.2.4 and H.3.6 (pooled estimate); ISO 5725-2 pools the same way. What is assumed of a single
    settling is `quality`'s.
    """
    rows = [np.atleast_2d(np.asarray(loads, dtype=float)) for loads in weighings]
    degrees = sum(len(loads) - 1 for loads in rows)
    if not degrees:
        mean = np.mean([loads.mean(axis=0) for loads in rows], axis=0)
        return assumed(mean, patches)
    spread = np.vstack([loads - loads.mean(axis=0) for loads in rows])
    in_levers = spread @ lever_matrix(patches)
    return Scatter(
        warp=float(np.sqrt(np.square(in_warp(patches, spread)).sum() / degrees)),
        levers=np.sqrt(np.square(in_levers).sum(axis=0) / degrees),
        degrees=degrees,
    )


def assumed(loads: ArrayLike, patches: ArrayLike) -> Scatter:
    """Scatter of a settling where no weighing was repeated, as `quality` assumes it. loads : (4,) [kg]."""
    places, total = np.asarray(patches, dtype=float), float(np.sum(loads))
    across = float(np.abs(places[:, 1]).mean())
    along = float(np.ptp(places[:, 0]))
    return Scatter(
        warp=abs(ASSUMED_DIAGONAL * total / float(warp(places) @ ON_DIAGONAL["RF+LR"])),
        levers=total * np.array([ASSUMED_TOTAL, ASSUMED_FRONT * along, 2 * ASSUMED_LEFT * across]),
        degrees=0,
    )


def front_roll_share(patches: ArrayLike, before: int, trials: Sequence[Trial], doubt: Doubt) -> Fit:
    """Front share of the roll stiffness of a car alike left and right, from one trial or several.

    patches : (4, 2) [m]; before : settlings of the weighing before; trials : weighed ones.
    Returns one value. [-] On a plain car and one mass this is d(LF - RF) tf / (2 m left), of the warp alone.
    Source: generalised least squares; `statics.influence` for how the warp follows the share.
    """
    return _fitted(lambda share: _by_share(patches, share), np.array([0.5]), patches, before, trials, doubt)


def coefficients(patches: ArrayLike, before: int, trials: Sequence[Trial], doubt: Doubt) -> Fit:
    """c0 [-], c1 and c2 [1/m] of any car, from masses at three or more places that are not on one line.

    patches, before, trials : as for `front_roll_share`. Raises ValueError where the places do not tell them apart.
    """
    if not tells_all(trials):
        raise ValueError("three places that are not on one line are needed")

    def three(values: Array) -> tuple[Array, Array]:
        return values, np.eye(3)

    return _fitted(three, np.zeros(3), patches, before, trials, doubt)


def tells_all(trials: Iterable[Trial]) -> bool:
    """Whether the places of some trials suffice for three coefficients. Lines within a millimetre count as one."""
    rows = np.array([_moments(trial) for trial in trials]).reshape(-1, 3)
    masses = np.abs(rows[:, 0]).max(initial=0.0) or 1.0
    return bool(len(rows) >= 3 and np.linalg.matrix_rank(rows / masses, tol=1e-3) == 3)


def foreseen(patches: ArrayLike, before: int, trials: Sequence[Trial], doubt: Doubt, share: float) -> float:
    """Standard uncertainty that trials will give the front roll share, before they are weighed. [-]

    share : what the share is thought to be; little depends on it. Infinite for masses on the centre line.
    """
    by_place, slope = _by_share(patches, np.array([share]))
    design = np.array([_moments(trial) for trial in trials]) @ slope[:, 0]
    told = design @ np.linalg.pinv(_covariance(patches, before, trials, doubt, by_place), hermitian=True) @ design
    return float(1 / np.sqrt(told)) if told > 0 else math.inf


def times_the_mass(
    patches: ArrayLike, before: int, trials: Sequence[Trial], doubt: Doubt, share: float, wanted: float
) -> float | None:
    """How many times the masses it takes, at the same places, for a standard uncertainty of the share; none if no mass.

    Never less than one. `before`, `trials`, `share` : as for `foreseen`; wanted : standard uncertainty. [-]
    """

    def reached(times: float) -> bool:
        heavier = [replace(trial, masses=times * np.asarray(trial.masses), change=None) for trial in trials]
        return foreseen(patches, before, heavier, doubt, share) <= wanted

    if reached(1.0):
        return 1.0
    if not reached(MOST_TIMES):
        return None
    low, high = 1.0, MOST_TIMES
    while high - low > 1e-3 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if reached(middle) else (middle, high)
    return high


def settlings_for(patches: ArrayLike, trials: Sequence[Trial], doubt: Doubt, share: float, wanted: float) -> int | None:
    """How many settlings of each weighing, before and after, it takes for a standard uncertainty; none if too many.

    `trials`, `share` : as for `foreseen`; wanted : standard uncertainty. [-]
    """
    for each in range(2, MOST_SETTLINGS + 1):
        if foreseen(patches, each, *repeated(trials, doubt, each), share) <= wanted:
            return each
    return None


def repeated(trials: Sequence[Trial], doubt: Doubt, each: int) -> tuple[list[Trial], Doubt]:
    """The same trials with so many settlings of each weighing, none weighed yet, and the scatter known that well."""
    degrees = (len(trials) + 1) * (each - 1)
    scatter = doubt.scatter
    known = replace(scatter, degrees=degrees if scatter.degrees else 0)
    return [replace(trial, settlings=each, change=None) for trial in trials], replace(doubt, scatter=known)


def load_per_turn(
    patches: ArrayLike, corner: Corner, before: int, wound: Sequence[tuple[float, Trial]], doubt: Doubt
) -> Fit:
    """What one turn up of the platform of a corner puts on that corner, from turns weighed before and after.

    wound : turns, up positive, and the trial of each; no masses. Returns one value. [kg for each turn]
    Source: turns change the loads by warp alone, and in proportion.
    """
    own = float(warp(patches)[CORNERS.index(corner)])
    turns = np.array([turned for turned, _ in wound])
    trials = [trial for _, trial in wound]
    design, seen = (turns / own)[:, np.newaxis], in_warp(patches, np.array([trial.change for trial in trials]))

    def fitted(doubt: Doubt) -> Fit:
        weighed, miscounted = _covariance(patches, before, trials, doubt, np.zeros(3)), 0.0
        for _ in range(ROUNDS):
            found = _least_squares(design, seen, weighed + np.eye(len(turns)) * miscounted**2)
            miscounted = found.values[0] / own * doubt.turns
        return found

    return replace(fitted(doubt), chi_square=fitted(_as_found(doubt)).chi_square, known=doubt.scatter.degrees)


def foreseen_per_turn(
    patches: ArrayLike, corner: Corner, before: int, turns: float, trial: Trial, doubt: Doubt
) -> float:
    """Standard uncertainty that turns will give the load of a turn, but for that of the turns. [kg for each turn]"""
    own = float(warp(patches)[CORNERS.index(corner)])
    weighed = _covariance(patches, before, [trial], doubt, np.zeros(3))
    return abs(own / turns) * math.sqrt(float(weighed[0, 0]))


def against_levers(patches: ArrayLike, before: int, trial: Trial, doubt: Doubt) -> tuple[Array, Array]:
    """What a weighed change has that its masses and places do not explain, though the levers must; no spring matters.

    Returns the total [kg] and the moments about the front axle line and the centre line [kg m], seen less told, and
    the standard uncertainty of each; two of (3,).
    """
    rows = lever_matrix(patches)
    masses, places = _masses(trial)
    change = np.zeros(4) if trial.change is None else trial.change
    scatter = doubt.scatter
    settled = np.square(scatter.widened * scatter.levers) * (1 / before + 1 / trial.settlings)
    pads = np.square(rows).T @ (2 * doubt.resolution**2 + np.square(doubt.gains * change))
    common = np.square(doubt.gain * (change @ rows))
    signs = np.sign(masses)
    told = np.array([masses.sum(), masses @ places[:, 0], masses @ places[:, 1]])
    by_mass = doubt.mass * np.array([signs.sum(), signs @ places[:, 0], signs @ places[:, 1]])
    by_place = np.array([0.0, 1.0, 1.0]) * doubt.place**2 * np.square(masses).sum()
    return change @ rows - told, np.sqrt(settled + pads + common + np.square(by_mass) + by_place)


def _masses(trial: Trial) -> tuple[Array, Array]:
    """(k,) and (k, 2)."""
    return np.asarray(trial.masses, dtype=float).reshape(-1), np.asarray(trial.places, dtype=float).reshape(-1, 2)


def _moments(trial: Trial) -> Array:
    """Sum of the masses and their moments: the row of the fit. (3,) [kg], [kg m], [kg m]"""
    masses, places = _masses(trial)
    return np.array([masses.sum(), masses @ places[:, 0], masses @ places[:, 1]])


def _by_share(patches: ArrayLike, share: Array) -> tuple[Array, Array]:
    """The c of a front roll share, (3,), and how they change with it, (3, 1)."""
    value = float(share[0])
    low, here, high = (by_roll_share(patches, value + step).by_place[:3] for step in (-0.01, 0.0, 0.01))
    return here, ((high - low) / 0.02)[:, np.newaxis]


def _covariance(patches: ArrayLike, before: int, trials: Sequence[Trial], doubt: Doubt, by_place: Array) -> Array:
    """Covariance of the warp of the trials' changes, and of what their masses let expect. (j, j) [kg2]

    by_place : (3,), the c that masses and places are multiplied with.
    """
    null = warp(patches)
    onto = null / (null @ null)
    settled = (doubt.scatter.widened * doubt.scatter.warp) ** 2
    each = np.diag([1 / trial.settlings for trial in trials])
    rounded = doubt.resolution**2 * float(onto @ onto)
    found = settled * (each + 1 / before) + rounded * (np.eye(len(trials)) + 1) + HAIR**2 * np.eye(len(trials))
    changes = np.array([_change(patches, trial, by_place) for trial in trials])
    each_pad = changes * onto * doubt.gains
    all_pads = doubt.gain * changes @ onto
    by_mass, by_tape = [], []
    for trial in trials:
        masses, places = _masses(trial)
        by_mass.append(doubt.mass * float(np.sign(masses) @ (by_place[0] + places @ by_place[1:])))
        by_tape.append(doubt.place**2 * float(np.square(masses).sum() * (by_place[1:] @ by_place[1:])))
    return np.asarray(
        found + each_pad @ each_pad.T + np.outer(all_pads, all_pads) + np.outer(by_mass, by_mass) + np.diag(by_tape)
    )


def _change(patches: ArrayLike, trial: Trial, by_place: Array) -> Array:
    """The change that was weighed, or that the masses bring a car with these c. (4,) [kg]"""
    if trial.change is not None:
        return trial.change
    masses, places = _masses(trial)
    by_levers = masses @ levers(patches, places[:, 0], places[:, 1]).reshape(-1, 4)
    return np.asarray(by_levers + float(_moments(trial) @ by_place) * warp(patches))


def _fitted(
    model: Callable[[Array], tuple[Array, Array]],
    start: Array,
    patches: ArrayLike,
    before: int,
    trials: Sequence[Trial],
    doubt: Doubt,
) -> Fit:
    """Least squares of the warp of trials. model : from values, (p,), to the c, (3,), and their slopes, (3, p)."""
    rows = np.array([_moments(trial) for trial in trials])
    seen = in_warp(patches, np.array([trial.change for trial in trials]))
    values = start
    for _ in range(ROUNDS):
        by_place, slopes = model(values)
        weights = _covariance(patches, before, trials, doubt, by_place)
        found = _least_squares(rows @ slopes, seen - rows @ by_place, weights)
        values = values + found.values
    narrow = _covariance(patches, before, trials, _as_found(doubt), by_place)
    misfit = _least_squares(rows @ slopes, seen - rows @ by_place, narrow).chi_square
    return replace(found, values=values, chi_square=misfit, known=doubt.scatter.degrees)


def _as_found(doubt: Doubt) -> Doubt:
    """The same with the scatter as it was found, not widened for its few settlings."""
    return replace(doubt, scatter=replace(doubt.scatter, degrees=0))


def _least_squares(design: Array, seen: Array, covariance: Array) -> Fit:
    """Generalised least squares. design : (j, p); seen : (j,); covariance : (j, j).

    Source: A. C. Aitken's estimator, (X^T V^-1 X)^-1 X^T V^-1 y; JCGM 102:2011 and ISO/TS 28037:2010 use the same.
    """
    scale = float(np.diag(covariance).max())
    inverse = np.asarray(np.linalg.pinv(covariance / scale, hermitian=True) / scale)
    spread = np.asarray(np.linalg.pinv(design.T @ inverse @ design, hermitian=True))
    values = spread @ design.T @ inverse @ seen
    left = seen - design @ values
    degrees = len(seen) - design.shape[1]
    known = np.maximum(np.diag(covariance - design @ spread @ design.T), 0.0)
    off = np.divide(left, np.sqrt(known), out=np.zeros_like(left), where=known > 1e-9 * scale)
    return Fit(values, spread, float(left @ inverse @ left) if degrees else 0.0, degrees, 0, off)
