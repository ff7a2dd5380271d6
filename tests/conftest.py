"""Options and fixtures for every test."""

from collections.abc import Callable
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parent / "golden"

Golden = Callable[[str, str], None]


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let a deliberate change renew what the golden tests compare with."""
    parser.addoption("--update-golden", action="store_true", help="write tests/golden anew instead of comparing")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Golden:
    """Compare a text with a file under tests/golden exactly, or write that file when --update-golden is given."""

    def check(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.is_file(), f"there is no tests/golden/{name}; look at the text, then run pytest --update-golden"
        assert text == path.read_text(encoding="utf-8")

    return check
