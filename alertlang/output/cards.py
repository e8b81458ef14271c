"""What came back of a ground test, as text."""

from __future__ import annotations

from collections.abc import Sequence

from alertlang.output.readback import ranges
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines
from alertlang.results.readback import CardResult


def result_lines(found: Sequence[CardResult], lines: int, file: str, width: int = WIDTH) -> list[Line]:
    """What is wrong with each line, what was left blank of a step in one; then the counts and the caution. `lines`: of
    the card."""
    said: list[Line] = []
    for group in _grouped(found):
        result = group[0]
        style = "warning" if result.kind == "missed" else "error"
        place = f"{file}:{result.row}: " if result.row else f"{file}: "
        numbers = result.line if len(group) == 1 else ranges([int(each.line) for each in group])
        what = result.said if len(group) == 1 else f"step {result.step}: nothing was written down"
        head = f"line {numbers}" if len(group) == 1 else f"lines {numbers}"
        text = f"{place}{result.kind}, {head} of the card: {what}"
        said += wrapped(style, text, width, "", "  ")
    counts = {
        kind: sum(card_result.kind == kind for card_result in found) for kind in ("missed", "failed", "unreadable")
    }
    summary = f"{lines} lines: " + ", ".join(f"{count} {kind}" for kind, count in counts.items())
    if not found:
        summary += "; everything was seen as it must be"
    if said:
        said.append([])
    said += wrapped("error" if found else "good", summary, width, "", "  ")
    return [*said, *caution_lines(width)]


def _grouped(found: Sequence[CardResult]) -> list[list[CardResult]]:
    """Neighbours of one step that were left blank together."""
    groups: list[list[CardResult]] = []
    for result in found:
        if groups and result.blank and groups[-1][-1].blank and groups[-1][-1].step == result.step:
            groups[-1].append(result)
        else:
            groups.append([result])
    return groups
