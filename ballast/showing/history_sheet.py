"""Several visits in words: what changed since the last one, what each change is worth, and how well the car repeats."""

from collections.abc import Iterator, Sequence

from ballast.records.history import FigureChange, History, OtherPads, Step, Trend, Visited
from ballast.records.question import Question
from ballast.showing.findings_sheet import findings_section, unchecked
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table

THREE = 3
DEAD = 0.1
"""Share of what stands on it below which a pad is called dead."""
TEMPLATE = "These rules are a template: the current book of your class and its scrutineers decide."
NOT_SEEN = (
    "Settlings show how well one visit repeats, not what moves between two: pads put down elsewhere, tyre pressures, "
    "another floor. Such a change is there on the pads and is none of the car's."
)


def history_sheet(questions: Sequence[Question], history: History) -> Sheet:
    """The sheet of `weigh` with several weigh-ins. questions : one for each of them, in any order."""
    car = questions[0].car
    show = Rounding(car.units.units(), min(rounding(question).mass_decimals for question in questions))
    first, last = history.visits[0].name, history.visits[-1].name
    return Sheet(
        title=f"{history.car}: {len(history.visits)} visits, {first} to {last}",
        lines=(*_broken(history), *unchecked(history.findings), *_newest(history, show), *_unlike(history)),
        sections=(
            Section("VISITS", table=_visits(history, show), lines=tuple(_states(history, show))),
            *(_step(step, history, show) for step in history.steps),
            Section("OVER ALL VISITS", lines=(*_trends(history, show), NOT_SEEN)),
            _repeat(history, show),
            *_rules(questions, history, show),
        ),
    )


def _broken(history: History) -> Iterator[str]:
    names = [finding.rule for finding in history.findings if finding.verdict == "fail"]
    if names:
        yield f"NOT WITHIN THE RULES as at the newest visit, see the findings: {', '.join(names)}."


def _newest(history: History, show: Rounding) -> Iterator[str]:
    """What a hurried person wants to know: whether the car still is what it was."""
    step = history.steps[-1]
    if step.other_pads and not _one_wheel(step.other_pads[0]):
        yield f"LOOK AT THE PADS FIRST: {_pads(step.other_pads[0])}, see below."
    told = [change for change in step.figures if change.told == "changed" and change.figure != "LF+RR"]
    open_ones = [change.figure for change in step.figures if change.told == "not compared" and change.figure != "LF+RR"]
    if told:
        words = ", ".join(f"{_named(change)} {_signed(change, show)}" for change in told)
        yield f"Since {step.since}, beyond what is known to differ and what the pads can tell: {words}."
    elif not open_ones:
        known = ", but for what is known to differ" if step.differences else ""
        yield f"Since {step.since} nothing changed that these pads can tell{known}."
    if open_ones:
        yield f"Not compared with {step.since}: {', '.join(open_ones)}; the reason is below."


def _unlike(history: History) -> Iterator[str]:
    if history.unlike:
        yield (
            f"The settlings of {' and '.join(history.unlike)} scatter far more than the others: something stuck, or "
            "the car was not settled. The pooled values below include them."
        )


def _named(change: FigureChange | Trend) -> str:
    return f"diagonal {change.figure}" if "+" in change.figure else change.figure


def _signed(change: FigureChange, show: Rounding) -> str:
    """What is left over, with its sign and its interval."""
    return f"{_plus(_size(change, change.left_over, show))} (+/- {_size(change, change.within, show)})"


def _size(change: FigureChange | Trend, value: float | None, show: Rounding) -> str:
    """A difference: a mass to the pads' step, points to the second decimal."""
    if value is None:
        return "-"
    return show.mass(value) if change.dimension == "mass" else show.points(value)


def _plus(text: str) -> str:
    return text if text.startswith("-") else f"+{text}"


# --- the visits ----------------------------------------------------------------------------------------------------


def _visits(history: History, show: Rounding) -> Table:
    front, left, diagonal = _unsure(history)
    rows = []
    for visit in history.visits:
        car = visit.measured
        rows.append(
            (
                visit.name,
                f"{visit.settlings}",
                show.mass(car.total),
                show.percent(car.front_percent, front),
                show.percent(car.left_percent, left),
                show.percent(car.diagonal_percent.rf_lr, diagonal),
                show.percent(car.diagonal_percent.lf_rr, diagonal),
            )
        )
    return Table(("", "settlings", "total", "front", "left", "RF+LR", "LF+RR"), tuple(rows))


