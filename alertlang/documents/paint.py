"""How colours and pictures look. Every colour but unmarked has a hatch of its own: it can be told in grey."""

from __future__ import annotations

import io
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from alertlang.model import ruleset as m

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

    @property
    def pale(self) -> tuple[float, float, float]:
        """The fill of what is not shown yet."""
        red, green, blue = to_rgb(self.fill)
        return 0.4 * red + 0.6, 0.4 * green + 0.6, 0.4 * blue + 0.6


# Told apart by people who see no red or no green, too: by lightness, and by the hatch.
PAINTS: dict[m.Colour | None, Paint] = {
    m.Colour.RED: Paint("#e8453c", "xxx", "#7a0f0a", "R", "red"),
    m.Colour.YELLOW: Paint("#ffd84d", "...", "#8a6a00", "Y", "yellow"),
    m.Colour.GREEN: Paint("#8fd19e", "/", "#2f7d46", "G", "green"),
    m.Colour.WHITE: Paint("#ffffff", "||", "#999999", "W", "white"),
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

# Of a letter of one point, in points: the widest of common texts.
LETTER = 0.62


def style(outlines: bool) -> dict[Any, Any]:
    """`outlines`: letters of an SVG are drawn and need no font."""
    return {**STYLE, "svg.fonttype": "path"} if outlines else STYLE


def saved(figure: Figure, form: str, dpi: int = 150) -> bytes:
    """The picture in one of FORMATS."""
    FigureCanvasAgg(figure)
    buffer = io.BytesIO()
    figure.savefig(buffer, format=form, metadata=META[form], dpi=dpi)
    return buffer.getvalue()


def lead(relpos: tuple[float, float]) -> dict[str, Any]:
    """The line from a text, which it leaves at `relpos`, to the place that it is of."""
    return {"arrowstyle": "-", "linewidth": 0.5, "color": "#444444", "shrinkA": 0, "shrinkB": 0, "relpos": relpos}


def spread(places: Sequence[float], rooms: Sequence[float], length: float) -> list[float]:
    """Where texts stand along a side so that none covers another: each as near to its place as can be.

    `places` in rising order, `rooms` what each takes, both in the unit of `length`. What cannot fit is pressed together
    evenly.
    """
    if not places:
        return []
    if sum(rooms) > length:
        rooms = [room * length / sum(rooms) for room in rooms]
    # Less the room of those before it, every place may only rise: neighbours that fall are pooled at their mean.
    before = [sum(rooms[:i]) + rooms[i] / 2 for i in range(len(rooms))]
    pools: list[tuple[float, int]] = []
    for place, taken in zip(places, before, strict=True):
        total, count = place - taken, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            last = pools.pop()
            total, count = total + last[0], count + last[1]
        pools.append((total, count))
    free = length - sum(rooms)
    levels = [min(max(total / count, 0.0), free) for total, count in pools for _ in range(count)]
    return [level + taken for level, taken in zip(levels, before, strict=True)]
