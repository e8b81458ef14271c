"""The same pictures in a terminal: letters, so that they need no colour."""

from __future__ import annotations

import textwrap
from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise

from alertlang.gauges.course import Course
from alertlang.gauges.geometry import MapLine as Straight
from alertlang.gauges.geometry import Point, Polygon, centre, cut, joined
from alertlang.gauges.operating_map import OperatingMap, colour_numbers, numbers
from alertlang.gauges.strip import TIMES, Gauge, ScaleStretch, Strip
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
# What the places of numbers in a map mean.
PLACES = (
    "a number is at the upper edge of its row (the lowest at the lower), a ^ at the left edge of its column; "
    "what is narrow is drawn wider than it is"
)
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
        bar, lost = _bar(strip, room - 2)
        lines.append([("", "  ["), *bar, ("", "]")])
        if lost:
            said = f"not in the bar, for there is no room: {'; '.join(stretch.where(unit) for stretch in lost)}"
            lines += [[("warning", f"  {part}")] for part in _wrapped(said, room)]
        signs = max(len(stretch.course.colours) for stretch in strip.stretches)
        for stretch in strip.stretches:
            later = f", {stretch.course.later_words}" if stretch.course.later else ""
            name = LETTERS[stretch.course.now][1]
            words = textwrap.wrap(f"{stretch.where(unit)}{later}", room - signs - 12, break_long_words=False)
            sign = _joined(_signs(stretch.course))
            lines.append(
                [("", "  "), *sign, ("", f"{' ' * (signs - len(stretch.course.colours))} {name:<10} {words[0]}")]
            )
            lines += [[("", " " * (signs + 14) + more)] for more in words[1:]]
    for index, note in enumerate(found.notes):
        style = "warning" if not found.complete and index == 0 else "dim"
        lines += [[], *([(style, f"  {part}")] for part in _wrapped(note, room))]
    return lines


def _signs(course: Course) -> list[str]:
    """Of what is shown at once, and of what it becomes."""
    return [LETTERS[colour][0] for colour in course.colours]


def _bar(strip: Strip, room: int) -> tuple[Line, list[ScaleStretch]]:
    """The bar, and the stretches for which it has no column: the calmest and narrowest."""
    seen = sorted(strip.seen, key=lambda stretch: (gravity(stretch.course), stretch.high - stretch.low))
    lost, kept = seen[: max(0, len(seen) - room)], sorted(seen[-room:], key=lambda stretch: stretch.low)
    every = [_signs(stretch.course) for stretch in kept]
    counts = shared_out([stretch.high - stretch.low for stretch in kept], room, [len(signs) for signs in every])
    return _joined([sign for pair in zip(every, counts, strict=True) for sign in _turns(*pair)]), lost


