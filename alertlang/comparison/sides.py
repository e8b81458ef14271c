"""Questions about both sides at once, and what the reference evaluator says of each side in a state of both."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from alertlang.checks.context import Context
from alertlang.checks.words import Words
from alertlang.comparison.joint import Joint, Rule
from alertlang.logic.encode import Encoder
from alertlang.logic.explore import Explorer
from alertlang.logic.solver import Decider
from alertlang.logic.terms import TRUE, Flag, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s


@dataclass(frozen=True, slots=True)
class View:
    """How a state is looked at. `steady`: everything that has a clock is over, nothing lingers; otherwise all clocks
    are open. `mode`: which sensors may fail."""

    steady: bool = True
    mode: s.Mode = s.PLAIN


STEADY = View()
OPEN = View(steady=False)


@dataclass(frozen=True, slots=True)
class Tie:
    """What is known of two clocks that the sides do not share. `flags`: their open truths."""

    label: str
    flags: frozenset[str]
    term: Term


class TiedDecider(Decider):
    """Keeps ties too, those whose clocks are both asked about: with one of them free a tie says nothing, and would only
    make the question larger."""

    def __init__(self, encoder: Encoder, work_limit: int, ties: Iterable[Tie]) -> None:
        super().__init__(encoder, work_limit)
        self.ties = tuple(ties)
        self._tied: dict[frozenset[str], tuple[frozenset[str], tuple[tuple[str, Term], ...]]] = {}

    def about(self, reads: frozenset[str]) -> tuple[frozenset[str], tuple[tuple[str, Term], ...]]:
        """As the base, with the ties."""
        reads = self._asked(reads)
        found = self._tied.get(reads)
        if found is None:
            kept: list[Tie] = []
            names, assumptions = super().about(reads)
            while True:
                kept = [tie for tie in self.ties if tie.flags <= names]
                wider, assumptions = super().about(names.union(*(tie.term.reads for tie in kept)))
                if wider == names:
                    break
                names = wider
            found = self._tied[reads] = names, (*assumptions, *((tie.label, tie.term) for tie in kept))
        return found


class Sides(Context):
    """The joint rule set under question."""

    def __init__(self, joint: Joint, work_limit: int) -> None:
        super().__init__(joint.ruleset, work_limit)
        self.joint = joint
        self.ties: list[Tie] = []
        self.decider = TiedDecider(self.encoder, work_limit, ())
        self.explorer = Explorer(self.encoder, self.decider)
        self.words = Words(joint.ruleset, self.encoder.names.quantity)
        self.sides = (joint.before, joint.after)
        self._work_limit = work_limit
        self._asked_before = 0
        self.regions_told = 0
        self._names_of_flags: dict[s.Mode, tuple[tuple[str, str], ...]] = {}

    @cached_property
    def has_held(self) -> bool:
        """Some formula goes by how long something has held."""
        return bool(self.ruleset.held)

    @cached_property
    def _second_held(self) -> tuple[m.Held, ...]:
        return self.joint.second.held

    @property
    def questions(self) -> int:
        """How many questions were asked so far."""
        return self._asked_before + self.decider.queries

    # ---- terms

    def encoder_in(self, view: View) -> Encoder:
        return self.encoder.in_mode(view.mode)

    def applies(self, rule: Rule, index: int | None, view: View) -> Term:
        """A statement of either side applies to an element."""
        encoder = self.encoder_in(view)
        one = rule.joint
        if isinstance(one, m.Alert):
            return encoder.alerts(one, eventually=view.steady)
        return encoder.applies(one, index, eventually=view.steady, linger=not view.steady)

    def up(self, rule: Rule, index: int | None, view: View) -> Term:
        """The alert of a statement is up."""
        applies = self.applies(rule, index, view)
        if view.steady or not (rule.own.after or rule.own.latched or self._has_clock(rule)):
            return applies
        due = self.encoder.names.flag(due_flag(rule, index, view), TRUE)
        kept = self.encoder.names.flag(kept_flag(rule, index, view), TRUE)
        up = both(applies, due) if self._may_wait(rule) else applies
        return disjunction((up, kept)) if self._may_be_kept(rule) else up

    @cached_property
    def _paired(self) -> dict[str, list[Rule]]:
        found: dict[str, list[Rule]] = {}
        for pair in self.joint.pairs:
            found.setdefault(pair[0].label, []).extend(pair)
        return found

    def _partners(self, rule: Rule) -> list[Rule]:
        return self._paired.get(rule.label, [rule])

    def _has_clock(self, rule: Rule) -> bool:
        return self._may_wait(rule) or self._may_be_kept(rule)

    def _may_wait(self, rule: Rule) -> bool:
        return any(one.own.after for one in self._partners(rule))

    def _may_be_kept(self, rule: Rule) -> bool:
        return any(one.own.latched for one in self._partners(rule))

    def bands(self, side: int, quantity: str | None) -> list[Rule]:
        return [r for r in self.sides[side] if isinstance(r.joint, m.Band) and r.joint.quantity == quantity]

    # ---- the reference evaluator

    def instants(self, instant: Instant, view: View) -> tuple[Instant, Instant]:
        """Each side's own look at a state of both."""
        first, second = self.joint.first, self.joint.second
        flags = dict(instant.state.flags)
        mine = State(self._readings(instant, first, {}), instant.state.positions, flags)
        renamed = dict(flags)
        names_of_flags = self._names_of_flags.get(view.mode)
        if names_of_flags is None:
            names_of_flags = self._names_of_flags[view.mode] = tuple(self._flag_names(view.mode))
        for own, joint in names_of_flags:
            if joint in flags:
                renamed[own] = flags[joint]
            else:
                renamed.pop(own, None)
        names = self.joint.names.quantities
        theirs = State(self._readings(instant, second, names), instant.state.positions, renamed)
        return Instant(first, mine, view.mode), Instant(second, theirs, view.mode)

    def _readings(self, instant: Instant, side: m.RuleSet, names: dict[str, str]) -> dict[str, Fraction]:
        return {
            m.variable(q.name, index): instant.reading(names.get(q.name, q.name), index)
            for q in side.quantities.values()
            if not q.is_computed
            for index in q.indexes
        }

    def _flag_names(self, mode: s.Mode) -> Iterable[tuple[str, str]]:
        """The names of open truths on the second side, each with its joint name."""
        own, joint = self.joint.second, self.joint.ruleset
        for name, condition in own.conditions.items():
            if condition.until is not None:
                yield s.until_flag(own, name, mode), s.until_flag(joint, self.joint.names.conditions[name], mode)
        for part in self._second_held:
            renamed = self.joint.names.formula(part)
            assert isinstance(renamed, m.Held)
            yield s.held_flag(own, part, mode), s.held_flag(joint, renamed, mode)
        for rule in self.joint.after:
            indexes: tuple[int | None, ...] = (None,)
            if isinstance(rule.own, m.Band):
                indexes = own.quantities[rule.own.quantity].indexes
            for index in indexes:
                if rule.own.held is not None and rule.joint.held is not None:
                    yield (
                        s.elapsed_flag(own, rule.own, index, mode),
                        s.elapsed_flag(joint, rule.joint, index, mode),
                    )
                if not isinstance(rule.own, m.Band) or not isinstance(rule.joint, m.Band):
                    continue
                if own.quantities[rule.own.quantity].deadband is not None:
                    yield s.lingers_flag(own, rule.own, index, mode), s.lingers_flag(joint, rule.joint, index, mode)

    def applied(self, rule: Rule, index: int | None, instant: Instant, view: View) -> bool:
        """Whether a statement applies, by the reference evaluator."""
        if isinstance(rule.own, m.Alert):
            return instant.alerts(rule.own, eventually=view.steady)
        return instant.applies(rule.own, index, eventually=view.steady, linger=not view.steady)

    def is_up(self, rule: Rule, index: int | None, instant: Instant, joint: Instant, view: View) -> bool:
        applied = self.applied(rule, index, instant, view)
        if view.steady:
            return applied
        flags = joint.state.flags
        due = not self._may_wait(rule) or flags.get(due_flag(rule, index, view), False)
        return (applied and due) or (self._may_be_kept(rule) and flags.get(kept_flag(rule, index, view), False))

    # ---- ties between clocks

    def tie(self) -> None:
        """What has lasted longer has lasted long enough: where one statement applies only if another does, its clock is
        never ahead of it. Likewise a condition with a memory."""
        unpaired = [[r for r in side if r not in [p[i] for p in self.joint.pairs]] for i, side in enumerate(self.sides)]
        for mine in unpaired[0]:
            for theirs in unpaired[1]:
                self._tie_rules(mine, theirs)
                self._tie_rules(theirs, mine)
        first, second = self.joint.first.conditions, self.joint.ruleset.conditions
        for name, condition in second.items():
            if name in first or condition.until is None:
                continue
            for other in first.values():
                if other.until is not None and not (other.is_delayed or condition.is_delayed):
                    self._tie_conditions(condition, other)
                    self._tie_conditions(other, condition)
        if self.ties:
            # What was asked before the ties were known does not know them.
            self._asked_before = self.decider.queries
            self.decider = TiedDecider(self.encoder, self._work_limit, self.ties)
            self.explorer = Explorer(self.encoder, self.decider)

    def _never(self, term: Term) -> bool:
        return self.possible(term).name == "NO"

    def _tie_conditions(self, inner: m.Condition, outer: m.Condition) -> None:
        encoder = self.encoder
        sets = both(encoder.formula(inner.formula), negate(encoder.formula(outer.formula)))
        clears = both(encoder.formula(outer.until), negate(encoder.formula(inner.until)))
        if self._never(sets) and self._never(clears):
            holds = disjunction((negate(encoder.condition(inner.name)), encoder.condition(outer.name)))
            flags = frozenset(s.until_flag(self.ruleset, one.name) for one in (inner, outer))
            self.ties.append(Tie(f"{inner.name} only with {outer.name}", flags, holds))

    def _tie_rules(self, inner: Rule, outer: Rule) -> None:
        one, other = inner.joint, outer.joint
        if isinstance(one, m.Band) and isinstance(other, m.Band):
            if one.quantity != other.quantity or one.index != other.index:
                return
            indexes = self.ruleset.elements(one.quantity)
        elif isinstance(one, m.Alert) and isinstance(other, m.Alert):
            indexes = (None,)
        else:
            return
        held = other.held is not None and one.held is not None and one.held >= other.held
        held = held and one.in_total == other.in_total
        waits = self._may_wait(outer) and self._may_wait(inner) and (one.after or 0) >= (other.after or 0)
        if not held and not waits:
            return
        wide = View(steady=True)
        for index in indexes:
            if isinstance(one, m.Band) and one.index not in {None, index}:
                continue
            if not self._never(both(self.applies(inner, index, wide), negate(self.applies(outer, index, wide)))):
                return
        for index in indexes:
            if held:
                clocks = [s.elapsed_flag(self.ruleset, rule.joint, index) for rule in (inner, outer)]
                for rule in (inner, outer):
                    self.applies(rule, index, OPEN)
                term = disjunction((negate(Flag(clocks[0])), Flag(clocks[1])))
                self.ties.append(Tie(f"{clocks[0]} only with {clocks[1]}", frozenset(clocks), term))
            if waits and (held or (one.held is None and other.held is None)):
                names = [due_flag(rule, index, OPEN) for rule in (inner, outer)]
                for name in names:
                    self.encoder.names.flag(name, TRUE)
                due = disjunction((negate(both(Flag(names[0]), self.applies(inner, index, OPEN))), Flag(names[1])))
                self.ties.append(Tie(f"{names[0]} only with {names[1]}", frozenset(names), due))


def due_flag(rule: Rule, index: int | None, view: View) -> str:
    """Whether a statement has applied for longer than its alert waits."""
    return f"{m.variable(rule.label, index)} due{view.mode.suffix}"


def kept_flag(rule: Rule, index: int | None, view: View) -> str:
    """Whether a latched alert is still up although its cause may be gone."""
    return f"{m.variable(rule.label, index)} kept up{view.mode.suffix}"
