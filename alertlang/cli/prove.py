"""`alertlang prove`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from alertlang import __version__
from alertlang.api import Rules, basis_of, report_on
from alertlang.cli.common import (
    FailOn,
    Files,
    Output,
    OutputFormat,
    SearchPath,
    WorkLimit,
    exit_code,
    read,
    width,
)
from alertlang.cli.config import NoConfigOfPaths
from alertlang.logic.solver import WORK_LIMIT, solver_version
from alertlang.model.load import Loaded
from alertlang.output.json import report_data
from alertlang.output.style import write
from alertlang.output.text import caution_lines, report_lines
from alertlang.results.report import FileName, Report

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.checks.evidence import Evidence

EvidenceFile = Annotated[
    Path | None,
    typer.Option(
        "--evidence",
        metavar="FILE",
        help="Write every question with its answer to an SMT-LIB 2 file, which another solver can check. For one rule "
        "file at a time.",
        show_default=False,
    ),
]


def _old_name(given: str | None) -> None:
    if given is not None:
        raise typer.BadParameter("it is called --evidence FILE now", param_hint="--certificate")


# Not taken for an authority's paper any more; a script that has it is told the new name.
OldName = Annotated[str | None, typer.Option("--certificate", hidden=True, callback=_old_name)]
Second = Annotated[
    bool,
    typer.Option(
        "--second-solver",
        help="Have cvc5 answer every question again. Ends with code 1 if it does not confirm them all.",
    ),
]


def command(
    files: Files,
    path: SearchPath = None,
    output: Output = OutputFormat.TEXT,
    work_limit: WorkLimit = None,
    evidence_file: EvidenceFile = None,
    old_name: OldName = None,
    second_solver: Second = False,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Prove the claims of rule files, and nothing else. Ends with code 1 if one is refuted, undecided or vacuous."""
    _ready(evidence_file, second_solver, files)
    reports: list[Report] = []
    unproved = unwritten = False
    for name in files:
        loaded = read(name, path or ())
        recorded = evidence_file is not None or second_solver
        report, evidence = _proved(loaded, work_limit or WORK_LIMIT, recorded, second_solver)
        reports.append(report)
        unproved = unproved or any(c.verdict.value == "vacuous" for c in report.claims)
        unproved = unproved or (second_solver and evidence is not None and _doubted(evidence))
        written = _written(evidence_file, evidence)
        unwritten = unwritten or (evidence_file is not None and written is None)
        if output is OutputFormat.JSON:
            _say_json(report, evidence, written)
        else:
            _say(report, evidence, written)
    if output is OutputFormat.TEXT:
        write(caution_lines(width()))
    code = exit_code(reports, FailOn.ERROR)
    raise typer.Exit(2 if unwritten else 1 if code == 0 and unproved else code)


def _ready(evidence_file: Path | None, second_solver: bool, files: list[str]) -> None:
    """Errors that can be seen before the work."""
    if evidence_file is not None:
        from alertlang.cli.evidence import usable_path

        usable_path(evidence_file, files)
    if second_solver:
        from alertlang.cli.evidence import need_second_solver

        need_second_solver()


def _proved(loaded: Loaded, work_limit: int, recorded: bool, second_solver: bool) -> tuple[Report, Evidence | None]:
    """The claims of a file, with what they rest on if that is to be recorded."""
    if loaded.ruleset is None:
        return report_on(loaded), None
    rules = Rules(loaded.ruleset, loaded.findings)
    evidence = rules.evidence(work_limit=work_limit, second_solver=second_solver) if recorded else None
    claims = rules.prove(work_limit=work_limit) if evidence is None else evidence.claims
    origin = loaded.ruleset.origin
    report = Report(
        FileName(origin.kind, origin.name, origin.version, origin.path),
        tuple(FileName(o.kind, o.name, o.version, o.path) for o in loaded.ruleset.profiles),
        True,
        loaded.findings,
        claims,
        basis=basis_of(loaded.ruleset),
    )
    return report, evidence


def _doubted(evidence: Evidence) -> bool:
    """Whether the second solver did not confirm everything: it was asked so that nothing rests on one solver alone."""
    return len(evidence.confirmed) < len(evidence.asked)


def _written(evidence_file: Path | None, evidence: Evidence | None) -> Path | None:
    """Where the evidence was written to."""
    if evidence_file is None:
        return None
    if evidence is None:
        sys.stderr.write("alertlang: the evidence was not written, for the file could not be read\n")
        return None
    from alertlang.cli.evidence import save

    return evidence_file if save(evidence_file, evidence) else None


def _say(report: Report, evidence: Evidence | None, written: Path | None) -> None:
    write(report_lines(report, solver_version(), width(), claims_only=True))
    if report.readable and not report.claims:
        write([[("", "it makes no claims: write for example `prove rpm above 2750 is red`")]])
    if evidence is None:
        return
    from alertlang.cli.evidence import saved_lines, second_lines

    if evidence.second is not None:
        write(second_lines(evidence, width()))
    if written is not None:
        write(saved_lines(written, evidence))


def _say_json(report: Report, evidence: Evidence | None, written: Path | None) -> None:
    data: dict[str, Any] = dict(report_data(report, __version__, solver_version()))
    if evidence is not None and evidence.second is not None:
        from alertlang.cli.evidence import second_data

        data["second_solver"] = second_data(evidence)
    if written is not None:
        data["evidence"] = str(written)
    sys.stdout.write(json.dumps(data, ensure_ascii=False) + "\n")
