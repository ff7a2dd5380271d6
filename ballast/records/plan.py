"""The plan: what to bolt in, what the car will weigh then, and how far the answer can be trusted."""

from typing import Annotated, Literal

from pydantic import Field

from ballast.records.crew import FuelPoint
from ballast.records.finding import Finding
from ballast.records.quantities import (
    Dimensioned,
    Length,
    Mass,
    Name,
    Number,
    Points,
    Record,
    Share,
    UnitsTable,
    Value,
)
from ballast.records.question import Question
from ballast.records.state import Material
from ballast.records.turns import PlatformsAfter
from ballast.records.weighed import CaseLoads, Repeat
from ballast.records.wishes import WishName

Outcome = Literal[
    "proved best", "best found in the time", "best found when stopped", "impossible", "no answer in the time"
]
Limit = Literal[
    "stock",
    "capacity",
    "stack height",
    "pieces",
    "plates that stay",
    "changes",
    "required total",
    "wheels on the ground",
    "ballast total",
    "ballast piece",
    "ballast material",
    "ballast zone",
    "ballast stack",
    "piece fixing",
    "ballast fixing",
    "bolt strength",
    "front axle",
    "right side",
    "left share",
    "rear share",
]
"""The families of limits a plan keeps."""
Figure = Literal["front", "rear", "left", "RF+LR", "LF+RR", "rear pair"]


class WishResult(Dimensioned):
    """How far one wish was fulfilled. Numbers are in points, a mass, a length, or plain counts."""

    name: str
    value: Value
    """what the plan reaches; less is better"""
    bound: Value
    """no plan that keeps the wishes before this one can do better than this"""
    resolution: Value
    """differences below this were not looked at"""
    hold: Value
    """what later wishes were not allowed to exceed"""
    outcome: Outcome


class Term(Record):
    """One term of the required total."""

    name: str
    mass: Mass


class Requirement(Record):
    """The required total in one state of the car, term by term, and the window a plan's total must lie in."""

    case: str = "as weighed"
    """the state"""

    terms: tuple[Term, ...]
    required: Mass
    greatest: Mass
    """upper end of the window"""


class StandingPlates(Record):
    """Plates of one kind that stand on one mount when the work is done."""

    mount: Name
    plate: Name
    count: int
    driver: Name | None = None
    """whose they are, on a mount that changes with the driver"""


class Change(Record):
    """A count that differs from what was fitted."""

    mount: Name
    plate: Name
    before: Annotated[int, Field(alias="from")]
    after: Annotated[int, Field(alias="to")]
    driver: Name | None = None
    """whose they are, on a mount that changes with the driver"""


class TargetResult(Dimensioned):
    """One target: where the car was, where the plan brings it, and what was asked for."""

    case: str = "as weighed"
    """the state of the car"""
    figure: Figure
    by: Literal["ballast", "platforms"]
    aim: Value
    within: Value
    guard: Value
    """taken off `within` on both sides in planning, for what the weighing cannot tell"""
    before: Value
    after: Value
    miss_points: Points
    """distance outside the narrowed band, in points of the total"""
    outside_points: Points
    """distance outside the band as the user gave it, in points of the total"""
    inside: bool
    """whether the plan lies inside the band as the user gave it"""
    uncertainty: Value
    """standard uncertainty of `after` at a re-weigh on the same pads"""
    chance: Number
    """chance that the re-weigh lands inside the band as the user gave it"""


class PlanPoint(Record):
    """A place seen from above; a coordinate that no target asks for is null."""

    behind_front_axle: Length | None
    left_of_centre: Length | None


class CentreEllipse(Record):
    """An ellipse that holds the centre of gravity, seen from above, with a chance of 95 %."""

    longer: Length
    """longer half axis"""
    shorter: Length
    """shorter half axis"""
    turned: Number
    """angle of the longer one from straight back, towards the left, in degrees"""


