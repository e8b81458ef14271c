"""Formulas under one name for all that mean the same tree: order, repetition and double negation do not count."""

from __future__ import annotations

from alertlang.model import expression as e
from alertlang.model import ruleset as m


def region_key(region: m.Region) -> str:
    ends = [
        f"{end.quantity}*{end.factor}+{end.offset}" if isinstance(end, m.Moving) else str(end) for end in region.bounds
    ]
    return f"{region.kind}({','.join(ends)})"


def key_of(formula: m.Formula | None) -> str:
    """The same text for formulas that are equal but for the order of their parts; "" for none."""
    match formula:
        case None:
            return ""
        case m.Compare():
            what = f"{formula.quantifier} of {formula.size} " if formula.quantifier else ""
            return f"{what}{m.variable(formula.quantity, formula.index)} {region_key(formula.region)}"
        case m.SwitchIs():
            return f"{formula.switch} is {'not ' if formula.negated else ''}{formula.position}"
        case m.ConditionIs():
            return f"<{formula.name}>"
        case m.Held():
            return f"held({key_of(formula.part)},{formula.at_least},{formula.duration})"
        case m.Not():
            if isinstance(formula.part, m.Not):
                return key_of(formula.part.part)
            return f"not({key_of(formula.part)})"
        case m.And() | m.Or():
            parts = sorted(set(_flat(formula, type(formula))))
            word = "and" if isinstance(formula, m.And) else "or"
            return parts[0] if len(parts) == 1 else f"{word}({'; '.join(parts)})"


def _flat(formula: m.Formula, kind: type) -> list[str]:
    if isinstance(formula, m.And | m.Or) and isinstance(formula, kind):
        return [key for part in formula.parts for key in _flat(part, kind)]
    return [key_of(formula)]


def expression_key(node: e.Expression) -> str:
    match node:
        case e.Sum():
            return f"sum({'; '.join(sorted(expression_key(part) for part in node.parts))})"
        case e.Scaled():
            return f"scaled({expression_key(node.part)},{node.factor},{node.offset})"
        case e.CurveOver():
            points = ";".join(f"{x}:{y}" for x, y in node.points)
            return f"curve({m.variable(node.quantity, node.index)},{points},{node.otherwise})"
        case e.Number():
            return str(node.value)
        case e.ReadingOf():
            return m.variable(node.quantity, node.index)
        case e.Statistic():
            return f"{node.kind} of {node.size} {node.quantity}"
        case e.Trend():
            return f"{node.kind} of {m.variable(node.quantity, node.index)} in {node.seconds}"


def rest_key(rule: m.Band | m.Alert) -> str:
    """Everything that must hold for a statement to apply but the clock."""
    if isinstance(rule, m.Alert):
        return f"alert | {key_of(rule.when)} | {key_of(rule.unless)}"
    place = f"{m.variable(rule.quantity, rule.index)} {region_key(rule.region)}"
    return f"band | {place} | {key_of(rule.when)} | {key_of(rule.unless)}"
