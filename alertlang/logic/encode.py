"""From a rule set to terms: what it means that a condition holds, a band applies, a limit is broken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import product

from alertlang.logic.names import TermNames
from alertlang.logic.terms import (
    FALSE,
    TRUE,
    AtValue,
    Flag,
    Less,
    Term,
    both,
    conjunction,
    disjunction,
    in_set,
    negate,
    with_flag,
)
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import CurveOver, inputs
from alertlang.units.interval import Interval

_ZERO = Fraction(0)
# In which states a formula holds that is told without a sensor, against those in which it does with it.
_SAME, _LESS, _MORE, _OTHER = "same", "less", "more", "other"
# Failures of which every combination is looked at.
_MOST_FAILED = 6
_OPPOSITE = {_SAME: _SAME, _LESS: _MORE, _MORE: _LESS, _OTHER: _OTHER}


def _together(told: Iterable[str]) -> str:
    """What grows or shrinks with each of several parts."""
    kinds = set(told) - {_SAME}
    if not kinds:
        return _SAME
    return kinds.pop() if len(kinds) == 1 else _OTHER


class Encoder:
    """Terms of one rule set in one mode, each built once. Encoders of other modes share its names (`in_mode`)."""

    def __init__(self, ruleset: m.RuleSet, mode: s.FaultModel = s.PLAIN, names: TermNames | None = None) -> None:
        self.ruleset = ruleset
        self.mode = mode
        self.names = names if names is not None else TermNames(ruleset)
        # The encoder of the plain mode, which has the terms that a mode does not touch; of a mode that moves readings
        # that of the state itself.
        self._plain: Encoder = self
        self._modes: dict[s.FaultModel, Encoder] = {mode: self}
        self._untouched: dict[str, bool] = {}
        self._conditions: dict[str, Term] = {}
        self._bands: dict[tuple[str, int | None, bool, bool], Term] = {}
        self._contexts: dict[str, Term] = {}
        self._regions: dict[tuple[str, int], tuple[m.Region, Term]] = {}
        self._violated: dict[tuple[str, int | None], Term] = {}
        self._shorter: dict[m.Formula, list[Fraction]] = {}
        for part in ruleset.held:
            durations = self._shorter.setdefault(part.part, [])
            if part.duration not in durations:
                durations.append(part.duration)
        self._assumptions: tuple[tuple[str, Term], ...] | None = None

    def in_mode(self, mode: s.FaultModel) -> Encoder:
        """An encoder for another mode, whose terms may stand in one question with those of this one."""
        found = self._modes.get(mode)
        if found is None:
            found = Encoder(self.ruleset, mode, self.names)
            found._modes = self._modes
            self._modes[mode] = found
            found._plain = self.in_mode(mode.unmoved) if mode.moved else self._plain
        return found

    # ---- states

    @property
    def assumptions(self) -> tuple[tuple[str, Term], ...]:
        """Every assumption with its label."""
        if self._assumptions is None:
            self._assumptions = tuple((a.label, self.assumption(a)) for a in self.ruleset.assumptions)
        return self._assumptions

    def range_of(self, variable: str) -> Interval:
        """The range of a reading, in its own unit."""
        return self.names.quantity(variable).range

    def is_switch(self, name: str) -> bool:
        return name in self.ruleset.switches

    def is_flag(self, name: str) -> bool:
        return name in self.names.flags

    def definition(self, name: str) -> Term:
        """What ties a name to others: of a derived reading what it is, of an open truth what it needs."""
        return self.names.definitions.get(name, TRUE)

    def definitions_for(self, reads: frozenset[str]) -> tuple[frozenset[str], tuple[Term, ...]]:
        """Some names with all that their definitions read, and the definitions in the order of names."""
        return self.names.closed(reads)

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
            case m.Compare(quantifier=None):
                return self.in_region(formula.quantity, formula.index, formula.region)
            case m.Compare():
                parts = (self.in_region(formula.quantity, index, formula.region) for index in formula.indexes)
                return disjunction(parts) if formula.quantifier == "any" else conjunction(parts)
            case m.SwitchIs():
                term: Term = AtValue(formula.switch, formula.position)
                return negate(term) if formula.negated else term
            case m.ConditionIs():
                return self.condition(formula.name)
            case m.Held():
                part, long = self.formula(formula.part), self._held(formula)
                return long if formula.at_least else both(part, negate(long))
            case m.Not():
                return negate(self.formula(formula.part))
            case m.And():
                return conjunction(self.formula(part) for part in formula.parts)
            case m.Or():
                return disjunction(self.formula(part) for part in formula.parts)

    def _held(self, held: m.Held) -> Term:
        """That a part has held for at least so long: it needs the part, and implies every shorter time."""
        if self.mode.moved:
            long = self._plain._held(held)
            # It has lasted as long as in the state itself, where the part holds at all.
            return both(self.formula(held.part), long) if self._moves(held.part) else long
        name = s.held_flag(self.ruleset, held, self.mode)
        if name not in self.names.flags:
            needs = [self.formula(held.part)]
            shorter = [d for d in self._shorter.get(held.part, ()) if d < held.duration]
            if shorter:
                needs.append(self._held(m.Held(held.part, True, max(shorter), held.span)))
            ties = [disjunction((negate(Flag(name)), conjunction(needs)))]
            if self.mode.may_fail and self._plain is not self:
                ties += self._kept_with(self._plain._held(held), Flag(name), self._told(held.part))
            ties += [disjunction((negate(part), Flag(name))) for part in self._held_in_part(held)]
            self.names.flag(name, conjunction(ties))
        return Flag(name)

    def _held_in_part(self, held: m.Held) -> Iterator[Term]:
        """What has lasted at least as long of one part of an `or`. Of what there is too, if each failure that may be
        told is another part: while that part is told otherwise than it is, the `or` holds all the same."""
        if not isinstance(held.part, m.Or):
            return
        failures = self.ruleset.failures_read(*(part for part in held.part.parts if isinstance(part, m.Compare)))
        for other in self.ruleset.held:
            if other.part in held.part.parts and other.duration >= held.duration:
                yield self._held(other)
                if self.mode.may_fail and self.mode.may_fail <= failures and self.ruleset.is_momentary(other.part):
                    yield self._plain._held(other)

    def _is_plain(self, rule: m.Rule) -> bool:
        """Whether a statement's terms are those of the plain mode."""
        if self._plain is self:
            return False
        known = self._untouched.get(rule.label)
        if known is None:
            touched = self._moves_rule(rule) if self.mode.moved else self.mode.touches_rule(self.ruleset, rule)
            known = self._untouched[rule.label] = not touched
        return known

    def _moves(self, *formulas: m.Formula | None) -> bool:
        """Whether formulas read what is moved."""
        return self.names.changed(self.mode).read_by(*formulas)

    def _moves_rule(self, rule: m.Rule) -> bool:
        changed = self.names.changed(self.mode)
        return any(changed.read_by_rule(rule, index) for index in self.ruleset.indexes_of(rule))

    def condition(self, name: str) -> Term:
        term = self._conditions.get(name)
        if term is None:
            term = self._condition(self.ruleset.conditions[name])
            self._conditions[name] = term
        return term

    def _condition(self, condition: m.Condition) -> Term:
        if self.mode.moved:
            # What has not settled is about the state itself; whoever moves readings asks about settled states.
            assert not self.mode.unsettled
            return (
                self._undelayed(condition) if self._moves(*condition.parts) else self._plain.condition(condition.name)
            )
        may_be = [value for value in (True, False) if (condition.name, value) in self.mode.unsettled]
        if not may_be:
            if self._plain is not self and not self.mode.touches(self.ruleset, *condition.parts):
                return self._plain.condition(condition.name)
            return self._undelayed(condition)
        settled = self._undelayed(condition)
        name = s.settling_flag(condition.name, self.mode)
        # Two with the same delays are tied to each other: the second must find the name of the first.
        self._conditions[condition.name] = Flag(name)
        ties = [disjunction((negate(Flag(name)), self.condition(other))) for other in self._implied(condition)]
        if True not in may_be:
            ties.append(disjunction((negate(Flag(name)), settled)))
        if False not in may_be:
            ties.append(disjunction((Flag(name), negate(settled))))
        ties += self._still_as_before(condition, Flag(name), settled)
        return self.names.flag(name, conjunction(ties))

    def undelayed(self, name: str) -> Term:
        """What a condition waits for, its own delays aside."""
        return self._undelayed(self.ruleset.conditions[name])

    def _implied(self, condition: m.Condition) -> list[str]:
        """The conditions on the same formula that are set no later and cleared no sooner: while it holds, they do."""
        return [
            other.name
            for other in self.names.alike[condition.name]
            if other is not condition
            and (other.set_after or 0) <= (condition.set_after or 0)
            and (other.cleared_after or 0) >= (condition.cleared_after or 0)
        ]

    def _still_as_before(self, condition: m.Condition, flag: Flag, due: Term) -> Iterator[Term]:
        """What has not settled was due to be as it is, no longer ago than its delay."""
        was_true, was_false = (self.mode.before(condition.name, value) for value in (True, False))
        if was_true is not None:
            yield disjunction((negate(flag), due, self.in_mode(was_true)._undelayed(condition)))
        if was_false is not None:
            yield disjunction((flag, negate(due), negate(self.in_mode(was_false)._undelayed(condition))))

    def _undelayed(self, condition: m.Condition) -> Term:
        is_set = self.formula(condition.formula)
        if condition.until is None:
            return is_set
        clear = self.formula(condition.until)
        if self.mode.moved:
            if self._moves(condition.formula):
                return is_set
            return disjunction((is_set, both(self._plain._undelayed(condition), negate(clear))))
        name = s.until_flag(self.ruleset, condition.name, self.mode)
        flag = Flag(name)
        stays = disjunction((negate(is_set), flag))
        goes = disjunction((is_set, negate(clear), negate(flag)))
        ties = [stays, goes, *self._kept_with_plain(condition, flag)]
        first = next(other for other in self.names.alike[condition.name] if other.until is not None)
        if first is not condition:
            # Set and cleared by the same, it has been the same all the time.
            same = self._undelayed(first)
            ties += [disjunction((negate(flag), same)), disjunction((flag, negate(same)))]
        return self.names.flag(name, conjunction(ties))

    def _kept_with_plain(self, condition: m.Condition, flag: Flag) -> list[Term]:
        """How a condition with `until` that is told without a sensor goes with what it would be with it."""
        if not self.mode.may_fail or self._plain is self:
            return []
        plain = self._plain.condition(condition.name) if not condition.is_delayed else self._plain._undelayed(condition)
        return self._kept_with(plain, flag, self._told_condition(condition))

    def _kept_with(self, plain: Term, flag: Flag, told: str) -> list[Term]:
        """What ties an open truth told without a sensor to what it would be with it, if the states in which what makes
        it holds are the same, fewer or more.

        They were the same before the sensor failed, and whatever asks for more or for fewer states at every moment has
        held in more or in fewer of them by now, however often the sensor came and went.
        """
        if flag is plain or (isinstance(plain, Flag) and plain.name == flag.name):
            return []
        found: list[Term] = []
        if told in {_SAME, _MORE}:
            found.append(disjunction((negate(plain), flag)))
        if told in {_SAME, _LESS}:
            found.append(disjunction((negate(flag), plain)))
        return found

    def _told(self, formula: m.Formula) -> str:
        """Whether a formula, told without a sensor, holds in the same states, in fewer, in more, or neither."""
        if not self.mode.touches(self.ruleset, formula):
            return _SAME
        always = self._told_always(formula)
        if always is not None:
            return _MORE if always else _LESS
        match formula:
            case m.Compare():
                return self._told_region(formula.quantity, formula.region)
            case m.ConditionIs():
                return self._told_condition(self.ruleset.conditions[formula.name])
            case m.Held():
                return self._told(formula.part) if formula.at_least else _OTHER
            case m.Not():
                return _OPPOSITE[self._told(formula.part)]
            case m.And() | m.Or():
                return _together(self._told(part) for part in formula.parts)
        return _OTHER

    def _told_always(self, formula: m.Formula) -> bool | None:
        """What a formula is whichever of its sensors have failed (`ng at least 59 % or ng failed` is true); none where
        that depends on something."""
        term = self.formula(formula)
        gone = sorted(name for name in term.reads if name.endswith((s.FAILED, s.MISSED)))
        open_ = any(self.is_flag(name) and name not in gone for name in self.names.closed(term.reads)[0])
        if open_ or not 0 < len(gone) <= _MOST_FAILED:
            return None
        found: set[Term] = set()
        for way in product((True, False), repeat=len(gone)):
            told = term
            for name, failed in zip(gone, way, strict=True):
                told = with_flag(told, name, failed)
            if any(way):
                found.add(told)
        return True if found == {TRUE} else False if found == {FALSE} else None

    def _told_condition(self, condition: m.Condition) -> str:
        if self.mode.unsettles(self.ruleset, m.ConditionIs(condition.name, condition.formula.span)):
            return _OTHER
        is_set = self._told(condition.formula)
        return is_set if condition.until is None else _together((is_set, _OPPOSITE[self._told(condition.until)]))

    def _told_region(self, quantity: str, region: m.Region) -> str:
        if region.is_failed:
            return _MORE
        read = [quantity, *(bound.quantity for bound in region.moving)]
        if not any(self.mode.touches_quantity(self.ruleset, name) for name in read):
            return _SAME
        # What is compared with nothing is in no region; what a curve gives in place of it may be.
        return _OTHER if any(self._is_replaced(name) for name in read) else _LESS

    def _is_replaced(self, quantity: str) -> bool:
        """Whether a reading that is missing can be told as another one: a curve's `otherwise`."""
        derived = self.ruleset.quantities[quantity].derived
        if derived is None or not self.mode.touches_quantity(self.ruleset, quantity):
            return False
        if isinstance(derived, CurveOver) and derived.otherwise is not None:
            return True
        return any(self._is_replaced(name) for name in inputs(derived))

    def _told_rest(self, rule: m.Rule) -> str:
        """The same of a statement without its clock."""
        told = [_SAME if part is None else self._told(part) for part in (rule.when, rule.unless)]
        told[1] = _OPPOSITE[told[1]]
        if isinstance(rule, m.Band):
            told.append(self._told_region(rule.quantity, rule.region))
        return _together(told)

    def in_region(
        self, quantity: str, index: int | None, region: m.Region, widen: Fraction = _ZERO, *, told: bool = True
    ) -> Term:
        """A reading is in a region, or out of it by less than `widen`. `told` false: the value there is counts, also
        where its sensor has failed."""
        mode = self.mode if told else self.mode.there
        if region.is_failed:
            return self.names.failed(quantity, index, mode)
        name = self.names.reading(quantity, index, mode)
        sensor = self.range_of(name)
        if not region.moves and not widen:
            # The region is kept beside its term, so that its id is never given again to another one.
            known = self._regions.get((name, id(region)))
            if known is None:
                known = self._regions[name, id(region)] = (region, in_set(name, region.values, sensor))
            inside = known[1]
        else:
            inside = self._moving_region(quantity, index, region, widen, mode)
        if not mode.may_fail:
            return inside
        gone = [self.names.failed(quantity, index, mode)]
        gone += [self.names.failed(bound.quantity, index, mode) for bound in region.moving]
        return both(*(negate(term) for term in gone), inside)

    def interior(self, quantity: str, index: int | None, region: m.Region) -> Term:
        """A reading is in a region and not at one of its ends."""
        return both(*(self.in_region(quantity, index, part) for part in region.inner()))

    def _moving_region(
        self, quantity: str, index: int | None, region: m.Region, widen: Fraction, mode: s.FaultModel
    ) -> Term:
        exact = not widen

        def less(bound: m.Bound, included: bool, by: Fraction) -> Term:
            """The reading is below an end moved by so much (or at it)."""
            if isinstance(bound, m.Moving):
                return Less(self.names.difference(quantity, index, bound, mode), by, included)
            return Less(self.names.reading(quantity, index, mode), bound + by, included)

        parts = [
            less(side.first, exact and bool(side.kind.high), widen)
            if side.kind.is_low
            else negate(less(side.first, not (exact and side.kind.low), -widen))
            for side in region.sides()
        ]
        if region.kind.outside:
            return disjunction(parts)
        # Where its ends have crossed there is nothing in it that a deadband could keep.
        if not exact and region.second is not None:
            at = bool(region.kind.low and region.kind.high)
            parts.append(self._in_order(index, region.first, region.second, at, mode))
        return both(*parts)

    def _in_order(self, index: int | None, first: m.Bound, second: m.Bound, at: bool, mode: s.FaultModel) -> Term:
        """The first end of a region is below the second, or `at` it."""
        if isinstance(first, m.Moving):
            factor, offset = 1 / first.factor, -first.offset / first.factor
            if isinstance(second, m.Moving):
                # Both in the unit of the first one.
                factor, offset = second.factor * factor, second.offset * factor + offset
                end = m.Moving(second.quantity, factor, offset, second.low, second.high)
                return Less(self.names.difference(first.quantity, index, end, mode), _ZERO, at)
            return Less(self.names.reading(first.quantity, index, mode), second * factor + offset, at)
        if isinstance(second, m.Moving):
            return negate(
                Less(self.names.reading(second.quantity, index, mode), (first - second.offset) / second.factor, not at)
            )
        return TRUE if first < second or (at and first == second) else FALSE

    # ---- statements

    def context(self, rule: m.Rule) -> Term:
        """`when` holds and `unless` does not."""
        if self._is_plain(rule):
            return self._plain.context(rule)
        term = self._contexts.get(rule.label)
        if term is None:
            unless = FALSE if rule.unless is None else self.formula(rule.unless)
            term = both(self.formula(rule.when), negate(unless))
            self._contexts[rule.label] = term
        return term

    def applies(self, rule: m.Rule, index: int | None, *, eventually: bool = False, linger: bool = True) -> Term:
        """A statement applies: a band to an element (none for a quantity that is no array), an alert on its own.

        `eventually`: its `for more than` counts as over. `linger`: its deadband may keep it.
        """
        if isinstance(rule, m.Band) and rule.index is not None and rule.index != index:
            return FALSE
        linger = linger and not self.mode.moved
        if self._is_plain(rule):
            return self._plain.applies(rule, index, eventually=eventually, linger=linger)
        eventually = eventually or rule.held is None
        return (
            self._alert(rule, eventually) if isinstance(rule, m.Alert) else self._band(rule, index, eventually, linger)
        )

    def _alert(self, alert: m.Alert, eventually: bool) -> Term:
        context = self.context(alert)
        if eventually:
            return context
        return FALSE if self.mode.moved else both(context, self._elapsed(alert, None, context))

    def _band(self, band: m.Band, index: int | None, eventually: bool, linger: bool) -> Term:
        deadband = self.ruleset.quantities[band.quantity].deadband
        linger = linger and deadband is not None and not band.region.is_failed
        key = (band.label, index, eventually, linger)
        term = self._bands.get(key)
        if term is None:
            region = self.in_region(band.quantity, index, band.region)
            if linger and deadband is not None:
                near = self.in_region(band.quantity, index, band.region, deadband)
                kept = self.names.flag(s.lingers_flag(self.ruleset, band, index, self.mode), TRUE)
                region = disjunction((region, both(kept, near)))
            term = both(region, self.context(band))
            if not eventually and self.mode.moved:
                reads = self.names.changed(self.mode).read_by_rule(band, index)
                term = FALSE if reads else self._plain.applies(band, index, linger=False)
            elif not eventually:
                # What has elapsed may count on the deadband: it needs the widest rest there is.
                rest = self.applies(band, index, eventually=True)
                term = both(term, self._elapsed(band, index, rest))
            self._bands[key] = term
        return term

    def _elapsed(self, rule: m.Rule, index: int | None, rest: Term) -> Flag:
        """That the rest of a statement has lasted for longer than its `for more than`: it needs the rest."""
        name = s.elapsed_flag(self.ruleset, rule, index, self.mode)
        flag = Flag(name)
        if name not in self.names.flags:
            ties = [disjunction((negate(flag), rest))]
            if self.mode.may_fail and self._plain is not self:
                whole = self._plain.applies(rule, index, eventually=True)
                ties += self._kept_with(self._plain._elapsed(rule, index, whole), flag, self._told_rest(rule))
            self.names.flag(name, conjunction(ties))
        return flag

    def shows_at_least(
        self, quantity: str, index: int | None, rank: int, *, eventually: bool = False, linger: bool = True
    ) -> Term:
        """The gauge shows a colour of at least a rank."""
        return disjunction(
            self.applies(band, index, eventually=eventually, linger=linger)
            for band in self.ruleset.bands_by_quantity[quantity]
            if band.colour.rank >= rank
        )

    def shows_any(self, quantity: str, index: int | None, *, eventually: bool = False) -> Term:
        """Some band applies, unmarked ones included. What a deadband may keep is not counted on."""
        bands = self.ruleset.bands_by_quantity[quantity]
        return disjunction(self.applies(band, index, eventually=eventually, linger=False) for band in bands)

    def given(self, declared: m.Range) -> Term:
        return self.formula(declared.when)

    def inside(self, declared: m.Range, index: int | None) -> Term:
        """A precaution or normal range: its `when` holds and the reading is in it."""
        return both(self.given(declared), self.in_region(declared.quantity, index, declared.region, told=False))

    def violated(self, declared: m.Range, index: int | None) -> Term:
        """A limit is broken, or an avoid range is entered (its `except for` aside), by the value there is."""
        known = self._violated.get((declared.label, index))
        if known is None:
            region = self.in_region(declared.quantity, index, declared.region, told=False)
            known = both(self.given(declared), region if declared.kind is m.RangeKind.AVOID else negate(region))
            self._violated[declared.label, index] = known
        return known

    def matters(self, declared: m.Range, index: int | None) -> Term:
        """A limit is broken or an avoid range entered, or a precaution or normal range holds the reading."""
        return self.violated(declared, index) if declared.forbids else self.inside(declared, index)

    def any_alert_up(self, level: m.Level, *, eventually: bool = False, linger: bool = True) -> Term:
        """Any alert at all is up, at a level or above."""
        return disjunction(
            self.applies(rule, index, eventually=eventually, linger=linger)
            for rule in self.ruleset.rules
            if rule.alert is not None and rule.alert.level >= level
            for index in self.ruleset.indexes_of(rule)
        )
