"""What a sheet says of the springs behind its diagonal, sentence by sentence, in the words a mechanic reads.

Source: the sentences themselves, read aloud; what must be in them is said in each test.
"""

from datetime import date
from typing import Any

import pytest

from ballast.jobs.predict import predict
from ballast.records.plan import KnownBy, RollShare
from ballast.records.question import Question
from ballast.showing.predicted_sheet import predicted_sheet
from ballast.showing.springs import HOW_TO_MEASURE_ROLL_SHARE, bars, on_springs
from ballast.showing.text import laid_out

UNITS = {"mass": "kg", "length": "m"}
BAR: dict[str, Any] = {"front": {"springs": 60e3, "bar": 30e3}, "rear": {"springs": 50e3}}
NO_BAR: dict[str, Any] = {"front": {"springs": 60e3}, "rear": {"springs": 50e3}}
ABOUT = "the diagonal RF+LR after this plan"
ENDS = ("49.8", "50.4")


def question(weighed: str | None = None, **suspension: Any) -> Question:
    """A car of which that much is known, its bars so at the weigh-in."""
    asked = {
        "car": {
            "units": UNITS,
            "car": {"name": "an invented car", "wheelbase": 2.5, "track_front": 1.5, "track_rear": 1.5},
            "suspension": suspension,
            "mounts": [{"name": "seat", "behind_front_axle": 1.0, "left_of_centre": 0.5, "capacity": 30.0}],
            "plates": [{"name": "ten", "mass": 10.0, "count": 2}],
        },
        "weigh_in": {
            "units": UNITS,
            "weigh_in": {"date": date(2026, 3, 14)} | ({"bars": weighed} if weighed else {}),
            "readings": [{"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0}],
        },
    }
    return Question.model_validate(asked)


def behind(known_by: KnownBy) -> RollShare:
    """A front share of 61.3 %, 59.38 to 63.22."""
    return RollShare(value=0.613, low=0.5938, high=0.6322, known_by=known_by)


def said(asked: Question, known_by: KnownBy, ends: tuple[str, str] = ENDS, unsure: bool = True) -> list[str]:
    """The sentences, in order."""
    return list(on_springs(asked, behind(known_by), ABOUT, ends, unsure))


def on_bars(asked: Question, known_by: KnownBy = "springs") -> list[str]:
    """The sentences about the bars, in order."""
    return list(bars(asked, behind(known_by)))


# --- who knows it, and how well --------------------------------------------------------------------------------------


def test_nothing_is_known() -> None:
    """What is assumed, what it may come to, and how to know more; the number belongs to no axle but the front."""
    guess = RollShare(value=0.5, low=0.35, high=0.65, known_by="assumption")
    first, second, _ = on_springs(question(), guess, ABOUT, ENDS)
    assert first == (
        "How the springs share a load off the centre line is not known: 50 % of the roll stiffness at the front is "
        "assumed. If it is 35 to 65 %, the diagonal RF+LR after this plan is from 49.8 to 50.4 %."
    )
    assert second == HOW_TO_MEASURE_ROLL_SHARE


def test_how_to_know_more_is_said_once() -> None:
    """A sheet that says it elsewhere may leave it out; who has measured is never told to."""
    assert HOW_TO_MEASURE_ROLL_SHARE not in said(question(), "assumption", unsure=False)
    for known_by, asked in (
        ("roll share", question(front_roll_share=0.613)),
        ("springs", question("connected", **BAR)),
    ):
        assert HOW_TO_MEASURE_ROLL_SHARE not in said(asked, known_by)  # type: ignore[arg-type]


def test_how_to_measure_names_the_command_and_the_key() -> None:
    """A mass and where it goes, the command that works it out, the sum by hand, and where to write it."""
    for word in ("20 kg / 45 lb", "far to the left", "settle", "`ballast trial`", "[suspension] front_roll_share"):
        assert word in HOW_TO_MEASURE_ROLL_SHARE
    # Design, physics page, section 6: s = d(LF-RF) tf / (2 m left), in percent.
    assert "100 x change of (LF - RF) x front track / (2 x mass x its distance left" in HOW_TO_MEASURE_ROLL_SHARE


def test_a_roll_share_by_the_car_file() -> None:
    """Whose it is, its range, and what that leaves of the diagonal."""
    assert said(question(front_roll_share=0.613), "roll share")[0] == (
        "Front roll share 61.3 %, by the car file; over its range of 59.38 to 63.22 % the diagonal RF+LR after this "
        "plan is from 49.8 to 50.4 %."
    )


def test_what_trial_weights_told() -> None:
    """A learned car need not be one roll share: "about"."""
    told = {"at_front_axle": 0.0, "at_rear_axle": 0.0, "to_the_left": 0.02, "within": (0.001, 0.001, 0.002)}
    assert said(question(learned=told), "trial weights")[0] == (
        "How the springs share a load was learned from trial weights (about 61.3 % of the roll stiffness at the "
        "front); over what they leave open the diagonal RF+LR after this plan is from 49.8 to 50.4 %."
    )


def test_springs_by_the_car_file() -> None:
    """How far the rates may be off is the car file's own number, front against rear; a tenth of a percent is plenty."""
    assert said(question("connected", rates_within=0.08, **BAR), "springs")[0] == (
        "Springs by the car file: front roll share 61.3 %; with rates up to 8 % off, front against rear, 59.4 to "
        "63.2 %, and the diagonal RF+LR after this plan is from 49.8 to 50.4 %."
    )


@pytest.mark.parametrize("known_by", ["assumption", "roll share", "trial weights", "springs"])
def test_ends_that_the_pads_cannot_tell_apart(known_by: KnownBy) -> None:
    """Two ends that print alike are said once."""
    (first, *_) = said(question("connected", **BAR), known_by, ("50.1", "50.1"))
    assert first.endswith("the diagonal RF+LR after this plan is still 50.1 %.")
    assert "from 50.1" not in first


# --- which bars ------------------------------------------------------------------------------------------------------


def test_bars_nobody_spoke_of() -> None:
    """Without a word in the weigh-in the diagonal holds for the bars as they were."""
    assert on_bars(question(), "assumption") == [
        "The diagonal holds for the bars as they were at the weigh-in (connected or not)."
    ]


def test_a_car_on_springs_without_bars() -> None:
    """Where the car file gives the springs and no bar, there is none to speak of: nothing is said."""
    assert on_bars(question(**NO_BAR)) == []


@pytest.mark.parametrize("state", ["connected", "disconnected"])
def test_weighed_as_it_is_raced(state: str) -> None:
    """One short sentence."""
    assert on_bars(question(state, raced_with_bars=state, **BAR)) == [
        f"The diagonal holds for the bars {state}, as at the weigh-in."
    ]


def test_weighed_without_the_bars_it_is_raced_with() -> None:
    """The usual way of weighing: what to do next, and in which order."""
    assert on_bars(question("disconnected", **BAR)) == [
        "The diagonal holds for the bars disconnected, as at the weigh-in. The car is raced with them: connect them "
        "without preload and weigh once more."
    ]


def test_weighed_with_the_bars_it_is_raced_without() -> None:
    """The other way round."""
    assert on_bars(question("connected", raced_with_bars="disconnected", **BAR)) == [
        "The diagonal holds for the bars connected, as at the weigh-in. The car is raced without them: weigh it "
        "without them."
    ]


def test_disconnected_where_there_are_none() -> None:
    """Springs without bars in the car file: nothing to connect, whatever the car is raced with by default."""
    assert on_bars(question("disconnected", **NO_BAR)) == [
        "The diagonal holds for the bars disconnected, as at the weigh-in."
    ]


def test_bars_of_a_car_whose_springs_are_not_known() -> None:
    """The file names no bar, and the weigh-in speaks of them: there are some."""
    (only,) = on_bars(question("disconnected", front_roll_share=0.6), "roll share")
    assert only.endswith("connect them without preload and weigh once more.")


@pytest.mark.parametrize("known_by", ["roll share", "trial weights"])
def test_measured_with_other_bars(known_by: KnownBy) -> None:
    """What was measured with the bars on is less sure with the bars off, and it says so; alike, it says nothing."""
    other = question("disconnected", raced_with_bars="disconnected", measured_with_bars="connected")
    assert on_bars(other, known_by)[1:] == [
        "What is known of the springs was measured with the bars connected, and the car was weighed with them "
        "disconnected: the diagonal foreseen is less sure than it looks."
    ]
    same = question("disconnected", raced_with_bars="disconnected", measured_with_bars="disconnected")
    assert len(on_bars(same, known_by)) == 1


def test_rates_know_their_bars() -> None:
    """Rates of springs and bars hold for either state: how something else was measured does not matter."""
    asked = question("disconnected", measured_with_bars="connected", raced_with_bars="disconnected", **BAR)
    assert len(on_bars(asked, "springs")) == 1


def test_the_bars_come_last() -> None:
    """First the springs, then the state they hold for."""
    assert said(question("connected", **BAR), "springs")[-1] == (
        "The diagonal holds for the bars connected, as at the weigh-in."
    )


# --- what a wheel carries ---------------------------------------------------------------------------------------------


def predicted(**suspension: Any) -> str:
    """The sheet of a prediction with a new disc on the left front hub, in one line."""
    asked = question("connected", **suspension)
    disc = {"name": "disc", "mass": 4.0, "carried_by": "LF"}
    asked = Question.model_validate(dict(asked) | {"changed": {"units": UNITS, "added": [disc]}})
    return " ".join(laid_out(predicted_sheet(asked, predict(asked))).split())


ALONE = "What a wheel carries is counted on its own pad alone"
TYRES: dict[str, Any] = {"front": BAR["front"] | {"tyres": 220e3}, "rear": BAR["rear"] | {"tyres": 220e3}}


def test_a_hub_over_rigid_tyres() -> None:
    """Without the rates of the tyres a hub's mass stands on its own pad, and the sheet says so."""
    assert ALONE in predicted(**BAR)


def test_a_hub_over_soft_tyres() -> None:
    """With them some of it is handed on, and there is nothing to say."""
    assert ALONE not in predicted(**TYRES)


def test_a_hub_where_what_was_measured_goes_first() -> None:
    """A roll share goes before the springs, and keeps of them what it does not tell: what tyres hand on."""
    assert ALONE not in predicted(front_roll_share=0.6, **TYRES)
