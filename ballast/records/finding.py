"""A finding: one limit, measured, or the reason why not."""

from typing import Literal

from ballast.records.quantities import Dimensioned, MaybeValue

Verdict = Literal["pass", "fail", "not checked"]
About = Literal["car", "corner", "mount", "plate"]


class Finding(Dimensioned):
    """One limit, looked at by other code than the planner's. The numbers are null where it could not be checked."""

    about: About
    rule: str
    bound: Literal["min", "max"]
    """whether the limit is the least or the greatest allowed"""
    clause: str
    measured: MaybeValue
    limit: MaybeValue
    margin: MaybeValue
    """what is in hand; negative when the limit is broken"""
    verdict: Verdict
    because: str = ""
    """why it was not checked"""
