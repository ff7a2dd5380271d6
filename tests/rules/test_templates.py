"""Every packaged rulebook: a car that passes, one that fails, and what only the eye can check.

The limits are those of the sources named in the rulebooks; the counts are worked out here by hand.
"""

from pathlib import Path

import pytest

from ballast.jobs.plan import plan
from ballast.records.files import read_rulebook, rulebook_names, rulebook_path
from ballast.records.plates import Mount, Plate
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook, Ruled
from ballast.records.wishes import Targets
from ballast.scrutineering.inspection import inspect_weighed
from ballast.showing.findings_sheet import findings_section
from ballast.showing.rounding import Rounding
from ballast.showing.rules_sheet import rules_sheet
from ballast.showing.sheet import Sheet
from ballast.showing.text import WIDTH, laid_out
from ballast.units import Units
from tests.rules.invented import LB, bolts, mount, plate, question

GOLDEN = Path(__file__).parents[1] / "golden" / "findings"


def lb(pounds: float) -> float:
    """Pounds in kg."""
    return LB.inside(pounds, "mass")


FLOOR = mount("floor", bolts(3, "3/8 in", "grade 5"))
HALF_INCH = mount("floor", bolts(2, "1/2 in", "grade 5"))
FOOTWELL = mount("footwell", bolts(2, "1/2 in", "grade 5"), zone="passenger footwell")
BOOT = mount("boot", bolts(2, "1/2 in", "grade 5"))
SEAT = mount("seat back", bolts(4, "M8", "8.8"))
ONE_BOLT = mount("bracket", bolts(1, "M8", "8.8", washer=0.030))
FIFTIES = plate("50 lb", lb(50), 6)

Standing = dict[tuple[str, str], int]
Setting = tuple[float, tuple[Mount, ...], tuple[Plate, ...], Standing]

PASSES: dict[str, tuple[Setting, set[str]]] = {
    # 25 lb on three 3/8 in bolts: one for each 10 lb or part of it. The eye sees nuts and washers.
    "solid-metal-by-the-bolt": (
        (1000.0, (FLOOR,), (plate("25 lb", lb(25), 1),), {("floor", "25 lb"): 1}),
        {"through-bolts with fender washers and locking nuts"},
    ),
    "fifty-pound-segments": (
        (1000.0, (HALF_INCH,), (FIFTIES,), {("floor", "50 lb"): 1}),
        {"positive lock nuts and large washers on every bolt"},
    ),
    "footwell-125-pounds": (
        (
            1000.0,
            (FOOTWELL,),
            (FIFTIES, plate("25 lb", lb(25), 1)),
            {("footwell", "50 lb"): 2, ("footwell", "25 lb"): 1},
        ),
        {"positive lock nuts on every bolt"},
    ),
    "solid-250-pounds": ((1000.0, (HALF_INCH,), (FIFTIES,), {("floor", "50 lb"): 5}), set()),
    "kart-eight-millimetre-bolts": (
        (180.0, (ONE_BOLT,), (plate("3 kg", 3.0, 1),), {("bracket", "3 kg"): 1}),
        {"lock nuts, and washers on both sides"},
    ),
    "kart-endurance": (
        (175.0, (SEAT,), (plate("5 kg", 5.0, 2),), {("seat back", "5 kg"): 2}),
        {"unitary blocks in a canister; lock nuts with at most two threads protruding"},
    ),
    # Weighed with the crew: the minimum for the car alone needs their mass, which nobody gave.
    "rally-two-minima": ((1350.0, (HALF_INCH,), (FIFTIES,), {}), {"car alone"}),
}
FAILS: dict[str, tuple[Setting, str]] = {
    # A 4 lb piece is lighter than the least piece of 5 lb.
    "solid-metal-by-the-bolt": (
        (1000.0, (FLOOR,), (plate("4 lb", lb(4), 1),), {("floor", "4 lb"): 1}),
        "4 lb: least piece",
    ),
    "fifty-pound-segments": (
        (1000.0, (FLOOR,), (FIFTIES,), {("floor", "50 lb"): 1}),
        "floor: bolts thinner than 1/2 in",
    ),
    # 150 lb where 125 lb are allowed.
    "footwell-125-pounds": (
        (1000.0, (FOOTWELL,), (FIFTIES,), {("footwell", "50 lb"): 3}),
        "ballast, hardware counted",
    ),
    "solid-250-pounds": (
        (1000.0, (HALF_INCH,), (plate("bag", lb(25), 2, "shot"),), {("floor", "bag"): 1}),
        "bag: material allowed",
    ),
    # 3.1 kg is above 3 kg: more than one bolt.
    "kart-eight-millimetre-bolts": (
        (180.0, (ONE_BOLT,), (plate("3.1 kg", 3.1, 1),), {("bracket", "3.1 kg"): 1}),
        "bracket: bolts by the rules, heavier pieces",
    ),
    "kart-endurance": ((174.9, (SEAT,), (plate("5 kg", 5.0, 2),), {("seat back", "5 kg"): 2}), "minimum weight"),
    "rally-two-minima": ((1349.5, (HALF_INCH,), (FIFTIES,), {}), "car with crew"),
}


