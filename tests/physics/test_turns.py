"""Plans of turns, against looking at every plan there is, and small ones to follow by hand.

The enumeration here knows nothing of the search: it lists every plan that the threads allow, keeps those that are
allowed, and takes the best by the order that the design states: fewest turns, then the least change of height.
"""

from itertools import product

import numpy as np
import pytest

from ballast.physics.statics import Array
from ballast.physics.turns import (
    Platforms,
    Steps,
    Wanted,
    a_pair,
    holding_height,
    nearest_one,
    nearest_pair,
    one_corner,
    whole_steps,
)

ENDLESS = np.full(4, np.inf)
EVEN = np.array([0.5, -0.5, -0.5, 0.5])
"""An even car: half a kg at LF for a step. [kg]"""
RISE = 0.001 * np.array([[0.5, 0.1, 0.1, -0.1], [0.1, 0.5, -0.1, 0.1], [0.1, -0.1, 0.5, 0.1], [-0.1, 0.1, 0.1, 0.5]])
"""A step raises its own corner by half a millimetre. [m]"""


def platforms(
    by_step: Array = EVEN, rise: Array | None = RISE, up: Array = ENDLESS, down: Array = ENDLESS
) -> Platforms:
    """Platforms of an even car, with endless threads."""
    return Platforms(by_step, rise, up, down)


def random_question(seed: int) -> tuple[Platforms, Wanted, float]:
    """Any car with short threads, a load wanted that they may or may not reach, and how closely height is held."""
    draw = np.random.default_rng(seed)
    by_step = np.array([1, -1, -1, 1]) * draw.uniform(0.2, 1.5, 4)
    by_step[draw.integers(4)] *= draw.choice([0.0, 1.0, 1.0, 1.0])
    rise = 0.001 * (draw.uniform(-0.2, 0.2, (4, 4)) + np.diag(draw.uniform(0.3, 0.7, 4)))
    up, down = (np.where(by_step == 0, 0.0, draw.integers(0, 5, 4).astype(float)) for _ in range(2))
    aim = draw.choice([-1, 1]) * draw.uniform(0.5, 6.0)
    half = draw.uniform(0.1, 0.6)
    low, high = aim - half, aim + half
    if low < 0 < high:
        low, high, aim = (0.1, high, aim) if aim > 0 else (low, -0.1, aim)
    return Platforms(by_step, rise, up, down), Wanted(low, aim, high), float(draw.uniform(0.0005, 0.002))


def every_plan(asked: Platforms) -> Array:
    """All there is thread for. (n, 4)"""
    ranges = [range(-int(down), int(up) + 1) for up, down in zip(asked.up, asked.down, strict=True)]
    return np.array(list(product(*ranges)))


def best(asked: Platforms, wanted: Wanted, among: Array) -> tuple[float, float, float] | None:
    """Turns, height and distance from the aim of the best of some plans that bring the load inside; none if none do."""
    loads = among @ asked.by_step
    inside = (loads >= wanted.low) & (loads <= wanted.high)
    if not inside.any():
        return None
    assert asked.rise_by_step is not None
    totals = np.abs(among).sum(axis=1)[inside]
    rises = np.abs(among @ asked.rise_by_step).max(axis=1)[inside]
    off = np.abs(loads - wanted.aim)[inside]
    number = min(range(len(totals)), key=lambda n: (totals[n], round(rises[n], 9), off[n]))
    return float(totals[number]), float(rises[number]), float(off[number])


def found(asked: Platforms, wanted: Wanted, plan: Steps | None) -> tuple[float, float, float] | None:
    """The same of a plan that was found, worked out here."""
    if plan is None:
        return None
    assert asked.rise_by_step is not None
    steps = np.array(plan)
    return (
        float(np.abs(steps).sum()),
        float(np.abs(steps @ asked.rise_by_step).max()),
        abs(float(steps @ asked.by_step) - wanted.aim),
    )


def agree(one: tuple[float, float, float] | None, other: tuple[float, float, float] | None) -> None:
    """Both are none, or the same to rounding: the height to a ten-thousandth of a millimetre."""
    assert (one is None) == (other is None)
    if one and other:
        assert one[0] == other[0]
        assert one[1] == pytest.approx(other[1], abs=2e-7)


@pytest.mark.parametrize("seed", range(60))
def test_against_every_plan_there_is(seed: int) -> None:
    """One corner, a pair and ride height held are each the best of all plans of their kind, or rightly none."""
    asked, wanted, within = random_question(seed)
    plans = every_plan(asked)
    turned = (plans != 0).sum(axis=1)
    for corner in range(4):
        alone = plans[(turned == 1) & (plans[:, corner] != 0)]
        agree(found(asked, wanted, one_corner(asked, corner, wanted)), best(asked, wanted, alone))
    helps = np.all(plans * asked.by_step * np.sign(wanted.aim) >= 0, axis=1)
    each = np.sort(np.abs(plans), axis=1)
    shared = plans[
        (turned == 2) & helps & (each[:, 3] - each[:, 2] <= 1) & np.all((plans == 0) | (asked.by_step != 0), 1)
    ]
    agree(found(asked, wanted, a_pair(asked, wanted)), best(asked, wanted, shared))
    assert asked.rise_by_step is not None
    holds = plans[np.abs(plans @ asked.rise_by_step).max(axis=1) <= within]
    agree(found(asked, wanted, holding_height(asked, wanted, within)), best(asked, wanted, holds))


