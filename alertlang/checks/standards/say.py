"""How a finding on a published rule is said: advice as a note, an error once the rule set follows the rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from alertlang.checks.context import Case
from alertlang.checks.standards.published import Clause, asked, cited
from alertlang.diagnostics.codes import Severity
from alertlang.diagnostics.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.text.source import Span

HELP = "this is help in reading the rule; the approved documents decide"


def standard(
    ruleset: m.RuleSet,
    name: str,
    clauses: tuple[Clause, ...],
    fact: str,
    wants: str,
    where: Span | None,
    *,
    quantity: str | None = None,
    statements: tuple[str, ...] = (),
    limit: str | None = None,
    case: Case | None = None,
    advice: tuple[str, ...] = (),
) -> Finding:
    """`fact`: what is so. `wants`: what the paragraphs ask for, in our own words. Where none of them is followed, those
    are named whose text was read."""
    followed = asked(ruleset, clauses)
    read = tuple(clause for clause in clauses if not clause.status)
    said = finding(
        name,
        f"{fact} ({cited(followed or read or clauses)}: {wants}; {HELP})",
        where,
        path=ruleset.path,
        quantity=quantity,
        statements=statements,
        limit=limit,
        witness=None if case is None else case.witness,
        region=None if case is None else case.region,
        advice=advice if followed else (*advice, f'advice only: `follow "{clauses[0].rule}"` makes it an error'),
    )
    return replace(said, severity=Severity.ERROR) if followed else said


def without_repetition(findings: Iterable[Finding]) -> list[Finding]:
    """Findings without the advice on what has a finding of its own: one slip is told once.

    Errors after `follow` stay beside the others: there, the name of the rule is what was asked for.
    """
    findings = list(findings)
    said: set[tuple[str | None, str]] = set()
    for one in findings:
        if one.severity > Severity.NOTE and not one.code.code.startswith("AL6"):
            said |= {(one.quantity, label) for label in (*one.statements, one.limit) if label is not None}
    return [
        one
        for one in findings
        if not (
            one.code.code.startswith("AL6")
            and one.severity is Severity.NOTE
            and said & {(one.quantity, label) for label in (*one.statements[:1], one.limit) if label is not None}
        )
    ]
