"""Recordings in which the two sides differ, each run through both by the reference stepper before it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.comparison.joint import Rule
from alertlang.comparison.joint_context import Sides
from alertlang.comparison.subjects import ComparedSubject, Pair
from alertlang.findings.finding import Fact, WitnessReading
from alertlang.logic import history
from alertlang.logic.encode import Encoder
from alertlang.logic.history import Clock, Recordings
from alertlang.logic.solver import Model
from alertlang.logic.terms import Term
from alertlang.meaning.instant import Instant
from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.results.comparison import RecordedMoment

# So many samples at most. What needs more is told as not decided.
_MOST = 5


@dataclass(frozen=True, slots=True)
class WitnessRecording:
    """A recording, what the two sides show at its last sample, and the statements that make the difference there."""

    moments: tuple[RecordedMoment, ...]
    seen: Pair
    mentions: frozenset[tuple[str, str]]


class Search:
    """Recordings of both sides."""

    def __init__(self, sides: Sides, subject: ComparedSubject) -> None:
        self.sides = sides
        self.subject = subject

    def find(
        self,
        goal: Term,
        encoder: Encoder,
        known: dict[str, Clock],
        wanted: Callable[[Pair], bool],
        *,
        may_fail: frozenset[str] = frozenset(),
        one_at_most: bool = False,
        still: bool = False,
        presses: bool = True,
    ) -> WitnessRecording | None:
        """The shortest recording at whose last sample the goal holds and the stepper shows what is wanted, with what it
        shows. See `history.Recordings.find`."""
        asked = Recordings(encoder, self.sides.decider, known)
        for samples in range(1, _MOST + 1):
            found = asked.find(goal, samples, may_fail=may_fail, one_at_most=one_at_most, still=still, presses=presses)
            if asked.undecided:
                # More samples are harder still.
                return None
            if found is None:
                continue
            shown = self.stepped(found)
            seen = self.subject.shown(self.sides, 0, shown[0]), self.subject.shown(self.sides, 1, shown[1])
            if wanted(seen):
                return WitnessRecording(tuple(self._told(found)), seen, self.subject.mentions(self.sides, on(shown)))
        return None

    def stepped(self, moments: tuple[history.Moment, ...]) -> tuple[Shown, Shown]:
        """What the two sides show at the last sample."""
        found = []
        for side, rules in enumerate((self.sides.joint.first, self.sides.joint.second)):
            stepper = Stepper(rules)
            found.append([stepper.step(self._sample(side, rules, moment)) for moment in moments][-1])
        return found[0], found[1]

    def _sample(self, side: int, rules: m.RuleSet, moment: history.Moment) -> Sample:
        sides = self.sides
        instant = sides.instant(moment.state)
        names = sides.joint.names.quantities if side else {}
        readings: dict[str, Fraction] = {}
        for quantity in rules.quantities.values():
            if quantity.derived is not None:
                continue
            joint = names.get(quantity.name, quantity.name)
            for index in quantity.indexes:
                if moment.failed.isdisjoint(sides.ruleset.sensors_read(joint, index)):
                    readings[m.variable(quantity.name, index)] = instant.reading(joint, index)
        positions = {
            name: instant.state.positions[name]
            for name, switch in rules.switches.items()
            if instant.state.positions[name] in switch.positions
        }
        return Sample(moment.time, readings, positions, moment.acknowledged)

    def _told(self, moments: Iterable[history.Moment]) -> Iterable[RecordedMoment]:
        sides = self.sides
        for moment in moments:
            facts: dict[str, Fact] = {}
            for name in sides.in_order(moment.state.readings, self.subject.primary):
                quantity = sides.quantity(name)
                if name not in moment.failed and not quantity.is_computed and not quantity.is_trend:
                    facts[name] = WitnessReading(moment.state.readings[name], quantity.unit)
            for name in sides.ruleset.switches:
                if name in moment.state.positions:
                    facts[name] = moment.state.positions[name]
            yield RecordedMoment(moment.time, facts, tuple(sorted(moment.failed)), moment.acknowledged)


def on(shown: tuple[Shown, Shown]) -> Callable[[int, Rule, int | None], tuple[bool, ...]]:
    """Of each statement, whether it applies at a sample, and whether its alert is up."""

    def is_on(side: int, rule: Rule, index: int | None) -> tuple[bool, ...]:
        place = rule.own.label, None if isinstance(rule.own, m.Alert) else index
        return shown[side].applies.get(place, False), place in shown[side].alerts

    return is_on


def after_seconds(sides: Sides, subject: ComparedSubject, instant: Instant, seconds: Fraction) -> tuple[Shown, Shown]:
    """What the two sides show after a state has lasted for so many seconds from the beginning."""
    model = Model(dict(instant.state.readings), dict(instant.state.positions))
    times = sorted({Fraction(0), seconds})
    return Search(sides, subject).stepped(tuple(history.Moment(time, model, frozenset(), False) for time in times))
