"""What a planner at work says on a terminal, and what Ctrl-C does to it."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from io import StringIO, UnsupportedOperation
from pathlib import Path

import pytest

from ballast.records.progress import Progress
from ballast.showing.rounding import Rounding
from ballast.showing.terminal import Listener, listening
from ballast.units import Units

SHOW = Rounding(Units(), 1)
BALANCE = Progress("balance", "percent", 0.0031, 0.0012)
ROOT = Path(__file__).parents[2]


class Terminal(StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Whether it is one."""
        return True


class Narrow(Terminal):
    """A terminal that is a device of the operating system, or says so."""

    def fileno(self) -> int:
        """The number of the device."""
        return 77


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[float]]:
    """A clock that the test turns on by hand. [s]"""
    now = [100.0]
    monkeypatch.setattr("ballast.showing.terminal.time.perf_counter", lambda: now[0])
    yield now


def test_nothing_is_said_to_what_is_no_terminal(clock: list[float]) -> None:
    """A pipe or a file gets no progress, however long it takes, and nothing to clear away."""
    stream = StringIO()
    with listening(stream, SHOW) as told:
        clock[0] += 60
        assert told(BALANCE) is False
    assert stream.getvalue() == ""


def test_the_first_second_is_quiet(clock: list[float]) -> None:
    """What is done within a second leaves no trace on a terminal; what takes longer gets a line."""
    stream = Terminal()
    with listening(stream, SHOW) as told:
        told(BALANCE)
        clock[0] += 0.9
        told(BALANCE)
        assert stream.getvalue() == ""
        clock[0] += 0.2
        told(BALANCE)
        assert "balance: best so far 0.31 points, not under 0.12 points." in stream.getvalue()
        assert "Ctrl-C takes it." in stream.getvalue()


def test_the_line_is_renewed_in_its_place_and_not_too_often(clock: list[float]) -> None:
    """Told fifty times within a second, it is written five times or so, each over the one before, without a newline."""
    stream = Terminal()
    with listening(stream, SHOW) as told:
        clock[0] += 1
        for _ in range(50):
            told(BALANCE)
            clock[0] += 0.02
        assert 3 <= stream.getvalue().count("balance") <= 6
        assert "\n" not in stream.getvalue()
        assert all(part == "" or len(part) <= 79 for part in stream.getvalue().split("\r"))


def test_the_line_is_cleared_at_the_end(clock: list[float]) -> None:
    """What comes after starts on a clean line: blanks over all that was written, and back to the left."""
    stream = Terminal()
    with listening(stream, SHOW) as told:
        clock[0] += 2
        told(BALANCE)
        written = len(stream.getvalue())
    last = stream.getvalue()[written:]
    assert re.fullmatch(r"\r( +)\r", last)
    assert last.count(" ") >= len(stream.getvalue()[:written].strip())


def test_it_is_cleared_after_a_mistake_too(clock: list[float]) -> None:
    """An error in the middle leaves a clean line for its own words."""
    stream = Terminal()
    with pytest.raises(ZeroDivisionError), listening(stream, SHOW) as told:
        clock[0] += 2
        told(BALANCE)
        raise ZeroDivisionError
    assert stream.getvalue().endswith(" \r")


@pytest.mark.parametrize(
    ("progress", "said"),
    [
        (
            Progress("least total", "mass", 1108.43, 1107.96),
            "least total: best so far 1108.4 kg, not under 1108.0",
        ),
        (Progress("height", "length", 0.0123, 0.0101), "height: best so far 0.012 m, not under 0.010 m."),
        (Progress("changes", None, 7.0, 5.0), "changes: best so far 7, not under 5."),
        (
            Progress("aim", "percent", float("inf"), float("-inf")),
            "aim: best so far none yet, not under 0.00 points.",
        ),
        (Progress("aim", "percent", 0.004, -3.0), "aim: best so far 0.40 points, not under 0.00 points."),
    ],
)
def test_what_is_said_of_a_wish(progress: Progress, said: str) -> None:
    """The wish, the best so far and the proved bound in the user's units; no wish is under nothing."""
    assert Listener(Terminal(), SHOW).line(progress).startswith(said)


@pytest.mark.parametrize(
    "wish", ["least yaw inertia", "fewest plates on the car, whatever the balance: balance sum", "x" * 300, ""]
)
def test_a_line_is_never_too_long_and_keeps_its_numbers(wish: str) -> None:
    """A terminal of 80 columns never wraps it; of a long name the end goes, not the numbers."""
    line = Listener(Terminal(), SHOW).line(Progress(wish, "percent", 0.1234, 0.0567))
    assert len(line) <= 79
    assert "best so far 12.34 points, not under 5.67 points." in line


