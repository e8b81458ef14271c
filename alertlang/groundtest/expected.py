"""What must be seen in a step, line by line, and by when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.groundtest.running import AT_ONCE, MARGIN, HeldStimulus, Moved, PanelSeen, seen_in
from alertlang.model import ruleset as m

NOTHING = "no colour"
_NOT_UP = "not up"

# What is seen, by what is looked at; none where it may be one thing or another.
Items = Mapping[str, str]
Open = Mapping[str, str | None]


@dataclass(frozen=True, slots=True)
class CardExpectation:
    """What must be seen so many seconds after the step was set; `number` is its line on the card. `early`: it is looked
    at to see that what comes has not come yet."""

    number: int
    after: Fraction
    item: str
    seen: str
    early: bool = False


class PanelWatch:
    """Everything at the panel of a rule set that can be looked at by itself."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.shown = {band.quantity for band in ruleset.bands}
        self.texts = _texts(ruleset)
        self._last: tuple[PanelSeen, Items] | None = None

    def items(self, seen: PanelSeen | None) -> Items:
        """What is seen of each thing, in words; nothing is known before the first step."""
        if seen is None:
            return {}
        # What was new in one look is old in the next.
        if self._last is None or self._last[0] is not seen:
            self._last = seen, self._items(seen)
        return self._last[1]

    def _items(self, seen: PanelSeen) -> Items:
        found: dict[str, str] = {}
        for (name, index), colour in seen.colours.items():
            if name in self.shown:
                found[f"gauge {m.variable(name, index)}"] = NOTHING if colour is None else colour.word
        for level, text in self.texts:
            found[f"alert {text} ({level.word})"] = "up" if (level, text) in seen.alerts else _NOT_UP
        for text, state in seen.lamps.items():
            sound = "" if state.sound == "silent" else f", sound {state.sound}"
            found[f"lamp {text}"] = f"{state.light}{sound}"
        return found

    def lines(self, held: HeldStimulus, last: PanelSeen | None, changed: frozenset[str]) -> Iterator[CardExpectation]:
        """Of a stimulus that stands still. `last`: what was there to see before; `changed`: what the step sets."""
        looks = held.looks
        for before, look in zip((None, *looks[:-1]), looks, strict=True):
            old = self.items(before.seen if before is not None else last)
            new = self.items(look.seen)
            early = look.time - MARGIN
            by = look.time + MARGIN if look.time else AT_ONCE
            final = look is looks[-1]
            for item, seen in new.items():
                was = old.get(item)
                if before is not None and was != seen and early > 0 and was is not None:
                    yield _line(early, item, was, early=True)
                if was is None and seen == _NOT_UP:
                    continue  # Said of all of them at once.
                if was != seen or (final and item.removeprefix("gauge ") in changed):
                    yield _line(by, item, seen)
        yield from _all_else(held.hold - MARGIN, looks[-1].seen, last)

    def lines_of_ramp(
        self, moved: Moved, last: PanelSeen, until: Fraction, changed: frozenset[str]
    ) -> Iterator[CardExpectation]:
        """Of readings that move, up to when they are looked at last: only what somebody who is not exact sees too."""
        known: dict[str, str] = dict(self.items(last))
        times = [time for time in moved.times() if time <= until]
        sure = {time: self._sure(moved, time) for time in times}
        end: PanelSeen = seen_in(next(iter(moved.around(until))))
        for item in known:
            still: Fraction | None = None
            for time in times:
                seen = sure[time][item]
                if seen == known[item]:
                    still = time
                elif seen is not None:
                    if still is not None:
                        yield _line(still, item, known[item], early=True)
                    yield _line(time, item, seen)
                    known[item], still = seen, None
            if item.removeprefix("gauge ") in changed:
                yield _line(until, item, known[item])
        yield from _all_else(until, end, last)

    def _sure(self, moved: Moved, time: Fraction) -> Open:
        """What is seen about a time, by anybody."""
        found: dict[str, str | None] = {}
        looked: list[PanelSeen] = []
        for shown in moved.around(time):
            seen = seen_in(shown)
            if seen in looked:
                continue
            looked.append(seen)
            for item, word in self.items(seen).items():
                found[item] = word if found.get(item, word) == word else None
        return found


def _all_else(after: Fraction, seen: PanelSeen, last: PanelSeen | None) -> Iterator[CardExpectation]:
    up = "; ".join(f"{level.word} {text}" for level, text in sorted(seen.alerts, key=lambda a: (-a[0], a[1])))
    yield _line(after, "all alerts", up or "none")
    if last is not None:
        yield _line(after, "other gauges", "as before")


def _texts(ruleset: m.RuleSet) -> tuple[tuple[m.Level, str], ...]:
    found: dict[tuple[m.Level, str], None] = {}
    for rule in ruleset.rules:
        if rule.alert is None:
            continue
        indexes: Iterable[int | None] = (
            (None,) if isinstance(rule, m.Alert) else ruleset.quantities[rule.quantity].indexes
        )
        for index in indexes:
            text = rule.alert.text if index is None else rule.alert.text.replace("{n}", str(index))
            found[rule.alert.level, text] = None
    return tuple(found)


def _line(after: Fraction, item: str, seen: str, *, early: bool = False) -> CardExpectation:
    return CardExpectation(0, after, item, seen, early)
