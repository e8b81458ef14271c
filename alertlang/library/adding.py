"""A rule set taken into a library: its files copied, everything it uses pinned, the checks run."""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from alertlang.format.canonical import canonical_bytes
from alertlang.library.entry import APPROVALS, APPROVED, ENTRY, FILES, PINNED, Entry
from alertlang.library.errors import LibraryError
from alertlang.library.keys import readable_reviewers
from alertlang.library.pinning import MEND, pin
from alertlang.library.store import (
    building,
    check_name,
    entry_names,
    inside_library,
    locked,
    names_in,
    read_plain,
    started_library,
    write_new,
    writing,
)
from alertlang.library.verify import as_pinned, verify_entry


def add(
    path: Path,
    root: Path,
    *,
    tool: str,
    search: Iterable[Path] = (),
    replace: bool = False,
    today: str | None = None,
    work_limit: int | None = None,
) -> Entry:
    """The entry made of a file of rules, under the name in its header, in a library that is started if need be.

    `tool` is the version of alertlang.
    `replace`: an entry of that name gives way; its approvals stay and hold if all that differs is layout or comments.
    `today` (an ISO date) ends exceptions that have an end. LibraryError, and a library that is as it was, if the file
    cannot be read or there is an entry of that name.
    """
    folders = tuple(search)
    name, files = _everything_used(path, folders)
    check_name(name)
    _no_two_alike([file for file, _ in files])
    _bases_as_pinned(root, name, [source for _, source in files])
    with started_library(root), locked(root):
        _free(root, name, replace)
        with building(root, name) as folder:
            with writing(root):
                for inner in (FILES, PINNED, APPROVALS):
                    (folder / inner).mkdir()
                for file, source in files:
                    data = source.read_bytes()
                    write_new(folder / FILES / file, data)
                    canonical = canonical_bytes(data)
                    if canonical is None:
                        raise LibraryError(f"{source} changed while it was read", "try again")
                    write_new(folder / PINNED / file, canonical)
                if replace:
                    _keep_approvals(root, name, folder)
                    _keep_approved(root, name, folder)
            entry = pin(folder / FILES, name, tool=tool, today=today, work_limit=work_limit)
            if {pinned.file for pinned in entry.files} != {file for file, _ in files}:
                raise LibraryError(f"{path} or something it uses changed while it was read", "try again")
            with writing(root):
                write_new(folder / ENTRY, entry.written())
    return entry


def _everything_used(path: Path, search: tuple[Path, ...]) -> tuple[str, list[tuple[str, Path]]]:
    """The name in the header of a file of rules; and it and all it uses, by the names they have in an entry."""
    from alertlang.model.files import load_files
    from alertlang.model.load import load_ruleset

    loaded = load_ruleset(path, search=search)
    if loaded.ruleset is None:
        raise LibraryError(f"{path} cannot be taken in", MEND, loaded.findings)
    if loaded.ruleset.origin.kind != "rules":
        raise LibraryError(
            f"{path} is a {loaded.ruleset.origin.kind}", "an entry is made of rules; what they use comes with them"
        )
    name = loaded.ruleset.name
    loading = load_files(path, os.fspath(path), search)
    # A used file is called as it was asked for, also where that is a link.
    return name, [
        (f"{name}.alert" if file.origin.depth == 0 else Path(file.origin.path).name, file.path)
        for file in loading.files
    ]


def _no_two_alike(names: list[str]) -> None:
    met: dict[str, str] = {}
    for name in names:
        other = met.setdefault(name.casefold(), name)
        if other != name or names.count(name) > 1:
            raise LibraryError(
                f"two different files that are used are called {other} and {name}",
                "on some systems they are one: let all use the same file, or rename one",
            )


def _bases_as_pinned(root: Path, name: str, used: Iterable[Path]) -> None:
    """LibraryError if a file that is used lies in an entry, of this library or another, which is not as pinned."""
    looked_at: set[Path] = set()
    for path in used:
        library = inside_library(path)
        if library is None:
            continue
        inner = Path(os.path.realpath(path)).relative_to(library).parts
        if len(inner) != 4 or inner[0] != "entries" or inner[2] != FILES:
            continue
        # What is to take an entry's own place may be read from there.
        own = inner[1] == name and library == Path(os.path.realpath(root))
        if not own and library / inner[1] not in looked_at:
            looked_at.add(library / inner[1])
            as_pinned(library, inner[1])


def _free(root: Path, name: str, replace: bool) -> None:
    for known in entry_names(root):
        if known == name and not replace:
            raise LibraryError(f"there is an entry {name} already", "give --replace to put this in its place")
        if known != name and known.casefold() == name.casefold():
            raise LibraryError(
                f"there is an entry {known}, which on some systems is the same name as {name}",
                f'call it {known} too, or something else altogether (the name in the header: rules "..." version N)',
            )


def _keep_approvals(root: Path, name: str, folder: Path) -> None:
    old = root / "entries" / name / APPROVALS
    if old.is_dir():
        for path in sorted(old.iterdir()):
            write_new(folder / APPROVALS / path.name, read_plain(path, "an approval"))


def _keep_approved(root: Path, name: str, folder: Path) -> None:
    """What the last approval was about stays, so that the next reviewer can be shown what changed since."""

    old = root / "entries" / name
    if not old.is_dir():
        return
    kept = old / APPROVED
    with suppress(LibraryError):
        if verify_entry(root, name, readable_reviewers(root)[0], explain=False).approved:
            kept = old / PINNED
    held = names_in(kept)
    if held:
        (folder / APPROVED).mkdir()
    for file in held:
        write_new(folder / APPROVED / file, read_plain(kept / file, f"{kept.name}/{file}"))
    if held and kept.name == PINNED:
        write_new(folder / APPROVED / ENTRY, read_plain(old / ENTRY, ENTRY))
