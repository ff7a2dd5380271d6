"""Several visits to the pads: what changed from one to the next, and how well one car repeats."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ballast.jobs.between_visits import between
from ballast.jobs.pads import examine, sound
from ballast.jobs.standing import case_loads
from ballast.physics import drift
from ballast.physics.instruments import pad_covariance
from ballast.physics.pads import exchanged, one_pad_off
from ballast.physics.statics import Array
from ballast.physics.uncertainty import assumed_covariance, uncertainties
from ballast.planning.stances import patches
from ballast.planning.task import pads_covariance
from ballast.records.history import (
    Difference,
    FigureChange,
    History,
    HistoryFigure,
    OtherPads,
    PooledRepeat,
    Step,
    Told,
    Trend,
    Visited,
)
from ballast.records.question import Question
from ballast.scrutineering.inspection import inspect_weighed

FIGURES: tuple[HistoryFigure, ...] = ("total", "front", "left", "RF+LR")
"""The first of `uncertainty.FIGURES`. LF+RR is what RF+LR leaves, and as sure."""
OTHER_SET = "the files say different things of the pads, so they are taken for two sets, each with its own errors"
TOTAL, DIAGONAL = FIGURES.index("total"), FIGURES.index("RF+LR")


def history(questions: Sequence[Question]) -> History:
    """What two or more visits of one car say together, the oldest first whatever their order; in the car file's units.

    questions : one for each weigh-in, with the same car and rulebook. Raises ValueError for fewer than two.
    """
    if len(questions) < 2:
        raise ValueError("a history takes two visits or more")
    asked = [_read(one) for one in sorted(questions, key=lambda question: question.weigh_in.visit.date)]
    car, newest = asked[-1].question.car, asked[-1].question
    names = _names(asked)
    sets = [rows for one in asked for rows in one.sets]
    together = drift.pooled(sets, assumed_covariance(asked[-1].mean, patches(car)))
    total, front, left, diagonal, pair = map(float, together.deviations)
    odd = drift.unlike([one.sets[0] for one in asked]).tolist()
    lined = _trends(asked, together)
    return History(
        units=car.units,
        car=car.chassis.name,
        visits=tuple(_visited(one, name) for one, name in zip(asked, names, strict=True)),
        steps=tuple(
            _step(asked[number], asked[number + 1], (names[number], names[number + 1]), together)
            for number in range(len(asked) - 1)
        ),
        repeat=PooledRepeat(
            settlings=sum(map(len, sets)),
            degrees_of_freedom=together.degrees,
            factor=together.factor,
            total=total,
            front_percent=front,
            left_percent=left,
            diagonal_percent=diagonal,
            rear_pair=pair,
        ),
        unlike=tuple(name for name, alone in zip(names, odd, strict=True) if alone),
        trend_over=tuple(names[number] for number in lined[0]),
        trends=lined[1],
        findings=inspect_weighed(newest) if newest.rulebook else (),
    )


@dataclass(frozen=True)
class _Weighed:
    """One visit with its readings put right."""

    question: Question
    """with corrected readings"""
    sets: tuple[Array, ...]
    """settlings, (n, 4): as stood first, and turned about where that was done [kg]"""
    corrections: Array
    """what the corrections may still be off, (k, 4) [kg]"""

    @property
    def mean(self) -> Array:
        """The mean of the sets' means, (4,). [kg]"""
        return np.asarray(np.mean([rows.mean(axis=0) for rows in self.sets], axis=0))

    @property
    def count(self) -> float:
        """How many settlings of one set would give a mean as sure."""
        return len(self.sets) ** 2 / sum(1 / len(rows) for rows in self.sets)


def _read(question: Question) -> _Weighed:
    found = examine(question)
    return _Weighed(
        sound(question), tuple(rows for rows in (found.first, found.turned) if len(rows)), found.corrections
    )


def _names(asked: Sequence[_Weighed]) -> list[str]:
    """The day of each visit, with a number where there are several of one day."""
    days = [one.question.weigh_in.visit.date.isoformat() for one in asked]
    seen, several, names = Counter[str](), Counter(days), []
    for day in days:
        seen[day] += 1
        names.append(f"{day} ({seen[day]})" if several[day] > 1 else day)
    return names


def _visited(one: _Weighed, name: str) -> Visited:
    weigh_in, car = one.question.weigh_in, one.question.car
    return Visited(
        name=name,
        visit=weigh_in.visit,
        fuel=weigh_in.fuel,
        substitute=weigh_in.substitute,
        fitted=weigh_in.fitted,
        settlings=sum(map(len, one.sets)),
        measured=case_loads(name, car, one.mean, car.chassis.centre_of_gravity_height),
    )


# --- from visit to visit -------------------------------------------------------------------------------------------


