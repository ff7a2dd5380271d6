"""A prediction in words: what was counted on, what the pads should show, and what no sum can know."""

from collections.abc import Iterator

from ballast.records.changed import Carrier, Changed, Part
from ballast.records.predicted import Predicted
from ballast.records.question import Question
from ballast.showing.findings_sheet import findings_section, unchecked
from ballast.showing.places import place
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table
from ballast.showing.springs import on_springs

TWICE = 2.0
"""Standard uncertainties in a 95 % interval."""
NOT_KNOWN = (
    "Ride heights, and with them the platforms: a part of another mass lets the car stand higher or lower. Set the "
    "heights again before you read the pads.",
    "Springs, dampers, bars or alignment that were touched in the same work: the diagonal then starts anew.",
    "Brackets, bolts, hoses, cables and fluids that went with a part, unless their mass is in the file.",
)
CAUTIONS = (
    "Heavy parts: hoist and two people. Never under a car on a jack. A part or a plate that is not fixed is a "
    "projectile: have the fixings checked by a qualified person. The series rulebook and its scrutineers decide.",
)


def predicted_sheet(question: Question, predicted: Predicted) -> Sheet:
    """The sheet of `predict`."""
    show = rounding(question)
    return Sheet(
        title=f"{predicted.car}: what the changes will do",
        lines=tuple(_summary(predicted)),
        sections=(
            Section("COUNTED ON", lines=tuple(counted_on(question, show))),
            Section("THE CAR, in the state of the weigh-in", table=_figures(predicted, show)),
            Section("CORNER LOADS", table=_corners(predicted, show)),
            Section("CENTRE OF GRAVITY", lines=tuple(_centres(predicted, show))),
            Section("WHAT THIS CANNOT KNOW", lines=(*_springs(question, predicted, show), *NOT_KNOWN)),
            *_rules(question, predicted, show),
            Section("CAUTIONS", lines=CAUTIONS),
        ),
    )


def counted_on(question: Question, show: Rounding) -> Iterator[str]:
    """One line for each change."""
    changed = question.changed or Changed(units=question.car.units)
    for verb, parts in (("Taken off", changed.removed), ("Put on", changed.added)):
        for part in parts:
            yield f"{verb}: {part.name}, {show.as_written(part.mass, 'mass')}, {_carried(part, show)}."
    for moved in changed.moved:
        was = place(moved.start.behind_front_axle, moved.start.left_of_centre, show)
        now = place(moved.end.behind_front_axle, moved.end.left_of_centre, show)
        yield f"Moved: {moved.name}, {show.as_written(moved.mass, 'mass')}, from {was} to {now}."
    for row in changed.placed:
        before = question.fitted(row.mount, row.plate)
        whose = f" for {row.driver}" if row.driver else ""
        if before != row.count:
            yield f"Plates: {row.count} x {row.plate} on {row.mount}{whose}, {before} at the weigh-in."


def _carried(part: Part, show: Rounding) -> str:
    if part.carried_by != "chassis":
        wheels: dict[Carrier, str] = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
        return f"carried by the {wheels[part.carried_by]} wheel"
    return place(part.behind_front_axle, part.left_of_centre, show)


def _summary(predicted: Predicted) -> Iterator[str]:
    yield "A prediction is not a weighing: when the work is done, settle the car and weigh it again."
    if predicted.kit_of:
        yield f"On the mounts that change with the driver: the plates of {predicted.kit_of}."
    names = [finding.rule for finding in predicted.findings if finding.verdict == "fail"]
    if names:
        yield f"LIMITS BROKEN as it will stand, see the findings: {', '.join(names)}."
    yield from unchecked(predicted.findings)
    yield "Which plates suit the car as it will be: `ballast plan` with this file of changes behind --changed."


