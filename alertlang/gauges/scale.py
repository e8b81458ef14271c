"""The bands along one scale: cut into stretches in a state, and in which other states the stretches are the same.

What a heading says of a strip is proved here: that no possible state in which it holds shows anything else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from alertlang.checks.context import Context
from alertlang.checks.unsettled import unsettled
from alertlang.gauges.breaklines import Plane
from alertlang.gauges.course import Course, Timer, course, timer, timers
from alertlang.gauges.heading import Literal, drop_order
from alertlang.gauges.operating_map import Axis
from alertlang.gauges.states import moved
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, disjunction, in_interval, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver
from alertlang.model.snapshot import FaultModel, told_without
from alertlang.units.interval import Interval
from alertlang.units.number import say_value
from alertlang.units.unit import Unit


@dataclass(frozen=True, slots=True)
class ScaleStretch:
    """One part of a scale in which the colour is the same, now and later. `low_included`, `high_included`: whether an
    end shows it too."""

    course: Course
    low: Fraction
    low_included: bool
    high: Fraction
    high_included: bool

    @property
    def reach(self) -> Interval:
        return Interval(self.low, self.low_included, self.high, self.high_included)

    def where(self, unit: Unit) -> str:
        """From where to where, in words."""
        low, high = say_value(self.low, unit), say_value(self.high, unit)
        if self.low == self.high:
            return f"at {low}"
        start, end = "from" if self.low_included else "above", "to" if self.high_included else "to below"
        return f"{start} {low} {end} {high}"


# The values of some readings, by name, each in its own unit.
Still = tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class ScaleCase:
    """In every possible state in which `literals` hold and the readings `still` are so, the scale shows `stretches`.

    Where `still` says nothing, only the literals matter. Else an edge moves with these readings, and this is one case.
    """

    literals: tuple[Literal, ...]
    still: Still
    stretches: tuple[ScaleStretch, ...]


@dataclass(frozen=True, slots=True)
class _Band:
    band: m.Band
    when: m.Formula | None
    unless: m.Formula | None


class Scale:
    """The bands of one reading. `formulas`: what they depend on besides the reading itself. `others`: the readings
    that can move an edge."""

    def __init__(self, context: Context, at: Axis) -> None:
        self.context = context
        self.at = at
        self.ruleset = context.ruleset
        self._encoder = context.encoder
        self._bands = [
            _Band(b, b.when and self._opened(b.when), b.unless and self._opened(b.unless))
            for b in self.ruleset.bands
            if b.quantity == at.quantity.name and b.index in (None, at.index)
        ]
        # What is shown is asked for with no time over, and with each over that a band waits for.
        self._times: tuple[Timer | None, ...] = (None, *timers(band.band for band in self._bands))
        self.atoms = tuple(
            dict.fromkeys(
                a for band in self._bands for f in (band.when, band.unless) if f is not None for a in atoms(f)
            )
        )
        # Truths that change along the scale with nothing but readings are no contexts.
        self.formulas = tuple(
            formula for formula in self.atoms if not self._reads_it(formula) or self._leaves_open(formula)
        )
        terms = [self._encoder.in_region(at.quantity.name, at.index, band.band.region) for band in self._bands]
        terms += [self._encoder.formula(formula) for formula in self.atoms if formula not in self.formulas]
        self.others = self._sensors(terms)
        # Also those that cannot matter unless they fail; a gauge that has failed itself has no place on its scale.
        read = set(self.ruleset.quantities_read(*(f for band in self._bands for f in (band.when, band.unless))))
        read |= {end.quantity for band in self._bands for end in band.band.region.moving}
        named = {sensor for name in read for sensor in self.ruleset.sensors_of(name)}
        every = {m.variable(name, index) for name in named for index in self.ruleset.quantities[name].indexes}
        self._read = frozenset(every - self.ruleset.sensors_read(at.quantity.name, at.index) - {at.name})

    def _sensors(self, terms: Iterable[Term]) -> tuple[str, ...]:
        read = self._encoder.definitions_for(frozenset().union(*(term.reads for term in terms)))[0]
        every = [q for q in self.ruleset.quantities.values() if not q.is_computed]
        sensors = {m.variable(q.name, index) for q in every for index in q.indexes}
        return tuple(self.context.in_order((sensors & read) - {self.at.name}, None))

    def _reads_it(self, formula: m.Formula) -> bool:
        return self.at.name in self._encoder.definitions_for(self._encoder.formula(formula).reads)[0]

    def _leaves_open(self, formula: m.Formula) -> bool:
        read = self._encoder.definitions_for(self._encoder.formula(formula).reads)[0]
        return any(self._encoder.is_flag(name) for name in read)

    def _opened(self, formula: m.Formula) -> m.Formula:
        """The same, with what reads the scale itself told in its parts, so that the rest of it can be a context."""
        match formula:
            case m.And() | m.Or() | m.Not():
                return m.rebuilt(formula, self._opened)
            case m.SwitchIs() if formula.negated:
                there = m.SwitchIs(formula.switch, formula.position, False, span=formula.span)
                return m.Not(there, span=formula.span)
            case m.ConditionIs() if self._reads_it(formula):
                condition = self.ruleset.conditions[formula.name]
                return formula if condition.until is not None else self._opened(condition.formula)
            case m.Compare() if formula.size and not formula.region.is_failed and self._reads_it(formula):
                return formula.by_element()
        return formula

    def numbers(self, name: str) -> list[Fraction]:
        """Values of another reading at which the scale may change, in rising order, with the ends of its range."""
        base = m.ReadingId(name).quantity
        quantity = self.ruleset.quantities[base]
        found = {quantity.low, quantity.high}
        for formula in self.formulas:
            for part in m.parts_of(formula):
                if isinstance(part, m.Compare) and part.quantity == base:
                    found |= set(part.region.numbers)
        for other in self.ruleset.quantities.values():
            if isinstance(other.derived, CurveOver) and other.derived.quantity == base:
                found |= {at for at, _ in other.derived.points}
        return sorted(number for number in found if quantity.low <= number <= quantity.high)

    # ---- one state

    def case(self, state: Instant) -> ScaleCase | None:
        """A strip for a state, with as few words about it as are needed; none if that could not be proved."""
        truths = {formula: state.holds(formula) for formula in self.formulas}
        free = {formula: true for formula, true in truths.items() if not self._reads_it(formula)}
        # What has been before can be impossible somewhere along the scale; there it counts as it must be, if that
        # is the same for all states meant, else as it is told.
        ways = list(dict.fromkeys(self._stretches(state, constant) for constant in (free, truths)))
        everything = self._literals(truths)
        for stretches in ways:
            wrong = self._wrong(stretches)
            if self._never(everything, wrong):
                return ScaleCase(self._fewest(truths, wrong), (), stretches)
        if not self.others:
            return None
        still = tuple((name, state.state.readings[name]) for name in self.others)
        for stretches in ways:
            wrong = self._wrong(stretches)
            if not self._never(everything, wrong, still):
                continue
            # The edges may be elsewhere, but the same bands must be in force.
            differs = self._differs(truths)
            literals = self._fewest(truths, differs)
            if not self._never(literals, wrong, still):
                literals = everything
            for pair in still:
                fewer = tuple(other for other in still if other != pair)
                if self._never(literals, wrong, fewer):
                    still = fewer
            return ScaleCase(literals, still, stretches)
        return None

    def _fewest(self, truths: Mapping[m.Formula, bool], wrong: Term) -> tuple[Literal, ...]:
        """Of literals that rule out something wrong as few as will do."""
        kept = dict(truths)
        for one in drop_order(self.ruleset, truths):
            fewer = {formula: true for formula, true in kept.items() if formula != one}
            if self._never(self._literals(fewer), wrong):
                kept = fewer
        return self._literals(kept)

    def _literals(self, truths: Mapping[m.Formula, bool]) -> tuple[Literal, ...]:
        return tuple(truths.items())

    def _never(self, literals: Sequence[Literal], wrong: Term, still: Still = ()) -> bool:
        """Proved: in no possible state with these literals and readings is something wrong."""
        return self.context.is_satisfiable(both(self.meant(literals, still), wrong)) is Answer.NO

    def meant(self, literals: Sequence[Literal], still: Still = (), encoder: Encoder | None = None) -> Term:
        """The states that literals, and readings held still, are about."""
        encoder = encoder or self._encoder
        terms = [encoder.formula(formula) if true else negate(encoder.formula(formula)) for formula, true in literals]
        return conjunction((*terms, *(in_interval(name, Interval.closed(value, value)) for name, value in still)))

    def needs_sensors(self, cases: Sequence[ScaleCase]) -> bool:
        """Whether cases that are all there are are not proved to be so, too, where other sensors have failed."""
        return bool(self._read) and self._may_differ(cases, told_without(self._read))

    def waits_for(self, cases: Sequence[ScaleCase]) -> tuple[str, ...]:
        """The conditions with a delay that must have settled, for cases that are all there are are not proved to be so
        before."""
        read = self.ruleset.conditions_read(*(f for band in self._bands for f in (band.when, band.unless)))
        delayed = [
            name for name in self.ruleset.conditions if name in read and self.ruleset.conditions[name].is_delayed
        ]
        return tuple(delayed) if delayed and self._may_differ(cases, unsettled(self.context)) else ()

    def _may_differ(self, cases: Sequence[ScaleCase], mode: FaultModel) -> bool:
        """Not proved: in another mode, too, there are no other cases, and each is as it is said to be."""
        encoder = self._encoder.in_mode(mode)
        goals = [both(self.meant(c.literals, c.still, encoder), self._wrong(c.stretches, encoder)) for c in cases]
        goals.append(negate(disjunction(self.meant(c.literals, (), encoder) for c in cases)))
        return any(self.context.is_satisfiable(goal) is not Answer.NO for goal in goals)

    # ---- what is shown

    def _stretches(self, state: Instant, constant: Mapping[m.Formula, bool]) -> tuple[ScaleStretch, ...]:
        """The scale cut wherever anything changes; neighbours of one colour are one."""
        at = self.at
        formulas = [f for band in self._bands for f in (band.when, band.unless)]
        lines = Plane(self.ruleset, at.name, "", state).lines([at.quantity.name], formulas)
        low, high = at.quantity.low, at.quantity.high
        cuts = sorted({low, high, *(-line.c / line.a for line in lines if line.a and low < -line.c / line.a < high)})
        # A point, a stretch, a point, a stretch, ...
        pieces: list[tuple[Fraction, Fraction, Course]] = []
        for this, following in pairwise(cuts):
            pieces.append((this, this, self._course(state, this, constant)))
            pieces.append((this, following, self._course(state, (this + following) / 2, constant)))
        pieces.append((high, high, self._course(state, high, constant)))
        found: list[ScaleStretch] = []
        for start, end, shown in pieces:
            if found and found[-1].course == shown:
                last = found.pop()
                found.append(ScaleStretch(shown, last.low, last.low_included, end, start == end))
            else:
                found.append(ScaleStretch(shown, start, start == end, end, start == end))
        return tuple(found)

    def _course(self, state: Instant, value: Fraction, constant: Mapping[m.Formula, bool]) -> Course:
        """What is shown at a value, of a state that goes on."""
        there = moved(state, {self.at.name: value})
        return course(
            band.band
            for band in self._bands
            if there.is_in_region(band.band.quantity, self.at.index, band.band.region)
            and holds_as_said(band.when, there, constant)
            and not (band.unless is not None and holds_as_said(band.unless, there, constant))
        )

    def _wrong(self, stretches: Sequence[ScaleStretch], encoder: Encoder | None = None) -> Term:
        """Something else is shown than stretches say."""
        encoder = encoder or self._encoder
        found = []
        applies = {
            band.band.label: encoder.applies(band.band, self.at.index, eventually=True, linger=False)
            for band in self._bands
        }
        for stretch in stretches:
            other = disjunction(self._is_not(stretch.course.when(over), applies, over) for over in self._times)
            found.append(both(in_interval(self.at.name, stretch.reach), other))
        return disjunction(found)

    def _counting(self, over: Timer | None) -> list[_Band]:
        """The bands that show when a time is over, and each that is over no later; none: at once."""
        return [
            band
            for band in self._bands
            if (waits := timer(band.band)) is None or (over is not None and waits.no_later(over))
        ]

    def _is_not(self, colour: m.Colour | None, applies: Mapping[str, Term], over: Timer | None) -> Term:
        bands = [one.band for one in self._counting(over)]
        if colour is None:
            return disjunction(applies[band.label] for band in bands)
        worse = disjunction(applies[band.label] for band in bands if band.colour > colour)
        itself = disjunction(applies[band.label] for band in bands if band.colour == colour)
        return disjunction((worse, negate(itself)))

    def _differs(self, truths: Mapping[m.Formula, bool]) -> Term:
        """Another colour is shown than would be if the contexts were as they are said to be."""
        found = []
        for over in self._times:
            bands = self._counting(over)
            for colour in {band.band.colour for band in bands}:
                least = [band for band in bands if band.band.colour >= colour]
                there = disjunction(
                    self._encoder.applies(band.band, self.at.index, eventually=True, linger=False) for band in least
                )
                said = disjunction(self._as_said(band, truths) for band in least)
                found += [both(there, negate(said)), both(said, negate(there))]
        return disjunction(found)

    def _as_said(self, band: _Band, truths: Mapping[m.Formula, bool]) -> Term:
        region = self._encoder.in_region(band.band.quantity, self.at.index, band.band.region)
        stopped = FALSE if band.unless is None else term_as_said(band.unless, truths, self._encoder)
        return both(region, term_as_said(band.when, truths, self._encoder), negate(stopped))


# ---- formulas of which some parts are as they are said to be, whatever they are in a state


# What is said: parts of formulas, each true or false.
Truths = Mapping[m.Formula, bool]


def atoms(formula: m.Formula) -> Sequence[m.Formula]:
    """The parts that are true or false for themselves."""
    match formula:
        case m.And() | m.Or():
            return [atom for part in formula.parts for atom in atoms(part)]
        case m.Not():
            return atoms(formula.part)
    return [formula]


def holds_as_said(formula: m.Formula | None, there: Instant, said: Truths) -> bool:
    """Whether a formula is true; none is. Of what nothing is said the state decides."""
    match formula:
        case None:
            return True
        case m.And():
            return all(holds_as_said(part, there, said) for part in formula.parts)
        case m.Or():
            return any(holds_as_said(part, there, said) for part in formula.parts)
        case m.Not():
            return not holds_as_said(formula.part, there, said)
    known = said.get(formula)
    return there.holds(formula) if known is None else known


def term_as_said(formula: m.Formula | None, said: Truths, encoder: Encoder) -> Term:
    """The same for a solver."""
    match formula:
        case None:
            return TRUE
        case m.And():
            return conjunction(term_as_said(part, said, encoder) for part in formula.parts)
        case m.Or():
            return disjunction(term_as_said(part, said, encoder) for part in formula.parts)
        case m.Not():
            return negate(term_as_said(formula.part, said, encoder))
    known = said.get(formula)
    return encoder.formula(formula) if known is None else TRUE if known else FALSE
