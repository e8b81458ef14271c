"""The installer's record of what the box holds, held against the rules: line by line, and by meaning.

In doubt a line differs: what is not ticked, not there, there twice or not to be read is a finding, and never passes for
what the sheet says.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from alertlang.comparison.compare import compare
from alertlang.findings.codes import Severity
from alertlang.keying.columns import CONFIRMED, PANEL, VALUES, Sheet, SheetLine, is_rounded
from alertlang.keying.csv_file import CONFIRMS, RecordError, Row, ticked
from alertlang.keying.edges import number_of, seconds_of
from alertlang.keying.lines import sheet_of
from alertlang.keying.rebuild import LineError, rebuilt
from alertlang.keying.used import in_the_box
from alertlang.logic.solver import WORK_LIMIT
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from alertlang.results.comparison import Change, Comparison, Direction
from alertlang.results.readback import CellDifference, LineFault, LineFinding, Readback
from alertlang.results.report import FileName
from alertlang.units.number import parse_number, show_number

# So many lines that differ are each looked at by themselves; beyond, only all of them together.
ALONE = 12


class OtherSheetError(RecordError):
    """The record is of a sheet of other rules."""


@dataclass(frozen=True, slots=True)
class ReadRecord:
    """`text`: the rules made of the record (none: it could not be); `result`: what it comes to."""

    result: Readback
    text: str | None


def read_back(
    ruleset: m.RuleSet,
    rows: Sequence[Row],
    *,
    digest: str,
    record: str,
    anyway: bool = False,
    work_limit: int = WORK_LIMIT,
) -> ReadRecord:
    """The record (`rows`, from the file `record`) against the rules, whose content digest is `digest`.

    OtherSheetError if it is of a sheet of other rules; with `anyway` it is then compared by meaning alone.
    """
    sheet = sheet_of(ruleset, digest=digest)
    marks = dict.fromkeys(row.mark for row in rows)
    if sheet.mark not in marks:
        if not anyway:
            said = " and ".join(mark or "nothing" for mark in list(marks)[:3])
            raise OtherSheetError(
                f"the record is of the sheet {said}, and the rules are {sheet.mark}",
                "name the rules that the sheet was made of, or make a new sheet; --anyway compares by meaning alone",
            )
        return _Other(ruleset, sheet, record, work_limit).read(rows)
    return _RecordReader(ruleset, sheet, record, work_limit).read(rows)


@dataclass(slots=True)
class _Meaning:
    """Makes rules of lines and holds them against the rule set."""

    ruleset: m.RuleSet
    sheet: Sheet
    record: str
    work_limit: int
    # What was compared already, by the text: one edited line is the whole record as well.
    known: dict[str, Comparison] = field(default_factory=dict)

    def rules(self, lines: Iterable[SheetLine]) -> tuple[str, m.RuleSet]:
        """ValueError if there are none in them."""
        lines = tuple(lines)
        text, numbers = rebuilt(self.sheet.name, self.sheet.version, lines)
        loaded = parse_ruleset(text.encode("utf-8"), shown=self.record, folder=Path())
        if loaded.ruleset is None:
            errors = [finding for finding in loaded.findings if finding.severity is Severity.ERROR]
            advice = f": {errors[0].advice[0]}" if errors[0].advice else ""
            raise ValueError(by_the_sheet(errors[0].message + advice, self.record, numbers))
        return text, self._with_steps(loaded.ruleset)

    def _with_steps(self, found: m.RuleSet) -> m.RuleSet:
        """With the steps of the sensors, which only say which examples are told and are keyed in nowhere."""
        quantities = dict(found.quantities)
        for name, quantity in quantities.items():
            known = self.ruleset.quantities.get(name)
            if known is not None and known.unit == quantity.unit:
                quantities[name] = replace(quantity, step=known.step)
        return replace(found, quantities=quantities)

    def compared(self, text: str, rules: m.RuleSet) -> Comparison:
        if text not in self.known:
            self.known[text] = self._compared(rules)
        return self.known[text]

    def _compared(self, rules: m.RuleSet) -> Comparison:
        """Other numbers of elements have no states in common in which one could look for a difference: that is one."""
        shapes = []
        for name, quantity in rules.quantities.items():
            known = self.ruleset.quantities.get(name)
            if known is not None and known.size != quantity.size:
                text = f"{name} has {_elements(quantity)} instead of {_elements(known)}"
                shapes.append(Change("statement", name, Direction.LESS, text, text))
        if shapes:
            return Comparison(FileName.of(self.ruleset.origin), FileName.of(rules.origin), tuple(shapes), (), (), 0)
        return compare(in_the_box(self.ruleset), rules, work_limit=self.work_limit, words=False)


@dataclass(slots=True)
class _Other(_Meaning):
    """A record of a sheet of other rules: its numbers are not this sheet's, so only what it means is looked at."""

    def read(self, rows: Sequence[Row]) -> ReadRecord:
        findings: list[LineFinding] = []
        lines: list[SheetLine] = []
        # The order of the sheet is that of the panel; a spreadsheet may have sorted the rows by another column.
        for row in sorted(rows, key=lambda row: (row.line is None, row.line or 0)):
            line = SheetLine(row.line or 0, {"what": "", **row.cells})
            if row.problem:
                findings.append(LineFinding(LineFault.UNREADABLE, row.line, row.row, line.title, row.problem))
            elif not ticked(row):
                findings.append(unticked(line, row))
            lines.append(line)
        findings += [
            LineFinding(LineFault.WHOLE, None, None, one.title, text)
            for one in self.sheet.lines
            for text in one.unsettled
        ]
        text, comparison = None, None
        try:
            text, rules = self.rules(lines)
            comparison = self.compared(text, rules)
        except LineError as problem:
            row_of = {row.line: row.row for row in rows}
            findings.append(
                LineFinding(LineFault.UNREADABLE, problem.number, row_of.get(problem.number), "", str(problem))
            )
        except ValueError as problem:
            findings.append(
                LineFinding(LineFault.WHOLE, None, None, "", f"no rules can be made of the record: {problem}")
            )
        if comparison is not None:
            findings += [LineFinding(LineFault.WHOLE, None, None, "", word) for word in _told(comparison.changes)]
        confirmed = sum(1 for row in rows if ticked(row) and not row.problem)
        mark = rows[0].mark
        return ReadRecord(
            Readback(
                FileName.of(self.ruleset.origin),
                self.record,
                mark,
                len(rows),
                confirmed,
                tuple(findings),
                comparison,
                (),
                True,
            ),
            text,
        )


