"""A report as one JSON object on one line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from alertlang.findings.finding import (
    Fact,
    Finding,
    Lead,
    Positions,
    Reading,
    Region,
    Suggestion,
    Told,
    Truth,
    Witness,
)
from alertlang.results.report import ClaimResult, FileName, Report
from alertlang.text.source import Span
from alertlang.units.number import show_number

Json = Mapping[str, Any]


def report_json(report: Report, version: str, solver: str) -> str:
    """One line. Values of quantities are strings: exact decimals, or fractions where no decimal is exact."""
    return json.dumps(report_data(report, version, solver), ensure_ascii=False)


def report_data(report: Report, version: str, solver: str) -> Json:
    return {
        "tool": {"name": "alertlang", "version": version, "solver": solver},
        "rules": _file(report.file),
        "profiles": [_file(p) for p in report.profiles],
        "findings": [finding_data(f) for f in report.findings],
        "claims": [claim_data(c) for c in report.claims],
        "proved": [{"check": p.check, "quantity": p.quantity, "queries": p.queries} for p in report.proved],
        "assumptions": list(report.basis.assumptions),
        "numbers": dict(report.basis.numbers),
    }


def finding_data(one: Finding) -> Json:
    reaction = None
    if one.reaction is not None:
        reaction = {
            "worst": show_number(one.reaction.worst),
            "allowed": show_number(one.reaction.allowed),
            "unit": "s",
        }
    return {
        "code": one.code.code,
        "name": one.code.name,
        "severity": one.severity.word,
        "message": one.message,
        "where": _where(one.where, one.path),
        "quantity": one.quantity,
        "statements": list(one.statements),
        "limit": one.limit,
        "witness": None if one.witness is None else witness_data(one.witness),
        "told": told_data(one.witness),
        "region": None if one.region is None else region_data(one.region),
        "reaction": reaction,
        "suggestion": None if one.suggestion is None else one.suggestion.text,
        "accepted": one.accepted,
        "proposal": None if one.suggestion is None else _proposal(one, one.suggestion),
        "mended_with": None if one.lead is None else _lead(one.lead),
    }


def _proposal(one: Finding, suggestion: Suggestion) -> Json:
    """`verdict`: mends (it takes nothing away but what `gives_up` says), a start, or not tried. `changes` go together;
    one without a place is to be added."""
    trial = one.trial
    return {
        "verdict": "not tried" if trial is None else "mends" if trial.good else "a start",
        "short_of": None if trial is None or trial.good else trial.short_of,
        "gives_up": [] if trial is None else list(trial.gives_up),
        "slip": suggestion.slip or None,
        "changes": [
            {
                "text": edit.text,
                "replaces": None if edit.replaces is None else _where(edit.replaces, edit.replaces.source.path),
            }
            for edit in suggestion.edits
        ],
    }


def _lead(lead: Lead) -> Json:
    return {"code": lead.code.code, "path": lead.path, "line": lead.line, "why": lead.why}


def claim_data(claim: ClaimResult) -> Json:
    return {
        "label": claim.label,
        "verdict": claim.verdict.value,
        "witness": None if claim.witness is None else witness_data(claim.witness),
        "told": told_data(claim.witness),
        "assumptions": list(claim.assumptions),
    }


def _file(file: FileName) -> Json:
    return {"name": file.name, "version": file.version, "path": file.path}


def _where(where: Span | None, path: str) -> Json:
    if where is None:
        # The file as a whole.
        return {"path": path, "line": 1, "column": 1, "end_line": 1, "end_column": 1}
    return {
        "path": path,
        "line": where.line,
        "column": where.column,
        "end_line": where.end_line,
        "end_column": where.end_column,
    }


def witness_data(witness: Witness) -> Json:
    return {name: _fact(fact) for name, fact in witness.items()}


def told_data(witness: Witness | None) -> Json:
    """What the box sees otherwise than it is in a witness, for want of a sensor."""
    return {name: fact.told for name, fact in (witness or {}).items() if isinstance(fact, Told)}


def _fact(fact: Fact) -> Any:
    if isinstance(fact, Reading):
        return {"value": show_number(fact.value), "unit": fact.unit.name}
    return fact.holds if isinstance(fact, Told) else fact


def region_data(region: Region) -> Json:
    found: dict[str, Any] = {}
    for name, part in region.items():
        if isinstance(part, Positions):
            found[name] = {"positions": list(part.names)}
            continue
        if isinstance(part, Truth):
            found[name] = part.holds
            continue
        interval = part.interval
        assert interval.low is not None
        assert interval.high is not None
        found[name] = {
            "from": show_number(interval.low),
            "to": show_number(interval.high),
            "from_included": interval.low_included,
            "to_included": interval.high_included,
            "unit": part.unit.name,
        }
    return found
