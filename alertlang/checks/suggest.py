"""What to write: the colour for a blank stretch, a changed copy of a statement."""

from __future__ import annotations

import re
from collections.abc import Iterable

from alertlang.checks.context import Context, FaultCase
from alertlang.checks.limits import broken_words
from alertlang.findings.finding import Edit, Suggestion
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, negate
from alertlang.model import ruleset as m
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.units.interval import Interval, IntervalSet

_FRACTION = re.compile(r"[0-9]/[0-9]")
_TEXT = re.compile(r'"[^"\n]*"')


def colour_for(context: Context, reading: str, case: FaultCase) -> tuple[str, str]:
    """A colour for a blank stretch, and why. Where it must choose it fails towards the warning."""
    name, index = m.ReadingId(reading).parts
    encoder = context.encoder
    box = context.explorer.term(case.box)
    ranges = context.ruleset.ranges_by_quantity[name]
    for declared in ranges:
        if not declared.forbids or declared.except_for:
            continue
        if context.is_satisfiable(both(box, encoder.violated(declared, index))) is not Answer.NO:
            return (
                "red",
                f"red, because {declared.label} is not kept somewhere in there; narrow it if that is too much",
            )
    for declared in ranges:
        if (
            declared.except_for
            and context.is_satisfiable(both(box, encoder.violated(declared, index))) is not Answer.NO
        ):
            return (
                "yellow",
                f"yellow, because {declared.label} allows it for {m.in_seconds(declared.except_for)}, red after that",
            )
    for declared in ranges:
        if (
            declared.kind is m.RangeKind.PRECAUTION
            and context.is_satisfiable(both(box, encoder.inside(declared, index))) is not Answer.NO
        ):
            return "yellow", f"yellow, because the precaution {declared.label} reaches into it"
    for declared in ranges:
        if (
            declared.kind is m.RangeKind.NORMAL
            and context.is_satisfiable(both(box, negate(encoder.inside(declared, index)))) is Answer.NO
        ):
            return "green", f"green, because {declared.label} calls all of it normal"
    return "yellow", "yellow, to be on the safe side: no limit, precaution or normal range says what it should be"


def suggested(text: str, replaces: Span | None = None) -> Suggestion | None:
    """A suggestion, unless a number in it has no decimal in any unit: the language has no fractions."""
    return None if _FRACTION.search(_TEXT.sub("", text)) else Suggestion(text, replaces)


def without(context: Context, band: m.Band, taken: IntervalSet) -> Suggestion | None:
    """A copy of a band that leaves out some values, if what is left can be written as one region."""
    if band.region.moves:
        return None
    reading = m.variable(band.quantity, band.index)
    sensor = IntervalSet.of(context.ruleset.quantities[band.quantity].range)
    values = band.region.values.intersect(sensor)
    # The two may share the end at which they meet: leaving it out of both would open a gap there.
    left = _closed(values.subtract(_closed(taken.intersect(sensor)))).intersect(values)
    if len(left.parts) != 1 or left.parts[0].is_point:
        return None
    return with_region(context, band, context.words.region_text(reading, left.parts[0]))


def moved_apart(context: Context, band: m.Band, taken: IntervalSet) -> Suggestion | None:
    """The same with the band's alert kept where it was, as a statement of its own, if it can be said."""
    narrower = without(context, band, taken)
    alert, node = band.alert, band.node
    if narrower is None or alert is None:
        return narrower
    array = context.ruleset.quantities[band.quantity].size is not None and band.index is None
    if node.alert is None or (array and "{n}" in alert.text):
        return narrower
    when = "" if node.when is None else _on_one_line(node.when.span.text)
    held = "" if node.held is None else f" {_on_one_line(node.held.span.text)}"
    unless = "" if node.tail.unless is None else f" unless {_on_one_line(node.tail.unless.span.text)}"
    tail = "" if node.tail.after is None else f" after {_on_one_line(node.tail.after.span.text)}"
    tail += " latched" if band.latched else ""
    if isinstance(node.when, t.OrNode):
        when = f"({when})"
    subject = _on_one_line(node.subject.span.text)
    region = f"{'any ' if array else ''}{subject} {_on_one_line(node.region.span.text)}"
    both_parts = f"{when} and {region}" if when else region
    told = _on_one_line(node.alert.text.span.text)
    loud = suggested(f"when {both_parts}{held} then {alert.level.word} {told}{tail}{unless}")
    return narrower if loud is None else _quiet(band, narrower, unless, loud)


