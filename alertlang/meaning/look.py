"""A look into a run after one of its samples: which part of what held, and how far each word of the clock has come."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.readings import SampleReadings
from alertlang.meaning.stepper import Place, SampleStep, Shown, Stepper
from alertlang.model import ruleset as m


@dataclass(frozen=True, slots=True)
class RuleLook:
    """The parts of a statement at one sample. Durations in seconds, none where what they are of does not hold.

    `in_region`: the value is in the region; `inside`: it counts as in it, be it by the deadband (both true for an alert
    on its own). `rest`: for how long the rest of a `for more than` has held (in all, where it says `in total`); `due`:
    for how long the statement has applied, for its `after`.
    """

    when: bool
    in_region: bool
    inside: bool
    unless: bool
    rest: Fraction | None
    applies: bool
    due: Fraction | None
    up: bool

    @property
    def holds(self) -> bool:
        """Everything but the clock."""
        return self.when and self.inside and not self.unless


@dataclass(frozen=True, slots=True)
class ConditionLook:
    """A condition at one sample. `wanted`: what it is before its delays; `lasted`: for how many seconds."""

    holds: bool
    wanted: bool
    lasted: Fraction


@dataclass(frozen=True, slots=True)
class LimitLook:
    """A limit, or a range to avoid, at one sample. `past`: for how many seconds it has been broken, its `except for`
    aside; none where it is not."""

    when: bool
    past: Fraction | None
    broken: bool


class RunLook:
    """Good until the run takes its next step."""

    def __init__(self, stepper: Stepper, shown: Shown) -> None:
        """`shown`: what the run has just shown."""
        readings = stepper.memory.readings
        if readings is None or readings.time != shown.time:
            raise ValueError(f"the run is not at {shown.time} s")
        self.ruleset = stepper.ruleset
        self.shown = shown
        self.readings: SampleReadings = readings
        self._memory = stepper.memory
        # To ask again at the same sample changes nothing: what lasts has begun already, and conditions are known.
        self._step = SampleStep(stepper.ruleset, stepper.memory, readings, frozenset())
        self._step.conditions.update(shown.conditions)

    def holds(self, formula: m.Formula | None) -> bool:
        """Whether a formula is true; none is."""
        return self._step._holds(formula)

    def held(self, held: m.Held) -> Fraction | None:
        """For how long the part of a `for at least` or `for less than` has held."""
        return self._since(held.part) if self.holds(held.part) else None

    def rule(self, rule: m.Rule, index: int | None) -> RuleLook:
        """The parts of a statement, for one element."""
        place: Place = (rule.label, index)
        in_region = inside = True
        if isinstance(rule, m.Band):
            in_region = self.readings.is_in(rule.region, rule.quantity, index)
            inside = self._memory.in_band[place]
        rest = None
        if rule.held is not None:
            rest = self._memory.total[place] if rule.in_total else self._since(("rest", place))
        return RuleLook(
            self.holds(rule.when),
            in_region,
            inside,
            rule.unless is not None and self.holds(rule.unless),
            rest,
            self.shown.applies[place],
            self._since(("alert", place)),
            place in self.shown.alerts,
        )

    def condition(self, name: str) -> ConditionLook:
        """A condition and what it is before its delays."""
        lasted = self._since(("true", name))
        wanted = lasted is not None
        if lasted is None:
            lasted = self._since(("false", name))
        assert lasted is not None
        return ConditionLook(self.shown.conditions[name], wanted, lasted)

    def limit(self, declared: m.Range, index: int | None) -> LimitLook:
        """A limit or a range to avoid, for one element."""
        broken = self.shown.violated[declared.label, index]
        past = Fraction(0) if broken and declared.except_for is None else None
        if declared.except_for is not None:
            past = self._since(("broken", declared.label, index))
        return LimitLook(self.holds(declared.when), past, broken)

    def _since(self, key: object) -> Fraction | None:
        since = self._memory.since.get(key)
        return None if since is None else self.readings.time - since
