"""What every check works with: the rule set, the questions, and witnesses the reference evaluator has confirmed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from alertlang.checks.words import StatementWords
from alertlang.findings.finding import (
    Fact,
    Finding,
    Positions,
    Reach,
    Region,
    ToldOtherwise,
    Witness,
    WitnessReading,
    WitnessTruth,
)
from alertlang.logic.core import smallest_core
from alertlang.logic.encode import Encoder
from alertlang.logic.explore import Box, Exploration, Explorer, Found
from alertlang.logic.solver import WORK_LIMIT, Answer, Decider, Model, Question
from alertlang.logic.terms import Term, conjunction
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED, MISSED, PLAIN, FaultModel, told_without
from alertlang.text.lists import listed
from alertlang.units.interval import Interval

Confirm = Callable[[Instant], bool]


class DisagreementError(Exception):
    """Solver and reference evaluator disagree on a witness: a fault of the tool, never shown as a finding."""


@dataclass(frozen=True, slots=True)
class FaultCase:
    """One region in which something is wrong, with a confirmed witness."""

    box: Box
    model: Model
    witness: Witness
    region: Region

    def reach(self, reading: str) -> Interval:
        """Where a reading lies in it."""
        part = self.region[reading]
        assert isinstance(part, Reach)
        return part.interval


@dataclass(frozen=True, slots=True)
class Cases:
    found: tuple[FaultCase, ...]
    complete: bool
    undecided: bool


class Context:
    """One rule set under check. Nothing in here depends on the order in which checks run."""

    def __init__(self, ruleset: m.RuleSet, work_limit: int = WORK_LIMIT, record: list[Question] | None = None) -> None:
        self.ruleset = ruleset
        self.encoder = Encoder(ruleset)
        self.decider = Decider(self.encoder, work_limit, record)
        self.explorer = Explorer(self.encoder, self.decider)
        # What several checks ask in the same words is asked once.
        self._in_context: dict[str, Answer] = {}
        self.kept: dict[tuple[str, str], object] = {}
        self._findings: dict[tuple[str, str], tuple[Finding, ...]] = {}
        self.words = StatementWords(ruleset, self.encoder.names.quantity)

    def causes(self, term: Term) -> tuple[tuple[str, ...], str]:
        """The assumptions that make a term impossible, and the same in words; nothing where it is without them."""
        causes = smallest_core(self.decider, term, self.encoder.assumptions) or ()
        return causes, f" with {listed(causes)}" if causes else ""

    def encoder_for(self, *formulas: m.Formula | None, failing: frozenset[str] = frozenset()) -> Encoder:
        """The encoder in whose states the readings may fail whose failure some formulas ask for (and `failing`);
        where there are none, the plain one, in which every sensor is healthy."""
        may_fail = failing | self.ruleset.failures_read(*formulas)
        return self.encoder.in_mode(told_without(may_fail))

    def in_context(self, declared: m.Range) -> Answer:
        """Whether the context of a limit or range can hold."""
        found = self._in_context.get(declared.label)
        if found is None:
            found = self._in_context[declared.label] = self.is_satisfiable(self.encoder.given(declared))
        return found

    def is_satisfiable(self, term: Term) -> Answer:
        return self.decider.is_satisfiable(term)

    def findings(self, check: Callable[[Context, str], Iterator[Finding]], quantity: str) -> tuple[Finding, ...]:
        """What a check finds on a quantity, worked out once."""
        key = (check.__module__, quantity)
        if key not in self._findings:
            self._findings[key] = tuple(check(self, quantity))
        return self._findings[key]

    def cases(
        self,
        goal: Term,
        confirm: Confirm,
        *,
        primary: str | None,
        formulas: tuple[m.Formula | None, ...] = (),
        most: int = 6,
        start: Term | None = None,
        told: FaultModel = PLAIN,
    ) -> Cases:
        """Regions where `goal` holds, each with a witness for which `confirm` holds too.

        `formulas`: the named conditions they read are shown in the witness. `start`: only regions around a state that
        satisfies it too. `told`: how the box is told of the state, where that is not as it is.
        """
        result = self.explorer.explore(goal, primary, most, start)
        refused = self._refused(result, confirm)
        if refused is not None:
            # Something that the question left out may matter after all.
            with self.decider.keeping_all():
                result = self.explorer.explore(goal, primary, most, start)
            refused = self._refused(result, confirm)
        if refused is not None:
            raise DisagreementError(f"no such state: {dict(refused.readings)} {dict(refused.positions)}")
        found = [self._case(one, primary, formulas, told) for one in result.found]
        return Cases(tuple(found), result.complete, result.undecided)

    def _refused(self, result: Exploration, confirm: Confirm) -> Model | None:
        """A witness that the reference evaluator refuses."""
        for found in result.found:
            instant = self.instant(found.witness)
            if not instant.is_possible() or not confirm(instant):
                return found.witness
        return None

    def _case(
        self, found: Found, primary: str | None, formulas: tuple[m.Formula | None, ...], told: FaultModel
    ) -> FaultCase:
        instant = self.instant(found.witness)
        return FaultCase(
            found.box,
            found.witness,
            self.witness(found.witness, primary, instant, formulas, told),
            self.region(found.box, primary),
        )

    def instant(self, model: Model) -> Instant:
        """A state for the reference evaluator. It wants a value for every name, also for those that can make no
        difference and that the question therefore left out; these are free of the ones in it."""
        rest = self._any_state
        readings = {name: value for name, value in model.readings.items() if self.encoder.names.is_written(name)}
        free = {**rest.readings, **readings}
        flags = {**rest.flags, **model.flags}
        moved: dict[str, dict[str, Fraction]] = {}
        for name, value in model.readings.items():
            if name in self.encoder.names.moved:
                copy, reading = self.encoder.names.moved[name]
                moved.setdefault(copy, {})[reading] = value
        return Instant(self.ruleset, State(free, {**rest.positions, **model.positions}, flags, moved))

    @cached_property
    def _any_state(self) -> Model:
        """Some possible state of everything there is."""
        readings: dict[str, Fraction] = {
            m.variable(q.name, index): q.low
            for q in self.ruleset.quantities.values()
            if not q.is_computed
            for index in q.indexes
        }
        positions = {switch.name: switch.positions[0] for switch in self.ruleset.switches.values()}
        kept = self.decider.model(conjunction(term for _, term in self.encoder.assumptions))
        if kept is None:
            return Model(readings, positions)
        # What is derived is worked out anew from what a question fixes.
        readings.update({n: v for n, v in kept.readings.items() if n in readings})
        return Model(readings, {**positions, **kept.positions}, kept.flags)

    def witness(
        self,
        model: Model,
        primary: str | None,
        instant: Instant,
        formulas: tuple[m.Formula | None, ...],
        told: FaultModel = PLAIN,
    ) -> Witness:
        """Readings (the primary one first), then switches, then the named conditions that matter; where one is told
        otherwise than it is, both."""
        flags = self._with_truths(model, instant, told)
        instant = Instant(self.ruleset, State(instant.state.readings, instant.state.positions, flags))
        box = instant.in_mode(told)
        shown: dict[str, Fact] = {}
        for name in self.in_order(model.readings, primary):
            if self.encoder.names.is_written(name):
                shown[name] = WitnessReading(model.readings[name], self.quantity(name).unit)
        for name in self.ruleset.switches:
            if name in model.positions:
                shown[name] = model.positions[name]
        # A condition on something that can make no difference would show an arbitrary value.
        given = frozenset((*model.readings, *model.positions, *flags))
        for name in self.ruleset.conditions:
            if name in self.ruleset.conditions_read(*formulas) and self._is_known(name, given):
                shown[name] = _as_told(instant.condition(name), box.condition(name))
        for name, holds in sorted(flags.items()):
            # That a sensor works goes without saying.
            if name in self.ruleset.conditions or (name.endswith((FAILED, MISSED)) and not holds):
                continue
            if not (told.suffix and name.endswith(told.suffix)):
                shown[name] = _as_told(holds, flags.get(name + told.suffix, holds))
        return shown

    def _with_truths(self, model: Model, instant: Instant, told: FaultModel) -> dict[str, bool]:
        """The open truths of a state. Of one that is only asked about as it is told: as it is told, if it can be."""
        flags = dict(model.flags)
        for name, holds in sorted(model.flags.items()):
            itself = name.removesuffix(told.suffix)
            if itself not in flags:
                state = State(instant.state.readings, instant.state.positions, {**flags, itself: holds})
                flags[itself] = holds if Instant(self.ruleset, state).is_possible() else not holds
        return flags

    def _is_known(self, condition: str, given: frozenset[str]) -> bool:
        reads = self.encoder.definitions_for(self.encoder.condition(condition).reads)[0]
        return reads <= given

    def region(self, box: Box, primary: str | None) -> Region:
        """The box, without what reaches over a whole range; the primary reading is always there."""
        shown: dict[str, Reach | Positions | WitnessTruth] = {}
        for name in self.in_order(box.readings, primary):
            quantity = self.quantity(name)
            if name == primary or box.readings[name] != quantity.range:
                shown[name] = Reach(box.readings[name], quantity.unit)
        for name, switch in self.ruleset.switches.items():
            if name in box.positions and len(box.positions[name]) < len(switch.positions):
                shown[name] = Positions(box.positions[name])
        for name, holds in box.flags.items():
            if holds or not name.endswith((FAILED, MISSED)):
                shown[name] = WitnessTruth(holds)
        return shown

    def in_order(self, names: Iterable[str], primary: str | None) -> list[str]:
        """Readings in the order of declaration, the primary one first."""
        return sorted(names, key=lambda n: (n != primary, self.encoder.names.place(n), len(n), n))

    def quantity(self, variable: str) -> m.Quantity:
        """The quantity of a reading (`cht[2]` is one of cht)."""
        return self.encoder.names.quantity(variable)

    def subject(self, reading: str) -> str:
        """What a statement is about that stands for a reading: the array, if its elements are all treated alike."""
        name = m.ReadingId(reading).quantity
        return reading if name in self.ruleset.indexed_arrays else name

    def is_array(self, subject: str) -> bool:
        """Whether what a statement is about is an array as a whole."""
        name = m.ReadingId(subject)
        return name.element is None and self.ruleset.quantities[name.quantity].size is not None

    def elements(self, quantity: str, index: int | None = None) -> Iterator[tuple[int | None, str]]:
        """The elements to ask about, each with the name of its reading; `index` for one that is named."""
        for element in (index,) if index is not None else self.ruleset.elements(quantity):
            yield element, m.variable(quantity, element)


def _as_told(holds: bool, told: bool) -> Fact:
    return holds if holds is told else ToldOtherwise(holds, told)


def width(interval: Interval) -> Fraction:
    """The width of an interval that lies within a sensor's range."""
    found = interval.width()
    assert found is not None
    return found
