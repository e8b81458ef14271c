"""The pilot's card: every alert with what it means and at which values, time limits, and the contexts in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from alertlang.documents.plain_words import condition_words, formula_words, name_words, region_words, title_of
from alertlang.model import ruleset as m
from alertlang.output.text import CAUTION


@dataclass(frozen=True, slots=True)
class AlertLine:
    """`text` as on the panel, `means` when it comes, `then` how it comes and goes (may be empty)."""

    text: str
    means: str
    then: str


@dataclass(frozen=True, slots=True)
class PilotCard:
    """All that stands on the card, in order.

    `levels`: by the word for the level, the gravest first, also where there is no alert of it: that too is something to
    know. `colours`: red without an alert of its own.
    """

    title: str
    levels: tuple[tuple[str, tuple[AlertLine, ...]], ...]
    colours: tuple[str, ...]
    times: tuple[str, ...]
    contexts: tuple[tuple[str, str], ...]
    lamps: tuple[tuple[str, str], ...]
    caution: str
    foot: str

    def data(self) -> dict[str, Any]:
        """The same for a template."""
        return asdict(self)


def pilot_card(ruleset: m.RuleSet, *, digest: str, tool: str) -> PilotCard:
    """The card of a rule set. `digest` tells which version of the rules the card is of; `tool`: name and version."""
    by_level: dict[m.Level, list[AlertLine]] = {level: [] for level in sorted(m.Level, reverse=True)}
    colours: list[str] = []
    read: list[m.Formula | None] = []
    for rule in ruleset.rules:
        if isinstance(rule, m.Band) and rule.alert is None:
            if rule.colour is m.Colour.RED:
                colours.append(_means(ruleset, rule))
                read += [rule.when, rule.unless]
            continue
        assert rule.alert is not None
        by_level[rule.alert.level].append(
            AlertLine(rule.alert.text.replace("{n}", "n"), _means(ruleset, rule), _then(rule))
        )
        read += [rule.when, rule.unless]
    contexts = [
        (name_words(name), condition_words(ruleset, condition))
        for name, condition in ruleset.conditions.items()
        if name in ruleset.conditions_read(*read)
    ]
    return PilotCard(
        f"{ruleset.name}, version {ruleset.version}",
        tuple((level.name.lower(), tuple(lines)) for level, lines in by_level.items()),
        tuple(colours),
        tuple(_times(ruleset)),
        tuple(contexts),
        tuple(_lamps(ruleset)),
        CAUTION,
        f"{tool}; rules {digest}",
    )


def _means(ruleset: m.RuleSet, rule: m.Band | m.Alert) -> str:
    """When a statement applies, the values first."""
    said: list[str] = []
    if isinstance(rule, m.Band):
        quantity = ruleset.quantities[rule.quantity]
        each = ""
        if quantity.size is not None:
            each = " (each)" if rule.index is None else f" {rule.index}"
        said.append(f"{title_of(ruleset, rule.quantity)}{each} {region_words(ruleset, rule.quantity, rule.region)}")
        if rule.when is not None:
            said.append(f"when {formula_words(ruleset, rule.when)}")
    else:
        said.append(formula_words(ruleset, rule.when))
    if rule.held is not None:
        said.append(f"for more than {m.in_seconds(rule.held)}{' in total' if rule.in_total else ''}")
    if rule.unless is not None:
        said.append(f"unless {formula_words(ruleset, rule.unless)}")
    words = ", ".join(said)
    return words[0].upper() + words[1:]


def _then(rule: m.Band | m.Alert) -> str:
    said = []
    if rule.after:
        said.append(f"comes after {m.in_seconds(rule.after)}")
    if rule.latched:
        said.append("stays until it is acknowledged")
    return ", ".join(said)


def _times(ruleset: m.RuleSet) -> Iterator[str]:
    """What may last so long and no longer: of the rules, and of the limits behind them."""
    said: set[str] = set()
    for rule in ruleset.rules:
        if isinstance(rule, m.Band) and rule.held is not None and rule.colour is m.Colour.RED:
            total = " in total" if rule.in_total else ""
            where = f"{title_of(ruleset, rule.quantity)} {region_words(ruleset, rule.quantity, rule.region)}"
            when = "" if rule.when is None else f" when {formula_words(ruleset, rule.when)}"
            words = f"{where}{when}: {m.in_seconds(rule.held)}{total}, then red"
            if words not in said:
                said.add(words)
                yield words[0].upper() + words[1:]
    for one in ruleset.ranges:
        if one.except_for is None or one.kind not in {"limit", "avoid"}:
            continue
        allowed = region_words(ruleset, one.quantity, one.region)
        where = (
            f"in {title_of(ruleset, one.quantity)} {allowed}"
            if one.kind == "avoid"
            else (f"past {title_of(ruleset, one.quantity)} {allowed}")
        )
        when = "" if one.when is None else f" when {formula_words(ruleset, one.when)}"
        words = f"{where}{when}: at most {m.in_seconds(one.except_for)} (limit)"
        if words not in said:
            said.add(words)
            yield words[0].upper() + words[1:]


_SEQUENCES = {
    "A": "goes out by itself",
    "M": "goes out when it is acknowledged, the cause is gone and it is reset",
    "R": "tells when the cause is gone, and goes out when it is reset",
}


def _lamps(ruleset: m.RuleSet) -> Iterator[tuple[str, str]]:
    for lamp in ruleset.lamps:
        lit = [f"any {level.name.lower()}" for level in lamp.levels]
        texts = {rule.label: rule.alert.text for rule in ruleset.rules if rule.alert is not None}
        lit += [f'"{texts[label]}"' for label in lamp.labels]
        goes = _SEQUENCES[lamp.sequence.value]
        if lamp.sequence.value == "A" and lamp.lock_in:
            goes = "stays until it is acknowledged and the cause is gone"
        buttons = "" if lamp.acknowledge is None else f"; acknowledge: {name_words(lamp.acknowledge)}"
        buttons += "" if lamp.reset is None else f"; reset: {name_words(lamp.reset)}"
        yield lamp.text, f"lit by {', '.join(lit)}; {goes}{buttons}"
