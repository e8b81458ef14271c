"""Claims: proved, refuted with a witness, vacuous or undecided."""

from __future__ import annotations

from alertlang.checks.context import Context
from alertlang.checks.vacuous import claim_context
from alertlang.diagnostics.report import ClaimResult, Verdict
from alertlang.logic.core import smallest_core
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m


def judge(context: Context, claim: m.Claim) -> ClaimResult:
    """What becomes of one claim. A proof names the assumptions without which it would not hold."""
    if claim.quantity is None:
        elements: list[tuple[int | None, str | None]] = [(None, None)]
    else:
        elements = list(context.elements(claim.quantity, claim.index))
    reached = [context.possible(_given(context, claim, index)) for index, _ in elements]
    if all(answer is Answer.NO for answer in reached):
        return _result(claim, Verdict.VACUOUS)
    formulas = (claim.when, *_read(context, claim))
    undecided = Answer.UNDECIDED in reached
    for index, reading in elements:
        goal = both(_given(context, claim, index), _broken(context, claim, index))

        def confirm(instant: Instant, index: int | None = index) -> bool:
            return _refutes(instant, claim, index)

        cases = context.cases(goal, confirm, primary=reading, formulas=formulas, most=1)
        if cases.found:
            case = cases.found[0]
            instant = context.instant(case.model)
            return ClaimResult(
                claim.label,
                " ".join(claim.span.text.split()),
                Verdict.REFUTED,
                claim.span,
                case.witness,
                case.region,
                shown=_shown(instant, claim, index),
            )
        undecided = undecided or cases.undecided
    if undecided:
        return _result(claim, Verdict.UNDECIDED)
    whole = disjunction(both(_given(context, claim, index), _broken(context, claim, index)) for index, _ in elements)
    used = smallest_core(context.decider, whole, context.encoder.assumptions)
    return _result(claim, Verdict.PROVED, used or ())


def unproved(claim: m.Claim, verdict: Verdict) -> ClaimResult:
    """A claim that was not looked at by itself, because its rule set as a whole decides it."""
    return _result(claim, verdict)


def _result(claim: m.Claim, verdict: Verdict, assumptions: tuple[str, ...] = ()) -> ClaimResult:
    return ClaimResult(claim.label, " ".join(claim.span.text.split()), verdict, claim.span, assumptions=assumptions)


def _given(context: Context, claim: m.Claim, index: int | None) -> Term:
    if claim.quantity is None or claim.region is None:
        return claim_context(context, claim)
    return both(
        context.encoder.formula(claim.when),
        context.encoder.in_region(claim.quantity, index, claim.region),
    )


def _broken(context: Context, claim: m.Claim, index: int | None) -> Term:
    """What is claimed does not hold."""
    encoder = context.encoder
    if claim.kind == "quiet":
        return encoder.any_alert_up(m.Level.CAUTION)
    if claim.kind == "any_raises":
        assert claim.level is not None
        return negate(encoder.any_alert_up(claim.level))
    assert claim.quantity is not None
    if claim.kind == "raises":
        assert claim.level is not None
        return negate(encoder.alert_up(claim.quantity, index, claim.level))
    assert claim.colour is not None
    if claim.kind == "at_least":
        return negate(encoder.shows_at_least(claim.quantity, index, claim.colour.rank))
    bands = context.ruleset.bands_by_quantity[claim.quantity]
    same = disjunction(encoder.applies(b, index) for b in bands if b.colour is claim.colour)
    worse = encoder.shows_at_least(claim.quantity, index, claim.colour.rank + 1)
    shows = both(same, negate(worse))
    if claim.kind == "never":
        return shows
    # Exactly this colour: no other of equal rank beside it either.
    beside = disjunction(
        encoder.applies(b, index) for b in bands if b.colour.rank == claim.colour.rank and b.colour is not claim.colour
    )
    return negate(both(shows, negate(beside)))


def _refutes(instant: Instant, claim: m.Claim, index: int | None) -> bool:
    """The same in the words of the reference evaluator."""
    if not instant.holds(claim.when):
        return False
    if claim.kind == "quiet":
        level = instant.level()
        return level is not None and level >= m.Level.CAUTION
    if claim.kind == "any_raises":
        assert claim.level is not None
        level = instant.level()
        return level is None or level < claim.level
    assert claim.quantity is not None
    assert claim.region is not None
    if not instant.holds(m.Compare(claim.quantity, index, claim.region, claim.span)):
        return False
    if claim.kind == "raises":
        assert claim.level is not None
        level = instant.level_for(claim.quantity, index)
        return level is None or level < claim.level
    assert claim.colour is not None
    colours = instant.colours(claim.quantity, index)
    rank = max((c.rank for c in colours), default=-1)
    if claim.kind == "at_least":
        return rank < claim.colour.rank
    shown = {c for c in colours if c.rank == rank}
    return claim.colour in shown if claim.kind == "never" else shown != {claim.colour}


def _shown(instant: Instant, claim: m.Claim, index: int | None) -> str:
    """What the panel shows in the witness, in words."""
    if claim.kind in {"quiet", "any_raises"}:
        level = instant.level()
        return f"the highest alert up is a {level.word}" if level else "no alert is up"
    assert claim.quantity is not None
    if claim.kind == "raises":
        level = instant.level_for(claim.quantity, index)
        return f"the highest alert up for it is a {level.word}" if level else "no alert for it is up"
    colour = instant.colour(claim.quantity, index)
    return f"it shows {colour.word}" if colour is not None else "it shows no colour"


def _read(context: Context, claim: m.Claim) -> tuple[m.Formula | None, ...]:
    ruleset = context.ruleset
    rules = ruleset.rules if claim.quantity is None else ruleset.rules_for(claim.quantity)
    return tuple(f for rule in rules for f in (rule.when, rule.unless))
