"""Bolts that hold ballast: what one resists, and how much of that a mount asks of it when the car stops hard.

Strength is one verdict, what a rulebook asks for (count, size, class) is another; this is the first, and for the bolts
alone: see NEGLECTED. The series rules and a qualified person decide. Inside units: m, m2, Pa, N, kg.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, pi
from re import sub
from typing import Literal

from ballast.units import LENGTH, MASS, STANDARD_GRAVITY

Direction = Literal["forward", "rearward", "sideways", "up"]
Way = Literal["shear", "tension"]
Factors = Mapping[Direction, float]
PARTIAL_FACTOR = 1.25
"""gamma_M2, the value EN 1993-1-8 recommends. [-]"""
SHANK_FACTOR, HEAD_FACTOR, COUNTERSUNK_FACTOR = 0.6, 0.9, 0.63
"""EN 1993-1-8, table 3.4: alpha_v of a plain shank, k2 of a full head and of a countersunk one. [-]"""
LOAD_FACTORS: Factors = {"forward": 25.0, "rearward": 25.0, "sideways": 25.0, "up": 25.0}
"""Load in multiples of standard gravity where the rules give none; the rules override it. [-]
Common practice, no source for ballast. 25 g is what FIA Appendix J art. 253 asks of fixings of cameras (2021, art. 2)
and extinguishers (2011, 7.2.2 and 7.3.6, second-hand); as read they name no direction, so it is asked in each."""
NEGLECTED = (
    "strength of floor, bracket and plates; bearing in the holes; pull-through of heads and washers",
    "prying; overturning of a tall stack and bending of its bolts",
    "unequal sharing between bolts; several directions at once; preload, friction, wear and fatigue",
    "threads cut undersize for galvanising; nuts weaker than the bolt",
)
"""What the utilisation of a bolt leaves out; to be said wherever it is shown."""
MM, INCH = LENGTH["mm"], LENGTH["in"]
PSI = MASS["lb"] * STANDARD_GRAVITY / INCH**2
"""One pound-force per square inch. [Pa]"""


class NotCoveredError(ValueError):
    """A bolt that exists but has no resistance here; the text completes "not checked because ..."."""


@dataclass(frozen=True)
class Thread:
    """A thread, inch for unified and else metric. diameter, pitch : nominal [m]; designation : name with pitch."""

    name: str
    designation: str
    diameter: float
    pitch: float
    inch: bool

    @property
    def stress_area(self) -> float:
        """Nominal stress area. [m2] Source: ISO 898-1 and ISO 724; for unified threads SAE J429 as reproduced."""
        return pi / 4 * (self.diameter - (0.9743 if self.inch else 0.9382) * self.pitch) ** 2


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


METRIC = ((5, 0.8), (6, 1.0), (8, 1.25), (10, 1.5), (12, 1.75), (14, 2.0), (16, 2.0), (20, 2.5))
UNIFIED = (("1/4", 0.25, 20), ("5/16", 0.3125, 18), ("3/8", 0.375, 16), ("7/16", 0.4375, 14), ("1/2", 0.5, 13))
THREADS = (
    *(Thread(f"M{size}", f"M{size}x{pitch:g}", size * MM, pitch * MM, inch=False) for size, pitch in METRIC),
    *(Thread(f"{name} in", f"{name}-{n}", size * INCH, INCH / n, inch=True) for name, size, n in UNIFIED),
)
"""Coarse only. Sources: ISO 898-1 and SAE J429 as reproduced; the pitch of M20 and 5/16-18 from memory."""
CLASSES = (("4.6", 0.6), ("4.8", 0.5), ("5.6", 0.6), ("5.8", 0.5), ("6.8", 0.5), ("8.8", 0.6), ("10.9", 0.5))
STRENGTHS = (
    *(Strength(name, int(name.split(".")[0]) * 100e6, alpha, inch=False) for name, alpha in CLASSES),
    Strength("grade 2", 74_000 * PSI, 0.5, inch=True),
    Strength("grade 5", 120_000 * PSI, 0.6, inch=True),
)
"""Classes: the figure before the point is fub in 100 MPa, as in EN 1993-1-8, table 3.1; alpha_v of table 3.4 (that of
4.8, 5.8 and 6.8 from memory). Grades: SAE J429 up to 3/4 in, second-hand (one copy prints 72,000 psi for grade 2); to
use EN 1993-1-8 for them, with 0.6 for grade 5 alone (roughly an 8.8), is our own choice, meant to be conservative."""
NOT_COVERED = {"12.9": "class 12.9 has no factor in EN 1993-1-8", "grade 8": "grade 8 was in no source that was read"}


def thread_named(name: str) -> Thread:
    """The coarse thread of a trade name: "M8", "M8x1.25", "3/8 in", "3/8", "3/8-16". ValueError for any other."""
    for thread in THREADS:
        if _folded(name) in (_folded(thread.name), _folded(thread.designation)):
            return thread
    known = ", ".join(thread.name for thread in THREADS)
    raise ValueError(f"no coarse thread '{name}'; known are {known}; fine threads are not included")


def strength_named(name: str) -> Strength:
    """The class or grade of a trade name: "8.8", "class 8.8", "grade 5", "5". Raises as `bolt_resistance` does."""
    for strength in STRENGTHS:
        if _folded(name) == _folded(strength.name):
            return strength
    for known, reason in NOT_COVERED.items():
        if _folded(name) == _folded(known):
            raise NotCoveredError(reason)
    names = ", ".join((*(strength.name for strength in STRENGTHS), *NOT_COVERED))
    raise ValueError(f"no strength class '{name}'; known are {names}")


def _folded(name: str) -> str:
    return sub(r'^class|^grade|in$|[" ]', "", name.casefold().strip())


def design_resistance(factor: float, tensile: float, area: float) -> float:
    """Shear resistance in one plane, alpha_v fub A / gamma, or tension resistance, k2 fub As / gamma. [N]

    factor : alpha_v or k2 [-]; tensile : fub [Pa]; area : stress area, or gross area of a plain shank in shear [m2].
    Source: EN 1993-1-8, table 3.4.
    """
    return factor * tensile * area / PARTIAL_FACTOR


def bolt_resistance(thread: str, strength: str, plain_shank: bool = False, countersunk: bool = False) -> Resistance:
    """What one bolt resists, by the trade names of its thread and class. The shear plane is in the thread unless told.

    Raises NotCoveredError for one of NOT_COVERED, never extrapolating; ValueError for an unknown name, or an inch grade
    on a metric thread or the reverse. Source: EN 1993-1-8, table 3.4, gross area by the nominal diameter.
    """
    size, kind = thread_named(thread), strength_named(strength)
    if size.inch != kind.inch:
        fitting = ", ".join(other.name for other in STRENGTHS if other.inch == size.inch)
        raise ValueError(f"{size.name} bolts do not come in {kind.name}; use one of {fitting}")
    alpha, area = (SHANK_FACTOR, pi / 4 * size.diameter**2) if plain_shank else (kind.thread_factor, size.stress_area)
    tension = design_resistance(COUNTERSUNK_FACTOR if countersunk else HEAD_FACTOR, kind.tensile, size.stress_area)
    return Resistance(shear=design_resistance(alpha, kind.tensile, area), tension=tension)


def utilisation(shear: float, tension: float, bolt: Resistance) -> float:
    """The greater of Fv/FvRd + Ft/(1.4 FtRd) and Ft/FtRd: above 1 the bolt is too weak. [-]

    shear, tension : forces on one bolt, not negative [N]. Source: EN 1993-1-8, table 3.4, combined shear and tension.
    """
    return max(shear / bolt.shear + tension / (1.4 * bolt.tension), tension / bolt.tension)


def mount_loadings(mass: float, bolt: Resistance, count: int, factors: Factors = LOAD_FACTORS) -> tuple[Loading, ...]:
    """How far each direction of `factors` uses the upright, equally loaded bolts of a mount; others are not checked.

    mass : plates, clamp plates and hardware [kg]; count : bolts; factors : load factor of each direction [-].
    In-plane directions load the bolts in shear, up in tension; force = mass x factor x g. Neglects: see NEGLECTED.
    """
    if count < 1 or not all(isfinite(amount) and amount >= 0 for amount in (mass, *factors.values())):
        raise ValueError("give at least one bolt; mass and load factors are finite and not negative")
    if not factors or not set(factors) <= set(LOAD_FACTORS):
        raise ValueError(f"give load factors for some of {', '.join(LOAD_FACTORS)}, and for nothing else")
    loadings = []
    for direction, factor in factors.items():
        force = mass * factor * STANDARD_GRAVITY
        way: Way = "tension" if direction == "up" else "shear"
        each = (force / count, 0.0) if way == "shear" else (0.0, force / count)
        loadings.append(Loading(direction, way, factor, force, utilisation(*each, bolt)))
    return tuple(loadings)
