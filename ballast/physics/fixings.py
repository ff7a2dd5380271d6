"""Bolts that hold ballast: what one resists, and how much of that a mount asks of it when the car stops hard.

Strength is one verdict, what a rulebook asks for (count, size, class) is another; this is the first, and for the bolts
alone: see NEGLECTED. The series rules and a qualified person decide. Inside units: m, m2, Pa, N, kg.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, pi
from typing import Literal

from ballast.units import LENGTH, MASS, STANDARD_GRAVITY

Direction = Literal["forward", "rearward", "sideways", "up"]
Way = Literal["shear", "tension"]

PARTIAL_FACTOR = 1.25
"""gamma_M2, the value EN 1993-1-8 recommends. [-]"""
SHANK_FACTOR, HEAD_FACTOR, COUNTERSUNK_FACTOR = 0.6, 0.9, 0.63
"""EN 1993-1-8, table 3.4: alpha_v of a plain shank, k2 of a full head and of a countersunk one. [-]"""

LOAD_FACTORS: dict[Direction, float] = {"forward": 25.0, "rearward": 25.0, "sideways": 25.0, "up": 25.0}
"""Load in multiples of standard gravity where the rules give none; the rules override it. [-]
Common practice, no source for ballast. 25 g is what FIA Appendix J art. 253 asks of the fixings of cameras (2021, art. 2)
and extinguishers (2011, 7.2.2 and 7.3.6, second-hand); as read they name no direction, so it is asked in each."""
LOADED_IN: dict[Direction, Way] = {"forward": "shear", "rearward": "shear", "sideways": "shear", "up": "tension"}
"""How each direction loads an upright bolt. Downward the floor carries, not the bolt."""

NEGLECTED = (
    "strength of floor, bracket and plates; bearing in the holes; pull-through of heads and washers",
    "prying; overturning of a tall stack and bending of its bolts",
    "unequal sharing between bolts; several directions at once",
    "preload and friction; wear and fatigue",
    "threads cut undersize for galvanising; nuts weaker than the bolt",
)
"""What the utilisation of a bolt leaves out; to be said wherever it is shown."""

PSI = MASS["lb"] * STANDARD_GRAVITY / LENGTH["in"] ** 2
"""One pound-force per square inch. [Pa]"""


class NotCoveredError(ValueError):
    """A bolt that exists but has no resistance here; the text completes "not checked because ..."."""


@dataclass(frozen=True)
class Thread:
    """A coarse thread. name : "M8"; designation : "M8x1.25"; diameter : nominal [m]; stress_area : nominal [m2]."""

    name: str
    designation: str
    diameter: float
    stress_area: float
    inch: bool


@dataclass(frozen=True)
class Strength:
    """A class or grade of bolt. tensile : nominal ultimate strength [Pa]; thread_factor : alpha_v in the thread [-]."""

    name: str
    tensile: float
    thread_factor: float
    inch: bool


@dataclass(frozen=True)
class Resistance:
    """Design resistance of one bolt: shear in one plane, and tension. [N]"""

    shear: float
    tension: float


@dataclass(frozen=True)
class Loading:
    """A mount in one direction. factor : [-]; force : on the whole mount [N]; utilisation : of each bolt, full at 1."""

    direction: Direction
    way: Way
    factor: float
    force: float
    utilisation: float


def metric_stress_area(diameter: float, pitch: float) -> float:
    """Nominal stress area. diameter, pitch : [m]. Returns [m2]. Source: ISO 898-1 and ISO 724."""
    return pi / 4 * (diameter - 0.9382 * pitch) ** 2


def unified_stress_area(diameter: float, threads_per_inch: float) -> float:
    """Nominal stress area. diameter : [m]; threads_per_inch : [1/in]. Returns [m2]. Source: SAE J429 as reproduced."""
    return pi / 4 * (diameter - 0.9743 * LENGTH["in"] / threads_per_inch) ** 2


def _metric(size: int, pitch: float) -> Thread:
    wide, step = size * LENGTH["mm"], pitch * LENGTH["mm"]
    return Thread(f"M{size}", f"M{size}x{pitch:g}", wide, metric_stress_area(wide, step), inch=False)


def _unified(over: int, under: int, per_inch: int) -> Thread:
    size, wide = f"{over}/{under}", over / under * LENGTH["in"]
    return Thread(f"{size} in", f"{size}-{per_inch}", wide, unified_stress_area(wide, per_inch), inch=True)


THREADS = (
    *(_metric(*row) for row in ((5, 0.8), (6, 1.0), (8, 1.25), (10, 1.5), (12, 1.75), (14, 2.0), (16, 2.0), (20, 2.5))),
    *(_unified(*row) for row in ((1, 4, 20), (5, 16, 18), (3, 8, 16), (7, 16, 14), (1, 2, 13))),
)
"""Coarse threads only. Source: ISO 898-1; the pitch of M20 and the 18 threads of 5/16 in from memory."""

STRENGTHS = (
    *(Strength(name, mpa * 1e6, 0.6, inch=False) for name, mpa in (("4.6", 400), ("5.6", 500), ("8.8", 800))),
    *(Strength(name, mpa * 1e6, 0.5, inch=False) for name, mpa in (("4.8", 400), ("5.8", 500), ("6.8", 600))),
    Strength("10.9", 1000e6, 0.5, inch=False),
    Strength("grade 2", 74_000 * PSI, 0.5, inch=True),
    Strength("grade 5", 120_000 * PSI, 0.6, inch=True),
)
"""Classes: fub of EN 1993-1-8, table 3.1; alpha_v of table 3.4 (that of 4.8, 5.8 and 6.8 from memory).
Grades: SAE J429 to 3/4 in, second-hand (one copy prints 72,000 psi for grade 2). EN 1993-1-8 knows no grades; using its
rules for them is our own conservative choice: 0.6 for grade 5 alone, the rough equivalent of 8.8."""

NOT_COVERED = {
    "12.9": "class 12.9 has no factor in EN 1993-1-8",
    "grade 8": "the tensile strength of grade 8 was not read in any source",
}


def thread_named(name: str) -> Thread:
    """The coarse thread of a trade name: "M8", "M8x1.25", "3/8 in", "3/8", "3/8-16". ValueError for any other."""
    for thread in THREADS:
        if _folded(name) in (_folded(thread.name), _folded(thread.designation)):
            return thread
    known = ", ".join(thread.name for thread in THREADS)
    raise ValueError(f"no coarse thread '{name}'; known are {known}; fine threads are not included")


def strength_named(name: str) -> Strength:
    """The class or grade of a trade name: "8.8", "class 8.8", "grade 5", "5".

    Raises NotCoveredError for one that exists but has no resistance here, ValueError for any other.
    """
    for strength in STRENGTHS:
        if _folded(name) == _folded(strength.name):
            return strength
    for known, reason in NOT_COVERED.items():
        if _folded(name) == _folded(known):
            raise NotCoveredError(reason)
    names = ", ".join([strength.name for strength in STRENGTHS] + list(NOT_COVERED))
    raise ValueError(f"no strength class '{name}'; known are {names}")


def _folded(name: str) -> str:
    word = name.casefold().replace(" ", "").removesuffix('"').removesuffix("in")
    return word.removeprefix("class").removeprefix("grade")


def shear_resistance(tensile: float, area: float, factor: float) -> float:
    """Shear resistance of one plane, alpha_v fub A / gamma. tensile : fub [Pa]; factor : alpha_v [-]. Returns [N].

    area : stress area if the plane passes through the thread, gross area if through the shank. [m2]
    Source: EN 1993-1-8, table 3.4.
    """
    return factor * tensile * area / PARTIAL_FACTOR


def tension_resistance(tensile: float, stress_area: float, factor: float = HEAD_FACTOR) -> float:
    """Tension resistance, k2 fub As / gamma. tensile : fub [Pa]; stress_area : [m2]; factor : k2 [-]. Returns [N].

    Source: EN 1993-1-8, table 3.4.
    """
    return factor * tensile * stress_area / PARTIAL_FACTOR


def bolt_resistance(thread: str, strength: str, plain_shank: bool = False, countersunk: bool = False) -> Resistance:
    """What one bolt resists, by the trade names of its thread and class. The shear plane is in the thread unless told.

    Raises NotCoveredError where no factor is known, rather than extrapolate; ValueError for an unknown name, and for an
    inch grade of a metric thread or the reverse.
    Source: EN 1993-1-8, table 3.4; the gross area is that of the nominal diameter.
    """
    size, kind = thread_named(thread), strength_named(strength)
    if size.inch != kind.inch:
        fitting = ", ".join(other.name for other in STRENGTHS if other.inch == size.inch)
        raise ValueError(f"{size.name} bolts do not come in {kind.name}; use one of {fitting}")
    in_plane = (pi / 4 * size.diameter**2, SHANK_FACTOR) if plain_shank else (size.stress_area, kind.thread_factor)
    head = COUNTERSUNK_FACTOR if countersunk else HEAD_FACTOR
    return Resistance(
        shear_resistance(kind.tensile, *in_plane), tension_resistance(kind.tensile, size.stress_area, head)
    )


def utilisation(shear: float, tension: float, bolt: Resistance) -> float:
    """The greater of Fv/FvRd + Ft/(1.4 FtRd) and Ft/FtRd: above 1 the bolt is too weak. [-]

    shear, tension : forces on one bolt, not negative. [N]
    Source: EN 1993-1-8, table 3.4, combined shear and tension.
    """
    return max(shear / bolt.shear + tension / (1.4 * bolt.tension), tension / bolt.tension)


def mount_loadings(
    mass: float, bolt: Resistance, count: int, factors: Mapping[Direction, float] = LOAD_FACTORS
) -> tuple[Loading, ...]:
    """How far each direction uses the upright, equally loaded bolts of a mount.

    mass : plates, clamp plates and hardware [kg]; count : bolts; factors : load factor of each direction [-].
    Returns one Loading for each direction of `factors`, in its order; one left out is not checked.
    Neglects what NEGLECTED names. Source: force = mass x factor x g.
    """
    if count < 1 or not factors:
        raise ValueError("a mount is checked with at least one bolt and at least one load factor")
    if not all(isfinite(amount) and amount >= 0 for amount in (mass, *factors.values())):
        raise ValueError("mass and load factors are finite and not negative")
    loadings = []
    for direction, factor in factors.items():
        force, way = mass * factor * STANDARD_GRAVITY, LOADED_IN[direction]
        shear, tension = (force / count, 0.0) if way == "shear" else (0.0, force / count)
        loadings.append(Loading(direction, way, factor, force, utilisation(shear, tension, bolt)))
    return tuple(loadings)
