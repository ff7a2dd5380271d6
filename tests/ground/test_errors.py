"""Complaints in words: place, value, what, remedy; and the word that was probably meant."""

import pytest

from ballast.errors import BallastError, Complaint, InputError, did_you_mean, nearest

MOUNTS = ("nose", "left footwell", "boot")


def test_a_complaint_says_where_what_and_how_to_put_it_right() -> None:
    """File, table, key and value come first, then what is wrong, then the remedy on a line of its own."""
    complaint = Complaint("must be more than 0", "measure it.", "[car] wheelbase", "-2480", "car.toml")
    assert str(complaint) == "car.toml: [car] wheelbase = -2480: must be more than 0\n    Fix: measure it."


def test_a_complaint_leaves_out_what_it_does_not_know() -> None:
    """Without a place and a value nothing stands in their stead."""
    assert str(Complaint("is empty", "fill it in.", file="car.toml")) == "car.toml: is empty\n    Fix: fill it in."


def test_an_input_error_tells_every_complaint() -> None:
    """Both complaints are in the text and kept as data, in their order."""
    first, second = Complaint("one", "a"), Complaint("two", "b")
    error = InputError([first, second])
    assert error.complaints == (first, second)
    assert str(error) == f"{first}\n{second}"
    assert isinstance(error, BallastError)


@pytest.mark.parametrize(("word", "meant"), [("nsoe", "nose"), ("BOOT", "boot"), ("left footwel", "left footwell")])
def test_a_near_word_is_offered(word: str, meant: str) -> None:
    """Swapped letters, capitals and a letter too few are all understood."""
    assert nearest(word, MOUNTS) == meant
    assert did_you_mean(word, MOUNTS) == f"did you mean '{meant}'?"


def test_a_far_word_gets_the_list() -> None:
    """When nothing is near, everything there is to choose from is named in order."""
    assert did_you_mean("ceiling", MOUNTS) == "use one of: boot, left footwell, nose."


def test_a_short_word_is_not_bent_into_another() -> None:
    """cm is not a misspelt mm or m: following such advice would be worse than none."""
    assert nearest("cm", ("mm", "m", "in")) is None
    assert nearest("lbs", ("kg", "lb")) == "lb"


def test_nothing_to_choose_from() -> None:
    """An empty list of known words still gives a remedy."""
    assert did_you_mean("boot", ()) == "leave it out; there is nothing to choose from."
