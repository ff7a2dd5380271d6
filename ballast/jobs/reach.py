"""Where the ballast as a whole has to be, whether the mounts reach it, and where the centre of gravity has to be.

With several states of the car, in the first of them.
"""

import numpy as np

from ballast.physics import reach as reaching
from ballast.physics.stance import shares
from ballast.physics.statics import ON_FRONT, ON_LEFT, Array, centre_of_gravity, front_share, left_share
from ballast.planning.bands import Band
from ballast.planning.task import Task
from ballast.records.plan import NewMount, PlanPoint, Reach, Tolerance

NOTHING = 1e-9
"""A mass too small to have a place. [kg]"""


def reach(task: Task, counts: Array) -> Reach | None:
    """Where the movable ballast's own centroid has to be for front and left; none without any. counts : (M, P).

    Plates that must stay, and their hardware, belong to the car here.
    """
    room, case = task.room, task.cases[0]
    aboard = room.aboard[case.crew]
    staying = room.ballast(room.staying) * aboard
    at_mounts = room.ballast(counts) * aboard - staying
    mass = float(at_mounts.sum())
    if mass < NOTHING:
        return None
    front, left = _front(task), _left(task)
    aft, sideways = reaching.needed_centroid(
        case.bare_loads + room.loads_of(room.staying, case.crew),
        mass,
        _rows(task),
        front.aim_share if front else None,
        left.aim_share if left else None,
        on_front=ON_FRONT,
        on_left=ON_LEFT,
    )
    region = reaching.outline(room.places, np.maximum(room.most() * aboard - staying, 0.0), mass)
    planned = at_mounts @ room.places / mass
    return Reach(
        mass=mass,
        needed=PlanPoint(behind_front_axle=aft, left_of_centre=sideways),
        inside=reaching.reaches(region, aft, sideways),
        planned=PlanPoint(behind_front_axle=float(planned[0]), left_of_centre=float(planned[1])),
        outline=tuple((float(a), float(b)) for a, b in region),
    )


def new_mount(task: Task, counts: Array) -> NewMount | None:
    """Where a new mount would have to be, for the heaviest stack of the plan to go there instead of where it is.

    None where nothing is wanting: no ballast, no aims for front and left, or the mounts reach. counts : (M, P).
    The ballast's centroid moves by the moved mass over all of it, so the place follows from the distance wanting.
    """
    found = reach(task, counts)
    if found is None or found.inside or found.needed.behind_front_axle is None or found.needed.left_of_centre is None:
        return None
    room, crew = task.room, task.cases[0].crew
    at_mounts = (room.ballast(counts) - room.ballast(room.staying)) * room.aboard[crew]
    heaviest = int(np.argmax(at_mounts))
    mass = float(at_mounts[heaviest])
    planned = at_mounts @ room.places / found.mass
    wanting = np.array([found.needed.behind_front_axle, found.needed.left_of_centre]) - planned
    aft, left = room.places[heaviest] + wanting * found.mass / mass
    return NewMount(
        mass=mass, taken_from=room.mounts[heaviest], behind_front_axle=float(aft), left_of_centre=float(left)
    )


def tolerance(task: Task, counts: Array) -> Tolerance:
    """The centre of gravity for the aims and for the edges of the narrowed bands, at the plan's total. counts : (M, P).

    Moving a mass moves front and left shares in proportion to its moment, so the place follows from the plan's own
    centre of gravity and the distance of each share from its aim.
    """
    case = task.cases[0]
    loads = case.bare_loads + task.room.loads_of(counts, case.crew)
    aft, left = (float(x) for x in centre_of_gravity(task.room.stance.patches, loads))
    _, by_aft, by_left = _rows(task)
    along = _range(_front(task), float(front_share(loads)), aft, float(by_aft @ ON_FRONT))
    across = _range(_left(task), float(left_share(loads)), left, float(by_left @ ON_LEFT))
    return Tolerance(
        behind_front_axle=along[1:] if along else None,
        left_of_centre=across[1:] if across else None,
        aim=PlanPoint(
            behind_front_axle=along[0] if along else None,
            left_of_centre=across[0] if across else None,
        ),
    )


def _range(band: Band | None, share: float, place: float, slope: float) -> tuple[float, float, float] | None:
    """Places for the aim and for both edges of a band, lesser edge first."""
    if band is None:
        return None
    narrow = band.half_width - band.guard
    at_aim, one, other = (place + (band.aim_share + off - share) / slope for off in (0.0, -narrow, narrow))
    return at_aim, min(one, other), max(one, other)


def _rows(task: Task) -> Array:
    """What one kg does to the corners at the origin, and the change for a metre aft and a metre left. Shape (3, 4).

    Neglects that a chassis which twists divides a mass a little otherwise far from the axes.
    """
    at = shares(task.room.stance, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return np.array([at[0], at[1] - at[0], at[2] - at[0]])


def _front(task: Task) -> Band | None:
    """The band of the front share; a target for the rear is one for the front."""
    for band in task.bands:
        if band.figure == "front":
            return band
        if band.figure == "rear":
            return Band(
                "front", ON_FRONT, 1 - band.aim_share, 0.0, band.half_width, band.guard, band.weight, False, True
            )
    return None


def _left(task: Task) -> Band | None:
    return next((band for band in task.bands if band.figure == "left"), None)
