"""A rule set with one number of one statement put anew, and the text of that statement."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any, NoReturn

from alertlang.findings.errors import AlertlangError
from alertlang.format.text import format_statement
from alertlang.model import ruleset as m
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.text.suggest import nearest
from alertlang.units.number import show_value

Rule = m.Band | m.Alert


class TuneError(AlertlangError, ValueError):
    """What cannot be tuned, with the way out."""

    def __init__(self, message: str, advice: str = "") -> None:
        self.way_out = advice
        super().__init__(f"{message}; {advice}" if advice else message)


@dataclass(frozen=True, slots=True)
class ChangedRules:
    ruleset: m.RuleSet
    text: str


def statement_named(ruleset: m.RuleSet, label: str) -> Rule:
    """TuneError if there is none, or it raises no alert."""
    rules = {rule.label: rule for rule in ruleset.rules}
    rule = rules.get(label)
    loud = {name for name, one in rules.items() if one.alert is not None}
    if rule is None:
        close = nearest(label, loud)
        raise TuneError(
            f"no statement is called {label}", f"did you mean {close}?" if close else f"there are {_some(loud)}"
        )
    if rule.alert is None:
        raise TuneError(f"{label} raises no alert, so there is nothing to count", f"there are {_some(loud)}")
    return rule


def _some(names: set[str]) -> str:
    listed = sorted(names)
    return ", ".join(listed[:8]) + (f" and {len(listed) - 8} more" if len(listed) > 8 else "")


class Knob:
    """One number of a statement. `unit`: of its values; `now`: the value as it is, 0 where it is not written."""

    name = ""

    def __init__(self, ruleset: m.RuleSet, rule: Rule) -> None:
        self.ruleset = ruleset
        self.rule = rule

    @property
    def unit(self) -> str:
        return "s"

    @property
    def now(self) -> Fraction:
        raise NotImplementedError

    @property
    def place(self) -> str:
        """Where the statement to change stands."""
        return place(self.rule.span)

    def usual(self) -> tuple[Fraction, ...]:
        """Values to try where nobody says which."""
        return tuple(Fraction(n) for n in range(11))

    def fault(self, value: Fraction) -> str | None:
        """Why a value is none, if it is not."""
        return "a time cannot be below 0" if value < 0 else None

    def at(self, value: Fraction) -> ChangedRules:
        raise NotImplementedError

    def _with(self, rule: Rule, node: t.Rule) -> ChangedRules:
        # Another knob may be turned on what comes of it.
        rule = replace(rule, node=node)  # type: ignore[arg-type]
        bands = tuple(rule if band is self.rule else band for band in self.ruleset.bands)
        alerts = tuple(rule if alert is self.rule else alert for alert in self.ruleset.alerts)
        changed = replace(self.ruleset, bands=bands, alerts=alerts)  # type: ignore[arg-type]
        return ChangedRules(changed, _statement(self.rule, node))


def place(span: Span) -> str:
    return f"{span.source.path} line {span.line}"


class After(Knob):
    name = "after"

    @property
    def now(self) -> Fraction:
        return self.rule.after or Fraction(0)

    def at(self, value: Fraction) -> ChangedRules:
        node = self.rule.node
        tail = replace(node.tail, after=_seconds(value, node.span))
        return self._with(replace(self.rule, after=value or None), replace(node, tail=tail))


class ForMoreThan(Knob):
    name = "for more than"

    @property
    def now(self) -> Fraction:
        return self.rule.held or Fraction(0)

    def at(self, value: Fraction) -> ChangedRules:
        node = self.rule.node
        wanted = _seconds(value, node.span)
        held = None if wanted is None else t.HeldFor(node.span, wanted, self.rule.in_total)
        rule = replace(self.rule, held=value or None, in_total=self.rule.in_total and bool(value))
        return self._with(rule, replace(node, held=held))


class Threshold(Knob):
    """The one number that a statement compares a reading with: of a band's region, or of all there is in the condition
    of an alert on its own. TuneError if there is not one such number."""

    name = "threshold"

    def __init__(self, ruleset: m.RuleSet, rule: Rule) -> None:
        super().__init__(ruleset, rule)
        where: Any
        if isinstance(rule, m.Band):
            self.region: m.Region = rule.region
            self._written: t.RegionNode = rule.node.region
            self._quantity = rule.quantity
        else:
            compared = [
                formula
                for formula in m.parts_of(rule.when)
                if isinstance(formula, m.Compare) and not formula.region.is_failed
            ]
            found = [node for node in _nodes(rule.node.when) if isinstance(node, t.CompareNode)]
            if len(compared) != 1 or len(found) != 1:
                _fail(f"{rule.label} compares {len(compared)} readings with numbers: which is meant cannot be said")
            where = compared[0]
            self.region, self._quantity, self._written = where.region, where.quantity, found[0].region
        if len(self.region.bounds) != 1:
            what = "asks for no value" if self.region.is_failed else "has two ends"
            _fail(
                f"the region of {rule.label} {what}: only `below`, `above`, `at most` and `at least` have a threshold"
            )
        if not isinstance(self.region.first, Fraction):
            _fail(f"the threshold of {rule.label} moves with another quantity: there is no number to change")

    @property
    def quantity(self) -> m.Quantity:
        return self.ruleset.quantities[self._quantity]

    @property
    def unit(self) -> str:
        return self.quantity.unit.name

    @property
    def now(self) -> Fraction:
        assert isinstance(self.region.first, Fraction)
        return self.region.first

    def usual(self) -> tuple[Fraction, ...]:
        step = _step(self.quantity)
        values = (self.now + n * step for n in range(-5, 6))
        return tuple(value for value in values if self.fault(value) is None)

    def fault(self, value: Fraction) -> str | None:
        quantity = self.quantity
        if quantity.low <= value <= quantity.high:
            return None
        low, high = show_value(quantity.low, quantity.unit), show_value(quantity.high, quantity.unit)
        return f"{quantity.name} reads from {low} to {high}"

    def at(self, value: Fraction) -> ChangedRules:
        rule = _swapped(self.rule, self.region, replace(self.region, first=value))
        written = replace(self._written, first=_value(value, self.unit, self._written.span))
        return self._with(rule, _swapped(self.rule.node, self._written, written))


class Deadband(Knob):
    """Of the quantity that a band colours: it is part of the quantity's declaration, and of every band of it."""

    name = "deadband"

    def __init__(self, ruleset: m.RuleSet, rule: Rule) -> None:
        super().__init__(ruleset, rule)
        if not isinstance(rule, m.Band):
            _fail(f"{rule.label} is an alert on its own: a deadband is for bands")
        self.quantity = ruleset.quantities[rule.quantity]
        if self.quantity.derived is not None:
            _fail(f"{rule.quantity} is worked out from other readings and has no deadband")

    @property
    def unit(self) -> str:
        return self.quantity.unit.name

    @property
    def now(self) -> Fraction:
        return self.quantity.deadband or Fraction(0)

    @property
    def place(self) -> str:
        return place(self.quantity.span)

    def usual(self) -> tuple[Fraction, ...]:
        return tuple(n * _step(self.quantity) for n in range(6))

    def fault(self, value: Fraction) -> str | None:
        return "a deadband cannot be below 0" if value < 0 else None

    def at(self, value: Fraction) -> ChangedRules:
        quantity = replace(self.quantity, deadband=value or None)
        changed = replace(self.ruleset, quantities={**self.ruleset.quantities, quantity.name: quantity})
        return ChangedRules(changed, self._text(value))

    def _text(self, value: Fraction) -> str:
        from alertlang.syntax.parse import parse

        for statement in parse(self.quantity.span.source)[0].statements:
            if isinstance(statement, t.QuantityStatement) and statement.name.text == self.quantity.name:
                wanted = _value(value, self.unit, statement.span) if value else None
                # Clauses are written in the order of their places: a new one belongs where the last one ends.
                return format_statement(replace(statement, deadband=wanted))
        raise AssertionError("a quantity stands where it was declared")


