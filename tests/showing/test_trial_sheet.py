"""Trials in words: cautions first, no digit too many, lines for the car file, and what to do when it cannot tell.

That the pasted lines are TOML and mean what was found is tested with the job, in tests/jobs/test_trial.py.
"""

from typing import Any

import numpy as np
import pytest

from ballast.jobs.trial import trial
from ballast.records.car import Car
from ballast.records.question import Question
from ballast.records.trials import Trials
from ballast.showing.learned_lines import Fine, points
from ballast.showing.text import WIDTH, laid_out
from ballast.showing.trial_sheet import trial_sheet
from tests.jobs.test_trial import BASE, SPRUNG, WARP, asked, brought, car, settled, trials, unlike, weight

SETTLED = (0.3, 0.0, -0.3)


def text(question: Question, given: Trials) -> str:
    """The sheet as a terminal shows it."""
    return laid_out(trial_sheet(trial(question, given)))


def words(question: Question, given: Trials) -> str:
    """The same in one line, so that no sentence is broken."""
    return " ".join(text(question, given).split())


def one(share: float = 0.62, mass: float = 40, *off: float, **more: Any) -> Trials:
    """One weight on the left sill."""
    return trials(weight(mass, 1.0, 0.6, brought(mass, 1.0, 0.6, share), *(off or SETTLED), name="left sill", **more))


def before(of: Car | None = None, **more: Any) -> Question:
    """A weigh-in that settles to 0.3 kg."""
    return asked(of, *SETTLED, **more)


def turned(corner: str, turns: float, change: float) -> dict[str, Any]:
    """A table of turns that brought so many kg of warp."""
    return {"corner": corner, "turns": turns, "readings": settled(BASE + change * WARP, *SETTLED)}


def test_cautions_stand_before_the_procedure_and_both_before_the_numbers() -> None:
    """Whoever reads from the top reads of tying down before of weighing."""
    said = words(before(), one())
    phrases = (
        "Two people for a heavy",
        "tie it down",
        "Nobody beneath",
        "under a car on a jack",
        "PROCEDURE",
        "THE WEIGHTS",
    )
    places = [said.index(phrase) for phrase in phrases]
    assert places == sorted(places)


@pytest.mark.parametrize("given", [one(), unlike(0.04, -0.03, *SETTLED), one(0.6, 10, 2.0, -2.0)])
def test_no_line_is_too_wide(given: Trials) -> None:
    """The sheet fits a terminal of 80 columns."""
    assert max(map(len, text(before(), given).splitlines())) <= WIDTH


@pytest.mark.parametrize(
    ("wide", "value", "shown", "interval"),
    [(4.2, 61.38, "61", "5"), (2.1, 61.38, "61.4", "2.1"), (0.21, 1.797, "1.80", "0.21"), (45.0, 61.38, "61", "45")],
)
def test_digits_no_finer_than_the_interval(wide: float, value: float, shown: str, interval: str) -> None:
    """By hand: the last digit is a third of the interval or less; the interval is rounded up."""
    assert (Fine(wide).text(value), Fine(wide).interval()) == (shown, interval)
    assert points(0.021).wide == pytest.approx(4.2)


def test_the_share_in_a_sentence() -> None:
    """u = 0.3 sqrt(2/3) 2.78/2 x 1.5 / 24 = 0.0213, and what tape and bench scale add: 4.3 points, shown as 5."""
    assert "Front roll share 62 %, +/- 5 points (95 %)." in words(before(), one())


@pytest.mark.parametrize(("now", "word"), [(60, "within"), (75, "outside")])
def test_what_the_car_file_says_now_is_judged(now: float, word: str) -> None:
    """62 % was measured, give or take 5."""
    said = words(before(car(front_roll_share=now / 100)), one())
    assert f"The car file says {now} %, which is {word} the interval." in said


def test_what_cannot_tell_says_so_and_what_would() -> None:
    """10 kg on pads that settle to 2 kg: no better than what is assumed; heavier, further out, or more often."""
    said = words(asked(None, 2.0, 0.0, -2.0), one(0.6, 10, 2.0, 0.0, -2.0))
    assert "CANNOT TELL: the front roll share comes to" in said and "Without a trial 50 +/- 15 % is assumed" in said
    assert "WRITE THIS" not in said
    assert "For +/- 5 points: a weight of" in said and "at the same place" in said
    assert "Settlings of each weighing" in said and "an offset counts as much as a mass" in said


