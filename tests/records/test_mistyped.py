"""Slips that TOML refuses and people write: told in plain words, and mended so that the rest is read too.

Expected values are what a person means by each text; which of them TOML refuses is decided by tomllib itself.
"""

import tomllib

import pytest

from ballast.records.mistyped import parsed, plain_number


@pytest.mark.parametrize(
    ("text", "digits", "unit"),
    [
        ("31 kg", "31", "kg"),
        ("31kg", "31", "kg"),
        (" 54,5 ", "54.5", ""),
        ("-1,5 mm", "-1.5", "mm"),
        ("+3", "3", ""),
        (".5", "0.5", ""),
        ("-,5", "-0.5", ""),
        ("2480.", "2480.0", ""),
        ("54 %", "54", "%"),
    ],
)
def test_what_a_person_means_by_a_number(text: str, digits: str, unit: str) -> None:
    """Signs, points, commas and units as people write them come out as TOML writes them."""
    found = plain_number(text)
    assert found
    assert (found.digits, found.unit) == (digits, unit)
    assert tomllib.loads(f"x = {digits}")


@pytest.mark.parametrize("text", ["", "wide", "5 or 6", "1.234,5", "1,234.5", "14.03.2026", "about 7", "-", "."])
def test_what_is_no_plain_number(text: str) -> None:
    """Where a person may mean this or that, no number is made up."""
    assert plain_number(text) is None


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("mass = 5,02", {"mass": 5.02}),
        ("mass = 5,02   # weighed, twice", {"mass": 5.02}),
        ("mass = 5 kg", {"mass": 5}),
        ("mass = 5,5kg", {"mass": 5.5}),
        ("mass=.5", {"mass": 0.5}),
        ("mass: 5", {"mass": 5}),
        ("mass : 5,5 kg", {"mass": 5.5}),
        ("mass = kg", {"mass": "kg"}),
        ("driver = in", {"driver": "in"}),
        ("template = True", {"template": True}),
        ("front = { aim = 54,0, within = 0,5 }", {"front": {"aim": 54.0, "within": 0.5}}),
        ("front = { aim = 54 %, corners = RF+LR }", {"front": {"aim": 54, "corners": "RF+LR"}}),
        ('name = “nose”\nnote = "5,0 kg: it \\" fits" # a = 5 kg', {"name": "nose", "note": '5,0 kg: it " fits'}),
        ("note = 'a: 5,0'\nmass = 5,0", {"note": "a: 5,0", "mass": 5.0}),
    ],
)
def test_a_slip_is_told_and_mended(written: str, meant: dict[str, object]) -> None:
    """What TOML refuses is read as it was meant, with a complaint for it."""
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(written)
    tables, complaints = parsed(written, "car.toml")
    assert tables == meant
    assert complaints
    for complaint in complaints:
        assert complaint.file == "car.toml"
        assert complaint.where.startswith("line ")


def test_every_slip_of_a_file_is_told() -> None:
    """Three slips in three lines are three complaints, each with its line, its table and its key."""
    _, complaints = parsed("[car]\na = 1,5\n[[mounts]] # first\nb = 2 kg\nc: 3\n", "car.toml")
    assert [complaint.where for complaint in complaints] == [
        "line 2, [car] a",
        "line 4, [[mounts]] b",
        "line 5, [[mounts]] c",
    ]


def test_good_toml_is_left_alone() -> None:
    """A file that TOML reads is never mended, whatever its texts look like."""
    text = 'note = "mass = 5,02 kg"\ndate = 2026-03-14T08:30:00\nx = [1,2]\n'
    assert parsed(text, "car.toml") == (tomllib.loads(text), ())


@pytest.mark.parametrize(
    "written", ["x = ", "x", "[car", "= 5", 'x = "a', "x = [1, 2", "x = {", "\x00", "x = 1\nx = 2"]
)
def test_what_cannot_be_mended_is_one_complaint(written: str) -> None:
    """Where nobody can tell what was meant, the place is told and nothing is made of it."""
    tables, complaints = parsed(written, "car.toml")
    assert tables == {}
    assert len(complaints) == 1
    assert complaints[0].fix
