"""What a rule set means over time, sample by sample. No cleverness: this is the text the others are held against.

Every timed word asks one thing: for how long has something been so without a break, at every sample from some earlier
one up to this one. What is between two samples nobody knows, and it breaks nothing.

At each sample, in this order: the readings, the conditions (for each: first whether it is set or cleared by `until`,
then its delays), the statements (first what holds back the whole statement, then what holds back or keeps its alert),
the lamps.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.lamps.machine import LampRun
from alertlang.lamps.machine import LampState as LampState
from alertlang.meaning.readings import Sample as Sample
from alertlang.meaning.readings import SampleReadings, readings_at
from alertlang.meaning.regions import is_near
from alertlang.model import ruleset as m

# A statement and the element it is about, as (label, element); none where it is about no element of an array.
Place = tuple[str, int | None]

_NO_TIME = Fraction(0)

# The button of a rule set that names none; no name of the language is empty.
_ACKNOWLEDGE = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """What there is to see at one sample, everything in the order of declaration.

    `values` by name (`rpm`, `cht[2]`), none where failed; `conditions` by name; `applies` for every band and every
    alert on its own, by label and element; `colours` for every gauge, by quantity and element, none where no band
    applies; `alerts` that are up, by label and element, with {n} filled in; `violated` for every limit and avoid range,
    by label and element, after its `except for`; `lamps` by the text on them.
    """

    time: Fraction
    values: Mapping[str, Fraction | None]
    conditions: Mapping[str, bool]
    applies: Mapping[Place, bool]
    colours: Mapping[tuple[str, int | None], m.Colour | None]
    alerts: Mapping[Place, m.AlertText]
    violated: Mapping[Place, bool]
    lamps: Mapping[str, LampState] = field(default_factory=dict)


@dataclass(slots=True)
class Memory:
    """All that is known of the samples before.

    `since`: by what is asked about, the first sample of the unbroken stretch up to now in which it has been so.
    `was_set`: conditions with `until` that were set and not cleared. `true`: conditions that held, after their delays.
    `total`: for how long the rest of a statement has held in all, and `rest` whether it held at the sample before.
    `in_band`: bands whose region held, be it by their deadband. `latched`: alerts that were up, and whether they have
    been acknowledged. `buttons`: those that were held down. `lamps`: each lamp by its text, since the first sample.
    """

    readings: SampleReadings | None = None
    since: dict[object, Fraction] = field(default_factory=dict)
    was_set: dict[str, bool] = field(default_factory=dict)
    true: Mapping[str, bool] = field(default_factory=dict)
    total: dict[Place, Fraction] = field(default_factory=dict)
    rest: dict[Place, bool] = field(default_factory=dict)
    in_band: dict[Place, bool] = field(default_factory=dict)
    latched: dict[Place, bool] = field(default_factory=dict)
    buttons: frozenset[str] = frozenset()
    lamps: dict[str, LampRun] = field(default_factory=dict)

    def copy(self) -> Memory:
        """The same, for a run that goes on from here by itself."""
        lamps = {text: copy(run) for text, run in self.lamps.items()}
        kept = (dict(self.since), dict(self.was_set), self.true, dict(self.total), dict(self.rest), dict(self.in_band))
        return Memory(self.readings, *kept, dict(self.latched), self.buttons, lamps)


class Stepper:
    """One run of a rule set over the samples of one stretch of a log, in order.

    Of rows that share a time the last counts, and a time that runs backwards starts a new stretch: to sort that out is
    the caller's part, with a new Stepper for each stretch.
    """

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.memory = Memory()

    def step(self, sample: Sample) -> Shown:
        """What is shown at the next sample.

        ValueError if its time is not after that of the sample before, or if it names what the rule set does not have.
        """
        memory = self.memory
        before = memory.readings
        if before is not None and sample.time <= before.time:
            raise ValueError(f"a sample at {sample.time} s cannot follow one at {before.time} s")
        readings = readings_at(self.ruleset, sample, before)
        held = sample.pressed
        if sample.acknowledge:
            held |= {*self.ruleset.acknowledge_inputs, _ACKNOWLEDGE}
        shown = SampleStep(self.ruleset, memory, readings, held - memory.buttons).shown()
        memory.readings, memory.true, memory.buttons = readings, shown.conditions, held
        return shown


class SampleStep:
    """One sample. `pressed`: buttons pressed since the sample before; to hold one down is one press."""

    def __init__(self, ruleset: m.RuleSet, memory: Memory, readings: SampleReadings, pressed: frozenset[str]) -> None:
        self.ruleset = ruleset
        self.memory = memory
        self.readings = readings
        self.pressed = pressed
        self.acknowledged = not pressed.isdisjoint({*ruleset.acknowledge_inputs, _ACKNOWLEDGE})
        self.conditions: dict[str, bool] = {}

    def shown(self) -> Shown:
        ruleset = self.ruleset
        conditions = {name: self._condition(name) for name in ruleset.conditions}
        applies: dict[Place, bool] = {}
        alerts: dict[Place, m.AlertText] = {}
        colours: dict[tuple[str, int | None], m.Colour | None] = {
            (quantity.name, index): None for quantity in ruleset.quantities.values() for index in quantity.indexes
        }
        for rule in ruleset.rules:
            for index in ruleset.indexes_of(rule):
                place = (rule.label, index)
                applies[place] = self._applies(rule, index)
                if applies[place] and isinstance(rule, m.Band):
                    other = colours[rule.quantity, index]
                    colours[rule.quantity, index] = rule.colour if other is None else max(other, rule.colour)
                if rule.alert is not None and self._is_up(rule, place, applies[place]):
                    text = rule.alert.text if index is None else rule.alert.text.replace("{n}", str(index))
                    alerts[place] = m.AlertText(rule.alert.level, text)
        violated = {
            (declared.label, index): self._is_violated(declared, index)
            for declared in ruleset.ranges
            if declared.forbids
            for index in ruleset.indexes_of(declared)
        }
        lamps = self._lamps(alerts)
        return Shown(self.readings.time, self.readings.values, conditions, applies, colours, alerts, violated, lamps)

    def _lamps(self, alerts: Mapping[Place, m.AlertText]) -> dict[str, LampState]:
        found: dict[str, LampState] = {}
        for lamp in self.ruleset.lamps:
            up = frozenset(place for place, alert in alerts.items() if lamp.shows(place[0], alert.level))
            run = self.memory.lamps.setdefault(lamp.text, LampRun(lamp))
            found[lamp.text] = run.step(up, self.pressed)
        return found

    # ---- time

    def _lasted(self, key: object, holds: bool) -> Fraction | None:
        """For how many seconds something has held at every sample up to this one; none if it does not hold."""
        since = self.memory.since
        if not holds:
            since.pop(key, None)
            return None
        return self.readings.time - since.setdefault(key, self.readings.time)

    def _at_least(self, key: object, holds: bool, duration: Fraction | None) -> bool:
        """Held at every sample since one at least so long ago. No duration: it holds now."""
        lasted = self._lasted(key, holds)
        return lasted is not None and lasted >= (duration or _NO_TIME)

    def _more_than(self, key: object, holds: bool, duration: Fraction) -> bool:
        """Held at every sample since one more than so long ago."""
        lasted = self._lasted(key, holds)
        return lasted is not None and lasted > duration

    def _held_in_total(self, place: Place, holds: bool) -> Fraction:
        """For how long a statement's rest has held since the first sample.

        The time between two samples counts where it held at the first of them, as an alert that is up lasts until the
        first sample at which it is not.
        """
        memory = self.memory
        total = memory.total.get(place, _NO_TIME)
        if memory.readings is not None and memory.rest.get(place, False):
            total += self.readings.time - memory.readings.time
        memory.total[place], memory.rest[place] = total, holds
        return total

    # ---- conditions

    def _condition(self, name: str) -> bool:
        if name not in self.conditions:
            self.conditions[name] = self._new_condition(self.ruleset.conditions[name])
        return self.conditions[name]

    def _new_condition(self, condition: m.Condition) -> bool:
        """The delays look at what `until` makes of its two parts: true from where it is set to where it is cleared, and
        set where both are so."""
        memory, name = self.memory, condition.name
        wanted = self._holds(condition.formula)
        if condition.until is not None:
            cleared = self._holds(condition.until)
            wanted = wanted or (memory.was_set.get(name, False) and not cleared)
            memory.was_set[name] = wanted
        turns_true = self._at_least(("true", name), wanted, condition.set_after)
        turns_false = self._at_least(("false", name), not wanted, condition.cleared_after)
        return turns_true or (memory.true.get(name, False) and not turns_false)

    def _holds(self, formula: m.Formula | None) -> bool:
        """Whether a formula is true; none is. Every part is looked at every time, for some of them count time."""
        readings = self.readings
        match formula:
            case None:
                return True
            case m.Compare():
                return formula.of_all(readings.is_in(formula.region, formula.quantity, i) for i in formula.indexes)
            case m.SwitchIs():
                position = readings.positions.get(formula.switch)
                return position is not None and (position == formula.position) is not formula.negated
            case m.ConditionIs():
                return self._condition(formula.name)
            case m.Held():
                holds = self._holds(formula.part)
                long = self._at_least(formula.part, holds, formula.duration)
                return holds and long is formula.at_least
            case m.Not():
                return not self._holds(formula.part)
            case m.And() | m.Or():
                parts = [self._holds(part) for part in formula.parts]
                return all(parts) if isinstance(formula, m.And) else any(parts)

    # ---- statements

    def _applies(self, rule: m.Rule, index: int | None) -> bool:
        """`when`, the region, `unless` (the rest of the statement), and all of it for long enough."""
        place = (rule.label, index)
        when = rule.when is None or self._holds(rule.when)
        unless = rule.unless is not None and self._holds(rule.unless)
        rest = (isinstance(rule, m.Alert) or self._is_in_band(rule, index)) and when and not unless
        if rule.held is None:
            return rest
        if rule.in_total:
            return self._held_in_total(place, rest) > rule.held and rest
        return self._more_than(("rest", place), rest, rule.held)

    def _is_in_band(self, band: m.Band, index: int | None) -> bool:
        """In the band's region, or kept in it by the deadband since it was, whatever else the band says."""
        place = (band.label, index)
        deadband = self.ruleset.quantities[band.quantity].deadband
        inside = self.readings.is_in(band.region, band.quantity, index)
        if deadband is not None and self.memory.in_band.get(place, False):
            inside = inside or is_near(band.region, band.quantity, index, self.readings.value, deadband)
        self.memory.in_band[place] = inside
        return inside

    def _is_up(self, rule: m.Rule, place: Place, applies: bool) -> bool:
        """Whether the statement's alert is up.

        A latched one stays until it has been acknowledged and its cause, that the statement applies, is gone, whichever
        comes last. A press of any button that acknowledges is for what was up at the sample before: nobody has seen
        the others.
        """
        due = self._at_least(("alert", place), applies, rule.after)
        if not rule.latched:
            return due
        latched = self.memory.latched
        was_up = place in latched
        acknowledged = was_up and (latched[place] or self.acknowledged)
        if due or (was_up and (applies or not acknowledged)):
            latched[place] = acknowledged
            return True
        latched.pop(place, None)
        return False

    def _is_violated(self, declared: m.Range, index: int | None) -> bool:
        """Whether a limit is broken or an avoid range entered, for longer than its `except for`. A failed value breaks
        nothing that anybody could tell."""
        when = self._holds(declared.when)
        inside = self.readings.is_in(declared.region, declared.quantity, index)
        known = self.readings.knows(declared.region, declared.quantity, index)
        broken = when and (inside if declared.kind is m.RangeKind.AVOID else known and not inside)
        if declared.except_for is None:
            return broken
        return self._more_than(("broken", declared.label, index), broken, declared.except_for)
