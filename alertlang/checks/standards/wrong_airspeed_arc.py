"""An arc of the airspeed indicator does not begin or end at its speed.

## What it finds

The speeds are told by the labels of statements on a quantity of speed; each label names the speed at which
its statement begins or ends (the words may stand in a longer label, as in `landing_flap_limit`):

- VNE: `vne` or `never_exceed`, on a limit that ends there
- VNO: `vno` or `smooth_air`, on a precaution from there to VNE
- VS1: `vs1` or `airspeed_normal`, on a normal range from there to VNO
- VFE: `vfe` or `flap_limit`, on a limit that ends there
- VS0: `vs0` or `flap_range`, on a normal range from there to VFE

It finds ranges that do not meet where they should, speeds in an impossible order (VS0 is at most VS1, VS1
below VNO, VNO below VNE, VS0 below VFE: implied by what they are), and bands that differ: in the range told
by VS1 another colour than green, in that told by VS0 another than white, and these two colours outside of
them. After `follow` also: in the range told by VNO another colour than yellow, no red mark at VNE, and speeds
that no label tells.

The rule is 14 CFR 23.1545(b) for small aeroplanes, read in an edition of the 1960s; since 2017 Part 23 no
longer has it, and from which amendment to which the text read held is not known: (1) a red line at VNE, (2)
yellow from VNO to VNE, (3) green from VS1 to VNO, (4) white from VS0 to VFE, where VS1 and VS0 are those at
maximum weight (see arc-weight). From memory: a later (d) left out aeroplanes with a VMO, and the blue line
was later for piston twins of at most 6000 lb only.

Advice as a note; an error after `follow "14 CFR 23.1545"` (or a paragraph: `"23.1545(b)(3)"`).

On a dial white and green overlap. Here a gauge shows one colour at a time, so one of the two needs a `when`,
as the profile's ranges have: white while the flaps are out, green while they are in.

## Why it matters

Pilots fly by the ends of these arcs without reading the numbers. An arc that ends somewhere else tells them
another stall speed, or another aeroplane.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    vne: limit airspeed at most 150 kt, source NOTE
    vno: precaution airspeed from 120 to 150 kt, source NOTE
    vs1: normal airspeed from 48 to 120 kt, source NOTE
    airspeed below 40 kt is unmarked
    airspeed from 40 to 120 kt is green
    airspeed from 120 to 150 kt is yellow
    airspeed above 150 kt is red

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
    vne: limit airspeed at most 150 kt, source NOTE
    vno: precaution airspeed from 120 to 150 kt, source NOTE
    vs1: normal airspeed from 48 to 120 kt, source NOTE
    airspeed below 48 kt is unmarked
    airspeed from 48 to 120 kt is green
    airspeed from 120 to 150 kt is yellow
    airspeed above 150 kt is red

## How it is decided

The numbers of the statements are compared exactly. For each arc the solver is asked for a state inside its
range in which every limit is kept, no precaution applies and the gauge shows another colour, and for one
outside the range in which it shows the arc's. Ends may belong to either side: an arc is held against the
inside of its range.

## What it cannot see

Speeds that no label tells, without `follow`. Speeds that vary with altitude or weight (a limit whose end is a
`curve`), the blue and the second red line of twins, indicated against calibrated airspeed. Whether the
aeroplane is one that a later text left out. Rotorcraft have other rules. Without `follow` it keeps quiet
where another finding says the same. Nothing here says that a rule is complied with: it is help in reading,
and the approved documents decide."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import named
from alertlang.checks.seek import Goal, said_by, seek, stretch_words
from alertlang.checks.standards import instruments, marks, speed_numbers, speeds
from alertlang.checks.standards.published import asked, statement_for
from alertlang.checks.standards.say import marked_wrong, standard
from alertlang.checks.standards.speeds import CLEAN_STALL, CRUISE, LANDING_STALL, NEVER_EXCEED, Speed, ToldSpeed
from alertlang.checks.standards.unmarked_limit import without_mark
from alertlang.findings.finding import Finding
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m

NAME = "wrong-airspeed-arc"
SAID_BY = frozenset({"conflict", "normal-not-green", "unguarded-limit", "unmarked-precaution"})
SEEN = Seen(Sight.first_applies)
_YELLOW = speeds.rule_of(CRUISE)
_LINE = speeds.rule_of(NEVER_EXCEED)
_ARCS = ((CRUISE, m.Colour.YELLOW), (CLEAN_STALL, m.Colour.GREEN), (LANDING_STALL, m.Colour.WHITE))


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at under a rule that is followed."""
    return name is not None and bool(asked(ruleset, speeds.RULE)) and bool(speeds.told(ruleset, name))


def check_quantity(context: Context, name: str) -> Iterator[Finding]:
    """The arcs of one quantity of speed."""
    ruleset = context.ruleset
    told = speeds.told(ruleset, name)
    if not told:
        return
    yield from speed_numbers.meetings(ruleset, told, NAME)
    yield from speed_numbers.order(ruleset, told, NAME)
    if not ruleset.bands_by_quantity[name]:
        return
    for told_speed in told:
        if told_speed.speed is NEVER_EXCEED and asked(ruleset, _LINE):
            yield from without_mark(context, told_speed.one, NAME, _LINE, speeds.WANTS[_LINE])
    for speed, colour in _ARCS:
        if speed is CRUISE and not asked(ruleset, _YELLOW):
            # Calmer than yellow and red at the wrong place have findings and advice of their own.
            continue
        for told_speed in told:
            if told_speed.speed is speed:
                yield from _inside(context, told_speed, colour)
                if colour is not m.Colour.YELLOW:
                    yield from _outside(context, told_speed, colour)