def _figures(predicted: Predicted, show: Rounding) -> Table:
    was, now, sure, repeat = predicted.before, predicted.after, predicted.uncertain, predicted.repeat

    def share(name: str, before: float, after: float, scatter: float, off: float) -> tuple[str, ...]:
        change = signed(show.points(after - before))
        give = show.points(TWICE * off).removesuffix(" points")
        return name, show.percent(before, scatter, False), show.percent(after, scatter), change, give

    def mass(name: str, before: float, after: float, off: float) -> tuple[str, ...]:
        give = show.at_most(TWICE * off).removesuffix(f" {show.units.mass}")
        return name, show.mass(before, False), show.mass(after), signed(show.mass(after - before)), give

    both, then = now.diagonal_percent, was.diagonal_percent
    front, left, diagonal = sure.front_percent, sure.left_percent, sure.diagonal_percent
    return Table(
        head=("", "weighed", "predicted", "change", "+/- 95 %"),
        rows=(
            mass("total", was.total, now.total, sure.total),
            share("front", was.front_percent, now.front_percent, repeat.front_percent, front),
            share("rear", was.rear_percent, now.rear_percent, repeat.front_percent, front),
            share("left", was.left_percent, now.left_percent, repeat.left_percent, left),
            share("diagonal RF+LR", then.rf_lr, both.rf_lr, repeat.diagonal_percent, diagonal),
            share("diagonal LF+RR", then.lf_rr, both.lf_rr, repeat.diagonal_percent, diagonal),
            mass("rear pair, LR less RR", was.rear_pair, now.rear_pair, sure.rear_pair),
        ),
    )


def _corners(predicted: Predicted, show: Rounding) -> Table:
    was, now = predicted.before.corner_loads, predicted.after.corner_loads
    pairs = (("LF", was.LF, now.LF), ("RF", was.RF, now.RF), ("LR", was.LR, now.LR), ("RR", was.RR, now.RR))
    return Table(
        head=("", "weighed", "predicted", "change"),
        rows=tuple((n, show.mass(a, False), show.mass(b), signed(show.mass(b - a))) for n, a, b in pairs),
    )


def _centres(predicted: Predicted, show: Rounding) -> Iterator[str]:
    for word, case in (("Weighed", predicted.before), ("Predicted", predicted.after)):
        centre = case.centre_of_gravity
        height = f", {show.length(centre.above_ground)} above the ground" if centre.above_ground is not None else ""
        yield f"{word}: {place(centre.behind_front_axle, centre.left_of_centre, show)}{height}."
    if predicted.before.centre_of_gravity.above_ground and predicted.after.centre_of_gravity.above_ground is None:
        yield "The height afterwards is not known: something that changed has no above_ground in the files."


def _springs(question: Question, predicted: Predicted, show: Rounding) -> Iterator[str]:
    ends = sorted(case.diagonal_percent.rf_lr for case in predicted.range)
    texts = [show.percent(end, predicted.repeat.diagonal_percent, unit=False) for end in ends]
    about = "the diagonal RF+LR after these changes"
    yield from on_springs(question, predicted.roll_share, about, (texts[0], texts[-1]), unsure=False)
    axles = (question.car.suspension.front, question.car.suspension.rear)
    soft = question.car.suspension.has_springs and any(axle and axle.tyres for axle in axles)
    if not soft and any(part.carried_by != "chassis" for part in _parts(question)):
        yield (
            "What a wheel carries is counted on its own pad alone: without the rates of springs and tyres nobody can "
            "say how tyres give way under it and hand a few parts in a hundred of that mass to the others."
        )


def _parts(question: Question) -> tuple[Part, ...]:
    """Parts put on or taken off."""
    return (*question.changed.removed, *question.changed.added) if question.changed else ()


def _rules(question: Question, predicted: Predicted, show: Rounding) -> tuple[Section, ...]:
    if not predicted.findings:
        return ()
    rules = f" for {question.rulebook.title.name}" if question.rulebook else ""
    title = f"FINDINGS{rules}, car as predicted"
    return (findings_section(title, predicted.findings, show),)


def signed(text: str) -> str:
    """A change, with its sign."""
    return text if text.startswith("-") else f"+{text}"
