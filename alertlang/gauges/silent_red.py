"""Red in which no alert comes."""

from __future__ import annotations

from alertlang.checks.context import Context
from alertlang.checks.guards import comes
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m


def alerts_in_silent_red(context: Context, band: m.Band) -> tuple[str, ...] | None:
    """The texts of alerts that come in some states of a red band in which there may be none; none where one always
    comes, however late. What was not decided counts as silent."""
    alerts: list[m.Band | m.Alert] = [
        *(other for other in context.ruleset.bands_by_quantity[band.quantity] if other.alert is not None),
        *context.ruleset.alerts_by_quantity[band.quantity],
    ]
    formulas = (band.when, band.unless, *(f for rule in alerts for f in (rule.when, rule.unless)))
    silent = False
    coming: dict[str, None] = {}
    for index, reading in context.elements(band.quantity, band.index):
        # A band that shows that the sensor has failed is about states in which it has.
        failing = frozenset((reading,)) if band.region.is_failed else frozenset()
        encoder = context.encoder_for(*formulas, failing=failing)
        red = comes(encoder, band, index)
        up = [(rule.alert.text, comes(encoder, rule, index)) for rule in alerts if rule.alert is not None]
        if context.is_satisfiable(both(red, negate(disjunction(term for _, term in up)))) is not Answer.NO:
            silent = True
        coming |= {text: None for text, term in up if context.is_satisfiable(both(red, term)) is not Answer.NO}
    return tuple(coming) if silent else None