def _step(here: _Weighed, there: _Weighed, names: tuple[str, str], together: drift.Pooled) -> Step:
    differs = between(here.question, there.question)
    was, now, counts = here.mean, there.mean, (here.count, there.count)
    besides = differs.spread() + _of_pads(here, there)
    within = drift.change_within(together, counts, now, besides)
    foreseen = was + differs.loads()
    before, expected, after = (drift.figures_of(loads) for loads in (was, foreseen, now))
    expected[TOTAL] = before[TOTAL] + differs.mass()
    changes = []
    for row, figure in enumerate(FIGURES):
        known = differs.known and (row == TOTAL or differs.placed) and (row != DIAGONAL or differs.same_bars)
        values = float(before[row]), float(expected[row]), float(after[row])
        changes.append(_change(figure, values, float(within[row]), known))
        if row == DIAGONAL:
            changes.append(_change("LF+RR", (1 - values[0], 1 - values[1], 1 - values[2]), float(within[row]), known))
    suspects: tuple[OtherPads, ...] = ()
    if differs.known and differs.same_bars and differs.placed:
        suspects = tuple(_other_pads(now, foreseen, drift.difference_covariance(together, counts, besides)))
    return Step(
        since=names[0],
        until=names[1],
        differences=tuple(Difference(what=part.what, mass=part.mass) for part in differs.parts if part.mass),
        not_known=(*differs.remarks, *([OTHER_SET] if not _same_pads(here, there) else [])),
        figures=tuple(changes),
        other_pads=suspects,
    )


def _change(figure: HistoryFigure, values: tuple[float, float, float], within: float, known: bool) -> FigureChange:
    """One figure before, as the known differences would have it, and now: kg or shares."""
    before, expected, now = values
    told: Told = "not compared"
    if known:
        told = "changed" if abs(now - expected) > within else "not told apart"
    return FigureChange(
        dimension="mass" if figure == "total" else "percent",
        figure=figure,
        before=before,
        by_sums=expected - before if known else None,
        now=now,
        left_over=now - expected if known else None,
        within=within if known else None,
        told=told,
    )


def _of_pads(here: _Weighed, there: _Weighed) -> Array:
    """What the pads add to the uncertainty of a difference, (4, 4). [kg2]

    One set of pads errs alike at both visits; its steps and what was measured to correct it do not. Pads of which the
    files say different things are taken for two sets, each with its own errors.
    """
    if _same_pads(here, there):
        return _own(here) + _own(there)
    return np.asarray(sum(pads_covariance(one.question, one.mean) for one in (here, there)))


def _same_pads(here: _Weighed, there: _Weighed) -> bool:
    return here.question.weigh_in.pads.alike(there.question.weigh_in.pads)


def _own(one: _Weighed) -> Array:
    """Steps of the display, and what the corrections may still be off: new at every visit. (4, 4) [kg2]"""
    return pad_covariance(one.mean, one.question.weigh_in.pads.resolution, corrections=one.corrections)


def _other_pads(now: Array, expected: Array, covariance: Array) -> Iterator[OtherPads]:
    """Exchanged pads, or one that reads otherwise than before, as far as they explain a change."""
    swaps, singles = exchanged(now, expected, covariance), one_pad_off(now, expected, covariance)
    found = [(swap.left_over, OtherPads(exchanged=swap.pairs)) for swap in swaps]
    found += [(pad.left_over, OtherPads(one_pad=pad.corner, gain=pad.gain)) for pad in singles]
    yield from (pads for _, pads in sorted(found, key=lambda entry: entry[0]))


# --- over all visits -----------------------------------------------------------------------------------------------


def _trends(asked: Sequence[_Weighed], together: drift.Pooled) -> tuple[tuple[int, ...], tuple[Trend, ...]]:
    """Numbers of the visits in which a line was looked for, and the figures that follow one.

    Every visit is brought into the state of the newest; one that cannot be, had the bars otherwise, or stood on other
    pads is left out.
    """
    numbers, means, offs = [], [], []
    for number, one in enumerate(asked):
        differs = between(one.question, asked[-1].question)
        if differs.known and differs.placed and differs.same_bars and _same_pads(one, asked[-1]):
            loads = one.mean + differs.loads()
            besides = differs.spread() + _own(one)
            numbers.append(number)
            means.append(drift.figures_of(loads))
            offs.append(uncertainties(loads, besides))
    days = [asked[number].question.weigh_in.visit.date.toordinal() for number in numbers]
    line = drift.trend(days, np.array(means), [asked[number].count for number in numbers], together, np.array(offs))
    if line is None:
        return (), ()
    found = []
    for row in np.flatnonzero(line.shown[: len(FIGURES)]).tolist():
        rate = float(line.rates[row])
        for figure, value in ((FIGURES[row], rate), *([("LF+RR", -rate)] if row == DIAGONAL else [])):
            found.append(
                Trend(
                    dimension="mass" if row == TOTAL else "percent",
                    figure=figure,
                    per_day=value,
                    within_per_day=float(line.within[row]),
                    days=days[-1] - days[0],
                )
            )
    return tuple(numbers), tuple(found)
