"""Z3: whether some state satisfies a term, and one that does.

Deciding happens in solvers that are kept and used again. A model is always made in a context of its own, where the same
question gives the same answer every time (in a shared one it depends on what was asked before).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cached_property
from typing import Any

import z3

from alertlang.logic.encode import Encoder
from alertlang.logic.interrupts import Context, checked
from alertlang.logic.statement import Statement
from alertlang.logic.terms import All, AtValue, Flag, Less, Linear, Negation, Some, Term, conjunction

# Z3's own measure of work; questions of rule sets take some hundreds to some thousands of it. A clock would make
# the answer depend on the machine.
WORK_LIMIT = 5_000_000
_MOST_SOLVERS = 128


class Answer(Enum):
    """Whether a term can be true in some state."""

    YES = "yes"
    NO = "no"
    UNDECIDED = "undecided"


class _Translator:
    """Terms to expressions of one Z3 context."""

    def __init__(self, encoder: Encoder, context: z3.Context, suffix: str = "") -> None:
        """`suffix`: told after every name, so that one question can look at several states."""
        self.encoder = encoder
        self.context = context
        self.suffix = suffix
        self.readings: dict[str, z3.ArithRef] = {}
        self.positions: dict[tuple[str, str], z3.BoolRef] = {}
        self.flags: dict[str, z3.BoolRef] = {}
        self._atoms: dict[tuple[str, Fraction, bool], z3.BoolRef] = {}
        self._worlds: dict[str, z3.BoolRef] = {}
        self._numbers: dict[Fraction, z3.RatNumRef] = {}
        # The term is kept beside its expression, so that an id is never given again to another one.
        self._terms: dict[int, tuple[Term, z3.BoolRef]] = {}

    def reading(self, name: str) -> z3.ArithRef:
        found = self.readings.get(name)
        if found is None:
            found = self.readings[name] = z3.Real(name + self.suffix, self.context)
        return found

    def position(self, switch: str, position: str) -> z3.BoolRef:
        key = (switch, position)
        found = self.positions.get(key)
        if found is None:
            found = self.positions[key] = z3.Bool(f"{switch} is {position}{self.suffix}", self.context)
        return found

    def flag(self, name: str) -> z3.BoolRef:
        found = self.flags.get(name)
        if found is None:
            found = self.flags[name] = z3.Bool(name + self.suffix, self.context)
        return found

    def number(self, value: Fraction) -> z3.RatNumRef:
        found = self._numbers.get(value)
        if found is None:
            found = self._numbers[value] = z3.RealVal(str(value), self.context)
        return found

    def __call__(self, term: Term) -> z3.BoolRef:
        known = self._terms.get(id(term))
        if known is not None:
            return known[1]
        made = self._make(term)
        self._terms[id(term)] = (term, made)
        return made

    # Z3's Python operators look at the sort of every argument; with terms there is nothing to look at, and calling
    # what they call saves more time than deciding takes.
    def _bool(self, ast: Any) -> z3.BoolRef:
        return z3.BoolRef(ast, self.context)

    def _many(self, make: Callable[..., Any], terms: tuple[Term, ...]) -> z3.BoolRef:
        parts = [self(term) for term in terms]
        array = (z3.Ast * len(parts))(*(part.as_ast() for part in parts))
        return self._bool(make(self.context.ref(), len(parts), array))

    def _make(self, term: Term) -> z3.BoolRef:
        match term:
            case Less():
                key = (term.variable, term.value, term.included)
                atom = self._atoms.get(key)
                if atom is None:
                    reading, number = self.reading(term.variable), self.number(term.value)
                    make = z3.Z3_mk_le if term.included else z3.Z3_mk_lt
                    atom = self._bool(make(self.context.ref(), reading.as_ast(), number.as_ast()))
                    self._atoms[key] = atom
                return atom
            case AtValue():
                return self.position(term.switch, term.position)
            case Flag():
                return self.flag(term.name)
            case Linear():
                total: z3.ArithRef = self.number(term.constant)
                for name, factor in term.coefficients:
                    total = total + self.number(factor) * self.reading(name)
                zero = self.number(Fraction(0))
                return total == zero if term.equal else total <= zero
            case Negation():
                return self._bool(z3.Z3_mk_not(self.context.ref(), self(term.part).as_ast()))
            case All():
                return self._many(z3.Z3_mk_and, term.parts)
            case Some():
                return self._many(z3.Z3_mk_or, term.parts)
        raise AssertionError(term)

    def world(self, name: str) -> z3.BoolRef:
        """What is true of a name by itself: a reading's range, a switch's one position, what is derived or leaves
        something open."""
        known = self._worlds.get(name)
        if known is None:
            known = self._worlds[name] = z3.And(self._world(name))
        return known

    def _world(self, name: str) -> list[z3.BoolRef]:
        definition = self.encoder.definition(name)
        if self.encoder.is_flag(name):
            return [self(definition)]
        if self.encoder.is_switch(name):
            flags = [self.position(name, p) for p in self.encoder.ruleset.switches[name].positions]
            pairs = [
                z3.Or(z3.Not(one, self.context), z3.Not(other, self.context))
                for i, one in enumerate(flags)
                for other in flags[:i]
            ]
            return [z3.Or(flags), *pairs]
        low, high = self.encoder.range_of(name).bounds
        reading = self.reading(name)
        return [reading >= self.number(low), reading <= self.number(high), self(definition)]


@dataclass(frozen=True, slots=True)
class Question:
    """One question as it was asked: is `term` true in some state that keeps `assumptions`? And its answer.

    `statement`: what it asks, in words, as far as whoever asked said so.
    """

    term: Term
    assumptions: tuple[Term, ...]
    answer: Answer
    statement: Statement | None = None


class Model:
    """One state: readings in their own units, switch positions and open truths, for the names a question is about."""

    def __init__(
        self, readings: dict[str, Fraction], positions: dict[str, str], flags: dict[str, bool] | None = None
    ) -> None:
        self.readings = readings
        self.positions = positions
        self.flags = flags or {}


class Decider:
    """Answers questions about the states of one rule set: quantities in their ranges, assumptions kept."""

    def __init__(self, encoder: Encoder, work_limit: int = WORK_LIMIT, record: list[Question] | None = None) -> None:
        """`record`: every question that decides something is put there, for another solver to answer again."""
        self.encoder = encoder
        self.work_limit = work_limit
        self.queries = 0
        # What is being asked, in words: set by whoever asks, kept with every question that is recorded.
        self.stating: Statement | None = None
        self._record = record
        self._context = Context()
        self._translate = _Translator(encoder, self._context)
        self._solvers: dict[frozenset[str], z3.Solver] = {}
        # By the number that the solver has for what it was asked. The translator keeps all it made: no number is given
        # twice.
        self._answers: dict[tuple[frozenset[str], int], Answer] = {}
        self._closures: dict[frozenset[str], tuple[frozenset[str], tuple[tuple[str, Term], ...]]] = {}
        self._keeps_all = False

    def cone_of_influence(self, reads: frozenset[str]) -> tuple[frozenset[str], tuple[tuple[str, Term], ...]]:
        """The names a question is about, and the assumptions that touch them.

        An assumption touches a question if both reach a name, each through as many definitions as it takes: what is
        assumed of a `let` says something about all that it is worked out from. So does one that shares a name with an
        assumption that touches it.
        """
        reads = self._asked(reads)
        known = self._closures.get(reads)
        if known is not None:
            return known
        names = self.encoder.definitions_for(reads)[0]
        touched = {self._group_of[name] for name in names if name in self._group_of}
        names = names.union(*(self._groups[i] for i in touched))
        # One that reads nothing is false everywhere, and touches every question.
        ordered = tuple(
            (label, term)
            for label, term in self.encoder.assumptions
            if not term.reads or any(self._group_of[name] in touched for name in term.reads)
        )
        self._closures[reads] = found = (names, ordered)
        return found

    def _asked(self, reads: frozenset[str]) -> frozenset[str]:
        """What a question is taken to be about: what it reads, or everything there is (see `keeping_all`)."""
        if not self._keeps_all:
            return reads
        return reads.union(self.encoder.names.definitions, *(term.reads for _, term in self.encoder.assumptions))

    @cached_property
    def _groups(self) -> list[frozenset[str]]:
        """The names that assumptions speak of, parted so that no assumption reaches into two groups.

        Worked out once: what a name is defined by is never changed later.
        """
        groups: list[frozenset[str]] = []
        for _, term in self.encoder.assumptions:
            names = self.encoder.definitions_for(term.reads)[0]
            joined = [group for group in groups if not names.isdisjoint(group)]
            groups = [group for group in groups if group not in joined] + [names.union(*joined)]
        return groups

    @cached_property
    def _group_of(self) -> dict[str, int]:
        return {name: i for i, names in enumerate(self._groups) for name in names}

    @contextmanager
    def keeping_all(self) -> Iterator[None]:
        """Every question keeps all assumptions and all definitions, whatever it is about: more work, and no way to miss
        one that matters."""
        self._keeps_all = True
        try:
            yield
        finally:
            self._keeps_all = False

    def is_satisfiable(self, term: Term) -> Answer:
        """Whether the term is true in some state."""
        names, assumptions = self.cone_of_influence(term.reads)
        asked = self._translate(term)
        key = names, asked.get_id()
        answer = self._answers.get(key)
        if answer is None:
            answer = self._answers[key] = self._decided(asked, names, assumptions)
        self._keep(term, tuple(assumption for _, assumption in assumptions), answer)
        return answer

    def _decided(self, asked: z3.BoolRef, names: frozenset[str], assumptions: tuple[tuple[str, Term], ...]) -> Answer:
        solver = self._solvers.get(names)
        if solver is None:
            if len(self._solvers) >= _MOST_SOLVERS:
                self._solvers.clear()
            solver = _new_solver(self._context, self.work_limit)
            for name in sorted(names):
                solver.add(self._translate.world(name))
            for _, assumption in assumptions:
                solver.add(self._translate(assumption))
            self._solvers[names] = solver
        self.queries += 1
        solver.push()
        z3.Z3_solver_assert(self._context.ref(), solver.solver, asked.as_ast())
        answer = _answer(solver, self.work_limit)
        solver.pop()
        return answer

    def possible_without(self, term: Term, assumptions: Iterable[Term]) -> Answer:
        """The same with only some assumptions kept, for finding out which of them matter."""
        kept = tuple(assumptions)
        self.queries += 1
        solver = _new_solver(self._context, self.work_limit)
        reads = term.reads.union(*(a.reads for a in kept))
        for name in sorted(self.encoder.definitions_for(reads)[0]):
            solver.add(self._translate.world(name))
        solver.add(self._translate(conjunction((term, *kept))))
        answer = _answer(solver, self.work_limit)
        self._keep(term, kept, answer)
        return answer

    def _keep(self, term: Term, assumptions: tuple[Term, ...], answer: Answer) -> None:
        if self._record is not None:
            self._record.append(Question(term, assumptions, answer, self.stating))

    def model(self, term: Term) -> Model | None:
        """A state in which the term is true; none if there is none or the solver gave up. Always the same one."""
        names, assumptions = self.cone_of_influence(term.reads)
        context = Context()
        translate = _Translator(self.encoder, context)
        solver = _new_solver(context, self.work_limit)
        for name in sorted(names):
            solver.add(translate.world(name))
        for _, assumption in assumptions:
            solver.add(translate(assumption))
        solver.add(translate(term))
        self.queries += 1
        if _answer(solver, self.work_limit) is not Answer.YES:
            return None
        model = solver.model()
        readings: dict[str, Fraction] = {}
        positions: dict[str, str] = {}
        flags: dict[str, bool] = {}
        for name in sorted(names):
            if self.encoder.is_switch(name):
                # Completing a model sets what nobody mentions to false; the first true position is the one.
                for position in self.encoder.ruleset.switches[name].positions:
                    flag = translate.position(name, position)
                    if z3.is_true(model.eval(flag, model_completion=True)):
                        positions[name] = position
                        break
            elif self.encoder.is_flag(name):
                flags[name] = z3.is_true(model.eval(translate.flag(name), model_completion=True))
            else:
                value = model.eval(translate.reading(name), model_completion=True)
                assert isinstance(value, z3.RatNumRef)
                readings[name] = Fraction(value.as_string())
        return Model(readings, positions, flags)


def _new_solver(context: z3.Context, work_limit: int) -> z3.Solver:
    solver = z3.SimpleSolver(ctx=context)
    solver.set("rlimit", work_limit)
    return solver


def _answer(solver: z3.Solver, work_limit: int) -> Answer:
    result = checked(solver, work_limit)
    if result == z3.sat:
        return Answer.YES
    return Answer.NO if result == z3.unsat else Answer.UNDECIDED


def solver_version() -> str:
    """For example `z3 4.13.0`."""
    return f"z3 {z3.get_version_string()}"
