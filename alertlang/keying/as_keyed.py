"""The rules with the edges of their bands as the installer's sheet has them: in the steps of the display."""

from __future__ import annotations

from dataclasses import replace

from alertlang.keying.edges import edge, number_of, rounds_up, to_unit
from alertlang.keying.lines import display_unit
from alertlang.model import ruleset as m


def as_keyed(ruleset: m.RuleSet) -> m.RuleSet:
    """What the box does that holds the sheet: edges between two steps of the display are rounded towards the warning.
    The very rule set where there are none."""
    bands = tuple(_keyed(ruleset, band) for band in ruleset.bands)
    if all(one is other for one, other in zip(bands, ruleset.bands, strict=True)):
        return ruleset
    return replace(ruleset, bands=bands)


def _keyed(ruleset: m.RuleSet, band: m.Band) -> m.Band:
    quantity = ruleset.quantities[band.quantity]
    unit, resolution = display_unit(ruleset, band.quantity)
    others = ruleset.bands_by_quantity[band.quantity]
    region = band.region
    ends: list[m.Bound] = []
    for bound, side in zip(region.bounds, region.sides() if region.bounds else (), strict=True):
        if isinstance(bound, m.Moving):
            ends.append(bound)
            continue
        found = edge(bound, quantity, unit, resolution, up=rounds_up(others, band, bound, lower=side.kind.is_high))
        # What needs no rounding stays as it is.
        held = to_unit(number_of(found.keyed), unit, quantity.unit, quantity.difference) if found.exact else bound
        ends.append(held)
    if tuple(ends) == region.bounds:
        return band
    return replace(band, region=replace(region, first=ends[0], second=ends[1] if len(ends) > 1 else None))
