"""A gap so narrow that no multiple of the quantity's step falls into it.

## What it finds

Two bands that nearly meet, as `from 0 to 2549` and `from 2550 to 2750` on a gauge that reads in steps of 10.
It is reported instead of gap.

## Why it matters

The gauge cannot read a value in there, but the value behind it can be there, and then no band applies to it.
Bands that are meant to meet should name the same number.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2549 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2550 is green
    rpm from 2550 to 2750 is yellow
    rpm above 2750 is red

## How it is decided

As gap, asked only for stretches between two neighbouring numbers of the rules that hold no multiple of the
step.

## What it cannot see

A quantity that declares no step: all its gaps are reported as gap.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks import gap
from alertlang.checks.context import Context
from alertlang.findings.finding import Finding
from alertlang.meaning.sight import Seen, Sight

NAME = "hairline-gap"
SEEN = Seen(Sight.is_blank)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Gaps in which no multiple of the quantity's step falls."""
    yield from gap.search(context, name, hairline=True)