def _quiet(band: m.Band, narrower: Suggestion, unless: str, loud: Suggestion) -> Suggestion:
    """A changed copy of a band without its alert, beside a statement that has it."""
    text = narrower.text
    end = text.index(f" is {band.node.colour.text}") + len(f" is {band.node.colour.text}")
    return Suggestion(f"{text[:end]}{unless}", narrower.replaces, (Edit(loud.text),))


def _closed(values: IntervalSet) -> IntervalSet:
    """Bounded values with their end points."""
    parts: list[Interval] = []
    for part in values:
        assert part.low is not None
        assert part.high is not None
        parts.append(Interval.closed(part.low, part.high))
    return IntervalSet.of(*parts)


def reach_over(context: Context, reading: str, case: FaultCase, gap: Interval) -> Suggestion | None:
    """A copy of the worst band that ends where a gap begins or begins where it ends, reaching over the gap."""
    name, index = m.ReadingId(reading).parts
    bands = sorted(context.ruleset.bands_by_quantity[name], key=lambda b: -b.colour)
    sensor = IntervalSet.of(context.ruleset.quantities[name].range)
    assert gap.low is not None
    assert gap.high is not None
    closed = IntervalSet.of(Interval.closed(gap.low, gap.high))
    inside = context.explorer.term(case.box)
    for band in bands:
        if not {gap.low, gap.high} & set(band.region.numbers) or (band.index is not None and band.index != index):
            continue
        if context.is_satisfiable(both(inside, negate(context.encoder.context(band)))) is not Answer.NO:
            continue
        if band.region.moves:
            continue
        wider = band.region.values.intersect(sensor).union(closed)
        if len(wider.parts) == 1:
            return with_region(context, band, context.words.region_text(reading, wider.parts[0]))
    return None


def with_region(context: Context, band: m.Band, region: str) -> Suggestion | None:
    """A copy of a band with another region."""
    return spliced(band.span, band.node.region.span, region)


def spliced(statement: Span, part: Span, text: str) -> Suggestion | None:
    """A statement with one part of it written anew; white space between words is made plain."""
    before = statement.source.text[statement.start : part.start]
    after = statement.source.text[part.end : statement.end]
    return suggested(_on_one_line(before + text + after), statement)


def _on_one_line(text: str) -> str:
    """A statement without its comments and line breaks; texts in quotes stay as they are."""
    lines: list[str] = []
    for line in text.split("\n"):
        quoted = False
        for i, letter in enumerate(line):
            if letter == '"':
                quoted = not quoted
            elif letter == "#" and not quoted:
                line = line[:i]
                break
        lines.append(line.strip())
    return " ".join(line for line in lines if line)


def red_statement(context: Context, declared: m.Range, case: FaultCase, reading: str) -> Suggestion | None:
    """The red band that a limit asks for, where a case found it missing."""
    part = case.reach(reading)
    name = m.ReadingId(reading).quantity
    region = context.words.region_text(reading, part)
    rest = case.region
    if leaves_an_end_out(context, reading, part):
        # No region leaves out one of its ends alone; what breaks the limit does, and more of it is red already.
        region = broken_words(context, declared)
    if declared.region.moves:
        # In the words of the limit, whose end moves, instead of how far from it the reading is.
        region = broken_words(context, declared)
        rest = {name: fact for name, fact in rest.items() if not name.startswith(f"{reading} - ")}
    when = context.words.condition_text(rest, reading, others(context, name, rest))
    subject = context.subject(reading)
    told = ""
    # An advisory does not stand on red: it needs a statement of its own.
    if declared.needs is not None and declared.needs > m.Level.ADVISORY:
        each = context.ruleset.quantities[name].size is not None
        text = context.words.alert_text(name, is_high(declared, part), declared.needs, each)
        told = f' with {declared.needs.word} "{text}"'
    if declared.except_for:
        return _timed(context, declared, case, reading, f"is red{told}")
    return suggested(_when(when, f"{subject} {region} is red{told}"))


