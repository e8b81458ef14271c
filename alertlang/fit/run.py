"""All checks of display fit, each with its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import ModuleType

from alertlang.checks.own_file import in_own_file
from alertlang.findings.codes import Code, code_named
from alertlang.findings.finding import Finding
from alertlang.fit import (
    late_on_display,
    long_label,
    long_text,
    missing_colour,
    short_delay,
    too_many_alerts,
    too_many_bands,
    too_many_contexts,
    too_many_lamps,
    too_many_timers,
    unsaid_resource,
)
from alertlang.fit.fit import Fit, fit_of
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model import ruleset as m
from alertlang.model.display import Display


@dataclass(frozen=True, slots=True)
class DisplayCheck:
    """One check that looks at a rule set and a display together."""

    code: Code
    page: str
    run: Callable[[Fit], Iterator[Finding]]


def _check(module: ModuleType) -> DisplayCheck:
    assert module.__doc__ is not None
    return DisplayCheck(code_named(module.NAME), module.__doc__, module.check)


DISPLAY_CHECKS: tuple[DisplayCheck, ...] = tuple(
    sorted(
        (
            _check(module)
            for module in (
                too_many_bands,
                too_many_contexts,
                too_many_timers,
                too_many_alerts,
                too_many_lamps,
                long_text,
                long_label,
                missing_colour,
                short_delay,
                late_on_display,
                unsaid_resource,
            )
        ),
        key=lambda check: check.code.code,
    )
)


def display_findings(ruleset: m.RuleSet, display: Display, work_limit: int = WORK_LIMIT) -> tuple[Finding, ...]:
    """What does not fit, and what could not be looked at, in the order of the text."""
    return findings_in(fit_of(ruleset, display, work_limit))


def findings_in(fit: Fit) -> tuple[Finding, ...]:
    """The same where somebody wants to look at the need afterwards."""
    found = [in_own_file(fit.ruleset, finding) for check in DISPLAY_CHECKS for finding in check.run(fit)]
    return tuple(sorted(found, key=lambda finding: finding.sort_key))
