"""How a car stands, from whatever is known of it: each way of knowing against closed forms and arithmetic by hand.

Sources: the design's physics page, section 3, for the shares by roll share, m [(1 - aft/L)/2 +/- s left/tf] in front
and m [(aft/L)/2 +/- (1 - s) left/tr] behind, and for u = levers + n (c0 + c1 aft + c2 left); a car with tracks tf and
tr has the warp n = [1, -1, -tf/tr, tf/tr]. Springs are compared with `suspension.influence`, which the full model of
the property tests and the check values of the design have proved.
"""

from dataclasses import replace

import numpy as np
import pytest

from ballast.physics.stance import (
    Stance,
    by_learning,
    by_roll_share,
    by_springs,
    front_roll_share,
    on_wheel,
    shares,
    slopes,
    warp_within,
)
from ballast.physics.statics import Array, contact_patches
from ballast.physics.suspension import Springs, beam_axle, independent_axle, influence, influence_of_wheel, motion

LENGTH, FRONT, REAR = 2.5, 1.5, 1.4
"""Wheelbase and tracks. [m]"""
PATCHES = contact_patches(LENGTH, FRONT, REAR)
SQUARE = contact_patches(LENGTH, 1.5, 1.5)
WARP = np.array([1.0, -1.0, -FRONT / REAR, FRONT / REAR])
PLACES = [(1.0, 0.5), (-0.4, 0.0), (2.9, -0.6), (0.0, 0.75), (1.25, -0.3)]
ROUNDING = 1e-12


def closed_form(share: float, aft: float, left: float) -> Array:
    """The shares of the design's physics page, section 3, where the front share of the roll stiffness is known. (4,)"""
    front, rear = (1 - aft / LENGTH) / 2, aft / LENGTH / 2
    ahead, behind = share * left / FRONT, (1 - share) * left / REAR
    return np.array([front + ahead, front - ahead, rear + behind, rear - behind])


def springs(twist: float | None = None, spare: float = 1.0) -> Springs:
    """A car with nothing alike: bars, tyres, a beam behind, one stiffer spring in front on the right."""
    return Springs(
        PATCHES,
        [60e3, 75e3 * spare, 50e3, 45e3],
        motion(independent_axle(0.8, 0.85), beam_axle(1.0, 0.95, 1.0, REAR)),
        bar_front=30e3,
        bar_rear=10e3,
        tyres=[220e3, 210e3, 200e3, 230e3],
        twist=twist,
    )


def alike(front: float, rear: float) -> Springs:
    """A plain car on rigid tyres, tracks 1.5 m: its front share is that of the rates. [N/m]"""
    axle = independent_axle(1.0, 1.0)
    return Springs(SQUARE, [front, front, rear, rear], motion(axle, axle))


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("share", [0.0, 0.35, 0.5, 2 / 3, 1.0])
def test_a_roll_share_is_the_closed_form(share: float, place: tuple[float, float]) -> None:
    """Design, physics page, section 3: on any plain car the shares are those of the formula."""
    assert shares(by_roll_share(PATCHES, share), *place) == pytest.approx(closed_form(share, *place), abs=ROUNDING)


def test_wheels_that_stand_to_one_side() -> None:
    """By moving the ruler: wheels 80 mm to the left carry a mass as wheels in the middle one 80 mm to the right."""
    found = shares(by_roll_share(PATCHES + np.array([0.0, 0.08]), 0.6), 1.0, 0.5)
    assert found == pytest.approx(closed_form(0.6, 1.0, 0.42), abs=ROUNDING)


@pytest.mark.parametrize("twist", [None, 4e5])
def test_springs_are_the_influence(twist: float | None) -> None:
    """Source: `suspension.influence`, proved elsewhere; with a chassis that twists too, and for many places at once."""
    car = springs(twist)
    aft, left = np.array(PLACES).T
    found = shares(by_springs(car, car, car), aft, left)
    assert found == pytest.approx(influence(car, aft, left), abs=ROUNDING)
    assert found.sum(axis=1) == pytest.approx(np.ones(len(PLACES)), abs=ROUNDING)


