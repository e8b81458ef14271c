"""One sensor that has failed, beside the one that something is about (see lost-guard, blank-on-failure)."""

from __future__ import annotations

from collections.abc import Iterable

from alertlang.checks.context import Context
from alertlang.checks.suggest import spliced
from alertlang.findings.finding import Suggestion
from alertlang.logic.terms import FALSE
from alertlang.model import ruleset as m
from alertlang.model.snapshot import told_without
from alertlang.text.source import Span


def sensors_beside(context: Context, quantity: str, index: int | None, rules: Iterable[m.Rule]) -> list[str]:
    """The sensors that some statements can miss and that a reading is not worked out from, in the order of declaration.

    Of an array whose elements are all treated alike one will do, or for an element of an array the same one of the
    other and one more: none of the rest can make another difference.
    """
    ruleset = context.ruleset
    own = ruleset.sensors_read(quantity, index)
    read = frozenset().union(*(ruleset.sensors_told_by(rule, index) for rule in rules)) - own
    found: list[str] = []
    names = {m.ReadingId(sensor).quantity for sensor in read}
    for measured in (ruleset.quantities[name] for name in sorted(names, key=context.encoder.names.place)):
        there = [(i, m.variable(measured.name, i)) for i in measured.indexes if m.variable(measured.name, i) in read]
        if measured.name in ruleset.indexed_arrays or len(there) < 2:
            found += [name for _, name in there]
            continue
        same = [name for i, name in there if i == index]
        others = [name for i, name in there if i != index]
        found += (same + others[:1]) if index is not None else others[:1]
    return found


def told_name(context: Context, sensor: str, index: int | None) -> str:
    """A sensor in words: beside an element of an array with its own number, for it may be that element's or another."""
    return sensor if index is not None else context.subject(sensor)


def loses_an_end(context: Context, band: m.Band, sensor: str) -> bool:
    """Whether an end of a band's region is gone with the sensor."""
    mode = told_without(frozenset((sensor,)))
    names = context.encoder.names
    return any(names.failed(bound.quantity, band.index, mode) is not FALSE for bound in band.region.moving)


def held_without(context: Context, rule: m.Rule, sensor: str, index: int | None) -> Suggestion | None:
    """A copy of a statement that holds while the sensor has failed, if its `when` is what is lost."""
    when = rule.node.when
    name = m.ReadingId(sensor).quantity
    if isinstance(rule, m.Band) and loses_an_end(context, rule, sensor):
        return None
    if when is None or not _reads(context, rule.when, name):
        return None
    alike = context.ruleset.quantities[name].size is not None and context.subject(sensor) == name
    failed = f"any {name} failed" if alike else f"{sensor} failed"
    parts = rule.when.parts if isinstance(rule.when, m.And) else ()
    leaning = [part for part in parts if _reads(context, part, name)]
    if len(leaning) == 1:
        # The rest goes on being asked. What has an `or` in an `and` stands in parentheses already.
        text = f"{_on_one_line(leaning[0].span)} or {failed}"
        return spliced(rule.span, leaning[0].span, text if isinstance(leaning[0], m.Or) else f"({text})")
    text = _on_one_line(when.span)
    return spliced(rule.span, when.span, f"({text}) or {failed}" if parts else f"{text} or {failed}")


def _reads(context: Context, formula: m.Formula | None, sensor: str) -> bool:
    return any(sensor in context.ruleset.sensors_of(name) for name in context.ruleset.quantities_read(formula))


def _on_one_line(span: Span) -> str:
    return " ".join(span.text.split())
