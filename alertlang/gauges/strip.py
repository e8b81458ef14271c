"""A gauge as strips: which colour it shows along its scale, in each context that makes a difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from alertlang.checks.context import Context
from alertlang.gauges.heading import Heading, heading
from alertlang.gauges.operating_map import Axis
from alertlang.gauges.scale import Scale, ScaleCase, ScaleStretch, Still
from alertlang.gauges.states import usual_state
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.instant import Instant
from alertlang.text.short import Short
from alertlang.units.interval import Interval
from alertlang.units.number import show_value

__all__ = ["MOST_CONTEXTS", "Gauge", "ScaleStretch", "Strip", "gauge"]

# So many contexts of one gauge are told apart; a person would not read more.
MOST_CONTEXTS = 64
# What a time in a picture means.
TIMES = "a time counts from when the reading gets there; one that has begun before is over sooner"


@dataclass(frozen=True, slots=True)
class Strip:
    """What the scale looks like in every possible state in which one of the `headings` holds (no heading: in every
    state) and the readings `still` are as they are said. Every sensor works, where `Gauge.needs_sensors` is true.

    `still`: the readings with which an edge moves, so that this is one case of many; mostly none. `still_words`: the
    same for a person.
    """

    headings: tuple[Heading, ...]
    stretches: tuple[ScaleStretch, ...]
    still: Still = ()
    still_words: tuple[str, ...] = ()

    @property
    def contexts(self) -> tuple[str, ...]:
        """The headings in words."""
        return tuple(one.words for one in self.headings)

    @property
    def moves(self) -> bool:
        """An edge moves with another reading."""
        return bool(self.still)

    @property
    def title(self) -> str:
        """All of it in one line."""
        return "always" if not self.headings else "when " + "; or when ".join(self.contexts)

    @property
    def one_case(self) -> str:
        """Which case it is, where it is one of many; else nothing."""
        if not self.still:
            return ""
        names = _listed([name for name, _ in self.still])
        return f"one case of many: it changes with {names}, and is shown at {_listed(self.still_words)}"

    @property
    def edges(self) -> tuple[Fraction, ...]:
        """Every value at which what is shown changes, now or later, and both ends of the scale."""
        ends = (stretch.low for stretch in self.stretches)
        return tuple(dict.fromkeys((*ends, self.stretches[-1].high)))

    @property
    def seen(self) -> tuple[ScaleStretch, ...]:
        """What a picture draws: without the single values that only tell to which side an edge belongs."""
        around = (None, *self.stretches, None)
        beside = zip(around, around[2:], strict=False)
        return tuple(stretch for stretch, two in zip(self.stretches, beside, strict=True) if _stands_out(stretch, *two))

    def holds(self, instant: Instant) -> bool:
        """Whether the strip is about a state."""
        return (not self.headings or any(one.holds(instant) for one in self.headings)) and all(
            instant.state.readings[name] == value for name, value in self.still
        )

    def at(self, value: Fraction) -> ScaleStretch:
        """The stretch that a reading on the scale is in."""
        return next(stretch for stretch in self.stretches if stretch.reach.contains(value))


def _stands_out(stretch: ScaleStretch, before: ScaleStretch | None, after: ScaleStretch | None) -> bool:
    """Whether a single value shows now, or in the end, what neither of its neighbours does; a stretch always counts.

    Of two bands that share an end the worse shows there: that is an edge and no more.
    """
    if stretch.low < stretch.high:
        return True
    beside = [other.course for other in (before, after) if other is not None]
    now = stretch.course.now in [other.now for other in beside]
    last = stretch.course.last in [colour for other in beside for colour in other.colours]
    return not (now and last)


@dataclass(frozen=True, slots=True, repr=False)
class Gauge(Short):
    """`complete`: there is no context besides those shown. `needs_sensors`: where another sensor has failed it can be
    otherwise; else the strips are proved for such states too. `waits_for`: until these conditions have settled it can
    be otherwise; none: the strips are proved for such states too."""

    axis: Axis
    strips: tuple[Strip, ...]
    complete: bool
    needs_sensors: bool = False
    waits_for: tuple[str, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader of the strips must know besides."""
        found = []
        if not self.complete:
            found.append("there may be more contexts than are shown here")
        if any(stretch.course.later for strip in self.strips for stretch in strip.stretches):
            found.append(TIMES)
        if self.waits_for:
            found.append(f"all of this is so once what has a delay has settled: {_listed(self.waits_for)}")
        if self.needs_sensors:
            found.append("all of this is so while every sensor works")
        deadband = self.axis.quantity.deadband
        if deadband is not None:
            width = show_value(deadband, self.axis.quantity.unit)
            found.append(f"a band that was entered may go on showing until the reading is {width} out of it (deadband)")
        return tuple(found)


