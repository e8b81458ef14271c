"""What replaying comes to, worked out anew and plainly: the stepper row by row, then lists of rows and loops.

Shares nothing with the tool's replay but the data it hands over, so that results can be compared as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import TypeVar

from alertlang.meaning.stepper import Sample, Stepper
from alertlang.model import ruleset as m

# Start and end row of a stretch; no end: to the last row.
Span = tuple[int, int | None]
# quantity, element, colour, segment, start, end, seconds.
Coloured = tuple[str, int | None, str | None, int, Fraction, Fraction | None, Fraction]

T = TypeVar("T")


class PlainSegment:
    """One segment: its samples and what the stepper shows at each."""

    def __init__(self, ruleset: m.RuleSet, samples: Sequence[Sample]) -> None:
        stepper = Stepper(ruleset)
        self.samples = list(samples)
        self.shown = [stepper.step(sample) for sample in samples]
        self.times = [sample.time for sample in samples]

    def spans(self, values: Sequence[T]) -> Iterator[tuple[T, int, int | None]]:
        """Each value, of one for each row, with the rows it lasts."""
        start = 0
        for row in range(1, len(values) + 1):
            if row == len(values):
                yield values[start], start, None
            elif values[row] != values[start]:
                yield values[start], start, row
                start = row

    def timed(self, start: int, end: int | None) -> tuple[Fraction, Fraction | None, Fraction]:
        """Start, end, and how long it was."""
        last = self.times[-1] if end is None else self.times[end]
        return self.times[start], None if end is None else self.times[end], last - self.times[start]

    def acknowledged(self, start: int, end: int | None) -> Fraction | None:
        """The first press after the row at which it came, up to the one at which it was gone."""
        last = len(self.samples) - 1 if end is None else end
        for row in range(start + 1, last + 1):
            if self.samples[row].acknowledge and not self.samples[row - 1].acknowledge:
                return self.times[row]
        return None

    def value(self, row: int, bound: m.Bound, index: int | None) -> Fraction | None:
        if not isinstance(bound, m.Moving):
            return bound
        values = self.shown[row].values
        found = values[bound.quantity] if bound.quantity in values else values[f"{bound.quantity}[{index}]"]
        return None if found is None else found * bound.factor + bound.offset

    def past(self, row: int, quantity: str, index: int | None, region: m.Region) -> tuple[Fraction, Fraction] | None:
        """The reading and how far it is inside the region."""
        values = self.shown[row].values
        value = values[quantity] if quantity in values else values[f"{quantity}[{index}]"]
        ends = [end for bound in region.bounds if (end := self.value(row, bound, index)) is not None]
        if value is None or len(ends) < len(region.bounds):
            return None
        low, high = ends[0], ends[-1]
        by = {
            "below": low - value,
            "at_most": low - value,
            "above": value - low,
            "at_least": value - low,
            "within": min(value - low, high - value),
            "outside": max(low - value, value - high),
        }
        alike = {"from_below": "within", "above_to": "within", "between": "within"}
        alike |= {"below_from": "outside", "to_above": "outside", "not_between": "outside"}
        return value, by[alike.get(region.kind.value, region.kind.value)]

    def worst(
        self, start: int, end: int | None, quantity: str, index: int | None, region: m.Region, sign: int
    ) -> tuple[Fraction, Fraction, Fraction] | None:
        """Value, time and depth of the first row that is deepest; `sign` -1: out of the region is bad."""
        best = None
        for row in range(start, len(self.shown) if end is None else end):
            known = self.past(row, quantity, index, region)
            if known is not None and (best is None or sign * known[1] > best[2]):
                best = known[0], self.times[row], sign * known[1]
        return best


def indexes(ruleset: m.RuleSet, one: m.Band | m.Alert | m.Range) -> tuple[int | None, ...]:
    if isinstance(one, m.Alert):
        return (None,)
    return ruleset.quantities[one.quantity].indexes if one.index is None else (one.index,)


def alerts(ruleset: m.RuleSet, segments: Iterable[PlainSegment]) -> list[tuple[object, ...]]:
    """statement, element, text, level, segment, start, end, seconds, acknowledged; then, of a band, its worst."""
    found: list[tuple[object, ...]] = []
    for number, segment in enumerate(segments, 1):
        for rule in ruleset.rules:
            for index in indexes(ruleset, rule) if rule.alert else ():
                place = (rule.label, index)
                for text, start, end in segment.spans([one.alerts.get(place) for one in segment.shown]):
                    if text is None:
                        continue
                    worst = None
                    if isinstance(rule, m.Band) and rule.region.kind != "failed":
                        worst = segment.worst(start, end, rule.quantity, index, rule.region, 1)
                    timed = segment.timed(start, end)
                    pressed = segment.acknowledged(start, end)
                    found.append((*place, text.text, text.level.name.lower(), number, *timed, pressed, worst))
    return found


def colours(ruleset: m.RuleSet, segments: Iterable[PlainSegment]) -> list[Coloured]:
    found: list[Coloured] = []
    banded = {band.quantity for band in ruleset.bands}
    for number, segment in enumerate(segments, 1):
        for quantity in ruleset.quantities.values():
            for index in quantity.indexes if quantity.name in banded else ():
                gauge = (quantity.name, index)
                for colour, start, end in segment.spans([one.colours[gauge] for one in segment.shown]):
                    word = None if colour is None else colour.name.lower()
                    found.append((*gauge, word, number, *segment.timed(start, end)))
    return found


def bands(ruleset: m.RuleSet, segments: Sequence[PlainSegment]) -> list[tuple[object, ...]]:
    """statement, element, seconds in all, times."""
    found: list[tuple[object, ...]] = []
    for band in ruleset.bands:
        for index in indexes(ruleset, band):
            spans = [
                segment.timed(start, end)[2]
                for segment in segments
                for applies, start, end in segment.spans([one.applies[band.label, index] for one in segment.shown])
                if applies
            ]
            found.append((band.label, index, sum(spans, Fraction(0)), len(spans)))
    return found


def violations(ruleset: m.RuleSet, segments: Iterable[PlainSegment]) -> list[tuple[object, ...]]:
    """limit, element, segment, start, end, seconds, worst."""
    found: list[tuple[object, ...]] = []
    for number, segment in enumerate(segments, 1):
        for one in ruleset.ranges:
            for index in indexes(ruleset, one) if one.kind in {"limit", "avoid"} else ():
                sign = 1 if one.kind == "avoid" else -1
                for broken, start, end in segment.spans([shown.violated[one.label, index] for shown in segment.shown]):
                    if broken:
                        worst = segment.worst(start, end, one.quantity, index, one.region, sign)
                        found.append((one.label, index, number, *segment.timed(start, end), worst))
    return found


def unexercised(ruleset: m.RuleSet, segments: Sequence[PlainSegment]) -> set[tuple[str, str]]:
    """Kind and name of what never was: conditions, then statements that never applied or whose alert was never up."""
    shown = [one for segment in segments for one in segment.shown]
    found = set()
    for name in ruleset.conditions:
        truths = {one.conditions[name] for one in shown}
        if len(truths) < 2:
            found.add((f"condition {'held all the time' if truths == {True} else 'never held'}", name))
    for rule in ruleset.rules:
        places = [(rule.label, index) for index in indexes(ruleset, rule)]
        if not any(one.applies[place] for one in shown for place in places):
            found.add(("never applied", rule.label))
        elif rule.alert is not None and not any(place in one.alerts for one in shown for place in places):
            found.add(("applied, and never for long enough for its alert", rule.label))
    return found
