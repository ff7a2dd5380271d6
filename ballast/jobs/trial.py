"""What known masses and known platform turns tell of the springs, in a form for the car file."""

import math
from collections.abc import Iterator

import numpy as np

from ballast.corners import CORNERS, FRONT, REAR, Corner
from ballast.jobs.attempts import Attempts, attempted, levers_of_turns, levers_of_weights
from ballast.physics import learning, misfit
from ballast.physics.learning import Fit
from ballast.physics.platforms import platform_sensitivity
from ballast.physics.stance import RECTANGULAR, by_roll_share, by_springs, front_roll_share
from ballast.physics.statics import Array, warp
from ballast.planning import stances
from ballast.records.question import Question
from ballast.records.suspension import UNKNOWN_ROLL_SHARE
from ballast.records.trials import Trials
from ballast.records.tried import (
    CoefficientsFound,
    CountedOn,
    ForCarFile,
    Foreseen,
    PerTurn,
    ShareFound,
    ShareVerdict,
    Tried,
    TurnsTried,
    WeightTried,
    Worth,
    WouldTell,
)

TWICE = 2.0
"""Standard uncertainties in half of a 95 % interval."""
WANTED = 0.05
"""Half of the interval of a front roll share that is worth having: 5 points. Common practice, no source."""
TOO_WIDE = (UNKNOWN_ROLL_SHARE[2] - UNKNOWN_ROLL_SHARE[1]) / 2
"""Half of the interval from which a trial tells no more than what is assumed without one."""
NOT_OF_A_CAR = 0.5
"""Warp, as a share of a mass, beyond which no springs bring it. Common practice, no source."""
MISFIT = 0.01
"""Chance of a misfit below which it is not put down to settling."""
UNLIKE = 0.05
"""Chance below which a car is not taken as alike left and right."""
GOOD_TURN, ROUGH_TURN = 0.1, 0.5
"""Half of the interval of a load per turn, as a share of it, to which it is good, or tells at all. Common practice, no
source."""
USUAL_TURN = 2.0
"""Load of a turn where springs are not known: 2 mm on springs of 80 N/mm put on 2 to 3 kg. Common practice, no source.
[kg]"""
EDGE = 0.001
"""How near to none or all of the roll stiffness a share for the car file may come."""
REPEATS = (2, 3, 5)
"""Settlings for which it is said what they would give."""


def trial(question: Question, trials: Trials, file: str = "the file of trials") -> Tried:
    """Front roll share or warp coefficients from trial weights, and the load of a turn from known turns.

    question : the car, and the weigh-in before the trials; file : name of the file of trials, for complaints.
    Raises InputError where a weight cannot have stood where the file says, or the pads saw another mass.
    """
    attempts = attempted(question, trials, file)
    given = (attempts.patches, attempts.settlings, attempts.weights, attempts.doubt)
    fit = learning.front_roll_share(*given) if attempts.read else None
    share = _share(attempts, fit) if fit else None
    found = _coefficients(attempts, fit) if fit and learning.tells_all(attempts.weights) else None
    per_turn = tuple(
        _per_turn(attempts, corner) for corner in CORNERS if any(t.corner == corner for t in attempts.trials.turns)
    )
    thought = _thought(attempts, fit)
    uncertain = learning.foreseen(*given, thought) if attempts.weights else 0.0
    worth = _worth(TWICE * uncertain, WANTED, TOO_WIDE) if attempts.weights and not attempts.read else None
    for_car_file = _for_car_file(attempts, share, found, per_turn)
    told = for_car_file.front_roll_share is not None or for_car_file.learned is not None
    return Tried(
        units=attempts.car.units,
        car=attempts.car.chassis.name,
        date=attempts.trials.conditions.date or attempts.visit.date,
        bars=attempts.bars,
        weighed=attempts.trials.weighed,
        weights=tuple(_weights(attempts, fit, thought)),
        share=share,
        coefficients=found,
        worth=worth,
        foreseen_now=uncertain,
        foreseen=_more_settlings(attempts, thought) if attempts.weights and (not told or worth) else (),
        would_tell=_would_tell(attempts, thought) if TWICE * uncertain > WANTED else None,
        turns=tuple(_turned(attempts)),
        per_turn=per_turn,
        for_car_file=for_car_file,
        counted_on=_counted_on(attempts),
        tells=(told or not attempts.read)
        and worth != "not worth doing"
        and all(each.verdict in {"tells", "worth doing", "rough"} for each in per_turn),
    )


def _share(attempts: Attempts, fit: Fit) -> ShareFound:
    value, uncertain = float(fit.values[0]), float(fit.uncertain[0])
    chance = fit.chance if fit.degrees else None
    impossible = not -TWICE * uncertain <= value <= 1 + TWICE * uncertain
    springs = attempts.bars is not None or not attempts.car.suspension.has_bars
    return ShareFound(
        front_roll_share=value,
        uncertain=uncertain,
        chance=chance,
        verdict=_verdict(uncertain, TOO_WIDE, impossible, chance),
        in_car_file=attempts.car.suspension.front_roll_share,
        by_springs=_share_by_springs(attempts) if springs else None,
        more_at_front=_more_at_front(attempts),
    )


