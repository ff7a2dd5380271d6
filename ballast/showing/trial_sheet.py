"""What trials told, in words: how to do them unhurt, what is known now, and what to write into the car file."""

import math
from collections.abc import Iterator

from ballast.records.tried import CoefficientsFound, LeversSeen, PerTurn, ShareFound, Tried, WeightTried
from ballast.showing.learned_lines import Fine, car_file, points
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Sheet, Table

TWICE = 2.0
"""Standard uncertainties in half of a 95 % interval."""
SELDOM = 0.05
"""Chance below which something is called out of the ordinary."""
BEFORE = (
    "Two people for a heavy weight; tie it down or chock it, so that it can neither roll nor slide, and step away "
    "before the pads are read.",
    "Nobody beneath the car, and no fingers under a sill or a wheel while a weight is set down. Never work under a car "
    "on a jack; to turn a platform, take the load off its spring as the car's manual says.",
    "Car chocked, on its pads; nobody in it who was not in it before.",
)
PROCEDURE = (
    "Weigh, three settlings. Put the weight on, as heavy and as far out to one side as the car lets it; settle, read, "
    "three settlings. Measure to the middle of it: from the front axle line, and from the centre line.",
    "Nothing else may change: bars, steering, tyre pressures, fuel, who sits in the car, how it is settled.",
    "For a car that may not be alike left and right: the same at three places or more that are not on one line, one "
    "of them on the other side.",
)


def trial_sheet(tried: Tried) -> Sheet:
    """The sheet of `trial`."""
    units = tried.units.units()
    show = Rounding(units, 1)
    bars = f", bars {tried.bars}" if tried.bars else ""
    word = "" if tried.weighed else ", not weighed yet"
    sections = [
        Section("BEFORE A WEIGHT IS LIFTED OR A PLATFORM TURNED", lines=BEFORE),
        Section("PROCEDURE", lines=PROCEDURE),
    ]
    if tried.weights:
        sections.append(Section("THE WEIGHTS", table=_weights(tried, show), lines=tuple(_about_weights(tried, show))))
    if tried.coefficients:
        sections.append(Section("THREE NUMBERS, FOR ANY CAR", lines=tuple(_coefficients(tried.coefficients, show))))
    if tried.per_turn:
        sections.append(Section("ONE TURN UP", table=_turns(tried, show), lines=tuple(_about_turns(tried, show))))
    if not tried.for_car_file.empty:
        sections.append(Section("WRITE THIS INTO THE CAR FILE", lines=tuple(car_file(tried))))
    sections.append(Section("COUNTED ON", lines=(_counted_on(tried, show),)))
    if better := tuple(_better(tried, show)):
        sections.append(Section("HOW TO BE SURER", lines=better))
    return Sheet(
        title=f"{tried.car}: trials of {tried.date.isoformat()}{bars}{word}",
        lines=(*_found(tried), *_found_of_turns(tried, show)),
        sections=tuple(sections),
    )


def _found(tried: Tried) -> Iterator[str]:
    """The answer about the weights in a sentence."""
    if tried.worth:
        fine = points(tried.foreseen_now)
        given = f"these weights would give the front roll share to +/- {fine.interval()} points (95 %)"
        if tried.worth == "worth doing":
            yield f"Worth doing: {given}."
        elif tried.worth == "rough":
            yield f"Rough, but better than nothing: {given}."
        else:
            yield f"NOT WORTH DOING as it is: {given}, and without a trial 50 +/- 15 % is assumed."
    share, found = tried.share, tried.coefficients
    if not share:
        return
    fine = points(share.uncertain)
    value = f"{fine.text(100 * share.front_roll_share)} %, +/- {fine.interval()} points (95 %)"
    if tried.for_car_file.learned:
        yield "The car is not alike left and right: no one share says it. The three numbers below do."
    elif found and found.unlike:
        yield (
            "CANNOT TELL: the car is not alike left and right, so the front roll share does not say it, and these "
            "weights do not tell the three numbers that would (below)."
        )
    elif share.verdict == "tells":
        yield f"Front roll share {value}."
        yield from _beside(share)
    elif share.verdict == "cannot tell":
        yield (
            f"CANNOT TELL: the front roll share comes to {value}. Without a trial 50 +/- 15 % is assumed, and this is "
            "no better."
        )
    elif share.verdict == "impossible":
        yield (
            f"NO CAR HAS THIS: the front roll share comes to {value}. Look for a weight written down on the wrong "
            "side, two pads exchanged, or a wheel that did not carry."
        )
    else:
        yield (
            "THE WEIGHTS DO NOT FIT EACH OTHER, see below: nothing of them goes into the car file until it is found "
            "out why."
        )


