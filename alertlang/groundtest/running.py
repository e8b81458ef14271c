"""A sequence of stimuli run over the reference: when everything has settled, what is to be seen until then, and while
readings move what is sure to be seen by somebody who is not exact."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.groundtest.grid import Stimuli
from alertlang.groundtest.ramp import UNEVEN, Ramp
from alertlang.lamps.machine import LampState
from alertlang.meaning.stepper import Sample, Shown, Stepper
from alertlang.model import ruleset as m

# A person with a watch is so exact.
MARGIN = Fraction(1, 2)
_AFTER = Fraction(1)
# A ramp is sampled soon after it began, and at least so many times.
_SOON = Fraction(1, 10)
_MOST_APART = 20
# What is to be seen at once is looked for after this.
AT_ONCE = Fraction(1, 2)
_INSTANT = Fraction(1, 1000)
SHORTEST = Fraction(2)


@dataclass(frozen=True, slots=True)
class PanelSeen:
    """All there is to see at one moment."""

    colours: Mapping[tuple[str, int | None], m.Colour | None]
    alerts: frozenset[tuple[m.Level, str]]
    lamps: Mapping[str, LampState]


def seen_in(shown: Shown) -> PanelSeen:
    return PanelSeen(
        dict(shown.colours), frozenset((a.level, a.text) for a in shown.alerts.values()), dict(shown.lamps)
    )


# What the reference shows at each of its samples, by the seconds since the ramp began.
Track = tuple[tuple[Fraction, Shown], ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A ramp and `hold` seconds of it. `tracks`: as it should be, a little quicker and a little slower. `sure`: so long
    it moves in all of them. `latched`: alerts that stay though their cause may go."""

    hold: Fraction
    tracks: tuple[Track, ...]
    sure: Fraction
    latched: bool

    def around(self, time: Fraction) -> Iterator[Shown]:
        """All that may be shown when somebody looks at a time: from the sample before to the one after."""
        for track in self.tracks:
            first = max(place for place, (at, _) in enumerate(track) if at <= time - MARGIN)
            last = next(place for place, (at, _) in enumerate(track) if at >= time + MARGIN)
            yield from (shown for _, shown in track[first : last + 1])

    def times(self) -> list[Fraction]:
        """When to look, on half seconds: well before and well after each sample, while it moves for sure."""
        found = {self.sure - MARGIN}
        for track in self.tracks:
            for at, _ in track:
                found |= {Fraction(math.floor((at - MARGIN) * 2), 2), Fraction(math.ceil((at + MARGIN) * 2), 2)}
        return sorted(time for time in found if MARGIN <= time <= self.sure - MARGIN)

    def last_look(self, wait: Fraction) -> Fraction | None:
        """The last time, some delays being over, at which there is but one thing to see; none if there is no such."""
        for time in reversed(self.times()):
            if time < wait + _AFTER:
                return None
            seen = [seen_in(shown) for shown in self.around(time)]
            if all(panel_seen == seen[0] for panel_seen in seen):
                return time
        return None

    def is_met(self, is_met: Callable[[Shown], bool], wait: Fraction) -> bool:
        """Whether what has to be shown is, when it is looked at last."""
        last = self.last_look(wait)
        return last is not None and all(is_met(shown) for shown in self.around(last))


@dataclass(frozen=True, slots=True)
class PanelLook:
    """What there is to see from `time` seconds after the stimulus was set."""

    time: Fraction
    seen: PanelSeen


@dataclass(frozen=True, slots=True)
class HeldStimulus:
    """One stimulus: how long it is held, what is seen in turn (the first at once), and all the reference shows at the
    end. `latched`: alerts that stay though their cause may go."""

    hold: Fraction
    looks: tuple[PanelLook, ...]
    shown: Shown
    latched: bool