def asked(name: str, setting: Setting) -> Question:
    """The question of a setting under a rulebook."""
    total, mounts, plates, standing = setting
    return question(name, total, mounts, plates, standing)


def test_every_rulebook_has_a_car_that_passes_and_one_that_fails() -> None:
    """There are five rulebooks at the least, and no untested one."""
    assert set(PASSES) == set(FAILS) == set(rulebook_names())
    assert len(rulebook_names()) >= 5


@pytest.mark.parametrize("name", sorted(PASSES))
def test_a_car_within_the_rules_passes(name: str) -> None:
    """Every limit passes, but for what cannot be checked, which is just what was expected."""
    setting, unseen = PASSES[name]
    findings = inspect_weighed(asked(name, setting))
    assert {finding.rule for finding in findings if finding.verdict == "not checked"} == unseen
    assert [finding.rule for finding in findings if finding.verdict == "fail"] == []
    assert any(finding.verdict == "pass" for finding in findings)


@pytest.mark.parametrize("name", sorted(FAILS))
def test_a_car_outside_the_rules_fails(name: str, request: pytest.FixtureRequest) -> None:
    """The limit that is broken is named, and the findings read as they did when somebody read them through."""
    setting, broken = FAILS[name]
    findings = inspect_weighed(asked(name, setting))
    assert broken in {finding.rule for finding in findings if finding.verdict == "fail"}
    units = read_rulebook(rulebook_path(name)).units.units()
    text = laid_out(Sheet(name, (), (findings_section("FINDINGS", findings, Rounding(units, 1)),)))
    golden = GOLDEN / f"{name}.txt"
    if request.config.getoption("--update-golden"):
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(PASSES))
def test_a_plan_keeps_the_rules(name: str) -> None:
    """A car within the rules gets a plan that breaks none, with the same left to the eye as on the pads."""
    setting, unseen = PASSES[name]
    answer = plan(asked(name, setting)).plan
    assert answer.legal
    assert {finding.rule for finding in answer.findings if finding.verdict == "not checked"} == unseen


BRACKET = mount("bracket", bolts(1, "3/8 in", "grade 5"))
THIN = mount("thin", bolts(2, "3/8 in", "grade 5"))
WEAK = mount("weak", bolts(2, "1/2 in", "grade 2"))
KART_TWO = mount("seat", bolts(2, "M8", "8.8", washer=0.030))
KART_NARROW = mount("tray", bolts(2, "M8", "8.8", washer=0.024))
KART_THREE = mount("tray", bolts(3, "M8", "8.8"))

