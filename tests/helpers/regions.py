"""The regions between two ends, and on both sides of them, as they are written."""

from __future__ import annotations

TWO_SIDED = {
    "within": "from {} to {}",
    "from_below": "from {} to below {}",
    "above_to": "above {} to {}",
    "between": "above {} to below {}",
    "outside": "outside {} to {}",
    "below_above": "below {} or above {}",
    "below_from": "below {} or at least {}",
    "to_above": "at most {} or above {}",
    "not_between": "at most {} or at least {}",
}
_EMPTY_AT_ONE_NUMBER = {"from_below", "above_to", "between"}
DRAWN = ("within", "within", *TWO_SIDED)
"""To draw from."""


def two_sided(kind: str, first: str, second: str) -> str:
    """Between two numbers that are the same only what takes them in is said: of the others nothing would be left."""
    return TWO_SIDED["within" if first == second and kind in _EMPTY_AT_ONE_NUMBER else kind].format(first, second)
