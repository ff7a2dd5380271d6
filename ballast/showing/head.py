"""What stands at the top of a picture: the car, and what is drawn of it."""

from collections.abc import Iterator, Sequence

from ballast.records.plan import Answer
from ballast.showing.lettering import plain, shortened, wrapped
from ballast.showing.marks import Paper
from ballast.showing.rendering import WIDE
from ballast.showing.scene import MARGIN

Line = tuple[str, float, bool]
"""Text, size, whether bold."""
ROOM = WIDE - 2 * MARGIN
"""Between the rims. [pt]"""


def head(answer: Answer, *said: str, most: int = 3) -> tuple[Line, ...]:
    """The name of the car, and sentences about the picture, each on lines of its own."""
    return tuple(_lines(answer, said, most))


def _lines(answer: Answer, said: Sequence[str], most: int) -> Iterator[Line]:
    yield shortened(plain(answer.question.car.chassis.name), ROOM, 14, bold=True), 14, True
    yield from ((line, 10, False) for words in said for line in wrapped(words, ROOM, 10, most=most))


def height_of(lines: Sequence[Line]) -> float:
    """[pt]"""
    return sum(1.35 * size for _, size, _ in lines)


def draw_head(paper: Paper, lines: Sequence[Line]) -> None:
    """The lines under the upper rim."""
    y = MARGIN
    for text, size, bold in lines:
        y += 1.35 * size
        paper.write(MARGIN, y - 0.25 * size, text, size, bold)