@dataclass(slots=True)
class _RecordReader(_Meaning):
    def read(self, rows: Sequence[Row]) -> ReadRecord:
        findings: list[LineFinding] = []
        usable = self._usable(rows, findings)
        held: dict[int, SheetLine] = {}
        edits: dict[int, tuple[SheetLine, Row, tuple[CellDifference, ...]]] = {}
        for line in self.sheet.lines:
            row = usable.get(line.number)
            if row is None:
                continue
            if not ticked(row):
                findings.append(unticked(line, row))
            # Ticked or not: nobody can have keyed in what the display cannot hold.
            findings += [
                LineFinding(LineFault.UNSETTLED, line.number, row.row, line.title, text) for text in line.unsettled
            ]
            cells = differences(line.cells, row.cells)
            held[line.number] = SheetLine(line.number, {"what": "", **row.cells}) if cells else line
            if cells:
                edits[line.number] = line, row, cells
        findings += self._edited(held, edits)
        text, comparison = self._whole(held, findings)
        findings += _together(comparison, findings)
        findings.sort(
            key=lambda finding: (finding.line is None, finding.line or 0, finding.row or 0, finding.kind.value)
        )
        troubled = {finding.line for finding in findings}
        confirmed = sum(1 for number, row in usable.items() if ticked(row) and number not in troubled)
        rounded = tuple(one.number for one in self.sheet.lines if is_rounded(one))
        return ReadRecord(
            Readback(
                FileName.of(self.ruleset.origin),
                self.record,
                self.sheet.mark,
                len(self.sheet.lines),
                confirmed,
                tuple(findings),
                comparison,
                rounded,
            ),
            text,
        )

    def _usable(self, rows: Sequence[Row], findings: list[LineFinding]) -> Mapping[int, Row]:
        """The rows of the record by the line they are of; what is wrong with others is told."""
        known = {line.number: line for line in self.sheet.lines}
        found: dict[int, Row] = {}
        spoilt: set[int] = set()
        for row in rows:
            line = None if row.line is None else known.get(row.line)
            about = "" if line is None else line.title
            if row.line is not None and line is None:
                message = f"the sheet has the lines 1 to {len(known)}"
                findings.append(LineFinding(LineFault.UNKNOWN, row.line, row.row, about, message))
            elif row.problem:
                findings.append(LineFinding(LineFault.UNREADABLE, row.line, row.row, about, row.problem))
                spoilt |= {row.line} if row.line is not None else set()
            elif row.mark != self.sheet.mark:
                message = f"it is of the sheet {row.mark or '(nothing said)'}"
                findings.append(LineFinding(LineFault.OTHER_SHEET, row.line, row.row, about, message))
                spoilt |= {row.line} if row.line is not None else set()
            elif row.line in found:
                message = f"it is in the record already, in its line {found[row.line].row}; take one of the two out"
                findings.append(LineFinding(LineFault.TWICE, row.line, row.row, about, message))
            elif row.line is not None:
                found[row.line] = row
        for number, line in known.items():
            if number not in found and number not in spoilt:
                message = "the record does not have it, so nobody knows what the box holds"
                findings.append(LineFinding(LineFault.MISSING, number, None, line.title, message))
        return found

    # ---- what an edited line means

    def _edited(
        self,
        held: dict[int, SheetLine],
        edits: Mapping[int, tuple[SheetLine, Row, tuple[CellDifference, ...]]],
    ) -> list[LineFinding]:
        """The findings of lines that say something else than the sheet. One that cannot be read is taken out of `held`:
        the one of the rule set stands for it, so that the others can still be looked at."""
        found: list[LineFinding] = []
        exchanged = exchanged_channels(edits)
        for number, (line, row, cells) in edits.items():
            # Of two exchanged channels neither can be changed alone: it would be there twice.
            both = {number, exchanged.get(number, number)}
            alone = [held[one.number] if one.number in both else one for one in self.sheet.lines]
            try:
                text, rules = self.rules(alone)
            except ValueError as problem:
                held[number] = line
                found.append(LineFinding(LineFault.UNREADABLE, number, row.row, line.title, str(problem), cells))
                continue
            message = "the box does not hold what the sheet says"
            if len(both) > 1:
                message = f"the channels of lines {min(both)} and {max(both)} are exchanged"
            effects: tuple[str, ...] = ()
            harmless = False
            if len(edits) <= ALONE:
                comparison = self.compared(text, rules)
                effects = _told(comparison.changes)
                harmless = comparison.same and line.what not in PANEL
            found.append(LineFinding(LineFault.DIFFERS, number, row.row, line.title, message, cells, effects, harmless))
        return found

    def _whole(
        self, held: Mapping[int, SheetLine], findings: list[LineFinding]
    ) -> tuple[str | None, Comparison | None]:
        """The record as a whole. A line that is missing is left out, if rules can be made without it."""
        try:
            text, rules = self.rules(held[line.number] for line in self.sheet.lines if line.number in held)
        except ValueError as problem:
            message = f"no rules can be made of the record as a whole: {problem}"
            findings.append(LineFinding(LineFault.WHOLE, None, None, "", message))
            return None, None
        return text, self.compared(text, rules)


