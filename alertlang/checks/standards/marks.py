"""What is painted on a gauge: bands as marks, without regard to how long a reading has been there.

A published rule on markings is about the dial: a band that waits (`for more than`) is a mark all the same, and a
deadband moves none. Each term stands beside the same in the words of the reference evaluator.
"""

from __future__ import annotations

from collections.abc import Callable

from alertlang.checks.context import Cases, Context, FaultCase, width
from alertlang.checks.guards import comes, has_come
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

Chosen = Callable[[m.Band], bool]


def marks(context: Context, name: str, index: int | None, chosen: Chosen) -> Term:
    """Some of the chosen bands of a quantity marks the reading."""
    bands = context.ruleset.bands_by_quantity[name]
    return disjunction(comes(context.encoder, band, index) for band in bands if chosen(band))


def any_marked(instant: Instant, name: str, index: int | None, chosen: Chosen) -> bool:
    return any(has_come(instant, band, index) for band in instant.ruleset.bands_by_quantity[name] if chosen(band))


def at_once(colour: m.Colour) -> Chosen:
    """Bands of a colour or a worse one that do not wait."""
    return lambda band: band.colour >= colour and band.held is None


def shows(context: Context, name: str, index: int | None, colour: m.Colour) -> Term:
    """The colour of the dial at the reading is exactly this one."""
    return both(
        marks(context, name, index, lambda band: band.colour is colour),
        negate(marks(context, name, index, lambda band: band.colour > colour)),
    )


def shown(instant: Instant, name: str, index: int | None) -> m.Colour | None:
    """The colour of the dial at the reading, none where it has none."""
    bands = instant.ruleset.bands_by_quantity[name]
    return max((band.colour for band in bands if has_come(instant, band, index)), default=None)


def worst_marked(context: Context, case: FaultCase, name: str, index: int | None) -> m.Band | None:
    """The band whose colour the dial has in a case, the first of several."""
    instant = context.instant(case.model)
    showing = [band for band in context.ruleset.bands_by_quantity[name] if has_come(instant, band, index)]
    return max(showing, key=lambda band: band.colour, default=None)


def widest(cases: Cases, reading: str) -> tuple[FaultCase, ...]:
    """Of all the regions with one fault the one with the widest stretch of a reading, the first of several; none if
    there is none. One finding names the fault, and a single point is a poor example of it."""

    return (max(cases.found, key=lambda case: width(case.reach(reading))),) if cases.found else ()


FORBIDDING = tuple(kind for kind in m.RangeKind if kind.forbids)


def others(context: Context, declared: m.Range, index: int | None, *kinds: m.RangeKind) -> list[m.Range]:
    """The other ranges of some kinds that hold for the same element."""
    return [
        other
        for other in context.ruleset.ranges_by_quantity[declared.quantity]
        if other.label != declared.label and other.kind in kinds and other.index in {None, index}
    ]
