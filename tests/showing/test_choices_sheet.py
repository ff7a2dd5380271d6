"""Plans to choose from, in words: one table, what stands in each, how to take one, and what mass buys."""

from functools import cache
from typing import Any

import pytest

from ballast.jobs.choices import choices
from ballast.jobs.plan import plan
from ballast.records.plan import Alternative, Answer, Choices, CurvePoint
from ballast.records.wishes import WishName
from ballast.showing.choices_sheet import choices_sections
from ballast.showing.sheet import Sheet
from ballast.showing.text import WIDTH, laid_out
from tests.random_cars import small_question
from tests.showing import crew_answers

NAME = "fewest plates to handle, whatever the balance"
ORDER: tuple[WishName, ...] = ("changes", "balance", "stop", "mass", "height", "aim", "pieces", "yaw")
CURVE = ((0.0, 0.0100, 0.0080), (1.0, 0.0060, 0.0050), (3.0, 0.0, 0.0))
"""kg over the required total, miss and bound as shares."""


@cache
def solved() -> Answer:
    """A small car with six plans to choose from."""
    return choices(small_question(9), 6)


def offered(answer: Answer) -> Choices:
    """What is offered; there has to be something."""
    assert answer.choices is not None
    return answer.choices


def invented(*more: dict[str, Any], **changed: Any) -> Answer:
    """The first plan of that car, and others made up number by number."""
    answer = solved()
    first = offered(answer).alternatives[0]
    others = tuple(first.replace(**({"name": NAME, "order": ORDER} | one)) for one in more)
    return answer.replace(choices=offered(answer).replace(**({"alternatives": (first, *others)} | changed)))


def text(answer: Answer) -> str:
    """The sections as a terminal shows them."""
    return laid_out(Sheet("A car", (), tuple(choices_sections(answer))))


def words(answer: Answer) -> str:
    """The same in one line, so that no sentence is broken."""
    return " ".join(text(answer).split())


def test_without_choices_nothing_is_said() -> None:
    """A plan without others has no sections about them."""
    assert list(choices_sections(solved().replace(choices=None))) == []


def test_it_fits_a_terminal_of_80_columns() -> None:
    """With the longest names, the most columns and a plan that is not proved, no line is wider or ends in blanks."""
    found = {"outcome": "best found in the time"}
    wide: dict[str, Any] = {
        "over_required": 1234.5,
        "miss_points": 0.1234,
        "aim_points": 0.2345,
        "plates": 123,
        "moves": 123,
        "raised": 0.123,
        "yaw": 1234.5,
        "plan": solved().plan.replace(**found),
    }
    for answer in (solved(), invented(wide, wide, wide, not_tried=(NAME, NAME, NAME))):
        for line in text(answer).splitlines():
            assert len(line) <= WIDTH, line
            assert line == line.rstrip()


def test_every_plan_has_a_letter_and_its_figures_with_units() -> None:
    """Letters run from A; the row below the head says the units; a miss of 0.29 points reads 0.29."""
    answer = invented({"miss_points": 0.0029, "over_required": 1.26, "plates": 6, "moves": 4, "yaw": 62.7})
    said = text(answer)
    assert "A as asked for" in said
    cells = next(line for line in said.splitlines() if line.startswith("  B fewest plates")).split()
    assert cells[-7] == "0.29"
    assert cells[-5:-2] == ["1.3", "6", "4"]
    assert cells[-1] == "63"
    head = said.splitlines()[said.splitlines().index("PLANS TO CHOOSE FROM") + 2]
    assert head.split() == ["points", "points", "kg", "m", "kg", "m2"]


def test_what_the_columns_mean_is_said() -> None:
    """Each short head is explained, and which way is better."""
    said = words(solved())
    for head in ("miss: ", "off aims: ", "over: ", "touch: ", "up: ", "yaw: "):
        assert head in said
    assert "Less is better in each." in said


def test_how_to_take_another_is_said() -> None:
    """For every plan but the first there is an order to ask for, whole on its line."""
    lines = [line.strip() for line in text(invented({})).splitlines()]
    assert f"To take B: --order {','.join(ORDER)}" in lines
    assert not any(line.startswith("To take A") for line in lines)


def test_what_stands_in_each_is_the_plan() -> None:
    """Every count of every plan is there, mount by mount, under its letter."""
    said = text(solved())
    part = said[said.index("WHAT STANDS IN EACH") : said.index("WHAT MASS BUYS")]
    for letter, one in zip("ABCDEF", offered(solved()).alternatives, strict=False):
        block = part[part.index(f"  {letter}  ") :].split(f"  {chr(ord(letter) + 1)}  ")[0]
        for standing in one.plan.fit:
            assert f"{standing.count} x {standing.plate}" in block


def test_an_empty_plan_says_so() -> None:
    """A plan without plates has a line too."""
    empty = solved().plan.replace(fit=())
    assert "B  no plate" in text(invented({"plan": empty}))


