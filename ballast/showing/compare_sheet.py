"""A re-weigh against the plan in words: what to do next, what differs, what explains it, and what to check."""

from collections.abc import Iterator, Sequence

from ballast.corners import CORNERS
from ballast.records.compared import Cause, CauseKind, Compared, ComparedFigure, ComparedName, Unsaid, WarpTaken, Where
from ballast.records.plan import Answer
from ballast.records.weighing import WeighIn
from ballast.showing.places import place
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table

AS_WELL = 0.1
"""Causes this much less likely than the first are still named beside it."""
MOST_PLACES = 4
"""Places of one cause that are written out."""
FIGURES: dict[ComparedName, str] = {
    "total": "total",
    "front": "front",
    "left": "left",
    "RF+LR": "diagonal RF+LR",
    "behind front axle": "centre behind axle",
    "left of centre": "centre left of line",
}
SAYINGS: dict[CauseKind, str] = {
    "plate less": "one {plate} less than planned at '{mount}'",
    "plate more": "one {plate} more than planned at '{mount}'",
    "another plate": "one {other_plate} at '{mount}' where one {plate} is planned",
    "mount empty": "no plates at all at '{mount}'",
    "change not made": "the plates at '{mount}' still as they were before the plan",
    "plan not carried out": "all plates still as they were before the plan",
    "plates of the plan": "the plates of the plan after all, not those below [[fitted]]",
    "plate elsewhere": "one {plate} at '{other_mount}' instead of '{mount}'",
    "stack elsewhere": "the plates of '{mount}' at '{other_mount}'",
    "stacks exchanged": "the plates of '{mount}' and of '{other_mount}' exchanged",
    "side mistyped": "'{mount}' on the other side of the car: left_of_centre has the wrong sign",
    "end mistyped": "'{mount}' on the other side of the front axle: behind_front_axle has the wrong sign",
    "inches": "the place of '{mount}' measured in inches and written down in another unit",
    "numbers exchanged": "behind_front_axle and left_of_centre of '{mount}' exchanged",
    "pads exchanged": "the pads {pads} exchanged",
    "plates of another driver": "the plates of {driver} in the boxes that change with the driver",
    "warp": "the diagonal alone, a corner that stands too high or too low with nothing too heavy or too light,",
}
"""What a cause is called; the others are put together from their numbers."""
OTHER_PLACE: dict[CauseKind, str] = {
    "plate elsewhere": "at '{other_mount}' instead of '{mount}'",
    "stack elsewhere": "those of '{mount}' at '{other_mount}'",
    "stacks exchanged": "of '{mount}' and '{other_mount}'",
    "pads exchanged": "{pads}",
}
"""What a further place of the same cause is called; elsewhere the mount alone."""
UNSAID: dict[Unsaid, str] = {"driver": "the driver", "fuel": "the fuel", "spares": "spare wheels"}
CAUTIONS = (
    "A loose plate is a projectile: when plates were looked for, check every fixing and count against the sheet. Never "
    "under a car on a jack. The series rulebook and its scrutineers decide.",
)


def compare_sheet(done: Answer, weigh_in: WeighIn, compared: Compared) -> Sheet:
    """The sheet of `compare`."""
    show = rounding(done.question.replace(weigh_in=weigh_in))
    return Sheet(
        title=f"{compared.car}: weighed again {compared.weighed_again}, planned from {compared.weighed}",
        lines=tuple(_next(compared, show)),
        sections=(
            Section("THE CAR", table=_figures(compared, show), lines=tuple(_about(compared))),
            Section("CORNER LOADS", table=_corners(compared, show)),
            *_causes(compared, show),
            *_diagonal(compared, show),
            Section("COUNTED ON", lines=tuple(_counted_on(compared))),
            Section("CAUTIONS", lines=CAUTIONS),
        ),
    )


# --- first what to do ------------------------------------------------------------------------------------------------


def _next(compared: Compared, show: Rounding) -> Iterator[str]:
    if not compared.settled:
        yield (
            "NOT SETTLED: the diagonal scatters more from settling to settling than at the first weigh-in. Roll, "
            "settle and read it again before anything else."
        )
    if compared.as_planned:
        yield "The car stands as planned, as far as the pads can tell."
        if any(not figure.inside for figure in compared.figures):
            yield (
                "A figure alone a little outside its 95 % happens by chance: settle and weigh once more before you "
                "look for a cause."
            )
    else:
        yield f"NOT AS PLANNED: {', '.join(_off(compared, show)) or 'the four loads together'}."
        yield _first(compared, show)
    for change in compared.not_as_planned:
        whose = f" for {change.driver}" if change.driver else ""
        yield f"Fitted: {change.after} x {change.plate} at '{change.mount}'{whose}, and the plan has {change.before}."


