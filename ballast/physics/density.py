"""What denser plates would save in height: the same mass with the same outline lies lower."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array

DENSITY = {
    "aluminium": 2_700.0,
    "zinc": 7_140.0,
    "iron": 7_200.0,
    "steel": 7_850.0,
    "brass": 8_500.0,
    "copper": 8_960.0,
    "lead": 11_340.0,
    "tungsten alloy": 17_000.0,
    "tungsten": 19_300.0,
    "depleted uranium": 19_050.0,
}
"""[kg/m3] Pure metals: CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds; steel, cast
iron and brass: EN 1991-1-1:2002, table A.4 (78.5, 71 to 72.5, 83 to 85 kN/m3); tungsten alloy: ASTM B777 class 1, 16.85
to 17.25 g/cm3, the least dense of its four classes (class 4: 18.25 to 18.85). All from memory. Concrete, sand and shot
are left out: their density is that of how they are filled in."""


@dataclass(frozen=True)
class Lowered:
    """Stacks of plates in a denser material."""

    by: float
    """how much lower the centre of gravity of the car is [m]"""
    stacks: Array
    """(M,), height of each stack as it is [m]"""
    then: Array
    """(M,), the same in the denser material [m]"""


def lowered(counts: ArrayLike, masses: ArrayLike, thickness: ArrayLike, ratios: ArrayLike, total: float) -> Lowered:
    """How much lower a car gets where plates keep mass, outline, mount and order, and are only denser.

    counts : (M, P), plates standing; masses : (P,) [kg]; thickness : (P,) [m]; ratios : (P,), density as it is over the
    density then, 1 for plates that stay as they are [-]; total : of the car [kg].
    Plates lie in the order of their kinds, first at the bottom. Neglected: what a thinner stack saves in bolts.
    Source: first moment of the masses that move.
    """
    standing, thick = np.asarray(counts, dtype=float), np.asarray(thickness, dtype=float)
    thin = thick * np.asarray(ratios, dtype=float)
    fall = _middles(standing, thick) - _middles(standing, thin)
    by = float((standing * np.asarray(masses, dtype=float) * fall).sum() / total)
    return Lowered(by, standing @ thick, standing @ thin)


def _middles(standing: Array, thickness: Array) -> Array:
    """Height of the middle of each kind's plates above the underside of the stack, (M, P). [m]"""
    lying = standing * thickness
    return np.asarray(np.cumsum(lying, axis=1) - lying / 2)
