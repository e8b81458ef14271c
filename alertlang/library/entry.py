"""An entry as data: what is pinned of a rule set, and how it stands in its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from alertlang.library.errors import LibraryError
from alertlang.library.identity import rules_digest
from alertlang.library.store import FORMAT, RESTORE, canonical_json, check_format, digest, entry_dir, read_json
from alertlang.text.short import Short

ENTRY = "entry.json"
FILES, PINNED, APPROVALS, APPROVED = "files", "pinned", "approvals", "approved"


@dataclass(frozen=True, slots=True)
class PinnedFile:
    """One file of an entry. `file` is its name in `files/` and `pinned/`; `raw` is the sha256 of its bytes, `canonical`
    that of its canonical form without comments."""

    kind: str
    name: str
    version: int
    file: str
    raw: str
    canonical: str


@dataclass(frozen=True, slots=True, repr=False)
class Entry(Short):
    """What is pinned. `findings`, `claims` and `accepted` are as they stand in the file; `today` is the date that the
    checks were given, `base` the entries or rules that the rules build on, by name."""

    name: str
    version: int
    files: tuple[PinnedFile, ...]
    findings: tuple[Mapping[str, Any], ...] = field(hash=False)
    claims: tuple[Mapping[str, Any], ...] = field(hash=False)
    accepted: tuple[Mapping[str, Any], ...] = field(hash=False)
    tool: str
    solver: str
    today: str | None
    base: tuple[str, ...]

    @property
    def rules(self) -> str:
        return f"{self.name}.alert"

    def data(self) -> dict[str, Any]:
        """As it is written."""
        return {
            "format": FORMAT,
            "name": self.name,
            "version": self.version,
            "files": [
                {
                    "kind": pinned.kind,
                    "name": pinned.name,
                    "version": pinned.version,
                    "file": pinned.file,
                    "raw": pinned.raw,
                    "canonical": pinned.canonical,
                }
                for pinned in self.files
            ],
            "findings": list(self.findings),
            "claims": list(self.claims),
            "accepted": list(self.accepted),
            "tool": {"alertlang": self.tool, "solver": self.solver},
            "today": self.today,
            "base": list(self.base),
        }

    def written(self) -> bytes:
        return canonical_json(self.data())

    def content(self) -> dict[str, Any]:
        """What an approval is about: without what comments and layout change (digests of bytes; words of findings and
        claims, which name lines)."""
        data = self.data()
        data["files"] = [{key: value for key, value in one.items() if key != "raw"} for one in data["files"]]
        data["findings"] = [{k: v for k, v in one.items() if k != "message"} for one in data["findings"]]
        data["claims"] = [{k: v for k, v in one.items() if k != "text"} for one in data["claims"]]
        return data

    @property
    def content_digest(self) -> str:
        return digest(canonical_json(self.content()))

    @property
    def rules_digest(self) -> str:
        """What the rules say, as papers tell it too. An approval is about more: see `content_digest`."""
        return rules_digest((pinned.kind, pinned.name, pinned.canonical) for pinned in self.files)

    @property
    def counts(self) -> dict[str, int]:
        """Open findings by severity, and accepted ones."""
        found = {"error": 0, "warning": 0, "note": 0, "accepted": 0}
        for finding in self.findings:
            found["accepted" if finding["accepted"] is not None else finding["severity"]] += 1
        return found


def read_entry(root: Path, name: str) -> tuple[bytes, Entry]:
    """The bytes of an entry's file and what they say. LibraryError if it is damaged or newer than this version."""
    return read_entry_in(entry_dir(root, name), name)


def read_entry_in(folder: Path, name: str) -> tuple[bytes, Entry]:
    """The same for a folder that has an entry's file."""
    what = f"the entry {name}"
    data, found = read_json(folder / ENTRY, what)
    check_format(found, what)
    try:
        entry = _entry(found)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise LibraryError(f"{what} ({folder / ENTRY}) is damaged: something in it is missing", RESTORE) from None
    if entry.name != name:
        raise LibraryError(f'{what} calls itself "{entry.name}"', "rename its folder back, or add the rule set again")
    return data, entry


def _entry(found: Mapping[str, Any]) -> Entry:
    return Entry(
        name=_text(found["name"]),
        version=_number(found["version"]),
        files=tuple(
            PinnedFile(
                _text(one["kind"]),
                _text(one["name"]),
                _number(one["version"]),
                _file_name(one["file"]),
                _text(one["raw"]),
                _text(one["canonical"]),
            )
            for one in found["files"]
        ),
        findings=tuple(_with(one, "name", "severity", "message", "accepted", "file") for one in found["findings"]),
        claims=tuple(_with(one, "label", "verdict", "text", "assumptions") for one in found["claims"]),
        accepted=tuple(_with(one, "check", "target", "reason", "until", "file") for one in found["accepted"]),
        tool=_text(found["tool"]["alertlang"]),
        solver=_text(found["tool"]["solver"]),
        today=None if found["today"] is None else _text(found["today"]),
        base=tuple(_text(one) for one in found["base"]),
    )


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _number(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise TypeError
    return value


def _file_name(value: Any) -> str:
    """A name and no path: what is read under it must be in the entry."""
    if not isinstance(value, str) or value != Path(value).name or value in {"", ".", ".."} or "\\" in value:
        raise ValueError
    return value


def _with(one: Any, *keys: str) -> Mapping[str, Any]:
    if not isinstance(one, dict) or not all(key in one for key in keys):
        raise KeyError
    if "severity" in keys and one["severity"] not in {"error", "warning", "note"}:
        raise ValueError
    return one
