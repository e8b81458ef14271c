"""Red inside a time that a limit allows: what no proposal may show."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.comparison.canonical import rest_key
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, Term, both, disjunction, negate
from alertlang.model import ruleset as m


def red_too_early(before: m.RuleSet, after: m.RuleSet, work_limit: int) -> str | None:
    """Which limit a red band that is new or changed cuts short, in a state in which no other limit asks for red and
    nothing was red; none if it cuts none short."""
    known = {_key(band) for band in before.bands}
    new = [b for b in after.bands if b.colour is m.Colour.RED and not b.region.is_failed and _key(b) not in known]
    if not any(one.except_for for band in new for one in after.ranges_by_quantity[band.quantity]):
        return None
    context = Context(after, work_limit)
    for band in new:
        old = [one for one in (*after.bands, *before.bands) if one.quantity == band.quantity and _key(one) in known]
        for one in after.ranges_by_quantity[band.quantity]:
            if one.forbids and _waits(band) < _allows(one) and _cuts(context, band, one, old):
                return f"it would be red inside the {m.in_seconds(_allows(one))} that {one.label} allows"
    return None


def _key(band: m.Band) -> tuple[object, ...]:
    return (band.colour, rest_key(band), _waits(band), band.in_total)


def _waits(band: m.Band) -> Fraction:
    return band.held or Fraction(0)


def _allows(one: m.Range) -> Fraction:
    return one.except_for or Fraction(0)


def _cuts(context: Context, band: m.Band, one: m.Range, old: Iterable[m.Band]) -> bool:
    """Whether a band can be red before the time of a limit is over; where that was not decided, it can."""
    encoder = context.encoder
    others = [
        o
        for o in context.ruleset.ranges_by_quantity[band.quantity]
        if o.kind in {"limit", "avoid"} and _allows(o) <= _waits(band)
    ]
    reds = [o for o in old if o.colour is m.Colour.RED and not o.region.is_failed and _waits(o) <= _waits(band)]

    def meets(index: int | None, part: int | None) -> bool:
        return part is None or index is None or part == index

    for index, _ in context.elements(band.quantity, band.index):
        if not meets(index, one.index):
            continue
        asked: list[Term] = [encoder.violated(o, index) for o in others if meets(index, o.index)]
        was = [_rest(encoder, o, index) for o in reds if meets(index, o.index)]
        goal = both(encoder.violated(one, index), _rest(encoder, band, index), negate(disjunction((*asked, *was))))
        if context.possible(goal) is not Answer.NO:
            return True
    return False


def _rest(encoder: Encoder, band: m.Band, index: int | None) -> Term:
    """What must hold for a band but its clock; told anew, for the encoder knows one band of a label."""
    unless = FALSE if band.unless is None else encoder.formula(band.unless)
    return both(encoder.formula(band.when), encoder.in_region(band.quantity, index, band.region), negate(unless))
