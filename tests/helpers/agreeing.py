"""Solver, evaluator of one instant, stepper and replay, held against each other on one rule set.

Each function yields what does not agree, as a kind and the particulars. Where the solver may be wider than the stepper
it is by its open truths: what must have lasted, what is kept, what has not settled. So a thing that the stepper shows
must be a state of the solver, and not the other way round; the other way is counted out on small sets by
`tests.helpers.histories`.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import product

from alertlang.checks.context import Context
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import AtValue, Flag, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.instant import Instant, State
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import Trend
from alertlang.units.interval import Interval
from tests.helpers.timed import STEPS, values_of
from tests.replay.test_engine import agree, in_columns

Disagreement = tuple[str, str]
Gauge = tuple[str, int | None]


def sensors(rules: m.RuleSet) -> dict[str, tuple[Fraction, ...]]:
    """Every reading with a sensor, and the values of it that matter."""
    return {
        m.variable(q.name, index): values_of(rules, q)
        for q in rules.quantities.values()
        if q.derived is None
        for index in q.indexes
    }


def elements(rules: m.RuleSet, one: m.Band | m.Alert | m.Range) -> tuple[int | None, ...]:
    if isinstance(one, m.Alert):
        return (None,)
    return rules.quantities[one.quantity].indexes if one.index is None else (one.index,)


def gauges(rules: m.RuleSet) -> list[Gauge]:
    return [(q.name, index) for q in rules.quantities.values() for index in q.indexes]


def watched(rules: m.RuleSet, more: Mapping[str, m.Formula] | None = None) -> m.RuleSet:
    """With conditions beside its own, so that the stepper says whether each assumption is kept (as it is, and with
    every delay over, as proofs take it) and the case of each claim is there; and what else is asked for."""
    formulas = dict(more or {})
    for one in rules.assumptions:
        kept = one.formula if one.when is None else m.Or((m.Not(one.when, one.span), one.formula), one.span)
        formulas |= {f"kept {one.label}": kept, f"kept {one.label} settled": settled(kept)}
    for claim in rules.claims:
        if claim.when is not None:
            formulas[f"case of {claim.label}"] = claim.when
    extra = {name: m.Condition(name, formula, (), formula.span, rules.origin) for name, formula in formulas.items()}
    for c in rules.conditions.values():
        until = None if c.until is None else settled(c.until)
        name = f"{c.name} settled"
        extra[name] = m.Condition(name, settled(c.formula), (), c.span, c.origin, until)
    return replace(rules, conditions={**rules.conditions, **extra})


def settled(formula: m.Formula) -> m.Formula:
    """The formula with the conditions in it as they are without their delays."""
    match formula:
        case m.ConditionIs():
            return replace(formula, name=f"{formula.name} settled")
        case m.Not() | m.Held():
            return replace(formula, part=settled(formula.part))
        case m.And() | m.Or():
            return replace(formula, parts=tuple(settled(part) for part in formula.parts))
    return formula


# ---- solver and evaluator of one instant


def modes(rules: m.RuleSet) -> list[s.FaultModel]:
    """Everything healthy and settled; any sensor failed; any delayed condition unsettled, and with that any sensor."""
    delays = {(c.name, True): c.cleared_after for c in rules.conditions.values()}
    delays |= {(c.name, False): c.set_after for c in rules.conditions.values()}
    moving = frozenset(pair for pair, delay in delays.items() if delay)
    failing = frozenset(sensors(rules))
    found = [s.PLAIN, s.FaultModel(may_fail=failing, suffix=" as told")]
    if moving:
        found += [s.FaultModel(moving, suffix=" meanwhile"), s.FaultModel(moving, failing, " meanwhile, as told")]
    return found


@dataclass(frozen=True)
class Said:
    """Something said of a state: in words, by the solver's term and by the evaluator.

    `gauge`: the solver's term is about the values of a gauge; a band `X failed is red` colours none of them, so where
    the reading itself is missing the two say different things on purpose.
    """

    words: str
    term: Term
    ask: Callable[[Instant], object]
    gauge: Gauge | None = None


def said(rules: m.RuleSet, encoder: Encoder) -> Iterator[Said]:
    for name in rules.conditions:
        yield Said(f"condition {name}", encoder.condition(name), partial(Instant.condition, name=name))
    for claim in rules.claims:
        yield Said(f"case of {claim.label}", encoder.formula(claim.when), partial(Instant.holds, formula=claim.when))
    for one in rules.ranges:
        for e in elements(rules, one):
            broken = one.kind in {"limit", "avoid"}
            term = encoder.violated(one, e) if broken else encoder.inside(one, e)
            yield Said(
                f"in {one.label} {e}",
                term,
                partial(Instant.violates if broken else Instant.is_in, declared=one, index=e),
            )
    for late in (False, True):
        yield from _said_of_rules(rules, encoder, late)


def _said_of_rules(rules: m.RuleSet, encoder: Encoder, late: bool) -> Iterator[Said]:
    """`late`: every `for more than` counts as over."""
    word = ", late" if late else ""
    for band in rules.bands:
        for e, linger in product(elements(rules, band), (False, True)):
            applies = encoder.applies(band, e, eventually=late, linger=linger)
            ask: Callable[[Instant], object] = partial(
                Instant.applies, rule=band, index=e, eventually=late, linger=linger
            )
            yield Said(f"{band.label} {e} applies{' or is kept' * linger}{word}", applies, ask)
    for alert in rules.alerts:
        ask = partial(Instant.applies, rule=alert, index=None, eventually=late)
        yield Said(f"{alert.label} up{word}", encoder.applies(alert, None, eventually=late), ask)
    for level in m.Level:
        any_up = encoder.any_alert_up(level, eventually=late)

        def is_up(i: Instant, level: m.Level = level) -> bool:
            return (i.level(eventually=late) or 0) >= level

        yield Said(f"any {level.word}{word}", any_up, is_up)
    for gauge in gauges(rules):
        name = m.variable(*gauge)
        for rank in range(1, 4):
            term = encoder.shows_at_least(*gauge, rank, eventually=late)

            def reaches(i: Instant, gauge: Gauge = gauge, rank: int = rank) -> bool:
                colour = i.colour(*gauge, eventually=late)
                return colour is not None and colour.rank >= rank

            yield Said(f"{name} shows rank {rank}{word}", term, reaches, gauge)
        shows = encoder.shows_any(*gauge, eventually=late)
        ask = partial(Instant.colours, quantity=gauge[0], index=gauge[1], eventually=late, linger=False)
        yield Said(f"{name} shows{word}", shows, ask, gauge)


def exactly(context: Context, state: State) -> Term:
    """The solver's words for a state; an open truth that no question reads has no word."""
    known = context.encoder.names.flags
    return both(
        conjunction(in_interval(name, Interval.point(value)) for name, value in state.readings.items()),
        conjunction(AtValue(name, position) for name, position in state.positions.items()),
        conjunction(Flag(n) if holds else negate(Flag(n)) for n, holds in state.flags.items() if n in known),
    )