def _elements(quantity: m.Quantity) -> str:
    if quantity.size is None:
        return "one value"
    return f"{quantity.size} element{'s' if quantity.size > 1 else ''}"


def _together(comparison: Comparison | None, findings: Sequence[LineFinding]) -> list[LineFinding]:
    """What the record as a whole does otherwise and no line by itself."""
    if comparison is None:
        return []
    known = {effect for finding in findings for effect in finding.effects}
    return [
        LineFinding(LineFault.WHOLE, None, None, "", f"taken together: {text}")
        for text in _told(comparison.changes)
        if text not in known
    ]


def _told(changes: Iterable[Change]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(change.message for change in changes))


# ---- whether two cells say the same: `120` and `120.0`, `5 min` and `300 s` do


_NUMBERS = frozenset({"from", "to", "elements", "resolution"})
_TIMES = frozenset({"for_more_than", "after", "set_after", "cleared_after"})
# What is written in the language, or nearly so: blanks and the way a number is written do not count.
_FORMULAS = frozenset({"formula", "until", "deadband", "exact_from", "exact_to"})
_WORDS = frozenset(
    {"what", "colour", "level", "where", "drawn", "from_included", "to_included", "in_total", "latched", "wired"}
)
_NUMBER = re.compile(r"(?<![\w.])-?[0-9]+(?:\.[0-9]+)?(?![\w.])")


