"""All checks in the order of their codes, each with its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import ModuleType

from alertlang.checks import (
    beyond_sensor,
    colour_level,
    conflict,
    constant_condition,
    dead_alert,
    disagreement,
    gap,
    hairline_gap,
    impossible_assumptions,
    missing_alert,
    same_text,
    short_sensor,
    thin_band,
    unguarded_limit,
    unmarked_precaution,
    unreachable_band,
    unused,
    unwatched_quantity,
    vacuous,
)
from alertlang.checks.context import Context
from alertlang.diagnostics.codes import Code, code_named
from alertlang.diagnostics.finding import Finding


@dataclass(frozen=True, slots=True)
class Check:
    """One check: it looks at each quantity by itself, or at the rule set as a whole."""

    code: Code
    page: str
    quantity: Callable[[Context, str], Iterator[Finding]] | None
    whole: Callable[[Context], Iterator[Finding]] | None


def _check(module: ModuleType) -> Check:
    assert module.__doc__ is not None
    return Check(
        code_named(module.NAME),
        module.__doc__,
        getattr(module, "check_quantity", None),
        getattr(module, "check", None),
    )


# Runs first: with impossible assumptions no other question has a meaning.
FIRST = _check(impossible_assumptions)

CHECKS: tuple[Check, ...] = tuple(
    sorted(
        (
            FIRST,
            *(
                _check(module)
                for module in (
                    gap,
                    conflict,
                    unreachable_band,
                    disagreement,
                    thin_band,
                    hairline_gap,
                    beyond_sensor,
                    unguarded_limit,
                    missing_alert,
                    unmarked_precaution,
                    unwatched_quantity,
                    short_sensor,
                    constant_condition,
                    unused,
                    vacuous,
                    colour_level,
                    same_text,
                    dead_alert,
                )
            ),
        ),
        key=lambda check: check.code.code,
    )
)
