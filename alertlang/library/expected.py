"""What was known of a library, held against what is there: who can write to it can also take things out of it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from alertlang.library.errors import LibraryError
from alertlang.library.keys import Reviewer
from alertlang.library.store import reason
from alertlang.library.verify import EntryState, State

Json = dict[str, Any]


def read_expected(path: Path) -> Json:
    """What `library list --output json` printed at some time; LibraryError if it is something else."""
    way_out = "name what `alertlang library list --output json` printed"
    try:
        found = json.loads(path.read_bytes())
    except OSError as problem:
        raise LibraryError(f"{path} cannot be read ({reason(problem)})", way_out) from None
    except (ValueError, RecursionError):
        found = None
    try:
        for entry in found["entries"]:
            str(entry["name"]), str(entry["digest"])
            if entry["version"] is not None and type(entry["version"]) is not int:
                raise TypeError
            for approval in entry["approvals"]:
                approval["file"], approval["status"], approval["reviewer"], approval["date"]
        for key in found["keys"]:
            key["key"], key["reviewer"], key["retired"], key["compromised"]
    except (KeyError, TypeError, IndexError):
        raise LibraryError(f"{path} does not say what a library held", way_out) from None
    return dict(found)


def lost(expected: Mapping[str, Any], states: Sequence[State], keys: Mapping[str, Reviewer]) -> tuple[str, ...]:
    """In words, what was there and is there no more; what came since is no fault."""
    known = {state.entry.name: state for state in states if isinstance(state, EntryState)}
    broken = {state.name for state in states if not isinstance(state, EntryState)}
    said: list[str] = []
    for entry in expected["entries"]:
        name = entry["name"]
        if name in known:
            said += _entry_lost(entry, known[name])
        elif name not in broken:
            said.append(f"the entry {name} is gone")
    return (*said, *_keys_lost(expected["keys"], keys))


def _entry_lost(entry: Json, state: EntryState) -> Iterator[str]:
    name, now = entry["name"], state.entry
    if entry["version"] is not None and now.version < entry["version"]:
        yield f"{name} went back from version {entry['version']} to version {now.version}"
    elif now.version == entry["version"] and now.rules_digest != entry["digest"]:
        yield f"the rules of {name} are others than they were, and its version is {now.version} as before"
    files = {approval.file for approval in state.approvals}
    for one in entry["approvals"]:
        if one["file"] not in files:
            who = f" by {one['reviewer']} ({one['date']})" if one["reviewer"] else ""
            yield f"an approval of {name}{who} is gone: {one['file']}"


def _keys_lost(expected: Iterable[Json], keys: Mapping[str, Reviewer]) -> Iterator[str]:
    for one in expected:
        now, called = keys.get(one["key"]), f"the key {one['key'][:16]} of {one['reviewer']}"
        if now is None:
            yield f"{called} is gone, or can no longer be read"
        elif now.name != one["reviewer"]:
            yield f"{called} is now that of {now.name}"
        elif one["compromised"] and not now.compromised:
            yield f"{called} was called compromised, and is no more"
        elif one["retired"] is not None and (now.retired is None or now.retired > one["retired"]):
            yield f"{called} was retired on {one['retired']}, and now {_state(now)}"


def _state(key: Reviewer) -> str:
    return "is in use" if key.retired is None else f"on {key.retired}"
