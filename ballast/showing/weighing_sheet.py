"""What the scales say, in words."""

from collections.abc import Iterator

from ballast.records.question import Question
from ballast.records.weighed import DiagonalShares, Weighed
from ballast.showing.findings_sheet import findings_section, unchecked
from ballast.showing.pads_sheet import outlying_lines, pads_sections, verdict
from ballast.showing.places import sideways
from ballast.showing.rounding import Rounding, rounding
from ballast.showing.sheet import Section, Sheet, Table


def weighing_sheet(question: Question, weighed: Weighed) -> Sheet:
    """The sheet of `weigh`."""
    show = rounding(question)
    visit = question.weigh_in.visit
    driver = f", {_seat(question)}" if visit.driver else ""
    note = (visit.note,) if visit.note else ()
    return Sheet(
        title=f"{weighed.car}: weighed {visit.date.isoformat()}{driver}",
        lines=(
            *_broken(weighed),
            *verdict(weighed, show),
            *unchecked(weighed.findings),
            *_template(question),
            *note,
        ),
        sections=(
            Section("CORNER LOADS, mean of the settlings", table=_corners(weighed, show)),
            Section(
                "THE CAR",
                table=_figures(weighed, show),
                lines=(*_repeat(weighed, show), *outlying_lines(weighed, show)),
            ),
            Section("CENTRE OF GRAVITY", lines=(centre_of_gravity(weighed, show),)),
            Section(
                "AIMS FOR THE DIAGONAL, as the car stands", table=_aims(weighed, show), lines=_which(weighed, show)
            ),
            *pads_sections(weighed, show),
            *_rules(question, weighed, show),
        ),
    )


def _seat(question: Question) -> str:
    """Who or what sat in the car."""
    if question.seated:
        return f"{question.seated.name} aboard"
    if question.weigh_in.substitute:
        return "a substitute mass aboard"
    return f"driver {question.weigh_in.visit.driver}"


def _broken(weighed: Weighed) -> Iterator[str]:
    """One line for the top of the sheet when the car as it stands breaks a limit."""
    names = [finding.rule for finding in weighed.findings if finding.verdict == "fail"]
    if names:
        yield f"NOT WITHIN THE RULES as it stands, see the findings: {', '.join(names)}."


def _template(question: Question) -> Iterator[str]:
    """What has to be known of the rulebook itself."""
    if question.rulebook and question.rulebook.title.template:
        yield "These rules are a template: the current book of your class and its scrutineers decide."
    if question.rulebook and question.rulebook.title.note:
        yield question.rulebook.title.note


def _rules(question: Question, weighed: Weighed, show: Rounding) -> tuple[Section, ...]:
    """The rulebook's limits for the car as it stands, where a rulebook was given."""
    if question.rulebook is None:
        return ()
    return (findings_section(f"FINDINGS for {question.rulebook.title.name}, car as weighed", weighed.findings, show),)


def _corners(weighed: Weighed, show: Rounding) -> Table:
    loads = weighed.measured.corner_loads
    return Table(
        head=("", "left", "right"),
        rows=(
            ("front", f"LF {show.mass(loads.LF)}", f"RF {show.mass(loads.RF)}"),
            ("rear", f"LR {show.mass(loads.LR)}", f"RR {show.mass(loads.RR)}"),
        ),
    )


def _figures(weighed: Weighed, show: Rounding) -> Table:
    car, spread, repeat = weighed.measured, weighed.spread, weighed.repeat
    several = len(weighed.settlings) > 1
    both, diagonal = car.diagonal_percent, repeat.diagonal_percent

    def row(name: str, value: str, over: str) -> tuple[str, ...]:
        return (name, value, over) if several else (name, value)

    return Table(
        head=("", "mean", f"spread of {len(weighed.settlings)}") if several else ("", "reading"),
        rows=(
            row("total", show.mass(car.total), show.mass(spread.total)),
            row("front", show.percent(car.front_percent, repeat.front_percent), show.points(spread.front_percent)),
            row("rear", show.percent(car.rear_percent, repeat.front_percent), show.points(spread.front_percent)),
            row("left", show.percent(car.left_percent, repeat.left_percent), show.points(spread.left_percent)),
            row(
                "diagonal RF+LR",
                show.percent(both.rf_lr, diagonal),
                show.points(spread.diagonal_percent),
            ),
            row(
                "diagonal LF+RR",
                show.percent(both.lf_rr, diagonal),
                show.points(spread.diagonal_percent),
            ),
            row("rear pair, LR less RR", show.mass(car.rear_pair), ""),
        ),
    )


def _repeat(weighed: Weighed, show: Rounding) -> tuple[str, ...]:
    repeat = weighed.repeat
    if repeat.assumed:
        return ("One settling says nothing of how well it repeats: what is usual is assumed.",)
    return (
        f"The means repeat to +/- {show.at_most(repeat.factor * repeat.total)}, "
        f"front {show.points(repeat.factor * repeat.front_percent)}, "
        f"left {show.points(repeat.factor * repeat.left_percent)}, "
        f"diagonal {show.points(repeat.factor * repeat.diagonal_percent)} "
        f"(95 %, from {repeat.settlings} settlings; what the pads themselves may be off comes on top).",
    )


def centre_of_gravity(weighed: Weighed, show: Rounding) -> str:
    """Where the centre of gravity is, in one sentence."""
    centre = weighed.measured.centre_of_gravity
    height = (
        f"; {show.length(centre.above_ground)} above the ground, by the car file"
        if centre.above_ground is not None
        else "; height not measured"
    )
    across = sideways(centre.left_of_centre, show)
    return f"{show.length(centre.behind_front_axle)} behind the front axle, {across}{height}."


def _aims(weighed: Weighed, show: Rounding) -> Table:
    uncertainty = weighed.repeat.diagonal_percent

    def row(name: str, shares: DiagonalShares) -> tuple[str, ...]:
        return name, show.percent(shares.rf_lr, uncertainty), show.percent(shares.lf_rr, uncertainty)

    aims = weighed.diagonal_aims
    return Table(
        head=("", "RF+LR", "LF+RR"),
        rows=(
            row("measured", weighed.measured.diagonal_percent),
            row("half on each diagonal", aims.half),
            row("same front share on each side", aims.same_front_share),
            row("front wheels equal", aims.equal_front_wheels),
        ),
    )


def _which(weighed: Weighed, show: Rounding) -> tuple[str, ...]:
    left = show.percent(weighed.measured.left_percent, weighed.repeat.left_percent)
    return (f"At left {left} the three differ: choose one, and write it in [targets.diagonal] with its corners.",)
