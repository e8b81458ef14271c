"""For the shop: vetted rule sets in a folder of plain files, pinned by digest, signed by its reviewers, verified.

Every call takes the folder of a library. LibraryError, and a library as it was, for what cannot be done; its subclass
RefusedError for an approval that may not be given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from alertlang.api.rules import Where
from alertlang.library.adding import add as _add
from alertlang.library.affected import Affected as Affected
from alertlang.library.affected import affected as _affected
from alertlang.library.approving import Signing as Signing
from alertlang.library.approving import approve as _approve
from alertlang.library.approving import open_points as open_points
from alertlang.library.approving import to_be_signed as _to_be_signed
from alertlang.library.changes import Meaning as Meaning
from alertlang.library.changes import graded
from alertlang.library.departures import Base as Base
from alertlang.library.departures import bases
from alertlang.library.departures import derive as _derive
from alertlang.library.differences import say_finding as say_finding
from alertlang.library.entry import Entry as Entry
from alertlang.library.errors import LibraryError as LibraryError
from alertlang.library.errors import RefusedError as RefusedError
from alertlang.library.expected import lost, read_expected
from alertlang.library.identity import SHORT as SHORT
from alertlang.library.keys import Reviewer as Reviewer
from alertlang.library.keys import new_key as _new_key
from alertlang.library.keys import readable_reviewers, reviewers
from alertlang.library.keys import retire as _retire
from alertlang.library.keys import trust as _trust
from alertlang.library.serialisation import affected_data, entry_data, key_data, signing_data, state_data
from alertlang.library.store import approvals_asked, leftovers, open_library
from alertlang.library.strays import private_keys
from alertlang.library.verify import BrokenEntry as BrokenEntry
from alertlang.library.verify import EntryState as EntryState
from alertlang.library.verify import State as State
from alertlang.library.verify import verify, verify_one
from alertlang.model.files import shipped_profiles
from alertlang.output.library import library_json
from alertlang.results.result import Result
from alertlang.text.version import __version__


@dataclass(frozen=True, slots=True, repr=False)
class LibraryList(Result):
    """The entries, what interrupted runs left behind (as paths within the library), the trusted keys, and what is wrong
    with the library itself: `problems`."""

    states: tuple[State, ...]
    leftovers: tuple[str, ...] = ()
    keys: tuple[Reviewer, ...] = ()
    problems: tuple[str, ...] = ()

    def to_json(self) -> str:
        return library_json(self._data())

    def _data(self) -> dict[str, Any]:
        return {
            "entries": [state_data(state) for state in self.states],
            "leftovers": list(self.leftovers),
            "keys": [key_data(reviewer) for reviewer in self.keys],
            "problems": list(self.problems),
        }


@dataclass(frozen=True, slots=True, repr=False)
class LibraryCheck(LibraryList):
    """How entries stand against digests and signatures. `private_keys`: what is said of private keys in the library's
    folder. `wrong`: the entries that are not as they should be."""

    private_keys: tuple[str, ...] = ()
    wrong: tuple[State, ...] = ()

    @property
    def good(self) -> bool:
        return not self.wrong and not self.private_keys and not self.problems

    def to_json(self) -> str:
        # By name: with slots the class is made twice, and `super()` would mean the first one.
        return library_json({"good": self.good, **LibraryList._data(self), "private_keys": list(self.private_keys)})


@dataclass(frozen=True, slots=True, repr=False)
class LibraryEntry(Result):
    """All of an entry: how it stands, the rules it builds on with its departures, and how many of its numbers have
    which grade of source (both empty if it is not as it was pinned: what was changed says nothing of that)."""

    state: EntryState
    bases: tuple[Base, ...]
    numbers: Mapping[str, int] = field(hash=False)

    def to_json(self) -> str:
        entry = entry_data(self.state.entry, self.bases, self.numbers)
        return library_json({"entry": entry, "state": state_data(self.state)})


@dataclass(frozen=True, slots=True, repr=False)
class ToBeSigned(Result):
    """What an approval of an entry would be about."""

    signing: Signing

    def to_json(self) -> str:
        return library_json(signing_data(self.signing))


@dataclass(frozen=True, slots=True, repr=False)
class Touched(Result):
    """What a new version of a profile, or of rules, touches: `unchanged` entries have it already, of `broken` ones
    nothing is known, all others do not use it."""

    file: str
    affected: tuple[Affected, ...]
    unchanged: tuple[str, ...]
    broken: tuple[BrokenEntry, ...]

    def to_json(self) -> str:
        return library_json(
            {
                "file": self.file,
                "affected": [affected_data(affected) for affected in self.affected],
                "unchanged": list(self.unchanged),
                "cannot_be_read": [broken.name for broken in self.broken],
            }
        )


def add_to_library(
    path: Where,
    library: Where,
    *,
    search: Iterable[Where] = (),
    replace: bool = False,
    today: str | None = None,
    work_limit: int | None = None,
) -> Entry:
    """The entry that a rule file becomes in a library, which is started if the folder is new or empty. `replace`: an
    entry of that name gives way."""
    folders = tuple(Path(one) for one in search)
    return _add(
        Path(path),
        Path(library),
        tool=__version__,
        search=folders,
        replace=replace,
        today=today,
        work_limit=work_limit,
    )


def list_library(library: Where) -> LibraryList:
    """The entries, without what changed files do otherwise."""
    folder = Path(library)
    return LibraryList(verify(folder, tool=__version__, explain=False), leftovers(folder), *_keys(folder))


def _keys(folder: Path) -> tuple[tuple[Reviewer, ...], tuple[str, ...]]:
    """The trusted keys by name and id, and what is wrong with those that cannot be read."""
    known, damaged = readable_reviewers(folder)
    said = tuple(f"{error.message}; who may sign with it is not known: {error.way_out}" for error in damaged)
    return tuple(sorted(known.values(), key=lambda reviewer: (reviewer.name, reviewer.keyid))), said


def library_entry(library: Where, name: str, *, work_limit: int | None = None) -> LibraryEntry:
    """All that is pinned of an entry, its approvals, and where it departs from the rules it builds on."""
    folder = Path(library)
    state = verify_one(folder, name, work_limit=work_limit)
    found = bases(folder, state.entry, work_limit=work_limit) if state.unchanged else ()
    return LibraryEntry(state, found, graded(folder, name) if state.unchanged else {})


def verify_library(
    library: Where,
    names: Iterable[str] = (),
    *,
    recheck: bool = False,
    require_approval: int = 0,
    expect: Where | None = None,
    today: str | None = None,
    work_limit: int | None = None,
    jobs: int = 0,
) -> LibraryCheck:
    """How entries (all, if none is named) stand against their digests and signatures. `recheck`: the checks are run
    again and compared, in `jobs` processes (0: in this one). `require_approval`: one whose approvals that hold are of
    fewer reviewers is `wrong` too (the library may ask for more itself). `expect`: a file with what `list_library` gave
    as JSON some time ago; what is gone since is among the `problems`. One that cannot be read is a BrokenEntry among
    the states with its `message` and `way_out`."""
    folder, names = Path(library), tuple(names)
    states = verify(folder, names, tool=__version__, again=recheck, today=today, work_limit=work_limit, jobs=jobs)
    keys, problems = _keys(folder)
    if expect is not None:
        everything = states
        if names:
            everything = verify(folder, tool=__version__, explain=False, today=today)
        problems += lost(read_expected(Path(expect)), everything, {reviewer.keyid: reviewer for reviewer in keys})
    asked = max(require_approval, approvals_asked(folder))
    wrong = tuple(state for state in states if not state.good or len(state.approvers) < asked)
    return LibraryCheck(states, leftovers(folder), keys, problems, private_keys(folder, states), wrong)


def approve_entry(
    library: Where,
    name: str,
    key: Where,
    reviewer: str,
    date: str,
    *,
    digest: str | None = None,
    version: int | None = None,
    today: str | None = None,
    passphrase: Callable[[], str] | None = None,
    work_limit: int | None = None,
) -> tuple[str, bool]:
    """Signs, as a reviewer of the shop, that an entry is approved as it is: the name of the approval, and whether it
    was not there before. The checks are run again first. `digest` (the first eight digits of the digest of the rules or
    more) or `version` says which rules were looked at (`to_be_signed`): nothing is signed unseen. `key`: the
    private one; `passphrase` gives what it is locked with, if it is; `date` an ISO date, not after `today`."""
    return _approve(
        Path(library),
        name,
        Path(key),
        reviewer,
        date,
        tool=__version__,
        digest_prefix=digest,
        version=version,
        today=today,
        ask=passphrase,
        work_limit=work_limit,
    )


def to_be_signed(library: Where, name: str, *, work_limit: int | None = None) -> ToBeSigned:
    """What a reviewer who approves an entry signs, and what changed since the last approval."""
    return ToBeSigned(_to_be_signed(Path(library), name, work_limit=work_limit))


def derive_entry(library: Where, name: str, path: Where, new_name: str) -> Path:
    """Writes the rule file of a new aircraft, called `new_name`, that uses an entry where it is; the folder to search
    when it is read."""
    return _derive(Path(library), name, Path(path), new_name)


def affected_entries(
    library: Where, file: Where, names: Iterable[str] = (), *, work_limit: int | None = None, jobs: int = 0
) -> Touched:
    """What a new version of a profile (the path of a file, or a shipped one by name) or of rules does to entries (all,
    if none is named), tried in `jobs` processes (0: in this one). Nothing is written."""
    shipped = shipped_profiles().get(str(file))
    path = shipped if shipped is not None and not Path(file).exists() else Path(file)
    found = _affected(Path(library), path, tool=__version__, names=tuple(names), work_limit=work_limit, jobs=jobs)
    return Touched(str(file), *found)


# ---- keys


def new_key(path: Where, passphrase: str | None = None) -> str:
    """A new key of a reviewer, by its id: the private one in `path`, locked with `passphrase` if there is one, the
    public one beside it as `path.pub`."""
    return _new_key(Path(path), passphrase)


def trust_key(library: Where, public: Where, reviewer: str, *, another: bool = False) -> Reviewer:
    """Lets a library trust a public key as that of a reviewer. `another`: beside one of theirs that is in use."""
    open_library(Path(library))
    return _trust(Path(library), Path(public), reviewer, another=another)


def library_keys(library: Where) -> tuple[Reviewer, ...]:
    """The keys that a library trusts and those that are retired, by name and id."""
    open_library(Path(library))
    return tuple(sorted(reviewers(Path(library)).values(), key=lambda reviewer: (reviewer.name, reviewer.keyid)))


def retire_key(
    library: Where, which: str, date: str, reason: str, *, compromised: bool = False, today: str | None = None
) -> Reviewer:
    """Marks a key (the start of its id, or whose it is) as used no more since an ISO date, not after `today`.
    `compromised`: nothing it ever signed counts from now on."""
    open_library(Path(library))
    return _retire(Path(library), which, date, reason, compromised=compromised, today=today)
