"""A normal value does not show green.

## What it finds

A state inside a `normal` range of a quantity that has bands, in which no limit of it is broken, no avoid
range and no precaution entered, and the gauge does not show green: it is yellow or red, white, blue,
unmarked or blank. Green beside white or blue is green.

White will do as well in a normal range of a speed that holds only with the flaps out: the white arc from VS0
to VFE (14 CFR 23.1545(b)(4), see wrong-airspeed-arc, which asks for white there). Such a range is told by its
label (`vs0` or `flap_range`), or by its context: a switch with `flap` in its name is never at `up` or
`retracted` in it.

After `follow "14 CFR 27.1549"` (or its paragraph (b)) an unmarked normal range is right, and a blank one is
for gap to tell: since Amdt 27-51 (2023-02-10) that text has "green or unmarked" (read second hand, in the
edition of 1 January 2024). What it said before, `as of 2001-05-10` for example, asks for green, as 25.1549(b)
and 23.1549(b) (from memory) do: see green-past-limit. Where one of these is followed, what is found on any
quantity but a speed is an error and names the rule.

## Why it matters

A pilot who sees yellow on every flight where all is well learns to look past yellow. And where normal values
are blank or white, nothing tells them from values that nobody thought of.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    normal oil_temp from 150 to 220 F, source NOTE
    oil_temp below 170 F is yellow
    oil_temp from 170 to 220 F is green
    oil_temp above 220 F is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    normal oil_temp from 150 to 220 F, source NOTE
    oil_temp below 150 F is yellow
    oil_temp from 150 to 220 F is green
    oil_temp above 220 F is red

## How it is decided

The solver is asked for a state in the range, with no limit, avoid or precaution of the quantity in the way,
in which no green band applies or a yellow or red one does. What a deadband keeps up does not count: it came
from outside. A `for more than` counts as over for yellow and red, and as not over for green.

## What it cannot see

A normal range that is itself too wide. Green where nothing calls the value normal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import named
from alertlang.checks.seek import stretch_words
from alertlang.checks.standards import speeds
from alertlang.checks.standards.published import asked, cited, clauses
from alertlang.checks.standards.say import HELP
from alertlang.checks.suggest import suggested
from alertlang.checks.undecided import undecided
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import AtValue, Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "normal-not-green"
SEEN = Seen(lambda at: at.within and at.colour is not m.Colour.GREEN)
_GREEN, _YELLOW = m.Colour.GREEN, m.Colour.YELLOW
# The words for flaps that are not out.
_IN = {"up", "retracted"}
# What the published rules on powerplant instruments ask for.
_MUST_BE_GREEN = clauses("14 CFR 25.1549(b)", "14 CFR 27.1549(b) until 2023-02-10", "14 CFR 23.1549(b)")
_OR_UNMARKED = clauses("14 CFR 27.1549(b)")


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether a quantity has bands and a normal range."""
    if name is None or not ruleset.bands_by_quantity[name]:
        return False
    return any(declared.kind is m.RangeKind.NORMAL for declared in ruleset.ranges_by_quantity[name])


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """Normal ranges of one quantity in which something else than green can show."""
    bands = context.ruleset.bands_by_quantity[name]
    if not bands:
        return
    ranges = context.ruleset.ranges_by_quantity[name]
    for declared in ranges:
        if declared.kind is not m.RangeKind.NORMAL:
            continue
        white = is_flap_range(context.ruleset, context.encoder, context.is_satisfiable, declared)
        wanted = (_GREEN, m.Colour.WHITE) if white else (_GREEN, *_unmarked(context.ruleset, name))
        for index, reading in context.elements(name, declared.index):
            others = tuple(o for o in ranges if o.kind is not m.RangeKind.NORMAL and o.index in {None, index})
            encoder = context.encoder
            asked_for = disjunction(encoder.matters(other, index) for other in others)
            goal = both(
                encoder.inside(declared, index), negate(asked_for), negate(_is_wanted(context, name, index, wanted))
            )

            def confirm(
                instant: Instant,
                declared: m.Range = declared,
                index: int | None = index,
                others: tuple[m.Range, ...] = others,
                wanted: tuple[m.Colour, ...] = wanted,
            ) -> bool:
                return (
                    instant.is_in(declared, index)
                    and not any(instant.matters(other, index) for other in others)
                    and not _shows_wanted(instant, name, index, wanted)
                )

            formulas = (declared.when, *(o.when for o in others), *(f for b in bands for f in (b.when, b.unless)))
            cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=4)
            for case in cases.found:
                yield _finding(context, declared, reading, case, index)
            if cases.undecided:
                yield undecided(NAME, declared.span, name, (), declared.label)


def _unmarked(ruleset: m.RuleSet, name: str) -> tuple[m.Colour, ...]:
    """Unmarked, where the rule that is followed has it for as right as green."""
    if _is_speed(ruleset, name) or not asked(ruleset, _OR_UNMARKED) or asked(ruleset, _MUST_BE_GREEN):
        return ()
    return (m.Colour.UNMARKED,)


