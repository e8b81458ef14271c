"""A pytest plugin that writes down which lines of the package each test runs, and for how long: `-p tests.reached`.

For each file of tests there is then a database of coverage, whose contexts are its tests, and a file of how long those
that passed took, and of which text they ran. What is remembered from call to call is forgotten between the files, so
that no file's lines are hidden by one before it; within a file the first test may hide those of another. What runs in
a process of its own is not seen.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import coverage
import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "alertlang"


def digest(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--reached", required=True, help="the folder for what is found")


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Reached(Path(config.option.reached), config.rootpath), "reached")


class Reached:
    def __init__(self, folder: Path, checkout: Path) -> None:
        self.folder, self.checkout = folder, checkout
        self.file: Path | None = None
        self.measured = coverage.Coverage(data_file=None)
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
        if item.path != self.file:
            self.file = item.path
            self.begin()
        self.measured.switch_context(item.nodeid)
        began = time.perf_counter()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.perf_counter() - began
            self.measured.switch_context("")
            if nextitem is None or nextitem.path != self.file:
                self.end()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.outcome != "passed":
            self.failed.add(report.nodeid)

    def begin(self) -> None:
        forget()
        self.seconds.clear()
        self.measured = coverage.Coverage(data_file=str(self.place(".db")), source=[str(PACKAGE)], config_file=False)
        self.measured.erase()
        self.measured.start()

    def end(self) -> None:
        self.measured.stop()
        self.measured.save()
        assert self.file is not None
        ran = sorted(Path(name) for name in self.measured.get_data().measured_files())
        found = {
            "root": str(self.checkout),
            "text": digest(self.file),
            "ran": {path.relative_to(self.checkout).as_posix(): digest(path) for path in ran},
            "seconds": {name: taken for name, taken in self.seconds.items() if name not in self.failed},
        }
        self.place(".json").write_text(json.dumps(found), encoding="utf-8")

    def place(self, ending: str) -> Path:
        assert self.file is not None
        return self.folder / (self.file.relative_to(self.checkout).as_posix().replace("/", "+") + ending)


def forget() -> None:
    """Empties what the functions of package and tests remember."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] in {"alertlang", "tests"}:
            for value in list(vars(module).values()):
                clear: Any = getattr(value, "cache_clear", None)
                if callable(clear) and not isinstance(value, type):
                    clear()
