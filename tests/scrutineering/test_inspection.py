"""The scrutineer against hand-written numbers, against planted faults and against plans that break a limit."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike

from ballast.errors import DisagreementError
from ballast.jobs.plan import plan
from ballast.physics.stance import Stance, shares
from ballast.physics.statics import Array
from ballast.planning import cases
from ballast.records.plan import Plan
from ballast.records.question import Question
from ballast.scrutineering.footing import Footing
from ballast.scrutineering.inspection import inspect
from ballast.scrutineering.states import loads_in
from tests.exactness.enumeration import Car
from tests.planning.crews import book, crew_question, random_crew
from tests.random_cars import RULED, large_question, ruled_question, small_question
from tests.scrutineering.standing import hand_written, with_standing

SHARED = {
    2 / 3: (260.4444, 251.5556, 256.2222, 251.7778),
    1 / 2: (259.3333, 252.6667, 257.3333, 250.6667),
    1 / 3: (258.2222, 253.7778, 258.4444, 249.5556),
}
"""Corner loads by front share of roll stiffness: physics.md section 3, 20 kg at aft 1.0 m, left +0.5 m on four 250 kg
corners, wheelbase 2.5 m, tracks 1.5 m; the same as REF-C5 (derived)."""

GOOD = [[1, 0], [1, 0], [1, 0]]
"""Ten kg on every mount of the hand-written car: 1031 kg with the nose's hardware."""


