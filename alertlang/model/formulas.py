"""Formulas bound to what is declared."""

from __future__ import annotations

from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t


def bind_formula(node: t.Formula, scope: Scope) -> m.Formula | None:
    """A formula bound to what is declared; none if something in it was wrong, which is then reported."""
    match node:
        case t.NamedNode():
            return _named(node, scope)
        case t.CompareNode() | t.Failed():
            return _compare(node, scope)
        case t.IsAt():
            return _is_at(node, scope)
        case t.NotNode():
            part = bind_formula(node.part, scope)
            return None if part is None else m.Not(part, node.span)
        case t.AndNode() | t.OrNode():
            parts = [bind_formula(part, scope) for part in node.parts]
            known = tuple(part for part in parts if part is not None)
            if len(known) < len(parts):
                return None
            return m.And(known, node.span) if isinstance(node, t.AndNode) else m.Or(known, node.span)
        case t.HeldNode():
            part = bind_formula(node.part, scope)
            duration = scope.seconds(node.duration)
            if part is None or duration is None:
                return None
            if duration == 0:
                advice = "write how long it must have lasted, or take the time away"
                scope.report("bad-value", "a time of 0 says nothing here", node.duration.span, advice)
                return None
            return m.Held(part, node.at_least, duration, node.span)


def _named(node: t.NamedNode, scope: Scope) -> m.Formula | None:
    name = node.subject.name
    if name.text in scope.condition_names and node.subject.index is None:
        return m.ConditionIs(name.text, node.span)
    scope.unknown(name, "a condition", scope.condition_names)
    return None


def _compare(node: t.CompareNode | t.Failed, scope: Scope) -> m.Formula | None:
    bound = scope.quantity(node.subject)
    if bound is None:
        return None
    quantity, index = bound
    if isinstance(node, t.Failed):
        region: m.Region | None = m.Region(m.RegionKind.FAILED, Fraction(0), span=node.span)
    else:
        region = scope.region(node.region, quantity)
    if not _right_quantifier(node, quantity, index, scope) or region is None:
        return None
    return m.Compare(quantity.name, index, region, node.span, node.quantifier, None if index else quantity.size)


def _right_quantifier(node: t.CompareNode | t.Failed, quantity: m.Quantity, index: int | None, scope: Scope) -> bool:
    """Whether `any` or `every` stands where an array is meant, and only there."""
    is_array = quantity.size is not None and index is None
    if is_array and node.quantifier is None:
        scope.report(
            "wrong-kind",
            f"{quantity.name} has {quantity.size} elements: of which is this said?",
            node.subject.span,
            f"write any {quantity.name}, every {quantity.name}, or one element: {quantity.name}[1]",
        )
        return False
    if not is_array and node.quantifier is not None:
        scope.report(
            "wrong-kind",
            f"`{node.quantifier}` is for arrays, and {node.subject.span.text} is one value",
            node.span,
            f"take `{node.quantifier}` away",
        )
        return False
    return True


def _is_at(node: t.IsAt, scope: Scope) -> m.Formula | None:
    switch = scope.switches.get(node.subject.name.text)
    if node.position.text == "failed" and node.subject.name.text in scope.quantities:
        negated = "not " if node.negated else ""
        scope.report(
            "wrong-kind",
            f"{node.subject.span.text} is a quantity, and only a switch `is` at something",
            node.position.span,
            f"write {negated}{node.subject.span.text} failed",
        )
        return None
    if switch is None or node.subject.index is not None:
        scope.unknown(node.subject.name, "a switch", scope.switches)
        return None
    if scope.position(switch, node.position, f"the switch {switch.name}") is None:
        return None
    return m.SwitchIs(switch.name, node.position.text, node.negated, node.span)
