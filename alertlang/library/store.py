"""The files of a library: where they are, how they are named, read and written.

    LIB/library.json                    says that this is a library
    LIB/reviewers/KEYID.pub             a trusted public key and whose it is
    LIB/entries/NAME/entry.json         what is pinned
    LIB/entries/NAME/files/             the rules and everything they use, as they were
    LIB/entries/NAME/pinned/            the same in canonical form without comments
    LIB/entries/NAME/approvals/*.json   signed approvals
    LIB/entries/NAME/approved/          what the last approval was about, if that was replaced since: entry.json and
                                        the files in canonical form

Nothing is written in place: a file or folder is made whole beside where it belongs and then renamed.
"""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

from alertlang.library.errors import LibraryError
from alertlang.text.suggest import nearest
from alertlang.text.write_file import NEW, is_trace, put

FORMAT = 1
"""The format that is written, and the newest that is read."""

MARKER = "library.json"
_KIND = "alertlang library"
LOCK = ".lock"
PATIENCE = 10.0
"""How many seconds a writer waits for another one."""
_OLD = ".old"
_LARGEST = 16 * 1024 * 1024
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
# Names that no file can have on some systems.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


# ---- names


def check_name(name: str) -> None:
    """LibraryError unless a name can be a folder's on every system."""
    if _NAME.fullmatch(name) and not name.endswith(".") and not _DEVICES.fullmatch(name):
        return
    better = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-")[:100].lower()
    example = better if better and not _DEVICES.fullmatch(better) else "bramble"
    raise LibraryError(
        f'"{name}" cannot be the name of an entry',
        f"use letters, digits, and - _ . between them, no space and no folder, for example {example}",
    )


# ---- digests and JSON


def digest(data: bytes) -> str:
    return sha256(data).hexdigest()


