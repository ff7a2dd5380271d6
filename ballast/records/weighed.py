"""What the scales said, worked out: loads, percentages, centre of gravity, and how well they repeat."""

from typing import Annotated

from pydantic import Field

from ballast.corners import Diagonal
from ballast.records.finding import Finding
from ballast.records.quantities import Length, Mass, Number, Record, Share, UnitsTable


class CornerLoads(Record):
    """The load on each corner, as a mass."""

    LF: Mass
    RF: Mass
    LR: Mass
    RR: Mass


class DiagonalShares(Record):
    """Both diagonals by name; together 100 %."""

    rf_lr: Annotated[Share, Field(alias="RF+LR")]
    lf_rr: Annotated[Share, Field(alias="LF+RR")]

    def of(self, diagonal: Diagonal) -> float:
        """Share of one diagonal. [-]"""
        return self.rf_lr if diagonal == "RF+LR" else self.lf_rr


class CentreOfGravity(Record):
    """Where the centre of gravity is; the height only when the car file gives it."""

    behind_front_axle: Length
    left_of_centre: Length
    above_ground: Length | None


class CaseLoads(Record):
    """One state of the car on its four wheels."""

    name: str
    corner_loads: CornerLoads
    total: Mass
    front_percent: Share
    rear_percent: Share
    left_percent: Share
    diagonal_percent: DiagonalShares
    rear_pair: Mass
    """LR minus RR"""
    centre_of_gravity: CentreOfGravity


class Repeat(Record):
    """How well the total and each percentage repeat from settling to settling."""

    settlings: int
    """how many there were"""
    assumed: bool
    """true when one settling says nothing of its scatter and the figures below are assumed"""
    factor: Number
    """factor from standard uncertainty to a 95 % interval, Student's for this many settlings"""
    total: Mass
    """standard uncertainty of the mean total"""
    front_percent: Share
    """standard uncertainty of the mean front (and rear) percentage, in points"""
    left_percent: Share
    """standard uncertainty of the mean left percentage, in points"""
    diagonal_percent: Share
    """standard uncertainty of the mean diagonal percentage, in points"""
    rear_pair: Mass
    """standard uncertainty of the mean of LR minus RR"""


class Spread(Record):
    """Greatest less least over the settlings."""

    total: Mass
    front_percent: Share
    left_percent: Share
    diagonal_percent: Share


class DiagonalAims(Record):
    """Three aims that compete for the diagonal where left is not 50 %, each as the car stands."""

    half: DiagonalShares
    """half on each diagonal"""
    same_front_share: DiagonalShares
    """the left wheels split front to rear as the right wheels do"""
    equal_front_wheels: DiagonalShares
    """as much on the left front wheel as on the right front one"""


class Weighed(Record):
    """The answer of `weigh`."""

    units: UnitsTable
    car: str
    measured: CaseLoads
    """the mean of the settlings"""
    settlings: tuple[CaseLoads, ...]
    spread: Spread
    repeat: Repeat
    diagonal_aims: DiagonalAims
    findings: tuple[Finding, ...] = ()
    """the rulebook's limits for the car as weighed, where a rulebook was given"""
