"""What a file that changes does to the entries that use it."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from alertlang.format.canonical import canonical_bytes
from alertlang.library.changes import Meaning, meaning_of_folders
from alertlang.library.differences import differences, in_parallel
from alertlang.library.entry import FILES, Entry, read_entry
from alertlang.library.errors import LibraryError
from alertlang.library.store import digest, open_library, read_plain
from alertlang.library.verify import BrokenEntry, known_names
from alertlang.text.short import Short


@dataclass(frozen=True, slots=True, repr=False)
class Affected(Short):
    """An entry with a file of another content in the place of its own. `meaning`: what it does otherwise; `now` is the
    entry it would be, none if it could not be read (then `meaning` says why); `differences` what the checks find
    differently."""

    entry: Entry
    meaning: Meaning
    now: Entry | None
    differences: tuple[str, ...]


def affected(
    root: Path,
    path: Path,
    *,
    tool: str,
    names: Sequence[str] = (),
    work_limit: int | None = None,
    jobs: int = 0,
) -> tuple[tuple[Affected, ...], tuple[str, ...], tuple[BrokenEntry, ...]]:
    """The entries that a new version of a profile (or of rules) touches, those that have it already, and those that
    cannot be read, of which nobody knows; others do not use it. Nothing in the library is changed. Tried in
    `jobs` processes (0: in this one)."""
    open_library(root)
    kind, name, data = _new_version(path)
    canonical = canonical_bytes(data)
    assert canonical is not None, "it was read a moment ago"
    tasks, alike, broken = [], [], []
    for known_name in known_names(root, names):
        try:
            _, entry = read_entry(root, known_name)
        except LibraryError as problem:
            broken.append(BrokenEntry(known_name, problem.message, problem.way_out))
            continue
        for pinned in entry.files:
            if (pinned.kind, pinned.name) == (kind, name):
                if pinned.canonical == digest(canonical):
                    alike.append(entry.name)
                else:
                    tasks.append((root, entry, pinned.file, data, tool, work_limit))
    return tuple(in_parallel(_tried, tasks, jobs)), tuple(alike), tuple(broken)


def _new_version(path: Path) -> tuple[str, str, bytes]:
    """What a file is, what it calls itself, and its bytes."""
    from alertlang.findings.codes import Severity
    from alertlang.model.header import read_header
    from alertlang.syntax.parse import parse
    from alertlang.syntax.read import read_file
    from alertlang.text.source import Source

    source = read_file(path, str(path))
    if not isinstance(source, Source):
        raise LibraryError(f"{path} cannot be read", source.message, (source,))
    tree, findings = parse(source)
    origin, wrong = read_header(tree, 0, None)
    errors = [finding for finding in (*findings, *wrong) if finding.severity is Severity.ERROR]
    if origin is None or errors:
        raise LibraryError(f"{path} cannot be read", "mend it first: alertlang check says more", errors)
    if origin.kind not in {"profile", "rules"}:
        raise LibraryError(f"{path} is a {origin.kind}, which no rule set uses", "name a profile or a file of rules")
    return origin.kind, origin.name, path.read_bytes()


def _tried(job: tuple[Path, Entry, str, bytes, str, int | None]) -> Affected:
    from alertlang.library.pinning import pin

    root, entry, file, data, tool, work_limit = job
    before = root / "entries" / entry.name / FILES
    with tempfile.TemporaryDirectory() as scratch:
        after = Path(scratch) / FILES
        after.mkdir()
        try:
            for pinned in entry.files:
                held = read_plain(before / pinned.file, f"{FILES}/{pinned.file}")
                (after / pinned.file).write_bytes(data if pinned.file == file else held)
        except LibraryError as problem:
            unknown = f"what it does is not known: {problem.message}"
            return Affected(entry, Meaning(False, False, unknown, known=False), None, ())
        meaning = meaning_of_folders(before, after, entry.name, work_limit)
        if not meaning.known:
            return Affected(entry, meaning, None, ())
        try:
            now = pin(after, entry.name, tool=tool, today=entry.today, work_limit=work_limit)
        except LibraryError as problem:
            return Affected(entry, Meaning(False, False, problem.message, known=False), None, ())
        return Affected(entry, meaning, now, differences(entry, now))
