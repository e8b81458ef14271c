"""Everything about one file: what its checks find, what its claims come to, and whether a display can hold it."""

from __future__ import annotations

from alertlang.checks.run import Options, run
from alertlang.findings.finding import Finding
from alertlang.fit.run import display_findings
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model.display import Display, LoadedDisplay
from alertlang.model.grades import numbers_by_grade
from alertlang.model.load import Loaded
from alertlang.model.ruleset import RuleSet
from alertlang.results.report import Basis, FileName, Report


def report_on(
    loaded: Loaded | LoadedDisplay,
    *,
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
    display: Display | None = None,
) -> Report:
    """Everything about a file that was loaded, whether it could be read or not. Of a display there is no more to say
    than how it was read."""
    if isinstance(loaded, Loaded) and loaded.ruleset is not None:
        return full_report(loaded.ruleset, loaded.findings, today=today, work_limit=work_limit, display=display)
    unknown = FileName("rules", "", None, loaded.path)
    file = unknown if loaded.origin is None else FileName.of(loaded.origin)
    readable = isinstance(loaded, LoadedDisplay) and loaded.display is not None
    return Report(file, (), readable, loaded.findings)


def full_report(
    model: RuleSet,
    warnings: tuple[Finding, ...] = (),
    *,
    today: str | None = None,
    work_limit: int = WORK_LIMIT,
    display: Display | None = None,
) -> Report:
    """All checks and claims of a rule set, and with a `display` whether it can hold it; `warnings` of reading it stand
    first."""
    results = run(model, Options(today, work_limit))
    unfit = () if display is None else display_findings(model, display, work_limit)
    return Report(
        FileName.of(model.origin),
        tuple(FileName.of(profile) for profile in model.profiles),
        True,
        (*warnings, *sorted((*results.findings, *unfit), key=lambda finding: finding.sort_key)),
        results.claims,
        results.proved,
        basis_of(model),
    )


def basis_of(model: RuleSet) -> Basis:
    """What every answer about a rule set rests on."""
    return Basis(tuple(assumption.label for assumption in model.assumptions), numbers_by_grade(model))
