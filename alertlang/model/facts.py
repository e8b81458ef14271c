"""The facts of an `engine` statement: what decides which instruments a published rule asks for."""

from __future__ import annotations

from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.suggest import nearest

FACTS = (
    "piston",
    "turbine",
    "air cooled",
    "liquid cooled",
    "pump fed",
    "altitude",
    "retractable gear",
)


def engine_facts(node: t.Engine, scope: Scope) -> list[str]:
    """The facts that are known; the others are reported."""
    found: list[str] = []
    for fact in node.facts:
        if fact.text in FACTS:
            found.append(fact.text)
            continue
        close = nearest(fact.text, FACTS)
        scope.report(
            "unknown-name",
            f"{fact.text} is not a fact about an engine that is known here",
            fact.span,
            f"did you mean {close}?" if close else f"known are: {', '.join(FACTS)}",
        )
    return found
