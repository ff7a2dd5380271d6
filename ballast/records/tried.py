"""What a file of trials told of the springs."""

from datetime import date
from typing import Literal

from ballast.corners import Corner
from ballast.records.quantities import Length, Mass, Number, Record, Share, UnitsTable
from ballast.records.suspension import Bars
from ballast.records.trials import TrialMass

ShareVerdict = Literal["tells", "cannot tell", "does not fit", "impossible"]
Worth = Literal["worth doing", "rough", "not worth doing"]


class LeversSeen(Record):
    """What the pads saw of a trial that no spring has a say in."""

    total: Mass
    """how much more the car weighed"""
    total_told: Mass
    """how much more it should have, by the file"""
    total_uncertain: Mass
    """standard uncertainty of their difference"""
    aft_off: Length
    """how much further aft the pads put it than the file does; for turns, how far the centre of gravity moved"""
    left_off: Length
    """the same to the left"""
    aft_uncertain: Length
    """standard uncertainty of that"""
    left_uncertain: Length
    """standard uncertainty of that"""


class WeightTried(Record):
    """One trial with weights."""

    name: str
    masses: tuple[TrialMass, ...]
    settlings: int | None
    """none before it is weighed"""
    levers: LeversSeen | None
    """none before it is weighed"""
    front_roll_share: Share | None
    """from this trial alone, of a car alike left and right; none on the centre line or before it is weighed"""
    uncertain: Share | None
    """standard uncertainty of that, or what it will be; none on the centre line"""
    off: Number | None
    """what it is off the fit of all of them, in standard uncertainties of that; none where nothing is left over"""


class ShareFound(Record):
    """The front share of the roll stiffness of a car alike left and right."""

    front_roll_share: Share
    uncertain: Share
    """standard uncertainty"""
    chance: Number | None
    """chance that weights fit each other as badly as these by settling alone; none with one weight"""
    verdict: ShareVerdict
    in_car_file: Share | None
    """what the car file says now"""
    by_springs: Share | None
    """what the springs of the car file come to, bars as in the trials"""
    more_at_front: Share
    """how much more it is for a mass at the front axle, and less at the rear axle, since the chassis twists; 0 where
    that is not known"""


class CoefficientsFound(Record):
    """Three numbers for any car, from weights at three or more places: what the car file calls learned."""

    at_front_axle: Share
    at_rear_axle: Share
    to_the_left: Share
    uncertain: tuple[Share, Share, Share]
    """standard uncertainty of each, alone"""
    within: tuple[Share, Share, Share]
    """half widths for the car file, wide enough that they may be taken as independent of each other"""
    chance: Number | None
    """chance that weights fit as badly as these by settling alone; none with three"""
    alike_chance: Number
    """chance that a car alike left and right looks as unlike as this one by settling alone"""
    unlike: bool
    """whether that is less than 5 %"""
    verdict: ShareVerdict


class TurnsTried(Record):
    """One trial with turns."""

    corner: Corner
    turns: Number
    settlings: int | None
    levers: LeversSeen | None


class PerTurn(Record):
    """What one turn up of a platform puts on its own corner."""

    corner: Corner
    load: Mass | None
    """none before it is weighed"""
    uncertain: Mass
    """standard uncertainty, or what it will be"""
    chance: Number | None
    """chance that several turnings fit each other as badly by settling alone; none with one"""
    by_springs: Mass | None
    """what the springs of the car file come to, bars as in the trials"""
    by_springs_uncertain: Mass | None
    """standard uncertainty of that, from rates_within"""
    verdict: ShareVerdict | Worth


class Foreseen(Record):
    """What so many settlings of each weighing, before and after, would give."""

    settlings: int
    uncertain: Share
    """standard uncertainty of the front roll share"""


class WouldTell(Record):
    """What would bring the front roll share within the points wanted."""

    wanted: Share
    """half of a 95 % interval"""
    times: Number | None
    """how many times the masses, at the same places; none where no mass would"""
    mass: Mass | None
    """the heaviest single mass of the trials, so many times"""
    settlings: int | None
    """how many settlings of each weighing, with the masses as they are; none where a dozen would not"""


class ForCarFile(Record):
    """What goes into the car file, in its words; what is none stays as it is."""

    front_roll_share: Share | None = None
    front_roll_share_within: Share | None = None
    learned: CoefficientsFound | None = None
    front_load_per_turn: tuple[Mass, Mass] | None = None
    rear_load_per_turn: tuple[Mass, Mass] | None = None
    measured_with_bars: Bars | None = None

    @property
    def empty(self) -> bool:
        """Whether there is nothing to write."""
        return not (
            self.front_roll_share is not None
            or self.learned is not None
            or self.front_load_per_turn is not None
            or self.rear_load_per_turn is not None
        )


class CountedOn(Record):
    """What the uncertainties come from."""

    settlings_before: int
    own_readings: bool
    """whether the file of trials has readings of its own from before"""
    scatter: Mass
    """standard deviation from one settling to the next, of the warp alone: of what it moves at the left front"""
    degrees: int
    """degrees of freedom behind it; 0 where it is assumed"""
    resolution: Mass
    """step of the pads"""
    resolution_as_written: bool
    """whether that is taken from the digits written, since [pads] does not say"""
    mass_within: Mass
    place_within: Length
    turns_within: Number


class Tried(Record):
    """The answer of `trial`, in the car file's units."""

    units: UnitsTable
    car: str
    date: date
    bars: Bars | None
    """as in the trials; none where the car file knows of no bar and nobody says"""
    weighed: bool
    """false where nothing was read yet, and the question is whether it is worth doing"""
    weights: tuple[WeightTried, ...]
    share: ShareFound | None
    """none without weights, or before they are weighed"""
    coefficients: CoefficientsFound | None
    """where three or more places were tried that are not on one line"""
    worth: Worth | None
    """of weights that are not weighed yet"""
    foreseen_now: Share
    """standard uncertainty that the weights give, or will give, the front roll share; 0 without weights"""
    foreseen: tuple[Foreseen, ...]
    """where nothing was read yet, or it cannot tell: what more settlings would give"""
    would_tell: WouldTell | None
    """where the interval is wider than wanted"""
    turns: tuple[TurnsTried, ...]
    per_turn: tuple[PerTurn, ...]
    for_car_file: ForCarFile
    counted_on: CountedOn
    tells: bool
    """whether everything asked was, or can be, told: exit status 1 where not"""
