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
    left = [one for one in before.findings if one.accepted is None]
    new: list[Finding] = []
    for one in after.findings:
        if one.accepted is not None or one.severity < Severity.WARNING:
            continue
        old = next((other for other in left if _same(one, other)), None)
        if old is None:
            new.append(one)
        else:
            left.remove(old)
    new.sort(key=lambda one: -one.severity)
    claims = (f"claim {claim.label} {claim.verdict.value}" for claim in worse_claims(before.claims, after.claims))
    return tuple(dict.fromkeys([*map(_words, new), *claims]))


def _same(new: Finding, old: Finding) -> bool:
    about = (new.code, new.path, new.quantity, new.limit, new.statements[:1])
    if about != (old.code, old.path, old.quantity, old.limit, old.statements[:1]) or new.undecided > old.undecided:
        return False
    return no_worse(new, old.severity, old.region, old.reaction)


def _words(one: Finding) -> str:
    if one.undecided:
        return f"{one.code.name} is not decided"
    if one.limit is not None and one.severity is Severity.ERROR:
        return f"breaks {one.limit} ({one.code.name})"
    about = one.statements[0] if one.statements else one.quantity
    return f"{one.code.name}" + (f" of {about}" if about else "")
