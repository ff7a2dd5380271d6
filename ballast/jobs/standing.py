"""A car on its four wheels, as a record."""

from ballast.corners import CORNERS
from ballast.physics.statics import (
    Array,
    centre_of_gravity,
    diagonal_share,
    front_share,
    left_share,
    rear_pair,
)
from ballast.planning.stances import patches
from ballast.records.car import Car
from ballast.records.weighed import CaseLoads, CentreOfGravity, CornerLoads, DiagonalShares


def case_loads(name: str, car: Car, loads: Array, height: float | None = None) -> CaseLoads:
    """Loads, percentages and centre of gravity of one state. loads : (4,) [kg]; height : of the last. [m]"""
    aft, left = centre_of_gravity(patches(car), loads)
    front = float(front_share(loads))
    return CaseLoads(
        name=name,
        corner_loads=CornerLoads(**dict(zip(CORNERS, map(float, loads), strict=True))),
        total=float(loads.sum()),
        front_percent=front,
        rear_percent=1 - front,
        left_percent=float(left_share(loads)),
        diagonal_percent=both_diagonals(float(diagonal_share(loads, "RF+LR"))),
        rear_pair=float(rear_pair(loads)),
        centre_of_gravity=CentreOfGravity(
            behind_front_axle=float(aft), left_of_centre=float(left), above_ground=height
        ),
    )


def both_diagonals(rf_lr: float) -> DiagonalShares:
    """Both diagonals by name, from the share of one. [-]"""
    return DiagonalShares(rf_lr=rf_lr, lf_rr=1 - rf_lr)
