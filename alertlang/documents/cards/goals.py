"""What a card has to show, and for each a stimulus that shows it: found by the solver, so that where there is none,
that is proved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.documents.cards.decisions import Decision, as_term, decides, decisions, outcome
from alertlang.documents.cards.grid import edges, grid_of
from alertlang.documents.cards.mcdc import Row, masking, rows, small_set, unique_cause
from alertlang.documents.states import usual_state
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Model
from alertlang.logic.terms import FALSE, TRUE, At, Flag, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.model.snapshot import failed_flag
from alertlang.units.interval import Interval
from alertlang.units.number import say_value

# What some stimuli are set to, by name: a value in its own unit, a switch position, or none for a sensor taken off.
Setting = Fraction | str | None
Stimuli = Mapping[str, Setting]

# A decision of more conditions than this is covered condition by condition, not row by row.
_MOST_CONDITIONS = 6
_MOST_OBSERVERS = 8
# So many settings found before are tried again for what is like them.
_MOST_HINTS = 12
_NOTHING: Stimuli = {}


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """One thing to be shown. `parts`: what to set, one after the other (the last shows it); `is_met` by what is shown
    at the end of the last. `alone`: nothing else may be shown in the same step."""

    what: str
    kind: str
    parts: tuple[Stimuli, ...]
    is_met: Callable[[Shown], bool]
    alone: bool = False


@dataclass(slots=True)
class Goals:
    """`impossible`: proved, under the assumptions of the rule set. `open`: not decided, or not to be shown by values
    that stand still."""

    base: Stimuli
    found: list[Goal] = field(default_factory=list)
    impossible: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    pairs: int = 0
    masked: int = 0


def goals(ruleset: m.RuleSet) -> Goals:
    """Everything that a card for a rule set has to show."""
    return _Maker(ruleset).all()


class _Maker:
    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.context = Context(ruleset)
        self.encoder = self.context.encoder
        for name in ruleset.conditions:
            self.encoder.condition(name)
        self.grids = {name: grid_of(ruleset, quantity) for name, quantity in ruleset.quantities.items()}
        self.base = self._base()
        self.made = Goals(self.base)
        self._covered: set[m.Formula] = set()
        self._hints: dict[object, list[Stimuli]] = {}
        self._encoders: dict[tuple[str, bool, object], Encoder] = {}

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
        for name in self._sensors():
            away = {**self.base, name: None}
            self._add(f"{name} failed alone", "sensor failure", (away,), _failed(name), alone=True)
        return self.made

    def _add(
        self, what: str, kind: str, parts: tuple[Stimuli, ...], is_met: Callable[[Shown], bool], alone: bool = False
    ) -> None:
        self.made.found.append(Goal(what, kind, parts, is_met, alone))

    # ---- where everything starts

    def _sensors(self) -> Iterator[str]:
        for quantity in self.ruleset.quantities.values():
            if quantity.derived is None:
                yield from (m.variable(quantity.name, index) for index in quantity.indexes)

    def _base(self) -> Stimuli:
        """As usual as can be, on the steps of the gauges."""
        usual = usual_state(self.context)
        found: dict[str, Setting] = {}
        for name in self._sensors():
            quantity = self.ruleset.quantities[name.split("[")[0]]
            value = quantity.low if usual is None else usual.state.readings.get(name, quantity.low)
            found[name] = self.grids[quantity.name].near(value) or value
        for switch in self.ruleset.switches.values():
            found[switch.name] = (
                switch.positions[0] if usual is None else usual.state.positions.get(switch.name, switch.positions[0])
            )
        return found

    # ---- a stimulus for a term

    def _solve(self, goal: Term, hint: object = None, given: Stimuli = _NOTHING) -> tuple[Answer, Stimuli | None]:
        """Whether a term can be true, and settings of all it reads: as in the state where everything starts, or as for
        the goal before it, wherever that can be; and always values that can be set. `given`: what the term asks for
        of them anyway."""
        names = sorted(self.encoder.definitions_for(goal.reads)[0])
        steady = [
            in_interval(name, Interval.closed(_ZERO, _ZERO))
            for name in names
            if self._is_trend(name) and self.context.quantity(name).range.contains(_ZERO)
        ]
        term = conjunction((goal, *steady))
        answer = self.context.possible(term)
        if answer is not Answer.YES:
            if steady and answer is Answer.NO and self.context.possible(goal) is Answer.YES:
                return Answer.UNDECIDED, None
            return answer, None
        settable = [name for name in names if self._can_be_set(name)]
        start = {**self.base, **given}
        hints = self._hints.setdefault(hint, []) if hint is not None else []
        for before in (_NOTHING, *reversed(hints)):
            preferred = {**self.base, **before, **given}
            pinned = conjunction((term, *(self._pin(n, preferred[n], names) for n in settable)))
            if self.context.possible(pinned) is Answer.YES:
                return Answer.YES, {n: preferred[n] for n in settable}
        chosen = self._one_by_one(term, settable, names, start)
        if chosen is None:
            return Answer.UNDECIDED, None
        if hint is not None:
            hints.append(chosen)
            del hints[:-_MOST_HINTS]
        return Answer.YES, chosen

    def _one_by_one(self, term: Term, settable: list[str], names: list[str], start: Stimuli) -> Stimuli | None:
        chosen: dict[str, Setting] = {}
        # First as much as can be as it is, then the rest at the nearest value that can be set.
        rest = []
        for name in settable:
            more = both(term, self._pin(name, start[name], names))
            if self.context.possible(more) is Answer.YES:
                term = more
                chosen[name] = start[name]
            else:
                rest.append(name)
        model = self.context.decider.model(term) if rest else None
        for name in rest:
            for setting in self._choices(name, term, names, model):
                more = both(term, self._pin(name, setting, names))
                if self.context.possible(more) is Answer.YES:
                    term = more
                    chosen[name] = setting
                    break
            else:
                return None
        return {name: chosen[name] for name in settable}

    def _choices(self, name: str, term: Term, names: list[str], model: Model | None) -> Iterator[Setting]:
        if name in self.ruleset.switches:
            yield from self.ruleset.switches[name].positions
            return
        quantity = self.context.quantity(name)
        if model is not None and name in model.readings:
            grid, value = self.grids[quantity.name], model.readings[name]
            for one in (grid.near(value), grid.under(value, at=True), grid.over(value, at=True)):
                if one is not None and quantity.low <= one <= quantity.high:
                    yield one
        found = self.context.explorer.explore(term, name, 1).found
        if found:
            box = found[0].box.readings[name]
            value = found[0].witness.readings[name]
            grid = self.grids[quantity.name]
            near = [grid.near(value), grid.under(value, at=True), grid.over(value, at=True)]
            for end in (box.low, box.high):
                if end is not None:
                    near += [grid.over(end, at=False), grid.under(end, at=False), grid.near(end)]
            yield from (v for v in near if v is not None and quantity.low <= v <= quantity.high)
        if failed_flag(name) in names:
            yield None

    def _can_be_set(self, name: str) -> bool:
        return name in self.base

    def _is_trend(self, name: str) -> bool:
        quantity = self.ruleset.quantities.get(name.split("[")[0])
        return quantity is not None and quantity.is_trend

    def _pin(self, name: str, setting: Setting, names: Iterable[str]) -> Term:
        if isinstance(setting, str):
            return At(name, setting)
        gone = Flag(failed_flag(name)) if failed_flag(name) in names else FALSE
        if setting is None:
            return gone
        return both(in_interval(name, Interval.closed(setting, setting)), negate(gone))

    def _definite(self, *formulas: m.Formula | None, encoder: Encoder) -> Term:
        """Every condition with `until` that is read is set, or cleared: never what it happened to be before."""
        parts = []
        for name in sorted(self.ruleset.conditions_read(*formulas)):
            condition = self.ruleset.conditions[name]
            if condition.until is not None:
                parts.append(disjunction((encoder.formula(condition.formula), encoder.formula(condition.until))))
        return conjunction(parts)

    # ---- bands

    def _band(self, band: m.Band, index: int | None) -> None:
        place = (band.label, index)
        called = m.variable(band.label, index)
        reading = m.variable(band.quantity, index)
        encoder = self.context.encoder_for()
        given = both(encoder.context(band), self._definite(band.when, band.unless, encoder=encoder))
        if band.region.kind == "failed":
            self._add(f"{called}: {reading} failed", "band", ({reading: None},), _applies(place, True))
            return
        inside = both(given, encoder.in_region(band.quantity, index, band.region))
        if self.context.possible(inside) is Answer.NO:
            self.made.impossible.append(f"{called} never applies")
            return
        if band.region.moves:
            self._show(f"{called}: inside", "band edge", inside, self._wins(band, index), _applies(place, True), place)
            beyond = both(given, negate(encoder.in_region(band.quantity, index, band.region)))
            self._show(
                f"{called}: outside", "band edge", beyond, self._no_twin(band, index), _applies(place, False), place
            )
            return
        quantity = self.ruleset.quantities[band.quantity]
        unit = quantity.unit
        waits = tuple(
            one
            for one in self.ruleset.bands_by_quantity[band.quantity]
            if one is not band and one.held is not None and not one.region.moves
        )
        key = ("band", band.when, band.unless)
        found = edges(self.grids[band.quantity], band.region)
        if all(edge.inside is None and edge.outside is None for edge in found):
            self._show(f"{called}: inside", "band edge", inside, self._wins(band, index), _applies(place, True), place)
        for edge in found:
            for side, value, holds in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                if value is None:
                    continue
                at = both(given, in_interval(reading, Interval.closed(value, value)))
                # What was before hides an edge where a deadband keeps a band, or a band that came in time is worse.
                soon = tuple(one for one in waits if one.region.values.contains(value))
                fresh = reading if quantity.derived is None and (soon or quantity.deadband is not None) else None
                without = soon if fresh else ()
                seen = self._wins(band, index, but=without) if holds else self._no_twin(band, index, but=without)
                what = f"{called}: {reading} {say_value(value, unit)}, one step {side} {say_value(edge.number, unit)}"
                known: Stimuli = {reading: value} if reading in self.base else _NOTHING
                self._show(what, "band edge", at, seen, _applies(place, holds), key, given=known, fresh=fresh)

    def _show(
        self,
        what: str,
        kind: str,
        goal: Term,
        seen: Term,
        is_met: Callable[[Shown], bool],
        hint: object,
        bare: Term | None = None,
        given: Stimuli = _NOTHING,
        fresh: str | None = None,
    ) -> None:
        """A goal where it can be seen; else where it holds though nobody sees a difference. `bare`: what has to be
        impossible too before that is said of the goal. `fresh`: a sensor that is taken off before, so that nothing is
        left of what it read."""
        for term in (both(goal, seen), goal):
            answer, stimuli = self._solve(term, hint, given)
            if stimuli is not None:
                before: tuple[Stimuli, ...] = () if fresh is None else ({**stimuli, fresh: None},)
                self._add(what, kind, (*before, stimuli), is_met)
                return
        if answer is Answer.NO and (bare is None or self.context.possible(bare) is Answer.NO):
            self.made.impossible.append(what)
        else:
            self.made.open.append(what)

    def _wins(
        self, band: m.Band, index: int | None, encoder: Encoder | None = None, but: tuple[m.Band, ...] = ()
    ) -> Term:
        """No other band (but some that come later) shows the same colour or a worse one."""
        encoder = encoder or self.encoder
        return conjunction(
            negate(encoder.applies(other, index, eventually=True, linger=True))
            for other in self.ruleset.bands_by_quantity[band.quantity]
            if other is not band and other not in but and other.colour >= band.colour
        )

    def _no_twin(self, band: m.Band, index: int | None, but: tuple[m.Band, ...] = ()) -> Term:
        """No other band (but some that come later) shows the colour: that this one does not apply can be seen."""
        return conjunction(
            negate(self.encoder.applies(other, index, eventually=True, linger=True))
            for other in self.ruleset.bands_by_quantity[band.quantity]
            if other is not band and other not in but and other.colour == band.colour
        )

    # ---- decisions

    def _decision(self, decision: Decision) -> None:
        """Every condition of a decision shown to decide by itself, and every number in it from both sides."""
        leaves = decision.conditions
        encoder = self.context.encoder_for(decision.formula)
        terms = decision.terms(encoder)
        if decision.rule is not None and decision.formula in self._covered:
            # The same words have been shown in full: of this statement, that it waits for them.
            off = both(self._definite(decision.formula, encoder=encoder), negate(as_term(decision.formula, terms)))
            if self.context.possible(off) is Answer.YES:
                seen = self._observed(decision, encoder)
                self._show(
                    f"{decision.name}: not in its context",
                    "context",
                    off,
                    seen,
                    self._met(decision, False),
                    ("off", decision.formula),
                )
            return
        self._covered.add(decision.formula)
        definite = self._definite(decision.formula, encoder=encoder)
        seen = self._observed(decision, encoder)
        words = decision.words(self.ruleset)
        if len(leaves) <= _MOST_CONDITIONS:
            self._rows_of(decision, terms, definite, seen, words)
        else:
            self._leaves_of(decision, terms, definite, seen, words)
        for place, leaf in enumerate(leaves):
            alone = both(definite, decides(decision.formula, terms, place))
            for what, holds, pin in self._leaf_edges(leaf, encoder):
                value = as_term(
                    decision.formula,
                    [TRUE if i == place and holds else FALSE if i == place else t for i, t in enumerate(terms)],
                )
                for result in (True, False):
                    goal = both(alone, pin, value if result else negate(value))
                    if self.context.possible(goal) is Answer.YES:
                        self._show(
                            f"{decision.name}: {what}",
                            "context edge",
                            goal,
                            seen,
                            self._met(decision, result),
                            (decision.name, place),
                        )
                        break

    def _rows_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, words: tuple[str, ...]
    ) -> None:
        def decide(row: Row) -> bool:
            return outcome(decision.formula, row)

        def at(row: Row) -> Term:
            return conjunction(term if true else negate(term) for term, true in zip(terms, row, strict=True))

        answers = {row: self.context.possible(at(row)) for row in rows(len(terms))}
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
                (self.made.impossible if proved else self.made.open).append(text)
            pairs.append(found)
        chosen, _ = small_set(pairs, possible)
        for row in chosen:
            said = ", ".join(f"{w} {'yes' if true else 'no'}" for w, true in zip(words, row, strict=True))
            goal = both(definite, at(row))
            self._show(
                f"{decision.name}: {said}",
                "context",
                goal,
                seen,
                self._met(decision, decide(row)),
                (decision.name, row),
                at(row),
            )

    def _leaves_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, words: tuple[str, ...]
    ) -> None:
        for place, word in enumerate(words):
            alone = decides(decision.formula, terms, place)
            for holds in (True, False):
                here = both(definite, alone, terms[place] if holds else negate(terms[place]))
                value = as_term(decision.formula, terms)
                for result in (True, False):
                    goal = both(here, value if result else negate(value))
                    if self.context.possible(goal) is Answer.YES:
                        self.made.pairs += holds
                        self._show(
                            f"{decision.name}: {word} {'yes' if holds else 'no'} decides",
                            "context",
                            goal,
                            seen,
                            self._met(decision, result),
                            (decision.name, place),
                        )
                        break
                else:
                    self.made.impossible.append(f"{decision.name}: {word} {'yes' if holds else 'no'} never decides")

    def _met(self, decision: Decision, result: bool) -> Callable[[Shown], bool]:
        if decision.condition is not None:
            name = decision.condition
            return lambda shown: shown.conditions[name] is result
        rule = decision.rule
        assert rule is not None
        index = None if isinstance(rule, m.Alert) else self._first(rule)
        return _applies((rule.label, index), result)

    def _first(self, band: m.Band) -> int | None:
        return band.index if band.index is not None else self.ruleset.quantities[band.quantity].indexes[0]

    def _observed(self, decision: Decision, encoder: Encoder) -> Term:
        """That somebody at the panel sees what the decision comes to."""
        if decision.rule is not None:
            return self._sees(decision.rule, encoder)
        name = decision.condition
        assert name is not None
        found = []
        readers = [r for r in self.ruleset.rules if name in self.ruleset.conditions_read(r.when, r.unless)]
        direct = [r for r in readers if name in _named(r.when) | _named(r.unless)]
        for rule in [*direct, *(r for r in readers if r not in direct)][:_MOST_OBSERVERS]:
            yes, no = (self._if(name, value, encoder).context(rule) for value in (True, False))
            found.append(both(disjunction((both(yes, negate(no)), both(no, negate(yes)))), self._sees(rule, encoder)))
        return disjunction(found)

    def _sees(self, rule: m.Band | m.Alert, encoder: Encoder) -> Term:
        if isinstance(rule, m.Alert):
            return TRUE
        index = self._first(rule)
        inside = encoder.in_region(rule.quantity, index, rule.region)
        if rule.region.kind == "failed":
            encoder = self.context.encoder_for(failing=self.ruleset.sensors_read(rule.quantity, index))
            inside = encoder.in_region(rule.quantity, index, rule.region)
        return inside if rule.alert is not None else both(inside, self._wins(rule, index, encoder))

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

    def _leaf_edges(self, leaf: m.Formula, encoder: Encoder) -> Iterator[tuple[str, bool, Term]]:
        """Both sides of every number in a condition of a decision: what, whether it holds there, and its term."""
        if isinstance(leaf, m.Held):
            for what, holds, pin in self._leaf_edges(leaf.part, encoder):
                yield what, holds if leaf.at_least else False, pin
            return
        if isinstance(leaf, m.Not):
            for what, holds, pin in self._leaf_edges(leaf.part, encoder):
                yield what, not holds, pin
            return
        if not isinstance(leaf, m.Compare | m.Quantified) or leaf.region.moves:
            return
        quantity = self.ruleset.quantities[leaf.quantity]
        if quantity.is_trend:
            return
        indexes = (leaf.index,) if isinstance(leaf, m.Compare) else quantity.indexes
        for edge in edges(self.grids[leaf.quantity], leaf.region):
            for index in indexes:
                for side, value, inside in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                    if value is None:
                        continue
                    reading = m.variable(leaf.quantity, index)
                    pin = in_interval(reading, Interval.closed(value, value))
                    # The name has to be known with what it is worked out from.
                    encoder.in_region(leaf.quantity, index, leaf.region)
                    if isinstance(leaf, m.Quantified):
                        others = [encoder.in_region(leaf.quantity, i, leaf.region) for i in indexes if i != index]
                        anything = leaf.quantifier == "any"
                        pin = both(pin, *(negate(t) if anything else t for t in others))
                    what = f"{reading} {say_value(value, quantity.unit)}, one step {side} "
                    yield what + say_value(edge.number, quantity.unit), inside, pin

    # ---- set and cleared

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
        is_set = encoder.formula(condition.formula)
        answer, before = self._solve(is_set, (name, "set"))
        if before is None:
            (self.made.impossible if answer is Answer.NO else self.made.open).append(f"condition {name} is never set")
            return
        for place, leaf in enumerate(decision.conditions):
            alone = both(decides(condition.until, terms, place), negate(is_set))
            for what, holds, pin in self._leaf_edges(leaf, encoder):
                said = f"condition {name}, set before: {what}"
                until = encoder.formula(condition.until)
                for cleared in (holds, not holds):
                    goal = both(alone, pin, until if cleared else negate(until))
                    stimuli = self._solve(both(goal, seen), (name, "until"))[1] or self._solve(goal)[1]
                    if stimuli is not None:
                        parts = (before, {**before, **stimuli})
                        self._add(said, "context edge", parts, self._met(decision, not cleared))
                        break


_ZERO = Fraction(0)


def _named(formula: m.Formula | None) -> set[str]:
    return set() if formula is None else {p.name for p in m.parts_of(formula) if isinstance(p, m.ConditionIs)}


def _applies(place: tuple[str, int | None], holds: bool) -> Callable[[Shown], bool]:
    return lambda shown: shown.applies[place] is holds


def _failed(name: str) -> Callable[[Shown], bool]:
    return lambda shown: shown.values[name] is None