def _beside(share: ShareFound) -> Iterator[str]:
    """What is already known of the share."""
    fine = points(share.uncertain)
    for other, said in (
        (share.in_car_file, "The car file says"),
        (share.by_springs, "The springs of the car file say"),
    ):
        if other is not None:
            inside = abs(other - share.front_roll_share) <= TWICE * share.uncertain
            yield f"{said} {fine.text(100 * other)} %, which is {'within' if inside else 'outside'} the interval."
    if 100 * abs(share.more_at_front) >= 0.05:
        more, less = ("more", "less") if share.more_at_front > 0 else ("less", "more")
        by = f"{100 * abs(share.more_at_front):.1f} points"
        yield (
            f"It is that of a mass midway between the axles. The chassis twists (chassis_twist): at the front axle it "
            f"is {by} {more}, at the rear axle as much {less}."
        )


def _found_of_turns(tried: Tried, show: Rounding) -> Iterator[str]:
    """The answer about the turns, a sentence for each corner."""
    for each in tried.per_turn:
        fine, load = _kept(each, show)
        ending = f"+/- {fine.interval()} {show.units.mass} (95 %)"
        match each.verdict:
            case "tells":
                yield f"One turn up at {each.corner} puts {load} on {each.corner}, {ending}."
            case "worth doing" | "rough":
                word = "Worth doing" if each.verdict == "worth doing" else "Rough, but better than nothing"
                yield f"{word}: the turns at {each.corner} would give a turn to {ending}."
            case "not worth doing":
                yield f"NOT WORTH DOING: the turns at {each.corner} would give a turn to {ending} only."
            case "impossible":
                yield (
                    f"UP IS DOWN: one turn up at {each.corner} takes {load} off {each.corner}, {ending}. Turns are "
                    "positive where they raise the car."
                )
            case "does not fit":
                yield f"THE TURNS AT {each.corner} DO NOT FIT EACH OTHER, see below."
            case "cannot tell":
                yield f"CANNOT TELL: one turn up at {each.corner} comes to {load}, {ending}."


def _kept(each: PerTurn, show: Rounding) -> tuple[Fine, str]:
    """The load of a turn in the user's unit, no finer than it deserves."""
    fine = Fine(show.units.outside(TWICE * each.uncertain, "mass"))
    load = show.units.outside(each.load or 0.0, "mass")
    return fine, f"{fine.text(abs(load) if each.verdict == 'impossible' else load)} {show.units.mass}"


def _weights(tried: Tried, show: Rounding) -> Table:
    head = ("", "mass", "aft", "left", "pads saw", "share by it alone")
    return Table(head=head, rows=tuple(row for weight in tried.weights for row in _rows(weight, show)))


def _rows(weight: WeightTried, show: Rounding) -> Iterator[tuple[str, ...]]:
    """One row for each mass; what the pads say stands beside the first."""
    fine = points(weight.uncertain) if weight.uncertain is not None else None
    alone = "nothing" if weight.front_roll_share is not None or fine is None else "not weighed"
    if fine and weight.front_roll_share is not None:
        alone = f"{fine.text(100 * weight.front_roll_share)} +/- {fine.interval()} %"
    elif fine:
        alone = f"to +/- {fine.interval()} %"
    seen = show.mass(weight.levers.total) if weight.levers else "-"
    for number, mass in enumerate(weight.masses):
        yield (
            weight.name if number == 0 else "",
            show.as_written(mass.mass, "mass"),
            show.length(mass.behind_front_axle),
            show.length(mass.left_of_centre),
            seen if number == 0 else "",
            alone if number == 0 else "",
        )