def gauge(context: Context, at: Axis) -> Gauge:
    """The strips of one gauge, the usual context first. Contexts with the same strip are told together."""
    scale = Scale(context, at)
    cases, complete = _cases(context, scale)
    alike: dict[tuple[tuple[ScaleStretch, ...], Still], list[ScaleCase]] = {}
    for scale_case in cases:
        alike.setdefault((scale_case.stretches, scale_case.still), []).append(scale_case)
    strips = []
    for (stretches, still), group in alike.items():
        words = tuple(f"{name} {show_value(value, context.quantity(name).unit)}" for name, value in still)
        strips.append(Strip(_headings(context, scale, group), stretches, still, words))
    if complete and len(strips) == 1 and not strips[0].still:
        strips = [replace(strips[0], headings=())]
    return Gauge(at, tuple(strips), complete, scale.needs_sensors(cases), scale.waits_for(cases))


def _cases(context: Context, scale: Scale) -> tuple[list[ScaleCase], bool]:
    """Cases until every possible state has the context of one, as far as that could be done."""
    found: list[ScaleCase] = []
    proved = True
    left = conjunction(term for _, term in context.encoder.assumptions)
    usual = state = usual_state(context, free=(scale.at.name,), inner=True)
    for _ in range(MOST_CONTEXTS):
        if state is None or usual is None:
            return found, False
        case = scale.case(state)
        if case is None:
            proved = False
            literals = tuple((formula, state.holds(formula)) for formula in scale.formulas)
        else:
            found.append(case)
            literals = case.literals
        left = both(left, negate(scale.meant(literals)))
        answer = context.is_satisfiable(left)
        if answer is not Answer.YES:
            return found, proved and answer is Answer.NO
        state = _state(context, left, [(name, _tried(scale, name, usual)) for name in scale.others])
    return found, False


def _tried(scale: Scale, name: str, usual: Instant) -> list[Fraction]:
    """Values of a reading for a picture to be drawn at: the usual one, then those in the middle between two at which
    something changes, then these."""
    numbers = scale.numbers(name)
    return [usual.state.readings[name], *((number + other) / 2 for number, other in pairwise(numbers)), *numbers]


def _state(context: Context, goal: Term, wanted: Sequence[tuple[str, Sequence[Fraction]]]) -> Instant | None:
    """A state of the goal in which readings have the first of the values wanted that they can have."""
    for name, values in wanted:
        for value in values:
            more = both(goal, in_interval(name, Interval.closed(value, value)))
            if context.is_satisfiable(more) is Answer.YES:
                goal = more
                break
    model = context.decider.model(goal)
    return None if model is None else context.instant(model)


def _headings(context: Context, scale: Scale, group: Sequence[ScaleCase]) -> tuple[Heading, ...]:
    """Those of a group, without what others of it say too; none where one says nothing."""
    kept = list(group)
    for scale_case in group:
        others = [other for other in kept if other is not scale_case]
        said = disjunction(scale.meant(other.literals) for other in others)
        if others and context.is_satisfiable(both(scale.meant(scale_case.literals), negate(said))) is Answer.NO:
            kept = others
    if any(not scale_case.literals for scale_case in kept):
        return ()
    return tuple({h.words: h for h in (heading(context.ruleset, scale_case.literals) for scale_case in kept)}.values())


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