@pytest.mark.parametrize("share", SHARED)
def test_loads_are_those_of_the_physics_page(share: float) -> None:
    """20 kg standing on the seat mount, the 20 kg in the boot away, on four corners of 250 kg under the bare car."""
    question = hand_written()
    at_rest = question.weigh_in.replace(
        readings=({"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0},),
        fitted=(),
    )
    on = Footing(np.array(question.car.wheel_places()), share=share)
    loads = loads_in(question.replace(weigh_in=at_rest), {("seat", "ten"): 2}, None, None, on)
    assert loads == pytest.approx(SHARED[share], abs=5e-5)


def test_hardware_comes_and_goes_with_its_mount() -> None:
    """10 kg and 1 kg of hardware a fifth of a wheelbase ahead of the axle: +13.2 kg in front, -2.2 kg behind."""
    question = hand_written()
    before = loads_in(question, {("boot", "ten"): 2}, None, None)
    after = loads_in(question, {("boot", "ten"): 2, ("nose", "ten"): 1}, None, None)
    assert before == pytest.approx([255.0] * 4)
    assert after - before == pytest.approx([6.6, 6.6, -1.1, -1.1])


@pytest.mark.parametrize("mount", [0, 1, 2])
@pytest.mark.parametrize("corner", [0, 1, 2, 3])
def test_a_wrong_coefficient_is_caught(monkeypatch: pytest.MonkeyPatch, mount: int, corner: int) -> None:
    """One entry of the planner's influence table wrong by 1 %, and no plan is shown."""

    def wrong(stance: Stance, aft: ArrayLike, left: ArrayLike) -> Array:
        table = shares(stance, aft, left)
        table[mount, corner] *= 1.01
        return table

    question = all_aboard()
    assert {row.mount for row in plan(question).plan.fit} == {"nose", "seat", "boot"}
    monkeypatch.setattr(cases, "shares", wrong)
    with pytest.raises(DisagreementError):
        plan(question)


def all_aboard() -> Question:
    """The hand-written car with an empty boot and 1061 kg asked for: 1000 kg bare, and the whole box of plates.

    By hand: 4 x 10 + 4 x 5 kg and 1 kg of hardware at the nose. The stack at the nose ends at 15 kg, the pieces on the
    seat and the tens in the boot at 30 kg each; two of the three do not hold 60 kg of plates and the hardware, so every
    plan uses all of them.
    """
    question = hand_written()
    assert question.rulebook is not None
    (minimum,) = question.rulebook.minima
    at_rest = {"readings": ({"LF": 250.0, "RF": 250.0, "LR": 250.0, "RR": 250.0},), "fitted": ()}
    return question.replace(
        rulebook=question.rulebook.replace(minima=(minimum.replace(mass=1061.0),)),
        weigh_in=question.weigh_in.replace(**at_rest),
    )


Tamper = Callable[[Plan], dict[str, Any]]


def _case(**changes: Any) -> Tamper:
    return lambda good: {"cases": (good.cases[0].replace(**changes),)}


def _corner(good: Plan) -> dict[str, Any]:
    loads = good.cases[0].corner_loads
    return _case(corner_loads=loads.replace(LF=loads.LF + 0.01, RF=loads.RF - 0.01))(good)


def _changes(good: Plan) -> dict[str, Any]:
    return {"changes": (*good.changes[:-1], good.changes[-1].replace(after=good.changes[-1].after + 1))}


def _centre(good: Plan) -> dict[str, Any]:
    centre = good.cases[0].centre_of_gravity
    return _case(centre_of_gravity=centre.replace(behind_front_axle=centre.behind_front_axle + 0.01))(good)


def _less_required(good: Plan) -> dict[str, Any]:
    return {"required_total": good.required_total - 5.0}


def _fewer_terms(good: Plan) -> dict[str, Any]:
    terms = tuple(term.replace(mass=term.mass - 5.0) for term in good.requirement.terms)
    return {"requirement": good.requirement.replace(terms=terms)}


def _unknown_mount(good: Plan) -> dict[str, Any]:
    return {"fit": (*good.fit, good.fit[0].replace(mount="roof"))}


def _twice(good: Plan) -> dict[str, Any]:
    return {"fit": (good.fit[0], *good.fit)}


WRONG: dict[str, Tamper] = {
    "a corner": _corner,
    "total": _case(total=1031.5),
    "front": _case(front_percent=0.49),
    "rear": _case(rear_percent=0.49),
    "left": _case(left_percent=0.49),
    "rear pair": _case(rear_pair=3.0),
    "centre of gravity": _centre,
    "ballast": lambda _: {"ballast_total": 29.0},
    "hardware": lambda _: {"fixing_total": 0.0},
    "changes": _changes,
    "number of changes": lambda good: {"moves": (good.moves or 0) + 1},
    "required total": _less_required,
    "terms of the required total": _fewer_terms,
    "a mount nobody has": _unknown_mount,
    "a row written twice": _twice,
}


@pytest.mark.parametrize("what", WRONG)
def test_a_false_statement_is_a_disagreement(what: str) -> None:
    """A plan that states a number that does not follow from its plates is a fault of the program, and not shown."""
    question = hand_written()
    good = with_standing(question, np.array(GOOD))
    assert all(finding.verdict != "fail" for finding in inspect(question, good))
    with pytest.raises(DisagreementError):
        inspect(question, good.replace(**WRONG[what](good)))


BROKEN: dict[str, tuple[list[list[int]], dict[str, Any], str]] = {
    "one plate more than is owned": ([[0, 0], [2, 0], [3, 0]], {}, "owned"),
    "over capacity": ([[1, 2], [0, 0], [1, 0]], {}, "mass"),
    "too high a stack": ([[1, 2], [0, 0], [1, 0]], {}, "stack"),
    "too many pieces": ([[0, 0], [0, 4], [1, 0]], {}, "pieces"),
    "a plate that does not fit": ([[0, 0], [1, 0], [1, 2]], {}, "take"),
    "a plate gone that must stay": ([[0, 0], [3, 0], [0, 0]], {}, "stay"),
    "too many changes": ([[1, 0], [1, 0], [1, 0]], {"most_changes": 1}, "changes"),
    "under the minimum": ([[0, 0], [0, 1], [2, 0]], {}, "minimum"),
    "under the required total": ([[0, 0], [0, 1], [2, 0]], {}, "required"),
}
"""Plates standing (rows nose, seat, boot; columns ten, five), wishes, and a word of the limit they break.

By hand: four tens are owned; 10 + 2 x 5 kg and 1 kg of hardware are over 20 kg, and 30 + 2 x 20 mm over 60 mm; the seat
takes three plates and the boot tens alone; one ten stays in the boot; 1000 + 5 + 20 kg are under 1030 kg; two tens come
on and one goes off, which is two changes.
"""


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_limit_is_a_finding(what: str) -> None:
    """A plan that says truly what it does but breaks a limit has a failing finding about it, with its margin."""
    counts, wishes, word = BROKEN[what]
    question = hand_written(**wishes)
    findings = inspect(question, with_standing(question, np.array(counts), plan(hand_written()).plan))
    failing = [finding for finding in findings if finding.verdict == "fail"]
    assert any(word in finding.rule for finding in failing), [finding.rule for finding in failing]
    assert all(finding.margin is not None and finding.margin < 0 for finding in failing)
    passing = [finding.margin for finding in findings if finding.verdict == "pass"]
    assert all(margin is not None and margin >= -1e-6 for margin in passing)


@pytest.mark.parametrize("seed", range(40))
def test_a_plan_passes_when_it_is_among_the_ways_that_keep_every_limit(seed: int) -> None:
    """Any plates at all, set out by chance: the verdict is that of a check written from the design alone."""
    question = small_question(seed)
    car, written = Car(question), plan(question).plan
    if not written.cases:
        return
    ways, rng = car.ways(), np.random.default_rng(seed)
    chosen = [*rng.integers(0, 3, (20, len(car.mounts), len(car.plates))), *ways[rng.integers(0, len(ways), 5)]]
    for counts in chosen:
        findings = inspect(question, with_standing(question, counts, written))
        legal = bool((ways == counts).all(axis=(1, 2)).any())
        assert all(finding.verdict != "fail" for finding in findings) == legal, counts


@pytest.mark.parametrize("seed", range(5000, 5040))
def test_the_verdict_under_rules_is_that_of_another_hand(seed: int) -> None:
    """The same under rulebooks, with nothing kept in hand for uncertainty: findings are about the rule itself."""
    question = ruled_question(seed)
    question = question.replace(car=question.car.replace(margin={"total": 1.5, "uncertainties": 0.0}))
    car, written = Car(question), plan(question).plan
    ways, rng = car.ways(), np.random.default_rng(seed)
    chosen = [*rng.integers(0, 3, (20, len(car.mounts), len(car.plates)))]
    if len(ways):
        chosen += [*ways[rng.integers(0, len(ways), 10)]]
    for counts in chosen:
        findings = inspect(question, with_standing(question, counts, written))
        legal = bool((ways == counts).all(axis=(1, 2)).any())
        assert all(finding.verdict != "fail" for finding in findings) == legal, counts


@pytest.mark.parametrize("first", range(6000, 6200, 10))
def test_no_plan_breaks_a_rule(first: int) -> None:
    """Two hundred random questions under rulebooks: what the planner chooses, the scrutineer passes."""
    for seed in range(first, first + 10):
        question = ruled_question(seed) if seed % 4 else ruled_question(seed, mounts=6, kinds=4)
        answer = plan(question.with_wishes(seconds=1.0)).plan
        assert [finding for finding in answer.findings if finding.verdict == "fail"] == []
        assert answer.legal == bool(answer.cases)


@pytest.mark.parametrize("first", range(2000, 2200, 10))
def test_no_plan_breaks_a_limit(first: int) -> None:
    """Two hundred random questions: what the planner chooses, the scrutineer passes."""
    for seed in range(first, first + 10):
        question = small_question(seed) if seed % 4 else large_question(seed, 6, 4)
        answer = plan(question.with_wishes(seconds=1.0)).plan
        assert [finding for finding in answer.findings if finding.verdict == "fail"] == []
        assert answer.legal == bool(answer.cases)


# --- crews -----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def crew() -> tuple[Question, Plan]:
    """Ada and Bo under a minimum at the flag, with driver ballast at the tank: a plan with everything that is stated.

    One four stays on the sill, so that both of them have kit there.
    """
    light = RULED | {"way": "each driver", "reference": 82.0, "rounding": "up", "step": 4.0, "on_top": True}
    here = {"behind_front_axle": 1.5, "left_of_centre": -0.25}
    rulebook = book(minimum_weight=RULED | {"mass": 776.0, "driver": "in"}, driver_ballast=light | here)
    stays = {"mount": "sill", "plate": "four", "count": 1, "stay": 1}
    fitted = [{"mount": "seat", "plate": "four", "count": 2}, stays]
    certain = {"margin": {"uncertainties": 0.0}}
    question = crew_question(car=certain, weigh_in={"fitted": fitted}, rulebook=rulebook)
    return question, plan(question).plan


def _of(name: str, number: int, **changes: Any) -> Tamper:
    """One entry of a tuple of the plan with something changed."""

    def tampered(good: Plan) -> dict[str, Any]:
        entries = list(getattr(good, name))
        entries[number] = entries[number].replace(**changes)
        return {name: tuple(entries)}

    return tampered


def _more(name: str, number: int, field: str, by: float) -> Tamper:
    """One number of one entry of a tuple of the plan, a little more."""
    return lambda good: _of(name, number, **{field: getattr(getattr(good, name)[number], field) + by})(good)


def _without(name: str, number: int) -> Tamper:
    return lambda good: {name: tuple(each for n, each in enumerate(getattr(good, name)) if n != number % 6)}


def _first_row(good: Plan, driver: str | None) -> int:
    return next(number for number, row in enumerate(good.fit) if row.driver == driver)


def _last_corner(good: Plan) -> dict[str, Any]:
    loads = good.cases[-1].corner_loads
    return _of("cases", -1, corner_loads=loads.replace(LR=loads.LR + 0.01, RR=loads.RR - 0.01))(good)


def _last_diagonal(good: Plan) -> dict[str, Any]:
    shares = good.cases[-1].diagonal_percent
    return _of("cases", -1, diagonal_percent=shares.replace(rf_lr=shares.rf_lr + 0.001))(good)


def _twice_the_first_case(good: Plan) -> dict[str, Any]:
    return {"cases": (good.cases[0], good.cases[0], *good.cases[2:])}


def _terms(good: Plan) -> dict[str, Any]:
    terms = good.requirements[-1].terms
    return _of("requirements", -1, terms=(terms[0].replace(mass=terms[0].mass - 1), *terms[1:]))(good)


OTHER = {"Ada": "Bo", "Bo": "Ada"}
CREW_WRONG: dict[str, Tamper] = {
    "a corner of the last case": _last_corner,
    "total of the last case": _more("cases", -1, "total", 0.5),
    "front of the last case": _more("cases", -1, "front_percent", 0.001),
    "left of the last case": _more("cases", -1, "left_percent", 0.001),
    "a diagonal of the last case": _last_diagonal,
    "rear pair of the last case": _more("cases", -1, "rear_pair", 0.5),
    "required of Ada": _more("cases", 2, "required", -1.0),
    "required of Bo": _of("cases", 5, required=None),
    "required where nothing is": _of("cases", 0, required=700.0),
    "legal no more": _of("cases", 5, legal=False),
    "legal where nothing is asked": _of("cases", 4, legal=True),
    "targets no more": _of("cases", 0, balance=False),
    "targets where none are asked": _of("cases", 1, balance=True),
    "another driver": _of("cases", 0, driver="Bo"),
    "another point": _of("cases", 0, fuel="start"),
    "a driver nobody knows": _of("cases", 0, driver="Zed"),
    "the first case missing": _without("cases", 0),
    "the last case missing": _without("cases", 5),
    "a case twice": _twice_the_first_case,
    "no case at all but one": lambda good: {"cases": good.cases[:1]},
    "kit of the other driver": lambda good: _of("fit", _first_row(good, "Ada"), driver="Bo")(good),
    "kits exchanged": lambda good: {
        "fit": tuple(row.replace(driver=OTHER[row.driver]) if row.driver else row for row in good.fit)
    },
    "kit of nobody": lambda good: _of("fit", _first_row(good, "Ada"), driver=None)(good),
    "kit of a stranger": lambda good: _of("fit", _first_row(good, "Ada"), driver="Zed")(good),
    "common plates of one driver": lambda good: _of("fit", _first_row(good, None), driver="Ada")(good),
    "one plate more for Ada": lambda good: _more("fit", _first_row(good, "Ada"), "count", 1)(good),
    "one plate more for Bo": lambda good: _more("fit", _first_row(good, "Bo"), "count", 1)(good),
    "a change of another driver": lambda good: {
        "changes": tuple(row.replace(driver="Bo") if row.driver == "Ada" else row for row in good.changes)
    },
    "a change forgotten": lambda good: {"changes": good.changes[:-1]},
    "number of changes": lambda good: {"moves": (good.moves or 0) - 1},
    "plates at the stop": _more("stops", 0, "plates", 1),
    "ballast at the stop": _more("stops", 0, "mass", 0.5),
    "total at the stop": _more("stops", 0, "total", 0.5),
    "front at the stop": _more("stops", 0, "front_percent", 0.001),
    "left at the stop": _more("stops", 0, "left_percent", 0.001),
    "diagonal at the stop": _more("stops", 0, "diagonal_percent", 0.001),
    "no stop": lambda _: {"stops": ()},
    "a stop the other way round": _of("stops", 0, leaving="Bo", entering="Ada"),
    "driver ballast of Ada": _more("driver_ballast", 0, "mass", -4.0),
    "driver ballast of Bo": _more("driver_ballast", 1, "mass", 4.0),
    "driver ballast forgotten": lambda good: {"driver_ballast": good.driver_ballast[:1]},
    "a required total": _more("requirements", -1, "required", -1.0),
    "terms of a required total": _terms,
    "a required total forgotten": lambda good: {"requirements": good.requirements[:1]},
    "the required total shown first": lambda good: {"required_total": good.required_total - 1.0},
    "a target of the last driver": _more("targets", -1, "after", 0.5),
    "ballast of the first driver": lambda good: {"ballast_total": (good.ballast_total or 0.0) + 4.0},
    "hardware of the first driver": lambda good: {"fixing_total": (good.fixing_total or 0.0) + 1.0},
}


def test_a_crew_plan_states_what_it_should(crew: tuple[Question, Plan]) -> None:
    """Six cases, one stop, both drivers' ballast, kit of either: or the faults planted below would be about nothing.

    By hand: 64 and 80 kg against 82 in steps of 4 kg are 20 and 4 kg, and 776 kg are asked for with those on top.
    """
    question, good = crew
    assert [case.name for case in good.cases][::3] == ["Ada, balance point", "Bo, balance point"]
    assert {row.driver for row in good.fit} == {None, "Ada", "Bo"}
    assert {row.driver for row in good.changes} >= {"Ada"}
    assert [each.mass for each in good.driver_ballast] == [20.0, 4.0]
    assert [case.required for case in good.cases] == [None, None, 796.0, None, None, 780.0]
    assert len(good.stops) == 1
    assert all(finding.verdict != "fail" for finding in inspect(question, good))


@pytest.mark.parametrize("what", CREW_WRONG)
def test_a_false_statement_about_a_crew_is_a_disagreement(what: str, crew: tuple[Question, Plan]) -> None:
    """Each number that a crew plan states, wrong by a little, and no plan is shown."""
    question, good = crew
    changes = CREW_WRONG[what](good)
    assert good.replace(**changes) != good
    with pytest.raises(DisagreementError):
        inspect(question, good.replace(**changes))


def test_a_broken_limit_of_one_driver_names_that_driver(crew: tuple[Question, Plan]) -> None:
    """One minimum is raised by 20 kg after the plan was made and stated so: the plan fails it for both, by name."""
    question, _ = crew
    assert question.rulebook is not None
    (minimum,) = question.rulebook.minima
    raised = question.replace(rulebook=question.rulebook.replace(minima=(minimum.replace(mass=796.0),)))
    stated = plan(question).plan
    higher = {"Ada": 816.0, "Bo": 800.0}
    needs = tuple(
        one.replace(
            terms=tuple(t.replace(mass=t.mass + 20.0) if t is one.terms[0] else t for t in one.terms),
            required=one.required + 20.0,
        )
        for one in stated.requirements
    )
    cases_now = tuple(c.replace(required=higher[c.driver or ""]) if c.legal else c for c in stated.cases)
    says = {"requirements": needs, "requirement": needs[0], "required_total": needs[0].required, "cases": cases_now}
    failing = {f.rule for f in inspect(raised, stated.replace(**says)) if f.verdict == "fail"}
    assert failing == {f"{what}, {who}, flag" for what in ("minimum weight", "required total") for who in ("Ada", "Bo")}


@pytest.mark.parametrize("first", range(0, 60, 10))
def test_planner_and_scrutineer_agree_on_any_crew(first: int) -> None:
    """Sixty random crews, with tanks, rules for any state, ballast by rule and changed parts: no disagreement."""
    planned = 0
    for seed in range(first, first + 10):
        answer = plan(random_crew(seed)).plan
        assert [finding for finding in answer.findings if finding.verdict == "fail"] == []
        planned += bool(answer.cases)
    assert planned >= 5
