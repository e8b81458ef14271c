"""Declarations: sources, quantities, switches and the names of conditions, each name once."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from alertlang.model import ruleset as m
from alertlang.model.derived import Derived
from alertlang.model.facts import engine_facts
from alertlang.model.files import LoadedFile
from alertlang.model.scope import Scope
from alertlang.model.weights import WeightBinder
from alertlang.syntax import tree as t
from alertlang.syntax.parse import NO_POSITIONS, reserved_words
from alertlang.text.source import Span
from alertlang.text.suggest import did_you_mean
from alertlang.units.number import show_number, show_value


@dataclass(slots=True)
class Declarations:
    """What the files of one rule set declare."""

    files: list[LoadedFile]
    scope: Scope = field(default_factory=Scope)
    sources: dict[str, dict[str, m.DocumentSource]] = field(default_factory=dict)
    source_list: list[tuple[m.Origin, m.DocumentSource]] = field(default_factory=list)
    declared_at: dict[str, Span] = field(default_factory=dict)
    about: list[str] = field(default_factory=list)
    engine: list[str] = field(default_factory=list)
    follows: list[m.Follow] = field(default_factory=list)
    # By the path of the file that says it.
    respond: dict[str, Fraction] = field(default_factory=dict)
    weights: WeightBinder = field(init=False)

    def __post_init__(self) -> None:
        self.weights = WeightBinder(self.scope)

    def declare(self) -> None:
        for file in self.files:
            self.scope.lost |= file.tree.lost
        for file in self.files:
            self.sources.setdefault(file.origin.path, {})
            for statement in file.tree.statements:
                if isinstance(statement, t.SourceDeclaration):
                    self._source(statement, file.origin)
        derived = Derived(self.scope, self._new_name, self.bind_sources)
        for file in self.files:
            for statement in file.tree.statements:
                self._declare(statement, file.origin, derived)
        derived.bind()

    def _declare(self, statement: t.Statement, origin: m.Origin, derived: Derived) -> None:
        scope = self.scope
        match statement:
            case t.About():
                if origin.depth == 0:
                    self.about.append(statement.text.text)
            case t.EngineStatement():
                self.engine.extend(engine_facts(statement, scope))
            case t.WeightsStatement():
                self.weights.add(statement, self.bind_sources(statement.sources, origin), origin)
            case t.QuantityStatement():
                self._quantity(statement, origin)
            case t.SwitchStatement():
                self._switch(statement, origin)
            case t.ConditionStatement():
                known = scope.condition_names.get(statement.name.text)
                if known is not None and known == statement and known.span.source.path != origin.path:
                    # Two profiles may both say when the engine runs, if they say the same.
                    return
                if self._new_name(statement.name):
                    scope.condition_names[statement.name.text] = statement
            case t.Let() | t.Curve():
                derived.declare(statement, origin)
            case t.Respond():
                self._respond(statement, origin)
            case t.FollowStatement():
                if origin.kind == "rules" and (statement.as_of is None or scope.is_day(statement.as_of)):
                    as_of = None if statement.as_of is None else statement.as_of.text
                    self.follows.append(m.Follow(statement.rule.text, statement.span, origin, as_of))
            case _:
                pass

    def _respond(self, node: t.Respond, origin: m.Origin) -> None:
        duration = self.scope.seconds(node.within)
        if duration is None:
            return
        if origin.path in self.respond:
            self.scope.report("bad-value", "`respond within` is said twice", node.span, "take one of the two out")
            return
        self.respond[origin.path] = duration

    def _new_name(self, word: t.WordNode) -> bool:
        """Whether a name may be declared here."""
        if not good_name(word, self.scope):
            return False
        first = self.declared_at.get(word.text)
        if first is not None:
            self.scope.report(
                "duplicate-name",
                f"{word.text} is declared already, in {first.source.path} line {first.line}",
                word.span,
                "choose another name, or take one of the two out",
            )
            # Which of the two a use means is not known, so what does not fit the first is no mistake of its own.
            self.scope.lost.add(word.text)
            return False
        self.declared_at[word.text] = word.span
        return True

    def _lose(self, word: t.WordNode) -> None:
        """A declaration with a fault: its name is taken, and using it is no second mistake."""
        self._new_name(word)
        self.scope.lost.add(word.text)

    def _source(self, node: t.SourceDeclaration, origin: m.Origin) -> None:
        known = self.sources[origin.path]
        if node.name.text in known:
            self.scope.report(
                "duplicate-name",
                f"the source {node.name.text} is declared already in this file",
                node.name.span,
                "choose another name, or take one of the two out",
            )
            return
        source = m.DocumentSource(node.name.text, node.status, node.text.text if node.text else None)
        known[node.name.text] = source
        self.source_list.append((origin, source))

    def bind_sources(self, clauses: tuple[t.SourceClause, ...], origin: m.Origin) -> tuple[m.DocumentSource, ...]:
        found: list[m.DocumentSource] = []
        known = self.sources[origin.path]
        for clause in clauses:
            source = known.get(clause.name.text)
            if source is None:
                if clause.name.text in self.scope.lost:
                    continue
                otherwise = f'write: source {clause.name.text} "the document"'
                self.scope.report(
                    "unknown-name",
                    f"no source {clause.name.text} is declared in this file",
                    clause.name.span,
                    did_you_mean(clause.name.text, known, otherwise),
                )
                continue
            note = clause.note.text if clause.note else None
            found.append(m.DocumentSource(source.name, source.status, source.text, note))
        return tuple(found)

    def _quantity(self, node: t.QuantityStatement, origin: m.Origin) -> None:
        scope = self.scope
        name = node.name.text
        unit = scope.unit(node.high.unit)
        if unit is None:
            self._lose(node.name)
            return
        low = scope.in_unit(node.low, unit, name)
        high = node.high.number
        if low is None:
            self._lose(node.name)
            return
        if low >= high:
            scope.report(
                "bad-value",
                f"the range of {name} is empty: it must run from a lower to a higher value",
                node.low.span.to(node.high.span),
                "write the lower end first",
            )
            self._lose(node.name)
            return
        size: int | None = None
        if node.size is not None:
            if node.size.number.denominator != 1 or not 1 <= node.size.number <= 64:
                scope.report(
                    "bad-value",
                    "an array has 1 to 64 elements",
                    node.size.span,
                    "write a whole number, for example [4]",
                )
                self._lose(node.name)
                return
            size = int(node.size.number)
        parts: dict[str, Any] = {}
        for word in ("step", "accuracy", "deadband"):
            value: t.Value | None = getattr(node, word)
            number = None if value is None else scope.difference_in_unit(value, unit, f"the {word} of {name}")
            if value is not None and number is not None and number <= 0:
                scope.report(
                    "bad-value",
                    f"the {word} of {name} must be more than 0",
                    value.span,
                    "write a larger number",
                )
                number = None
            parts[word] = number
        scope.twice(node.repeated)
        title, sources = node.title.text if node.title else None, self.bind_sources(node.sources, origin)
        quantity = m.Quantity(
            name, unit, low, high, node.span, origin, title=title, size=size, sources=sources, **parts
        )
        known = scope.quantities.get(name)
        if known is not None and known.origin.path != origin.path:
            # An engine and an airframe may both declare the altimeter: once is enough.
            self._must_agree(known, quantity, node.name)
        elif self._new_name(node.name):
            scope.quantities[name] = quantity

    def _must_agree(self, known: m.Quantity, again: m.Quantity, word: t.WordNode) -> None:
        differ = _difference(known, again)
        if differ is None:
            return
        what, there, here = differ
        self.scope.report(
            "duplicate-name",
            f"{word.text} is declared differently in {known.span.source.path} line {known.span.line}: "
            f"{what} {there} there, {here} here",
            word.span,
            "make the two declarations agree, or choose another name",
        )

    def _switch(self, node: t.SwitchStatement, origin: m.Origin) -> None:
        positions = tuple(p.text for p in node.positions)
        for i, position in enumerate(node.positions):
            if position.text in positions[:i]:
                self.scope.report(
                    "duplicate-name",
                    f"the switch {node.name.text} has the position {position.text} twice",
                    position.span,
                    "take one of the two out",
                )
            elif position.text in NO_POSITIONS:
                advice = f"choose another word, for example {position.text}_1"
                self.scope.report("syntax", f"{position.text} cannot be a position", position.span, advice)
            elif position.text != position.text.lower():
                advice = f"write {position.text.lower()}"
                self.scope.report(
                    "syntax", f"positions are lower case, and {position.text} is not", position.span, advice
                )
        if len(positions) < 2:
            self.scope.report(
                "bad-value", "a switch needs at least two positions", node.span, "write for example: up, down"
            )
        known = self.scope.switches.get(node.name.text)
        if known is not None and known.origin.path != origin.path and known.positions == positions:
            return
        if self._new_name(node.name):
            title = node.title.text if node.title else None
            self.scope.switches[node.name.text] = m.Switch(node.name.text, title, positions, node.span, origin)


def good_name(word: t.WordNode, scope: Scope) -> bool:
    """Whether a word may be a name or a label; if not, that is said, and using it is no second mistake."""
    if word.text != word.text.lower():
        message = f"names are lower case, and {word.text} is not"
        scope.report("syntax", message, word.span, f"write {word.text.lower()}")
    elif word.text in reserved_words():
        message = f"{word.text} is a word of the language and cannot be a name"
        scope.report("syntax", message, word.span, f"choose another name, for example {word.text}_1")
    else:
        return True
    scope.lost.add(word.text)
    return False


def _difference(measured: m.Quantity, other: m.Quantity) -> tuple[str, str, str] | None:
    """What two declarations of one quantity do not agree on, and how each has it; titles and sources may differ."""

    def said(value: Fraction | None, quantity: m.Quantity) -> str:
        return "none" if value is None else show_value(value, quantity.unit)

    if measured.size != other.size:
        return "the number of elements is", str(measured.size or "none"), str(other.size or "none")
    if measured.unit != other.unit:
        return "the unit is", measured.unit.name or "none", other.unit.name or "none"
    if (measured.low, measured.high) != (other.low, other.high):
        there, here = (f"from {show_number(q.low)} to {show_value(q.high, q.unit)}" for q in (measured, other))
        return "the range runs", there, here
    for word in ("step", "accuracy", "deadband"):
        first, second = getattr(measured, word), getattr(other, word)
        if first != second:
            return f"the {word} is", said(first, measured), said(second, other)
    return None