def _unsure(history: History) -> tuple[float, float, float]:
    """Standard uncertainty of front, left and diagonal of the visit that was read the fewest times, as shares."""
    repeat, fewest = history.repeat, min(visit.settlings for visit in history.visits) ** 0.5
    return repeat.front_percent / fewest, repeat.left_percent / fewest, repeat.diagonal_percent / fewest


def _states(history: History, show: Rounding) -> Iterator[str]:
    for visit in history.visits:
        yield f"{visit.name}: {'; '.join(_state(visit, show))}."


def _state(visit: Visited, show: Rounding) -> Iterator[str]:
    """Who and what was aboard, as far as the file says."""
    said = visit.visit
    if visit.substitute:
        yield f"{show.as_written(visit.substitute.mass, 'mass')} standing in for the driver"
    elif said.seated:
        yield f"{said.seated} aboard"
    else:
        yield f"driver {said.driver}" if said.driver else "driver not said"
    if visit.fuel:
        yield ", ".join(f"{show.volume(row.volume)} in {row.tank or 'the tank'}" for row in visit.fuel)
    else:
        yield f"fuel {said.fuel}" if said.fuel else "fuel not said"
    if said.bars:
        yield f"bars {said.bars}"
    if visit.fitted:
        yield "fitted " + ", ".join(f"{row.count} x {row.plate} on {row.mount}" for row in visit.fitted)
    else:
        yield "no plates fitted"
    for name, mass in (("success ballast", said.success_ballast), ("driver ballast", said.driver_ballast)):
        if mass:
            yield f"{show.as_written(mass, 'mass')} {name}"
    if said.note:
        yield said.note


# --- from one to the next ------------------------------------------------------------------------------------------


def _step(step: Step, history: History, show: Rounding) -> Section:
    sums = any(change.by_sums for change in step.figures)
    head = ("", "before", *(["by sums"] if sums else []), "now", "left over" if sums else "change", "+/- 95 %", "")
    front, left, diagonal = _unsure(history)
    rows = []
    for change in step.figures:
        unsure = {"front": front, "left": left}.get(change.figure, diagonal)
        rows.append(
            (
                change.figure,
                _level(change, change.before, unsure, show, False),
                *([_bare(change, change.by_sums, show, True)] if sums else []),
                _level(change, change.now, unsure, show, True),
                _bare(change, change.left_over, show, True),
                _bare(change, change.within, show, False),
                change.told,
            )
        )
    lines = []
    if step.differences:
        known = ", ".join(f"{one.what} {_plus(show.mass(one.mass))}" for one in step.differences)
        lines.append(f"Known to differ, and taken out by sums: {known}.")
    lines += list(_what_it_means(step, show))
    lines += [f"{remark[0].upper()}{remark[1:]}." for remark in step.not_known]
    lines += list(_about_pads(step))
    return Section(f"FROM {step.since} TO {step.until}", table=Table(head, tuple(rows)), lines=tuple(lines))


def _what_it_means(step: Step, show: Rounding) -> Iterator[str]:
    """What can have made such a change, as far as it needs no guess."""
    told = {change.figure: change for change in step.figures if change.told == "changed"}
    if (total := told.get("total")) and total.left_over is not None:
        way = "came" if total.left_over > 0 else "went"
        yield f"{show.mass(abs(total.left_over))} {way} that no file names."
    elif told.keys() == {"RF+LR", "LF+RR"}:
        yield "Only the diagonal changed: platforms, tyre pressures, bars and uneven pads move it, and no mass does."


def _level(change: FigureChange, value: float, unsure: float, show: Rounding, unit: bool) -> str:
    return show.mass(value, unit) if change.dimension == "mass" else show.percent(value, unsure, unit)


def _bare(change: FigureChange, value: float | None, show: Rounding, sign: bool) -> str:
    """A difference without its unit, which stands in the column of levels; a percentage differs by points."""
    if value is None:
        return "-"
    text = _size(change, value, show).split()[0]
    return _plus(text) if sign else text


