"""Claims: proved, refuted with a witness, vacuous or undecided."""

from __future__ import annotations

from dataclasses import replace

from alertlang.checks import question_text
from alertlang.checks.context import Context
from alertlang.checks.reaction import delay_of
from alertlang.checks.vacuous import claim_context
from alertlang.logic.core import smallest_core
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.results.report import ClaimResult, Verdict
from alertlang.text.lists import listed


def judge(context: Context, claim: m.Claim) -> ClaimResult:
    """What becomes of one claim. A proof names the assumptions without which it would not hold."""
    if claim.quantity is None:
        elements: list[tuple[int | None, str | None]] = [(None, None)]
    else:
        elements = list(context.elements(claim.quantity, claim.index))
    reached = [_reached(context, claim, index, reading) for index, reading in elements]
    if all(answer is Answer.NO for answer in reached):
        return _result(context.ruleset, claim, Verdict.VACUOUS)
    formulas = (claim.when, *_read(context, claim))
    mode = context.encoder_for(claim.when).mode
    undecided = Answer.UNDECIDED in reached
    for index, reading in elements:
        goal = both(_given(context, claim, index), _broken(context, claim, index))

        def confirm(instant: Instant, index: int | None = index) -> bool:
            told = instant.in_mode(mode)
            return told.is_possible() and _refutes(context, told, claim, index)

        context.decider.stating = question_text.broken(context.ruleset, claim, reading)
        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1, told=mode)
        if cases.found:
            case = cases.found[0]
            instant = context.instant(case.model).in_mode(mode)
            return ClaimResult(
                claim.label,
                " ".join(claim.span.text.split()),
                Verdict.REFUTED,
                claim.span,
                case.witness,
                case.region,
                shown=_too_late(context, instant, claim, index) or _shown(instant, claim, index),
            )
        undecided = undecided or cases.undecided
    if undecided:
        return _result(context.ruleset, claim, Verdict.UNDECIDED)
    whole = disjunction(both(_given(context, claim, index), _broken(context, claim, index)) for index, _ in elements)
    context.decider.stating = question_text.needed(claim)
    used = smallest_core(context.decider, whole, context.encoder.assumptions)
    found = _result(context.ruleset, claim, Verdict.PROVED, used or ())
    rests_on = _rests_on(context, claim, [index for index, _ in elements])
    return replace(found, covers=f"{found.covers}; it rests on {listed(rests_on)}") if rests_on else found


def _rests_on(context: Context, claim: m.Claim, elements: list[int | None]) -> list[str]:
    """The statements whose alerts make up the proof of a claim that something is raised: a smallest set, by label. What
    was up before counts too: whether an alert is news is asked of limits, not of claims."""
    if not claim.kind.raises:
        return []
    context.decider.stating = question_text.rests_on(claim)
    encoder = context.encoder_for(claim.when)
    kept = _loud(context, _rules(context.ruleset, claim), claim)
    # Alerts on their own are left out first.
    for rule in reversed(tuple(kept)):
        rest = [other for other in kept if other is not rule]
        missing = (
            both(
                _given(context, claim, index),
                negate(disjunction(_alert_terms(context, encoder, tuple(rest), claim, index))),
            )
            for index in elements
        )
        if context.is_satisfiable(disjunction(missing)) is Answer.NO:
            kept = rest
    return [rule.label for rule in kept]


def _rules(ruleset: m.RuleSet, claim: m.Claim) -> tuple[m.Rule, ...]:
    """The statements that a claim is about."""
    return ruleset.rules if claim.quantity is None else ruleset.rules_for(claim.quantity)


def unproved(ruleset: m.RuleSet, claim: m.Claim, verdict: Verdict) -> ClaimResult:
    """A claim that was not looked at by itself, because its rule set as a whole decides it."""
    return _result(ruleset, claim, verdict)


def _result(ruleset: m.RuleSet, claim: m.Claim, verdict: Verdict, assumptions: tuple[str, ...] = ()) -> ClaimResult:
    text = " ".join(claim.span.text.split())
    covers = _covers(ruleset, claim) if verdict is Verdict.PROVED else ""
    return ClaimResult(claim.label, text, verdict, claim.span, assumptions=assumptions, covers=covers)


def _covers(ruleset: m.RuleSet, claim: m.Claim) -> str:
    """What a proof about times says, and no more."""
    if claim.kind is m.ClaimKind.QUIET:
        latched = [r.label for r in ruleset.rules if r.latched and r.alert and r.alert.level >= m.Level.CAUTION]
        if not latched:
            return ""
        return f"nothing comes up; what was up before and is latched ({', '.join(latched)}) stays until acknowledged"
    if not claim.kind.raises:
        return ""
    if claim.within is None:
        return "the alert comes up if this lasts, however late"
    # What must last more than D shows just after D.
    return f"the alert is up as soon as this has lasted more than {m.in_seconds(claim.within)}, if nothing else changes"


def _reached(context: Context, claim: m.Claim, index: int | None, reading: str | None) -> Answer:
    context.decider.stating = question_text.in_case(context.ruleset, claim, reading)
    return context.is_satisfiable(_given(context, claim, index))


