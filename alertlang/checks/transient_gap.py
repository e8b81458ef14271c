"""A quantity shows no colour for as long as a delayed condition takes to settle.

## What it finds

A state in which no band of a quantity applies, that there is only while conditions with `set after` or
`cleared after` have not yet settled, and the longest time that this can last.

## Why it matters

Two bands that hand over to each other through a condition and its opposite leave nothing blank in the long
run. If one of them listens to the delayed condition and the other to the plain quantity, the gauge is blank
in between, at the moment in which something changes.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 120 F, cleared after 10 s, set after 10 s
    when cold or oil_temp failed then rpm at least 0 is yellow
    when oil_temp at least 120 F then rpm at least 0 is green

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    condition cold means oil_temp below 120 F, cleared after 10 s, set after 10 s
    when cold or oil_temp failed then rpm at least 0 is yellow
    when not cold then rpm at least 0 is green

## How it is decided

As for gap, with every delayed condition at any value that it can still have (one that can never become true
is not still true), outside the gaps that settled states have. Of two conditions on the same formula, the one
that is set later and cleared no later is true only while the other is. A `for more than` may be over or not,
each for itself. The time is the longest delay, conditions built on conditions added up, among those that are
not settled in the state that is shown.

## What it cannot see

Gaps that stay, or that last until a `for more than` is over: see gap. What goes blank at the first sample
only, because a rise or fall has no value yet. Delays of the display itself. How clocks that run at once are
tied to each other, but for conditions on the same formula: it may show a state that no history reaches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.reaction import NONE, Delay, of_condition
from alertlang.checks.undecided import undecided
from alertlang.checks.unsettled import unsettled
from alertlang.findings.finding import Finding, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.snapshot import FaultModel

NAME = "transient-gap"
SEEN = Seen(Sight.is_blank)


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Gaps of one quantity that last only until its conditions settle."""
    ruleset = context.ruleset
    bands = ruleset.bands_by_quantity[name]
    formulas = tuple(f for band in bands for f in (band.when, band.unless))
    delayed = [c for c in sorted(ruleset.conditions_read(*formulas)) if ruleset.conditions[c].is_delayed]
    if not bands or not delayed:
        return
    mode = unsettled(context)
    settling = context.encoder.in_mode(mode)
    for index, reading in context.elements(name):
        blank = negate(context.encoder.shows_any(name, index))

        def is_blank(instant: Instant, index: int | None = index) -> bool:
            return not instant.colours(name, index, linger=False)

        def confirm(instant: Instant, is_blank: Callable[[Instant], bool] = is_blank) -> bool:
            meanwhile = instant.in_mode(mode)
            return meanwhile.is_possible() and is_blank(meanwhile)

        settled = context.cases(blank, is_blank, primary=reading)
        if settled.undecided:
            yield undecided(NAME, bands[0].span, name)
            continue
        if not settled.complete:
            # More stays blank than gap shows, which says so; what else there is can be told once that is mended.
            continue
        goal = negate(settling.shows_any(name, index))
        # What is blank with the same past once all has settled stays so: that is said by gap.
        names = _names_in(settling) if any(case.box.flags for case in settled.found) else {}
        stays = [replace(c.box, flags={names.get(n, n): h for n, h in c.box.flags.items()}) for c in settled.found]
        goal = both(goal, negate(disjunction(context.explorer.term(box) for box in stays)))
        if context.is_satisfiable(goal) is Answer.NO:
            continue
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=2)
        for case in cases.found:
            yield _finding(context, name, reading, case, delayed, bands, mode)
        if cases.undecided:
            yield undecided(NAME, bands[0].span, name)


def _names_in(settling: Encoder) -> dict[str, str]:
    """Open truths by their plain names, as they are called in a mode; made in it where no band asks for them."""
    ruleset, mode = settling.ruleset, settling.mode
    for condition in ruleset.conditions:
        settling.undelayed(condition)
    for part in ruleset.held:
        settling.formula(part)
    found = {s.until_flag(ruleset, c): s.until_flag(ruleset, c, mode) for c in ruleset.conditions}
    found.update({s.held_flag(ruleset, part): s.held_flag(ruleset, part, mode) for part in ruleset.held})
    for band in ruleset.bands:
        for index in ruleset.quantities[band.quantity].indexes if band.held is not None else ():
            found[s.elapsed_flag(ruleset, band, index)] = s.elapsed_flag(ruleset, band, index, mode)
    return found


def _finding(
    context: Context,
    name: str,
    reading: str,
    case: FaultCase,
    delayed: list[str],
    bands: tuple[m.Band, ...],
    mode: FaultModel,
) -> Finding:
    where = context.words.stretch(reading, case.reach(reading)).replace("at every value", "at any value")
    instant = context.instant(case.model)
    meanwhile = instant.in_mode(mode)
    longest: Delay = NONE
    for condition in delayed:
        now = meanwhile.condition(condition)
        if now != instant.condition(condition):
            longest = max(longest, of_condition(context.ruleset, condition, not now), key=lambda d: d.seconds)
    rest = context.words.whenever(case.region, reading)
    reads = [b for b in bands if context.ruleset.conditions_read(b.when, b.unless) & set(delayed)]
    how_long = f"for up to {m.in_seconds(longest.seconds)}" if longest.seconds else "until its conditions settle"
    because = f": {longest.in_words}" if longest.parts else ""
    return finding(
        NAME,
        f"{context.subject(reading)} shows no colour {where}, {how_long}{rest}{because}",
        reads[0].span,
        quantity=name,
        statements=tuple(band.label for band in reads),
        witness=case.witness,
        region=case.region,
        advice=("let the bands on both sides of the change read the same condition, or let one overlap the other",),
    )
