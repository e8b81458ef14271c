"""Which alerts count as guards of a limit: the one place that says so.

Every check that asks whether a broken limit has its alert asks here: which statements may count (`alerts_for`), the
states in which none of them does (`silent`, for the solver), and the same told in one state (`is_silent`, by the
reference evaluator, in the words of `meaning.news`).

An alert must be news: one that is up already in a state that differs in the limited reading alone, and in which nothing
is wrong with it, is old. An old alert counts all the same if it is a guard that comes early:
(a) down throughout the declared normal ranges, of which one holds in that state, and up at every value that breaks the
limit at that end; or
(b) up in every state that breaks the limit at that end, and down at some calm value.

Where that cannot be told exactly (`checks.beside`), an alert does not count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from alertlang.checks.beside import Beside
from alertlang.checks.context import Context
from alertlang.checks.guards import comes, has_come
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.news import NewsSubject
from alertlang.model import ruleset as m
from alertlang.model.changed_readings import behind
from alertlang.model.snapshot import PLAIN, FaultModel
from alertlang.text.lists import listed
from alertlang.units.number import say_value


def alerts_for(ruleset: m.RuleSet, declared: m.Range, level: m.Level | None = None) -> tuple[m.Rule, ...]:
    """The statements whose alert may count for a limit: bands of its quantity and alerts on their own whose `when`
    reads it, of at least a level (none given: the one that the limit needs; where it needs none there are none)."""
    least = declared.needs if level is None else level
    return () if least is None else alerts_of(ruleset, declared.quantity, least)


def alerts_of(ruleset: m.RuleSet, quantity: str, level: m.Level) -> tuple[m.Rule, ...]:
    """The same for whatever may be wrong with a quantity."""
    return tuple(r for r in ruleset.rules_for(quantity) if r.alert is not None and r.alert.level >= level)


def silent(
    context: Context, declared: m.Range, index: int | None, mode: FaultModel = PLAIN, level: m.Level | None = None
) -> Term:
    """No alert that counts for a broken limit is up for an element, as it is told in a mode, whatever the time.

    To be asked together with the limit being broken, and never to be negated.
    """
    return of_limit(context, declared, index, mode).silent(alerts_for(context.ruleset, declared, level))


def is_silent(
    context: Context,
    instant: Instant,
    declared: m.Range,
    index: int | None,
    mode: FaultModel = PLAIN,
    level: m.Level | None = None,
) -> bool:
    """The same in a state that a question with `silent` gave."""
    news = of_limit(context, declared, index, mode)
    return news.is_silent(instant, alerts_for(context.ruleset, declared, level))


def of_limit(context: Context, declared: m.Range, index: int | None, mode: FaultModel = PLAIN) -> News:
    """What is news where a limit is broken for an element."""

    def end(region: m.Region) -> _End:
        return _End(
            lambda encoder: both(
                there_is(encoder).given(declared),
                there_is(encoder).in_region(declared.quantity, index, region, told=False),
            ),
            lambda instant: (
                instant.in_mode(PLAIN).holds(declared.when)
                and instant.is_in_region(declared.quantity, index, region, told=False)
            ),
        )

    return _kept(
        context,
        declared.label,
        declared.quantity,
        index,
        declared,
        mode,
        lambda: [end(part) for part in broken_at(declared)],
    )


def of_band(context: Context, band: m.Band, index: int | None) -> News:
    """What is news where a band applies to an element, `for more than` over and without its deadband."""
    end = _End(lambda encoder: comes(encoder, band, index), lambda instant: has_come(instant, band, index))
    return _kept(context, band.label, band.quantity, index, None, PLAIN, lambda: [end])


def broken_at(declared: m.Range) -> tuple[m.Region, ...]:
    """The regions in which a limit is broken, one for each end."""
    return declared.broken.pieces()


def there_is(encoder: Encoder) -> Encoder:
    """The values there are, whatever is told."""
    return encoder.in_mode(encoder.mode.there)


@dataclass(frozen=True, slots=True)
class _End:
    """Where something is wrong at one end: for the solver, and told in a state."""

    term: Callable[[Encoder], Term]
    told: Callable[[Instant], bool]


def _kept(
    context: Context,
    label: str,
    quantity: str,
    index: int | None,
    own: m.Range | None,
    mode: FaultModel,
    ends: Callable[[], list[_End]],
) -> News:
    """What is asked about the same subject more than once is worked out once."""
    key = ("news", f"{m.variable(label, index)} {mode}")
    known = context.kept.get(key)
    if not isinstance(known, News):
        known = context.kept[key] = News(context, quantity, index, own, mode, tuple(ends()))
    return known


def may_be_old(rule: m.Rule) -> bool:
    """Red is where nothing is fine, and an alert that waits has not waited long enough."""
    return not (isinstance(rule, m.Band) and rule.colour is m.Colour.RED)


class News:
    """Of one thing that may be wrong with an element of a quantity: which alerts are news there, told in a mode."""

    def __init__(
        self,
        context: Context,
        quantity: str,
        index: int | None,
        own: m.Range | None,
        mode: FaultModel,
        ends: tuple[_End, ...],
    ) -> None:
        self.context = context
        self.index = index
        self.own = own
        self.ends = ends
        self.encoder = context.encoder.in_mode(mode)
        self.told = NewsSubject(quantity, index, own, tuple(end.told for end in ends))
        # Something is wrong, at one end or the other.
        self.wrong = disjunction(end.term(self.encoder) for end in ends)
        ruleset = context.ruleset
        moved = behind(ruleset, quantity, index)
        self._beside = Beside(context, self.encoder, moved, m.variable(quantity, index), self.wrong)
        self._readings = self.told.readings(ruleset)
        self._turns_yellow = any(
            band.colour is m.Colour.YELLOW for name, _ in self._readings for band in ruleset.bands_by_quantity[name]
        )
        self._bad: dict[str, tuple[Term, bool]] = {}
        self._may_be_old: dict[str, bool] = {}
        self._early: dict[tuple[str, str, int], bool] = {}

    # ---- what checks ask

    def silent(self, rules: tuple[m.Rule, ...]) -> Term:
        """None of some alerts is up and counts. To be asked where something is wrong."""
        # Cheap first: most often something that nobody could take for old is always up.
        if any(may_be_old(rule) for rule in rules):
            for roughly in (self.red_silent, self.roughly_silent):
                if self.context.is_satisfiable(both(self.wrong, roughly(rules))) is Answer.NO:
                    return FALSE
        return conjunction(disjunction((self._down(rule), self.bad(rule))) for rule in rules)

    def red_silent(self, rules: tuple[m.Rule, ...]) -> Term:
        """The same in far too many states: of those alerts that cannot be old none is up."""
        return conjunction(self._down(rule) for rule in rules if not may_be_old(rule))

    def roughly_silent(self, rules: tuple[m.Rule, ...]) -> Term:
        """The same in too many states, and without a question."""
        return conjunction(disjunction((self._down(rule), self.roughly_bad(rule))) for rule in rules)

    def roughly_bad(self, rule: m.Rule) -> Term:
        """The same as `bad` in too many states, and without a question: an alert that is up in any state beside in
        which nothing is wrong is taken for old, and for no guard that comes early."""
        return self._up_already(rule, self._beside.any(f"before, {rule.label}")) if may_be_old(rule) else FALSE

    def _down(self, rule: m.Rule) -> Term:
        return negate(comes(self.encoder, rule, self.index))

    def bad(self, rule: m.Rule) -> Term:
        """An alert that is up does not count: it is old, and no guard that comes early. To be asked where something is
        wrong, and not to be negated: that is `good`."""
        return self._settled(rule)[0] if self._candidates((rule,)) else FALSE

    def good(self, rule: m.Rule) -> Term:
        """An alert that is up counts. Where that cannot be told exactly, it may be true of one that does not."""
        if not self._candidates((rule,)):
            return TRUE
        term, exact = self._settled(rule)
        return negate(term) if exact else TRUE

    def is_exact(self, rule: m.Rule) -> bool:
        """Whether `bad` is true in no state in which it should not be."""
        return not self._candidates((rule,)) or self._settled(rule)[1]

    def _settled(self, rule: m.Rule) -> tuple[Term, bool]:
        if rule.label not in self._bad:
            self._bad[rule.label] = self._beside.settled(lambda: both(self._old(rule), self._not_early(rule)))
        return self._bad[rule.label]

    # ---- the same in a state that a question with these gave, by the reference evaluator

    def is_silent(self, instant: Instant, rules: tuple[m.Rule, ...]) -> bool:
        return all(not self._is_up(instant, rule) or self.is_bad(instant, rule) for rule in rules)

    def is_bad(self, instant: Instant, rule: m.Rule) -> bool:
        there, tried = instant.in_mode(self.encoder.mode), self._beside.tried(instant)
        if not self._candidates((rule,)):
            return False
        exact = self._settled(rule)[1]
        if self.told.already(there, rule, tried, yellow=not exact) is None:
            return False
        # What cannot be told exactly is not told again either.
        return not exact or any(
            end.told(there)
            and not (
                self._holds_early("a", rule, place)
                and self.told.has_normal(there, tried)
                and self.told.comes_at(there, rule, place, tried)
            )
            and not (self._holds_early("b", rule, place) and self.told.is_down_below(there, rule, tried))
            for place, end in enumerate(self.ends)
        )

    def is_good(self, instant: Instant, rule: m.Rule) -> bool:
        return not self.is_exact(rule) or not self.is_bad(instant, rule)

    def old_ones(self, instant: Instant, rules: Iterable[m.Rule]) -> dict[m.Rule, str]:
        """The alerts that are up in such a state and do not count, each with where it is up already, in words."""
        found: dict[m.Rule, str] = {}
        for rule in rules:
            if rule.alert is None or not self._is_up(instant, rule) or not self.is_bad(instant, rule):
                continue
            there, tried = instant.in_mode(self.encoder.mode), self._beside.tried(instant)
            values = self.told.already(there, rule, tried, yellow=True) or {}
            where = (f"{name} {say_value(v, self.context.quantity(name).unit)}" for name, v in values.items())
            found[rule] = f'"{rule.alert.text}" ({rule.label}) is up already at {listed(where)}'
        return found

    def _is_up(self, instant: Instant, rule: m.Rule) -> bool:
        return has_come(instant.in_mode(self.encoder.mode), rule, self.index)

    # ---- states beside, in which nothing is wrong

    def _possible(self, encoder: Encoder) -> Term:
        """Every assumption is kept that what is moved could break."""
        moves = encoder.names.changed(encoder.mode)
        here = there_is(encoder)
        assumptions = (a for a in encoder.ruleset.assumptions if moves.read_by(a.when, a.formula))
        return conjunction(here.assumption(a) for a in assumptions)

    def _nothing_wrong(self, encoder: Encoder, *, sure: bool = True) -> Term:
        """No limit is broken, of what is moved and what is worked out from it, and nothing of it is red. The time that
        another limit allows has just begun; not `sure`, so has its own."""
        broken = [
            there_is(encoder).violated(declared, index)
            for name, index in self._readings
            for declared in encoder.ruleset.ranges_by_quantity[name]
            if declared.forbids and declared.index in {None, index}
            if not declared.except_for or (sure and declared is self.own)
        ]
        return both(self._possible(encoder), *(negate(term) for term in broken), self._no(encoder, m.Colour.RED))

    def _no(self, encoder: Encoder, colour: m.Colour) -> Term:
        """The gauges show no colour as bad as that."""
        shown = (encoder.shows_at_least(name, index, colour.rank, linger=False) for name, index in self._readings)
        return negate(disjunction(shown))

    def _calm(self, encoder: Encoder) -> Term:
        return both(self._nothing_wrong(encoder), self._no(encoder, m.Colour.YELLOW))

    def _normal(self, encoder: Encoder) -> Term:
        return disjunction(
            there_is(encoder).inside(declared, self.index)
            for declared in encoder.ruleset.ranges_by_quantity[self.told.quantity]
            if declared.kind is m.RangeKind.NORMAL and declared.index in {None, self.index}
        )

    # ---- old

    def _candidates(self, rules: tuple[m.Rule, ...]) -> list[m.Rule]:
        """Those that are up in some state in which nothing is wrong: no other can be old."""
        asked = [rule for rule in rules if may_be_old(rule)]
        new = [rule for rule in asked if rule.label not in self._may_be_old]
        if new:
            fine = self._nothing_wrong(self.encoder, sure=False)
            ups = {rule.label: both(fine, self.encoder.applies(rule, self.index, linger=False)) for rule in new}
            for label, term in ups.items():
                self._may_be_old[label] = self.context.is_satisfiable(term) is not Answer.NO
        return [rule for rule in asked if self._may_be_old[rule.label]]

    def _up_already(self, rule: m.Rule, encoder: Encoder) -> Term:
        return both(self._nothing_wrong(encoder), encoder.applies(rule, self.index, linger=False))

    def _old(self, rule: m.Rule) -> Term:
        what = f"before, {rule.label}"
        if not self._turns_yellow:
            return self._beside.some(what, lambda e: self._up_already(rule, e))
        calm = self._beside.some(what, lambda e: both(self._up_already(rule, e), self._no(e, m.Colour.YELLOW)))
        yellow = self._beside.some(what, lambda e: self._up_already(rule, e))
        return disjunction((calm, both(self._beside.none(self._calm), yellow)))

    # ---- early

    def _not_early(self, rule: m.Rule) -> Term:
        """It does not come early at an end at which something is wrong."""
        found: list[Term] = []
        for place, end in enumerate(self.ends):
            parts = [end.term(self.encoder)]
            if self._holds_early("a", rule, place):
                nowhere_normal = self._beside.none(lambda e: both(self._possible(e), self._normal(e)))
                parts.append(disjunction((nowhere_normal, self._not_at_every_value(rule, place))))
            if self._holds_early("b", rule, place):
                parts.append(self._not_down_below(rule, place))
            found.append(conjunction(parts))
        return disjunction(found)

    def _holds_early(self, kind: str, rule: m.Rule, place: int) -> bool:
        """Whether what must be so in every state is so, of a guard that comes early: (a) it is down throughout the
        normal ranges, of which there must be some, or (b) up wherever the limit is broken at an end."""
        key = (kind, rule.label, place if kind == "b" else 0)
        if key not in self._early:
            # Any state at all: with what is moved moved to where it is, and no memory of it.
            state = self._beside.any()
            comes_up, possible = comes(state, rule, self.index), self._possible(state)
            if kind == "b":
                wrong = both(possible, self.ends[place].term(state), negate(comes_up))
                self._early[key] = self.context.is_satisfiable(wrong) is Answer.NO
            else:
                normal = both(possible, self._normal(state))
                exists = self.context.is_satisfiable(normal) is Answer.YES
                self._early[key] = exists and self.context.is_satisfiable(both(normal, comes_up)) is Answer.NO
        return self._early[key]

    def _not_at_every_value(self, rule: m.Rule, place: int) -> Term:
        """It is down at some value at which something is wrong at an end."""
        return self._beside.some(
            f"missed {place}, {rule.label}",
            lambda e: both(self._possible(e), self.ends[place].term(e), negate(comes(e, rule, self.index))),
        )

    def _not_down_below(self, rule: m.Rule, place: int) -> Term:
        """It is down at no calm value; or, where a normal range has calm values, at none of these."""

        def quiet(encoder: Encoder) -> Term:
            return both(self._calm(encoder), negate(comes(encoder, rule, self.index)))

        normal = self._beside.some(
            f"normal {place}, {rule.label}",
            lambda e: both(self._normal(e), self._calm(e), comes(e, rule, self.index)),
        )
        up_in_normal = self._beside.none(lambda e: both(self._normal(e), quiet(e)))
        return both(up_in_normal, disjunction((normal, self._beside.none(quiet))))
