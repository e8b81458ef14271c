"""Rules bound to what is declared: ranges, bands, alerts, claims and assumptions."""

from __future__ import annotations

from dataclasses import dataclass, field

from alertlang.model import ruleset as m
from alertlang.model.changes import Entry
from alertlang.model.declarations import Declarations
from alertlang.model.formulas import bind_formula
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t


@dataclass(slots=True)
class Rules:
    """Binds rules one by one; what is wrong with one leaves it out and is said."""

    declarations: Declarations
    scope: Scope
    assumptions: list[m.Assumption] = field(default_factory=list)
    ranges: list[m.Range] = field(default_factory=list)
    bands: list[m.Band] = field(default_factory=list)
    alerts: list[m.Alert] = field(default_factory=list)
    claims: list[m.Claim] = field(default_factory=list)

    def add(self, entry: Entry) -> None:
        match entry.rule:
            case t.Assume():
                self.assumptions += self._assume(entry, entry.rule)
            case t.Range():
                self.ranges += self._range(entry, entry.rule)
            case t.Band():
                self.bands += self._band(entry, entry.rule)
            case t.Alert():
                self.alerts += self._alert(entry, entry.rule)
            case t.Prove():
                self.claims += self._claim(entry, entry.rule)

    def _formula(self, node: t.Formula | None) -> tuple[bool, m.Formula | None]:
        """Whether it could be bound, and the formula (none where none is written)."""
        if node is None:
            return True, None
        formula = bind_formula(node, self.scope)
        return formula is not None, formula

    def _assume(self, entry: Entry, node: t.Assume) -> list[m.Assumption]:
        ok, when = self._formula(node.when)
        formula = bind_formula(node.formula, self.scope)
        sources = self.declarations.bind_sources(node.sources, entry.file.origin)
        if not ok or formula is None:
            return []
        return [m.Assumption(entry.label, when, formula, sources, entry.span, entry.file.origin)]

    def _range(self, entry: Entry, node: t.Range) -> list[m.Range]:
        scope = self.scope
        sources = self.declarations.bind_sources(node.sources, entry.file.origin)
        if not node.sources:
            what = "the limit" if node.kind == "limit" else f"the {node.kind} range"
            scope.report(
                "missing-source",
                f"{what} does not say where its numbers come from",
                entry.span,
                'add `, source NAME` and declare it: source NAME "document", or: source NAME common practice',
            )
        if node.except_for is not None:
            scope.not_yet("`except for`", node.except_for.span)
        for again in node.needs[1:]:
            scope.report("bad-value", "`needs` is said twice", again.span, "take one of the two out")
        needs = node.needs[0] if node.needs else None
        if needs is not None and needs.within is not None:
            scope.not_yet("`within`", needs.within.span)
        ok, when = self._formula(node.when)
        bound = scope.quantity(node.subject)
        region = None if bound is None else scope.region(node.region, bound[0])
        if not ok or bound is None or region is None:
            return []
        return [
            m.Range(
                entry.label,
                node.kind,
                when,
                bound[0].name,
                bound[1],
                region,
                m.Level[needs.level.upper()] if needs else None,
                sources,
                entry.span,
                entry.file.origin,
                node,
            )
        ]

    def _alert_text(self, clause: t.AlertClause, numbered: bool) -> m.AlertText:
        text = clause.text.text
        if not text.strip():
            self.scope.report("bad-value", "the text of the alert is empty", clause.text.span, "say what is wrong")
        if "{n}" in text and not numbered:
            self.scope.report(
                "bad-value",
                "{n} stands for the element of an array, and this statement is about no array element",
                clause.text.span,
                "take {n} out",
            )
        return m.AlertText(m.Level[clause.level.upper()], text)

    def _tail(self, tail: t.Tail, held: t.HeldFor | None) -> tuple[bool, m.Formula | None]:
        if held is not None:
            self.scope.not_yet("`for more than`", held.span)
        if tail.after is not None:
            self.scope.not_yet("`after`", tail.after.span)
        if tail.latched is not None:
            self.scope.not_yet("`latched`", tail.latched.span)
        for node in tail.repeated:
            self.scope.report("bad-value", "this is said twice in one statement", node.span, "take one of the two out")
        return self._formula(tail.unless)

    def _band(self, entry: Entry, node: t.Band) -> list[m.Band]:
        scope = self.scope
        ok, when = self._formula(node.when)
        clear, unless = self._tail(node.tail, node.held)
        bound = scope.quantity(node.subject)
        region = None if bound is None else scope.region(node.region, bound[0])
        alert = None
        if node.alert is not None:
            alert = self._alert_text(node.alert, bound is None or bound[0].size is not None)
        elif node.tail.after is not None:
            scope.report(
                "misplaced-statement",
                "`after` holds back an alert, and this band has none",
                node.tail.after.span,
                'add an alert (with warning "TEXT"), or hold back the colour with `for more than`',
            )
        if not ok or not clear or bound is None or region is None:
            return []
        return [
            m.Band(
                entry.label,
                entry.labelled,
                when,
                bound[0].name,
                bound[1],
                region,
                m.Colour[node.colour.text.upper()],
                alert,
                unless,
                entry.span,
                entry.file.origin,
                node,
            )
        ]

    def _alert(self, entry: Entry, node: t.Alert) -> list[m.Alert]:
        ok, when = self._formula(node.when)
        clear, unless = self._tail(node.tail, node.held)
        text = self._alert_text(node.alert, False)
        if not ok or not clear or when is None:
            return []
        return [m.Alert(entry.label, when, text, unless, entry.span, entry.file.origin, node)]

    def _claim(self, entry: Entry, node: t.Prove) -> list[m.Claim]:
        scope = self.scope
        if node.within is not None:
            scope.not_yet("`within`", node.within.span)
        ok, when = self._formula(node.when)
        bound = None if node.subject is None else scope.quantity(node.subject)
        region = None if bound is None or node.region is None else scope.region(node.region, bound[0])
        if not ok or (node.subject is not None and (bound is None or region is None)):
            return []
        colour = level = None
        if node.wanted is not None:
            if node.kind in {"raises", "any_raises"}:
                level = m.Level[node.wanted.upper()]
            else:
                colour = m.Colour[node.wanted.upper()]
        quantity, index = (None, None) if bound is None else (bound[0].name, bound[1])
        return [
            m.Claim(
                entry.label,
                node.kind,
                when,
                quantity,
                index,
                region,
                colour,
                level,
                entry.span,
                entry.file.origin,
            )
        ]