def instant_and_solver(rules: m.RuleSet, chance: random.Random, count: int = 2) -> Iterator[Disagreement]:
    for mode in chance.sample(modes(rules), 2):
        context = Context(rules)
        # All that is said makes the names of what it leaves open.
        everything = list(said(rules, context.encoder.in_mode(mode)))
        flags = sorted(context.encoder.names.flags)
        for _ in range(count):
            state = drawn(rules, chance, mode, flags)
            if state is None:
                break
            instant = Instant(rules, state, mode)
            is_possible = _is_possible(instant)
            here = exactly(context, state)
            answer = context.decider.is_satisfiable(conjunction((here, *(t for _, t in context.encoder.assumptions))))
            # In a mode the solver may know more: what was before a sensor failed, or which of two conditions is first.
            if answer is not (Answer.YES if is_possible else Answer.NO) and (answer is Answer.YES or mode is s.PLAIN):
                yield "possible", f"{answer} {is_possible} {_words(state)}{mode.suffix}"
            if answer is not Answer.YES or not is_possible:
                continue
            told = [o for o in everything if o.gauge is None or instant.told(*o.gauge) is not None]
            differ = {one.words: negate(one.term) if one.ask(instant) else one.term for one in told}
            if context.decider.is_satisfiable(both(here, disjunction(differ.values()))) is not Answer.NO:
                for words, term in differ.items():
                    if context.decider.is_satisfiable(both(here, term)) is not Answer.NO:
                        yield "instant and solver", f"{words} in {_words(state)}{mode.suffix}"


def _is_possible(instant: Instant) -> bool:
    return instant.is_possible() and instant.in_mode(s.PLAIN).is_possible()


def drawn(rules: m.RuleSet, chance: random.Random, mode: s.FaultModel, flags: Sequence[str]) -> State | None:
    """A state, mostly a possible one: first readings that keep the assumptions, then open truths one by one."""
    for _ in range(30):
        readings = {name: chance.choice(values) for name, values in sensors(rules).items()}
        for quantity in rules.quantities.values():
            if quantity.is_trend:
                readings |= {
                    m.variable(quantity.name, i): chance.choice(values_of(rules, quantity)) for i in quantity.indexes
                }
        positions = {name: chance.choice(switch.positions) for name, switch in rules.switches.items()}
        state = State(readings, positions, {})
        if _is_possible(Instant(rules, state, mode)):
            break
    else:
        return None
    for flag in chance.sample(flags, len(flags)):
        for holds in chance.sample((True, False), 2):
            state = State(readings, positions, {**state.flags, flag: holds})
            if _is_possible(Instant(rules, state, mode)):
                break
    return state


