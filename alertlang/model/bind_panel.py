"""Lamps, gauges and inputs bound to what is declared."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from alertlang.model import ruleset as m
from alertlang.model.changes import RuleEntry
from alertlang.model.declarations import good_name
from alertlang.model.files import LoadedFile
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.text.suggest import did_you_mean


@dataclass(slots=True)
class Panel:
    """Binds the statements of the panel one by one; what is wrong with one leaves it out and is said."""

    scope: Scope
    entries: dict[str, RuleEntry]
    lamps: list[m.PanelLamp] = field(default_factory=list)
    gauges: list[m.PanelGauge] = field(default_factory=list)
    inputs: list[m.PanelInput] = field(default_factory=list)
    said: dict[tuple[str, str], Span] = field(default_factory=dict)

    def bind(self, files: Iterable[LoadedFile]) -> None:
        for file in files:
            for statement in file.tree.statements:
                match statement:
                    case t.LampStatement() if file.origin.kind == "rules":
                        self._lamp(statement, file.origin)
                    case t.GaugeStatement():
                        self._gauge(statement, file.origin)
                    case t.InputStatement():
                        self._input(statement, file.origin)
                    case _:
                        pass

    def _once(self, kind: str, name: str, what: str, where: Span) -> bool:
        """Whether something is said of a name for the first time."""
        first = self.said.setdefault((kind, name), where)
        if first is where:
            return True
        place = f"{first.source.path} line {first.line}"
        self.scope.report("duplicate-name", f"{what} already, in {place}", where, "take one of the two out")
        return False

    # ---- lamps

    def _lamp(self, node: t.LampStatement, origin: m.Origin) -> None:
        scope = self.scope
        self.scope.twice(node.repeated)
        text = node.text.text
        if not text.strip():
            scope.report("bad-value", "the text of the lamp is empty", node.text.span, "write what stands on it")
            return
        if not self._once("lamp", text, f'there is a lamp "{text}"', node.text.span):
            return
        levels: list[m.Level] = []
        labels: list[str] = []
        for word, is_level in node.shows:
            if is_level:
                level = m.Level[word.text.upper()]
                if level in levels:
                    scope.report("bad-value", f"{word.text} is in the list already", word.span, "take it out")
                levels.append(level)
            elif self._raises(word):
                if word.text in labels:
                    scope.report("bad-value", f"{word.text} is in the list already", word.span, "take it out")
                labels.append(word.text)
        sequence = self._sequence(node)
        acknowledge = self._button(node.acknowledged_by)
        reset = self._button(node.reset_by)
        if sequence is None:
            return
        lock_in = node.sequence is None or node.sequence.lock_in is not False
        self._buttons(node, sequence, lock_in)
        self.lamps.append(
            m.PanelLamp(text, tuple(levels), tuple(labels), sequence, lock_in, acknowledge, reset, node.span, origin)
        )

    def _raises(self, word: t.WordNode) -> bool:
        """Whether a word is the label of a statement with an alert; if not, that is said."""
        scope, entry = self.scope, self.entries.get(word.text)
        if entry is None:
            if not scope.is_lost(word.text):
                otherwise = "write a level, or the label of a statement with an alert"
                advice = did_you_mean(word.text, self.entries, otherwise)
                scope.report("unknown-name", f"no statement is labelled {word.text}", word.span, advice)
            return False
        if isinstance(entry.rule, t.AlertStatement) or (
            isinstance(entry.rule, t.BandStatement) and entry.rule.alert is not None
        ):
            return True
        message = f"{word.text} raises no alert that a lamp could show"
        scope.report("wrong-kind", message, word.span, "write the label of a band or an alert that raises one")
        return False

    def _sequence(self, node: t.LampStatement) -> m.Sequence | None:
        scope, said = self.scope, node.sequence
        if said is None:
            scope.report(
                "bad-value",
                "the lamp does not say how it behaves",
                node.span,
                "write for example: , sequence A without lock-in, acknowledged by ack",
            )
            return None
        name = said.name.text
        if name not in m.Sequence.__members__:
            close = (
                f"write {name.upper()}" if name.upper() in m.Sequence.__members__ else "the sequences are A, M and R"
            )
            scope.report("unknown-name", f"there is no sequence {name}", said.name.span, close)
            return None
        if name != "A" and said.lock_in is False:
            message = f"a lamp of sequence {name} always stays lit until it is acknowledged"
            scope.report("bad-value", message, said.span, "take `without lock-in` out, or write sequence A")
            return None
        return m.Sequence[name]

    def _button(self, word: t.WordNode | None) -> str | None:
        scope = self.scope
        if word is None or not good_name(word, scope):
            return None
        kind = scope.declared().get(word.text)
        if kind is not None:
            message = f"{word.text} is {kind}, and the name of a button must stand here"
            scope.report("wrong-kind", message, word.span, "choose a name that nothing else has, for example ack")
            return None
        return word.text

    def _buttons(self, node: t.LampStatement, sequence: m.Sequence, lock_in: bool) -> None:
        """Without the buttons that its sequence needs a lamp would be lit for ever."""
        scope = self.scope
        if node.acknowledged_by is None and lock_in:
            message = "a lamp that stays lit until it is acknowledged needs a button for that"
            scope.report("bad-value", message, node.span, "write for example: , acknowledged by ack")
        if node.reset_by is None and sequence is not m.Sequence.A:
            message = f"a lamp of sequence {sequence.value} needs a button that resets it"
            scope.report("bad-value", message, node.span, "write for example: , reset by rst")
        if node.reset_by is not None and sequence is m.Sequence.A:
            message = "a lamp of sequence A resets by itself"
            scope.report("bad-value", message, node.reset_by.span, "take `reset by` out, or write sequence M or R")
        elif node.reset_by is not None and node.acknowledged_by == node.reset_by:
            message = "one button cannot both acknowledge and reset a lamp"
            scope.report("bad-value", message, node.reset_by.span, "give the reset a button of its own")

    def buttons_apart(self) -> None:
        """A button that acknowledges one lamp and resets another would do both with one press."""
        acknowledge = {lamp.acknowledge for lamp in self.lamps if lamp.acknowledge is not None}
        for lamp in self.lamps:
            if lamp.reset in acknowledge and lamp.reset != lamp.acknowledge:
                message = f"{lamp.reset} resets this lamp and acknowledges another"
                self.scope.report("wrong-kind", message, lamp.span, "give the reset a button of its own")

    # ---- gauges

    def _gauge(self, node: t.GaugeStatement, origin: m.Origin) -> None:
        scope = self.scope
        self.scope.twice(node.repeated)
        name = node.name.text
        quantity = scope.quantities.get(name)
        if quantity is None:
            scope.unknown(node.name, "a quantity", scope.quantities)
            return
        if not self._once("gauge", name, f"{name} has a gauge", node.name.span):
            return
        label = self._label(node.label, quantity.size is not None)
        unit = resolution = None
        if node.drawn is not None and node.drawn.unit is not None:
            unit = scope.unit(node.drawn.unit)
            if unit is not None and unit.dimension != quantity.unit.dimension:
                is_in = f"a {quantity.unit.dimension}" if quantity.unit.name else "a plain number"
                scope.report(
                    "wrong-dimension",
                    f"{name} is {is_in}, and {node.drawn.unit.text} is a {unit.dimension}",
                    node.drawn.unit.span,
                    f"write for example: in {quantity.unit.name}" if quantity.unit.name else "take the unit out",
                )
                unit = None
        if node.drawn is not None and node.drawn.resolution is not None:
            value = node.drawn.resolution
            resolution = scope.difference_in_unit(value, unit or quantity.unit, f"the resolution of {name}")
            if resolution is not None and resolution <= 0:
                message = "the step in which a gauge shows values must be more than 0"
                scope.report("bad-value", message, value.span, "write for example: to 0.1")
                resolution = None
        if quantity.derived is not None and (node.sensor is not None or node.channels):
            where = node.sensor.span if node.sensor is not None else node.channels[0].span
            message = f"{name} is computed, so it has no sensor and no channel of its own"
            scope.report("bad-value", message, where, "say it of the quantities it is computed from")
        wanted = quantity.size or 1
        if node.channels and len(node.channels) != wanted:
            message = f"{name} has {quantity.size or 'one value'}" + (" elements" if quantity.size else "")
            where = node.channels[0].span.to(node.channels[-1].span)
            advice = f"write {wanted} channel{'s' if wanted > 1 else ''}"
            scope.report("bad-value", f"{message}, and here are {len(node.channels)} channels", where, advice)
        channels = tuple(self._channel(word) for word in node.channels)
        shape = None if node.drawn is None else node.drawn.shape
        sensor = None if node.sensor is None else node.sensor.text
        self.gauges.append(m.PanelGauge(name, label, shape, unit, resolution, sensor, channels, node.span, origin))

    def _label(self, word: t.WordNode | None, numbered: bool) -> str | None:
        if word is None:
            return None
        if not word.text.strip():
            self.scope.report("bad-value", "the label is empty", word.span, "write what stands on the panel")
        if "{n}" in word.text and not numbered:
            message = "{n} stands for the element of an array, and this is none"
            self.scope.report("bad-value", message, word.span, "take {n} out")
        elif self._once("label", word.text, f'"{word.text}" is a label', word.span):
            return word.text
        return word.text

    def _channel(self, word: t.WordNode) -> str:
        if not word.text.strip():
            self.scope.report("bad-value", "the channel is empty", word.span, "write its name")
        else:
            self._once("channel", word.text, f'channel "{word.text}" is taken', word.span)
        return word.text

    # ---- inputs

    def _input(self, node: t.InputStatement, origin: m.Origin) -> None:
        scope = self.scope
        self.scope.twice(node.repeated)
        name = node.name.text
        switch = scope.switches.get(name)
        if switch is None:
            scope.unknown(node.name, "a switch", scope.switches)
            return
        if not self._once("input", name, f"the input of {name} is described", node.name.span):
            return
        wired = position = None
        if node.wired is not None:
            wired, position = node.wired.to, scope.position(switch, node.wired.position)
        channel = None if node.channel is None else self._channel(node.channel)
        self.inputs.append(
            m.PanelInput(name, self._label(node.label, False), wired, position, channel, node.span, origin)
        )
