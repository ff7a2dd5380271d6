"""Springs from the car file to the prediction: written to files, read and predicted, against a model of their own.

Source: the full model of `test_full_model` (wheels, heave, pitch, roll and twist solved together), first principles.
Its random cars are written down as a mechanic would, in either system of units; plates and parts are changed by a file
of changes, and `predict` has to find the readings and what the model adds to them. The check values of the design
(physics page, section 3) go the same way.
"""

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from ballast.jobs.predict import predict
from ballast.physics.statics import Array
from ballast.records.files import as_json, read_question
from ballast.records.predicted import Predicted
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads
from tests.properties.cars import mirrored, numbers
from tests.properties.test_full_model import KILOGRAMS, ORDER, Axle, Vehicle, at_rest, vehicles

POUND, INCH, GRAVITY = 0.45359237, 0.0254, 9.80665
"""Exact by definition. [kg], [m], [m/s2]"""
DEGREE = math.pi / 180
SYSTEMS: dict[str, dict[str, Any]] = {
    "metric": {"mass": ("kg", 1.0), "length": ("mm", 1e-3), "spring": ("N/mm", 1e3), "twist": ("N m/deg", 1 / DEGREE)},
    "inch": {
        "mass": ("lb", POUND),
        "length": ("in", INCH),
        "spring": ("lbf/in", POUND * GRAVITY / INCH),
        "twist": ("lbf ft/deg", POUND * GRAVITY * 12 * INCH / DEGREE),
    },
}
"""What the files call a unit, and how much of the unit of the model it is."""
QUICK = settings(max_examples=40, deadline=None, phases=[Phase.reuse, Phase.generate])
"""A car that fails is shown as it was drawn: to look for a plainer one would read and predict for minutes."""
SHARE = 1e-9


@dataclass(frozen=True)
class Thing:
    """A mass put on the chassis at a place, or on a wheel; negative when it is taken off. [kg], [m]"""

    mass: float
    place: tuple[float, float] = (0.0, 0.0)
    wheel: str = "chassis"

    def mirrored(self) -> "Thing":
        """Left and right exchanged."""
        aft, left = self.place
        other = {"LF": "RF", "RF": "LF", "LR": "RR", "RR": "LR"}.get(self.wheel, self.wheel)
        return Thing(self.mass, (aft, -left), other)


@dataclass(frozen=True)
class Plates:
    """A mount with its plates before and after."""

    place: tuple[float, float]
    each: float
    hardware: float
    before: int
    after: int

    def thing(self) -> Thing:
        """What came on, hardware included."""
        more = (self.after - self.before) * self.each + (bool(self.after) - bool(self.before)) * self.hardware
        return Thing(more, self.place)