def _about_weights(tried: Tried, show: Rounding) -> Iterator[str]:
    for weight in tried.weights:
        if weight.levers:
            yield from _unseen(f"'{weight.name}'", weight.levers, show)
    misfits = [found.chance for found in (tried.coefficients or tried.share,) if found and found.chance is not None]
    if misfits and misfits[0] < SELDOM:
        yield (
            f"The weights do not fit each other well: by settling alone that happens with a chance of "
            f"{show.chance(misfits[0])}. Look for a mass or a place mistyped, steering or pressures that moved, or a "
            f"brake that held.{_furthest(tried)}"
        )


def _furthest(tried: Tried) -> str:
    """The trial that is furthest off the fit; of two, both are as far."""
    off = {weight.name: abs(weight.off) for weight in tried.weights if weight.off is not None}
    if tried.coefficients or len(off) < 3:
        return ""
    name = max(off, key=lambda each: off[each])
    return f" '{name}' is furthest off."


def _unseen(name: str, seen: LeversSeen, show: Rounding) -> Iterator[str]:
    """What the levers must give and the pads did not show, beyond their interval."""
    if abs(seen.total - seen.total_told) > TWICE * seen.total_uncertain:
        yield (
            f"Of {name} the pads saw {show.mass(seen.total)} of {show.mass(seen.total_told)}, further off than they "
            f"repeat (+/- {show.at_most(TWICE * seen.total_uncertain)}): check its mass, and that all else was as "
            "before."
        )
    for off, uncertain, words in (
        (seen.aft_off, seen.aft_uncertain, ("aft", "forward")),
        (seen.left_off, seen.left_uncertain, ("left", "right")),
    ):
        if abs(off) > TWICE * uncertain:
            yield (
                f"By the pads {name} was {show.length(abs(off))} further {words[0 if off > 0 else 1]} than written "
                f"(+/- {show.length(TWICE * uncertain)}): measure its place again."
            )


def _coefficients(found: CoefficientsFound, show: Rounding) -> Iterator[str]:
    front, rear, left = (
        f"{points(uncertain).text(100 * value)} +/- {points(uncertain).interval()} points"
        for value, uncertain in zip(
            (found.at_front_axle, found.at_rear_axle, found.to_the_left), found.uncertain, strict=True
        )
    )
    yield (
        f"Of a mass on the centre line LF carries, beyond its levers, {front} at the front axle and {rear} at the rear "
        f"axle; half a front track to the left {left} more (95 %)."
    )
    chance = show.chance(found.alike_chance)
    if found.unlike:
        yield (
            f"A car alike left and right would look as unlike as this with a chance of {chance}: it is not alike, and "
            "all three numbers count."
        )
        if found.chance is None:
            yield (
                "That, or one of the three weights is wrong: three numbers from three weights cannot show it. Try a "
                "fourth place before you believe them."
            )
    else:
        yield (
            f"A car alike left and right would look as unlike as this with a chance of {chance}: nothing says that it "
            "is not, and then the front roll share is the surer of the two."
        )


def _turns(tried: Tried, show: Rounding) -> Table:
    rows = []
    for each in tried.per_turn:
        fine, load = _kept(each, show)
        springs = "not known"
        if each.by_springs is not None and each.by_springs_uncertain is not None:
            by_rates = Fine(show.units.outside(TWICE * each.by_springs_uncertain, "mass"))
            shown = by_rates.text(show.units.outside(each.by_springs, "mass"))
            springs = f"{shown} +/- {by_rates.interval()} {show.units.mass}"
        turned = ", ".join(f"{turn.turns:+g}" for turn in tried.turns if turn.corner == each.corner)
        measured = f"{load} +/- {fine.interval()}" if each.load is not None else f"to +/- {fine.interval()}"
        rows.append((each.corner, turned, measured, springs))
    return Table(head=("", "turned", "on its own corner", "by the springs"), rows=tuple(rows))


