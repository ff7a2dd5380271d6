"""The height of the centre of gravity, from what an axle carries while the other one is raised.

The car turns as one rigid body about the wheel centres of the axle on the ground. Neglected: tyres that sink further
under more load, suspension that is not locked, fuel that runs, raised wheels that are held along the floor, errors of
the wheelbase.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.quality import student
from ballast.physics.statics import Array
from ballast.physics.uncertainty import COVERAGE

SMALL_STEP = 1e-4
"""Step of the central differences in `_slopes`: far from the noise of a double, far inside the curvature. [kg and m]"""


@dataclass(frozen=True)
class Lifted:
    """One axle raised step by step, the other on its pads."""

    wheelbase: float
    """[m]"""
    radius_grounded: float
    """height of the wheel centres that stay, above the ground [m]"""
    radius_raised: float
    """height of the wheel centres that are raised, while the car is level [m]"""
    total: float
    """[kg]"""
    level: float
    """load on the grounded axle while the car is level [kg]"""
    heights: ArrayLike
    """(n,), how far the other axle's wheel centres are raised [m]"""
    loads: ArrayLike
    """(n,), load on the grounded axle then [kg]"""


@dataclass(frozen=True)
class Line:
    """The straight line through the level reading and the lifts."""

    height: float
    """of the centre of gravity, car level [m]"""
    level: float
    """load on the grounded axle that the line has for the level car [kg]"""
    residuals: Array
    """(n + 1,), readings less the line, the level reading first [kg]"""
    scatter: float | None
    """standard deviation of the readings about the line, where there are more than the two that make one [kg]"""


def angles(lifted: Lifted) -> Array:
    """How far the car is turned at each lift. Returns (n,). [rad]

    sin = H / L for equal radii, not tan: H is the height of a triangle whose long side is the wheelbase. With unequal
    radii the line between the wheel centres, longer than the wheelbase by a hair, leans already while the car is level.
    Gives nan where no car of this wheelbase reaches so high. Source: geometry of the turned axle line.
    """
    step = lifted.radius_raised - lifted.radius_grounded
    between = np.hypot(lifted.wheelbase, step)
    sine = (step + np.asarray(lifted.heights, dtype=float)) / between
    return np.asarray(np.arcsin(np.where(np.abs(sine) < 1, sine, np.nan)) - np.arctan2(step, lifted.wheelbase))


def lift_for(lifted: Lifted, angle: float) -> float:
    """How far the wheel centres have to be raised to turn the car by an angle [rad]. The inverse of `angles`. [m]"""
    step = lifted.radius_raised - lifted.radius_grounded
    return float(np.hypot(lifted.wheelbase, step) * np.sin(angle + np.arctan2(step, lifted.wheelbase)) - step)


def each_alone(lifted: Lifted) -> Array:
    """Height of the centre of gravity from each lift alone and the level reading. Returns (n,). [m]

    h = R + L (G - G0) / (W tan theta), R = (Rg G + Rr (W - G)) / W, which is exact: moments about the grounded wheels'
    contact of the turned car, W (a cos - (h - Rg) sin) = (W - G) (L cos - (Rr - Rg) sin), with a = L (W - G0) / W.
    The textbook form (Jazar, Vehicle Dynamics, eq. 2.32) takes R from the level loads.
    """
    loads, tangents = np.asarray(lifted.loads, dtype=float), np.tan(angles(lifted))
    lever = lifted.wheelbase * (loads - lifted.level) / (lifted.total * tangents)
    return np.asarray(_radius(lifted, loads) + lever)


def line(lifted: Lifted) -> Line:
    """The height from all lifts together, by least squares.

    With z = G + W R tan / L the exact law is the straight line z = G0 + (W h / L) tan. The level reading is one point
    of it, at tan = 0, and no more sure than any other: forcing the line through it would give its error to every lift.
    One lift and the level reading make the line by themselves, and give what `each_alone` gives.
    Plotting against tan as in ISO 10392:2011; ordinary least squares, all loads equally sure.
    """
    tangents = np.concatenate([[0.0], np.tan(angles(lifted))])
    loads = np.concatenate([[lifted.level], np.asarray(lifted.loads, dtype=float)])
    raised = loads + lifted.total * _radius(lifted, loads) * tangents / lifted.wheelbase
    middle = tangents.mean()
    slope = (tangents - middle) @ raised / ((tangents - middle) ** 2).sum()
    level = raised.mean() - slope * middle
    height = float(slope * lifted.wheelbase / lifted.total)
    found = loads - _loads(lifted, height, level, tangents)
    spare = len(loads) - 2
    return Line(height, float(level), found, float(np.sqrt(found @ found / spare)) if spare else None)


def loads_at(lifted: Lifted, height: float) -> Array:
    """What the grounded axle carries at each lift if the centre of gravity is so high [m]. Returns (n,). [kg]"""
    return _loads(lifted, height, lifted.level, np.tan(angles(lifted)))


@dataclass(frozen=True)
class Unsure:
    """Standard uncertainty of a height by what causes it. A sign says which way the height goes."""

    own: float
    """from the loads of this axle, each on its own, and from what scatters about its line [m]"""
    by_tape: float
    """from the one tape that measured the lifts [m]"""
    by_radii: float
    """from the one way in which the loaded radii were measured [m]"""

    @property
    def together(self) -> float:
        """All of them. [m]"""
        return float(np.sqrt(self.own**2 + self.by_tape**2 + self.by_radii**2))


