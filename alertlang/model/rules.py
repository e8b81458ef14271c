"""Rules bound to what is declared: ranges, bands, alerts, claims and assumptions."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.model.changes import RuleEntry
from alertlang.model.declarations import Declarations
from alertlang.model.formulas import bind_formula
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t

# Seconds within which red and an alert must be up where nothing else is said: common practice, no source.
_ALLOWED = Fraction(2)


@dataclass(frozen=True, slots=True)
class _Times:
    held: Fraction | None
    in_total: bool
    after: Fraction | None
    latched: bool


@dataclass(slots=True)
class RuleBinder:
    """Binds rules one by one; what is wrong with one leaves it out and is said."""

    declarations: Declarations
    scope: Scope
    assumptions: list[m.Assumption] = field(default_factory=list)
    ranges: list[m.Range] = field(default_factory=list)
    bands: list[m.Band] = field(default_factory=list)
    alerts: list[m.Alert] = field(default_factory=list)
    claims: list[m.Claim] = field(default_factory=list)

    def add(self, entry: RuleEntry) -> None:
        match entry.rule:
            case t.Assume():
                self.assumptions += self._assume(entry, entry.rule)
            case t.RangeStatement():
                self.ranges += self._range(entry, entry.rule)
            case t.BandStatement():
                self.bands += self._band(entry, entry.rule)
            case t.AlertStatement():
                self.alerts += self._alert(entry, entry.rule)
            case t.Prove():
                self.claims += self._claim(entry, entry.rule)

    def _formula(self, node: t.Formula | None) -> tuple[bool, m.Formula | None]:
        """Whether it could be bound, and the formula (none where none is written)."""
        if node is None:
            return True, None
        formula = bind_formula(node, self.scope)
        return formula is not None, formula

    def _assume(self, entry: RuleEntry, node: t.Assume) -> list[m.Assumption]:
        ok, when = self._formula(node.when)
        formula = bind_formula(node.formula, self.scope)
        sources = self.declarations.bind_sources(node.sources, entry.file.origin)
        if not ok or formula is None:
            return []
        return [m.Assumption(entry.label, when, formula, sources, entry.span, entry.file.origin)]

    def _range(self, entry: RuleEntry, node: t.RangeStatement) -> list[m.Range]:
        scope = self.scope
        sources = self.declarations.bind_sources(node.sources, entry.file.origin)
        kind = m.RangeKind(node.kind)
        if not node.sources:
            what = "the limit" if kind is m.RangeKind.LIMIT else f"the {kind} range"
            scope.report(
                "missing-source",
                f"{what} does not say where its numbers come from",
                entry.span,
                'add `, source NAME` and declare it: source NAME "document", or: source NAME common practice',
            )
        except_for = scope.seconds(node.except_for)
        for again in node.needs[1:]:
            scope.report("bad-value", "`needs` is said twice", again.span, "take one of the two out")
        needs = node.needs[0] if node.needs else None
        within = None if needs is None else scope.seconds(needs.within)
        allowed, allowed_by = _ALLOWED, "common practice, no source"
        if within is not None:
            allowed, allowed_by = within, "`within`"
        elif entry.file.origin.path in self.declarations.respond:
            allowed, allowed_by = self.declarations.respond[entry.file.origin.path], "`respond within`"
        ok, when = self._formula(node.when)
        bound = scope.quantity(node.subject)
        region = None if bound is None else scope.region(node.region, bound[0])
        if not ok or bound is None or region is None:
            return []
        return [
            m.Range(
                entry.label,
                kind,
                when,
                bound[0].name,
                bound[1],
                region,
                m.Level[needs.level.upper()] if needs else None,
                sources,
                entry.span,
                entry.file.origin,
                node,
                except_for,
                allowed,
                allowed_by,
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

    def _times(self, tail: t.Tail, held: t.HeldFor | None) -> _Times:
        return _Times(
            None if held is None else self.scope.seconds(held.duration),
            held is not None and held.in_total,
            self.scope.seconds(tail.after),
            tail.latched is not None,
        )

    def _tail(self, tail: t.Tail) -> tuple[bool, m.Formula | None]:
        self.scope.twice(tail.repeated)
        return self._formula(tail.unless)

    def _band(self, entry: RuleEntry, node: t.BandStatement) -> list[m.Band]:
        scope = self.scope
        ok, when = self._formula(node.when)
        clear, unless = self._tail(node.tail)
        times = self._times(node.tail, node.held)
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
        if node.alert is None and node.tail.latched is not None:
            scope.report(
                "misplaced-statement",
                "`latched` keeps an alert up, and this band has none",
                node.tail.latched.span,
                'add an alert (with warning "TEXT"), or take `latched` out',
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
                times.held,
                times.in_total,
                times.after,
                times.latched,
            )
        ]

    def _alert(self, entry: RuleEntry, node: t.AlertStatement) -> list[m.Alert]:
        ok, when = self._formula(node.when)
        clear, unless = self._tail(node.tail)
        times = self._times(node.tail, node.held)
        text = self._alert_text(node.alert, False)
        if not ok or not clear or when is None:
            return []
        return [
            m.Alert(
                entry.label,
                when,
                text,
                unless,
                entry.span,
                entry.file.origin,
                node,
                times.held,
                times.in_total,
                times.after,
                times.latched,
            )
        ]

    def _claim(self, entry: RuleEntry, node: t.Prove) -> list[m.Claim]:
        scope = self.scope
        ok, when = self._formula(node.when)
        bound = None if node.subject is None else scope.quantity(node.subject)
        region = None if bound is None or node.region is None else scope.region(node.region, bound[0])
        if not ok or (node.subject is not None and (bound is None or region is None)):
            return []
        colour = level = None
        if node.wanted is not None:
            if m.ClaimKind(node.kind).raises:
                level = m.Level[node.wanted.upper()]
            else:
                colour = m.Colour[node.wanted.upper()]
        quantity, index = (None, None) if bound is None else (bound[0].name, bound[1])
        return [
            m.Claim(
                entry.label,
                m.ClaimKind(node.kind),
                when,
                quantity,
                index,
                region,
                colour,
                level,
                entry.span,
                entry.file.origin,
                scope.seconds(node.within),
            )
        ]