@dataclass(frozen=True)
class Asked:
    """A car, what the pads showed, and what was done since."""

    car: Vehicle
    """with its bars, whether connected or not"""
    connected: bool
    readings: Array
    """(4,) [kg]"""
    mounts: tuple[Plates, ...]
    things: tuple[Thing, ...]
    system: str = "metric"
    rates_within: float = 10.0
    """percent"""

    def as_weighed(self, front: float = 1.0, rear: float = 1.0) -> Vehicle:
        """The car as it stood on the pads, springs and bars of the axles scaled."""
        return replace(
            self.car,
            front=scaled(self.car.front, front, self.connected),
            rear=scaled(self.car.rear, rear, self.connected),
        )

    def loads(self, front: float = 1.0, rear: float = 1.0) -> Array:
        """What the pads should show now. (4,) [kg]"""
        return self.readings + sum(
            (settled(self.as_weighed(front, rear), thing) for thing in self.changes()), np.zeros(4)
        )

    def changes(self) -> Iterator[Thing]:
        """Everything put on and taken off."""
        yield from (mount.thing() for mount in self.mounts)
        yield from self.things

    def mirrored(self) -> "Asked":
        """Left and right exchanged."""
        turned = tuple(replace(mount, place=(mount.place[0], -mount.place[1])) for mount in self.mounts)
        return replace(
            self,
            car=self.car.mirrored(),
            readings=mirrored(self.readings),
            mounts=turned,
            things=tuple(thing.mirrored() for thing in self.things),
        )

    def predicted(self) -> Predicted:
        """What the program makes of the files."""
        return predict(self.question())

    def question(self) -> Question:
        """The files written, and read by the package."""
        with TemporaryDirectory() as folder:
            names = ("car", "weigh-in", "changes")
            paths = [Path(folder) / f"{name}.toml" for name in names]
            for path, tables in zip(paths, (self.car_file(), self.weigh_in_file(), self.changes_file()), strict=True):
                path.write_text(toml(tables), encoding="utf-8")
            return read_question(paths[0], paths[1], changed=paths[2])

    def said(self, value: float, unit: str) -> float:
        """A number in the units of the files."""
        return float(value / SYSTEMS[self.system][unit][1])

    def units(self) -> dict[str, str]:
        """The table every file begins with."""
        return {unit: name for unit, (name, _) in SYSTEMS[self.system].items()}

    def at(self, place: tuple[float, float]) -> dict[str, float]:
        """A place in the words of the files."""
        return {
            "behind_front_axle": self.said(place[0], "length"),
            "left_of_centre": self.said(place[1], "length"),
        }

    def car_file(self) -> dict[str, Any]:
        """The car, every wheel in a place of its own; wheelbase and tracks only roughly those of the wheels."""
        axles = {"front": self.car.front, "rear": self.car.rear}
        tracks = {name: round(axle.places[0][1] - axle.places[1][1], 1) for name, axle in axles.items()}
        suspension: dict[str, Any] = {"rates_within": self.rates_within}
        if self.car.twist is not None:
            suspension["chassis_twist"] = self.said(self.car.twist, "twist")
        suspension |= {name: self.axle(axle) for name, axle in axles.items()}
        places = [place for axle in axles.values() for place in axle.places]
        return {
            "units": self.units(),
            "car": {
                "name": "an invented car",
                "wheelbase": self.said(round(self.car.rear.places[0][0], 1), "length"),
                "track_front": self.said(tracks["front"], "length"),
                "track_rear": self.said(tracks["rear"], "length"),
            },
            "suspension": suspension,
            "wheels": {corner: self.at(place) for corner, place in zip(ORDER, places, strict=True)},
            "mounts": [
                {"name": f"mount {number}", "capacity": self.said(1e4, "mass")}
                | {"fixing_mass": self.said(mount.hardware, "mass")}
                | self.at(mount.place)
                for number, mount in enumerate(self.mounts)
            ],
            "plates": [
                {"name": f"plate {number}", "mass": self.said(mount.each, "mass"), "count": 9}
                for number, mount in enumerate(self.mounts)
            ],
        }

    def axle(self, axle: Axle) -> dict[str, Any]:
        """One axle: one number for both sides where they are alike, else left and right."""

        def pair(values: tuple[float, float]) -> float | list[float]:
            return values[0] if values[0] == values[1] else list(values)

        left, right = axle.rates
        table: dict[str, Any] = {
            "springs": pair((self.said(left, "spring"), self.said(right, "spring"))),
            "motion_ratio": pair(axle.ratios),
        }
        if axle.bar:
            table["bar"] = self.said(axle.bar, "spring")
        if self.car.soft_tyres:
            left, right = axle.tyres
            table["tyres"] = pair((self.said(left, "spring"), self.said(right, "spring")))
        if axle.spring_base is not None:
            table |= {"axle": "beam", "spring_base": self.said(axle.spring_base, "length")}
        return table

    def weigh_in_file(self) -> dict[str, Any]:
        """One settling, and the state of the bars."""
        return {
            "units": self.units(),
            "weigh_in": {"date": date(2026, 3, 14), "bars": "connected" if self.connected else "disconnected"},
            "readings": [dict(zip(ORDER, (self.said(load, "mass") for load in self.readings), strict=True))],
            "fitted": [
                {"mount": f"mount {number}", "plate": f"plate {number}", "count": mount.before}
                for number, mount in enumerate(self.mounts)
                if mount.before
            ],
        }

    def changes_file(self) -> dict[str, Any]:
        """Plates by hand, parts put on and taken off."""
        placed = [
            {"mount": f"mount {number}", "plate": f"plate {number}", "count": mount.after}
            for number, mount in enumerate(self.mounts)
        ]
        found: dict[str, Any] = {"units": self.units(), "placed": placed, "added": [], "removed": []}
        for number, thing in enumerate(self.things):
            on_chassis = thing.wheel == "chassis"
            found["added" if thing.mass > 0 else "removed"].append(
                {"name": f"part {number}", "mass": self.said(abs(thing.mass), "mass"), "carried_by": thing.wheel}
                | (self.at(thing.place) if on_chassis else {})
            )
        return found


def scaled(axle: Axle, by: float, connected: bool) -> Axle:
    """An axle with other rates, its bar connected or not."""
    left, right = axle.rates
    return replace(axle, rates=(by * left, by * right), bar=by * axle.bar if connected else 0.0)