class StimulusRun:
    """A run over one stretch, stimulus after stimulus, each held until nothing more is to come."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        # Limits show nothing at the panel, and following them takes time.
        self.stepper = Stepper(replace(ruleset, ranges=()))
        self.time = Fraction(0)
        self._moves = any(quantity.is_trend for quantity in ruleset.quantities.values())
        self._durations = _durations(ruleset)

    def hold(self, stimuli: Stimuli, press: str | None = None, wait: Fraction = Fraction(0)) -> HeldStimulus:
        """Sets stimuli, or presses a button, and holds until all that is to come has come, at least for
        `wait` seconds."""
        start = self.time
        shown = self._step(stimuli, start, press)
        looks = [PanelLook(Fraction(0), seen_in(shown))]
        now = start
        if self._moves:
            # A rise or fall is over one sample later.
            now = start + _INSTANT
            shown = self._step(stimuli, now)
            self._take(looks, Fraction(0), shown)
        last = Fraction(0)
        while (due := self._due(now)) is not None:
            for moment in (due, due + _INSTANT):
                if moment > now:
                    now = moment
                    shown = self._step(stimuli, now)
                    self._take(looks, due - start, shown)
            last = due - start
        hold = max(SHORTEST, Fraction(math.ceil(max(last, wait) + 2 * MARGIN)))
        # Nothing changes until then; only a rate counts from the sample before.
        if self._moves and start + hold - _INSTANT > now:
            shown = self._step(stimuli, start + hold - _INSTANT)
            self._take(looks, hold, shown)
        self.time = start + hold
        return HeldStimulus(hold, tuple(looks), shown, any(not acked for acked in self.stepper.memory.latched.values()))

    def ramp(self, settings: Stimuli, ramp: Ramp) -> Moved:
        """Moves readings evenly, all others as set, and holds until the ramp is over, be it a little slower than it
        should be. What was set before has the ramp's readings at its start."""
        quick, slow = (
            self._copy()._follow(settings, ramp.slower(factor), ramp.sure) for factor in (1 - UNEVEN, 1 + UNEVEN)
        )
        hold = Fraction(math.ceil(ramp.seconds * (1 + UNEVEN)) + 1)
        as_set = self._follow(settings, ramp, hold - _INSTANT)
        self.time += hold
        latched = any(not acked for acked in self.stepper.memory.latched.values())
        return Moved(hold, (as_set, quick, slow), ramp.sure, latched)

    def _follow(self, settings: Stimuli, ramp: Ramp, until: Fraction) -> Track:
        """What the reference shows from the beginning of a ramp on, by the seconds since."""
        apart = max(Fraction(1), Fraction(math.floor(ramp.seconds / _MOST_APART)))
        # A rise or fall is there from the second sample on, and over at the second one after the end.
        times = {Fraction(0), _SOON, ramp.seconds, ramp.seconds + _SOON, until}
        times |= {apart * count for count in range(math.ceil(until / apart))}
        found: list[tuple[Fraction, Shown]] = []

        def take(time: Fraction) -> None:
            found.append((time, self._step({**settings, **ramp.at(time)}, self.time + time)))

        for time in sorted(number for number in times if number <= until):
            while found and (due := self._due(self.time + found[-1][0])) is not None:
                at = due - self.time
                moments = [moment for moment in (at, at + _INSTANT) if found[-1][0] < moment < time]
                if not moments:
                    break
                for moment in moments:
                    take(moment)
            take(time)
        return tuple(found)

    def _copy(self) -> StimulusRun:
        """A run of its own that goes on from here."""
        other = copy(self)
        other.stepper = Stepper(self.stepper.ruleset)
        other.stepper.memory = self.stepper.memory.copy()
        return other

    def _take(self, looks: list[PanelLook], time: Fraction, shown: Shown) -> None:
        seen = seen_in(shown)
        if seen == looks[-1].seen:
            return
        if looks[-1].time == time:
            looks[-1] = PanelLook(time, seen)
            if len(looks) > 1 and looks[-2].seen == seen:
                looks.pop()
        else:
            looks.append(PanelLook(time, seen))

    def _step(self, stimuli: Stimuli, time: Fraction, press: str | None = None) -> Shown:
        return self.stepper.step(_sample(stimuli, time, press))

    def _due(self, now: Fraction) -> Fraction | None:
        """When the next delay is over, if one is running."""
        memory = self.stepper.memory
        found = [
            since + duration
            for key, since in memory.since.items()
            for duration in self._durations.get(key, ())
            if since + duration > now - _INSTANT and since + duration + _INSTANT > now
        ]
        for rule in self.ruleset.rules:
            if rule.held is not None and rule.in_total:
                for place, holds in memory.rest.items():
                    if place[0] == rule.label and holds and (left := rule.held - memory.total[place]) >= 0:
                        found.append(now + left)
        later = [time for time in found if time + _INSTANT > now]
        return min(later, default=None)


def _sample(stimuli: Stimuli, time: Fraction, press: str | None = None) -> Sample:
    """`press`: a button of the panel, or an empty name for whatever acknowledges."""
    readings = {name: value for name, value in stimuli.items() if isinstance(value, Fraction)}
    positions = {name: value for name, value in stimuli.items() if isinstance(value, str)}
    pressed = frozenset((press,)) if press else frozenset[str]()
    return Sample(time, readings, positions, press == "", pressed)


def _durations(ruleset: m.RuleSet) -> dict[object, tuple[Fraction, ...]]:
    """How long each thing that is timed may have to last, by the name under which the reference keeps it."""
    found: dict[object, list[Fraction]] = {}

    def add(key: object, duration: Fraction | None) -> None:
        if duration:
            found.setdefault(key, []).append(duration)

    for condition in ruleset.conditions.values():
        add(("true", condition.name), condition.set_after)
        add(("false", condition.name), condition.cleared_after)
    for formula in ruleset.formulas:
        for part in m.parts_of(formula):
            if isinstance(part, m.Held):
                add(part.part, part.duration)
    for rule, place in _places(ruleset):
        if not rule.in_total:
            add(("rest", place), rule.held)
        add(("alert", place), rule.after)
    return {key: tuple(sorted(set(durations))) for key, durations in found.items()}


def _places(ruleset: m.RuleSet) -> Iterator[tuple[m.Band | m.Alert, tuple[str, int | None]]]:
    for rule in ruleset.rules:
        if isinstance(rule, m.Alert):
            yield rule, (rule.label, None)
        else:
            indexes = ruleset.quantities[rule.quantity].indexes if rule.index is None else (rule.index,)
            yield from ((rule, (rule.label, index)) for index in indexes)
