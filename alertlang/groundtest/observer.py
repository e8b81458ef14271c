"""What somebody at the panel sees of a decision, for how long to look, and the numbers in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

from alertlang.groundtest.decisions import Decision
from alertlang.groundtest.goal import AT_ONCE, Maker, applies, clear, said
from alertlang.groundtest.grid import edges
from alertlang.groundtest.ramp import trend_edges
from alertlang.logic.encode import Encoder
from alertlang.logic.terms import TRUE, Term, both, disjunction, in_interval, negate
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m

_MOST_OBSERVERS = 8


class Observer(Maker):
    def __init__(self, ruleset: m.RuleSet) -> None:
        super().__init__(ruleset)
        self._encoders: dict[tuple[str, bool, object], Encoder] = {}

    def met(self, decision: Decision, result: bool) -> Callable[[Shown], bool]:
        if decision.condition is not None:
            name = decision.condition
            return lambda shown: shown.conditions[name] is result
        rule = decision.rule
        assert rule is not None
        index = None if isinstance(rule, m.Alert) else self.first(rule)
        return applies((rule.label, index), result)

    def wait(self, decision: Decision) -> Fraction:
        """How long to look at what a decision comes to, until all that waits for it would be seen."""
        if decision.rule is not None:
            return self.delays(decision.rule)
        assert decision.condition is not None
        return max((self.delays(rule) for rule in self._readers(decision.condition)), default=AT_ONCE)

    def _readers(self, name: str) -> list[m.Band | m.Alert]:
        """Some statements that wait for a condition, those that name it first."""
        readers = [r for r in self.ruleset.rules if name in self.ruleset.conditions_read(r.when, r.unless)]
        direct = [r for r in readers if name in _named(r.when) | _named(r.unless)]
        return [*direct, *(r for r in readers if r not in direct)][:_MOST_OBSERVERS]

    def observed(self, decision: Decision, encoder: Encoder) -> Term:
        """That somebody at the panel sees what the decision comes to."""
        if decision.rule is not None:
            return self._sees(decision.rule, encoder)
        name = decision.condition
        assert name is not None
        found = []
        for rule in self._readers(name):
            yes, no = (self._if(name, value, encoder).context(rule) for value in (True, False))
            found.append(both(disjunction((both(yes, negate(no)), both(no, negate(yes)))), self._sees(rule, encoder)))
        return disjunction(found)

    def _sees(self, rule: m.Band | m.Alert, encoder: Encoder) -> Term:
        if isinstance(rule, m.Alert):
            return TRUE
        inside = self.region(rule, encoder)
        if rule.alert is not None:
            return inside
        return both(inside, self.wins(rule, self.first(rule), self._failing(rule, encoder)))

    def region(self, rule: m.Band | m.Alert, encoder: Encoder) -> Term:
        """What a statement asks for besides its context."""
        if isinstance(rule, m.Alert):
            return TRUE
        return self._failing(rule, encoder).in_region(rule.quantity, self.first(rule), rule.region)

    def _failing(self, rule: m.Band, encoder: Encoder) -> Encoder:
        """An encoder in whose states the sensors of a band may fail, if that is what it shows."""
        if not rule.region.is_failed:
            return encoder
        return self.context.encoder_for(failing=self.ruleset.sensors_read(rule.quantity, self.first(rule)))

    def _if(self, name: str, value: bool, encoder: Encoder) -> Encoder:
        """Terms of the same rule set with one condition always, or never, true."""
        key = (name, value, encoder.mode)
        found = self._encoders.get(key)
        if found is None:
            one = self.ruleset.conditions[name]
            fixed: m.Formula = m.And((), span=one.span) if value else m.Or((), span=one.span)
            changed = {
                **self.ruleset.conditions,
                name: replace(one, formula=fixed, until=None, set_after=None, cleared_after=None),
            }
            found = Encoder(replace(self.ruleset, conditions=changed), encoder.mode, encoder.names)
            self._encoders[key] = found
        return found

    def leaf_edges(self, leaf: m.Formula, encoder: Encoder) -> Iterator[tuple[str, bool, Term]]:
        """Both sides of every number in a condition of a decision: what, whether it holds there, and its term."""
        if isinstance(leaf, m.Held):
            for what, holds, pin in self.leaf_edges(leaf.part, encoder):
                yield what, holds if leaf.at_least else False, pin
            return
        if isinstance(leaf, m.Not):
            for what, holds, pin in self.leaf_edges(leaf.part, encoder):
                yield what, not holds, pin
            return
        if not isinstance(leaf, m.Compare) or leaf.region.is_failed or leaf.region.moves:
            return
        quantity = self.ruleset.quantities[leaf.quantity]
        if quantity.is_trend:
            for number, inside, span in trend_edges(quantity, leaf.region):
                for index in leaf.indexes:
                    reading = m.variable(leaf.quantity, index)
                    term = encoder.in_region(leaf.quantity, index, leaf.region)
                    pin = both(in_interval(reading, span), term if inside else negate(term))
                    pin = self._others(leaf, index, pin, encoder)
                    yield f"{reading} {clear(span, self.grids[leaf.quantity], inside, number)}", inside, pin
            return
        grid = self.grids[leaf.quantity]
        for edge in edges(grid, leaf.region):
            for index in leaf.indexes:
                for side, value, inside in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                    if value is None:
                        continue
                    reading = m.variable(leaf.quantity, index)
                    # The name has to be known with what it is worked out from.
                    encoder.in_region(leaf.quantity, index, leaf.region)
                    span = self.span(reading, edge, value, TRUE)
                    pin = self._others(leaf, index, in_interval(reading, span), encoder)
                    what = f"{reading} {said(span, grid)} {side} "
                    yield what + grid.say(edge.number), inside, pin

    def _others(self, leaf: m.Compare, index: int | None, pin: Term, encoder: Encoder) -> Term:
        """With all other elements such that one decides alone."""
        others = [encoder.in_region(leaf.quantity, i, leaf.region) for i in leaf.indexes if i != index]
        return both(pin, *(negate(term) if leaf.quantifier == "any" else term for term in others))


def _named(formula: m.Formula | None) -> set[str]:
    return set() if formula is None else {p.name for p in m.parts_of(formula) if isinstance(p, m.ConditionIs)}