def settled(car: Vehicle, thing: Thing) -> Array:
    """What one thing puts on the pads by the full model. (4,) [kg]"""
    if thing.wheel == "chassis":
        return at_rest(car, thing.mass, thing.place).loads
    return at_rest(car, on_wheels=thing.mass * np.array([corner == thing.wheel for corner in ORDER])).loads


def toml(tables: dict[str, Any]) -> str:
    """A file with each of its tables on one line."""
    return "".join(f"{name} = {_written(value)}\n" for name, value in tables.items())


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_written(inner)}" for name, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_written, value)) + "]"
    return value.isoformat() if isinstance(value, date) else json.dumps(value)


def pads(case: CaseLoads) -> Array:
    """Corner loads in order. (4,) [kg]"""
    return np.array([getattr(case.corner_loads, corner) for corner in ORDER])


@st.composite
def cars_and_changes(draw: st.DrawFn) -> Asked:
    """Any car with one or two mounts and up to three changed parts, each place on or near the car."""
    car = draw(vehicles())
    back, half = car.rear.places[0][0], min(abs(left) for _, left in (*car.front.places, *car.rear.places))
    places = st.tuples(numbers(-0.4 * back, 1.4 * back), numbers(-half, half))
    mounts = st.builds(
        Plates, places, numbers(0.5, 15.0), st.sampled_from([0.0, 1.5]), st.integers(0, 3), st.integers(0, 3)
    )
    on_chassis = st.builds(Thing, st.sampled_from([12.0, -8.0, 30.5]), places)
    on_wheel = st.builds(Thing, st.sampled_from([3.5, -2.0]), st.just((0.0, 0.0)), st.sampled_from(ORDER))
    return Asked(
        car,
        draw(st.booleans()),
        np.array(draw(st.lists(numbers(400.0, 600.0), min_size=4, max_size=4))),
        tuple(draw(st.lists(mounts, min_size=1, max_size=2))),
        tuple(draw(st.lists(st.one_of(on_chassis, on_wheel), max_size=3))),
        draw(st.sampled_from(sorted(SYSTEMS))),
        draw(st.sampled_from([1.0, 10.0, 25.0])),
    )


@settings(QUICK, max_examples=80)
@given(asked=cars_and_changes())
def test_the_pads_after_plates_and_parts(asked: Asked) -> None:
    """First principles: every corner load predicted is that of the full model, whatever springs, bars and wheels."""
    assert np.allclose(pads(asked.predicted().after), asked.loads(), rtol=0.0, atol=KILOGRAMS)


@QUICK
@given(asked=cars_and_changes())
def test_the_range_of_the_rates(asked: Asked) -> None:
    """First principles: either edge is half of what the full model moves by, with one axle stiffer and one softer.

    What wheels carry is left out of it, as the program says it does: that hardly feels the springs.
    """
    found, off = asked.predicted(), asked.rates_within / 200
    bare = replace(asked, things=tuple(thing for thing in asked.things if thing.wheel == "chassis"))
    half = (bare.loads(1 + off, 1 - off) - bare.loads(1 - off, 1 + off)) / 2
    for case, way in zip(found.range, (-1, 1), strict=True):
        assert np.allclose(pads(case), asked.loads() + way * half, rtol=0.0, atol=KILOGRAMS)


def front_part(car: Vehicle) -> float:
    """Front share of the moment that a mass moved sideways makes midway between the axles, by the full model."""
    middle = float(car.patches()[:, 0].mean())
    moved = at_rest(car, 1.0, (middle, 1.0)).loads - at_rest(car, 1.0, (middle, 0.0)).loads
    return float(moved[:2] @ car.patches()[:2, 1])


@QUICK
@given(asked=cars_and_changes())
def test_the_front_roll_share_that_is_said(asked: Asked) -> None:
    """First principles: the share on the sheet, and its range, are those of the full model and its scaled rates."""
    found, off = asked.predicted().roll_share, asked.rates_within / 200
    soft, stiff = front_part(asked.as_weighed(1 - off, 1 + off)), front_part(asked.as_weighed(1 + off, 1 - off))
    value = front_part(asked.as_weighed())
    assert found.known_by == "springs"
    assert found.value == pytest.approx(value, abs=SHARE)
    assert (found.low, found.high) == pytest.approx((value - (stiff - soft) / 2, value + (stiff - soft) / 2), abs=SHARE)


