"""What the scales said, worked out: loads, percentages, centre of gravity, and how well they repeat."""

from typing import Annotated, Literal

from pydantic import Field

from ballast.corners import Corner, Diagonal
from ballast.records.finding import Finding
from ballast.records.pads import Correction
from ballast.records.quantities import Dimensioned, Length, Mass, Number, Record, Share, UnitsTable, Value
from ballast.records.suspension import Bars

ToDo = Literal[
    "light pad",
    "frozen pad",
    "read again",
    "try all pads",
    "pack the pads",
    "level the pads",
    "three settlings",
    "settle again",
    "prove the pads",
]
"""What has to be done before anybody plans on a weighing, in the order of its worth."""
Figure = Literal["total", "front", "left", "diagonal"]


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


class Within(Record):
    """How far figures may be off, or may be allowed to be."""

    total: Mass
    front_percent: Share
    left_percent: Share
    diagonal_percent: Share


class OutlyingSettling(Dimensioned):
    """A settling that stands apart from the others in one figure."""

    settling: int
    """which, counted from 1; turned ones come last"""
    figure: Figure
    value: Value
    """what it showed"""
    others: Value
    """mean of what the others showed"""


class PadProved(Record):
    """What one pad showed of a known mass."""

    corner: Corner
    gain: Number
    """what it shows of what stands on it; against the mean of all four where the mass was not known"""
    uncertain: Number
    """standard uncertainty of that"""
    applied: bool
    """true where the readings of this pad were divided by it"""


class Proof(Record):
    """Known masses on the pads."""

    known: bool
    """false where the mass was not known, so that pads are compared with each other alone"""
    mass: Mass | None
    """the mass, or the greatest of several"""
    pads: tuple[PadProved, ...]
    """the pads that were tried"""


class Packed(Record):
    """Packers under the pads, and what is left then."""

    LF: int
    RF: int
    LR: int
    RR: int
    out_of_plane: Length
    """how far the LF pad is then above the plane of the other three"""
    diagonal_percent: Share | None
    """points of RF+LR that makes; none without the rates of the springs"""
    left_up: Number
    """slope across then, left up is positive, in mm per metre"""
    front_up: Number
    """slope along the car then, front up is positive, in mm per metre"""


class PadError(Record):
    """What one packer too much under the LF pad does, with the bars in one state."""

    bars: Bars
    load: Mass
    """on LF"""
    diagonal_percent: Share
    """points on RF+LR"""


class Unevenness(Record):
    """Pads out of level: what it does to the readings, and how to pack them."""

    out_of_plane: Length
    """how far the LF pad is above the plane of the other three"""
    left_up: Number
    """slope across, left up is positive, in mm per metre"""
    front_up: Number
    """slope along the car, front up is positive, in mm per metre"""
    along_measured: bool
    """false where levels were given without one along the car"""
    warp_load: Mass | None
    """what the warp of the pads put on LF, and was taken off the readings; none without the rates of the springs"""
    warp_points: Share | None
    """the same in points of RF+LR"""
    slope_left_points: Share
    """points of left that the slope took or gave, for a centre of gravity at `height`"""
    slope_front_points: Share
    """points of front likewise"""
    height: Length
    """height of the centre of gravity that these points are for"""
    slope_corrected: bool
    """true where that height is the car file's, and the readings were corrected; else it is one to reckon with"""
    packer: Length
    """thickness of one packer"""
    packing: Packed | None
    """fewest packers that bring the pads into one plane; none where it would take too many"""
    levelling: Packed | None
    """packers that bring them level as well, where the slope is worth it"""
    pad_error: tuple[PadError, ...]
    """what one packer does, with bars as weighed and, where there are bars, the other way"""


class Turned(Record):
    """A second set with car and pads turned about, against the first."""

    settlings: tuple[int, int]
    """how many in each set, as stood first"""
    first: CaseLoads
    turned: CaseLoads
    scatter: tuple[Within, Within]
    """standard uncertainty of the mean of each set"""
    bias: Within
    """half of what the first set shows more than the turned one: what the site does, and the mean is free of"""
    bias_uncertain: Within
    """half of the 95 % interval of that"""


class Weighed(Record):
    """The answer of `weigh`."""

    units: UnitsTable
    car: str
    measured: CaseLoads
    """the mean of the settlings, corrected"""
    settlings: tuple[CaseLoads, ...]
    """each by itself, corrected; turned ones last"""
    spread: Spread
    repeat: Repeat
    diagonal_aims: DiagonalAims
    findings: tuple[Finding, ...] = ()
    """the rulebook's limits for the car as weighed, where a rulebook was given"""
    corrected: tuple[Correction, ...] = ()
    """what the readings were corrected for"""
    correction: CornerLoads | None = None
    """corrected mean less the mean as the pads showed it, where there is a correction"""
    uncertain: Within
    """half of the 95 % interval: settlings, pads and corrections together"""
    pads_known: bool
    """false where the weigh-in says nothing of how good the pads are, so that this is about the settlings alone"""
    wanted: Within
    """what that has to be within to plan on: the targets' bands, else what is usual"""
    to_do: tuple[ToDo, ...] = ()
    """what to do first, the most worth first; empty where this is good enough to plan on"""
    settlings_needed: int | None = None
    """how many settlings it takes with this scatter, where more of them would do; none where 12 would not"""
    light: Corner | None = None
    """a pad that showed less than a third of any other"""
    frozen: tuple[Corner, ...] = ()
    """pads that showed the same every time while the others moved"""
    outlying: tuple[OutlyingSettling, ...] = ()
    """settlings that stand apart"""
    proof: Proof | None = None
    """known masses on the pads"""
    unevenness: Unevenness | None = None
    """heights or levels of the pads"""
    turned: Turned | None = None
    """the second set, turned about"""
    bars: Bars | None = None
    """bars at the weigh-in, where the car file has one"""
    checklist: bool = False
    """true where the file has a checklist"""
    unticked: tuple[str, ...] = ()
    """what the checklist does not tick and nothing else in the file shows"""
