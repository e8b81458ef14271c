"""What is pinned of a rule set: everything read, digests taken, every check run."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from alertlang.format.canonical import canonical_bytes
from alertlang.library.entry import Entry, PinnedFile
from alertlang.library.errors import LibraryError
from alertlang.library.store import digest, read_plain

if TYPE_CHECKING:
    from alertlang.findings.finding import Finding
    from alertlang.model.ruleset import RuleSet

MEND = "mend it first: alertlang check says more"


class Recorded(NamedTuple):
    """What an entry's file has from its rules, in the form of its fields."""

    version: int
    files: tuple[PinnedFile, ...]
    accepted: tuple[Mapping[str, Any], ...]
    base: tuple[str, ...]


def recorded(folder: Path, name: str) -> Recorded:
    """Read from the files in a folder. LibraryError if they cannot be read."""
    return _recorded(folder, name, _rules(folder, name)[0])


def _rules(folder: Path, name: str) -> tuple[RuleSet, tuple[Finding, ...]]:
    """The rule set in a folder of an entry, and what is found in reading it. LibraryError if it cannot be read."""
    from alertlang.model.load import load_ruleset

    loaded = load_ruleset(folder / f"{name}.alert")
    if loaded.ruleset is None:
        raise LibraryError(f"the files of {name} cannot be read as a whole", MEND, loaded.findings)
    return loaded.ruleset, loaded.findings


def _recorded(folder: Path, name: str, ruleset: RuleSet) -> Recorded:
    """The same of a rule set that was read from there."""
    files = []
    for origin in ruleset.origins:
        file = f"{name}.alert" if origin.depth == 0 else Path(origin.path).name
        data = read_plain(folder / file, f"the file {file} of {name}")
        canonical = canonical_bytes(data)
        assert canonical is not None, "it was read a moment ago"
        files.append(PinnedFile(origin.kind, origin.name, origin.version, file, digest(data), digest(canonical)))
    return Recorded(
        ruleset.version,
        tuple(sorted(files, key=lambda pinned: (pinned.kind != "rules", pinned.file != f"{name}.alert", pinned.file))),
        tuple(
            {
                "check": acceptance.check,
                "target": acceptance.target,
                "reason": acceptance.reason,
                "until": acceptance.until,
                "file": Path(acceptance.origin.path).name,
            }
            for acceptance in ruleset.acceptances
        ),
        tuple(o.name for o in ruleset.origins if o.kind == "rules" and o.depth == 1),
    )


def pin(folder: Path, name: str, *, tool: str, today: str | None = None, work_limit: int | None = None) -> Entry:
    """The entry that the files in a folder come to: everything read, digests taken, every check run."""
    from alertlang.checks.run import Options, run
    from alertlang.logic.solver import WORK_LIMIT, solver_version
    from alertlang.model.files import shown_path

    ruleset, reading = _rules(folder, name)
    results = run(ruleset, Options(today, WORK_LIMIT if work_limit is None else work_limit))
    prefix = f"{shown_path(folder)}/"
    return Entry(
        name=name,
        **_recorded(folder, name, ruleset)._asdict(),
        findings=tuple(_finding(finding, prefix) for finding in (*reading, *results.findings)),
        claims=tuple(
            {
                "label": claim.label,
                "text": " ".join(claim.text.split()),
                "verdict": claim.verdict.value,
                "assumptions": list(claim.assumptions),
            }
            for claim in results.claims
        ),
        tool=tool,
        solver=solver_version(),
        today=today,
    )


def _finding(one: Any, prefix: str) -> Mapping[str, Any]:
    """A finding without its place, which moves with every comment, nor a witness, of which the region says more."""
    from alertlang.output.json import finding_data

    data = finding_data(one)
    return {
        "code": data["code"],
        "name": data["name"],
        "severity": data["severity"],
        "message": data["message"].replace(prefix, ""),
        "file": Path(one.path).name,
        "quantity": data["quantity"],
        "statements": data["statements"],
        "limit": data["limit"],
        "region": data["region"],
        "reaction": data["reaction"],
        "undecided": one.undecided,
        "accepted": data["accepted"],
    }
