"""Whether a change brings anything that the checks did not find before."""

from __future__ import annotations

from alertlang.checks.run import Results
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.output.identity import no_worse
from alertlang.results.report import worse_claims


def new_faults(before: Results, after: Results) -> tuple[str, ...]:
    """What is found in `after` and was not in `before`, or is worse now: in words, the gravest first. What was not
    decided counts, and so does a claim that is no longer proved."""
    left = [finding for finding in before.findings if finding.accepted is None]
    new: list[Finding] = []
    for finding in after.findings:
        if finding.accepted is not None or finding.severity < Severity.WARNING:
            continue
        old = next((other for other in left if _same(finding, other)), None)
        if old is None:
            new.append(finding)
        else:
            left.remove(old)
    new.sort(key=lambda finding: -finding.severity)
    claims = (f"claim {claim.label} {claim.verdict.value}" for claim in worse_claims(before.claims, after.claims))
    return tuple(dict.fromkeys([*map(_words, new), *claims]))


def _same(new: Finding, old: Finding) -> bool:
    about = (new.code, new.path, new.quantity, new.limit, new.statements[:1])
    if about != (old.code, old.path, old.quantity, old.limit, old.statements[:1]) or new.undecided > old.undecided:
        return False
    return no_worse(new, old.severity, old.region, old.reaction)


def _words(finding: Finding) -> str:
    if finding.undecided:
        return f"{finding.code.name} is not decided"
    if finding.limit is not None and finding.severity is Severity.ERROR:
        return f"breaks {finding.limit} ({finding.code.name})"
    about = finding.statements[0] if finding.statements else finding.quantity
    return f"{finding.code.name}" + (f" of {about}" if about else "")
