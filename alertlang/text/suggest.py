"""Which known name a misspelt one was probably meant to be."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from fractions import Fraction

# Share of letters two names must have in common, in order. 7/10 admits one slip in a short name and
# two or three in a long one; lower values start to offer names of other things.
_ALIKE = Fraction(7, 10)

# Two neighbouring letters in each other's place are one slip of the hand, however short the name.
_SWAPPED = Fraction(9, 10)

# Differences that people make without noticing, so they count as none.
_UNNOTICED = str.maketrans("", "", "_- .")


def nearest(name: str, candidates: Iterable[str]) -> str | None:
    """The candidate most like `name`, or None if none is like it.

    Case, underscores, hyphens, dots and spaces do not count, and two swapped letters hardly do. Of
    equally good candidates the alphabetically first wins, so the answer does not depend on the order
    they come in.
    """
    known = sorted(set(candidates))
    if name in known:
        return name
    letters = _letters(name)
    best: str | None = None
    best_share = Fraction(0)
    for candidate in known:
        share = _share(letters, _letters(candidate))
        if share >= _ALIKE and share > best_share:
            best, best_share = candidate, share
    return best


def _letters(name: str) -> str:
    return name.casefold().translate(_UNNOTICED)


def _share(text: str, other: str) -> Fraction:
    """Share of the letters of both names that match in order, 0 to 1; 0 when it cannot be enough."""
    total = len(text) + len(other)
    # Lengths alone rule out most candidates, and keep a very long word from costing a comparison.
    if total == 0 or Fraction(2 * min(len(text), len(other)), total) < _ALIKE:
        return Fraction(0)
    if _is_swap(text, other):
        return _SWAPPED
    blocks = SequenceMatcher(None, text, other, autojunk=False).get_matching_blocks()
    return Fraction(2 * sum(block.size for block in blocks), total)


def _is_swap(text: str, other: str) -> bool:
    """Whether two neighbouring letters changed places, and nothing else."""
    if len(text) != len(other):
        return False
    apart = [place for place in range(len(text)) if text[place] != other[place]]
    if len(apart) != 2 or apart[1] != apart[0] + 1:
        return False
    return text[apart[0]] == other[apart[1]] and text[apart[1]] == other[apart[0]]


def did_you_mean(name: str, candidates: Iterable[str], otherwise: str) -> str:
    """What to say of a name that there is not: which one it was probably meant to be, else something else."""
    close = nearest(name, candidates)
    return otherwise if close is None else f"did you mean {close}?"
