"""What of a rule set goes into the box: what is shown, and all that this depends on. Limits, claims, assumptions and
accepted exceptions are about the rules and are keyed in nowhere."""

from __future__ import annotations

from dataclasses import replace

from alertlang.model import ruleset as m
from alertlang.model.expression import inputs


def used_quantities(ruleset: m.RuleSet) -> tuple[str, ...]:
    """In the order of the panel: gauges as they are stated, then the others as they are declared."""
    formulas = [f for rule in ruleset.rules for f in (rule.when, rule.unless)]
    pending = [gauge.quantity for gauge in ruleset.gauges]
    pending += sorted(ruleset.quantities_read(*formulas))
    for band in ruleset.bands:
        pending.append(band.quantity)
        pending += [end.quantity for end in band.region.moving]
    found: set[str] = set()
    while pending:
        name = pending.pop()
        if name in found:
            continue
        found.add(name)
        derived = ruleset.quantities[name].derived
        pending += [] if derived is None else inputs(derived)
    stated = [gauge.quantity for gauge in ruleset.gauges]
    return (*stated, *(name for name in ruleset.quantities if name in found and name not in stated))


def used_conditions(ruleset: m.RuleSet) -> tuple[str, ...]:
    read = ruleset.conditions_read(*(f for rule in ruleset.rules for f in (rule.when, rule.unless)))
    return tuple(name for name in ruleset.conditions if name in read)


def used_switches(ruleset: m.RuleSet) -> tuple[str, ...]:
    read = ruleset.switches_read(*(f for rule in ruleset.rules for f in (rule.when, rule.unless)))
    stated = [button.switch for button in ruleset.inputs]
    return (*stated, *(name for name in ruleset.switches if name in read and name not in stated))


def in_the_box(ruleset: m.RuleSet) -> m.RuleSet:
    """The same rules with nothing but what is keyed in."""
    return replace(
        ruleset,
        quantities={
            name: replace(ruleset.quantities[name], accuracy=None)
            for name in ruleset.quantities
            if name in set(used_quantities(ruleset))
        },
        switches={name: ruleset.switches[name] for name in used_switches(ruleset)},
        conditions={name: ruleset.conditions[name] for name in used_conditions(ruleset)},
        assumptions=(),
        ranges=(),
        claims=(),
        acceptances=(),
        follows=(),
        weights=(),
        drops=(),
        # One that says nothing but its name is no wiring.
        inputs=tuple(button for button in ruleset.inputs if button.label or button.wired or button.channel),
    )
