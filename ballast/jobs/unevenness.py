"""What pads out of level do to a weighing, and how to pack them."""

import numpy as np

from ballast.corners import CORNERS
from ballast.jobs.pads import PER_METRE, Examined
from ballast.physics import pads as physics
from ballast.physics.pads import Packing
from ballast.physics.platforms import pad_sensitivity
from ballast.physics.statics import ON_DIAGONAL, Array, front_share, left_share, warp
from ballast.planning import stances
from ballast.records.question import Question
from ballast.records.suspension import BARS
from ballast.records.weighed import Packed, PadError, Unevenness

STEEP = 0.002
"""Slope of the pads from which packing them level is worth showing: it moves the line of a centre of gravity 500 mm up
by a millimetre. Common practice, no source."""
RECKONED = 0.1
"""Height of the centre of gravity for which the effect of a slope is told where the car file gives none. [m]"""


def unevenness(question: Question, found: Examined) -> Unevenness | None:
    """Heights or levels of the pads: their effects and the packing; none where the weigh-in says nothing of them."""
    if found.heights is None:
        return None
    pads, patches, loads = question.weigh_in.pads, found.stance.patches, found.first.mean(axis=0)
    known = question.car.chassis.centre_of_gravity_height
    height = known or RECKONED
    aft_up, left_up = physics.slopes_of(patches, found.heights)
    sloped = loads + physics.slope_effect(found.stance, loads, height, aft_up, left_up)
    steep = max(abs(aft_up), abs(left_up)) > STEEP
    along = pads.levels is None or pads.levels.fore_aft is not None
    return Unevenness(
        out_of_plane=physics.out_of_plane(patches, found.heights),
        left_up=PER_METRE * left_up,
        front_up=-PER_METRE * aft_up,
        along_measured=along,
        warp_load=float(found.warp_effect[0]) if found.springs else None,
        warp_points=_points(patches, float(found.warp_effect[0]), loads) if found.springs else None,
        slope_left_points=float(left_share(sloped) - left_share(loads)),
        slope_front_points=float(front_share(sloped) - front_share(loads)),
        height=height,
        slope_corrected=known is not None,
        packer=pads.packer,
        packing=_packed(physics.packing(patches, found.heights, pads.packer), found),
        levelling=_packed(physics.levelling(patches, found.heights, pads.packer), found) if steep and along else None,
        pad_error=_pad_errors(question, found),
    )


def _packed(packing: Packing | None, found: Examined) -> Packed | None:
    if packing is None:
        return None
    points = None
    if found.springs:
        load = float(pad_sensitivity(found.springs)[0]) * packing.out_of_plane
        points = _points(found.stance.patches, load, found.first.mean(axis=0))
    return Packed(
        **dict(zip(CORNERS, packing.packers, strict=True)),
        out_of_plane=packing.out_of_plane,
        diagonal_percent=points,
        left_up=PER_METRE * packing.left_up,
        front_up=-PER_METRE * packing.aft_up,
    )


def _pad_errors(question: Question, found: Examined) -> tuple[PadError, ...]:
    """What one packer does, with the bars as they were and, where the car has bars, the other way."""
    car, now = question.car, stances.bars_at_weigh_in(question)
    if found.springs is None:
        return ()
    has_bars = any(axle is not None and axle.bar for axle in (car.suspension.front, car.suspension.rear))
    states = [now, *(bars for bars in BARS if bars != now and has_bars)]
    errors = []
    for bars in states:
        springs = stances.springs_of(car, bars)
        assert springs is not None
        load = float(pad_sensitivity(springs)[0]) * question.weigh_in.pads.packer
        errors.append(
            PadError(
                bars=bars,
                load=load,
                diagonal_percent=_points(found.stance.patches, load, found.first.mean(axis=0)),
            )
        )
    return tuple(errors)


def _points(patches: Array, load: float, loads: Array) -> float:
    """Share of RF+LR that a warp with so much on the first corner makes. [-]"""
    return float(load * (warp(patches) @ ON_DIAGONAL["RF+LR"]) / np.sum(loads))
