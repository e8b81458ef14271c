"""A run that is killed (as by kill -9) between any two steps leaves an entry as it was or complete."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from alertlang import __version__
from alertlang.library import adding, keys, pinning, store
from alertlang.library.adding import add
from alertlang.library.approving import approve
from alertlang.library.entry import read_entry
from alertlang.library.verify import verify_entry
from tests.library.conftest import RULES, Run, tree

STEPS = ("replace", "rename", "mkdir", "unlink", "rmdir", "open", "fsync")


def _killed(work: Callable[[], object], at: int) -> bool:
    """Whether a child that does the work and is killed at its so-many-th step on the disk was killed at all."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    left = [at]

    def dying(real: Callable[..., object]) -> Callable[..., object]:
        def step(*words: object, **named: object) -> object:
            left[0] -= 1
            if left[0] < 0:
                os._exit(9)
            return real(*words, **named)

        return step

    try:
        for name in STEPS:
            setattr(os, name, dying(getattr(os, name)))
        work()
        os._exit(0)
    except BaseException:
        os._exit(1)


def _entries(library: str = "library") -> dict[str, dict[str, str]]:
    names = [name for name in os.listdir(f"{library}/entries") if not name.startswith(".")]
    return {name: tree(Path(library, "entries", name)) for name in names}


def _everything(work: Callable[[], object]) -> Iterator[int]:
    """Each step at which the work can be killed, and the last one at which it is not; the library is as in `start`
    before each."""
    for at in range(200):
        shutil.rmtree("library", ignore_errors=True)
        shutil.copytree("start", "library")
        killed = _killed(work, at)
        yield at
        if not killed:
            return
    pytest.fail("it never ended")


@pytest.mark.alike
@pytest.mark.parametrize("name", ["tiny", "other"])
def test_add(approved: Run, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    file = Path("changed.alert")
    file.write_text(
        RULES.replace('"tiny"', f'"{name}"').replace("fast: rpm above 2700", "fast: rpm above 2690"), encoding="utf-8"
    )

    def work(library: str = "library") -> None:
        add(file, Path(library), tool=__version__, replace=True)

    os.rename("library", "start")
    shutil.copytree("start", "whole")
    work("whole")
    before, after = _entries("start"), _entries("whole")
    # What it comes to is worked out once: the solver is not asked in the children.
    _, entry = read_entry(Path("whole"), name)
    monkeypatch.setattr(adding, "pin", lambda *_, **__: entry)
    seen = []
    for at in _everything(work):
        now = _entries()
        if name in before and name not in now:
            seen.append("missing")
            said = " ".join(approved("verify").output.split())
            assert "a run that replaced it was interrupted: rename library/entries/.tiny.old" in said, at
        else:
            seen.append("before" if now == before else "after")
            assert now in (before, after), at
        # The next run to write puts it back before anything else.
        with store.locked(Path("library")):
            pass
        assert _entries() in (before, after), at
        assert not [one for one in store.leftovers(Path("library")) if one.endswith(".old")]
    assert now == after
    assert set(seen) == ({"before", "missing", "after"} if name in before else {"before", "after"})


def test_approve_trust_and_retire(approved: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    keys.new_key(Path("second"))
    keys.trust(Path("library"), Path("second.pub"), "second")
    keys.new_key(Path("third"))
    os.rename("library", "start")
    _, entry = read_entry(Path("start"), "tiny")
    monkeypatch.setattr(pinning, "pin", lambda *_, **__: entry)
    root = Path("library")
    for work in (
        lambda: approve(root, "tiny", Path("second"), "second", "2024-01-03", tool=__version__, version=1),
        lambda: keys.trust(root, Path("third.pub"), "third"),
        lambda: keys.retire(root, "second", "2024-01-03", "left"),
    ):
        shutil.copytree("start", "whole")
        shutil.rmtree("library", ignore_errors=True)
        os.rename("whole", "library")
        work()
        after = _read(root)
        before = _read(Path("start"))
        assert before != after
        seen = []
        for at in _everything(work):
            now = _read(root)
            assert now in (before, after), at
            seen.append(now == after)
        assert seen == sorted(seen)
        assert {False, True} == set(seen)


def _read(root: Path) -> object:
    """What a reader gets to see: keys and approvals, whatever else lies there."""
    trusted = keys.reviewers(root)
    state = verify_entry(root, "tiny", trusted, explain=False)
    return trusted, [(one.file, one.status) for one in state.approvals], state.problems
