"""From the files of a rule set to the rule set: declarations first, then rules, then what changes them."""

from __future__ import annotations

from collections import Counter

from alertlang.findings.codes import BY_NAME
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.model.bind_panel import Panel
from alertlang.model.changes import Changes
from alertlang.model.conditions import bind_conditions
from alertlang.model.declarations import Declarations
from alertlang.model.files import LoadedFile
from alertlang.model.rules import RuleBinder
from alertlang.model.scope import Scope
from alertlang.text.suggest import did_you_mean

MOST_BANDS = 250


def resolve(files: list[LoadedFile], incomplete: bool) -> tuple[m.RuleSet, list[Finding]]:
    """The rule set of some files and everything that was wrong in them; with an error it is not to be checked.

    `incomplete`: a file is missing, so that a name nobody declares is no mistake of its own.
    """
    declarations = Declarations(files)
    scope = declarations.scope
    scope.incomplete = incomplete
    declarations.declare()
    changes = Changes(files, scope)
    changes.collect()
    conditions = bind_conditions(declarations)
    rules = RuleBinder(declarations, scope)
    for entry in changes.entries.values():
        rules.add(entry)
    _not_too_many(rules.bands, scope)
    panel = Panel(scope, changes.entries)
    panel.bind(files)
    panel.buttons_apart()
    ruleset = m.RuleSet(
        origin=files[-1].origin,
        about=tuple(declarations.about),
        origins=tuple(file.origin for file in files),
        quantities=dict(scope.quantities),
        switches=dict(scope.switches),
        conditions=conditions,
        assumptions=tuple(rules.assumptions),
        ranges=tuple(rules.ranges),
        bands=tuple(rules.bands),
        alerts=tuple(rules.alerts),
        claims=tuple(rules.claims),
        acceptances=tuple(_acceptances(changes)),
        engine=tuple(dict.fromkeys(declarations.engine)),
        sources=tuple(declarations.source_list),
        drops=tuple(changes.drops),
        follows=tuple(declarations.follows),
        weights=tuple(declarations.weights.found),
        lamps=tuple(panel.lamps),
        gauges=tuple(panel.gauges),
        inputs=tuple(panel.inputs),
    )
    return ruleset, scope.findings


def _not_too_many(bands: list[m.Band], scope: Scope) -> None:
    """Every two bands of a gauge are held against each other, in every state: of more than these nobody waits for the
    end."""
    count = Counter(band.quantity for band in bands)
    for name, number in count.items():
        if number > MOST_BANDS:
            last = next(band for band in reversed(bands) if band.quantity == name)
            advice = "let conditions with names and `any` take the place of bands that are alike"
            scope.report("bad-value", f"{name} has {number:,} bands: at most {MOST_BANDS} are read", last.span, advice)


def _acceptances(changes: Changes) -> list[m.Acceptance]:
    scope = changes.scope
    found: list[m.Acceptance] = []
    for node, origin in changes.acceptances:
        check = BY_NAME.get(node.check.text)
        if check is None or check.reading or check.name == "stale-acceptance":
            names = [name for name, code in BY_NAME.items() if not code.reading and name != "stale-acceptance"]
            advice = did_you_mean(node.check.text, names, "alertlang explain lists the checks")
            scope.report("unknown-name", f"there is no check {node.check.text}", node.check.span, advice)
            continue
        target = node.target.text
        if target not in changes.entries and target not in scope.declared():
            if scope.is_lost(target):
                continue
            otherwise = "write the label of a statement, or a quantity"
            advice = did_you_mean(target, (*changes.entries, *scope.declared()), otherwise)
            scope.report("unknown-name", f"nothing is called {target}", node.target.span, advice)
            continue
        scope.no_reason(node.reason)
        until = node.until.text if node.until else None
        if node.until is not None and not scope.is_day(node.until):
            continue
        found.append(m.Acceptance(node.check.text, target, node.reason.text, until, node.span, origin))
    return found
