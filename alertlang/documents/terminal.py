"""The same pictures in a terminal: letters, so that they need no colour."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from alertlang.documents.course import Course
from alertlang.documents.geometry import Point, Polygon
from alertlang.documents.map_numbers import numbers
from alertlang.documents.operating_map import OperatingMap
from alertlang.documents.strip import TIMES, Gauge, Strip
from alertlang.model import ruleset as m
from alertlang.output.style import Line
from alertlang.units.number import number_words

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
    """Each strip: its contexts, a bar, and its stretches in words. Where the colour changes with time the signs of what
    is shown and of what comes take turns."""
    lines: list[Line] = [[("strong", found.axis.label)]]
    room = width - 4
    unit = found.axis.quantity.unit
    for strip in found.strips:
        lines.append([])
        lines += [[("", f"  {part}")] for part in _wrapped(strip.title, room)]
        if strip.moves:
            lines += [[("dim", f"  {part}")] for part in _wrapped(f"({strip.one_case})", room)]
        lines.append([("", "  ["), *_bar(found, strip, room - 2), ("", "]")])
        signs = max(len(one.course.colours) for one in strip.stretches)
        for one in strip.stretches:
            later = f", {one.course.later_words}" if one.course.later else ""
            name = LETTERS[one.course.now][1]
            said = textwrap.wrap(f"{one.where(unit)}{later}", room - signs - 12, break_long_words=False)
            sign = _joined(_signs(one.course))
            lines.append([("", "  "), *sign, ("", f"{' ' * (signs - len(one.course.colours))} {name:<10} {said[0]}")])
            lines += [[("", " " * (signs + 14) + more)] for more in said[1:]]
    for index, note in enumerate(found.notes):
        style = "warning" if not found.complete and index == 0 else "dim"
        lines += [[], *([(style, f"  {part}")] for part in _wrapped(note, room))]
    return lines


def _signs(course: Course) -> list[str]:
    """Of what is shown at once, and of what it becomes."""
    return [LETTERS[colour][0] for colour in course.colours]


def _bar(found: Gauge, strip: Strip, room: int) -> Line:
    low, high = found.axis.quantity.low, found.axis.quantity.high
    shown = []
    for column in range(room):
        start, middle, end = (low + (high - low) * (2 * column + half) / (2 * room) for half in range(3))
        here = next(one.course for one in strip.stretches if one.low <= middle <= one.high)
        # What is narrower than a column must not be lost where it is worse.
        inside = [one.course for one in strip.seen if start <= one.low and one.high <= end]
        shown.append(max((here, *inside), key=_gravity))
    signs: list[str] = []
    for course, columns in groupby(shown):
        every, length = _signs(course), len(list(columns))
        # Where there is no room for all, what comes last counts.
        signs += [every[i % len(every)] for i in range(length)] if length >= len(every) else every[-length:]
    return _joined(signs)


def _gravity(course: Course) -> tuple[float, ...]:
    """A gauge without a colour is a fault, and red is worse."""
    return tuple(m.Colour.YELLOW + 0.5 if one is None else float(one) for one in (course.last, course.now))


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
    """The map as a field of signs, each that of the colour at its middle, and the numbers at which it changes."""
    x, y = found.x.quantity, found.y.quantity
    across, up = (sorted({q.low, *numbers(found, side), q.high}) for side, q in (("x", x), ("y", y)))
    beside: dict[int, str] = {0: number_words(y.high), height - 1: number_words(y.low)}
    for one in reversed(up):
        beside.setdefault(min(height - 1, int((y.high - one) / (y.high - y.low) * height)), number_words(one))
    margin = max(map(len, beside.values())) + 1
    columns = width - margin - 3
    pieces = [(course, _bounds(piece), piece) for course, group in found.regions for piece in group]
    lines: list[Line] = [[("strong", f"{found.of.label} over {found.x.label}")]]
    if found.shown_still:
        lines += [[("dim", part)] for part in _wrapped(f"at {'; '.join(found.shown_still)}", width)]
    for row in range(height):
        upper = y.high - (y.high - y.low) * (2 * row + 1) / (2 * height)
        signs = []
        for column in range(columns):
            place = x.low + (x.high - x.low) * (2 * column + 1) / (2 * columns)
            every = _signs(_course_at((place, upper), pieces))
            signs.append(every[(column + row) % len(every)])
        lines.append([("dim", beside.get(row, "").rjust(margin)), ("", "|"), *_joined(signs), ("", "|")])
    low, high = number_words(x.low), number_words(x.high)
    lines.append([("dim", " " * (margin + 1) + low + high.rjust(columns - len(low)))])
    for axis, told in ((found.x, across), (found.of, up)):
        if told[1:-1]:
            said = f"{axis.label} changes at {', '.join(number_words(one) for one in told[1:-1])}"
            lines += [[("", f"{' ' * (margin + 1)}{part}")] for part in _wrapped(said, columns)]
    shown = [f"{''.join(_signs(course)) or ' '} {course.words}" for course, _ in reversed(found.regions)]
    for part in _wrapped_whole(shown, columns):
        lines.append([("", f"{' ' * (margin + 1)}{part}")])
    if any(course.later for course, _ in found.regions):
        lines += [[("dim", f"{' ' * (margin + 1)}{part}")] for part in _wrapped(TIMES, columns)]
    return lines


def _wrapped_whole(parts: Sequence[str], width: int) -> list[str]:
    """As many parts on a line as there is room for."""
    lines: list[str] = []
    for part in parts:
        if lines and len(lines[-1]) + 3 + len(part) <= width:
            lines[-1] += f"   {part}"
        else:
            lines.append(part)
    return lines


def _bounds(piece: Polygon) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    return min(p[0] for p in piece), max(p[0] for p in piece), min(p[1] for p in piece), max(p[1] for p in piece)


_Piece = tuple[Course, tuple[Fraction, Fraction, Fraction, Fraction], Polygon]


def _course_at(point: Point, pieces: Sequence[_Piece]) -> Course:
    """The worst of the pieces that a point lies in (on an edge it lies in several)."""
    found: list[Course] = []
    for course, (left, right, bottom, top), piece in pieces:
        if left <= point[0] <= right and bottom <= point[1] <= top and _holds(piece, point):
            found.append(course)
    return max(found, key=_gravity)


def _holds(piece: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])
        for p, q in zip(piece, (*piece[1:], piece[0]), strict=True)
    ]
    return min(turns) >= 0 or max(turns) <= 0


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width) or [""]