class Uncertain(Record):
    """Standard uncertainties of what the plan foresees, the pads' own errors included."""

    total: Mass
    front_percent: Share
    left_percent: Share
    diagonal_percent: Share
    rear_pair: Mass
    chance_under_minimum: Number | None
    """chance that the official total is under the minimum that asks for most; null without one"""
    centre: CentreEllipse | None = None
    """about the centre of gravity; null in plans kept by earlier versions"""


class PlannedCase(CaseLoads):
    """One state of the car with the plan's plates standing, and what is asked of it."""

    driver: Name | None = None
    fuel: FuelPoint | None = None
    legal: bool = True
    """whether the required total is asked for in this state"""
    balance: bool = True
    """whether the targets are asked for in this state"""
    required: Mass | None = None
    """the required total, where it is asked for"""
    uncertain: Uncertain


class Stop(Record):
    """What one change of drivers changes, at the same fuel; the other way round, the opposite."""

    leaving: Name
    entering: Name
    plates: int
    """plates to handle; one moved from mount to mount counts once"""
    mass: Mass
    """change of ballast and hardware on the mounts that change"""
    total: Mass
    """change of the car's total, the drivers included"""
    front_percent: Points
    left_percent: Points
    diagonal_percent: Points
    """change of RF+LR"""


class Carried(Record):
    """What the rulebook has one driver carry."""

    driver: Name
    mass: Mass


class Reach(Record):
    """Where the ballast as a whole would have to be, and whether the mounts reach that far."""

    mass: Mass
    """ballast that may be moved, with its hardware"""
    needed: PlanPoint
    """its centroid for the aims"""
    inside: bool
    """whether these mounts, filled as if plates could be cut to any size, put it there"""
    planned: PlanPoint
    """its centroid in the plan"""
    outline: tuple[tuple[Length, Length], ...]
    """corners of the region its centroid can reach: behind the front axle, left of the centre line"""


class Tolerance(Record):
    """Where the centre of gravity has to be for the bands, as ranges; null where no target asks."""

    behind_front_axle: tuple[Length, Length] | None
    left_of_centre: tuple[Length, Length] | None
    aim: PlanPoint


KnownBy = Literal["assumption", "roll share", "trial weights", "springs"]


class RollShare(Record):
    """Front share of the roll stiffness behind the diagonal, and where it comes from."""

    value: Share
    low: Share
    high: Share
    known_by: KnownBy
    """a range assumed for any car; [suspension] front_roll_share; [suspension.learned]; or the rates of the springs"""


class Give(Dimensioned):
    """How far one limit has to give way."""

    limit: Limit
    subject: str
    """the mount, plate or corner it is about"""
    was: Value
    to: Value


class Relaxation(Record):
    """Limits that have to give way together, and the smallest change of them found to be enough."""

    gives: tuple[Give, ...]


class Impossible(Record):
    """Why there is no plan."""

    greatest_total: Mass | None
    """the most the car can weigh with these plates and mounts; null when no total is possible, or time ran out"""
    no_total: bool
    """true when the limits contradict each other whatever the total"""
    conflicts: tuple[Limit, ...]
    """limits of which each, given way alone, would make a plan possible"""
    relaxations: tuple[Relaxation, ...] = ()
    """for each of them the smallest change; where no single one helps, pairs"""
    not_settled: tuple[Limit, ...] = ()
    """limits for which the time ran out"""


class FigureRange(Dimensioned):
    """What legal plans can reach of one figure."""

    figure: Figure
    low: Value
    high: Value


class NewMount(Record):
    """Where one more mount would bring front and left to their aims."""

    mass: Mass
    """ballast moved to it"""
    taken_from: Name
    """the mount it is moved from"""
    behind_front_axle: Length
    left_of_centre: Length


class Denser(Record):
    """The plates of a plan in a denser material: same mass, outline and mounts."""

    material: Material
    """such as "lead" """
    lower: Length
    """how much lower the centre of gravity of the car would be"""
    mount: Name
    """where the tallest stack stands"""
    stack: Length
    """how tall it is"""
    stack_then: Length
    """how tall it would be"""


