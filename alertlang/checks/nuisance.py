"""An alert that is up although nothing is wrong.

## What it finds

A caution or a warning that is up in a state of one of two kinds:

- everything is normal: every switch is at its first position, no limit is broken, no avoid range and no
  precaution is entered, and every quantity that has a normal range which holds then lies in one;
- the engine stands still (where there is a condition `running`): it is not running, every switch is at its
  first position, and no reading is above a limit, an avoid range, a precaution or the normal ranges. Low
  readings are what an engine that stands still has.

## Why it matters

An alert that comes on every taxi is an alert that nobody reads on the day it counts.

## Example

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm above 400 rpm or rpm failed
    when running limit oil_pressure at least 25 psi, needs warning, source NOTE
    oil_pressure at least 25 is green
    oil_pressure below 25 is red
    low_oil: when oil_pressure below 25 then warning "OIL PRESS"

## Corrected

    rules "example" version 1
    source NOTE common practice
    quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    condition running means rpm above 400 rpm or rpm failed
    when running limit oil_pressure at least 25 psi, needs warning, source NOTE
    oil_pressure at least 25 is green
    when running then oil_pressure below 25 is red
    when not running then oil_pressure below 25 is unmarked
    low_oil: when oil_pressure below 25 then warning "OIL PRESS" unless not running

## How it is decided

The solver is asked, for each alert, for a state of the two kinds in which it is up. What a deadband keeps up
does not count; a `for more than` counts as over. Quantities that have nothing to do with the alert are left
out of the state that is shown.

## What it cannot see

An alert on a quantity that has neither a limit nor a normal range that holds in the state (with the engine
standing still: at any time): nothing says what is normal for it. A rise or fall counts by its own limits and
normal ranges, anything else that is computed also by those of what it is computed from. Of a quantity with a
limit on one side only, all values on the other side are normal.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Cases, Context, FaultCase
from alertlang.checks.guards import quantities_of, readings_of
from alertlang.checks.limits import named
from alertlang.checks.normal_operation import CalmGoal, NormalOperation, is_known
from alertlang.checks.suggest import spliced
from alertlang.checks.undecided import undecided
from alertlang.findings.finding import Finding, Suggestion, finding
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, negate
from alertlang.meaning.instant import Instant
from alertlang.meaning.sight import Seen
from alertlang.model import ruleset as m
from alertlang.text.source import Span

NAME = "nuisance"
SEEN = Seen(
    lambda at: any(label == at.finding.statements[0] for label, _ in at.look.shown.alerts), alerts=True, own=True
)
_RUNNING = "running"
_NORMAL = (
    "normal is: every switch at its first position, no limit broken, no avoid range and no precaution entered, and "
    "every quantity in a normal range, if one holds for it"
)
_STILL = (
    "standing still is: not running, every switch at its first position, and no reading above a limit, an avoid "
    "range, a precaution or the normal ranges"
)


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is an alert of which it is known what is normal for it."""
    return any(_is_judged(ruleset, rule) for rule in ruleset.rules)


def _is_judged(ruleset: m.RuleSet, rule: m.Rule) -> bool:
    if rule.alert is None or rule.alert.level < m.Level.CAUTION:
        return False
    if isinstance(rule, m.Band) and rule.region.is_failed:
        return False
    return all(is_known(ruleset, name) for name in quantities_of(ruleset, rule))


def check(context: Context) -> Iterator[Finding]:
    """Each alert at most once for each of the two kinds of state."""
    ruleset = context.ruleset
    rules = [rule for rule in ruleset.rules if _is_judged(ruleset, rule)]
    if not rules:
        return
    normal = NormalOperation(context, still=False)
    still = NormalOperation(context, still=True) if _RUNNING in ruleset.conditions else None
    for rule in rules:
        if still is None:
            yield from _judge(context, rule, normal, None)
            continue
        yield from _judge(context, rule, still, False)
        # All that is normal with the engine stopped is covered by that.
        yield from _judge(context, rule, normal, True)


def _judge(context: Context, rule: m.Rule, calm: NormalOperation, running: bool | None) -> Iterator[Finding]:
    """`running`: whether the engine must be running; none where nothing says what that is."""
    quantity = rule.quantity if isinstance(rule, m.Band) else None
    elements = context.elements(rule.quantity, rule.index) if isinstance(rule, m.Band) else iter([(None, None)])
    for index, reading in elements:
        raised = context.encoder.applies(rule, index, eventually=True, linger=False)
        subjects = readings_of(context.ruleset, rule, index)
        wanted = calm.wanted(both(raised, _engine(context, running)), reading, subjects)
        cases = _cases(context, rule, index, reading, wanted, running)
        whole: CalmGoal | Answer = Answer.NO
        if cases.found:
            # So far only what the alert is about is as it should be.
            whole = calm.whole(wanted)
            if isinstance(whole, CalmGoal) and not calm.extends(whole, cases.found[0].model):
                cases = _cases(context, rule, index, reading, whole, running)
        if cases.undecided or whole is Answer.UNDECIDED:
            yield undecided(NAME, rule.span, quantity, (rule.label,))
            return
        if cases.found and isinstance(whole, CalmGoal):
            yield _finding(context, rule, reading, cases.found[0], raised, running is False)
            return