def _turns(signs: Sequence[str], length: int, first: int = 0) -> Sequence[str]:
    """What is shown and what comes take turns. Where there is no room for all, what comes last counts."""
    return [signs[(first + i) % len(signs)] for i in range(length)] if length >= len(signs) else signs[-length:]


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
    """The map as a field of signs, which has at least `height` rows, and the numbers at which it changes."""
    x, y = found.x.quantity, found.y.quantity
    across, up = (sorted({q.low, *colour_numbers(found, side), q.high}) for side, q in (("x", x), ("y", y)))
    margin = max(len(number_words(one)) for one in up) + 1
    signs = max(len(course.colours) for course, _ in found.regions)
    # The lowest row has the number of the lower end, so another must have that of the stretch.
    rows = ends(up, max(height, len(up)), 1, first=2)
    columns = ends(across, width - margin - 3, signs)
    drawn = field(found, columns, rows, across)
    lines: list[Line] = [[("strong", f"{found.of.label} over {found.x.label}")]]
    if found.shown_still:
        lines += [[("dim", part)] for part in _wrapped(f"at {'; '.join(found.shown_still)}", width)]
    for row in reversed(range(len(rows) - 1)):
        beside = rows[row + 1] if row else rows[0]
        number = number_words(beside) if beside in up else ""
        cells: list[str] = []
        for course, run in groupby(drawn.shown[row]):
            cells += _turns(_signs(course), len(list(run)), len(cells) + row)
        lines.append([("dim", number.rjust(margin)), ("", "|"), *_joined(cells), ("", "|")])
    room = len(columns) - 1
    below = ["".join("^" if column in across[1:-1] else " " for column in columns[:-1]).rstrip()]
    low, high = number_words(x.low), number_words(x.high)
    below.append(low + high.rjust(room - len(low)))
    for axis, told, mark in ((found.x, across, " (^)"), (found.of, up, "")):
        if told[1:-1]:
            below += _wrapped(f"{axis.label} changes at {_numbers(told[1:-1])}{mark}", room)
    for axis, side, told in ((found.x, "x", across), (found.of, "y", up)):
        if others := [one for one in numbers(found, side) if one not in told]:
            below += _wrapped(f"{axis.label} has edges of limits, drawn in a picture, at {_numbers(others)}", room)
    shown = [f"{''.join(_signs(course)) or ' '} {course.words}" for course, _ in reversed(found.regions)]
    below += _wrapped_whole(shown, room)
    lines += [[("", f"{' ' * (margin + 1)}{part}")] for part in below if part]
    missing = _not_drawn(found, drawn, across)
    notes = [*missing]
    if len(across) + len(up) > 4:
        notes.append(PLACES)
    if any(course.later for course, _ in found.regions):
        notes.append(TIMES)
    for note in notes:
        style = "warning" if note in missing else "dim"
        lines += [[(style, f"{' ' * (margin + 1)}{part}")] for part in _wrapped(note, room)]
    return lines


def _numbers(values: Sequence[Fraction]) -> str:
    return ", ".join(number_words(number) for number in values)


def _not_drawn(found: OperatingMap, drawn: Field, across: Sequence[Fraction]) -> list[str]:
    """For what there is no room, by number."""

    def words(name: str, low: Fraction, high: Fraction) -> str:
        return f"{name} {number_words(low)} to {number_words(high)}"

    narrow = [words(found.x.name, low, high) for low, high in pairwise(across) if not {low, high} <= set(drawn.columns)]
    regions = [
        f"{course.words} in {words(found.x.name, left, right)}, {words(found.of.name, low, high)}"
        for course, (left, low), (right, high) in drawn.lost
    ]
    notes = [f"no column of its own, but the worst in a column shown: {', '.join(narrow)}"] if narrow else []
    return [*notes, *([f"not drawn, for there is no room: {'; '.join(regions)}"] if regions else [])]


def _wrapped_whole(parts: Sequence[str], width: int) -> list[str]:
    """As many parts on a line as there is room for."""
    lines: list[str] = []
    for part in parts:
        if lines and len(lines[-1]) + 3 + len(part) <= width:
            lines[-1] += f"   {part}"
        else:
            lines.append(part)
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width) or [""]


# ---- a scale or a map as columns and rows of signs: every stretch gets one, however narrow it is


def gravity(course: Course) -> tuple[float, ...]:
    """A gauge without a colour is a fault, and red is worse."""
    return tuple(m.Colour.YELLOW + 0.5 if colour is None else float(colour) for colour in (course.last, course.now))


def shared_out(sizes: Sequence[Fraction], room: int, least: Sequence[int]) -> list[int]:
    """How many columns each size gets: at least so many if there is room for that, else at least one, and the rest as
    large as they are. `room` is at least as many as there are sizes."""
    counts = list(least) if sum(least) <= room else [1] * len(sizes)
    while sum(counts) < room:
        counts[max(range(len(sizes)), key=lambda i: sizes[i] / (2 * counts[i] + 1))] += 1
    return counts


