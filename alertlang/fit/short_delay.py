"""A delay is shorter than the time from one scan of the display to the next.

## What it finds

A delay (`for more than`, `after`, `set after`, `cleared after`, `for at least`, `for less than`) shorter
than one scan period.

## Why it matters

The display looks at the sensors once in each scan. What lasts less than one scan is seen once, or not at
all: the delay cannot hold back what it is meant to hold back.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED" after 0.2 s

on a display of which this is known:

    display "box" version 1
    scan every 0.5 s

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red with warning "OVERSPEED" after 0.5 s

on a display of which this is known:

    display "box" version 1
    scan every 0.5 s

## How it is decided

By comparing numbers; no solver.

## What it cannot see

What the sensor and its own filter add. A delay that is no multiple of the scan period ends with the next
scan: see late-on-display.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.findings.finding import Finding, finding
from alertlang.fit.fit import Fit
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "short-delay"


def check(fit: Fit) -> Iterator[Finding]:
    """The delays of conditions, then those of statements."""
    scan = fit.display.scan
    if scan is None:
        return
    for words, seconds, label, span in _delays(fit.ruleset):
        if 0 < seconds < scan:
            yield finding(
                NAME,
                f"`{words} {m.in_seconds(seconds)}` is shorter than one scan of {fit.named}, which takes "
                f"{m.in_seconds(scan)}",
                span,
                statements=(label,),
                advice=(f"make it at least {m.in_seconds(scan)}, or take it out",),
            )


def _delays(ruleset: m.RuleSet) -> Iterator[tuple[str, Fraction, str, Span]]:
    """Every delay in words, in seconds, with the statement it is in."""
    for condition in ruleset.conditions.values():
        for words, seconds in (("set after", condition.set_after), ("cleared after", condition.cleared_after)):
            if seconds:
                yield words, seconds, condition.name, condition.span
        for part in condition.parts:
            yield from _held(part, condition.name)
    for rule in ruleset.rules:
        for words, seconds in (("for more than", rule.held), ("after", rule.after)):
            if seconds:
                yield words, seconds, rule.label, rule.span
        for formula in (rule.when, rule.unless):
            if formula is not None:
                yield from _held(formula, rule.label)


def _held(formula: m.Formula, label: str) -> Iterator[tuple[str, Fraction, str, Span]]:
    for part in m.parts_of(formula):
        if isinstance(part, m.Held):
            yield "for at least" if part.at_least else "for less than", part.duration, label, part.span
