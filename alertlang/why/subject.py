"""What is asked about: a gauge, an alert, or everything; what of a sample it is, and what it depends on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from alertlang.findings.errors import NameOrFileError
from alertlang.meaning.stepper import Place, Shown
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.text.suggest import did_you_mean


def needs(rules: m.RuleSet, statements: Iterable[m.Rule]) -> tuple[frozenset[str], frozenset[str]]:
    """The quantities with a sensor and the switches on which statements can depend. An array counts as a whole."""
    quantities: set[str] = set()
    switches: set[str] = set()
    for rule in statements:
        reads = (rule.when, rule.unless)
        if isinstance(rule, m.Band):
            quantities |= {rule.quantity, *(end.quantity for end in rule.region.moving)}
        quantities |= rules.quantities_read(*reads)
        switches |= rules.switches_read(*reads)
    return frozenset(sensor for name in quantities for sensor in rules.sensors_of(name)), frozenset(switches)


def alert_text(alert: m.AlertText, index: int | None) -> str:
    """As it is shown."""
    return alert.text if index is None else alert.text.replace("{n}", str(index))


def alert_places(rules: m.RuleSet) -> Iterator[tuple[m.Rule, int | None, m.AlertText]]:
    """Every alert that a statement can raise, for each element, as it is shown."""
    for rule in rules.rules:
        if rule.alert is not None:
            for index in rules.indexes_of(rule):
                yield rule, index, m.AlertText(rule.alert.level, alert_text(rule.alert, index))


@dataclass(frozen=True, slots=True)
class Subject:
    """Gauges by quantity and element, and alerts by level and text; `statements` are all that decide them."""

    gauges: tuple[Place, ...]
    alerts: tuple[m.AlertText, ...]
    statements: tuple[m.Rule, ...]

    def sees(self, shown: Shown) -> tuple[object, ...]:
        """What there is of it at a sample: to be compared."""
        up = set(shown.alerts.values())
        return (*(shown.colours[gauge] for gauge in self.gauges), *(alert in up for alert in self.alerts))

    def told(self, before: Shown, after: Shown) -> str:
        """In what the one differs from the other: `rpm red, caution "X"`, or `no caution "X"`."""
        said = []
        for quantity, index in self.gauges:
            colour = after.colours[quantity, index]
            if colour != before.colours[quantity, index]:
                said.append(f"{m.variable(quantity, index)} {'no colour' if colour is None else colour.word}")
        up, was_up = set(after.alerts.values()), set(before.alerts.values())
        changed = [alert for alert in self.alerts if (alert in up) is not (alert in was_up)]
        said += [f'{"" if alert in up else "no "}{alert.level.word} "{alert.text}"' for alert in changed]
        return listed(said) if said else "the same"


def gauge_subject(rules: m.RuleSet, quantity: str, index: int | None) -> Subject:
    bands = tuple(band for band in rules.bands if band.quantity == quantity and band.index in {None, index})
    return Subject(((quantity, index),), (), bands)


def alert_subject(rules: m.RuleSet, alert: m.AlertText) -> Subject:
    raised = dict.fromkeys(rule.label for rule, _, text in alert_places(rules) if text == alert)
    return Subject((), (alert,), tuple(rule for rule in rules.rules if rule.label in raised))


def joined(subjects: Iterable[Subject]) -> Subject:
    several = list(subjects)
    return Subject(
        tuple(dict.fromkeys(gauge for subject in several for gauge in subject.gauges)),
        tuple(dict.fromkeys(alert for subject in several for alert in subject.alerts)),
        tuple({rule.label: rule for subject in several for rule in subject.statements}.values()),
    )


def about(rules: m.RuleSet, words: str) -> Subject:
    """What words name: a gauge (`rpm`, `cht[2]`, all of `cht`), the text of an alert, or of a lamp. Of an alert the
    gauges of its bands are part, of a lamp all alerts that light it. NameOrFileError if they name nothing."""
    gauges = [gauge for gauge in gauges_of(rules) if words in {gauge[0], m.variable(*gauge)}]
    if gauges:
        return joined(gauge_subject(rules, *gauge) for gauge in gauges)
    lamp = next((lamp for lamp in rules.lamps if lamp.text == words), None)
    raised = [
        (rule, index, alert)
        for rule, index, alert in alert_places(rules)
        if words in {alert.text, rule.alert.text if rule.alert else None}
        or (lamp is not None and lamp.shows(rule.label, alert.level))
    ]
    if not raised and words in rules.switches:
        message = f"{words} is a switch, and nothing is shown of it but its position"
        raise NameOrFileError(message, "ask without it: of a recorded run every switch is told, and since when")
    if not raised:
        names = [m.variable(*gauge) for gauge in gauges_of(rules)]
        texts = [alert.text for _, _, alert in alert_places(rules)]
        known = [*names, *texts, *(lamp.text for lamp in rules.lamps)]
        message = f'the rules "{rules.name}" have no gauge and no alert {words}'
        raise NameOrFileError(message, did_you_mean(words, known, f"gauges are {', '.join(dict.fromkeys(names))}"))
    found = [alert_subject(rules, alert) for _, _, alert in raised]
    found += [gauge_subject(rules, rule.quantity, index) for rule, index, _ in raised if isinstance(rule, m.Band)]
    return joined(found)


def gauges_of(rules: m.RuleSet) -> list[Place]:
    """Every gauge that some band colours."""
    coloured = {band.quantity for band in rules.bands}
    return [(q.name, index) for q in rules.quantities.values() if q.name in coloured for index in q.indexes]
