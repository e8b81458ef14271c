"""Convex polygons cut by straight lines, exactly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

Point = tuple[Fraction, Fraction]
Polygon = tuple[Point, ...]
Edge = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class MapLine:
    """All points at which a x + b y + c is 0; on one side it is below, on the other above."""

    a: Fraction
    b: Fraction
    c: Fraction

    def at(self, point: Point) -> Fraction:
        return self.a * point[0] + self.b * point[1] + self.c

    def scaled(self) -> MapLine | None:
        """The same line in one way for all that are the same; none if it is no line."""
        first = self.a or self.b
        return MapLine(self.a / first, self.b / first, self.c / first) if first else None


def rectangle(left: Fraction, right: Fraction, bottom: Fraction, top: Fraction) -> Polygon:
    return ((left, bottom), (right, bottom), (right, top), (left, top))


def cut(polygons: Sequence[Polygon], lines: Iterable[MapLine]) -> list[Polygon]:
    """The pieces into which lines cut polygons. Neighbours share whole edges, as long as the polygons given do."""
    pieces = list(polygons)
    for line in lines:
        after: list[Polygon] = []
        for piece in pieces:
            sides = [line.at(point) for point in piece]
            if min(sides) >= 0 or max(sides) <= 0:
                after.append(piece)
            else:
                after.extend(_halves(piece, sides))
        pieces = after
    return pieces


def _halves(polygon: Polygon, sides: Sequence[Fraction]) -> tuple[Polygon, Polygon]:
    below: list[Point] = []
    above: list[Point] = []
    around = list(zip(polygon, sides, strict=True))
    for (point, side), (following, beyond) in pairwise([*around, around[0]]):
        if side <= 0:
            below.append(point)
        if side >= 0:
            above.append(point)
        if (side < 0 < beyond) or (beyond < 0 < side):
            share = side / (side - beyond)
            crossing = tuple(p + (q - p) * share for p, q in zip(point, following, strict=True))
            below.append((crossing[0], crossing[1]))
            above.append((crossing[0], crossing[1]))
    return tuple(below), tuple(above)


def centre(polygon: Polygon) -> Point:
    """A point inside a convex polygon."""
    count = len(polygon)
    return sum((p[0] for p in polygon), Fraction(0)) / count, sum((p[1] for p in polygon), Fraction(0)) / count


def edges(polygon: Polygon) -> list[Edge]:
    """Its sides, each written in one way for both its neighbours."""
    return [(min(p, q), max(p, q)) for p, q in pairwise([*polygon, polygon[0]])]


def outline(polygons: Iterable[Polygon]) -> list[Edge]:
    """The sides that belong to one polygon only, sorted: what goes around them all."""
    count: dict[Edge, int] = {}
    for polygon in polygons:
        for edge in edges(polygon):
            count[edge] = count.get(edge, 0) + 1
    return sorted(edge for edge, times in count.items() if times == 1)


def joined(polygons: Iterable[Polygon]) -> list[list[Polygon]]:
    """The polygons that hang together by their sides."""
    groups: list[tuple[list[Polygon], set[Edge]]] = []
    for polygon in polygons:
        members, around = [polygon], set(edges(polygon))
        for group in [pair for pair in groups if pair[1] & around]:
            groups.remove(group)
            members, around = group[0] + members, group[1] | around
        groups.append((members, around))
    return [members for members, _ in groups]
