"""The review record: everything somebody needs to judge a rule set, with what was proved and what was not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from alertlang.checks.context import Context
from alertlang.checks.limits_table import Guards, LimitLine, limits_table
from alertlang.checks.run import Options, run
from alertlang.documents.drawing import caption, draw_map, marks
from alertlang.documents.strip_picture import draw_gauge, parts
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.gauges.operating_map import axis, operating_map
from alertlang.gauges.plain_words import condition_words, name_words
from alertlang.gauges.strip import gauge
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.output.basis import names_of, proved_words, weak_numbers
from alertlang.output.text import CAUTION, counted, counts_words, witness_words
from alertlang.results.report import ClaimResult, Verdict

# In inches, of the strips of one picture: what is higher than a page would be cut off at its end.
MOST_HEIGHT = 7.3
# More maps than that nobody looks at.
MOST_MAPS = 6


def report_data(
    ruleset: m.RuleSet,
    *,
    tool: str,
    solver: str,
    digest: str,
    approvals: Sequence[str] | None = None,
    today: str | None = None,
    work_limit: int | None = None,
    outlines: bool = False,
) -> dict[str, Any]:
    """All that stands in the record, as plain data, pictures as SVG.

    `approvals`: what a library says of it, none where no library was asked. `today` ends exceptions that have an end.
    `outlines`: letters in pictures are drawn, for papers that have not their font.
    """
    options = Options(today) if work_limit is None else Options(today, work_limit)
    results = run(ruleset, options)
    context = Context(ruleset) if work_limit is None else Context(ruleset, work_limit)
    open_findings = [f for f in results.findings if f.accepted is None]
    advice = [f for f in open_findings if f.code.code.startswith("AL6") and f.severity is Severity.NOTE]
    return {
        "title": f"Review record: {ruleset.name}, version {ruleset.version}",
        "about": list(ruleset.about),
        "caution": CAUTION,
        "foot": f"{tool}, {solver}; rules {digest}",
        "digest": digest,
        "tool": tool,
        "solver": solver,
        "files": [_file(origin) for origin in ruleset.origins],
        "unclean": ", ".join(results.open_errors),
        "counts": _counts(results.findings, results.claims),
        "weak": weak_numbers(numbers_by_grade(ruleset)),
        "approvals": None if approvals is None else list(approvals),
        "findings": [_finding(f) for f in open_findings if f not in advice],
        "accepted": [_finding(f) for f in results.findings if f.accepted is not None],
        "exceptions": [
            {"check": a.check, "target": a.target, "reason": a.reason, "until": a.until or ""}
            for a in ruleset.acceptances
        ],
        "drops": [{"label": label, "reason": reason} for label, reason in ruleset.drops],
        "claims": [_claim(claim) for claim in results.claims],
        "limits": [_limit(line) for line in limits_table(context, results.findings)],
        "advice": [_finding(f) for f in advice],
        "none_open": _none_open(len(advice)),
        "contexts": [
            {"name": name_words(name), "words": condition_words(ruleset, condition)}
            for name, condition in ruleset.conditions.items()
        ],
        "assumptions": [{"label": a.label, "text": _one_line(a.span.text)} for a in ruleset.assumptions],
        "gauges": list(_gauges(context, outlines)),
        "not_drawn": _not_drawn(ruleset),
        "maps": list(_maps(context, results.findings, outlines)),
        "checked": _checked(results.proved, [a.label for a in ruleset.assumptions]),
    }


def _file(origin: m.Origin) -> dict[str, Any]:
    return {name: getattr(origin, name) for name in ("kind", "name", "version", "path", "sha256", "text")}


def _none_open(advice: int) -> str:
    """What stands where no finding does. Notes of the standards are counted at the head and stand further down."""
    if not advice:
        return "None is open."
    return f"None is open but the {'note' if advice == 1 else f'{advice} notes'} under Published rules."


def _counts(findings: Sequence[Finding], claims: Sequence[ClaimResult]) -> str:
    return f"{counts_words(findings)}; {proved_words(claims)}"


def _finding(f: Finding) -> dict[str, Any]:
    return {
        "code": f.code.code,
        "name": f.code.name,
        "severity": f.severity.word,
        "message": f.message,
        "place": f"{f.path}:{f.where.line}" if f.where else f.path,
        "example": witness_words(f.witness) if f.witness else "",
        "suggestion": f.suggestion.text if f.suggestion is not None else "",
        "advice": list(f.advice),
        "accepted": f.accepted or "",
    }


def _claim(claim: ClaimResult) -> dict[str, Any]:
    return {
        "label": claim.label,
        "text": claim.text.removeprefix(f"{claim.label}:").strip(),
        "verdict": claim.verdict.value,
        "assumptions": ", ".join(claim.assumptions) or "none",
        "leans": f"assuming {names_of(claim.assumptions)}"
        if claim.verdict is Verdict.PROVED and claim.assumptions
        else "",
        "covers": claim.covers,
        "example": witness_words(claim.witness) if claim.witness else "",
        "shown": claim.shown or "",
    }


def _limit(line: LimitLine) -> dict[str, Any]:
    return {
        "label": line.one.label,
        "text": _one_line(line.one.span.text).removeprefix(f"{line.one.label}:").strip(),
        "sources": list(line.sources),
        "allowed": m.in_seconds(line.allowed),
        "red": _guarded(line.red),
        "needs": line.one.needs.word if line.one.needs is not None else "",
        "alert": "" if line.alert is None else _guarded(line.alert),
        "against": list(line.against),
    }


def _guarded(guards: Guards) -> str:
    if not guards.labels:
        return "not decided" if guards.everywhere is None else "nothing"
    said = ", ".join(guards.labels)
    where = {True: "everywhere", False: "NOT everywhere", None: "not decided whether everywhere"}[guards.everywhere]
    time = "not decided how soon" if guards.worst is None else f"at worst after {m.in_seconds(guards.worst)}"
    return f"{said}: {where}, {time}"


def _gauges(context: Context, outlines: bool) -> Iterator[dict[str, Any]]:
    ruleset = context.ruleset
    coloured = {band.quantity for band in ruleset.bands}
    for quantity in ruleset.quantities.values():
        if quantity.name not in coloured or quantity.is_computed:
            continue
        for index in ruleset.elements(quantity.name):
            found = gauge(context, axis(ruleset, m.variable(quantity.name, index)))
            for number, part in enumerate(parts(found, MOST_HEIGHT)):
                title = f"{found.axis.label}, continued" if number else ""
                yield {
                    "name": m.variable(quantity.name, index),
                    "svg": draw_gauge(part, "svg", title=title, outlines=outlines).decode("utf-8"),
                    "complete": found.complete,
                }


def _not_drawn(ruleset: m.RuleSet) -> list[str]:
    """Gauges with bands that no strip shows, each with what it is worked out from: it does not move by itself."""
    coloured = {band.quantity for band in ruleset.bands}
    computed = [
        quantity for quantity in ruleset.quantities.values() if quantity.name in coloured and quantity.is_computed
    ]
    return [
        f"{quantity.name} is worked out from {', '.join(sorted(ruleset.sensors_of(quantity.name)))}"
        for quantity in computed
    ]


def _maps(context: Context, findings: Sequence[Finding], outlines: bool) -> Iterator[dict[str, Any]]:
    """Each gauge over the one other sensor that the context of a limit on it asks for."""
    ruleset = context.ruleset
    wanted: dict[tuple[str, str], None] = {}
    for declared in ruleset.ranges:
        if not declared.forbids or ruleset.quantities[declared.quantity].is_computed:
            continue
        moving = {bound.quantity for bound in declared.region.moving}
        read = {s for name in (*ruleset.quantities_read(declared.when), *moving) for s in ruleset.sensors_of(name)}
        others = sorted(read - {declared.quantity})
        if len(others) == 1 and ruleset.bands_by_quantity[declared.quantity]:
            wanted[declared.quantity, others[0]] = None
    for of, over in list(wanted)[:MOST_MAPS]:
        found = operating_map(context, of, over)
        if found is not None:
            drawn = draw_map(found, "svg", marks=marks(ruleset, found, findings), outlines=outlines)
            yield {"name": f"{of} over {over}", "caption": caption(found), "svg": drawn.decode("utf-8")}


def _checked(proved: Sequence[Any], assumptions: Sequence[str]) -> str:
    questions = sum(one.queries for one in proved)
    quantities = len({one.quantity for one in proved if one.quantity is not None})
    under = f", assuming {names_of(assumptions)}" if assumptions else ""
    return (
        f"{len(proved)} checks found nothing, over {quantities} quantities, in "
        f"{counted(questions, 'question')} to the solver{under}."
    )


def _one_line(text: str) -> str:
    lines = (line.split(" #")[0].strip() for line in text.split("\n"))
    return " ".join(line for line in lines if line and not line.startswith("#"))
