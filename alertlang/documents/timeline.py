"""A replayed log as a picture: readings with the colours of their gauges behind them, alerts, lamps, marks."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from alertlang.documents.paint import PAINTS, STYLE, saved
from alertlang.model import ruleset as m
from alertlang.replay.series import Series
from alertlang.results.replay import AlertUp, Coloured, ReplayResult, SegmentTimes

_LINES = ("-", (0, (5, 1.5)), (0, (1.5, 1)), (0, (5, 1, 1, 1)), (0, (3, 1, 1, 1, 1, 1)), (0, (8, 1.5)))
# Filled, hatched, edged, and how high of a lane: the height tells levels apart where a bar is too narrow for the rest.
_LEVELS = {
    "warning": ("#111111", None, "#111111", 0.8),
    "caution": ("#ffffff", "////", "#111111", 0.5),
    "advisory": ("#ffffff", None, "#666666", 0.25),
}
_LIGHTS = {
    "flashing": ("#111111", None, "#111111", 0.8),
    "slow flashing": ("#ffffff", "||||", "#111111", 0.5),
    "steady": ("#999999", None, "#111111", 0.25),
}
_WORST = {colour.name.lower(): int(colour) for colour in m.Colour}
_GAUGE, _LANE = 0.95, 0.19
_WIDTH = 10.5
# Of the axes, in points. A bar narrower than this could not be found. Chosen on paper, where all is a third smaller.
_AXES = 72 * (_WIDTH - 1.75 - 0.2)
_LEAST, _RED = 2.6, 1.5
# So many characters of 7 points stand left of the axes.
_ROOM = 36


def draw_timeline(
    ruleset: m.RuleSet, result: ReplayResult, number: int, readings: Sequence[Series], form: str = "svg"
) -> bytes:
    """One segment, its number counted from 1, 27 cm wide. `readings`: its series, elements of an array side by side."""
    segment = result.segments[number - 1]
    gauges: dict[str, list[Series]] = {}
    for series in readings:
        gauges.setdefault(m.ReadingId(series.reading).quantity, []).append(series)
    alerts = [alert for alert in result.alerts if alert.segment == number]
    texts = list(dict.fromkeys((alert.text, alert.level) for alert in alerts))
    texts.sort(key=lambda pair: ("warning", "caution", "advisory").index(pair[1]))
    lamps = list(dict.fromkeys(lit.text for lit in result.lamps if lit.segment == number))
    heights = [_GAUGE] * len(gauges)
    lanes = [max(1, len(texts)) * _LANE, *([len(lamps) * _LANE] if lamps else [])]
    with rc_context(STYLE):
        total = sum(heights) + sum(lanes) + 0.16 * (len(heights) + len(lanes)) + 0.8
        figure = Figure(figsize=(_WIDTH, total))
        top = total - 0.3
        left, width = 1.75 / _WIDTH, (_WIDTH - 1.75 - 0.2) / _WIDTH
        every: list[Axes] = []
        for height in (*heights, *lanes):
            every.append(figure.add_axes((left, (top - height) / total, width, height / total)))
            top -= height + 0.16
        for axes, (name, of) in zip(every, gauges.items(), strict=False):
            _gauge(
                axes,
                ruleset.quantities[name],
                of,
                [c for c in result.colours if c.quantity == name and c.segment == number],
                float(segment.seconds) or 1,
            )
        _alerts(every[len(heights)], texts, alerts, segment)
        if lamps:
            _lamps(every[-1], lamps, result, number, segment)
        for axes in every:
            axes.set_xlim(float(segment.first), float(segment.last) if segment.seconds else float(segment.first) + 1)
            axes.tick_params(axis="x", labelbottom=axes is every[-1], labelsize=7)
            for mark in result.marks:
                if mark.segment == number:
                    axes.axvline(float(mark.time), color="#1f3d99", linewidth=0.9, linestyle=(0, (1, 1.5)), zorder=5)
        for index, mark in enumerate(one for one in result.marks if one.segment == number):
            every[0].annotate(
                f"mark {index + 1}",
                (float(mark.time), 1),
                xycoords=("data", "axes fraction"),
                xytext=(0, 3),
                textcoords="offset points",
                fontsize=6.5,
                color="#1f3d99",
                ha="center",
            )
        every[-1].set_xlabel("seconds", fontsize=7.5)
        return saved(figure, form, dpi=120)


def _gauge(
    axes: Axes, quantity: m.Quantity, of: Sequence[Series], coloured: Sequence[Coloured], seconds: float
) -> None:
    lows = [value for series in of for value in series.lows]
    highs = [value for series in of for value in series.highs]
    low, high = (min(lows), max(highs)) if lows else (float(quantity.low), float(quantity.high))
    room = (high - low or float(quantity.high - quantity.low)) * 0.08
    axes.set_ylim(low - room, high + room)
    for start, end, word in _worst(coloured):
        paint = PAINTS[None if word is None else m.Colour[word.upper()]]
        # However short, red is wide enough to be seen, over what is beside it.
        red = word == "red"
        axes.add_patch(
            Rectangle(
                (start, low - room),
                max(end - start, _RED / _AXES * seconds if red else 0),
                high - low + 2 * room,
                facecolor=paint.fill,
                edgecolor="none",
                hatch=paint.hatch,
                hatchcolor=paint.line,
                alpha=0.8,
                linewidth=0,
                zorder=2 if red else 1,
            )
        )
    for index, series in enumerate(of):
        for first, last in _pieces(series):
            times, under, over = series.times[first:last], series.lows[first:last], series.highs[first:last]
            middle = [(a + b) / 2 for a, b in zip(under, over, strict=True)]
            axes.fill_between(times, under, over, color="#000000", alpha=0.35, linewidth=0, zorder=3)
            axes.plot(times, middle, color="#000000", linewidth=0.9, linestyle=_LINES[index % len(_LINES)], zorder=4)
    unit = f" ({quantity.unit.name})" if quantity.unit.name else ""
    title = quantity.title or quantity.name
    axes.set_ylabel(textwrap.fill(title + unit, 20), rotation=0, ha="right", va="center", fontsize=7.5)
    axes.tick_params(axis="y", labelsize=6.5)
    if not lows:
        axes.text(0.5, 0.5, "nothing was read", transform=axes.transAxes, ha="center", va="center", fontsize=8)


def _pieces(series: Series) -> list[tuple[int, int]]:
    ends = [0, *series.broken, len(series.times)]
    return [(first, last) for first, last in pairwise(ends) if last > first]


def _worst(coloured: Sequence[Coloured]) -> list[tuple[float, float, str | None]]:
    """Over the elements of an array the worst colour at each time; what shows no colour counts for itself alone."""
    times = sorted({one.start for one in coloured} | {one.start + one.seconds for one in coloured})
    found: list[tuple[float, float, str | None]] = []
    for start, end in pairwise(times):
        words = [one.colour for one in coloured if one.start <= start < one.start + one.seconds]
        if not words:
            continue
        # A gauge without any colour is a fault and must be seen, unless another element is red.
        word = max(words, key=lambda w: _WORST["yellow"] + 0.5 if w is None else _WORST[w])
        if found and found[-1][2] == word and found[-1][1] == float(start):
            found[-1] = (found[-1][0], float(end), word)
        else:
            found.append((float(start), float(end), word))
    return found


def _alerts(axes: Axes, texts: Sequence[tuple[str, str]], alerts: Sequence[AlertUp], segment: SegmentTimes) -> None:
    names = []
    for row, (text, level) in enumerate(texts):
        those = [alert for alert in alerts if (alert.text, alert.level) == (text, level)]
        for alert in those:
            _bar(axes, row, (alert.start, alert.seconds), segment, _LEVELS[level])
        # Many short ones close together look like one.
        names.append(f"{text}, {level}" + (f", {len(those)} times" if len(those) > 1 else ""))
    _lanes(axes, names or ["no alert"])


def _lamps(axes: Axes, lamps: Sequence[str], result: ReplayResult, number: int, segment: SegmentTimes) -> None:
    for row, text in enumerate(lamps):
        for lit in result.lamps:
            if lit.text == text and lit.segment == number and lit.light in _LIGHTS:
                _bar(axes, row, (lit.start, lit.seconds), segment, _LIGHTS[lit.light])
    _lanes(axes, lamps)


def _bar(
    axes: Axes,
    row: int,
    time: tuple[Fraction, Fraction],
    segment: SegmentTimes,
    look: tuple[str, str | None, str, float],
) -> None:
    """What was there from a start for so many seconds; wide enough to be seen, however short. All stand on the bottom
    of their lane."""
    face, hatch, edge, high = look
    start, length = float(time[0]), float(time[1])
    points = length / (float(segment.seconds) or 1) * _AXES
    if points < _LEAST:
        length = _LEAST / _AXES * (float(segment.seconds) or 1)
        # Not over the end of the picture, which would cut it off.
        start = min(start, float(segment.first) + (float(segment.seconds) or 1) - length)
    # Rows count downwards.
    axes.add_patch(
        Rectangle((start, row + 0.9 - high), length, high, facecolor=face, edgecolor=edge, hatch=hatch, linewidth=0.6)
    )


def _lanes(axes: Axes, names: Sequence[str]) -> None:
    axes.set_ylim(len(names), 0)
    size = 7 * min(1, _ROOM / max(len(name) for name in names))
    axes.set_yticks([row + 0.5 for row in range(len(names))], list(names), fontsize=size)
    for row in range(1, len(names)):
        axes.axhline(row, color="#dddddd", linewidth=0.5, zorder=0)
    axes.tick_params(axis="y", length=0)