def test_a_chassis_that_twists_is_not_a_plane() -> None:
    """With twist the shares have a part along aft times left; without, three numbers say everything."""
    rigid, twisting = (by_springs(springs(t), springs(t), springs(t)) for t in (None, 4e5))
    assert rigid.by_place[3] == pytest.approx(0.0, abs=ROUNDING)
    assert abs(twisting.by_place[3]) > 1e-3


def test_what_trial_weights_told() -> None:
    """By hand: 0.010 + 0.020 x 1.0 - 0.030 x 0.5 = 0.015 of the mass more on LF than four equal springs would carry.

    Four equal springs carry 1/4 each, 0.25 / (4 x 1.25) = 0.05 more in front than that for 0.25 m ahead of the middle,
    and 0.5 / (2 x 1.5) = 1/6 more on the left.
    """
    stands = by_learning(SQUARE, [0.010, 0.020, -0.030], np.zeros((3, 3)))
    equal = np.array([0.25 + 0.05 + 1 / 6, 0.25 + 0.05 - 1 / 6, 0.25 - 0.05 + 1 / 6, 0.25 - 0.05 - 1 / 6])
    expected = equal + 0.015 * np.array([1.0, -1.0, -1.0, 1.0])
    assert shares(stands, 1.0, 0.5) == pytest.approx(expected, abs=ROUNDING)


@pytest.mark.parametrize("place", PLACES)
def test_slopes_by_hand(place: tuple[float, float]) -> None:
    """The derivatives of the closed form: 1/(2 L) for each metre aft, s/tf and (1 - s)/tr for each metre left."""
    by_aft, by_left = slopes(by_roll_share(PATCHES, 0.6), *place)
    half = 1 / (2 * LENGTH)
    assert by_aft == pytest.approx([-half, -half, half, half], abs=ROUNDING)
    assert by_left == pytest.approx([0.6 / FRONT, -0.6 / FRONT, 0.4 / REAR, -0.4 / REAR], abs=ROUNDING)


def test_slopes_where_the_chassis_twists() -> None:
    """By small steps, 10 mm to either side: the slope of a bilinear share is that of its chord."""
    car = springs(4e5)
    stands, step = by_springs(car, car, car), 0.01
    by_aft, by_left = slopes(stands, 1.0, 0.5)
    along = (influence(car, 1.0 + step, 0.5) - influence(car, 1.0 - step, 0.5)) / (2 * step)
    across = (influence(car, 1.0, 0.5 + step) - influence(car, 1.0, 0.5 - step)) / (2 * step)
    assert by_aft == pytest.approx(along, abs=1e-10)
    assert by_left == pytest.approx(across, abs=1e-10)


def test_slopes_of_many_places_at_once() -> None:
    """An array of places gives what each place gives alone."""
    car = springs(4e5)
    stands = by_springs(car, car, car)
    together = slopes(stands, *np.array(PLACES).T)
    for number, place in enumerate(PLACES):
        for all_of_them, alone in zip(together, slopes(stands, *place), strict=True):
            assert all_of_them[number] == pytest.approx(alone, abs=ROUNDING)


def test_a_roll_share_that_may_be_off() -> None:
    """By hand: 0.05 of roll share put 20 x 0.5 x 0.05 / 1.5 = 0.3333 kg more on LF; masses that balance cancel."""
    stands = by_roll_share(PATCHES, 0.6, 0.05)
    assert warp_within(stands, [20.0], [1.0], [0.5]) == pytest.approx([1 / 3], abs=ROUNDING)
    assert warp_within(stands, [20.0, 10.0], [1.0, 0.3], [0.5, -1.0]) == pytest.approx([0.0], abs=ROUNDING)
    moved = shares(by_roll_share(PATCHES, 0.65), 1.0, 0.5) - shares(stands, 1.0, 0.5)
    assert 20 * moved == pytest.approx(1 / 3 * WARP, abs=1e-11)


def test_a_roll_share_known_for_sure() -> None:
    """Nothing within, nothing off."""
    assert warp_within(by_roll_share(PATCHES, 0.6), [20.0], [1.0], [0.5]) == pytest.approx([0.0], abs=ROUNDING)


