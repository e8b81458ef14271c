"""Whether an entry is what it was: its files, its approvals and, if asked, its findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from alertlang.format.canonical import canonical_bytes, changed_statements
from alertlang.library.approval import Approval, approvals
from alertlang.library.changes import Meaning, meaning_of_folders
from alertlang.library.differences import differences, in_parallel
from alertlang.library.entry import (
    APPROVALS,
    APPROVED,
    ENTRY,
    FILES,
    PINNED,
    Entry,
    PinnedFile,
    read_entry,
    read_entry_in,
)
from alertlang.library.errors import LibraryError
from alertlang.library.keys import Reviewer, readable_reviewers
from alertlang.library.pinning import pin, recorded
from alertlang.library.store import RESTORE, digest, entry_dir, entry_names, names_in, open_library, read_plain
from alertlang.text.short import Short


@dataclass(frozen=True, slots=True)
class FileState:
    """One file against what is pinned. `status` is same, layout (comments or layout differ, nothing else), changed or
    lost (missing, unreadable, a link). `gone` and `come` are the statements that differ."""

    file: str
    status: str
    why: str = ""
    gone: tuple[str, ...] = ()
    come: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, repr=False)
class EntryState(Short):
    """How an entry stands. `problems`: what is wrong with it apart from its files and approvals. `differences`: what a
    new run of the checks found otherwise than pinned, none if it was not asked for; `meaning`: what changed files
    do otherwise."""

    entry: Entry
    files: tuple[FileState, ...]
    approvals: tuple[Approval, ...]
    problems: tuple[str, ...] = ()
    meaning: Meaning | None = None
    differences: tuple[str, ...] | None = None

    @property
    def unchanged(self) -> bool:
        """The files mean what they meant, and what is pinned is as it was written."""
        return not self.problems and all(file.status in {"same", "layout"} for file in self.files)

    @property
    def faults(self) -> tuple[str, ...]:
        """In words, why it is not unchanged."""
        changed = (file for file in self.files if file.status in {"changed", "lost"})
        return (*self.problems, *(f"files/{file.file} {file.why}" for file in changed))

    @property
    def approvers(self) -> tuple[str, ...]:
        """The reviewers whose approval holds, each once."""
        return tuple(
            sorted({approval.reviewer for approval in self.approvals if approval.status == "holds" and self.unchanged})
        )

    @property
    def approved(self) -> bool:
        return bool(self.approvers)

    @property
    def good(self) -> bool:
        """Nothing changed, no approval is bad, and if there are approvals one holds."""
        held = self.approved or not self.approvals
        return self.unchanged and held and not any(a.bad for a in self.approvals) and not self.differences

    @property
    def approval_word(self) -> str:
        """Never "approved" alone, which could be taken for an authority's word."""
        if any(approval.bad for approval in self.approvals):
            return "bad approval by the shop"
        if not self.approvals:
            return "not approved by the shop"
        if not self.approved:
            return "no longer approved by the shop"
        who = self.approvers
        return f"approved by {' and '.join(who)}, reviewer{'s' if len(who) > 1 else ''} of the shop"


@dataclass(frozen=True, slots=True)
class BrokenEntry:
    """An entry that cannot be read: nothing is known of it, and it is not as it should be."""

    name: str
    message: str
    way_out: str

    @property
    def good(self) -> bool:
        return False

    @property
    def approvers(self) -> tuple[str, ...]:
        return ()

    @property
    def approved(self) -> bool:
        return False


State = EntryState | BrokenEntry


