"""All checks in the order of their codes: each is the file of its name, with its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module

from alertlang.checks.context import Context
from alertlang.findings.codes import CODES, Code, Severity
from alertlang.findings.finding import Finding
from alertlang.meaning.sight import Seen
from alertlang.model.ruleset import RuleSet


@dataclass(frozen=True, slots=True)
class Check:
    """One check: it looks at each quantity by itself, or at the rule set as a whole.

    `applies`: says of a quantity (none: of the rule set) whether there is anything to look at, so that nothing is
    called proved of what is not there; none: of a quantity with bands, and of every rule set. `needs_state`: it has
    nothing to say of a text in which no state is possible. `of_two`: its findings are about two statements alike.
    `said_by`: the checks that may say the same as it does, and better; `is_same` tells of two findings whether they do.
    `seen`: how what it finds is recognised in a run, where one sample can tell.
    """

    code: Code
    page: str
    quantity: Callable[[Context, str], Iterator[Finding]] | None
    whole: Callable[[Context], Iterator[Finding]] | None
    applies: Callable[[RuleSet, str | None], bool] | None
    needs_state: bool
    of_two: bool
    said_by: frozenset[str]
    is_same: Callable[[Finding, Finding], bool]
    seen: Seen | None


def _is_same(finding: Finding, other: Finding) -> bool:
    """Advice on a limit or a statement of which another finding says the same: one slip is told once. Errors after
    `follow` stay beside the others: there, the name of the rule is what was asked for."""
    about = {*finding.statements[:1], finding.limit} - {None}
    same = finding.quantity == other.quantity and not about.isdisjoint((*other.statements, other.limit))
    return finding.severity is Severity.NOTE and same


def _check(code: Code) -> Check:
    folder = "checks.standards" if code.code.startswith("AL6") else "checks"
    module = import_module(f"alertlang.{folder}.{code.name.replace('-', '_')}")
    assert module.__doc__ is not None
    return Check(
        code,
        module.__doc__,
        getattr(module, "check_quantity", None),
        getattr(module, "check", None),
        getattr(module, "applies", None),
        getattr(module, "NEEDS_STATE", True),
        getattr(module, "OF_TWO", False),
        getattr(module, "SAID_BY", frozenset()),
        getattr(module, "is_same", _is_same),
        getattr(module, "SEEN", None),
    )


# AL1xx are about reading, AL7xx about displays; an exception that does nothing is found by whoever applies them.
CHECKS: tuple[Check, ...] = tuple(
    _check(code)
    for code in sorted(CODES.values(), key=lambda code: code.code)
    if "AL2" <= code.code < "AL7" and code.name != "stale-acceptance"
)

# Runs before the others: with impossible assumptions no other question has a meaning.
[FIRST] = (check for check in CHECKS if check.code.name == "impossible-assumptions")

SEEN = {check.code.name: check.seen for check in CHECKS if check.seen is not None}
"""By the name of a check, how what it finds is recognised at a sample of a run."""

BY_NAME = {check.code.name: check for check in CHECKS}
