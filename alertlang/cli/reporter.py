"""Saying reports in the format that was asked for."""

from __future__ import annotations

import os
import sys
from dataclasses import replace

from alertlang.api.rules import Report, pages, solver_version
from alertlang.cli.common import CheckFormat, complain, width
from alertlang.output.style import wrapped, write
from alertlang.output.text import caution_lines, report_lines
from alertlang.text.version import __version__


def new_in(report: Report, known: frozenset[int]) -> Report:
    """A report without the findings at some indexes."""
    if not known:
        return report
    return replace(report, findings=tuple(f for i, f in enumerate(report.findings) if i not in known))


class Reporter:
    """Says reports in one of the formats, each as soon as that format allows."""

    def __init__(self, output: CheckFormat) -> None:
        self._output = output
        self._reports: list[Report] = []
        self._known: list[frozenset[int]] = []
        self._notes: list[str] = []

    def report(self, report: Report, known: frozenset[int], notes: list[str]) -> None:
        if self._output is CheckFormat.TEXT:
            write(report_lines(new_in(report, known), solver_version(), width()))
            write(line for note in notes for line in wrapped("note", note, width()))
        elif self._output is CheckFormat.JSON:
            sys.stdout.write(report.to_json() + "\n")
            # Nothing but the objects may stand on standard output.
            for note in notes:
                complain(note)
        elif self._output is CheckFormat.GITHUB:
            from alertlang.output.github import note_command, report_commands

            lines = [*report_commands(report, os.getcwd(), known), *map(note_command, notes)]
            sys.stdout.write("".join(f"{line}\n" for line in lines))
        else:
            self._reports.append(report)
            self._known.append(known)
            self._notes += notes

    def end(self) -> None:
        if self._output is CheckFormat.TEXT:
            write(caution_lines(width()))
        elif self._output is CheckFormat.SARIF:
            from alertlang.output.sarif import sarif_log

            log = sarif_log(
                self._reports,
                __version__,
                solver_version(),
                pages(),
                folder=os.getcwd(),
                known=self._known,
                notes=self._notes,
            )
            sys.stdout.write(log)
