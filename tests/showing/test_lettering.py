"""Text that has to fit."""

import pytest

from ballast.showing.lettering import GAP, listed, plain, shortened, width, wrapped

NAMES = ("nose tray", "left footwell under the pedals", "Donaudampfschifffahrtsgesellschaft", "a b c d e f g h i j k l")


def test_bold_and_longer_text_is_wider() -> None:
    """Width grows with the letters, their weight and their size in points."""
    assert width("mm") < width("mmm") < width("mmm", bold=True)
    assert width("mmm", size=19.0) == pytest.approx(2 * width("mmm", size=9.5), rel=0.05)


@pytest.mark.parametrize("room", [25.0, 60.0, 97.0])
@pytest.mark.parametrize("name", NAMES)
def test_whatever_is_cut_or_broken_fits(name: str, room: float) -> None:
    """No line is wider than its room, no more lines come than asked for, and a name that fits stays whole."""
    assert width(shortened(name, room)) <= room
    lines = wrapped(name, room, most=3)
    assert len(lines) <= 3
    assert all(width(line) <= room for line in lines)
    if not any(GAP in line for line in lines):
        assert " ".join(lines) == name


def test_a_cut_name_keeps_both_ends() -> None:
    """Names of one car often differ only at their ends."""
    cut = shortened("boot floor, behind the wheel arch, left", 97.0)
    assert cut.startswith("boot fl")
    assert cut.endswith(f"{GAP}left")


@pytest.mark.parametrize("room", range(20, 140, 3))
def test_no_number_is_cut_in_two(room: int) -> None:
    """However little room there is, 5 kg is never what is left of 12.5 kg, nor 1 of 1234567."""
    for name in ("plate of painted steel, number 1234567, 12.5 kg", "steel12.5", "1234567 1234567 12.5 kg"):
        left = shortened(name, float(room)).replace(GAP, " ").replace("steel", " ")
        numbers = [word.strip(",") for word in left.split() if word[0].isdigit()]
        assert set(numbers) <= {"1234567", "12.5"}, left


def test_entries_are_never_broken() -> None:
    """Entries stand whole on a line, with a comma after all but the last."""
    lines = listed(["1 x 10 kg", "2 x 5 kg", "12 x 2 kg"], 97.0, "off:")
    assert " ".join(lines) == "off: 1 x 10 kg, 2 x 5 kg, 12 x 2 kg"
    assert all(width(line) <= 97.0 for line in lines)
    assert not any(line.endswith("x") for line in lines)
    assert listed([], 97.0) == ()


def test_a_name_becomes_one_line_of_letters() -> None:
    """Line breaks and tabs become blanks, what cannot be drawn becomes a square."""
    assert plain("a\n\tb  c") == "a b c"
    assert plain("\N{CJK UNIFIED IDEOGRAPH-8ECA}7\u200f") == "\N{WHITE SQUARE}7\N{WHITE SQUARE}"