def test_rates_that_may_be_off() -> None:
    """By hand: 60 and 40 N/mm, 5 % either way: s from 57/99 to 63/101, half of it 0.0240; 20 kg at 0.5 m: 0.160 kg."""
    stands = by_springs(alike(60e3, 40e3), alike(57e3, 42e3), alike(63e3, 38e3))
    half = (63 / 101 - 57 / 99) / 2
    assert warp_within(stands, [20.0], [1.0], [0.5]) == pytest.approx([20 * 0.5 / 1.5 * half], abs=ROUNDING)


def test_trial_weights_that_may_be_off() -> None:
    """By hand, each cause by itself: 30 kg x 0.002; 30 kg x 1.2 m x 0.001; 30 kg x 0.4 m x 0.003."""
    stands = by_learning(SQUARE, [0.0, 0.0, 0.1], np.diag([0.002, 0.001, 0.003]))
    assert warp_within(stands, [10.0, 20.0], [1.2, 1.2], [0.4, 0.4]) == pytest.approx(
        [0.06, 0.036, 0.036], abs=ROUNDING
    )


@pytest.mark.parametrize("share", [0.0, 0.41, 1.0])
def test_the_front_roll_share_comes_back(share: float) -> None:
    """What went in as a roll share is the share that a mass moved sideways shows, with unequal tracks."""
    assert front_roll_share(by_roll_share(PATCHES, share)) == pytest.approx(share, abs=ROUNDING)


def test_the_front_roll_share_of_springs() -> None:
    """By hand: 60 and 40 N/mm under equal tracks are 60 %; the edges of 5 % either way 57/99 and 63/101, on average."""
    stands = by_springs(alike(60e3, 40e3), alike(57e3, 42e3), alike(63e3, 38e3))
    assert front_roll_share(stands) == pytest.approx(0.6, abs=ROUNDING)
    edges = [front_roll_share(stands, way * stands.within[0]) for way in (-1, 1)]
    half = (63 / 101 - 57 / 99) / 2
    assert edges == pytest.approx([0.6 - half, 0.6 + half], abs=ROUNDING)


def test_the_front_roll_share_with_bars_and_tyres() -> None:
    """Design, physics page, section 3: springs 80, ratio 0.8, tyres 220, bars 40/20 N/mm: 82.187 to 64.473."""
    axle = independent_axle(0.8, 0.8)
    car = Springs(SQUARE, [80e3] * 4, motion(axle, axle), bar_front=40e3, bar_rear=20e3, tyres=[220e3] * 4)
    front, rear = (1 / (1 / (51.2 + 2 * bar) + 1 / 220) for bar in (40, 20))
    assert front_roll_share(by_springs(car, car, car)) == pytest.approx(front / (front + rear), abs=ROUNDING)


@pytest.mark.parametrize(
    "stands", [by_roll_share(PATCHES, 0.6), by_learning(PATCHES, [0.0, 0.0, 0.1], np.zeros((1, 3)))]
)
def test_a_wheel_carries_its_own_where_no_springs_are_known(stands: Stance) -> None:
    """Without rates a hub's mass is taken to stand on its own pad alone."""
    assert on_wheel(stands, "RF") == pytest.approx([0.0, 1.0, 0.0, 0.0], abs=ROUNDING)


def test_a_wheel_on_a_soft_tyre_hands_some_on() -> None:
    """Source: `suspension.influence_of_wheel`, proved by the full model; on rigid tyres nothing is handed on."""
    car = springs(4e5)
    stands = by_springs(car, car, car)
    for corner in ("LF", "RF", "LR", "RR"):
        assert on_wheel(stands, corner) == pytest.approx(influence_of_wheel(car, corner), abs=ROUNDING)
    assert on_wheel(stands, "LF")[0] < 0.99
    rigid = replace(car, tyres=None)
    assert on_wheel(by_springs(rigid, rigid, rigid), "LF") == pytest.approx([1.0, 0.0, 0.0, 0.0], abs=ROUNDING)
