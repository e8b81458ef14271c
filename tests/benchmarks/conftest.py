"""What the benchmarks have to say beyond their tables: lines printed at the end of the run."""

from __future__ import annotations

import os
from collections.abc import Callable

import pytest

_LINES = pytest.StashKey[list[str]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_LINES] = []


@pytest.fixture
def say(pytestconfig: pytest.Config) -> Callable[[str], None]:
    """Prints a line after the tables. Nothing is asserted of a time: it depends on the machine."""
    return pytestconfig.stash[_LINES].append


@pytest.fixture
def environment() -> dict[str, str]:
    """Of a process that is measured: nothing that makes Python write or look elsewhere."""
    return {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if lines := config.stash[_LINES]:
        terminalreporter.section("what it comes to")
        for line in lines:
            terminalreporter.write_line(line)
