"""Strips and operating maps as SVG, PDF or PNG. Every colour has a hatch of its own, so that it can be told in grey."""

from __future__ import annotations

import io
import logging
import textwrap
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

from alertlang.documents.map_numbers import apart, numbers
from alertlang.documents.mark_labels import places
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
        _draw_marks(axes, found, marks)
        _scale(axes, found)
        below = textwrap.wrap(f"at {still}", 105) if still else []
        words = textwrap.fill(title or f"{found.of.label}: what its gauge shows", 68)
        axes.set_title(words, fontsize=9, loc="left", fontweight="bold", pad=4 + 9 * len(below))
        legend = [_legend(colour) for colour, _ in reversed(found.regions)]
        if found.broken:
            line = Patch(facecolor="none", edgecolor="#111111", linestyle=(0, (4, 2)), linewidth=1.4)
            line.set_label("edge of a limit")
            legend.append(line)
        figure.legend(handles=legend, loc="outside lower center", ncols=4, frameon=False, fontsize=7)
        if below:
            axes.text(0, 1.01, "\n".join(below), transform=axes.transAxes, ha="left", va="bottom", fontsize=6.5)
        return _saved(figure, form)


def _draw_marks(axes: Axes, found: OperatingMap, marks: Sequence[Mark]) -> None:
    """Each mark whole, also at the frame, and its words where nothing else stands."""

    def share(value: Fraction, quantity: m.Quantity) -> float:
        return float((value - quantity.low) / (quantity.high - quantity.low))

    points = [(share(mark.x, found.x.quantity), share(mark.y, found.y.quantity)) for mark in marks]
    for mark, place in zip(marks, places(points, [mark.text for mark in marks]), strict=True):
        axes.plot(
            float(mark.x),
            float(mark.y),
            marker="X",
            markersize=9,
            markerfacecolor="white",
            markeredgecolor="black",
            clip_on=False,
            zorder=6,
        )
        axes.text(
            *place,
            mark.text,
            transform=axes.transAxes,
            va="bottom",
            fontsize=7,
            zorder=7,
            bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "black", "linewidth": 0.5},
        )


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
        (axes.set_xlabel if side == "x" else axes.set_ylabel)(textwrap.fill(axis.label, 75 if side == "x" else 50))
        kept = apart(numbers(found, side), (high - low) / (14 if side == "x" else 18), (low, high))
        (axes.set_xticks if side == "x" else axes.set_yticks)([float(n) for n in kept], [_short(n) for n in kept])
        axes.tick_params(labelsize=7)
        if side == "x":
            axes.tick_params(axis="x", rotation=45)


def _short(value: Fraction) -> str:
    return show_number(value) if (value * 1000).denominator == 1 else f"{float(value):.2f}"


_STRIP_HEIGHT = 0.52


def draw_gauge(found: Gauge, form: str = "svg", *, title: str = "", outlines: bool = False) -> bytes:
    """The strips of a gauge one under the other, 16 cm wide, and below them what is not shown. `form` and `outlines` as
    in `draw_map`."""
    with rc_context(_style(outlines)):
        words = [_wrapped(strip.title, strip.one_case and f"({strip.one_case})") for strip in found.strips]
        notes = _wrapped(*(f"{note[0].upper()}{note[1:]}." for note in found.notes))
        height = 0.45 + sum(_STRIP_HEIGHT + 0.15 * (len(lines) + 1) for lines in words) + 0.15 * len(notes)
        figure = Figure(figsize=(6.3, height))
        top = height - 0.3
        figure.text(0.02, 1 - 0.2 / height, title or found.axis.label, fontsize=9, fontweight="bold", va="center")
        for strip, lines in zip(found.strips, words, strict=True):
            top -= 0.15 * len(lines)
            text = "\n".join(lines)
            figure.text(0.02, (top + 0.04) / height, text, fontsize=7.5, va="bottom", linespacing=1.25)
            axes = figure.add_axes((0.02, (top - 0.24) / height, 0.96, 0.24 / height))
            _draw_strip(axes, found.axis, strip)
            top -= _STRIP_HEIGHT + 0.15
        if notes:
            figure.text(
                0.02, 0.08 / height, "\n".join(notes), fontsize=7.5, va="bottom", linespacing=1.25, fontstyle="italic"
            )
        return _saved(figure, form)


def _wrapped(*texts: str) -> list[str]:
    return [line for text in texts for line in textwrap.wrap(text, 105)]


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
