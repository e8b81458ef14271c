"""A replayed log over time: for each segment the alerts, lamps and marks in lanes, then each gauge with its limits.

What stands here is complete and prints; where a script runs, `timeline.js` lays the same out anew for another width and
another stretch of time. Whatever belongs to a time carries it (`data-t`, to `data-e`), in seconds.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from markupsafe import Markup, escape

from alertlang.documents.paint import spread
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words
from alertlang.output.times import Times
from alertlang.replay.series import Series
from alertlang.results.replay import AlertUp, AtPosition, Coloured, ReplayResult, Violation
from alertlang.units.number import number_words

# In pixels, where no script lays it out anew. Left stand numbers, right the names of elements.
WIDTH, LEFT, RIGHT = 960, 48, 76
_HEAD, _PLOT, _STRIP, _LANE, _AXIS = 17, 84, 6, 36, 30
_DASHES = ("", "7 3", "2 2", "9 3 2 3", "4 2 1 2 1 2", "12 4")
# A glyph nearer than this to the one before it is counted with it.
_APART = 28
# So many points at most are drawn of a reading, over the whole of a segment; the script has all that `Series` has.
_POINTS = 900
_SLICES = 4000
LEVELS = ("warning", "caution", "advisory")
_WORST = {colour.name.lower(): int(colour) for colour in m.Colour}
_LIT = {"flashing": "flashing", "slow flashing": "slow", "steady": "steady"}


@dataclass(frozen=True, slots=True)
class Lane:
    """One row: its name, what is drawn at the head of each bar, and the bars: their number, start and end."""

    name: str
    look: str
    bars: tuple[tuple[int | None, Fraction, Fraction], ...]


class Timeline:
    """One segment, its number counted from 1. `readings`: its series, elements of an array side by side. `numbers`:
    what each alert, broken limit and mark that has a row on the page is called there, by its identity."""

    def __init__(
        self,
        ruleset: m.RuleSet,
        result: ReplayResult,
        number: int,
        readings: Sequence[Series],
        times: Times,
        numbers: dict[int, int],
    ) -> None:
        self._ruleset = ruleset
        self._result = result
        self._number = number
        self._times = times
        self._numbers = numbers
        segment = result.segments[number - 1]
        self._first = float(segment.first)
        self._last = float(segment.last) if segment.seconds else self._first + 1
        self._readings = readings
        self._places = {id(series): place for place, series in enumerate(readings)}

    def html(self) -> Markup:
        """The pictures one below the other, and what the script needs."""
        gauges: dict[str, list[Series]] = {}
        for series in self._readings:
            gauges.setdefault(m.ReadingId(series.reading).quantity, []).append(series)
        parts = [self._lanes(), *self._switches()]
        parts += [self._gauge(self._ruleset.quantities[name], of) for name, of in gauges.items()]
        parts.append(self._axis())
        parts.append(f'<script type="application/json">{self._data()}</script>')
        return Markup("\n".join(parts))

    # ---- lanes

    def _lanes(self) -> str:
        lanes = [*self._alert_lanes(), *self._lamp_lanes()]
        marks = [mark for mark in self._result.marks if mark.segment == self._number]
        top = 16 if marks else 4
        height = top + _LANE * max(1, len(lanes))
        body = [self._marks(height, named=True)]
        for row, lane in enumerate(lanes):
            y = top + row * _LANE
            said = f"{lane.name}, {len(lane.bars)} times" if len(lane.bars) > 1 else lane.name
            body.append(_text(LEFT, y + 10, said, "name"))
            body.append(_line(LEFT, y + 31, "w base"))
            body.append(f'<g class="lane" data-y="{_px(y + 31)}">{self._bars(lane, y + 31)}</g>')
        if not lanes:
            body.append(_text(LEFT, top + 14, "no alert came up", "name"))
        return _svg("lanes", height, body, "Alerts and lamps over time")

    def _alert_lanes(self) -> Iterable[Lane]:
        alerts = [alert for alert in self._result.alerts if alert.segment == self._number]
        kinds = sorted({(LEVELS.index(alert.level), alert.text) for alert in alerts})
        for level, text in kinds:
            those = sorted(
                (one for one in alerts if (one.text, one.level) == (text, LEVELS[level])), key=lambda one: one.start
            )
            yield Lane(f"{text}, {LEVELS[level]}", LEVELS[level], tuple(self._bar(alert) for alert in those))

    def _bar(self, up: AlertUp | Violation) -> tuple[int | None, Fraction, Fraction]:
        return self._numbers.get(id(up)), up.start, up.start + up.seconds

    def _lamp_lanes(self) -> Iterable[Lane]:
        lit = [lit for lit in self._result.lamps if lit.segment == self._number]
        for text in dict.fromkeys(one.text for one in lit):
            for light, look in _LIT.items():
                bars = tuple((None, o.start, o.start + o.seconds) for o in lit if (o.text, o.light) == (text, light))
                if bars:
                    yield Lane(f"lamp {text} {light}", look, bars)

    def _bars(self, lane: Lane, base: float) -> str:
        """Each bar, however short at least so wide that it can be seen, and at its start what tells its kind; a glyph
        that would stand on the one before it is counted there."""
        heads: list[tuple[float, list[tuple[int | None, Fraction, Fraction]]]] = []
        for bar in lane.bars:
            x = self._x(float(bar[1]))
            if heads and x - heads[-1][0] < _APART:
                heads[-1][1].append(bar)
            else:
                heads.append((x, [bar]))
        found = []
        for number, start, end in lane.bars:
            x, wide = self._span(float(start), float(end), 2)
            drawn = (
                f'<rect class="bar {lane.look}" x="{_px(x)}" y="{_px(base - 8)}" width="{_px(wide)}" height="7" '
                f'data-t="{_s(start)}" data-e="{_s(end)}" data-least="2"/>'
            )
            found.append(self._linked("t", "a", number, drawn, f"{lane.name} at {self._times.at(start)}"))
        for x, bars in heads:
            found.append(
                f'<g class="head" transform="translate({_px(x)} {_px(base)})" data-t="{_s(bars[0][1])}">'
                f'<use href="#g-{lane.look}"/>{_count(len(bars))}</g>'
            )
        return "".join(found)

    def _linked(self, own: str, other: str, number: int | None, drawn: str, title: str) -> str:
        if number is None:
            return drawn
        return f'<a id="{own}{number}" href="#{other}{number}"><title>{escape(title)}</title>{drawn}</a>'

    def _marks(self, height: float, *, named: bool) -> str:
        found = []
        for mark in self._result.marks:
            if mark.segment != self._number:
                continue
            number = self._numbers[id(mark)]
            at = f'data-t="{_s(mark.time)}"'
            x = _px(self._x(float(mark.time)))
            line = f'<line class="mark" x1="{x}" x2="{x}" y1="{15 if named else 0}" y2="{_px(height)}" {at}/>'
            if named:
                text = f'<text class="markname" x="{x}" y="11" {at} data-n="{number}">mark {number}</text>'
                found.append(f'<a id="k{number}" href="#m{number}">{text}{line}</a>')
            else:
                found.append(line)
        return "".join(found)

    # ---- switches

    def _switches(self) -> Iterable[str]:
        """A row for each switch that a column feeds: its positions, whether or not any statement goes by them."""
        rows = [use for use in self._result.switches if use.column is not None]
        if not rows:
            return
        height = 4 + _LANE * len(rows)
        body = [self._marks(height, named=False)]
        for row, use in enumerate(rows):
            switch, y = self._ruleset.switches[use.name], 4 + row * _LANE
            title = switch.title or switch.name
            body.append(_text(LEFT, y + 10, title, "name"))
            for start, end, position in self._stretches(use.changes):
                x, wide = self._span(start, end, 1)
                at = f'data-t="{_f(start)}" data-e="{_f(end)}"'
                look = "unknown" if position is None else f"p{[*switch.positions, position].index(position) % 3}"
                body.append(
                    f'<rect class="at {look}" x="{_px(x)}" y="{y + 14}" width="{_px(wide)}" height="14" {at} '
                    'data-least="1"/>'
                )
                said = position or "unknown"
                hidden = "" if wide > 6.5 * len(said) + 8 else ' visibility="hidden"'
                body.append(_text(x + 4, y + 25, said, "position", f'{at} data-switch="{escape(title)}"{hidden}'))
        yield _svg("switches", height, body, "Switches over time")

    def _stretches(self, changes: Iterable[AtPosition]) -> list[tuple[float, float, str | None]]:
        """Where there are more than can be drawn, those narrower than half a pixel are joined and told as changing."""
        found = [
            (float(one.start), float(one.start + one.seconds), one.position)
            for one in changes
            if one.segment == self._number
        ]
        if len(found) <= _SLICES:
            return found
        least, joined = (self._last - self._first) / WIDTH / 2, list[tuple[float, float, str | None]]()
        for start, end, position in found:
            if joined and joined[-1][1] - joined[-1][0] < least:
                joined[-1] = joined[-1][0], end, "changing"
            else:
                joined.append((start, end, position))
        return joined

    # ---- gauges

    def _gauge(self, quantity: m.Quantity, of: Sequence[Series]) -> str:
        limits = self._limits(quantity)
        low, high = _scale(quantity, of, [number for number, _, _ in limits])
        coloured = [
            one for one in self._result.colours if one.quantity == quantity.name and one.segment == self._number
        ]
        broken = [
            one
            for one in self._result.violations
            if one.segment == self._number and self._limit(one.limit).quantity == quantity.name
        ]
        bottom = _HEAD + _PLOT

        def y(value: float) -> float:
            return bottom - (value - low) / (high - low) * _PLOT

        body = [_text(LEFT, 12, _title(quantity), "name"), f'<text class="read" x="{WIDTH - RIGHT}" y="12"></text>']
        body.append('<g class="slices">')
        for start, end, word in _joined(_worst(coloured), self._last - self._first):
            x, wide = self._span(start, end, 2 if word == "red" else 0)
            body.append(
                f'<rect class="slice" fill="url(#c-{word or "none"})" x="{_px(x)}" y="{_HEAD}" width="{_px(wide)}" '
                f'height="{_PLOT}" data-t="{_f(start)}" data-e="{_f(end)}"'
                + (' data-least="2"/>' if word == "red" else "/>")
            )
        body.append("</g>")
        for tick in _ticks(low, high):
            body.append(_text(LEFT - 5, y(tick) + 3.5, _number(tick), "tick"))
            body.append(_line(LEFT, y(tick), "w grid"))
        body.append(self._marks(bottom, named=False))
        shown = [(number, words, always) for number, words, always in limits if low <= number <= high]
        labels = spread([y(number) - _HEAD for number, _, _ in reversed(shown)], [11.0] * len(shown), _PLOT)
        for (number, words, always), at in zip(reversed(shown), labels, strict=True):
            # The line leaves room for its name, where that stands on it.
            stands = abs(_HEAD + at - y(number)) < 2
            begin = LEFT + 9 + 5.4 * len(words) if stands else LEFT
            body.append(_line(begin, y(number), "w limit" + ("" if always else " case")))
            body.append(_text(LEFT + 6, _HEAD + at + 3.5, words, "limitname"))
        if len(shown) < len(limits):
            beyond = ", ".join(words for number, words, _ in limits if not low <= number <= high)
            # On its own line, for it would hide the trace.
            body.append(_text(LEFT, bottom + _STRIP + 13, f"not in the picture: {beyond}", "beyond"))
        body += self._traces(of, y)
        body.append(self._broken_strip(broken, bottom + 1))
        if not any(series.times for series in of):
            body.append(_text(LEFT + 6, _HEAD + 46, "nothing was read", "name"))
        more = f'data-low="{low!r}" data-high="{high!r}" data-top="{_HEAD}" data-plot="{_PLOT}"'
        title = f"{_title(quantity)} over time"
        return _svg(
            "gauge",
            bottom + _STRIP + (6 if len(shown) == len(limits) else 20),
            body,
            title,
            f'{more} data-unit="{escape(quantity.unit.name)}"',
        )

    def _limit(self, label: str) -> m.Range:
        return next(declared for declared in self._ruleset.ranges if declared.label == label)

    def _limits(self, quantity: m.Quantity) -> list[tuple[float, str, bool]]:
        """The numbers of limits and of ranges to avoid, rising: with what is to be said of each, and whether it always
        holds. A limit that moves with another reading has no line."""
        found: dict[tuple[Fraction, bool], list[str]] = {}
        for declared in self._ruleset.ranges:
            if declared.forbids and declared.quantity == quantity.name:
                for number in declared.region.numbers:
                    name = m.variable(declared.label, declared.index)
                    found.setdefault((number, declared.when is None), []).append(name)
        return [
            (float(number), f"{_shortly(list(dict.fromkeys(names)))} {number_words(number)}", always)
            for (number, always), names in sorted(found.items())
        ]

    def _traces(self, of: Sequence[Series], y: Callable[[float], float]) -> Iterable[str]:
        for index, series in enumerate(of):
            path = "".join(
                "M" + "L".join(f"{_px(self._x(time))} {_px(y(value))}" for time, value in piece)
                for piece in _pieces(series)
            )
            look = f'data-s="{self._places[id(series)]}" d="{path}"'
            yield f'<path class="halo" {look}/><path class="trace" {look} stroke-dasharray="{_DASHES[index % 6]}"/>'
        if len(of) < 2:
            return
        ends = sorted((y(_at(series, self._last)), place) for place, series in enumerate(of) if series.times)
        places = spread([at for at, _ in ends], [11.0] * len(ends), _HEAD + _PLOT + 8)
        for (at, place), stands in zip(ends, places, strict=True):
            series = of[place]
            said = m.ReadingId(series.reading).element
            key = f'data-s="{self._places[id(series)]}"'
            right = WIDTH - RIGHT
            yield f'<path class="lead" {key} d="M{right} {_px(at)}L{right + 10} {_px(stands)}"/>'
            yield _text(right + 13, stands + 4, str(said), "end", key)
            dashes = _DASHES[place % 6]
            yield (f'<path class="sample" {key} d="M{right + 28} {_px(stands)}h40" stroke-dasharray="{dashes}"/>')
            # The number of an element on its line, three times, each element's at places of its own.
            for part in range(3):
                share = (part + (place + 0.5) / len(of)) / 3
                time = self._first + share * (self._last - self._first)
                at_x, at_y = self._x(time), y(_at(series, time))
                yield _text(at_x, at_y + 3.5, str(said), "on", f'{key} data-share="{share:.4f}"')

    def _broken_strip(self, broken: Sequence[Violation], top: float) -> str:
        """Where a limit was broken, below the trace."""
        found = []
        for one in broken:
            x, wide = self._span(float(one.start), float(one.start + one.seconds), 3)
            name = m.variable(one.limit, one.element)
            bar = (
                f'<rect class="broken" x="{_px(x)}" y="{_px(top)}" width="{_px(wide)}" height="{_STRIP}" '
                f'data-t="{_s(one.start)}" data-e="{_s(one.start + one.seconds)}" data-least="3"/>'
            )
            title = f"{name} broken at {self._times.at(one.start)}"
            found.append(self._linked("b", "l", self._numbers.get(id(one)), bar, title))
        return "".join(found)

    # ---- the axis of time

    def _axis(self) -> str:
        body = [_line(LEFT, 0.5, "w base"), '<g class="times">']
        for time in time_ticks(self._first, self._last, WIDTH - LEFT - RIGHT):
            x = _px(self._x(time))
            body.append(f'<line class="grid" x1="{x}" x2="{x}" y1="0" y2="5"/>')
            for row, said in enumerate(self._times.labels(Fraction(time))):
                body.append(f'<text class="time" x="{x}" y="{16 + 12 * row}">{said}</text>')
        return _svg("axis", _AXIS, [*body, "</g>"], "Time")

    # ---- for the script

    def _data(self) -> str:
        series = []
        for one in self._readings:
            rows: dict[str, object] = {"name": one.reading, "times": [_round(time) for time in one.times]}
            rows["low"] = [_round(value) for value in one.lows]
            if one.lows != one.highs:
                rows["high"] = [_round(value) for value in one.highs]
            rows["broken"] = list(one.broken)
            series.append(rows)
        zero = self._times.zero_of_day
        data = {
            "first": self._first,
            "last": self._last,
            "zero": None if zero is None else float(zero),
            "series": series,
        }
        # No text in it can end the script that it stands in.
        return json.dumps(data, separators=(",", ":")).replace("<", "\\u003c")

    # ---- places

    def _x(self, time: float) -> float:
        return LEFT + (time - self._first) / (self._last - self._first) * (WIDTH - LEFT - RIGHT)

    def _span(self, start: float, end: float, least: float) -> tuple[float, float]:
        """Where something stands, at least so many pixels wide, and not over the edge."""
        x = self._x(start)
        wide = max(self._x(end) - x, least)
        return min(x, WIDTH - RIGHT - wide), wide


STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400)
"""Seconds from one number on the axis of time to the next."""


def time_ticks(first: float, last: float, wide: float) -> list[int]:
    """The whole seconds that are written under a picture so many pixels wide."""
    step = next((step for step in STEPS if (last - first) / step * 76 <= wide), STEPS[-1])
    return list(range(math.ceil(first / step) * step, math.floor(last) + 1, step))


# ---- small parts


def _svg(kind: str, height: float, body: Iterable[str], title: str, more: str = "") -> str:
    return (
        f'<svg class="{kind}" viewBox="0 0 {WIDTH} {_px(height)}" data-height="{_px(height)}" role="img" '
        f'aria-label="{escape(title)}" {more}>' + "".join(body) + "</svg>"
    )


def _text(x: float, y: float, text: str, kind: str, more: str = "") -> str:
    return f'<text class="{kind}" x="{_px(x)}" y="{_px(y)}" {more}>{escape(text)}</text>'


def _line(x: float, y: float, kind: str) -> str:
    return f'<line class="{kind}" x1="{_px(x)}" x2="{WIDTH - RIGHT}" y1="{_px(y)}" y2="{_px(y)}"/>'


def _count(number: int) -> str:
    return f'<text class="count" x="8" y="-9">{f"{number}×" if number > 1 else ""}</text>'


def _px(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _f(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _s(value: Fraction) -> str:
    return _f(float(value))


def _round(value: float) -> float | int:
    """Six digits, which no eye can tell from all."""
    rounded = float(f"{value:.6g}") if abs(value) < 1e6 else round(value, 3)
    return int(rounded) if rounded == int(rounded) else rounded


def _shortly(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


def _number(value: float) -> str:
    return f"{value:g}"


def _title(quantity: m.Quantity) -> str:
    unit = f" ({quantity.unit.name})" if quantity.unit.name else ""
    return (quantity.title or quantity.name) + unit


def _scale(quantity: m.Quantity, of: Sequence[Series], limits: Sequence[float]) -> tuple[float, float]:
    """From where to where: all that was read, and each limit that does not press it flat."""
    lows = [value for series in of for value in series.lows]
    highs = [value for series in of for value in series.highs]
    low, high = (min(lows), max(highs)) if lows else (float(quantity.low), float(quantity.high))
    if low == high:
        spare = float(quantity.high - quantity.low) / 20
        low, high = low - spare, high + spare
    span = high - low
    near = [number for number in limits if low - 0.75 * span <= number <= high + 0.75 * span]
    low, high = min([low, *near]), max([high, *near])
    room = (high - low) * 0.07
    return low - room, high + room


def _ticks(low: float, high: float) -> list[float]:
    """Two to five round numbers."""
    rough = (high - low) / 3
    power = 10 ** math.floor(math.log10(rough))
    step = next(power * part for part in (1, 2, 5, 10) if power * part >= rough)
    first = math.ceil(low / step)
    return [round(number * step, 9) for number in range(first, math.floor(high / step) + 1)]


def _pieces(series: Series) -> Iterable[list[tuple[float, float]]]:
    """The points of each stretch without a gap: of each bin its lowest and its highest, what is nearer first."""
    ends = [0, *series.broken, len(series.times)]
    join = max(1, -(-len(series.times) // _POINTS))
    for begin, end in pairwise(ends):
        points: list[tuple[float, float]] = []
        for first in range(begin, end, join):
            last = min(end, first + join)
            low, high = min(series.lows[first:last]), max(series.highs[first:last])
            time = (series.times[first] + series.times[last - 1]) / 2
            pair = [low, high] if low != high else [low]
            if points and abs(points[-1][1] - pair[-1]) < abs(points[-1][1] - pair[0]):
                pair.reverse()
            points += [(time, value) for value in pair]
        if points:
            yield points


def _at(series: Series, time: float) -> float:
    """The reading nearest to a time."""
    nearest = min(range(len(series.times)), key=lambda place: abs(series.times[place] - time), default=None)
    return 0.0 if nearest is None else (series.lows[nearest] + series.highs[nearest]) / 2


def _grave(word: str | None) -> float:
    # A gauge without any colour is a fault and must be seen, unless another element is red.
    return _WORST["yellow"] + 0.5 if word is None else _WORST[word]


def _worst(coloured: Sequence[Coloured]) -> list[tuple[float, float, str | None]]:
    """Over the elements of an array the worst colour at each time; what shows no colour counts for itself alone."""
    events: dict[Fraction, Counter[str | None]] = {}
    for one in coloured:
        events.setdefault(one.start, Counter())[one.colour] += 1
        events.setdefault(one.start + one.seconds, Counter())[one.colour] -= 1
    now: Counter[str | None] = Counter()
    found: list[tuple[float, float, str | None]] = []
    for start, end in pairwise(sorted(events)):
        now.update(events[start])
        words = [word for word, count in now.items() if count > 0]
        if not words:
            continue
        word = max(words, key=_grave)
        if found and found[-1][2] == word and found[-1][1] == float(start):
            found[-1] = (found[-1][0], float(end), word)
        else:
            found.append((float(start), float(end), word))
    return found


def _joined(slices: list[tuple[float, float, str | None]], seconds: float) -> list[tuple[float, float, str | None]]:
    """Where there are more than can be drawn, those narrower than half a pixel with their neighbours: the worst of
    them stands for all."""
    if len(slices) <= _SLICES:
        return slices
    least = seconds / WIDTH / 2
    found: list[tuple[float, float, str | None]] = []
    for start, end, word in slices:
        if found and found[-1][1] - found[-1][0] < least:
            before, _, other = found.pop()
            found.append((before, end, max(word, other, key=_grave)))
        else:
            found.append((start, end, word))
    return found


def limit_words(ruleset: m.RuleSet, declared: m.Range) -> str:
    """What a limit asks, in the words of the language."""
    unit = ruleset.quantities[declared.quantity].unit
    words = f"{m.variable(declared.quantity, declared.index)} {declared.region.in_words(unit)}"
    return words if declared.when is None else f"{words} when {formula_words(ruleset, declared.when)}"
