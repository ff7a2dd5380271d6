"""The integer programme, in PuLP. One function per family of limits, each with its maths.

Symbols: n[m,p] plates of kind p standing in row m (whole, >= 0; a mount that changes with the driver has a row for
each); use[m] 1 when row m carries any; mass[p], fix[m], u[m,i] share of corner i; on[c,m] 1 when row m is aboard in
case c; F[c,i] load of corner i in case c; T[c] total of case c.
"""

from typing import Any

import numpy as np
import pulp

from ballast.corners import CORNERS
from ballast.planning.bands import Band
from ballast.planning.cases import Case, Layout, yaw_inertia
from ballast.planning.limits import FAMILIES
from ballast.planning.measures import kit_rows
from ballast.planning.rows import Programme, weighted
from ballast.planning.rules import NO_RULES, Rules
from ballast.records.plan import Limit
from ballast.records.wishes import Wishes

MANY = 1000.0
"""More plates than a mount ever holds, where every limit that would say so is relaxed."""


def build(
    room: Layout,
    cases: tuple[Case, ...],
    bands: tuple[Band, ...],
    wishes: Wishes,
    rules: Rules = NO_RULES,
    relaxed: frozenset[Limit] = frozenset(),
) -> Programme:
    """The programme of a question: every family of limits, and an objective for every wish.

    relaxed : families whose rows may give way; by how much is in `given`, to be minimised.
    """
    problem = pulp.LpProblem("ballast", pulp.LpMinimize)
    programme = Programme(room, cases, bands, wishes, rules, relaxed, problem)
    _variables(programme)
    _count_kinds(programme)
    _count_changes(programme)
    for family in FAMILIES.values():
        family(programme)
    _objectives(programme)
    return programme


def hold(programme: Programme, name: str, limit: float) -> None:
    """Keep an objective from exceeding a limit in all that follows."""
    programme.problem += programme.objectives[name] <= limit, f"hold_{name.replace(' ', '_')}"


def _variables(programme: Programme) -> None:
    """n[m,p] where mount m takes plate p; use[m] where its hardware has a mass; then F[c,i] and T[c] as expressions.

    F[c,i] = bare[c,i] + sum_m on[c,m] u[m,i] (sum_p mass[p] n[m,p] + fix[m] use[m])
    """
    room, problem = programme.room, programme.problem
    for m, p in np.argwhere(room.accepts > 0).tolist():
        programme.count[m, p] = problem.add_variable(f"n_{m:03d}_{p:03d}", 0, None, cat=pulp.LpInteger)
    for m in np.flatnonzero(room.fixing > 0).tolist():
        programme.use[m] = problem.add_variable(f"use_{m:03d}", 0, 1, cat=pulp.LpInteger)
        _hardware(programme, m)
    for case in programme.cases:
        programme.loads.append(
            [
                weighted(programme, room.influence[:, i] * room.aboard[case.crew]) + float(case.bare_loads[i])
                for i in range(len(CORNERS))
            ]
        )
        programme.totals.append(weighted(programme, room.aboard[case.crew]) + float(case.bare_loads.sum()))


