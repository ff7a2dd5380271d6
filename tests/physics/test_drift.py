"""From visit to visit: scatter pooled by hand, changes against Student's test, lines by least squares, and dice."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from ballast.physics import drift
from ballast.physics.statics import Array, contact_patches, warp
from ballast.physics.uncertainty import assumed_covariance

PATCHES = contact_patches(2.455, 1.48, 1.45)
CAR = np.array([276.5, 288.5, 241.1, 268.1])
NOTHING = np.zeros((4, 4))
ASSUMED = assumed_covariance(CAR, PATCHES)


def thrown(dice: np.random.Generator, mean: Array, settlings: int = 3) -> Array:
    """Settlings as cars settle: 0.1 kg on each pad by itself and 0.6 kg of warp. (n, 4) [kg]"""
    own = dice.normal(0, 0.1, (settlings, 4))
    return np.asarray(mean + own + np.outer(dice.normal(0, 0.6, settlings), warp(PATCHES)))


def test_the_pooled_scatter_by_hand() -> None:
    """Totals 1000, 1001, 1002 and 1010, 1014: s2 of 1 (2 degrees) and 8 (1 degree), so sp2 = (2 x 1 + 1 x 8) / 3.

    JCGM 100:2008, 4.2.4 names the pooled value; the weighing by degrees of freedom is that of ISO 5725-2 for the
    repeatability variance (from memory).
    """
    quarter = np.full(4, 0.25)
    visits = [np.outer([1000.0, 1001.0, 1002.0], quarter), np.outer([1010.0, 1014.0], quarter)]
    found = drift.pooled(visits, ASSUMED)
    assert found.deviations[0] == pytest.approx(np.sqrt(10 / 3))
    assert found.covariance.sum() == pytest.approx(10 / 3)
    assert found.degrees == 3
    assert found.factor == 3.18  # JCGM 100:2008, table G.2, 3 degrees of freedom


def test_figures_that_do_not_move_do_not_scatter() -> None:
    """The same visits have a quarter on each corner always: front, left and diagonal 50 % without scatter."""
    quarter = np.full(4, 0.25)
    found = drift.pooled([np.outer([1000.0, 1001.0, 1002.0], quarter)], ASSUMED)
    assert found.deviations[1:] == pytest.approx([0, 0, 0, 0], abs=1e-12)


def test_single_settlings_are_assumed() -> None:
    """Without two settlings anywhere: what one settling is assumed to scatter, 0.05 % of the total, factor 2."""
    found = drift.pooled([CAR[np.newaxis], CAR[np.newaxis]], ASSUMED)
    assert (found.degrees, found.factor) == (0, 2.0)
    assert found.deviations[:4] == pytest.approx([0.0005 * CAR.sum(), 0.0005, 0.0005, 0.002])


def test_a_change_is_judged_as_students_test_judges_it() -> None:
    """Two visits, scipy's two-sample t-test with equal variances: the same interval, to the table's two decimals."""
    dice = np.random.default_rng(1)
    one, other = thrown(dice, CAR), thrown(dice, CAR + np.array([0.5, 0, 0, 0]))
    found = drift.pooled([one, other], ASSUMED)
    within = drift.change_within(found, (3, 3), other.mean(axis=0), NOTHING)
    for row in range(5):
        test = stats.ttest_ind(drift.figures_of(other)[:, row], drift.figures_of(one)[:, row])
        interval = test.confidence_interval(0.95)
        assert within[row] == pytest.approx((interval.high - interval.low) / 2, rel=2e-3)


def test_what_is_not_scatter_is_added_in_squares() -> None:
    """0.3 kg of the total from sums beside settlings that do not scatter: twice that."""
    found = drift.pooled([np.tile(CAR, (3, 1)), np.tile(CAR, (3, 1))], ASSUMED)
    besides = np.outer(CAR, CAR) * (0.3 / CAR.sum()) ** 2
    within = drift.change_within(found, (3, 3), CAR, besides)
    assert within[0] == pytest.approx(0.6)
    assert within[1:4] == pytest.approx([0, 0, 0], abs=1e-9)


def test_noise_alone_is_called_a_change_in_one_of_twenty() -> None:
    """2,500 histories of three visits to one car that never changed: each figure is called changed in 5 % of steps."""
    dice, called, steps = np.random.default_rng(20261125), np.zeros(5), 0
    for _ in range(2_500):
        visits = [thrown(dice, CAR) for _ in range(3)]
        together = drift.pooled(visits, ASSUMED)
        means = [visit.mean(axis=0) for visit in visits]
        for was, now in pairwise(means):
            within = drift.change_within(together, (3, 3), now, NOTHING)
            called += np.abs(drift.figures_of(now) - drift.figures_of(was)) > within
            steps += 1
    assert called / steps == pytest.approx([0.05] * 5, abs=0.01)


def test_a_planted_change_is_seen() -> None:
    """2 kg more over the left front wheel: seen in total, front and left nearly always."""
    dice, seen = np.random.default_rng(3), np.zeros(5)
    for _ in range(200):
        visits = [thrown(dice, CAR), thrown(dice, CAR + np.array([2.0, 0, 0, 0]))]
        now = visits[1].mean(axis=0)
        within = drift.change_within(drift.pooled(visits, ASSUMED), (3, 3), now, NOTHING)
        seen += np.abs(drift.figures_of(now) - drift.figures_of(visits[0].mean(axis=0))) > within
    assert (seen[:3] > 195).all()


def test_a_line_is_that_of_least_squares() -> None:
    """Four visits of unequal numbers of settlings: numpy's weighted fit, weights sqrt n, gives the rate."""
    dice, days, counts = np.random.default_rng(5), np.array([0.0, 9.0, 21.0, 40.0]), np.array([3.0, 2.0, 3.0, 4.0])
    visits = [thrown(dice, CAR + 0.02 * day, int(n)) for day, n in zip(days, counts, strict=True)]
    means = np.array([drift.figures_of(visit.mean(axis=0)) for visit in visits])
    found = drift.trend(days, means, counts, drift.pooled(visits, ASSUMED), np.zeros((4, 5)))
    assert found is not None
    for row in range(5):
        assert found.rates[row] == pytest.approx(np.polyfit(days, means[:, row], 1, w=np.sqrt(counts))[0], abs=1e-12)
    assert found.rates[0] == pytest.approx(0.08, abs=found.within[0])
    assert found.shown[0]


