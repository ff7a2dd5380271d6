"""What two visits to the pads have apart that is known: plates, driver, fuel, spares, ballast by rule, the bars."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ballast.physics.stance import RECTANGULAR, Stance, shares
from ballast.physics.statics import Array
from ballast.physics.uncertainty import Changes, predicted_covariance
from ballast.planning.stances import bars_at_weigh_in, stance
from ballast.planning.states import Piece, State, apart, weighed_state
from ballast.records.question import Question


@dataclass(frozen=True)
class Part:
    """Something that the later state has more, or less (negative), than the earlier one. kg and m."""

    what: str
    mass: float
    place: tuple[float, float] | None
    mass_off: float
    """standard uncertainty"""
    place_off: float
    """standard uncertainty, either way"""
    weighed_as: str
    """parts of one name share one error of mass"""
    taped_as: str
    """parts of one name share one error of place"""


@dataclass(frozen=True)
class Apart:
    """What a later state has more than an earlier one, as far as it is known."""

    parts: tuple[Part, ...]
    known: bool
    """whether all that differs is among the parts"""
    same_bars: bool
    stands: Stance
    remarks: tuple[str, ...]

    @property
    def placed(self) -> bool:
        """Whether every part has a place; without, the total alone is known."""
        return all(part.place is not None for part in self.parts)

    def mass(self) -> float:
        """All of it. [kg]"""
        return sum(part.mass for part in self.parts)

    def loads(self) -> Array:
        """On the corners, (4,), of the parts that have a place. [kg]"""
        loads = np.zeros(4)
        for part in self.parts:
            if part.place is not None:
                loads += part.mass * shares(self.stands, *part.place)
        return loads

    def spread(self) -> Array:
        """Covariance of the corner loads, (4, 4); a part without a place is shared out evenly, for the total. [kg2]"""
        middle = self.stands.patches.mean(axis=0)
        changes = Changes(
            masses=[part.mass for part in self.parts],
            places=[part.place or middle for part in self.parts],
            mass_uncertainties=[part.mass_off for part in self.parts],
            place_uncertainties=[[part.place_off] * 2 for part in self.parts],
            pieces=[part.weighed_as for part in self.parts],
            mounts=[part.taped_as for part in self.parts],
        )
        return predicted_covariance(np.zeros((4, 4)), changes, self.stands)


def between(here: Question, there: Question) -> Apart:
    """What the state at one visit (`there`) has more than at another (`here`)."""
    was, now = _moment(here, "earlier"), _moment(there, "later")
    told, known = there if there.weigh_in.visit.spare_mass else here, True
    pieces: list[Piece] = []
    remarks: list[str] = []
    for name, only in (
        ("who sat in the car", replace(was, seat=now.seat, sitting=now.sitting)),
        ("fuel", replace(was, fuel=now.fuel, volumes=now.volumes)),
        ("spare wheels", replace(was, spares=now.spares)),
    ):
        found = apart(told, was, only)
        if found is None:
            known = False
            remarks.append(f"{name}: {_why_not_known(name, here, there)}")
        pieces += found or ()
    pieces += _by_rule(here, there)
    bars = bars_at_weigh_in(here), bars_at_weigh_in(there)
    if bars[0] != bars[1]:
        remarks.append(f"the bars were {bars[0]}, then {bars[1]}: the diagonal belongs to one state of them")
    if unplaced := sorted({piece.name for piece in pieces if piece.place is None and piece.mass}):
        remarks.append(f"the place of {' and '.join(unplaced)} is not known, so only the total is compared")
    parts = (
        Part(piece.name, piece.mass, piece.place, piece.mass_off, piece.place_off, f"part {number}", f"part {number}")
        for number, piece in enumerate(pieces)
        if piece.mass or piece.mass_off
    )
    return Apart(
        parts=(*_plates(here, there), *parts),
        known=known,
        same_bars=bars[0] == bars[1],
        stands=stance(there.car, bars[1]),
        remarks=(*remarks, *_not_said(here, there)),
    )


def _moment(question: Question, moment: str) -> State:
    """The state at a visit. The same litres at two visits are two guesses, however they were written."""
    state = weighed_state(question)
    volumes = {
        tank: (volume, within, moment if within else when) for tank, (volume, within, when) in state.volumes.items()
    }
    return replace(state, volumes=volumes)


def _why_not_known(name: str, here: Question, there: Question) -> str:
    was, now = here.weigh_in.visit, there.weigh_in.visit
    match name:
        case "fuel":
            return (
                f"{was.fuel or 'not said'}, then {now.fuel or 'not said'}, and the car file has no [[tanks]] that say "
                "what that weighs"
            )
        case "spare wheels":
            return (
                f"{'not said' if was.spares is None else was.spares}, then "
                f"{'not said' if now.spares is None else now.spares}, and their number or spare_mass is missing"
            )
    return (
        f"driver {was.driver or 'not said'}, then {now.driver or 'not said'}, and no file says what that weighs "
        "([[drivers]] or driver_mass)"
    )


def _not_said(here: Question, there: Question) -> Iterator[str]:
    """What neither file says and may yet have differed."""
    was, now, car = here.weigh_in.visit, there.weigh_in.visit, there.car
    silent = []
    if was.driver is None and now.driver is None:
        silent.append("driver")
    if was.fuel is None and now.fuel is None and not car.tanks:
        silent.append("fuel")
    if was.bars is None and now.bars is None and car.suspension.has_bars:
        silent.append("bars")
    if silent:
        yield f"{' and '.join(silent)} not said in either file, and taken as alike"
    if was.fuel == now.fuel == "as it finishes" and not car.tanks:
        yield "fuel as it finishes is taken as the same at both visits"


def _by_rule(here: Question, there: Question) -> Iterator[Piece]:
    """Ballast of the rulebook that was aboard at one visit more than at the other."""
    book, was, now = there.rulebook, here.weigh_in.visit, there.weigh_in.visit
    for name, mass, rule in (
        ("success ballast", now.success_ballast - was.success_ballast, book.success_ballast if book else None),
        ("driver ballast", now.driver_ballast - was.driver_ballast, book.driver_ballast if book else None),
    ):
        if mass:
            yield Piece(name, mass, rule.place if rule else None)


def _plates(here: Question, there: Question) -> Iterator[Part]:
    """Plates and hardware that stood on the car at one visit and not at the other."""
    for mount in there.car.mounts:
        counts = [[visit.fitted(mount.name, plate.name) for plate in there.car.plates] for visit in (here, there)]
        place, off = (mount.behind_front_axle, mount.left_of_centre), mount.place_within * RECTANGULAR
        for plate, was, now in zip(there.car.plates, *counts, strict=True):
            if more := now - was:
                what, unsure = f"{abs(more)} x {plate.name}, {mount.name}", abs(more) * plate.mass_within * RECTANGULAR
                yield Part(what, more * plate.mass, place, unsure, off, plate.name, mount.name)
        if mass := (any(counts[1]) - any(counts[0])) * mount.fixing_mass:
            what = f"hardware of {mount.name}"
            yield Part(what, mass, place, 0.0, off, what, mount.name)