def verify_entry(
    root: Path,
    name: str,
    keys: Mapping[str, Reviewer],
    *,
    explain: bool = True,
    today: str | None = None,
    work_limit: int | None = None,
) -> EntryState:
    """An entry held against its digests and signatures. What has not changed by a byte is not even parsed.
    `explain`: also what changed files do otherwise, which the solver is asked for.

    LibraryError if it is too damaged to be read, or of a newer format.
    """
    written, entry = read_entry(root, name)
    folder = root / "entries" / name
    problems: list[str] = []
    if written != entry.written():
        problems.append(f"{ENTRY} is not as it was written: it was edited by hand")
    given = approvals(folder, written, entry, keys, today)
    # The digests of bytes are believed only where these very ones are signed; else what counts is read.
    quick = any(approval.exact for approval in given)
    files = [_file(folder, one, quick, problems) for one in entry.files]
    pinned = {one.file for one in entry.files}
    for place in (FILES, PINNED):
        extra = [file for file in names_in(folder / place) if file not in pinned]
        problems += [f"{place}/{file} is not pinned: it does not belong there" for file in extra]
    known = {ENTRY, FILES, PINNED, APPROVALS, APPROVED}
    problems += [f"{file} does not belong there" for file in names_in(folder) if file not in known]
    try:
        last_approved(folder, name)
    except LibraryError as problem:
        problems.append(_short(problem.message))
    problems += ended(entry, today)
    whole = not problems and all(one.status in {"same", "layout"} for one in files)
    if whole and not any(approval.status == "holds" for approval in given):
        # Nobody has signed what the entry's file says beside the digests.
        problems += _misrecorded(folder / FILES, entry)
    changed = [one for one in files if one.status in {"changed", "lost"}]
    if changed:
        why = f"since it was given: {', '.join(f'files/{f.file} {f.why}' for f in changed)}"
        given = [
            replace(approval, status="outdated", why=why) if approval.status == "holds" else approval
            for approval in given
        ]
    elif problems:
        why = f"the entry is not as it was: {problems[0]}"
        given = [
            replace(approval, status="outdated", why=why) if approval.status == "holds" else approval
            for approval in given
        ]
    meaning = None
    if explain and any(one.status == "changed" for one in files):
        meaning = meaning_of_folders(folder / PINNED, folder / FILES, name, work_limit)
    return EntryState(entry, tuple(files), tuple(given), tuple(problems), meaning)


def verify(
    root: Path,
    names: Sequence[str] = (),
    *,
    tool: str,
    again: bool = False,
    explain: bool = True,
    today: str | None = None,
    work_limit: int | None = None,
    jobs: int = 0,
) -> tuple[State, ...]:
    """Entries of a library, all of them if none is named; `again`: with the checks run once more, by the version `tool`
    of alertlang, in `jobs` processes (0: in this one). One that cannot be read keeps the others from nothing."""
    open_library(root)
    keys, _ = readable_reviewers(root)
    states: list[State] = []
    for name in known_names(root, names):
        try:
            states.append(verify_entry(root, name, keys, explain=explain, today=today, work_limit=work_limit))
        except LibraryError as problem:
            states.append(BrokenEntry(name, problem.message, problem.way_out))
    if again:
        read = [state for state in states if isinstance(state, EntryState)]
        found = iter(recheck(root, read, tool=tool, work_limit=work_limit, jobs=jobs))
        states = [next(found) if isinstance(state, EntryState) else state for state in states]
    return tuple(states)


def verify_one(root: Path, name: str, *, work_limit: int | None = None) -> EntryState:
    """One entry; LibraryError if it cannot be read."""
    open_library(root)
    return verify_entry(root, name, readable_reviewers(root)[0], work_limit=work_limit)


def known_names(root: Path, names: Sequence[str]) -> Sequence[str]:
    """The names given, all of the library's if there are none; LibraryError for one that it has not."""
    known = entry_names(root)
    for name in names:
        if name not in known:
            entry_dir(root, name)
    return names or known


def as_pinned(root: Path, name: str) -> Entry:
    """An entry whose files are as they were pinned; LibraryError if they are not: nothing is built on it then."""
    state = verify_entry(root, name, {}, explain=False)
    if not state.unchanged:
        raise LibraryError(
            f"{name} in the library is not as it was pinned: {state.faults[0]}",
            f"nothing is built on it so: restore it from version control or a backup, or review the change and add "
            f"{name} again with --replace (alertlang library verify {name} says all of it)",
        )
    return state.entry


