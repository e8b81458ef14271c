"""A gauge as strips: which colour it shows along its scale, in each context that makes a difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from alertlang.checks.context import Context
from alertlang.documents.operating_map import Axis
from alertlang.documents.states import Setting, moved, settings
from alertlang.documents.straight import Plane
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words


@dataclass(frozen=True, slots=True)
class Stretch:
    """One colour along a scale, in a state that goes on. `low_included`, `high_included`: whether an end shows it too.

    `first`: what is shown before anything has lasted, which mostly is the same.
    """

    colour: m.Colour | None
    low: Fraction
    low_included: bool
    high: Fraction
    high_included: bool
    first: m.Colour | None

    @property
    def later(self) -> bool:
        """Whether it takes time to show."""
        return self.first != self.colour


@dataclass(frozen=True, slots=True)
class Strip:
    """`contexts`: in which contexts the scale looks like this, each in words; none where it always does.

    `moves`: an edge moves with another reading, so that this is one case of many.
    """

    contexts: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    moves: bool = False


@dataclass(frozen=True, slots=True)
class Gauge:
    """`complete`: there is no context besides those shown."""

    axis: Axis
    strips: tuple[Strip, ...]
    complete: bool


def gauge(context: Context, at: Axis) -> Gauge:
    """The strips of one gauge, the usual context first. Contexts with the same strip are told together."""
    ruleset = context.ruleset
    bands = [b for b in ruleset.bands if b.quantity == at.quantity.name and b.index in (None, at.index)]
    formulas = list(
        dict.fromkeys(
            part
            for band in bands
            for formula in (band.when, band.unless)
            if formula is not None
            for part in _apart(formula)
            if at.quantity.name not in ruleset.quantities_read(part)
        )
    )
    found, complete = settings(context, at.quantity.name, formulas)
    alike: dict[tuple[Stretch, ...], list[Setting]] = {}
    for setting in found:
        alike.setdefault(_stretches(ruleset, at, setting.state, bands), []).append(setting)
    moves = any(band.region.moves for band in bands)
    strips = [
        Strip(() if len(alike) == 1 else _contexts(ruleset, formulas, group, found), stretches, moves)
        for stretches, group in alike.items()
    ]
    return Gauge(at, tuple(strips), complete)


def _apart(formula: m.Formula) -> Sequence[m.Formula]:
    """The parts that are true or false for themselves."""
    match formula:
        case m.And() | m.Or():
            return [one for part in formula.parts for one in _apart(part)]
        case m.Not():
            return _apart(formula.part)
        case m.SwitchIs():
            return [m.SwitchIs(formula.switch, formula.position, False, span=formula.span)]
    return [formula]


def _stretches(ruleset: m.RuleSet, at: Axis, state: Instant, bands: Sequence[m.Band]) -> tuple[Stretch, ...]:
    """The scale cut wherever anything changes; neighbours of one colour are one."""
    lines = Plane(ruleset, at.name, "", state).lines([at.quantity.name], [f for b in bands for f in (b.when, b.unless)])
    low, high = at.quantity.low, at.quantity.high
    cuts = sorted({low, high, *(-line.c / line.a for line in lines if line.a and low < -line.c / line.a < high)})
    # A point, a stretch, a point, a stretch, ...
    pieces: list[tuple[Fraction, Fraction, m.Colour | None, m.Colour | None]] = []
    for this, following in pairwise(cuts):
        pieces.append((this, this, *_shown(at, state, this)))
        pieces.append((this, following, *_shown(at, state, (this + following) / 2)))
    pieces.append((high, high, *_shown(at, state, high)))
    found: list[Stretch] = []
    for start, end, colour, first in pieces:
        if found and (found[-1].colour, found[-1].first) == (colour, first):
            last = found.pop()
            found.append(Stretch(colour, last.low, last.low_included, end, start == end, first))
        else:
            found.append(Stretch(colour, start, start == end, end, start == end, first))
    return tuple(found)


def _shown(at: Axis, state: Instant, value: Fraction) -> tuple[m.Colour | None, m.Colour | None]:
    """The colour of a state that goes on, and the one that it shows at once."""
    there = moved(state, {at.name: value})
    last = there.colour(at.quantity.name, at.index, eventually=True, linger=False)
    return last, there.colour(at.quantity.name, at.index, linger=False)


def _contexts(
    ruleset: m.RuleSet, formulas: Sequence[m.Formula], group: Sequence[Setting], every: Sequence[Setting]
) -> tuple[str, ...]:
    """A few words for each setting of a group, by what tells it from the settings of other groups."""
    others = [one for one in every if one not in group]
    found: dict[str, None] = {}
    covered: set[tuple[bool, ...]] = set()
    for setting in group:
        if setting.truths in covered:
            continue
        needed = list(range(len(formulas)))
        # Drop what is not needed to tell it from the others, the last first: conditions come before what they read.
        for index in reversed(range(len(formulas))):
            fewer = [i for i in needed if i != index]
            if all(any(other.truths[i] != setting.truths[i] for i in fewer) for other in others):
                needed = fewer
        covered |= {one.truths for one in group if all(one.truths[i] == setting.truths[i] for i in needed)}
        found[" and ".join(_words(ruleset, formulas, setting, needed))] = None
    return tuple(found)


def _words(ruleset: m.RuleSet, formulas: Sequence[m.Formula], setting: Setting, needed: Sequence[int]) -> list[str]:
    """Each formula that is needed, true or not; of a switch where it stands, or where it does not."""
    found: dict[str, None] = {}
    for index in needed:
        one, true = formulas[index], setting.truths[index]
        if isinstance(one, m.SwitchIs):
            found[_position(ruleset, one.switch, formulas, setting, needed)] = None
            continue
        words = formula_words(ruleset, one)
        if true:
            found[words] = None
        else:
            found[f"not {words}" if isinstance(one, m.ConditionIs) else f"not ({words})"] = None
    return list(found)


def _position(
    ruleset: m.RuleSet, switch: str, formulas: Sequence[m.Formula], setting: Setting, needed: Sequence[int]
) -> str:
    said = [
        (one.position, setting.truths[i])
        for i in needed
        if isinstance(one := formulas[i], m.SwitchIs) and one.switch == switch
    ]
    here = [position for position, true in said if true]
    left = [p for p in ruleset.switches[switch].positions if (p, False) not in said]
    if here or len(left) == 1:
        return f"{switch} is {(here or left)[0]}"
    return " and ".join(f"{switch} is not {position}" for position, _ in said)
