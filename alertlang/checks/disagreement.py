"""Two contexts that only partly overlap ask for calm and for alarm at once.

## What it finds

Two bands of one quantity that can apply together, neither context containing the other, where one is green
(or white, blue, unmarked) and the other yellow or red.

## Why it matters

The worse colour shows, which is safe. But whoever wrote the calmer rule may not have thought of the other
context, and whoever reads it believes the gauge is green there.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch flaps "Flaps" up, down
    switch canopy "Canopy" closed, open
    when flaps is down then rpm from 0 to 3500 is green
    when flaps is up then rpm from 0 to 3500 is green
    when canopy is open then rpm above 1500 is yellow

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    switch canopy "Canopy" closed, open
    rpm from 0 to 3500 is green
    when canopy is open then rpm above 1500 is yellow

## How it is decided

As conflict: exact arithmetic for the overlap, then three questions to the solver: both apply, only the one,
only the other.

## What it cannot see

Whether the calmer rule was written with the other context in mind. If it was, accept the finding and say why.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.pairs import PairFault, pairs
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, finding
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m

NAME = "disagreement"
OF_TWO = True
SEEN = Seen(Sight.both_apply)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Disagreements between bands of one quantity. What was not decided is reported by conflict."""
    for pair in pairs(context, name):
        if pair.kind is not PairFault.DISAGREEMENT:
            continue
        calmer, worse, index = pair.calmer, pair.worse, pair.index
        reading = m.variable(name, index)

        def confirm(
            instant: Instant, calmer: m.Band = calmer, worse: m.Band = worse, index: int | None = index
        ) -> bool:
            return instant.applies(calmer, index) and instant.applies(worse, index)

        formulas = (calmer.when, calmer.unless, worse.when, worse.unless)
        cases = context.cases(pair.goal, confirm, primary=reading, formulas=formulas, most=1)
        if not cases.found:
            yield undecided(NAME, calmer.span, name, (calmer.label, worse.label))
            continue
        case = cases.found[0]
        where = ", ".join(context.words.stretch(reading, part) for part in pair.overlap)
        yield finding(
            NAME,
            f"{name} {where} is {calmer.colour.word} here and {worse.colour.word} in {worse.label} "
            f"(line {worse.span.line}) when both contexts hold, and neither contains the other",
            calmer.span,
            quantity=name,
            statements=(calmer.label, worse.label),
            witness=case.witness,
            region=case.region,
            advice=(
                f"{worse.colour.word} shows; if that is meant, leave the `when` of {calmer.label} out or make one "
                "context part of the other, else accept it with a reason",
            ),
        )
