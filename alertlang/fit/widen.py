"""A context that makes no difference: without it, the gauge shows the same everywhere."""

from __future__ import annotations

from alertlang.checks.suggest import suggested
from alertlang.fit.fit import Fit
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m


def makes_no_difference(fit: Fit, band: m.Band) -> bool:
    """Whether it is proved that a band could apply always: wherever its context keeps it away, another band that does
    not wait shows its colour or a worse one. Asked with every sensor that may have failed. An alert would come up more
    often, and a time would be counted from elsewhere, so of these it is never so."""
    if band.alert is not None or band.held is not None or fit.ruleset.quantities[band.quantity].deadband:
        return False
    if band.region.is_failed:
        return False
    same = fit.need.same
    own = next(one for one in same.ruleset.bands if one.label == band.label)
    for index in fit.ruleset.elements(band.quantity) if band.index is None else (band.index,):
        there = both(same.encoder.in_region(own.quantity, index, own.region), negate(same.condition_of(own)))
        shown = disjunction(
            same.encoder.applies(other, index, linger=False)
            for other in same.ruleset.bands_by_quantity[band.quantity]
            if other is not own and (other.colour is own.colour or other.colour.rank > own.colour.rank)
        )
        if same.context.possible(both(there, negate(shown))) is not Answer.NO:
            return False
    return True


def without_context(band: m.Band) -> str | None:
    """The statement without its `when` and `unless`; none if that cannot be written."""
    text, span = band.span.source.text, band.span
    label = f"{band.label}: " if band.labelled else ""
    start = band.node.subject.span.start
    last = band.node.alert.span.end if band.node.alert is not None else band.node.colour.span.end
    said = suggested(" ".join(f"{label}{text[start:last]}".split()), span)
    return None if said is None else said.text
