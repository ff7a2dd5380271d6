"""The families of limits, one function each, with its maths.

Symbols as in `programme`.
"""

from collections.abc import Callable

import numpy as np
import pulp

from ballast.corners import CORNERS
from ballast.physics.statics import Array
from ballast.planning.rows import Programme, Row, at_least, at_most
from ballast.records.plan import Limit


def _stock(programme: Programme) -> None:
    """sum_m n[m,p] <= owned[p], over the rows aboard with each set: what another driver carries is in the box then."""
    room = programme.room
    for crew, end in programme.sets:
        for p, owned in enumerate(room.owned):
            row = Row("stock", room.plates[p], f"stock_{p:03d}{end}", None)
            at_most(programme, row, programme.of_plate(p, crew), float(owned))


def _capacity(programme: Programme) -> None:
    """sum_p mass[p] n[m,p] + fix[m] use[m] <= capacity[m], as (capacity[m] - fix[m]) use[m] where there is hardware."""
    _mass_on_mounts(programme, "capacity", programme.room.capacity, "capacity")


def _mass_on_mounts(programme: Programme, limit: Limit, most: Array, row: str) -> None:
    room = programme.room
    for m in np.flatnonzero(np.isfinite(most)).tolist():
        carried = programme.on_mount(m, room.plate_mass)
        if m in programme.use:
            carried = carried - float(most[m] - room.fixing[m]) * programme.use[m]
        kept = 0.0 if m in programme.use else float(most[m])
        about = Row(limit, room.mounts[m], f"{row}_{m:03d}", was=float(most[m]))
        at_most(programme, about, carried, kept)


def _stack_height(programme: Programme) -> None:
    """sum_p thickness[p] n[m,p] <= stack[m], where a mount limits it."""
    room = programme.room
    for m in np.flatnonzero(np.isfinite(room.stack)).tolist():
        row = Row("stack height", room.mounts[m], f"stack_{m:03d}", "length")
        at_most(programme, row, programme.on_mount(m, room.thickness), float(room.stack[m]))


def _pieces(programme: Programme) -> None:
    """sum_p n[m,p] <= pieces[m], where a mount limits it."""
    room = programme.room
    for m in np.flatnonzero(np.isfinite(room.pieces)).tolist():
        row = Row("pieces", room.mounts[m], f"pieces_{m:03d}", None)
        at_most(programme, row, programme.on_mount(m), float(room.pieces[m]))


def _staying(programme: Programme) -> None:
    """n[m,p] >= staying[m,p]."""
    room = programme.room
    for m, p in np.argwhere(room.staying > 0).tolist():
        row = Row("plates that stay", f"{room.plates[p]} on {room.mounts[m]}", f"stay_{m:03d}_{p:03d}", None)
        at_least(programme, row, 1 * programme.count[m, p], float(room.staying[m, p]))


def _required_total(programme: Programme) -> None:
    """T[c] >= required[c], in every legal case."""
    for c, case in enumerate(programme.cases):
        if case.legal:
            row = Row("required total", case.name, f"required_total_{c:02d}")
            at_least(programme, row, programme.totals[c], case.required)


def _wheels_on_the_ground(programme: Programme) -> None:
    """F[c,i] >= 0: the linear map holds only while every wheel stands on its pad."""
    for c, loads in enumerate(programme.loads):
        for corner, load in zip(CORNERS, loads, strict=True):
            row = Row("wheels on the ground", corner, f"on_the_ground_{c:02d}_{corner}")
            at_least(programme, row, load, 0.0)


def _ballast_total(programme: Programme) -> None:
    """sum_m,p mass[p] n[m,p], with sum_m fix[m] use[m] where the rule counts hardware, <= greatest ballast.

    Over the rows aboard with each set.
    """
    rules, room = programme.rules, programme.room
    for crew, end in programme.sets if np.isfinite(rules.total) else ():
        aboard = room.aboard[crew]
        plates = [float(room.plate_mass[p]) * n for (m, p), n in programme.count.items() if aboard[m]]
        hardware = [float(room.fixing[m]) * use for m, use in programme.use.items() if aboard[m]]
        row = Row("ballast total", "all plates", f"ballast_total{end}")
        at_most(programme, row, pulp.lpSum(plates + (hardware if rules.hardware_counts else [])), float(rules.total))


def _barred(programme: Programme) -> None:
    """n[m,p] <= 0 where a rule on pieces, materials, zones or bolts keeps a kind of plate off a mount."""
    room = programme.room
    for limit, mask in programme.rules.barred.items():
        for m, p in np.argwhere(mask * room.accepts > 0).tolist():
            name = f"{limit.replace(' ', '_')}_{m:03d}_{p:03d}"
            row = Row(limit, f"{room.plates[p]} on {room.mounts[m]}", name, None)
            at_most(programme, row, 1 * programme.count[m, p], 0.0)


def _rule_stack(programme: Programme) -> None:
    """sum_p thickness[p] n[m,p] <= greatest stack of the rulebook, on every mount."""
    room, most = programme.room, programme.rules.stack
    for m in range(len(room.mounts)) if np.isfinite(most) else ():
        row = Row("ballast stack", room.mounts[m], f"rule_stack_{m:03d}", "length")
        at_most(programme, row, programme.on_mount(m, room.thickness), float(most))


def _bolts(programme: Programme) -> None:
    """The mass on a mount, hardware included, is at most what its bolts may hold, by rule and by strength."""
    for limit, most in programme.rules.caps.items():
        _mass_on_mounts(programme, limit, most, f"bolts_{limit.replace(' ', '_')}")


def _load_limits(programme: Programme) -> None:
    """corners . F[c] - share T[c] >= least: axle and side masses, side and rear shares, each put into its case."""
    for limit in programme.rules.loads:
        c = limit.case
        loads = [float(k) * load for k, load in zip(limit.corners, programme.loads[c], strict=True) if k]
        amount = pulp.lpSum(loads) - limit.share * programme.totals[c]
        name, total = f"{limit.name.replace(' ', '_')}_{c:02d}", programme.totals[c] + limit.more
        row = Row(limit.name, programme.cases[c].name, name, was=limit.stands, total=total)
        at_least(programme, row, amount, limit.least)


def _most_changes(programme: Programme) -> None:
    """sum_p moved[p] <= most changes, where the user limits them."""
    most = programme.wishes.most_changes
    if most is not None:
        row = Row("changes", "plates", "most_changes", None)
        at_most(programme, row, pulp.lpSum(programme.moved.values()), float(most))


FAMILIES: dict[str, Callable[[Programme], None]] = {
    "stock": _stock,
    "capacity": _capacity,
    "stack height": _stack_height,
    "pieces": _pieces,
    "plates that stay": _staying,
    "changes": _most_changes,
    "required total": _required_total,
    "wheels on the ground": _wheels_on_the_ground,
    "ballast total": _ballast_total,
    "barred plates": _barred,
    "ballast stack": _rule_stack,
    "bolts": _bolts,
    "load limits": _load_limits,
}
