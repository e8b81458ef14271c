"""From the tree to pieces: lamps, gauges and inputs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from alertlang.format.parts import PartPrinter
from alertlang.format.pieces import CLAUSE, GLUED
from alertlang.syntax import tree as t

# A clause: where it was written, and what puts it.
Clause = tuple[int, Callable[[], None]]


class PanelPrinter(PartPrinter):
    def panel(self, node: t.Lamp | t.Gauge | t.Input) -> None:
        match node:
            case t.Lamp():
                self._lamp(node)
            case t.Gauge():
                self._gauge(node)
            case t.Input():
                self._input(node)

    def clauses(self, *clauses: Clause) -> None:
        """Each after a comma."""
        for put in in_order(clauses):
            self.put(",", GLUED)
            self.gap(CLAUSE)
            put()

    def _lamp(self, node: t.Lamp) -> None:
        self.put("lamp")
        self.text(node.text)
        self.put("shows")
        for i, (shown, _) in enumerate(node.shows):
            if i > 0:
                self.put("and")
            self.word(shown)
        found: list[Clause] = []
        if node.sequence is not None:
            found.append((node.sequence.span.start, partial(self._sequence, node.sequence)))
        for said, word in (("acknowledged by", node.acknowledged_by), ("reset by", node.reset_by)):
            if word is not None:
                found.append((word.span.start, partial(self._name_after, said, word)))
        self.clauses(*found)

    def _sequence(self, node: t.LampSequence) -> None:
        self.put("sequence")
        self.word(node.name)
        if node.lock_in is not None:
            self.put("with lock-in" if node.lock_in else "without lock-in")

    def _gauge(self, node: t.Gauge) -> None:
        self.put("gauge")
        self._labelled_as(node.name, node.label)
        found: list[Clause] = []
        if node.drawn is not None:
            found.append((node.drawn.span.start, partial(self._drawn, node.drawn)))
        if node.sensor is not None:
            found.append((node.sensor.span.start, partial(self._text_after, "sensor", node.sensor)))
        self.clauses(*found)
        # Last, whatever the places say: the language has them nowhere else.
        if node.channels:
            self.put(",", GLUED)
            self.put("channels" if len(node.channels) > 1 else "channel", CLAUSE)
            self.listed([partial(self.text, channel) for channel in node.channels])

    def _drawn(self, node: t.Drawn) -> None:
        self.put("drawn as")
        self.put(node.shape)
        if node.unit is not None:
            self.put("in")
            self.word(node.unit)
        if node.resolution is not None:
            self.put("to")
            self.value(node.resolution)

    def _input(self, node: t.Input) -> None:
        self.put("input")
        self._labelled_as(node.name, node.label)
        found: list[Clause] = []
        if node.wired is not None:
            found.append((node.wired.span.start, partial(self._wired, node.wired)))
        if node.channel is not None:
            found.append((node.channel.span.start, partial(self._text_after, "channel", node.channel)))
        self.clauses(*found)

    def _wired(self, node: t.Wired) -> None:
        self.put("wired to")
        self.put(node.to)
        self.put("when")
        self.word(node.position)

    def _labelled_as(self, name: t.Word, label: t.Word | None) -> None:
        self.word(name)
        if label is not None:
            self._text_after("labelled", label)

    def _name_after(self, said: str, word: t.Word) -> None:
        self.put(said)
        self.word(word)

    def _text_after(self, said: str, word: t.Word) -> None:
        self.put(said)
        self.text(word)


def in_order(clauses: Iterable[Clause]) -> list[Callable[[], None]]:
    """What puts each, in the order of their places."""
    return [put for _, put in sorted(clauses, key=lambda clause: clause[0])]
