"""Debian's Chromium without a window, spoken to through two pipes: the DevTools protocol, with nothing to install."""

import base64
import fcntl
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

ANSWERS, COMMANDS = 4, 3
"""File descriptors on which Chromium answers and listens when it is told to use pipes."""
SEPARATOR = b"\0"


class Page:
    """One tab."""

    def __init__(self, commands: BinaryIO, answers: BinaryIO) -> None:
        self._commands, self._answers = commands, answers
        self._number = 0
        self._session: str | None = None
        self.events: list[dict[str, Any]] = []
        """what Chromium told without being asked"""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Send a command and wait for its answer; what comes before it is kept in `events`."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        self._commands.write(json.dumps(message).encode() + SEPARATOR)
        self._commands.flush()
        while True:
            told = self._next()
            if told.get("id") == self._number:
                assert "error" not in told, told["error"]
                result: dict[str, Any] = told["result"]
                return result

    def open(self, file: Path) -> None:
        """Load a file, and wait until all of it is there."""
        self.events.clear()
        self.call("Page.navigate", url=file.as_uri())
        while not any(event["method"] == "Page.loadEventFired" for event in self.events):
            self._next()

    def width(self, pixels: int) -> None:
        """Make the window so wide."""
        self.call(
            "Emulation.setDeviceMetricsOverride", width=pixels, height=844, deviceScaleFactor=1, mobile=pixels < 600
        )

    def value(self, expression: str) -> Any:
        """What a JavaScript expression is worth, waited for where it is a promise."""
        told = self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in told, told["exceptionDetails"]
        return told["result"].get("value")

    def printed(self, wide: float, high: float) -> bytes:
        """The page as a PDF on paper of this size. [in]"""
        told = self.call("Page.printToPDF", paperWidth=wide, paperHeight=high, printBackground=False)
        return base64.b64decode(told["data"])

    def requested(self) -> list[str]:
        """Every address that was asked for since the file was opened."""
        sent = (event for event in self.events if event["method"] == "Network.requestWillBeSent")
        return [event["params"]["request"]["url"] for event in sent]

    def _next(self) -> dict[str, Any]:
        parts = bytearray()
        while (byte := self._answers.read(1)) != SEPARATOR:
            assert byte, "Chromium has gone"
            parts += byte
        told: dict[str, Any] = json.loads(parts)
        if "method" in told:
            self.events.append(told)
        return told


@contextmanager
def running(program: str) -> Iterator[Page]:
    """Chromium with one empty tab; ended, with all it wrote, on leaving."""
    profile = tempfile.mkdtemp(prefix="ballast-chromium-")
    (theirs_in, ours_out), (ours_in, theirs_out) = os.pipe(), os.pipe()
    # out of the way of 3 and 4, which Chromium wants
    listens, answers = (fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in (theirs_in, theirs_out))
    arguments = [
        program,
        "--headless=new",
        "--remote-debugging-pipe",
        f"--user-data-dir={profile}",
        "--no-first-run",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
        *(["--no-sandbox"] if os.geteuid() == 0 else []),
    ]
    process = os.posix_spawn(
        program,
        arguments,
        os.environ | {"LANG": "C.UTF-8"},
        file_actions=[
            (os.POSIX_SPAWN_DUP2, listens, COMMANDS),
            (os.POSIX_SPAWN_DUP2, answers, ANSWERS),
            (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0),
            (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0),
        ],
        setpgroup=0,
    )
    for end in (theirs_in, theirs_out, listens, answers):
        os.close(end)
    try:
        with os.fdopen(ours_out, "wb") as commands, os.fdopen(ours_in, "rb") as told:
            yield Page(commands, told)
    finally:
        os.killpg(process, signal.SIGKILL)
        os.waitpid(process, 0)
        shutil.rmtree(profile, ignore_errors=True)
