"""Springs, platforms and pads against a model of their own, of any car: wheels each in a place, beam axles, twist.

Source: first principles. Eight unknowns: how far each of the four wheels sinks, and heave, pitch, roll and twist of the
chassis. Each spring, bar, tyre and the chassis itself is one elastic link with one compression, written down from where
its two ends are; the car rests where the energy of all links, less the work of the weights, is least. A spring of a
beam axle stands on the beam, between the wheels. Nothing of the package is in the model: no motion matrix, no stiffness
at the wheels, no warp. Rigid tyres take four unknowns away, a rigid chassis one.
"""

from dataclasses import dataclass, replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ballast.corners import Corner
from ballast.physics import platforms, stance, statics, suspension
from ballast.physics.statics import Array
from ballast.physics.suspension import Springs
from tests.properties.cars import afts, lefts, masses, mirrored, numbers

ORDER: tuple[Corner, ...] = ("LF", "RF", "LR", "RR")
GRAVITY = 9.80665
"""[m/s2]"""
KILOGRAMS = 1e-6
"""Between closed forms and eight equations of stiffnesses far apart. [kg]"""
METRES = 1e-9
"""[m]"""
ROUNDING = 1e-9
"""Of shares. [-], [m]"""


@dataclass(frozen=True)
class Axle:
    """Two wheels, left before right in each pair."""

    places: tuple[tuple[float, float], tuple[float, float]]
    """aft and left of each wheel [m]"""
    rates: tuple[float, float]
    """of the springs [N/m]"""
    ratios: tuple[float, float]
    """travel of the spring by travel of what stands under it"""
    bar: float
    """[N/m]"""
    tyres: tuple[float, float]
    """[N/m]"""
    spring_base: float | None
    """between the springs of a beam axle [m]; none for wheels that move each on its own"""

    def mirrored(self) -> "Axle":
        """Left and right exchanged."""
        (left_aft, left), (right_aft, right) = self.places
        return Axle(
            ((right_aft, -right), (left_aft, -left)),
            self.rates[::-1],
            self.ratios[::-1],
            self.bar,
            self.tyres[::-1],
            self.spring_base,
        )


@dataclass(frozen=True)
class Vehicle:
    """A car on its springs."""

    front: Axle
    rear: Axle
    soft_tyres: bool
    twist: float | None
    """[N m/rad]"""

    def patches(self) -> Array:
        """Contact patches. (4, 2) [m]"""
        return np.array([*self.front.places, *self.rear.places])

    def mirrored(self) -> "Vehicle":
        """Left and right exchanged."""
        return replace(self, front=self.front.mirrored(), rear=self.rear.mirrored())

    def springs(self) -> Springs:
        """The same car in the words of the package."""
        blocks = []
        for axle in (self.front, self.rear):
            if axle.spring_base is None:
                blocks.append(suspension.independent_axle(*axle.ratios))
            else:
                track = axle.places[0][1] - axle.places[1][1]
                blocks.append(suspension.beam_axle(*axle.ratios, axle.spring_base, track))
        return Springs(
            patches=self.patches(),
            rates=[*self.front.rates, *self.rear.rates],
            motion=suspension.motion(*blocks),
            bar_front=self.front.bar,
            bar_rear=self.rear.bar,
            tyres=[*self.front.tyres, *self.rear.tyres] if self.soft_tyres else None,
            twist=self.twist,
        )


@dataclass(frozen=True)
class Rest:
    """What the model finds."""

    loads: Array
    """change of the four loads [kg]"""
    chassis: Array
    """how far down the chassis comes above each pad [m]"""
    displaced: Array
    """heave, pitch and roll [m, m/m]"""


