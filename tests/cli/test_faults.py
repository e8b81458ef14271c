"""Whatever breaks while a command writes, at whatever step: a file is as it was or whole, never half or gone."""

from __future__ import annotations

import errno
import importlib
import io
import os
import random
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest

from alertlang.cli import main
from tests.helpers.writing_commands import COMMANDS, Writing, content, fresh, prepare

STEPS = ("replace", "rename", "link", "mkdir", "unlink", "rmdir", "open", "fsync")
"""The calls of the system that a written file is made of; all of Python's own writing goes through them."""
KINDS = ("killed", "interrupted", "interrupted after", "full disk", "read-only")
# What a run that is cut off may leave: files in the making, an entry set aside. They bear these names.
TRACES = (".new", ".old")
CAUGHT = (signal.SIGINT, signal.SIGTERM)


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("prepared")
    before = Path.cwd()
    os.chdir(folder)
    try:
        prepare(folder)
    finally:
        os.chdir(before)
    return folder


@pytest.fixture
def work(tmp_path: Path, prepared: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "work"
    fresh(prepared, folder)
    monkeypatch.chdir(folder)
    return folder


def in_child(words: tuple[str, ...], folder: Path, kind: str = "", at: float = 0) -> tuple[int, str]:
    """How a command ends in a process of its own, and what it says. `kind` and `at`: what breaks, and when; `room`: no
    file may have more than so many bytes; the name of a signal: it comes after so many seconds."""
    os.chdir(folder)
    reading, writing = os.pipe()
    # A signal that came before the child is ready for it would end something else.
    signal.pthread_sigmask(signal.SIG_BLOCK, CAUGHT)
    child = os.fork()
    if child == 0:
        os.close(reading)
        code = 99
        try:
            for number in CAUGHT:
                signal.signal(number, signal.default_int_handler if number == signal.SIGINT else signal.SIG_DFL)
            if kind == "room":
                signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
                resource.setrlimit(resource.RLIMIT_FSIZE, (int(at), int(at)))
            elif kind in KINDS:
                breaking(kind, int(at), folder)
            signal.pthread_sigmask(signal.SIG_UNBLOCK, CAUGHT)
            code, said = ended(words)
            signal.pthread_sigmask(signal.SIG_BLOCK, CAUGHT)
            os.write(writing, said.encode("utf-8", "replace")[:60_000])
        except KeyboardInterrupt:
            code = 2
        finally:
            os._exit(code)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, CAUGHT)
    os.close(writing)
    if kind in signal.Signals.__members__:
        time.sleep(at)
        os.kill(child, signal.Signals[kind])
    with open(reading, "rb") as opened:
        said = opened.read().decode("utf-8")
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), said


def ended(words: tuple[str, ...]) -> tuple[int, str]:
    """The code and words of a command in this process, which is not used any more after it."""
    os.environ["ALERTLANG_TRACEBACK"] = "1"
    sys.argv = ["alertlang", *words]
    said = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    sys.stdout = sys.stderr = said
    try:
        main()
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 0 if end.code is None else 98
    except KeyboardInterrupt:
        code = 2
    except BaseException:
        return 98, f"traceback: {traceback.format_exc()}"
    said.seek(0)
    return code, said.read()


@pytest.fixture(scope="module")
def apart() -> Iterator[ProcessPoolExecutor]:
    """A process to be copied, which has loaded what takes long and worked with nothing: one whose tables have threads
    cannot be."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=load, initargs=(HEAVY,)) as pool:
        yield pool


@pytest.fixture(scope="module")
def cold() -> Iterator[ProcessPoolExecutor]:
    """One that has loaded nothing of it: a signal may come while a library is loaded."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        yield pool


HEAVY = ("z3", "matplotlib.figure", "alertlang.api.rules", "alertlang.api.papers", "alertlang.documents.paint")


def load(modules: Sequence[str]) -> None:
    for name in modules:
        importlib.import_module(name)


