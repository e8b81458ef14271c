"""Reports as workflow commands: lines that a build of GitHub Actions shows beside the file.

The form is that of GitHub's page "Workflow commands for GitHub Actions", the escapes are those of its toolkit
(@actions/core): in a message `%`, carriage return and line feed, in a property `:` and `,` as well. Every text from a
rule file is in a command and so escaped: a line that starts with `::` could otherwise be a command of its own.
"""

from __future__ import annotations

import re

from alertlang.findings.codes import Severity
from alertlang.output.basis import weak_numbers
from alertlang.output.text import counted, severities
from alertlang.output.words import relative, says, says_of_claim
from alertlang.results.report import Report, Verdict
from alertlang.text.source import Span
from alertlang.text.utf16 import place
from alertlang.text.visible import visible

_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def report_commands(report: Report, folder: str, known: frozenset[int] = frozenset()) -> list[str]:
    """One line for each finding and each claim that is not proved, and one that sums up.

    `known`: indexes of the findings that a baseline holds; they are counted and not shown. What was accepted is a
    notice. `folder`: paths are told from there.
    """
    lines = []
    for index, finding in enumerate(report.findings):
        title = f"{finding.code.code} {finding.code.name}"
        if index in known:
            continue
        if finding.accepted is not None:
            message = f"{finding.message}\naccepted: {finding.accepted}"
            lines.append(_command("notice", finding.where, finding.path, folder, f"{title} (accepted)", message))
        else:
            lines.append(
                _command(_COMMANDS[finding.severity], finding.where, finding.path, folder, title, says(finding))
            )
    for claim in report.claims:
        if claim.verdict is not Verdict.PROVED:
            command = "warning" if claim.verdict is Verdict.VACUOUS else "error"
            title = f"{claim.verdict.value} claim {claim.label}"
            lines.append(_command(command, claim.where, claim.where.source.path, folder, title, says_of_claim(claim)))
    return [*lines, _sum(report, known)]


def note_command(text: str) -> str:
    """A note on the call as a whole."""
    return f"::notice title=alertlang::{_data(text)}"


def _command(command: str, where: Span | None, path: str, folder: str, title: str, message: str) -> str:
    properties: list[tuple[str, str | int]] = [("file", relative(path, folder))]
    if where is None:
        properties.append(("line", 1))
    else:
        found = place(where)
        properties += [("line", found.line), ("endLine", found.end_line), ("col", found.column)]
        # A column to end at is of the first line; of several lines all is marked.
        if found.line == found.end_line:
            properties.append(("endColumn", found.end_column))
    properties.append(("title", title))
    listed = ",".join(f"{key}={_property(str(value))}" for key, value in properties)
    return f"::{command} {listed}::{_data(message)}"


def _sum(report: Report, known: frozenset[int]) -> str:
    """Numbers alone: this line is no command, so no text of a rule file may be in it."""
    if not report.readable:
        return "alertlang: a file could not be read and was not checked"
    if report.file.kind == "display":
        return "alertlang: a display was read; nothing in it is checked by itself"
    new = severities(f for i, f in enumerate(report.findings) if i not in known)
    counts = [counted(count, word) for word, count in new.items()]
    accepted = sum(1 for f in report.findings if f.accepted is not None)
    proved = [c for c in report.claims if c.verdict is Verdict.PROVED]
    leaning = sum(1 for c in proved if c.assumptions)
    weak = weak_numbers(report.basis.numbers)
    return (
        f"alertlang: {', '.join(counts)}, {accepted} accepted, {len(known)} known; "
        f"{len(proved)} of {len(report.claims)} claims proved"
        + (f", {leaning} of them under assumptions" if leaning else "")
        + (f"; {weak}" if weak else "")
    )


def _data(text: str) -> str:
    # Line ends have escapes of their own there, which keep a file name what it is.
    escapes = {"\r": "%0D", "\n": "%0A"}
    return "".join(escapes.get(part) or visible(part).replace("%", "%25") for part in re.split("([\r\n])", text))


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
