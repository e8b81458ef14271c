"""All there is to say of one moment of a run, put together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.findings.finding import WitnessReading
from alertlang.meaning.stepper import Place
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words
from alertlang.results.report import FileName
from alertlang.results.why import (
    AlertWhy,
    GaugeWhy,
    LampWhy,
    LimitWhy,
    MomentOf,
    NearestChange,
    StatementWhy,
    SwitchWhy,
    Why,
)
from alertlang.why.moment import Moment, Run, Since
from alertlang.why.nearest import Nearest
from alertlang.why.reasons import Reasons
from alertlang.why.subject import Subject, alert_places, alert_subject, gauge_subject, gauges_of, joined, needs
from alertlang.why.words import how_long

_ZERO = Fraction(0)

# So many samples after an alert came up are gone through to see whether a change of one would only have put it off.
_MOST_AFTER = 1000


@dataclass(frozen=True, slots=True)
class Asked:
    """What alone is asked about, none for everything; and the inputs that were given, none where all were."""

    words: str | None = None
    subject: Subject | None = None
    given: frozenset[str] | None = None


def answer(run: Run, row: int, asked: Asked, of: MomentOf | None = None) -> Why:
    """Why everything is as it is at one row of a run, or what is asked about alone."""
    return _Answer(run, run.at(row), asked).why(of)


class _Answer:
    def __init__(self, run: Run, moment: Moment, asked: Asked) -> None:
        self.run = run
        self.moment = moment
        self.asked = asked
        self.rules = moment.rules
        self.shown = moment.shown
        self.reasons = Reasons(moment.look)
        self._nearest: dict[int, Nearest] = {moment.row: Nearest(moment)}
        self.not_judged: list[str] = []

    def why(self, of: MomentOf | None) -> Why:
        gauges = [gauge for gauge in gauges_of(self.rules) if self._wanted_gauge(gauge)]
        alerts = [one for one in alert_places(self.rules) if self._wanted_alert(one)]
        subjects = [gauge_subject(self.rules, *gauge) for gauge in gauges]
        subjects += [alert_subject(self.rules, text) for _, _, text in alerts]
        is_given = self.asked.given is not None
        whole = joined(subjects)
        nearest: tuple[NearestChange, ...] = ()
        if is_given and self.asked.subject is None and subjects:
            nearest = self._nearest[self.moment.row].changes(whole)
        everything = self.reasons.read(frozenset(self.rules.quantities), frozenset(self.rules.switches))
        sensors = {
            name: value
            for name, value in everything.items()
            if name in self.rules.switches or self.rules.quantities[m.ReadingId(name).quantity].derived is None
        }
        read = {name: value for name, value in sensors.items() if not is_given or name in (self.asked.given or ())}
        return Why(
            FileName.of(self.rules.origin),
            self.asked.words,
            of,
            self.shown.time,
            read,
            tuple(self._gauge(gauge) for gauge in gauges),
            tuple(self._alert(*one) for one in alerts),
            tuple(self._lamp(lamp) for lamp in self.rules.lamps) if not is_given else (),
            tuple(self._limits()),
            nearest,
            None,
            tuple(dict.fromkeys(self.not_judged)),
            tuple(self._broken()),
            tuple(self._switches()) if of is not None else (),
        )

    # ---- what is asked about

    def _wanted_gauge(self, gauge: Place) -> bool:
        subject = self.asked.subject
        if subject is not None and gauge not in subject.gauges:
            return False
        return self._is_judged(gauge_subject(self.rules, *gauge), m.variable(*gauge))

    def _wanted_alert(self, one: tuple[m.Rule, int | None, m.AlertText]) -> bool:
        rule, _, text = one
        subject = self.asked.subject
        if subject is not None and text not in subject.alerts:
            return False
        return self._is_judged(Subject((), (text,), (rule,)), f'{text.level.word} "{text.text}"')

    def _is_judged(self, subject: Subject, name: str) -> bool:
        """Whether all that it depends on was given."""
        if self.asked.given is None or not missing(self.rules, subject, self.asked.given):
            return True
        self.not_judged.append(name)
        return False

    # ---- gauges and alerts

    def _gauge(self, gauge: Place) -> GaugeWhy:
        quantity, index = gauge
        value = self.moment.look.readings.value(quantity, index)
        colour = self.shown.colours[gauge]
        subject = gauge_subject(self.rules, quantity, index)
        bands = [rule for rule in subject.statements if isinstance(rule, m.Band)]
        applying = [band for band in bands if self.shown.applies[band.label, index]]
        shows = next((band for band in applying if band.colour is colour), None)
        told = [self._statement(band, index, None if band.colour is colour else shows) for band in applying]
        told.sort(key=lambda statement: statement.beaten_by is not None)
        others = [band for band in bands if band not in applying]
        # Those that are nearest to it come first.
        others.sort(key=lambda band: self.reasons.faults(band, index))
        told += [self._statement(band, index, None) for band in others]
        is_asked = self.asked.subject is not None or (colour is None or not colour.calm)
        return GaugeWhy(
            quantity,
            index,
            None if value is None else WitnessReading(value, self.rules.quantities[quantity].unit),
            None if colour is None else colour.word,
            self._since("colour", gauge).time,
            tuple(told),
            self._nearest[self.moment.row].changes(subject) if is_asked else (),
        )

    def _alert(self, rule: m.Rule, index: int | None, text: m.AlertText) -> AlertWhy:
        place = (rule.label, index)
        up = place in self.shown.alerts
        since = self._since("alert", place)
        nearest: tuple[NearestChange, ...] = ()
        if up or self.asked.subject is not None:
            own = Subject((), (text,), alert_subject(self.rules, text).statements)
            came_up = up and self.asked.given is None
            nearest = self._at(since.row if came_up else self.moment.row).changes(own)
            if came_up:
                nearest = tuple(self._going_on(nearest, since.row, text))
        statement = self._statement(rule, index, None, alert=True)
        return AlertWhy(text.level.word, text.text, up, since.time, statement, nearest)

    def _going_on(self, changes: Iterable[NearestChange], row: int, text: m.AlertText) -> Iterable[NearestChange]:
        """What becomes of each change of the one sample at which an alert came up."""
        moment, after = self._at(row).moment, self.run.after(row, _MOST_AFTER)
        for change in changes:
            value = change.tried.value if isinstance(change.tried, WitnessReading) else change.tried
            stepper = moment.gone_on(change.input, value)
            until, comes = moment.shown.time, None
            for sample in after:
                until = sample.time
                if text in stepper.step(sample).alerts.values():
                    comes = until
                    break
            yield replace(change, comes=comes, until=until)

    def _at(self, row: int) -> Nearest:
        if row not in self._nearest:
            self._nearest[row] = Nearest(self.run.at(row))
        return self._nearest[row]

    def _statement(
        self, rule: m.Rule, index: int | None, beaten_by: m.Band | None, *, alert: bool = False
    ) -> StatementWhy:
        place = (rule.label, index)
        reason = self.reasons.statement(rule, index, alert=alert)
        text = None if rule.alert is None else rule.alert.text.replace("{n}", str(index))
        return StatementWhy(
            *place,
            rule.span,
            rule.colour.word if isinstance(rule, m.Band) else None,
            None if rule.alert is None else rule.alert.level.word,
            text,
            self.shown.applies[place],
            self._since("applies", place).time,
            None if rule.alert is None else place in self.shown.alerts,
            None if beaten_by is None else m.variable(beaten_by.label, index),
            reason.says,
        )

    def _lamp(self, lamp: m.PanelLamp) -> LampWhy:
        state = self.shown.lamps[lamp.text]
        lit = [alert for (label, _), alert in self.shown.alerts.items() if lamp.shows(label, alert.level)]
        names = tuple(dict.fromkeys(f'{alert.level.word} "{alert.text}"' for alert in lit))
        since = self._since("lamp", lamp.text).time
        return LampWhy(lamp.text, state.state.value, state.light, state.sound, since, names)

    def _switches(self) -> Iterable[SwitchWhy]:
        for name in self.rules.switches:
            position = self.moment.look.readings.positions.get(name)
            yield SwitchWhy(name, position, self._since("switch", name).time)

    def _since(self, kind: str, of: object) -> Since:
        return self.moment.since[kind, of]

    # ---- limits

    def _limits(self) -> Iterable[LimitWhy]:
        gauges = None if self.asked.subject is None else self._quantities(self.asked.subject)
        for declared in self.rules.ranges:
            if not declared.forbids or (gauges is not None and declared.quantity not in gauges):
                continue
            if self.asked.given is not None and not self._knows(declared):
                continue
            for index in self.rules.indexes_of(declared):
                yield self._limit(declared, index)

    def _quantities(self, subject: Subject) -> set[str]:
        """The quantities that a subject is about, and those that they are worked out from."""
        found = {quantity for quantity, _ in subject.gauges}
        if subject.alerts:
            for rule in subject.statements:
                found |= {rule.quantity} if isinstance(rule, m.Band) else self.rules.quantities_read(rule.when)
        return found | {sensor for name in found for sensor in self.rules.sensors_of(name)}

    def _knows(self, declared: m.Range) -> bool:
        names = {declared.quantity, *(bound.quantity for bound in declared.region.moving)}
        names |= self.rules.quantities_read(declared.when)
        sensors = {sensor for name in names for sensor in self.rules.sensors_of(name)}
        return not lacking(
            self.rules, frozenset(sensors), self.rules.switches_read(declared.when), self.asked.given or frozenset()
        )

    def _limit(self, declared: m.Range, index: int | None) -> LimitWhy:
        look = self.moment.look.limit(declared, index)
        measured = self.rules.quantities[declared.quantity]
        says = ""
        if not look.when:
            assert declared.when is not None
            says = self.reasons.because.formula(declared.when)
        elif look.past is not None and declared.except_for is not None:
            allowed = how_long(declared.except_for)
            says = f"past its edge for {how_long(look.past)}, which it allows for {allowed}"
        return LimitWhy(
            declared.label,
            index,
            str(declared.kind),
            declared.span,
            declared.region.in_words(measured.unit),
            m.variable(declared.quantity, index),
            self.moment.look.readings.value(declared.quantity, index),
            measured.unit,
            look.when,
            look.broken,
            self._since("violated", (declared.label, index)).time,
            self._left(declared, index),
            says,
        )

    def _left(self, declared: m.Range, index: int | None) -> Fraction | None:
        """How far the reading is from the edge of a limit; below zero: past it."""
        readings, region = self.moment.look.readings, declared.region
        value = readings.value(declared.quantity, index)
        if value is None or not readings.knows(region, declared.quantity, index):
            return None
        ends: list[Fraction] = []
        for bound in region.bounds:
            if isinstance(bound, m.Moving):
                end = readings.value(bound.quantity, index)
                assert end is not None
                ends.append(end * bound.factor + bound.offset)
            else:
                ends.append(bound)
        kind = region.kind
        inside = (
            ends[0] - value
            if kind.is_low
            else value - ends[0]
            if kind.is_high
            else max(ends[0] - value, value - ends[1])
            if kind.outside
            else min(value - ends[0], ends[1] - value)
        )
        return -inside if declared.kind is m.RangeKind.AVOID else inside

    def _broken(self) -> Iterable[str]:
        """Assumptions that do not hold, of those that what was given decides. A run counts no time for them: one that
        asks for how long something has been so by itself is not judged."""
        for assumption in self.rules.assumptions:
            reads = (assumption.when, assumption.formula)
            if any(isinstance(part, m.Held) for formula in reads if formula for part in m.parts_of(formula)):
                continue
            names = self.rules.quantities_read(*reads)
            sensors = frozenset(sensor for name in names for sensor in self.rules.sensors_of(name))
            given = self.asked.given
            if given is not None and lacking(self.rules, sensors, self.rules.switches_read(*reads), given):
                continue
            if self.moment.look.holds(assumption.when) and not self.moment.look.holds(assumption.formula):
                yield f"{assumption.label}: {formula_words(self.rules, assumption.formula)}"


def lacking(
    rules: m.RuleSet, sensors: frozenset[str], switches: frozenset[str], given: frozenset[str]
) -> tuple[str, ...]:
    """The readings and switches that were not given, in the order of declaration."""
    wanted = [m.variable(q.name, index) for q in rules.quantities.values() if q.name in sensors for index in q.indexes]
    wanted_switches = [name for name in rules.switches if name in switches]
    return tuple(name for name in (*wanted, *wanted_switches) if name not in given)


def missing(rules: m.RuleSet, subject: Subject, given: frozenset[str]) -> tuple[str, ...]:
    """What a subject depends on and was not given."""
    return lacking(rules, *needs(rules, subject.statements), given)