def ends(edges: Sequence[Fraction], room: int, least: int, first: int = 1) -> list[Fraction]:
    """Where columns begin, and where the last one ends: at each of the edges, from the first to the last of them, as
    long as there is room; else the narrowest stretches share a column. `first`: the least of the first stretch."""
    edges = list(edges)
    while len(edges) - 1 > room:
        narrow = min(range(len(edges) - 1), key=lambda i: edges[i + 1] - edges[i])
        del edges[narrow or 1]
    wanted = [max(least, first), *([least] * (len(edges) - 2))]
    counts = shared_out([high - low for low, high in pairwise(edges)], room, wanted)
    inner = [
        low + (high - low) * step / count
        for (low, high), count in zip(pairwise(edges), counts, strict=True)
        for step in range(count)
    ]
    return [*inner, edges[-1]]


@dataclass(frozen=True, slots=True)
class Field:
    """`columns`, `rows`: where they begin, rising, and where the last ends. `shown`: by row and column. `lost`: regions
    that are in no cell, each with its corners at the lower left and the upper right."""

    columns: tuple[Fraction, ...]
    rows: tuple[Fraction, ...]
    shown: tuple[tuple[Course, ...], ...]
    lost: tuple[tuple[Course, Point, Point], ...]


def field(
    found: OperatingMap, columns: Sequence[Fraction], rows: Sequence[Fraction], across: Sequence[Fraction]
) -> Field:
    """What is at the middle of each cell, the worst where one has edges of `across` inside. A part of the map that is
    at none is shown in each cell that it reaches into, where it is worse than what is there."""
    regions = [(course, region) for course, group in found.regions for region in joined(group)]
    pieces = [(course, _bounds(piece), piece) for course, region in regions for piece in region]
    seen: set[Polygon] = set()

    def at(column: tuple[Fraction, Fraction], row: tuple[Fraction, Fraction]) -> Course:
        inside = [column[0], *(number for number in across if column[0] < number < column[1]), column[1]]
        here = [_at(((left + right) / 2, (row[0] + row[1]) / 2), pieces) for left, right in pairwise(inside)]
        seen.update(piece for _, piece in here)
        return max((course for course, _ in here), key=gravity)

    shown = [[at(column, row) for column in pairwise(columns)] for row in pairwise(rows)]
    grid = [Straight(Fraction(1), Fraction(0), -x) for x in columns[1:-1]] + [
        Straight(Fraction(0), Fraction(1), -y) for y in rows[1:-1]
    ]

    def cells(piece: Polygon) -> set[tuple[int, int]]:
        middles = map(centre, cut([piece], grid))
        return {(bisect(rows, up) - 1, bisect(columns, across) - 1) for across, up in middles}

    def is_shown(course: Course, parts: set[tuple[int, int]]) -> bool:
        return any(shown[row][column] == course for row, column in parts)

    unseen = [
        (course, parts)
        for course, _, piece in pieces
        if piece not in seen and not is_shown(course, parts := cells(piece))
    ]
    for course, parts in unseen:
        for row, column in parts:
            shown[row][column] = max(shown[row][column], course, key=gravity)
    lost = []
    for course, region in regions if unseen else ():
        if not any(is_shown(course, cells(piece)) for piece in region):
            left, right, low, high = _bounds([point for piece in region for point in piece])
            lost.append((course, (left, low), (right, high)))
    return Field(tuple(columns), tuple(rows), tuple(tuple(row) for row in shown), tuple(lost))


_Bounds = tuple[Fraction, Fraction, Fraction, Fraction]


def _bounds(points: Sequence[Point]) -> _Bounds:
    return min(p[0] for p in points), max(p[0] for p in points), min(p[1] for p in points), max(p[1] for p in points)


def _at(point: Point, pieces: Sequence[tuple[Course, _Bounds, Polygon]]) -> tuple[Course, Polygon]:
    """The worst of the pieces that a point lies in (on an edge it lies in several)."""
    here = (
        (course, piece)
        for course, (left, right, low, high), piece in pieces
        if left <= point[0] <= right and low <= point[1] <= high and _holds(piece, point)
    )
    return max(here, key=lambda pair: gravity(pair[0]))


def _holds(piece: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])
        for p, q in zip(piece, (*piece[1:], piece[0]), strict=True)
    ]
    return min(turns) >= 0 or max(turns) <= 0
