"""Findings in words: failures first, then what was not checked and why, then what passes."""

from collections.abc import Iterator

from ballast.records.finding import Finding
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table

COUNTED = ("corner", "plate")
"""What findings are about that are counted, not listed, while they pass."""
ORDER = ("fail", "pass")


def findings_section(title: str, findings: tuple[Finding, ...], show: Rounding) -> Section:
    """A section with the limits that were checked as a table, and the others as sentences."""
    listed = sorted((finding for finding in findings if _is_listed(finding)), key=lambda f: ORDER.index(f.verdict))
    rows = tuple(_row(finding, show) for finding in listed)
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


def _row(finding: Finding, show: Rounding) -> tuple[str, ...]:
    """Measured, limit and margin, rounded so that none reads better than it is."""
    measured, limit, margin = finding.measured or 0.0, finding.limit or 0.0, finding.margin or 0.0
    name = finding.rule + (f" (clause {finding.clause})" if finding.clause else "")
    if finding.bound == "min":
        texts = show.value_down(measured, finding.dimension), show.value_up(limit, finding.dimension)
    else:
        texts = show.value_up(measured, finding.dimension), show.value_down(limit, finding.dimension)
    if finding.bound == "min" and finding.dimension == "mass":
        reached, least = show.against(measured, limit)
        texts = f"{reached} {show.units.mass}", f"{least} {show.units.mass}"
    return name, texts[0], f"{finding.bound} {texts[1]}", show.value_down(margin, finding.dimension), finding.verdict


def _is_listed(finding: Finding) -> bool:
    return finding.verdict == "fail" or (finding.verdict == "pass" and finding.about not in COUNTED)


def _counted(findings: tuple[Finding, ...]) -> Iterator[str]:
    quiet = sum(finding.verdict == "pass" and not _is_listed(finding) for finding in findings)
    if quiet:
        yield f"{quiet} more pass: no plate is used that is not owned, and every wheel keeps its load."


def _not_checked(findings: tuple[Finding, ...]) -> Iterator[str]:
    for finding in findings:
        if finding.verdict == "not checked":
            clause = f" (clause {finding.clause})" if finding.clause else ""
            yield f"Not checked: {finding.rule}{clause}: {finding.because}."
