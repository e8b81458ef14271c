"""All reports of a call as one SARIF 2.1.0 log (OASIS standard; the numbers in brackets are its sections).

The same reports give the same bytes: no time, no machine, no identifier made by chance is in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from alertlang.findings.codes import Code
from alertlang.findings.finding import Edit, Finding
from alertlang.output.identity import claim_fingerprint, fingerprints
from alertlang.output.json import Json, claim_data, finding_data
from alertlang.output.words import relative, says, says_of_claim
from alertlang.results.report import ClaimResult, Report, Verdict
from alertlang.text.source import Span
from alertlang.text.utf16 import place

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "alertlangFinding/v1"
"""How the fingerprints of `output.identity` are called in a log (3.27.17)."""

# Claims are no checks and have no code.
_CLAIMS = {
    Verdict.REFUTED: ("refuted-claim", "A `prove` statement that does not hold."),
    Verdict.UNDECIDED: ("undecided-claim", "A `prove` statement that the solver could neither prove nor refute."),
}
# The folder that the paths in a log start from (3.4.4).
_BASE = "%SRCROOT%"


def sarif_log(
    reports: Sequence[Report],
    version: str,
    solver: str,
    pages: Mapping[str, str],
    *,
    folder: str,
    known: Sequence[frozenset[int]] = (),
    notes: Iterable[str] = (),
) -> str:
    """The log as text that ends with a line end.

    `pages`: of every check, by name. `folder`: the one the tool was started in; paths are told from there. `known`:
    for each report the indexes of its findings that a baseline holds. `notes`: what else there is to say of the run.
    """
    rules: dict[str, Json] = {}
    results: list[dict[str, Any]] = []
    for number, report in enumerate(reports):
        held = known[number] if known else frozenset()
        for index, (finding, print_) in enumerate(zip(report.findings, fingerprints(report), strict=True)):
            rules.setdefault(finding.code.code, _rule(finding.code, pages[finding.code.name]))
            results.append(_finding(finding, print_, folder, index in held))
        for claim in report.claims:
            if claim.verdict in _CLAIMS:
                name, about = _CLAIMS[claim.verdict]
                rules.setdefault(name, _claim_rule(name, about))
                results.append(_claim(claim, name, claim_fingerprint(report, claim), folder))
    order = sorted(rules)
    for result in results:
        result["ruleIndex"] = order.index(result["ruleId"])
    run = {
        "tool": {
            "driver": {
                "name": "alertlang",
                "version": version,
                "rules": [rules[name] for name in order],
                "properties": {"solver": solver},
            }
        },
        "invocations": [
            {
                # An unreadable file was not checked, so that its lack of other results means nothing (3.20.14).
                "executionSuccessful": all(report.readable for report in reports),
                "toolExecutionNotifications": [{"level": "note", "message": _message(note)} for note in notes],
            }
        ],
        "language": "en-GB",
        "originalUriBaseIds": {_BASE: {"description": _message("The folder in which alertlang was started.")}},
        "columnKind": "utf16CodeUnits",
        "results": results,
    }
    return json.dumps({"version": "2.1.0", "$schema": SCHEMA, "runs": [run]}, ensure_ascii=False, indent=2) + "\n"


def _rule(code: Code, page: str) -> Json:
    """A kind of finding with its page, which is Markdown as it stands."""
    text = page.strip()
    return {
        "id": code.code,
        "name": code.name,
        "shortDescription": _message(text.split("\n")[0]),
        "help": {"text": _escaped(text), "markdown": _escaped(text)},
        "defaultConfiguration": {"level": code.severity.word},
    }


def _claim_rule(name: str, about: str) -> Json:
    return {
        "id": name,
        "name": name,
        "shortDescription": _message(about),
        "help": _message(f"{about} It counts as an error, and neither `accept` nor a baseline can hide it."),
        "defaultConfiguration": {"level": "error"},
    }


def _finding(finding: Finding, fingerprint: str, folder: str, known: bool) -> dict[str, Any]:
    suppressions: list[Json] = []
    if finding.accepted is not None:
        suppressions.append(
            {"kind": "inSource", "status": "accepted", "justification": finding.accepted or "no reason is given"}
        )
    elif known:
        suppressions.append({"kind": "external", "status": "accepted", "justification": "recorded in the baseline"})
    data = finding_data(finding)
    told = {key: data[key] for key in ("quantity", "statements", "limit", "witness", "told", "region", "reaction")}
    if finding.suggestion is not None:
        told["suggestion"] = finding.suggestion.text
        told["proposal"] = {**data["proposal"], "changes": [_change(edit, folder) for edit in finding.suggestion.edits]}
    if finding.lead is not None:
        told["mended_with"] = {**data["mended_with"], "path": relative(finding.lead.path, folder)}
    if finding.undecided:
        # Kind "open" (3.27.9) would say it better, but its level has to be "none": it would pass for nothing found.
        told["undecided"] = True
    return _result(
        finding.code.code,
        finding.severity.word,
        says(finding),
        _location(finding.where, finding.path, folder),
        fingerprint,
        suppressions,
        told,
    )


def _change(edit: Edit, folder: str) -> Json:
    replaces = edit.replaces
    if replaces is None:
        return {"text": edit.text, "replaces": None}
    return {"text": edit.text, "replaces": _location(replaces, replaces.source.path, folder)}


def _claim(claim: ClaimResult, rule: str, fingerprint: str, folder: str) -> dict[str, Any]:
    data = claim_data(claim)
    return _result(
        rule,
        "error",
        says_of_claim(claim),
        _location(claim.where, claim.where.source.path, folder),
        fingerprint,
        [],
        {"claim": claim.label, "verdict": data["verdict"], "witness": data["witness"], "told": data["told"]},
    )


def _result(
    rule: str, level: str, text: str, location: Json, fingerprint: str, suppressions: list[Json], told: Json
) -> dict[str, Any]:
    return {
        "ruleId": rule,
        "ruleIndex": -1,
        "level": level,
        "message": _message(text),
        "locations": [location],
        "partialFingerprints": {FINGERPRINT: fingerprint},
        # An empty list says that it was looked at; it must be there for all or for none (3.27.23).
        "suppressions": suppressions,
        "properties": {key: value for key, value in told.items() if value not in (None, [])},
    }


def _location(where: Span | None, path: str, folder: str) -> Json:
    """A finding on a file as a whole stands at its first line, as in the other formats."""
    region: Json = {"startLine": 1}
    if where is not None:
        found = place(where)
        region = {
            "startLine": found.line,
            "startColumn": found.column,
            "endLine": found.end_line,
            "endColumn": found.end_column,
        }
    artifact = {"uri": quote(relative(path, folder), errors="surrogateescape"), "uriBaseId": _BASE}
    return {"physicalLocation": {"artifactLocation": artifact, "region": region}}


def _message(text: str) -> Json:
    return {"text": _escaped(text)}


def _escaped(text: str) -> str:
    """Braces doubled, for a single one opens a placeholder (3.11.5); nothing that reads like a link (3.11.6)."""
    return text.replace("{", "{{").replace("}", "}}").replace("](", "] (")
