"""All checks in the order of their codes, each with its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import ModuleType

from alertlang.checks import (
    beyond_sensor,
    blank_on_failure,
    colour_level,
    conflict,
    constant_condition,
    dead_alert,
    delay_past_exception,
    disagreement,
    gap,
    hairline_gap,
    impossible_assumptions,
    interrupted_clock,
    late_alert,
    lost_guard,
    lost_position,
    misfit_range,
    missing_alert,
    normal_not_green,
    nuisance,
    redundant_band,
    same_text,
    set_clear_overlap,
    short_sensor,
    silent_danger,
    stuck_condition,
    thin_band,
    transient_gap,
    unguarded_limit,
    unlit_alert,
    unmarked_precaution,
    unreachable_band,
    unused,
    unwatched_quantity,
    vacuous,
    wide_deadband,
)
from alertlang.checks.context import Context
from alertlang.checks.standards import (
    arc_weight,
    green_past_limit,
    lingering_alert,
    missing_fuel_arc,
    missing_instrument,
    one_sense,
    restricted_not_red,
    takeoff_not_yellow,
    unknown_standard,
    unmarked_limit,
    wrong_airspeed_arc,
    wrong_alert_colour,
)
from alertlang.findings.codes import Code, code_named
from alertlang.findings.finding import Finding
from alertlang.model.ruleset import RuleSet


@dataclass(frozen=True, slots=True)
class Check:
    """One check: it looks at each quantity by itself, or at the rule set as a whole.

    `applies`: says of a quantity (none: of the rule set) whether there is anything to look at, so that nothing is
    called proved of what is not there; none: it goes without saying.
    """

    code: Code
    page: str
    quantity: Callable[[Context, str], Iterator[Finding]] | None
    whole: Callable[[Context], Iterator[Finding]] | None
    applies: Callable[[RuleSet, str | None], bool] | None = None


def _check(module: ModuleType) -> Check:
    assert module.__doc__ is not None
    return Check(
        code_named(module.NAME),
        module.__doc__,
        getattr(module, "check_quantity", None),
        getattr(module, "check", None),
        getattr(module, "applies", None),
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
                    late_alert,
                    lost_guard,
                    blank_on_failure,
                    delay_past_exception,
                    redundant_band,
                    transient_gap,
                    conflict,
                    unreachable_band,
                    disagreement,
                    thin_band,
                    hairline_gap,
                    beyond_sensor,
                    wide_deadband,
                    unguarded_limit,
                    missing_alert,
                    unmarked_precaution,
                    normal_not_green,
                    nuisance,
                    unwatched_quantity,
                    short_sensor,
                    misfit_range,
                    interrupted_clock,
                    constant_condition,
                    set_clear_overlap,
                    unused,
                    vacuous,
                    stuck_condition,
                    colour_level,
                    same_text,
                    silent_danger,
                    dead_alert,
                    unlit_alert,
                    lost_position,
                    unknown_standard,
                    green_past_limit,
                    unmarked_limit,
                    takeoff_not_yellow,
                    restricted_not_red,
                    wrong_airspeed_arc,
                    missing_instrument,
                    missing_fuel_arc,
                    wrong_alert_colour,
                    lingering_alert,
                    one_sense,
                    arc_weight,
                )
            ),
        ),
        key=lambda check: check.code.code,
    )
)
