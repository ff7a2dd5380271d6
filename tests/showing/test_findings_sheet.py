"""Findings in words: what fails or was not checked stands by itself, what passes stands by kind."""

from collections.abc import Sequence

from ballast.records.finding import About, Finding
from ballast.showing.findings_sheet import findings_section
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Table
from ballast.units import Dimension, Units

SHOW = Rounding(Units(), 1)


def limit(
    rule: str,
    measured: float,
    most: float,
    about: About = "mount",
    clause: str = "",
    dimension: Dimension | None = "mass",
) -> Finding:
    """A finding about a greatest mass, made by hand."""
    verdict: dict[bool, str] = {True: "pass", False: "fail"}
    return Finding.model_validate(
        {
            "dimension": dimension,
            "about": about,
            "rule": rule,
            "bound": "max",
            "clause": clause,
            "measured": measured,
            "limit": most,
            "margin": most - measured,
            "verdict": verdict[measured <= most],
        }
    )


def corners(*states: str) -> list[Finding]:
    """The findings that name the states of the car: one wheel in each."""
    return [limit(f"load on LF{', ' if state else ''}{state}", 0.0, 1.0, "corner") for state in states]


def rows(findings: Sequence[Finding]) -> list[tuple[str, ...]]:
    """What the table says."""
    table = findings_section("FINDINGS", tuple(findings), SHOW).table
    assert isinstance(table, Table)
    return list(table.rows)


def test_mounts_that_pass_stand_in_one_row_with_the_least_in_hand() -> None:
    """Of 7, 2 and 9 kg in hand the row says 2 kg, whose they are, and that there were three."""
    found = [limit(f"{name}: mass with hardware", mass, 10.0) for name, mass in (("a", 3), ("b", 8), ("c", 1))]
    assert rows(found) == [("mass with hardware, tightest of 3: b", "8.0 kg", "max 10.0 kg", "2.0 kg", "pass")]


def test_what_fails_stands_by_itself_and_first() -> None:
    """Two that fail are two rows with their whole names, before the two that pass and stand in one."""
    masses = {"a": 3, "b": 11, "c": 12, "d": 4}
    found = [limit(f"{name}: mass with hardware", mass, 10.0) for name, mass in masses.items()]
    names = [(row[0], row[-1]) for row in rows(found)]
    assert names == [
        ("b: mass with hardware", "fail"),
        ("c: mass with hardware", "fail"),
        ("mass with hardware, tightest of 2: d", "pass"),
    ]


def test_states_of_the_car_stand_in_one_row() -> None:
    """A minimum in the state of each driver is one row; the state with the least in hand is named."""
    states = ("Ilse, flag", "Bo, flag")
    found = [
        limit(f"front axle, {state}", mass, 10.0, "car", "3.2") for state, mass in zip(states, (3, 8), strict=True)
    ]
    assert rows([*found, *corners(*states)])[0][0] == "front axle (clause 3.2), tightest of 2: Bo, flag"


def test_two_minima_of_one_clause_stay_two_rows() -> None:
    """What the rulebook's author calls two things is never one row, whatever commas and colons the names hold."""
    found = [limit(name, 1.0, 10.0, "car", "2.1") for name in ("car: alone", "crew: alone", "car, empty", "car, full")]
    assert [row[0] for row in rows([*found, *corners("")])] == [f"{finding.rule} (clause 2.1)" for finding in found]


def test_a_driver_with_commas_in_the_name_is_still_a_driver() -> None:
    """Names may hold what the rows are put together with."""
    states = ("Sela, the younger, flag", "Bo, flag")
    found = [
        limit(f"seat box: mass with hardware, {who}", mass, 9.0) for who, mass in (("Sela, the younger", 8), ("Bo", 1))
    ]
    (row, *_) = rows([*found, *corners(*states)])
    assert row[0] == "mass with hardware, tightest of 2: seat box, Sela, the younger"


def test_other_clauses_and_other_units_are_other_rows() -> None:
    """Kilograms in hand are not compared with millimetres, nor one clause with another."""
    found = [
        limit("a: greatest", 1.0, 2.0, clause="1"),
        limit("b: greatest", 1.0, 2.0, clause="2"),
        limit("c: greatest", 0.001, 0.002, clause="1", dimension="length"),
    ]
    assert len(rows(found)) == 3


def test_equal_numbers_are_said_to_be_alike() -> None:
    """Where nothing tells them apart, none is named."""
    found = [limit(f"{name}: bolts weaker than 8.8", 0, 0, clause="4.4", dimension=None) for name in "abc"]
    assert rows(found)[0][0] == "bolts weaker than 8.8 (clause 4.4), all 3 alike"


def test_every_gap_is_a_sentence_of_its_own() -> None:
    """What was not checked is never folded."""
    gaps = [
        Finding.model_validate(
            limit(f"{name}: washers", 0, 1).model_dump()
            | {"verdict": "not checked", "because": "no diameter", "measured": None, "limit": None, "margin": None}
        )
        for name in "ab"
    ]
    section = findings_section("FINDINGS", tuple(gaps), SHOW)
    assert section.table is None
    assert section.lines == ("Not checked: a: washers: no diameter.", "Not checked: b: washers: no diameter.")
