"""A difference explained: what was expected, what is shown, and which part of which statement decides it."""

from __future__ import annotations

from alertlang.meaning.look import RunLook
from alertlang.model import ruleset as m
from alertlang.results.scenario import Difference, Read, Reason
from alertlang.scenarios import scenario as s
from alertlang.text.lists import listed
from alertlang.why.reasons import Reasons

MOST_REASONS = 4
"""Statements that are named; how many more there are is told."""


def difference(scenario: s.Scenario, expected: s.ScenarioExpectation, look: RunLook) -> Difference:
    """Why something is not as expected at the sample that is looked at."""
    why = _Why(scenario, look)
    what = expected.what
    match what:
        case s.GaugeShows():
            message, reasons = why.colour(what)
        case s.AlertIsUp():
            message, reasons = why.alert(what)
        case s.IsQuiet():
            message, reasons = why.quiet()
        case s.ConditionHolds():
            message, reasons = why.condition(what)
        case s.LampShows():
            message, reasons = why.lamp(what)
    return Difference(
        look.shown.time,
        expected.first,
        expected.span,
        expected.text,
        message,
        why.read(what),
        tuple(reasons[:MOST_REASONS]),
        max(0, len(reasons) - MOST_REASONS),
    )


class _Why:
    def __init__(self, scenario: s.Scenario, look: RunLook) -> None:
        self.scenario = scenario
        self.ruleset = scenario.rules
        self.look = look
        self.reasons = Reasons(look)

    def read(self, what: s.What) -> Read:
        """The values on which something depends."""
        return self.reasons.read(*s.needs(self.ruleset, (what,)))

    # ---- gauges

    def colour(self, what: s.GaugeShows) -> tuple[str, list[Reason]]:
        quantity, index = gauge = next(g for g in what.gauges if self.look.shown.colours[g] != what.colour)
        shown = self.look.shown.colours[gauge]
        name = m.variable(quantity, index)
        bands = [b for b in self.ruleset.bands if b.quantity == quantity and b.index in {None, index}]
        now = f"shows {shown.word}" if shown is not None else "shows no colour"
        wanted = f"show {what.colour.word}" if what.colour is not None else "show no colour"
        reasons = [self.reasons.statement(b, index) for b in bands if b.colour == shown and self._applies(b, index)]
        hopes = [b for b in bands if b.colour == what.colour and not self._applies(b, index)]
        # Those that are nearest to it come first.
        hopes.sort(key=lambda band: self.reasons.faults(band, index))
        beaten = [b for b in bands if b.colour == what.colour and self._applies(b, index)]
        if beaten:
            assert shown is not None
            reasons += [self.reasons.statement(b, index, but=f", and {shown.word} goes before it") for b in beaten]
        else:
            reasons += [self.reasons.statement(b, index) for b in hopes]
        message = f"{name} must {wanted}, and {now}"
        if what.colour is not None and not hopes and not beaten:
            message += f"; no statement ever makes it {what.colour.word}"
        return message, reasons

    def _applies(self, band: m.Band, index: int | None) -> bool:
        return self.look.shown.applies[band.label, index]

    # ---- alerts

    def alert(self, what: s.AlertIsUp) -> tuple[str, list[Reason]]:
        name = f'{what.level.word} "{what.text}"'
        rules = {rule.label: rule for rule in self.ruleset.rules}
        places = [p for p in what.raised_by if what.up or p in self.look.shown.alerts]
        reasons = [self.reasons.statement(rules[label], index, alert=True) for label, index in places]
        if not what.up:
            return f"{name} must not be up, and is", reasons
        return f"{name} must be up, and is not{self._instead(what)}", reasons

    def _instead(self, what: s.AlertIsUp) -> str:
        """The alerts that are up of those on the same quantities: what the pilot sees in its place."""
        sensors, _ = s.needs(self.ruleset, (what,))
        seen = []
        for rule in self.ruleset.rules:
            for place, alert in self.look.shown.alerts.items():
                if place[0] == rule.label and self._known(rule) and self._reads(rule) & sensors:
                    seen.append(f'{alert.level.word} "{alert.text}"')
        return f" ({listed(dict.fromkeys(seen))} {'is' if len(seen) == 1 else 'are'})" if seen else ""

    def _reads(self, rule: m.Rule) -> frozenset[str]:
        names = self.ruleset.quantities_read(rule.when)
        if isinstance(rule, m.Band):
            names |= {rule.quantity}
        return frozenset(sensor for name in names for sensor in self.ruleset.sensors_of(name))

    def _known(self, rule: m.Rule) -> bool:
        """Whether all that a statement reads was given: of the others nothing can be said."""
        assert rule.alert is not None
        place = (rule.label, None)
        sensors, switches = s.needs(self.ruleset, (s.AlertIsUp(rule.alert.level, rule.alert.text, True, (place,)),))
        readings = {m.variable(name, index) for name in sensors for index in self.ruleset.quantities[name].indexes}
        return readings | switches <= self.scenario.given

    def quiet(self) -> tuple[str, list[Reason]]:
        up = {p: a for p, a in self.look.shown.alerts.items() if a.level >= m.Level.CAUTION}
        rules = {rule.label: rule for rule in self.ruleset.rules}
        texts = listed(dict.fromkeys(f'{a.level.word} "{a.text}"' for a in up.values()))
        are = "is" if len({(a.level, a.text) for a in up.values()}) == 1 else "are"
        return f"no caution and no warning may be up, and {texts} {are}", [
            self.reasons.statement(rules[label], index, alert=True) for label, index in up
        ]

    def lamp(self, what: s.LampShows) -> tuple[str, list[Reason]]:
        """What the lamp does, and the alerts that light it; without one that is up, all that could."""
        state = self.look.shown.lamps[what.lamp]
        rules = {rule.label: rule for rule in s.lit_by(self.ruleset, what.lamp)}
        up = [place for place in self.look.shown.alerts if place[0] in rules]
        now = f"{state.light} ({state.state.value})" if state.light != state.state.value else state.light
        message = f'the lamp "{what.lamp}" must be {what.light}, and is {now}'
        if up:
            return message, [self.reasons.statement(rules[label], index, alert=True) for label, index in up]
        places = [(rule, index) for rule in rules.values() for index in self._elements_of(rule)]
        return message, [self.reasons.statement(rule, index, alert=True) for rule, index in places]

    def _elements_of(self, rule: m.Rule) -> tuple[int | None, ...]:
        if isinstance(rule, m.Alert):
            return (None,)
        return self.ruleset.quantities[rule.quantity].indexes if rule.index is None else (rule.index,)

    # ---- conditions

    def condition(self, what: s.ConditionHolds) -> tuple[str, list[Reason]]:
        holds = self.look.shown.conditions[what.name]
        message = f"{what.name} must {'' if what.holds else 'not '}hold, and does{'' if holds else ' not'}"
        return message, [self.reasons.condition(what.name)]
