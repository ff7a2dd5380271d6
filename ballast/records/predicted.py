"""What changes of hand do to the car, by sums."""

from ballast.records.finding import Finding
from ballast.records.plan import RollShare, Uncertain
from ballast.records.quantities import Name, Record, UnitsTable
from ballast.records.weighed import CaseLoads, Repeat


class Predicted(Record):
    """The answer of `predict`: the car in the state of the weigh-in, before and after the changes."""

    units: UnitsTable
    car: str
    before: CaseLoads
    """as weighed, the mean of the settlings"""
    after: CaseLoads
    """with the parts and plates of the file of changes"""
    uncertain: Uncertain
    """of what is predicted"""
    kit_of: Name | None = None
    """whose plates are counted on the mounts that change with the driver"""
    roll_share: RollShare
    range: tuple[CaseLoads, ...]
    """the same under the least and the greatest front share of roll stiffness"""
    repeat: Repeat
    findings: tuple[Finding, ...] = ()
    """the rulebook's limits for the car after the changes, where a rulebook was given"""