def test_the_random_questions_have_all_kinds_of_answers() -> None:
    """Of the sixty, some can be answered in each way and some cannot: the comparison above is not an empty one."""
    answers = []
    for seed in range(60):
        asked, wanted, within = random_question(seed)
        found = one_corner(asked, 0, wanted), a_pair(asked, wanted), holding_height(asked, wanted, within)
        answers.append([plan is not None for plan in found])
    shares = np.mean(answers, axis=0)
    assert np.all(shares > 0.15)
    assert np.all(shares < 0.95)


def test_one_corner_by_hand() -> None:
    """2 to 3 kg on LF at half a kg a step: LF up or RF down by 4 steps, since 4 is the fewest."""
    wanted = Wanted(2.0, 2.5, 3.0)
    assert one_corner(platforms(), 0, wanted) == (4, 0, 0, 0)
    assert one_corner(platforms(), 1, wanted) == (0, -4, 0, 0)
    assert one_corner(platforms(up=np.array([3.0, 9, 9, 9])), 0, wanted) is None
    assert one_corner(platforms(), 0, Wanted(2.1, 2.2, 2.3)) is None
    assert one_corner(platforms(by_step=np.array([0.0, -0.5, -0.5, 0.5])), 0, wanted) is None


def test_a_pair_by_hand() -> None:
    """The same by two platforms: an axle or a side against each other, a diagonal alike, two steps each.

    LF and RR up raise LF by 0.5 - 0.1 twice = 0.8 mm; LF up and RF down by 0.5 - 0.1 = 0.4 mm, twice: 0.8 mm; LF up and
    RR up leave RF and LR at 2 (0.1 + 0.1) = 0.4 mm and raise LF by 2 (0.5 - 0.1) = 0.8 mm: all are alike, and the
    first in the order of the corners is taken.
    """
    plan = a_pair(platforms(), Wanted(2.0, 2.5, 3.0))
    assert plan == (2, 0, 0, 2)
    assert a_pair(platforms(up=np.array([1.0, 0, 0, 0]), down=np.zeros(4)), Wanted(2.0, 2.5, 3.0)) is None


def test_all_four_hold_the_height_by_hand() -> None:
    """One step each, LF and RR up, RF and LR down: 2 kg, and every corner rises by 0.5 - 0.1 - 0.1 - 0.1 = 0.2 mm."""
    wanted = Wanted(1.9, 2.0, 2.1)
    plan = holding_height(platforms(), wanted, 0.00021)
    assert plan == (1, -1, -1, 1)
    assert holding_height(platforms(), wanted, 0.00019) is None
    assert holding_height(platforms(rise=None), wanted, 0.001) is None


def test_one_platform_with_thread_may_hold_the_height_too() -> None:
    """LF alone, one step: half a kg, and its corner rises by half a millimetre; a band of nothing has no plan."""
    alone = platforms(up=np.array([3.0, 0, 0, 0]), down=np.zeros(4))
    assert holding_height(alone, Wanted(0.4, 0.5, 0.6), 0.0006) == (1, 0, 0, 0)
    assert holding_height(alone, Wanted(0.4, 0.5, 0.6), 0.0004) is None
    assert holding_height(platforms(up=np.zeros(4), down=np.zeros(4)), Wanted(0.4, 0.5, 0.6), 0.001) is None


def test_as_near_as_it_comes() -> None:
    """Where thread or steps do not reach: as far as the thread goes, or the nearest step; none where that is worse."""
    short = platforms(up=np.array([3.0, 9, 9, 9]))
    assert nearest_one(short, 0, Wanted(2.0, 2.5, 3.0)) == (3, 0, 0, 0)
    assert nearest_one(platforms(), 0, Wanted(0.7, 0.72, 0.74)) == (1, 0, 0, 0)
    assert nearest_one(platforms(), 0, Wanted(0.1, 0.15, 0.2)) is None
    assert nearest_pair(platforms(), Wanted(1.2, 1.22, 1.24)) in {(1, 0, 0, 1), (1, -1, 0, 0)}
    assert nearest_one(platforms(by_step=np.zeros(4)), 0, Wanted(2.0, 2.5, 3.0)) is None


def test_whole_steps_leave_the_loads_alone() -> None:
    """1.4, 1.4, 0.6, 0.6 steps: nearest would be 1, 1, 1, 1, and touches no load: 0.5 - 0.5 - 0.5 + 0.5 = 0."""
    assert whole_steps(platforms(), np.array([1.4, 1.4, 0.6, 0.6])) == (1, 1, 1, 1)


def test_whole_steps_go_further_off_rather_than_touch_the_loads() -> None:
    """0.6, 0.4, 0.4, 0.4 steps put 0.5 (0.6 - 0.4 - 0.4 + 0.4) = 0.1 kg on LF. Nearest is LF alone, 0.4 kg off that.

    None is 0.1 kg off, within half a step, and leaves LF 0.6 x 0.5 + 0.4 (0.1 + 0.1 - 0.1) = 0.34 mm low; LF and RF, or
    LF and LR, are as far off for more turns.
    """
    assert whole_steps(platforms(), np.array([0.6, 0.4, 0.4, 0.4])) == (0, 0, 0, 0)
    assert whole_steps(platforms(up=np.zeros(4), down=np.zeros(4)), np.array([1.6, 1.6, 1.6, 1.6])) == (0, 0, 0, 0)
