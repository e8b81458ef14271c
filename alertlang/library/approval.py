"""Approvals: what a reviewer signs, and whether it still stands.

An approval is an in-toto statement (https://in-toto.io/Statement/v1) in a DSSE envelope with one Ed25519 signature. Its
subjects are the entry's files by the sha256 of their bytes; its predicate says who approved what and when, and the
digest of what counts of the entry, which comments and layout do not change.

Nothing in the file proves the date: it is what the signer wrote. So a retired key signs nothing more whatever the date,
and what it signed earlier holds with a remark; `--compromised` is for a key that others may have, and believes no date.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from alertlang.library.entry import APPROVALS, ENTRY, Entry
from alertlang.library.errors import LibraryError
from alertlang.library.keys import Reviewer, is_date, public_key
from alertlang.library.store import canonical_json, digest, names_in, read_plain

STATEMENT = "https://in-toto.io/Statement/v1"
PREDICATE = "urn:alertlang:approval:1"
PAYLOAD_TYPE = "application/vnd.in-toto+json"


@dataclass(frozen=True, slots=True)
class Approval:
    """One approval and how it stands. `status`:

    holds            the signature is good and what is approved is what is there
    outdated         the signature is good, and what is there is not what was approved
    retired          given with a key after it was retired
    compromised      given with a key that others may have
    unknown key      the library does not trust the key, so nothing is known of who signed
    bad signature    what is signed is not what is there, or not by that key
    damaged          it is no approval that could be read

    `reviewer`, `date` are empty where the signature does not vouch for them, and so is `content`, the digest of what it
    is about. `exact`: it is over the very bytes.
    `why` of one that holds: what a reviewer should look at all the same, none if there is nothing.
    """

    file: str
    status: str
    why: str
    reviewer: str = ""
    keyid: str = ""
    date: str = ""
    exact: bool = False
    content: str = ""

    @property
    def by(self) -> str:
        """Who gave it, and whose word that is; the file's name where no signature vouches for anybody."""
        return (
            f"{self.reviewer}, reviewer of the shop ({self.date})" if self.reviewer else f"nobody known ({self.file})"
        )

    @property
    def bad(self) -> bool:
        """It says something that cannot be believed, whatever else holds."""
        return self.status in {"unknown key", "bad signature", "damaged"}


def statement(entry: Entry, written: bytes, reviewer: str, date: str) -> bytes:
    """What is signed."""
    subjects = [{"name": ENTRY, "digest": {"sha256": digest(written)}}]
    subjects += [{"name": f"files/{pinned.file}", "digest": {"sha256": pinned.raw}} for pinned in entry.files]
    return canonical_json(
        {
            "_type": STATEMENT,
            "subject": subjects,
            "predicateType": PREDICATE,
            "predicate": {
                "entry": entry.name,
                "version": entry.version,
                "reviewer": reviewer,
                "date": date,
                "content": {"sha256": entry.content_digest},
                "files": [{"file": pinned.file, "canonical": {"sha256": pinned.canonical}} for pinned in entry.files],
            },
        }
    )


def signed(payload: bytes, signer: Any) -> bytes:
    """An envelope as it is written. `signer` is a securesystemslib signer."""
    from securesystemslib.dsse import Envelope

    envelope = Envelope(payload, PAYLOAD_TYPE, {})
    envelope.sign(signer)
    return canonical_json(envelope.to_dict())


def approvals(
    folder: Path, written: bytes, entry: Entry, keys: Mapping[str, Reviewer], today: str | None = None
) -> list[Approval]:
    """Every approval in the folder of an entry, held against what is pinned; whether the files are as pinned is told
    elsewhere. `today`: an ISO date, to tell those that are dated later."""
    return [
        _approval(folder / APPROVALS / file, written, entry, keys, today)
        for file in names_in(folder / APPROVALS)
        if file.endswith(".json") and not file.startswith(".")
    ]


