"""Private keys that lie in a library, where whoever reads it can sign in their owner's name."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from alertlang.library.entry import APPROVALS, APPROVED, ENTRY, FILES, PINNED
from alertlang.library.store import LOCK, MARKER
from alertlang.library.verify import EntryState, State

_PRIVATE = re.compile(rb"-----BEGIN [A-Z0-9 ]*PRIVATE KEY-----")
_APPROVAL = re.compile(r"[0-9a-f]{64}\.json")
# A key is a few hundred bytes; whoever hides one on purpose finds other ways.
_LOOKED_AT = 1024 * 1024
# What belongs to version control is not the library's, and is packed.
_SKIPPED = frozenset({".git", ".hg", ".svn"})


def private_keys(root: Path, states: Sequence[State]) -> tuple[str, ...]:
    """In words, each private key (PEM) in any file of a library that is not one of its own, and each file that could
    be one and cannot be read. `states`: the entries that were looked at, whose pinned files are known."""
    pinned = {
        state.entry.name: {file.file for file in state.entry.files} for state in states if isinstance(state, EntryState)
    }
    said = ((path.relative_to(root).as_posix(), _wrong(path)) for path in _others(root, pinned))
    return tuple(wrong.format(file) for file, wrong in said if wrong)


def _others(root: Path, pinned: dict[str, set[str]]) -> Iterator[Path]:
    for folder, folders, files in os.walk(root):
        folders[:] = sorted(text for text in folders if text not in _SKIPPED)
        inner = Path(folder).relative_to(root).parts
        for file in sorted(files):
            if not _is_own(inner, file, pinned):
                yield Path(folder) / file


def _is_own(inner: tuple[str, ...], file: str, pinned: dict[str, set[str]]) -> bool:
    """Whether a file is one of the library's, by where it stands; those in reviewers/ are looked at all the same."""
    match inner:
        case ():
            return file in {MARKER, LOCK}
        case ("entries", name) if name in pinned:
            return file == ENTRY
        case ("entries", name, place) if name in pinned and place in {FILES, PINNED}:
            return file in pinned[name]
        case ("entries", name, place) if name in pinned and place == APPROVED:
            # What it holds may be other files than today's, and was held against its digests.
            return file == ENTRY
        case ("entries", name, place) if name in pinned and place == APPROVALS:
            return _APPROVAL.fullmatch(file) is not None
    return False


_KEY = (
    "a private key lies in the library: {}: whoever reads it can sign with it; retire it (alertlang library key retire "
    'KEY --compromised --reason "lay in the library"), take it out, and sign again with a new one'
)
_UNREADABLE = (
    "{} cannot be read and is no file of the library's: it may be a private key; take it out, or ask for permission to "
    "read it"
)


def _wrong(path: Path) -> str | None:
    """What is wrong with a file, with a place for its name."""
    if path.is_symlink() or not path.is_file():
        return None
    try:
        with open(path, "rb") as opened:
            return _KEY if _PRIVATE.search(opened.read(_LOOKED_AT)) else None
    except OSError:
        # Of an entry's own file it is said already.
        return None if path.name == ENTRY else _UNREADABLE
