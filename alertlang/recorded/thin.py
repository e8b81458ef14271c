"""The rows of a stretch at which something changes that could matter, and what has to be written at each.

Between two rows that are kept every comparison comes out one way, every condition, every statement and every button is
as it was; so whatever counts time begins and ends at rows that are kept, and a reading may stay what it was at the
last. A rise or fall is of two samples that follow each other: where one is read, every row is kept, and what it is of
is written at each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.look import RunLook
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.model.expression import Trend, inputs
from alertlang.why.subject import needs

Input = Fraction | str | None
"""The value of a reading, the position of a switch; none where failed or not known."""


@dataclass(frozen=True, slots=True)
class ThinRow:
    """One row that is kept: the `sample`, what is `shown`, and the inputs to `write`, those that changed."""

    sample: Sample
    shown: Shown
    write: Mapping[str, Input]


class Thinning:
    """Of one rule set: everything it shows is kept. `inputs`: the readings and switches that it depends on, in their
    order."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        sensors, switches = needs(ruleset, ruleset.rules)
        names = [m.variable(q.name, i) for q in ruleset.quantities.values() if q.name in sensors for i in q.indexes]
        self.inputs: tuple[str, ...] = (*names, *(name for name in ruleset.switches if name in switches))
        formulas = [f for rule in ruleset.rules for f in (rule.when, rule.unless) if f is not None]
        self._parts = tuple(dict.fromkeys(ruleset.parts_read(*formulas)))
        self._conditions = tuple(name for name in ruleset.conditions if name in ruleset.conditions_read(*formulas))
        self._compared = self._all_compared()
        # What a rise or fall is of, which must be as it was at every row.
        self._exact = {
            str(reading)
            for name, index, region in self._compared
            for one in (name, *(bound.quantity for bound in region.moving))
            if reads_trend(ruleset, one)
            for reading in ruleset.sensors_read(one, index)
        }
        self._group_of = self._groups()

    def rows(self, samples: Sequence[Sample], first: int, *, whole: bool = False) -> list[ThinRow]:
        """Of samples that follow each other. Kept are the first of all, the `first` of which anything is expected (its
        place among them), and the last. `whole`: all are, and whatever changes is written."""
        stepper = Stepper(self.ruleset)
        written: dict[str, Input] = {}
        groups_then: dict[str, tuple[object, ...]] = {}
        before: object = None
        found: list[ThinRow] = []
        for number, sample in enumerate(samples):
            shown = stepper.step(sample)
            look = RunLook(stepper, shown)
            groups = self._group_states(look)
            now = (self._states(look), groups, stepper.memory.buttons)
            is_end = number in {0, first, len(samples) - 1}
            if not (is_end or whole or self._exact or now != before):
                continue
            before = now
            write: dict[str, Input] = {}
            for name in self.inputs:
                group = self._group_of[name]
                value = self._input(look, name)
                if (whole or groups_then.get(group) != groups[group]) and (
                    name not in written or written[name] != value
                ):
                    write[name] = written[name] = value
            groups_then = groups
            found.append(ThinRow(sample, shown, write))
        return found

    def _input(self, look: RunLook, name: str) -> Input:
        if name in self.ruleset.switches:
            return look.readings.positions.get(name)
        return look.readings.values[name]

    # ---- what is compared with what

    def _all_compared(self) -> tuple[tuple[str, int | None, m.Region], ...]:
        found: list[tuple[str, int | None, m.Region]] = []
        for band in self.ruleset.bands:
            found += [(band.quantity, index, band.region) for index in self.ruleset.indexes_of(band)]
        for part in self._parts:
            if isinstance(part, m.Compare):
                found += [(part.quantity, index, part.region) for index in part.indexes]
        return tuple(dict.fromkeys(found))

    def _sensors(self, compared: tuple[str, int | None, m.Region]) -> list[str]:
        name, index, region = compared
        names = [name, *(bound.quantity for bound in region.moving)]
        return sorted({str(reading) for one in names for reading in self.ruleset.sensors_read(one, index)})

    def _groups(self) -> dict[str, str]:
        """By input the group that it belongs to: those that are compared together are written together."""
        group = {name: name for name in self.inputs}

        def root(name: str) -> str:
            while group[name] != name:
                name = group[name]
            return name

        for compared in self._compared:
            first, *others = self._sensors(compared)
            for other in others:
                group[root(other)] = root(first)
        return {name: root(name) for name in self.inputs}

    # ---- how it is at a row

    def _group_states(self, look: RunLook) -> dict[str, tuple[object, ...]]:
        """Of each group everything that its inputs decide by themselves at this row."""
        found: dict[str, list[object]] = {group: [] for group in self._group_of.values()}
        for name in self.inputs:
            value = self._input(look, name)
            is_exact = name in self.ruleset.switches or name in self._exact
            found[self._group_of[name]].append(value if is_exact else value is None)
        for compared in self._compared:
            name, index, region = compared
            group = self._group_of[self._sensors(compared)[0]]
            found[group].append(look.readings.is_in(region, name, index))
        for band in self.ruleset.bands:
            for index in self.ruleset.indexes_of(band):
                group = self._group_of[self._sensors((band.quantity, index, band.region))[0]]
                found[group].append(look.rule(band, index).inside)
        return {group: tuple(states) for group, states in found.items()}

    def _states(self, look: RunLook) -> tuple[object, ...]:
        """Everything that counts time, and all that is shown."""
        shown = look.shown
        return (
            tuple(look.holds(part) for part in self._parts),
            tuple((look.condition(name).wanted, shown.conditions[name]) for name in self._conditions),
            tuple(shown.applies.values()),
            tuple(shown.alerts),
            tuple(shown.colours.values()),
            tuple(shown.lamps.values()),
        )


def reads_trend(ruleset: m.RuleSet, quantity: str) -> bool:
    """Whether a quantity is a rise or fall, or worked out from one."""
    derived = ruleset.quantities[quantity].derived
    if derived is None or isinstance(derived, Trend):
        return derived is not None
    return any(reads_trend(ruleset, name) for name in inputs(derived))


@dataclass(frozen=True, slots=True)
class About:
    """What of a rule set something is said of: the `ruleset` without the alerts that are left out, and its `lamps`
    without those that these could light; every button stays, for each acknowledges what is latched. `may_be_quiet`: it
    has cautions or warnings, and none of them is left out, so that it can be told that all is quiet."""

    ruleset: m.RuleSet
    lamps: tuple[m.PanelLamp, ...]
    may_be_quiet: bool

    def expects(self, truth: Iterable[Shown]) -> bool:
        """Whether there is anything to be expected where so was shown."""
        labels = {rule.label for rule in self.ruleset.rules}
        up = any(place[0] in labels for shown in truth for place in shown.alerts)
        return up or bool(self.ruleset.bands) or bool(self.lamps) or self.may_be_quiet

    def seen(self, shown: Shown) -> tuple[object, ...]:
        """What a pilot sees of it at a sample."""
        labels = {rule.label for rule in self.ruleset.rules}
        alerts = {place: alert for place, alert in shown.alerts.items() if place[0] in labels}
        return dict(shown.colours), alerts, {lamp.text: shown.lamps[lamp.text] for lamp in self.lamps}

    def first_unlike(self, some: Iterable[Shown], others: Iterable[Shown]) -> tuple[Shown, Shown] | None:
        """The first samples at which a pilot sees something else of it."""
        pairs = zip(some, others, strict=True)
        return next(((one, other) for one, other in pairs if self.seen(one) != self.seen(other)), None)
