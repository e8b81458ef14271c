"""Which alerts count as guards of a limit: the one place that says so.

Every check that asks whether a broken limit has its alert asks here: which statements may count (`alerts_for`), the
states in which none of them does (`silent`, for the solver), and the same told in one state (`is_silent`, by the
reference evaluator, in the words of `meaning.news`).

An alert must be news: one that is up already in a state that differs in the limited reading alone, and in which nothing
is wrong with it, is old. An old alert counts all the same if it is a guard that comes early:
(a) down throughout the declared normal ranges, and up at every value that breaks the limit at that end; or
(b) up in every state that breaks the limit at that end, and down at some calm value.

Each question is about a state, and states beside it in which readings are moved (`Mode.moved`). What must be so of *some*
such state gets one of its own; what must be so of *all* of them is asked of chosen values, and values are added until no
other one makes a difference. So every question stays one that any solver for linear arithmetic can answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.guards import Rule, comes, has_come, up
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.news import Subject, Values
from alertlang.model import ruleset as m
from alertlang.model.changed import behind
from alertlang.model.snapshot import PLAIN, Mode

# How many values stand for all before the tool says that it cannot tell, and does not count the guard.
_MOST_VALUES = 24
_AT, _ANY = " (at ", " (at any value)"


def alerts_for(ruleset: m.RuleSet, one: m.Range, level: m.Level | None = None) -> tuple[Rule, ...]:
    """The statements whose alert may count for a limit: bands of its quantity and alerts on their own whose `when` reads
    it, of at least a level (none given: the one that the limit needs; where it needs none there are none)."""
    least = one.needs if level is None else level
    return () if least is None else alerts_of(ruleset, one.quantity, least)


def alerts_of(ruleset: m.RuleSet, quantity: str, level: m.Level) -> tuple[Rule, ...]:
    """The same for whatever may be wrong with a quantity."""
    return tuple(r for r in ruleset.rules_for(quantity) if r.alert is not None and r.alert.level >= level)


def silent(context: Context, one: m.Range, index: int | None, mode: Mode = PLAIN, level: m.Level | None = None) -> Term:
    """No alert that counts for a broken limit is up for an element, as it is told in a mode, whatever the time.

    To be asked together with the limit being broken, and never to be negated.
    """
    return of_limit(context, one, index, mode).silent(alerts_for(context.ruleset, one, level))


def is_silent(
    context: Context, instant: Instant, one: m.Range, index: int | None, mode: Mode = PLAIN, level: m.Level | None = None
) -> bool:
    """The same in a state that a question with `silent` gave."""
    news = of_limit(context, one, index, mode)
    return news.is_silent(instant, alerts_for(context.ruleset, one, level))


def already(context: Context, instant: Instant, one: m.Range, index: int | None) -> list[tuple[Rule, Values]]:
    """The alerts that are up in such a state and are no news there, each with other values of the readings that are moved
    at which it is up already."""
    news = of_limit(context, one, index)
    up_there = (rule for rule in alerts_for(context.ruleset, one) if has_come(instant, rule, index))
    found = ((rule, news.already(instant, rule)) for rule in up_there)
    return [(rule, values) for rule, values in found if values is not None]


def of_limit(context: Context, one: m.Range, index: int | None, mode: Mode = PLAIN) -> News:
    """What is news where a limit is broken for an element."""

    def end(region: m.Region) -> _End:
        return _End(
            lambda encoder: both(
                there(encoder).given(one), there(encoder).in_region(one.quantity, index, region, told=False)
            ),
            lambda instant: (
                instant.in_mode(PLAIN).holds(one.when)
                and instant.is_in_region(one.quantity, index, region, told=False)
            ),
        )

    return _kept(context, one.label, one.quantity, index, one, mode, lambda: [end(part) for part in broken_at(one)])


def of_band(context: Context, band: m.Band, index: int | None) -> News:
    """What is news where a band applies to an element, `for more than` over and without its deadband."""
    end = _End(lambda encoder: comes(encoder, band, index), lambda instant: has_come(instant, band, index))
    return _kept(context, band.label, band.quantity, index, None, PLAIN, lambda: [end])


def broken_at(one: m.Range) -> tuple[m.Region, ...]:
    """The regions in which a limit is broken, one for each end."""
    region = one.region
    outer = [replace(region, kind="below", second=None)]
    if region.second is not None:
        outer.append(replace(region, kind="above", first=region.second, second=None))
    if one.kind == "avoid":
        return tuple(outer) if region.kind == "outside" else (region,)
    if region.kind == "within":
        return tuple(outer)
    opposite = {"at_most": "above", "below": "at_least", "at_least": "below", "above": "at_most", "outside": "within"}
    return (replace(region, kind=opposite[region.kind]),)


def there(encoder: Encoder) -> Encoder:
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
    mode: Mode,
    ends: Callable[[], list[_End]],
) -> News:
    """What is asked about the same subject more than once is worked out once."""
    key = ("news", f"{m.variable(label, index)} {mode}")
    known = context.kept.get(key)
    if not isinstance(known, News):
        known = context.kept[key] = News(context, quantity, index, own, mode, tuple(ends()))
    return known


class News:
    """Of one thing that may be wrong with an element of a quantity: which alerts are news there, told in a mode."""

    def __init__(
        self, context: Context, quantity: str, index: int | None, own: m.Range | None, mode: Mode, ends: tuple[_End, ...]
    ) -> None:
        self.context = context
        self.quantity = quantity
        self.index = index
        self.own = own
        self.ends = ends
        self.encoder = context.encoder.in_mode(mode)
        self.subject = Subject(quantity, index, own, tuple(end.told for end in ends))
        ruleset = context.ruleset
        self._moved = behind(ruleset, quantity, index)
        elements = [(q.name, i) for q in ruleset.quantities.values() for i in q.indexes]
        self._readings = [(quantity, index)]
        self._readings += [e for e in elements if m.variable(*e) in self._moved and e != (quantity, index)]
        self._turns_yellow = any(
            band.colour is m.Colour.YELLOW for name, _ in self._readings for band in ruleset.bands_by_quantity[name]
        )
        self._points: list[Mode] = []
        self._bad: dict[str, Term] = {}
        self._good: dict[str, Term] = {}
        self._may_be_old: dict[str, bool] = {}
        self._early: dict[tuple[str, str, int], bool] = {}
        self._asks_all = False

    # ---- what checks ask

    @property
    def wrong(self) -> Term:
        """Something is wrong, at one end or the other."""
        return disjunction(end.term(self.encoder) for end in self.ends)

    def silent(self, rules: tuple[Rule, ...]) -> Term:
        """None of some alerts is up and news. To be asked where something is wrong, and never to be negated."""
        downs = {rule.label: negate(comes(self.encoder, rule, self.index)) for rule in rules}
        old = self._candidates(rules)
        if not old:
            return conjunction(downs.values())
        # Cheap first: without what must be so of every value, which can only make it true in fewer states.
        roughly = (disjunction((downs[r.label], self._old(r, ()))) if r in old else downs[r.label] for r in rules)
        if self.context.possible(both(self.wrong, *roughly)) is Answer.NO:
            return FALSE
        return conjunction(disjunction((downs[rule.label], self.bad(rule))) for rule in rules)

    def is_silent(self, instant: Instant, rules: tuple[Rule, ...]) -> bool:
        told = instant.in_mode(self.encoder.mode)
        return all(not has_come(told, rule, self.index) or self.is_bad(instant, rule) for rule in rules)

    def bad(self, rule: Rule) -> Term:
        """An alert that is up is old, and no guard that comes early. Never to be negated: that is `good`."""
        if not self._candidates((rule,)):
            return FALSE
        if rule.label not in self._bad:
            self._bad[rule.label] = self._of_all(lambda points: self._bad_at(rule, points))
        return self._bad[rule.label]

    def good(self, rule: Rule) -> Term:
        """An alert that is up is news, or a guard that comes early. Never to be negated: that is `bad`."""
        if not self._candidates((rule,)):
            return TRUE
        if rule.label not in self._good:
            self._good[rule.label] = self._of_all(lambda points: self._good_at(rule, points))
        return self._good[rule.label]

    def already(self, instant: Instant, rule: Rule) -> Values | None:
        """Other values of the readings that are moved at which an alert is up already, in a state that a question with
        `silent` or `bad` gave; none where it is not old."""
        values = instant.state.moved.get(self._copy(rule, "before"))
        told = instant.in_mode(self.encoder.mode)
        if values is None or not self._candidates((rule,)):
            return None
        return values if self.subject.is_old(told, rule, values, self._tried(instant)) else None

    def is_bad(self, instant: Instant, rule: Rule) -> bool:
        """The same as `bad` in a state that a question with it gave."""
        if self.already(instant, rule) is None:
            return False
        told, tried = instant.in_mode(self.encoder.mode), self._tried(instant)
        for place, end in enumerate(self.ends):
            if not end.told(told):
                continue
            missed = instant.state.moved.get(self._copy(rule, f"missed {place}"))
            comes_up = missed is None or not self.subject.is_missed(told, rule, place, missed)
            if self._holds_early("a", rule, place) and comes_up:
                continue
            if self._holds_early("b", rule, place) and self.subject.is_down_below(told, rule, tried):
                continue
            return True
        return False

    # ---- states beside the one that is asked about

    def _beside(self, copy: str, pinned: tuple[tuple[str, Fraction], ...] = ()) -> Mode:
        return replace(self.encoder.mode, moved=self._moved, copy=copy, pinned=pinned)

    def _copy(self, rule: Rule, what: str) -> str:
        return f" ({what}, {m.variable(rule.label, self.index)})"

    def _some(self, rule: Rule, what: str, term: Callable[[Encoder], Term]) -> Term:
        """Some state beside it is so."""
        return term(self.encoder.in_mode(self._beside(self._copy(rule, what))))

    def _every(self, points: Iterable[Mode], term: Callable[[Encoder], Term]) -> Term:
        """Every state beside it is so."""
        self._asks_all = True
        return conjunction(term(self.encoder.in_mode(point)) for point in points)

    def _tried(self, instant: Instant) -> list[Values]:
        return [values for copy, values in instant.state.moved.items() if copy.startswith(_AT)]

    def _of_all(self, build: Callable[[tuple[Mode, ...]], Term]) -> Term:
        """A term with what must be so of every value asked of as many values as make a difference.

        Where that are too many, or the solver gives up, it is true in more states than it should be.
        """
        self._asks_all = False
        term = build(tuple(self._points))
        decider = self.context.decider
        while self._asks_all and len(self._points) < _MOST_VALUES:
            others = build((*self._points, self._beside(_ANY)))
            differs = both(self.wrong, term, negate(others))
            model = decider.model(differs) if self.context.possible(differs) is Answer.YES else None
            if model is None:
                break
            names = self.encoder.names.moved
            values = sorted((names[n][1], v) for n, v in model.readings.items() if names.get(n, ("",))[0] == _ANY)
            # Its name says its values: whoever else asks at the same ones shares it.
            place = f"{', '.join(f'{name} {value}' for name, value in values)})"
            self._points.append(self._beside(_AT + place, tuple(values)))
            term = build(tuple(self._points))
        return term

    def _possible(self, encoder: Encoder) -> Term:
        """Every assumption is kept that what is moved could break."""
        moves = encoder.names.changed(encoder.mode)
        here = there(encoder)
        assumptions = (a for a in encoder.ruleset.assumptions if moves.read_by(a.when, a.formula))
        return conjunction(here.assumption(a) for a in assumptions)

    def _nothing_wrong(self, encoder: Encoder, *, sure: bool = True) -> Term:
        """No limit is broken, of what is moved and what is worked out from it. The time that another limit allows has just
        begun; not `sure`, so has its own."""
        broken = [
            there(encoder).violated(one, index)
            for name, index in self._readings
            for one in encoder.ruleset.ranges_by_quantity[name]
            if one.kind in {"limit", "avoid"} and one.index in {None, index}
            if not one.except_for or (sure and one is self.own)
        ]
        return both(self._possible(encoder), *(negate(term) for term in broken))

    def _no(self, encoder: Encoder, colour: m.Colour) -> Term:
        """The gauges show no colour as bad as that."""
        shown = (encoder.shows_at_least(name, index, colour.rank, linger=False) for name, index in self._readings)
        return negate(disjunction(shown))

    def _calm(self, encoder: Encoder) -> Term:
        return both(self._nothing_wrong(encoder), self._no(encoder, m.Colour.YELLOW))

    def _normal(self, encoder: Encoder) -> Term:
        return disjunction(
            there(encoder).inside(one, self.index)
            for one in encoder.ruleset.ranges_by_quantity[self.quantity]
            if one.kind == "normal" and one.index in {None, self.index}
        )

    # ---- old

    def _candidates(self, rules: tuple[Rule, ...]) -> list[Rule]:
        """Those that are up in some state in which nothing is wrong: no other can be old."""
        asked = [r for r in rules if not (isinstance(r, m.Band) and r.colour is m.Colour.RED)]
        new = [rule for rule in asked if rule.label not in self._may_be_old]
        ups = {rule.label: up(self.encoder, rule, self.index, linger=False) for rule in new}
        if new:
            calm = both(self._nothing_wrong(self.encoder, sure=False), self._no(self.encoder, m.Colour.RED))
            some = self.context.possible(both(calm, disjunction(ups.values()))) is not Answer.NO
            for rule in new:
                alone = some and (len(new) == 1 or self.context.possible(both(calm, ups[rule.label])) is not Answer.NO)
                self._may_be_old[rule.label] = alone
        return [rule for rule in asked if self._may_be_old[rule.label]]

    def _up_already(self, rule: Rule, encoder: Encoder) -> Term:
        wrong_or_red = both(self._nothing_wrong(encoder), self._no(encoder, m.Colour.RED))
        return both(wrong_or_red, up(encoder, rule, self.index, linger=False))

    def _old(self, rule: Rule, points: Iterable[Mode]) -> Term:
        already = self._some(rule, "before", lambda e: self._up_already(rule, e))
        if not self._turns_yellow:
            return already
        calm = self._some(rule, "before", lambda e: self._no(e, m.Colour.YELLOW))
        return both(already, disjunction((calm, self._every(points, lambda e: negate(self._calm(e))))))

    def _bad_at(self, rule: Rule, points: tuple[Mode, ...]) -> Term:
        late = [both(end.term(self.encoder), self._not_early(rule, place, points)) for place, end in enumerate(self.ends)]
        return both(self._old(rule, points), disjunction(late))

    def _good_at(self, rule: Rule, points: tuple[Mode, ...]) -> Term:
        new = self._every(points, lambda e: negate(both(self._up_already(rule, e), self._no(e, m.Colour.YELLOW))))
        if self._turns_yellow:
            never = self._every(points, lambda e: negate(self._up_already(rule, e)))
            new = both(new, disjunction((self._some(rule, "calm", self._calm), never)))
        early = [
            disjunction((negate(end.term(self.encoder)), self._is_early(rule, place, points)))
            for place, end in enumerate(self.ends)
        ]
        return disjunction((new, conjunction(early)))

    # ---- early

    def _holds_early(self, kind: str, rule: Rule, place: int) -> bool:
        """Whether what must be so in every state is so, of a guard that comes early: (a) it is down throughout the normal
        ranges, or (b) up wherever the limit is broken at an end."""
        key = (kind, rule.label, place if kind == "b" else 0)
        if key not in self._early:
            self._early[key] = self._asked_early(kind, rule, place)
        return self._early[key]

    def _asked_early(self, kind: str, rule: Rule, place: int) -> bool:
        # Any state at all: with what is moved moved to where it is, and no memory of it.
        any_state = self.encoder.in_mode(self._beside(_ANY))
        comes_up = comes(any_state, rule, self.index)
        if kind == "b":
            missed = both(self._possible(any_state), self.ends[place].term(any_state), negate(comes_up))
            return self.context.possible(missed) is Answer.NO
        normal = both(self._possible(any_state), self._normal(any_state))
        if self.context.possible(normal) is not Answer.YES:
            return False
        return self.context.possible(both(normal, comes_up)) is Answer.NO

    def _missed(self, rule: Rule, place: int, encoder: Encoder) -> Term:
        """It is down where the limit is broken at an end."""
        return both(
            self._possible(encoder), self.ends[place].term(encoder), negate(comes(encoder, rule, self.index))
        )

    def _quiet(self, rule: Rule, encoder: Encoder) -> Term:
        return both(self._calm(encoder), negate(comes(encoder, rule, self.index)))

    def _not_early(self, rule: Rule, place: int, points: tuple[Mode, ...]) -> Term:
        parts = []
        if self._holds_early("a", rule, place):
            parts.append(self._some(rule, f"missed {place}", lambda e: self._missed(rule, place, e)))
        if self._holds_early("b", rule, place):
            up_in_normal = self._every(points, lambda e: negate(both(self._normal(e), self._quiet(rule, e))))
            normal = self._some(rule, "normal", lambda e: both(self._normal(e), self._calm(e)))
            up_in_calm = self._every(points, lambda e: negate(self._quiet(rule, e)))
            parts += [up_in_normal, disjunction((normal, up_in_calm))]
        return conjunction(parts)

    def _is_early(self, rule: Rule, place: int, points: tuple[Mode, ...]) -> Term:
        parts = []
        if self._holds_early("a", rule, place):
            parts.append(self._every(points, lambda e: negate(self._missed(rule, place, e))))
        if self._holds_early("b", rule, place):
            down = self._some(rule, "down", lambda e: self._quiet(rule, e))
            normal = self._some(rule, "down", self._normal)
            none = self._every(points, lambda e: negate(both(self._normal(e), self._calm(e))))
            parts.append(both(down, disjunction((normal, none))))
        return disjunction(parts)
