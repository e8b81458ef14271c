"""From a rule set to terms: what it means that a condition holds, a band applies, a limit is broken."""

from __future__ import annotations

from alertlang.logic.terms import (
    FALSE,
    TRUE,
    At,
    Term,
    both,
    conjunction,
    disjunction,
    in_set,
    negate,
)
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval


class Encoder:
    """Terms of one rule set, each built once."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self._conditions: dict[str, Term] = {}
        self._bands: dict[tuple[str, int | None], Term] = {}
        self._contexts: dict[str, Term] = {}
        self._assumptions = tuple((a.label, self.assumption(a)) for a in ruleset.assumptions)

    # ---- states

    @property
    def assumptions(self) -> tuple[tuple[str, Term], ...]:
        """Every assumption with its label."""
        return self._assumptions

    def range_of(self, variable: str) -> Interval:
        """The sensor's range of a reading, in its own unit."""
        return self.ruleset.quantities[variable.split("[")[0]].range

    def is_switch(self, name: str) -> bool:
        return name in self.ruleset.switches

    def assumption(self, assumption: m.Assumption) -> Term:
        formula = self.formula(assumption.formula)
        if assumption.when is None:
            return formula
        return disjunction((negate(self.formula(assumption.when)), formula))

    # ---- formulas

    def formula(self, formula: m.Formula | None) -> Term:
        """A formula; none is always true."""
        match formula:
            case None:
                return TRUE
            case m.Compare():
                return self.in_region(formula.quantity, formula.index, formula.region)
            case m.Quantified():
                parts = (
                    self.in_region(formula.quantity, index, formula.region) for index in range(1, formula.size + 1)
                )
                return disjunction(parts) if formula.quantifier == "any" else conjunction(parts)
            case m.SwitchIs():
                term: Term = At(formula.switch, formula.position)
                return negate(term) if formula.negated else term
            case m.ConditionIs():
                return self.condition(formula.name)
            case m.Not():
                return negate(self.formula(formula.part))
            case m.And():
                return conjunction(self.formula(part) for part in formula.parts)
            case m.Or():
                return disjunction(self.formula(part) for part in formula.parts)

    def condition(self, name: str) -> Term:
        term = self._conditions.get(name)
        if term is None:
            term = self.formula(self.ruleset.conditions[name].formula)
            self._conditions[name] = term
        return term

    def in_region(self, quantity: str, index: int | None, region: m.Region) -> Term:
        sensor = self.ruleset.quantities[quantity].range
        return in_set(m.variable(quantity, index), region.values, sensor)

    # ---- statements

    def context(self, rule: m.Band | m.Alert) -> Term:
        """`when` holds and `unless` does not."""
        term = self._contexts.get(rule.label)
        if term is None:
            unless = FALSE if rule.unless is None else self.formula(rule.unless)
            term = both(self.formula(rule.when), negate(unless))
            self._contexts[rule.label] = term
        return term

    def applies(self, band: m.Band, index: int | None) -> Term:
        """A band applies to an element (none for a quantity that is no array)."""
        if band.index is not None and band.index != index:
            return FALSE
        key = (band.label, index)
        term = self._bands.get(key)
        if term is None:
            term = both(self.in_region(band.quantity, index, band.region), self.context(band))
            self._bands[key] = term
        return term

    def shows_at_least(self, quantity: str, index: int | None, rank: int) -> Term:
        """The gauge shows a colour of at least a rank."""
        return disjunction(
            self.applies(band, index) for band in self.ruleset.bands_by_quantity[quantity] if band.colour.rank >= rank
        )

    def shows_any(self, quantity: str, index: int | None) -> Term:
        """Some band applies, unmarked ones included."""
        return disjunction(self.applies(b, index) for b in self.ruleset.bands_by_quantity[quantity])

    def given(self, one: m.Range) -> Term:
        return self.formula(one.when)

    def inside(self, one: m.Range, index: int | None) -> Term:
        """A precaution or normal range: its `when` holds and the reading is in it."""
        return both(self.given(one), self.in_region(one.quantity, index, one.region))

    def violated(self, one: m.Range, index: int | None) -> Term:
        """A limit is broken, or an avoid range is entered."""
        region = self.in_region(one.quantity, index, one.region)
        return both(self.given(one), region if one.kind == "avoid" else negate(region))

    def alert_up(self, quantity: str, index: int | None, level: m.Level) -> Term:
        """Some alert that counts for a limit on the quantity is up, at a level or above.

        Alerts of bands of the quantity count, and alerts on their own whose condition reads it.
        """
        bands = self.ruleset.bands_by_quantity[quantity]
        alerts = self.ruleset.alerts_by_quantity[quantity]
        return disjunction(
            (
                *(self.applies(b, index) for b in bands if b.alert is not None and b.alert.level >= level),
                *(self.context(a) for a in alerts if a.alert.level >= level),
            )
        )

    def any_alert_up(self, level: m.Level) -> Term:
        """Any alert at all is up, at a level or above."""
        parts: list[Term] = []
        for band in self.ruleset.bands:
            if band.alert is not None and band.alert.level >= level:
                parts += [
                    self.applies(band, index)
                    for index in self.ruleset.quantities[band.quantity].indexes
                    if band.index is None or band.index == index
                ]
        parts += [self.context(a) for a in self.ruleset.alerts if a.alert.level >= level]
        return disjunction(parts)
