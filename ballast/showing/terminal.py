"""A planner at work, on a terminal: a line that says how far it is, and Ctrl-C that stops it with what it has."""

import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from math import isfinite
from types import FrameType
from typing import TextIO

from ballast.records.progress import Progress, Told
from ballast.showing.places import shortened
from ballast.showing.rounding import Rounding
from ballast.showing.streams import columns

QUIET = 1.0
"""Seconds before anything is said."""
EVERY = 0.2
"""Seconds between two lines."""
SHORTEST = 4
"""Letters of a wish's name that are left where there is no room."""
HINT = " Ctrl-C takes it."


class Listener:
    """Is told of the progress, says so on a terminal, and asks for a stop after Ctrl-C."""

    def __init__(self, stream: TextIO, show: Rounding):
        """stream : where the line goes, if it is a terminal; show : the units to say it in."""
        self.stopped = False
        self._stream = stream if stream.isatty() else None
        self._width = _width(stream)
        self._show = show
        self._next = time.perf_counter() + QUIET
        self._written = False

    def told(self, progress: Progress) -> bool:
        """Say how far it is, now and then. Returns whether to stop."""
        if self._stream and not self.stopped and time.perf_counter() >= self._next:
            self._next = time.perf_counter() + EVERY
            self._stream.write(f"\r{self.line(progress):<{self._width}}")
            self._stream.flush()
            self._written = True
        return self.stopped

    def line(self, progress: Progress) -> str:
        """Which wish, the best so far, and what it cannot be under. The numbers are kept whole where room is short."""
        best = self._figure(progress, progress.best) if isfinite(progress.best) else "none yet"
        least = self._figure(progress, max(progress.bound, 0.0) if isfinite(progress.bound) else 0.0)
        numbers = f": best so far {best}, not under {least}."
        text = shortened(progress.wish, max(self._width - len(numbers), SHORTEST)) + numbers
        text += HINT if isfinite(progress.best) and len(text) + len(HINT) <= self._width else ""
        return text[: self._width]

    def _figure(self, progress: Progress, value: float) -> str:
        """A number of a wish; percentages are distances here."""
        return (
            self._show.points(value) if progress.dimension == "percent" else self._show.value(value, progress.dimension)
        )

    def clear(self) -> None:
        """Leave a clean line behind."""
        if self._stream and self._written:
            self._stream.write(f"\r{'':<{self._width}}\r")
            self._stream.flush()


def _width(stream: TextIO) -> int:
    """Letters in a line that a terminal does not wrap: one fewer than it has columns."""
    return max(columns(stream) - 1, 1)


@contextmanager
def listening(stream: TextIO, show: Rounding) -> Iterator[Told]:
    """Hear of the progress; the first Ctrl-C asks for a stop, a second one ends the program."""
    listener = Listener(stream, show)

    def stop(_signal: int, _frame: FrameType | None) -> None:
        if listener.stopped:
            raise KeyboardInterrupt
        listener.stopped = True

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield listener.told
    finally:
        signal.signal(signal.SIGINT, before)
        listener.clear()
