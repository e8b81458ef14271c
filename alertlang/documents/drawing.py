"""Operating maps as SVG, PDF or PNG: each region in its colour at once, striped with what it becomes."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from matplotlib import rc_context
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.legend_handler import HandlerBase
from matplotlib.patches import Patch, PathPatch, Polygon, Rectangle
from matplotlib.path import Path as Outline
from matplotlib.transforms import Transform

from alertlang.checks.run import Options, run
from alertlang.documents.paint import LETTER, PAINTS, lead, saved, spread, style
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.gauges.course import Course
from alertlang.gauges.operating_map import OperatingMap, numbers
from alertlang.gauges.strip import TIMES
from alertlang.model import ruleset as m
from alertlang.units.number import number_words
from alertlang.units.unit import convert

# In inches. Across: the picture; up: the least of the plot.
_WIDTH, _RIGHT, _PLOT = 6.3, 0.15, 3.3
_SIZE, _LEGEND = 7, 7
# From the frame to the numbers, in points.
_LEAD = 10
# The stripes of what is to come: how far apart, how wide, and how far each leans, in shares of the width of the plot.
_PITCH, _STRIPE, _LEAN = 0.045, 0.018, 0.12
# Of the height of the frame, as the words of a mark are drawn: a line, a letter.
_MARK_HIGH, _MARK_LETTER = 0.045, 0.0125


@dataclass(frozen=True, slots=True)
class MapMark:
    """A point to show in a map, in the axes' own units."""

    x: Fraction
    y: Fraction
    text: str


def marks(ruleset: m.RuleSet, found: OperatingMap, findings: Iterable[Finding] | None = None) -> tuple[MapMark, ...]:
    """The examples of findings that give both readings of a map and are about its gauge.

    Without `findings` the rule set is checked.
    """
    if findings is None:
        findings = run(ruleset, Options(None)).findings
    return tuple(
        MapMark(at[0], at[1], finding.code.code)
        for finding in findings
        if finding.accepted is None
        and finding.quantity == found.of.quantity.name
        and (at := _place_of(finding, found)) is not None
    )


def _place_of(finding: Finding, found: OperatingMap) -> tuple[Fraction, Fraction] | None:
    witness = finding.witness or {}
    across, up = witness.get(found.x.name), witness.get(found.y.name)
    if not isinstance(across, WitnessReading) or not isinstance(up, WitnessReading):
        return None
    return (
        convert(across.value, across.unit, found.x.quantity.unit),
        convert(up.value, up.unit, found.y.quantity.unit),
    )


