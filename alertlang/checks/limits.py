"""What the checks on limits have in common."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from alertlang.checks.context import Context, FaultCase
from alertlang.logic.solver import Answer
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED
from alertlang.units.interval import Interval, IntervalSet


def limits(context: Context, name: str, *, lamp_only: bool = False) -> Iterator[m.Range]:
    """Limits and avoid ranges of a quantity whose violation can be read and whose context can hold, where the
    quantity has bands. The others have findings of their own.

    `lamp_only`: also where it has none and that is accepted, as of a quantity that has no gauge but a lamp.
    """
    ruleset = context.ruleset
    if not ruleset.bands_by_quantity[name]:
        ranges = {declared.label for declared in ruleset.ranges_by_quantity[name]}
        accepted = any(a.check == "unwatched-quantity" and a.target in {name, *ranges} for a in ruleset.acceptances)
        if not (lamp_only and accepted and ruleset.alerts_by_quantity[name]):
            return
    for declared in context.ruleset.ranges_by_quantity[name]:
        if not declared.forbids:
            continue
        if violation(context, declared).is_empty or context.in_context(declared) is Answer.NO:
            continue
        yield declared


def is_limited(ruleset: m.RuleSet, name: str) -> bool:
    """Whether there is a limit on a quantity, or a range to avoid."""
    return any(declared.forbids for declared in ruleset.ranges_by_quantity[name])


def violation(context: Context, declared: m.Range) -> IntervalSet:
    """The values within the sensor's range that break a limit (its `when` aside), wherever its ends move to."""
    known = context.kept.get(("violation", declared.label))
    if isinstance(known, IntervalSet):
        return known
    sensor = IntervalSet.of(context.ruleset.quantities[declared.quantity].range)
    found = (
        sensor.intersect(declared.region.values)
        if declared.kind is m.RangeKind.AVOID
        else sensor.subtract(declared.region.certain)
    )
    context.kept["violation", declared.label] = found
    return found


def broken_words(context: Context, declared: m.Range) -> str:
    """The region in which a limit is broken in the words of the language, its ends moving where the limit's do."""
    return declared.broken.in_words(context.ruleset.quantities[declared.quantity].unit)


def where_broken(context: Context, declared: m.Range, case: FaultCase, reading: str) -> tuple[str, str]:
    """Where a case breaks a limit, and the rest of its region, in words. Against an end that moves, in the limit's own
    words instead of how far from it the reading is."""
    part = case.reach(reading)
    rest = {name: fact for name, fact in case.region.items() if not name.endswith(FAILED)}
    where = context.words.stretch(reading, part)
    if declared.region.moves:
        rest = {name: fact for name, fact in rest.items() if not name.startswith(f"{reading} - ")}
        if part == context.quantity(reading).range:
            where = broken_words(context, declared)
    return where, context.words.whenever(rest, reading)


def unreadable(context: Context, declared: m.Range) -> tuple[Interval, ...]:
    """The stretches that break a limit and of which the sensor can read nothing."""
    sensor = context.ruleset.quantities[declared.quantity].range
    values = declared.region.certain if declared.kind is m.RangeKind.AVOID else declared.region.values.complement()
    return tuple(part for part in values if part.intersect(sensor) is None)


def named(declared: m.Range) -> str:
    """A limit with its place: `the limit redline (osier.profile line 12)`."""
    return f"the {declared.kind.noun} {declared.label} ({declared.span.source.path} line {declared.span.line})"


def culprits(
    context: Context,
    case: FaultCase,
    wanted: Iterable[m.Rule],
    name: str,
    index: int | None,
    instead: Iterable[m.Rule] = (),
) -> tuple[m.Rule, ...]:
    """The statements behind a case, the one at fault first: those of the wanted ones that their own `unless` takes
    away there, then those that are known to be there `instead`, then the bands that show there, then the other wanted
    ones."""
    instant = context.instant(case.model)
    known = Instant(context.ruleset, State(case.model.readings, case.model.positions, case.model.flags))
    wanted = tuple(wanted)

    def inhibited(rule: m.Rule) -> bool:
        if rule.unless is None or not instant.holds(rule.when) or not instant.holds(rule.unless):
            return False
        return isinstance(rule, m.Alert) or instant.is_in_region(name, index, rule.region)

    instead = tuple(instead)
    silenced = [rule for rule in wanted if _reads_known(known, rule, index) and inhibited(rule)]
    showing = sorted(
        # What the question was not about may be one way or the other there: such a band is not to blame.
        (
            b
            for b in context.ruleset.bands_by_quantity[name]
            if _reads_known(known, b, index) and known.applies(b, index)
        ),
        key=lambda b: -b.colour,
    )
    return tuple({rule.label: rule for rule in (*silenced, *instead, *showing, *wanted)}.values())


def _reads_known(instant: Instant, rule: m.Rule, index: int | None) -> bool:
    """Whether the state gives all that a rule reads: it leaves out what the question was not about."""
    try:
        instant.holds(rule.when)
        instant.holds(rule.unless)
        if isinstance(rule, m.Band):
            instant.is_in_region(rule.quantity, index, rule.region)
    except KeyError:
        return False
    return True