def _more_at_front(attempts: Attempts) -> float:
    """How much more a share is at the front axle than midway between the axles, by the twist of the chassis."""
    low, high = (by_roll_share(attempts.patches, share).by_place[2] for share in (0.0, 1.0))
    return float(-attempts.twist * attempts.car.chassis.wheelbase / 2 / (high - low))


def _share_by_springs(attempts: Attempts) -> float | None:
    springs = stances.springs_of(attempts.car, attempts.bars or "disconnected")
    return None if springs is None else front_roll_share(by_springs(springs, springs, springs))


def _thought(attempts: Attempts, fit: Fit | None) -> float:
    """The share by which trials are foreseen: as found where it can be, else by the car file."""
    known = front_roll_share(stances.stance(attempts.car, attempts.bars or "disconnected"))
    return min(1.0, max(0.0, float(fit.values[0]) if fit else known))


def _more_settlings(attempts: Attempts, share: float) -> tuple[Foreseen, ...]:
    found = []
    for each in REPEATS:
        weights, doubt = learning.repeated(attempts.weights, attempts.doubt, each)
        uncertain = learning.foreseen(attempts.patches, each, weights, doubt, share)
        found.append(Foreseen(settlings=each, uncertain=uncertain))
    return tuple(found)


def _would_tell(attempts: Attempts, share: float) -> WouldTell | None:
    if not attempts.weights:
        return None
    wanted = WANTED / TWICE
    times = learning.times_the_mass(
        attempts.patches, attempts.settlings, attempts.weights, attempts.doubt, share, wanted
    )
    heaviest = max(float(np.abs(weight.masses).max()) for weight in attempts.weights)
    return WouldTell(
        wanted=WANTED,
        times=times,
        mass=None if times is None else times * heaviest,
        settlings=learning.settlings_for(attempts.patches, attempts.weights, attempts.doubt, share, wanted),
    )


def _coefficients(attempts: Attempts, alike: Fit) -> CoefficientsFound:
    fit = learning.coefficients(attempts.patches, attempts.settlings, attempts.weights, attempts.doubt)
    half, length = attempts.car.chassis.track_front / 2, attempts.car.chassis.wheelbase
    as_told = np.array([[1.0, 0.0, 0.0], [1.0, length, 0.0], [0.0, 0.0, half]])  # the inverse of stances.stance
    values, covariance = as_told @ fit.values, as_told @ fit.covariance @ as_told.T
    uncertain = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    within = misfit.never_less(covariance) / RECTANGULAR
    chance = fit.chance if fit.degrees else None
    alike_chance = misfit.chance_of(max(alike.chi_square - fit.chi_square, 0.0), alike.degrees - fit.degrees, fit.known)
    impossible = bool((np.abs(values) - TWICE * uncertain > NOT_OF_A_CAR).any())
    return CoefficientsFound(
        at_front_axle=float(values[0]),
        at_rear_axle=float(values[1]),
        to_the_left=float(values[2]),
        uncertain=_three(uncertain),
        within=_three(within),
        chance=chance,
        alike_chance=alike_chance,
        unlike=alike_chance < UNLIKE,
        verdict=_verdict(float(uncertain.max()), TOO_WIDE / 2, impossible, chance),  # half a track is half a car
    )


def _weights(attempts: Attempts, fit: Fit | None, share: float) -> Iterator[WeightTried]:
    levers = list(levers_of_weights(attempts))
    for number, (weight, tried) in enumerate(zip(attempts.trials.weights, attempts.weights, strict=True)):
        uncertain = learning.foreseen(attempts.patches, attempts.settlings, [tried], attempts.doubt, share)
        alone = None
        if tried.change is not None and uncertain < 1.0:
            alone = learning.front_roll_share(attempts.patches, attempts.settlings, [tried], attempts.doubt)
        yield WeightTried(
            name=weight.name or f"weight {number + 1}",
            masses=weight.all_masses(),
            settlings=len(weight.readings) or None,
            levers=levers[number],
            front_roll_share=float(alone.values[0]) if alone else None,
            uncertain=uncertain if uncertain < 1.0 else None,
            off=float(fit.off[number]) if fit and fit.degrees else None,
        )


def _turned(attempts: Attempts) -> Iterator[TurnsTried]:
    for turned, levers in zip(attempts.trials.turns, levers_of_turns(attempts), strict=True):
        yield TurnsTried(
            corner=turned.corner, turns=turned.turns, settlings=len(turned.readings) or None, levers=levers
        )


