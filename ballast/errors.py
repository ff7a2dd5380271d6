"""Complaints: what is wrong, where, and how to put it right. A complaint is about input that cannot be used."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class Complaint:
    """One thing wrong with what the user wrote."""

    what: str
    fix: str
    where: str = ""
    """Table and key, as the user would look for them: "[[mounts]] 2 'nose' capacity"."""
    value: str | None = None
    """The value as the user wrote it, when there is one to show."""
    file: str = ""
    """Whoever knows the file fills this in; rules about a record do not."""

    def __str__(self) -> str:
        """Two lines: what and where, then the remedy."""
        place = ": ".join(part for part in (self.file, self.where) if part)
        value = f" = {self.value}" if self.value is not None else ""
        return f"{place}{value}: {self.what}\n    Fix: {self.fix}"


class BallastError(Exception):
    """Base of every error this package raises on purpose; its text is meant for the user."""


class InputError(BallastError):
    """Input that cannot be used, with every complaint about it."""

    def __init__(self, complaints: Iterable[Complaint]):
        self.complaints = tuple(complaints)
        super().__init__("\n".join(str(complaint) for complaint in self.complaints))


class DisagreementError(BallastError):
    """The scrutineer's own sums differ from the planner's: a fault of this program, never of the user."""


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant, whatever its capitals; none when nothing is near.

    Of a short word more must be the same: 'cm' is not a misspelt 'm'.
    """
    by_folded = {other.casefold(): other for other in known}
    cutoff = 0.6 if len(word) > 3 else 0.75
    near = get_close_matches(word.casefold(), sorted(by_folded), n=1, cutoff=cutoff)
    return by_folded[near[0]] if near else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A remedy for a word nobody knows: the nearest known one, or the list of them."""
    words = sorted(known)
    near = nearest(word, words)
    if near:
        return f"did you mean '{near}'?"
    return f"use one of: {', '.join(words)}." if words else "leave it out; there is nothing to choose from."