def at_rest(
    car: Vehicle,
    mass: float = 0.0,
    place: tuple[float, float] = (0.0, 0.0),
    on_wheels: Array | None = None,
    lifts: Array | None = None,
    pads: Array | None = None,
) -> Rest:
    """Where a car comes to rest under a mass on the chassis, masses on wheels, lifted platforms and raised pads."""
    wheel_masses, lifted, raised = (np.zeros(4) if given is None else given for given in (on_wheels, lifts, pads))
    middles = [sum(aft for aft, _ in axle.places) / 2 for axle in (car.front, car.rear)]

    def chassis(aft: float, left: float) -> Array:
        """How far the chassis comes down at a place: the cross sections turn evenly from one axle to the other."""
        along = (aft - middles[0]) / (middles[1] - middles[0])
        return np.array([0.0, 0.0, 0.0, 0.0, 1.0, aft, left, left * (along - 0.5)])

    inner: list[tuple[float, Array, float]] = []  # rate, compression by each unknown, compression set from outside
    for first, axle in ((0, car.front), (2, car.rear)):
        (aft_l, left_l), (aft_r, left_r) = axle.places
        wheel_l, wheel_r = np.eye(8)[first], np.eye(8)[first + 1]
        ends = [(chassis(aft_l, left_l), wheel_l), (chassis(aft_r, left_r), wheel_r)]
        inner.append((axle.bar, (ends[0][0] - ends[0][1]) - (ends[1][0] - ends[1][1]), 0.0))
        if axle.spring_base is not None:
            middle = (left_l + left_r) / 2
            feet = (middle + axle.spring_base / 2, middle - axle.spring_base / 2)
            ends = [
                (chassis(aft_l, y), (wheel_l * (y - left_r) + wheel_r * (left_l - y)) / (left_l - left_r)) for y in feet
            ]
        for side, (above, below) in enumerate(ends):
            inner.append((axle.rates[side], axle.ratios[side] * (above - below), float(lifted[first + side])))
    if car.twist is not None:
        inner.append((car.twist, np.eye(8)[7], 0.0))
    tyre_rates = [*car.front.tyres, *car.rear.tyres]
    tyres = [(tyre_rates[i], np.eye(8)[i], float(raised[i])) for i in range(4)] if car.soft_tyres else []

    pull = GRAVITY * mass * chassis(*place)
    pull[:4] += GRAVITY * wheel_masses
    stiffness, forces = np.zeros((8, 8)), pull.copy()
    for rate, row, preset in [*inner, *tyres]:
        stiffness += rate * np.outer(row, row)
        forces -= rate * preset * row
    free = [*(range(4) if car.soft_tyres else []), 4, 5, 6, *([7] if car.twist is not None else [])]
    x = np.zeros(8)
    if not car.soft_tyres:
        x[:4] = -raised
    x[free] = np.linalg.solve(stiffness[np.ix_(free, free)], forces[free] - stiffness[free] @ x)
    down = np.zeros(8)
    for rate, row, preset in inner:
        down -= rate * (row @ x + preset) * row
    above_pads = np.array([chassis(*spot) @ x for axle in (car.front, car.rear) for spot in axle.places])
    return Rest(down[:4] / GRAVITY + wheel_masses, above_pads, x[4:7])


rates = numbers(15e3, 250e3)
ratios = numbers(0.5, 1.3)
tyre_rates = numbers(120e3, 400e3)
bars = st.one_of(st.just(0.0), numbers(1e3, 80e3))
twists = st.one_of(st.none(), numbers(5e4, 3e6))
four = st.lists(numbers(-0.02, 0.02), min_size=4, max_size=4).map(np.array)
"""Lifts of platforms, heights of pads. [m]"""


@st.composite
def axles(draw: st.DrawFn, back: float, alike: bool, track: float | None = None) -> Axle:
    """Any axle; with left and right alike where asked for, else wheels where they like and all sorts of springs."""
    half = (draw(numbers(1.1, 2.0)) if track is None else track) / 2
    beam = draw(st.booleans())
    nudge = st.just(0.0) if alike else numbers(-0.08, 0.08)
    aft_l = back + draw(nudge)
    aft_r = aft_l if beam else back + draw(nudge)

    def pair(one: st.SearchStrategy[float]) -> tuple[float, float]:
        """One for each side."""
        first = draw(one)
        return first, first if alike else draw(one)

    return Axle(
        ((aft_l, half + draw(nudge)), (aft_r, -half + draw(nudge))),
        pair(rates),
        pair(ratios),
        draw(bars),
        pair(tyre_rates),
        draw(numbers(0.6, 1.0)) if beam else None,
    )


