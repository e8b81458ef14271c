"""Results as plain data for JSON: which of their fields it has, in which order, and under which names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import Any

from alertlang.findings.finding import Finding, Positions, Reach, Suggestion, ToldOtherwise, Witness, WitnessTruth
from alertlang.results.report import ClaimResult, FileName, Report
from alertlang.text.source import Span
from alertlang.units.number import show_number
from alertlang.units.unit import Unit

Json = Mapping[str, Any]

# All that names a file; where it can only be a rule set, its kind is left out.
NAMED = "kind name version path"


def told(one: object, names: str) -> dict[str, Any]:
    """Some attributes of a value, in this order; `key=name` where the JSON calls one otherwise."""
    return {key: plain(getattr(one, name)) for key, name in _named(names)}


def every(several: Iterable[object], names: str) -> list[dict[str, Any]]:
    return [told(one, names) for one in several]


@cache
def _named(names: str) -> list[tuple[str, str]]:
    parts = [said.partition("=") for said in names.split()]
    return [(key, name or key) for key, _, name in parts]


def plain(value: Any) -> Any:
    """A value as JSON has it. Numbers of the rules are strings: exact decimals, or fractions where no decimal is
    exact. A record is told with all its fields, in their order."""
    # First what there is most of: a recording may have a hundred thousand stretches.
    kind = type(value)
    if kind is Fraction:
        return show_number(value)
    if value is None or kind is str or kind is int or kind is bool:
        return value
    match value:
        case Enum():
            return value.value
        case str():  # a reading, which is its text too
            return str(value)
        case Unit():
            return value.name
        case date():
            return value.isoformat()
        case FileName():
            return told(value, "name version path")
        case Span():
            return {"path": value.source.path, **told(value, "line column end_line end_column")}
        case ToldOtherwise() | WitnessTruth():
            return value.holds
        case Positions():
            return {"positions": list(value.names)}
        case Reach():
            return {
                **told(value.interval, "from=low to=high from_included=low_included to_included=high_included"),
                **told(value, "unit"),
            }
        case Mapping():
            return {key: plain(part) for key, part in value.items()}
        case tuple() | list():
            return [plain(part) for part in value]
    assert is_dataclass(value), f"no JSON of a {type(value).__name__}"
    return told(value, " ".join(field.name for field in fields(value)))


def report_data(report: Report) -> Json:
    return {
        **told(report, "rules=file profiles"),
        "findings": [finding_data(finding) for finding in report.findings],
        "claims": [claim_data(claim) for claim in report.claims],
        **told(report, "proved"),
        **told(report.basis, "assumptions numbers"),
    }


def finding_data(finding: Finding) -> Json:
    suggestion = finding.suggestion
    return {
        **told(finding.code, "code name"),
        "severity": finding.severity.word,
        "message": finding.message,
        "where": _where(finding.where, finding.path),
        **told(finding, "quantity statements limit witness"),
        "told": told_data(finding.witness),
        "region": plain(finding.region),
        "reaction": None if finding.reaction is None else {**plain(finding.reaction), "unit": "s"},
        "suggestion": None if suggestion is None else suggestion.text,
        "accepted": finding.accepted,
        "proposal": None if suggestion is None else _proposal(finding, suggestion),
        "mended_with": None
        if finding.lead is None
        else {"code": finding.lead.code.code, **told(finding.lead, "path line why")},
    }


def _proposal(finding: Finding, suggestion: Suggestion) -> Json:
    """`verdict`: mends (it takes nothing away but what `gives_up` says), a start, or not tried. `changes` go together;
    one without a place is to be added."""
    trial = finding.trial
    return {
        "verdict": "not tried" if trial is None else "mends" if trial.good else "a start",
        "short_of": None if trial is None or trial.good else trial.short_of,
        "gives_up": [] if trial is None else list(trial.gives_up),
        "slip": suggestion.slip or None,
        "changes": plain(suggestion.edits),
    }


def claim_data(claim: ClaimResult) -> Json:
    return {
        **told(claim, "label verdict witness"),
        "told": told_data(claim.witness),
        **told(claim, "assumptions"),
    }


def _where(where: Span | None, path: str) -> Json:
    if where is None:
        # The file as a whole.
        return {"path": path, "line": 1, "column": 1, "end_line": 1, "end_column": 1}
    return {**plain(where), "path": path}


def told_data(witness: Witness | None) -> Json:
    """What the box sees otherwise than it is in a witness, for want of a sensor."""
    return {name: fact.told for name, fact in (witness or {}).items() if isinstance(fact, ToldOtherwise)}
