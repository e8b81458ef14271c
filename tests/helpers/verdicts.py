"""What `check` says of a rule set, held against the stepper: on states that last, and on random recordings.

In both directions: what it says is never so must never be seen, what it says nothing of must not be seen wrong, and
the state that it shows must be as bad as it says.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence, Set
from fractions import Fraction

from alertlang.checks import news
from alertlang.checks.context import Context
from alertlang.checks.run import Results, run
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.logic.solver import Answer
from alertlang.logic.terms import AtValue, conjunction, in_interval
from alertlang.meaning.instant import Instant, State
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.model.expression import inputs
from alertlang.results.report import Verdict
from alertlang.units.interval import Interval
from tests.helpers.agreeing import Disagreement, drawn, elements, gauges, in_words, rates_known, sensors, trace, watched
from tests.helpers.news_seen import Beside
from tests.helpers.whole import remembers

BLANK_AT_REST = {"AL201", "AL208"}
BLANK_AT_TIMES = {*BLANK_AT_REST, "AL207"}
# A state that lasts is looked at after so many samples, so far apart that each is longer than any delay.
SAMPLES, APART = 14, 10


class Held:
    """One rule set with what `check` says of it and with conditions beside its own that the stepper watches: whether an
    assumption is kept, whether the case of a claim is there, whether what must last is so at all."""

    def __init__(self, rules: m.RuleSet, results: Results) -> None:
        self.rules, self.results, self.context = rules, results, Context(rules)
        parts = {f"part {one.span.start}": one.part for one in rules.held}
        self.watched = watched(rules, parts)
        self.proved = [c for c, r in zip(rules.claims, results.claims, strict=True) if r.verdict is Verdict.PROVED]

    def found(self, codes: set[str], *, quantity: str | None = None, limit: str | None = None) -> bool:
        """Something of these codes is said of a quantity or of a limit, or that nothing can be said at all."""
        return any(
            one.code.code == "AL404"
            or one.undecided
            or (one.code.code in codes and quantity in {None, one.quantity} and limit in {None, one.limit})
            for one in self.results.findings
        )

    def keeps(self, shown: Shown) -> bool:
        """Whether a sample is one that proofs are about."""
        return self.assumed(shown) and rates_known(self.rules, shown)

    def assumed(self, shown: Shown) -> bool:
        """Whether every assumption is kept in a sample; one that reads a rate is not at the first."""
        return all(holds for name, holds in shown.conditions.items() if name.startswith("kept "))


def verdicts_and_stepper(rules: m.RuleSet, chance: random.Random, states: int = 12) -> Iterator[Disagreement]:
    try:
        results = run(rules)
    except Exception as failure:  # whatever it is, it is what is looked for
        yield f"check: {type(failure).__name__}", str(failure)
        return
    held = Held(rules, results)
    for _ in range(states):
        yield from _at_rest(held, chance)
    for _ in range(3):
        yield from _over_time(held, trace(rules, chance, failures=False))
    yield from _as_shown(held, chance)


# ---- a state that lasts


def lasting(rules: m.RuleSet, state: State) -> Shown:
    """What is shown in a state once it has lasted for long."""
    stepper = Stepper(rules)
    readings = {name: value for name, value in state.readings.items() if name in sensors(rules)}
    known = {name: value for name, value in readings.items() if not state.flags.get(s.failed_flag(name), False)}
    return [stepper.step(Sample(Fraction(APART * k), known, state.positions)) for k in range(SAMPLES)][-1]


def _at_rest(held: Held, chance: random.Random) -> Iterator[Disagreement]:
    rules = held.rules
    state = drawn(rules, chance, s.PLAIN, ())
    if state is None:
        return
    shown = lasting(held.watched, state)
    if not held.keeps(shown):
        return
    where = f"{ ({n: str(v) for n, v in state.readings.items()}) } {dict(state.positions)}"
    for name, e in gauges(rules):
        if not rules.bands_by_quantity[name]:
            continue
        if shown.colours[name, e] is None and not held.found(BLANK_AT_REST, quantity=name):
            yield "gap missed", f"{m.variable(name, e)} is blank in {where}"
    for one in rules.ranges:
        for e in elements(rules, one):
            for kind, codes in _wrong_at_rest(held, one, e, shown):
                if not held.found({*codes, "AL308"}, limit=one.label):
                    yield kind, f"{m.variable(one.label, e)} in {where}"
    yield from news_at_rest(held, state, shown, chance)
    for claim in held.proved:
        if rules.failures_read(claim.when):
            continue
        for e in (None,) if claim.quantity is None else rules.quantities[claim.quantity].indexes:
            if claim.index in {None, e} and not _holds(rules, claim, e, shown):
                yield "claim proved and not so", f"{claim.label} for {e} in {where}"
    yield from _never(held, shown, set(), where)


def _wrong_at_rest(held: Held, one: m.Range, e: int | None, shown: Shown) -> Iterator[tuple[str, set[str]]]:
    """What is wrong with a range in a state that lasts, and the codes that say so."""
    rules = held.rules
    if not rules.bands_by_quantity[one.quantity]:
        return
    colour = shown.colours[one.quantity, e]
    if one.kind in {"limit", "avoid"} and shown.violated[one.label, e]:
        if colour is not m.Colour.RED:
            yield "not red missed", {"AL301"}
        if one.needs is not None and not any(level >= one.needs for level in _levels(rules, shown, one.quantity, e)):
            yield "no alert missed", {"AL302"}


def _up(held: Held, one: m.Range, e: int | None, shown: Shown) -> list[m.Band | m.Alert]:
    """The statements whose alerts are up that may count for a broken limit."""
    rules = held.rules
    if one.needs is None or not rules.bands_by_quantity[one.quantity] or not shown.violated.get((one.label, e), False):
        return []
    up = {label for label, i in shown.alerts if i in {None, e}}
    return [r for r in rules.rules_for(one.quantity) if r.label in up and r.alert and r.alert.level >= one.needs]


def news_at_rest(held: Held, state: State, shown: Shown, chance: random.Random) -> Iterator[Disagreement]:
    """Whether an alert that is up where a limit is broken counts for the solver as it is told. What is remembered the
    solver may choose; of rates it is not told."""
    context, rules = held.context, held.rules
    if any(q.is_trend for q in rules.quantities.values()):
        return
    here = conjunction(
        (
            *(in_interval(name, Interval.point(value)) for name, value in state.readings.items()),
            *(AtValue(name, position) for name, position in state.positions.items()),
        )
    )
    remembered = rules.held or any(c.until or c.is_delayed for c in rules.conditions.values())
    for one in rules.ranges:
        for e in elements(rules, one):
            up = _up(held, one, e, shown)
            if not up:
                continue
            said = context.is_satisfiable(
                conjunction((here, context.encoder.violated(one, e), news.silent(context, one, e)))
            )
            if _one_counts(held, one, e, up, state, chance):
                if said is not Answer.NO and not remembered:
                    yield _unless_wider("alert does not count", held, one, e, up), f"{up[0].label} {e} {state}"
            elif said is not Answer.YES:
                yield "old alert counts", f"{up[0].label} {e} {state}"


def _one_counts(
    held: Held, one: m.Range, e: int | None, up: list[m.Band | m.Alert], state: State, chance: random.Random
) -> bool:
    """Whether one of some alerts that are up is news, or comes early."""
    beside = Beside(held.rules, one, e, state, chance)
    return any(beside.counts(rule) for rule in up)


def _unless_wider(kind: str, held: Held, one: m.Range, e: int | None, up: list[m.Band | m.Alert]) -> str:
    """What would take too many values to tell does not count."""
    told = news.of_limit(held.context, one, e)
    return kind if all(told.is_exact(rule) for rule in up) else f"wider, {kind}"


def _levels(rules: m.RuleSet, shown: Shown, quantity: str, e: int | None) -> Iterator[m.Level]:
    for rule in rules.rules_for(quantity):
        place = (rule.label, None if isinstance(rule, m.Alert) else e)
        if place in shown.alerts:
            yield shown.alerts[place].level


def _holds(rules: m.RuleSet, claim: m.Claim, e: int | None, shown: Shown) -> bool:
    """What is claimed, as far as one sample that lasts can tell."""
    if not shown.conditions.get(f"case of {claim.label}", True):
        return True
    if claim.kind in {"quiet", "any_raises"}:
        levels = [text.level for text in shown.alerts.values()]
        least = m.Level.CAUTION if claim.level is None else claim.level
        return any(level >= least for level in levels) is (claim.kind == "any_raises")
    assert claim.quantity is not None
    assert claim.region is not None
    there = Instant(rules, State({n: v for n, v in shown.values.items() if v is not None}, {}))
    if shown.values[m.variable(claim.quantity, e)] is None or not there.is_in_region(claim.quantity, e, claim.region):
        return True
    if claim.kind == "raises":
        assert claim.level is not None
        return any(level >= claim.level for level in _levels(rules, shown, claim.quantity, e))
    colour = shown.colours[claim.quantity, e]
    assert claim.colour is not None
    if claim.kind == "at_least":
        return colour is not None and colour.rank >= claim.colour.rank
    return (colour is claim.colour) is (claim.kind == "is")


# ---- over time


def _assumes_rates(rules: m.RuleSet) -> bool:
    """Whether an assumption reads a rate, itself or by way of what is worked out from one."""
    pending = [name for one in rules.assumptions for name in rules.quantities_read(one.when, one.formula)]
    seen: set[str] = set()
    while pending:
        quantity = rules.quantities[pending.pop()]
        if quantity.is_trend:
            return True
        if quantity.derived is not None and quantity.name not in seen:
            seen.add(quantity.name)
            pending += inputs(quantity.derived)
    return False


def _over_time(held: Held, samples: Sequence[Sample]) -> Iterator[Disagreement]:
    rules = held.rules
    stepper = Stepper(held.watched)
    began: dict[tuple[str, int | None], Fraction] = {}
    told: set[str] = set()
    true_before: set[str] = set()
    for k, sample in enumerate(samples):
        shown = stepper.step(sample)
        # No rate is known at the first sample, so that what reads one is not true there whatever is assumed of it.
        first = k == 0 and any(q.is_trend for q in rules.quantities.values())
        if not held.keeps(shown) and not (first and (held.assumed(shown) or _assumes_rates(rules))):
            return
        where = f"sample {k} of {in_words(samples)}"
        for name, e in gauges(rules):
            blank = rules.bands_by_quantity[name] and shown.colours[name, e] is None
            if blank and rates_known(rules, shown) and not held.found(BLANK_AT_TIMES, quantity=name):
                told.add("blank at times missed")
                yield "blank at times missed", f"{m.variable(name, e)}, {where}"
        if rates_known(rules, shown):
            yield from _never(held, shown, true_before, where)
        true_before |= {name for name, holds in shown.conditions.items() if holds}
        for one in rules.ranges:
            for e in elements(rules, one):
                if not rules.bands_by_quantity[one.quantity]:
                    continue
                for kind, wrong in _wrong_now(held, one, e, shown):
                    place = (f"{kind} {one.label}", e)
                    if not wrong:
                        began.pop(place, None)
                    elif sample.time - began.setdefault(place, sample.time) > one.allowed and not held.found(
                        {"AL301", "AL302", "AL303", "AL307", "AL308", "AL309", "AL310", "AL313"}, limit=one.label
                    ):
                        yield kind, f"{m.variable(one.label, e)}, {where}"
        if k == len(samples) - 1 or len(told) > 3:
            return


def _wrong_now(held: Held, one: m.Range, e: int | None, shown: Shown) -> Iterator[tuple[str, bool]]:
    broken = one.kind in {"limit", "avoid"} and shown.violated[one.label, e]
    yield "red late missed", broken and shown.colours[one.quantity, e] is not m.Colour.RED
    if one.needs is not None:
        loud = any(level >= one.needs for level in _levels(held.rules, shown, one.quantity, e))
        yield "alert late missed", broken and not loud


def _never(held: Held, shown: Shown, true_before: Set[str], where: str) -> Iterator[Disagreement]:
    """What is said to be dead and is seen alive. `true_before`: conditions that were true at an earlier sample."""
    rules = held.rules
    for one in held.results.findings:
        if one.undecided or not one.statements:
            continue
        label, code = one.statements[0], one.code.code
        alive = False
        if code == "AL203":
            band = next(band for band in rules.bands if band.label == label)
            alive = any(
                shown.applies[label, e]
                and shown.colours[band.quantity, e] is not None
                and shown.colours[band.quantity, e].rank <= band.colour.rank  # type: ignore[union-attr]
                for e in elements(rules, band)
            )
        elif code == "AL504":
            alive = any(place[0] == label for place in shown.alerts)
        elif code in {"AL401", "AL407"} and label in rules.conditions and "can never become true" in one.message:
            alive = shown.conditions[label]
        elif code == "AL407" and "stays true for ever" in one.message:
            alive = label in true_before and not shown.conditions[label]
        elif code == "AL407" and one.where is not None:
            alive = shown.conditions.get(f"part {one.where.start}", False)
        elif code == "AL401" and label in rules.conditions:
            begun = shown.time >= (rules.conditions[label].set_after or 0)
            alive = begun and shown.conditions[label] is not ("is always true" in one.message)
        if alive:
            yield f"called dead: {code}", f"{one.message}: {where}"


# ---- what a finding shows


def _as_shown(held: Held, chance: random.Random) -> Iterator[Disagreement]:
    """The witness of a finding that counts on nothing open is as bad as it says, also over time."""
    rules = held.rules
    if any(q.is_trend for q in rules.quantities.values()):
        return
    for one in held.results.findings:
        if one.witness is None or one.code.code not in {"AL201", "AL301", "AL302"}:
            continue
        state = _witness(held, one, chance)
        if state is None:
            continue
        shown = lasting(held.watched, state)
        if not held.keeps(shown):
            continue
        where = f"{one.message}: { ({n: str(v) for n, v in state.readings.items()}) } {dict(state.positions)}"
        if one.code.code == "AL201":
            blank = [m.variable(*g) for g in gauges(rules) if g[0] == one.quantity and shown.colours[g] is None]
            if next(iter(one.region or {})) not in blank:
                yield "gap invented", where
            continue
        limit = next(r for r in rules.ranges if r.label == one.limit)
        first = next(iter(one.region or {}))
        e = next(i for i in rules.quantities[limit.quantity].indexes if m.variable(limit.quantity, i) == first)
        kind = {"AL301": "not red missed", "AL302": "no alert missed"}[one.code.code]
        if any(kind == wrong for wrong, _ in _wrong_at_rest(held, limit, e, shown)):
            continue
        if one.code.code == "AL301":
            yield "unguarded-limit invented", where
            continue
        up = _up(held, limit, e, shown)
        if not up or _one_counts(held, limit, e, up, state, chance):
            yield _unless_wider("missing-alert invented", held, limit, e, up), where


def _witness(held: Held, one: Finding, chance: random.Random) -> State | None:
    """A possible state that agrees with a witness; none if it counts on what was before."""
    rules, witness = held.rules, one.witness or {}
    if any(isinstance(fact, bool) and name not in rules.conditions for name, fact in witness.items()):
        return None
    conditions = [rules.conditions[name] for name, fact in witness.items() if isinstance(fact, bool)]
    if any(one.is_delayed or one.until or remembers(rules, *one.parts) for one in conditions):
        return None
    readings = {
        name: fact.value
        for name, fact in witness.items()
        if isinstance(fact, WitnessReading) and name in sensors(rules)
    }
    positions = {name: fact for name, fact in witness.items() if isinstance(fact, str)}
    for _ in range(20):
        rest = drawn(rules, chance, s.PLAIN, ())
        if rest is None:
            return None
        state = State({**rest.readings, **readings}, {**rest.positions, **positions})
        if Instant(rules, state).is_possible():
            return state
    return None
