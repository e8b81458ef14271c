"""What answers rest on, in words: wherever "proved" or "0 errors" stands, what weakens it stands too."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from alertlang.results.report import ClaimResult, Verdict

# More names than that nobody reads in a line that sums up.
_MOST_NAMES = 6
_WEAK = ("second hand", "from memory")


def names_of(labels: Sequence[str]) -> str:
    """`a, b and 3 more`."""
    shown = list(labels[:_MOST_NAMES])
    rest = len(labels) - len(shown)
    if rest:
        return f"{', '.join(shown)} and {rest} more"
    return " and ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


def proved_words(claims: Sequence[ClaimResult]) -> str:
    """How many claims are proved, and under which assumptions: `9 of 10 claims proved, 2 of them assuming parked`."""
    proved = [c for c in claims if c.verdict is Verdict.PROVED]
    said = f"{len(proved)} of {len(claims)} claim{'' if len(claims) == 1 else 's'} proved"
    leaning = [c for c in proved if c.assumptions]
    if leaning:
        used = names_of(sorted({label for c in leaning for label in c.assumptions}))
        said += f", {len(leaning)} of them assuming {used}"
    return said


def weak_numbers(numbers: Mapping[str, int]) -> str:
    """What is to be said of numbers that nobody read in a document: how many; nothing where there are none."""
    weak = [(numbers.get(grade, 0), grade) for grade in _WEAK if numbers.get(grade, 0)]
    if not weak:
        return ""
    counts = [_counted(count, grade) for count, grade in weak]
    them = "it" if sum(count for count, _ in weak) == 1 else "them"
    return f"rests on {' and '.join(counts)}: check {them} against the documents before use"


def _counted(count: int, grade: str) -> str:
    word = "number" if count == 1 else "numbers"
    return f"{count} second-hand {word}" if grade == "second hand" else f"{count} {word} {grade}"