def _per_turn(attempts: Attempts, corner: Corner) -> PerTurn:
    wound = [
        (turned.turns, tried)
        for turned, tried in zip(attempts.trials.turns, attempts.turns, strict=True)
        if turned.corner == corner
    ]
    by_rates = _per_turn_by_springs(attempts, corner)
    verdict: ShareVerdict | Worth
    if not attempts.trials.weighed:
        usual = by_rates[0] if by_rates else USUAL_TURN
        turns, tried = max(wound, key=lambda each: abs(each[0]))
        weighed = learning.foreseen_per_turn(attempts.patches, corner, attempts.settlings, turns, tried, attempts.doubt)
        load, chance, uncertain = None, None, math.hypot(weighed, usual * attempts.doubt.turns / turns)
        verdict = _worth(TWICE * uncertain / usual, GOOD_TURN, ROUGH_TURN)
    else:
        fit = learning.load_per_turn(attempts.patches, corner, attempts.settlings, wound, attempts.doubt)
        load, uncertain = float(fit.values[0]), float(fit.uncertain[0])
        chance = fit.chance if fit.degrees else None
        verdict = _verdict(uncertain, ROUGH_TURN * abs(load), load < -TWICE * uncertain, chance)
    return PerTurn(
        corner=corner,
        load=load,
        uncertain=uncertain,
        chance=chance,
        by_springs=by_rates[0] if by_rates else None,
        by_springs_uncertain=by_rates[1] if by_rates else None,
        verdict=verdict,
    )


def _per_turn_by_springs(attempts: Attempts, corner: Corner) -> tuple[float, float] | None:
    """Load of a turn by the rates of the car file, and its standard uncertainty by rates_within. [kg]"""
    axle = attempts.car.suspension.front if corner in FRONT else attempts.car.suspension.rear
    if axle is None or axle.lift_per_turn is None or (attempts.car.suspension.has_bars and attempts.bars is None):
        return None
    at, lift, off = CORNERS.index(corner), axle.lift_per_turn, attempts.car.suspension.rates_within

    def load(front: float = 1.0, rear: float = 1.0) -> float:
        springs = stances.springs_of(attempts.car, attempts.bars or "disconnected", front, rear)
        if springs is None:
            return 0.0
        return float(lift * platform_sensitivity(springs)[at] * warp(attempts.patches)[at])

    by_axle = (load(1 + off) - load(1 - off), load(1.0, 1 + off) - load(1.0, 1 - off))
    return (load(), math.hypot(*by_axle) / 2 * RECTANGULAR) if load() else None


def _for_car_file(
    attempts: Attempts, share: ShareFound | None, found: CoefficientsFound | None, per_turn: tuple[PerTurn, ...]
) -> ForCarFile:
    """What is sure enough to be written down. Half widths are of rectangles, as the program takes them there."""
    learned = found if found and found.verdict == "tells" and (found.unlike or _fails(share)) else None
    value, within = None, None
    if share and share.verdict == "tells" and not (found and found.unlike):
        half = share.uncertain / RECTANGULAR
        value = min(max(share.front_roll_share, EDGE + half), 1 - EDGE - half)  # the whole width has to be of a car
        within = half
    loads = {each.corner: each.load for each in per_turn if each.verdict == "tells" and each.load is not None}
    lines = ForCarFile(
        front_roll_share=value,
        front_roll_share_within=within,
        learned=learned,
        front_load_per_turn=_pair(loads, FRONT) if attempts.car.suspension.front else None,
        rear_load_per_turn=_pair(loads, REAR) if attempts.car.suspension.rear else None,
    )
    return lines if lines.empty else lines.replace(measured_with_bars=attempts.bars)


def _counted_on(attempts: Attempts) -> CountedOn:
    conditions, scatter = attempts.trials.conditions, attempts.doubt.scatter
    return CountedOn(
        settlings_before=attempts.settlings,
        own_readings=bool(attempts.trials.readings),
        scatter=scatter.warp,
        degrees=scatter.degrees,
        resolution=attempts.doubt.resolution * math.sqrt(12),
        resolution_as_written=attempts.step_as_written,
        mass_within=conditions.mass_within,
        place_within=conditions.place_within,
        turns_within=conditions.turns_within,
    )


def _verdict(uncertain: float, too_wide: float, impossible: bool, chance: float | None) -> ShareVerdict:
    if TWICE * uncertain > too_wide:
        return "cannot tell"
    if impossible:
        return "impossible"
    return "does not fit" if chance is not None and chance < MISFIT else "tells"


def _worth(half: float, good: float, useless: float) -> Worth:
    """half : of the interval to come."""
    if half <= good:
        return "worth doing"
    return "rough" if half <= useless else "not worth doing"


def _fails(share: ShareFound | None) -> bool:
    return share is None or share.verdict in {"does not fit", "impossible"}


def _pair(loads: dict[Corner, float], axle: tuple[Corner, ...]) -> tuple[float, float] | None:
    """Left and right; where one side was turned, the other is taken to be like it."""
    known = [loads[corner] for corner in axle if corner in loads]
    if not known:
        return None
    left, right = (loads.get(corner, known[0]) for corner in axle)
    return left, right


def _three(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])
