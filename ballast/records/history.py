"""Several visits to the pads, one after the other: what changed, what that was, and how well one car repeats."""

from typing import Literal

from ballast.corners import Corner
from ballast.records.crew import Fuel, Substitute
from ballast.records.finding import Finding
from ballast.records.quantities import Dimensioned, Mass, MaybeValue, Name, Number, Record, Share, UnitsTable, Value
from ballast.records.weighed import CaseLoads
from ballast.records.weighing import Fitted, Visit

HistoryFigure = Literal["total", "front", "left", "RF+LR", "LF+RR"]
Told = Literal["changed", "not told apart", "not compared"]
"""A change beyond what the pads can tell, one within it, and one between states that cannot be brought together."""


class Visited(Record):
    """One visit: in which state the car was, and what it weighed."""

    name: Name
    """the day; numbered where two visits are of one day"""
    visit: Visit
    """[weigh_in] of its file"""
    fuel: tuple[Fuel, ...]
    """what was in the tanks"""
    substitute: Substitute | None
    """a mass that stood in for the driver"""
    fitted: tuple[Fitted, ...]
    """plates that were on board"""
    settlings: int
    """how many there were"""
    measured: CaseLoads
    """the mean of the settlings"""


class Difference(Record):
    """Something known that one state has more, or less, than another."""

    what: str
    """in words"""
    mass: Mass
    """negative where it has gone"""


class FigureChange(Dimensioned):
    """One figure at two visits."""

    figure: HistoryFigure
    before: Value
    """at the earlier visit, as read"""
    by_sums: MaybeValue
    """what the known differences make of it; null where they are not known"""
    now: Value
    """at the later visit, as read"""
    left_over: MaybeValue
    """now less before less by_sums: what no known difference explains"""
    within: MaybeValue
    """how far that may be off, in 95 of 100 cases"""
    told: Told


class OtherPads(Record):
    """Pads that may be the reason of a change: it looks like this, and not like a change of the car."""

    exchanged: tuple[tuple[Corner, Corner], ...] = ()
    """pads that would give the earlier visit back, if each stood where the other did"""
    one_pad: Corner | None = None
    """or one pad that by itself makes the change"""
    gain: Number | None = None
    """what that pad showed of what stood on it, by the earlier visit; near 0 it is dead"""


class Step(Record):
    """From one visit to the next."""

    since: Name
    """name of the earlier visit"""
    until: Name
    """name of the later one"""
    differences: tuple[Difference, ...]
    """what is known to differ, and was taken out by sums"""
    not_known: tuple[str, ...]
    """what differs and could not be taken out, or was taken as alike because nothing is said, in words"""
    figures: tuple[FigureChange, ...]
    other_pads: tuple[OtherPads, ...] = ()
    """best explanation first"""


class PooledRepeat(Record):
    """How well one settling repeats, from the settlings of all visits: standard deviations."""

    settlings: int
    """of all visits together"""
    degrees_of_freedom: int
    """settlings less visits; 0 where the figures are assumed"""
    factor: Number
    """factor to a 95 % interval: Student's for these degrees of freedom"""
    total: Mass
    front_percent: Share
    left_percent: Share
    diagonal_percent: Share
    rear_pair: Mass


class Trend(Dimensioned):
    """A figure that follows a straight line, in the state of the newest visit."""

    figure: HistoryFigure
    per_day: Value
    within_per_day: Value
    """how far that may be off, in 95 of 100 cases"""
    days: int
    """from the first of these visits to the last"""


class History(Record):
    """The answer of `weigh` with several weigh-ins, oldest first; in the car file's units."""

    units: UnitsTable
    car: str
    visits: tuple[Visited, ...]
    steps: tuple[Step, ...]
    """from each visit to the next"""
    repeat: PooledRepeat
    unlike: tuple[Name, ...] = ()
    """visits whose settlings scatter far more than the rest"""
    trend_over: tuple[Name, ...] = ()
    """visits in which a line was looked for; empty where there are too few that can be compared"""
    trends: tuple[Trend, ...] = ()
    """the figures that follow one"""
    findings: tuple[Finding, ...] = ()
    """the rulebook's limits for the car as it was at the newest visit, where a rulebook was given"""
