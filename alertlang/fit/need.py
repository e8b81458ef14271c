"""What a rule set asks of a box: the bands, contexts and timers that must be stored in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from alertlang.fit.same import Grouping, Same
from alertlang.logic.solver import WORK_LIMIT
from alertlang.logic.terms import TRUE, Term
from alertlang.model import ruleset as m
from alertlang.model.display import Display
from alertlang.model.snapshot import formula_words
from alertlang.text.source import Span
from alertlang.units.interval import IntervalSet

Rule = m.Band | m.Alert


@dataclass(frozen=True, slots=True)
class BoxPlace:
    """One place in a box. It is free once none of `users` (labels of statements) is there any more.

    `words`: what is in it; `span`: of the first statement that needs it.
    """

    users: tuple[str, ...]
    words: str
    span: Span


@dataclass(frozen=True, slots=True)
class Resource:
    """One kind of place, with what is needed and what the display has (none: it does not say).

    `kind` is bands, contexts, timers, alerts or lamps; `subject` the reading whose bands they are. `proved`: that the
    rules as they are written cannot do with fewer.
    """

    kind: str
    subject: str | None
    units: tuple[BoxPlace, ...]
    allowed: int | None
    proved: bool = True

    @property
    def needed(self) -> int:
        return len(self.units)

    @property
    def over(self) -> int:
        """How many there are too many; 0 where the display does not say how many it has."""
        return max(0, self.needed - self.allowed) if self.allowed is not None else 0

    @property
    def first_over(self) -> BoxPlace:
        """The first one for which there is no place."""
        assert self.allowed is not None
        return self.units[self.allowed]


@dataclass(frozen=True, slots=True)
class _Delay:
    """Something timed: `key` is what two of them must have alike to share a timer, `start` what sets it running."""

    key: tuple[object, ...]
    start: Term
    users: tuple[str, ...]
    words: str
    span: Span


class Need:
    """What one rule set needs on one display. Worked out when it is asked for."""

    def __init__(self, ruleset: m.RuleSet, display: Display, work_limit: int = WORK_LIMIT) -> None:
        self.ruleset = ruleset
        self.display = display
        self.work_limit = work_limit

    @cached_property
    def same(self) -> Same:
        return Same(self.ruleset, self.work_limit)

    @cached_property
    def stored(self) -> tuple[Rule, ...]:
        """The statements that a box must hold. A stretch without a colour is there without being stored."""
        return tuple(
            rule
            for rule in self.same.ruleset.rules
            if isinstance(rule, m.Alert) or rule.alert is not None or rule.colour is not m.Colour.UNMARKED
        )

    @property
    def resources(self) -> tuple[Resource, ...]:
        """Everything that is counted, in the order of the codes."""
        return (*self.bands, self.contexts, self.timers, self.alerts, self.lamps)

    # ---- contexts

    @cached_property
    def contexts(self) -> Resource:
        proved = self._slots.decided and self.same.decided
        units = tuple(_units(self._contexts, self._slots))
        return Resource("contexts", None, units, self.display.contexts, proved)

    @cached_property
    def slot_of(self) -> dict[str, int | None]:
        """By label, the slot of each stored statement's context; none where it applies always."""
        numbers = {delay.key[1]: slot for delay, slot in zip(self._contexts, self._slots.group, strict=True)}
        return {rule.label: numbers.get(rule.label) for rule in self.stored}

    @cached_property
    def _slots(self) -> Grouping:
        return self.same.grouped([delay.start for delay in self._contexts])

    @cached_property
    def _contexts(self) -> tuple[_Delay, ...]:
        """The context of each stored statement that does not apply always, and each condition that has a memory or
        delays, with all that use it."""
        found: list[_Delay] = []
        known: dict[int, bool] = {}
        for rule in self.stored:
            term = self.same.condition_of(rule)
            if term is TRUE:
                continue
            if id(term) not in known:
                known[id(term)] = self.same.always(term)
            if known[id(term)]:
                continue
            found.append(
                _Delay(("rule", rule.label), term, (rule.label,), context_words(self.ruleset, rule), rule.span)
            )
        for name, users in self._conditions:
            condition = self.ruleset.conditions[name]
            if condition.until is not None or condition.is_delayed:
                term = self.same.encoder.condition(name)
                found.append(_Delay(("condition", f"{name} (condition)"), term, users, name, condition.span))
        return tuple(found)

    @cached_property
    def _conditions(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Conditions that stored statements read, each with the labels of these."""
        found: dict[str, list[str]] = {}
        for rule in self.stored:
            for name in self.same.ruleset.conditions_read(rule.when, rule.unless):
                found.setdefault(name, []).append(rule.label)
        return tuple((name, tuple(found[name])) for name in self.ruleset.conditions if name in found)

    # ---- bands

    @cached_property
    def bands(self) -> tuple[Resource, ...]:
        """Of each gauge; of an array whose elements differ, of each element."""
        return tuple(
            self._bands_of(name, index) for name in self.ruleset.quantities for index in self.ruleset.elements(name)
        )

    def _bands_of(self, name: str, index: int | None) -> Resource:
        groups: dict[object, list[m.Band]] = {}
        for band in self.stored:
            if not isinstance(band, m.Band) or band.quantity != name or band.index not in (None, index):
                continue
            if band.colour is not m.Colour.UNMARKED:
                groups.setdefault(self._stored_as(band), []).append(band)
        units = [
            BoxPlace(tuple(b.label for b in alike), _band_words(self.ruleset, alike[0], part), alike[0].span)
            for alike in groups.values()
            for part in range(max(1, len(self.stretches(alike[0]))))
        ]
        alone = index if name in self.ruleset.indexed_arrays else None
        proved = self.contexts.proved
        return Resource("bands", m.variable(name, alone), tuple(units), self.display.bands_per_quantity, proved)

    def _stored_as(self, band: m.Band) -> tuple[object, ...]:
        """What two bands must have alike to be one in a box."""
        where = band.region if band.region.moves or band.region.is_failed else self.stretches(band)
        return (where, band.colour, self.slot_of[band.label], band.held, band.in_total)

    def stretches(self, band: m.Band) -> tuple[object, ...]:
        """The stretches of its sensor's range that a band colours; one with an end that moves counts by its form."""
        if band.region.moves:
            return (0, 1) if band.region.kind.outside else (0,)
        sensor = IntervalSet.of(self.ruleset.quantities[band.quantity].range)
        return tuple(band.region.values.intersect(sensor))

    # ---- timers

    @cached_property
    def timers(self) -> Resource:
        groups: dict[tuple[object, ...], list[_Delay]] = {}
        for delay in self._delays():
            groups.setdefault(delay.key, []).append(delay)
        units: list[BoxPlace] = []
        proved = self.same.decided
        for alike in groups.values():
            grouping = self.same.grouped([delay.start for delay in alike])
            proved = proved and grouping.decided
            units += _units(alike, grouping)
        units.sort(key=lambda unit: (unit.span.source.path, unit.span.start))
        return Resource("timers", None, tuple(units), self.display.timers, proved)

    def _delays(self) -> Iterator[_Delay]:
        """Everything that is timed, one for each element of an array."""
        for rule in self.stored:
            yield from self._delays_of(rule)
            for formula in (rule.when, rule.unless):
                yield from self._held(formula, (rule.label,), rule.span)
        for name, users in self._conditions:
            condition = self.same.ruleset.conditions[name]
            settled = self.same.encoder.formula(condition.formula)
            if condition.until is not None:
                # What it is set and cleared by decides when its timers start.
                settled = self.same.encoder.condition(name)
            for word, seconds in (("set after", condition.set_after), ("cleared after", condition.cleared_after)):
                if seconds:
                    words = f"{name} {word} {m.in_seconds(seconds)}"
                    yield _Delay((word, seconds), settled, users, words, condition.span)
            for part in condition.parts:
                yield from self._held(part, users, condition.span)

    def _held(self, formula: m.Formula | None, users: tuple[str, ...], span: Span) -> Iterator[_Delay]:
        """`for at least` and `for less than` of one formula and one time are one timer."""
        for part in [] if formula is None else m.parts_of(formula):
            if isinstance(part, m.Held):
                words = f"{formula_words(self.ruleset, part.part)} for {m.in_seconds(part.duration)}"
                start = self.same.encoder.formula(part.part)
                yield _Delay(("for at least", part.duration), start, users, words, span)

    def _delays_of(self, rule: Rule) -> Iterator[_Delay]:
        """`for more than` and `after`. What a deadband keeps depends on the region alone, so that it must be alike."""
        waits: list[tuple[tuple[object, ...], str]] = []
        if rule.held:
            total = " in total" if rule.in_total else ""
            key: tuple[object, ...] = ("for more than", rule.held, rule.in_total)
            waits.append((key, f"{rule.label} for more than {m.in_seconds(rule.held)}{total}"))
        if rule.alert is not None and rule.after:
            key = ("after", rule.after, rule.held, rule.in_total)
            waits.append((key, f"{rule.label} after {m.in_seconds(rule.after)}"))
        if not waits:
            return
        if isinstance(rule, m.Alert):
            for key, words in waits:
                yield _Delay(key, self.same.condition_of(rule), (rule.label,), words, rule.span)
            return
        quantity = self.ruleset.quantities[rule.quantity]
        alike: tuple[object, ...] = ()
        for index in quantity.indexes:
            if rule.index is not None and index != rule.index:
                continue
            if quantity.deadband:
                alike = (rule.quantity, index, rule.region)
            start = self.same.encoder.applies(rule, index, eventually=True, linger=False)
            for key, words in waits:
                place = f" (element {index})" if index is not None else ""
                yield _Delay((*key, *alike), start, (rule.label,), words + place, rule.span)

    # ---- alerts and lamps

    @cached_property
    def alerts(self) -> Resource:
        """One for each statement that raises one, for each element that its text names."""
        units = [
            BoxPlace((rule.label,), f'{rule.alert.level.word} "{text}"', rule.span)
            for rule in self.stored
            if rule.alert is not None
            for text in texts(self.ruleset, rule)
        ]
        return Resource("alerts", None, tuple(units), self.display.alerts)

    @cached_property
    def lamps(self) -> Resource:
        units = [BoxPlace((), f'lamp "{lamp.text}"', lamp.span) for lamp in self.ruleset.lamps]
        return Resource("lamps", None, tuple(units), self.display.lamps)

    def with_rules(self, bands: tuple[m.Band, ...], alerts: tuple[m.Alert, ...]) -> Need:
        """The need of the same rule set with other statements."""
        return Need(replace(self.ruleset, bands=bands, alerts=alerts), self.display, self.work_limit)


def _units(timed: Sequence[_Delay], grouping: Grouping) -> Iterator[BoxPlace]:
    """One for each group, with all that need it."""
    for number in range(grouping.count):
        mine = [delay for delay, group in zip(timed, grouping.group, strict=True) if group == number]
        yield BoxPlace(
            tuple(dict.fromkeys(label for delay in mine for label in delay.users)), mine[0].words, mine[0].span
        )


def texts(ruleset: m.RuleSet, rule: Rule) -> tuple[str, ...]:
    """The texts that the alert of a statement can show: with {n} one for each element."""
    if rule.alert is None:
        return ()
    text = rule.alert.text
    if not isinstance(rule, m.Band) or "{n}" not in text:
        return (text,)
    indexes = ruleset.quantities[rule.quantity].indexes if rule.index is None else (rule.index,)
    return tuple(text.replace("{n}", str(index)) for index in indexes)


def context_words(ruleset: m.RuleSet, rule: Rule) -> str:
    """`when` and not `unless` in the words of the language."""
    parts = [] if rule.when is None else [_plain(formula_words(ruleset, rule.when))]
    if rule.unless is not None:
        parts.append(f"unless {_plain(formula_words(ruleset, rule.unless))}")
    return " ".join(parts)


def _plain(words: str) -> str:
    return words[1:-1] if words.startswith("(") and words.endswith(")") and words.count("(") == 1 else words


def _band_words(ruleset: m.RuleSet, band: m.Band, part: int) -> str:
    unit = ruleset.quantities[band.quantity].unit
    side = f" ({('lower', 'upper')[part]} part)" if band.region.kind.outside and not band.region.moves else ""
    return f"{band.label}: {band.region.in_words(unit)} {band.colour.word}{side}"
