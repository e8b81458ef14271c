"""What to write: the colour for a blank stretch, a changed copy of a statement."""

from __future__ import annotations

import re

from alertlang.checks.context import Case, Context
from alertlang.checks.limits import broken_words
from alertlang.diagnostics.finding import Reach, Suggestion
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, negate
from alertlang.model import ruleset as m
from alertlang.text.source import Span
from alertlang.units.interval import Interval, IntervalSet

_FRACTION = re.compile(r"[0-9]/[0-9]")
_TEXT = re.compile(r'"[^"\n]*"')


def colour_for(context: Context, reading: str, case: Case) -> tuple[str, str]:
    """A colour for a blank stretch, and why. Where it must choose it fails towards the warning."""
    name, index = split_reading(reading)
    encoder = context.encoder
    box = context.explorer.term(case.box)
    ranges = context.ruleset.ranges_by_quantity[name]
    for one in ranges:
        if (
            one.kind in {"limit", "avoid"}
            and context.possible(both(box, encoder.violated(one, index))) is not Answer.NO
        ):
            return (
                "red",
                f"red, because {one.label} is not kept somewhere in there; narrow it if that is too much",
            )
    for one in ranges:
        if one.kind == "precaution" and context.possible(both(box, encoder.inside(one, index))) is not Answer.NO:
            return "yellow", f"yellow, because the precaution {one.label} reaches into it"
    for one in ranges:
        if one.kind == "normal" and context.possible(both(box, negate(encoder.inside(one, index)))) is Answer.NO:
            return "green", f"green, because {one.label} calls all of it normal"
    return "yellow", "yellow, to be on the safe side: no limit, precaution or normal range says what it should be"


def suggested(text: str, replaces: Span | None = None) -> Suggestion | None:
    """A suggestion, unless a number in it has no decimal in any unit: the language has no fractions."""
    return None if _FRACTION.search(_TEXT.sub("", text)) else Suggestion(text, replaces)


def split_reading(reading: str) -> tuple[str, int | None]:
    """The quantity and the element of a reading's name."""
    if "[" not in reading:
        return reading, None
    name, rest = reading.split("[")
    return name, int(rest[:-1])


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


def _closed(values: IntervalSet) -> IntervalSet:
    """Bounded values with their end points."""
    parts: list[Interval] = []
    for part in values:
        assert part.low is not None
        assert part.high is not None
        parts.append(Interval.closed(part.low, part.high))
    return IntervalSet.of(*parts)


def reach_over(context: Context, reading: str, case: Case, gap: Interval) -> Suggestion | None:
    """A copy of the worst band that ends where a gap begins or begins where it ends, reaching over the gap."""
    name, index = split_reading(reading)
    bands = sorted(context.ruleset.bands_by_quantity[name], key=lambda b: -b.colour)
    sensor = IntervalSet.of(context.ruleset.quantities[name].range)
    assert gap.low is not None
    assert gap.high is not None
    closed = IntervalSet.of(Interval.closed(gap.low, gap.high))
    inside = context.explorer.term(case.box)
    for band in bands:
        if not {gap.low, gap.high} & set(band.region.numbers) or (band.index is not None and band.index != index):
            continue
        if context.possible(both(inside, negate(context.encoder.context(band)))) is not Answer.NO:
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


def red_statement(context: Context, one: m.Range, case: Case, reading: str, *, alert: bool) -> Suggestion | None:
    """The red band that a limit asks for, where a case found it missing."""
    part = case.region[reading]
    assert isinstance(part, Reach)
    name, _ = split_reading(reading)
    region = context.words.region_text(reading, part.interval)
    rest = case.region
    ends = part.interval
    sensor = context.quantity(reading).range
    inside = ends.low != sensor.low and ends.high != sensor.high
    if one.kind == "limit" and one.region.second is None and inside and ends.low_included != ends.high_included:
        # No region leaves out one of its ends alone; what breaks the limit does, and more of it is red already.
        region = broken_words(context, one)
    if one.region.moves:
        # In the words of the limit, whose end moves, instead of how far from it the reading is.
        region = broken_words(context, one)
        rest = {name: fact for name, fact in rest.items() if not name.startswith(f"{reading} - ")}
    when = context.words.condition_text(rest, reading)
    subject = context.subject(reading)
    text = f"{subject} {region} is red"
    # An advisory does not stand on red: it needs a statement of its own.
    if alert and one.needs is not None and one.needs > m.Level.ADVISORY:
        each = context.ruleset.quantities[name].size is not None
        told = context.words.alert_text(name, is_high(one, part), one.needs, each)
        text += f' with {one.needs.word} "{told}"'
    return suggested(f"when {when} then {text}" if when else text)


def is_high(one: m.Range, part: Reach) -> bool:
    """Whether a limit is broken upwards in a stretch."""
    if one.kind == "avoid":
        return True
    if one.region.kind in {"at_most", "below"}:
        return True
    low, numbers = part.interval.low, one.region.numbers
    return bool(numbers) and low is not None and low >= numbers[-1]
