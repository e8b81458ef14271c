"""Which published rules a draft can say that it follows: those with which no finding comes."""

from __future__ import annotations

from collections.abc import Callable

from alertlang.checks.run import run
from alertlang.checks.standards.published import CLAUSES, Clause
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m

# 23.1549 is known from memory alone and says what 25.1549 does; 27 and 29 are for rotorcraft.
_ASKED = ("14 CFR 23.1322", "14 CFR 23.1545", "14 CFR 25.1322", "14 CFR 25.1549", "14 CFR 25.1553", "14 CFR 91.205")


def follow_lines(text: str, read: Callable[[str], m.RuleSet | None]) -> list[str]:
    """`follow` statements, and a comment on each paragraph that does not hold. `read` reads the text of rules."""
    asked = [clause for clause in CLAUSES if clause.rule in _ASKED]
    before = read(text)
    with_all = read(text + "\n" + "\n".join(f'follow "{clause.name}"' for clause in asked) + "\n")
    if before is None or with_all is None:
        return []
    known = {(f.code.name, f.message) for f in run(before).findings if f.severity > Severity.NOTE}
    against: dict[Clause, Finding] = {}
    for one in run(with_all).findings:
        if one.severity <= Severity.NOTE or one.accepted is not None or (one.code.name, one.message) in known:
            continue
        # The name in the text of the finding, without what all of them begin with. In doubt all are against it.
        cited = [clause for clause in asked if clause.name.split()[-1] in one.message]
        for clause in cited or asked:
            against.setdefault(clause, one)
    lines: list[str] = []
    for rule in _ASKED:
        of_rule = [clause for clause in asked if clause.rule == rule]
        if not any(clause in against for clause in of_rule):
            lines.append(f'follow "{rule}"')
            continue
        for clause in of_rule:
            if clause in against:
                why = against[clause].message.split(" (14 CFR")[0]
                lines.append(f"# Not followed: {clause.name}: {why}.")
            else:
                lines.append(f'follow "{clause.name}"')
    return lines