@QUICK
@given(asked=cars_and_changes())
def test_a_mirrored_car(asked: Asked) -> None:
    """Design, physics page, section 3: mirrored car, mirrored answer."""
    straight, turned = asked.predicted(), asked.mirrored().predicted()
    assert np.allclose(pads(turned.after), mirrored(pads(straight.after)), rtol=0.0, atol=KILOGRAMS)
    assert turned.roll_share.value == pytest.approx(straight.roll_share.value, abs=SHARE)


@QUICK
@given(asked=cars_and_changes())
def test_two_half_plates_are_one(asked: Asked) -> None:
    """Design, physics page, section 3: twice as many plates of half the mass put the same on every pad."""
    halves = tuple(
        replace(mount, each=mount.each / 2, before=2 * mount.before, after=2 * mount.after) for mount in asked.mounts
    )
    found, other = asked.predicted(), replace(asked, mounts=halves).predicted()
    assert np.allclose(pads(other.after), pads(found.after), rtol=0.0, atol=KILOGRAMS)


@QUICK
@given(asked=cars_and_changes(), mass=numbers(1.0, 40.0))
def test_a_move_is_a_removal_and_an_addition(asked: Asked, mass: float) -> None:
    """Design, physics page, section 3: a part moved changes the pads as one taken off here and put on there."""
    here, there = asked.mounts[0].place, (asked.car.rear.places[0][0] / 2, 0.1)
    both = replace(asked, things=(Thing(-mass, here), Thing(mass, there)))
    plain = replace(asked, things=()).question()
    units, rows = plain.car.units, both.question().changed
    assert rows is not None
    moved = {"name": "part", "mass": mass, "from": place(here), "to": place(there)}
    changed = {"units": units, "placed": rows.placed, "moved": [moved]}
    found = predict(Question.model_validate(dict(plain) | {"changed": changed}))
    assert np.allclose(pads(found.after), pads(both.predicted().after), rtol=0.0, atol=KILOGRAMS)


def place(at: tuple[float, float]) -> dict[str, float]:
    """A place in metres."""
    return {"behind_front_axle": at[0], "left_of_centre": at[1]}


def test_tyres_known_on_one_axle_only() -> None:
    """First principles: tyres left out are rigid: a rear hub's mass stands on its own pad, a front one's does not."""
    soft, rigid = (200e3, 220e3), (1e12, 1e12)
    front = Axle(((0.0, 0.75), (0.0, -0.75)), (60e3, 70e3), (0.8, 0.9), 30e3, soft, None)
    rear = Axle(((2.5, 0.7), (2.5, -0.7)), (50e3, 50e3), (1.0, 1.0), 0.0, rigid, 1.0)
    things = (Thing(9.0, wheel="LF"), Thing(7.0, wheel="RR"), Thing(20.0, (1.0, 0.5)))
    asked = Asked(Vehicle(front, rear, True, 3e5), True, np.full(4, 250.0), (PLATES,), things)
    written = replace(asked, car=replace(asked.car, rear=replace(rear, tyres=soft)))  # a file holds a tyre's rate
    raw = written.question()
    rear_axle = raw.car.suspension.rear
    assert rear_axle is not None
    known = raw.car.suspension.replace(rear=rear_axle.replace(tyres=None))
    found = predict(raw.replace(car=raw.car.replace(suspension=known)))
    assert np.allclose(pads(found.after), asked.loads(), rtol=0.0, atol=1e-5)


# --- the check values of the design, through the files ---------------------------------------------------------------


PLATES = Plates((1.0, 0.5), 20.0, 0.0, 0, 1)
"""20 kg at aft 1.0 m, left 0.5 m."""


def printed(suspension: str, bars: str = "") -> dict[str, float]:
    """Corner loads in the --json of `predict`: 20 kg on four corners of 250 kg, wheelbase 2.5 m, tracks 1.5 m."""
    units = '[units]\nmass = "kg"\nlength = "mm"\nspring = "N/mm"\ntwist = "N m/deg"\n'
    car = (
        f'{units}[car]\nname = "an invented car"\nwheelbase = 2500\ntrack_front = 1500\ntrack_rear = 1500\n'
        f'{suspension}\n[[mounts]]\nname = "seat"\nbehind_front_axle = 1000\nleft_of_centre = 500\ncapacity = 50\n'
        '[[plates]]\nname = "twenty"\nmass = 20\ncount = 1\n'
    )
    weigh_in = f"{units}[weigh_in]\ndate = 2026-03-14\n{bars}\n[[readings]]\nLF = 250\nRF = 250\nLR = 250\nRR = 250\n"
    changes = f'{units}[[placed]]\nmount = "seat"\nplate = "twenty"\ncount = 1\n'
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / name for name in ("car.toml", "weigh-in.toml", "changes.toml")]
        for path, text in zip(paths, (car, weigh_in, changes), strict=True):
            path.write_text(text, encoding="utf-8")
        found = json.loads(as_json(predict(read_question(paths[0], paths[1], changed=paths[2]))))
    loads = found["after"]["corner_loads"]
    return {corner: float(loads[corner]) for corner in ORDER}


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (66.66666666666667, (260.4444, 251.5556, 256.2222, 251.7778)),
        (50, (259.3333, 252.6667, 257.3333, 250.6667)),
        (33.333333333333336, (258.2222, 253.7778, 258.4444, 249.5556)),
    ],
)
def test_check_values_by_roll_share(share: float, expected: tuple[float, ...]) -> None:
    """Design, physics page, section 3 (REF-C5): the three rows of the table."""
    found = printed(f"[suspension]\nfront_roll_share = {share}\n")
    assert tuple(found.values()) == pytest.approx(expected, abs=1e-4)