def _about_pads(step: Step) -> Iterator[str]:
    """Pads that may be the reason, and how to find out."""
    if not step.other_pads:
        return
    reasons = "; or ".join(_pads(pads) for pads in step.other_pads)
    if _one_wheel(step.other_pads[0]):
        yield f"All of it is on one wheel: {reasons}. Stand on that pad and on the others to see which."
        return
    yield (
        f"It looks like the pads and not like the car: {reasons}. Stand on each pad, see that the right number moves "
        "by the right amount, and weigh again before you believe the change."
    )


def _one_wheel(pads: OtherPads) -> bool:
    """Whether it may as well be a mass that one wheel carries: a pad that reads otherwise, and is not dead."""
    return pads.gain is not None and pads.gain >= DEAD


def _pads(pads: OtherPads) -> str:
    if pads.exchanged:
        pairs = " and ".join(f"{one} with {other}" for one, other in pads.exchanged)
        return f"pads exchanged, {pairs}, would give the earlier visit back"
    if not _one_wheel(pads):
        return f"the pad under {pads.one_pad} seems dead"
    reads = f"that pad reads {100 * (pads.gain or 0.0):.1f} % of what it did"
    return f"what the wheel {pads.one_pad} carries changed, or {reads}"


# --- all together --------------------------------------------------------------------------------------------------


def _trends(history: History, show: Rounding) -> Iterator[str]:
    if not history.trend_over:
        yield "No line was looked for: that takes three visits in states that can be compared, on three days."
        return
    number = len(history.trend_over)
    for trend in history.trends:
        if trend.figure == "LF+RR":
            continue
        moved, within = trend.per_day * trend.days, trend.within_per_day * trend.days
        verb = "rose" if moved > 0 else "fell"
        yield (
            f"Over {number} visits in {trend.days} days {_named(trend)} {verb} by {_size(trend, abs(moved), show)} "
            f"(+/- {_size(trend, within, show)}, 95 %) along a straight line: {_per_day(trend, show)} a day."
        )
    if not history.trends:
        yield f"Over {number} visits no figure follows a straight line within what the pads can tell."


def _per_day(trend: Trend, show: Rounding) -> str:
    if trend.dimension == "mass":
        return show.small(abs(trend.per_day), "mass")
    return show.small(abs(trend.per_day), "percent").removesuffix(" %") + " points"


def _repeat(history: History, show: Rounding) -> Section:
    repeat = history.repeat
    fine = Rounding(show.units, show.mass_decimals + 1)

    def mass(name: str, deviation: float) -> tuple[str, ...]:
        one, three = repeat.factor * deviation, repeat.factor * deviation / THREE**0.5
        return name, fine.mass(deviation), fine.mass(one), fine.mass(three)

    def share(name: str, deviation: float) -> tuple[str, ...]:
        one, three = repeat.factor * deviation, repeat.factor * deviation / THREE**0.5
        return name, show.points(deviation), show.points(one), show.points(three)

    return Section(
        "HOW WELL IT REPEATS, from all visits",
        table=Table(
            ("", "one settling scatters", "one, +/- 95 %", "three, +/- 95 %"),
            (
                mass("total", repeat.total),
                share("front", repeat.front_percent),
                share("left", repeat.left_percent),
                share("either diagonal", repeat.diagonal_percent),
                mass("rear pair", repeat.rear_pair),
            ),
        ),
        lines=tuple(_how_to_use(history)),
    )


def _how_to_use(history: History) -> Iterator[str]:
    repeat = history.repeat
    if repeat.degrees_of_freedom == 0:
        yield (
            "Every visit was read once, so the scatter is assumed and nothing here shows it. Roll off, on, settle and "
            "read again, at one visit at least."
        )
        return
    yield (
        f"Pooled from {repeat.settlings} settlings, each about the mean of its own visit (JCGM 100, 4.2.4): "
        f"{repeat.degrees_of_freedom} degrees of freedom, factor {repeat.factor:.2f}. Three settlings by themselves "
        "have 2, and factor 4.30."
    )
    yield (
        "To use it: a visit on these pads that is read once is good to the second column, one that is read three times "
        "to the third. One that scatters far more was not settled. `plan` still guards by the newest weigh-in alone."
    )


def _rules(questions: Sequence[Question], history: History, show: Rounding) -> Iterator[Section]:
    book = questions[0].rulebook
    if book:
        note = [TEMPLATE] if book.title.template else []
        section = findings_section(
            f"FINDINGS for {book.title.name}, car as at the newest visit", history.findings, show
        )
        yield Section(section.title, lines=(*note, *section.lines), table=section.table)
