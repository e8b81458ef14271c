"""Which alerts and limits a recording could have tested at all: that none came up says something of these alone.

A statement can be judged at a row where its context holds and all that it reads is known there (or where it shows
anyway: with one probe dead the others may still call). Its context is what it says beside the value it watches: `when`
and not `unless`; of an alert on its own the other parts of its condition. What asks whether a reading has failed needs
it not to be known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from alertlang.logs.read import LogStream
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words
from alertlang.replay.engine_plan import Place, elements
from alertlang.replay.exceedance import subject_of
from alertlang.replay.intervals import IntervalRecording, Track
from alertlang.results.replay import Judged
from alertlang.text.lists import listed

# Before names of conditions that the replay is asked beside those of the rules. No name of the language has a blank.
_KNOWN, _CONTEXT, _JUDGED = "known ", "context of ", "judged "

_Statement = m.Rule | m.Range


@dataclass(frozen=True, slots=True)
class _Asked:
    """One statement for one element. `context` none: always."""

    statement: _Statement
    place: Place
    context: m.Formula | None
    readings: tuple[tuple[str, int | None], ...]
    switches: tuple[str, ...]

    @property
    def name(self) -> str:
        return m.variable(*self.place)


@dataclass(slots=True)
class _Spent:
    """How long something was so, and whether it ever was."""

    seconds: Fraction = field(default_factory=Fraction)
    ever: bool = False

    def add(self, track: Track, last: Fraction) -> None:
        seconds, times = track.spent(last).get(1, (Fraction(0), 0))
        self.seconds += seconds
        self.ever = self.ever or times > 0


class Judging:
    """Takes the segments as they come. `asked`: the rule set with a condition more for each thing that is asked."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self._asked = tuple(_asked(ruleset))
        self._spent: dict[str, _Spent] = {}
        self._all = Fraction(0)

    def asked(self, ruleset: m.RuleSet) -> m.RuleSet:
        """`ruleset` (this one, perhaps with more conditions) with those that are counted here."""
        conditions = dict(ruleset.conditions)

        def add(name: str, formula: m.Formula, about: _Statement) -> m.Formula:
            conditions.setdefault(name, m.Condition(name, formula, (), about.span, about.origin))
            return m.ConditionIs(name, about.span)

        for asked in self._asked:
            parts: list[m.Formula] = []
            about = asked.statement
            if asked.context is not None:
                parts.append(add(_CONTEXT + asked.name, asked.context, about))
            for quantity, index in asked.readings:
                parts.append(add(_KNOWN + m.variable(quantity, index), _known(quantity, index, about), about))
            positions = {name: _known_position(self.ruleset.switches[name], about) for name in asked.switches}
            parts += [add(_KNOWN + name, formula, about) for name, formula in positions.items()]
            whole = parts[0] if len(parts) == 1 else m.And(tuple(parts), about.span)
            if parts:
                add(_JUDGED + asked.name, whole, about)
        return replace(ruleset, conditions=conditions)

    def add(self, recording: IntervalRecording) -> None:
        self._all += recording.last - recording.first
        for name, track in recording.conditions.items():
            if name.startswith((_KNOWN, _CONTEXT, _JUDGED)):
                self._spent.setdefault(name, _Spent()).add(track, recording.last)
        for asked in self._asked:
            shows = recording.violated if isinstance(asked.statement, m.Range) else recording.applies
            self._spent.setdefault(asked.name, _Spent()).add(shows[asked.place], recording.last)

    def judged(self, stream: LogStream) -> tuple[Judged, ...]:
        """Alerts in the order of declaration, then limits and avoid ranges. The whole log has been read."""
        fed = {reading.name for reading in stream.readings if reading.column is not None}
        fed |= set(stream.bindings.switches)
        return tuple(self._judged(asked, fed) for asked in self._asked)

    def _judged(self, asked: _Asked, fed: set[str]) -> Judged:
        whole = self._spent.get(_JUDGED + asked.name)
        shown = self._spent[asked.name]
        is_judged = whole is None or whole.ever or shown.ever
        seconds = self._all if whole is None else max(whole.seconds, shown.seconds)
        context = None if asked.context is None else self._spent[_CONTEXT + asked.name]
        sensors = dict.fromkeys(
            str(reading)
            for name, index in asked.readings
            for reading in sorted(self.ruleset.sensors_read(name, index), key=lambda reading: reading.parts[1] or 0)
        )
        inputs = (*sensors, *asked.switches)
        missing = tuple(name for name in inputs if name not in fed)
        statement = asked.statement
        alert = None if isinstance(statement, m.Range) else statement.alert
        return Judged(
            *asked.place,
            "alert" if alert is not None else str(statement.kind) if isinstance(statement, m.Range) else "band",
            None if alert is None else alert.level.word,
            None if alert is None else alert.text.replace("{n}", str(asked.place[1])),
            inputs,
            missing,
            None if context is None else self._share(context.seconds, context.ever),
            self._share(seconds, is_judged),
            is_judged,
            "" if is_judged else self._why(asked, missing, context),
        )

    def _share(self, seconds: Fraction, ever: bool) -> Fraction:
        """Of the time that was recorded; a log of a single row has none."""
        return seconds / self._all if self._all else Fraction(int(ever))

    def _why(self, asked: _Asked, missing: tuple[str, ...], context: _Spent | None) -> str:
        if missing:
            return f"no column feeds {listed(missing)}"
        names = [*(m.variable(*reading) for reading in asked.readings), *asked.switches]
        never = [name for name in names if not self._spent[_KNOWN + name].ever]
        if never:
            return f"nothing was read of {listed(never)}"
        if context is not None and not context.ever:
            assert asked.context is not None
            return f"its case never arose: {formula_words(self.ruleset, asked.context)}"
        return "what it reads was never all known while its case was there"


