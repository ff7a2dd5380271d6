"""Findings in words: failures first, then what was not checked and why, then what passes, alike limits in one row."""

from collections.abc import Iterator

from ballast.records.finding import Finding
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table

COUNTED = ("corner", "plate")
"""What findings are about that are counted, not listed, while they pass."""

Alike = tuple[Finding, ...]
"""Findings that stand in one row: one that failed, or all of one kind that pass, that with the least in hand first."""


def findings_section(title: str, findings: tuple[Finding, ...], show: Rounding) -> Section:
    """A section with the limits that were checked as a table, and the others as sentences.

    Limits of one kind that pass (such as the bolts of every mount) stand in one row, with the numbers of that which has
    the least in hand; what failed or was not checked stands by itself.
    """
    states = _states(findings)
    failed = [(finding,) for finding in findings if finding.verdict == "fail"]
    rows = tuple(_row(alike, states, show) for alike in (*failed, *_passed(findings, states)))
    table = Table(("limit", "is", "", "in hand", ""), rows) if rows else None
    return Section(title, table=table, lines=(*_counted(findings), *_not_checked(findings)))


def unchecked(findings: tuple[Finding, ...]) -> Iterator[str]:
    """One line for the top of a sheet when something that the rules ask could not be answered."""
    gaps = [finding for finding in findings if finding.verdict == "not checked"]
    about_the_car = [finding.rule for finding in gaps if finding.about == "car"]
    others, names = len(gaps) - len(about_the_car), list(dict.fromkeys(about_the_car))
    names += [f"{others} {'thing' if others == 1 else 'things'} about plates and mounts"] if others else []
    if names:
        yield f"NOT CHECKED, see the findings: {', '.join(names)}."


def _states(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """What stands behind the names of limits: states of the car, as they stand behind each corner, and drivers.

    The longest first, so that "Ilse, flag" is found before a driver called "flag".
    """
    states = {finding.rule.partition(", ")[2] for finding in findings if finding.about == "corner"}
    drivers = {state.rpartition(", ")[0] for state in states}
    return tuple(sorted((states | drivers) - {""}, key=lambda name: (-len(name), name)))


def _kind_and_whose(finding: Finding, states: tuple[str, ...]) -> tuple[str, str]:
    """What the limit is, and of which state, mount or plate: "front axle" and "Ilse, flag"."""
    rule = finding.rule
    state = next((f", {name}" for name in states if rule.endswith(f", {name}")), "")
    rule = rule.removesuffix(state)
    if finding.about == "car":
        return rule, state.removeprefix(", ")
    subject, _, kind = rule.rpartition(": ")
    return kind, subject + state


def _passed(findings: tuple[Finding, ...], states: tuple[str, ...]) -> Iterator[Alike]:
    """What passes and is listed, by kind."""
    kinds: dict[tuple[str, str, str, str | None], list[Finding]] = {}
    for finding in findings:
        if finding.verdict == "pass" and finding.about not in COUNTED:
            kind, _ = _kind_and_whose(finding, states)
            kinds.setdefault((kind, finding.clause, finding.bound, finding.dimension), []).append(finding)
    for alike in kinds.values():
        yield tuple(sorted(alike, key=lambda finding: finding.margin or 0.0))


def _row(alike: Alike, states: tuple[str, ...], show: Rounding) -> tuple[str, ...]:
    """Name, then measured, limit and margin, rounded so that none reads better than it is."""
    finding = alike[0]
    measured, limit, margin = finding.measured or 0.0, finding.limit or 0.0, finding.margin or 0.0
    if finding.bound == "min":
        texts = show.value_down(measured, finding.dimension), show.value_up(limit, finding.dimension)
    else:
        texts = show.value_up(measured, finding.dimension), show.value_down(limit, finding.dimension)
    if finding.bound == "min" and finding.dimension == "mass":
        reached, least = show.against(measured, limit)
        texts = f"{reached} {show.units.mass}", f"{least} {show.units.mass}"
    in_hand = show.value_down(margin, finding.dimension)
    return _name(alike, states), texts[0], f"{finding.bound} {texts[1]}", in_hand, finding.verdict


def _name(alike: Alike, states: tuple[str, ...]) -> str:
    first = alike[0]
    clause = f" (clause {first.clause})" if first.clause else ""
    if len(alike) == 1:
        return first.rule + clause
    kind, whose = _kind_and_whose(first, states)
    if len({(one.measured, one.limit) for one in alike}) == 1:
        return f"{kind}{clause}, all {len(alike)} alike"
    return f"{kind}{clause}, tightest of {len(alike)}: {whose}"


def _counted(findings: tuple[Finding, ...]) -> Iterator[str]:
    quiet = sum(finding.verdict == "pass" and finding.about in COUNTED for finding in findings)
    if quiet:
        yield f"{quiet} more pass: no plate is used that is not owned, and every wheel keeps its load."


def _not_checked(findings: tuple[Finding, ...]) -> Iterator[str]:
    for finding in findings:
        if finding.verdict == "not checked":
            clause = f" (clause {finding.clause})" if finding.clause else ""
            yield f"Not checked: {finding.rule}{clause}: {finding.because}."