LURES: dict[str, tuple[tuple[Mount, ...], tuple[Plate, ...], float, Standing]] = {
    # 40 lb: three bolts hold 30 lb, one holds 10, and only the 10 lb plates are heavy enough and of metal.
    "solid-metal-by-the-bolt": (
        (FLOOR, BRACKET),
        (plate("4 lb", lb(4), 9), plate("bag", lb(10), 9, "shot"), plate("10 lb", lb(10), 9)),
        lb(40),
        {("floor", "10 lb"): 3, ("bracket", "10 lb"): 1},
    ),
    # 100 lb: one plate is too heavy, one mount has thin bolts and one weak ones.
    "fifty-pound-segments": (
        (THIN, WEAK, HALF_INCH),
        (plate("100 lb", lb(100), 1), FIFTIES),
        lb(100),
        {("floor", "50 lb"): 2},
    ),
    # 100 lb: the boot is not allowed.
    "footwell-125-pounds": ((BOOT, FOOTWELL), (FIFTIES,), lb(100), {("footwell", "50 lb"): 2}),
    # 250 lb, all that is allowed, and no shot in it.
    "solid-250-pounds": (
        (HALF_INCH,),
        (plate("bag", lb(25), 20, "shot"), FIFTIES),
        lb(250),
        {("floor", "50 lb"): 5},
    ),
    # 6.1 kg of a 3.0 and a 3.1 kg plate: the heavier asks for two bolts, and narrow washers take neither.
    "kart-eight-millimetre-bolts": (
        (ONE_BOLT.replace(capacity=5.0), KART_NARROW, KART_TWO.replace(capacity=5.0)),
        (plate("3 kg", 3.0, 1), plate("3.1 kg", 3.1, 1)),
        6.1,
        {("bracket", "3 kg"): 1, ("seat", "3.1 kg"): 1},
    ),
    # 10 kg for 175 kg: no plate of 10 kg, and three bolts are not four.
    "kart-endurance": (
        (KART_THREE, SEAT),
        (plate("10 kg", 10.0, 1), plate("5 kg", 5.0, 2)),
        10.0,
        {("seat back", "5 kg"): 2},
    ),
}
"""Mounts, box, ballast needed [kg] and the one way to carry it that the template allows, by hand."""


@pytest.mark.parametrize("name", sorted(LURES))
def test_a_plan_is_not_lured_out_of_the_rules(name: str) -> None:
    """Of a box with plates and mounts that the template bars, the plan is the one that it allows."""
    mounts, box, needed, allowed = LURES[name]
    bare = 165.0 if name.startswith("kart") else 1000.0
    plain = question(name, bare, mounts, box, {})
    wanted = plain.replace(car=plain.car.replace(targets=Targets(total=bare + needed)))
    answer = plan(wanted).plan
    assert answer.legal
    assert {(row.mount, row.plate): row.count for row in answer.fit if row.count} == allowed


def test_a_plan_makes_the_greater_of_two_minima() -> None:
    """1,180 kg without crew and 1,350 kg with: with 160 kg of crew, 1,180 + 160 is less and 1,350 kg decide."""
    plain = question("rally-two-minima", 1300.0, (HALF_INCH,), (plate("10 kg", 10.0, 20),), {})
    visit = plain.weigh_in.visit.replace(driver_mass=160.0)
    answer = plan(plain.replace(weigh_in=plain.weigh_in.replace(visit=visit))).plan
    assert answer.legal
    assert answer.required_total == pytest.approx(1350.0)
    assert answer.ballast_total == pytest.approx(50.0)
    assert {finding.rule for finding in answer.findings if finding.verdict == "not checked"} == set()


@pytest.mark.parametrize(("driver_mass", "required"), [(170.0, 1350.0), (175.0, 1355.0)])
def test_heavy_crew_make_the_car_alone_decide(driver_mass: float, required: float) -> None:
    """A crew of 170 kg make both minima one, 1,180 + 170 = 1,350 kg; 5 kg more of crew ask for 1,355 kg."""
    plain = question("rally-two-minima", 1300.0, (HALF_INCH,), (plate("5 kg", 5.0, 20),), {})
    visit = plain.weigh_in.visit.replace(driver_mass=driver_mass)
    answer = plan(plain.replace(weigh_in=plain.weigh_in.replace(visit=visit))).plan
    assert answer.required_total == pytest.approx(required)


@pytest.mark.parametrize(
    ("kilograms", "count", "fine"), [(3.0, 1, True), (3.1, 1, False), (3.1, 2, True), (8.0, 2, True)]
)
def test_more_than_one_bolt_above_three_kilograms(kilograms: float, count: int, fine: bool) -> None:
    """Single weights over 3 kg need more than one bolt (KartSport New Zealand L1.1)."""
    held = mount("bracket", bolts(count, "M8", "8.8", washer=0.030))
    setting = (180.0, (held,), (plate("weight", kilograms, 1),), {("bracket", "weight"): 1})
    verdicts = [
        f.verdict for f in inspect_weighed(asked("kart-eight-millimetre-bolts", setting)) if "bolts by" in f.rule
    ]
    assert (set(verdicts) == {"pass"}) == fine


