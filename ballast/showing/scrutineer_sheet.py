"""What stands on the sheet that is printed and handed over: plain data, laid out by `html.py`."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from ballast.records.plan import Answer
from ballast.records.rulebook import InState
from ballast.showing import crew_sheet as crew
from ballast.showing.findings_sheet import findings_section
from ballast.showing.impossible_sheet import AS_WEIGHED, not_possible, other_requirements
from ballast.showing.plan_sheet import CAUTIONS, plan_sheet
from ballast.showing.plates_on_paper import drivers, kinds, to_check_off, what_stands_where
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.scales_on_paper import scales, set_down
from ballast.showing.sheet import Section, Table
from ballast.showing.work import work

Tone = Literal["good", "open", "bad"]
"""Every limit passes; every limit that could be checked passes; there is no legal plan on this sheet."""
APART = "\u2068", "\u2069"
"""Around a name that may be written from right to left: Unicode's first strong isolate, and its end."""
FIGURES = "THE CAR"
"""How the title of the terminal's table of figures begins, for one state or for several."""


@dataclass(frozen=True)
class ScrutineerSheet:
    """One sheet: what is decided, the parts beside the picture, the parts below it, and what is filled in by hand."""

    car: str
    about: tuple[str, ...]
    tone: Tone
    verdict: str
    said: tuple[str, ...]
    beside: tuple[Section, ...]
    plates: Section | None
    """with boxes to tick off; none without a plan"""
    below: tuple[tuple[Section, ...], ...]
    """rows of one part, or of several in two columns"""
    set_down: Section | None
    """with fields to write in"""
    to_check_off: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def title(self) -> str:
        """What a browser's tab says."""
        return f"{self.car}: ballast sheet"

    @property
    def foot(self) -> str:
        """What stands at the foot of every printed page, so that loose pages find each other."""
        return " ".join([f"{APART[0]}{self.car}{APART[1]}.", *self.about])

    @property
    def signed(self) -> str:
        """What stands over the names: nobody signs a plan that breaks a limit without reading so."""
        return "Signed, though this plan breaks a limit" if self.tone == "bad" else "Signed"


def scrutineer_sheet(answer: Answer) -> ScrutineerSheet:
    """The sheet of a saved plan; of one that is impossible, why, and nothing to sign."""
    show, plan = rounding(answer.question), answer.plan
    tone, verdict = _verdict(answer)
    planned = bool(plan.cases)
    return ScrutineerSheet(
        car=answer.question.car.chassis.name,
        about=tuple(_about(answer)),
        tone=tone,
        verdict=verdict,
        said=plan_sheet(answer).lines,
        beside=tuple(_beside(answer, show)),
        plates=what_stands_where(answer, show) if planned else None,
        below=tuple(_planned(answer, show) if planned else _not_planned(answer, show)),
        set_down=set_down(answer, show) if planned else None,
        to_check_off=tuple(to_check_off(answer)) if planned else (),
        cautions=CAUTIONS,
    )


def _about(answer: Answer) -> Iterator[str]:
    book, visit = answer.question.rulebook, answer.question.weigh_in.visit
    if book:
        yield ", ".join(part for part in (book.title.name, book.title.body, book.title.edition) if part)
    else:
        yield "No rulebook was given."
    yield f"Weighed {visit.date.isoformat()}."


def _verdict(answer: Answer) -> tuple[Tone, str]:
    plan = answer.plan
    if plan.outcome == "impossible":
        return "bad", "This car cannot be made legal with these plates, mounts and limits."
    if not plan.cases:
        return "bad", "There is no plan on this sheet. Whether there is one is open."
    broken = list(dict.fromkeys(finding.rule for finding in plan.findings if finding.verdict == "fail"))
    if broken:
        return "bad", f"NOT LEGAL. Broken: {'; '.join(broken)}."
    open_ones = sum(finding.verdict == "not checked" for finding in plan.findings)
    if open_ones:
        things = "1 thing is" if open_ones == 1 else f"{open_ones} things are"
        return "open", f"By sums within every limit that could be checked. {things} left to look at."
    if answer.question.rulebook is None:
        return "open", "By sums within every limit of the car file. No rulebook was given."
    return "good", "By sums within every limit that was entered."


# --- beside the picture ----------------------------------------------------------------------------------------------


def _beside(answer: Answer, show: Rounding) -> Iterator[Section]:
    yield from _minima(answer, show)
    yield _total(answer, show)
    yield scales(answer, show)
    if answer.plan.cases:
        yield from drivers(answer, show)
        yield kinds(answer, show)


