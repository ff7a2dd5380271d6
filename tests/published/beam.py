"""An aeroplane's weighing points as four pads, in lb and inches from the source's own datum.

Weight-and-balance texts know one direction only. A beam on two supports is a car whose left and right pads of an axle
read the same; where the two supports stand, how wide the axles are and how the roll stiffness divides must not matter,
so each test tries several stands.
"""

from dataclasses import dataclass

import numpy as np

from ballast.physics.statics import Array, centre_of_gravity, front_share, stand
from ballast.units import Units

POUND_INCH = Units(mass="lb", length="in")


@dataclass(frozen=True)
class Stand:
    """Two supports, each of two pads. Arms from the datum and widths in inches; front share of roll stiffness."""

    front_arm: float
    rear_arm: float
    front_width: float
    rear_width: float
    roll_share: float

    def patches(self) -> Array:
        """Contact patches as the package wants them, shape (4, 2), but aft of the source's datum. [m]"""
        front, rear = self.front_width / 2, self.rear_width / 2
        corners = [[self.front_arm, front], [self.front_arm, -front], [self.rear_arm, rear], [self.rear_arm, -rear]]
        return np.array([[POUND_INCH.inside(value, "length") for value in corner] for corner in corners])

    def pads(self, total: float, arm: float) -> Array:
        """What the pads read under a total at an arm, by the lever rule. total in lb, arm in inches. (4,) [kg]"""
        rear = total * (arm - self.front_arm) / (self.rear_arm - self.front_arm)
        return np.array([POUND_INCH.inside(load / 2, "mass") for load in (total - rear, total - rear, rear, rear)])

    def standing(self, *items: tuple[float, float]) -> Array:
        """Pad loads under masses in lb at arms in inches, worked out by the package. (4,) [kg]"""
        masses = [POUND_INCH.inside(mass, "mass") for mass, _ in items]
        places = [[POUND_INCH.inside(arm, "length"), 0.0] for _, arm in items]
        return stand(self.patches(), self.roll_share, masses, places)

    def centre(self, pads: Array) -> float:
        """Arm of the centre of gravity over these pads, worked out by the package. pads : (4,) [kg]. Returns inches."""
        return POUND_INCH.outside(float(centre_of_gravity(self.patches(), pads)[0]), "length")

    def front(self, arm: float) -> float:
        """Share of the front support when the centre of gravity is at an arm in inches, by the lever rule. [-]"""
        return (self.rear_arm - arm) / (self.rear_arm - self.front_arm)

    def arm(self, pads: Array) -> float:
        """The same arm by another route: from the front share that the package gives. Returns inches."""
        return self.rear_arm - float(front_share(pads)) * (self.rear_arm - self.front_arm)


STANDS = (
    Stand(front_arm=0.0, rear_arm=100.0, front_width=60.0, rear_width=60.0, roll_share=0.5),
    Stand(front_arm=-30.0, rear_arm=70.0, front_width=10.0, rear_width=90.0, roll_share=0.2),
    Stand(front_arm=12.5, rear_arm=190.0, front_width=80.0, rear_width=55.0, roll_share=0.9),
)


def pounds(pads: Array) -> float:
    """Total of the pads in lb. pads : (4,) [kg]"""
    return POUND_INCH.outside(float(pads.sum()), "mass")
