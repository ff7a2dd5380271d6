"""The kinds of number a record holds. Each knows its dimension, so units are converted once, at the edge of a file.

Validation and dumping take the file's `Units` as pydantic context. Without a context numbers are taken as they stand:
kg, m and shares from 0 to 1.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    SerializationInfo,
    SerializerFunctionWrapHandler,
    Strict,
    StringConstraints,
    ValidationInfo,
    model_serializer,
)
from pydantic_core import PydanticCustomError

from ballast.units import Dimension, LengthUnit, MassUnit, SpringUnit, TwistUnit, Units, VolumeUnit


class Record(BaseModel):
    """A frozen table of a file or an answer: unknown keys, infinities and NaN are refused."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        populate_by_name=True,
        validate_default=False,
    )

    def replace(self, **changes: Any) -> Self:
        """A new record with some fields changed, checked again like any other."""
        return type(self).model_validate({name: getattr(self, name) for name in type(self).model_fields} | changes)


def _inward(dimension: Dimension) -> AfterValidator:
    def convert(value: float, info: ValidationInfo) -> float:
        return info.context.inside(value, dimension) if isinstance(info.context, Units) else value

    return AfterValidator(convert)


def _with_unit(dimension: Literal["volume", "spring", "twist"]) -> AfterValidator:
    """Refuse a number whose unit the file does not say."""

    def check(value: float, info: ValidationInfo) -> float:
        if isinstance(info.context, Units) and getattr(info.context, dimension) is None:
            raise PydanticCustomError("no_unit", "has no unit", {"dimension": dimension})
        return value

    return AfterValidator(check)


def _outward(dimension: Dimension) -> PlainSerializer:
    def convert(value: float, info: SerializationInfo) -> float:
        return info.context.outside(value, dimension) if isinstance(info.context, Units) else value

    return PlainSerializer(convert, return_type=float)


def _plausible(low: float, high: float, dimension: Literal["length", "mass", "spring"] = "length") -> AfterValidator:
    """Refuse a size that nothing on a car has; nearly always the unit is the mistake."""

    def check(value: float, info: ValidationInfo) -> float:
        if low <= value <= high:
            return value
        units = info.context if isinstance(info.context, Units) else Units()
        raise PydanticCustomError(
            "implausible",
            "{value} is not a {dimension} this can have ({low} to {high})",
            {
                "dimension": "rate" if dimension == "spring" else dimension,
                "value": f"{units.outside(value, dimension):.10g} {units.name(dimension)}",
                "low": f"{units.outside(low, dimension):.5g} {units.name(dimension)}",
                "high": f"{units.outside(high, dimension):.5g} {units.name(dimension)}",
                "fix": f'check the number, and that [units] {dimension} = "{units.name(dimension)}" is the unit '
                "it was measured in.",
            },
        )

    return AfterValidator(check)


def _percent(value: float, info: ValidationInfo) -> float:
    """Refuse 0.52 for 52 %, and what cannot be a percentage at all."""
    if not isinstance(info.context, Units):
        return value
    if 0 < value < 1:
        raise PydanticCustomError(
            "ballast",
            "looks like a share, and percentages are written in percent",
            {"fix": f"write {100 * value:g}."},
        )
    if not 0 < value < 100:
        raise PydanticCustomError(
            "ballast",
            "must lie between 0 and 100 percent",
            {"fix": "write a percentage of the car's total, like 51.5."},
        )
    return value


def _tankful(value: float) -> float:
    """Refuse more fuel than a car carries."""
    if value > 1000:
        raise PydanticCustomError(
            "ballast", "is more than any car's tank holds", {"fix": "check the number, and [units] volume."}
        )
    return value


def _at_most_all(value: float) -> float:
    """Refuse more points than there are."""
    if value > 1:
        raise PydanticCustomError(
            "ballast", "is more than 100 points", {"fix": "write points of the car's total, like 0.5."}
        )
    return value


