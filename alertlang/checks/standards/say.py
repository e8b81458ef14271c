"""How a finding on a published rule is said: advice as a note, an error once the rule set follows the rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from alertlang.checks.context import Case, Context
from alertlang.checks.standards.marks import worst_marked
from alertlang.checks.standards.published import Clause, asked, cited
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
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
    are named whose text was read, in the last one."""
    followed = asked(ruleset, clauses)
    read = tuple(clause for clause in clauses if not clause.status and not clause.superseded)
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


def marked_wrong(
    context: Context,
    name: str,
    clauses: tuple[Clause, ...],
    fact: str,
    wants: str,
    one: m.Range,
    case: Case,
    index: int | None,
    advice: str,
) -> Finding:
    """The same of a case in which the dial has the wrong colour: at the band that is worst there, else at the range."""
    at_fault = worst_marked(context, case, one.quantity, index)
    return standard(
        context.ruleset,
        name,
        clauses,
        fact,
        wants,
        one.span if at_fault is None else at_fault.span,
        quantity=one.quantity,
        statements=() if at_fault is None else (at_fault.label,),
        limit=one.label,
        case=case,
        advice=(advice,),
    )


# What says the same as a piece of advice, and with more weight.
_SAID_BY = {
    "green-past-limit": {"conflict", "unguarded-limit"},
    "unmarked-limit": {"unguarded-limit"},
    "takeoff-not-yellow": {"unguarded-limit", "unmarked-precaution"},
    "restricted-not-red": {"unguarded-limit"},
    "wrong-airspeed-arc": {"conflict", "normal-not-green", "unguarded-limit", "unmarked-precaution"},
    "missing-fuel-arc": {"unguarded-limit"},
    "wrong-alert-colour": {"colour-level"},
}


def without_repetition(findings: Iterable[Finding]) -> list[Finding]:
    """Findings without the advice on a limit or a statement of which another finding says the same: one slip is told
    once. Errors after `follow` stay beside the others: there, the name of the rule is what was asked for."""
    findings = list(findings)
    said = {(one.code.name, one.quantity, label) for one in findings for label in (*one.statements, one.limit) if label}

    def is_said(one: Finding) -> bool:
        labels = [label for label in (*one.statements[:1], one.limit) if label]
        return any((name, one.quantity, label) in said for name in _SAID_BY.get(one.code.name, ()) for label in labels)

    return [one for one in findings if one.severity is not Severity.NOTE or not is_said(one)]