def _is_speed(ruleset: m.RuleSet, name: str) -> bool:
    return ruleset.quantities[name].unit.dimension == "speed"


def is_flap_range(ruleset: m.RuleSet, encoder: Encoder, possible: Callable[[Term], Answer], declared: m.Range) -> bool:
    """Whether a normal range is that of a speed with the flaps out, which is white on a dial."""
    if declared.kind is not m.RangeKind.NORMAL or not _is_speed(ruleset, declared.quantity):
        return False
    if any(
        told.one is declared and told.speed is speeds.LANDING_STALL for told in speeds.told(ruleset, declared.quantity)
    ):
        return True
    return any(
        position in _IN and possible(both(encoder.formula(declared.when), AtValue(name, position))) is Answer.NO
        for name, switch in ruleset.switches.items()
        if "flap" in name
        for position in switch.positions
    )


def _is_wanted(context: Context, name: str, index: int | None, wanted: tuple[m.Colour, ...]) -> Term:
    """Green shows, or white where it will do, whatever the times: what waits may show already, unless it is what is
    wanted."""
    encoder = context.encoder
    bands = context.ruleset.bands_by_quantity[name]
    greens = (b for b in bands if b.colour in wanted and b.colour is not m.Colour.UNMARKED and b.held is None)
    green = disjunction(encoder.applies(band, index, linger=False) for band in greens)
    if m.Colour.UNMARKED in wanted:
        marks = (b for b in bands if b.colour is not m.Colour.UNMARKED and b.held is None)
        green = disjunction((green, negate(disjunction(encoder.applies(b, index, linger=False) for b in marks))))
    return both(green, negate(encoder.shows_at_least(name, index, _YELLOW.rank, eventually=True, linger=False)))


def _showing(instant: Instant, name: str, index: int | None) -> tuple[m.Band, ...]:
    """The bands that can show in a state in which green is to be kept away: of those that wait only the worse ones."""
    bands = instant.ruleset.bands_by_quantity[name]
    can_wait = (b for b in bands if b.held is None or b.colour >= _YELLOW)
    return tuple(b for b in can_wait if instant.applies(b, index, eventually=True, linger=False))


def _shows_wanted(instant: Instant, name: str, index: int | None, wanted: tuple[m.Colour, ...]) -> bool:
    colours = [band.colour for band in _showing(instant, name, index)]
    if m.Colour.UNMARKED in wanted and all(colour is m.Colour.UNMARKED for colour in colours):
        return True
    return any(colour in colours for colour in wanted if colour is not m.Colour.UNMARKED) and all(
        colour.calm for colour in colours
    )


def _finding(context: Context, declared: m.Range, reading: str, case: FaultCase, index: int | None) -> Finding:
    name = declared.quantity
    instant = context.instant(case.model)
    able = _showing(instant, name, index)
    worst = max((band.colour for band in able), default=None)
    showing = [band for band in able if band.colour is worst]
    where, rest = stretch_words(context, case, reading)
    if worst is None:
        shown = "nothing shows there"
    else:
        labels = listed(band.label for band in showing)
        shown = f"in the example {labels} {'shows' if len(showing) == 1 else 'show'} {worst.word}"
    rule = (
        ()
        if _is_speed(context.ruleset, name)
        else asked(context.ruleset, _MUST_BE_GREEN) or asked(context.ruleset, _OR_UNMARKED)
    )
    either = bool(_unmarked(context.ruleset, name))
    by_rule = f" ({cited(rule)}: normal ranges are green{' or unmarked' if either else ''}; {HELP})" if rule else ""
    found = finding(
        NAME,
        f"{context.subject(reading)} {where} lies in {named(declared)} and is "
        f"{'neither green nor unmarked' if either else 'not green'}{rest}{by_rule}",
        showing[0].span if showing else declared.span,
        quantity=name,
        statements=tuple(band.label for band in showing),
        limit=declared.label,
        witness=case.witness,
        region=case.region,
        suggestion=_green_band(context, reading, case, index),
        advice=(f"{shown}; if that is right, the normal range is too wide",),
    )
    return replace(found, severity=Severity.ERROR) if rule else found


def _green_band(context: Context, reading: str, case: FaultCase, index: int | None) -> Suggestion | None:
    """A green band for the region, where nothing else can show in it: beside another colour it would be a conflict."""
    bands = context.ruleset.bands_by_quantity[m.ReadingId(reading).quantity]
    shown = disjunction(
        context.encoder.applies(band, index, eventually=True, linger=False)
        for band in bands
        if band.colour is not _GREEN
    )
    if context.is_satisfiable(both(context.explorer.term(case.box), shown)) is not Answer.NO:
        return None
    when = context.words.condition_text(case.region, reading)
    text = f"{context.subject(reading)} {context.words.region_text(reading, case.reach(reading))} is green"
    return suggested(f"when {when} then {text}" if when else text)
