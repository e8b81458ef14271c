"""Why something is shown, or is not, in a state that was given and is held for some time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from alertlang.findings.errors import NameOrFileError
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.results.why import Later, Why
from alertlang.text.lists import listed
from alertlang.units.number import show_number
from alertlang.why.answer import Asked, answer, missing
from alertlang.why.moment import Moment, PlainRun
from alertlang.why.subject import Subject, about, alert_places, alert_subject, gauge_subject, gauges_of, joined

SPACING = Fraction(1, 2)
"""Seconds between samples: common practice, no source. Over a long time they stand farther apart."""

MOST_SAMPLES = 1200


def why_held(
    rules: m.RuleSet,
    readings: Mapping[str, Fraction | None],
    positions: Mapping[str, str | None],
    after: Fraction,
    words: str | None,
) -> Why:
    """Of a state that has been there for so many seconds, from the first sample of a run on. What is not among
    `readings` and `positions` was not given; none: it has failed, or nobody knows it. `words`: what alone is asked
    about. NameOrFileError if that is nothing, or needs what was not given; ValueError for a time below 0."""
    if after < 0:
        raise ValueError("the time must not be below 0")
    given = frozenset((*readings, *positions))
    subject = None if words is None else about(rules, words)
    if subject is not None:
        wanted = missing(rules, subject, given)
        if wanted:
            advice = f"give what fits, for example {' '.join(_example(rules, name) for name in wanted)}"
            raise NameOrFileError(f"{words} depends on {listed(wanted)} too", advice)
    known = {name: value for name, value in readings.items() if value is not None}
    places = {name: position for name, position in positions.items() if position is not None}
    times = _times(after)
    samples = [Sample(time, known, places) for time in times]
    run = PlainRun(rules, samples)
    found = answer(run, len(samples) - 1, Asked(words, subject, given))
    seen = joined([subject]) if subject is not None else _judged(rules, given)
    return replace(found, later=_later(run.at(len(samples) - 1), samples[-1], seen))


def _example(rules: m.RuleSet, name: str) -> str:
    """How an input is given: a switch at its first position, a reading where all is well. A failed one would be calm
    for the wrong reason."""
    if name in rules.switches:
        return f"{name}={rules.switches[name].positions[0]}"
    quantity = rules.quantities[m.ReadingId(name).quantity]
    low, high = quantity.low, quantity.high
    greens = [band.region for band in rules.bands_by_quantity[quantity.name] if band.colour is m.Colour.GREEN]
    for part in (part for region in greens if not region.moving for part in region.values.parts):
        low, high = part.low if part.low is not None else low, part.high if part.high is not None else high
        break
    value = (low + high) / 2
    if quantity.step is not None:
        value = value // quantity.step * quantity.step
    return f"{name}={show_number(Fraction(round(value * 1000), 1000))}{quantity.unit.name}"


def _times(after: Fraction) -> list[Fraction]:
    if not after:
        return [Fraction(0)]
    spacing = max(SPACING, after / MOST_SAMPLES)
    count = int(after / spacing)
    found = [spacing * k for k in range(count + 1)]
    return found if found[-1] == after else [*found, after]


def _judged(rules: m.RuleSet, given: frozenset[str]) -> Subject:
    """All that what was given decides."""
    subjects = [gauge_subject(rules, *gauge) for gauge in gauges_of(rules)]
    subjects += [Subject((), (text,), alert_subject(rules, text).statements) for _, _, text in alert_places(rules)]
    return joined(one for one in subjects if not missing(rules, one, given))


def _later(moment: Moment, sample: Sample, subject: Subject) -> Later | None:
    """The first thing that is shown otherwise if all stays as it is; none where nothing is, however long."""
    rules = moment.rules
    longest = _longest(rules)
    if not longest:
        return None
    stepper = Stepper(rules)
    stepper.memory = moment.before.copy()
    shown = stepper.step(sample)
    here = subject.sees(shown)
    spacing = max(SPACING, longest / MOST_SAMPLES)
    time = sample.time
    while time < sample.time + longest:
        time += spacing
        later = stepper.step(replace(sample, time=time))
        if subject.sees(later) != here:
            return Later(time, subject.told(shown, later))
    return None


def _longest(rules: m.RuleSet) -> Fraction:
    """After so many seconds everything about a state that is held has settled."""
    times: list[Fraction | None] = [time for rule in rules.rules for time in (rule.held, rule.after)]
    times += [time for c in rules.conditions.values() for time in (c.set_after, c.cleared_after)]
    times += [held.duration for held in rules.held]
    total = sum((time for time in times if time is not None), Fraction(0))
    # `for more than` asks for more.
    return total + 1 if total else total
