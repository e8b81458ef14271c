"""The same pictures in a terminal: letters, so that they need no colour."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby, pairwise

from alertlang.documents.field import Field, ends, field, gravity, shared_out
from alertlang.gauges.course import Course
from alertlang.gauges.map_numbers import colour_numbers, numbers
from alertlang.gauges.operating_map import OperatingMap
from alertlang.gauges.strip import TIMES, Gauge, Stretch, Strip
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
            said = f"not in the bar, for there is no room: {'; '.join(one.where(unit) for one in lost)}"
            lines += [[("warning", f"  {part}")] for part in _wrapped(said, room)]
        signs = max(len(one.course.colours) for one in strip.stretches)
        for one in strip.stretches:
            later = f", {one.course.later_words}" if one.course.later else ""
            name = LETTERS[one.course.now][1]
            words = textwrap.wrap(f"{one.where(unit)}{later}", room - signs - 12, break_long_words=False)
            sign = _joined(_signs(one.course))
            lines.append([("", "  "), *sign, ("", f"{' ' * (signs - len(one.course.colours))} {name:<10} {words[0]}")])
            lines += [[("", " " * (signs + 14) + more)] for more in words[1:]]
    for index, note in enumerate(found.notes):
        style = "warning" if not found.complete and index == 0 else "dim"
        lines += [[], *([(style, f"  {part}")] for part in _wrapped(note, room))]
    return lines


def _signs(course: Course) -> list[str]:
    """Of what is shown at once, and of what it becomes."""
    return [LETTERS[colour][0] for colour in course.colours]


def _bar(strip: Strip, room: int) -> tuple[Line, list[Stretch]]:
    """The bar, and the stretches for which it has no column: the calmest and narrowest."""
    seen = sorted(strip.seen, key=lambda one: (gravity(one.course), one.high - one.low))
    lost, kept = seen[: max(0, len(seen) - room)], sorted(seen[-room:], key=lambda one: one.low)
    every = [_signs(one.course) for one in kept]
    counts = shared_out([one.high - one.low for one in kept], room, [len(signs) for signs in every])
    return _joined([sign for one in zip(every, counts, strict=True) for sign in _turns(*one)]), lost


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
    below = ["".join("^" if one in across[1:-1] else " " for one in columns[:-1]).rstrip()]
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
    return ", ".join(number_words(one) for one in values)


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
