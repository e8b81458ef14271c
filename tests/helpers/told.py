"""What a comparison tells, held against what the reference stepper shows on recordings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from alertlang.comparison import Change, Comparison, Direction
from alertlang.findings.finding import WitnessReading
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m

Value = m.Colour | m.Level | None
Subject = tuple[str, str]


def shown(rules: m.RuleSet, samples: Iterable[Sample]) -> list[Shown]:
    stepper = Stepper(rules)
    return [stepper.step(one) for one in samples]


def values(rules: m.RuleSet, one: Shown) -> dict[Subject, Value]:
    """Every gauge and every text that is up, at one sample."""
    found: dict[Subject, Value] = {
        ("colour", m.variable(name, index)): colour for (name, index), colour in one.colours.items()
    }
    for alert in one.alerts.values():
        key = ("alert", alert.text)
        found[key] = max(found.get(key) or alert.level, alert.level)
    return found


def rank(value: Value) -> int:
    if value is None:
        return -1
    return {0: 0, 1: 1, 2: 1, 3: 1, 4: 2, 5: 3}[int(value)] if isinstance(value, m.Colour) else int(value)


def way(one: Value, other: Value) -> Direction:
    if rank(one) == rank(other):
        return Direction.OTHER
    return Direction.LESS if rank(other) < rank(one) else Direction.MORE


def differences(first: m.RuleSet, second: m.RuleSet, samples: Sequence[Sample]) -> set[tuple[Subject, Direction]]:
    """What differs somewhere on a recording."""
    found: set[tuple[Subject, Direction]] = set()
    for mine, theirs in zip(shown(first, samples), shown(second, samples), strict=True):
        one, other = values(first, mine), values(second, theirs)
        for key in {*one, *other}:
            pair = one.get(key), other.get(key)
            if pair[0] != pair[1]:
                found.add((key, way(*pair)))
    return found


def is_told(found: Comparison, subject: Subject, direction: Direction) -> bool:
    """Some change of the subject tells the direction, or says that it was not decided."""
    _kind, name = subject
    plain = name.split("[")[0]
    for change in found.changes:
        if "(condition " in change.message and change.direction is direction and change.history:
            # What a delay does is told of the first gauge or alert that shows it.
            return True
        alike = change.subject in {name, plain, f"{plain}[1]", name.replace(" 2", " 1")}
        if not alike or change.kind in {"statement", "written", "text", "limit", "assumption"}:
            continue
        if change.undecided or change.direction is direction or "acknowledged sooner" in change.message:
            return True
    return False


def check_history(change: Change, first: m.RuleSet, second: m.RuleSet) -> None:
    """At the last sample of the recording that a change tells, both show what it says."""
    samples = []
    for one in change.history:
        readings = {name: fact.value for name, fact in one.facts.items() if isinstance(fact, WitnessReading)}
        positions = {name: fact for name, fact in one.facts.items() if isinstance(fact, str)}
        samples.append(Sample(one.time, readings, positions, one.acknowledged))
        assert readings.keys().isdisjoint(one.failed)
    kind = "colour" if any(change.subject.split("[")[0] == name for name in first.quantities) else "alert"
    ends = []
    for rules in (first, second):
        own = [_whole(rules, sample, one.failed) for sample, one in zip(samples, change.history, strict=True)]
        ends.append(values(rules, shown(rules, own)[-1]))
    said = []
    for end in ends:
        value = end.get((kind, change.subject), end.get((kind, f"{change.subject}[1]")))
        said.append(("blank" if kind == "colour" else "no alert") if value is None else value.word)
    assert (change.before, change.after) == tuple(said), (change.message, change.history)


def _whole(rules: m.RuleSet, sample: Sample, failed: Sequence[str]) -> Sample:
    """With any value for what it leaves out, since that makes no difference; without what the rules do not have."""
    readings = dict[str, Fraction]()
    for quantity in rules.quantities.values():
        for name in [m.variable(quantity.name, i) for i in quantity.indexes] if quantity.derived is None else []:
            if name not in failed:
                readings[name] = sample.readings.get(name, quantity.low)
    positions = {name: sample.positions.get(name, one.positions[0]) for name, one in rules.switches.items()}
    return Sample(sample.time, readings, positions, sample.acknowledge)


def check_histories(found: Comparison, first: m.RuleSet, second: m.RuleSet) -> int:
    """How many of them there are."""
    told = [change for change in found.changes if change.history]
    for change in told:
        check_history(change, first, second)
    return len(told)
