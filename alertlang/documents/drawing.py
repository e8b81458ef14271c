"""Strips and operating maps as SVG, PDF or PNG. Every colour has a hatch of its own, so that it can be told in grey."""

from __future__ import annotations

import io
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Patch, PathPatch, Rectangle
from matplotlib.path import Path as Outline

from alertlang.documents.operating_map import Axis, OperatingMap
from alertlang.documents.strip import Gauge, Stretch, Strip
from alertlang.model import ruleset as m
from alertlang.units.number import say_value, show_number

# matplotlib tells of fonts it looks for in vain; the one it ships is there.
logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)


@dataclass(frozen=True, slots=True)
class Paint:
    """How a colour is drawn: filled, hatched (with what), and which letter stands for it."""

    fill: str
    hatch: str
    line: str
    letter: str
    name: str


# Told apart by people who see no red or no green, too: by lightness, and by the hatch.
PAINTS: dict[m.Colour | None, Paint] = {
    m.Colour.RED: Paint("#e8453c", "xxx", "#7a0f0a", "R", "red"),
    m.Colour.YELLOW: Paint("#ffd84d", "...", "#8a6a00", "Y", "yellow"),
    m.Colour.GREEN: Paint("#8fd19e", "", "#2f7d46", "G", "green"),
    m.Colour.WHITE: Paint("#ffffff", "", "#555555", "W", "white"),
    m.Colour.BLUE: Paint("#7fb2e5", "\\\\\\", "#1f5d99", "B", "blue"),
    m.Colour.UNMARKED: Paint("#eeeeee", "", "#888888", "-", "unmarked"),
    None: Paint("#ffffff", "++", "#bbbbbb", "?", "no colour"),
}

# The same picture gives the same bytes: no date, no random names; text stays text, so that it can be found and read.
STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 8,
    "hatch.linewidth": 0.5,
    "svg.fonttype": "none",
    "svg.hashsalt": "alertlang",
    "pdf.fonttype": 42,
    "axes.linewidth": 0.8,
}
META = {
    "svg": {"Date": None, "Creator": "alertlang"},
    "pdf": {"CreationDate": None, "Creator": "alertlang", "Producer": None},
    "png": {"Software": None},
}
FORMATS = tuple(META)


def _style(outlines: bool) -> dict[Any, Any]:
    return {**STYLE, "svg.fonttype": "path"} if outlines else STYLE


def _saved(figure: Figure, form: str) -> bytes:
    FigureCanvasAgg(figure)
    buffer = io.BytesIO()
    figure.savefig(buffer, format=form, metadata=META[form], dpi=150)
    return buffer.getvalue()


@dataclass(frozen=True, slots=True)
class Mark:
    """A point to show in a map, in the axes' own units."""

    x: Fraction
    y: Fraction
    text: str


def draw_map(
    found: OperatingMap, form: str = "svg", *, title: str = "", marks: Sequence[Mark] = (), outlines: bool = False
) -> bytes:
    """A map, 16 cm wide. `form` is one of FORMATS. `outlines`: letters of an SVG are drawn and need no font."""
    with rc_context(_style(outlines)):
        still = "; ".join(found.shown_still)
        figure = Figure(figsize=(6.3, 4.7), layout="constrained")
        axes = figure.add_subplot()
        for colour, pieces in found.regions:
            axes.add_patch(_patch(colour, pieces))
        for label, edges in found.broken:
            axes.add_collection(
                LineCollection(
                    [[_point(p) for p in edge] for edge in edges],
                    colors="#111111",
                    linewidths=1.6,
                    linestyles=(0, (4, 2)),
                    gid=f"limit-{label}",
                    zorder=4,
                )
            )
        for index, mark in enumerate(marks):
            at = (float(mark.x), float(mark.y))
            axes.plot(*at, marker="X", markersize=9, markerfacecolor="white", markeredgecolor="black", zorder=6)
            axes.annotate(
                mark.text,
                at,
                xytext=(7, 6 + 10 * (index % 3)),
                textcoords="offset points",
                zorder=6,
                bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "black", "linewidth": 0.5},
            )
        _scale(axes, found)
        axes.set_title(title or f"{found.of.label}: what its gauge shows", fontsize=9, loc="left", fontweight="bold")
        legend = [_legend(colour) for colour, _ in reversed(found.regions)]
        if found.broken:
            line = Patch(facecolor="none", edgecolor="#111111", linestyle=(0, (4, 2)), linewidth=1.4)
            line.set_label("edge of a limit")
            legend.append(line)
        figure.legend(handles=legend, loc="outside lower center", ncols=4, frameon=False, fontsize=7)
        if still:
            axes.text(1, 1.01, f"at {still}", transform=axes.transAxes, ha="right", va="bottom", fontsize=6.5)
        return _saved(figure, form)


