"""How a roll couple divides between the axles.

Source: H. Heisler, Advanced Vehicle Technology, section 10.3 (REF-C2): in proportion to roll stiffness; a front end
twice as stiff in roll as the rear takes two thirds of the couple, the rear one third.
"""

import pytest

from ballast.physics.statics import contact_patches, influence, stand

TRACK_FRONT, TRACK_REAR = 1.52, 1.46
PATCHES = contact_patches(2.6, TRACK_FRONT, TRACK_REAR)
ROUNDING = 1e-12
"""[-], [m]"""


@pytest.mark.parametrize("aft", [-0.4, 1.3, 3.1])
@pytest.mark.parametrize("route", ["influence", "stand"])
def test_twice_as_stiff_takes_two_thirds(aft: float, route: str) -> None:
    """VERIFIED: of the couple of one kg 0.6 m off the centre line the front takes two thirds, wherever it is along."""
    share = 2 / (2 + 1)
    routes = {"influence": influence(PATCHES, share, aft, 0.6), "stand": stand(PATCHES, share, [1.0], [[aft, 0.6]])}
    lf, rf, lr, rr = routes[route]
    assert (lf - rf) * TRACK_FRONT / 2 == pytest.approx(0.6 * 2 / 3, abs=ROUNDING)
    assert (lr - rr) * TRACK_REAR / 2 == pytest.approx(0.6 * 1 / 3, abs=ROUNDING)
