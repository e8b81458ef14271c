"""A report as text that reads well at 80 columns and without colour."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Edit, Fact, Finding, Lead, Suggestion, ToldOtherwise, Witness, WitnessReading
from alertlang.output.basis import names_of, proved_words, weak_numbers
from alertlang.output.style import Line, wrapped
from alertlang.results.report import ClaimResult, Report, Verdict
from alertlang.text.source import Span
from alertlang.units.number import say_value, show_number

WIDTH = 80
CAUTION = (
    "alertlang advises and does not certify; nothing here is an authority's approval: the aircraft's approved manuals, "
    "local rules and licensed persons decide."
)


def report_lines(report: Report, solver: str, width: int = WIDTH, *, claims_only: bool = False) -> list[Line]:
    """Findings in the order of the text, then claims, then one line that sums up.

    `claims_only`: nothing else was looked at; what is claimed and the assumptions used stand under proved claims too.
    """
    lines: list[Line] = []
    for finding in report.findings:
        lines += finding_lines(finding, width)
        lines.append([])
    for claim in report.claims:
        proof = claim_lines(claim, width)
        lines += proof if claims_only or claim.verdict is not Verdict.PROVED else proof[:1]
    if report.claims:
        lines.append([])
    lines += _claims_summary(report, width) if claims_only and report.readable else _summary(report, solver, width)
    return lines


def finding_lines(finding: Finding, width: int = WIDTH) -> list[Line]:
    """One finding: where and what, the source line, an example, the way out."""
    place = f"{finding.path}:{finding.where.line}:{finding.where.column}: " if finding.where else f"{finding.path}: "
    severity = finding.severity.word
    head: Line = [("dim", place), (severity, f"{severity} {finding.code.code} {finding.code.name}")]
    if finding.accepted is not None:
        head.append(("dim", " (accepted)"))
    lines = [head]
    message = finding.message.removeprefix(f"{finding.path}: ") if finding.where is None else finding.message
    lines += _wrapped("strong", message, width, "  ")
    if finding.where is not None:
        lines += snippet(finding.where, width)
    if finding.accepted is not None:
        lines += field("accepted", finding.accepted, width)
        return lines
    if finding.witness:
        lines += field("for example", witness_words(finding.witness), width)
    if finding.suggestion is not None:
        lines += _proposal_lines(finding, finding.suggestion, width)
    if finding.lead is not None:
        lines += field("mended with", lead_words(finding.lead, finding.path), width)
    for advice in finding.advice:
        lines += field("note" if finding.suggestion is not None or finding.witness else "way out", advice, width)
    return lines


def _proposal_lines(finding: Finding, suggestion: Suggestion, width: int) -> list[Line]:
    """What is proposed. Statements are not wrapped: they are there to be copied."""
    lines: list[Line] = []
    if finding.trial is None:
        lines += _wrapped("note", "proposed, not tried:", width, "  ")
    elif not finding.trial.good:
        lines += _wrapped("note", "a start, not enough by itself:", width, "  ")
    if suggestion.slip:
        lines += field("one slip", suggestion.slip, width)
    for edit in suggestion.edits:
        word = "add"
        if edit.replaces is not None:
            line = edit.replaces.line
            word = "change to" if is_here(finding, edit) and not suggestion.more else f"line {line}"
            if edit.replaces.source.path != finding.path:
                lines += _wrapped("", f"in {edit.replaces.source.path} line {line}", width, "  ")
        lines.append([("", f"  {word + ':':<13}"), ("code", edit.text)])
    if finding.trial is not None and finding.trial.short_of:
        lines += field("but", finding.trial.short_of, width)
    for given in finding.trial.gives_up if finding.trial is not None else ():
        lines += field("less strict", given, width)
    return lines


def is_here(finding: Finding, edit: Edit) -> bool:
    """Whether a finding points at the statement that an edit changes."""
    return (
        finding.where is not None
        and edit.replaces is not None
        and edit.replaces.line <= finding.where.line <= edit.replaces.end_line
    )


def lead_words(lead: Lead, path: str) -> str:
    """Where the proposal stands that goes for a finding, and what it is."""
    place = f"line {lead.line}" + ("" if lead.path == path else f" of {lead.path}")
    return f"{lead.code.code} at {place}: {lead.why}"


def claim_lines(claim: ClaimResult, width: int = WIDTH) -> list[Line]:
    """One claim with its verdict."""
    style = "good" if claim.verdict is Verdict.PROVED else "error"
    if claim.verdict is Verdict.VACUOUS:
        style = "warning"
    head: Line = [(style, f"{claim.verdict.value:<10}"), ("strong", claim.label)]
    if claim.verdict is Verdict.PROVED and claim.assumptions:
        head.append(("", f", assuming {names_of(claim.assumptions)}"))
    text = claim.text
    label = f"{claim.label}:"
    if text.startswith(label):
        text = text[len(label) :].strip()
    lines = [head, *_wrapped("", text, width, "          ")]
    if claim.verdict is Verdict.PROVED:
        used = ", ".join(claim.assumptions) if claim.assumptions else "none"
        lines.append([("dim", f"          assumptions used: {used}")])
        if claim.covers:
            lines += _wrapped("dim", f"covers: {claim.covers}", width, "          ")
    if claim.witness:
        shown = f"; {claim.shown}" if claim.shown else ""
        lines += _wrapped("", f"not so for example at {witness_words(claim.witness)}{shown}", width, "          ")
    if claim.verdict is Verdict.VACUOUS:
        lines.append([("", "          no state is in its case, so it says nothing")])
    if claim.verdict is Verdict.UNDECIDED:
        lines += _wrapped("", f"{claim.shown or 'the solver gave up'}: nothing is proved", width, "          ")
    return lines


def witness_words(witness: Witness) -> str:
    """For example `rpm 2520 rpm, oil_temp 210 F, flaps up, not cold`."""
    return ", ".join(_fact(name, fact) for name, fact in witness.items())


def _fact(name: str, fact: Fact) -> str:
    if isinstance(fact, WitnessReading):
        return f"{name} {say_value(fact.value, fact.unit)}"
    if isinstance(fact, ToldOtherwise):
        return f"{_truth(name, fact.holds)}, but the box sees {_truth(name, fact.told)}"
    return _truth(name, fact) if isinstance(fact, bool) else f"{name} {fact}"


def _truth(name: str, holds: bool) -> str:
    if holds:
        return name
    # "not running for at least 30 s" could be read as "for at least 30 s not running".
    return f"not ({name})" if " for " in name else f"not {name}"


def snippet(span: Span, width: int = WIDTH) -> list[Line]:
    """The first line of a place, underlined."""
    number = span.line
    text = span.source.line_text(number).replace("\t", " ")
    column = span.column
    length = (span.end - span.start) if span.end_line == number else len(text) - column + 1
    length = max(1, length)
    margin = f"  {number:>4} | "
    room = max(20, width - len(margin))
    # A long line is cut to what surrounds the place.
    cut = 0
    if column - 1 + min(length, room) > room:
        cut = max(0, column - 1 - room // 4)
    shown = text[cut : cut + room]
    mark = "^" * max(1, min(length, room - (column - 1 - cut)))
    if not text.strip():
        return [[("dim", margin.rstrip())]]
    return [
        [("dim", margin), ("", shown)],
        [("dim", " " * (len(margin) - 2) + "| "), ("mark", " " * (column - 1 - cut) + mark)],
    ]


def _claims_summary(report: Report, width: int) -> list[Line]:
    proved = sum(1 for c in report.claims if c.verdict is Verdict.PROVED)
    said = (
        f'{report.file.kind} "{report.file.name}" version {report.file.version}: {proved_words(report.claims)}; '
        "nothing else was checked (alertlang check does that)"
    )
    return [*_wrapped("good" if proved == len(report.claims) else "error", said, width, ""), *_weak(report, width)]


def _weak(report: Report, width: int) -> list[Line]:
    said = weak_numbers(report.basis.numbers)
    return _wrapped("warning", said, width, "") if said else []


def _summary(report: Report, solver: str, width: int) -> list[Line]:
    name = f'{report.file.kind} "{report.file.name}" version {report.file.version}'
    if not report.readable:
        count = sum(1 for f in report.findings if f.severity is Severity.ERROR)
        said = f"{report.file.path}: not checked: {counted(count, 'error')} in reading it"
        return _wrapped("error", said, width, "")
    if report.file.kind == "display":
        return _wrapped("good", f"{name}: read; nothing in it is checked by itself", width, "")
    said = f"{name}: {counts_words(report.findings)}"
    if report.claims:
        said += f"; {proved_words(report.claims)}"
    quantities = {p.quantity for p in report.proved if p.quantity is not None}
    questions = sum(p.queries for p in report.proved)
    if report.proved:
        said += (
            f"; {counted(len(report.proved), 'check')} without a finding over "
            f"{counted(len(quantities), 'quantity', 'quantities')} "
            f"({counted(questions, 'question')} to {solver.split()[0]})"
        )
        if report.basis.assumptions:
            said += f", assuming {names_of(report.basis.assumptions)}"
    worst = report.worst()
    style = {None: "good", Severity.NOTE: "good", Severity.WARNING: "warning", Severity.ERROR: "error"}[worst]
    return [*_wrapped(style, said, width, ""), *_weak(report, width)]


def counts_words(findings: Iterable[Finding]) -> str:
    """`1 error, 2 warnings, 0 notes, 1 accepted (nuisance)`."""
    listed = list(findings)
    counts = [counted(count, word) for word, count in severities(listed).items()]
    accepted = [f.code.name for f in listed if f.accepted is not None]
    if accepted:
        counts.append(f"{len(accepted)} accepted ({names_of(sorted(set(accepted)))})")
    return ", ".join(counts)


def severities(findings: Iterable[Finding]) -> dict[str, int]:
    """How many that count are how bad, the worst first."""
    count = Counter(f.severity for f in findings if f.accepted is None)
    return {severity.word: count[severity] for severity in sorted(Severity, reverse=True)}


def counted(number: int, word: str, plural: str | None = None) -> str:
    return f"{number} {word if number == 1 else plural or word + 's'}"


def several(word: str) -> str:
    """What more than one of a kind of statement, or of a level, is called."""
    if word in ("avoid", "normal"):
        return f"{word} ranges"
    return f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"


def field(name: str, text: str, width: int) -> list[Line]:
    """A text beside its name; without one it stands under the one before."""
    heads = [("dim", f"  {name and f'{name}:':<13}"), *([("dim", " " * 15)] * len(text))]
    return [[head, *line] for head, line in zip(heads, wrapped("", text, width - 15) or [[("", "")]], strict=False)]


def _wrapped(style: str, text: str, width: int, indent: str) -> list[Line]:
    return [[("", indent), *line] for line in wrapped(style, text, width - len(indent)) or [[(style, "")]]]


def tenths(value: Fraction) -> str:
    """To one place, halves up; text for people, the JSON has the number itself."""
    return show_number(Fraction((value * 10 + Fraction(1, 2)).__floor__(), 10))


def caution_lines(width: int = WIDTH) -> list[Line]:
    """The usual caution, once at the end."""
    return _wrapped("dim", CAUTION, width, "")


def page_lines(code: str, name: str, severity: str, page: str, width: int) -> list[Line]:
    """A page of `explain`. Prose and lists are laid out anew; files and tables stay as they are."""
    return _page([("strong", f"{code} {name}"), ("dim", f" ({severity})")], page, width)


def word_lines(name: str, topic: str, page: str, width: int) -> list[Line]:
    """A word of the language as a page of `explain`; a section of LANGUAGE.md has no topic."""
    return _page([("strong", name), *([("dim", f" ({topic})")] if topic else [])], page, width)


def index_lines(title: str, names: Iterable[str], width: int) -> list[Line]:
    """Names of one topic, side by side."""
    return [[("strong", title)], *_wrapped("", ", ".join(names), width, "  ")]


def _page(head: Line, page: str, width: int) -> list[Line]:
    lines: list[Line] = [head]
    for block in page.strip("\n").split("\n\n"):
        lines.append([])
        lines += _block_lines(block.split("\n"), width)
    return lines


def _block_lines(raw: list[str], width: int) -> list[Line]:
    if any(line.startswith(("    ", "|", "## ")) for line in raw):
        styles = {"## ": "strong", "    ": "code"}
        found: list[Line] = []
        for line in raw:
            start = next((s for s in styles if line.startswith(s)), "")
            found.append([(styles.get(start, ""), line.removeprefix("## "))])
        return found
    # A paragraph, or the items of a list.
    items: list[str] = []
    for line in raw:
        if line.startswith("- ") or not items:
            items.append(line.strip())
        else:
            items[-1] += f" {line.strip()}"
    return [
        [("", line)]
        for item in items
        for line in textwrap.wrap(
            item, width, subsequent_indent="  " if item.startswith("- ") else "", break_on_hyphens=False
        )
    ]


def table_lines(rows: Iterable[tuple[str, ...]], widths: tuple[int, ...]) -> list[Line]:
    """Rows of columns; the last column is not padded."""
    lines: list[Line] = []
    for row in rows:
        text = "".join(f"{cell:<{size}}" for cell, size in zip(row[:-1], widths, strict=False))
        lines.append([("", text + row[-1])])
    return lines
