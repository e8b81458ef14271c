"""The strips of a gauge as SVG, PDF or PNG: above what is shown at once, below what it becomes if it stays so."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from alertlang.documents.paint import LETTER, PAINTS, Paint, lead, saved, spread, style
from alertlang.gauges.operating_map import Axis
from alertlang.gauges.strip import Gauge, Strip
from alertlang.units.number import number_words

# In inches: the picture, what is shown at once, each colour to come, a line of text; the share of the strip in it.
_WIDTH, _NOW, _LATER, _LINE, _SHARE = 6.3, 0.24, 0.17, 0.15, 0.96
_POINTS = 72 * _WIDTH * _SHARE
_SIZE, _NUMBER, _PAD = 7, 6.5, 4
# However narrow a stretch is, it is seen. In points.
_LEAST = 2.2


def draw_gauge(found: Gauge, form: str = "svg", *, title: str = "", outlines: bool = False) -> bytes:
    """The strips of a gauge one under the other, 16 cm wide, and below them what a reader must know besides.

    `form` is one of FORMATS. `outlines`: letters of an SVG are drawn and need no font.
    """
    with rc_context(style(outlines)):
        rows = [_Row(found.axis, strip) for strip in found.strips]
        notes = _wrapped(*(f"{note[0].upper()}{note[1:]}." for note in found.notes))
        height = 0.36 + _LINE * len(notes) + sum(row.height for row in rows)
        figure = Figure(figsize=(_WIDTH, height))
        figure.text(0.02, 1 - 0.2 / height, title or found.axis.label, fontsize=9, fontweight="bold", va="center")
        top = height - 0.32
        for row in rows:
            row.draw(figure, top, height)
            top -= row.height
        _text(figure, notes, 0.08, height, fontstyle="italic")
        return saved(figure, form)


def parts(found: Gauge, most: float) -> Iterator[Gauge]:
    """The gauge in as many pictures as are needed for none to be higher than so many inches, notes aside."""
    part: list[Strip] = []
    height = 0.0
    for strip in found.strips:
        needs = _Row(found.axis, strip).height
        if part and height + needs > most:
            yield replace(found, strips=tuple(part))
            part, height = [], 0.0
        part.append(strip)
        height += needs
    yield replace(found, strips=tuple(part))


class _Row:
    """A strip with its heading, its numbers, and what it cannot say by itself below. `height` in inches."""

    def __init__(self, at: Axis, strip: Strip) -> None:
        self._at = at
        self._strip = strip
        self._head = _wrapped(strip.title, strip.one_case and f"({strip.one_case})")
        self._tail = _wrapped(*_in_words(at, strip))
        self._bar = _NOW + _LATER * max(len(stretch.course.later) for stretch in strip.stretches)
        self._numbers = _Numbers(at, strip)
        self.height = _LINE * (len(self._head) + len(self._tail)) + self._bar + self._numbers.height + 0.16

    def draw(self, figure: Figure, top: float, of: float) -> None:
        """From its upper edge down, in a figure `of` that height."""
        top -= _LINE * len(self._head)
        _text(figure, self._head, top + 0.04, of)
        axes = figure.add_axes((0.02, (top - self._bar) / of, _SHARE, self._bar / of))
        _draw_strip(axes, self._at, self._strip, self._bar)
        self._numbers.draw(axes)
        top -= self._bar + self._numbers.height + _LINE * len(self._tail)
        _text(figure, self._tail, top + 0.03, of)


def _wrapped(*texts: str) -> list[str]:
    return [line for text in texts for line in textwrap.wrap(text, 105)]


def _text(figure: Figure, lines: Sequence[str], bottom: float, height: float, fontstyle: str = "normal") -> None:
    if lines:
        words = "\n".join(lines)
        figure.text(0.02, bottom / height, words, fontsize=7.5, va="bottom", linespacing=1.25, fontstyle=fontstyle)


def _in_words(at: Axis, strip: Strip) -> list[str]:
    """What the picture cannot say by itself: what changes with time, and what has no room for a letter."""
    span = at.quantity.high - at.quantity.low
    return [
        f"{stretch.where(at.quantity.unit)}: {stretch.course.words}"
        for stretch in strip.seen
        if stretch.course.later or float((stretch.high - stretch.low) / span) * _POINTS <= LETTER * _SIZE + _PAD
    ]


def _draw_strip(axes: Axes, at: Axis, strip: Strip, bar: float) -> None:
    low, span = at.quantity.low, at.quantity.high - at.quantity.low
    axes.set_xlim(0, _POINTS)
    axes.set_ylim(0, bar)
    axes.set_xticks([])
    axes.set_yticks([])
    for stretch in strip.seen:
        start, end = (float((edge - low) / span) * _POINTS for edge in (stretch.low, stretch.high))
        if end - start < _LEAST:
            start = min(max((start + end - _LEAST) / 2, 0), _POINTS - _LEAST)
            end = start + _LEAST
        later = stretch.course.later
        # The colour now, from the top down to where the colours to come begin.
        bottom = bar - _NOW if later else 0
        _part(axes, (start, end, bottom, bar), PAINTS[stretch.course.now], PAINTS[stretch.course.now].name, now=True)
        for index, turn in enumerate(later):
            share = bottom / len(later)
            upper = bottom - index * share
            paint = PAINTS[turn.colour]
            _part(axes, (start, end, upper - share, upper), paint, f"{paint.name} {turn.timer.words}", now=False)


def _part(axes: Axes, box: tuple[float, float, float, float], paint: Paint, words: str, *, now: bool) -> None:
    """One colour of a stretch, and its name as far as there is room."""
    start, end, bottom, top = box
    axes.add_patch(
        Rectangle(
            (start, bottom),
            end - start,
            top - bottom,
            facecolor=paint.fill if now else paint.pale,
            edgecolor="#444444",
            hatch=paint.hatch,
            hatchcolor=paint.line,
            linewidth=0.5,
            linestyle="-" if now else (0, (2, 1.5)),
            zorder=2 if end - start <= _LEAST else 1,
        )
    )
    for said in (words, paint.name, paint.letter):
        if len(said) * LETTER * _SIZE + _PAD < end - start:
            axes.text(
                (start + end) / 2,
                (bottom + top) / 2,
                said,
                ha="center",
                va="center_baseline",
                fontsize=_SIZE,
                fontstyle="normal" if now else "italic",
                bbox={"boxstyle": "round,pad=0.12", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
                zorder=3,
            )
            return


class _Numbers:
    """The number of every edge below a strip: side by side, upright where they would not fit else."""

    def __init__(self, at: Axis, strip: Strip) -> None:
        low, span = at.quantity.low, at.quantity.high - at.quantity.low
        edges = strip.edges
        self._texts = [number_words(edge) for edge in edges]
        self._places = [float((edge - low) / span) * _POINTS for edge in edges]
        rooms = [len(text) * LETTER * _NUMBER + 5 for text in self._texts]
        self._upright = sum(rooms) > _POINTS
        if self._upright:
            rooms = [_NUMBER * 1.15] * len(edges)
        self._size = min(_NUMBER, _POINTS / len(edges) / 1.15) if self._upright else _NUMBER
        self._spread = spread(self._places, rooms, _POINTS)
        self._lead = 4 if self._spread == self._places else 9
        tall = max(map(len, self._texts)) * LETTER * _NUMBER if self._upright else _NUMBER
        # In inches.
        self.height = (self._lead + tall + 5) / 72

    def draw(self, axes: Axes) -> None:
        for text, place, stands in zip(self._texts, self._places, self._spread, strict=True):
            axes.annotate(
                text,
                (place, 0),
                xytext=(stands - place, -self._lead),
                textcoords="offset points",
                ha="center",
                va="top",
                rotation=90 if self._upright else 0,
                fontsize=self._size,
                annotation_clip=False,
                arrowprops=lead((0.5, 1)),
            )