def _words(state: State) -> str:
    values = {name: str(value) for name, value in state.readings.items()}
    return f"{values} {dict(state.positions)} {dict(sorted(state.flags.items()))}"


# ---- stepper, evaluator of one instant and solver


def trace(rules: m.RuleSet, chance: random.Random, *, longest: int = 14, failures: bool = True) -> list[Sample]:
    """Samples that mostly stay as they were, at values that matter; with `failures` some are missing or beyond."""
    values, now = sensors(rules), Fraction(0)
    readings: dict[str, Fraction] = {}
    positions: dict[str, str] = {}
    found: list[Sample] = []
    for _ in range(chance.randint(2, longest)):
        for name, some in values.items():
            if name not in readings or not chance.randrange(4):
                readings[name] = chance.choice(some)
        for name, switch in rules.switches.items():
            if name not in positions or not chance.randrange(4):
                positions[name] = chance.choice(switch.positions)
        told, known = dict(readings), dict(positions)
        for name in readings if failures else ():
            lost = chance.randrange(16)
            if lost == 0:
                del told[name]
            elif lost == 1:
                told[name] = rules.quantities[name.split("[")[0]].high + 1
        for name in positions if failures else ():
            if not chance.randrange(30):
                del known[name]
        found.append(Sample(now, told, known, chance.randrange(5) == 0))
        now += chance.choice(STEPS)
    return found


def there_is(rules: m.RuleSet, sample: Sample, shown: Shown) -> State:
    """What there is at a sample: a value for every sensor (any, where it has failed) and every rise or fall, and which
    sensors have failed; open truths left open."""
    readings: dict[str, Fraction] = {}
    flags: dict[str, bool] = {}
    for quantity in rules.quantities.values():
        for index in quantity.indexes:
            name = m.variable(quantity.name, index)
            value = shown.values[name]
            if quantity.derived is None:
                flags[s.failed_flag(name)] = value is None
            if isinstance(quantity.derived, Trend):
                index = quantity.derived.index or index
                of = m.variable(quantity.derived.quantity, index)
                flags[s.missed_flag(of)] = value is None and shown.values[of] is not None
            if not quantity.is_computed:
                readings[name] = quantity.low if value is None else value
    return State(readings, sample.positions, flags)


def rates_known(rules: m.RuleSet, shown: Shown) -> bool:
    """Every rise and fall is told and within what is declared: a proof assumes both."""
    trends = [(q, m.variable(q.name, index)) for q in rules.quantities.values() if q.is_trend for index in q.indexes]
    values = [(q, shown.values[name]) for q, name in trends]
    return all(value is not None and q.range.contains(value) for q, value in values)


def stepper_and_solver(rules: m.RuleSet, samples: Sequence[Sample]) -> Iterator[Disagreement]:
    """Whatever happens over time is a state of the solver, with any sensor failed and conditions unsettled."""
    context = Context(replace(rules, assumptions=()))
    mode = modes(rules)[-1]
    encoder = context.encoder.in_mode(mode)
    stepper = Stepper(rules)
    for k, sample in enumerate(samples):
        shown = stepper.step(sample)
        # The snapshot knows no switch without a position.
        if len(sample.positions) < len(rules.switches):
            return
        seen: list[Term] = []
        for rule in rules.rules:
            for e in elements(rules, rule):
                term = encoder.applies(rule, e)
                seen.append(term if shown.applies[rule.label, e] else negate(term))
        for name, holds in shown.conditions.items():
            seen.append(encoder.condition(name) if holds else negate(encoder.condition(name)))
        there = exactly(context, there_is(rules, sample, shown))
        if context.decider.is_satisfiable(both(there, *seen)) is not Answer.YES:
            yield (
                "stepper and solver",
                f"sample {k} of {in_words(samples)}: {dict(shown.applies)} {dict(shown.conditions)}",
            )
            return


def stepper_and_replay(rules: m.RuleSet, samples: Sequence[Sample]) -> Iterator[Disagreement]:
    try:
        agree(rules, in_columns(rules, samples), [3, 1])
    except AssertionError as failure:
        yield "stepper and replay", f"{failure} {in_words(samples)}"


def in_words(samples: Sequence[Sample]) -> str:
    found = []
    for one in samples:
        values = [f"{name} {value}" for name, value in {**one.readings, **one.positions}.items()]
        found.append(f"{one.time} s: {', '.join(values)}{' acknowledged' * one.acknowledge}")
    return "; ".join(found)
