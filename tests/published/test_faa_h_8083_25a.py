"""Moving a plate between two mounts: the weight shift of a pilot's handbook.

Source: Pilot's Handbook of Aeronautical Knowledge, FAA-H-8083-25A, Federal Aviation Administration, 2008, chapter 9,
"Weight shifting" (REF-A1). Total 8,000 lb, total moment 616,000 lb-in; 100 lb go from station 30 to station 150.

    old centre    616,000 / 8,000           = 77.0 in
    new moment    616,000 + 100 (150 - 30)  = 628,000 lb-in
    new centre    628,000 / 8,000           = 78.5 in
    by the shift  100 / 8,000 x (150 - 30)  =  1.5 in
"""

import numpy as np
import pytest

from ballast.physics.statics import height_after, influence
from tests.published.beam import POUND_INCH, STANDS, Stand, pounds

TOTAL = 8_000.0
OLD_MOMENT, NEW_MOMENT = 616_000.0, 628_000.0
OLD_CENTRE, NEW_CENTRE = 77.0, 78.5
MOVED, FROM, TO = 100.0, 30.0, 150.0
ROUNDING = 1e-9
"""The figures are exact; only double precision stands between them. [in], relative for moments"""


@pytest.mark.parametrize("where", STANDS)
def test_the_old_centre_follows_from_the_pads(where: Stand) -> None:
    """VERIFIED: 616,000 lb-in over 8,000 lb is 77.0 in, from loads alone and from the front share."""
    pads = where.pads(TOTAL, OLD_MOMENT / TOTAL)
    assert where.centre(pads) == pytest.approx(OLD_CENTRE, abs=ROUNDING)
    assert where.arm(pads) == pytest.approx(OLD_CENTRE, abs=ROUNDING)


@pytest.mark.parametrize("where", STANDS)
def test_moving_an_item_moves_the_centre_and_leaves_the_total(where: Stand) -> None:
    """VERIFIED: taken off at station 30 and put on at station 150, 100 lb bring the centre to 78.5 in."""
    pads = where.pads(TOTAL, OLD_CENTRE) + where.standing((-MOVED, FROM), (MOVED, TO))
    assert pounds(pads) == pytest.approx(TOTAL, abs=ROUNDING)
    assert where.centre(pads) == pytest.approx(NEW_CENTRE, abs=ROUNDING)
    assert pounds(pads) * where.centre(pads) == pytest.approx(NEW_MOMENT, rel=ROUNDING)


@pytest.mark.parametrize("where", STANDS)
def test_the_influence_of_two_places_gives_the_same_move(where: Stand) -> None:
    """VERIFIED: the mass times the difference of two influences moves the centre by 1.5 in."""
    arms = [POUND_INCH.inside(arm, "length") for arm in (FROM, TO)]
    before, after = influence(where.patches(), where.roll_share, arms, [0.0, 0.0])
    pads = where.pads(TOTAL, OLD_CENTRE) + POUND_INCH.inside(MOVED, "mass") * (after - before)
    assert where.centre(pads) - OLD_CENTRE == pytest.approx(MOVED / TOTAL * (TO - FROM), abs=ROUNDING)


def test_the_same_moments_upright() -> None:
    """VERIFIED: moments know no direction, so the stations taken as heights raise the centre from 77.0 to 78.5."""
    height = height_after(TOTAL, OLD_CENTRE, np.array([-MOVED, MOVED]), np.array([FROM, TO]))
    assert height == pytest.approx(NEW_CENTRE, abs=ROUNDING)