Number = Annotated[float, Strict()]
Count = Annotated[int, Strict(), Field(ge=0, le=10_000)]
Factor = Annotated[Number, Field(ge=0, le=1000)]
PositiveFactor = Annotated[Number, Field(gt=0, le=1000)]
Mass = Annotated[Number, _inward("mass"), _outward("mass")]
PositiveMass = Annotated[Mass, Field(gt=0), _plausible(0.0, 20_000.0, "mass")]
NotNegativeMass = Annotated[Mass, Field(ge=0), _plausible(0.0, 20_000.0, "mass")]
MassDifference = Annotated[Mass, _plausible(-20_000.0, 20_000.0, "mass")]
Length = Annotated[Number, _inward("length"), _outward("length")]
Volume = Annotated[
    Number, Field(ge=0), _with_unit("volume"), _inward("volume"), _outward("volume"), AfterValidator(_tankful)
]
"""Litres inside."""
PositiveLength = Annotated[Length, Field(gt=0)]
Stiffness = Annotated[
    Number,
    Field(gt=0),
    _with_unit("spring"),
    _inward("spring"),
    _outward("spring"),
    _plausible(500.0, 5_000_000.0, "spring"),
]
"""N/m inside."""
TwistStiffness = Annotated[Number, Field(gt=0), _with_unit("twist"), _inward("twist"), _outward("twist")]
"""N m/rad inside."""
Ratio = Annotated[Number, Field(gt=0, le=10)]
Steps = Annotated[Number, Field(ge=0, le=200)]
"""Turns of a thread."""
Wheelbase = Annotated[PositiveLength, _plausible(0.2, 8.0)]
Track = Annotated[PositiveLength, _plausible(0.1, 4.0)]
Distance = Annotated[Length, _plausible(-12.0, 12.0)]
Height = Annotated[Length, _plausible(0.0, 3.0)]
CentreHeight = Annotated[Length, _plausible(0.05, 3.0)]
"""Height of a whole car's centre of gravity: a kart with its driver is near 0.2 m. Common practice, no source."""
Thickness = Annotated[PositiveLength, _plausible(0.0001, 0.5)]
Stack = Annotated[PositiveLength, _plausible(0.001, 2.0)]
HeldHeight = Annotated[PositiveLength, _plausible(0.00005, 0.01)]
"""How far ride height may move and still be called held."""
Points = Annotated[Number, _inward("percent"), _outward("percent")]
"""A difference of percentages, written in points and held as a share."""
PositivePoints = Annotated[Points, Field(gt=0), AfterValidator(_at_most_all)]
Percent = Annotated[Number, AfterValidator(_percent), _inward("percent"), _outward("percent")]
"""A percentage of the total in a user's file, held as a share."""
Share = Points
"""A percentage in an answer, held as a share; an impossible one is a finding there, not a mistake in a file."""
Name = Annotated[
    str, StringConstraints(strict=True, strip_whitespace=True, min_length=1, pattern=r"^[^\x00-\x1f\x7f]*$")
]
"""One line of text: it has to fit into a line of the sheet."""


def _inward_as_named(value: float | None, info: ValidationInfo) -> float | None:
    dimension = info.data.get("dimension")
    if value is None or not dimension or not isinstance(info.context, Units):
        return value
    return info.context.inside(value, dimension)


AS_NAMED = AfterValidator(_inward_as_named)
Value = Annotated[Number, AS_NAMED]
"""A number of a Dimensioned record."""
MaybeValue = Annotated[Number | None, AS_NAMED]
"""The same, where there may be none."""


class Dimensioned(Record):
    """A record whose Values share one dimension that it names itself: a mass, a length, points, or a bare count."""

    dimension: Dimension | None
    """mass, length or percent; none for a bare count."""

    @model_serializer(mode="wrap")
    def _in_users_units(self, handler: SerializerFunctionWrapHandler, info: SerializationInfo) -> dict[str, Any]:
        shown: dict[str, Any] = handler(self)
        if self.dimension and isinstance(info.context, Units):
            for name, field in type(self).model_fields.items():
                if AS_NAMED in field.metadata and name in shown:
                    shown[name] = info.context.outside(shown[name], self.dimension)
        return shown


def _one_or_many(value: Any) -> Any:
    return [value] if isinstance(value, dict | Record) else value


ONE_OR_MANY = BeforeValidator(_one_or_many)
"""[table] for one, [[table]] for several: both are read."""


class UnitsTable(Record):
    """[units]: the units every number of this file is written in."""

    mass: MassUnit
    """the unit of every mass in this file: "kg" or "lb"."""
    length: LengthUnit
    """the unit of every length in this file: "mm", "m" or "in"."""
    volume: VolumeUnit | None = None
    """the unit of every volume in this file: "L", "US gal" or "imp gal"; needed where there is one"""
    spring: SpringUnit | None = None
    """the unit of every rate of a spring, bar or tyre: "N/mm" or "lbf/in"; needed where there is one"""
    twist: TwistUnit | None = None
    """the unit of the chassis's torsional stiffness: "N m/deg" or "lbf ft/deg"; needed where it is given"""

    def units(self) -> Units:
        """The same, ready to convert with."""
        return Units(mass=self.mass, length=self.length, volume=self.volume, spring=self.spring, twist=self.twist)


class Place(Record):
    """Where something is: two words in plan, one for height."""

    behind_front_axle: Distance
    """distance behind the front axle line; negative ahead of it, as on a nose mount"""
    left_of_centre: Distance
    """distance left of the centre line, as the driver sits; negative to the right"""
    above_ground: Height | None = None
    """height above the ground"""