def test_before_weighing() -> None:
    """Nothing read yet: whether it is worth doing, and nothing for the car file."""
    place = {"mass": 40, "behind_front_axle": 1.0, "left_of_centre": 0.6}
    said = words(before(), trials(place))
    assert (
        "not weighed yet" in said
        and "Worth doing: these weights would give the front roll share to +/- 5 points" in said
    )
    assert "WRITE THIS" not in said and "with the weighings to come" in said
    poor = words(before(), trials(place | {"mass": 4}, turns=[{"corner": "LF", "turns": 0.25}]))
    assert "NOT WORTH DOING as it is" in poor and "NOT WORTH DOING: the turns at LF" in poor
    assert "At LF, twice as many turns give half of the interval" in poor


def test_three_numbers_in_a_sentence() -> None:
    """Warp of 4 % at the front axle, 4 - 7.5 % at the rear one; share 0.6: (0.6 - 0.5) / 2 = 5 % half a track out."""
    said = words(asked(None, 0.1, 0.0, -0.1), unlike(0.04, -0.03, 0.1, 0.0, -0.1))
    assert "The car is not alike left and right" in said
    assert "LF carries, beyond its levers, 4.0 +/-" in said and "-3.5 +/-" in said and "to the left 5.00 +/-" in said
    assert "[suspension.learned]" in said and "Take front_roll_share out" in said
    alike = words(asked(None, 0.1, 0.0, -0.1), unlike(0.0, 0.0, 0.1, 0.0, -0.1))
    assert "cannot show it" not in said
    assert "nothing says that it is not" in alike and "Take [suspension.learned] out" in alike


def test_three_numbers_from_three_weights_may_be_a_slip() -> None:
    """Nothing is left over to show one that is wrong, and that is said."""
    four = unlike(0.04, -0.03, 0.1, 0.0, -0.1)
    said = words(asked(None, 0.1, 0.0, -0.1), four.replace(weights=four.weights[:3]))
    assert "or one of the three weights is wrong: three numbers from three weights cannot show it" in said


def test_three_numbers_that_are_not_sure_enough() -> None:
    """Unlike, surely, on light weights: neither the share nor the three numbers are written down."""
    places = [(0.5, 0.4), (1.3, -0.6), (2.6, 0.4), (1.3, 0.6)]
    given = trials(
        *(weight(6, *place, brought(6, *place, 0.6) + 6 * 0.4 * WARP * (place[0] - 1.3), *SETTLED) for place in places)
    )
    said = words(before(), given)
    assert "CANNOT TELL: the car is not alike left and right" in said and "WRITE THIS" not in said


def test_a_misfit_is_said_with_its_chance_and_its_likely_culprit() -> None:
    """Three weights of 0.6 and one that brings 3 kg of warp too much."""
    places = [(1.1, 0.6), (1.1, -0.6), (1.1, 0.3), (1.1, -0.3)]
    rows = [weight(40, *place, brought(40, *place, 0.6), *SETTLED) for place in places]
    rows[2] = weight(40, *places[2], brought(40, *places[2], 0.6) + 3 * WARP, *SETTLED, name="door")
    said = words(before(), trials(*rows))
    assert "'door' is furthest off." in said
    assert "THE WEIGHTS DO NOT FIT EACH OTHER" in said and "WRITE THIS" not in said
    assert "Look for a mass or a place mistyped, steering or pressures that moved" in said
    assert "do not fit each other" not in words(before(), one())


def test_an_impossible_share() -> None:
    """130 % of the roll stiffness in front."""
    said = words(before(), one(1.3))
    assert "NO CAR HAS THIS: the front roll share comes to 130 %" in said and "two pads exchanged" in said


def test_what_the_pads_saw_of_a_mass() -> None:
    """38.8 of 40 kg, and a place 100 mm off: told with the interval, when settling does not explain it."""
    scale = 38.8 / 40
    given = trials(weight(40, 1.0, 0.6, scale * brought(40, 1.0, 0.7, 0.6), name="bag"))
    said = words(asked(resolution=0.01), given)
    assert "Of 'bag' the pads saw 38.8 kg of 40.0 kg, further off than they repeat" in said
    assert "By the pads 'bag' was 0.079 m further left than written" in said
    assert "further off than they repeat" not in words(before(), one())