def check(context: Context) -> Iterator[Finding]:
    """Under a rule that is followed: speeds that nothing tells."""
    ruleset = context.ruleset
    follow = statement_for(ruleset, speeds.RULE)
    if follow is None:
        return
    names = [name for name in ruleset.quantities if speeds.is_airspeed(ruleset, name) or speeds.told(ruleset, name)]
    if not names:
        yield standard(
            ruleset,
            NAME,
            asked(ruleset, speeds.RULE),
            "no quantity is recognisable as an airspeed indicator",
            "an airspeed indicator has marks at its speeds",
            follow.span,
            advice=(f"declare it, with one of these in its name: {', '.join(instruments.AIRSPEED.names)}",),
        )
    for name in names:
        known = {told_speed.speed.name for told_speed in speeds.told(ruleset, name)}
        for speed in speeds.SPEEDS:
            rule = speeds.rule_of(speed)
            if speed.name in known or not asked(ruleset, rule):
                continue
            yield standard(
                ruleset,
                NAME,
                rule,
                f"no statement on {name} tells {speed.name}",
                speeds.WANTS[rule],
                follow.span,
                quantity=name,
                advice=_how(ruleset, name, speed),
            )


def _how(ruleset: m.RuleSet, name: str, speed: Speed) -> tuple[str, ...]:
    """How a speed is told, and which statement has its label without telling it."""
    example = f"{speed.example.format(q=name)}, source NAME"
    return (
        f"label the statement: {example} (or {' or '.join(speed.labels[1:])}: ...)",
        *(
            f"{named(declared)} has the label, but is no {speed.kind} with a number there"
            for declared in ruleset.ranges_by_quantity[name]
            if speeds.has_label(declared, speed)
        ),
    )


def _inside(context: Context, told: ToldSpeed, colour: m.Colour) -> Iterator[Finding]:
    """Another colour inside the range, where nothing asks for a worse one."""
    declared, name = told.one, told.one.quantity
    low, high = speeds.ends(declared)
    assert low is not None
    if high is not None and high <= low:
        return iter(())
    ends = [m.Region(m.RegionKind.ABOVE, low, span=declared.region.span)]
    if high is not None:
        ends.append(m.Region(m.RegionKind.BELOW, high, span=declared.region.span))
    kinds = marks.FORBIDDING if colour is m.Colour.YELLOW else (*marks.FORBIDDING, m.RangeKind.PRECAUTION)

    def goal(index: int | None) -> Goal:
        worse = marks.others(context, declared, index, *kinds)

        def confirm(instant: Instant) -> bool:
            return (
                all(instant.is_in_region(name, index, end) for end in ends)
                and instant.holds(declared.when)
                and not any(instant.matters(other, index) for other in worse)
                and marks.shown(instant, name, index) is not colour
            )

        asked = both(
            *(context.encoder.in_region(name, index, end) for end in ends),
            context.encoder.given(declared),
            negate(disjunction(context.encoder.matters(other, index) for other in worse)),
            negate(marks.shows(context, name, index, colour)),
        )
        return asked, confirm

    return _sought(context, told, colour, goal, "is not", "inside")


def _outside(context: Context, told: ToldSpeed, colour: m.Colour) -> Iterator[Finding]:
    """The arc's colour outside the range."""
    declared, name = told.one, told.one.quantity

    def goal(index: int | None) -> Goal:
        def confirm(instant: Instant) -> bool:
            return (
                instant.holds(declared.when)
                and not instant.is_in_region(name, index, declared.region)
                and marks.shown(instant, name, index) is colour
            )

        asked = both(
            context.encoder.given(declared),
            negate(context.encoder.in_region(name, index, declared.region)),
            marks.shows(context, name, index, colour),
        )
        return asked, confirm

    return _sought(context, told, colour, goal, "is", "outside")


def _sought(
    context: Context, told: ToldSpeed, colour: m.Colour, goal: Callable[[int | None], Goal], verb: str, side: str
) -> Iterator[Finding]:
    declared, rule = told.one, speeds.rule_of(told.speed)

    def tell(case: FaultCase, index: int | None, reading: str) -> Finding:
        where, rest = stretch_words(context, case, reading)
        fact = f"{context.subject(reading)} {where} {verb} {colour.word}, {side} {named(declared)}"
        return marked_wrong(
            context,
            NAME,
            rule,
            f"{fact} that tells {told.speed.name}{rest}",
            speeds.WANTS[rule],
            declared,
            case,
            index,
            f"let the {colour.word} begin and end where the range does",
        )

    bands = context.ruleset.bands_by_quantity[declared.quantity]
    return seek(context, NAME, declared, goal, said_by(bands, declared.when), tell, marks.widest)
