"""Something that is counted and does not fit, in words."""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.fit.need import Resource

# So many are named; more would hide the message.
_MOST = 12


def too_many(fit: Fit, name: str, resource: Resource, who: str, what: str) -> Iterator[Finding]:
    """By how much it does not fit, at the first statement that finds no place. `who` needs how many of `what`."""
    if not resource.over:
        return
    unit = resource.first_over
    quantity = resource.subject.split("[")[0] if resource.subject is not None else None
    if not resource.proved:
        yield undecided(name, unit.span, quantity, unit.users)
        return
    units = [one.words for one in resource.units]
    more = f"; and {len(units) - _MOST} more" if len(units) > _MOST else ""
    yield finding(
        name,
        f"{who} {resource.needed} {what}, and {fit.named} has room for {resource.allowed}: {resource.over} too many",
        unit.span,
        quantity=quantity,
        statements=unit.users,
        advice=(f"needed: {'; '.join(units[:_MOST])}{more}", "`alertlang fit RULES DISPLAY` says what can go"),
    )
