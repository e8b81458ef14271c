"""A baseline: findings that are known already, so that only what is new or worse counts.

A file of JSON, sorted, with the fingerprints of `output.identity`. It holds neither claims nor undecided findings:
those always count. A recorded finding also keeps its severity and how far it reaches; one that has become worse is a
new one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from alertlang.findings.codes import Severity
from alertlang.findings.errors import AlertlangError
from alertlang.findings.finding import Finding, Positions, Reach, Reaction, Region, WitnessTruth
from alertlang.output.identity import fingerprints, no_worse
from alertlang.output.json import finding_data
from alertlang.results.report import Report
from alertlang.units.interval import Interval
from alertlang.units.unit import PLAIN, UNITS

VERSION = 1


class BaselineError(AlertlangError, ValueError):
    """A text that is no baseline; says what is wrong with it."""


@dataclass(frozen=True, slots=True)
class BaselineEntry:
    """One recorded finding. `file`: the file that was checked, as seen from the folder of the baseline."""

    file: str
    fingerprint: str
    code: str
    name: str
    severity: Severity
    message: str
    region: Region | None
    reaction: Reaction | None
    data: Mapping[str, Any] = field(compare=False, repr=False)

    @property
    def same(self) -> str:
        """What it shares with every finding that is about the same."""
        return self.fingerprint.split(":")[0]

    @property
    def in_words(self) -> str:
        """For example `AL201 gap in bramble.alert: oil_temp shows no colour from 75 to below 100 F`."""
        return f"{self.code} {self.name} in {self.file}: {self.message}"


@dataclass(frozen=True, slots=True)
class AgainstBaseline:
    """One report against a baseline. `known` and `worse`: indexes of its findings that are recorded, and that are
    recorded but have become worse since, which counts. `gone`: what is recorded and no longer found."""

    known: frozenset[int] = frozenset()
    worse: tuple[int, ...] = ()
    gone: tuple[BaselineEntry, ...] = ()


def entries_of(report: Report, file: str) -> tuple[BaselineEntry, ...]:
    """What a baseline records of a report: all findings but those that are accepted or undecided."""
    found = []
    for finding, print_ in zip(report.findings, fingerprints(report), strict=True):
        if _may_be_known(finding):
            found.append(_entry(finding, print_, file))
    return tuple(found)


def compare(entries: Iterable[BaselineEntry], report: Report, file: str) -> AgainstBaseline:
    """What of a report is recorded for its file."""
    if not report.readable:
        return AgainstBaseline()
    left = [entry for entry in entries if entry.file == file]
    names = [print_.split(":")[0] for print_ in fingerprints(report)]
    known: set[int] = set()
    # Those that are as recorded first, so that none of them is taken up by another that has shrunk.
    for exact in (True, False):
        for index, finding in enumerate(report.findings):
            if index in known or not _may_be_known(finding):
                continue
            entry = next((e for e in left if e.same == names[index] and _fits(finding, e, exact=exact)), None)
            if entry is not None:
                known.add(index)
                left.remove(entry)
    recorded = {entry.same for entry in left}
    worse = tuple(
        i
        for i, finding in enumerate(report.findings)
        if i not in known and _may_be_known(finding) and names[i] in recorded
    )
    return AgainstBaseline(frozenset(known), worse, _gone(left, known, report, names))


def _gone(left: list[BaselineEntry], known: set[int], report: Report, names: list[str]) -> tuple[BaselineEntry, ...]:
    """What of the entries that no finding took up is found no more: one that was accepted, or is worse, still is."""
    if any(finding.undecided or finding.code.name == "impossible-assumptions" for finding in report.findings):
        # Not everything was looked at to the end.
        return ()
    still = {name for i, name in enumerate(names) if i not in known}
    return tuple(entry for entry in left if entry.same not in still)


def _may_be_known(finding: Finding) -> bool:
    """What was not decided is never known: nobody knows yet what it is. What is accepted does not count anyway."""
    return finding.accepted is None and not finding.undecided


def _fits(finding: Finding, entry: BaselineEntry, *, exact: bool) -> bool:
    if exact:
        return (finding.severity, finding.region, finding.reaction) == (entry.severity, entry.region, entry.reaction)
    return no_worse(finding, entry.severity, entry.region, entry.reaction)


# ---- the file --------------------------------------------------------------------------------------------------


def _entry(finding: Finding, fingerprint: str, file: str) -> BaselineEntry:
    data = finding_data(finding)
    kept = {
        "file": file,
        "fingerprint": fingerprint,
        **{key: data[key] for key in ("code", "name", "severity", "message", "region", "reaction")},
    }
    return BaselineEntry(
        file,
        fingerprint,
        finding.code.code,
        finding.code.name,
        finding.severity,
        finding.message,
        finding.region,
        finding.reaction,
        kept,
    )


def baseline_text(entries: Iterable[BaselineEntry]) -> str:
    """The file, sorted; the same entries give the same bytes."""
    listed = [entry.data for entry in sorted(entries, key=lambda e: (e.file, e.fingerprint))]
    data = {"tool": "alertlang", "baseline": VERSION, "findings": listed}
    # ASCII alone: the name of a file need not be text.
    return json.dumps(data, indent=2) + "\n"


def read_baseline(text: str) -> tuple[BaselineEntry, ...]:
    """The entries of a file. BaselineError, in words for the user, if it is none."""
    try:
        data = json.loads(text)
    except json.JSONDecodeError as problem:
        raise BaselineError(f"it is not JSON (line {problem.lineno})") from None
    except (ValueError, RecursionError):
        raise BaselineError("it is not JSON") from None
    if not isinstance(data, dict) or data.get("tool") != "alertlang" or "baseline" not in data:
        raise BaselineError("it is JSON, but no baseline of alertlang")
    if data["baseline"] != VERSION or isinstance(data["baseline"], bool):
        raise BaselineError(f"it is of version {data['baseline']!r}, and only version {VERSION} can be read")
    if set(data) - {"mark"} != {"tool", "baseline", "findings"} or not isinstance(data["findings"], list):
        raise BaselineError("it must hold `tool`, `baseline` and a list `findings`, and nothing else")
    entries = []
    for number, one in enumerate(data["findings"], 1):
        try:
            entries.append(_read_entry(one))
        except (KeyError, TypeError, ValueError, AttributeError, ZeroDivisionError):
            raise BaselineError(f"its finding number {number} is damaged") from None
    if len({(entry.file, entry.fingerprint) for entry in entries}) != len(entries):
        raise BaselineError("it holds one finding twice")
    return tuple(entries)


_KEYS = {"file", "fingerprint", "code", "name", "severity", "message", "region", "reaction"}


def _read_entry(data: Any) -> BaselineEntry:
    if set(data) != _KEYS or not all(isinstance(data[key], str) for key in _KEYS - {"region", "reaction"}):
        raise ValueError
    name, _, number = data["fingerprint"].partition(":")
    if len(name) != 32 or set(name) - set("0123456789abcdef") or int(number) < 1:
        raise ValueError
    reaction = data["reaction"]
    return BaselineEntry(
        data["file"],
        data["fingerprint"],
        data["code"],
        data["name"],
        Severity[data["severity"].upper()],
        data["message"],
        None if data["region"] is None else {key: _read_part(part) for key, part in data["region"].items()},
        None if reaction is None else Reaction(_number(reaction["worst"]), _number(reaction["allowed"])),
        data,
    )


def _read_part(part: Any) -> Reach | Positions | WitnessTruth:
    if isinstance(part, bool):
        return WitnessTruth(part)
    if "positions" in part:
        if not isinstance(part["positions"], list) or not all(isinstance(name, str) for name in part["positions"]):
            raise ValueError
        return Positions(tuple(part["positions"]))
    included = part["from_included"], part["to_included"]
    if not all(isinstance(one, bool) for one in included):
        raise ValueError
    interval = Interval(_number(part["from"]), included[0], _number(part["to"]), included[1])
    return Reach(interval, UNITS[part["unit"]] if part["unit"] else PLAIN)


def _number(text: Any) -> Fraction:
    if not isinstance(text, str):
        raise TypeError
    return Fraction(text)
