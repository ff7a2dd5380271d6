"""Words that several files share: states of the car, materials, threads and strengths."""

from typing import Literal

DriverState = Literal["in", "out"]
FuelState = Literal["as it finishes", "drained", "full"]
Material = Literal[
    "steel",
    "iron",
    "lead",
    "tungsten",
    "tungsten alloy",
    "brass",
    "copper",
    "zinc",
    "aluminium",
    "depleted uranium",
    "concrete",
    "sand",
    "shot",
    "liquid",
]
Thread = Literal[
    "M5", "M6", "M8", "M10", "M12", "M14", "M16", "M20", "1/4 in", "5/16 in", "3/8 in", "7/16 in", "1/2 in"
]
Strength = Literal["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "10.9", "12.9", "grade 2", "grade 5", "grade 8"]

AT_LEAST_AS_STRONG: tuple[frozenset[Strength], ...] = (
    frozenset({"4.6", "4.8"}),
    frozenset({"5.6", "5.8", "6.8", "grade 2"}),
    frozenset({"8.8", "grade 5"}),
    frozenset({"10.9", "grade 8"}),
    frozenset({"12.9"}),
)
"""Classes and grades from weak to strong; those of one step are taken for each other, as class rules do.
Common practice, no source: 8.8 for grade 5, 10.9 for grade 8."""


def strength_step(strength: Strength) -> int:
    """Where a class or grade stands in AT_LEAST_AS_STRONG."""
    return next(step for step, alike in enumerate(AT_LEAST_AS_STRONG) if strength in alike)
