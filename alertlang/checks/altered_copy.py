"""A profile bears the name and version of a shipped one and says something else.

## What it finds

A profile that is used, or checked by itself, whose name and version are those of a profile that comes with
alertlang, and whose statements are others. Comments and layout do not count.

## Why it matters

A file beside the rules is found before the shipped one. Whoever reads the name on a report, a sheet or an
approval takes the numbers for the vetted ones; a digit that was changed by mistake, or on purpose, goes
unseen. Changing a copy is right, and usual where a nameplate says so: under a name of its own.

## Example

    profile "electrical-14v" version 1
    source TRADE common practice
    quantity volts "Bus voltage" from 0 to 20 V, step 0.1 V, source TRADE
    volts_high_limit: limit volts at most 16.5 V, needs warning, source TRADE

## Corrected

    profile "osier-electrical" version 1
    source TRADE common practice
    quantity volts "Bus voltage" from 0 to 20 V, step 0.1 V, source TRADE
    volts_high_limit: limit volts at most 16.5 V, needs warning, source TRADE

## How it is decided

The two files are compared statement by statement in canonical form, without comments; no solver.

## What it cannot see

A copy under another name or with another version, and which of the two is right.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.findings.finding import Finding, finding
from alertlang.format.canonical import changed_statements
from alertlang.model import ruleset as m
from alertlang.model.sources import shipped_as
from alertlang.text.source import Source, Span

NAME = "altered-copy"
NEEDS_STATE = False
_SHOWN = 3


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a profile has the name and version of a shipped one and other bytes."""
    return name is None and any(shipped_as(origin) for origin in ruleset.origins)


def check(context: Context) -> Iterator[Finding]:
    """Each such profile, with the statements that differ."""
    for origin in context.ruleset.origins:
        shipped = shipped_as(origin)
        if shipped is None:
            continue
        gone, come = changed_statements(shipped, origin.text.encode("utf-8"))
        if not gone and not come:
            continue
        said = [f"here {text}" for text in come] + [f"shipped {text}" for text in gone]
        more = f" and {len(said) - _SHOWN} more" if len(said) > _SHOWN else ""
        yield finding(
            NAME,
            f'the profile "{origin.name}" version {origin.version} is not the shipped one of that name and version: '
            + "; ".join(" ".join(text.split()) for text in said[:_SHOWN])
            + more,
            Span(Source(origin.path, origin.text), 0, len(origin.text.partition("\n")[0])),
            advice=(
                "give the copy a name of its own, in its header, its file and what uses it",
                f"alertlang compare says all of it; without the file beside, the shipped {origin.name} is used",
            ),
        )
