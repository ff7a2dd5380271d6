"""What the plates of a plan would save in height if they were denser."""

import numpy as np

from ballast.physics.density import DENSITY, lowered
from ballast.physics.statics import Array
from ballast.planning.cases import Layout
from ballast.records.plan import Denser
from ballast.records.question import Question
from ballast.records.state import Material

INSTEAD: tuple[Material, ...] = ("lead", "tungsten alloy")
"""Denser materials that plates can be had in."""


def denser(question: Question, room: Layout, crew: int, counts: Array, total: float) -> tuple[Denser, ...] | None:
    """How much lower the centre of gravity would be with the plates of a plan in each denser material.

    counts : (M, P); total : of the car in that state [kg]. None where the height of the centre of gravity is not known,
    or thickness or density of a plate that stands; materials that the rulebook bars, and that are no denser than the
    plates, are left out.
    """
    standing = counts * room.aboard[crew][:, np.newaxis]
    used = np.flatnonzero(standing.sum(axis=0) > 0).tolist()
    plates = [question.car.plates[p] for p in used]
    known = all(plate.thickness is not None and plate.material in DENSITY for plate in plates)
    if not used or not known or question.car.chassis.centre_of_gravity_height is None:
        return None
    book = question.rulebook
    barred = book.ballast_material.barred if book and book.ballast_material else ()
    found = []
    for material in INSTEAD:
        ratios = np.array([min(DENSITY[plate.material or ""] / DENSITY[material], 1.0) for plate in plates])
        if material in barred or (ratios == 1).all():
            continue
        masses, thickness = room.plate_mass[used], room.thickness[used]
        saved = lowered(standing[:, used], masses, thickness, ratios, total)
        tallest = int(np.argmax(saved.stacks))
        found.append(
            Denser(
                material=material,
                lower=saved.by,
                mount=room.mounts[tallest],
                stack=float(saved.stacks[tallest]),
                stack_then=float(saved.then[tallest]),
            )
        )
    return tuple(found)
