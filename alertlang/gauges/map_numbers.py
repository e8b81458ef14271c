"""The numbers at the sides of a map: where something changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction

from alertlang.gauges.geometry import Edge, Point, outline
from alertlang.gauges.operating_map import OperatingMap


def numbers(found: OperatingMap, side: str) -> list[Fraction]:
    """The places, along the side `x` or `y`, of the corners of all regions of a colour and of the edges of limits."""
    limits = (edges for _, edges in found.broken)
    return sorted({*colour_numbers(found, side), *_places(limits, side)})


def colour_numbers(found: OperatingMap, side: str) -> list[Fraction]:
    """Those of the regions alone."""
    return sorted(_places((outline(pieces) for _, pieces in found.regions), side))


def _places(drawn: Iterable[Iterable[Edge]], side: str) -> set[Fraction]:
    place = 0 if side == "x" else 1
    return {corner[place] for edges in drawn for corner in _corners(edges)}


def _corners(edges: Iterable[Edge]) -> list[Point]:
    """Where edges end or turn. A straight one that is made of several pieces does neither where they meet."""
    directions: dict[Point, list[Fraction | None]] = defaultdict(list)
    for one, other in edges:
        run, rise = other[0] - one[0], other[1] - one[1]
        slope = None if run == 0 else rise / run
        directions[one].append(slope)
        directions[other].append(slope)
    return [point for point, slopes in directions.items() if len(slopes) < 2 or len(set(slopes)) > 1]