def draw_map(
    found: OperatingMap, form: str = "svg", *, title: str = "", marks: Sequence[MapMark] = (), outlines: bool = False
) -> bytes:
    """A map, 16 cm wide. `form` is one of FORMATS. `outlines`: letters of an SVG are drawn and need no font."""
    with rc_context(style(outlines)):
        still = "; ".join(found.shown_still)
        below = textwrap.wrap(f"at {still}", 105) if still else []
        heading = textwrap.wrap(title or f"{found.of.label}: what its gauge shows", 68)
        x, y = _FrameSide(found, "x"), _FrameSide(found, "y")
        legend = _legend(found)
        longest = max(len(str(patch.get_label())) for patch in legend)
        columns = max(1, min(4, int(_WIDTH * 72 / (30 + LETTER * _LEGEND * longest))))
        foot = 0.2 * -(-len(legend) // columns) + 0.08
        left, bottom = y.outside, x.outside + foot
        top = 0.13 * len(below) + 0.16 * len(heading) + 0.18
        plot = max(_PLOT, y.needs)
        height = bottom + plot + top
        figure = Figure(figsize=(_WIDTH, height))
        axes = figure.add_axes((left / _WIDTH, bottom / height, (_WIDTH - left - _RIGHT) / _WIDTH, plot / height))
        for shown, pieces in found.regions:
            _draw_region(axes, shown, pieces)
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
        x.draw(axes, _WIDTH - left - _RIGHT)
        y.draw(axes, plot)
        figure.text(0.02, (height - 0.08) / height, "\n".join(heading), fontsize=9, fontweight="bold", va="top")
        if below:
            at = (bottom + plot + 0.08) / height
            figure.text(0.02, at, "\n".join(below), ha="left", va="bottom", fontsize=6.5)
        figure.legend(
            handles=legend,
            handler_map={Patch: _Swatch()},
            loc="lower center",
            ncols=columns,
            frameon=False,
            fontsize=_LEGEND,
            handlelength=2.6,
            handleheight=1.1,
            borderpad=0.1,
        )
        return saved(figure, form)


def _draw_marks(axes: Axes, found: OperatingMap, marks: Sequence[MapMark]) -> None:
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


def places(points: Sequence[tuple[float, float]], texts: Sequence[str]) -> Iterator[tuple[float, float]]:
    """The left lower corner of the words of each mark. All in shares of the frame; `points` are the marks.

    Words stand beside their mark, else above or below as near as there is room. Where there is none at all they stand
    over others: a mark without its words would tell nothing.
    """
    taken: list[tuple[float, float, float]] = [(x - 0.012, y - _MARK_HIGH / 2, 0.024) for x, y in points]
    for (x, y), text in zip(points, texts, strict=True):
        width = _MARK_LETTER * len(text) + 0.015
        found = next((pair for pair in _tried(x, y, width) if _is_free(pair, width, taken)), None)
        place = found or (min(max(x, 0.0), 1 - width), min(max(y, 0.0), 1 - _MARK_HIGH))
        taken.append((*place, width))
        yield place


def _tried(x: float, y: float, width: float) -> Iterator[tuple[float, float]]:
    for step in range(20):
        for up in (step, -step) if step else (0,):
            for left in (x + 0.016, x - 0.016 - width):
                at = y - _MARK_HIGH / 2 + up * _MARK_HIGH * 0.6
                if left >= 0.002 and left + width <= 0.998 and at >= 0.002 and at + _MARK_HIGH <= 0.998:
                    yield left, at


def _is_free(place: tuple[float, float], width: float, taken: Sequence[tuple[float, float, float]]) -> bool:
    left, low = place
    return all(
        left + width <= other or other + wide <= left or low + _MARK_HIGH <= below or below + _MARK_HIGH <= low
        for other, below, wide in taken
    )


def _point(point: tuple[Fraction, Fraction]) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _draw_region(axes: Axes, shown: Course, pieces: Sequence[Sequence[tuple[Fraction, Fraction]]]) -> None:
    vertices: list[tuple[float, float]] = []
    codes: list[int] = []
    for piece in pieces:
        points = [_point(point) for point in piece]
        vertices += [*points, points[0]]
        codes += [int(Outline.MOVETO), *[int(Outline.LINETO)] * (len(points) - 1), int(Outline.CLOSEPOLY)]
    path = Outline(vertices, codes)
    paint = PAINTS[shown.now]
    # The edge has the colour of the fill: no seam shows between two pieces.
    look: dict[str, Any] = {"facecolor": paint.fill, "edgecolor": paint.fill, "linewidth": 0.4}
    axes.add_patch(PathPatch(path, hatch=paint.hatch, hatchcolor=paint.line, **look))
    for stripe in _stripes(shown, _PITCH, _STRIPE, _LEAN):
        stripe.set_transform(axes.transAxes)
        axes.add_patch(stripe)
        stripe.set_clip_path(path, axes.transData)


def _stripes(shown: Course, pitch: float, width: float, lean: float) -> Iterator[Polygon]:
    """Slanting stripes over a square of one by one in the colours to come, one after the other."""
    for index in range(int((1 + lean) / pitch) + 1 if shown.later else 0):
        paint = PAINTS[shown.later[index % len(shown.later)].colour]
        start = index * pitch - lean
        corners = [(start, 0.0), (start + width, 0.0), (start + width + lean, 1.0), (start + lean, 1.0)]
        yield Polygon(
            corners,
            facecolor=paint.fill,
            edgecolor=paint.line,
            hatch=paint.hatch,
            hatchcolor=paint.line,
            linewidth=0.4,
            zorder=1.5,
        )


class _Key(Patch):
    """What a colour, now and later, looks like in the legend."""

    def __init__(self, shown: Course) -> None:
        super().__init__(label=shown.words)
        self.shown = shown


class _Swatch(HandlerBase):
    def create_artists(
        self,
        legend: Legend,
        orig_handle: Artist,
        xdescent: float,
        ydescent: float,
        width: float,
        height: float,
        fontsize: float,
        trans: Transform,
    ) -> list[Artist]:
        left, low = -xdescent, -ydescent

        def box(start: float, wide: float, fill: str, edge: str, **more: Any) -> Artist:
            return Rectangle(
                (start, low), wide, height, facecolor=fill, edgecolor=edge, linewidth=0.6, transform=trans, **more
            )

        if not isinstance(orig_handle, _Key):
            return [box(left, width, "none", "#111111", linestyle=(0, (4, 2)))]
        now, later = PAINTS[orig_handle.shown.now], orig_handle.shown.later
        found = [box(left, width, now.fill, "none", hatch=now.hatch, hatchcolor=now.line)]
        # As many stripes as there are colours to come, and each twice.
        for index, turn in enumerate(later * 2):
            paint, share = PAINTS[turn.colour], width / (2 * len(later))
            start = left + share * (index + 0.5)
            found.append(box(start, 0.4 * share, paint.fill, paint.line, hatch=paint.hatch, hatchcolor=paint.line))
        return [*found, box(left, width, "none", "#444444")]


def _legend(found: OperatingMap) -> list[Patch]:
    keys: list[Patch] = [_Key(shown) for shown, _ in reversed(found.regions)]
    if found.broken:
        keys.append(Patch(label="edge of a limit"))
    return keys


class _FrameSide:
    """The frame along one side: the name of the reading, and the number of every place at which something changes."""

    def __init__(self, found: OperatingMap, side: str) -> None:
        self._side = side
        axis = found.x if side == "x" else found.y
        self._low, self._high = axis.quantity.low, axis.quantity.high
        self._label = textwrap.fill(axis.label, 75 if side == "x" else 50)
        self._numbers = sorted({self._low, *numbers(found, side), self._high})
        self._texts = [number_words(number) for number in self._numbers]
        self._long = max(map(len, self._texts)) * LETTER * _SIZE
        # In inches: what stands outside the frame, and how long the frame must be for all numbers.
        self.outside = (_LEAD + self._long + 14 + 11 * (self._label.count("\n") + 1)) / 72
        self.needs = len(self._numbers) * _SIZE * 1.15 / 72

    def draw(self, axes: Axes, length: float) -> None:
        across = self._side == "x"
        ends = float(self._low), float(self._high)
        (axes.set_xlim if across else axes.set_ylim)(*ends)
        (axes.set_xticks if across else axes.set_yticks)([])
        pad = _LEAD + self._long + 6
        (axes.set_xlabel if across else axes.set_ylabel)(self._label, labelpad=pad)
        span = self._high - self._low
        points = length * 72
        at = [float((one - self._low) / span) * points for one in self._numbers]
        # The ends of the frame may be passed by half a letter.
        size = min(_SIZE, points / len(at) / 1.15)
        stands = [one - size / 2 for one in spread([p + size / 2 for p in at], [size * 1.15] * len(at), points + size)]
        for number, text, place, where in zip(self._numbers, self._texts, at, stands, strict=True):
            shift = where - place
            axes.annotate(
                text,
                (float(number), 0) if across else (0, float(number)),
                xycoords=("data", "axes fraction") if across else ("axes fraction", "data"),
                xytext=(shift, -_LEAD) if across else (-_LEAD, shift),
                textcoords="offset points",
                ha="center" if across else "right",
                va="top" if across else "center",
                rotation=90 if across else 0,
                fontsize=size,
                annotation_clip=False,
                arrowprops=lead((0.5, 1) if across else (1, 0.5)),
            )


def caption(found: OperatingMap) -> str:
    """What a reader of a map must know."""
    text = f"The colour of {found.of.name}"
    if found.shown_still:
        text += f", at {'; '.join(found.shown_still)}"
    timed = [shown for shown, _ in reversed(found.regions) if shown.later]
    if not timed:
        return f"{text}."
    stripes = "; ".join(shown.words for shown in timed)
    return f"{text}. Striped: at once, and what it becomes if it stays so ({stripes}); {TIMES}."
