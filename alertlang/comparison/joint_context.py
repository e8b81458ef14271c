"""Questions about both sides at once, and what the reference evaluator says of each side in a state of both."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.checks.words import StatementWords
from alertlang.comparison.clocks import clocks, dead, implied, unshared
from alertlang.comparison.joint import Joint, Rule, due_flag, kept_flag
from alertlang.logic.encode import Encoder
from alertlang.logic.explore import Explorer
from alertlang.logic.history import Clock
from alertlang.logic.solver import Answer, Decider
from alertlang.logic.terms import FALSE, TRUE, Flag, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.results.comparison import Direction


@dataclass(frozen=True, slots=True)
class View:
    """How a state is looked at. `steady`: everything that has a clock is over, nothing lingers; otherwise all clocks
    are open. `mode`: which sensors may fail, and which delayed conditions may still be what they were."""

    steady: bool = True
    mode: s.FaultModel = s.PLAIN


STEADY = View()


@dataclass(frozen=True, slots=True)
class Tie:
    """What is known of two clocks that the sides do not share. `flags`: their open truths."""

    label: str
    flags: frozenset[str]
    term: Term


class TiedDecider(Decider):
    """Keeps ties too, those whose clocks are both asked about: with one of them free a tie says nothing, and would only
    make the question larger."""

    def __init__(self, encoder: Encoder, work_limit: int) -> None:
        super().__init__(encoder, work_limit)
        self.ties: list[Tie] = []
        self._tied: dict[frozenset[str], tuple[frozenset[str], tuple[tuple[str, Term], ...]]] = {}

    def tie(self, tie: Tie) -> None:
        """What was asked before did not know it."""
        self.ties.append(tie)
        self._tied = {}
        self._solvers = {names: solver for names, solver in self._solvers.items() if not tie.flags <= names}

    def cone_of_influence(self, reads: frozenset[str]) -> tuple[frozenset[str], tuple[tuple[str, Term], ...]]:
        """As the base, with the ties."""
        reads = self._asked(reads)
        found = self._tied.get(reads)
        if found is None:
            names, assumptions = super().cone_of_influence(reads)
            kept = [tie for tie in self.ties if tie.flags <= names]
            found = self._tied[reads] = names, (*assumptions, *((tie.label, tie.term) for tie in kept))
        return found


class Sides(Context):
    """The joint rule set under question."""

    def __init__(self, joint: Joint, work_limit: int) -> None:
        super().__init__(joint.ruleset, work_limit)
        self.joint = joint
        self.decider: TiedDecider = TiedDecider(self.encoder, work_limit)
        self.explorer = Explorer(self.encoder, self.decider)
        self.words = StatementWords(joint.ruleset, self.encoder.names.quantity)
        self.sides = (joint.before, joint.after)
        self.regions_told = 0
        self._tied: set[tuple[str, str]] = set()
        self._names_of_flags: dict[s.FaultModel, tuple[tuple[str, str], ...]] = {}
        # Delays of conditions that some change was told for, each with its direction.
        self.delays_told: set[tuple[str, Direction]] = set()

    @property
    def questions(self) -> int:
        """How many questions were asked so far."""
        return self.decider.queries

    def open_view(self, sensors: frozenset[str] = frozenset()) -> View:
        """All clocks open, and some sensors may fail."""
        rules = self.ruleset
        delayed = [(name, c) for name, c in rules.conditions.items() if c.is_delayed]
        unsettled = {(name, False) for name, c in delayed if c.set_after}
        unsettled |= {(name, True) for name, c in delayed if c.cleared_after}
        if not unsettled:
            return View(False, s.told_without(sensors))
        suffix = f"{s.told_without(sensors).suffix} meanwhile"
        return View(False, s.FaultModel(frozenset(unsettled), sensors, suffix))

    # ---- terms

    def encoder_in(self, view: View) -> Encoder:
        return self.encoder.in_mode(view.mode)

    def applies(self, rule: Rule, index: int | None, view: View) -> Term:
        """A statement of either side applies to an element."""
        encoder = self.encoder_in(view)
        return encoder.applies(rule.joint, index, eventually=view.steady, linger=not view.steady)

    def due(self, rule: Rule, index: int | None, view: View) -> Term:
        """A statement has applied for as long as its alert waits."""
        applies = self.applies(rule, index, view)
        if view.steady or not rule.own.after:
            return applies
        return both(applies, self.encoder.names.flag(due_flag(self.ruleset, rule, index, view.mode), TRUE))

    def up(self, rule: Rule, index: int | None, view: View) -> Term:
        """The alert of a statement is up."""
        due = self.due(rule, index, view)
        if view.steady or not rule.own.latched:
            return due
        return disjunction((due, self.encoder.names.flag(kept_flag(self.ruleset, rule, index, view.mode), TRUE)))

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
        modes = view.mode, self._second_mode(view.mode)
        for own, joint in names_of_flags:
            if joint in flags:
                renamed[own] = flags[joint]
            else:
                renamed.pop(own, None)
        names = self.joint.names.quantities
        theirs = State(self._readings(instant, second, names), instant.state.positions, renamed)
        return Instant(first, mine, modes[0]), Instant(second, theirs, modes[1])

    def _sensors(self) -> Iterable[tuple[str, str]]:
        """The sensors of the second side, each with the joint one that it is."""
        names = self.joint.names.quantities
        for quantity in self.joint.second.quantities.values():
            for index in quantity.indexes if quantity.derived is None else ():
                for sensor in sorted(self.ruleset.sensors_read(names[quantity.name], index)):
                    yield m.variable(quantity.name, index), sensor

    def _second_mode(self, mode: s.FaultModel) -> s.FaultModel:
        """A mode of the joint rule set in the second side's own names."""
        return replace(mode, may_fail=frozenset(own for own, sensor in self._sensors() if sensor in mode.may_fail))

    def _readings(self, instant: Instant, side: m.RuleSet, names: dict[str, str]) -> dict[str, Fraction]:
        return {
            m.variable(q.name, index): instant.reading(names.get(q.name, q.name), index)
            for q in side.quantities.values()
            if not q.is_computed
            for index in q.indexes
        }

    def _flag_names(self, mode: s.FaultModel) -> Iterable[tuple[str, str]]:
        """The names of open truths on the second side, each with its joint name."""
        own, joint = self.joint.second, self.joint.ruleset
        mine = self._second_mode(mode)
        for sensor, known in self._sensors():
            if sensor != known:
                yield s.failed_flag(sensor), s.failed_flag(known)
        for quantity in own.quantities.values():
            for index in quantity.indexes:
                name = s.missed_flag(m.variable(quantity.name, index))
                other = s.missed_flag(m.variable(self.joint.names.quantities[quantity.name], index))
                if name != other:
                    yield name, other
        for name, condition in own.conditions.items():
            if condition.until is not None:
                yield s.until_flag(own, name, mine), s.until_flag(joint, self.joint.names.conditions[name], mode)
        for part in own.held:
            renamed = self.joint.names.formula(part)
            assert isinstance(renamed, m.Held)
            yield s.held_flag(own, part, mine), s.held_flag(joint, renamed, mode)

    def applied(self, rule: Rule, index: int | None, instant: Instant) -> bool:
        """Whether a statement applies in a steady state, by the reference evaluator."""
        return instant.applies(rule.own, index, eventually=True, linger=False)

    # ---- clocks

    def clocks(self, mode: s.FaultModel, rules: Iterable[Rule]) -> dict[str, Clock]:
        """By the name of the open truth, what it is over time. What a mode does not touch is as in the plain one."""
        which = list(rules)
        plain = {} if mode is s.PLAIN else clocks(self, View(False), which)
        return {**plain, **clocks(self, View(False, mode), which)}

    def tie(self, known: dict[str, Clock], reads: tuple[frozenset[str], frozenset[str]]) -> None:
        """What has lasted longer has lasted long enough: where one side's clock is proved to hold only if one of the
        other's does, the two are tied. `reads`: what is asked about, by side."""
        names = [self.encoder.definitions_for(side)[0] for side in reads]
        pairs = list(unshared((names[0], names[1]), known))
        for text in sorted(name for name in names[0] ^ names[1] if name in known):
            if (text, text) not in self._tied and dead(known[text], self.never):
                self._tied.add((text, text))
                self.decider.tie(Tie(f"never {text}", frozenset((text,)), negate(Flag(text))))
        # One may rest on another: each round may open the way for the next.
        for _ in range(3):
            found = False
            for text, other in pairs:
                for inner, outer in ((text, other), (other, text)):
                    if (inner, outer) not in self._tied and implied(known[inner], known[outer], self.never):
                        self._tied.add((inner, outer))
                        term = disjunction((negate(Flag(inner)), Flag(outer)))
                        self.decider.tie(Tie(f"{inner} only with {outer}", frozenset((inner, outer)), term))
                        found = True
            if not found:
                return

    def never(self, term: Term) -> bool:
        """Proved: no state has it."""
        return term is FALSE or self.is_satisfiable(term) is Answer.NO
