"""Several visits in words: the newest change first, each state of the car, nothing finer than the pads can tell."""

from collections.abc import Sequence

import numpy as np

from ballast.jobs.history import history
from ballast.records.files import read_visits
from ballast.records.question import Question
from ballast.showing.history_sheet import history_sheet
from ballast.showing.text import WIDTH, laid_out
from tests.conftest import Golden
from tests.jobs.test_history import EXAMPLE, LOADS, fitted, visit


def words(visits: Sequence[Question]) -> str:
    """The sheet in one line, after a look at its width."""
    shown = laid_out(history_sheet(visits, history(visits)))
    assert max(map(len, shown.splitlines())) <= WIDTH
    assert all(line == line.rstrip() for line in shown.splitlines())
    return " ".join(shown.split())


def top(said: str) -> str:
    """What stands above the first section."""
    return said.partition(" VISITS ")[0]


def test_the_example_reads_as_somebody_last_read_it(golden: Golden) -> None:
    """The example with three visits."""
    names = ("weigh-in-february.toml", "weigh-in-march.toml", "weigh-in.toml")
    visits = read_visits(EXAMPLE / "car.toml", [EXAMPLE / name for name in names])
    shown = laid_out(history_sheet(visits, history(visits)))
    golden("sheets/history-beam-axle-coupe.txt", shown)
    assert max(map(len, shown.splitlines())) <= WIDTH


def test_a_change_is_said_on_top_with_its_interval() -> None:
    """5 kg that no file names, on the left front wheel."""
    said = words([visit(0), visit(9, LOADS + np.array([5, 0, 0, 0]))])
    assert "Since 2026-03-01, beyond what is known to differ and what the pads can tell: total +5.0 kg (+/- " in top(
        said
    )
    assert "5.0 kg came that no file names." in said


def test_mass_that_went_is_said_to_have_gone() -> None:
    """The same the other way round."""
    assert "5.0 kg went that no file names." in words([visit(0), visit(9, LOADS - np.array([5, 0, 0, 0]))])


def test_nothing_changed_is_said_on_top() -> None:
    """The same car twice: a sentence, and nobody has to read a table."""
    assert "Since 2026-03-01 nothing changed that these pads can tell" in top(words([visit(0), visit(9)]))


def test_a_change_of_the_diagonal_alone_is_told_from_mass() -> None:
    """3 kg of warp: platforms and the like, no mass."""
    said = words([visit(0), visit(9, LOADS + 3 * np.array([1, -1, -1, 1]))])
    assert (
        "Only the diagonal changed: platforms, tyre pressures, bars and uneven pads move it, and no mass does." in said
    )
    assert "no file names" not in said


def test_what_differs_is_named_with_its_mass() -> None:
    """Two plates and the hardware of their mount: +10 and +1 kg, a column for what they do, and none without them."""
    by_levers = 11 * np.array([3, 1, 3, 1]) / 8
    said = words([visit(0), visit(9, LOADS + by_levers, more=fitted("left", 2))])
    assert "2 x 5 kg, left +10.0 kg, hardware of left +1.0 kg" in said
    assert "by sums now left over" in said
    assert "fitted 2 x 5 kg on left" in said
    assert "by sums now" not in words([visit(0), visit(9)])


def test_what_cannot_be_compared_is_said_on_top_and_why_below() -> None:
    """A tank that was full and then drained, of a car file without tanks."""
    said = words([visit(0), visit(9, LOADS - 5, fuel="drained")])
    assert "Not compared with 2026-03-01: total, front, left, RF+LR; the reason is below." in top(said)
    assert "Fuel: full, then drained, and the car file has no [[tanks]]" in said
    assert "- - not compared" in said
    assert "nothing changed" not in said


def test_pads_come_before_the_car() -> None:
    """Exchanged pads are named on top, and the remedy below."""
    said = words([visit(0), visit(9, LOADS[[0, 2, 1, 3]])])
    assert "LOOK AT THE PADS FIRST: pads exchanged, RF with LR, would give the earlier visit back" in top(said)
    assert "Stand on each pad" in said


