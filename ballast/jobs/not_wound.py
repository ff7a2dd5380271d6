"""Targets that no spring platform can bring about, and what would: the sums are levers."""

from collections.abc import Iterator

import numpy as np

from ballast.physics.stance import shares, slopes
from ballast.physics.statics import Array, centre_of_gravity
from ballast.planning.bands import Band
from ballast.planning.stances import bars_at_weigh_in, stance
from ballast.records.plates import Mount
from ballast.records.question import Question
from ballast.records.turns import Added, NotWound, Shifted, Way

AXIALLY = ("front", "rear", "left")
NOTHING = 1e-9
"""A share too small to tell two places apart. [-]"""
MOST = 0.1
"""Share of the car beyond which putting on mass is no answer to anything. Common practice, no source."""


def not_wound(question: Question, loads: Array, bands: tuple[Band, ...]) -> Iterator[NotWound]:
    """The targets outside their bands that winding cannot bring inside. loads : (4,) [kg]"""
    total = float(loads.sum())
    for band in bands:
        off = float(band.distance(loads))
        if band.figure in AXIALLY and abs(off) > band.half_width * total:
            way, moved, by = _moved(question, loads, band, -off)
            yield NotWound.model_validate(
                {
                    "dimension": "percent",
                    "figure": band.figure,
                    "aim": band.aim_share,
                    "within": band.half_width,
                    "before": float(loads @ band.corners) / total,
                    "way": way,
                    "moved": moved,
                    "by": by,
                    "added": _added(question, band, -off, total),
                    "shifted": _shifted(question, band, -off),
                }
            )


def _moved(question: Question, loads: Array, band: Band, wanting: float) -> tuple[Way, float, float]:
    """Which way mass has to go, and how much of it over the whole track or wheelbase. [kg], [m]

    wanting : load that has to come onto the corners of the band. [kg]
    """
    chassis, held = question.car.chassis, stance(question.car, bars_at_weigh_in(question))
    along, across = slopes(held, *centre_of_gravity(held.patches, loads))
    if band.figure == "left":
        moment, by = wanting / float(across @ band.corners), chassis.track_front
        return ("left" if moment > 0 else "right"), abs(moment) / by, by
    moment = wanting / float(along @ band.corners)
    return ("rearward" if moment > 0 else "forward"), abs(moment) / chassis.wheelbase, chassis.wheelbase


def _added(question: Question, band: Band, wanting: float, total: float) -> Added | None:
    """The least mass at one mount that does it, where it has room if any has; (share - aim) m is what is wanting."""
    found = []
    for mount in question.car.mounts:
        gain = float(_shares(question, mount) @ band.corners) - band.aim_share
        if abs(gain) > NOTHING and wanting / gain > 0:
            mass, room = wanting / gain, _room(question, mount)
            if mass <= MOST * total:
                found.append((mass > room, mass, Added(mount=mount.name, mass=mass, room=room)))
    return min(found, key=lambda each: each[:2])[2] if found else None


def _shifted(question: Question, band: Band, wanting: float) -> Shifted | None:
    """The least mass of the plates standing on one mount that does it on another with room for it."""
    found = []
    for one in question.car.mounts:
        standing = _standing(question, one)
        for other in question.car.mounts:
            gain = float((_shares(question, other) - _shares(question, one)) @ band.corners)
            if abs(gain) > NOTHING and 0 < wanting / gain <= min(standing, _room(question, other)):
                found.append(Shifted(from_mount=one.name, to_mount=other.name, mass=wanting / gain))
    return min(found, key=lambda each: each.mass, default=None)


def _shares(question: Question, mount: Mount) -> Array:
    held = stance(question.car, bars_at_weigh_in(question))
    return np.asarray(shares(held, mount.behind_front_axle, mount.left_of_centre))


def _standing(question: Question, mount: Mount) -> float:
    return sum(question.standing(mount.name, plate.name) * plate.mass for plate in question.car.plates)


def _room(question: Question, mount: Mount) -> float:
    return mount.capacity - mount.fixing_mass - _standing(question, mount)
