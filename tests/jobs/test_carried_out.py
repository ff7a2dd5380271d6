"""A second question on the same day: what stands once a plan was carried out, and success ballast between two races."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ballast.errors import InputError
from ballast.jobs.carried_out import carried_out
from ballast.jobs.plan import plan
from ballast.records.files import as_json, read_answer, read_question
from ballast.records.plan import Answer, Plan
from ballast.records.question import Question
from ballast.records.rulebook import Prescribed, SuccessBallast
from tests.exactness.enumeration import Counts
from tests.random_cars import UNITS
from tests.scrutineering.standing import hand_written, with_standing
from tests.showing import crew_answers

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"
PASSENGER = {"behind_front_axle": 1.3, "left_of_centre": 0.4}
NOSE, SEAT, BOOT = 0, 1, 2
TEN, FIVE = 0, 1


@pytest.fixture(scope="module")
def first() -> Answer:
    """The plan for the first race of the example."""
    files = (EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "rulebook.toml")
    return plan(read_question(*files))


def counts(*rows: tuple[int, int, int]) -> Counts:
    """Counts on the hand-written car: mount, kind, how many. (3, 2)"""
    table: Counts = np.zeros((3, 2), dtype=np.int64)
    for mount, kind, count in rows:
        table[mount, kind] = count
    return table


def done(question: Question, *rows: tuple[int, int, int]) -> Answer:
    """What a planner would have answered, had it chosen these plates."""
    return Answer(question=question, plan=with_standing(question, counts(*rows)))


def standing(question: Question) -> dict[tuple[str, str], int]:
    """What stands now, mount by mount and kind by kind, without what does not."""
    pairs = [(mount.name, plate.name) for mount in question.car.mounts for plate in question.car.plates]
    return {pair: count for pair in pairs if (count := question.standing(*pair))}


# --- what stands now -------------------------------------------------------------------------------------------------


def test_the_plates_of_the_plan_stand_now() -> None:
    """What the plan left stands; what it took off does not, though it stood at the weigh-in."""
    question = hand_written()  # two tens in the boot at the weigh-in
    after = carried_out(question, done(question, (SEAT, FIVE, 2), (BOOT, TEN, 1)), "plan.json")
    assert standing(after) == {("seat", "five"): 2, ("boot", "ten"): 1}
    assert after.weigh_in == question.weigh_in, "the weigh-in is what it was"


def test_what_two_plans_took_off_stays_off() -> None:
    """The first plan empties the boot, the second does not speak of it, and the third may not think it full again."""
    weighed = hand_written()
    between = carried_out(weighed, done(weighed, (NOSE, TEN, 1), (SEAT, FIVE, 1)), "first.json")
    last = carried_out(weighed, done(between, (SEAT, FIVE, 3)), "second.json")
    assert standing(between) == {("nose", "ten"): 1, ("seat", "five"): 1}
    assert standing(last) == {("seat", "five"): 3}


def test_an_empty_car_stays_empty() -> None:
    """A plan that takes every plate off leaves none standing."""
    question = hand_written()
    assert standing(carried_out(question, done(question), "plan.json")) == {}


def test_planning_again_asks_for_nothing(first: Answer, tmp_path: Path) -> None:
    """Saved, read back and carried out, the plan is what stands: its loads are those now, and nothing is left to do."""
    saved = tmp_path / "plan.json"
    saved.write_text(as_json(first), encoding="utf-8")
    again = plan(carried_out(first.question, read_answer(saved), str(saved))).plan
    assert first.plan.moves
    assert again.moves == 0
    assert again.changes == ()
    assert dict(again.before.corner_loads) == pytest.approx(dict(first.plan.cases[0].corner_loads), abs=1e-9)
    assert {(row.mount, row.plate): row.count for row in again.fit} == {
        (row.mount, row.plate): row.count for row in first.plan.fit
    }


def test_every_driver_keeps_the_own_kit() -> None:
    """On mounts that change with the driver each one's plates stand, and none of the weigh-in's where none are left."""
    question = crew_answers.question(drivers=2)  # two fives in the seat box left at the weigh-in
    kept = plan(question)
    after = carried_out(question, kept, "plan.json")
    crew = [driver.name for driver in question.car.drivers]
    kit = {mount.name: mount.changes_with_driver for mount in question.car.mounts}
    planned = {(row.mount, row.plate, row.driver): row.count for row in kept.plan.fit}
    for mount, changes in kit.items():
        for plate in question.car.plates:
            for who in crew if changes else [None]:
                expected = planned.get((mount, plate.name, who), 0)
                assert after.standing(mount, plate.name, who) == expected, (mount, plate.name, who)


def test_parts_that_were_counted_on_still_are() -> None:
    """Without a new file of changes the parts of the old one stay in; with one, that one says what was done."""
    part = {"name": "pump", "mass": 6.0, "behind_front_axle": 1.0, "left_of_centre": 0.0}
    question = hand_written()
    asked = Question.model_validate(dict(question) | {"changed": {"units": UNITS, "added": [part]}})
    answer = done(asked, (SEAT, FIVE, 2))
    old = carried_out(question, answer, "plan.json").changed
    assert old is not None
    assert [(part.name, part.mass) for part in old.added] == [("pump", 6.0)]
    lighter = Question.model_validate(dict(question) | {"changed": {"units": UNITS, "added": [part | {"mass": 5.0}]}})
    new = carried_out(lighter, answer, "plan.json").changed
    assert new is not None
    assert [(part.name, part.mass) for part in new.added] == [("pump", 5.0)]


# --- refusals --------------------------------------------------------------------------------------------------------


def test_another_weigh_in_is_refused() -> None:
    """A plan says what stands only for the visit to the pads that it was made from."""
    question = hand_written()
    reading = question.weigh_in.readings[0].replace(LF=256.0)
    other = question.replace(weigh_in=question.weigh_in.replace(readings=(reading,)))
    with pytest.raises(InputError, match="another weigh-in") as caught:
        carried_out(other, done(question, (SEAT, FIVE, 2)), "saved.json")
    assert str(caught.value).startswith("saved.json: ")


def test_a_plan_of_another_car_is_refused_by_name() -> None:
    """A mount that this car does not have is named once, without a table that the user never wrote."""
    question = hand_written()
    nose, seat, boot = question.car.mounts
    other = question.replace(car=question.car.replace(mounts=(nose, seat.replace(name="rail"), boot)))
    with pytest.raises(InputError) as caught:
        carried_out(other, done(question, (SEAT, FIVE, 2), (SEAT, TEN, 1)), "saved.json")
    lines = str(caught.value).splitlines()
    assert lines[0] == 'saved.json: mount = "seat": this car has no such mount'
    assert len(lines) == 2
    assert "[[placed]]" not in str(caught.value)


def test_fewer_plates_owned_now_are_noticed() -> None:
    """A plan of three tens cannot stand on a car whose owner has two."""
    question = hand_written()
    ten, five = question.car.plates
    poorer = question.replace(car=question.car.replace(plates=(ten.replace(count=2), five)))
    with pytest.raises(InputError, match="3 of plate 'ten' would stand on the car, and 2 are owned"):
        carried_out(poorer, done(question, (SEAT, TEN, 3)), "saved.json")


def test_plates_are_said_once() -> None:
    """A file of changes that says where plates stand and a plan that says it too are one too many."""
    question = hand_written()
    placed = [{"mount": "seat", "plate": "five", "count": 1}]
    both = Question.model_validate(dict(question) | {"changed": {"units": UNITS, "placed": placed}})
    with pytest.raises(InputError, match="says which plates stand, and so does the file of changes"):
        carried_out(both, done(question, (SEAT, FIVE, 2)), "saved.json")


def test_no_plan_cannot_be_carried_out() -> None:
    """The answer that nothing is possible leaves no plates standing anywhere: it is not a plan to carry out."""
    asked = hand_written(most_changes=0)  # 10 kg are lacking, and no plate may be moved
    impossible = plan(asked)
    assert impossible.plan.outcome == "impossible"
    with pytest.raises(InputError, match="there is no plan"):
        carried_out(asked, impossible, "saved.json")


# --- success ballast between two races -------------------------------------------------------------------------------


def again(first: Answer, mass: float, **wishes: Any) -> Plan:
    """The plan for the second race: the first is carried out, and so much success ballast is asked for. [kg]"""
    question = carried_out(first.question, first, "first.json").with_success_ballast(mass)
    return plan(question.with_wishes(**{"fewest_changes": True} | wishes)).plan


def fewest(first: Answer, mass: float) -> int:
    """Fewest plates that can bring so much mass, by hand: the heaviest of the box, and all hardware not yet aboard.

    For 30 kg, where the first plan leaves three 5.02 kg, six 2.01 kg and three 1.00 kg and stands 0.127 kg over what it
    needs: 29.873 kg are lacking. Without two of 1.00 kg the box gives 28.12 kg, and the hardware of three more mounts
    0.6 + 0.6 + 0.5 = 1.7 kg; together 29.82 kg, which is too little. So it takes eleven of the twelve.
    """
    question, standing = first.question, {(row.mount, row.plate): row.count for row in first.plan.fit}
    box = [
        plate.mass
        for plate in question.car.plates
        for _ in range(plate.count - sum(count for (_, name), count in standing.items() if name == plate.name))
    ]
    idle = {mount.name for mount in question.car.mounts} - {name for name, _ in standing}
    brought = sum(mount.fixing_mass for mount in question.car.mounts if mount.name in idle)
    lacking = mass - (first.plan.cases[0].total - first.plan.required_total)
    sums = np.cumsum(sorted(box, reverse=True)) + brought
    return int(np.argmax(sums >= lacking)) + 1


def test_thirty_kilograms_between_two_races(first: Answer) -> None:
    """Legal and on target, with most of the box; no fewer plates are handled than have to be, by mass alone."""
    second = again(first, 30.0)
    assert second.legal
    assert second.outcome == "proved best"
    assert all(target.inside for target in second.targets)
    assert fewest(first, 30.0) <= (second.moves or 0) <= fewest(first, 30.0) + 1


def test_fewer_changes_than_the_mass_asks_for_are_not_possible(first: Answer) -> None:
    """Allowed one change fewer than the mass needs, there is no plan; of the reasons, the changes are one."""
    second = again(first, 30.0, most_changes=fewest(first, 30.0) - 1)
    assert second.outcome == "impossible"
    assert second.impossible is not None
    assert "changes" in second.impossible.conflicts


@pytest.mark.parametrize("mass", [5.0, 12.0, 30.0])
def test_fewest_changes_means_fewest(first: Answer, mass: float) -> None:
    """Allowed one change fewer there is no plan, or it misses by more than balance is settled to."""
    found = again(first, mass)
    assert found.legal
    assert found.moves
    balance = next(wish for wish in found.wishes if wish.name == "balance")
    fewer = again(first, mass, most_changes=found.moves - 1)
    missed = next((wish.value for wish in fewer.wishes if wish.name == "balance"), np.inf)
    sums = [next((w.value for w in p.wishes if w.name == "balance sum"), np.inf) for p in (found, fewer)]
    held = next(wish.hold for wish in found.wishes if wish.name == "balance sum")
    assert missed > balance.hold - 1e-9 or sums[1] > held - 1e-9
    assert [wish.name for wish in found.wishes][:3] == ["balance", "balance sum", "changes"]


def test_it_is_a_term_of_the_required_total(first: Answer) -> None:
    """The class minimum rises by it, and nothing else of the requirement changes."""
    needs = {term.name: term.mass for term in again(first, 12.0).requirement.terms}
    before = {term.name: term.mass for term in first.plan.requirement.terms}
    assert needs.pop("success ballast") == 12.0
    assert needs == pytest.approx(before, abs=1e-9)


def test_at_its_own_place_it_needs_no_plates(first: Answer) -> None:
    """At a prescribed place, the mass goes on there, the minimum rises as much, and the total stays where it is.

    By levers (wheelbase 2.48 m): 12 kg at 1.3 m put 12 x 1.3 / 2.48 on the rear axle.
    """
    ruled = with_rule(first, place=True)
    found = again(ruled, 12.0)
    assert found.before.total == pytest.approx(first.plan.cases[0].total, abs=1e-9)  # it is not on board yet
    none_moved = again(ruled, 12.0, most_changes=0)
    was, now = first.plan.cases[0], none_moved.cases[0]
    assert now.total - was.total == pytest.approx(12.0, abs=1e-9)
    rear = now.corner_loads.LR + now.corner_loads.RR - was.corner_loads.LR - was.corner_loads.RR
    assert rear == pytest.approx(12 * 1.3 / 2.48, abs=1e-9)
    assert found.required_total - first.plan.required_total == pytest.approx(12.0, abs=1e-9)
    assert found.legal
    assert (found.moves or 0) < (again(with_rule(first, place=False), 12.0).moves or 0)


def test_the_mass_asked_for_replaces_that_of_the_rulebook(first: Answer) -> None:
    """The rulebook's 7 kg were the last race's; what is asked for now counts, and the place stays the rulebook's."""
    question = with_rule(first, place=True).question.with_success_ballast(12.0)
    rule = question.rulebook and question.rulebook.success_ballast
    assert rule
    assert (rule.mass, rule.place, rule.clause) == (12.0, (1.3, 0.4), "7.1")