def test_several_masses_of_one_trial_have_a_row_each() -> None:
    """Moved from the right sill to the left: one name, two rows, and 0 kg more on the pads."""
    masses = [
        {"mass": 20, "behind_front_axle": 1.0, "left_of_centre": 0.6},
        {"mass": -20, "behind_front_axle": 1.0, "left_of_centre": -0.6},
    ]
    change = brought(20, 1.0, 0.6, 0.6) - brought(20, 1.0, -0.6, 0.6)
    given = trials({"name": "moved", "masses": masses, "readings": settled(BASE + change, *SETTLED)})
    table = text(before(), given).partition("THE WEIGHTS\n")[2].partition("\n\n")[0].splitlines()
    assert len(table) == 3 and table[1].split()[:2] == ["moved", "20"] and table[2].split()[0] == "-20"


def test_turns_in_sentences() -> None:
    """A turn that tells, beside its springs (1.79719 kg by the design's check values); a wrong sign; one lost."""
    question = before(car(**SPRUNG), bars="connected")
    good = words(question, trials(turns=[turned("LF", 4, 4 * 1.8)]))
    assert "One turn up at LF puts 1.80 kg on LF, +/-" in good and "1.80 +/-" in good
    assert 'measured_with_bars = "connected"' in good and "load_per_turn = 1.800" in good
    assert "RF was not turned: it is taken to be like the other side" in good
    assert "springs of the car file say something else" not in good
    assert "UP IS DOWN: one turn up at LF takes 1.80 kg off LF" in words(
        question, trials(turns=[turned("LF", 4, -7.2)])
    )
    assert "CANNOT TELL: one turn up at LF comes to" in words(question, trials(turns=[turned("LF", 0.25, 0.45)]))
    other = words(question, trials(turns=[turned("LF", 4, 4 * 3.2)]))
    assert "At LF the springs of the car file say something else than the pads" in other


def test_turns_that_do_not_fit_each_other() -> None:
    """Four turns say 1.8 kg and two say 3.5 kg."""
    said = words(before(), trials(turns=[turned("LF", 4, 7.2), turned("LF", 2, 7.0)]))
    assert "THE TURNS AT LF DO NOT FIT EACH OTHER" in said and "look for turns miscounted" in said


def test_a_total_that_changed_with_turns() -> None:
    """3 kg more than before, on pads that repeat: something else changed."""
    turns = turned("LF", 4, 7.2) | {"readings": settled(BASE + 0.75 + 7.2 * WARP)}
    assert "With +4 turns at LF the total changed by 3.0 kg" in words(asked(resolution=0.1), trials(turns=[turns]))


def test_the_share_of_a_chassis_that_twists() -> None:
    """Where it is that of the middle, that is said."""
    known = SPRUNG | {"chassis_twist": 100e3}
    said = words(before(car(**known), bars="connected"), one())
    assert "It is that of a mass midway between the axles. The chassis twists (chassis_twist)" in said


def test_what_was_counted_on_is_said() -> None:
    """Settlings, scatter with its degrees of freedom, the step of the pads, masses and tape."""
    said = words(before(resolution=0.2), one())
    assert (
        "Before: 3 settlings, from the weigh-in." in said and "0.3 kg (standard deviation, 4 degrees of freedom" in said
    )
    assert "Pads in steps of 0.2 kg; weights within 0 kg and 0 m each way" in said
    assert "assumed: none was repeated" in words(asked(None, 0.0), one(0.6, 40, 0.0))
    own = one().replace(readings=Trials.model_validate({"units": one().units, "readings": settled(BASE)}).readings)
    assert "Before: 2 settlings, from the file of trials." in words(before(), own)


def test_nothing_of_numpy_is_left_in_the_answer() -> None:
    """The record holds plain numbers, so that it can be written as JSON."""
    tried = trial(before(), unlike(0.04, -0.03, *SETTLED))
    assert not any(isinstance(value, np.generic) for value in _values(tried.model_dump()))


def _values(part: Any) -> list[Any]:
    if isinstance(part, dict):
        return [value for inner in part.values() for value in _values(inner)]
    return [value for inner in part for value in _values(inner)] if isinstance(part, list | tuple) else [part]