def _timed(context: Context, declared: m.Range, case: FaultCase, reading: str, red: str) -> Suggestion | None:
    """The red of a limit that may be broken for a time, by the limit's own clock: its context, all that breaks it, and
    its time. Where the gauge may show nothing until then, yellow too."""
    assert declared.except_for is not None
    name, index = m.ReadingId(reading).parts
    subject = context.subject(reading)
    broken = f"{subject} {broken_words(context, declared)}"
    own = own_words(context, declared)
    timed = suggested(_when(own, f"{broken} for more than {m.in_seconds(declared.except_for)} {red}"))
    blank = negate(context.encoder.shows_any(name, index))
    if timed is None or context.is_satisfiable(both(context.explorer.term(case.box), blank)) is Answer.NO:
        return timed
    rest = context.words.condition_text(case.region, reading, others(context, name, case.region))
    calm = suggested(_when(rest, f"{subject} {context.words.region_text(reading, case.reach(reading))} is yellow"))
    return None if calm is None else Suggestion(calm.text, more=(Edit(timed.text),))


def _when(context: str, text: str) -> str:
    return f"when {_unwrapped(context)} then {text}" if context else text


def _unwrapped(text: str) -> str:
    """Without parentheses around all of it that only `and` would need."""
    if not (text.startswith("(") and text.endswith(" failed)")):
        return text
    depth = 0
    for i, letter in enumerate(text):
        depth += (letter == "(") - (letter == ")")
        if depth == 0:
            return text[1:-1] if i == len(text) - 1 else text
    return text


def own_words(context: Context, declared: m.Range) -> str:
    """The context of a limit as it is written, or that another reading it asks for has failed: a statement that asks
    for the limit's context would be lost with that reading. Empty if it has none."""
    if declared.node.when is None:
        return ""
    said = _on_one_line(declared.node.when.span.text)
    ruleset = context.ruleset
    asked = {m.ReadingId(name).quantity for name in ruleset.failures_read(declared.when)}
    read = others(context, declared.quantity, ruleset.quantities_read(declared.when))
    lost = [name for name in context.in_order(read, None) if not asked & ruleset.sensors_of(name)]
    if isinstance(declared.node.when, t.AndNode) and lost:
        said = f"({said})"
    parts = [said, *(f"{'any ' if ruleset.quantities[name].size is not None else ''}{name} failed" for name in lost)]
    return f"({' or '.join(parts)})" if len(parts) > 1 else said


def others(context: Context, name: str, read: Iterable[str]) -> frozenset[str]:
    """Of some readings those that another sensor than a quantity's own can lose."""
    own = context.ruleset.sensors_of(name)
    quantities = context.ruleset.quantities
    return frozenset(
        text
        for text in read
        if m.ReadingId(text).quantity in quantities and context.ruleset.sensors_of(m.ReadingId(text).quantity) - own
    )


def leaves_an_end_out(context: Context, reading: str, part: Interval) -> bool:
    """Whether a stretch is without one of its ends, so that no region of the language is it."""
    sensor = context.quantity(reading).range
    starts = part.low == sensor.low and part.low_included
    stops = part.high == sensor.high and part.high_included
    return not (starts or stops or (part.low_included and part.high_included))


def is_high(declared: m.Range, part: Interval) -> bool:
    """Whether a limit is broken upwards in a stretch."""
    if declared.kind is m.RangeKind.AVOID or declared.region.kind.is_low:
        return True
    low, numbers = part.low, declared.region.numbers
    return bool(numbers) and low is not None and low >= numbers[-1]
