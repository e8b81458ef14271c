"""A rule set on a display as a report: the hand-over to the output formats."""

from __future__ import annotations

from alertlang.fit.fit import fit_of
from alertlang.fit.losses import Loss
from alertlang.fit.need import Resource
from alertlang.fit.plan import FitPlan, plan_for
from alertlang.fit.run import findings_in
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model import ruleset as m
from alertlang.model.display import Display
from alertlang.results.fit import CountedRow, FitReport, PlanRows, StepRow
from alertlang.results.report import FileName

LOSSES = {
    Loss.NOTHING: "nothing is lost",
    Loss.CALM: "a calm colour is lost",
    Loss.WARNING: "a yellow or red, or an alert, is lost",
    Loss.GUARD: "a limit or a colour is lost",
}


def report_of(ruleset: m.RuleSet, display: Display, work_limit: int = WORK_LIMIT) -> FitReport:
    """What is needed and what is there, what does not fit, and what would make it fit."""
    fit = fit_of(ruleset, display, work_limit)
    over = any(resource.over for resource in fit.need.resources)
    plan = plan_for(fit) if over else None
    return FitReport(
        FileName.of(ruleset.origin),
        FileName.of(display.origin),
        tuple(_row(resource) for resource in fit.need.resources if resource.needed),
        findings_in(fit),
        over,
        None if plan is None else _rows(plan),
    )


def _row(resource: Resource) -> CountedRow:
    what = resource.kind if resource.subject is None else f"{resource.kind} of {resource.subject}"
    return CountedRow(
        what,
        resource.needed,
        resource.allowed,
        resource.proved,
        tuple((unit.words, unit.users) for unit in resource.units),
    )


def _rows(plan: FitPlan) -> PlanRows:
    steps = tuple(StepRow(step.kind, step.labels, LOSSES[step.loss], step.text, step.lost) for step in plan.steps)
    return PlanRows(steps, plan.proved, plan.fits, plan.guarded, plan.new)
