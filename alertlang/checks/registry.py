"""All checks in the order of their codes: each is the file of its name, with its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module

from alertlang.checks.context import Context
from alertlang.findings.codes import CODES, Code
from alertlang.findings.finding import Finding
from alertlang.model.ruleset import RuleSet


@dataclass(frozen=True, slots=True)
class Check:
    """One check: it looks at each quantity by itself, or at the rule set as a whole.

    `applies`: says of a quantity (none: of the rule set) whether there is anything to look at, so that nothing is
    called proved of what is not there; none: of a quantity with bands, and of every rule set. `needs_state`: it has
    nothing to say of a text in which no state is possible. `of_two`: its findings are about two statements alike.
    """

    code: Code
    page: str
    quantity: Callable[[Context, str], Iterator[Finding]] | None
    whole: Callable[[Context], Iterator[Finding]] | None
    applies: Callable[[RuleSet, str | None], bool] | None
    needs_state: bool
    of_two: bool


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
    )


# AL1xx are about reading, AL7xx about displays; an exception that does nothing is found by whoever applies them.
CHECKS: tuple[Check, ...] = tuple(
    _check(code)
    for code in sorted(CODES.values(), key=lambda code: code.code)
    if "AL2" <= code.code < "AL7" and code.name != "stale-acceptance"
)

# Runs before the others: with impossible assumptions no other question has a meaning.
[FIRST] = (check for check in CHECKS if check.code.name == "impossible-assumptions")
