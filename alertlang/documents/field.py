"""A scale or a map as columns and rows of signs: every stretch gets one, however narrow it is."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from alertlang.gauges.course import Course
from alertlang.gauges.geometry import Line, Point, Polygon, centre, cut, joined
from alertlang.gauges.operating_map import OperatingMap
from alertlang.model import ruleset as m

_NO, _ONE = Fraction(0), Fraction(1)


def gravity(course: Course) -> tuple[float, ...]:
    """A gauge without a colour is a fault, and red is worse."""
    return tuple(m.Colour.YELLOW + 0.5 if one is None else float(one) for one in (course.last, course.now))


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
        inside = [column[0], *(one for one in across if column[0] < one < column[1]), column[1]]
        here = [_at(((left + right) / 2, (row[0] + row[1]) / 2), pieces) for left, right in pairwise(inside)]
        seen.update(piece for _, piece in here)
        return max((course for course, _ in here), key=gravity)

    shown = [[at(column, row) for column in pairwise(columns)] for row in pairwise(rows)]
    grid = [Line(_ONE, _NO, -x) for x in columns[1:-1]] + [Line(_NO, _ONE, -y) for y in rows[1:-1]]

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
    return max(here, key=lambda one: gravity(one[0]))


def _holds(piece: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])
        for p, q in zip(piece, (*piece[1:], piece[0]), strict=True)
    ]
    return min(turns) >= 0 or max(turns) <= 0
