"""Conditions bound to what they read, none of them defined by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from alertlang.model import ruleset as m
from alertlang.model.declarations import Declarations
from alertlang.model.formulas import bind_formula
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.syntax.limits import DEEPEST
from alertlang.text.source import Span

# So many conditions of a circle are named.
_SHOWN = 10


def bind_conditions(declarations: Declarations) -> dict[str, m.Condition]:
    """The conditions that could be bound, in the order of declaration."""
    scope = declarations.scope
    conditions: dict[str, m.Condition] = {}
    for file in declarations.files:
        for node in file.tree.statements:
            # The second of two of the same name is reported where it is declared.
            if not isinstance(node, t.ConditionStatement) or scope.condition_names.get(node.name.text) is not node:
                continue
            scope.twice(node.repeated)
            sources = declarations.bind_sources(node.sources, file.origin)
            formula = bind_formula(node.formula, scope)
            until = None if node.until is None else bind_formula(node.until, scope)
            if formula is None or (until is None and node.until is not None):
                continue
            conditions[node.name.text] = m.Condition(
                node.name.text,
                formula,
                sources,
                node.span,
                file.origin,
                until,
                scope.seconds(node.set_after),
                scope.seconds(node.cleared_after),
            )
    _circles(conditions, scope)
    return conditions


def _circles(conditions: Mapping[str, m.Condition], scope: Scope) -> None:
    """Reports each circle once, and towers of conditions that no reader could follow (nor recursion)."""
    reads = {
        name: [part.name for formula in c.parts for part in m.parts_of(formula) if isinstance(part, m.ConditionIs)]
        for name, c in conditions.items()
    }
    while (circle := _one_circle(reads)) is not None:
        _report_circle(circle, conditions, scope)
        # One finding for all that hang together with it.
        together = _together(circle[0], reads)
        reads = {name: others for name, others in reads.items() if name not in together}
    depth: dict[str, int] = {}
    for name in TopologicalSorter(reads).static_order():
        if name not in reads:
            continue
        below = max((depth.get(read, 0) for read in reads[name]), default=0)
        depth[name] = below + max(_height(part) for part in conditions[name].parts)
        if below <= DEEPEST < depth[name]:
            scope.report(
                "bad-value",
                f"{name} is built on conditions more than {DEEPEST} levels deep",
                _name_span(conditions[name]),
                "define it by quantities and switches, or by conditions that are",
            )


def _one_circle(reads: Mapping[str, Iterable[str]]) -> list[str] | None:
    """Conditions of which each reads the next and the last is the first."""
    try:
        TopologicalSorter(reads).prepare()
    except CycleError as error:
        return list(reversed(error.args[1]))
    return None


def _report_circle(circle: list[str], conditions: Mapping[str, m.Condition], scope: Scope) -> None:
    first = min(circle, key=list(conditions).index)
    turn = circle.index(first)
    shown = [*circle[turn:-1], *circle[:turn], first]
    if len(shown) > _SHOWN:
        shown[_SHOWN - 1 : -1] = ["..."]
    itself = len(shown) == 2
    scope.report(
        "bad-value",
        f"{first} is defined by itself"
        if itself
        else f"conditions define each other in a circle: {' -> '.join(shown)}",
        _name_span(conditions[first]),
        "define it by quantities or switches" if itself else "define one of them by quantities or switches",
    )


def _together(name: str, reads: Mapping[str, Iterable[str]]) -> set[str]:
    """The conditions that read `name` and are read by it, through others or directly."""

    def reached(edges: Mapping[str, Iterable[str]]) -> set[str]:
        found: set[str] = set()
        pending = [name]
        while pending:
            for other in edges.get(pending.pop(), ()):
                if other not in found:
                    found.add(other)
                    pending.append(other)
        return found

    read_by: dict[str, list[str]] = {}
    for reader, others in reads.items():
        for other in others:
            read_by.setdefault(other, []).append(reader)
    return reached(reads) & reached(read_by)


def _height(formula: m.Formula) -> int:
    """How many levels a formula has."""
    return 1 + max(map(_height, m.children(formula)), default=0)


def _name_span(condition: m.Condition) -> Span:
    """The head of its statement: `condition NAME`."""
    span = condition.span
    end = span.source.text.index(condition.name, span.start + len("condition")) + len(condition.name)
    return Span(span.source, span.start, end)
