"""The names in a scenario, bound to a rule set. Every mistake becomes a finding; nothing is guessed."""

from __future__ import annotations

from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.scenarios import scenario as s
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.text.suggest import did_you_mean, nearest
from alertlang.units.number import show_number

_COLOURS = {colour.word: colour for colour in m.Colour}
_LEVELS = {level.word: level for level in m.Level}


class NameLookup:
    """Looks names up in one rule set, and says what is wrong with them."""

    def __init__(self, rules: m.RuleSet, scope: Scope) -> None:
        self.rules = rules
        self.scope = scope

    # ---- what is read

    def sensors(self, place: st.PlaceNode) -> tuple[m.Quantity, tuple[str, ...]] | None:
        """A quantity with a sensor, and the readings of it that a place in an input means."""
        word = place.subject.name
        found = self.rules.quantities.get(word.text)
        if found is None:
            self._no_input(word)
            return None
        if found.derived is not None:
            self.scope.report(
                "wrong-kind",
                f"{word.text} is computed, and has no sensor that could read it",
                place.span,
                f"give what it is computed from: {', '.join(sorted(self.rules.sensors_of(word.text)))}",
            )
            return None
        elements = self._elements(place, found, example_value(found))
        return None if elements is None else (found, tuple(m.variable(found.name, index) for index in elements))

    def position(self, turned: st.Turned) -> tuple[str, str] | None:
        """A switch and one of its positions."""
        word, position = turned.place.subject.name, turned.position
        switch = self.rules.switches.get(word.text)
        if switch is None:
            quantity = self.rules.quantities.get(word.text)
            if quantity is not None:
                self.scope.report(
                    "wrong-kind",
                    f"{word.text} is a quantity, and {position.text} is no value of it",
                    turned.span,
                    f"write a number, for example: {word.text} {example_value(quantity)}",
                    f"or that its sensor does not work: {word.text} failed",
                )
            else:
                self._no_input(word)
            return None
        if not self._is_one(turned.place):
            return None
        found = self.scope.position(switch, position)
        return None if found is None else (switch.name, found)

    def switch(self, place: st.PlaceNode) -> m.Switch | None:
        """The switch of a name that is one."""
        return self.rules.switches[place.subject.name.text] if self._is_one(place) else None

    def _is_one(self, place: st.PlaceNode) -> bool:
        if not place.every and place.subject.index is None:
            return True
        name = place.subject.name.text
        self.scope.report("wrong-kind", f"{name} is a switch, and has no elements", place.span, f"write {name} alone")
        return False

    def _no_input(self, word: t.WordNode) -> None:
        """Why a name cannot be read."""
        name = word.text
        if name in self.rules.buttons:
            message, advice = f"{name} is a button", f"it can only be pressed: {name} pressed"
        elif name in self.rules.switches:
            first = self.rules.switches[name].positions[0]
            message, advice = f"{name} is a switch", f"write its position, for example: {name} {first}"
        elif name in self.rules.conditions:
            message = f"{name} is a condition: it follows from what is read"
            advice = f"give what it reads, and expect it: -> {name}, or -> not {name}"
        else:
            known = [q.name for q in self.rules.quantities.values() if q.derived is None]
            known += [*self.rules.switches, *self.rules.buttons]
            self._unknown("quantity or switch", word, known)
            return
        self.scope.report("wrong-kind", message, word.span, advice)

    # ---- what must be shown

    def gauges(self, shows: st.Shows) -> s.GaugeShows | None:
        """The gauges that must show a colour."""
        word = shows.place.subject.name
        found = self.rules.quantities.get(word.text)
        if found is None:
            self._no_gauge(word)
            return None
        elements = self._elements(shows.place, found, "red")
        if elements is None:
            return None
        colour = None if shows.colour is None else _COLOURS[shows.colour]
        return s.GaugeShows(tuple((found.name, index) for index in elements), colour)

    def _no_gauge(self, word: t.WordNode) -> None:
        name = word.text
        if name in self.rules.switches:
            advice = "expect an alert, or what a gauge shows"
            self.scope.report("wrong-kind", f"{name} is a switch, and shows no colour", word.span, advice)
        elif name in self.rules.conditions:
            advice = f"write {name}, or not {name}"
            self.scope.report("wrong-kind", f"{name} is a condition, and shows no colour", word.span, advice)
        else:
            self._unknown("quantity", word, list(self.rules.quantities))

    def condition(self, holds: st.Holds) -> s.ConditionHolds | None:
        """The condition that must hold, or not."""
        word = holds.subject.name
        if word.text in self.rules.conditions:
            if holds.subject.index is None:
                return s.ConditionHolds(word.text, holds.holds)
            advice = f"write {word.text} alone"
            self.scope.report("wrong-kind", f"{word.text} is a condition, and has no elements", holds.span, advice)
        elif word.text in self.rules.quantities:
            advice = f"say which colour it shows, for example: {holds.subject.span.text} green"
            self.scope.report("wrong-kind", f"{word.text} is a quantity, not a condition", holds.span, advice)
        elif word.text in self.rules.switches:
            advice = "what is read stands before `->`, what must be shown after it"
            self.scope.report("wrong-kind", f"{word.text} is a switch, not a condition", holds.span, advice)
        else:
            self._unknown("condition", word, list(self.rules.conditions))
        return None

    def lamp(self, node: st.LampIs) -> s.LampShows | None:
        """The lamp, and what it must show."""
        texts = [lamp.text for lamp in self.rules.lamps]
        if node.text.text in texts:
            return s.LampShows(node.text.text, node.light)
        close = nearest(node.text.text, texts)
        advice = f'did you mean "{close}"?' if close else _listed([f'"{text}"' for text in texts])
        message = f'the rules "{self.rules.name}" have no lamp "{node.text.text}"'
        self.scope.report("unknown-name", message, node.text.span, advice)
        return None

    def alert(self, node: st.Alerts) -> s.AlertIsUp | None:
        """The statements that raise an alert. An alert that nothing can raise would never be up, and nobody would
        notice a slip of the pen in `no warning "..."`."""
        level, text = _LEVELS[node.level], node.text.text
        known = s.alerts_there_are(self.rules)
        raised_by = tuple(place for place, alert in known if alert == m.AlertText(level, text))
        if raised_by:
            return s.AlertIsUp(level, text, node.up, raised_by)
        others = sorted({alert.level for _, alert in known if alert.text == text}, reverse=True)
        close = nearest(text, [alert.text for _, alert in known if alert.level is level])
        if others:
            advice = f'it is of another level: {others[0].word} "{text}"'
        elif "{n}" in text:
            advice = "write the number of the element for {n}, for example: " + text.replace("{n}", "1")
        elif close is not None:
            advice = f'did you mean "{close}"?'
        else:
            texts = list(dict.fromkeys(alert.text for _, alert in known if alert.level is level))
            advice = _listed([f'"{word}"' for word in texts])
        message = f'no statement of the rules "{self.rules.name}" raises the {level.word} "{text}"'
        self.scope.report("unknown-name", message, node.text.span, advice)
        return None

    # ---- both

    def _elements(self, place: st.PlaceNode, quantity: m.Quantity, shown: str) -> tuple[int | None, ...] | None:
        """The elements that a place means; `shown` is what could stand after it."""
        name, index = quantity.name, place.subject.index
        if quantity.size is None:
            if place.every or index is not None:
                message = f"{name} has one value, so it has no elements"
                self.scope.report("wrong-kind", message, place.span, f"write {name} alone")
                return None
            return (None,)
        if place.every and index is not None:
            advice = f"write every {name}, or {place.subject.span.text}"
            self.scope.report("wrong-kind", f"every element and {place.subject.span.text}: which?", place.span, advice)
            return None
        if place.every:
            return quantity.indexes
        if index is None:
            self.scope.report(
                "wrong-kind",
                f"{name} has {quantity.size} elements",
                place.span,
                f"write every {name} {shown}, or each by itself: {name}[1] {shown}",
            )
            return None
        return (int(index.number),) if self.scope.has_element(quantity, index.number, place.span) else None

    def _unknown(self, kind: str, word: t.WordNode, known: list[str]) -> None:
        message = f'the rules "{self.rules.name}" have no {kind} {word.text}'
        self.scope.report("unknown-name", message, word.span, did_you_mean(word.text, known, _listed(known)))


def example_value(quantity: m.Quantity) -> str:
    """A value to show how one is written: the middle of the range, on the step."""
    middle = (quantity.low + quantity.high) / 2
    if quantity.step is not None:
        middle = (middle // quantity.step) * quantity.step
    elif middle.denominator != 1:
        middle = quantity.low
    return f"{show_number(middle)} {quantity.unit.name}".rstrip()


def _listed(known: list[str]) -> str:
    """What could have been meant."""
    if not known:
        return "they have nothing of that kind"
    return f"there are: {', '.join(known[:8])}{' ...' if len(known) > 8 else ''}"