# All there are, by name, in the order they are told.
BY_NAME: dict[str, type[Knob]] = {one.name: one for one in (After, ForMoreThan, Threshold, Deadband)}


# ---- small parts


def _statement(rule: Rule, node: t.Rule) -> str:
    """The statement with another rule in it; of another file, as one that takes its place."""
    span = rule.node.span
    label = t.WordNode(span, rule.label)
    if rule.origin.depth > 0 or rule.span.text.startswith("replace"):
        return format_statement(t.Replace(span, label, node))
    written = rule.labelled if isinstance(rule, m.Band) else rule.span.text.startswith(f"{rule.label}:")
    return format_statement(t.Labelled(span, label if written else None, node))


def _seconds(value: Fraction, span: Span) -> t.Value | None:
    return _value(value, "s", span) if value else None


def _value(value: Fraction, unit: str, span: Span) -> t.Value:
    return t.Value(span, value, t.WordNode(span, unit) if unit else None)


def _step(quantity: m.Quantity) -> Fraction:
    """A quantity's own step, or a two-hundredth of its range."""
    return quantity.step or (quantity.high - quantity.low) / 200


def _swapped(node: Any, old: object, new: object) -> Any:
    """A tree with one node, told by identity, in another's place."""
    if node is old:
        return new
    if isinstance(node, tuple):
        parts = tuple(_swapped(one, old, new) for one in node)
        return parts if any(a is not b for a, b in zip(parts, node, strict=True)) else node
    if not is_dataclass(node) or isinstance(node, Span | type):
        return node
    changed = {}
    for field in fields(node):
        if field.name in ("span", "node", "origin"):
            continue
        was = getattr(node, field.name)
        now = _swapped(was, old, new)
        if now is not was:
            changed[field.name] = now
    return replace(node, **changed) if changed else node


def _nodes(node: Any) -> list[Any]:
    """A tree's nodes, itself first."""
    if isinstance(node, tuple):
        return [found for one in node for found in _nodes(one)]
    if not is_dataclass(node) or isinstance(node, Span):
        return []
    parts = [getattr(node, field.name) for field in fields(node) if field.name != "span"]
    return [node, *(found for part in parts for found in _nodes(part))]


def _fail(message: str) -> NoReturn:
    raise TuneError(message)
