"""From the tree of a scenario to the scenario: times, what is read, what must be shown."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.scenarios import scenario as s
from alertlang.scenarios.names import NameLookup, example_value
from alertlang.scenarios.whole import check_whole
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.units.number import say_value


def bind(tree: st.ScenarioFile, header: t.Header, rules: m.RuleSet) -> tuple[s.Scenario | None, list[Finding]]:
    """The scenario that a tree says, and everything that was wrong in it; none with an error."""
    return _ScenarioBinder(tree, rules).bind(header)


def changes_of(
    tree: st.ScenarioFile, rules: m.RuleSet, node: st.AtStatement
) -> tuple[tuple[s.Change, ...], list[Finding]]:
    """What one line at 0 s says is read, and what is wrong with it."""
    binder = _ScenarioBinder(tree, rules)
    return tuple(binder.line(node)), binder.scope.findings


# No reading and no switch can have this name.
_BUTTON = "the button"


@dataclass(slots=True)
class _Values:
    """What the readings are after the last line: a value, none if failed, or on the way from one to another."""

    now: dict[str, Fraction | s.Ramps | None] = field(default_factory=dict)
    since: dict[str, Fraction] = field(default_factory=dict)

    def at(self, reading: str, time: Fraction) -> Fraction | None:
        """The value at a time not before that of the last change; KeyError if it was never given."""
        found = self.now[reading]
        return ramped(found, self.since[reading], time) if isinstance(found, s.Ramps) else found


def ramped(ramp: s.Ramps, since: Fraction, time: Fraction) -> Fraction:
    """Where a reading is on its way that began at `since`."""
    if time >= ramp.until:
        return ramp.last
    return ramp.first + (ramp.last - ramp.first) * (time - since) / (ramp.until - since)


class _ScenarioBinder:
    def __init__(self, tree: st.ScenarioFile, rules: m.RuleSet) -> None:
        self.tree = tree
        self.rules = rules
        self.scope = Scope(quantities=dict(rules.quantities), switches=dict(rules.switches))
        self.names = NameLookup(rules, self.scope)
        self.values = _Values()
        self.turned: set[str] = set()
        self.times: set[Fraction] = set()

    def bind(self, header: t.Header) -> tuple[s.Scenario | None, list[Finding]]:
        spacing = self._spacing()
        written = [node for node in self.tree.statements if isinstance(node, st.AtStatement)]
        lines: list[s.TimeLine] = []
        pending: list[tuple[st.Expectation, s.What, Fraction]] = []
        given: frozenset[str] | None = None
        for node in written:
            time = self._time(node.time, lines)
            changes = self._changes(node, time)
            lines.append(s.TimeLine(time, tuple(changes), node.span))
            self.times.add(time)
            for expectation in node.expectations:
                what = self._what(expectation.what)
                if what is not None:
                    pending.append((expectation, what, time))
            if given is None:
                given = frozenset((*self.values.now, *self.turned))
        starts = [line.time for line in lines]
        expected = [self._expected(expectation, what, time, starts) for expectation, what, time in pending]
        if not self.scope.findings and not self.tree.broken:
            wanted = tuple(expectation.what for expectation in expected)
            times = tuple(sorted(self.times))
            check_whole(self.scope, self.rules, header, written, wanted, given or frozenset(), times, spacing)
        if self.scope.findings or self.tree.broken:
            return None, self.scope.findings
        about = tuple(node.text.text for node in self.tree.statements if isinstance(node, t.About))
        return s.Scenario(
            header.name.text,
            int(header.version.number),
            self.tree.source.path,
            about,
            self.rules,
            spacing,
            tuple(lines),
            tuple(expected),
            tuple(sorted(self.times)),
            frozenset((*self.values.now, *self.turned)),
        ), []

    def line(self, node: st.AtStatement) -> list[s.Change]:
        """What a line at 0 s says is read."""
        return self._changes(node, Fraction(0))

    # ---- times

    def _spacing(self) -> Fraction:
        said = [node for node in self.tree.statements if isinstance(node, st.SampleEvery)]
        for again in said[1:]:
            advice = "take one of the two out"
            self.scope.report("bad-value", f"this is said in line {said[0].span.line} already", again.span, advice)
        if not said:
            return s.DEFAULT_SPACING
        spacing = self.scope.seconds(said[0].duration)
        if spacing is not None and spacing <= 0:
            self.scope.report(
                "bad-value", "samples stand apart by more than nothing", said[0].span, "write for example: 0.5 s"
            )
        return spacing if spacing is not None and spacing > 0 else s.DEFAULT_SPACING

    def _time(self, value: t.Value, lines: list[s.TimeLine]) -> Fraction:
        time = self.scope.seconds(value)
        before = lines[-1].time if lines else None
        if time is None:
            return before or Fraction(0)
        if time < 0:
            self.scope.report("bad-value", "time begins at 0 s", value.span, "write the first line as: at 0 s: ...")
        elif before is not None and time == before:
            advice = "write both as one line"
            self.scope.report("bad-value", f"there is a line at {m.in_seconds(time)} already", value.span, advice)
        elif before is not None and time < before:
            message = f"the line before it is at {m.in_seconds(before)}, which is later"
            self.scope.report("bad-value", message, value.span, "write the lines in the order of time")
        return time

    def _later(self, value: t.Value, than: Fraction, *, or_same: bool, word: str) -> Fraction | None:
        """A time that must not be before another."""
        time = self.scope.seconds(value)
        if time is None:
            return None
        if time > than or (or_same and time == than):
            self.times.add(time)
            return time
        at_least = "must not be earlier" if or_same else "must be later"
        self.scope.report(
            "bad-value",
            f"`{word}` names a time, and that {at_least} than {m.in_seconds(than)}",
            value.span,
            "times are counted as those of the lines, from the beginning of the scenario",
        )
        return None

    # ---- what is read

    def _changes(self, node: st.AtStatement, time: Fraction) -> list[s.Change]:
        found: list[s.Change] = []
        # By what is set: whether it was set as one of all elements.
        seen: dict[str, bool] = {}
        for one in node.inputs:
            if isinstance(one, st.Pressed):
                self._once(_BUTTON, False, one.span, seen)
                found.append(s.Presses())
            elif isinstance(one, st.Turned) and self._is_press(one):
                name = one.place.subject.name.text
                self._once(name, False, one.span, seen)
                found.append(s.Presses(name))
            elif isinstance(one, st.Turned):
                found += self._turn(one, seen)
            elif isinstance(one, st.Lost) and one.place.subject.name.text in self.rules.switches:
                found += self._lose(one, seen)
            else:
                found += self._read(one, time, seen)
        return found

    def _is_press(self, turned: st.Turned) -> bool:
        """Whether it is `BUTTON pressed`."""
        place = turned.place
        named = not place.every and place.subject.index is None and place.subject.name.text in self.rules.buttons
        return named and turned.position.text == "pressed"

    def _lose(self, lost: st.Lost, seen: dict[str, bool]) -> list[s.Change]:
        """Nobody knows the position of a switch, unless it has one of that name."""
        switch = self.names.switch(lost.place)
        if switch is None:
            return []
        self._once(switch.name, False, lost.span, seen)
        self.turned.add(switch.name)
        return [s.Turns(switch.name, "failed" if "failed" in switch.positions else None)]

    def _turn(self, turned: st.Turned, seen: dict[str, bool]) -> list[s.Change]:
        found = self.names.position(turned)
        if found is None:
            return []
        self._once(found[0], False, turned.span, seen)
        self.turned.add(found[0])
        return [s.Turns(*found)]

    def _read(self, one: st.Given | st.RampNode | st.Lost, time: Fraction, seen: dict[str, bool]) -> list[s.Change]:
        bound = self.names.sensors(one.place)
        if bound is None:
            return []
        quantity, readings = bound
        changes: list[s.Change] = []
        for reading in readings:
            change = self._change(one, quantity, reading, time)
            if change is None:
                return changes
            self._once(reading, one.place.every, one.span, seen)
            self.values.now[reading] = change if isinstance(change, s.Ramps) else change.value
            self.values.since[reading] = time
            changes.append(change)
        return changes

    def _change(
        self, one: st.Given | st.RampNode | st.Lost, quantity: m.Quantity, reading: str, time: Fraction
    ) -> s.Sets | s.Ramps | None:
        if isinstance(one, st.Lost):
            return s.Sets(reading, None)
        if isinstance(one, st.Given):
            value = self._value(one.value, quantity)
            return None if value is None else s.Sets(reading, value)
        if one.first is not None and not self.scope.one_unit(one.first, one.last, quantity):
            return None
        last = self._value(one.last, quantity)
        until = self._later(one.by, time, or_same=False, word="by")
        first = self._start(one, quantity, reading, time) if one.first is None else self._value(one.first, quantity)
        return None if first is None or last is None or until is None else s.Ramps(reading, first, last, until)

    def _start(self, node: st.RampNode, quantity: m.Quantity, reading: str, time: Fraction) -> Fraction | None:
        """Where a reading begins to change that does not say so."""
        value = self.values.at(reading, time) if reading in self.values.now else None
        if value is None:
            why = "has failed" if reading in self.values.now else "has no value yet"
            shown = node.place.span.text
            self.scope.report(
                "bad-value",
                f"{reading} {why}, so it cannot go from it to another",
                node.span,
                f"say where it begins, for example: {shown} {example_value(quantity)} to ...",
            )
        return value

    def _value(self, value: t.Value, quantity: m.Quantity) -> Fraction | None:
        """A value in the quantity's own unit, which its sensor can read."""
        found = self.scope.in_unit(value, quantity.unit, quantity.name)
        if found is None or quantity.low <= found <= quantity.high:
            return found
        self.scope.report(
            "bad-value",
            f"the sensor of {quantity.name} reads from {say_value(quantity.low, quantity.unit)} to "
            f"{say_value(quantity.high, quantity.unit)}: beyond that it counts as failed",
            value.span,
            f"write {quantity.name} failed if that is meant",
        )
        return None

    def _once(self, name: str, every: bool, span: Span, seen: dict[str, bool]) -> None:
        """A line gives each value once; one element may differ from what was said of all before it."""
        if name in seen and not (seen[name] and not every):
            said = "acknowledges" if name == _BUTTON else f"gives {name}"
            self.scope.report("bad-value", f"this line {said} twice", span, "take one of the two out")
        seen[name] = every

    # ---- what must be shown

    def _what(self, node: st.Shows | st.Alerts | st.Quiet | st.Holds | st.LampIs) -> s.What | None:
        match node:
            case st.Shows():
                return self.names.gauges(node)
            case st.Alerts():
                return self.names.alert(node)
            case st.Quiet():
                return s.IsQuiet()
            case st.Holds():
                return self.names.condition(node)
            case st.LampIs():
                return self.names.lamp(node)

    def _expected(
        self, node: st.Expectation, what: s.What, time: Fraction, starts: list[Fraction]
    ) -> s.ScenarioExpectation:
        first = time if node.by is None else self._later(node.by, time, or_same=True, word="by") or time
        before: Fraction | None = None
        if node.until is not None:
            before = self._later(node.until, first, or_same=False, word="until")
        elif node.by is not None:
            before = min((start for start in starts if start > first), default=None)
        once = node.by is None and node.until is None
        text = " ".join(node.span.text.split()) if "#" not in node.span.text else _without_comments(node.span.text)
        return s.ScenarioExpectation(what, first, before, once, text, node.span)


def _without_comments(text: str) -> str:
    """An expectation on one line. A `#` in a text is none, and a text ends on its line."""
    lines = []
    for line in text.split("\n"):
        quoted = line.split('"')
        for i in range(0, len(quoted), 2):
            if "#" in quoted[i]:
                quoted = [*quoted[:i], quoted[i].split("#")[0]]
                break
        lines.append('"'.join(quoted))
    return " ".join(" ".join(lines).split())