def differences(sheet: Mapping[str, str], held: Mapping[str, str]) -> tuple[CellDifference, ...]:
    """The cells in which a line of the record says something else than the sheet, in the order of the columns."""
    return tuple(
        CellDifference(column, sheet.get(column, ""), held.get(column, ""))
        for column in VALUES
        if _plain(column, sheet.get(column, "")) != _plain(column, held.get(column, ""))
    )


def _plain(column: str, cell: str) -> object:
    """A cell as what it says; as it is written if it cannot be read."""
    text = " ".join(cell.split())
    try:
        if column in _NUMBERS and text:
            return number_of(text)
        if column in _TIMES and text:
            return seconds_of(text)
    except ValueError:
        return text
    if column in _WORDS:
        return text.lower()
    if column in _FORMULAS:
        return _NUMBER.sub(lambda found: show_number(parse_number(found[0])), text)
    if column in {"channel", "positions"}:
        return tuple(part.strip() for part in re.split("[;,]", text))
    return text


# ---- what a finding about a record says, and by which line of the sheet


# Words that stand in the cells of a sheet.
_VALUES = frozenset(word.word for kind in (m.Colour, m.Level) for word in kind) | {"inside", "outside", "latched"}


def unticked(line: SheetLine, row: Row) -> LineFinding:
    """What stands in the column may be what the box holds: that belongs into the cell which it is of."""
    said = row.confirmed
    signs = f"write x (or {', '.join(CONFIRMS[1:])})"
    if not said:
        message = f"nobody has confirmed it: {signs} into the column {CONFIRMED} once the box was looked at"
    elif any(sign.isdigit() for sign in said) or said.casefold() in _VALUES:
        message = (
            f"{CONFIRMED} says {said!r}, which confirms nothing: if that is what the box holds, correct the cell of the"
            f" line itself; then {signs}"
        )
    else:
        message = (
            f"{CONFIRMED} says {said!r}, which confirms nothing: {signs} if the box holds what the line"
            " says; if not, correct the cell of the line itself first"
        )
    return LineFinding(LineFault.UNCONFIRMED, line.number, row.row, line.title, message)


def by_the_sheet(message: str, record: str, numbers: Sequence[int]) -> str:
    """A message about the text that was made of the lines, with the numbers of the sheet's lines instead of its own.

    `numbers`: for every line of that text the one of the sheet, 0 for those of none."""

    def line(found: re.Match[str]) -> str:
        at = int(found[1])
        return f"line {numbers[at - 1]} of the sheet" if at <= len(numbers) and numbers[at - 1] else "the record"

    return re.sub(rf"{re.escape(record)}(?: line |:)(\d+)(?::\d+)?", line, message)


def exchanged_channels(edits: Mapping[int, tuple[SheetLine, Row, tuple[CellDifference, ...]]]) -> dict[int, int]:
    """Lines that differ in nothing but that each has the channels of another one: that one's number."""
    found: dict[int, int] = {}
    alone = {
        number: (cells[0].sheet, cells[0].held)
        for number, (_, _, cells) in edits.items()
        if [difference.column for difference in cells] == ["channel"]
    }
    for number, (sheet, held) in alone.items():
        others = [other for other, said in alone.items() if said == (held, sheet)]
        if len(others) == 1:
            found[number] = others[0]
    return found
