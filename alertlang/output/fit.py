"""Whether a rule set fits a display, as text and for JSON."""

from __future__ import annotations

from collections.abc import Iterable

from alertlang.findings.codes import Severity
from alertlang.output.json import NAMED, Json, every, finding_data, told
from alertlang.output.style import Line, wrapped
from alertlang.output.text import caution_lines, finding_lines, table_lines
from alertlang.results.fit import FitReport

# So much of what a step loses is told on a terminal; all of it is in the JSON.
_MOST = 2
# How the checks are called that count places.
_COUNTS = "too-many-"


def fit_lines(report: FitReport, width: int) -> list[Line]:
    """The table, what does not fit, and what would make it fit."""
    lines: list[Line] = [
        [("strong", f'"{report.rules.name}" version {report.rules.version} on "{report.display.name}"')]
    ]
    rows = [("", "needed", "has", "")]
    for row in report.rows:
        has = "-" if row.allowed is None else str(row.allowed)
        sure = "" if row.proved else " (not proved that fewer would not do)"
        rows.append((row.what, str(row.needed), has, row.verdict + sure))
    first = max(len(row[0]) for row in rows) + 2
    lines += [*table_lines(rows, (first, 8, 6)), []]
    for finding in report.findings:
        lines += [*finding_lines(finding, width), []]
    if report.sought:
        lines += [*_plan_lines(report, width), []]
    return [*lines, *caution_lines(width), [], *_verdict(report, width)]


def _verdict(report: FitReport, width: int) -> list[Line]:
    against = dict.fromkeys(finding.code.name for finding in report.findings if finding.severity is Severity.ERROR)
    if not against:
        return [[("strong", "fits")]]
    return wrapped("", f"does not fit: {', '.join(against)}", width)


def _plan_lines(report: FitReport, width: int) -> list[Line]:
    plan = report.plan
    if plan is None:
        return wrapped("", "No merge and no drop was found that makes the counts fit: take a larger display.", width)
    lines: list[Line] = [[("strong", "What would make the counts fit, least loss first")]]
    for number, step in enumerate(plan.steps, 1):
        head = f"{number}. {step.kind} {' and '.join(step.labels)} ({step.loss})"
        lines += wrapped("", head, width, "  ", "     ")
        if step.text is not None:
            lines.append([("code", f"     {step.text}")])
        lines += _limited((f"then {text}" for text in step.lost), width)
    proved = (
        "Proved: no other merges and drops lose less, each counted by what it loses by itself."
        if plan.proved
        else "Not proved that no other merges and drops lose less."
    )
    lines += wrapped("", proved, width)
    if not plan.fits:
        lines += wrapped("", "Counted again, it still does not fit: these steps are not enough.", width)
    said = "These steps mend the counts only."
    rest = dict.fromkeys(
        f"{finding.code.code} {finding.code.name}"
        for finding in report.findings
        if finding.severity is Severity.ERROR and not finding.code.name.startswith(_COUNTS)
    )
    if rest:
        said += f" What they do not look at remains, but for statements that they drop: {', '.join(rest)}."
    lines += wrapped("", said, width)
    if not plan.guarded:
        lines += wrapped(
            "",
            "LAST RESORT: with these steps something is left unguarded or without a colour. Take a larger display.",
            width,
        )
    if plan.new:
        lines += wrapped("", "All checks were run on the rules so changed. New then:", width)
        lines += [line for text in plan.new for line in wrapped("", f"- {text}", width, "  ", "     ")]
    else:
        lines += wrapped("", "All checks were run on the rules so changed: nothing new is found.", width)
    return lines


def _limited(texts: Iterable[str], width: int) -> list[Line]:
    given = list(texts)
    shown = given[:_MOST]
    if len(given) > _MOST:
        shown.append(f"and {len(given) - _MOST} more of this kind")
    return [line for text in shown for line in wrapped("", text, width, "     ", "        ")]


def fit_data(report: FitReport) -> Json:
    plan = report.plan
    return {
        "rules": told(report.rules, NAMED),
        "display": told(report.display, NAMED),
        "fits": not any(finding.severity is Severity.ERROR for finding in report.findings),
        "resources": [
            {
                **told(row, "what needed allowed minimal=proved"),
                "uses": [{"what": words, "statements": list(users)} for words, users in row.uses],
            }
            for row in report.rows
        ],
        "findings": [finding_data(finding) for finding in report.findings],
        "plan": None
        if plan is None
        else {
            "steps": every(plan.steps, "kind statements=labels loss text lost"),
            **told(plan, "least=proved fits guarded new"),
        },
    }
