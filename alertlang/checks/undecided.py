"""What is said when the solver gives up: never nothing, and never a pass."""

from __future__ import annotations

from alertlang.findings.finding import Finding, finding
from alertlang.text.source import Span


def undecided(
    name: str,
    where: Span,
    quantity: str | None,
    statements: tuple[str, ...] = (),
    limit: str | None = None,
) -> Finding:
    """A finding that says that a check came to no verdict."""
    about = f" on {quantity}" if quantity else ""
    return finding(
        name,
        f"could not be decided{about}: the solver gave up before it had an answer, so nothing is proved here",
        where,
        quantity=quantity,
        statements=statements,
        limit=limit,
        advice=("raise --work-limit, or split the conditions into simpler ones",),
        undecided=True,
    )
