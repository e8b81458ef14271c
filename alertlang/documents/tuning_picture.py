"""What tuning a statement trades: how often its alert comes up against how soon it is there."""

from __future__ import annotations

import io

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from alertlang.diagnostics.tune import Tuning
from alertlang.documents.drawing import META, STYLE
from alertlang.units.number import show_number

_WIDTH = 6.3


def draw_tuning(found: Tuning, form: str = "svg") -> bytes:
    """One picture for each knob, 16 cm wide: alerts per hour over the value, and below it the reaction time.

    A ring: a value that breaks a limit or misses something; a filled point: one that does not; a star: what is now.
    """
    knobs = list(dict.fromkeys(one.knob for one in found.candidates))
    with rc_context(STYLE):
        height = 0.7 + 2.9 * max(1, len(knobs))
        figure = Figure(figsize=(_WIDTH, height), layout="constrained")
        rows = figure.subplots(2 * max(1, len(knobs)), 1, squeeze=False, height_ratios=[2, 1] * max(1, len(knobs)))
        for index, knob in enumerate(knobs):
            curve = found.curve(knob)
            values = [float(one.value) for one in curve]
            many, soon = rows[2 * index][0], rows[2 * index + 1][0]
            rate = [float(one.alerts_per_hour or 0) for one in curve]
            many.plot(values, rate, color="#444444", linewidth=1, zorder=2)
            soon.plot(values, [float(one.reaction) for one in curve], color="#444444", linewidth=1, zorder=2)
            for axes, heights in ((many, rate), (soon, [float(one.reaction) for one in curve])):
                for one, x, y in zip(curve, values, heights, strict=True):
                    face = "#111111" if one.harmless else "#ffffff"
                    marker, size = ("*", 11) if one.now else ("o", 5)
                    axes.plot(
                        x, y, marker=marker, markersize=size, markerfacecolor=face, markeredgecolor="#111111", zorder=3
                    )
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
            many.set_ylim(bottom=0)
            soon.set_ylabel("there after (s)")
            soon.set_ylim(
                bottom=0, top=max(1.0, *(float(one.reaction) for one in curve), float(found.allowed or 0)) * 1.25
            )
            soon.set_xlabel(f"{knob} ({curve[0].unit})" if curve[0].unit else knob)
            for axes in (many, soon):
                axes.grid(True, color="#dddddd", linewidth=0.5)
                axes.tick_params(labelsize=7)
        rows[0][0].set_title(
            f"{found.statement}: {found.level} “{found.alert}”", fontsize=9, loc="left", fontweight="bold"
        )
        figure.text(
            0.99,
            0.995,
            "star: now; filled: harmless; ring: breaks or misses something"
            if found.judged
            else "star: now; no limit and no mark: nothing tells a wanted alert from a nuisance",
            ha="right",
            va="top",
            fontsize=6.5,
        )
        FigureCanvasAgg(figure)
        buffer = io.BytesIO()
        figure.savefig(buffer, format=form, metadata=META[form], dpi=120)
        return buffer.getvalue()