def _point(point: tuple[Fraction, Fraction]) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _patch(colour: m.Colour | None, pieces: Sequence[Sequence[tuple[Fraction, Fraction]]]) -> PathPatch:
    paint = PAINTS[colour]
    vertices: list[tuple[float, float]] = []
    codes: list[int] = []
    for piece in pieces:
        points = [_point(point) for point in piece]
        vertices += [*points, points[0]]
        codes += [int(Outline.MOVETO), *[int(Outline.LINETO)] * (len(points) - 1), int(Outline.CLOSEPOLY)]
    path = Outline(vertices, codes)
    # The edge has the colour of the fill: no seam shows between two pieces.
    return PathPatch(
        path, facecolor=paint.fill, edgecolor=paint.fill, hatch=paint.hatch, hatchcolor=paint.line, linewidth=0.4
    )


def _legend(colour: m.Colour | None) -> Patch:
    paint = PAINTS[colour]
    return Patch(
        facecolor=paint.fill,
        edgecolor="#444444",
        hatch=paint.hatch,
        hatchcolor=paint.line,
        label=paint.name,
        linewidth=0.6,
    )


def _scale(axes: Axes, found: OperatingMap) -> None:
    """The frame, with the numbers at which something changes besides the round ones."""
    for side, axis in (("x", found.x), ("y", found.y)):
        low, high = axis.quantity.low, axis.quantity.high
        (axes.set_xlim if side == "x" else axes.set_ylim)(float(low), float(high))
        (axes.set_xlabel if side == "x" else axes.set_ylabel)(axis.label)
        numbers = _numbers(found, side)
        kept = _apart(numbers, (high - low) / (14 if side == "x" else 18), (low, high))
        (axes.set_xticks if side == "x" else axes.set_yticks)([float(n) for n in kept], [_short(n) for n in kept])
        axes.tick_params(labelsize=7)
        if side == "x":
            axes.tick_params(axis="x", rotation=45)


def _numbers(found: OperatingMap, side: str) -> list[Fraction]:
    """Where something changes straight across."""
    place = 0 if side == "x" else 1
    numbers: set[Fraction] = set()
    for _, pieces in found.regions:
        for piece in pieces:
            for this, following in zip(piece, (*piece[1:], piece[0]), strict=True):
                if this[place] == following[place]:
                    numbers.add(this[place])
    return sorted(numbers)


def _apart(numbers: Sequence[Fraction], least: Fraction, ends: tuple[Fraction, Fraction]) -> list[Fraction]:
    """Both ends, and those between that leave room for each other."""
    kept = list(ends)
    for number in numbers:
        if all(abs(number - other) >= least for other in kept):
            kept.append(number)
    return sorted(kept)


def _short(value: Fraction) -> str:
    return show_number(value) if (value * 1000).denominator == 1 else f"{float(value):.2f}"


_STRIP_HEIGHT = 0.52


