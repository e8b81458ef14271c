"""What to merge or drop so that a rule set fits its display, with as little loss as can be.

The steps are chosen together, by a solver that proves that fewer or lesser ones do not do; then the rule set as it
would be is checked as a whole.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from alertlang.checks.run import Options, run
from alertlang.checks.suggest import spliced, suggested
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.fit.fit import Fit
from alertlang.fit.losses import Loss, Losses, with_rules
from alertlang.fit.merge import Merge, applied, merges, wholes
from alertlang.fit.need import Need, Resource, Rule
from alertlang.logic.minimal_cover import CoverDemand, least
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.results.report import Verdict

# So many plans are checked as a whole before the best of them is taken as it is.
_TRIES = 8


@dataclass(frozen=True, slots=True)
class FitStep:
    """One change. `kind`: merge, widen (a band applies always), unmark (a calm band becomes `unmarked`, which takes no
    place) or drop.

    `text`: the statement as it is written then; none where it goes. `lost`: what the checks on gaps and guards find
    after a drop by itself and did not find before.
    """

    kind: str
    labels: tuple[str, ...]
    loss: Loss
    text: str | None
    lost: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FitPlan:
    """Steps after which the rule set fits, least loss first.

    `proved`: no other choice of merges and drops loses less, each step counted by what it loses by itself. `fits`: that
    was counted again on the changed rule set. `new`: errors, warnings and claims lost that the changed rule set has and
    the old one has not, in words; `guarded`: none of them is an error.
    """

    steps: tuple[FitStep, ...]
    proved: bool
    fits: bool
    guarded: bool
    new: tuple[str, ...]
    ruleset: m.RuleSet


def plan_for(fit: Fit) -> FitPlan | None:
    """The plan; none if nothing is too many, or if no merge and no drop makes it fit."""
    over = [resource for resource in fit.need.resources if resource.over]
    if not over:
        return None
    steps, demands, apart, changes = _options(fit, over)
    if any(sum(weight for weight, _ in demand.gains) < demand.amount for demand in demands):
        return None
    before = _found(fit.ruleset, fit)
    barred: list[frozenset[int]] = []
    second_best: FitPlan | None = None
    for _ in range(_TRIES):
        choice = least([step.loss for step in steps], demands, apart, barred, fit.context.decider.work_limit)
        if choice is None:
            break
        chosen = [steps[i] for i in choice.chosen]
        changed = _changed(fit, [changes[i] for i in choice.chosen])
        plan = _judged(fit, chosen, choice.proved and not barred, changed, before)
        foreseen = any(step.loss is Loss.GUARD for step in chosen)
        if plan.guarded or (foreseen and second_best is None):
            return plan
        second_best = second_best or plan
        if foreseen:
            break
        # Together they lose more than each by itself.
        barred.append(frozenset(choice.chosen))
    return second_best


Change = Merge | tuple[str, str]


def _options(
    fit: Fit, over: Sequence[Resource]
) -> tuple[list[FitStep], list[CoverDemand], list[tuple[int, int]], list[Change]]:
    """Everything that could be done about what is too many: what each step frees, and which exclude each other."""
    losses = Losses(fit.context)
    rules = {rule.label: rule for rule in fit.ruleset.rules}
    wanted = [label for resource in over for unit in resource.units for label in unit.users]
    # A unit is free only without all of its users, so that all of them are looked at.
    steps: list[FitStep] = []
    changes: list[Change] = []
    number: dict[str, int] = {}
    for label in dict.fromkeys(wanted):
        step = _removal(losses, rules[label])
        number[label] = len(steps)
        steps.append(step)
        changes.append((step.kind, label))
    apart: list[tuple[int, int]] = []
    demands: list[CoverDemand] = []
    for resource in over:
        wide = {} if resource.kind != "contexts" else _widenings(fit, resource, steps, changes)
        apart += [(wide[label], number[label]) for label in wide]
        gains = [
            (w, tuple((number[x], *((wide[x],) if x in wide else ())) for x in users)) for users, w in _freed(resource)
        ]
        if resource.kind == "bands":
            found = merges(fit, resource)
            first = len(steps)
            for merge in found:
                apart += [(len(steps), number[label]) for label in merge.labels]
                gains.append((1, ((len(steps),),)))
                steps.append(FitStep("merge", merge.labels, merge.loss, merge.text))
                changes.append(merge)
            # Each may be joined to one neighbour on either side: a chain of three saves two places.
            for i, a in enumerate(found):
                for j, b in enumerate(found[:i]):
                    if a.low.label == b.low.label or a.high.label == b.high.label:
                        apart.append((first + i, first + j))
        demands.append(CoverDemand(resource.over, tuple(gains)))
    return steps, demands, apart, changes


def _widenings(fit: Fit, resource: Resource, steps: list[FitStep], changes: list[Change]) -> dict[str, int]:
    """Statements whose context can go because it makes no difference, each with the number of its step."""
    found: dict[str, int] = {}
    users = dict.fromkeys(label for unit in resource.units for label in unit.users)
    for band in fit.ruleset.bands:
        if band.label in users and makes_no_difference(fit, band):
            found[band.label] = len(steps)
            steps.append(FitStep("widen", (band.label,), Loss.NOTHING, without_context(band)))
            changes.append(("widen", band.label))
    return found


def _freed(resource: Resource) -> list[tuple[tuple[str, ...], int]]:
    """Sets of statements without which places are free, with how many; a place that no statement needs cannot be."""
    return list(Counter(unit.users for unit in resource.units if unit.users).items())


def _removal(losses: Losses, rule: Rule) -> FitStep:
    """The lesser loss of two: a statement is taken out, or a calm band becomes unmarked."""
    loss, lost = losses.of_drop(rule)
    calm = isinstance(rule, m.Band) and rule.alert is None and rule.colour.calm
    if loss > Loss.CALM and calm and isinstance(rule, m.Band) and not rule.region.is_failed:
        said = spliced(rule.span, rule.node.colour.span, m.Colour.UNMARKED.word)
        return FitStep("unmark", (rule.label,), Loss.CALM, None if said is None else said.text)
    return FitStep("drop", (rule.label,), loss, None, lost)


def _changed(fit: Fit, changes: Sequence[Change]) -> m.RuleSet:
    gone = {label for change in changes if not isinstance(change, Merge) for kind, label in [change] if kind == "drop"}
    blank = {x for change in changes if not isinstance(change, Merge) for kind, x in [change] if kind == "unmark"}
    wide = {x for change in changes if not isinstance(change, Merge) for kind, x in [change] if kind == "widen"}
    joined = [change for change in changes if isinstance(change, Merge)]
    return with_rules(
        fit.ruleset,
        tuple(
            replace(band, colour=m.Colour.UNMARKED)
            if band.label in blank
            else replace(band, when=None, unless=None)
            if band.label in wide
            else band
            for band in applied(fit, joined)
            if band.label not in gone
        ),
        tuple(alert for alert in fit.ruleset.alerts if alert.label not in gone),
        wholes(joined),
    )


def _found(ruleset: m.RuleSet, fit: Fit) -> dict[str, Severity]:
    """What is found, in words, with how bad it is; notes and what is accepted aside."""
    results = run(ruleset, Options(None, fit.context.decider.work_limit))
    found = {
        f"{finding.code.name}: {finding.message}": finding.severity
        for finding in results.findings
        if finding.severity > Severity.NOTE and finding.accepted is None and not _follows(finding)
    }
    for claim in results.claims:
        if claim.verdict in {Verdict.REFUTED, Verdict.UNDECIDED}:
            found[f"the claim {claim.label} is {claim.verdict.value}"] = Severity.ERROR
    return found


def _follows(finding: Finding) -> bool:
    """What the display checks say themselves."""
    return finding.code.code.startswith("AL7")


def _judged(fit: Fit, steps: list[FitStep], proved: bool, changed: m.RuleSet, before: dict[str, Severity]) -> FitPlan:
    after = _found(changed, fit)
    new = {words: severity for words, severity in after.items() if words not in before}
    need = Need(changed, fit.display, fit.need.work_limit)
    ordered = sorted(steps, key=lambda step: step.loss)
    return FitPlan(
        tuple(ordered),
        proved,
        not any(resource.over for resource in need.resources),
        Severity.ERROR not in new.values() and not any(w.startswith("lost-guard") for w in new),
        tuple(sorted(new, key=lambda words: (-new[words], words))),
        changed,
    )


# ---- a context that makes no difference: without it, the gauge shows the same everywhere


def makes_no_difference(fit: Fit, band: m.Band) -> bool:
    """Whether it is proved that a band could apply always: wherever its context keeps it away, another band that does
    not wait shows its colour or a worse one. Asked with every sensor that may have failed. An alert would come up more
    often, and a time would be counted from elsewhere, so of these it is never so."""
    if band.alert is not None or band.held is not None or fit.ruleset.quantities[band.quantity].deadband:
        return False
    if band.region.is_failed:
        return False
    same = fit.need.same
    own = next(one for one in same.ruleset.bands if one.label == band.label)
    for index in fit.ruleset.elements(band.quantity) if band.index is None else (band.index,):
        there = both(same.encoder.in_region(own.quantity, index, own.region), negate(same.condition_of(own)))
        shown = disjunction(
            same.encoder.applies(other, index, linger=False)
            for other in same.ruleset.bands_by_quantity[band.quantity]
            if other is not own and (other.colour is own.colour or other.colour.rank > own.colour.rank)
        )
        if same.context.is_satisfiable(both(there, negate(shown))) is not Answer.NO:
            return False
    return True


def without_context(band: m.Band) -> str | None:
    """The statement without its `when` and `unless`; none if that cannot be written."""
    text, span = band.span.source.text, band.span
    label = f"{band.label}: " if band.labelled else ""
    start = band.node.subject.span.start
    last = band.node.alert.span.end if band.node.alert is not None else band.node.colour.span.end
    said = suggested(" ".join(f"{label}{text[start:last]}".split()), span)
    return None if said is None else said.text