@dataclass(frozen=True)
class Combined:
    """One height from two axles."""

    height: float
    """[m]"""
    uncertain: float
    """standard uncertainty of it [m]"""
    apart: float
    """first height less second [m]"""
    apart_uncertain: float
    """standard uncertainty of that [m]"""

    @property
    def agree(self) -> bool:
        """Whether the two differ by no more than their 95 % interval."""
        return abs(self.apart) <= COVERAGE * self.apart_uncertain


def standard_uncertainty(
    lifted: Lifted, scatter: float | None, u_load: float, u_height: float, u_radius: float
) -> float:
    """Standard uncertainty of the height, for use with k = 2: all of `unsure` together. [m]"""
    return unsure(lifted, scatter, u_load, u_height, u_radius).together


def unsure(lifted: Lifted, scatter: float | None, u_load: float, u_height: float, u_radius: float) -> Unsure:
    """What makes the height unsure.

    scatter : of `line`, none when nothing shows it [kg]; the others : standard uncertainties of an axle load [kg], of
    what the lifts are raised [m] and of the loaded radii [m].
    Loads err each on its own, the total as two of them. One tape and one mark measure all lifts, and one way of
    measuring both radii: those errors are common, and more lifts do not lessen them. What scatters about the line is
    added, widened by Student's factor over 2; where it is the pads' own error, that is counted twice, on the safe side.
    Source: JCGM 100:2008, 5.2.2, eq. 13, slopes by central differences; 4.2 and G.3 for the scatter of a line.
    """
    number = len(np.asarray(lifted.loads))
    *by_load, by_total, by_tape, by_radii = _slopes(lifted)
    variance = u_load**2 * float(np.square(by_load).sum() + 2 * by_total**2)
    if scatter is not None:
        tangents = np.concatenate([[0.0], np.tan(angles(lifted))])
        spread = ((tangents - tangents.mean()) ** 2).sum()
        of_height = scatter / np.sqrt(spread) * lifted.wheelbase / lifted.total
        variance += (student(number) / COVERAGE * of_height) ** 2  # n + 1 points less 2: as many as n values have
    return Unsure(float(np.sqrt(variance)), float(by_tape * u_height), float(by_radii * u_radius))


def combined(heights: tuple[float, float], causes: tuple[Unsure, Unsure]) -> Combined:
    """One height from that of either axle raised, weighed by inverse variance. [m]

    Tape and radii err the same way in both, so they stay in the mean and go from the difference as far as they are
    alike. Source: JCGM 100:2008, 5.2.2, eq. 13; weights of least variance for independent values (a textbook result).
    """
    variances = np.maximum(np.square([cause.together for cause in causes]), np.finfo(float).tiny)
    mean = (1 / variances) / (1 / variances).sum()
    own = np.array([cause.own for cause in causes])
    common = np.array([[cause.by_tape for cause in causes], [cause.by_radii for cause in causes]])

    def uncertainty(weights: Array) -> float:
        return float(np.sqrt(((weights * own) ** 2).sum() + ((common @ weights) ** 2).sum()))

    apart = np.array([1.0, -1.0])
    values = np.array(heights)
    return Combined(float(mean @ values), uncertainty(mean), float(apart @ values), uncertainty(apart))


def turned_further(lifted: Lifted, height: float, greatest: float) -> Lifted:
    """The same lifts, all raised in proportion until the highest turns the car by `greatest` [rad], loads as foreseen.

    height : of the centre of gravity [m].
    """
    heights = np.asarray(lifted.heights, dtype=float)
    higher = replace(lifted, heights=heights * lift_for(lifted, greatest) / heights.max())
    return replace(higher, loads=loads_at(higher, height))


def _radius(lifted: Lifted, loads: Array) -> Array:
    """Radius between the two axles' radii, each counted with the load that the axle carries. [m]"""
    return (lifted.radius_grounded * loads + lifted.radius_raised * (lifted.total - loads)) / lifted.total


def _loads(lifted: Lifted, height: float, level: float, tangents: Array) -> Array:
    """The law of `line` solved for the load."""
    lean = (lifted.radius_grounded - lifted.radius_raised) * tangents / lifted.wheelbase
    rise = lifted.total * (height - lifted.radius_raised) * tangents / lifted.wheelbase
    return np.asarray((level + rise) / (1 + lean))


def _slopes(lifted: Lifted) -> Array:
    """How the height moves with the level load, each lift's load, the total, all lifts at once, both radii at once."""
    loads, heights = np.asarray(lifted.loads, dtype=float), np.asarray(lifted.heights, dtype=float)
    grounded, raised = lifted.radius_grounded, lifted.radius_raised

    def moved(by: float) -> list[Lifted]:
        return [
            replace(lifted, level=lifted.level + by),
            *(replace(lifted, loads=loads + by * one) for one in np.eye(len(loads))),
            replace(lifted, total=lifted.total + by),
            replace(lifted, heights=heights + by),
            replace(lifted, radius_grounded=grounded + by, radius_raised=raised + by),
        ]

    up, down = ([line(changed).height for changed in moved(by)] for by in (SMALL_STEP, -SMALL_STEP))
    return np.asarray(np.subtract(up, down) / (2 * SMALL_STEP))