def _approval(path: Path, written: bytes, entry: Entry, keys: Mapping[str, Reviewer], today: str | None) -> Approval:
    try:
        data = read_plain(path, f"the approval {path.name}")
    except LibraryError as problem:
        return Approval(path.name, "damaged", problem.message)
    checked = check_envelope(data, keys)
    if isinstance(checked, Disbelieved):
        return Approval(path.name, checked.status, checked.why)
    said, reviewer = checked.said, checked.reviewer

    def told(status: str, why: str, exact: bool = False) -> Approval:
        return Approval(
            path.name, status, why, reviewer.name, reviewer.keyid, said["date"], exact, said["content"]["sha256"]
        )

    if path.stem != digest(data):
        return told("damaged", "the file is not as it was written: its name is not its digest")
    if said["reviewer"] != reviewer.name:
        return told("bad signature", f"it names {said['reviewer']}, and the key is that of {reviewer.name}")
    if said["entry"] != entry.name:
        return told("outdated", f"it is about the entry {said['entry']}, not this one")
    if reviewer.compromised:
        return told("compromised", f"others may have the key since {reviewer.retired} or before: {reviewer.reason}")
    if reviewer.retired is not None and said["date"] > reviewer.retired:
        return told("retired", f"the key was retired on {reviewer.retired}: {reviewer.reason}")
    if said["content"]["sha256"] != entry.content_digest:
        return told("outdated", _what_differs(said, entry))
    exact = said["entry_digest"] == digest(written)
    notes = []
    if today is not None and said["date"] > today:
        notes.append(f"dated after the day of this verification ({today})")
    if reviewer.retired is not None:
        notes.append(f"given with a key that was retired later, on {reviewer.retired}: {reviewer.reason}")
    return told("holds", "; ".join(notes), exact)


@dataclass(frozen=True, slots=True)
class Believed:
    """What is signed by a key that is trusted, and whose that is."""

    said: dict[str, Any]
    reviewer: Reviewer


@dataclass(frozen=True, slots=True)
class Disbelieved:
    """A status, with the reason."""

    status: str
    why: str


def check_envelope(data: bytes, keys: Mapping[str, Reviewer]) -> Believed | Disbelieved:
    """The predicate of an envelope (with the digest of the entry's file as `entry_digest`) and whose key signed it; or
    a status with the reason, if it is not to be believed."""
    from securesystemslib.dsse import Envelope
    from securesystemslib.exceptions import FormatError, VerificationError

    try:
        envelope = Envelope.from_dict(json.loads(data.decode("utf-8")))
        if canonical_json(envelope.to_dict()) != data:
            return Disbelieved("damaged", "the file is not as it was written")
    except (ValueError, KeyError, TypeError, AttributeError, FormatError, RecursionError):
        return Disbelieved("damaged", "it is no DSSE envelope")
    if len(envelope.signatures) != 1:
        return Disbelieved("damaged", "it has not one signature")
    keyid = next(iter(envelope.signatures))
    reviewer = keys.get(keyid)
    if reviewer is None:
        return Disbelieved("unknown key", f"the library does not trust the key {str(keyid)[:16]}")
    try:
        envelope.verify([public_key(reviewer.pem.encode("ascii"), "a trusted key")], 1)
    except VerificationError:
        return Disbelieved("bad signature", f"it is not what {reviewer.name} signed")
    if envelope.payload_type != PAYLOAD_TYPE:
        return Disbelieved("damaged", f"it holds {envelope.payload_type}, no in-toto statement")
    try:
        return Believed(_predicate(json.loads(envelope.payload.decode("utf-8"))), reviewer)
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        return Disbelieved("damaged", "what is signed is no approval that this version can read")


def _predicate(found: Any) -> dict[str, Any]:
    if found["_type"] != STATEMENT or found["predicateType"] != PREDICATE:
        raise ValueError
    said = dict(found["predicate"])
    if not all(isinstance(said[key], str) for key in ("entry", "reviewer", "date")):
        raise TypeError
    if not is_date(said["date"]):
        raise ValueError
    said["content"]["sha256"], [one["canonical"]["sha256"] for one in said["files"]]
    said["entry_digest"] = {one["name"]: one["digest"]["sha256"] for one in found["subject"]}[ENTRY]
    return said


def _what_differs(said: Mapping[str, Any], entry: Entry) -> str:
    """Why an approval is not about what is pinned now."""
    before = {one["file"]: one["canonical"]["sha256"] for one in said["files"]}
    now = {pinned.file: pinned.canonical for pinned in entry.files}
    parts = [f"{file} is another" for file in sorted(before.keys() & now.keys()) if before[file] != now[file]]
    parts += [f"{file} is new" for file in sorted(now.keys() - before.keys())]
    parts += [f"{file} is gone" for file in sorted(before.keys() - now.keys())]
    if said["version"] != entry.version:
        parts.append(f"it was about version {said['version']}")
    return (
        f"since it was given: {', '.join(parts)}" if parts else "findings, claims, exceptions or versions differ since"
    )
