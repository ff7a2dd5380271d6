"""What the user aims at, and in which order the wishes count."""

from typing import Annotated, Literal, get_args

from pydantic import Field

from ballast.corners import Diagonal
from ballast.errors import Complaint, InputError, did_you_mean
from ballast.records.crew import FuelPoint
from ballast.records.quantities import (
    Count,
    Factor,
    MassDifference,
    Name,
    NotNegativeMass,
    Number,
    Percent,
    PositiveFactor,
    PositiveMass,
    PositivePoints,
    Record,
)

WishName = Literal["balance", "mass", "stop", "changes", "pieces", "height", "yaw", "aim"]

BroughtBy = Literal["ballast", "platforms"]

DEFAULT_ORDER: tuple[WishName, ...] = ("balance", "stop", "mass", "changes", "height", "aim")


class Aim(Record):
    """[targets.front], [targets.rear] or [targets.left]: a percentage of the total and how far off it may be."""

    aim: Percent
    """the percentage wanted"""
    within: PositivePoints
    """how many points to either side are still right"""
    weight: PositiveFactor = 1.0
    """how much a point outside this band counts against a point outside another"""


class DiagonalAim(Aim):
    """[targets.diagonal]: the share of two named corners, and what is meant to bring it there."""

    corners: Diagonal
    """the two corners whose share is meant: "RF+LR" or "LF+RR" """
    by: BroughtBy = "ballast"
    """whether plates are to bring it there, or the spring platforms afterwards"""


class RearPairAim(Record):
    """[targets.rear_pair]: left rear minus right rear, as a mass."""

    aim: MassDifference
    """LR minus RR wanted"""
    within: PositiveMass
    """how far off is still right"""
    weight: PositiveFactor = 1.0
    """how much a point outside this band counts against a point outside another"""
    by: BroughtBy = "ballast"
    """whether plates are to bring it there, or the spring platforms afterwards"""


class Targets(Record):
    """[targets]: the balance wanted: front or rear, left, and the diagonal or the rear pair; any may be left out."""

    front: Aim | None = None
    """share of the front axle"""
    rear: Aim | None = None
    """share of the rear axle, instead of front"""
    left: Aim | None = None
    """share of the left side"""
    diagonal: DiagonalAim | None = None
    """share of one diagonal"""
    rear_pair: RearPairAim | None = None
    """left rear minus right rear, instead of the diagonal"""
    total: PositiveMass | None = None
    """total wanted when no rulebook sets a minimum"""


class Loss(Record):
    """[[losses]]: mass that the car loses before it is weighed officially and that no state of the car models."""

    name: Name
    """tyre wear, driver, fluids, bodywork, fuel sample"""
    mass: NotNegativeMass
    """how much"""


class Margin(Record):
    """[margin]: what is carried over the class minimum."""

    total: NotNegativeMass = 0.0
    """mass over the class minimum that is kept in hand"""
    uncertainties: Factor = 2.0
    """standard uncertainties kept in hand besides: of the total, and of every axle load and share with a limit"""


class Wishes(Record):
    """[wishes]: the order in which wishes count, and how finely each is settled before the next."""

    order: Annotated[tuple[WishName, ...], Field(min_length=1)] = DEFAULT_ORDER
    """the wishes, first the one that counts most"""
    balance_at: Annotated[tuple[FuelPoint, ...], Field(min_length=1)] = ("balance",)
    """points of the stint at which the targets are asked for: "start", "balance", "flag" """
    crew: Literal["worst", "by driving time"] = "worst"
    """which balance counts where there are several states: the worst of them, or their mean by driving time"""
    most_changes: Count | None = None
    """greatest number of plates put on, taken off or moved"""
    over_required: NotNegativeMass = 2.0
    """mass over the required total that a plan may use for balance"""
    guard_factor: Factor | None = None
    """standard uncertainties by which each band is narrowed; without it, Student's factor for 95 % is used"""
    balance_resolution: PositivePoints = 0.0005
    """points of balance too small to matter"""
    mass_resolution: PositiveMass = 0.1
    """mass too small to matter"""
    seconds: Annotated[Number, Field(gt=0, le=86_400)] = 10.0
    """time limit for the whole plan, in seconds"""


def order_of(words: str | None) -> tuple[WishName, ...] | None:
    """Wishes in the order they are named, "balance,changes,mass". Raises InputError for a word that is no wish."""
    if words is None:
        return None
    named, known = [word.strip() for word in words.split(",")], get_args(WishName)
    commas = f"put commas between, and no spaces: {','.join(words.split())}."
    found = [
        Complaint("is no wish", commas if " " in word else did_you_mean(word, known), "--order", f'"{word}"')
        for word in named
        if word not in known
    ]
    if len(set(named)) < len(named) and not found:
        found.append(Complaint("names a wish twice", "name each once.", "--order", f'"{words}"'))
    if found:
        raise InputError(found)
    return tuple(wish for word in named for wish in known if wish == word)