def test_the_kit_of_each_driver_is_named() -> None:
    """On mounts that change with the driver it is said whose plates they are."""
    question = crew_answers.question(drivers=2)
    record = plan(question).plan
    first = offered(solved()).alternatives[0]
    made_up = Choices(units=record.units, alternatives=(first.replace(plan=record),))
    said = text(Answer(question=question, plan=record, choices=made_up))
    kit = [standing for standing in record.fit if standing.driver]
    assert kit
    for standing in kit:
        assert f"{standing.mount}, {standing.driver}: " in said


def test_what_is_not_proved_or_not_legal_is_marked() -> None:
    """A plan that is only found says so; one that breaks a limit says so, and then not all passed."""
    found = solved().plan.replace(outcome="best found in the time")
    assert "(not proved)" in words(invented({"plan": found}))
    broken = tuple(finding.replace(verdict="fail") for finding in solved().plan.findings)
    said = words(invented({"plan": solved().plan.replace(findings=broken)}))
    assert "(NOT LEGAL)" in said
    assert "All of these passed" not in said
    assert "All of these passed the same checks." in words(invented({}))


def test_nothing_to_choose_is_said_only_when_all_was_tried() -> None:
    """One plan alone: nothing else is better; unless there was no time to look."""
    alone = words(invented(not_tried=()))
    assert "There is nothing to choose" in alone
    hurried = words(invented(not_tried=("lightest", "lowest")))
    assert "There is nothing to choose" not in hurried
    assert "No time or no plan for: lightest, lowest. --seconds gives it longer." in hurried


def test_without_targets_and_heights_their_columns_are_gone() -> None:
    """A column that would hold nothing is left out, and its word is not explained."""
    answer = invented({})
    bare = [one.replace(miss_points=None, aim_points=None, raised=None) for one in offered(answer).alternatives]
    plain = answer.replace(choices=offered(answer).replace(alternatives=tuple(bare), curve=()))
    said = text(plain)
    head = said.splitlines()[said.splitlines().index("PLANS TO CHOOSE FROM") + 1]
    assert head.split() == ["plan", "over", "plates", "touch", "yaw"]
    assert "miss:" not in said
    assert "up:" not in said
    assert "WHAT MASS BUYS" not in said


# --- what mass buys --------------------------------------------------------------------------------------------------


def with_curve(*points: tuple[float, float, float]) -> str:
    """What is said of a curve. Each: kg over the required total, miss and bound as shares."""
    curve = tuple(CurvePoint(over_required=kg, miss_points=miss, bound_points=bound) for kg, miss, bound in points)
    return words(invented({}, curve=curve))


def test_the_curve_is_a_table_with_units() -> None:
    """Mass, best miss, and what is proved, a row each."""
    said = with_curve(*CURVE)
    assert "0.0 kg 1.00 points 0.80 points" in said
    assert "1.0 kg 0.60 points 0.50 points" in said


def test_where_every_target_is_inside_is_said() -> None:
    """The last point has no miss: from there on every target is inside."""
    assert "From 3.0 kg over the required total on, every target is inside its band." in with_curve(*CURVE)


def test_inside_as_finely_as_it_is_settled_is_not_called_out_of_reach() -> None:
    """The curve ends where the miss is below the resolution of 0.05 points: that is no wall to mass."""
    said = with_curve((0.0, 0.01, 0.008), (2.0, 0.0003, 0.0))
    assert "From 2.0 kg over the required total on, every target is inside its band, as finely" in said


def test_a_proved_wall_is_said_with_its_height() -> None:
    """With 0.4 points proved at 30 kg, it is other mounts or the platforms, and no more is claimed than was proved."""
    said = with_curve((0.0, 0.01, 0.008), (30.0, 0.0043, 0.004))
    assert "Up to 30.0 kg over it, no plan brings the worst target nearer than 0.40 points to its band" in said
    assert "inside its band" not in said


def test_what_was_not_settled_is_not_claimed() -> None:
    """A miss with nothing proved below it says nothing of what mass cannot do."""
    said = with_curve((0.0, 0.01, 0.0), (1.0, 0.006, 0.0))
    assert "was not settled in the time. --seconds gives it longer." in said
    assert "other mounts" not in said


@pytest.mark.parametrize("seed", [4, 9])
def test_the_figures_of_a_solved_car_are_in_the_table(seed: int) -> None:
    """What the record says of a plan is what is printed: plates, plates to handle, and mass over."""
    answer = choices(small_question(seed), 3)
    lines = text(answer).splitlines()
    for letter, one in zip("ABC", offered(answer).alternatives, strict=False):
        cells = next(line for line in lines if line.startswith(f"  {letter} ")).split()
        assert figures_end_with(cells, one)


def figures_end_with(cells: list[str], one: Alternative) -> bool:
    """Whether a row ends in mass over, plates, plates to handle, perhaps the height, and yaw inertia."""
    tail = (
        [str(one.plates), str(one.moves)] + ([] if one.raised is None else [f"{one.raised:.3f}"]) + [f"{one.yaw:.0f}"]
    )
    return cells[-len(tail) :] == tail
