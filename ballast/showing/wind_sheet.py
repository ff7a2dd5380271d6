"""Platform turns in words: what to take care of first, what to turn, what comes of it, what turning cannot do."""

from collections.abc import Iterator

from ballast.corners import CORNERS
from ballast.records.question import Question
from ballast.records.turns import (
    KnownFrom,
    NoPlan,
    NotWound,
    TurnPlan,
    WantedDiagonal,
    Winding,
    Wound,
)
from ballast.showing.pads_sheet import CORRECTIONS
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.turn_words import figure_of, height_change, in_words, number_of, number_of_turns, value_of, wanted

SOME_LEFT = 0.00005
"""Change of left % below which nothing is said of it: half a hundredth of a point."""
CAUTIONS = (
    "Never under a car on a jack: set it on stands that cannot tip, on hard ground, wheels chocked.",
    "Take the load off a spring before its platform is turned, and keep hands from between spring, platform and "
    "body until it is. A spring that is still loaded can jump.",
    "Two platforms that stand on one thread both count: turn them together, and lock them against each other again.",
    "Count from a paint mark, and write down every turn as it is made. What the damper and its thread bear, and how "
    "much thread has to stay in, is for its maker's sheet and a qualified person to say.",
)
WORTH: dict[str, str] = {
    "ride height stays": "because ride height stays within {within} at every corner, with the fewest turns that do so",
    "fewest turns": "because it takes the fewest turns",
    "comes nearest": "because nothing comes nearer, though it is not enough",
}
FROM: dict[KnownFrom, str] = {"springs": "springs", "known turns": "known turns"}


def wind_sheet(question: Question, wound: Wound) -> Sheet:
    """The sheet of `wind`."""
    show = rounding(question)
    plans = wound.winding.plans
    sections = [Section("BEFORE ANY PLATFORM IS TURNED", lines=CAUTIONS)] if plans else []
    if plans:
        sections += [
            Section(
                "WHAT TO TURN: one of these; up puts load on its own wheel",
                table=_ways(wound.winding, show),
                lines=tuple(_about_ways(wound, show)),
            ),
            Section("WHAT THE PADS WILL SHOW, about", table=_loads(wound, show), lines=tuple(_left(wound, show))),
            Section("THREAD LEFT AFTERWARDS, in turns", table=_thread(plans)),
        ]
    sections.append(Section("ONE TURN UP", table=_one_turn(wound, show), lines=tuple(_known_from(wound))))
    if wound.not_wound:
        sections.append(Section("WHAT NO PLATFORM CAN DO", lines=tuple(_cannot(wound, show))))
    then = tuple(_then(wound))
    sections += [Section("THEN", lines=then)] if then else []
    bars = f", bars {wound.bars}" if wound.bars else ""
    return Sheet(
        title=f"{wound.car}: platform turns, weighed {wound.date.isoformat()}{bars}",
        lines=tuple(_summary(wound, show)),
        sections=tuple(sections),
    )


# --- the top ---------------------------------------------------------------------------------------------------------


def _summary(wound: Wound, show: Rounding) -> Iterator[str]:
    winding, target = wound.winding, wound.winding.target
    now = f"The {figure_of(target)} is {value_of(target, target.before, show)}; wanted {wanted(target, show)}."
    if winding.there_already:
        yield f"{now} It is there: leave the platforms alone."
    elif not winding.plans:
        yield f"{now} No turns bring it nearer: see below."
        yield from (_why_not(reason, show) for reason in winding.not_possible)
    else:
        best = winding.plans[0]
        if winding.inside_band:
            yield f"{now} It is inside, but nearer the edge than this weighing can tell ({_guard(target, show)})."
        else:
            yield now
        within = show.small(wound.height_within, "length")
        yield (
            f"{'Wind' if best.comes != 'short' else 'As near as it comes'}: {in_words(best.turns.in_order())}; "
            f"{WORTH[winding.because or 'fewest turns'].format(within=within)}."
        )
    yield from _edge(winding, show)
    yield from _bars(wound)
    if wound.corrected:
        yield f"Readings corrected: {', '.join(CORRECTIONS[name] for name in wound.corrected)}; see `ballast weigh`."


def _guard(target: WantedDiagonal, show: Rounding) -> str:
    return show.mass(target.guard) if target.dimension == "mass" else show.points(target.guard)


def _edge(winding: Winding, show: Rounding) -> Iterator[str]:
    """How the band and what the pads can tell go together."""
    target = winding.target
    if target.guard >= target.within / 2 * (1 - 1e-9) and not winding.there_already:
        yield (
            "The band is narrow for what this weighing can tell: half of it is kept as a guard, and a re-weigh may "
            "still fall outside. More settlings narrow the doubt."
        )
    if winding.plans and winding.plans[0].comes == "near the edge":
        yield f"Whole steps bring it inside the band, but not by the guard of {_guard(target, show)}."


