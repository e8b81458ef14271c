"""The pilot's card: every alert with what it means and at which values, time limits, and the contexts in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from alertlang.checks.context import Context
from alertlang.documents.typeset import page_count, typeset
from alertlang.gauges.plain_words import (
    computed_words,
    condition_words,
    formula_words,
    name_words,
    region_words,
    title_of,
)
from alertlang.gauges.silent_red import alerts_in_silent_red
from alertlang.keying.as_keyed import as_keyed
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.output.basis import weak_numbers
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
    know. `colours`: red in which no alert comes. `computed`: what moves, with its numbers. `weak`: what is to be said
    of numbers that nobody read in a document.
    """

    title: str
    levels: tuple[tuple[str, tuple[AlertLine, ...]], ...]
    colours: tuple[str, ...]
    times: tuple[str, ...]
    computed: tuple[tuple[str, str], ...]
    contexts: tuple[tuple[str, str], ...]
    lamps: tuple[tuple[str, str], ...]
    caution: str
    foot: str
    weak: str

    def data(self) -> dict[str, Any]:
        """The same for a template."""
        return asdict(self)


def pilot_card(ruleset: m.RuleSet, *, digest: str, tool: str) -> PilotCard:
    """The card of a rule set. `digest` tells which version of the rules the card is of; `tool`: name and version."""
    # The pilot sees what the box does.
    ruleset = as_keyed(ruleset)
    context = Context(ruleset)
    by_level: dict[m.Level, list[AlertLine]] = {level: [] for level in sorted(m.Level, reverse=True)}
    colours: list[str] = []
    read: list[m.Formula | None] = []
    regions: list[tuple[str, m.Region]] = []
    for rule in ruleset.rules:
        if isinstance(rule, m.Band) and rule.alert is None and rule.colour is not m.Colour.RED:
            continue
        read += [rule.when, rule.unless]
        if isinstance(rule, m.Band):
            regions.append((rule.quantity, rule.region))
            if rule.alert is None:
                colours += _silent(context, rule)
                continue
        assert rule.alert is not None
        by_level[rule.alert.level].append(
            AlertLine(rule.alert.text.replace("{n}", "n"), _means(ruleset, rule), _then(rule))
        )
    for declared in _timed_limits(ruleset):
        read.append(declared.when)
        regions.append((declared.quantity, declared.region))
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
        tuple(computed_words(ruleset, _quantities(ruleset, regions, read))),
        tuple(contexts),
        tuple(_lamps(ruleset)),
        CAUTION,
        f"{tool}; rules {digest}",
        weak_numbers(numbers_by_grade(ruleset)),
    )


def _silent(context: Context, band: m.Band) -> Iterator[str]:
    coming = alerts_in_silent_red(context, band)
    if coming is not None:
        but = f" (but for where {' or '.join(coming)} comes)" if coming else ""
        yield _means(context.ruleset, band) + but


def _means(ruleset: m.RuleSet, rule: m.Band | m.Alert) -> str:
    """When a statement applies, the values first."""
    said: list[str] = []
    if isinstance(rule, m.Band):
        said.append(_where(ruleset, rule))
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


def _subject(ruleset: m.RuleSet, quantity: str, index: int | None) -> str:
    each = ""
    if ruleset.quantities[quantity].size is not None:
        each = " (each)" if index is None else f" {index}"
    return f"{title_of(ruleset, quantity)}{each}"


def _where(ruleset: m.RuleSet, band: m.Band) -> str:
    return f"{_subject(ruleset, band.quantity, band.index)} {region_words(ruleset, band.quantity, band.region)}"


def _then(rule: m.Band | m.Alert) -> str:
    said = []
    if rule.after:
        said.append(f"comes after {m.in_seconds(rule.after)}")
    if rule.latched:
        said.append("stays until it is acknowledged")
    return ", ".join(said)


def _quantities(
    ruleset: m.RuleSet, regions: Iterable[tuple[str, m.Region]], read: Iterable[m.Formula | None]
) -> list[str]:
    """All that is read, in the order in which it is declared."""
    found = set(ruleset.quantities_read(*read))
    for name, region in regions:
        found |= {name, *(bound.quantity for bound in region.moving)}
    return [name for name in ruleset.quantities if name in found]


def _timed_limits(ruleset: m.RuleSet) -> Iterator[m.Range]:
    return (declared for declared in ruleset.ranges if declared.except_for is not None and declared.forbids)