def test_it_is_asked_for_in_the_unit_of_the_car_file() -> None:
    """22 in a car file in pounds are 22 lb."""
    question = hand_written()
    in_pounds = question.replace(car=question.car.replace(units=question.car.units.replace(mass="lb")))
    asked = in_pounds.with_success_ballast(22.0).rulebook
    assert asked
    assert asked.success_ballast
    assert asked.success_ballast.mass == pytest.approx(22 * 0.45359237, abs=1e-12)


def test_none_any_more(first: Answer) -> None:
    """Nought takes the rule's term out of the requirement."""
    question = with_rule(first, place=False).question
    terms = [term.name for term in plan(question).plan.requirement.terms]
    none = [term.name for term in plan(question.with_success_ballast(0)).plan.requirement.terms]
    assert "success ballast" in terms
    assert "success ballast" not in none


def test_what_was_aboard_at_its_place_comes_off_with_nought() -> None:
    """12 kg stood at the prescribed place when the car was weighed; with nought asked for they go."""
    question = hand_written()
    assert question.rulebook is not None
    rule = success(place=True)
    visit = question.weigh_in.visit.replace(success_ballast=12.0)
    weighed = question.replace(
        rulebook=question.rulebook.replace(success_ballast=rule), weigh_in=question.weigh_in.replace(visit=visit)
    )
    total = sum(weighed.weigh_in.readings[0].in_order())
    assert plan(weighed.with_success_ballast(12.0)).plan.before.total == pytest.approx(total, abs=1e-9)
    without = plan(weighed.with_success_ballast(0.0)).plan
    assert without.before.total == pytest.approx(total, abs=1e-9)
    plates = sum(change.after * 10.0 - change.before * 10.0 for change in without.changes if change.plate == "ten")
    plates += sum(change.after * 5.0 - change.before * 5.0 for change in without.changes if change.plate == "five")
    assert without.cases[0].total - plates == pytest.approx(total - 12.0, abs=1.0 + 1e-9)  # nose hardware of 1 kg