RATES = "springs = 80\nmotion_ratio = 0.8\ntyres = 220\n"
CONNECTED, DISCONNECTED = ('bars = "connected"', 'bars = "disconnected"')


@pytest.mark.parametrize(("front", "rear"), [(2, 1), (1, 1), (1, 2)])
def test_springs_whose_rates_make_the_same_roll_share(front: int, rear: int) -> None:
    """The same three rows by springs instead: rates 2:1, 1:1 and 1:2 under equal tracks and rigid tyres."""
    share = front / (front + rear)
    found = printed(f"[suspension.front]\nsprings = {30 * front}\n[suspension.rear]\nsprings = {30 * rear}\n")
    expected = (250 + 6 + 20 * share / 3, 250 + 6 - 20 * share / 3)
    assert (found["LF"], found["RF"]) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("twist", "expected"),
    [
        ("", (9.7359, 2.2641, 6.9307, 1.0693)),
        ("[suspension]\nchassis_twist = 5000\n", (9.7687, 2.2313, 6.8979, 1.1021)),
    ],
)
def test_check_values_by_springs(twist: str, expected: tuple[float, ...]) -> None:
    """Design, physics page, section 3: springs 80, motion ratio 0.8, tyres 220, bars 40/20, rigid and 5 kN m/deg.

    The page prints 2.2314 for the twisting one's RF; its own levers ask for 12 - 9.7687 = 2.2313.
    """
    axles = f"[suspension.front]\nbar = 40\n{RATES}[suspension.rear]\nbar = 20\n{RATES}"
    found = printed(twist + axles, CONNECTED)
    assert [load - 250 for load in found.values()] == pytest.approx(expected, abs=5e-5)


def test_bars_that_were_disconnected_count_for_nothing() -> None:
    """With the bars off, springs and tyres alike front and rear are a roll share of one half, whatever the bars are."""
    axles = f"[suspension.front]\nbar = 40\n{RATES}[suspension.rear]\nbar = 20\n{RATES}"
    found = printed(axles, DISCONNECTED)
    assert tuple(found.values()) == pytest.approx((259.3333, 252.6667, 257.3333, 250.6667), abs=1e-4)


def test_a_spring_nearer_to_the_pivot() -> None:
    """REF-C4 (Barton and Fieldhouse, 2018, eq. 3.29-3.33, VERIFIED): 80 N/mm at 0.6 of the arm count 28.8."""
    rear = "[suspension.rear]\nsprings = 40\n"
    inboard = printed(f"[suspension.front]\nsprings = 80\nmotion_ratio = 0.6\n{rear}")
    assert inboard == pytest.approx(printed(f"[suspension.front]\nsprings = 28.8\n{rear}"), abs=1e-9)
    share = 28.8 / 68.8  # rigid tyres, equal tracks
    assert inboard["LF"] == pytest.approx(250 + 6 + 20 * share / 3, abs=1e-9)


def test_roll_couples_go_as_roll_stiffness() -> None:
    """REF-C2 (Heisler, Advanced Vehicle Technology, sec. 10.3, VERIFIED): twice as stiff in front takes two thirds.

    A beam behind with springs 0.75 m apart under wheels 1.5 m apart is a quarter as stiff in roll as in heave: 60 N/mm
    count 15, and 30 N/mm in front are twice that (DERIVED, geometry).
    """
    beam = '[suspension.rear]\nsprings = 60\naxle = "beam"\nspring_base = 750\n'
    found = printed(f"[suspension.front]\nsprings = 30\n{beam}")
    assert tuple(found.values()) == pytest.approx((260.4444, 251.5556, 256.2222, 251.7778), abs=1e-4)
