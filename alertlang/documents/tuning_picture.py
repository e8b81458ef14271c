"""What tuning a statement trades: how often its alert comes up, how soon it is there, and what is lost."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from alertlang.documents.paint import STYLE, saved
from alertlang.output.text import counted, tenths
from alertlang.results.tune import Candidate, Tuning
from alertlang.units.number import show_number

_WIDTH = 6.3
# What may be lost, as the rows under a curve call it.
_LOSSES = ("limit broken unseen", "told too late", "marks missed", "new findings")


def draw_tuning(found: Tuning, form: str = "svg") -> bytes:
    """16 cm wide. For each knob alerts per hour over the value, below it the reaction time, and below that how much is
    lost at each value. Of two knobs at once a map: a cell for each pair of values, with the same in words.

    A star: what is now. Filled: nothing is lost; a square: a limit was broken and nothing told of it meanwhile; a ring:
    it is told late, misses a mark or brings a finding. A cross: it never came up, so that there is no reaction time.
    """
    with rc_context(STYLE):
        figure = _map(found) if found.grid else _curves(found)
        return saved(figure, form, dpi=120)


def _title(axes: Axes, found: Tuning) -> None:
    text = f"{found.statement}: {found.level} “{found.alert}”"
    axes.set_title(text, fontsize=9, loc="left", fontweight="bold")


def _notes(found: Tuning) -> list[str]:
    """What the checks find, by the letter under its value."""
    letters = _letters(found)
    notes = [f"{letter}: {words}" for words, letter in letters.items()]
    if not found.judged:
        notes.append("no limit and no mark: nothing tells a wanted alert from a nuisance")
    return notes


def _letters(found: Tuning) -> dict[str, str]:
    said = dict.fromkeys(words for candidate in found.candidates for words in candidate.breaks)
    return {words: _letter(number) for number, words in enumerate(said)}


def _letter(number: int) -> str:
    return (_letter(number // 26 - 1) if number >= 26 else "") + chr(ord("a") + number % 26)


def _foot(figure: Figure, said: Sequence[str]) -> None:
    lines = [line for text in said for line in textwrap.wrap(text, 110, subsequent_indent="   ")]
    figure.supxlabel("\n".join(lines), fontsize=6.5, x=0.01, ha="left")


# ---- one knob after the other


def _curves(found: Tuning) -> Figure:
    knobs = list(dict.fromkeys(candidate.knob for candidate in found.candidates))
    notes = _notes(found)
    figure = Figure(figsize=(_WIDTH, 0.9 + 0.12 * len(notes) + 3.7 * max(1, len(knobs))), layout="constrained")
    heights = [2.0, 1.0, 0.8] * max(1, len(knobs))
    rows = figure.subplots(len(heights), 1, squeeze=False, height_ratios=heights)
    for index, knob in enumerate(knobs):
        curve = found.curve(knob)
        many, soon, lost = (rows[3 * index + row][0] for row in range(3))
        values = [float(candidate.value) for candidate in curve]
        _curve(many, curve, values, [float(candidate.alerts_per_hour or 0) for candidate in curve], dashed=False)
        # No reaction time is no number: the line is broken there.
        reaction = [math.nan if candidate.reacts is None else float(candidate.reacts) for candidate in curve]
        _curve(soon, curve, values, reaction, dashed=True)
        _allowed(soon, found)
        many.set_ylabel("alerts per hour")
        many.set_ylim(bottom=0, top=max(1.0, *(float(one.alerts_per_hour or 0) for one in curve)) * 1.1)
        soon.set_ylabel("there after (s)")
        most = max(1.0, *(float(candidate.reacts or 0) for candidate in curve), float(found.allowed or 0))
        soon.set_ylim(bottom=0, top=most * 1.3)
        for number, proposed in enumerate(found.candidates):
            if proposed.knob == knob and number in found.proposed:
                many.annotate(
                    "proposed",
                    (float(proposed.value), float(proposed.alerts_per_hour or 0)),
                    xytext=(0, 8),
                    textcoords="offset points",
                    fontsize=6.5,
                    ha="center",
                )
        if all(candidate.reacts is None for candidate in curve):
            soon.text(0.5, 0.3, "it never came up", transform=soon.transAxes, ha="center", fontsize=7)
        _lost(lost, found, curve, values)
        lost.set_xlabel(f"{knob} ({curve[0].unit})" if curve[0].unit else knob)
        for axes in (many, soon, lost):
            axes.set_xlim(many.get_xlim())
            axes.tick_params(labelsize=7, labelbottom=axes is lost)
        for axes in (many, soon):
            axes.grid(True, color="#dddddd", linewidth=0.5)
    _title(rows[0][0], found)
    _foot(figure, [_key(found), *notes])
    return figure


def _curve(
    axes: Axes, curve: Sequence[Candidate], values: Sequence[float], heights: Sequence[float], *, dashed: bool
) -> None:
    axes.plot(values, heights, color="#444444", linewidth=1, linestyle=(0, (4, 2)) if dashed else "-", zorder=2)
    for candidate, x, y in zip(curve, values, heights, strict=True):
        if not math.isnan(y):
            _point(axes, candidate, x, y)


def _point(axes: Axes, candidate: Candidate, x: float, y: float) -> None:
    look: dict[str, Any] = {
        "markerfacecolor": "#ffffff" if candidate.losses else "#111111",
        "markeredgecolor": "#111111",
        "clip_on": False,
    }
    if candidate.now:
        axes.plot(x, y, marker="*", markersize=12, zorder=3, **look)
    elif candidate.reacts is not None:
        axes.plot(x, y, marker="s" if candidate.harmless else "o", markersize=5, zorder=3, **look)
    if candidate.reacts is None:
        axes.plot(x, y, marker="x", markersize=6, zorder=4, **look)


def _key(found: Tuning) -> str:
    """What the points mean, as far as there are such."""
    said = ["star: now"]
    if found.judged and any(not candidate.losses for candidate in found.candidates):
        said.append("filled: nothing is lost")
    if any(candidate.reacts is not None and candidate.harmless and candidate.unseen for candidate in found.candidates):
        said.append("empty square: a limit was broken unseen")
    if any(not candidate.harmless and candidate.reacts is not None for candidate in found.candidates):
        said.append("ring: late, missed or a new finding")
    if any(candidate.reacts is None for candidate in found.candidates):
        said.append("cross: never came up")
    return "; ".join(said)


def _allowed(axes: Axes, found: Tuning) -> None:
    if found.allowed is None:
        return
    axes.axhline(float(found.allowed), color="#7a0f0a", linestyle=(0, (1, 1)), linewidth=1.2)
    axes.annotate(
        f"{found.limit} allows {show_number(found.allowed)} s",
        (0.01, float(found.allowed)),
        xycoords=("axes fraction", "data"),
        xytext=(0, 2),
        textcoords="offset points",
        fontsize=6.5,
    )


def _lost(axes: Axes, found: Tuning, curve: Sequence[Candidate], values: Sequence[float]) -> None:
    """A row for each kind of loss, in it what is lost at each value; nothing is a dot."""
    letters = _letters(found)
    axes.set_ylim(len(_LOSSES), 0)
    axes.set_yticks([row + 0.5 for row in range(len(_LOSSES))], list(_LOSSES), fontsize=6.5)
    axes.tick_params(axis="y", length=0)
    for row in range(1, len(_LOSSES)):
        axes.axhline(row, color="#dddddd", linewidth=0.5)
    # So many letters of this size stand side by side.
    size = min(7.0, 300 / max(1, len(values)) / 1.6)
    for candidate, x in zip(curve, values, strict=True):
        counts = [str(number) for number in (candidate.unseen, candidate.late, candidate.missed)]
        said = [*counts, "".join(sorted(letters[words] for words in candidate.breaks)) or "0"]
        for row, text in enumerate(said):
            nothing = text == "0"
            axes.text(
                x,
                row + 0.5,
                "·" if nothing else text,
                ha="center",
                va="center",
                fontsize=size,
                fontweight="normal" if nothing else "bold",
                clip_on=False,
            )


# ---- two knobs at once

# Fill and hatch of a cell, by the worst that is lost in it.
_CLEAR, _UNSEEN, _BROKEN, _SILENT = ("#ffffff", None), ("#ffffff", "..."), ("#dddddd", "///"), ("#bbbbbb", "xxx")


def _map(found: Tuning) -> Figure:
    grid = found.grid
    second = grid[0][0].second
    assert second is not None, "a map is of two knobs"
    notes = _notes(found)
    figure = Figure(figsize=(_WIDTH, 1.5 + 0.12 * len(notes) + 0.62 * len(grid)), layout="constrained")
    axes = figure.subplots()
    wide = len(grid[0])
    axes.set_xlim(0, wide)
    axes.set_ylim(0, len(grid))
    axes.set_xticks(
        [column + 0.5 for column in range(wide)],
        [show_number(one.second.value) if one.second is not None else "" for one in grid[0]],
    )
    axes.set_yticks([row + 0.5 for row in range(len(grid))], [show_number(row[0].value) for row in grid])
    axes.tick_params(length=0, labelsize=7)
    axes.set_xlabel(f"{second.knob} ({second.unit})" if second.unit else second.knob)
    first = grid[0][0]
    axes.set_ylabel(f"{first.knob} ({first.unit})" if first.unit else first.knob)
    proposed = [found.candidates[number] for number in found.proposed]
    for y, row in enumerate(grid):
        for x, candidate in enumerate(row):
            _map_cell(axes, candidate, (x, y), wide, _letters(found), any(one is candidate for one in proposed))
    _title(axes, found)
    key = (
        "in each cell how often it came up, how soon it is there, and what is lost; white: nothing is lost; dotted: a "
        "limit was broken unseen; hatched: late, missed or a new finding; crossed: never came up; thick frame: now; "
        "double frame: proposed"
    )
    _foot(figure, [key, *notes])
    return figure


def _map_cell(
    axes: Axes, candidate: Candidate, place: tuple[int, int], wide: int, letters: dict[str, str], proposed: bool
) -> None:
    x, y = place
    look = _SILENT if candidate.reacts is None else _BROKEN if not candidate.harmless else _UNSEEN
    fill, hatch = look if candidate.losses else _CLEAR
    edges = ((0.02, 2.2 if candidate.now else 0.6), *([(0.07, 0.6)] if proposed else []))
    for number, (inset, edge) in enumerate(edges):
        axes.add_patch(
            Rectangle(
                (x + inset, y + inset),
                1 - 2 * inset,
                1 - 2 * inset,
                facecolor="none" if number else fill,
                edgecolor="#111111",
                hatch=None if number else hatch,
                hatchcolor="#999999",
                linewidth=edge,
                zorder=2 + number,
            )
        )
    lines = [counted(candidate.alerts, "alert") if candidate.alerts else "never up"]
    if candidate.reacts is not None:
        lines[0] += f", {tenths(candidate.reacts)} s"
    counts = ((candidate.unseen, "unseen"), (candidate.late, "late"), (candidate.missed, "missed"))
    lines += [", ".join(f"{number} {word}" for number, word in counts if number)]
    lines += ["finds " + "".join(sorted(letters[words] for words in candidate.breaks))] if candidate.breaks else []
    size = min(7.0, 380 / wide / 9)
    axes.text(
        x + 0.5,
        y + 0.5,
        "\n".join(line for line in lines if line),
        ha="center",
        va="center",
        fontsize=size,
        zorder=5,
        bbox={"boxstyle": "square,pad=0.15", "facecolor": "#ffffff", "edgecolor": "none"},
    )