def test_without_a_rulebook_it_is_refused() -> None:
    """Nothing then says what the car has to weigh."""
    with pytest.raises(InputError, match="needs a rulebook") as caught:
        hand_written().replace(rulebook=None).with_success_ballast(30.0)
    assert "--rules" in str(caught.value)


def test_without_a_minimum_it_is_refused_too() -> None:
    """A rulebook without a minimum weight does not say what the car has to weigh either: on top of what is it?"""
    question = hand_written()
    assert question.rulebook is not None
    bare = question.rulebook.replace(minima=())
    with pytest.raises(InputError):
        question.replace(rulebook=bare).with_success_ballast(30.0)


def success(place: bool) -> SuccessBallast:
    """7 kg of success ballast, at a place of its own or wherever plates stand."""
    book = {"clause": "7.1", "source": "invented", "checked": "2026-03-01", "mass": 7.0}
    return SuccessBallast.model_validate_strings({key: str(value) for key, value in (book | where(place)).items()})


def where(place: bool) -> dict[str, float]:
    """The prescribed place, if there is one."""
    return PASSENGER if place else {}


def with_rule(answer: Answer, place: bool) -> Answer:
    """The same answer under a rulebook that knows success ballast, which the first race did not ask for."""
    question = answer.question
    assert question.rulebook is not None
    rule = success(place)
    assert isinstance(rule, Prescribed)
    book = question.rulebook.replace(success_ballast=rule)
    return answer.replace(question=question.replace(rulebook=book))
