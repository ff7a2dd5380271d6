"""What denser plates would save, in words: a small number said as one, with the caution that belongs to lead."""

import pytest

from ballast.records.plan import Denser
from ballast.showing.denser import denser_plates
from ballast.showing.rounding import Rounding
from ballast.units import LengthUnit, Units
from tests.showing.invented_answers import answer

LEAD = Denser(material="lead", lower=0.00048, mount="floor", stack=0.102, stack_then=0.0706)
ALLOY = Denser(material="tungsten alloy", lower=0.00085, mount="floor", stack=0.102, stack_then=0.0471)


def said(*denser: Denser, unit: LengthUnit = "mm", state: str = "") -> str:
    """What is said of a plan that has these."""
    plan = answer(1).plan.replace(denser=denser)
    return " ".join(denser_plates(plan, state, Rounding(Units(length=unit), 1)))


def test_lead_and_tungsten_alloy_with_the_caution_of_lead() -> None:
    """Both materials, how much lower, how tall the tallest stack, and the clamp plate."""
    assert said(LEAD, ALLOY) == (
        "Denser plates of the same mass on the same mounts would lower the centre of gravity: lead by 0.48 mm "
        "(tallest stack, 'floor': 102 mm now, then 71 mm), tungsten alloy by 0.85 mm (then 47 mm). Lead needs a steel "
        "clamp plate: bolt heads pull through."
    )


def test_without_lead_no_caution_of_lead() -> None:
    """Where the rules bar lead, or the plates are of it."""
    assert "Lead" not in said(ALLOY)


@pytest.mark.parametrize(
    ("unit", "shown"), [("mm", "under 0.1 mm"), ("m", "under 0.0001 m"), ("in", "under 0.0039 in")]
)
def test_next_to_nothing_is_said_to_be_that(unit: LengthUnit, shown: str) -> None:
    """0.04 mm is below a tenth of a millimetre."""
    assert f"lead by {shown}" in said(LEAD.replace(lower=0.00004), unit=unit)


def test_the_state_is_named_where_there_are_several() -> None:
    """The saving is that of one state of the car."""
    assert "the centre of gravity (Ann, start): lead" in said(LEAD, state=" (Ann, start)")


def test_what_is_not_known_is_not_said() -> None:
    """Neither for a plan that does not know, nor for one of which the plates are as dense as they come."""
    plan = answer(1).plan
    for nothing in (None, ()):
        assert list(denser_plates(plan.replace(denser=nothing), "", Rounding(Units(), 1))) == []
