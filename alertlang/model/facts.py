"""The facts of an `engine` statement: what decides which instruments a published rule asks for."""

from __future__ import annotations

from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.suggest import did_you_mean

FACTS = (
    "piston",
    "turbine",
    "air cooled",
    "liquid cooled",
    "pump fed",
    "altitude",
    "retractable gear",
)


def engine_facts(node: t.EngineStatement, scope: Scope) -> list[str]:
    """The facts that are known; the others are reported."""
    found: list[str] = []
    for fact in node.facts:
        if fact.text in FACTS:
            found.append(fact.text)
            continue
        several = _in_a_row(fact.text)
        advice = did_you_mean(fact.text, FACTS, f"known are: {', '.join(FACTS)}")
        if several:
            advice = f"set commas between facts: {', '.join(several)}"
        scope.report("unknown-name", f"{fact.text} is not a fact about an engine that is known here", fact.span, advice)
    return found


def _in_a_row(text: str) -> list[str]:
    """The facts that a text is made of, if it is made of nothing else."""
    found: list[str] = []
    left = text
    while left:
        fact = next((fact for fact in FACTS if f"{left} ".startswith(f"{fact} ")), None)
        if fact is None:
            return []
        found.append(fact)
        left = left[len(fact) :].lstrip()
    return found
