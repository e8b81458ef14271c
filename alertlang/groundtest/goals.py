"""What a card has to show, and for each a stimulus that shows it: found by the solver, so that where there is none,
that is proved.

Of bands: every end of each from both sides. Of contexts: every condition deciding by itself, and every number in it
from both sides. Of sensors: each failed alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import product

from alertlang.groundtest.decisions import Decision, as_term, decides, decisions, outcome
from alertlang.groundtest.grid import NO_STIMULI, Grid, GridEdge, Setting, Stimuli, edges
from alertlang.groundtest.mcdc import Row, masking, rows, small_set, unique_cause
from alertlang.groundtest.ramp import Ramp, trend_edges
from alertlang.groundtest.stimulus import Setter
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval

# How many steps from its edge a computed reading may be.
_WIDER = (0, 1, 2, 5, 10, 20)
_MOST_OBSERVERS = 8
# A decision of more conditions than this is covered condition by condition, not row by row.
_MOST_CONDITIONS = 6
# So many conditions with `until` are gone through, set and cleared, for what has to be so from before.
_MOST_REMEMBERED = 3
AT_ONCE = Fraction(0)


@dataclass(frozen=True, slots=True)
class Aim:
    """What is to be shown: in words, whether it is met by what is shown at the end, and for how long it is looked at:
    what comes late is seen then, or that it does not come."""

    what: str
    is_met: Callable[[Shown], bool]
    wait: Fraction = AT_ONCE


@dataclass(frozen=True, slots=True, eq=False)
class CardGoal:
    """One thing to be shown. `parts`: what to set, one after the other (the last shows it). `alone`: nothing else may
    be shown in the same step."""

    aim: Aim
    parts: tuple[Stimuli, ...]
    alone: bool = False
    # The one value at which it has to be shown, if there is no other.
    fixed: tuple[str, Setting] | None = None
    # It is shown while readings move, from what the last part sets on.
    ramp: Ramp | None = None

    @property
    def what(self) -> str:
        return self.aim.what

    @property
    def wait(self) -> Fraction:
        return self.aim.wait

    def is_met(self, shown: Shown) -> bool:
        return self.aim.is_met(shown)


@dataclass(slots=True)
class Goals:
    """`moving`: those that a ramp shows. `impossible`: proved, under the assumptions of the rule set. `open`: not
    decided, or shown neither by values that stand still nor by a ramp."""

    base: Stimuli
    grids: Mapping[str, Grid]
    found: list[CardGoal] = field(default_factory=list)
    moving: list[CardGoal] = field(default_factory=list)
    impossible: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    pairs: int = 0
    masked: int = 0


def goals(ruleset: m.RuleSet) -> Goals:
    """Everything that a card for a rule set has to show."""
    return _Maker(ruleset).all()


class _Maker:
    """Makes goals of what can be shown, and keeps what cannot."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.setter = Setter(ruleset)
        self.context, self.encoder = self.setter.context, self.setter.encoder
        self.base, self.grids = self.setter.base, self.setter.grids
        self.made = Goals(self.base, self.grids)
        self._encoders: dict[tuple[str, bool, object], Encoder] = {}
        self._covered: set[m.Formula] = set()

    def all(self) -> Goals:
        for band in self.ruleset.bands:
            for index in self.ruleset.quantities[band.quantity].indexes:
                if band.index in (None, index):
                    self._band(band, index)
        for decision in decisions(self.ruleset):
            self._decision(decision)
        for condition in self.ruleset.conditions.values():
            if condition.until is not None:
                self._until(condition)
        for name in self.setter.sensors():
            away = {**self.base, name: None}
            self.made.found.append(CardGoal(Aim(f"{name} failed alone", _failed(name)), (away,), alone=True))
        return self.made

    # ---- one goal

    def _show(
        self,
        aim: Aim,
        goal: Term,
        sees: Sequence[Term],
        hint: object,
        *,
        bare: Term | None = None,
        given: Stimuli = NO_STIMULI,
        fresh: str | None = None,
        first: Stimuli | None = None,
    ) -> None:
        """A goal where it can be seen (the first of `sees` that can be); else where it holds though nobody sees a
        difference. `bare`: what has to be impossible too before that is said of the goal. `fresh`: a sensor that is
        taken off before, so that nothing is left of what it read. `first`: what is set before."""
        for term in (*(both(goal, seen) for seen in sees), goal):
            answer, stimuli = self.setter.solve(term, hint, given)
            if stimuli is not None:
                before: tuple[Stimuli, ...] = () if fresh is None else ({**stimuli, fresh: None},)
                if first is not None:
                    before, stimuli = (first,), {**first, **stimuli}
                self.made.found.append(CardGoal(aim, (*before, stimuli), fixed=next(iter(given.items()), None)))
                return
        if answer is Answer.NO and (bare is None or self.context.is_satisfiable(bare) is Answer.NO):
            self.made.impossible.append(aim.what)
        elif not self._show_moving(aim, goal, sees, () if first is None else (first,)):
            self.made.open.append(f"{aim.what}: {self._why_open(goal)}")

    def _show_moving(self, aim: Aim, goal: Term, sees: Sequence[Term], before: tuple[Stimuli, ...] = ()) -> bool:
        """A goal of which a ramp is the stimulus, if there is one."""
        terms = [*(both(goal, seen) for seen in sees), goal]
        found = self.setter.find_ramp(terms, aim.is_met, aim.wait, before)
        if found is not None:
            self.made.moving.append(CardGoal(aim, found[0], ramp=found[1]))
        return found is not None

    def _why_open(self, goal: Term) -> str:
        if self.context.is_satisfiable(goal) is Answer.UNDECIDED:
            return "not decided, the solver gave up"
        if any(self.setter.is_trend(name) for name in self.encoder.definitions_for(goal.reads)[0]):
            return "only a reading that moves could show it"
        return "no settings found on the steps of the gauges"

    def _not_shown(self, what: str, proved: bool) -> None:
        (self.made.impossible if proved else self.made.open).append(what)

    def _span(self, reading: str, edge: GridEdge, value: Fraction, given: Term) -> Interval:
        """Where a reading has to be to stand beside an edge: at one value; of a computed one, that its sensors cannot
        always bring there, the least span of some on its side in which they can."""
        quantity = self.context.quantity(reading)
        here = Interval.closed(value, value)
        if not quantity.is_computed:
            return here
        other = edge.outside if value == edge.inside else edge.inside
        up = value > other if other is not None else value <= (quantity.low + quantity.high) / 2
        for steps in _WIDER:
            end = value + (steps if up else -steps) * self.grids[quantity.name].resolution
            span = Interval.closed(min(value, end), max(value, end))
            if self.setter.solve(both(given, in_interval(reading, span)))[1] is not None:
                return span
        return here

    def _wins(
        self, band: m.Band, index: int | None, encoder: Encoder | None = None, but: tuple[m.Band, ...] = ()
    ) -> Term:
        """No other band (but some that come later) shows the same colour or a worse one."""
        return self._none_of(band, index, but, lambda other: other.colour >= band.colour, encoder)

    def _no_twin(self, band: m.Band, index: int | None, but: tuple[m.Band, ...] = ()) -> Term:
        """No other band (but some that come later) shows the colour: that this one does not apply can be seen."""
        return self._none_of(band, index, but, lambda other: other.colour == band.colour)

    def _none_of(
        self,
        band: m.Band,
        index: int | None,
        but: tuple[m.Band, ...],
        counts: Callable[[m.Band], bool],
        encoder: Encoder | None = None,
    ) -> Term:
        return conjunction(
            negate((encoder or self.encoder).applies(other, index, eventually=True, linger=True))
            for other in self.ruleset.bands_by_quantity[band.quantity]
            if other is not band and other not in but and counts(other)
        )

    def _delays(self, rule: m.Band | m.Alert) -> Fraction:
        """The delays of a statement and of one condition it waits for, one after the other."""
        reads = [self.ruleset.conditions[name] for name in self.ruleset.conditions_read(rule.when, rule.unless)]
        before = max((d for c in reads for d in (c.set_after, c.cleared_after) if d is not None), default=AT_ONCE)
        return before + (rule.held or AT_ONCE) + (rule.after or AT_ONCE)

    def _first(self, band: m.Band) -> int | None:
        return band.index if band.index is not None else self.ruleset.quantities[band.quantity].indexes[0]

    # ---- bands

    def _band(self, band: m.Band, index: int | None) -> None:
        place = (band.label, index)
        called, reading = m.variable(band.label, index), m.variable(band.quantity, index)
        encoder = self.context.encoder_for()
        given = both(encoder.context(band), self.setter.definite(band.when, band.unless, encoder=encoder))
        if band.region.is_failed:
            aim = Aim(f"{called}: {reading} failed", _applies(place, True))
            self.made.found.append(CardGoal(aim, ({reading: None},)))
            return
        term = encoder.in_region(band.quantity, index, band.region)
        inside = both(given, term)
        if self.context.is_satisfiable(inside) is Answer.NO:
            self.made.impossible.append(f"{called} never applies")
            return
        whole = Aim(f"{called}: inside", _applies(place, True))
        wins = self._wins(band, index)
        if band.region.moves:
            self._show(whole, inside, (wins,), place)
            beyond = both(given, negate(term))
            aim = Aim(f"{called}: outside", _applies(place, False), self._delays(band))
            self._show(aim, beyond, [wins, self._no_twin(band, index)], place)
            return
        quantity = self.ruleset.quantities[band.quantity]
        grid = self.grids[band.quantity]
        if quantity.is_trend:
            self._trend_edges(band, index, given)
            return
        waits = tuple(
            one
            for one in self.ruleset.bands_by_quantity[band.quantity]
            if one is not band and one.held is not None and not one.region.moves
        )
        key = ("band", band.when, band.unless)
        found = edges(grid, band.region)
        if all(edge.inside is None and edge.outside is None for edge in found):
            self._show(whole, inside, [wins], place)
        for edge in found:
            for side, value, holds in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                if value is None:
                    continue
                span = self._span(reading, edge, value, given)
                at = both(given, in_interval(reading, span))
                # What was before hides an edge where a deadband keeps a band, or a band that came in time is worse.
                soon = tuple(wait for wait in waits if wait.region.values.contains(value))
                fresh = reading if quantity.derived is None and (soon or quantity.deadband is not None) else None
                without = soon if fresh else ()
                # Outside, too, nothing worse may cover it: else nobody would see that the band goes too far.
                sees = [self._wins(band, index, but=without)]
                if not holds:
                    sees.append(self._no_twin(band, index, but=without))
                what = f"{called}: {reading} {_said(span, grid)} {side} {grid.say(edge.number)}"
                known: Stimuli = {reading: value} if reading in self.base else NO_STIMULI
                aim = Aim(what, _applies(place, holds), self._delays(band))
                self._show(aim, at, sees, key, given=known, fresh=fresh)

    def _trend_edges(self, band: m.Band, index: int | None, given: Term) -> None:
        """Both sides of every end, of a rise or fall: by ramps that are clear of it."""
        quantity = self.ruleset.quantities[band.quantity]
        place, reading = (band.label, index), m.variable(band.quantity, index)
        called, wait = m.variable(band.label, index), self._delays(band)
        inside = self.context.encoder_for().in_region(band.quantity, index, band.region)
        wins = self._wins(band, index)
        found = list(trend_edges(quantity, band.region))
        if not found:
            aim = Aim(f"{called}: inside", _applies(place, True), wait)
            self._show(aim, both(given, inside), [wins], place)
        for number, holds, span in found:
            at = both(given, in_interval(reading, span), inside if holds else negate(inside))
            sees = [wins] if holds else [wins, self._no_twin(band, index)]
            what = f"{called}: {reading} {_clear(span, self.grids[band.quantity], holds, number)}"
            self._show(Aim(what, _applies(place, holds), wait), at, sees, place)

    # ---- what somebody at the panel sees of a decision, for how long to look, and the numbers in it

    def _aim(self, decision: Decision, what: str, result: bool) -> Aim:
        """`wait`: until all that waits for what it comes to would be seen."""
        rule, name = decision.rule, decision.condition
        if name is not None:
            wait = max((self._delays(reader) for reader in self._readers(name)), default=AT_ONCE)
            return Aim(what, lambda shown: shown.conditions[name] is result, wait)
        assert rule is not None
        index = None if isinstance(rule, m.Alert) else self._first(rule)
        return Aim(what, _applies((rule.label, index), result), self._delays(rule))

    def _readers(self, name: str) -> list[m.Band | m.Alert]:
        """Some statements that wait for a condition, those that name it first."""
        readers = [r for r in self.ruleset.rules if name in self.ruleset.conditions_read(r.when, r.unless)]
        direct = [r for r in readers if name in _named(r.when) | _named(r.unless)]
        return [*direct, *(r for r in readers if r not in direct)][:_MOST_OBSERVERS]

    def _observed(self, decision: Decision, encoder: Encoder) -> Term:
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
        inside = self._region(rule, encoder)
        if isinstance(rule, m.Alert) or rule.alert is not None:
            return inside
        return both(inside, self._wins(rule, self._first(rule), self._failing(rule, encoder)))

    def _region(self, rule: m.Band | m.Alert | None, encoder: Encoder) -> Term:
        """What a statement asks for besides its context."""
        if rule is None or isinstance(rule, m.Alert):
            return TRUE
        return self._failing(rule, encoder).in_region(rule.quantity, self._first(rule), rule.region)

    def _failing(self, rule: m.Band, encoder: Encoder) -> Encoder:
        """An encoder in whose states the sensors of a band may fail, if that is what it shows."""
        if not rule.region.is_failed:
            return encoder
        return self.context.encoder_for(failing=self.ruleset.sensors_read(rule.quantity, self._first(rule)))

    def _if(self, name: str, value: bool, encoder: Encoder) -> Encoder:
        """Terms of the same rule set with one condition always, or never, true."""
        key = (name, value, encoder.mode)
        found = self._encoders.get(key)
        if found is None:
            condition = self.ruleset.conditions[name]
            fixed: m.Formula = m.And((), span=condition.span) if value else m.Or((), span=condition.span)
            always = replace(condition, formula=fixed, until=None, set_after=None, cleared_after=None)
            changed = replace(self.ruleset, conditions={**self.ruleset.conditions, name: always})
            found = self._encoders[key] = Encoder(changed, encoder.mode, encoder.names)
        return found

    def _leaf_edges(self, leaf: m.Formula, encoder: Encoder) -> Iterator[tuple[str, bool, Term]]:
        """Both sides of every number in a condition of a decision: what, whether it holds there, and its term."""
        if isinstance(leaf, m.Held | m.Not):
            for what, holds, pin in self._leaf_edges(leaf.part, encoder):
                yield what, (not holds if isinstance(leaf, m.Not) else holds and leaf.at_least), pin
            return
        if not isinstance(leaf, m.Compare) or leaf.region.is_failed or leaf.region.moves:
            return
        quantity = self.ruleset.quantities[leaf.quantity]
        grid = self.grids[leaf.quantity]
        if quantity.is_trend:
            for number, inside, span in trend_edges(quantity, leaf.region):
                for index in leaf.indexes:
                    reading = m.variable(leaf.quantity, index)
                    term = encoder.in_region(leaf.quantity, index, leaf.region)
                    pin = both(in_interval(reading, span), term if inside else negate(term))
                    pin = self._others(leaf, index, pin, encoder)
                    yield f"{reading} {_clear(span, grid, inside, number)}", inside, pin
            return
        for edge in edges(grid, leaf.region):
            for index in leaf.indexes:
                for side, value, inside in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                    if value is None:
                        continue
                    reading = m.variable(leaf.quantity, index)
                    # The name has to be known with what it is worked out from.
                    encoder.in_region(leaf.quantity, index, leaf.region)
                    span = self._span(reading, edge, value, TRUE)
                    pin = self._others(leaf, index, in_interval(reading, span), encoder)
                    yield f"{reading} {_said(span, grid)} {side} {grid.say(edge.number)}", inside, pin

    def _others(self, leaf: m.Compare, index: int | None, pin: Term, encoder: Encoder) -> Term:
        """With all other elements such that one decides alone."""
        others = [encoder.in_region(leaf.quantity, i, leaf.region) for i in leaf.indexes if i != index]
        return both(pin, *(negate(term) if leaf.quantifier == "any" else term for term in others))

    # ---- decisions

    def _decision(self, decision: Decision) -> None:
        """Every condition of a decision shown to decide by itself, and every number in it from both sides."""
        encoder = self.context.encoder_for(decision.formula)
        terms = decision.terms(encoder)
        definite = self.setter.definite(decision.formula, encoder=encoder)
        seen = self._observed(decision, encoder)
        value = as_term(decision.formula, terms)
        if decision.rule is not None and decision.formula in self._covered:
            # The same words have been shown in full: of this statement, that it waits for them.
            aim = self._aim(decision, f"{decision.name}: not in its context", False)
            self._show(aim, both(definite, negate(value)), (seen,), ("off", decision.formula), bare=negate(value))
            return
        self._covered.add(decision.formula)
        where = self._region(decision.rule, encoder)
        each = self._rows_of if len(terms) <= _MOST_CONDITIONS else self._leaves_of
        never = each(decision, terms, definite, seen, where)
        for place, leaf in enumerate(decision.conditions):
            if place in never:
                continue
            bare = both(where, decides(decision.formula, terms, place))
            for what, holds, pin in self._leaf_edges(leaf, encoder):
                value = as_term(
                    decision.formula,
                    [TRUE if i == place and holds else FALSE if i == place else t for i, t in enumerate(terms)],
                )
                self._either(decision, what, both(bare, pin), definite, value, seen, place)

    def _either(
        self, decision: Decision, what: str, bare: Term, definite: Term, value: Term, seen: Term, place: int
    ) -> bool:
        """Shows where one condition decides, with whatever the decision comes to there. False: it nowhere does, and
        that has been said."""
        what = f"{decision.name}: {what}"
        proved = True
        for result in (True, False):
            out = value if result else negate(value)
            goal = both(bare, definite, out)
            if self.context.is_satisfiable(goal) is Answer.YES:
                goal, first = self._undisturbed(decision, result, goal)
                self._show(self._aim(decision, what, result), goal, (seen,), (decision.name, place), first=first)
                return True
            proved = proved and self.context.is_satisfiable(both(bare, out)) is Answer.NO
        words = "never decides" if proved else "not shown to decide, and not proved that it never does"
        self._not_shown(f"{what}: {words}", proved)
        return False

    def _rows_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, where: Term
    ) -> set[int]:
        """Shows a smallest set of rows; says which conditions have no pair at all."""

        def decide(row: Row) -> bool:
            return outcome(decision.formula, row)

        def at(row: Row) -> Term:
            return conjunction(term if true else negate(term) for term, true in zip(terms, row, strict=True))

        words = decision.words(self.ruleset)
        # Where a band cannot be, its context decides nothing.
        answers = {row: self.context.is_satisfiable(both(at(row), where)) for row in rows(len(terms))}
        possible = [row for row, answer in answers.items() if answer is Answer.YES]
        proved = all(answer is not Answer.UNDECIDED for answer in answers.values())
        pairs = []
        for place, word in enumerate(words):
            found = unique_cause(decide, possible, place)
            if found:
                self.made.pairs += 1
            else:
                found = masking(decide, possible, place)
                said = "with another condition changing too (masking)" if found else "nor with others changing too"
                self.made.masked += bool(found)
                text = f"{decision.name}: {word} cannot decide with all others as they are; {said}"
                self._not_shown(text if proved else f"{text} (not proved: the solver gave up)", proved)
            pairs.append(found)
        chosen, _ = small_set(pairs, possible)
        for row in chosen:
            said = ", ".join(f"{w} {'yes' if true else 'no'}" for w, true in zip(words, row, strict=True))
            aim = self._aim(decision, f"{decision.name}: {said}", decide(row))
            bare, goal = both(at(row), where), both(definite, at(row), where)
            if self.context.is_satisfiable(goal) is Answer.NO and self._after(decision, aim, bare, seen):
                continue
            goal, first = self._undisturbed(decision, decide(row), goal)
            self._show(aim, goal, (seen,), (decision.name, row), bare=bare, first=first)
        return {place for place, found in enumerate(pairs) if not found}

    def _undisturbed(self, decision: Decision, result: bool, goal: Term) -> tuple[Term, Stimuli | None]:
        """A goal in which a condition with `until` is not true: cleared there, or by what is set first; else what it
        was would keep it."""
        condition = None if decision.condition is None else self.ruleset.conditions[decision.condition]
        if result or condition is None or condition.until is None:
            return goal, None
        cleared = both(goal, self.context.encoder_for(decision.formula).formula(condition.until))
        if self.context.is_satisfiable(cleared) is Answer.YES:
            return cleared, None
        before = both(self.encoder.formula(condition.until), negate(self.encoder.formula(condition.formula)))
        return goal, self.setter.solve(before, (condition.name, "cleared"))[1]

    def _after(self, decision: Decision, aim: Aim, goal: Term, seen: Term) -> bool:
        """A goal for which a condition with `until` has to be what it was before: set or cleared first. Whether there
        is a way."""
        reads = self.ruleset.conditions_read(decision.formula)
        names = [name for name in sorted(reads) if self.ruleset.conditions[name].until is not None]
        encoder, now = self.encoder, self.context.encoder_for(decision.formula)
        for values in product((False, True), repeat=min(len(names), _MOST_REMEMBERED)):
            made, kept = [], []
            for name, value in zip(names, values, strict=False):
                condition = self.ruleset.conditions[name]
                is_set, is_cleared = encoder.formula(condition.formula), encoder.formula(condition.until)
                made.append(is_set if value else both(is_cleared, negate(is_set)))
                kept.append(now.condition(name) if value else negate(now.condition(name)))
            before = self.setter.solve(conjunction(made))[1]
            if before is None:
                continue
            for term in (both(goal, *kept, seen), both(goal, *kept)):
                after = self.setter.solve(term, given=before)[1] or self.setter.solve(term)[1]
                if after is not None:
                    self.made.found.append(CardGoal(aim, (before, {**before, **after})))
                    return True
        return False

    def _leaves_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, where: Term
    ) -> set[int]:
        """Shows each condition deciding both ways, one by one; says which never do."""
        never = set()
        value = as_term(decision.formula, terms)
        for place, word in enumerate(decision.words(self.ruleset)):
            bare = both(where, decides(decision.formula, terms, place))
            shown = [
                self._either(decision, f"{word} {way} decides", both(bare, term), definite, value, seen, place)
                for way, term in (("yes", terms[place]), ("no", negate(terms[place])))
            ]
            self.made.masked += all(shown)
            if not all(shown):
                never.add(place)
        return never

    def _until(self, condition: m.Condition) -> None:
        """Set, still so one step before it is cleared, and cleared."""
        assert condition.until is not None
        name = condition.name
        if not any(name in self.ruleset.conditions_read(r.when, r.unless) for r in self.ruleset.rules):
            return
        decision = Decision(name, condition.until, condition=name)
        encoder = self.encoder
        seen = self._observed(decision, encoder)
        terms = decision.terms(encoder)
        is_set, until = encoder.formula(condition.formula), encoder.formula(condition.until)
        answer, before = self.setter.solve(is_set, (name, "set"))
        if before is None:
            self._not_shown(f"condition {name} is never set", answer is Answer.NO)
            return
        for place, leaf in enumerate(decision.conditions):
            alone = both(decides(condition.until, terms, place), negate(is_set))
            for what, holds, pin in self._leaf_edges(leaf, encoder):
                said = f"condition {name}, set before: {what}"
                for cleared in (holds, not holds):
                    goal = both(alone, pin, until if cleared else negate(until))
                    stimuli = self.setter.solve(both(goal, seen), (name, "until"))[1] or self.setter.solve(goal)[1]
                    if stimuli is not None:
                        parts = (before, {**before, **stimuli})
                        self.made.found.append(CardGoal(self._aim(decision, said, not cleared), parts))
                        break
                else:
                    goal = both(alone, pin)
                    # What clears it may be a rise or fall.
                    at = both(goal, until if holds else negate(until))
                    if self._show_moving(self._aim(decision, said, not holds), at, [seen], (before,)):
                        continue
                    self._not_shown(said, self.context.is_satisfiable(goal) is Answer.NO)


def _said(span: Interval, grid: Grid) -> str:
    assert span.low is not None
    assert span.high is not None
    if span.low == span.high:
        return f"{grid.say(span.low)}, one step"
    return f"{grid.say(span.low)} to {grid.say(span.high)}, as near as can be"


def _clear(span: Interval, grid: Grid, inside: bool, number: Fraction) -> str:
    assert span.low is not None
    assert span.high is not None
    ends = f"{grid.say(span.low)} to {grid.say(span.high)}"
    return f"{ends}, clearly {'inside' if inside else 'outside'} {grid.say(number)}"


def _applies(place: tuple[str, int | None], holds: bool) -> Callable[[Shown], bool]:
    return lambda shown: shown.applies[place] is holds


def _failed(name: str) -> Callable[[Shown], bool]:
    return lambda shown: shown.values[name] is None


def _named(formula: m.Formula | None) -> set[str]:
    return set() if formula is None else {p.name for p in m.parts_of(formula) if isinstance(p, m.ConditionIs)}