def draw_gauge(found: Gauge, form: str = "svg", *, title: str = "", outlines: bool = False) -> bytes:
    """The strips of a gauge one under the other, 16 cm wide. `form` and `outlines` as in `draw_map`."""
    with rc_context(_style(outlines)):
        count = len(found.strips)
        words = [_context_words(strip) for strip in found.strips]
        above = [1 + text.count("\n") for text in words]
        height = 0.45 + sum(_STRIP_HEIGHT + 0.15 * (lines + 1) for lines in above)
        figure = Figure(figsize=(6.3, height))
        top = height - 0.3
        figure.text(0.02, 1 - 0.2 / height, title or found.axis.label, fontsize=9, fontweight="bold", va="center")
        for strip, text, lines in zip(found.strips, words, above, strict=True):
            top -= 0.15 * lines
            figure.text(0.02, (top + 0.04) / height, text, fontsize=7.5, va="bottom", linespacing=1.25)
            axes = figure.add_axes((0.02, (top - 0.24) / height, 0.96, 0.24 / height))
            _draw_strip(axes, found.axis, strip)
            top -= _STRIP_HEIGHT + 0.15
        assert count == len(above)
        return _saved(figure, form)


def _context_words(strip: Strip) -> str:
    import textwrap

    if not strip.contexts:
        return "always"
    text = "when " + "; or when ".join(strip.contexts)
    if strip.moves:
        text += " (an edge moves; this is one case)"
    return "\n".join(textwrap.wrap(text, 105))


def _draw_strip(axes: Axes, at: Axis, strip: Strip) -> None:
    low, high = float(at.quantity.low), float(at.quantity.high)
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    span = high - low
    for stretch in strip.stretches:
        paint = PAINTS[stretch.colour]
        start, end = float(stretch.low), float(stretch.high)
        if start == end:
            continue
        axes.add_patch(
            Rectangle(
                (start, 0),
                end - start,
                1,
                facecolor=paint.fill,
                edgecolor="#444444",
                hatch=paint.hatch,
                hatchcolor=paint.line,
                linewidth=0.5,
            )
        )
        if (end - start) / span > 0.035:
            name = paint.name if (end - start) / span > 0.12 else paint.letter
            if stretch.later and (end - start) / span > 0.16:
                name = f"{PAINTS[stretch.first].name}, then {name}"
            axes.text(
                (start + end) / 2,
                0.5,
                name,
                ha="center",
                va="center",
                fontsize=7,
                bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
            )
    _edges(axes, at, strip.stretches)


def _edges(axes: Axes, at: Axis, stretches: Sequence[Stretch]) -> None:
    """The number of every edge, on two rows where they crowd."""
    ends = [at.quantity.low, *(one.low for one in stretches[1:]), at.quantity.high]
    numbers = list(dict.fromkeys(ends))
    span = at.quantity.high - at.quantity.low
    axes.set_xticks([float(n) for n in numbers], ["" for _ in numbers])
    axes.tick_params(axis="x", length=2)
    # Where the last number of each row ends, as a share of the scale.
    rows = [Fraction(-1), Fraction(-1), Fraction(-1)]
    for number in numbers:
        text = _short(number)
        place = (number - at.quantity.low) / span
        half = Fraction(len(text) + 1, 200)
        row = next((i for i, taken in enumerate(rows) if place - half >= taken), len(rows) - 1)
        rows[row] = place + half
        axes.annotate(
            text,
            (float(number), 0),
            xytext=(0, -4 - 7.5 * row),
            textcoords="offset points",
            ha="center" if 0 < place < 1 else ("left" if place == 0 else "right"),
            va="top",
            fontsize=6.5,
            annotation_clip=False,
        )


def caption(found: OperatingMap) -> str:
    """What a reader of a map must know."""
    text = f"The colour of {found.of.name} in a state that goes on"
    return f"{text}, at {'; '.join(found.shown_still)}." if found.shown_still else f"{text}."


def edge_words(stretch: Stretch, quantity: m.Quantity) -> str:
    """A stretch of a scale in the words of the language."""
    low, high = say_value(stretch.low, quantity.unit), say_value(stretch.high, quantity.unit)
    if stretch.low == stretch.high:
        return f"exactly {low}"
    start = "from" if stretch.low_included else "above"
    end = "to" if stretch.high_included else "to below"
    return f"{start} {low} {end} {high}"
