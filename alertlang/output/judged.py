"""What a recorded run could not judge, told before anybody reads that nothing came up."""

from __future__ import annotations

from collections.abc import Sequence

from alertlang.output.style import Line, wrapped
from alertlang.results.replay import Judged, ReplayResult
from alertlang.text.lists import listed

_MARGIN = "  "
# So many columns are named.
_MOST = 12


def unjudged(found: ReplayResult) -> list[tuple[str, list[str]]]:
    """What this log could not have tested: what it lacks, and the alerts and limits that need it."""
    groups: dict[str, list[Judged]] = {}
    for judged in found.not_judged:
        groups.setdefault(judged.why, []).append(judged)
    return [(why, _names(those)) for why, those in groups.items()]


def unjudged_lines(found: ReplayResult, width: int) -> list[Line]:
    """The alerts and limits that this log could not have tested, by what it lacks."""
    groups = unjudged(found)
    if not groups:
        return []
    lines: list[Line] = [[], [("strong", "Could not be judged by this log: it says nothing of these")]]
    for why, names in groups:
        lines += wrapped("warning", f"{why}: {listed(names)}", width, _MARGIN, _MARGIN * 2)
    if found.unused and any(judged.missing for judged in found.not_judged):
        text = f"recorded under another name? {unused_words(found)}"
        lines += wrapped("warning", text, width, _MARGIN, _MARGIN * 2)
    return lines


def unused_words(found: ReplayResult) -> str:
    """The log's columns of which nothing is read, and how to learn more of them."""
    shown = ", ".join(found.unused[:_MOST])
    more = f" and {len(found.unused) - _MOST} more" if len(found.unused) > _MOST else ""
    marks = "" if found.marks_read else "; no mark column is mapped"
    return f"unused columns: {shown}{more}{marks} (alertlang columns tells what is in each)"


def none_of(found: ReplayResult, kind: str, words: str) -> str:
    """That nothing came up, or was broken, and of how many that is said."""
    those = [judged for judged in found.judged if (judged.kind == "alert") is (kind == "alert")]
    known = sum(judged.judged for judged in those)
    if known == len(those):
        return words
    return f"{words} of the {known} of {len(those)} that could be judged" if known else "none could be judged"


def _names(those: Sequence[Judged]) -> list[str]:
    """Each once, whatever statements raise the same text."""
    return list(dict.fromkeys(_name(judged) for judged in those))


def _name(judged: Judged) -> str:
    if judged.kind == "alert":
        return f'{judged.level} "{judged.text}"'
    place = judged.statement if judged.element is None else f"{judged.statement}[{judged.element}]"
    return f"{judged.kind} {place}"