def last_approved(folder: Path, name: str) -> Entry | None:
    """What the last approval was about, if that was replaced since; none if nothing is kept of it. LibraryError if it
    is not as it was kept."""
    kept = folder / APPROVED
    found = names_in(kept)
    if not found:
        return None
    written, entry = read_entry_in(kept, name)
    if written != entry.written() or sorted((ENTRY, *(pinned.file for pinned in entry.files))) != found:
        raise LibraryError(f"{APPROVED} is not as it was kept: it was edited by hand", RESTORE)
    for pinned in entry.files:
        if digest(read_plain(kept / pinned.file, f"{APPROVED}/{pinned.file}")) != pinned.canonical:
            raise LibraryError(f"{APPROVED}/{pinned.file} is not as it was kept: it was edited by hand", RESTORE)
    return entry


def ended(entry: Entry, today: str | None) -> list[str]:
    """Exceptions of an entry that are over."""
    return [
        f"the exception {one['check']} on {one['target']} ended on {one['until']}"
        for one in entry.accepted
        if one["until"] is not None and today is not None and one["until"] < today
    ]


def _misrecorded(folder: Path, entry: Entry) -> list[str]:
    """What an entry's file says otherwise than its rules do, but for what the checks find."""
    try:
        said = recorded(folder, entry.name)
    except LibraryError as problem:
        return [problem.message]
    content = entry.content()
    return [
        f"what {ENTRY} says of its {what} is not what the rules say: it was edited by hand"
        for what, now in replace(entry, **said._asdict()).content().items()
        if now != content[what]
    ]


def _file(folder: Path, one: PinnedFile, quick: bool, problems: list[str]) -> FileState:
    pinned: bytes | None = None
    try:
        pinned = read_plain(folder / PINNED / one.file, f"{PINNED}/{one.file}")
    except LibraryError as problem:
        problems.append(_short(problem.message))
    intact = pinned is not None and digest(pinned) == one.canonical
    try:
        data = read_plain(folder / FILES / one.file, f"{FILES}/{one.file}")
    except LibraryError as problem:
        return FileState(one.file, "lost", _short(problem.message).removeprefix(f"{FILES}/{one.file} "))
    raw = digest(data)
    if quick and raw == one.raw:
        canonical, now = None, one.canonical
    else:
        canonical = canonical_bytes(data)
        if canonical is None:
            return FileState(one.file, "lost", "is changed and cannot be read any more")
        now = digest(canonical)
    if pinned is not None and not intact:
        if now != one.canonical and (canonical or canonical_bytes(data)) == pinned:
            problems.append(f"the digest of files/{one.file} in {ENTRY} is not that of the file: it was edited by hand")
            return FileState(one.file, "same")
        problems.append(f"{PINNED}/{one.file} is not as it was written: it was edited by hand")
    if now == one.canonical:
        return FileState(one.file, "same" if raw == one.raw else "layout")
    gone, come = changed_statements(pinned, data) if intact and pinned is not None else ((), ())
    return FileState(one.file, "changed", "is changed", gone, come)


def _short(message: str) -> str:
    """Without the path in brackets: the file is named already."""
    head, _, rest = message.partition(" (")
    return head + rest.partition(")")[2]


# ---- the checks run again


def recheck(
    root: Path, states: Sequence[EntryState], *, tool: str, work_limit: int | None = None, jobs: int = 0
) -> list[EntryState]:
    """The same states with what the checks find now, run in `jobs` processes (0: in this one)."""
    tasks = [
        (root / "entries" / entry_state.entry.name / FILES, entry_state.entry, tool, work_limit)
        for entry_state in states
    ]
    return [
        replace(state, differences=found)
        for state, found in zip(states, in_parallel(_rechecked, tasks, jobs), strict=True)
    ]


def _rechecked(job: tuple[Path, Entry, str, int | None]) -> tuple[str, ...]:
    folder, entry, tool, work_limit = job
    try:
        now = pin(folder, entry.name, tool=tool, today=entry.today, work_limit=work_limit)
    except LibraryError as problem:
        return (problem.message,)
    return differences(entry, now)
