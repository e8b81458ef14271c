"""Whether a limit is guarded in time however often the states that break it change (see interrupted-clock).

Every clock starts anew when what it times is false at one sample. So clocks that hand over to each other may never run
out. A limit is sure to be guarded by statements that together apply wherever it is broken and wait for next to nothing,
or by one that applies wherever it is broken and waits no longer than the limit gives it: that one's clock begins no
later than the limit's own, and starts anew only where the limit's own does, with `in total` not even there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.guards import comes
from alertlang.checks.limits import violation
from alertlang.checks.reaction import delay_of
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import TRUE, Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FaultModel, failed_flag, told_without

QUICK = Fraction(2)
"""Statements that wait no longer, in seconds, may take turns: what a limit gives for reacting where it says nothing."""


@dataclass(frozen=True, slots=True)
class WatchedLimit:
    """A limit, or one element of it, and the statements that are to show that it is broken: by their red, or with
    `alert` by their alerts. `sensor`: a reading that may fail and come back at any time, if that is what is asked."""

    one: m.Range
    index: int | None
    rules: tuple[m.Rule, ...]
    alert: bool
    sensor: str | None = None

    @property
    def allowed(self) -> Fraction:
        """Seconds from the moment in which the limit's values are reached until something must show."""
        return (self.one.except_for or Fraction(0)) + self.one.allowed


def reds_of(ruleset: m.RuleSet, declared: m.Range) -> tuple[m.Rule, ...]:
    """The statements whose red shows that a limit is broken."""
    return tuple(band for band in ruleset.bands_by_quantity[declared.quantity] if band.colour is m.Colour.RED)


@dataclass(frozen=True, slots=True)
class Interrupted:
    """Why nothing is sure to show in time. `there`: the encoder in whose states the limit is looked at, `told` that of
    the statements; `free`: delayed conditions that may be either way in them; `quick` and `slow`: the statements."""

    watch: WatchedLimit
    there: Encoder
    told: Encoder
    free: frozenset[str]
    quick: tuple[m.Rule, ...]
    slow: tuple[m.Rule, ...]

    @property
    def broken(self) -> Term:
        return self.there.violated(self.watch.one, self.watch.index)

    def applies(self, rule: m.Rule) -> Term:
        """A statement applies, its clock aside."""
        return comes(self.told, rule, self.watch.index)

    @property
    def unshown(self) -> Term:
        """The limit is broken, and nothing that waits for next to nothing applies."""
        return both(self.broken, negate(disjunction(self.applies(rule) for rule in self.quick)))


def interrupted(context: Context, watch: WatchedLimit) -> Interrupted | Answer:
    """Why a limit may stay unguarded while states change; NO if it cannot, or if it may be unguarded in a state that
    lasts, which is for other checks to say; UNDECIDED if the solver gave up."""
    if any(_is_everywhere(context, watch, rule) for rule in _in_time(context, watch)):
        return Answer.NO
    free = _free(context, watch)
    at_most = watch.allowed
    if len(free) == 1 and _changes_once(context, watch, *free):
        # It cannot start clocks anew again and again; that it does once must leave the time for reacting.
        free, at_most = frozenset(), watch.one.allowed
    delays = {r.label: delay_of(context.ruleset, r, alert=watch.alert, free=free).seconds for r in watch.rules}
    quick = tuple(rule for rule in watch.rules if delays[rule.label] <= QUICK)
    if not watch.rules or (not free and len(quick) == len(watch.rules)):
        return Answer.NO
    there, told = _encoders(context, watch, free)
    slow = tuple(rule for rule in watch.rules if rule not in quick)
    found = Interrupted(watch, there, told, free, quick, slow)
    undecided = False
    for answer in _guarded(context, found, [rule for rule in watch.rules if delays[rule.label] <= at_most]):
        if answer is Answer.NO:
            return Answer.NO
        undecided |= answer is Answer.UNDECIDED
    settled = _lasting(context, watch)
    if settled is not Answer.NO or undecided:
        return Answer.NO if settled is Answer.YES else Answer.UNDECIDED
    return found


def _guarded(context: Context, found: Interrupted, singles: list[m.Rule]) -> Iterator[Answer]:
    """Whether the limit can be broken where no quick statement applies (or at all, if there are none), and whether it
    can where one does not, for each that is no slower than allowed: NO is what guards it, or that it is never broken.
    Those that reach over all that breaks the limit first."""
    bands = (rule for rule in singles if isinstance(rule, m.Band) and not rule.region.moves)
    violated = violation(context, found.watch.one)
    likely = [band for band in bands if violated.subtract(band.region.values).is_empty]
    for band in likely:
        yield context.is_satisfiable(both(found.broken, negate(found.applies(band))))
    if found.quick:
        yield context.is_satisfiable(found.unshown)
    for rule in singles:
        if rule not in likely:
            yield context.is_satisfiable(both(found.broken, negate(found.applies(rule))))
    if not found.quick:
        yield context.is_satisfiable(found.unshown)


def _in_time(context: Context, watch: WatchedLimit) -> Iterator[m.Rule]:
    """The statements that are in time with every delay they have."""
    for rule in watch.rules:
        if delay_of(context.ruleset, rule, alert=watch.alert).seconds <= watch.allowed:
            yield rule


