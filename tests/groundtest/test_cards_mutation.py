"""With any one rule changed, some line of the card fails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from pathlib import Path

import pytest

from alertlang.api import load
from alertlang.comparison.compare import compare
from alertlang.groundtest.card import Card, card
from alertlang.groundtest.grid import grid_of
from alertlang.groundtest.table import as_csv
from alertlang.meaning.stepper import Sample, Stepper
from alertlang.model import ruleset as m
from tests.groundtest.cards_by_hand import not_as_expected

EXAMPLES = Path(__file__).parents[2] / "examples"
OTHER = {
    m.Colour.RED: m.Colour.YELLOW,
    m.Colour.YELLOW: m.Colour.RED,
    m.Colour.GREEN: m.Colour.YELLOW,
    m.Colour.WHITE: m.Colour.GREEN,
    m.Colour.BLUE: m.Colour.GREEN,
    m.Colour.UNMARKED: m.Colour.YELLOW,
}
SECOND = Fraction(1)
_MADE: dict[int, tuple[m.RuleSet, Card]] = {}


def made_once(ruleset: m.RuleSet) -> Card:
    if id(ruleset) not in _MADE:
        _MADE[id(ruleset)] = ruleset, card(ruleset)
    return _MADE[id(ruleset)][1]


def moved(ruleset: m.RuleSet, quantity: str, region: m.Region) -> Iterator[m.Region]:
    """Each end that is a number, one step up and one step down."""
    step = grid_of(ruleset, ruleset.quantities[quantity]).resolution
    if ruleset.quantities[quantity].is_trend:
        # Ramps stand clear of an edge, by a fifth of it, and a tenth of what they are is left to the person.
        step = max((abs(number) for number in region.numbers), default=step) * 3 / 10
    for by in (step, -step):
        if isinstance(region.first, Fraction) and region.kind != "failed":
            yield replace(region, first=region.first + by)
        if isinstance(region.second, Fraction):
            yield replace(region, second=region.second + by)


def formulas(ruleset: m.RuleSet, formula: m.Formula | None) -> Iterator[m.Formula]:
    """A formula with one number in it moved."""
    match formula:
        case m.Compare():
            for region in moved(ruleset, formula.quantity, formula.region):
                yield replace(formula, region=region)
        case m.Not() | m.Held():
            for part in formulas(ruleset, formula.part):
                yield replace(formula, part=part)
        case m.And() | m.Or():
            for place, one in enumerate(formula.parts):
                for part in formulas(ruleset, one):
                    yield replace(formula, parts=(*formula.parts[:place], part, *formula.parts[place + 1 :]))


def mutants(ruleset: m.RuleSet) -> Iterator[tuple[str, m.RuleSet]]:
    rules = ruleset.rules
    for place, rule in enumerate(rules):
        for name, other in rule_mutants(ruleset, rule):
            changed = (*rules[:place], *other, *rules[place + 1 :])
            bands = tuple(one for one in changed if isinstance(one, m.Band))
            alerts = tuple(one for one in changed if isinstance(one, m.Alert))
            yield f"{rule.label}: {name}", replace(ruleset, bands=bands, alerts=alerts)
    # A condition that only claims read changes nothing at the panel.
    read = ruleset.conditions_read(*(part for rule in ruleset.rules for part in (rule.when, rule.unless)))
    for name, condition in ruleset.conditions.items():
        if name not in read:
            continue
        for what, one in condition_mutants(ruleset, condition):
            yield f"{name}: {what}", replace(ruleset, conditions={**ruleset.conditions, name: one})


def rule_mutants(ruleset: m.RuleSet, rule: m.Band | m.Alert) -> Iterator[tuple[str, tuple[m.Band | m.Alert, ...]]]:
    if isinstance(rule, m.Band):
        for region in moved(ruleset, rule.quantity, rule.region):
            yield "threshold", (replace(rule, region=region),)
        yield "colour", (replace(rule, colour=OTHER[rule.colour]),)
    if rule.alert is not None:
        level = m.Level.CAUTION if rule.alert.level is m.Level.WARNING else m.Level.WARNING
        yield "level", (replace(rule, alert=replace(rule.alert, level=level)),)
        # An alert that is no band's goes as a whole.
        yield "alert dropped", (replace(rule, alert=None),) if isinstance(rule, m.Band) else ()
    if rule.held is not None:
        yield "delay", (replace(rule, held=rule.held + SECOND),)
        yield "delay", (replace(rule, held=rule.held - SECOND),)
    if rule.after is not None:
        yield "delay", (replace(rule, after=rule.after + SECOND),)
        yield "delay", (replace(rule, after=rule.after - SECOND),)
    if rule.unless is not None:
        yield "unless dropped", (replace(rule, unless=None),)
        for unless in formulas(ruleset, rule.unless):
            yield "threshold of unless", (replace(rule, unless=unless),)
    if rule.when is not None:
        yield "context negated", (replace(rule, when=m.Not(rule.when, span=rule.span)),)
        for when in formulas(ruleset, rule.when):
            yield "threshold of context", (replace(rule, when=when),)


def condition_mutants(ruleset: m.RuleSet, condition: m.Condition) -> Iterator[tuple[str, m.Condition]]:
    yield "negated", replace(condition, formula=m.Not(condition.formula, span=condition.span))
    for formula in formulas(ruleset, condition.formula):
        yield "threshold", replace(condition, formula=formula)
    for until in formulas(ruleset, condition.until):
        yield "threshold of until", replace(condition, until=until)
    for field in ("set_after", "cleared_after"):
        delay = getattr(condition, field)
        if delay is not None:
            yield field, replace(condition, **{field: delay + SECOND})
            yield field, replace(condition, **{field: delay - SECOND})


def measured(path: Path, every: int = 1) -> tuple[int, list[str]]:
    """How many mutants (of each so many, one) fail a line, and those that mean something else and do not."""
    ruleset = load(path).model
    text = as_csv(made_once(ruleset))
    failed, survived = 0, []
    for name, mutant in islice(mutants(ruleset), 0, None, every):
        if next(not_as_expected(mutant, text), None) is not None:
            failed += 1
        elif compare(ruleset, mutant).shows_the_same:
            continue
        elif name.endswith(": threshold") and not differs_on_steps(ruleset, mutant, name.split(":")[0]):
            # Only values between the steps of the quantity would show it, and no display does.
            continue
        else:
            survived.append(name)
    return failed, survived


def differs_on_steps(ruleset: m.RuleSet, mutant: m.RuleSet, label: str) -> bool:
    """By brute force: in every state of the card, the values on the steps beside the band's ends, all of them."""
    band = next((band for band in ruleset.bands if band.label == label), None)
    if band is None:
        return True
    other = next(one for one in mutant.bands if one.label == label)
    grid = grid_of(ruleset, ruleset.quantities[band.quantity])
    index = band.index or ruleset.quantities[band.quantity].indexes[0]
    reading = m.variable(band.quantity, index)
    near = {
        grid.under(number, at=True) + by * grid.resolution
        for number in (*band.region.numbers, *other.region.numbers)
        for by in (-1, 0, 1)
    }
    alone = [replace(one, alerts=(), bands=one.bands_by_quantity[band.quantity], lamps=()) for one in (ruleset, mutant)]
    for step in made_once(ruleset).steps:
        for value in sorted(near):
            settings = {**step.settings, reading: value}
            shown = [seen_at_last(one, settings) for one in alone]
            if shown[0] != shown[1]:
                return True
    return False


def seen_at_last(ruleset: m.RuleSet, settings: dict[str, Fraction | str | None]) -> object:
    stepper = Stepper(ruleset)
    readings = {name: value for name, value in settings.items() if isinstance(value, Fraction)}
    positions = {name: value for name, value in settings.items() if isinstance(value, str)}
    found = [stepper.step(Sample(Fraction(time), readings, positions)) for time in (0, 1, 1000)]
    return [(dict(one.colours), sorted((a.level, a.text) for a in one.alerts.values())) for one in found]


@pytest.mark.parametrize(("name", "every"), [("01-first-rules/first.alert", 1), ("02-bramble/bramble.alert", 15)])
def test_some_line_fails_for_any_change_of_meaning(name: str, every: int, share: int) -> None:
    failed, survived = measured(EXAMPLES / name, every * share if every > 1 else 1)
    assert failed * share > 10
    assert failed / (failed + len(survived)) >= 0.95, survived


if __name__ == "__main__":
    for path in ("01-first-rules/first.alert", "02-bramble/bramble.alert"):
        count, left = measured(EXAMPLES / path)
        print(f"{path}: {count} of {count + len(left)}; not seen: {', '.join(left) or 'none'}")
