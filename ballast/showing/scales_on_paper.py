"""The scales a plan rests on, and the lines for what other scales show when the car is set down again."""

from collections.abc import Iterator

from ballast.corners import CORNERS
from ballast.records.pads import Checked, Pads
from ballast.records.plan import Answer
from ballast.records.question import Question
from ballast.showing.pads_sheet import CORRECTIONS
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table

BLANK_LINES = 1
"""Fields for readings on the scales of the event."""


def scales(answer: Answer, show: Rounding) -> Section:
    """What the car was weighed on, in which state, how often, and how well it repeated."""
    return Section("Scales used", table=Table(("", ""), tuple(_scales(answer, show)), text_columns=2))


def set_down(answer: Answer, show: Rounding) -> Section:
    """Fields for readings, below what the pads are expected to show in every state in which a total is required."""
    plan = answer.plan
    cases = [case for case in plan.cases if case.legal] or list(plan.cases)
    rows = [
        (
            "expected",
            case.name,
            *(show.mass(getattr(case.corner_loads, corner), False) for corner in CORNERS),
            show.mass_down(case.total, False),
        )
        for case in cases
    ]
    blank = ("",) * (len(CORNERS) + 2)
    rows += [("own pads", *blank), *[("event scales", *blank)] * BLANK_LINES]
    head = ("set down", "state, day and time", *CORNERS, "total")
    lines = (f"In {show.units.mass}. Expected as the scales above would show it; those of the event decide.",)
    return Section("Set down and read", table=Table(head, tuple(rows), text_columns=2), lines=lines)


def _scales(answer: Answer, show: Rounding) -> Iterator[tuple[str, str]]:
    question, repeat = answer.question, answer.plan.repeat
    weigh_in = question.weigh_in
    yield "pads", _pads(weigh_in.pads, show)
    if weigh_in.pads.corrected and weigh_in.pads.corrected.what:
        yield "corrected for", ", ".join(CORRECTIONS[what] for what in weigh_in.pads.corrected.what)
    yield "settlings", _settlings(question)
    if repeat.assumed:
        yield "total repeats", "not known from one settling: the usual is assumed"
    else:
        yield "total repeats", f"{show.at_most(repeat.factor * repeat.total)} either way (95 %)"
    if aboard := _aboard(question, show):
        yield "on the pads", aboard
    if weigh_in.visit.bars:
        yield "anti-roll bars", weigh_in.visit.bars
    yield "checklist", _checklist(weigh_in.checked)
    if question.ledger:
        times = len(question.ledger.comparisons)
        yield "event scales", f"set against these {'once' if times == 1 else f'{times} times'}"
    if weigh_in.visit.note:
        yield "note", weigh_in.visit.note


def _pads(pads: Pads, show: Rounding) -> str:
    parts = [f"steps of {show.small(pads.resolution, 'mass')}"] if pads.resolution else []
    if pads.instrument:
        e = f", e = {show.small(pads.interval, 'mass')}" if pads.interval else ""
        parts.append(f"{pads.instrument}{e}")
    elif pads.accuracy:
        parts.append(f"each within {show.small(pads.accuracy, 'mass')}, as stated for it")
    else:
        parts.append("accuracy not entered")
    return "; ".join(parts)


def _settlings(question: Question) -> str:
    """How often the car was read, before and after it was turned."""
    weigh_in = question.weigh_in
    corrected = weigh_in.pads.corrected
    count = len(corrected.as_read) if corrected else len(weigh_in.readings) + len(weigh_in.turned)
    turned = len(weigh_in.turned) or (corrected is not None and "turned" in corrected.what)
    return f"{count}" + (", some with car and pads turned about" if turned else "")


def _aboard(question: Question, show: Rounding) -> str:
    """Who or what sat in the car, and what it had in its tanks, as far as the file says."""
    weigh_in = question.weigh_in
    visit, parts = weigh_in.visit, []
    if weigh_in.substitute:
        parts.append(f"{show.as_written(weigh_in.substitute.mass, 'mass')} in place of the driver")
    elif question.seated:
        parts.append(question.seated.name)
    elif visit.driver:
        parts.append("the driver" if visit.driver == "in" else "no driver")
    for row in weigh_in.fuel:
        tank = row.tank or (question.car.tanks[0].name if question.car.tanks else "the tank")
        parts.append(f"{show.volume(row.volume)} in {tank}")
    if visit.fuel:
        parts.append(f"fuel {visit.fuel}")
    if visit.spares is not None:
        parts.append(f"{visit.spares} spare {'wheel' if visit.spares == 1 else 'wheels'}")
    return ", ".join(parts)


def _checklist(checked: Checked | None) -> str:
    if checked is None:
        return "not filled in"
    left = [key.replace("_", " ") for key in checked.unticked()]
    return f"all ticked but: {', '.join(left)}" if left else "all ticked"
