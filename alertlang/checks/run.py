"""All checks and claims over one rule set."""

from __future__ import annotations

from dataclasses import dataclass, replace

from alertlang.checks import question_text
from alertlang.checks.claims import judge, unproved
from alertlang.checks.context import Context
from alertlang.checks.own_file import in_own_file
from alertlang.checks.registry import BY_NAME, CHECKS, FIRST, Check
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
from alertlang.logic.solver import WORK_LIMIT, Question
from alertlang.model import ruleset as m
from alertlang.results.report import ClaimResult, Proof, Verdict


@dataclass(frozen=True, slots=True)
class Options:
    """`today` is an ISO date, for exceptions that end; none: their end is not looked at, and a note says so."""

    today: str | None = None
    work_limit: int = WORK_LIMIT


@dataclass(frozen=True, slots=True)
class Results:
    findings: tuple[Finding, ...]
    claims: tuple[ClaimResult, ...]
    proved: tuple[Proof, ...]

    @property
    def open_errors(self) -> tuple[str, ...]:
        """How many errors are open, and how many claims are not proved, in words; nothing where there are none."""
        errors = sum(found.accepted is None and found.severity is Severity.ERROR for found in self.findings)
        said = [f"{errors} error{' is' if errors == 1 else 's are'} open"] if errors else []
        for verdict in (Verdict.REFUTED, Verdict.UNDECIDED):
            count = sum(claim.verdict is verdict for claim in self.claims)
            if count:
                said.append(f"{count} claim{' is' if count == 1 else 's are'} {verdict.value}")
        return tuple(said)


def run(ruleset: m.RuleSet, options: Options = Options(), record: list[Question] | None = None) -> Results:
    """Everything there is to say about a rule set, in the order of its text.

    `record`: the questions that were put to the solver are put there, with their answers.
    """
    return run_in(Context(ruleset, options.work_limit, record), options.today)


def run_in(context: Context, today: str | None = None) -> Results:
    """The same in a context that somebody wants to look at afterwards."""
    ruleset = context.ruleset
    findings: list[Finding] = []
    proved: list[Proof] = []
    _whole(context, FIRST, findings, proved)
    impossible = list(findings)
    for check in CHECKS:
        if check is FIRST or (impossible and check.needs_state):
            continue
        if check.quantity is not None:
            for name in ruleset.quantities:
                _quantity(context, check, name, findings, proved)
        if check.whole is not None:
            _whole(context, check, findings, proved)
    findings = _once(findings)
    if not impossible:
        findings = _accepted(ruleset, findings, today)
    findings = [in_own_file(ruleset, found) for found in findings]
    findings.sort(key=lambda f: f.sort_key)
    return Results(tuple(findings), _claims(context, impossible), tuple(proved))


def prove(ruleset: m.RuleSet, options: Options = Options()) -> tuple[ClaimResult, ...]:
    """The claims alone. With impossible assumptions every one of them is vacuous, also one that no assumption touches:
    there is no state for it to be about."""
    return prove_in(Context(ruleset, options.work_limit))


def prove_in(context: Context) -> tuple[ClaimResult, ...]:
    """The same in a context that somebody wants to look at afterwards."""
    impossible: list[Finding] = []
    _whole(context, FIRST, impossible, [])
    return _claims(context, impossible)


def _claims(context: Context, impossible: list[Finding]) -> tuple[ClaimResult, ...]:
    """What becomes of each claim. `impossible`: findings that say that no state is possible, or that none was found."""
    if impossible:
        verdict = Verdict.UNDECIDED if any(found.undecided for found in impossible) else Verdict.VACUOUS
        return tuple(unproved(context.ruleset, claim, verdict) for claim in context.ruleset.claims)
    return tuple(judge(context, claim) for claim in context.ruleset.claims)


def _quantity(context: Context, check: Check, name: str, findings: list[Finding], proved: list[Proof]) -> None:
    assert check.quantity is not None
    before = context.decider.queries
    context.decider.stating = question_text.of_check(check, name)
    found = context.findings(check.quantity, name)
    queries = context.decider.queries - before
    findings.extend(found)
    if not found and _applies(context.ruleset, check, name):
        proved.append(Proof(check.code.name, name, queries))


def _whole(context: Context, check: Check, findings: list[Finding], proved: list[Proof]) -> None:
    assert check.whole is not None
    before = context.decider.queries
    context.decider.stating = question_text.of_check(check, None)
    found = list(check.whole(context))
    findings.extend(found)
    if not found and (check.applies is None or check.applies(context.ruleset, None)):
        proved.append(Proof(check.code.name, None, context.decider.queries - before))


def _applies(ruleset: m.RuleSet, check: Check, name: str) -> bool:
    """Whether there was anything to look at: nothing is called proved of a quantity that no statement is about."""
    if check.applies is not None:
        return check.applies(ruleset, name)
    return bool(ruleset.bands_by_quantity[name])


def _once(findings: list[Finding]) -> list[Finding]:
    """Without what says the same of a statement as another finding does, and better."""
    by_name: dict[str, list[Finding]] = {}
    for found in findings:
        by_name.setdefault(found.code.name, []).append(found)

    def is_said(found: Finding) -> bool:
        check = BY_NAME[found.code.name]
        return any(check.is_same(found, other) for name in check.said_by for other in by_name.get(name, ()))

    return [found for found in findings if not is_said(found)]


def _accepted(ruleset: m.RuleSet, findings: list[Finding], today: str | None) -> list[Finding]:
    """Findings with the exceptions applied, and notes on exceptions that no longer do anything."""
    result = list(findings)
    for acceptance in ruleset.acceptances:
        over = today is not None and acceptance.until is not None and acceptance.until < today
        used = False
        for i, found in enumerate(result):
            names = {*found.statements[:1], found.limit, found.quantity}
            # Of two that a finding is about alike, an exception may be on either.
            if found.code.name in BY_NAME and BY_NAME[found.code.name].of_two:
                names |= set(found.statements[:2])
            if found.code.name != acceptance.check or acceptance.target not in names:
                continue
            used = True
            # What was not decided is not accepted: nobody knows yet what it is.
            if not over and not found.undecided:
                result[i] = replace(found, accepted=acceptance.reason)
        note = ""
        if not used:
            note = "nothing is found there that it could accept: the exception can be taken out"
        elif over:
            note = f"the exception ended on {acceptance.until}, so what it accepted counts again"
        elif acceptance.until is not None and today is None:
            note = f"the exception ends on {acceptance.until}; give --today to have that looked at"
        if note:
            result.append(finding("stale-acceptance", note, acceptance.span, statements=(acceptance.target,)))
    return result
