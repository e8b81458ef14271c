"""A new aircraft that starts from an entry, and where an entry departs from what it builds on."""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from alertlang.library.changes import Meaning, by_meaning, rules_in
from alertlang.library.entry import FILES, Entry
from alertlang.library.errors import LibraryError
from alertlang.library.identity import SHORT
from alertlang.library.store import (
    check_name,
    entry_names,
    inside_library,
    open_library,
    reason,
    write_new,
)
from alertlang.library.verify import as_pinned, verify_entry


@dataclass(frozen=True, slots=True)
class Departure:
    """One statement that changes or adds to what is inherited. `what` is dropped, replaced or added; `before` is the
    inherited statement, `after` the new one, empty where there is none; `reason` is given for what is dropped."""

    what: str
    label: str
    before: str
    after: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Base:
    """What an entry builds on. `state` tells how it compares with the library's own entry of that name; `meaning` what
    the entry does otherwise than it."""

    name: str
    version: int
    state: str
    departures: tuple[Departure, ...]
    meaning: Meaning | None


def derive(root: Path, name: str, path: Path, new_name: str) -> Path:
    """Writes the rule file of a new aircraft that uses an entry; the folder to give as --path when it is read.

    Nothing is copied: the entry stays the one place of its rules, and is copied with the rest when the new aircraft is
    added to a library. LibraryError if the file is there already.
    """
    open_library(root)
    check_name(new_name)
    entry = as_pinned(root, name)
    if new_name.casefold() == name.casefold():
        raise LibraryError(
            f"the new aircraft cannot be called {new_name} as what it starts from", "give another --name"
        )
    if path.suffix != ".alert":
        raise LibraryError(f"{path} is not the name of a rule file", f"name it {path.with_suffix('.alert')}")
    within = inside_library(path)
    if within is not None:
        raise LibraryError(
            f"{path} is inside the library {within}", "work elsewhere; library add takes it in when ready"
        )
    if os.path.lexists(path):
        raise LibraryError(f"{path} is there already", "nothing is overwritten: name another file")
    folder = root / "entries" / name / FILES
    rules_in(folder, name)
    lines = [
        f'rules "{new_name}" version 1',
        "",
        f"# Starts from {name} version {entry.version} as it stands in the library ({entry.rules_digest[:SHORT]}).",
        f'use rules "{name}"',
        "",
        "# What is different on this aircraft stands below, each with its reason:",
        '#   drop LABEL because "why it does not apply"',
        "#   replace LABEL: the statement that takes its place",
        "",
    ]
    try:
        write_new(path, "\n".join(lines).encode("utf-8"))
    except OSError as problem:
        raise LibraryError(f"{path} could not be written ({reason(problem)})", "name a folder of yours") from None
    from alertlang.model.load import load_ruleset

    loaded = load_ruleset(path, search=(folder,))
    found = next((o for o in loaded.ruleset.origins if o.name == name), None) if loaded.ruleset else None
    if found is None or not found.path.startswith(f"{_shown(folder)}/"):
        with suppress(OSError):
            path.unlink()
        raise LibraryError(
            f"{path} would not use the library's {name}: "
            + (f"{found.path} is found before it" if found else "it cannot be read with what is found before it"),
            "write the new file into a folder that has none beside it, above it or in its rules/ folder"
            + (f", or move {found.path} away" if found else ""),
            loaded.findings if loaded.ruleset is None else (),
        )
    return folder


def _shown(folder: Path) -> str:
    from alertlang.model.files import shown_path

    return shown_path(folder)


def bases(root: Path, entry: Entry, *, work_limit: int | None = None) -> tuple[Base, ...]:
    """What an entry builds on, and where it departs from it; nothing for one that stands by itself."""
    folder = root / "entries" / entry.name / FILES
    found = []
    for name in entry.base:
        own = next((pinned for pinned in entry.files if pinned.kind == "rules" and pinned.name == name), None)
        if own is None:
            continue
        found.append(
            Base(
                name,
                own.version,
                _state(root, entry, name),
                _departures(folder, entry),
                by_meaning(rules_in(folder, own.file.removesuffix(".alert")), rules_in(folder, entry.name), work_limit),
            )
        )
    return tuple(found)


def _state(root: Path, entry: Entry, name: str) -> str:
    """How the base that an entry holds a copy of compares with the library's own."""
    if name not in entry_names(root):
        return "not an entry of this library"
    try:
        state = verify_entry(root, name, {}, explain=False)
    except LibraryError as problem:
        return f"the library's own cannot be read: {problem.message}"
    if not state.unchanged:
        return f"the library's own is not as it was pinned: {state.faults[0]}"
    base = state.entry
    ours = {pinned.file: pinned.canonical for pinned in entry.files}
    theirs = {pinned.file: pinned.canonical for pinned in base.files}
    differing = sorted(file for file, canonical in theirs.items() if ours.get(file) != canonical)
    if not differing:
        return "as it stands in the library"
    return f"the library's own is another by now: {', '.join(differing)}"


def _departures(folder: Path, entry: Entry) -> tuple[Departure, ...]:
    """What the rules' own file changes of what it inherits, and adds, in its order."""
    from alertlang.format.text import format_statement
    from alertlang.model.files import load_files
    from alertlang.syntax import tree as t

    loading = load_files(folder / entry.rules, entry.rules, ())
    inherited: dict[str, str] = {}
    for file in loading.files:
        if file.origin.depth == 0:
            continue
        for statement in file.tree.statements:
            if isinstance(statement, t.Labelled | t.Replace) and statement.label is not None:
                inherited[statement.label.text] = format_statement(statement)
    base = next((file for file in loading.files if file.origin.depth == 0), None)
    found: list[Departure] = []
    if base is None:
        return ()
    for statement in base.tree.statements:
        if isinstance(statement, t.Drop):
            label = statement.target.text
            found.append(Departure("dropped", label, inherited.get(label, ""), "", statement.reason.text))
        elif isinstance(statement, t.Replace):
            label = statement.label.text
            found.append(Departure("replaced", label, inherited.get(label, ""), format_statement(statement)))
        elif not isinstance(statement, t.Header | t.Use | t.About | t.SourceDeclaration):
            label = statement.label.text if isinstance(statement, t.Labelled) and statement.label else ""
            found.append(Departure("added", label, "", format_statement(statement)))
    return tuple(found)
