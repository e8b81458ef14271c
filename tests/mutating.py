"""A pytest plugin that tries faults one after the other, each in a copy of the process that has collected the tests.

Nothing is started or collected anew for a fault: the code of its function is put in the place of what the function has,
and the tests that were chosen for it run until one fails. Only faults inside of functions can be tried so. What tests
worked out while they were collected was worked out without the fault: what survives here is not yet a survivor.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import select
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

from tests.reached import forget


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--faults", help="the file that names them, with the tests of each; what came of each goes there too"
    )


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> bool:
    place = Path(session.config.option.faults)
    items = {item.nodeid: item for item in session.items}
    faults = json.loads(place.read_text(encoding="utf-8"))
    checkout = session.config.rootpath
    for fault in faults:
        chosen = [items[name] for name in fault["tests"] if name in items]
        fault["red"] = tried(fault, chosen, checkout)
        print("killed  " if fault["red"] else "left    ", fault["told"], fault["red"], file=sys.stderr, flush=True)
    sound = faults[0] | {"text": (checkout / faults[0]["path"]).read_text(encoding="utf-8"), "most": 3_600}
    wrong = tried(
        sound, [items[name] for name in sorted({fault["red"] for fault in faults}) if name in items], checkout
    )
    assert not wrong, f"red without any fault: {wrong}"
    place.write_text(json.dumps(faults), encoding="utf-8")
    return True


def tried(fault: dict[str, Any], items: list[pytest.Item], checkout: Path) -> str:
    """The test that notices, "" if none does."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        said = "the process"
        try:
            os.setpgid(0, 0)
            nothing = os.open(os.devnull, os.O_RDWR)
            for number in (1, 2):
                os.dup2(nothing, number)
            put_in(checkout / fault["path"], fault["path"], fault["text"])
            said = first_red(items)
        finally:
            os.write(writing, said.encode("utf-8")[:4_000])
            os._exit(0)
    os.close(writing)
    end = time.monotonic() + float(fault["most"])
    ready, _, _ = select.select([reading], [], [], max(0, end - time.monotonic()))
    said = os.read(reading, 4_000).decode("utf-8") if ready else "they took too long"
    os.close(reading)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return said


def put_in(path: Path, name: str, text: str) -> None:
    """Gives each function of a file the code that it has in another text of it."""
    importlib.import_module(name.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    forget()
    new = defaultdict(list)
    for code in codes(compile(text, str(path), "exec", dont_inherit=True)):
        new[code.co_qualname].append(code)
    gc.unfreeze()
    found = defaultdict(list)
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename == str(path):
            found[thing.__code__.co_qualname].append(thing)
    for qualified, functions in found.items():
        # Of the same name (setters, overloads) in the order of the text.
        old = sorted({function.__code__.co_firstlineno for function in functions})
        for function in functions:
            some = new[qualified]
            if len(some) == len(old):
                function.__code__ = some[old.index(function.__code__.co_firstlineno)]


def codes(code: CodeType) -> Iterator[CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from codes(inner)


def first_red(items: list[pytest.Item]) -> str:
    red: list[str] = []

    class Listening:
        def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
            if report.failed:
                red.append(report.nodeid)

    if items:
        items[0].config.pluginmanager.register(Listening())
    for item, following in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if red:
            return red[0]
    return ""