def test_a_dead_pad_comes_before_the_car() -> None:
    """5 % of what it read before."""
    said = words([visit(0), visit(9, LOADS * [1, 1, 1, 0.05])])
    assert "LOOK AT THE PADS FIRST: the pad under RR seems dead" in top(said)


def test_mass_on_one_wheel_may_be_the_pad_or_the_car() -> None:
    """5 kg on one wheel, or 276 kg shown as 281: 101.8 %. Nobody can tell from here, and the top does not say pads."""
    said = words([visit(0), visit(9, LOADS + np.array([5, 0, 0, 0]))])
    assert "what the wheel LF carries changed, or that pad reads 101.8 % of what it did" in said
    assert "LOOK AT THE PADS" not in said


def test_a_line_is_said_over_its_days_and_by_the_day() -> None:
    """0.1 kg a day over 60 days."""
    said = words([visit(day, LOADS + day / 40) for day in (0, 20, 40, 60)])
    assert "Over 4 visits in 60 days total rose by 6.0 kg (+/- " in said
    assert "95 %) along a straight line: 0.1 kg a day." in said


def test_a_falling_diagonal_is_in_points_and_said_once() -> None:
    """1 kg of warp a fortnight takes 2 / 1074 of the total from RF+LR, 0.56 points in three."""
    said = words([visit(day, LOADS + day / 14 * np.array([1, -1, -1, 1])) for day in (0, 14, 28, 42)])
    assert "diagonal RF+LR fell by 0.56 points" in said
    assert "diagonal LF+RR rose" not in said


def test_no_line_is_said_too() -> None:
    """Three visits to one car that stayed as it was; two visits have no line to look for."""
    assert "no figure follows a straight line" in words([visit(0), visit(9), visit(20)])
    assert "No line was looked for" in words([visit(0), visit(9)])


def test_the_pooled_value_says_what_it_is_for() -> None:
    """Six degrees of freedom, factor 2.45 (JCGM 100, table G.2), and 4.30 for three settlings alone."""
    said = words([visit(0), visit(9), visit(20)])
    assert "Pooled from 9 settlings" in said
    assert "6 degrees of freedom, factor 2.45" in said
    assert "To use it: a visit on these pads that is read once" in said


def test_one_reading_each_is_told_to_read_again() -> None:
    """Nothing shows the scatter."""
    once = [
        question.replace(weigh_in=question.weigh_in.replace(readings=question.weigh_in.readings[:1]))
        for question in (visit(0), visit(9))
    ]
    assert "Every visit was read once, so the scatter is assumed" in words(once)


def test_a_visit_that_was_not_settled_is_named() -> None:
    """One of three visits scatters by 5 kg a pad."""
    rows = [dict(zip(("LF", "RF", "LR", "RR"), map(float, LOADS + off), strict=True)) for off in (-5, 0, 5)]
    said = words([visit(0), visit(9, more={"readings": rows}), visit(20)])
    assert "The settlings of 2026-03-10 scatter far more than the others" in top(said)


def test_the_state_of_each_visit_is_told() -> None:
    """Driver, fuel, bars, ballast by rule and the note."""
    said = words([visit(0, driver=None, fuel=None), visit(9, bars="connected", success_ballast=15.0, note="wet floor")])
    assert "2026-03-01: driver not said; fuel not said; no plates fitted." in said
    assert "Who sat in the car: driver not said, then in, and no file says what that weighs" in said
    assert "driver in; fuel full; bars connected; no plates fitted; 15 kg success ballast; wet floor." in said


def test_what_nobody_said_is_said_to_be_taken_as_alike() -> None:
    """Neither driver nor fuel in either file; and fuel as it finishes is a word, not a mass."""
    said = words([visit(0, driver=None, fuel=None), visit(9, driver=None, fuel=None)])
    assert "Driver and fuel not said in either file, and taken as alike." in said
    finishes = words([visit(0, fuel="as it finishes"), visit(9, fuel="as it finishes")])
    assert "Fuel as it finishes is taken as the same at both visits." in finishes
