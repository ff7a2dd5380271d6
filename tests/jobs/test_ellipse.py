"""The ellipse of a plan agrees with the uncertainties of its percentages."""

import math
from pathlib import Path

import pytest

from ballast.jobs.plan import plan
from ballast.records.files import read_question

SALOON = Path(__file__).parent.parent.parent / "examples" / "circuit-saloon"


def test_the_ellipse_is_as_long_as_the_front_percentage_is_unsure() -> None:
    """Behind the front axle by wheelbase x rear share: the extent along the car is 2.4477 x 2480 mm x u(front).

    Source: moments about the front axle; the extent of an ellipse is sqrt(a2 cos2 + b2 sin2), JCGM 102:2011 for 2.45
    (from memory).
    """
    question = read_question(SALOON / "car.toml", SALOON / "weigh-in.toml", SALOON / "rulebook.toml")
    sure = plan(question.with_wishes(seconds=5.0, order=("balance",))).plan.uncertain
    assert sure is not None
    assert sure.centre is not None
    turned = math.radians(sure.centre.turned)
    along = math.hypot(sure.centre.longer * math.cos(turned), sure.centre.shorter * math.sin(turned))
    assert along == pytest.approx(2.4477 * 2.480 * sure.front_percent, rel=1e-3)
    assert sure.centre.longer >= sure.centre.shorter > 0
