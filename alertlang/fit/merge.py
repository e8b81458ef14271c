"""Two bands of one gauge that can be one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from alertlang.checks.suggest import with_region
from alertlang.fit.fit import Fit
from alertlang.fit.losses import Loss
from alertlang.fit.need import Resource
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval, IntervalSet


@dataclass(frozen=True, slots=True)
class Merge:
    """A band and the next one above it. What is merged has the worse colour, and the label of that one."""

    low: m.Band
    high: m.Band
    loss: Loss
    text: str | None

    @property
    def labels(self) -> tuple[str, str]:
        return (self.low.label, self.high.label)


def merges(fit: Fit, resource: Resource) -> list[Merge]:
    """The pairs among the bands of one gauge that adjoin or overlap and differ in nothing but values and, by one step,
    in colour. A pair of one colour loses nothing; else the calmer colour gives way to the worse one."""
    alone = [unit.users[0] for unit in resource.units if len(unit.users) == 1]
    bands = [b for b in fit.ruleset.bands if alone.count(b.label) == 1 and not b.region.moves]
    bands = [b for b in bands if not b.region.is_failed]
    found: list[Merge] = []
    for low in bands:
        for high in bands:
            below, above = _interval(fit, low), _interval(fit, high)
            if low is high or below is None or above is None or not _comes_first(below, above, low, high):
                continue
            if union(below, above) is None or not _alike(fit, low, high):
                continue
            worse = max(low, high, key=lambda b: b.colour)
            loss = _loss(low, high)
            if loss is None:
                continue
            whole = merged(fit, [low, high])
            words = whole.region.in_words(fit.ruleset.quantities[low.quantity].unit)
            said = with_region(fit.context, worse, words)
            found.append(Merge(low, high, loss, None if said is None else said.text))
    return found


def _interval(fit: Fit, band: m.Band) -> Interval | None:
    sensor = IntervalSet.of(fit.ruleset.quantities[band.quantity].range)
    parts = tuple(band.region.values.intersect(sensor))
    return parts[0] if len(parts) == 1 else None


def _comes_first(below: Interval, above: Interval, low: m.Band, high: m.Band) -> bool:
    # Within a sensor's range every stretch has its two ends.
    ends = [below.low, below.high, above.low, above.high]
    numbers = [end for end in ends if end is not None]
    assert len(numbers) == len(ends)
    return (*numbers[:2], low.span.start) < (*numbers[2:], high.span.start)


def union(below: Interval, above: Interval) -> Interval | None:
    """Two stretches as one; none if something lies between them."""
    parts = tuple(IntervalSet.of(below).union(IntervalSet.of(above)))
    return parts[0] if len(parts) == 1 else None


def _alike(fit: Fit, band: m.Band, other: m.Band) -> bool:
    slots = fit.need.slot_of
    return (
        slots[band.label] == slots[other.label]
        and band.index == other.index
        and (band.held, band.in_total, band.after, band.latched)
        == (other.held, other.in_total, other.after, other.latched)
        # Timed by itself, each part would start anew where the other ends.
        and (band.held is None and band.after is None)
    )


def _loss(band: m.Band, other: m.Band) -> Loss | None:
    """What a merge loses; none where it would take away too much of what a colour says."""
    calm, worse = sorted((band, other), key=lambda b: b.colour)
    if calm.colour is worse.colour:
        return Loss.NOTHING if calm.alert == worse.alert else None
    if calm.colour.rank + 1 != worse.colour.rank or calm.alert is not None:
        return None
    return Loss.CALM if calm.colour.calm and worse.alert is None else Loss.WARNING


def merged(fit: Fit, chain: Sequence[m.Band]) -> m.Band:
    """Bands as one: over all their values, with the worst of their colours."""
    worst = max(chain, key=lambda band: band.colour)
    sensor = fit.ruleset.quantities[worst.quantity].range
    values = IntervalSet.EMPTY
    for band in chain:
        values = values.union(band.region.values)
    whole = next(iter(values))
    return replace(worst, region=_region(whole, sensor, worst.region))


def _region(whole: Interval, sensor: Interval, like: m.Region) -> m.Region:
    """A stretch as a region, as far as the sensor reads."""
    low = whole.low if whole.low is not None and sensor.low is not None and whole.low >= sensor.low else None
    high = whole.high if whole.high is not None and sensor.high is not None and whole.high <= sensor.high else None
    ends = [end for end in (low, high) if end is not None]
    if not ends:
        assert sensor.low is not None
        return m.Region(m.RegionKind.AT_LEAST, sensor.low, span=like.span)
    kind = m.RegionKind.of(None if low is None else whole.low_included, None if high is None else whole.high_included)
    return m.Region(kind, *ends, span=like.span)


def applied(fit: Fit, some: Sequence[Merge]) -> tuple[m.Band, ...]:
    """The bands with some of them merged, chains included; a merged one stands where its worst part stood."""
    chains = _chains(some)
    found: list[m.Band] = []
    for band in fit.ruleset.bands:
        chain = chains.get(band.label)
        if chain is None:
            found.append(band)
        elif max(chain, key=lambda b: b.colour) is band:
            found.append(merged(fit, chain))
    return tuple(found)


def wholes(some: Sequence[Merge]) -> dict[str, str]:
    """By the label of each part that of the merged band."""
    return {label: max(chain, key=lambda b: b.colour).label for label, chain in _chains(some).items()}


def _chains(some: Sequence[Merge]) -> dict[str, list[m.Band]]:
    chains: dict[str, list[m.Band]] = {}
    for merge in some:
        low = chains.get(merge.low.label, [merge.low])
        high = chains.get(merge.high.label, [merge.high])
        whole = [*low, *(band for band in high if band not in low)]
        for band in whole:
            chains[band.label] = whole
    return chains