def test_a_narrow_terminal_does_not_wrap(clock: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
    """On 40 columns a line takes 39 at the most, or each renewal would scroll."""
    monkeypatch.setattr("ballast.showing.streams.os.get_terminal_size", lambda _: os.terminal_size((40, 24)))
    stream = Narrow()
    with listening(stream, SHOW) as told:
        clock[0] += 2
        told(BALANCE)
    assert max(len(part) for part in stream.getvalue().split("\r")) == 39


def test_a_terminal_that_does_not_know_its_width(clock: list[float]) -> None:
    """Where nothing tells how wide it is, 80 columns are taken, and nothing breaks."""
    stream = Terminal()
    with pytest.raises(UnsupportedOperation):
        stream.fileno()
    with listening(stream, SHOW) as told:
        clock[0] += 2
        told(BALANCE)
    assert max(len(part) for part in stream.getvalue().split("\r")) == 79


# --- Ctrl-C ----------------------------------------------------------------------------------------------------------


def test_the_first_ctrl_c_asks_for_a_stop_and_the_second_ends_it() -> None:
    """The planner is asked to stop and gives what it has; who cannot wait presses again."""
    with pytest.raises(KeyboardInterrupt), listening(StringIO(), SHOW) as told:
        assert told(BALANCE) is False
        signal.raise_signal(signal.SIGINT)
        assert told(BALANCE) is True
        assert told(BALANCE) is True
        signal.raise_signal(signal.SIGINT)


def test_after_a_stop_nothing_more_is_written(clock: list[float]) -> None:
    """A planner that is asked to stop is not described any more."""
    stream = Terminal()
    with listening(stream, SHOW) as told:
        clock[0] += 2
        signal.raise_signal(signal.SIGINT)
        told(BALANCE)
        assert stream.getvalue() == ""


def test_ctrl_c_means_what_it_meant_afterwards() -> None:
    """The handler that was there is there again, after a good end and after a bad one."""
    before = signal.getsignal(signal.SIGINT)
    with listening(StringIO(), SHOW):
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before
    with pytest.raises(ZeroDivisionError), listening(StringIO(), SHOW):
        raise ZeroDivisionError
    assert signal.getsignal(signal.SIGINT) is before


AT_WORK = """
from ballast.cli.plans import _planned
from tests.random_cars import large_question

question = large_question(5, 24, 8)
weigh_in = question.weigh_in.replace(readings=question.weigh_in.readings[:1] * 3)
wishes = question.wishes.replace(order=("aim",), balance_resolution=1e-9, seconds=120.0)
answer = _planned(question.replace(weigh_in=weigh_in, car=question.car.replace(wishes=wishes)), None)
print(answer.plan.outcome, answer.plan.legal, len(answer.plan.findings) > 0)
"""
"""A car weighed without scatter and to be settled to 1e-7 points, which no solver proves in two minutes."""
PATIENCE = 30.0
"""Seconds until the test gives up. It ends long before."""


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals")
def test_ctrl_c_on_a_real_terminal() -> None:
    """On a pseudo terminal a line appears; an interrupt then gives a checked plan, marked as stopped, in no time."""
    import pty

    mine, theirs = pty.openpty()
    command = [sys.executable, "-c", AT_WORK]
    try:
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=theirs, text=True, cwd=ROOT) as run:
            os.close(theirs)
            try:
                said = heard(mine, "best so far")
                began = time.monotonic()
                run.send_signal(signal.SIGINT)
                out, _ = run.communicate(timeout=PATIENCE)
            finally:
                run.kill()
    finally:
        os.close(mine)
    assert time.monotonic() - began < 5
    assert "\r" in said
    assert out == "best found when stopped True True\n"
    assert run.returncode == 0


def heard(terminal_end: int, words: str) -> str:
    """What a terminal shows until some words appear on it."""
    import select

    text, deadline = "", time.monotonic() + PATIENCE
    while words not in text:
        assert time.monotonic() < deadline, f"it never said {words!r}, only {text!r}"
        if select.select([terminal_end], [], [], 0.2)[0]:
            try:
                text += os.read(terminal_end, 4096).decode()
            except OSError as error:  # nobody is at the other end any more
                raise AssertionError(f"it ended before it said {words!r}: {text!r}") from error
    return text
