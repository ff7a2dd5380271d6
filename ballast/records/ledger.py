"""The ledger of scales: your own reading of a car against the official one, event by event."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated

from pydantic import Field

from ballast.errors import Complaint
from ballast.records.quantities import Name, PositiveMass, Record, UnitsTable

SCALES_APART = 0.05
"""Share by which two scales may differ before they cannot have weighed one car. Common practice, no source."""


class Comparison(Record):
    """[[comparisons]]: one car on both scales, in the same state."""

    date: date
    """the day"""
    event: Name
    """where the official scales stood"""
    own: PositiveMass
    """total on your own pads"""
    official: PositiveMass
    """total on the official scales"""


class Ledger(Record):
    """A ledger file."""

    units: UnitsTable
    """the units of this file"""
    comparisons: Annotated[tuple[Comparison, ...], Field(min_length=1)]
    """one table for each time a car stood on both"""


def complaints(ledger: Ledger) -> Iterator[Complaint]:
    """What a ledger says that no two scales can mean, though each key by itself is fine."""
    units = ledger.units.units()
    for number, row in enumerate(ledger.comparisons, start=1):
        if abs(row.own - row.official) > SCALES_APART * min(row.own, row.official):
            yield Complaint(
                f"is more than {100 * SCALES_APART:g} % from your own {units.outside(row.own, 'mass'):g} {units.mass}",
                f"check both numbers: the same car in the same state, and both in {units.mass}.",
                f"[[comparisons]] {number} official",
                f"{units.outside(row.official, 'mass'):g}",
            )
