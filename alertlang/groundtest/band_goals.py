"""What a card has to show of bands: every end of each from both sides."""

from __future__ import annotations

from alertlang.groundtest.goal import Maker, applies, clear, said
from alertlang.groundtest.grid import edges
from alertlang.groundtest.ramp import trend_edges
from alertlang.groundtest.stimulus import NO_STIMULI, Stimuli
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, conjunction, in_interval, negate
from alertlang.model import ruleset as m


class BandGoals(Maker):
    def band(self, band: m.Band, index: int | None) -> None:
        place = (band.label, index)
        called = m.variable(band.label, index)
        reading = m.variable(band.quantity, index)
        encoder = self.context.encoder_for()
        given = both(encoder.context(band), self.definite(band.when, band.unless, encoder=encoder))
        if band.region.is_failed:
            self.add(f"{called}: {reading} failed", "band", ({reading: None},), applies(place, True))
            return
        inside = both(given, encoder.in_region(band.quantity, index, band.region))
        if self.context.possible(inside) is Answer.NO:
            self.made.impossible.append(f"{called} never applies")
            return
        if band.region.moves:
            wins = self.wins(band, index)
            self.show(f"{called}: inside", "band edge", inside, (wins,), applies(place, True), place)
            beyond = both(given, negate(encoder.in_region(band.quantity, index, band.region)))
            sees = [wins, self._no_twin(band, index)]
            self.show(
                f"{called}: outside", "band edge", beyond, sees, applies(place, False), place, wait=self.delays(band)
            )
            return
        quantity = self.ruleset.quantities[band.quantity]
        grid = self.grids[band.quantity]
        if quantity.is_trend:
            self._trend_edges(band, index, given)
            return
        waits = tuple(
            one
            for one in self.ruleset.bands_by_quantity[band.quantity]
            if one is not band and one.held is not None and not one.region.moves
        )
        key = ("band", band.when, band.unless)
        found = edges(grid, band.region)
        if all(edge.inside is None and edge.outside is None for edge in found):
            sees = [self.wins(band, index)]
            self.show(f"{called}: inside", "band edge", inside, sees, applies(place, True), place)
        for edge in found:
            for side, value, holds in (("inside", edge.inside, True), ("outside", edge.outside, False)):
                if value is None:
                    continue
                span = self.span(reading, edge, value, given)
                at = both(given, in_interval(reading, span))
                # What was before hides an edge where a deadband keeps a band, or a band that came in time is worse.
                soon = tuple(one for one in waits if one.region.values.contains(value))
                fresh = reading if quantity.derived is None and (soon or quantity.deadband is not None) else None
                without = soon if fresh else ()
                # Outside, too, nothing worse may cover it: else nobody would see that the band goes too far.
                sees = [self.wins(band, index, but=without)]
                if not holds:
                    sees.append(self._no_twin(band, index, but=without))
                what = f"{called}: {reading} {said(span, grid)} {side} {grid.say(edge.number)}"
                known: Stimuli = {reading: value} if reading in self.base else NO_STIMULI
                met, wait = applies(place, holds), self.delays(band)
                self.show(what, "band edge", at, sees, met, key, given=known, fresh=fresh, wait=wait)

    def _trend_edges(self, band: m.Band, index: int | None, given: Term) -> None:
        """Both sides of every end, of a rise or fall: by ramps that are clear of it."""
        quantity = self.ruleset.quantities[band.quantity]
        place, reading = (band.label, index), m.variable(band.quantity, index)
        called = m.variable(band.label, index)
        inside = self.context.encoder_for().in_region(band.quantity, index, band.region)
        found = list(trend_edges(quantity, band.region))
        if not found:
            sees = [self.wins(band, index)]
            at = both(given, inside)
            self.show(f"{called}: inside", "band edge", at, sees, applies(place, True), place, wait=self.delays(band))
        for number, holds, span in found:
            at = both(given, in_interval(reading, span), inside if holds else negate(inside))
            sees = [self.wins(band, index)] if holds else [self.wins(band, index), self._no_twin(band, index)]
            what = f"{called}: {reading} {clear(span, self.grids[band.quantity], holds, number)}"
            self.show(what, "band edge", at, sees, applies(place, holds), place, wait=self.delays(band))

    def _no_twin(self, band: m.Band, index: int | None, but: tuple[m.Band, ...] = ()) -> Term:
        """No other band (but some that come later) shows the colour: that this one does not apply can be seen."""
        return conjunction(
            negate(self.encoder.applies(other, index, eventually=True, linger=True))
            for other in self.ruleset.bands_by_quantity[band.quantity]
            if other is not band and other not in but and other.colour == band.colour
        )
