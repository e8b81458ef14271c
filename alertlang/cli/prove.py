"""`alertlang prove`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from alertlang.api.rules import WORK_LIMIT, Report, UnreadableError, solver_version
from alertlang.cli import common
from alertlang.cli.config import NoConfigOfPaths
from alertlang.output.style import write
from alertlang.output.text import caution_lines, report_lines

# What is not asked for is not imported.
if TYPE_CHECKING:
    from alertlang.api.rules import Evidence

EvidenceFile = Annotated[
    Path | None,
    common.option(
        "--evidence",
        "FILE",
        "Write every question with its answer to an SMT-LIB 2 file, which another solver can check. For one rule "
        "file at a time.",
    ),
]
# Not taken for an authority's paper any more; a script that has it is told the new name.
OldName = Annotated[str | None, common.renamed("--certificate", "--evidence FILE")]
Second = Annotated[
    bool,
    typer.Option(
        "--second-solver",
        help="Have cvc5 answer every question again. Ends with code 1 if it does not confirm them all.",
    ),
]


def command(
    files: common.Files,
    path: common.SearchPath = None,
    output: common.Output = common.OutputFormat.TEXT,
    work_limit: common.WorkLimit = None,
    evidence_file: EvidenceFile = None,
    force: common.Force = False,
    old_name: OldName = None,
    second_solver: Second = False,
    no_config: NoConfigOfPaths = False,
) -> None:
    """Prove the claims of rule files, and nothing else. Ends with code 1 if one is refuted, undecided or vacuous."""
    _ready(evidence_file, second_solver, files, force)
    reports: list[Report] = []
    unproved = unwritten = False
    for name in files:
        recorded = evidence_file is not None or second_solver
        report, evidence = _proved(name, path or [], work_limit or WORK_LIMIT, recorded, second_solver)
        reports.append(report)
        unproved = unproved or any(c.verdict.value == "vacuous" for c in report.claims)
        unproved = unproved or (second_solver and evidence is not None and _doubted(evidence))
        written = _written(evidence_file, evidence, force)
        unwritten = unwritten or (evidence_file is not None and written is None)
        if output is common.OutputFormat.JSON:
            _say_json(report, evidence, written)
        else:
            _say(report, evidence, written)
    if output is common.OutputFormat.TEXT:
        write(caution_lines(common.width()))
    code = common.exit_code(reports, common.FailOn.ERROR)
    raise typer.Exit(2 if unwritten else 1 if code == 0 and unproved else code)


def _ready(evidence_file: Path | None, second_solver: bool, files: list[str], force: bool) -> None:
    """Errors that can be seen before the work."""
    if evidence_file is not None:
        from alertlang.cli.evidence import usable_path

        usable_path(evidence_file, files, force=force)
    if second_solver:
        from alertlang.cli.evidence import need_second_solver

        need_second_solver()


def _proved(
    name: str, search: list[Path], work_limit: int, recorded: bool, second_solver: bool
) -> tuple[Report, Evidence | None]:
    """The claims of a file, with what they rest on if that is to be recorded."""
    try:
        rules = common.read(name, search)
    except UnreadableError as problem:
        if problem.report is None:
            raise
        return problem.report, None
    evidence = rules.evidence(work_limit=work_limit, second_solver=second_solver) if recorded else None
    claims = rules.prove(work_limit=work_limit) if evidence is None else evidence.claims
    return rules.claims_report(claims), evidence


def _doubted(evidence: Evidence) -> bool:
    """Whether the second solver did not confirm everything: it was asked so that nothing rests on one solver alone."""
    return len(evidence.confirmed) < len(evidence.asked)


def _written(evidence_file: Path | None, evidence: Evidence | None, force: bool) -> Path | None:
    """Where the evidence was written to."""
    if evidence_file is None:
        return None
    if evidence is None:
        common.complain("the evidence was not written, for the file could not be read")
        return None
    from alertlang.cli.evidence import save

    return evidence_file if save(evidence_file, evidence, force=force) else None


def _say(report: Report, evidence: Evidence | None, written: Path | None) -> None:
    write(report_lines(report, solver_version(), common.width(), claims_only=True))
    if report.readable and not report.claims:
        write([[("", "it makes no claims: write for example `prove rpm above 2750 is red`")]])
    if evidence is None:
        return
    from alertlang.cli.evidence import saved_lines, second_lines

    if evidence.second is not None:
        write(second_lines(evidence, common.width()))
    if written is not None:
        write(saved_lines(written, evidence))


def _say_json(report: Report, evidence: Evidence | None, written: Path | None) -> None:
    data: dict[str, Any] = report.to_dict()
    if evidence is not None and evidence.second is not None:
        from alertlang.cli.evidence import second_data

        data["second_solver"] = second_data(evidence)
    if written is not None:
        data["evidence"] = str(written)
    sys.stdout.write(json.dumps(data, ensure_ascii=False) + "\n")