def _bars(wound: Wound) -> Iterator[str]:
    """These turns hold for one state of the bars."""
    if wound.bars is None:
        return
    yield f"All this holds for the bars {wound.bars}, as the car was weighed."
    if wound.bars == "connected":
        yield (
            "Better: disconnect one end of each bar, settle, weigh, and set the diagonal so; then connect the bars "
            "without preload. A bar under preload holds a diagonal of its own."
        )


# --- the plans -------------------------------------------------------------------------------------------------------


def _ways(winding: Winding, show: Rounding) -> Table:
    target, heights = winding.target, any(plan.ride_height for plan in winding.plans)
    unit = show.units.length
    rows = []
    for number, plan in enumerate(winding.plans, start=1):
        row = [f"{number}  {in_words(plan.turns.in_order())}", _figure_after(plan, target, show)]
        if heights:
            known = plan.ride_height
            moved = known.in_order() if known else ()
            row += [height_change(value, show.units) for value in moved] or ["not known"] * len(CORNERS)
        rows.append(tuple(row))
    name = target.figure if target.figure != "rear pair" else "LR less RR"
    return Table(head=("", name, *(f"{c} {unit}" for c in CORNERS if heights)), rows=tuple(rows))


def _figure_after(plan: TurnPlan, target: WantedDiagonal, show: Rounding) -> str:
    shares = plan.after.diagonal_percent
    match target.figure:
        case "rear pair":
            return show.mass(plan.after.rear_pair)
        case "RF+LR":
            return show.percent(shares.rf_lr, target.uncertain)
        case "LF+RR":
            return show.percent(shares.lf_rr, target.uncertain)


def _about_ways(wound: Wound, show: Rounding) -> Iterator[str]:
    plans = wound.winding.plans
    if any(plan.ride_height for plan in plans):
        yield (
            "Heights are how far the chassis rises above each wheel, an estimate. Where it moves, toe and camber move "
            "with it: set them again."
        )
    else:
        yield "Ride heights not known: that needs springs, motion_ratio and lift_per_turn in the car file."
    near = [str(number) for number, plan in enumerate(plans, start=1) if plan.comes == "near the edge"]
    if near and len(near) < len(plans):
        listed = " and ".join(part for part in (", ".join(near[:-1]), near[-1]) if part)
        yield f"{listed}: inside the band, but nearer its edge than this weighing can tell."
    for reason in wound.winding.not_possible:
        yield _why_not(reason, show)
    yield f"Steps of {number_of_turns(wound.step)} ([suspension.platforms] step)."