@pytest.mark.parametrize(("count", "fine"), [(1, False), (2, True)])
def test_two_half_inch_bolts_hold_a_segment(count: int, fine: bool) -> None:
    """A segment of 50 lb needs at least two 1/2 in bolts (US club rule, quoted in 2018)."""
    held = mount("floor", bolts(count, "1/2 in", "grade 5"))
    setting = (1000.0, (held,), (FIFTIES,), {("floor", "50 lb"): 1})
    verdicts = {f.rule: f.verdict for f in inspect_weighed(asked("fifty-pound-segments", setting))}
    assert (verdicts["floor: bolts by the rules"] == "pass") == fine


def test_a_clause_is_named_once_where_bolts_are_not_entered() -> None:
    """Two tables of one clause are one clause to look up."""
    setting = (180.0, (mount("tray", None),), (plate("2 kg", 2.0, 1),), {("tray", "2 kg"): 1})
    found = {f.rule: f for f in inspect_weighed(asked("kart-eight-millimetre-bolts", setting))}["bolts"]
    assert (found.verdict, found.clause) == ("not checked", "L1.1")


@pytest.mark.parametrize(
    ("pounds", "count", "fine"), [(25, 3, True), (25, 2, False), (20, 2, True), (20.5, 2, False), (10, 1, True)]
)
def test_one_bolt_for_each_ten_pounds(pounds: float, count: int, fine: bool) -> None:
    """25 lb need three 3/8 in bolts, a 20 lb block two (Western Canada Motorsport Association, quoted in 2018)."""
    held = mount("floor", bolts(count, "3/8 in", "grade 5"))
    setting = (1000.0, (held,), (plate("block", lb(pounds), 1),), {("floor", "block"): 1})
    verdicts = {f.rule: f.verdict for f in inspect_weighed(asked("solid-metal-by-the-bolt", setting))}
    assert (verdicts["floor: bolts by the rules"] == "pass") == fine


@pytest.mark.parametrize(
    ("spares", "mass", "verdict"), [(1, None, "pass"), (2, None, "not checked"), (2, 14.0, "fail")]
)
def test_a_second_spare_wheel_is_taken_out_to_weigh(spares: int, mass: float | None, verdict: str) -> None:
    """1,350 kg with crew are with one spare: with two aboard, 14 kg each, the car is 14 kg short (FIA art. 261)."""
    plain = asked("rally-two-minima", PASSES["rally-two-minima"][0])
    visit = plain.weigh_in.visit.replace(spares=spares, spare_mass=mass)
    changed = plain.replace(weigh_in=plain.weigh_in.replace(visit=visit))
    found = {f.rule: f for f in inspect_weighed(changed)}["car with crew"]
    assert found.verdict == verdict
    if mass:
        assert found.margin == pytest.approx(-14.0)
        assert plan(changed).plan.required_total == pytest.approx(1350.0 + 14.0)


def test_ballast_outside_the_footwell_fails() -> None:
    """A boot is no passenger footwell (US club rule 9.3.13.2, quoted second-hand)."""
    setting = (1000.0, (BOOT,), (FIFTIES,), {("boot", "50 lb"): 1})
    verdicts = {f.rule: f.verdict for f in inspect_weighed(asked("footwell-125-pounds", setting))}
    assert verdicts["boot: in an allowed zone"] == "fail"


@pytest.mark.parametrize("name", rulebook_names())
def test_every_limit_says_where_it_comes_from(name: str) -> None:
    """A template says that it is one; each limit has clause, source and day; 80 columns are enough to show it."""
    book = read_rulebook(rulebook_path(name))
    assert book.title.template
    assert book.title.note.startswith(("Quoted second-hand", "Read "))
    assert book.title.body
    for limit in limits(book):
        assert limit.clause
        assert limit.source
        assert limit.checked.year >= 2026
    text = laid_out(rules_sheet(book))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert "A template" in text


def limits(book: Rulebook) -> list[Ruled]:
    """Every limit of a rulebook."""
    values = [getattr(book, key) for key in Rulebook.model_fields]
    entries = [entry for value in values for entry in (value if isinstance(value, tuple) else (value,))]
    return [entry for entry in entries if isinstance(entry, Ruled)]


def test_pounds_are_pounds() -> None:
    """The test's own conversion: 50 lb are 22.6796185 kg, exactly."""
    assert lb(50) == pytest.approx(22.6796185, abs=1e-12)
    assert Units("lb", "in").name("mass") == "lb"
