"""What reading back a box comes to, as text and for JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from alertlang.output.json import NAMED, Json, told
from alertlang.output.style import Line, wrapped
from alertlang.output.text import WIDTH, caution_lines
from alertlang.results.readback import CellDifference, LineFault, LineFinding, Readback

# So many effects of one line are told; the JSON has them all.
_EFFECTS = 3
_HARMLESS = "no difference in what the box does, which is proved"


def readback_lines(found: Readback, width: int = WIDTH) -> list[Line]:
    """Every finding with the line of the sheet, then one line that sums up, then the caution."""
    lines: list[Line] = []
    lines += wrapped("dim", f"rules:    {found.rules.name} version {found.rules.version} ({found.rules.path})", width)
    lines += wrapped("dim", f"record:   {found.record}, of the sheet {found.mark}", width)
    if found.other:
        lines += wrapped("warning", "the sheet is of other rules: compared by meaning alone", width)
    lines.append([])
    for group in _grouped(found.findings):
        lines += [*(_finding_lines(group[0], width) if len(group) == 1 else _together(group, width)), []]
    if found.rounded:
        several = len(found.rounded) > 1
        numbers = ", ".join(str(number) for number in found.rounded)
        text = f"the display cannot hold the exact edges of line{'s' if several else ''} {numbers}: see the sheet"
        lines += wrapped("note", text, width)
    lines += wrapped("good" if found.good else "error", _conclusion(found), width)
    return [*lines, *caution_lines(width)]


def _grouped(findings: Sequence[LineFinding]) -> list[list[LineFinding]]:
    """Lines with nothing but one and the same thing to say of them are told together."""
    found: dict[object, list[LineFinding]] = {}
    for place, finding in enumerate(findings):
        alone = finding.line is None or finding.cells or finding.effects or finding.harmless
        found.setdefault(place if alone else (finding.kind, finding.message), []).append(finding)
    return list(found.values())


def _together(group: Sequence[LineFinding], width: int) -> list[Line]:
    numbers = ranges([finding.line for finding in group if finding.line is not None])
    lines = wrapped("error", f"lines {numbers} {group[0].kind.value}", width, "", "  ")
    return lines + wrapped("strong", f"{len(group)} lines: {group[0].message}", width, "  ")


def ranges(numbers: Sequence[int]) -> str:
    """Rising numbers in short: 1 to 4, 7, 9 to 12."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}, {b}" if b == a + 1 else f"{a} to {b}" for a, b in runs)


def _finding_lines(finding: LineFinding, width: int) -> list[Line]:
    where = "the record as a whole" if finding.line is None else f"line {finding.line}"
    place = "" if finding.row is None else f" (line {finding.row} of the file)"
    if finding.line is None and finding.row is not None:
        where, place = f"line {finding.row} of the file", ""
    style = "note" if finding.harmless else "error"
    kind = "" if finding.kind is LineFault.WHOLE else f" {finding.kind.value}"
    lines: list[Line] = [[(style, f"{where}{kind}"), ("dim", place)]]
    lines += wrapped("strong", f"{finding.about}: {finding.message}" if finding.about else finding.message, width, "  ")
    for cell in finding.cells:
        lines += wrapped("", _cell(cell), width, "  ", "    ")
    lines += [line for text in finding.effects[:_EFFECTS] for line in wrapped("", f"so: {text}", width, "  ", "      ")]
    if len(finding.effects) > _EFFECTS:
        lines += wrapped("dim", f"and {len(finding.effects) - _EFFECTS} more such cases", width, "  ")
    if finding.harmless:
        lines += wrapped("", f"{_HARMLESS}; but the line is not as on the sheet", width, "  ")
    return lines


def _cell(cell: CellDifference) -> str:
    return f"{cell.column}: {cell.held or '(empty)'} instead of {cell.sheet or '(empty)'}"


def _conclusion(found: Readback) -> str:
    # Lines of a sheet of other rules are on this one in no way.
    held = "lines confirmed" if found.other else "lines confirmed and as on the sheet"
    ticked = f"{found.confirmed} of {found.lines} {held}"
    if found.good:
        but = ", but for what is rounded" if found.rounded else ""
        return f"{ticked}; the box holds what the sheet says, and it is proved to mean the same{but}"
    counts = Counter(finding.kind for finding in found.findings)
    said = ", ".join(f"{counts[kind]} {_several(kind, counts[kind])}" for kind in LineFault if counts[kind])
    if found.comparison is None:
        meaning = "what the whole means is not known"
    elif found.comparison.same:
        meaning = "what can be read means the same as the rules"
    else:
        meaning = "it does not mean the same as the rules"
    return f"{ticked}; {said}; {meaning}"


def _several(kind: LineFault, count: int) -> str:
    return "differ" if kind is LineFault.DIFFERS and count > 1 else kind.value


def readback_data(found: Readback) -> Json:
    return {
        "rules": told(found.rules, NAMED),
        **told(found, "record sheet=mark other_rules=other good lines confirmed"),
        "same": None if found.comparison is None else found.comparison.same,
        **told(found, "rounded findings"),
    }
