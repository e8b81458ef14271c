"""Giving an approval: what stands in its way, and the envelope written."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from alertlang.format.canonical import changed_statements
from alertlang.library.approval import signed, statement
from alertlang.library.changes import Meaning, meaning_of_folders
from alertlang.library.differences import differences
from alertlang.library.entry import APPROVALS, APPROVED, FILES, PINNED, Entry, read_entry
from alertlang.library.errors import LibraryError, RefusedError
from alertlang.library.identity import SHORT
from alertlang.library.keys import Reviewer, check_reviewer_name, is_date, load_key, reviewers
from alertlang.library.store import digest, entry_names, locked, open_library, read_plain, write_new, writing
from alertlang.library.verify import EntryState, as_pinned, ended, last_approved, verify_entry
from alertlang.text.short import Short


def approve(
    root: Path,
    name: str,
    key: Path,
    reviewer: str,
    date: str,
    *,
    tool: str,
    digest_prefix: str | None = None,
    version: int | None = None,
    today: str | None = None,
    ask: Callable[[], str] | None = None,
    work_limit: int | None = None,
) -> tuple[str, bool]:
    """Signs that a reviewer approves an entry as it is; the name of the file, and whether it was not there before.

    The checks are run again first: nothing is approved on the word of a file. `digest_prefix`, the first digits of the
    digest of the rules, or `version` (or both) say which rules the reviewer has seen. `date` is an ISO date and not
    after `today` if that is given; `tool` is the version of alertlang; `ask` gives the passphrase of the key if it has
    one.
    RefusedError if the entry is not as it should be, LibraryError if the key or the library cannot be used.
    """
    open_library(root)
    whose = check_reviewer_name(reviewer)
    if not is_date(date):
        raise LibraryError(f"{date!r} is not a date", "write it as 2027-06-30")
    if today is not None and date > today:
        raise LibraryError(
            f"{date} is still to come: today is {today}", "what is signed has the day on which it is signed"
        )
    read_entry(root, name)
    signer = load_key(key, root, ask)
    keyid = signer.public_key.keyid
    keys = reviewers(root)
    _trusted(keys, keyid, whose, key)
    written, entry = read_entry(root, name)
    _seen(entry, digest_prefix, version)
    _as_pinned(root, name, keys, entry, date, tool, work_limit)
    data = signed(statement(entry, written, whose, date), signer)
    file = f"{digest(data)}.json"
    # Locked only now, so that others need not wait for the checks.
    with locked(root):
        now, _ = read_entry(root, name)
        if now != written or not verify_entry(root, name, keys, explain=False).unchanged:
            raise LibraryError(f"{name} changed while it was looked at", "look at it again, then sign it")
        folder = root / "entries" / name / APPROVALS
        with writing(root):
            folder.mkdir(exist_ok=True)
            return file, write_new(folder / file, data)


def _seen(entry: Entry, prefix: str | None, version: int | None) -> None:
    """RefusedError unless an entry is the one that the reviewer has seen."""
    is_now = f"{entry.name} is version {entry.version}, {entry.rules_digest[:SHORT]}"
    if prefix is None and version is None:
        raise RefusedError(
            f"{entry.name} is not signed unseen: {is_now}", "give the digest or the version that you have looked at"
        )
    if prefix is not None and not re.fullmatch(r"[0-9a-f]{8,64}", prefix.lower()):
        raise LibraryError(
            f"{prefix!r} is not the beginning of a digest", "give at least its first 8 digits, as in the entry's list"
        )
    if prefix is not None and not entry.rules_digest.startswith(prefix.lower()):
        raise RefusedError(f"{entry.name} is not signed: {is_now}, and not {prefix}", "look at what it is now")
    if version is not None and version != entry.version:
        raise RefusedError(f"{entry.name} is not signed: {is_now}, and not version {version}", "look at what it is now")


@dataclass(frozen=True, slots=True, repr=False)
class Signing(Short):
    """What an approval of an entry is about. `last`: what was approved last, none if nothing was or is kept of it;
    since then the statements in `gone` went and those in `come` came, and `meaning` is what that does."""

    entry: Entry
    approvers: tuple[str, ...]
    last: Entry | None = None
    meaning: Meaning | None = None
    gone: tuple[str, ...] = ()
    come: tuple[str, ...] = ()


def to_be_signed(root: Path, name: str, *, work_limit: int | None = None) -> Signing:
    """For a reviewer to look at before it is signed; RefusedError if the entry is not as it was pinned."""
    open_library(root)
    state = verify_entry(root, name, reviewers(root), explain=False)
    _unchanged(state)
    folder = root / "entries" / name
    last = None if state.approved else last_approved(folder, name)
    given = {approval.content for approval in state.approvals if approval.status in {"holds", "outdated"}}
    if last is None or last.content_digest not in given:
        return Signing(state.entry, state.approvers)
    gone: list[str] = []
    come: list[str] = []
    for file in sorted({pinned.file for pinned in (*last.files, *state.entry.files)}):
        went, came = changed_statements(_bytes(folder / APPROVED / file), _bytes(folder / PINNED / file))
        gone += went
        come += came
    meaning = meaning_of_folders(folder / APPROVED, folder / FILES, name, work_limit)
    return Signing(state.entry, state.approvers, last, meaning, tuple(gone), tuple(come))


def _bytes(path: Path) -> bytes:
    return read_plain(path, path.name) if path.exists() else b""


def _unchanged(state: EntryState) -> None:
    if not state.unchanged:
        name = state.entry.name
        raise RefusedError(
            f"{name} is not signed: {state.faults[0]}", f"alertlang library verify {name} says all of it"
        )


def _trusted(keys: Mapping[str, Reviewer], keyid: str, whose: str, key: Path) -> None:
    """LibraryError unless a key may sign now. The date that is signed plays no part: its signer writes it."""
    known = keys.get(keyid)
    if known is None:
        raise LibraryError(
            f"the library does not know the key {key}",
            f"whoever keeps the library, and knows for certain whose key it is, adds {key}.pub under the name of that "
            "person (alertlang library key trust); nobody adds a key because a name was typed here",
        )
    if known.name != whose:
        raise LibraryError(f"the key {key} is that of {known.name}, not of {whose}", "everybody signs with their own")
    if known.retired is not None:
        raise LibraryError(
            f"the key {key} was retired on {known.retired}: {known.reason}",
            "it signs nothing more, whatever the date: sign with the new one",
        )


def _as_pinned(
    root: Path, name: str, keys: Mapping[str, Reviewer], entry: Entry, date: str, tool: str, work_limit: int | None
) -> None:
    """RefusedError unless an entry is whole, unchanged and without anything open."""
    from alertlang.library.pinning import pin

    _unchanged(verify_entry(root, name, keys, explain=False))
    known = entry_names(root)
    for pinned in entry.files:
        if pinned.kind == "rules" and pinned.name != name and pinned.name in known:
            try:
                as_pinned(root, pinned.name)
            except LibraryError as problem:
                raise RefusedError(f"{name} is not signed: its base {problem.message}", problem.way_out) from None
    now = pin(root / "entries" / name / FILES, name, tool=tool, today=entry.today, work_limit=work_limit)
    found = differences(entry, now)
    if found:
        again = "add the rule set again with --replace, so that what is signed is what is found"
        raise RefusedError(f"{name} is not signed: the checks find something else than is pinned: {found[0]}", again)
    stand_in_the_way = open_points(entry, date)
    if stand_in_the_way:
        more = f" (and {len(stand_in_the_way) - 1} more)" if len(stand_in_the_way) > 1 else ""
        raise RefusedError(f"{name} is not signed: {stand_in_the_way[0]}{more}", "mend the rules and add them again")


def open_points(entry: Entry, date: str | None = None) -> list[str]:
    """What stands in the way of an approval: errors, claims that are not proved, exceptions without a reason or that
    are over."""
    found = [
        f"error {finding['name']} is open: {finding['message']}"
        for finding in entry.findings
        if finding["accepted"] is None and finding["severity"] == "error"
    ]
    found += [
        f"the claim {claim['label']} is {claim['verdict']}"
        for claim in entry.claims
        if claim["verdict"] not in {"proved", "vacuous"}
    ]
    found += [
        f"the exception {one['check']} on {one['target']} has no reason"
        for one in entry.accepted
        if not one["reason"].strip()
    ]
    found += [
        f"a finding of {finding['name']} is accepted without a reason"
        for finding in entry.findings
        if finding["accepted"] is not None and not finding["accepted"].strip()
    ]
    return found + ended(entry, date)