def breaking(kind: str, at: int, folder: Path) -> None:
    """Makes the so-many-th step on files of the folder break; after that of a full or read-only disk all do."""
    left = [at]

    def wrapped(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def step(*words: object, **named: object) -> object:
            place = words[0] if words and isinstance(words[0], str | os.PathLike) else None
            writes = name != "open" or (len(words) > 1 and bool(int(str(words[1])) & (os.O_WRONLY | os.O_RDWR)))
            mine = place is None or Path(os.path.abspath(os.fspath(place))).is_relative_to(folder)
            if not (writes and mine):
                return real(*words, **named)
            left[0] -= 1
            if left[0] >= 0:
                return real(*words, **named)
            if kind == "killed":
                os._exit(9 + 100)
            if kind == "interrupted" and left[0] == -1:
                raise KeyboardInterrupt
            if kind == "interrupted after" and left[0] == -1:
                real(*words, **named)
                raise KeyboardInterrupt
            if kind == "full disk" and name in {"fsync", "mkdir", "open", "link"}:
                raise OSError(errno.ENOSPC, "No space left on device")
            if kind == "read-only" and name != "fsync":
                raise OSError(errno.EROFS, "Read-only file system")
            return real(*words, **named)

        return step

    for name in STEPS:
        setattr(os, name, wrapped(name, getattr(os, name)))


def whole(apart: ProcessPoolExecutor, command: Writing, prepared: Path, folder: Path) -> tuple[dict[str, bytes], int]:
    """What a run that nothing disturbs leaves, and its code."""
    code, said = apart.submit(in_child, command.words, folder).result()
    assert "traceback" not in said, said
    assert code in {0, 1}, said
    after = content(folder)
    assert Path(command.target).exists()
    fresh(prepared, folder)
    os.chdir(folder)
    return after, code


def judged(
    before: dict[str, bytes], after: dict[str, bytes], now: dict[str, bytes], *, traces: bool, told: str
) -> None:
    """Each file as it was or as it is after an undisturbed run. Keys and what is signed with them differ in each run:
    of those only that they are there and whole."""
    for name in before:
        assert name in now or any(one.startswith("shop/entries/.") for one in now), (name, told)
    for name, data in now.items():
        if any(part.endswith(TRACES) for part in Path(name).parts):
            assert traces, (name, told)
            continue
        random_each_time = name.startswith(("new.pem", "shop/reviewers/", "shop/entries/vetted/approvals/"))
        allowed = {before.get(name), after.get(name)} - {None}
        assert data in allowed or (random_each_time and data.endswith((b"-----\n", b"}\n"))), (name, told)


@pytest.mark.alike
@pytest.mark.parametrize("name", COMMANDS)
def test_each_step_breaks(
    name: str, work: Path, prepared: Path, apart: ProcessPoolExecutor, seed: int, request: pytest.FixtureRequest
) -> None:
    """Each kind at each step in the long run; else the first step and another, broken in one way."""
    every = request.config.getoption("--all-examples")
    drawn = random.Random(f"{seed}{name}")
    before = content(work)
    after, good = whole(apart, COMMANDS[name], prepared, work)
    for kind in KINDS if every else (drawn.choice(KINDS),):
        steps = range(400) if every else (0, drawn.randrange(1, 12))
        broken_at(name, kind, steps, before, after, good, work, prepared, apart)


def broken_at(
    name: str,
    kind: str,
    steps: Sequence[int],
    before: dict[str, bytes],
    after: dict[str, bytes],
    good: int,
    work: Path,
    prepared: Path,
    apart: ProcessPoolExecutor,
) -> None:
    """A command broken at some steps, until it has no such step any more."""
    command = COMMANDS[name]
    tried = 0
    for at in steps:
        code, said = apart.submit(in_child, command.words, work, kind, at).result()
        told = f"{kind} at step {at}: {code}: {said[-300:]}"
        assert "traceback" not in said, told
        now = content(work)
        interrupted = kind.startswith("interrupted")
        judged(before, after, now, traces=kind in {"killed", "read-only"}, told=told)
        if code == good and now.keys() >= after.keys() and (not interrupted or good != 2):
            break
        tried += 1
        assert code in ({109} if kind == "killed" else {2, 130} if interrupted else {2}), told
        if kind != "killed" and not interrupted:
            assert "alertlang:" in said, told
        # It can be given again, and then does what it does. An entry set aside is put back first.
        # A public key whose private one is not there is left: nothing is known of it, so nothing is written over it.
        if (command.again or command.target not in now) and "new.pem.pub" not in now:
            words = (*command.words, *(["--restart"] if name == "fleet" else []))
            assert apart.submit(in_child, words, work).result()[0] == good, told
        fresh(prepared, work)
        os.chdir(work)
    else:
        assert len(steps) < 400, "it never ended"
    assert tried > 0
    fresh(prepared, work)
    os.chdir(work)


@pytest.mark.alike
@pytest.mark.parametrize("name", COMMANDS)
def test_a_disk_with_room_for_so_much(
    name: str, work: Path, prepared: Path, apart: ProcessPoolExecutor, seed: int
) -> None:
    """The system itself refuses to write more than so many bytes into a file."""
    command = COMMANDS[name]
    before = content(work)
    after, good = whole(apart, command, prepared, work)
    largest = max(len(data) for file, data in after.items() if before.get(file) != data)
    drawn = random.Random(f"{seed}{name}")
    for room in (drawn.randrange(0, max(2, largest - 1)),):
        code, said = apart.submit(in_child, command.words, work, "room", room).result()
        told = f"room for {room} of {largest}: {code}: {said[-300:]}"
        assert "traceback" not in said, told
        judged(before, after, content(work), traces=False, told=told)
        assert code in {2, good}, told
        fresh(prepared, work)
        os.chdir(work)


@pytest.mark.thorough
def test_real_signals(
    work: Path, prepared: Path, cold: ProcessPoolExecutor, seed: int, request: pytest.FixtureRequest
) -> None:
    """From outside, at any time."""
    drawn = random.Random(seed)
    known: dict[str, tuple[dict[str, bytes], int, float]] = {}
    before = content(work)
    every = request.config.getoption("--all-examples")
    # When a signal comes is left to the machine, so the short run has few, and of the kind that nothing can catch.
    count, kinds = (1000, (signal.SIGKILL, signal.SIGINT, signal.SIGTERM)) if every else (6, (signal.SIGKILL,))
    for number in range(count):
        name = drawn.choice(sorted(COMMANDS))
        command = COMMANDS[name]
        if name not in known:
            began = time.monotonic()
            found = whole(cold, command, prepared, work)
            known[name] = (*found, time.monotonic() - began)
        after, good, length = known[name]
        number_of = drawn.choice(kinds)
        code, said = cold.submit(in_child, command.words, work, number_of.name, drawn.random() * length).result()
        told = f"{number}: {name}, {number_of.name}: {code}: {said[-3000:]}"
        assert code in {2, 130, good, -signal.SIGKILL, -signal.SIGTERM}, told
        judged(before, after, content(work), traces=code < 0, told=told)
        fresh(prepared, work)
        os.chdir(work)


def test_the_judge_can_fail() -> None:
    """A half-written file, a lost one, and a trace that should not be there."""
    before, after = {"a": b"old\n"}, {"a": b"new text\n", "b": b"made\n"}
    judged(before, after, {"a": b"old\n", "b": b"made\n"}, traces=False, told="")
    for now in ({"a": b"new"}, {"b": b"made\n"}, {"a": b"old\n", ".b.1.new": b"ma"}):
        with pytest.raises(AssertionError):
            judged(before, after, now, traces=False, told="")