def _times(ruleset: m.RuleSet) -> Iterator[str]:
    """What may last so long and no longer: of the rules, and of the limits behind them that no rule says already."""
    said: set[str] = set()
    told: list[tuple[str, str, Fraction, m.Formula | None]] = []

    def once(words: str) -> Iterator[str]:
        if words not in said:
            said.add(words)
            yield words[0].upper() + words[1:]

    for rule in ruleset.rules:
        if isinstance(rule, m.Band) and rule.held is not None and rule.colour is m.Colour.RED:
            total = " in total" if rule.in_total else ""
            when = "" if rule.when is None else f" when {formula_words(ruleset, rule.when)}"
            if rule.index is None and not rule.in_total and rule.unless is None:
                told.append((rule.quantity, region_words(ruleset, rule.quantity, rule.region), rule.held, rule.when))
            yield from once(f"{_where(ruleset, rule)}{when}: {m.in_seconds(rule.held)}{total}, then red")
    for declared in _timed_limits(ruleset):
        assert declared.except_for is not None
        past = _past(ruleset, declared)
        if any(
            (name, words, held) == (declared.quantity, past, declared.except_for) and _covers(context, declared.when)
            for name, words, held, context in told
        ):
            continue
        when = "" if declared.when is None else f" when {formula_words(ruleset, declared.when)}"
        subject = _subject(ruleset, declared.quantity, declared.index)
        yield from once(f"{subject} {past}{when}: at most {m.in_seconds(declared.except_for)} (limit)")


def _past(ruleset: m.RuleSet, limit: m.Range) -> str:
    """Where it is that one may be for a time only: inside a range to avoid, past any other limit."""
    if limit.kind is m.RangeKind.LIMIT and limit.region.kind.outside:
        return f"not {region_words(ruleset, limit.quantity, limit.region)}"
    return region_words(ruleset, limit.quantity, limit.broken)


def _covers(context: m.Formula | None, limit: m.Formula | None) -> bool:
    """Whether a rule with `context` holds wherever a limit with `limit` does, as far as it can be seen at once."""
    if context is None or context == limit:
        return True
    return isinstance(context, m.Or) and limit in context.parts


_BY_ITSELF = "goes out by itself"
_SEQUENCES = {
    "A": _BY_ITSELF,
    "M": "goes out when it is acknowledged, the cause is gone and it is reset",
    "R": "tells when the cause is gone, and goes out when it is reset",
}


def _shows(lamp: m.PanelLamp, rule: m.Band | m.Alert) -> bool:
    return rule.label in lamp.labels or (rule.alert is not None and rule.alert.level in lamp.levels)


def _lamps(ruleset: m.RuleSet) -> Iterator[tuple[str, str]]:
    for lamp in ruleset.lamps:
        lit = [f"any {level.name.lower()}" for level in lamp.levels]
        texts = {rule.label: rule.alert.text for rule in ruleset.rules if rule.alert is not None}
        lit += [f'"{texts[label]}"' for label in lamp.labels]
        goes = _SEQUENCES[lamp.sequence.value]
        if lamp.sequence.value == "A" and lamp.lock_in:
            goes = "stays until it is acknowledged and the cause is gone"
        held = {r.alert.text: None for r in ruleset.rules if r.alert is not None and r.latched and _shows(lamp, r)}
        if goes == _BY_ITSELF and held:
            goes += f", but for {', '.join(held)}: that stays until it is acknowledged and the cause is gone"
        buttons = "" if lamp.acknowledge is None else f"; acknowledge: {name_words(lamp.acknowledge)}"
        buttons += "" if lamp.reset is None else f"; reset: {name_words(lamp.reset)}"
        yield lamp.text, f"lit by {', '.join(lit)}; {goes}{buttons}"


# ---- on paper: on one page as long as it can be read there

SMALLEST = 8.0
"""Points. Print of this font is then 1.2 mm high without ascenders (common practice, no source)."""

_TEMPLATE = "pilot_card.typ"
# Size of the type, and whether what an alert means has a line of its own; the largest first.
_LAYOUTS = (
    *((float(size), "yes") for size in (13, 12, 11, 10, 9)),
    *((size, "no") for size in (9.5, 9.0, 8.5, SMALLEST)),
)
_SEVERAL = (9.0, "yes")


class CardPages(NamedTuple):
    """`pages` more than one: all of it does not fit on one page, and each page says so."""

    pdf: bytes
    pages: int


def card_pages(card: PilotCard, *, paper: str = "a4") -> CardPages:
    """The card in the largest type with which it is one page; what an alert means is on a line of its own if it can.

    Never in type smaller than SMALLEST and never with anything left out: rather on several pages.
    """
    data = card.data()

    def count(size: float, loose: str) -> int:
        return page_count(_TEMPLATE, "card", data, paper=paper, settings={"size": str(size), "loose": loose})

    pages, chosen = 1, _LAYOUTS[-1]
    if count(*chosen) > 1:
        chosen = _SEVERAL
        pages = count(*chosen)
    else:
        # What fits fits in every smaller layout; if not quite, a smaller one than need be is chosen, which fits too.
        low, high = 0, len(_LAYOUTS) - 1
        while low < high:
            middle = (low + high) // 2
            if count(*_LAYOUTS[middle]) == 1:
                high = middle
            else:
                low = middle + 1
        chosen = _LAYOUTS[high]
    size, loose = chosen
    (pdf,) = typeset(_TEMPLATE, "card", data, paper=paper, settings={"size": str(size), "loose": loose})
    return CardPages(pdf, pages)
