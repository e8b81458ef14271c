"""When a finding is the same as one seen before: in another run, another folder, or after an edit elsewhere."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, Positions, Reach, Reaction, Region, WitnessTruth
from alertlang.results.report import ClaimResult, Report
from alertlang.units.interval import IntervalSet

# Enough that two different findings never meet by chance.
_DIGITS = 32
_FOLDERS = re.compile(r".*[/\\]", re.DOTALL)


def fingerprints(report: Report) -> tuple[str, ...]:
    """One for each finding of a report, in their order: `HASH:N`, the N-th with that hash, from 1.

    The hash is made of what a finding is about: its code, the statements, quantity and limit, and the names of the
    file it stands in and of the file that was checked. Folders, line numbers, wording and numbers are not in it.
    """
    counted: Counter[str] = Counter()
    found = []
    for finding in report.findings:
        name = _hash(
            finding.code.code,
            _name(report.file.path),
            _name(finding.path),
            finding.quantity,
            list(finding.statements),
            finding.limit,
        )
        counted[name] += 1
        found.append(f"{name}:{counted[name]}")
    return tuple(found)


def claim_fingerprint(report: Report, claim: ClaimResult) -> str:
    """The same for a claim; labels are unique, so it is always the first."""
    return _hash("claim", _name(report.file.path), _name(claim.where.source.path), claim.label) + ":1"


def _name(path: str) -> str:
    """A file by its own name: it is the same file in whichever folder the tool is started."""
    return _FOLDERS.sub("", path)


def _hash(*parts: str | list[str] | None) -> str:
    return hashlib.sha256(json.dumps(parts).encode("ascii")).hexdigest()[:_DIGITS]


def no_worse(new: Finding, severity: Severity, region: Region | None, reaction: Reaction | None) -> bool:
    """Whether a finding is no worse than an older one of the same identity: no higher severity, nowhere that the
    older one did not hold, no slower reaction. What cannot be compared is worse."""
    return new.severity <= severity and region_within(new.region, region) and _reaction_within(new.reaction, reaction)


def region_within(new: Region | None, old: Region | None) -> bool:
    """What a region leaves out it does not narrow. No region at all is within no region alone."""
    if new is None or old is None:
        return new is None and old is None
    return all(name in new and _part_within(new[name], part) for name, part in old.items())


def _part_within(new: Reach | Positions | WitnessTruth, old: Reach | Positions | WitnessTruth) -> bool:
    if isinstance(new, Reach) and isinstance(old, Reach):
        return new.unit == old.unit and IntervalSet.of(new.interval).is_subset(IntervalSet.of(old.interval))
    if isinstance(new, Positions) and isinstance(old, Positions):
        return set(new.names) <= set(old.names)
    return isinstance(new, WitnessTruth) and new == old


def _reaction_within(new: Reaction | None, old: Reaction | None) -> bool:
    if new is None or old is None:
        return new is None and old is None
    return new.worst <= old.worst and new.allowed >= old.allowed
