"""The ground-test card as data: steps with what to set, and what must be seen by when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from alertlang.groundtest.expected import CardExpectation, PanelWatch
from alertlang.groundtest.goals import CardGoal, Goals, goals
from alertlang.groundtest.grid import Grid, Setting, Stimuli
from alertlang.groundtest.ramp import Ramp
from alertlang.groundtest.running import HeldStimulus, PanelSeen, StimulusRun, seen_in
from alertlang.groundtest.sequence import StimulusBlock, in_order, least, moving, packed
from alertlang.keying.as_keyed import as_keyed
from alertlang.lamps.machine import Annunciation
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m
from alertlang.model.grades import numbers_by_grade
from alertlang.output.basis import weak_numbers
from alertlang.text.short import Short
from alertlang.units.number import show_number

DISCONNECTED = "disconnected"
UNCHANGED = "change nothing"


@dataclass(frozen=True, slots=True)
class CardStep:
    """`changes`: what to set, in words, and `settings` all there is set then; `press`: a button to press instead.
    `hold` seconds before the next step; `shows`: what the step is there for. `moves`: a reading is moved evenly."""

    number: int
    changes: tuple[str, ...]
    settings: Stimuli = field(hash=False)
    press: str | None
    hold: Fraction
    expected: tuple[CardExpectation, ...]
    shows: tuple[str, ...]
    moves: bool = False


@dataclass(frozen=True, slots=True, repr=False)
class Card(Short):
    """`digest` of everything the rule set was read from. `impossible` is proved; `open` is not exercised by the card.
    `least`: so few steps would be needed at best. `changes`: how many stimuli are set in all after the first step."""

    name: str
    version: int
    digest: str
    steps: tuple[CardStep, ...]
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
    # What is to be said of numbers that nobody read in a document.
    weak: str = ""


def card(ruleset: m.RuleSet) -> Card:
    """The card of a rule set. The same rule set, the same card."""
    written = ruleset
    ruleset = as_keyed(written)
    made = goals(ruleset)
    blocks = in_order(packed(made.found), made.base)
    builder = _CardBuilder(ruleset, made)
    unmet = builder.play(blocks)
    for away in (False, True):
        # What went before may stand in the way: once more, each from where everything starts; and at last with its
        # sensors taken off before, which ends whatever a deadband keeps.
        again = [
            StimulusBlock([dict(made.base), *_taken_off(goal, away), *map(dict, goal.parts)], [goal]) for goal in unmet
        ]
        unmet = builder.play(again)
    unmet += builder.play_moving(made.moving)
    builder.play_lamps()
    unlit = [_unlit(lamp, builder) for lamp in ruleset.lamps if lamp.text not in builder.lit]
    steps = builder.made_steps
    changes = sum(len(step.changes) for step in steps[1:] if step.press is None and step.changes != (UNCHANGED,))
    return Card(
        ruleset.name,
        ruleset.version,
        content_digest(written),
        tuple(steps),
        len(made.found) + len(made.moving) - len(unmet),
        tuple(dict.fromkeys(made.impossible)),
        (*dict.fromkeys(made.open), *(f"{goal.what}: not reached" for goal in unmet), *unlit),
        least(made.found, made.base),
        changes,
        sum((step.hold for step in steps), Fraction(0)),
        made.pairs,
        made.masked,
        tuple((name, _called(ruleset, name, made.grids)) for name in (*made.base, *_worked_out(ruleset))),
        weak_numbers(numbers_by_grade(written)),
    )


def _unlit(lamp: m.PanelLamp, builder: _CardBuilder) -> str:
    if lamp.text in builder.lit_moving:
        return f"lamp {lamp.text}: lit by a reading that moves alone, its buttons are not gone through"
    return f"lamp {lamp.text}: never lit by this card"


def _worked_out(ruleset: m.RuleSet) -> list[str]:
    """Gauges that cannot be set but looked at."""
    shown = [ruleset.quantities[name] for name in ruleset.quantities if ruleset.bands_by_quantity.get(name)]
    return [
        m.variable(quantity.name, index)
        for quantity in shown
        if quantity.derived is not None
        for index in quantity.indexes
    ]


def _called(ruleset: m.RuleSet, name: str, grids: Mapping[str, Grid]) -> str:
    """What it is, in which unit, and its label on the panel."""
    if name in ruleset.switches:
        switch = ruleset.switches[name]
        label = next((button.label for button in ruleset.inputs if button.switch == name and button.label), None)
        return f"{switch.title or name}: {', '.join(switch.positions)}{_labelled(label)}"
    own, element = m.ReadingId(name).parts
    quantity = ruleset.quantities[own]
    unit = grids[own].unit.name
    of = f" in {unit}" if unit else ""
    label = next((gauge.label for gauge in ruleset.gauges if gauge.quantity == own and gauge.label), None)
    if label is not None:
        label = label.replace("{n}", "" if element is None else str(element))
    return f"{quantity.title or own}{of}{_labelled(label)}{'' if quantity.derived is None else ', worked out'}"


def _labelled(label: str | None) -> str:
    return "" if label is None else f', on the panel "{label}"'


def _taken_off(goal: CardGoal, away: bool) -> list[dict[str, Setting]]:
    names = [name for name, setting in goal.parts[0].items() if isinstance(setting, Fraction)]
    return [dict.fromkeys(names)] if away and names else []


class _CardBuilder:
    def __init__(self, ruleset: m.RuleSet, made: Goals) -> None:
        self.ruleset = ruleset
        self.made = made
        self.run = StimulusRun(ruleset)
        self.made_steps: list[CardStep] = []
        self.line = 0
        self.state: dict[str, Setting] = dict(made.base)
        self.last: PanelSeen | None = None
        self.held: HeldStimulus | None = None
        self.watch = PanelWatch(ruleset)
        # Stimuli under which each lamp was seen flashing.
        self.lit: dict[str, dict[str, Setting]] = {}
        self.lit_moving: set[str] = set()

    def play(self, blocks: list[StimulusBlock]) -> list[CardGoal]:
        """Goes through some blocks after what has been gone through, and says which goals were not reached."""
        unmet: list[CardGoal] = []
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

    def play_moving(self, goals: list[CardGoal]) -> list[CardGoal]:
        """Goes through what ramps show, and says which goals were not reached."""
        unmet = [goal for block in moving(goals) for goal in self._moving(block)]
        return [
            goal
            for card_goal in unmet
            for goal in self._moving(StimulusBlock([dict(p) for p in card_goal.parts], [card_goal], card_goal.ramp))
        ]

    def _moving(self, block: StimulusBlock) -> list[CardGoal]:
        assert block.ramp is not None
        for part in block.parts:
            # All else as usual: so it was run when the ramp was sought.
            if self._step({**self.made.base, **part}, ("to get there",)).latched:
                self._press()
        unmet = self._ramp(block.ramp, block.goals)
        if self._step(dict(self.state), ("at rest again",), late=True).latched:
            self._press()
        return unmet

    def _ramp(self, ramp: Ramp, goals: list[CardGoal]) -> list[CardGoal]:
        wait = max(goal.wait for goal in goals)
        moved = self.run.ramp(self.state, ramp)
        until = moved.last_look(wait)
        assert self.last is not None
        before, self.state = self.last, {**self.state, **ramp.ending}
        words = tuple(ramp.words(name, self.grid(name)) for name in ramp.names)
        lines: Iterable[CardExpectation] = ()
        if until is not None:
            lines = self.watch.lines_of_ramp(moved, before, until, frozenset(ramp.names))
            self.last = seen_in(next(iter(moved.around(until))))
            self.lit_moving |= {text for text, state in self.last.lamps.items() if state.light == "flashing"}
        unmet = [goal for goal in goals if not moved.is_met(goal.is_met, wait)]
        shows = tuple(goal.what for goal in goals if goal not in unmet) or ("to get there",)
        number, expected = len(self.made_steps) + 1, self._numbered(lines)
        self.made_steps.append(CardStep(number, words, dict(self.state), None, moved.hold, expected, shows, moves=True))
        self.held = None
        return unmet

    def _numbered(self, lines: Iterable[CardExpectation]) -> tuple[CardExpectation, ...]:
        """In the order in which they are looked at."""
        found = sorted(lines, key=lambda expectation: expectation.after)
        self.line += len(found)
        first = self.line - len(found) + 1
        return tuple(replace(expectation, number=first + place) for place, expectation in enumerate(found))

    def play_lamps(self) -> None:
        for lamp in self.ruleset.lamps:
            if lamp.text in self.lit:
                self._lamp(lamp, self.lit[lamp.text])

    def _press(self, button: str | None = None) -> None:
        if button is None:
            button = self.ruleset.acknowledge_inputs[0] if self.ruleset.acknowledge_inputs else ""
        self._step(dict(self.state), ("what stays until it is acknowledged",), press=button)

    def _light(self, lamp: m.PanelLamp) -> str:
        assert self.last is not None
        return self.last.lamps[lamp.text].light

    def _lamp(self, lamp: m.PanelLamp, lights: dict[str, Setting]) -> None:
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
        late: bool = False,
    ) -> HeldStimulus:
        """`late`: nobody knows exactly when what it begins with began, so it is looked at only at the end."""
        changed = [name for name, setting in wanted.items() if first or self.state[name] != setting]
        if not changed and press is None and self.held is not None and self.held.hold > wait:
            # Nobody has to do anything: the step before shows it too.
            self.made_steps[-1] = replace(self.made_steps[-1], shows=(*self.made_steps[-1].shows, *shows))
            return self.held
        held = self.run.hold(wanted, press, wait)
        if late:
            held = replace(held, looks=held.looks[-1:])
        expected = self._numbered(self.watch.lines(held, self.last, frozenset(changed)))
        words = tuple(self._set(name, wanted[name]) for name in changed) or (UNCHANGED,)
        if press is not None:
            words = (f"press {press or 'acknowledge'}",)
        self.made_steps.append(
            CardStep(len(self.made_steps) + 1, words, dict(wanted), press, held.hold, expected, shows)
        )
        self.state = wanted
        self.held = held
        self.last = held.looks[-1].seen
        for text, state in self.last.lamps.items():
            # What is only locked in was lit by something that is gone.
            if state.light == "flashing" and state.state is not Annunciation.LOCKED_IN:
                self.lit.setdefault(text, dict(wanted))
        return held

    def _set(self, name: str, setting: Setting) -> str:
        if isinstance(setting, str):
            return f"{name} = {setting}"
        return f"{name} = {DISCONNECTED if setting is None else self.grid(name).show(setting)}"

    def grid(self, name: str) -> Grid:
        return self.made.grids[m.ReadingId(name).quantity]


def seconds(time: Fraction) -> str:
    return f"{show_number(time)} s"