def _about_turns(tried: Tried, show: Rounding) -> Iterator[str]:
    for each in tried.per_turn:
        if each.chance is not None and each.chance < SELDOM:
            yield (
                f"The turns at {each.corner} fit each other as badly with a chance of {show.chance(each.chance)} only: "
                "look for turns miscounted, a spring that slipped on its seat, or a bar that came under load."
            )
        if each.load is None or each.by_springs is None or each.by_springs_uncertain is None:
            continue
        apart = abs(each.load - each.by_springs)
        if each.verdict == "tells" and apart > TWICE * math.hypot(each.uncertain, each.by_springs_uncertain):
            yield (
                f"At {each.corner} the springs of the car file say something else than the pads: check rates, motion "
                "ratio, lift_per_turn, and whether the bars were as written. What was measured counts."
            )
    for turn in tried.turns:
        seen = turn.levers
        if seen and abs(seen.total) > TWICE * seen.total_uncertain:
            yield (
                f"With {turn.turns:+g} turns at {turn.corner} the total changed by {show.mass(seen.total)} "
                f"(+/- {show.at_most(TWICE * seen.total_uncertain)}), and turns change no total: something else did."
            )


def _counted_on(tried: Tried, show: Rounding) -> str:
    on = tried.counted_on
    together = "all weighings together" if tried.weighed else "with the weighings to come"
    weighings = f"{on.degrees} degrees of freedom, {together}" if on.degrees else "assumed: none was repeated"
    before = "the file of trials" if on.own_readings else "the weigh-in"
    weights = (
        f" weights within {show.small(on.mass_within, 'mass')} and {show.small(on.place_within, 'length')} each way;"
        if tried.weights
        else ""
    )
    turns = f" turns within {on.turns_within:g};" if tried.per_turn else ""
    taken = ", by the digits written" if on.resolution_as_written else ""
    return (
        f"Before: {on.settlings_before} settlings, from {before}. From one settling to the next the diagonal moves LF "
        f"by {show.small(on.scatter, 'mass')} (standard deviation, {weighings}). Pads in steps of "
        f"{show.small(on.resolution, 'mass')}{taken};{weights}{turns} what else is wrong with a pad all but cancels "
        "between before and after."
    )


def _better(tried: Tried, show: Rounding) -> Iterator[str]:
    if tried.foreseen:
        each = "; ".join(f"{row.settlings}: +/- {points(row.uncertain).interval()}" for row in tried.foreseen)
        yield f"Settlings of each weighing, before and after, and points they would give (95 %): {each}."
    for row in tried.per_turn:
        if row.verdict in {"cannot tell", "not worth doing", "rough"}:
            yield f"At {row.corner}, twice as many turns give half of the interval, thread and springs permitting."
    telling = tried.would_tell
    if telling:
        wanted = f"For +/- {100 * telling.wanted:g} points"
        ways = []
        if telling.mass is not None and telling.times is not None:
            heaviest = show.units.outside(telling.mass, "mass")
            several = sum(len(weight.masses) for weight in tried.weights) > 1
            mass = f"{math.ceil(heaviest - 1e-6)} {show.units.mass}"
            times = math.ceil(10 * telling.times) / 10
            ways.append(
                f"all weights {times:g} times as heavy ({mass} the heaviest)"
                if several
                else f"a weight of {mass} at the same place"
            )
        if telling.settlings is not None:
            ways.append(f"{telling.settlings} settlings of each weighing")
        yield (
            f"{wanted}: {', or '.join(ways)}."
            if ways
            else f"{wanted} neither mass nor settlings suffice: stand it further out, and measure its place better."
        )
        yield (
            "Or further out: an offset counts as much as a mass. A weight moved from one side to the other (masses = "
            "[{ mass = -20, ... }, { mass = 20, ... }] against readings with it on the first side) counts twice."
        )