@st.composite
def vehicles(draw: st.DrawFn, alike: bool = False, rigid: bool = False, one_track: bool = False) -> Vehicle:
    """Any car; left and right alike, a rigid chassis, or square with one track front and rear where asked for."""
    track = draw(numbers(1.1, 2.0)) if one_track else None
    return Vehicle(
        draw(axles(0.0, alike or one_track, track)),
        draw(axles(draw(numbers(1.5, 3.5)), alike or one_track, track)),
        draw(st.booleans()),
        None if rigid else draw(twists),
    )


def levers_of(car: Vehicle, loads: Array) -> Array:
    """Total, moment about the front axle line, moment about the centre line. (3,)"""
    aft, left = car.patches().T
    return np.array([loads.sum(), aft @ loads, left @ loads])


@given(car=vehicles(), mass=masses, aft=afts, left=lefts)
def test_a_mass_on_the_chassis(car: Vehicle, mass: float, aft: float, left: float) -> None:
    """Shares, heave, pitch, roll and the lowering of each corner are those of the full model."""
    found, springs = at_rest(car, mass, (aft, left)), car.springs()
    assert np.allclose(mass * suspension.influence(springs, aft, left), found.loads, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(suspension.sink(springs, mass, aft, left), found.displaced, rtol=0.0, atol=METRES)
    assert np.allclose(suspension.lowering(springs, mass, aft, left), found.chassis, rtol=0.0, atol=METRES)


@given(car=vehicles(), wheel=st.integers(0, 3), mass=masses)
def test_a_mass_on_a_wheel(car: Vehicle, wheel: int, mass: float) -> None:
    """A mass that a wheel carries goes where the full model has it, and lowers the chassis as a lower pad does."""
    springs, on_wheels = car.springs(), mass * np.eye(4)[wheel]
    found = at_rest(car, on_wheels=on_wheels)
    corner = ORDER[wheel]
    assert np.allclose(mass * suspension.influence_of_wheel(springs, corner), found.loads, rtol=0.0, atol=KILOGRAMS)
    tyre = [*car.front.tyres, *car.rear.tyres][wheel]
    pad = -on_wheels * GRAVITY / tyre if car.soft_tyres else np.zeros(4)
    assert np.allclose(suspension.rise_on_pads(springs, pad), -found.chassis, rtol=0.0, atol=METRES)


@given(car=vehicles(), lifts=four, pads=four)
def test_platforms_and_pads(car: Vehicle, lifts: Array, pads: Array) -> None:
    """Lifted platforms and raised pads change loads and ride height as the full model does, alone and together."""
    springs = car.springs()
    wound, packed, both = at_rest(car, lifts=lifts), at_rest(car, pads=pads), at_rest(car, lifts=lifts, pads=pads)
    by_lifts, by_pads = platforms.load_change(springs, lifts), platforms.load_change_on_pads(springs, pads)
    assert np.allclose(by_lifts, wound.loads, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(by_pads, packed.loads, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(by_lifts + by_pads, both.loads, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(platforms.rise(springs, lifts), -wound.chassis, rtol=0.0, atol=METRES)
    assert np.allclose(suspension.rise_on_pads(springs, pads), -packed.chassis, rtol=0.0, atol=METRES)
    assert np.allclose(suspension.rise_on_pads(springs, platforms.as_pads(springs, lifts)), -wound.chassis, atol=METRES)
    assert np.allclose(platforms.as_platforms(springs, platforms.as_pads(springs, lifts)), lifts, atol=METRES)


@given(car=vehicles(), kilograms=numbers(-40.0, 40.0))
def test_turns_that_hold_ride_height(car: Vehicle, kilograms: float) -> None:
    """In the full model they put the kilograms on the left front, and heave, pitch and roll are exactly zero."""
    found = at_rest(car, lifts=kilograms * platforms.lifts_that_hold_height(car.springs()))
    assert np.allclose(found.loads[0], kilograms, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(levers_of(car, found.loads), 0.0, atol=KILOGRAMS)
    assert np.allclose(found.displaced, 0.0, atol=METRES)
    if car.twist is None:
        assert np.allclose(found.chassis, 0.0, atol=METRES)


@given(car=vehicles(), mass=masses, aft=afts, left=lefts)
def test_lifts_that_give_back_the_height(car: Vehicle, mass: float, aft: float, left: float) -> None:
    """In the full model heave, pitch and roll are zero again with the mass aboard, and the loads are the mass's own."""
    lifts = platforms.lifts_that_give_back(car.springs(), mass, aft, left)
    before, after = at_rest(car, mass, (aft, left)), at_rest(car, mass, (aft, left), lifts=lifts)
    assert np.allclose(after.displaced, 0.0, atol=METRES)
    assert np.allclose(after.loads, before.loads, rtol=0.0, atol=KILOGRAMS)


@given(car=vehicles(alike=True, rigid=True), aft=afts, left=lefts)
def test_a_car_alike_left_and_right(car: Vehicle, aft: float, left: float) -> None:
    """Such a car is `statics.influence` with the front share of the roll stiffness, kf tf^2 / (kf tf^2 + kr tr^2)."""
    stiff = []
    for axle in (car.front, car.rear):
        track = axle.places[0][1] - axle.places[1][1]
        lean = 1.0 if axle.spring_base is None else axle.spring_base / track
        wheel = axle.rates[0] * axle.ratios[0] ** 2 * lean**2 + 2 * axle.bar
        stiff.append(track**2 / (1 / wheel + (1 / axle.tyres[0] if car.soft_tyres else 0.0)))
    share, springs = stiff[0] / sum(stiff), car.springs()
    stands = stance.by_springs(springs, springs, springs)
    assert np.isclose(stance.front_roll_share(stands), share, rtol=0.0, atol=ROUNDING)
    found = suspension.influence(springs, aft, left)
    assert np.allclose(found, statics.influence(car.patches(), share, aft, left), rtol=0.0, atol=ROUNDING)
    even, along, _, product = suspension.warp_coefficients(springs)
    assert np.allclose([even, along, product], 0.0, atol=ROUNDING)


@given(car=vehicles(), aft=afts, left=lefts)
def test_levers_and_warp(car: Vehicle, aft: float, left: float) -> None:
    """Every influence holds its mass by levers, and is levers + n (c0 + c1 aft + c2 left + c3 aft left)."""
    springs = car.springs()
    found, bare = suspension.influence(springs, aft, left), statics.levers(car.patches(), aft, left)
    assert np.allclose(levers_of(car, found), [1.0, aft, left], rtol=0.0, atol=ROUNDING)
    assert np.allclose(levers_of(car, bare), [1.0, aft, left], rtol=0.0, atol=ROUNDING)
    added = suspension.warp_coefficients(springs) @ np.array([1.0, aft, left, aft * left])
    assert np.allclose(found, bare + added * statics.warp(car.patches()), rtol=0.0, atol=ROUNDING)


@given(car=vehicles(), mass=masses, aft=afts, left=lefts)
def test_a_mirrored_car(car: Vehicle, mass: float, aft: float, left: float) -> None:
    """A mirrored car under a mirrored mass has mirrored loads and heights, and mirrored turns mirrored changes."""
    one, other = car.springs(), car.mirrored().springs()
    straight, turned = suspension.influence(one, aft, left), suspension.influence(other, aft, -left)
    assert np.allclose(turned, mirrored(straight), rtol=0.0, atol=ROUNDING)
    down, down_turned = suspension.lowering(one, mass, aft, left), suspension.lowering(other, mass, aft, -left)
    assert np.allclose(down_turned, mirrored(down), rtol=0.0, atol=METRES)
    lifts = np.array([0.004, -0.001, 0.002, 0.0])
    changed, changed_turned = platforms.load_change(one, lifts), platforms.load_change(other, mirrored(lifts))
    assert np.allclose(changed_turned, mirrored(changed), rtol=0.0, atol=KILOGRAMS)


@given(car=vehicles(), lifts=four, pads=four)
def test_what_platforms_and_pads_cannot_do(car: Vehicle, lifts: Array, pads: Array) -> None:
    """They change no total and no moment: A^T dF = 0."""
    springs = car.springs()
    for change in (platforms.load_change(springs, lifts), platforms.load_change_on_pads(springs, pads)):
        assert np.allclose(levers_of(car, change), 0.0, atol=KILOGRAMS)


@given(car=vehicles())
def test_pads_act_through_a_matrix_of_rank_one(car: Vehicle) -> None:
    """The package's w n n^T is K - K A (A^T K A)^-1 A^T K, which has rank one: design's own formula, rigid or not."""
    springs = car.springs()
    stiff = np.linalg.inv(np.linalg.inv(suspension.at_the_wheels(springs)) + tyre_give(car))
    aft, left = car.patches().T
    front, rear = aft[:2].mean(), aft[2:].mean()
    modes = np.column_stack([np.ones(4), aft, left, left * ((aft - front) / (rear - front) - 0.5)])
    middle = modes.T @ stiff @ modes + np.diag([0.0, 0.0, 0.0, car.twist or 0.0])
    kept = slice(0, 3 if car.twist is None else 4)
    modes = modes[:, kept]
    through = stiff - stiff @ modes @ np.linalg.inv(middle[kept, kept]) @ modes.T @ stiff
    assert np.allclose(platforms.load_change_on_pads(springs, np.eye(4)), through / GRAVITY, rtol=1e-6, atol=1e-3)
    sizes = np.linalg.svd(through, compute_uv=False)
    assert sizes[1] < 1e-7 * np.abs(stiff).max()


def tyre_give(car: Vehicle) -> Array:
    """How far each tyre sinks under a force. (4, 4) [m/N]"""
    return np.diag(1 / np.array([*car.front.tyres, *car.rear.tyres])) if car.soft_tyres else np.zeros((4, 4))


@given(car=vehicles(rigid=True), height=four, tilt=numbers(-0.05, 0.05), slope=numbers(-0.05, 0.05))
def test_a_plane_tilt_of_the_pads(car: Vehicle, height: Array, tilt: float, slope: float) -> None:
    """Pads raised further, to any plane, change no load; the car rises with the plane."""
    springs, plane = car.springs(), 0.01 + car.patches() @ np.array([tilt, slope])
    level = platforms.load_change_on_pads(springs, height)
    assert np.allclose(platforms.load_change_on_pads(springs, height + plane), level, rtol=0.0, atol=KILOGRAMS)
    assert np.allclose(suspension.rise_on_pads(springs, plane), plane, rtol=0.0, atol=METRES)


@given(car=vehicles(one_track=True), lifts=four)
def test_equal_tracks(car: Vehicle, lifts: Array) -> None:
    """With equal tracks platforms never change the load on the left, nor that on the front."""
    change = platforms.load_change(car.springs(), lifts)
    assert np.allclose([change[0] + change[2], change[0] + change[1]], 0.0, atol=KILOGRAMS)


@given(car=vehicles(), mass=masses, aft=afts, left=lefts, other_aft=afts, other_left=lefts)
def test_masses_add_up(car: Vehicle, mass: float, aft: float, left: float, other_aft: float, other_left: float) -> None:
    """Two half plates are one; arrays of places give what each place gives alone."""
    springs = car.springs()
    halves = suspension.lowering(springs, [mass / 2, mass / 2], aft, left).sum(axis=0)
    assert np.allclose(halves, suspension.lowering(springs, mass, aft, left), rtol=0.0, atol=METRES)
    each = np.array([suspension.influence(springs, aft, left), suspension.influence(springs, other_aft, other_left)])
    together = suspension.influence(springs, [aft, other_aft], [left, other_left])
    assert np.allclose(together, each, rtol=0.0, atol=ROUNDING)
