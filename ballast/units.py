"""Units: the one place that holds a conversion factor. Inside the program: kg, m, litres, N/m, N m/rad and
shares from 0 to 1.

Sources: the international pound and inch are exact by the 1959 agreement (1 lb = 0.45359237 kg, 1 in = 25.4 mm);
standard gravity is that of ISO 80000-3. The US gallon is 231 cubic inches, the imperial gallon 4.54609 L by definition.
"""

import math
from dataclasses import dataclass
from typing import Literal

MassUnit = Literal["kg", "lb"]
LengthUnit = Literal["mm", "m", "in"]
VolumeUnit = Literal["L", "US gal", "imp gal"]
SpringUnit = Literal["N/mm", "lbf/in"]
TwistUnit = Literal["N m/deg", "lbf ft/deg"]
Dimension = Literal["mass", "length", "volume", "percent", "spring", "twist"]

STANDARD_GRAVITY = 9.80665
"""[m/s2]"""

MASS: dict[MassUnit, float] = {"kg": 1.0, "lb": 0.45359237}
"""Kilograms in one unit of mass."""

LENGTH: dict[LengthUnit, float] = {"mm": 0.001, "m": 1.0, "in": 0.0254}
"""Metres in one unit of length."""

VOLUME: dict[VolumeUnit, float] = {"L": 1.0, "US gal": 3.785411784, "imp gal": 4.54609}
"""Litres in one unit of volume."""

POUND_FORCE = MASS["lb"] * STANDARD_GRAVITY
"""Newtons in one lbf."""

SPRING: dict[SpringUnit, float] = {"N/mm": 1000.0, "lbf/in": POUND_FORCE / LENGTH["in"]}
"""N/m in one unit of spring rate."""

TWIST: dict[TwistUnit, float] = {
    "N m/deg": 1 / math.radians(1.0),
    "lbf ft/deg": POUND_FORCE * 12 * LENGTH["in"] / math.radians(1.0),
}
"""N m/rad in one unit of torsional stiffness."""


@dataclass(frozen=True)
class Units:
    """The units one file is written in, or one answer is shown in."""

    mass: MassUnit = "kg"
    length: LengthUnit = "m"
    volume: VolumeUnit | None = "L"
    """none in a file that does not say; it may then hold no volume"""
    spring: SpringUnit | None = "N/mm"
    """none likewise"""
    twist: TwistUnit | None = "N m/deg"
    """none likewise"""

    def factor(self, dimension: Dimension) -> float:
        """How much of the inside unit one of the user's units is."""
        if dimension == "mass":
            return MASS[self.mass]
        if dimension == "length":
            return LENGTH[self.length]
        if dimension == "volume":
            return VOLUME[self.volume or "L"]
        if dimension == "spring":
            return SPRING[self.spring or "N/mm"]
        if dimension == "twist":
            return TWIST[self.twist or "N m/deg"]
        return 0.01

    def name(self, dimension: Dimension) -> str:
        """What to print behind a number of this dimension."""
        if dimension == "mass":
            return self.mass
        if dimension == "length":
            return self.length
        if dimension == "volume":
            return self.volume or "L"
        if dimension == "spring":
            return self.spring or "N/mm"
        if dimension == "twist":
            return self.twist or "N m/deg"
        return "%"

    def inside(self, value: float, dimension: Dimension) -> float:
        """A number of the user's, in kg, m, litres or shares."""
        return value * self.factor(dimension)

    def outside(self, value: float, dimension: Dimension) -> float:
        """A number from inside, in the user's units.

        Fifteen significant digits are kept: all that a double carries there and back, without the sixteenth that would
        show 31 lb as 30.999999999999996.
        """
        return float(f"{value / self.factor(dimension):.15g}")
