"""What stands on a mount, plate by plate from the bottom, and how much more it may carry."""

from dataclasses import dataclass

from ballast.records.plan import Answer
from ballast.records.plates import Mount, Plate
from ballast.showing.aboard import drawn_driver


@dataclass(frozen=True)
class Piece:
    """One plate in its stack."""

    plate: Plate
    new: bool
    """put on by the plan"""


def number(answer: Answer, mount: Mount) -> int:
    """Which of the mounts of the car file it is, counted from 1: the same in every picture and on the sheet."""
    return answer.question.car.mounts.index(mount) + 1


def owner(answer: Answer, mount: Mount) -> str | None:
    """The driver whose plates are drawn on a mount that changes with the driver; none on one that does not."""
    return drawn_driver(answer) if mount.changes_with_driver else None


def counts(answer: Answer, mount: Mount) -> tuple[tuple[Plate, int, int], ...]:
    """Plates on a mount in the state that is drawn, in the order of the car file: which, how many before and after.

    Without a plan, as they stand now.
    """
    question, plan, whose = answer.question, answer.plan, owner(answer, mount)
    rows = []
    for plate in question.car.plates:
        before = question.standing(mount.name, plate.name, whose)
        here = (mount.name, plate.name, whose)
        after = sum(row.count for row in plan.fit if (row.mount, row.plate, row.driver) == here)
        rows.append((plate, before, after if plan.cases else before))
    return tuple(row for row in rows if row[1] or row[2])


def stack(answer: Answer, mount: Mount) -> tuple[Piece, ...]:
    """The plates that stand there, from the bottom: in the order of the car file, as heights are reckoned."""
    return tuple(
        Piece(plate, place >= before) for plate, before, after in counts(answer, mount) for place in range(after)
    )


def carried(answer: Answer, mount: Mount) -> float:
    """What the mount carries of its capacity: its plates, and its hardware where there are any. [kg]"""
    pieces = stack(answer, mount)
    return sum(piece.plate.mass for piece in pieces) + (mount.fixing_mass if pieces else 0.0)
