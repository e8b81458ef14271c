"""The same pictures in a terminal: letters, so that they need no colour."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from alertlang.documents.geometry import Point, Polygon
from alertlang.documents.operating_map import OperatingMap
from alertlang.documents.strip import Gauge, Strip
from alertlang.model import ruleset as m
from alertlang.output.style import Line
from alertlang.units.number import say_value

LETTERS: dict[m.Colour | None, tuple[str, str]] = {
    m.Colour.RED: ("#", "red"),
    m.Colour.YELLOW: ("+", "yellow"),
    m.Colour.GREEN: (".", "green"),
    m.Colour.WHITE: ("o", "white"),
    m.Colour.BLUE: ("b", "blue"),
    m.Colour.UNMARKED: (" ", "unmarked"),
    None: ("?", "no colour"),
}
_STYLES = {"#": "error", "+": "warning", ".": "good"}


def gauge_lines(found: Gauge, width: int) -> list[Line]:
    """Each strip: its contexts, a bar, and its stretches in words."""
    lines: list[Line] = [[("strong", found.axis.label)]]
    room = width - 4
    for strip in found.strips:
        lines.append([])
        lines += [[("", f"  {part}")] for part in _wrapped(strip.title, room)]
        if strip.moves:
            lines += [[("dim", f"  {part}")] for part in _wrapped(f"({strip.one_case})", room)]
        lines.append([("", "  ["), *_bar(found, strip, room - 2), ("", "]")])
        for one in strip.stretches:
            unit = found.axis.quantity.unit
            sign, name = LETTERS[one.colour]
            low, high = say_value(one.low, unit), say_value(one.high, unit)
            if one.low == one.high:
                where = f"at {low}"
            else:
                start, end = "from" if one.low_included else "above", "to" if one.high_included else "to below"
                where = f"{start} {low} {end} {high}"
            later = f" ({LETTERS[one.first][1]} until it has lasted)" if one.later else ""
            lines.append([("", "  "), (_STYLES.get(sign, ""), sign or " "), ("", f" {name:<10} {where}{later}")])
    for note in found.notes:
        lines += [[], [("warning" if not found.complete and note == found.notes[0] else "dim", f"  {note}")]]
    return lines


def _bar(found: Gauge, strip: Strip, room: int) -> Line:
    low, high = found.axis.quantity.low, found.axis.quantity.high
    signs = []
    for column in range(room):
        middle = low + (high - low) * (2 * column + 1) / (2 * room)
        one = next(s for s in strip.stretches if s.low <= middle <= s.high)
        signs.append(LETTERS[one.colour][0])
    return _joined(signs)


def _joined(signs: Sequence[str]) -> Line:
    pieces: Line = []
    for sign in signs:
        style = _STYLES.get(sign, "")
        if pieces and pieces[-1][0] == style:
            pieces[-1] = (style, pieces[-1][1] + sign)
        else:
            pieces.append((style, sign))
    return pieces


def map_lines(found: OperatingMap, width: int, height: int = 20) -> list[Line]:
    """The map as a field of signs, each that of the colour at its middle."""
    x, y = found.x.quantity, found.y.quantity
    margin = max(len(_number(y.low)), len(_number(y.high))) + 1
    columns = width - margin - 3
    pieces = [(colour, _bounds(piece), piece) for colour, group in found.regions for piece in group]
    lines: list[Line] = [[("strong", f"{found.of.label} over {found.x.label}")]]
    if found.shown_still:
        lines += [[("dim", part)] for part in _wrapped(f"at {'; '.join(found.shown_still)}", width)]
    for row in range(height):
        up = y.high - (y.high - y.low) * (2 * row + 1) / (2 * height)
        signs = []
        for column in range(columns):
            across = x.low + (x.high - x.low) * (2 * column + 1) / (2 * columns)
            signs.append(LETTERS[_colour_at((across, up), pieces)][0])
        edge = _number(y.high) if row == 0 else _number(y.low) if row == height - 1 else ""
        lines.append([("dim", edge.rjust(margin)), ("", "|"), *_joined(signs), ("", "|")])
    low, high = _number(x.low), _number(x.high)
    lines.append([("dim", " " * (margin + 1) + low + high.rjust(columns - len(low)))])
    shown = [LETTERS[colour] for colour, _ in reversed(found.regions)]
    lines.append([("", " " * (margin + 1) + "   ".join(f"{sign or ' '} {name}" for sign, name in shown))])
    return lines


def _number(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.4g}"


def _bounds(piece: Polygon) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    return min(p[0] for p in piece), max(p[0] for p in piece), min(p[1] for p in piece), max(p[1] for p in piece)


_Piece = tuple[m.Colour | None, tuple[Fraction, Fraction, Fraction, Fraction], Polygon]


def _colour_at(point: Point, pieces: Sequence[_Piece]) -> m.Colour | None:
    """The worst colour of the pieces that a point lies in (on an edge it lies in several)."""
    found: list[m.Colour] = []
    for colour, (left, right, bottom, top), piece in pieces:
        if left <= point[0] <= right and bottom <= point[1] <= top and _holds(piece, point) and colour is not None:
            found.append(colour)
    return max(found, default=None)


def _holds(piece: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])
        for p, q in zip(piece, (*piece[1:], piece[0]), strict=True)
    ]
    return min(turns) >= 0 or max(turns) <= 0


def _wrapped(text: str, width: int) -> list[str]:
    import textwrap

    return textwrap.wrap(text, width) or [""]
