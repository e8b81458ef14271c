"""Giving an approval: what stands in its way, and the envelope written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from alertlang.library.approval import signed, statement
from alertlang.library.differences import differences
from alertlang.library.entry import APPROVALS, FILES, Entry, read_entry
from alertlang.library.errors import LibraryError, RefusedError
from alertlang.library.keys import Reviewer, check_reviewer_name, is_date, load_key, reviewers
from alertlang.library.store import digest, entry_names, locked, open_library, write_new, writing
from alertlang.library.verify import as_pinned, ended, verify_entry


def approve(
    root: Path,
    name: str,
    key: Path,
    reviewer: str,
    date: str,
    *,
    tool: str,
    today: str | None = None,
    ask: Callable[[], str] | None = None,
    work_limit: int | None = None,
) -> tuple[str, bool]:
    """Signs that a reviewer approves an entry as it is; the name of the file, and whether it was not there before.

    The checks are run again first: nothing is approved on the word of a file. `date` is an ISO date and not after
    `today` if that is given; `tool` is the version of alertlang; `ask` gives the passphrase of the key if it has one.
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

    state = verify_entry(root, name, keys, explain=False)
    if not state.unchanged:
        raise RefusedError(
            f"{name} is not signed: {state.faults[0]}", f"alertlang library verify {name} says all of it"
        )
    known = entry_names(root)
    for one in entry.files:
        if one.kind == "rules" and one.name != name and one.name in known:
            try:
                as_pinned(root, one.name)
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
        f"error {one['name']} is open: {one['message']}"
        for one in entry.findings
        if one["accepted"] is None and one["severity"] == "error"
    ]
    found += [
        f"the claim {one['label']} is {one['verdict']}"
        for one in entry.claims
        if one["verdict"] not in {"proved", "vacuous"}
    ]
    found += [
        f"the exception {one['check']} on {one['target']} has no reason"
        for one in entry.accepted
        if not one["reason"].strip()
    ]
    found += [
        f"a finding of {one['name']} is accepted without a reason"
        for one in entry.findings
        if one["accepted"] is not None and not one["accepted"].strip()
    ]
    return found + ended(entry, date)
