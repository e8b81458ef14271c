"""What verdicts rest on: every question that was asked, its answer, and what a second solver says to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from alertlang.checks.context import Context
from alertlang.checks.run import Results, prove_in, run_in
from alertlang.logic.encode import Encoder
from alertlang.logic.second import SecondSolver
from alertlang.logic.smtlib import STATUS, script
from alertlang.logic.solver import WORK_LIMIT, Answer, Question, solver_version
from alertlang.logic.statement import Statement
from alertlang.logic.terms import All, Term, conjunction
from alertlang.model import ruleset as m
from alertlang.results.report import ClaimResult, Proof, Verdict
from alertlang.text.short import Short

_UNSTATED = Statement(
    "question", "", "some possible state satisfies the formula", "there is one", "there is none", series=True
)


@dataclass(frozen=True, slots=True)
class Asked:
    """One question. `number` counts from 1; `script` states no answer and is complete in itself.

    `assumptions`: labels of those that are asserted in it. `follows`: the number of the question that it narrows down,
    and by which it is stated. `second`: what the second solver says to it, none if that was not asked for.
    """

    number: int
    question: Question
    statement: Statement
    script: str
    assumptions: tuple[str, ...]
    follows: int | None
    second: str | None = None

    @property
    def answer(self) -> str:
        """`sat`, `unsat` or `unknown`."""
        return STATUS[self.question.answer]

    @property
    def confirmed(self) -> bool:
        """Both solvers have an answer, and it is the same."""
        return self.question.answer is not Answer.UNDECIDED and self.second == self.answer

    @property
    def disputed(self) -> bool:
        """Both solvers have an answer, and it is not the same."""
        decided = {STATUS[Answer.YES], STATUS[Answer.NO]}
        return {self.answer, self.second} == decided


@dataclass(frozen=True, slots=True, repr=False)
class Evidence(Short):
    """Verdicts with the questions they rest on.

    `results` are those of all checks, none if only the claims were asked for. What two solvers dispute is decided
    nowhere in here: such a claim is undecided, such a check has not proved anything. `second`: the second solver with
    its version, none if there was none.
    """

    ruleset: m.RuleSet
    claims: tuple[ClaimResult, ...]
    results: Results | None
    asked: tuple[Asked, ...]
    solver: str
    second: str | None

    @property
    def confirmed(self) -> tuple[Asked, ...]:
        return tuple(asked for asked in self.asked if asked.confirmed)

    @property
    def disputed(self) -> tuple[Asked, ...]:
        return tuple(asked for asked in self.asked if asked.disputed)

    @property
    def unconfirmed(self) -> tuple[Asked, ...]:
        """Questions to which one of the two solvers has no answer."""
        return tuple(asked for asked in self.asked if not asked.confirmed and not asked.disputed)


def gather(
    ruleset: m.RuleSet,
    *,
    checks: bool = False,
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
    second: SecondSolver | None = None,
) -> Evidence:
    """The claims (with `checks` all checks too) and everything that was asked for them."""
    record: list[Question] = []
    context = Context(ruleset, work_limit, record)
    results = run_in(context, today) if checks else None
    claims = prove_in(context) if results is None else results.claims
    asked = _numbered(context.encoder, record)
    if second is None:
        return Evidence(ruleset, claims, results, asked, solver_version(), None)
    said: dict[str, str] = {}
    for one in asked:
        if one.script not in said:
            said[one.script] = second.answer(one.script)
    asked = tuple(replace(one, second=said[one.script]) for one in asked)
    disputed = [one for one in asked if one.disputed]
    claims = tuple(_unless_disputed(claim, disputed, second.version) for claim in claims)
    if results is not None:
        proved = tuple(proof for proof in results.proved if not _is_disputed(proof, disputed))
        results = replace(results, claims=claims, proved=proved)
    return Evidence(ruleset, claims, results, asked, solver_version(), second.version)


def _numbered(encoder: Encoder, record: Iterable[Question]) -> tuple[Asked, ...]:
    """The questions of a record in its order; one that is asked twice under the same statement is there once."""
    found: list[Asked] = []
    known: set[tuple[int, str, Answer]] = set()
    # The first question of each statement. The record keeps the statements, so that no id is given again.
    first: dict[int, int] = {}
    for question in record:
        statement = question.statement or _UNSTATED
        text = script(encoder, replace(question, answer=Answer.UNDECIDED))
        key = (id(statement), text, question.answer)
        if key in known:
            continue
        known.add(key)
        number = len(found) + 1
        head = first.setdefault(id(statement), number)
        follows = None if statement.series or head == number else head
        found.append(Asked(number, question, statement, text, _assumed(encoder, question), follows))
    return tuple(found)


def _assumed(encoder: Encoder, question: Question) -> tuple[str, ...]:
    """The assumptions of which every part is asserted in a question, wherever it was put."""
    asserted = {id(part) for part in _parts(conjunction((question.term, *question.assumptions)))}
    return tuple(label for label, term in encoder.assumptions if all(id(part) in asserted for part in _parts(term)))


def _parts(term: Term) -> tuple[Term, ...]:
    return term.parts if isinstance(term, All) else (term,)


def _unless_disputed(claim: ClaimResult, disputed: Iterable[Asked], second: str) -> ClaimResult:
    """A claim as it can be trusted. A refuted one stands: the reference evaluator has confirmed its witness."""
    numbers = [
        str(asked.number)
        for asked in disputed
        if asked.statement.kind == "the assumptions"
        or (asked.statement.kind, asked.statement.name) == ("claim", claim.label)
    ]
    if not numbers or claim.verdict is Verdict.REFUTED:
        return claim
    said = f"{solver_version()} and {second} disagree on question {', '.join(numbers)}"
    return replace(claim, verdict=Verdict.UNDECIDED, witness=None, region=None, assumptions=(), shown=said)


def _is_disputed(proof: Proof, disputed: Iterable[Asked]) -> bool:
    return any(
        asked.statement.kind == "the assumptions"
        or (asked.statement.kind, asked.statement.name, asked.statement.quantity)
        == ("check", proof.check, proof.quantity)
        for asked in disputed
    )