def _given(context: Context, claim: m.Claim, index: int | None) -> Term:
    if claim.quantity is None or claim.region is None:
        return claim_context(context, claim)
    encoder = context.encoder_for(claim.when)
    return both(encoder.formula(claim.when), encoder.in_region(claim.quantity, index, claim.region))


def _broken(context: Context, claim: m.Claim, index: int | None) -> Term:
    """What is claimed does not hold."""
    encoder = context.encoder_for(claim.when)
    if claim.kind is m.ClaimKind.QUIET:
        return encoder.any_alert_up(m.Level.CAUTION)
    if claim.kind.raises:
        return negate(disjunction(_alert_terms(context, encoder, _rules(context.ruleset, claim), claim, index)))
    assert claim.quantity is not None
    assert claim.colour is not None
    if claim.kind is m.ClaimKind.AT_LEAST:
        return negate(encoder.shows_at_least(claim.quantity, index, claim.colour.rank))
    bands = context.ruleset.bands_by_quantity[claim.quantity]
    same = disjunction(encoder.applies(b, index) for b in bands if b.colour is claim.colour)
    worse = encoder.shows_at_least(claim.quantity, index, claim.colour.rank + 1)
    shows = both(same, negate(worse))
    if claim.kind is m.ClaimKind.NEVER:
        return shows
    # Exactly this colour: no other of equal rank beside it either.
    beside = disjunction(
        encoder.applies(b, index) for b in bands if b.colour.rank == claim.colour.rank and b.colour is not claim.colour
    )
    return negate(both(shows, negate(beside)))


def _loud(context: Context, rules: tuple[m.Rule, ...], claim: m.Claim) -> list[m.Rule]:
    """The statements whose alert is of the level and comes in the time that a claim names."""
    return [
        rule
        for rule in rules
        if rule.alert is not None
        and claim.level is not None
        and rule.alert.level >= claim.level
        and (claim.within is None or delay_of(context.ruleset, rule, alert=True).seconds <= claim.within)
    ]


def _alert_terms(
    context: Context,
    encoder: Encoder,
    rules: tuple[m.Rule, ...],
    claim: m.Claim,
    element: int | None = None,
) -> list[Term]:
    return [
        encoder.applies(rule, index, eventually=True)
        for rule in _loud(context, rules, claim)
        for index in _elements(context, rule, claim, element)
    ]


def _elements(context: Context, rule: m.Rule, claim: m.Claim, element: int | None) -> tuple[int | None, ...]:
    """The elements for which a statement counts: where a claim is about a quantity, the one that is asked about."""
    return (element,) if claim.quantity is not None else context.ruleset.indexes_of(rule)


def _is_up(context: Context, instant: Instant, rule: m.Rule, claim: m.Claim, element: int | None) -> bool:
    return any(instant.applies(rule, i, eventually=True) for i in _elements(context, rule, claim, element))


def _refutes(context: Context, instant: Instant, claim: m.Claim, index: int | None) -> bool:
    """The same in the words of the reference evaluator."""
    if not instant.holds(claim.when):
        return False
    if claim.kind is m.ClaimKind.QUIET:
        return claim.refuted_by_level(instant.level())
    if claim.quantity is not None:
        assert claim.region is not None
        if not instant.holds(m.Compare(claim.quantity, index, claim.region, claim.span)):
            return False
    if claim.kind.raises:
        loud = _loud(context, _rules(context.ruleset, claim), claim)
        return not any(_is_up(context, instant, rule, claim, index) for rule in loud)
    assert claim.quantity is not None
    return claim.refuted_by_colours(instant.colours(claim.quantity, index))


def _too_late(context: Context, instant: Instant, claim: m.Claim, index: int | None) -> str:
    """What comes in the witness, but not in the time that is claimed; nothing if nothing does."""
    if claim.within is None:
        return ""
    rules = _rules(context.ruleset, claim)
    late = [
        (delay_of(context.ruleset, rule, alert=True), rule)
        for rule in _loud(context, rules, replace(claim, within=None))
        if _is_up(context, instant, rule, claim, index)
    ]
    if not late:
        return ""
    delay, rule = min(late, key=lambda pair: pair[0].seconds)
    return f"{rule.label} raises it after {m.in_seconds(delay.seconds)}: {delay.in_words}"


def _shown(instant: Instant, claim: m.Claim, index: int | None) -> str:
    """What the panel shows in the witness, in words."""
    if claim.quantity is None:
        level = instant.level(eventually=claim.kind.raises)
        return f"the highest alert up is a {level.word}" if level else "no alert is up"
    if claim.kind.raises:
        level = instant.level_for(claim.quantity, index, eventually=True)
        return f"the highest alert up for it is a {level.word}" if level else "no alert for it is up"
    colour = instant.colour(claim.quantity, index)
    return f"it shows {colour.word}" if colour is not None else "it shows no colour"


def _read(context: Context, claim: m.Claim) -> tuple[m.Formula | None, ...]:
    ruleset = context.ruleset
    rules = _rules(ruleset, claim)
    return tuple(f for rule in rules for f in (rule.when, rule.unless))