def _off(compared: Compared, show: Rounding) -> Iterator[str]:
    """What is outside, said once: where the centre of gravity is follows from front and left."""
    for figure in compared.figures:
        if figure.inside or figure.dimension == "length":
            continue
        word = "high" if figure.difference > 0 else "low"
        yield f"{FIGURES[figure.figure]} {_by(figure, show, abs(figure.difference))} {word}"


def _first(compared: Compared, show: Rounding) -> str:
    causes = compared.causes
    if not causes:
        return (
            "No single cause that was tried explains it. Weigh once more; then check plates, driver, fuel and pads one "
            "by one against the sheet."
        )
    best, others = causes[0], causes[1:]
    said = _said(best, show)
    begun = said[0].upper() + said[1:]
    if best.kind == "something else":
        return f"Nothing on the list explains it: it is as though there were {said.rstrip(',')}. Look there."
    look = "see below what to check" if best.kind == "warp" else "look there first"
    near = [cause for cause in others if cause.weight > best.weight * AS_WELL]
    more = f" So does {' or '.join(_said(cause, show) for cause in near[:2]).rstrip(',')}." if near else ""
    return f"{begun} explains it: {look}.{more}"


# --- then the numbers ------------------------------------------------------------------------------------------------


def _figures(compared: Compared, show: Rounding) -> Table:
    rows = []
    for figure in compared.figures:
        rows.append(_row(FIGURES[figure.figure], figure, show))
        if figure.figure == "RF+LR":
            mirrored = figure.replace(
                predicted=1 - figure.predicted, measured=1 - figure.measured, difference=-figure.difference
            )
            rows.append(_row("diagonal LF+RR", mirrored, show))
    return Table(head=("", "predicted", "measured", "difference", "+/- 95 %", "pads"), rows=tuple(rows))


def _corners(compared: Compared, show: Rounding) -> Table:
    return Table(
        head=("", "predicted", "measured", "difference", "+/- 95 %", "pads"),
        rows=tuple(_row(figure.figure, figure, show) for figure in compared.corners),
    )


def _row(name: str, figure: ComparedFigure, show: Rounding) -> tuple[str, ...]:
    by = _by(figure, show, figure.difference)
    return (
        name,
        _value(figure, show, figure.predicted, False),
        _value(figure, show, figure.measured, True),
        by if by.startswith("-") else f"+{by}",
        _by(figure, show, figure.within).split(" ", maxsplit=1)[0],
        "inside" if figure.inside else "OUTSIDE",
    )


def _value(figure: ComparedFigure, show: Rounding, value: float, unit: bool) -> str:
    match figure.dimension:
        case "percent":
            return show.percent(value, figure.within / 2, unit)
        case "length":
            return show.fine_length(value, unit)
        case _:
            return show.mass(value, unit)


def _by(figure: ComparedFigure, show: Rounding, value: float) -> str:
    match figure.dimension:
        case "percent":
            return show.points(value)
        case "length":
            return show.fine_length(value)
        case _:
            return show.mass(value)


def _about(compared: Compared) -> Iterator[str]:
    yield (
        "Inside or outside what the pads can tell: both weighings, plates, places and springs, one figure at a time. "
        f"All four loads together: noise alone puts them as far off {_chance(compared.chance)}."
    )
    if compared.settlings == 1:
        yield "One settling says nothing of how well it repeats: roll off, on, settle and read twice more."


def _chance(chance: float) -> str:
    if chance >= 0.5:
        return "more often than not"
    return f"once in {1 / chance:.2g}" if chance > 0.001 else "less than once in 1,000"


# --- and why ---------------------------------------------------------------------------------------------------------


def _causes(compared: Compared, show: Rounding) -> Iterator[Section]:
    if compared.as_planned:
        return
    rows = tuple(
        (_sentence(cause, show), show.chance(cause.weight), show.chance(cause.left_over)) for cause in compared.causes
    )
    lines = (
        f"Likely: against the {compared.tried} causes tried and none of them, by how probable each makes these "
        "readings; before the weighing, every kind of cause is taken to be as likely as another.",
        "Rest: how often noise alone is as large as what the cause leaves unexplained.",
    )
    yield Section("LIKELY CAUSES", table=Table(("", "likely", "rest"), rows) if rows else None, lines=lines)


def _sentence(cause: Cause, show: Rounding) -> str:
    said = _said(cause, show).removesuffix(",")
    return f"{said[0].upper()}{said[1:]}"


def _said(cause: Cause, show: Rounding) -> str:
    """A cause with its places."""
    first, *others = cause.places
    more = [_place(cause.kind, where) for where in others[: MOST_PLACES - 1]]
    if len(others) >= MOST_PLACES:
        more.append(f"one of {len(others) - len(more)} more places")
    text = _at(cause.kind, first, show) + (f" (or {', or '.join(more)})" if any(more) else "")
    return f"{text}, and the diagonal off besides," if cause.warped else text


def _place(kind: CauseKind, where: Where) -> str:
    return OTHER_PLACE.get(kind, "at '{mount}'" if where.mount else "").format(**_words(where))


