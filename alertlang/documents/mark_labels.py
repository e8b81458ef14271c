"""Where the words beside the marks of a map stand: inside the frame, and not over each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

# Of the height of the frame, as the words of a mark are drawn.
_HIGH = 0.045
_LETTER = 0.0125


def places(points: Sequence[tuple[float, float]], texts: Sequence[str]) -> Iterator[tuple[float, float]]:
    """The left lower corner of the words of each mark. All in shares of the frame; `points` are the marks.

    Words stand beside their mark, else above or below as near as there is room. Where there is none at all they stand
    over others: a mark without its words would tell nothing.
    """
    taken: list[tuple[float, float, float]] = [(x - 0.012, y - _HIGH / 2, 0.024) for x, y in points]
    for (x, y), text in zip(points, texts, strict=True):
        width = _LETTER * len(text) + 0.015
        found = next((one for one in _tried(x, y, width) if _free(one, width, taken)), None)
        place = found or (min(max(x, 0.0), 1 - width), min(max(y, 0.0), 1 - _HIGH))
        taken.append((*place, width))
        yield place


def _tried(x: float, y: float, width: float) -> Iterator[tuple[float, float]]:
    for step in range(20):
        for up in (step, -step) if step else (0,):
            for left in (x + 0.016, x - 0.016 - width):
                at = y - _HIGH / 2 + up * _HIGH * 0.6
                if left >= 0.002 and left + width <= 0.998 and at >= 0.002 and at + _HIGH <= 0.998:
                    yield left, at


def _free(place: tuple[float, float], width: float, taken: Sequence[tuple[float, float, float]]) -> bool:
    left, low = place
    return all(
        left + width <= other or other + wide <= left or low + _HIGH <= below or below + _HIGH <= low
        for other, below, wide in taken
    )
