"""Platform turns: which platforms to turn and how far, so that the diagonal is where it is wanted."""

from collections.abc import Iterator

from ballast.corners import CORNERS
from ballast.errors import Complaint, InputError
from ballast.jobs.not_wound import not_wound
from ballast.jobs.pads import sound
from ballast.jobs.standing import case_loads
from ballast.jobs.turning import Turning, nothing_known, turning
from ballast.jobs.winding import CLOSEST, DIAGONALLY, FURTHEST, winding
from ballast.physics.quality import repeatability
from ballast.physics.statics import ON_DIAGONAL, ON_LEFT, Array
from ballast.planning.bands import Band, bands
from ballast.planning.task import readings
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.turns import KnownFrom, OneTurn, Wound


def wind(
    question: Question,
    height_within: float | None = None,
    car_file: str = "the car file",
    weigh_in_file: str = "the weigh-in file",
) -> Wound:
    """Turns that bring the diagonal into its band: at one corner, at two, and with ride height held.

    height_within : how far ride height may move where it is held, in the car file's unit; its own where left out.
    Raises InputError where nothing tells what is wanted, or what a turn does.
    """
    question = sound(question)
    car, bars, pads = question.car, question.weigh_in.visit.bars, question.weigh_in.pads
    settled = readings(question)
    loads, repeat = settled.mean(axis=0), repeatability(settled)
    wanted = bands(question, repeat)
    band = next((each for each in wanted if each.figure in DIAGONALLY), None)
    known = turning(car, bars)
    within = car.suspension.platforms.height_within
    if height_within is not None:
        within = car.units.units().inside(height_within, "length")
    found = [
        *_no_target(band, car_file),
        *nothing_known(question, known, (car_file, weigh_in_file)),
        *_too_loose(within, car),
    ]
    if found or band is None or known is None:
        raise InputError(found)
    rf_lr = float(known.null @ ON_DIAGONAL["RF+LR"])
    return Wound(
        units=car.units,
        car=car.chassis.name,
        date=question.weigh_in.visit.date,
        bars=bars,
        raced_with_bars=car.suspension.raced_with_bars,
        before=case_loads("as weighed", car, loads, car.chassis.centre_of_gravity_height),
        one_turn=tuple(_one_turn(known, loads)),
        known_turns_not_used=known.other_bars,
        known_turns_bars_unsaid=known.bars_unsaid,
        step=known.step,
        height_within=within,
        left_points_by_diagonal=float(known.null @ ON_LEFT) / rf_lr,
        winding=winding(car, known, loads, band, within, repeat.rear_pair if band.is_mass else repeat.diagonal),
        not_wound=tuple(not_wound(question, loads, wanted)),
        settlings=len(settled),
        corrected=pads.corrected.what if pads.corrected else (),
    )


def _too_loose(within: float, car: Car) -> Iterator[Complaint]:
    units = car.units.units()
    if not CLOSEST <= within <= FURTHEST:
        low, high = (f"{units.outside(limit, 'length'):.3g} {units.length}" for limit in (CLOSEST, FURTHEST))
        yield Complaint(
            "is no closeness that ride height can be held to",
            f"name a length from {low} to {high}.",
            "--within",
            f"{units.outside(within, 'length'):g}",
        )


def _no_target(band: Band | None, car_file: str) -> Iterator[Complaint]:
    if band is None:
        yield Complaint(
            "is missing: platforms bring the diagonal where it is wanted, and nothing says where that is",
            'write diagonal = { corners = "RF+LR", aim = 50, within = 0.5 } below [targets], or rear_pair.',
            "[targets] diagonal",
            file=car_file,
        )


def _one_turn(known: Turning, loads: Array) -> Iterator[OneTurn]:
    rise = known.rise_by_turn
    points = known.null @ ON_DIAGONAL["RF+LR"] / loads.sum() / known.null
    for number, corner in enumerate(CORNERS):
        if known.by_turn[number]:
            known_from: KnownFrom = "known turns" if known.taught[number] else "springs"
            yield OneTurn(
                corner=corner,
                load=float(known.by_turn[number]),
                known_from=known_from,
                diagonal_points=float(known.by_turn[number] * points[number]),
                rise=None if rise is None else float(rise[number, number]),
            )