def _words(where: Where) -> dict[str, object]:
    return where.model_dump() | {"pads": " and ".join(where.corners)}


def _at(kind: CauseKind, where: Where, show: Rounding) -> str:
    """A cause at its first place, with its size as the readings have it."""
    mass = show.mass(abs(where.mass))
    more, high = ("more", "high") if where.mass > 0 else ("less", "low")
    if kind in SAYINGS:
        return SAYINGS[kind].format(**_words(where))
    share = f"{100 * abs(where.share or 0):.2g} %"
    by_numbers = {
        "pad off": f"the pad under {' '.join(where.corners)} reading {mass} ({share}) too {high}",
        "nobody aboard": f"{where.driver or 'the driver'} not aboard ({mass})",
        "driver aboard": f"{where.driver or 'a driver'} aboard ({mass} {more})",
        "driver and plates": f"{where.driver} aboard with the plates of {where.driver} ({mass} {more})",
        "fuel": f"about {mass} {more} fuel",
        "ballast by rule": f"the {mass} of ballast by rule not aboard that the weigh-in names",
        "something else": f"about {mass} {more} than the files know",
    }
    if kind == "fuel" and where.tank is not None and where.volume is not None:
        return f"{show.volume(where.volume)} in '{where.tank}' ({mass} {more})"
    if kind == "ballast by rule" and where.mass > 0:
        return f"{mass} of ballast by rule aboard that the weigh-in does not name"
    if kind == "something else" and where.behind_front_axle is not None:
        return f"{by_numbers[kind]}, near {place(where.behind_front_axle, where.left_of_centre, show)}"
    return by_numbers[kind]


def _diagonal(compared: Compared, show: Rounding) -> Iterator[Section]:
    """What puts the diagonal off and nothing else: four loads cannot tell one such cause from another."""
    if compared.warp is None:
        return
    yield Section(
        "WHAT MOVES THE DIAGONAL ALONE: check in this order, four loads cannot tell",
        lines=tuple(f"{number}. {line}" for number, line in enumerate(_checks(compared, compared.warp, show), start=1)),
    )


def _checks(compared: Compared, warp: WarpTaken, show: Rounding) -> Iterator[str]:
    if not compared.settled:
        yield "Not settled: roll the car, let it settle, read again until the diagonal repeats."
    else:
        yield "Settled? Roll off and on once more; no reading straight after a jack."
    if compared.bars != compared.bars_before:
        yield f"The bars are {compared.bars}, and were {compared.bars_before} at the first weigh-in: put them back so."
    would = f": {_either(warp.pads, show, 'too high', 'too low')} would do it" if warp.pads else ""
    yield f"Tyres and pads: pressure or size of a tyre, grit under a pad, a pad out of level{would}."
    yield "Steering straight ahead: a wheel turned on its caster lifts a corner."
    yield "Brakes off and wheels free: a wheel that is held pushes along the floor."
    bars = [(name, gap) for name, gap in (("front", warp.front_bar), ("rear", warp.rear_bar)) if gap is not None]
    if bars:
        gaps = " or ".join(f"{name} bar by {show.small(abs(gap), 'length')} at the wheels" for name, gap in bars)
        yield f"A bar connected under load: {gaps} would do it."
    else:
        yield "A bar connected under load, where the car has one."
    would = f": {_either(warp.platforms, show, 'up', 'down')} along the spring would do it" if warp.platforms else ""
    yield f"Spring platforms that were turned, or a spring that sits badly{would}."
    if warp.pads is None:
        yield "With spring rates in the car file ([suspension.front] and .rear) this sheet says how many millimetres."


def _either(heights: Sequence[float], show: Rounding, up: str, down: str) -> str:
    """Corners that would be up, or down, by so much."""

    def named(sign: int) -> str:
        some = [(corner, abs(by)) for corner, by in zip(CORNERS, heights, strict=True) if sign * by > 0]
        return " or ".join(f"{corner} {show.small(by, 'length')}" for corner, by in some)

    return f"{named(1)} {up}, or {named(-1)} {down}"


def _counted_on(compared: Compared) -> Iterator[str]:
    if compared.plates_said:
        yield "Plates as the new weigh-in has them below [[fitted]]."
    else:
        yield "The new weigh-in does not say which plates were fitted: those of the plan are taken to be in."
    if compared.kit_of:
        yield f"On the mounts that change with the driver: the plates of {compared.kit_of}."
    if compared.unsaid:
        words = " and ".join(UNSAID[one] for one in compared.unsaid)
        yield f"Only one of the weigh-ins says anything of {words}: taken to be the same at both."
    if compared.other_pads:
        yield "Other pads than at the first weigh-in, by [pads] in both files: what either may be off counts."
    else:
        yield "The same pads at both weigh-ins: what they read wrong is on both sides and left out."
    if compared.bars != compared.bars_before:
        yield (
            f"Bars {compared.bars} now and {compared.bars_before} then: the diagonal foreseen is that of the first, "
            "and holds now only if the bars were connected without load."
        )