def _is_everywhere(context: Context, watch: WatchedLimit, rule: m.Rule) -> bool:
    """Whether a band reaches over all that breaks a limit, wherever its context holds: seen without a question."""
    if not isinstance(rule, m.Band) or rule.unless is not None or rule.region.moves:
        return False
    if rule.index not in (None, watch.index) or not _asks_for_no_more(rule.when, watch):
        return False
    return violation(context, watch.one).subtract(rule.region.values).is_empty


def _asks_for_no_more(when: m.Formula | None, watch: WatchedLimit) -> bool:
    """Whether a context holds wherever that of the limit does, by what they say."""
    own = watch.one.when
    if when is None:
        return True
    if own is None or watch.sensor is not None:
        return False
    own_parts = own.parts if isinstance(own, m.Or) else (own,)
    return when == own or (isinstance(when, m.Or) and all(part in when.parts for part in own_parts))


def _lasting(context: Context, watch: WatchedLimit) -> Answer:
    """Whether the limit can be broken in a state that lasts while nothing comes at all."""
    encoder = context.encoder
    nothing = _nothing(encoder, watch)
    if watch.sensor is not None:
        told = encoder.in_mode(told_without(frozenset((watch.sensor,))))
        gone = encoder.names.flag(failed_flag(watch.sensor), TRUE)
        nothing = disjunction((nothing, both(gone, _nothing(told, watch))))
    return context.is_satisfiable(both(encoder.violated(watch.one, watch.index), nothing))


def _nothing(encoder: Encoder, watch: WatchedLimit) -> Term:
    return negate(disjunction(comes(encoder, rule, watch.index) for rule in watch.rules))


# ---- delayed conditions ------------------------------------------------------------------------------------------


def _free(context: Context, watch: WatchedLimit) -> frozenset[str]:
    """The delayed conditions that may change while the limit is broken, and so may be either way in it: those that its
    context reads, and those whose undelayed value is not the same wherever it is broken. With a sensor that comes and
    goes only those that it can change: of all others the plain question is asked."""
    ruleset = context.ruleset
    formulas = [formula for rule in watch.rules for formula in (rule.when, rule.unless)]
    delayed = [name for name in _inner_first(ruleset, formulas, watch.one.when) if ruleset.conditions[name].is_delayed]
    own = ruleset.conditions_read(watch.one.when)
    if watch.sensor is not None:
        lost = told_without(frozenset((watch.sensor,)))
        delayed = [name for name in delayed if lost.touches(ruleset, *ruleset.conditions[name].parts)]
        own = frozenset()
    free = {name for name in delayed if name in own}
    for name in delayed:
        if name in free:
            continue
        there, told = _encoders(context, watch, frozenset(free))
        broken, undelayed = there.violated(watch.one, watch.index), told.condition(name)
        # What cannot be decided is free: towards the warning.
        if Answer.NO not in (context.is_satisfiable(both(broken, term)) for term in (undelayed, negate(undelayed))):
            free.add(name)
    return frozenset(free)


def _changes_once(context: Context, watch: WatchedLimit, name: str) -> bool:
    """Whether a condition with a memory, while the limit is broken, can only be set or only be cleared: then it changes
    no more than once, and all others are settled."""
    condition = context.ruleset.conditions[name]
    if condition.until is None or (watch.sensor is None and name in context.ruleset.conditions_read(watch.one.when)):
        return False
    there, told = _encoders(context, watch, frozenset())
    broken = there.violated(watch.one, watch.index)
    sets, clears = told.formula(condition.formula), told.formula(condition.until)
    return Answer.NO in (
        context.is_satisfiable(both(broken, sets)),
        context.is_satisfiable(both(broken, clears, negate(sets))),
    )


def _inner_first(ruleset: m.RuleSet, formulas: list[m.Formula | None], own: m.Formula | None) -> list[str]:
    """The conditions that formulas read, each after those it is built on."""
    read = ruleset.conditions_read(*formulas, own)
    found: list[str] = []

    def put(name: str) -> None:
        if name not in found:
            for other in sorted(ruleset.conditions_read(*ruleset.conditions[name].parts)):
                put(other)
            found.append(name)

    for name in sorted(read):
        put(name)
    return found


def _encoders(context: Context, watch: WatchedLimit, free: frozenset[str]) -> tuple[Encoder, Encoder]:
    """The encoder for the limit and that for the statements, with some conditions free."""
    may_fail = frozenset() if watch.sensor is None else frozenset((watch.sensor,))
    if not free and not may_fail:
        return context.encoder, context.encoder
    conditions = context.ruleset.conditions
    unsettled = frozenset(
        (name, value)
        for name in free
        for value in (True, False)
        if (conditions[name].cleared_after if value else conditions[name].set_after)
    )
    changing = " and ".join((*sorted(free), *(f"the sensor of {name}" for name in sorted(may_fail))))
    mode = FaultModel(unsettled, may_fail, f" while {changing} may change")
    told = context.encoder.in_mode(mode)
    return (told if watch.sensor is None else context.encoder), told