def _why_not(reason: NoPlan, show: Rounding) -> str:
    who = reason.corner or ("two platforms together" if reason.kind == "pair" else "with ride height held")
    match reason.because:
        case "thread":
            return (
                f"Not {who}: it takes {number_of_turns(reason.turns or 0.0)} in all, and there is not so much thread."
            )
        case "step":
            return f"Not {who}: no whole steps bring it inside the band; finer steps might."
        case "wheel lifts":
            return f"Not {who}: a wheel would lift off its pad first."
        case "heights not known":
            return "Ride height cannot be held by sums: springs or lift_per_turn are not in the car file."
        case "height":
            allow = show.units.outside(reason.height_within or 0.0, "length")
            places = {"mm": 1, "m": 4, "in": 2}[show.units.length]
            up = -(-allow * 10**places // 1) / 10**places
            return f"Not with ride height held so closely: whole steps can with --within {up:.{places}f}."


def _loads(wound: Wound, show: Rounding) -> Table:
    rows = [("now", wound.before), *((str(n), plan.after) for n, plan in enumerate(wound.winding.plans, start=1))]
    uncertain = wound.winding.target.uncertain if wound.winding.target.dimension == "percent" else 0.001
    return Table(
        head=("", *CORNERS, "RF+LR", "LF+RR", "left"),
        rows=tuple(
            (
                name,
                *(show.mass(getattr(case.corner_loads, corner)) for corner in CORNERS),
                show.percent(case.diagonal_percent.rf_lr, uncertain),
                show.percent(case.diagonal_percent.lf_rr, uncertain),
                show.percent(case.left_percent, 0.0),
            )
            for name, case in rows
        ),
    )


def _left(wound: Wound, show: Rounding) -> Iterator[str]:
    per = wound.left_points_by_diagonal
    if abs(per) < 1e-6:
        yield "Total, front and left stay what they are: turning only moves load between the diagonals."
        return
    most = max((abs(plan.left_points) for plan in wound.winding.plans), default=0.0)
    yield (
        "Total and front stay what they are. Left moves only because the tracks differ, by "
        f"{per:+.3f} points for each point of RF+LR{f': here {show.points(most)}' if most > SOME_LEFT else ''}."
    )


def _thread(plans: tuple[TurnPlan, ...]) -> Table:
    def row(number: int, plan: TurnPlan) -> tuple[str, ...]:
        ends = zip(plan.thread_up.in_order(), plan.thread_down.in_order(), strict=True)
        return (str(number), *(f"{_left_of(up)} / {_left_of(down)}" for up, down in ends))

    return Table(
        head=("up / down", *CORNERS), rows=tuple(row(number, plan) for number, plan in enumerate(plans, start=1))
    )


def _left_of(turns: float | None) -> str:
    return "?" if turns is None else number_of(turns)


def _one_turn(wound: Wound, show: Rounding) -> Table:
    fine = Rounding(show.units, max(show.mass_decimals, 1) + 1)
    unit = wound.units.length
    return Table(
        head=("", "from", "its own wheel", "RF+LR", "its corner"),
        rows=tuple(
            (
                one.corner,
                FROM[one.known_from],
                fine.mass(one.load),
                f"{100 * one.diagonal_points:+.2f} points",
                "not known" if one.rise is None else f"{height_change(one.rise, show.units)} {unit}",
            )
            for one in wound.one_turn
        ),
        text_columns=2,
    )


def _known_from(wound: Wound) -> Iterator[str]:
    if wound.known_turns_not_used:
        yield (
            f"load_per_turn is not used: it was measured with the bars {wound.known_turns_not_used}, and a turn does "
            "not do the same with them otherwise."
        )
    if wound.known_turns_bars_unsaid:
        yield (
            "load_per_turn does not say how the bars were, so springs go before it where they are known: write "
            "measured_with_bars below [suspension]."
        )
    missing = [corner for corner in CORNERS if corner not in {one.corner for one in wound.one_turn}]
    if missing:
        yield f"Of {', '.join(missing)} nothing is known, so they are left alone: lift_per_turn or load_per_turn."
    if any(one.known_from == "springs" for one in wound.one_turn):
        yield (
            "Reckoned from springs as the car file has them. Turn one platform a known number of turns and weigh again "
            "(`ballast trial`): what this car really does then takes their place."
        )


# --- what platforms cannot do ----------------------------------------------------------------------------------------


def _cannot(wound: Wound, show: Rounding) -> Iterator[str]:
    for target in wound.not_wound:
        yield " ".join(_not_wound(target, wound, show))
    yield "Put mass right first (`ballast plan`), weigh again, and turn the platforms last."


def _not_wound(target: NotWound, wound: Wound, show: Rounding) -> Iterator[str]:
    name = target.figure.capitalize()
    yield (
        f"{name} is {show.percent(target.before, 0.0)}, wanted {show.as_written(target.aim, 'percent')} +/- "
        f"{100 * target.within:.10g} points, and cannot be wound in:"
    )
    if target.figure == "left" and abs(wound.left_points_by_diagonal) > 1e-6:
        swap = (target.aim - target.before) / wound.left_points_by_diagonal
        yield f"that would take {100 * swap:+.0f} points of RF+LR."
    else:
        yield f"turning never changes {target.figure} %."
    if target.added:
        over = (
            ""
            if target.added.mass <= target.added.room
            else f" (more than the {show.mass(target.added.room)} it still takes)"
        )
        yield f"It needs {show.mass(target.added.mass)} at '{target.added.mount}'{over},"
    else:
        yield "No mount has the leverage for it: it needs"
    shifted = target.shifted
    if shifted:
        yield f"or {show.mass(shifted.mass)} moved from '{shifted.from_mount}' to '{shifted.to_mount}',"
    over_all = "the front track" if target.figure == "left" else "the wheelbase"
    yield (
        f"{'or ' if target.added or shifted else ''}{show.mass(target.moved)} moved {_to(target)} by {over_all} "
        f"({show.length(target.by)}); twice as much over half of it."
    )


def _to(target: NotWound) -> str:
    return f"to the {target.way}" if target.way in ("left", "right") else target.way


# --- afterwards ------------------------------------------------------------------------------------------------------


def _then(wound: Wound) -> Iterator[str]:
    if wound.winding.plans:
        yield "Lock every platform, set the car down, bounce and roll it until it settles, and weigh again."
    if wound.bars and wound.bars != wound.raced_with_bars:
        if wound.raced_with_bars == "connected":
            yield (
                "The car is raced with the bars connected: once the diagonal is right, connect them without preload "
                "(length of the link set so that its bolt slides in with the car on its wheels), settle, and weigh "
                "once more. If the diagonal has moved, a bar is preloaded."
            )
        else:
            yield "The car is raced with the bars disconnected: disconnect them, settle, and weigh before you turn."
    if wound.settlings < 3:
        yield "Weigh three settlings: the diagonal is the figure that repeats worst."
    if wound.winding.plans:
        yield "Loads and heights above are estimates. What the pads show decides, and a qualified person over the work."
