"""The ground-test card as data: steps with what to set, and what must be seen by when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.documents.cards.goals import Goal, Goals, goals
from alertlang.documents.cards.running import AT_ONCE, MARGIN, Held, Look, Run
from alertlang.documents.cards.sequence import Block, in_order, least, packed
from alertlang.documents.cards.stimulus import Setting, Stimuli
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m
from alertlang.units.number import show_number, show_value

DISCONNECTED = "disconnected"
NOTHING = "no colour"
UNCHANGED = "change nothing"
_NOT_UP = "not up"


@dataclass(frozen=True, slots=True)
class Expected:
    """What must be seen so many seconds after the step was set; `number` is its line on the card. `early`: it is looked
    at to see that what comes has not come yet."""

    number: int
    after: Fraction
    item: str
    seen: str
    early: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """`changes`: what to set, in words, and `settings` all there is set then; `press`: a button to press instead.
    `hold` seconds before the next step; `shows`: what the step is there for."""

    number: int
    changes: tuple[str, ...]
    settings: Stimuli
    press: str | None
    hold: Fraction
    expected: tuple[Expected, ...]
    shows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """`digest` of everything the rule set was read from. `impossible` is proved; `open` is not exercised by the card.
    `least`: so few steps would be needed at best. `changes`: how many stimuli are set in all after the first step."""

    name: str
    version: int
    digest: str
    steps: tuple[Step, ...]
    shown: int
    impossible: tuple[str, ...]
    open: tuple[str, ...]
    least: int
    changes: int
    time: Fraction
    pairs: int
    masked: int
    # What each stimulus is called, in words, by its name.
    names: tuple[tuple[str, str], ...]


def card(ruleset: m.RuleSet) -> Card:
    """The card of a rule set. The same rule set, the same card."""
    made = goals(ruleset)
    blocks = in_order(packed(made.found), made.base)
    builder = _Builder(ruleset, made)
    unmet = builder.play(blocks)
    for away in (False, True):
        # What went before may stand in the way: once more, each from where everything starts; and at last with its
        # sensors taken off before, which ends whatever a deadband keeps.
        again = [Block([dict(made.base), *_taken_off(goal, away), *map(dict, goal.parts)], [goal]) for goal in unmet]
        unmet = builder.play(again)
    builder.play_lamps()
    unlit = [f"lamp {lamp.text}: never lit by this card" for lamp in ruleset.lamps if lamp.text not in builder.lit]
    steps = builder.made_steps
    changes = sum(len(step.changes) for step in steps[1:] if step.press is None and step.changes != (UNCHANGED,))
    return Card(
        ruleset.name,
        ruleset.version,
        digest_of(ruleset),
        tuple(steps),
        len(made.found) - len(unmet),
        tuple(dict.fromkeys(made.impossible)),
        (*dict.fromkeys(made.open), *(f"{goal.what}: not reached" for goal in unmet), *unlit),
        least(made.found, made.base),
        changes,
        sum((step.hold for step in steps), Fraction(0)),
        made.pairs,
        made.masked,
        tuple((name, _called(ruleset, name)) for name in made.base),
    )


def _called(ruleset: m.RuleSet, name: str) -> str:
    if name in ruleset.switches:
        switch = ruleset.switches[name]
        return f"{switch.title or name}: {', '.join(switch.positions)}"
    quantity = ruleset.quantities[name.split("[")[0]]
    unit = quantity.unit.name
    of = f" in {unit}" if unit else ""
    return f"{quantity.title or name}{of}"


def _taken_off(goal: Goal, away: bool) -> list[dict[str, Setting]]:
    names = [name for name, setting in goal.parts[0].items() if isinstance(setting, Fraction)]
    return [dict.fromkeys(names)] if away and names else []


def digest_of(ruleset: m.RuleSet) -> str:
    """The digest of the rules, as the library and the other papers tell it."""
    return content_digest(ruleset)


class _Builder:
    def __init__(self, ruleset: m.RuleSet, made: Goals) -> None:
        self.ruleset = ruleset
        self.made = made
        self.run = Run(ruleset)
        self.made_steps: list[Step] = []
        self.line = 0
        self.state: dict[str, Setting] = dict(made.base)
        self.last: Look | None = None
        self.held: Held | None = None
        self.shown = {band.quantity for band in ruleset.bands}
        self.texts = _texts(ruleset)
        # Stimuli under which each lamp was seen flashing.
        self.lit: dict[str, dict[str, Setting]] = {}

    def play(self, blocks: list[Block]) -> list[Goal]:
        """Goes through some blocks after what has been gone through, and says which goals were not reached."""
        unmet: list[Goal] = []
        if not self.made_steps:
            self._step(dict(self.state), ("as usual, to begin with",), first=True)
        for block in blocks:
            for place, part in enumerate(block.parts):
                ends = place == len(block.parts) - 1
                wanted = {**self.state, **part}
                # A sensor that was taken off is put back, unless it is what is asked for.
                for name, setting in self.state.items():
                    if setting is None and name not in part:
                        wanted[name] = self.made.base[name]
                shows = tuple(goal.what for goal in block.goals) if ends else ("to get there",)
                wait = max((goal.wait for goal in block.goals), default=Fraction(0)) if ends else Fraction(0)
                held = self._step(wanted, shows, wait=wait)
                if ends:
                    unmet += [goal for goal in block.goals if not goal.is_met(held.shown)]
                if held.latched:
                    self._press()
        return unmet

    def play_lamps(self) -> None:
        for lamp in self.ruleset.lamps:
            if lamp.text in self.lit:
                self._lamp(lamp, self.lit[lamp.text])

    def _press(self, button: str | None = None) -> None:
        if button is None:
            button = self.ruleset.acknowledge_inputs[0] if self.ruleset.acknowledge_inputs else ""
        self._step(dict(self.state), ("what stays until it is acknowledged",), press=button)

    def _light(self, lamp: m.Lamp) -> str:
        assert self.last is not None
        return self.last.seen.lamps[lamp.text].light

    def _lamp(self, lamp: m.Lamp, lights: dict[str, Setting]) -> None:
        why = (f"lamp {lamp.text}",)
        for again in (False, True):
            self._step(dict(self.made.base), why)
            # What is still lit from before is put out: acknowledged first, for a reset alone does not.
            if lamp.acknowledge is not None and self._light(lamp) == "flashing":
                self._step(dict(self.state), why, press=lamp.acknowledge)
            if lamp.reset is not None and self._light(lamp) != "off":
                self._step(dict(self.state), why, press=lamp.reset)
            self._step(lights, (f"lamp {lamp.text} {'alerts again' if again else 'alerts'}",))
            if lamp.acknowledge is not None:
                self._step(dict(self.state), (f"lamp {lamp.text} acknowledged",), press=lamp.acknowledge)
        self._step(dict(self.made.base), (f"lamp {lamp.text}, all gone",))
        if lamp.reset is not None:
            self._step(dict(self.state), (f"lamp {lamp.text} reset",), press=lamp.reset)

    def _step(
        self,
        wanted: dict[str, Setting],
        shows: tuple[str, ...],
        *,
        press: str | None = None,
        first: bool = False,
        wait: Fraction = Fraction(0),
    ) -> Held:
        changed = [name for name, setting in wanted.items() if first or self.state[name] != setting]
        if not changed and press is None and self.held is not None and self.held.hold > wait:
            # Nobody has to do anything: the step before shows it too.
            self.made_steps[-1] = replace(self.made_steps[-1], shows=(*self.made_steps[-1].shows, *shows))
            return self.held
        held = self.run.hold(wanted, press, wait)
        # In the order in which they are looked at.
        lines = sorted(self._expected(held, frozenset(changed)), key=lambda one: one.after)
        expected = tuple(replace(one, number=self.line + place) for place, one in enumerate(lines, 1))
        self.line += len(lines)
        words = tuple(self._set(name, wanted[name]) for name in changed) or (UNCHANGED,)
        if press is not None:
            words = (f"press {press or 'acknowledge'}",)
        self.made_steps.append(Step(len(self.made_steps) + 1, words, dict(wanted), press, held.hold, expected, shows))
        self.state = wanted
        self.held = held
        self.last = held.looks[-1]
        for text, state in self.last.seen.lamps.items():
            if state.light == "flashing":
                self.lit.setdefault(text, dict(wanted))
        return held

    def _set(self, name: str, setting: Setting) -> str:
        if isinstance(setting, str):
            return f"{name} = {setting}"
        unit = self.ruleset.quantities[name.split("[")[0]].unit
        return f"{name} = {DISCONNECTED if setting is None else show_value(setting, unit)}"

    # ---- what must be seen

    def _expected(self, held: Held, changed: frozenset[str]) -> Iterator[Expected]:
        looks = held.looks
        for before, look in zip((None, *looks[:-1]), looks, strict=True):
            old = self._items(before or self.last)
            new = self._items(look)
            early = look.time - MARGIN
            by = look.time + MARGIN if look.time else AT_ONCE
            final = look is looks[-1]
            for item, seen in new.items():
                was = old.get(item)
                if before is not None and was != seen and early > 0 and was is not None:
                    yield _line(early, item, was, early=True)
                if was is None and seen == _NOT_UP:
                    continue  # Said of all of them at once.
                if was != seen or (final and item.removeprefix("gauge ") in changed):
                    yield _line(by, item, seen)
        end = looks[-1].seen
        up = "; ".join(f"{level.word} {text}" for level, text in sorted(end.alerts, key=lambda a: (-a[0], a[1])))
        yield _line(held.hold - MARGIN, "all alerts", up or "none")
        if self.last is not None:
            yield _line(held.hold - MARGIN, "other gauges", "as before")

    def _items(self, look: Look | None) -> Mapping[str, str]:
        """Everything that can be looked at by itself, with what is seen there."""
        if look is None:
            return {}
        found: dict[str, str] = {}
        for (name, index), colour in look.seen.colours.items():
            if name in self.shown:
                found[f"gauge {m.variable(name, index)}"] = NOTHING if colour is None else colour.word
        for level, text in self.texts:
            found[f"alert {text} ({level.word})"] = "up" if (level, text) in look.seen.alerts else _NOT_UP
        for text, state in look.seen.lamps.items():
            sound = "" if state.sound == "silent" else f", sound {state.sound}"
            found[f"lamp {text}"] = f"{state.light}{sound}"
        return found


def _texts(ruleset: m.RuleSet) -> tuple[tuple[m.Level, str], ...]:
    found: dict[tuple[m.Level, str], None] = {}
    for rule in ruleset.rules:
        if rule.alert is None:
            continue
        indexes = (None,) if isinstance(rule, m.Alert) else ruleset.quantities[rule.quantity].indexes
        for index in indexes:
            text = rule.alert.text if index is None else rule.alert.text.replace("{n}", str(index))
            found[rule.alert.level, text] = None
    return tuple(found)


def _line(after: Fraction, item: str, seen: str, *, early: bool = False) -> Expected:
    return Expected(0, after, item, seen, early)


def seconds(time: Fraction) -> str:
    return f"{show_number(time)} s"