def test_how_sure_a_line_is_by_hand() -> None:
    """Three visits of three settlings on days 0, 10, 20: u = sp / sqrt(3 x 200), and 2.45 for 6 degrees."""
    dice, days = np.random.default_rng(8), [0, 10, 20]
    visits = [thrown(dice, CAR) for _ in days]
    together = drift.pooled(visits, ASSUMED)
    means = np.array([drift.figures_of(visit.mean(axis=0)) for visit in visits])
    found = drift.trend(days, means, [3, 3, 3], together, np.zeros((3, 5)))
    assert found is not None
    assert found.within == pytest.approx(2.45 * together.deviations / np.sqrt(600))


def test_noise_alone_shows_a_line_in_no_more_than_one_of_twenty() -> None:
    """1,500 histories of four visits to one car that never changed."""
    dice, shown, days = np.random.default_rng(13), np.zeros(5), [0, 14, 30, 41]
    for _ in range(1_500):
        visits = [thrown(dice, CAR) for _ in days]
        means = np.array([drift.figures_of(visit.mean(axis=0)) for visit in visits])
        found = drift.trend(days, means, [3] * 4, drift.pooled(visits, ASSUMED), np.zeros((4, 5)))
        assert found is not None
        shown += found.shown
    assert (shown / 1_500 < 0.06).all()
    assert (shown / 1_500 > 0.03).all()


def test_a_jump_is_no_line() -> None:
    """4 kg between the second and the third of four visits, and none before and after: steep, and not straight."""
    dice, days = np.random.default_rng(21), [0, 14, 28, 42]
    visits = [thrown(dice, CAR + more) for more in (0.0, 0.0, 1.0, 1.0)]
    means = np.array([drift.figures_of(visit.mean(axis=0)) for visit in visits])
    found = drift.trend(days, means, [3] * 4, drift.pooled(visits, ASSUMED), np.zeros((4, 5)))
    assert found is not None
    assert abs(found.rates[0]) > found.within[0]
    assert not found.shown[0]


@pytest.mark.parametrize("days", [[], [0], [0, 10], [0, 0, 10]])
def test_two_days_make_no_line(days: list[int]) -> None:
    """A line through two days fits whatever was weighed."""
    together = drift.pooled([CAR[np.newaxis]], ASSUMED)
    assert drift.trend(days, np.zeros((len(days), 5)), [1] * len(days), together, np.zeros((len(days), 5))) is None


def test_a_visit_that_scatters_far_more_is_found() -> None:
    """Two visits of 0.1 kg of scatter and one whose total moved by 4 kg: that one."""
    dice = np.random.default_rng(2)
    visits = [CAR + dice.normal(0, 0.1, (3, 4)) for _ in range(2)] + [CAR + np.outer([-0.5, 0.0, 0.5], np.ones(4))]
    assert drift.unlike(visits).tolist() == [False, False, True]


def test_a_visit_of_three_is_judged_as_the_f_test_judges_it() -> None:
    """The closed tail of F for 2 and m degrees of freedom is scipy's, for m = 2 to 10."""
    for m in (2, 4, 7, 10):
        assert (1 + 2 * 3.7 / m) ** (-m / 2) == pytest.approx(stats.f.sf(3.7, 2, m))


def test_visits_read_alike_are_seldom_told_from_each_other() -> None:
    """2,000 histories of four visits, 2 kg of scatter on each pad: an alarm in some 5 %; fewer where they do less."""
    dice, alarms = np.random.default_rng(34), np.zeros(2)
    for _ in range(2_000):
        wide = drift.unlike([CAR + dice.normal(0, 2.0, (3, 4)) for _ in range(4)])
        alarms += wide.any(), drift.unlike([thrown(dice, CAR) for _ in range(4)]).any()
    assert alarms[0] / 2_000 == pytest.approx(0.05, abs=0.015)
    assert alarms[1] < alarms[0]


def test_one_visit_is_unlike_nothing() -> None:
    """There is nothing to be unlike to; nor is a visit of one or two settlings judged."""
    assert drift.unlike([CAR[np.newaxis] + np.arange(3)[:, np.newaxis]]).tolist() == [False]
    assert drift.unlike([CAR[np.newaxis], np.array([CAR, CAR + 5])]).tolist() == [False, False]
