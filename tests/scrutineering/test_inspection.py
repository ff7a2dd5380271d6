"""The scrutineer against hand-written numbers, against planted faults and against plans that break a limit."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike

from ballast.errors import DisagreementError
from ballast.jobs.plan import plan
from ballast.physics.statics import Array, influence
from ballast.planning import cases
from ballast.records.plan import Plan
from ballast.records.question import Question
from ballast.scrutineering.inspection import inspect, loads_with
from tests.exactness.enumeration import Car
from tests.random_cars import large_question, ruled_question, small_question
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
    loads = loads_with(question.replace(weigh_in=at_rest), {("seat", "ten"): 2}, share)
    assert loads == pytest.approx(SHARED[share], abs=5e-5)


def test_hardware_comes_and_goes_with_its_mount() -> None:
    """10 kg and 1 kg of hardware a fifth of a wheelbase ahead of the axle: +13.2 kg in front, -2.2 kg behind."""
    question = hand_written()
    before = loads_with(question, {("boot", "ten"): 2}, 0.5)
    after = loads_with(question, {("boot", "ten"): 2, ("nose", "ten"): 1}, 0.5)
    assert before == pytest.approx([255.0] * 4)
    assert after - before == pytest.approx([6.6, 6.6, -1.1, -1.1])


@pytest.mark.parametrize("mount", [0, 1, 2])
@pytest.mark.parametrize("corner", [0, 1, 2, 3])
def test_a_wrong_coefficient_is_caught(monkeypatch: pytest.MonkeyPatch, mount: int, corner: int) -> None:
    """One entry of the planner's influence table wrong by 1 %, and no plan is shown."""

    def wrong(patches: ArrayLike, front_roll_share: float, aft: ArrayLike, left: ArrayLike) -> Array:
        table = influence(patches, front_roll_share, aft, left)
        table[mount, corner] *= 1.01
        return table

    question = all_aboard()
    assert {row.mount for row in plan(question).plan.fit} == {"nose", "seat", "boot"}
    monkeypatch.setattr(cases, "influence", wrong)
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
        answer = plan(question.with_limits(seconds=1.0)).plan
        assert [finding for finding in answer.findings if finding.verdict == "fail"] == []
        assert answer.legal == bool(answer.cases)


@pytest.mark.parametrize("first", range(2000, 2200, 10))
def test_no_plan_breaks_a_limit(first: int) -> None:
    """Two hundred random questions: what the planner chooses, the scrutineer passes."""
    for seed in range(first, first + 10):
        question = small_question(seed) if seed % 4 else large_question(seed, 6, 4)
        answer = plan(question.with_limits(seconds=1.0)).plan
        assert [finding for finding in answer.findings if finding.verdict == "fail"] == []
        assert answer.legal == bool(answer.cases)