def _asked(ruleset: m.RuleSet) -> Iterator[_Asked]:
    ranges = [declared for declared in ruleset.ranges if declared.forbids]
    statements: tuple[_Statement, ...] = (*(rule for rule in ruleset.rules if rule.alert is not None), *ranges)
    for statement in statements:
        reads = (statement.when,) if isinstance(statement, m.Range) else (statement.when, statement.unless)
        for index in elements(statement, ruleset):
            readings = dict(_readings(statement, index, ruleset, reads))
            switches = sorted(ruleset.switches_read(*reads), key=list(ruleset.switches).index)
            place = (statement.label, index)
            yield _Asked(statement, place, _context(statement, ruleset), tuple(readings), tuple(switches))


def _context(statement: _Statement, ruleset: m.RuleSet) -> m.Formula | None:
    """What it says beside the value it watches."""
    parts: list[m.Formula] = []
    if isinstance(statement, m.Alert):
        whole = statement.when.parts if isinstance(statement.when, m.And) else (statement.when,)
        if subject_of(statement, None, ruleset) is not None:
            parts = [part for part in whole if not isinstance(part, m.Compare) or part.region.is_failed]
    elif statement.when is not None:
        parts = [statement.when]
    if not isinstance(statement, m.Range) and statement.unless is not None:
        parts.append(m.Not(statement.unless, statement.span))
    if len(parts) < 2:
        return parts[0] if parts else None
    return m.And(tuple(parts), statement.span)


def _readings(
    statement: _Statement, index: int | None, ruleset: m.RuleSet, reads: tuple[m.Formula | None, ...]
) -> Iterator[tuple[tuple[str, int | None], None]]:
    """What must be known, as (quantity, element); what is asked whether it has failed need not be."""
    asked = ruleset.failures_read(*reads)
    found: list[tuple[str, int | None, m.Region]] = []
    if not isinstance(statement, m.Alert):
        found.append((statement.quantity, index, statement.region))
    for part in ruleset.parts_read(*reads):
        if isinstance(part, m.Compare):
            found += [(part.quantity, element, part.region) for element in part.indexes]
    for name, element, region in found:
        if region.is_failed:
            continue
        for of in (name, *(bound.quantity for bound in region.moving)):
            place = (of, None if ruleset.quantities[of].size is None else element)
            if not ruleset.sensors_read(*place) <= asked:
                yield place, None


def _known(quantity: str, index: int | None, about: _Statement) -> m.Formula:
    failed = m.Region(m.RegionKind.FAILED, Fraction(0), span=about.span)
    return m.Not(m.Compare(quantity, index, failed, about.span), about.span)


def _known_position(switch: m.Switch, about: _Statement) -> m.Formula:
    return m.Or(
        tuple(m.SwitchIs(switch.name, position, False, about.span) for position in switch.positions), about.span
    )