def _cases(
    context: Context, rule: m.Rule, index: int | None, reading: str | None, wanted: CalmGoal, running: bool | None
) -> Cases:
    def confirm(instant: Instant) -> bool:
        engine = running is None or instant.condition(_RUNNING) is running
        return engine and instant.applies(rule, index, eventually=True, linger=False) and wanted.is_calm(instant)

    engine = None if running is None else m.ConditionIs(_RUNNING, rule.span)
    return context.cases(wanted.term, confirm, primary=reading, formulas=(rule.when, rule.unless, engine), most=1)


def _engine(context: Context, running: bool | None) -> Term:
    if running is None:
        return both()
    term = context.encoder.condition(_RUNNING)
    return term if running else negate(term)


def _finding(
    context: Context, rule: m.Rule, reading: str | None, case: FaultCase, raised: Term, still: bool
) -> Finding:
    assert rule.alert is not None
    # The rest of the region says what is normal, which is long and told below.
    read = context.encoder.definitions_for(raised.reads)[0]
    region = {name: part for name, part in case.region.items() if name in read}
    where = ""
    if reading is not None:
        part = case.reach(reading)
        where = f" with {context.subject(reading)} {context.words.stretch(reading, part)}"
    rest = context.words.whenever(region, reading)
    asked = _asked_for(context, rule) if still else ()
    advice = [_STILL if still else _NORMAL]
    if asked:
        advice.append(
            f"{named(asked[0])} asks for it with the engine stopped too: if that is not meant, say `when running` there"
        )
    elif still and isinstance(rule, m.Band):
        advice.append("give the values a colour for when the engine is stopped, if nothing else does")
    elif not still:
        advice.append("narrow the statement, or say in a limit, precaution or normal range that this is not normal")
    level, text = rule.alert.level.word, rule.alert.text
    return finding(
        NAME,
        f'the {level} "{text}" is up {"with the engine standing still" if still else "with everything normal"}'
        f"{',' if where else ''}{where}{rest}",
        rule.span,
        quantity=rule.quantity if isinstance(rule, m.Band) else None,
        statements=(rule.label,),
        limit=asked[0].label if asked else None,
        witness=case.witness,
        region=case.region,
        suggestion=_unless_stopped(rule) if still and not asked else None,
        advice=tuple(advice),
    )


def _asked_for(context: Context, rule: m.Rule) -> tuple[m.Range, ...]:
    """The limits and precautions that would have nothing to show for themselves if the statement kept quiet while the
    engine is not running."""
    encoder = context.encoder
    stopped = negate(encoder.condition(_RUNNING))
    found: list[m.Range] = []
    for name in quantities_of(context.ruleset, rule):
        for declared in context.ruleset.ranges_by_quantity[name]:
            if not _serves(rule, declared):
                continue
            for index, _ in context.elements(name, declared.index):
                wrong = encoder.matters(declared, index)
                raised = encoder.applies(rule, index, eventually=True)
                if context.is_satisfiable(both(stopped, wrong, raised)) is not Answer.NO:
                    found.append(declared)
                    break
    return tuple(found)


def _serves(rule: m.Rule, declared: m.Range) -> bool:
    """Whether a limit or precaution could ask for the statement: for its alert, or for its colour."""
    assert rule.alert is not None
    if declared.kind is m.RangeKind.PRECAUTION:
        return isinstance(rule, m.Band) and not rule.colour.calm
    if declared.kind is m.RangeKind.NORMAL:
        return False
    loud = declared.needs is not None and rule.alert.level >= declared.needs
    return loud or (isinstance(rule, m.Band) and rule.colour is m.Colour.RED)


def _unless_stopped(rule: m.Rule) -> Suggestion | None:
    """The statement with `unless not running`, beside the `unless` that it has."""
    unless = rule.node.tail.unless
    if unless is not None:
        return spliced(rule.span, unless.span, f"({unless.span.text}) or not {_RUNNING}")
    end = Span(rule.span.source, rule.span.end, rule.span.end)
    return spliced(rule.span, end, f" unless not {_RUNNING}")