def _hardware(programme: Programme, m: int) -> None:
    """use[m] <= sum_p n[m,p] <= most[m] use[m]: hardware is on board when a plate is, and only then.

    Not a limit that can be relaxed: without it, hardware would be free ballast. most[m] is what the families
    in force allow.
    """
    room, relaxed = programme.room, programme.relaxed
    lightest = float(room.plate_mass[room.accepts[m] > 0].min(initial=np.inf))
    limits: dict[Limit, float] = {
        "stock": float(room.owned.sum()),
        "capacity": float(room.capacity[m] // lightest),
        "pieces": float(room.pieces[m]),
    }
    most = [most for name, most in limits.items() if name not in relaxed and np.isfinite(most)]
    most_here = max(min(most, default=MANY), float(room.fitted[m].sum()))
    programme.problem += programme.on_mount(m) <= most_here * programme.use[m], f"hardware_needed_{m:03d}"
    programme.problem += programme.on_mount(m) >= programme.use[m], f"hardware_unused_{m:03d}"


def _count_kinds(programme: Programme) -> None:
    """all[p] = sum_m n[m,p], over the rows aboard with each set: implied, but the solver may branch on it.

    How many of a kind are on the car settles more than how many stand at one mount: it takes a quarter off the time.
    """
    for crew, end in programme.sets:
        for p in range(len(programme.room.plates)):
            everywhere = programme.of_plate(p, crew)
            if len(everywhere) > 1:
                together = programme.problem.add_variable(f"all_{p:03d}{end}", 0, None, cat=pulp.LpInteger)
                programme.problem += together == everywhere, f"all_{p:03d}{end}"


def greatest_total(programme: Programme, greatest: float) -> None:
    """mean of T[c] <= greatest, over the legal cases: the upper end of the window. [kg]"""
    programme.problem += programme.objectives["total"] <= greatest, "greatest_total_00"


def _count_changes(programme: Programme) -> None:
    """moved[p] >= sum_m max(0, n[m,p] - fitted[m,p]) and >= sum_m max(0, fitted[m,p] - n[m,p]): a move counts once.

    Over the rows aboard with each set. And for rows m of one mount that changes with the driver:
    swapped[m,p] = swap, with fewest + swap >= n[m,p] >= fewest, whole numbers both: the solver proves them sooner.
    """
    room, problem = programme.room, programme.problem
    for p in range(len(room.plates)):
        put_on: dict[int, Any] = {}
        taken_off: dict[int, Any] = {}
        for m in range(len(room.mounts)):
            n, before = programme.count.get((m, p)), float(room.fitted[m, p])
            if n is not None and before:
                put_on[m] = problem.add_variable(f"more_{m:03d}_{p:03d}", 0, None)
                taken_off[m] = problem.add_variable(f"fewer_{m:03d}_{p:03d}", 0, None)
                problem += put_on[m] - taken_off[m] == n - before, f"change_{m:03d}_{p:03d}"
            elif n is not None:
                put_on[m] = n
            elif before:
                taken_off[m] = before
        moved = programme.moved[p] = problem.add_variable(f"moved_{p:03d}", 0, None, cat=pulp.LpInteger)
        for crew, end in programme.sets:
            aboard = room.aboard[crew]
            problem += moved >= pulp.lpSum(put_on[m] for m in put_on if aboard[m]), f"put_on_{p:03d}{end}"
            if any(aboard[m] for m in taken_off):
                off = pulp.lpSum(taken_off[m] for m in taken_off if aboard[m])
                problem += moved >= off, f"taken_off_{p:03d}{end}"
    for k, (_, rows) in enumerate(kit_rows(room)):
        for p in range(len(room.plates)):
            counts = [programme.count[m, p] for m in rows if (m, p) in programme.count]
            if counts:
                fewest = problem.add_variable(f"fewest_{k:03d}_{p:03d}", 0, None, cat=pulp.LpInteger)
                swap = problem.add_variable(f"swap_{k:03d}_{p:03d}", 0, None, cat=pulp.LpInteger)
                for number, n in enumerate(counts):
                    problem += fewest + swap >= n, f"most_{k:03d}_{p:03d}_{number:02d}"
                    problem += fewest <= n, f"fewest_{k:03d}_{p:03d}_{number:02d}"
                programme.swapped.append(1 * swap)


def _objectives(programme: Programme) -> None:
    """One expression for every wish that can be asked for; less is better, and none can be below zero."""
    room, objectives = programme.room, programme.objectives
    legal = [total for total, case in zip(programme.totals, programme.cases, strict=True) if case.legal]
    objectives["total"] = pulp.lpSum(legal) * (1 / len(legal))
    required = float(np.mean([case.required for case in programme.cases if case.legal]))
    objectives["mass"] = objectives["total"] - required
    if programme.swapped:
        objectives["stop"] = pulp.lpSum(programme.swapped)
    objectives["changes"] = pulp.lpSum(programme.moved.values())
    objectives["pieces"] = pulp.lpSum(programme.count.values())
    if any(band.by_ballast for band in programme.bands):
        _balance(programme)
    if room.undersides is not None:
        up = room.undersides[:, None] + room.thickness[None, :] / 2
        part = room.aboard.mean(axis=0)
        plates = [float(part[m] * room.plate_mass[p] * up[m, p]) * n for (m, p), n in programme.count.items()]
        hardware = [float(part[m] * room.fixing[m] * room.undersides[m]) * use for m, use in programme.use.items()]
        objectives["height"] = pulp.lpSum(plates + hardware) * (1 / required)
    objectives["yaw"] = weighted(programme, yaw_inertia(room, programme.cases))


def _balance(programme: Programme) -> None:
    """Distance outside each narrowed band, in points of the case's nominal total N[c], and from its aim.

    d[c,b] = corners[b] . F[c] - aim[b] T[c] - aim_mass[b];  w[c,b] = narrowed half width, a share of T[c] or a mass
    miss[c,b] >= (|d| - w) 100 / N[c];   worst[c] >= weight[b] miss[c,b];   off[c,b] >= |d| 100 / N[c]
    balance = max worst[c], or sum part[c] worst[c] by driving time
    balance sum = sum part[c] weight[b] miss[c,b];   aim = sum part[c] weight[b] off[c,b]
    """
    problem, objectives, wishes = programme.problem, programme.objectives, programme.wishes
    by_time = wishes.crew == "by driving time"
    worst_of_all = None if by_time else problem.add_variable("worst", 0, None)
    worsts, misses, offs = [], [], []
    for c, case in enumerate(programme.cases):
        if not case.balance:
            continue
        worst = problem.add_variable(f"worst_{c:02d}", 0, None) if worst_of_all is None else worst_of_all
        worsts.append(case.weight * worst)
        scale = 100 / case.nominal
        for b, band in enumerate(programme.bands):
            if not band.by_ballast:
                continue
            name = f"{c:02d}_{b}"
            loads = [float(k) * load for k, load in zip(band.corners, programme.loads[c], strict=True) if k]
            distance = scale * (pulp.lpSum(loads) - band.aim_share * programme.totals[c] - band.aim_mass)
            narrow = band.half_width - band.guard
            width = scale * narrow if band.is_mass else (scale * narrow) * programme.totals[c]
            miss = problem.add_variable(f"miss_{name}", 0, None)
            off = problem.add_variable(f"off_{name}", 0, None)
            problem += distance - width <= miss, f"band_above_{name}"
            problem += -1 * distance - width <= miss, f"band_below_{name}"
            problem += distance <= off, f"aim_above_{name}"
            problem += -1 * distance <= off, f"aim_below_{name}"
            problem += band.weight * miss <= worst, f"worst_{name}"
            misses.append(case.weight * band.weight * miss)
            offs.append(case.weight * band.weight * off)
    objectives["balance"] = pulp.lpSum(worsts if by_time else [worst_of_all])
    objectives["balance sum"] = pulp.lpSum(misses)
    objectives["aim"] = pulp.lpSum(offs)