def _minima(answer: Answer, show: Rounding) -> Iterator[Section]:
    """What the class asks for, and in which state."""
    book = answer.question.rulebook
    if book is None:
        return
    for minimum in book.minima:
        name = minimum.name if minimum.name.startswith("minimum") else f"minimum weight, {minimum.name}"
        asked = (
            ("least", show.mass_up(minimum.mass)),
            ("state", _state(minimum)),
            ("clause", f"{minimum.clause}; {minimum.source}"),
            ("looked up", minimum.checked.isoformat()),
        )
        yield Section(f"Class {name}", table=Table(("", ""), asked, text_columns=2))
    least = {"front axle": book.front_axle, "right side": book.right_side}
    most = {"left share": book.left_share, "rear share": book.rear_share}
    sides = [(what, f"at least {show.mass_up(rule.least)}", rule) for what, rule in least.items() if rule]
    shares = [(what, f"at most {show.percent(rule.greatest, 0.0)}", rule) for what, rule in most.items() if rule]
    limits = tuple((what, f"{how}; {_state(rule)}; clause {rule.clause}") for what, how, rule in (*sides, *shares))
    if limits:
        yield Section("Axles and sides", table=Table(("", ""), limits, text_columns=2))


def _state(rule: InState) -> str:
    parts = ["driver aboard" if rule.driver == "in" else "without the driver"]
    if rule.fuel:
        parts.append({"drained": "tank drained", "full": "tank full"}.get(rule.fuel, f"fuel {rule.fuel}"))
    if rule.spares is not None:
        parts.append(f"{rule.spares} spare {'wheel' if rule.spares == 1 else 'wheels'}")
    return ", ".join(parts) + (f" ({rule.state})" if rule.state else "")


def _total(answer: Answer, show: Rounding) -> Section:
    """The required total as a sum anybody can add up, and what is reached."""
    plan, unit = answer.plan, show.units.mass
    asked = plan.requirement
    rows = [
        (term.name, f"{'-' if term.mass < 0 else '+' if number else ''}{show.term(abs(term.mass))}")
        for number, term in enumerate(asked.terms)
    ]
    case = next((case for case in plan.cases if case.name == asked.case), None)
    if case:
        reached, least = show.against(case.total, asked.required)
        rows += [("required", f"{least} {unit}"), ("with this plan", f"{reached} {unit}")]
        rows += [("over the required total", show.value_down(case.total - asked.required, "mass"))]
    else:
        state = "" if plan.before.name == AS_WEIGHED else f" ({plan.before.name})"
        rows += [("required", show.mass_up(asked.required))]
        rows += [(f"as it stands{state}", show.mass_down(plan.before.total))]
        if plan.impossible and plan.impossible.greatest_total is not None:
            mean = ", mean of all states" if len(plan.requirements) > 1 else ""
            rows += [(f"most that is possible{mean}", show.mass_down(plan.impossible.greatest_total))]
    where = "" if asked.case == AS_WEIGHED else f", {asked.case}"
    return Section(
        f"Total required{where}", table=Table(("", ""), tuple(rows)), lines=tuple(other_requirements(plan, show))
    )


# --- below it --------------------------------------------------------------------------------------------------------


def _planned(answer: Answer, show: Rounding) -> Iterator[tuple[Section, ...]]:
    plan, several = answer.plan, len(answer.plan.cases) > 1
    figures = next(part for part in plan_sheet(answer).sections if part.title.startswith(FIGURES))
    to_do = replace(work(answer, show), title="What to do")
    if answer.question.car.drivers:  # what is on board then stands in the table of the drivers
        to_do = replace(to_do, lines=tuple(line for line in to_do.lines if not line.startswith("On board afterwards")))
    if several:
        stop = [replace(_by_stop(part), title="At the stop") for part in list(crew.at_the_stop(answer, show))[:1]]
        lines = (crew.certainty(plan, show), *crew.fuel_aboard(answer.question, show))
        lines = (f"{crew.STAR} outside its band.", *lines) if _starred(figures) else lines
        yield to_do, *stop, Section("The car in every state", table=figures.table, lines=lines)
    else:
        yield replace(figures, title="The car" + figures.title.removeprefix(FIGURES), lines=()), to_do
    yield (findings_section("Findings, worked out again from the plates alone", plan.findings, show),)


def _by_stop(section: Section) -> Section:
    """The table of what is done at a stop with one row for each, to save lines."""
    rows: list[list[str]] = []
    for stop, verb, what in section.table.rows if section.table else ():
        if stop or not rows:
            rows.append([stop, f"{verb} {what}".strip()])
        else:
            rows[-1][1] += f"; {verb} {what}"
    return replace(section, table=Table(("", ""), tuple((stop, what) for stop, what in rows), text_columns=2))


def _starred(figures: Section) -> bool:
    return any(cell.endswith(crew.STAR) for row in (figures.table.rows if figures.table else ()) for cell in row)


def _not_planned(answer: Answer, show: Rounding) -> Iterator[tuple[Section, ...]]:
    for part in not_possible(answer, show):
        yield (replace(part, title=part.title.capitalize()),)