def canonical_json(data: Any) -> bytes:
    """The one way a value is written here: keys sorted, two spaces, a line end."""
    return (json.dumps(data, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode("utf-8")


def read_json(path: Path, what: str) -> tuple[bytes, dict[str, Any]]:
    """The bytes of a file and the object in them; LibraryError if there is none."""
    data = read_plain(path, what)
    try:
        found = json.loads(data.decode("utf-8"), object_pairs_hook=_no_key_twice)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise LibraryError(f"{what} ({path}) is damaged: it is not a JSON object", RESTORE)
    return data, found


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key twice")
    return found


RESTORE = "restore it from version control or a backup, or add the rule set again with --replace"
_READ = "ask for permission to read it, or restore it from version control or a backup"


def check_format(found: dict[str, Any], what: str) -> None:
    """LibraryError for a format that this version cannot read."""
    number = found.get("format")
    if not isinstance(number, int) or isinstance(number, bool) or number < 1:
        raise LibraryError(f"{what} does not say which format it has", RESTORE)
    if number > FORMAT:
        raise LibraryError(
            f"{what} was made by a newer version of alertlang (format {number}; this one reads up to {FORMAT})",
            "install that version; nothing was touched",
        )


# ---- reading


def read_plain(path: Path, what: str) -> bytes:
    """The bytes of a plain file; LibraryError for a link or anything else."""
    try:
        if path.is_symlink():
            raise LibraryError(f"{what} ({path}) is a symbolic link", "a library holds plain files: put the file there")
        if not path.is_file():
            if path.exists():
                raise LibraryError(f"{what} ({path}) is not a plain file", RESTORE)
            raise LibraryError(f"{what} ({path}) is missing", RESTORE)
        if path.stat().st_size > _LARGEST:
            raise LibraryError(f"{what} ({path}) is too large to be what it should be", RESTORE)
        return path.read_bytes()
    except OSError as problem:
        raise LibraryError(f"{what} ({path}) cannot be read ({reason(problem)})", _READ) from None


def names_in(folder: Path) -> list[str]:
    """What is in a folder, by name; nothing if there is none."""
    try:
        if folder.is_symlink():
            raise LibraryError(f"{folder} is a symbolic link", "a library holds plain folders: put the folder there")
        return sorted(os.listdir(folder))
    except FileNotFoundError:
        return []
    except NotADirectoryError:
        raise LibraryError(f"{folder} is not a folder", RESTORE) from None
    except OSError as problem:
        raise LibraryError(f"{folder} cannot be read ({reason(problem)})", _READ) from None


def reason(problem: OSError) -> str:
    """Why a file could not be used, in words."""
    return problem.strerror.lower() if problem.strerror else str(problem)


# ---- the library as a whole


def open_library(root: Path) -> None:
    """LibraryError unless a folder is a library that can be read."""
    if not root.exists():
        raise LibraryError(f"there is no library {root}", "alertlang library add FILE --library DIR starts one")
    if not root.is_dir():
        raise LibraryError(f"{root} is not a folder", "name the folder of the library")
    if not (root / MARKER).exists():
        raise LibraryError(
            f"{root} is not a library: there is no {MARKER} in it",
            "name the folder of the library, or a new or empty folder to start one with alertlang library add",
        )
    _, found = read_json(root / MARKER, "the library's own file")
    if found.get("kind") != _KIND:
        raise LibraryError(f"{root} is not a library: its {MARKER} is something else", "name the folder of the library")
    check_format(found, f"the library {root}")


@contextmanager
def started_library(root: Path) -> Iterator[None]:
    """A library in a new or empty folder, which is as it was before if what follows fails; nothing is done if it is
    one. LibraryError if it is something else."""
    if root.exists() and not (root.is_dir() and all(is_trace(name, MARKER) for name in names_in(root))):
        open_library(root)
        yield
        return
    made = [path for path in (root, *root.parents) if not path.exists()]
    try:
        with writing(root):
            root.mkdir(parents=True, exist_ok=True)
            write_new(root / MARKER, canonical_json({"format": FORMAT, "kind": _KIND}))
        yield
    except BaseException:
        with suppress(OSError):
            (root / LOCK).unlink(missing_ok=True)
            (root / MARKER).unlink(missing_ok=True)
            for path in made:
                path.rmdir()
        raise


def approvals_asked(root: Path) -> int:
    """How many reviewers' approvals an entry of the library is to have: "approvals" in its own file, 0 if it does not
    say."""
    _, found = read_json(root / MARKER, "the library's own file")
    number = found.get("approvals", 0)
    if type(number) is not int or number < 0:
        raise LibraryError(
            f"the library's {MARKER} asks for {json.dumps(number)} approvals", 'write a number, as in "approvals": 2'
        )
    return number


def inside_library(path: Path) -> Path | None:
    """The library that a path is in, links followed; none if it is in none."""
    real = Path(os.path.realpath(path))
    for folder in (real, *real.parents):
        if folder.is_dir() and (folder / MARKER).is_file():
            with suppress(LibraryError):
                if read_json(folder / MARKER, "")[1].get("kind") == _KIND:
                    return folder
    return None


def entry_dir(root: Path, name: str) -> Path:
    """The folder of an entry that must be there; LibraryError, with what was probably meant, if it is not."""
    check_name(name)
    known = entry_names(root)
    folder, old = root / "entries" / name, root / "entries" / f".{name}{_OLD}"
    if not os.path.lexists(folder) and old.is_dir():
        raise LibraryError(
            f"the entry {name} is missing: a run that replaced it was interrupted",
            f"rename {old} to {folder}, and add again",
        )
    if name not in known:
        close = nearest(name, known)
        hint = f"did you mean {close}?" if close else "alertlang library list shows what is there"
        raise LibraryError(f"there is no entry {name} in {root}", hint)
    if folder.is_symlink():
        raise LibraryError(f"{folder} is a symbolic link", "a library holds plain folders: put the folder there")
    if not folder.is_dir():
        raise LibraryError(f"{folder} is not a folder, so it is no entry", "take it out, or restore the entry")
    return folder


def entry_names(root: Path) -> list[str]:
    """With those that are missing because a run that replaced them was interrupted: they must not go unnoticed."""
    found = names_in(root / "entries")
    return sorted({name for name in found if not name.startswith(".")} | set(_set_aside(found)))


def _set_aside(found: list[str]) -> list[str]:
    return [name[1 : -len(_OLD)] for name in found if name.startswith(".") and name.endswith(_OLD)]


def leftovers(root: Path) -> tuple[str, ...]:
    """What interrupted runs left behind, as paths within the library."""
    found = [f"entries/{name}" for name in names_in(root / "entries") if name.startswith(".")]
    return tuple(found)


# ---- writing


@contextmanager
def writing(root: Path) -> Iterator[None]:
    """Tells an error of the system as one of the library."""
    try:
        yield
    except OSError as problem:
        read_only = problem.errno in {errno.EACCES, errno.EPERM, errno.EROFS}
        way_out = "ask for permission to write there" if read_only else "mend that and try again"
        raise LibraryError(f"the library {root} could not be written ({reason(problem)})", way_out) from None


@contextmanager
def locked(root: Path) -> Iterator[None]:
    """One writer at a time. Waits up to PATIENCE for another to end; LibraryError if it does not. What a killed run
    held is free again."""
    from filelock import FileLock, Timeout

    with writing(root):
        lock = FileLock(root / LOCK, timeout=PATIENCE)
        try:
            lock.acquire()
        except Timeout:
            raise LibraryError("the library is locked: another run is writing to it", "wait until it ends") from None
    try:
        with writing(root):
            _put_back(root)
        yield
    finally:
        lock.release()


def _put_back(root: Path) -> None:
    """Ends what a killed run began: an entry that was set aside and not replaced takes its place again."""
    for name in _set_aside(names_in(root / "entries")):
        folder, old = root / "entries" / name, root / "entries" / f".{name}{_OLD}"
        if os.path.lexists(folder):
            shutil.rmtree(old)
        else:
            os.rename(old, folder)


def write_new(path: Path, data: bytes) -> bool:
    """A new file, whole or not at all; whether it was not there before. OSError if it cannot be done."""
    if path.exists():
        return False
    put(path, data)
    return True


@contextmanager
def building(root: Path, name: str) -> Iterator[Path]:
    """A folder beside that of an entry, which takes its place if all goes well and is gone otherwise."""
    entries = root / "entries"
    new, old, final = entries / f".{name}.{os.getpid()}{NEW}", entries / f".{name}{_OLD}", entries / name
    made = not entries.exists()
    try:
        with writing(root):
            entries.mkdir(exist_ok=True)
            new.mkdir()
        yield new
        with writing(root):
            if final.exists():
                # Two steps: whoever is killed between them finds the old one beside (`entry_dir` says so).
                try:
                    os.rename(final, old)
                    os.rename(new, final)
                except BaseException:
                    if not os.path.lexists(final):
                        os.rename(old, final)
                    raise
                shutil.rmtree(old)
            else:
                os.rename(new, final)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        if os.path.lexists(final):
            shutil.rmtree(old, ignore_errors=True)
        if made:
            with suppress(OSError):
                entries.rmdir()
        raise
