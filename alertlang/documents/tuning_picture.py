"""What tuning a statement trades: how often its alert comes up against how soon it is there."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from alertlang.documents.paint import STYLE, saved
from alertlang.results.tune import Candidate, Tuning
from alertlang.units.number import show_number

_WIDTH = 6.3


def _point(axes: Axes, candidate: Candidate, x: float, y: float) -> None:
    calm = candidate.harmless and not candidate.unseen and candidate.reacts is not None
    look: dict[str, Any] = {
        "markerfacecolor": "#111111" if calm else "#ffffff",
        "markeredgecolor": "#111111",
        "clip_on": False,
    }
    if candidate.now:
        axes.plot(x, y, marker="*", markersize=12, zorder=3, **look)
    elif candidate.reacts is not None:
        axes.plot(x, y, marker="s" if candidate.harmless and candidate.unseen else "o", markersize=5, zorder=3, **look)
    if candidate.reacts is None:
        axes.plot(x, y, marker="x", markersize=6, zorder=4, **look)


def _key(found: Tuning) -> str:
    """What the points mean, as far as there are such."""
    said = ["star: now"]
    if found.judged:
        said.append("filled: harmless")
    else:
        said.append("no limit and no mark: nothing tells a wanted alert from a nuisance")
    if any(not candidate.harmless and candidate.reacts is not None for candidate in found.candidates):
        said.append("ring: breaks or misses something")
    if any(candidate.unseen for candidate in found.candidates):
        said.append("empty star or square: a limit was broken unseen")
    if any(candidate.reacts is None for candidate in found.candidates):
        said.append("cross: never came up")
    return "; ".join(said)


def draw_tuning(found: Tuning, form: str = "svg") -> bytes:
    """One picture for each knob, 16 cm wide: alerts per hour over the value, and below it the reaction time.

    A star: what is now. Else filled: a value that breaks and misses nothing; a square: a limit was broken and nothing
    came up meanwhile; a ring: it breaks or misses something. A cross: the alert never came up, so that there is no
    reaction time.
    """
    knobs = list(dict.fromkeys(candidate.knob for candidate in found.candidates))
    with rc_context(STYLE):
        height = 0.7 + 2.9 * max(1, len(knobs))
        figure = Figure(figsize=(_WIDTH, height), layout="constrained")
        rows = figure.subplots(2 * max(1, len(knobs)), 1, squeeze=False, height_ratios=[2, 1] * max(1, len(knobs)))
        for index, knob in enumerate(knobs):
            curve = found.curve(knob)
            values = [float(candidate.value) for candidate in curve]
            many, soon = rows[2 * index][0], rows[2 * index + 1][0]
            rate = [float(candidate.alerts_per_hour or 0) for candidate in curve]
            # No reaction time is no number: the line is broken there.
            reaction = [math.nan if candidate.reacts is None else float(candidate.reacts) for candidate in curve]
            for axes, heights in ((many, rate), (soon, reaction)):
                axes.plot(values, heights, color="#444444", linewidth=1, zorder=2)
                for candidate, x, y in zip(curve, values, heights, strict=True):
                    if axes is many or candidate.reacts is not None:
                        _point(axes, candidate, x, y)
            if found.allowed is not None:
                soon.axhline(float(found.allowed), color="#7a0f0a", linestyle=(0, (4, 2)), linewidth=1)
                soon.annotate(
                    f"{found.limit} allows {show_number(found.allowed)} s",
                    (0.01, float(found.allowed)),
                    xycoords=("axes fraction", "data"),
                    xytext=(0, 2),
                    textcoords="offset points",
                    fontsize=6.5,
                )
            many.set_ylabel("alerts per hour")
            many.set_ylim(bottom=0, top=max(1.0, *rate) * 1.1)
            soon.set_xlim(many.get_xlim())
            if all(candidate.reacts is None for candidate in curve):
                soon.text(0.5, 0.3, "it never came up", transform=soon.transAxes, ha="center", fontsize=7)
            soon.set_ylabel("there after (s)")
            soon.set_ylim(
                bottom=0,
                top=max(1.0, *(float(candidate.reacts or 0) for candidate in curve), float(found.allowed or 0)) * 1.25,
            )
            soon.set_xlabel(f"{knob} ({curve[0].unit})" if curve[0].unit else knob)
            for axes in (many, soon):
                axes.grid(True, color="#dddddd", linewidth=0.5)
                axes.tick_params(labelsize=7)
        rows[0][0].set_title(
            f"{found.statement}: {found.level} “{found.alert}”", fontsize=9, loc="left", fontweight="bold"
        )
        figure.supxlabel(textwrap.fill(_key(found), 110), fontsize=6.5, x=0.01, ha="left")
        return saved(figure, form, dpi=120)
