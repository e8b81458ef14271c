"""How a finding on a published rule is said: advice as a note, an error once the rule set follows the rule."""

from __future__ import annotations

from dataclasses import replace

from alertlang.checks.context import Context, FaultCase
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
    case: FaultCase | None = None,
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
    declared: m.Range,
    case: FaultCase,
    index: int | None,
    advice: str,
) -> Finding:
    """The same of a case in which the dial has the wrong colour: at the band that is worst there, else at the range."""
    at_fault = worst_marked(context, case, declared.quantity, index)
    return standard(
        context.ruleset,
        name,
        clauses,
        fact,
        wants,
        declared.span if at_fault is None else at_fault.span,
        quantity=declared.quantity,
        statements=() if at_fault is None else (at_fault.label,),
        limit=declared.label,
        case=case,
        advice=(advice,),
    )
