"""What a plan leaves to the spring platforms, in words a hurried person can act on."""

from typing import Any

import pytest

from ballast.records.turns import PlatformsAfter
from ballast.showing.platforms_after import platforms_section
from ballast.showing.rounding import Rounding
from ballast.units import Units

SHOW = Rounding(Units(mass="kg", length="mm"), 1)
LOADS = {"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}
AFTER = {
    "name": "after",
    "corner_loads": LOADS,
    "total": 1000.0,
    "front_percent": 0.5,
    "rear_percent": 0.5,
    "left_percent": 0.5,
    "diagonal_percent": {"RF+LR": 0.5, "LF+RR": 0.5},
    "rear_pair": 0.0,
    "centre_of_gravity": {"behind_front_axle": 1.2, "left_of_centre": 0.0, "above_ground": None},
}
NOTHING = {"LF": None, "RF": None, "LR": None, "RR": None}


def plan(kind: str, comes: str = "inside", **turns: float) -> dict[str, Any]:
    """A plan of turns."""
    return {
        "kind": kind,
        "turns": dict.fromkeys(LOADS, 0.0) | turns,
        "total_turns": 1.0,
        "comes": comes,
        "off_aim_points": 0.0,
        "ride_height": None,
        "after": AFTER,
        "left_points": 0.0,
        "thread_up": NOTHING,
        "thread_down": NOTHING,
    }


def words(before: float = 0.512, **parts: Any) -> str:
    """The section in one line; the diagonal RF+LR wanted 50 +/- 0.4 %, guard 0.1."""
    target = {
        "dimension": "percent",
        "figure": "RF+LR",
        "aim": 0.5,
        "within": 0.004,
        "guard": 0.001,
        "before": before,
        "uncertain": 0.001,
    }
    winding = {"target": target, "plans": parts.pop("plans", ())}
    told = {"case": "as weighed", "bars": "disconnected", "height_within": 0.001, "winding": winding}
    (section,) = platforms_section(PlatformsAfter.model_validate(told | {"ride_height": None} | parts), SHOW)
    return " ".join(section.lines)


def test_turns_that_are_left() -> None:
    """The recommended turns, and one platform alone for whoever is in a hurry."""
    said = words(
        plans=[plan("ride height held", LF=0.75, RF=-0.75), plan("pair", LF=2.0, RR=1.0), plan("one corner", LF=1.5)]
    )
    assert (
        "The diagonal RF+LR is then 51.2 %, wanted 50 % +/- 0.4 points: left to the platforms: LF 3/4 turn up, RF 3/4 "
        "turn down (ride height stays within 1 mm); or LF 1 1/2 turns up." in said
    )
    assert "hold for the bars disconnected" in said
    assert "`ballast wind`" in said


def test_nothing_left_and_nothing_possible() -> None:
    """Inside the band nothing is left; without a plan nothing helps; short is told as short."""
    assert "nothing is left to the platforms" in words(0.501)
    assert "no turns of the platforms bring it nearer" in words()
    assert "as near as it comes" in words(plans=[plan("one corner", "short", LF=1.0)])


@pytest.mark.parametrize(
    ("saved", "plates", "then", "said"),
    [
        (0.0, 0, 0.0, "the plates bring the other targets into their bands."),
        (0.0, 0, 0.001, "the plates bring the other targets nearer their bands."),
        (5.0, 1, 0.003, "5.0 kg and 1 plate of ballast can stay out."),
        (0.0, 2, 0.003, "2 plates of ballast can stay out."),
        (5.0, 0, 0.0, "the plates bring the other targets into their bands, and 5.0 kg of ballast can stay out."),
    ],
)
def test_what_leaving_the_diagonal_would_save(saved: float, plates: int, then: float, said: str) -> None:
    """Only what is better is said, with the key to write."""
    left = {"ballast_saved": saved, "plates_saved": plates, "miss_points": 0.003, "miss_points_then": then}
    found = words(diagonal_left=left)
    assert f'(by = "platforms" in its target): then {said}' in found


def test_ride_height_alone() -> None:
    """Without a target for the diagonal, what the ballast costs in ride height is still told."""
    lost = dict.fromkeys(LOADS, -0.0012)
    back = {"lost": lost, "turns": None, "left_over": None, "diagonal_points": 0.0}
    assert "LF -1.2" in words(winding=None, ride_height=back)


def test_nothing_known() -> None:
    """No section."""
    assert list(platforms_section(None, SHOW)) == []