class Plan(Record):
    """The answer of `plan`."""

    units: UnitsTable
    outcome: Outcome
    impossible: Impossible | None = None
    wishes: tuple[WishResult, ...] = ()
    wishes_left_out: tuple[str, ...] = ()
    """wishes that could not be asked for: balance and aim without a target, height where a mount has none"""
    balance_miss_points: Points | None = None
    bound_points: Points | None = None
    requirement: Requirement
    """in the state that asks for most over what the car weighs bare"""
    requirements: tuple[Requirement, ...] = ()
    """of every state in which a total is required"""
    required_total: Mass
    ballast_total: Mass | None = None
    """mass of all plates standing afterwards, without their hardware; with a crew, the first driver's among them"""
    fixing_total: Mass | None = None
    """mass of the hardware of the mounts in use"""
    fit: tuple[StandingPlates, ...] = ()
    changes: tuple[Change, ...] = ()
    moves: int | None = None
    """plates put on, taken off or moved; a plate moved counts once"""
    before: CaseLoads
    """the first of the cases with the plates that stand now, without ballast that the rules are still to put aboard"""
    cases: tuple[PlannedCase, ...] = ()
    driver_ballast: tuple[Carried, ...] = ()
    """what the rulebook has each driver carry"""
    stops: tuple[Stop, ...] = ()
    """what the changes of drivers change"""
    range: tuple[CaseLoads, ...] = ()
    """the same plan under the least and the greatest front share of roll stiffness"""
    roll_share: RollShare
    repeat: Repeat
    targets: tuple[TargetResult, ...] = ()
    reach: Reach | None = None
    ranges: tuple[FigureRange, ...] = ()
    """what legal plans can reach, when a target is missed"""
    new_mount: NewMount | None = None
    """where a mount is wanting, when the mounts do not reach"""
    tolerance: Tolerance | None = None
    platforms: PlatformsAfter | None = None
    """what is left to the spring platforms; null where neither springs nor turns of the platforms are known"""
    denser: tuple[Denser, ...] | None = None
    """what denser plates would save in the first of the cases; null where the height of the centre of gravity, or
    thickness or material of a plate, is not known"""
    findings: tuple[Finding, ...] = ()
    seconds: Number
    """time spent in the solver"""

    @property
    def uncertain(self) -> Uncertain | None:
        """Of the first case."""
        return self.cases[0].uncertain if self.cases else None

    @property
    def legal(self) -> bool:
        """A plan was found and the scrutineer found no limit broken."""
        return bool(self.cases) and all(finding.verdict != "fail" for finding in self.findings)


class Alternative(Record):
    """Another plan for the same question, and what tells it from the first."""

    name: Name
    """what it is best at"""
    order: tuple[WishName, ...]
    """the order of wishes that gives it"""
    miss_points: Points | None
    """the worst distance outside the bands planned for; null without targets"""
    aim_points: Points | None
    """the sum of the distances from the aims, over the states the mean; null without targets"""
    over_required: Mass
    """mass over the required total; with several, the mean"""
    plates: int
    """plates on the car, all drivers' together"""
    moves: int
    """plates to handle"""
    raised: Length | None
    """how much the ballast raises or lowers the centre of gravity from the ground up; null without heights"""
    yaw: Number
    """yaw inertia the ballast adds about the bare car's centre of gravity [kg m2]"""
    plan: Plan


class CurvePoint(Record):
    """The best balance that so much mass over the required total can buy."""

    over_required: Mass
    miss_points: Points
    """worst distance outside the bands planned for"""
    bound_points: Points
    """no plan within this mass is below it"""


class Choices(Record):
    """What else could be done: plans to choose from, and what mass buys."""

    units: UnitsTable
    alternatives: tuple[Alternative, ...]
    """none of them is as good as another in everything and better in something"""
    curve: tuple[CurvePoint, ...] = ()
    """from the least mass up; empty without targets"""
    not_tried: tuple[str, ...] = ()
    """what there was no time for"""


class Answer(Record):
    """A question and its plan: what --json prints and --save keeps."""

    question: Question
    plan: Plan
    choices: Choices | None = None
    """other plans, where they were asked for"""
